//! DIN 6935, cold bending of flat steel: formulas seen on a page of a German metal-trades table book that reproduces
//! the standard; the standard itself was not at hand. Numbers derived outside this program.

use crate::near::near;
use handbook::bend::{Bend, LegsTo, Rule, Strip, TradeMetal, allowance, deduction, developed_length, din_k};
use handbook::min_radius;
use std::f64::consts::PI;

/// A bend by its opening angle β in degrees, as the standard states it.
fn opening(thickness_mm: f64, inside_radius_mm: f64, beta_deg: f64) -> Bend {
    let bend_angle_rad = units::bend_from_opening_rad(beta_deg.to_radians());
    Bend { thickness_mm, inside_radius_mm, bend_angle_rad }
}

/// v with the legs measured as the standard does.
fn v_mm(bend: &Bend) -> f64 {
    deduction(bend, &Rule::Din6935, LegsTo::by_din(bend.bend_angle_rad)).unwrap().deduction_mm
}

fn developed_mm(legs_mm: &[f64], bends: &[Bend], legs_to: Option<LegsTo>, rule: &Rule) -> f64 {
    developed_length(&Strip { legs_mm, bends, legs_to }, rule).unwrap().developed_mm
}

const SOFT_STEEL: Rule = Rule::TradeStraightLength { metal: TradeMetal::SoftSteelAluminium };

#[test]
fn b1_factor_k() {
    let printed = [
        (0.5, 0.4995),
        (1.0, 0.6500),
        (1.2, 0.6896),
        (1.5, 0.7380),
        (2.0, 0.8005),
        (3.0, 0.8886),
        (4.0, 0.9510),
        (5.0, 0.9995),
    ];
    for (ratio, k) in printed {
        near(din_k(ratio), k, 0.5e-4);
    }
    near(din_k(1.2), 0.689_591, 1e-6);
}

#[test]
fn b2_factor_k_is_held_at_both_ends() {
    near(din_k(0.0501), 0.0, 1e-4);
    assert!(din_k(0.0502) > 0.0);
    assert_eq!(din_k(0.050), 0.0);
    assert_eq!(din_k(0.0), 0.0);
    assert!(din_k(5.011) < 1.0);
    assert_eq!(din_k(5.013), 1.0);
    // the standard steps to 1 at r/s = 5; the clamp stays within that step
    near(din_k(5.0), 1.0, 0.000_55);
}

/// X1: the book reads k = 0.7 off a curve and prints v = 5.77 and L "about 32". The formula is tested, and the book's
/// own v with its own k; its "32" is not reproduced by either.
#[test]
fn b3_x1_worked_example() {
    let bend = opening(5.0, 6.0, 60.0);
    near(allowance(&bend, &Rule::Din6935).unwrap().k_din, 0.6896, 0.5e-4);
    near(v_mm(&bend), 5.822_941, 1e-6);
    near(developed_mm(&[16.0, 21.0], &[bend], None, &Rule::Din6935), 31.177, 0.5e-3);
    let by_curve = Rule::NeutralLine { k_factor: 0.7 / 2.0 };
    near(deduction(&bend, &by_curve, LegsTo::Tangent).unwrap().deduction_mm, 5.768, 0.5e-3);
    near(developed_mm(&[16.0, 21.0], &[bend], None, &by_curve), 31.23, 0.5e-2);
}

#[test]
fn b4_b5_b6_deductions_at_ninety_degrees() {
    let rows = [
        (1.0, [(1.0, 1.919), (1.6, 2.096), (2.5, 2.406), (4.0, 2.970), (6.0, 3.790)].as_slice()),
        (0.9, &[(1.0, 1.754), (1.6, 1.939), (2.5, 2.257), (4.0, 2.828), (6.0, 3.668)]),
        (1.2, &[(1.0, 2.254), (1.6, 2.415), (2.5, 2.710)]),
    ];
    for (s, columns) in rows {
        for &(r, v) in columns {
            near(v_mm(&opening(s, r, 90.0)), v, 0.5e-3);
        }
    }
    near(v_mm(&opening(1.0, 1.0, 90.0)), 1.918_695, 1e-6);
    // the tables of the trade print one decimal (from memory)
    for (r, v) in [(1.0, 1.9), (1.6, 2.1), (2.5, 2.4), (4.0, 3.0), (6.0, 3.8)] {
        near(v_mm(&opening(1.0, r, 90.0)), v, 0.05);
    }
}

#[test]
fn b7_b8_deductions_over_the_opening_angle() {
    let printed = [
        (30.0, -0.0234),
        (45.0, 0.4589),
        (60.0, 0.9413),
        (75.0, 1.4236),
        (90.0, 1.9059),
        (105.0, 1.2715),
        (120.0, 0.8419),
        (135.0, 0.5412),
        (150.0, 0.3215),
        (165.0, 0.1496),
    ];
    for (beta, v) in printed {
        near(v_mm(&opening(0.9, 1.5, beta)), v, 0.5e-4);
    }
    near(allowance(&opening(0.9, 1.5, 90.0), &Rule::Din6935).unwrap().k_din, 0.760_92, 0.5e-5);
}

