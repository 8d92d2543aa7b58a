//! Bolts: F18 by FAA AC 43.13-1B section 4, F19 by ISO 273; both from memory.

use crate::near::near;
use handbook::holes::{Bolt, Fit, half_clearance, least_edge_distance, least_pitch};

#[test]
fn f18_edge_distance_and_pitch() {
    near(least_edge_distance(6.0).unwrap().value, 12.0, 1e-12);
    near(least_pitch(6.0).unwrap().value, 18.0, 1e-12);
}

#[test]
fn f19_clearance_holes() {
    for (bolt, row) in [
        (Bolt::M5, [5.3, 5.5, 5.8]),
        (Bolt::M6, [6.4, 6.6, 7.0]),
        (Bolt::M8, [8.4, 9.0, 10.0]),
        (Bolt::M10, [10.5, 11.0, 12.0]),
    ] {
        for (fit, printed) in [Fit::Fine, Fit::Medium, Fit::Coarse].into_iter().zip(row) {
            near(bolt.clearance_hole(fit).value, printed, 1e-12);
            near(
                half_clearance(printed, bolt.diameter_mm()).unwrap().value,
                (printed - bolt.diameter_mm()) / 2.0,
                1e-12,
            );
        }
    }
}
