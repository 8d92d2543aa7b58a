//! Relief hole where two bends meet in a corner, so that the corner does not tear.
//!
//! Source: FAA-H-8083-31 chapter 4, folding a box. The text gives two rules for the diameter, about twice the bend
//! radius and the bend radius itself (handbook F1, F2); the larger is used. Its least diameters stand for sheet up to
//! 0.064 in and from 0.072 to 0.128 in; between the two the larger is used. A reprint shows "3/160-inch" for the
//! second, a typing error for 3/16 in (handbook X5).

use crate::error::{RuleError, size, within};
use crate::working::{Source, Working};
use serde::{Deserialize, Serialize};

/// A relief hole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ReliefHole {
    /// Diameter.
    pub diameter_mm: f64,
    /// How far the hole reaches beyond the inside bend tangent lines, least and most; its centre stands on their
    /// intersection.
    pub beyond_tangent_mm: [f64; 2],
    /// The working of the diameter.
    pub working: Working,
}

/// Largest sheet of the first row, 0.064 in.
const THIN_SHEET_MM: f64 = 0.064 * 25.4;
/// Largest sheet of the table, 0.128 in.
const THICKEST_MM: f64 = 0.128 * 25.4;

/// Relief hole for a corner with this inside bend radius.
///
/// # Errors
/// [`RuleError::OutOfRange`] beyond 0.128 in (3.25 mm) of sheet.
pub fn relief_hole(thickness_mm: f64, inside_radius_mm: f64) -> Result<ReliefHole, RuleError> {
    let t = within("thickness", thickness_mm, 0.1, THICKEST_MM, "mm")?;
    let r = size("inside radius", inside_radius_mm)?;
    let least_mm = if t <= THIN_SHEET_MM { 3.2 } else { 4.8 };
    let diameter_mm = (2.0 * r).max(least_mm);
    let source = Source::text("FAA-H-8083-31 ch. 4, folding a box, relief holes", "F1-F3");
    let working =
        Working::new("relief hole diameter", diameter_mm, "mm", "the larger of 2·R and the least diameter", source)
            .with("R", "inside radius", r, "mm")
            .with("least", "least diameter for this sheet", least_mm, "mm")
            .with("t", "thickness", t, "mm");
    Ok(ReliefHole { diameter_mm, beyond_tangent_mm: [0.8, 1.6], working })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heavier_sheet_takes_the_larger_least_hole() {
        assert_eq!(relief_hole(2.0, 1.0).unwrap().diameter_mm, 4.8);
        assert_eq!(relief_hole(1.7, 1.0).unwrap().diameter_mm, 4.8);
        assert_eq!(relief_hole(0.9, 4.0).unwrap().diameter_mm, 8.0);
        assert!(relief_hole(4.0, 1.0).is_err());
    }
}
