//! Kalpakjian & Schmid, Manufacturing Engineering and Technology, bending: worked example P1, force B41 from memory; the form
//! of B40 and of Gardiner's formula seen.

use crate::near::near;
use handbook::min_radius::{air_bend_force_n, by_ductility};
use handbook::springback::{Elastic, Springback, gardiner, over_bend};

const PSI: f64 = 0.006_894_757_293;

/// Radius ratio, final radius in mm and angle ratio of a bend that takes a set.
fn set(radius_mm: f64, thickness_mm: f64, metal: Elastic) -> (f64, f64, f64) {
    match gardiner(radius_mm, thickness_mm, metal).unwrap() {
        Springback::Set { radius_ratio, final_radius_mm, angle_ratio, .. } => {
            (radius_ratio, final_radius_mm, angle_ratio)
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn b40_smallest_radius_from_ductility() {
    near(by_ductility(1.0, 30.0).unwrap().value, 0.667, 0.5e-3);
    near(by_ductility(1.0, 50.0).unwrap().value, 0.0, 1e-12);
    near(by_ductility(1.0, 60.0).unwrap().value, 0.0, 1e-12);
}

#[test]
fn b41_air_bend_force() {
    near(air_bend_force_n(320.0, 500.0, 0.9, 8.0).unwrap().value, 21_546.0, 0.5);
}

/// P1: 20-gauge steel, T 0.0359 in, Ri 0.5 in, Y 40 000 psi, E 29e6 psi: Rf 0.531 in printed.
#[test]
fn p1_worked_example() {
    let metal = Elastic { yield_n_mm2: 40_000.0 * PSI, young_n_mm2: 29e6 * PSI };
    let (ratio, final_mm, _) = set(0.5 * 25.4, 0.0359 * 25.4, metal);
    near(ratio, 0.942_40, 0.5e-5);
    near(final_mm / 25.4, 0.530_562, 1e-6);
    near(final_mm / 25.4, 0.531, 0.5e-3);
}

#[test]
fn p2_small_radius() {
    let metal = Elastic { yield_n_mm2: 210.0, young_n_mm2: 210e3 };
    let (_, final_mm, angle_ratio) = set(1.5, 0.9, metal);
    near(final_mm, 1.5075, 0.5e-4);
    near(90.0 * angle_ratio, 89.65, 0.5e-2);
    near(90.0 / angle_ratio, 90.35, 0.5e-2);
    let tool = over_bend(90f64.to_radians(), 1.5075, 0.9, metal).unwrap();
    near(tool.tool_radius_mm, 1.5, 0.5e-4);
    near(tool.tool_angle_rad.to_degrees(), 90.35, 0.5e-2);
}

#[test]
fn p3_a_large_skin_stays_elastic() {
    let metal = Elastic { yield_n_mm2: 210.0, young_n_mm2: 210e3 };
    match gardiner(600.0, 0.9, metal).unwrap() {
        Springback::ElasticNoSet { limit_radius_mm, working } => {
            near(limit_radius_mm, 450.0, 1e-9);
            let x = working.inputs.iter().find(|given| given.symbol == "X").unwrap().value;
            near(x, 0.667, 0.5e-3);
        }
        other => panic!("{other:?}"),
    }
    assert!(matches!(gardiner(449.9, 0.9, metal).unwrap(), Springback::Set { .. }));
}
