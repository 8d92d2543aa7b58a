//! Forming limit of sheet: how far it may be stretched before it necks.
//!
//! FLD0, the limit in plane strain: (23.3 + 14.13·t)·n/0.21 per cent, engineering strain, t in mm up to about 3, n taken as at
//! most 0.21 (S30: Keeler & Brazier 1975, from memory; for low-carbon steel). In true strains the limit of ε1 is ln(1 + FLD0) − ε2 for
//! ε2 < 0 (constant thinning) and ln(1 + FLD0) for ε2 ≥ 0 (flat: on the safe side, no source). The margin under the curve at which
//! to warn: 10 points of FLD0 for steel, 8 for aluminium (S31, a practitioner's rule).
//! Does not hold for: sheet stretched before, bent sharply, welded, or aged; other metals than low-carbon steel have no source here: the
//! same formula is taken for them, and [`FormingLimit::source`] says that it is borrowed.

use crate::error::{RuleError, within};
use crate::materials::Material;
use crate::working::{Source, Working};
use serde::{Deserialize, Serialize};

/// Margin under FLD0 for steel, engineering strain (S31).
pub const STEEL_MARGIN: f64 = 0.10;
/// Margin under FLD0 for aluminium, engineering strain (S31).
pub const ALUMINIUM_MARGIN: f64 = 0.08;
/// Largest n that the formula takes (S30).
pub const LARGEST_EXPONENT: f64 = 0.21;

/// What the formula and its margin were found for, and what they are borrowed for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LimitMetal {
    /// Low-carbon steel, zinc-coated included: the formula's own.
    LowCarbonSteel,
    /// Stainless steel: formula borrowed, margin of steel.
    StainlessSteel,
    /// Aluminium: formula borrowed, margin of aluminium.
    Aluminium,
    /// A metal that the handbook does not know: formula borrowed, the larger of the two margins.
    Unknown,
}

impl From<Option<Material>> for LimitMetal {
    fn from(material: Option<Material>) -> Self {
        match material {
            None => Self::Unknown,
            Some(Material::Stainless18_8) => Self::StainlessSteel,
            Some(metal) if metal.is_steel() => Self::LowCarbonSteel,
            Some(_) => Self::Aluminium,
        }
    }
}

impl LimitMetal {
    /// Margin under FLD0, engineering strain (S31; for an unknown metal the larger).
    #[must_use]
    pub const fn margin(self) -> f64 {
        match self {
            Self::Aluminium => ALUMINIUM_MARGIN,
            Self::LowCarbonSteel | Self::StainlessSteel | Self::Unknown => STEEL_MARGIN,
        }
    }

    const fn source_of_fld0(self) -> Source {
        match self {
            Self::LowCarbonSteel => Source::text("Keeler & Brazier 1975, low-carbon steel (from memory)", "S30"),
            Self::StainlessSteel => {
                Source::common_practice("S30 is for low-carbon steel, borrowed here for stainless steel")
            }
            Self::Aluminium => Source::common_practice("S30 is for low-carbon steel, borrowed here for aluminium"),
            Self::Unknown => Source::common_practice("S30 is for low-carbon steel, borrowed here for a metal unknown"),
        }
    }
}

/// The forming limit of one sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FormingLimit {
    /// FLD0, engineering strain.
    pub fld0: f64,
    /// Margin under FLD0 at which to warn, engineering strain.
    pub margin: f64,
    /// What it was worked out for.
    pub metal: LimitMetal,
    /// The working of FLD0.
    pub working: Working,
}

/// Where a pair of strains lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Forming {
    /// Under the curve by more than the margin.
    Safe,
    /// Within the margin under the curve.
    Near,
    /// Beyond the curve.
    Beyond,
}

impl FormingLimit {
    /// Limit of a sheet of this thickness, hardening exponent n and metal.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`].
    pub fn new(thickness_mm: f64, hardening_exponent: f64, metal: LimitMetal) -> Result<Self, RuleError> {
        let t = within("thickness", thickness_mm, 0.2, 3.0, "mm")?;
        let n = within("hardening exponent", hardening_exponent, 0.01, 0.6, "")?.min(LARGEST_EXPONENT);
        let fld0 = (23.3 + 14.13 * t) / 100.0 * n / 0.21;
        let source = metal.source_of_fld0();
        let working =
            Working::new("forming limit in plane strain", 100.0 * fld0, "%", "(23.3 + 14.13·t)·n/0.21", source)
                .with("t", "thickness", t, "mm")
                .with("n", "hardening exponent, at most 0.21", n, "");
        Ok(Self { fld0, margin: metal.margin(), metal, working })
    }

