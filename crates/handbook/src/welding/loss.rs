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
    /// Still air 10 W/(m²·K), emissivity 0.8, radiation as at 200 °C: textbook values from memory; a setting.
    fn default() -> Self {
        Self { convection_w_m2_k: 10.0, emissivity: 0.8, radiating_at_c: 200.0 }
    }
}

impl SurfaceLoss {
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
        let source = Source::text("Stefan–Boltzmann law; still air 10 W/(m²·K), emissivity 0.8 (from memory)", "");
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
        assert_eq!(SurfaceLoss::NONE.of_one_face(20.0).unwrap().value, 0.0);
        assert!(SurfaceLoss { emissivity: f64::NAN, ..SurfaceLoss::default() }.of_one_face(20.0).is_err());
    }
}
