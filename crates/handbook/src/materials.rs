//! Sheet metals: density, stiffness, strength, hardening.
//!
//! Sources. Steels: EN 10130 as mill tables give it (S34; old names S35). K and n of DC04 and DC05 are chosen so that the
//! Hollomon strength K·(n/e)^n falls inside the standard's range (S32); DC01 and DC03 likewise, by this project. Aluminium
//! O temper: EN 485-2 (S37, from memory) with textbook K and n (S36, from memory). E and ν: S38. Density: G7.

use crate::springback::Elastic;
use crate::working::Source;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::SheetKind;

/// A sheet metal by its grade.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Material {
    /// Plain low-carbon steel of unknown grade: taken as DC01.
    #[default]
    MildSteel,
    /// EN 10130 DC01 (St12, CR4).
    Dc01,
    /// EN 10130 DC03 (St13, CR3, CR2).
    Dc03,
    /// EN 10130 DC04 (St14, CR2, CR1).
    Dc04,
    /// EN 10130 DC05 (St15).
    Dc05,
    /// EN 10130 DC06.
    Dc06,
    /// Zinc-coated steel of drawing quality.
    ZincCoatedSteel,
    /// Austenitic stainless steel of the 18-8 kind, annealed.
    Stainless18_8,
    /// Aluminium EN AW-1050A, annealed.
    Aluminium1050aO,
    /// Aluminium EN AW-1050A, half hard.
    Aluminium1050aH14,
    /// Aluminium EN AW-3003, annealed.
    Aluminium3003O,
    /// Aluminium EN AW-5251, annealed.
    Aluminium5251O,
}

/// What a metal is like.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Properties {
    /// Name as printed.
    pub name: &'static str,
    /// What a gauge number means with it.
    pub sheet: SheetKind,
    /// Density.
    pub density_kg_m3: f64,
    /// Young's modulus E.
    pub young_n_mm2: f64,
    /// Poisson's ratio ν.
    pub poisson: f64,
    /// Yield point used for springback: the middle of what the grade allows.
    pub yield_n_mm2: f64,
    /// Yield point, least and most that the grade allows.
    pub yield_range_n_mm2: [f64; 2],
    /// Tensile strength Rm, least and most.
    pub tensile_range_n_mm2: [f64; 2],
    /// Hollomon K in σ = K·εⁿ.
    pub strength_coefficient_n_mm2: f64,
    /// Hollomon n.
    pub hardening_exponent: f64,
    /// Where the values are from.
    pub source: Source,
}

impl Properties {
    /// The metal as springback sees it.
    pub const fn elastic(&self) -> Elastic {
        Elastic { yield_n_mm2: self.yield_n_mm2, young_n_mm2: self.young_n_mm2 }
    }
}

impl Material {
    /// Every material, steels first.
    pub const ALL: &'static [Self] = &[
        Self::MildSteel,
        Self::Dc01,
        Self::Dc03,
        Self::Dc04,
        Self::Dc05,
        Self::Dc06,
        Self::ZincCoatedSteel,
        Self::Stainless18_8,
        Self::Aluminium1050aO,
        Self::Aluminium1050aH14,
        Self::Aluminium3003O,
        Self::Aluminium5251O,
    ];

    /// The key under which files name it, as it is written and read.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::MildSteel => "mild_steel",
            Self::Dc01 => "dc01",
            Self::Dc03 => "dc03",
            Self::Dc04 => "dc04",
            Self::Dc05 => "dc05",
            Self::Dc06 => "dc06",
            Self::ZincCoatedSteel => "zinc_coated_steel",
            Self::Stainless18_8 => "stainless18_8",
            Self::Aluminium1050aO => "aluminium1050a_o",
            Self::Aluminium1050aH14 => "aluminium1050a_h14",
            Self::Aluminium3003O => "aluminium3003_o",
            Self::Aluminium5251O => "aluminium5251_o",
        }
    }

    /// Whether it is steel, coated or stainless included.
    pub const fn is_steel(self) -> bool {
        !matches!(self, Self::Aluminium1050aO | Self::Aluminium1050aH14 | Self::Aluminium3003O | Self::Aluminium5251O)
    }

    /// What the metal is like.
    pub fn properties(self) -> Properties {
        match self {
            Self::MildSteel => steel("mild steel (taken as DC01)", [140.0, 280.0], [270.0, 410.0], [530.0, 0.18]),
            Self::Dc01 => steel("DC01 (St12, CR4)", [140.0, 280.0], [270.0, 410.0], [530.0, 0.18]),
            Self::Dc03 => steel("DC03 (St13, CR2-3)", [140.0, 240.0], [270.0, 370.0], [540.0, 0.20]),
            Self::Dc04 => steel("DC04 (St14, CR1-2)", [140.0, 210.0], [270.0, 350.0], [550.0, 0.21]),
            Self::Dc05 => steel("DC05 (St15)", [140.0, 180.0], [270.0, 330.0], [530.0, 0.23]),
            Self::Dc06 => steel("DC06", [120.0, 170.0], [270.0, 330.0], [530.0, 0.26]),
            Self::ZincCoatedSteel => Properties {
                sheet: SheetKind::ZincCoated,
                ..steel("zinc-coated steel, drawing quality", [140.0, 260.0], [270.0, 380.0], [530.0, 0.18])
            },
            Self::Stainless18_8 => Properties {
                name: "stainless steel 18-8",
                sheet: SheetKind::Stainless,
                density_kg_m3: 7900.0,
                young_n_mm2: 200_000.0,
                poisson: 0.3,
                yield_n_mm2: 260.0,
                yield_range_n_mm2: [210.0, 310.0],
                tensile_range_n_mm2: [520.0, 750.0],
                strength_coefficient_n_mm2: 1275.0,
                hardening_exponent: 0.45,
                source: Source::text(
                    "Kalpakjian & Schmid table 2.3, type 304 annealed; strength EN 10088-2 (from memory)",
                    "S36",
                ),
            },
            Self::Aluminium1050aO => aluminium("aluminium 1050A-O", 2710.0, [20.0, 40.0], [65.0, 95.0], [145.0, 0.24]),
            Self::Aluminium1050aH14 => {
                aluminium("aluminium 1050A-H14", 2710.0, [85.0, 115.0], [105.0, 145.0], [150.0, 0.06])
            }
            Self::Aluminium3003O => aluminium("aluminium 3003-O", 2730.0, [35.0, 60.0], [95.0, 135.0], [190.0, 0.22]),
            Self::Aluminium5251O => aluminium("aluminium 5251-O", 2690.0, [60.0, 90.0], [160.0, 200.0], [320.0, 0.24]),
        }
    }
}

