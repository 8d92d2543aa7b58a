//! Overlap of a bonded lap from the strength of its adhesive.
//!
//! Model: the mean shear stress over the lap stays under the strength divided by a factor. Shear really peaks at both ends of
//! the lap, so more overlap adds less and less; the factor covers that for laps up to about thirty thicknesses.
//! Does not hold for peeling loads, which a bonded lap must not be given.

use crate::error::{RuleError, thickness, within};
use crate::working::{Source, Working};
use serde::Serialize;

/// An adhesive for sheet metal. Its own data sheet decides; these values are from memory.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Adhesive {
    /// Kind.
    pub name: &'static str,
    /// Lap-shear strength on abraded steel at room temperature.
    pub shear_n_mm2: f64,
    /// Thickness of the bond line, least and most.
    pub bond_line_mm: [f64; 2],
    /// Clamped until it can be handled, at about 20 °C, least and most.
    pub clamp_h: [f64; 2],
}

/// Two-part toughened epoxy, the usual one for body sheet (from memory; the data sheet decides).
pub const TOUGHENED_EPOXY: Adhesive =
    Adhesive { name: "two-part toughened epoxy", shear_n_mm2: 15.0, bond_line_mm: [0.1, 0.3], clamp_h: [6.0, 24.0] };

/// Strength over working stress that a bonded lap is given where nothing else is said.
pub const BOND_FACTOR: f64 = 2.0;

/// Mean yield point of plain body steel, to which a lap is made as strong as the sheet.
pub const PLAIN_STEEL_YIELD_N_MM2: f64 = 210.0;

/// What a bonded lap has to carry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BondLoad {
    /// So much along the sheet, for each mm of seam.
    PerLength {
        /// N per mm.
        n_mm: f64,
    },
    /// As much as the thinner sheet before it yields.
    SheetYield {
        /// Thickness.
        thickness_mm: f64,
        /// Yield point.
        yield_n_mm2: f64,
    },
}

/// Overlap, in mm: `N·f/τ`, where N is the load per mm of seam (for the sheet's yield `Y·t`), f the factor, τ the strength.
///
/// # Errors
/// [`RuleError::OutOfRange`] names the first input outside its range.
///
/// # Source
/// Mean shear over the lap (geometry); τ is from memory and gives way to the adhesive's own data sheet.
pub fn bond_overlap(load: BondLoad, adhesive: Adhesive, factor: f64) -> Result<Working, RuleError> {
    let strength = within("shear strength of the adhesive", adhesive.shear_n_mm2, 0.5, 60.0, "N/mm²")?;
    let factor = within("factor of a bonded lap", factor, 1.0, 20.0, "")?;
    let (per_mm, formula) = match load {
        BondLoad::PerLength { n_mm } => (within("load per mm of seam", n_mm, 0.0, 5000.0, "N/mm")?, "N·f/τ"),
        BondLoad::SheetYield { thickness_mm, yield_n_mm2 } => {
            let t = thickness(thickness_mm)?;
            (t * within("yield point", yield_n_mm2, 10.0, 1000.0, "N/mm²")?, "Y·t·f/τ")
        }
    };
    let source = Source::text("mean shear over the lap; strength from memory, the adhesive's data sheet decides", "");
    let working = Working::new("overlap that the adhesive needs", per_mm * factor / strength, "mm", formula, source)
        .with("f", "factor", factor, "")
        .with("τ", "shear strength of the adhesive", strength, "N/mm²");
    Ok(match load {
        BondLoad::PerLength { .. } => working.with("N", "load per mm of seam", per_mm, "N/mm"),
        BondLoad::SheetYield { thickness_mm, yield_n_mm2 } => working
            .with("Y", "yield point of the sheet", yield_n_mm2, "N/mm²")
            .with("t", "thinner sheet", thickness_mm, "mm"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 210·0.9·2/15 = 25.2 mm; 100 N/mm with factor 3 on 15 N/mm² is 20 mm.
    #[test]
    fn overlap_by_hand() {
        let yields = BondLoad::SheetYield { thickness_mm: 0.9, yield_n_mm2: PLAIN_STEEL_YIELD_N_MM2 };
        let overlap = |load, factor| bond_overlap(load, TOUGHENED_EPOXY, factor).unwrap().value;
        assert!((overlap(yields, 2.0) - 25.2).abs() < 1e-12);
        assert!((overlap(BondLoad::PerLength { n_mm: 100.0 }, 3.0) - 20.0).abs() < 1e-12);
    }

    #[test]
    fn what_cannot_be_is_refused_by_name() {
        for (load, factor, name) in [
            (BondLoad::PerLength { n_mm: f64::NAN }, 2.0, "load"),
            (BondLoad::PerLength { n_mm: 10.0 }, 0.5, "factor"),
            (BondLoad::SheetYield { thickness_mm: 0.0, yield_n_mm2: 210.0 }, 2.0, "thickness"),
            (BondLoad::SheetYield { thickness_mm: 0.9, yield_n_mm2: f64::INFINITY }, 2.0, "yield"),
        ] {
            let message = bond_overlap(load, TOUGHENED_EPOXY, factor).unwrap_err().to_string();
            assert!(message.contains(name), "{message}");
        }
    }
}
