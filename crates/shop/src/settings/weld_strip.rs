//! The test strip of the shop's welder: what its own shrinkage is, against the published rules.

use handbook::materials::Material;
use serde::{Deserialize, Serialize};
use weld::metal::WeldMetal;
use weld::shrinkage::{Reading, ShopFactors, ShrinkageError, TestStrip};

/// A strip that was welded and measured, as typed in ([`weld::shrinkage::HOW_TO_WELD_A_TEST_STRIP`]).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WeldStrip {
    /// Sheet that was welded.
    pub material: Material,
    /// Width of the whole strip.
    pub width_mm: f64,
    /// Between the marks along the seam, before.
    pub length_mm: f64,
    /// Thickness.
    pub thickness_mm: f64,
    /// Net heat input of the settings used.
    pub net_j_mm: f64,
    /// Width of the bead.
    pub fused_width_mm: f64,
    /// How much shorter the length became.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shortening_mm: Option<f64>,
    /// How much nearer the marks across the seam came.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub width_loss_mm: Option<f64>,
    /// ± of both readings.
    pub reach_mm: f64,
}

impl WeldStrip {
    /// Factors on the published shrinkage.
    ///
    /// # Errors
    /// [`ShrinkageError`]: a metal that is not computed, a reading beyond belief, nothing measured.
    pub fn factors(&self) -> Result<ShopFactors, ShrinkageError> {
        let metal = self.metal()?;
        let reading = |value_mm| Reading { value_mm, reach_mm: self.reach_mm };
        let strip = TestStrip {
            width_mm: self.width_mm,
            length_mm: self.length_mm,
            thickness_mm: self.thickness_mm,
            net_j_mm: self.net_j_mm,
            fused_width_mm: self.fused_width_mm,
            gap_mm: 0.0,
            seam_from_middle_mm: 0.0,
            shortening: self.shortening_mm.map(reading),
            bow: None,
            width_loss: self.width_loss_mm.map(reading),
        };
        strip.factors(&metal).map(|(factors, _)| factors)
    }

    fn metal(&self) -> Result<WeldMetal, ShrinkageError> {
        WeldMetal::of(self.material).map_err(|error| ShrinkageError::Strip {
            what: error.to_string(),
            need: "weld a strip of steel or aluminium".into(),
        })
    }

    /// Factors for another metal: those of the strip when it is of the same kind, else none (the published spread stands).
    #[must_use]
    pub fn factors_for(&self, metal: &WeldMetal) -> ShopFactors {
        let same = self.metal().is_ok_and(|own| own.kind == metal.kind);
        if same { self.factors().unwrap_or_default() } else { ShopFactors::default() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// W24 and W25: 100 J/mm on a panel 300 × 0.9 shorten 500 mm by 0.176 mm; a strip that did just that has the factor 1.
    #[test]
    fn a_strip_that_shrinks_by_the_rule_has_the_factor_one() {
        let strip = WeldStrip {
            material: Material::MildSteel,
            width_mm: 300.0,
            length_mm: 500.0,
            thickness_mm: 0.9,
            net_j_mm: 100.0,
            fused_width_mm: 6.0,
            shortening_mm: Some(0.176),
            width_loss_mm: None,
            reach_mm: 0.02,
        };
        let force = strip.factors().unwrap().force.unwrap();
        assert!((force.value - 1.0).abs() < 0.06, "{force:?}");
        // with a rule it says less than the published ± 30 %
        let coarse = WeldStrip { reach_mm: 0.1, ..strip.clone() };
        assert!(coarse.factors().unwrap_err().to_string().contains("calliper"));
        let nothing = WeldStrip { shortening_mm: None, ..strip.clone() };
        assert!(nothing.factors().unwrap_err().to_string().contains("nothing was measured"));
        let aluminium = WeldMetal::of(Material::Aluminium3003O).unwrap();
        assert_eq!(strip.factors_for(&aluminium), ShopFactors::default());
    }
}