#[test]
fn b9_both_branches_meet_at_ninety_degrees_and_v_ends_at_fifteen() {
    let right = opening(0.9, 1.5, 90.0);
    let v = |legs_to| deduction(&right, &Rule::Din6935, legs_to).unwrap().deduction_mm;
    near(v(LegsTo::Corner), v(LegsTo::Tangent), 1e-12);
    assert_eq!(v_mm(&opening(0.9, 1.5, 165.001)), 0.0);
    assert_eq!(v_mm(&opening(0.9, 1.5, 180.0)), 0.0);
    near(v_mm(&opening(0.9, 1.5, 165.0)), 0.1496, 0.5e-4);
}

#[test]
fn b10_closed_bend_to_the_corner_or_to_the_tangent() {
    let bend = Bend { thickness_mm: 0.9, inside_radius_mm: 1.5, bend_angle_rad: 135f64.to_radians() };
    near(allowance(&bend, &Rule::Din6935).unwrap().setback_outer_mm.unwrap(), 5.7941, 0.5e-4);
    near(developed_mm(&[20.0, 30.0], &[bend], Some(LegsTo::Corner), &Rule::Din6935), 42.7529, 0.5e-4);
    // the same piece measured to the tangent: 16.606 and 26.606 are printed to 0.001 each
    near(developed_mm(&[16.606, 26.606], &[bend], None, &Rule::Din6935), 42.753, 0.5e-3 + 2.0 * 0.5e-3);
    near(developed_mm(&[20.0, 30.0], &[bend], Some(LegsTo::Corner), &Rule::AircraftEmpirical), 42.889, 0.5e-3);
    near(developed_mm(&[20.0, 30.0], &[bend], Some(LegsTo::Corner), &SOFT_STEEL), 42.808, 0.5e-3);
}

#[test]
fn b11_open_bend_by_three_rules() {
    let bend = Bend { thickness_mm: 0.9, inside_radius_mm: 1.5, bend_angle_rad: 45f64.to_radians() };
    near(allowance(&bend, &Rule::Din6935).unwrap().setback_outer_mm.unwrap(), 0.9941, 0.5e-4);
    near(developed_mm(&[20.0, 30.0], &[bend], None, &Rule::Din6935), 49.459, 0.5e-3);
    near(developed_mm(&[20.0, 30.0], &[bend], None, &Rule::AircraftEmpirical), 49.5042, 0.5e-4);
    near(developed_mm(&[20.0, 30.0], &[bend], None, &SOFT_STEEL), 49.477, 0.5e-3);
}

#[test]
fn b12_channel_by_three_rules_within_iso_2768_m() {
    let bends = [opening(0.9, 1.5, 90.0); 2];
    let by = |rule: &Rule| developed_mm(&[20.0, 40.0, 20.0], &bends, None, rule);
    near(by(&Rule::Din6935), 76.188, 0.5e-3);
    near(by(&SOFT_STEEL), 76.262, 0.5e-3);
    near(by(&Rule::AircraftEmpirical), 76.370, 0.5e-3);
    near(by(&Rule::AircraftEmpirical) - by(&Rule::Din6935), 0.18, 0.5e-2);
    assert!(by(&Rule::AircraftEmpirical) - by(&Rule::Din6935) < 0.3);
}

#[test]
fn b13_closed_hem() {
    let bend = opening(0.9, 0.5, 0.0);
    let figures = allowance(&bend, &Rule::Din6935).unwrap();
    near(figures.k_din, 0.5224, 0.5e-4);
    near(figures.allowance_mm, 2.309, 0.5e-3);
    near(figures.deduction_mm.unwrap(), 0.4907, 0.5e-4);
    assert_eq!(figures.setback_outer_mm, None);
}

/// B14, B15: from memory.
#[test]
fn b14_b15_smallest_radius_and_angle_limits() {
    for (s, r) in [(0.9, 1.0), (1.0, 1.0), (1.2, 1.6), (1.5, 1.6), (2.0, 2.5), (3.0, 3.0)] {
        near(min_radius::steel(s).unwrap().value, r, 1e-12);
    }
    for (leg, deg) in [(30.0, 2.0), (50.0, 1.75), (80.0, 1.5), (120.0, 1.25), (121.0, 1.0)] {
        near(handbook::tolerances::bend_angle_rad(leg).unwrap().value.to_degrees(), deg, 1e-12);
    }
}

/// X2: DIN's k works on half the thickness, so K = k/2; tables that give K 0.36 at r/s = 1 are another formula.
#[test]
fn x2_k_is_twice_the_neutral_line_factor() {
    for (ratio, k_din, k_factor) in [(1.0, 0.65, 0.325), (2.0, 0.8005, 0.400)] {
        let figures = allowance(&opening(1.0, ratio, 90.0), &Rule::Din6935).unwrap();
        near(figures.k_din, k_din, 0.5e-4);
        near(figures.k_factor, k_factor, 0.5e-3);
        let neutral =
            allowance(&opening(1.0, ratio, 90.0), &Rule::NeutralLine { k_factor: figures.k_din / 2.0 }).unwrap();
        near(neutral.allowance_mm, figures.allowance_mm, 1e-12);
    }
}

/// F11: open (teardrop) hem, π·(r + k·s/2).
#[test]
fn f11_open_hem() {
    let bend = Bend { thickness_mm: 0.9, inside_radius_mm: 1.5, bend_angle_rad: PI };
    near(allowance(&bend, &Rule::Din6935).unwrap().allowance_mm, 5.788, 0.5e-3);
}
