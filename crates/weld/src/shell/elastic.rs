//! Elastic law of a sheet in its own plane.

use super::Sheet;
use crate::error::WeldError;

impl Sheet {
    /// Refuses what is no sheet.
    ///
    /// # Errors
    /// [`WeldError::OutOfRange`] names the first number outside its range; NaN never passes.
    pub fn validate(&self) -> Result<(), WeldError> {
        let positive = |value: f64| value > 0.0 && value.is_finite();
        let faults = [
            (positive(self.thickness_mm), "thickness in mm", self.thickness_mm, "it must be above 0"),
            (positive(self.young_n_mm2), "modulus of elasticity in N/mm²", self.young_n_mm2, "it must be above 0"),
            (
                self.poisson > -1.0 && self.poisson < 0.5,
                "Poisson's ratio",
                self.poisson,
                "it must lie between −1 and 0.5",
            ),
        ];
        match faults.into_iter().find(|fault| !fault.0) {
            Some((_, name, got, need)) => Err(WeldError::OutOfRange { name, got, need }),
            None => Ok(()),
        }
    }

    /// Plane stress: stresses (x, y, shear), N/mm², of strains (x, y, engineering shear).
    #[must_use]
    pub fn stress_n_mm2(&self, strain: [f64; 3]) -> [f64; 3] {
        plane_stress(self.young_n_mm2 / (1.0 - self.poisson * self.poisson), self.poisson, strain)
    }

    /// Membrane forces per length, N/mm, of strains.
    #[must_use]
    pub fn force_n_mm(&self, strain: [f64; 3]) -> [f64; 3] {
        self.stress_n_mm2(strain).map(|stress| self.thickness_mm * stress)
    }

    /// Moments per length, N·mm/mm, of curvatures (x, y, engineering twist), 1/mm.
    #[must_use]
    pub fn moment_n(&self, curvature: [f64; 3]) -> [f64; 3] {
        plane_stress(self.bending_n_mm(), self.poisson, curvature)
    }

    /// Bending stiffness of a plate, `D = E·t³/(12·(1 − ν²))`, N·mm.
    #[must_use]
    pub fn bending_n_mm(&self) -> f64 {
        self.young_n_mm2 * self.thickness_mm.powi(3) / (12.0 * (1.0 - self.poisson * self.poisson))
    }
}

/// `factor · [1 ν 0; ν 1 0; 0 0 (1−ν)/2] · strain`.
#[inline]
fn plane_stress(factor: f64, poisson: f64, [x, y, shear]: [f64; 3]) -> [f64; 3] {
    [factor * (x + poisson * y), factor * (y + poisson * x), factor * 0.5 * (1.0 - poisson) * shear]
}