const fn steel(name: &'static str, yield_range: [f64; 2], tensile_range: [f64; 2], flow: [f64; 2]) -> Properties {
    let [low, high] = yield_range;
    let [strength_coefficient_n_mm2, hardening_exponent] = flow;
    Properties {
        name,
        sheet: SheetKind::Steel,
        density_kg_m3: 7850.0,
        young_n_mm2: 210_000.0,
        poisson: 0.3,
        yield_n_mm2: (low + high) / 2.0,
        yield_range_n_mm2: yield_range,
        tensile_range_n_mm2: tensile_range,
        strength_coefficient_n_mm2,
        hardening_exponent,
        source: Source::standard("EN 10130, mill tables of 1999 and 2006; hardening chosen to fit its strength", "S34"),
    }
}

const fn aluminium(
    name: &'static str,
    density_kg_m3: f64,
    yield_range: [f64; 2],
    tensile_range: [f64; 2],
    flow: [f64; 2],
) -> Properties {
    let [low, high] = yield_range;
    let [strength_coefficient_n_mm2, hardening_exponent] = flow;
    Properties {
        name,
        sheet: SheetKind::Aluminium,
        density_kg_m3,
        young_n_mm2: 70_000.0,
        poisson: 0.33,
        yield_n_mm2: (low + high) / 2.0,
        yield_range_n_mm2: yield_range,
        tensile_range_n_mm2: tensile_range,
        strength_coefficient_n_mm2,
        hardening_exponent,
        source: Source::standard("EN 485-2 (from memory); hardening chosen to fit its strength", "S37"),
    }
}

/// Engineering tensile strength that K and n mean: K·(n/e)ⁿ (S32).
pub fn hollomon_tensile_n_mm2(strength_coefficient_n_mm2: f64, hardening_exponent: f64) -> f64 {
    strength_coefficient_n_mm2 * (hardening_exponent / std::f64::consts::E).powf(hardening_exponent)
}

/// Flow stress at a true plastic strain: K·εⁿ (S33).
pub fn flow_stress_n_mm2(strength_coefficient_n_mm2: f64, hardening_exponent: f64, true_strain: f64) -> f64 {
    strength_coefficient_n_mm2 * true_strain.max(0.0).powf(hardening_exponent)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_is_what_a_file_has() {
        for material in Material::ALL {
            assert_eq!(serde_json::to_value(material).unwrap(), material.key());
        }
    }

    #[test]
    fn hardening_means_a_strength_inside_the_range_of_each_grade() {
        for material in Material::ALL {
            let p = material.properties();
            let tensile = hollomon_tensile_n_mm2(p.strength_coefficient_n_mm2, p.hardening_exponent);
            let [low, high] = p.tensile_range_n_mm2;
            assert!((low..=high).contains(&tensile), "{}: {tensile}", p.name);
        }
    }

    #[test]
    fn materials_are_written_by_name() {
        let json = serde_json::to_string(Material::ALL).unwrap();
        assert_eq!(serde_json::from_str::<Vec<Material>>(&json).unwrap(), Material::ALL);
    }
}
