//! What a metal is like to heat.
//!
//! One value for all temperatures, as the closed forms W8 to W13 want it. A metal that is not here has no figures: never those
//! of steel.

use crate::materials::Material;
use crate::working::Source;
use serde::Serialize;

/// Coefficient of the peak temperature beside a seam in thin plate: √(2πe) = 4.1327, printed as 4.13 (W8).
pub const PEAK_COEFFICIENT: f64 = 4.13;
/// Below this τ a plate is thin (W10).
pub const THIN_BELOW: f64 = 0.6;
/// Above this τ a plate is thick (W10).
pub const THICK_FROM: f64 = 0.9;

/// Thermal constants of a metal.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Thermal {
    /// Metal as printed.
    pub name: &'static str,
    /// Conductivity k.
    pub conductivity_w_mm_k: f64,
    /// Heat capacity of a volume, ρc.
    pub heat_capacity_j_mm3_k: f64,
    /// Heat that melts a volume of cold metal, the heat of fusion with it: what a plug takes, not what a seam spreads.
    /// M. P. Groover, Fundamentals of Modern Manufacturing, physics of welding, unit energy for melting K·Tm² with K = 3.33e-6 J/(mm³·K²) (from memory).
    pub melting_energy_j_mm3: f64,
    /// Temperature at which it is molten (liquidus).
    pub melting_c: f64,
    /// Peak temperature from which the structure or the temper changes beside the weld.
    pub affected_from_c: f64,
    /// Linear expansion α.
    pub expansion_per_k: f64,
    /// Where the values are from.
    pub source: Source,
}

impl Thermal {
    /// Diffusivity a = k/ρc, mm²/s.
    pub const fn diffusivity_mm2_s(&self) -> f64 {
        self.conductivity_w_mm_k / self.heat_capacity_j_mm3_k
    }
}

const STEEL: Thermal = Thermal {
    name: "steel",
    conductivity_w_mm_k: 0.028,
    heat_capacity_j_mm3_k: 0.0044,
    melting_energy_j_mm3: 10.3,
    melting_c: 1510.0,
    affected_from_c: 730.0, // the example of W8
    expansion_per_k: 12e-6,
    source: Source::text(
        "AWS Welding Handbook vol. 1, worked examples: means over the range of welding (from memory)",
        "W8",
    ),
};

const fn aluminium(name: &'static str, conductivity_w_mm_k: f64, melting_c: f64) -> Thermal {
    Thermal {
        name,
        conductivity_w_mm_k,
        heat_capacity_j_mm3_k: 0.0027,
        melting_energy_j_mm3: 2.9,
        melting_c,
        affected_from_c: 250.0, // a half-hard temper softens; from memory
        expansion_per_k: 24e-6,
        source: Source::text("textbook means of wrought aluminium, 20 °C to melting (from memory)", ""),
    }
}

/// Thermal constants of a material; none for stainless steel, which conducts half as well as mild steel, expands half as much
/// again and has not been read here.
pub fn thermal(material: Material) -> Option<Thermal> {
    match material {
        Material::MildSteel
        | Material::Dc01
        | Material::Dc03
        | Material::Dc04
        | Material::Dc05
        | Material::Dc06
        | Material::ZincCoatedSteel => Some(STEEL),
        Material::Aluminium1050aO | Material::Aluminium1050aH14 => Some(aluminium("aluminium 1050A", 0.222, 657.0)),
        Material::Aluminium3003O => Some(aluminium("aluminium 3003", 0.180, 655.0)),
        Material::Aluminium5251O => Some(aluminium("aluminium 5251", 0.155, 650.0)),
        Material::Stainless18_8 => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against another way to the same heat: warming to the melting point at the mean specific heat and the heat of fusion (handbooks of
    /// physics, from memory): steel 7.85e-3 g/mm³, 0.69 J/(g·K) from 20 °C to 1510 °C, 247 J/g; aluminium 2.70e-3, 1.03, 397. Within 10 %.
    #[test]
    fn what_melts_a_volume_is_warming_and_fusion() {
        let steel = thermal(Material::MildSteel).unwrap();
        let sum = 7.85e-3 * (0.69 * (steel.melting_c - 20.0) + 247.0);
        assert!((steel.melting_energy_j_mm3 / sum - 1.0).abs() < 0.1, "{sum}");
        let aluminium = thermal(Material::Aluminium1050aO).unwrap();
        let sum = 2.70e-3 * (1.03 * (aluminium.melting_c - 20.0) + 397.0);
        assert!((aluminium.melting_energy_j_mm3 / sum - 1.0).abs() < 0.1, "{sum}");
        for metal in [steel, aluminium] {
            let warming = metal.heat_capacity_j_mm3_k * (metal.melting_c - 20.0);
            assert!(metal.melting_energy_j_mm3 > 1.1 * warming, "{}", metal.name);
        }
    }

    #[test]
    fn steels_share_one_row_aluminium_has_its_own_and_stainless_none() {
        for &material in Material::ALL {
            let name = thermal(material).map(|thermal| thermal.name);
            match material {
                Material::Stainless18_8 => assert_eq!(name, None),
                _ if material.is_steel() => assert_eq!(name, Some("steel")),
                _ => assert!(name.is_some_and(|name| name.starts_with("aluminium"))),
            }
        }
    }
}
