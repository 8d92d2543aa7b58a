//! Edges whose figures follow from geometry: joggle (F4, F5), flange on a curved line (F7, F8), flanged hole (F9).
//! F10: sheet-metal trade manuals, from memory. Numbers derived outside this program.

use crate::near::near;
use handbook::bend::Rule;
use handbook::edges::flange::{BendLine, CurvedFlange, flanged_hole_strain, widest_stretch_flange};
use handbook::edges::hem::{Hem, TradeFold};
use handbook::edges::joggle::{Joggle, Ramp};

#[test]
fn f4_straight_ramp() {
    for (run_mm, extra_mm, deg) in [(5.4, 0.0745, 9.46), (3.6, 0.1108, 14.04)] {
        let figures = Joggle { depth_mm: 0.9, ramp: Ramp::Straight { run_mm } }.figures().unwrap();
        near(figures.extra_mm, extra_mm, 0.5e-4);
        near(figures.angle_rad.to_degrees(), deg, 0.5e-2);
    }
}

#[test]
fn f5_two_equal_arcs() {
    let arcs = |neutral_radius_mm| Joggle { depth_mm: 0.9, ramp: Ramp::Arcs { neutral_radius_mm } }.figures().unwrap();
    let figures = arcs(3.0);
    near(figures.angle_rad.to_degrees(), 31.788, 0.5e-3);
    near(figures.true_length_mm, 3.328_866, 1e-6);
    near(figures.run_mm, 3.1607, 0.5e-4);
    near(figures.extra_mm, 0.1682, 0.5e-4);
    near(arcs(2.0).extra_mm, 0.2085, 0.5e-4);
}

/// F6: depth is the thickness cleared; ramp four to six depths (from memory and policy).
#[test]
fn f6_usual_ramp() {
    let figures = Joggle::with_usual_ramp(0.9).figures().unwrap();
    near(figures.run_mm, 4.5, 1e-12);
    assert!((4.0 * 0.9..=6.0 * 0.9).contains(&figures.run_mm));
}

#[test]
fn f7_flange_on_a_curved_line() {
    let strain = |line_radius_mm, width_mm, bend_deg: f64, line| {
        CurvedFlange { width_mm, line_radius_mm, bend_angle_rad: bend_deg.to_radians(), line }.strain().unwrap().strain
    };
    near(strain(200.0, 12.0, 90.0, BendLine::Concave), 0.063_829_8, 1e-6);
    for (radius, width, deg, stretch, shrink, half_digit) in [
        (200.0, 12.0, 90.0, 0.063_83, -0.056_60, 0.5e-5),
        (350.0, 15.0, 90.0, 0.044_78, -0.041_10, 0.5e-5),
        (60.0, 10.0, 90.0, 0.200, -0.142_9, 0.5e-4),
        (200.0, 12.0, 60.0, 0.031_91, -0.028_30, 0.5e-5),
    ] {
        near(strain(radius, width, deg, BendLine::Concave), stretch, half_digit);
        near(strain(radius, width, deg, BendLine::Convex), shrink, half_digit);
    }
}

#[test]
fn f8_widest_stretch_flange() {
    near(widest_stretch_flange(0.20, 60.0).unwrap().value, 10.0, 1e-9);
}

#[test]
fn f9_flanged_hole() {
    near(flanged_hole_strain(40.0, 50.0).unwrap().value, 0.25, 1e-12);
}

#[test]
fn f10_folds_by_the_trade() {
    for (fold, mm) in [(TradeFold::SingleHem, 6.0), (TradeFold::DoubleHem, 12.0), (TradeFold::GroovedSeam, 18.0)] {
        near(fold.allowance(6.0).unwrap().value, mm, 1e-12);
    }
    let hem = Hem { width_mm: 6.0, inside_radius_mm: 0.5, thickness_mm: 0.9 }.figures(&Rule::Din6935).unwrap();
    near(hem.trade_rule_mm, 6.0, 1e-12);
    near(hem.added_mm, 6.0 - 0.4907, 0.5e-4); // W less the v of B13
}
