//! Rolled tubes: geometry.

use crate::near::near;
use handbook::bend::{Bend, Rule, allowance};
use std::f64::consts::TAU;

/// D1: girth of a cylinder of 100 mm outside in 0.9 mm sheet, neutral line in the middle: π·(D − t); along the outside and the inside for comparison.
#[test]
fn d1_cylinder_girth() {
    let tube = Bend { thickness_mm: 0.9, inside_radius_mm: 49.1, bend_angle_rad: TAU };
    let girth_mm = |k_factor| allowance(&tube, &Rule::NeutralLine { k_factor }).unwrap().allowance_mm;
    near(girth_mm(0.5), 311.332, 0.5e-3);
    near(girth_mm(0.0), 308.504, 0.5e-3);
    // the outside lies as far beyond the middle as the inside lies within it
    near(2.0 * girth_mm(0.5) - girth_mm(0.0), 314.159, 0.5e-3);
    // DIN's k is 1 for so wide a radius: the same middle line
    near(allowance(&tube, &Rule::Din6935).unwrap().allowance_mm, 311.332, 0.5e-3);
}
