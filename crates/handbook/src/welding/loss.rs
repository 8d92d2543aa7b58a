//! Heat that a hot sheet loses to the air and by radiation.

use crate::error::{RuleError, within};
use crate::working::{Source, Working};
use serde::{Deserialize, Serialize};

/// Stefan–Boltzmann constant, W/(mm²·K⁴): 5.670374419e-8 W/(m²·K⁴), exact in the SI of 2019.
pub const STEFAN_BOLTZMANN_W_MM2_K4: f64 = 5.670_374_419e-14;

const KELVIN: f64 = 273.15;

/// Loss of one face.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SurfaceLoss {
    /// Heat transfer to still air.
    pub convection_w_m2_k: f64,
    /// Emissivity: 0.8 oxidised or painted steel, 0.3 bright steel, 0.1 bright aluminium.
    pub emissivity: f64,
    /// Surface temperature at which the radiation is taken in proportion to the difference from the air.
    pub radiating_at_c: f64,
}

impl Default for SurfaceLoss {
    /// A coated sheet in still air ([`SheetSurface::Coated`]): textbook values from memory; a setting.
    fn default() -> Self {
        Self::of(SheetSurface::Coated)
    }
}

/// What the faces of a sheet look like, for the heat that they radiate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SheetSurface {
    /// Painted, primed or rusty.
    Coated,
    /// Steel stripped or ground bright, as beside a weld; zinc counts with it.
    BrightSteel,
    /// Aluminium brushed bright.
    BrightAluminium,
}

impl SheetSurface {
    /// Emissivity: textbook values from memory.
    #[must_use]
    pub const fn emissivity(self) -> f64 {
        match self {
            Self::Coated => 0.8,
            Self::BrightSteel => 0.3,
            Self::BrightAluminium => 0.1,
        }
    }

    /// Name as printed.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Coated => "painted, primed or rusty",
            Self::BrightSteel => "bright bare steel",
            Self::BrightAluminium => "bright bare aluminium",
        }
    }
}

impl SurfaceLoss {
    /// Loss of one face of such a surface in still air of 10 W/(m²·K), radiation as at 200 °C.
    #[must_use]
    pub const fn of(surface: SheetSurface) -> Self {
        Self { convection_w_m2_k: 10.0, emissivity: surface.emissivity(), radiating_at_c: 200.0 }
    }

    /// No loss at all, as the closed forms have it.
    pub const NONE: Self = Self { convection_w_m2_k: 0.0, emissivity: 0.0, radiating_at_c: 200.0 };

    /// Loss of one face, W/(mm²·K): convection and ε·σ·(T² + Ta²)·(T + Ta), the secant of the radiation law.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`].
    pub fn of_one_face(&self, air_c: f64) -> Result<Working, RuleError> {
        let convection = within("convection to air", self.convection_w_m2_k, 0.0, 1000.0, "W/(m²·K)")?;
        let emissivity = within("emissivity", self.emissivity, 0.0, 1.0, "")?;
        let hot = within("temperature of radiation", self.radiating_at_c, -50.0, 2000.0, "°C")? + KELVIN;
        let air = within("temperature of the air", air_c, -50.0, 100.0, "°C")? + KELVIN;
        let radiation = emissivity * STEFAN_BOLTZMANN_W_MM2_K4 * (hot * hot + air * air) * (hot + air);
        let source = Source::text("Stefan–Boltzmann law; still air and emissivity as in textbooks (from memory)", "");
        Ok(Working::new(
            "heat loss of one face",
            1e-6 * convection + radiation,
            "W/(mm²·K)",
            "h + ε·σ·(T² + Ta²)·(T + Ta), temperatures in K",
            source,
        )
        .with("h", "convection", convection, "W/(m²·K)")
        .with("ε", "emissivity", emissivity, "")
        .with("T", "temperature of radiation", self.radiating_at_c, "°C")
        .with("Ta", "air", air_c, "°C"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 0.8·5.670374e-8·(473.15⁴ − 293.15⁴)/180 + 10 = 20.77 W/(m²·K), worked by hand from the fourth powers.
    #[test]
    fn radiation_is_the_secant_of_the_fourth_power() {
        let got = SurfaceLoss::default().of_one_face(20.0).unwrap().value;
        let secant = 0.8 * 5.670_374_419e-8 * (473.15f64.powi(4) - 293.15f64.powi(4)) / 180.0;
        assert!((1e6 * got - 10.0 - secant).abs() < 1e-9, "{got}");
        assert!((1e6 * got - 20.77).abs() < 0.01, "{got}");
        // bright metal radiates less: 10 + 0.3/0.8 of the painted sheet's radiation
        let bright = SurfaceLoss::of(SheetSurface::BrightSteel).of_one_face(20.0).unwrap().value;
        assert!((1e6 * bright - 10.0 - 0.375 * secant).abs() < 1e-9, "{bright}");
        assert_eq!(SurfaceLoss::NONE.of_one_face(20.0).unwrap().value, 0.0);
        assert!(SurfaceLoss { emissivity: f64::NAN, ..SurfaceLoss::default() }.of_one_face(20.0).is_err());
    }
}
