//! Crown: how much a strip that curves both ways must stretch or gather at its edges, and what that means for making it.
//!
//! Model: over a strip of half-width b with principal radii R1 and R2 the edge differs from the middle line by
//! b²/(2·R1·R2) (handbook S24, good to about 1 % of itself while b is small against both radii).
//! Below 0.1 % (yield strain of mild steel, W30) a folded and rolled strip springs to shape; above it is wheeled or
//! shrunk; above 1 % it wants a wheeled skin.

use crate::error::{RuleError, positive_size, size, within};
use crate::working::{Source, Working};
use serde::{Deserialize, Serialize};

/// Strain up to which a strip springs to shape.
pub const SPRINGS_TO_SHAPE: f64 = 0.001;
/// Strain from which the strip wants a wheeled skin.
pub const WANTS_A_SKIN: f64 = 0.01;

/// What the crown of a strip means for making it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Crown {
    /// Fold and roll: the rest springs to shape.
    SpringsToShape,
    /// One pass more: wheel the middle or shrink the edges.
    WheelOrShrink,
    /// Beyond a strip: make it as a wheeled skin, or cut lower.
    WantsASkin,
}

/// Edge strain of a crowned strip and its meaning.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CrownFigures {
    /// Strain between edge and middle line, without sign.
    pub strain: f64,
    /// What it means.
    pub crown: Crown,
    /// Highest strip that would still do without a skin; none when the sheet is single curved.
    pub highest_strip_mm: Option<f64>,
    /// The working of the strain.
    pub working: Working,
}

/// Crown of a strip `height_mm` wide over a skin of principal curvatures `curvatures_per_mm` (1/R1, 1/R2; 0 is straight,
/// signs may differ), graded by the shop's two limits.
///
/// # Errors
/// [`RuleError::OutOfRange`]; [`RuleError::DoesNotFit`] when the limits are not in order.
pub fn strip(height_mm: f64, curvatures_per_mm: [f64; 2], limits: CrownLimits) -> Result<CrownFigures, RuleError> {
    let height = positive_size("strip height", height_mm)?;
    limits.check()?;
    let [k1, k2] = curvatures_per_mm;
    let k1 = within("curvature along", k1, -1.0, 1.0, "1/mm")?;
    let k2 = within("curvature across", k2, -1.0, 1.0, "1/mm")?;
    let b = height / 2.0;
    let strain = (b * b * k1 * k2 / 2.0).abs();
    let working = Working::new("strain of crown", strain, "", "b²/(2·R1·R2)", Source::geometry("S24"))
        .with("b", "half the height", b, "mm")
        .with("1/R1", "curvature along", k1, "1/mm")
        .with("1/R2", "curvature across", k2, "1/mm");
    Ok(CrownFigures {
        strain,
        crown: limits.grade(strain),
        highest_strip_mm: highest(k1 * k2, limits.wants_a_skin),
        working,
    })
}

/// Highest strip over principal radii R1 and R2 whose strain stays at `strain`: 2·√(2·R1·R2·e).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn highest_strip_mm(radii_mm: [f64; 2], strain: f64) -> Result<f64, RuleError> {
    let [r1, r2] = radii_mm;
    let product = positive_size("radius along", r1)? * positive_size("radius across", r2)?;
    let e = within("strain", strain, 0.0, 1.0, "")?;
    size("strip height", 2.0 * (2.0 * product * e).sqrt())
}

fn highest(gauss_curvature: f64, strain: f64) -> Option<f64> {
    const AS_GOOD_AS_SINGLE: f64 = 1e-12;
    (gauss_curvature.abs() > AS_GOOD_AS_SINGLE).then(|| 2.0 * (2.0 * strain / gauss_curvature.abs()).sqrt())
}

/// The shop's limits between the three grades.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CrownLimits {
    /// Up to this strain a strip springs to shape.
    pub springs_to_shape: f64,
    /// From this strain on it wants a skin.
    pub wants_a_skin: f64,
}

impl Default for CrownLimits {
    fn default() -> Self {
        Self { springs_to_shape: SPRINGS_TO_SHAPE, wants_a_skin: WANTS_A_SKIN }
    }
}

impl CrownLimits {
    /// Grade of a strain, which is taken without its sign.
    pub fn grade(self, strain: f64) -> Crown {
        match strain.abs() {
            e if e <= self.springs_to_shape => Crown::SpringsToShape,
            e if e <= self.wants_a_skin => Crown::WheelOrShrink,
            _ => Crown::WantsASkin,
        }
    }

    fn check(self) -> Result<(), RuleError> {
        within("strain that springs to shape", self.springs_to_shape, 0.0, 0.01, "")?;
        within("strain that wants a skin", self.wants_a_skin, self.springs_to_shape, 0.1, "").map(|_| ())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_single_curved_strip_has_no_limit() {
        let figures = strip(200.0, [1.0 / 600.0, 0.0], CrownLimits::default()).unwrap();
        assert_eq!((figures.strain, figures.crown, figures.highest_strip_mm), (0.0, Crown::SpringsToShape, None));
    }

    #[test]
    fn the_highest_strip_has_the_limiting_strain() {
        let highest =
            strip(100.0, [1.0 / 3000.0, -1.0 / 600.0], CrownLimits::default()).unwrap().highest_strip_mm.unwrap();
        let at_limit = strip(highest, [1.0 / 3000.0, -1.0 / 600.0], CrownLimits::default()).unwrap();
        assert!((at_limit.strain - WANTS_A_SKIN).abs() < 1e-12);
        assert!((highest_strip_mm([3000.0, 600.0], WANTS_A_SKIN).unwrap() - highest).abs() < 1e-9);
    }

    #[test]
    fn nonsense_is_refused() {
        assert!(strip(f64::NAN, [0.001, 0.001], CrownLimits::default()).is_err());
        assert!(strip(100.0, [f64::NAN, 0.001], CrownLimits::default()).is_err());
        assert!(strip(100.0, [0.001, 0.001], CrownLimits { springs_to_shape: 0.009, wants_a_skin: 0.001 }).is_err());
    }
}
