//! Strip over a crowned skin (S24): geometry. H3: common practice, no source; its limit is the strain of S24.

use crate::near::near;
use handbook::crown::{Crown, CrownLimits, strip};

fn strain(radii_mm: [f64; 2], half_width_mm: f64) -> (f64, Crown) {
    let figures = strip(2.0 * half_width_mm, radii_mm.map(|radius| 1.0 / radius), CrownLimits::default()).unwrap();
    (figures.strain, figures.crown)
}

#[test]
fn s24_edge_strain() {
    near(strain([1500.0, 600.0], 150.0).0, 0.012_50, 0.5e-5);
    near(strain([1500.0, 600.0], 100.0).0, 0.005_56, 0.5e-5);
    near(600.0 * strain([1500.0, 600.0], 150.0).0, 7.5, 0.05);
}

/// Independent route: the exact edge of a surface swept along R1 with an arc of R2 across. A point at arc length b from the
/// crest lies R2·(1 − cos(b/R2)) nearer to the sweep's axis, so its path is shorter by that over R1: 1.2435 % printed.
#[test]
fn s24_against_the_exact_sweep() {
    let (r1, r2, b) = (1500.0, 600.0, 150.0f64);
    let exact = r2 * (1.0 - (b / r2).cos()) / r1;
    near(exact, 0.012_435, 0.5e-6);
    near(strain([r1, r2], b).0, exact, 0.01 * exact);
}

#[test]
fn h3_the_computed_limit() {
    let low = strain([3000.0, 600.0], 50.0);
    near(low.0, 0.000_69, 0.5e-5);
    assert_eq!(low.1, Crown::SpringsToShape);
    let high = strain([3000.0, 600.0], 100.0);
    near(high.0, 0.002_78, 0.5e-5);
    assert_eq!(high.1, Crown::WheelOrShrink);
    assert_eq!(strain([1500.0, 600.0], 150.0).1, Crown::WantsASkin);
}
