//! Aluminum Design Manual, table 3-1 (January 2005, VII-78): text reprint seen, columns re-assembled from running text.

use crate::near::near;
use handbook::min_radius::AluminiumTemper::{A1100H14, A1100O, A3003H14, A3003O, A5052H32, A5052H34, A5052O};
use handbook::min_radius::aluminium;

#[test]
fn b39_smallest_radius_over_thickness() {
    let columns_mm = [25.4 / 64.0, 25.4 / 32.0, 25.4 / 16.0, 25.4 / 8.0];
    for (temper, row) in [
        (A1100O, [0.0, 0.0, 0.0, 0.0]),
        (A1100H14, [0.0, 0.0, 0.0, 1.0]),
        (A3003O, [0.0, 0.0, 0.0, 0.0]),
        (A3003H14, [0.0, 0.0, 0.0, 1.0]),
        (A5052O, [0.0, 0.0, 0.0, 0.5]),
        (A5052H32, [0.0, 0.0, 1.0, 1.5]),
        (A5052H34, [0.0, 1.0, 1.5, 2.0]),
    ] {
        for (t, times) in columns_mm.into_iter().zip(row) {
            near(aluminium(temper, t).unwrap().value, times * t, 1e-12);
        }
    }
    // 0.9 mm takes the next thicker column, 1/16 in
    near(aluminium(A3003H14, 0.9).unwrap().value, 0.0, 1e-12);
    near(aluminium(A5052H34, 0.9).unwrap().value, 1.5 * 0.9, 1e-12);
}