    /// Where formula and margin are from, as a concern names it: the ids, or that the formula is borrowed.
    #[must_use]
    pub const fn source(&self) -> &'static str {
        match self.metal {
            LimitMetal::LowCarbonSteel => "S30, S31",
            LimitMetal::StainlessSteel => {
                "S30 is for low-carbon steel: no source for stainless steel; margin of steel S31"
            }
            LimitMetal::Aluminium => "S30 is for low-carbon steel: no source for aluminium; margin of aluminium S31",
            LimitMetal::Unknown => "S30 is for low-carbon steel: no source for this metal; the larger margin of S31",
        }
    }

    /// Largest true ε1 for a true ε2.
    #[must_use]
    pub fn major_limit(&self, minor: f64) -> f64 {
        self.fld0.ln_1p() - minor.min(0.0)
    }

    /// True ε1 at which to warn for a true ε2; 0 at the least.
    #[must_use]
    pub fn major_warning(&self, minor: f64) -> f64 {
        (self.fld0 - self.margin).max(0.0).ln_1p() - minor.min(0.0)
    }

    /// Where true strains ε1 ≥ ε2 lie.
    #[must_use]
    pub fn forming(&self, major: f64, minor: f64) -> Forming {
        if major <= self.major_warning(minor) {
            Forming::Safe
        } else if major <= self.major_limit(minor) {
            Forming::Near
        } else {
            Forming::Beyond
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Pure shear in the plane keeps the thickness: the left branch lets ε1 = −ε2 grow without end, as constant thinning must.
    #[test]
    fn the_left_branch_is_constant_thinning() {
        let limit = FormingLimit::new(0.9, 0.21, LimitMetal::LowCarbonSteel).unwrap();
        for minor in [-0.05, -0.1, -0.3] {
            let thinning = limit.major_limit(minor) + minor;
            assert!((thinning - limit.major_limit(0.0)).abs() < 1e-15);
        }
        assert_eq!(limit.major_limit(0.2), limit.major_limit(0.0));
        assert_eq!(limit.forming(0.1, 0.0), Forming::Safe);
        assert_eq!(limit.forming(0.28, 0.0), Forming::Near);
        assert_eq!(limit.forming(0.32, 0.0), Forming::Beyond);
    }

    #[test]
    fn what_the_formula_does_not_cover_is_refused() {
        assert!(FormingLimit::new(4.0, 0.2, LimitMetal::LowCarbonSteel).is_err());
        assert!(FormingLimit::new(0.9, f64::NAN, LimitMetal::LowCarbonSteel).is_err());
    }

    /// S30 is Keeler & Brazier for low-carbon steel and S31 names steel and aluminium: nothing else may be told as sourced.
    #[test]
    fn only_low_carbon_steel_is_told_as_sourced() {
        use crate::SourceKind;
        for material in Material::ALL {
            let metal = LimitMetal::from(Some(*material));
            let limit = FormingLimit::new(0.9, material.properties().hardening_exponent, metal).unwrap();
            let low_carbon = material.is_steel() && *material != Material::Stainless18_8;
            assert_eq!(limit.source() == "S30, S31", low_carbon, "{material:?}: {}", limit.source());
            assert_eq!(limit.working.source.kind == SourceKind::Text, low_carbon, "{material:?}");
            assert_eq!(limit.source().contains("no source"), !low_carbon, "{material:?}");
            assert_eq!(limit.margin, if material.is_steel() { 0.10 } else { 0.08 }, "{material:?}");
        }
        // what is not known is warned of early
        let unknown = FormingLimit::new(0.9, 0.2, None.into()).unwrap();
        assert!(unknown.margin >= STEEL_MARGIN && unknown.source().contains("this metal"), "{}", unknown.source());
    }
}
