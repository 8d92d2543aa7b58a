//! Machinery's Handbook, straight length of 90° bends: formulas from memory, numbers derived.

use crate::near::near;
use handbook::bend::{Bend, Rule, TradeMetal, allowance};
use std::f64::consts::FRAC_PI_2;

#[test]
fn b20_b21_b22_straight_length() {
    let rows = [
        (TradeMetal::SoftBrassCopper, 0.3501, 2.850, 0.1179),
        (TradeMetal::SoftSteelAluminium, 0.4074, 2.931, 0.1211),
        (TradeMetal::ColdRolledSteelBronze, 0.4520, 2.994, 0.1236),
    ];
    for (metal, implied_k, length_mm, length_inch) in rows {
        let rule = Rule::TradeStraightLength { metal };
        let bend = Bend { thickness_mm: 0.9, inside_radius_mm: 1.5, bend_angle_rad: FRAC_PI_2 };
        let figures = allowance(&bend, &rule).unwrap();
        near(figures.allowance_mm, length_mm, 0.5e-3);
        // the implied K is that of a sharp bend, where the rounding of π in 1.57·R plays no part
        let sharp = allowance(&Bend { inside_radius_mm: 0.0, ..bend }, &rule).unwrap();
        near(sharp.k_factor, implied_k, 0.5e-4);
        let inch = Bend { thickness_mm: 0.0359 * 25.4, inside_radius_mm: 0.0625 * 25.4, bend_angle_rad: FRAC_PI_2 };
        near(allowance(&inch, &rule).unwrap().allowance_mm / 25.4, length_inch, 0.5e-4);
        let half = Bend { bend_angle_rad: FRAC_PI_2 / 2.0, ..bend };
        near(allowance(&half, &rule).unwrap().allowance_mm, figures.allowance_mm / 2.0, 1e-12);
    }
}
