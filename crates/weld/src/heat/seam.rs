//! Peak temperature beside a seam in thin sheet, and how it cools: an instant line of heat through the thickness.

use super::root::pause_until_s;
use super::{net_j_mm, start_c, thickness, within};
use handbook::welding::{PEAK_COEFFICIENT, SurfaceLoss, Thermal};
use handbook::{RuleError, Source, Working};

/// A long seam in sheet, all heat through the thickness at once.
#[derive(Debug, Clone, PartialEq)]
pub struct Seam {
    pub(super) metal: Thermal,
    pub(super) thickness_mm: f64,
    pub(super) net_j_mm: f64,
    pub(super) start_c: f64,
}

/// What the seam loses while it cools.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeamLoss {
    /// Of each face.
    pub surface: SurfaceLoss,
    /// Temperature of the air.
    pub air_c: f64,
}

impl SeamLoss {
    /// How fast a sheet gives its heat to the air, 1/s: loss of both faces over ρC·t.
    pub(super) fn decay_per_s(&self, metal: &Thermal, thickness_mm: f64) -> Result<f64, RuleError> {
        let face = self.surface.of_one_face(self.air_c)?.value;
        Ok(2.0 * face / (metal.heat_capacity_j_mm3_k * thickness_mm))
    }
}

fn peak_source() -> Source {
    Source::text("AWS Welding Handbook vol. 1, peak temperature in thin plate (from memory)", "W8")
}

impl Seam {
    /// A seam of net heat `net_j_mm` in sheet that stood at `start_c`.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`].
    pub fn new(metal: &Thermal, thickness_mm: f64, net_heat_j_mm: f64, start: f64) -> Result<Self, RuleError> {
        Ok(Self {
            metal: metal.clone(),
            thickness_mm: thickness(thickness_mm)?,
            net_j_mm: net_j_mm(net_heat_j_mm)?,
            start_c: start_c(start, metal.melting_c)?,
        })
    }

    fn inputs(&self, working: Working) -> Working {
        working
            .with("H", "net heat input", self.net_j_mm, "J/mm")
            .with("t", "thickness", self.thickness_mm, "mm")
            .with("ρC", "heat capacity of a volume", self.metal.heat_capacity_j_mm3_k, "J/(mm³·K)")
            .with("Tm", "melting", self.metal.melting_c, "°C")
            .with("T0", "sheet before the arc", self.start_c, "°C")
    }

    /// Peak temperature at a distance from the fusion line: 1/(Tp−T0) = 4.13·ρC·t·Y/H + 1/(Tm−T0) (W8). No surface loss: an upper bound.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`].
    pub fn peak_c(&self, from_fusion_line_mm: f64) -> Result<Working, RuleError> {
        let y = within("distance from the fusion line", from_fusion_line_mm, [0.0, 1e5], "mm")?;
        let rise = 1.0 / (y / self.reach_mm_k() + 1.0 / (self.metal.melting_c - self.start_c));
        let formula = "T0 + 1/(4.13·ρC·t·Y/H + 1/(Tm−T0))";
        Ok(self.inputs(Working::new("peak temperature", self.start_c + rise, "°C", formula, peak_source())).with(
            "Y",
            "distance from the fusion line",
            y,
            "mm",
        ))
    }

    /// Distance from the fusion line within which a peak temperature was passed (W8 turned round, W9). No surface loss: an upper bound.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`] unless the temperature lies above the sheet's before the arc and at or below melting.
    pub fn distance_mm(&self, peak_c: f64) -> Result<Working, RuleError> {
        let Thermal { melting_c, .. } = self.metal;
        let peak = within("peak temperature", peak_c, [self.start_c + 1.0, melting_c], "°C")?;
        let y = self.reach_mm_k() * (1.0 / (peak - self.start_c) - 1.0 / (melting_c - self.start_c));
        let formula = "(1/(Tp−T0) − 1/(Tm−T0))·H/(4.13·ρC·t)";
        Ok(self.inputs(Working::new("distance from the fusion line", y, "mm", formula, peak_source())).with(
            "Tp",
            "peak temperature",
            peak,
            "°C",
        ))
    }

    /// Width beside the fusion line in which structure or temper change, on each side.
    ///
    /// # Errors
    /// As [`Seam::distance_mm`].
    pub fn affected_width_mm(&self) -> Result<Working, RuleError> {
        let width = self.distance_mm(self.metal.affected_from_c)?;
        Ok(Working { name: "heat-affected width beside the fusion line".into(), ..width })
    }

    /// Distance times rise of the peak temperature of a line without a pool, mm·K.
    fn reach_mm_k(&self) -> f64 {
        self.net_j_mm / (PEAK_COEFFICIENT * self.metal.heat_capacity_j_mm3_k * self.thickness_mm)
    }

    /// Temperature over that before the arc, beside the seam's middle some time after, with loss from both faces, K:
    /// H/(t·√(4πk·ρC·τ))·exp(−y²/4aτ − βτ), β = 2h/(ρC·t) (Carslaw and Jaeger, from memory).
    fn rise_k(&self, beside_mm: f64, after_s: f64, decay_per_s: f64) -> f64 {
        let Thermal { conductivity_w_mm_k: k, heat_capacity_j_mm3_k: rho_c, .. } = self.metal;
        let spread = beside_mm * beside_mm * rho_c / (4.0 * k * after_s);
        let line = self.net_j_mm / (self.thickness_mm * (4.0 * std::f64::consts::PI * k * rho_c * after_s).sqrt());
        line * (-spread - decay_per_s * after_s).exp()
    }

    /// Pause after a seam until its middle has cooled to `cool_c`, s: how long to wait before the next run there. A long seam in wide
    /// sheet, loss towards air at the temperature that the sheet had before the arc: an upper bound for a short run.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`], also when the temperature is not reached within a day.
    pub fn pause_s(&self, cool_c: f64, loss: &SeamLoss) -> Result<Working, RuleError> {
        let beta = loss.decay_per_s(&self.metal, self.thickness_mm)?;
        let pause = pause_until_s(cool_c, [self.start_c, self.metal.melting_c], |s| self.rise_k(0.0, s, beta))?;
        let formula = "τ where H/(t·√(4π·k·ρC·τ))·exp(−βτ) = T − T0";
        let source = Source::text("Carslaw and Jaeger, instant line of heat with loss (from memory)", "");
        Ok(self
            .inputs(Working::new("pause until cool", pause, "s", formula, source))
            .with("k", "conductivity", self.metal.conductivity_w_mm_k, "W/(mm·K)")
            .with("β", "loss of both faces over ρC·t", beta, "1/s")
            .with("T", "cool enough", cool_c, "°C"))
    }

    /// Peak temperature rise at a distance from the seam's middle with surface loss, K: lower than W8 far from the seam, where heat
    /// arrives late.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`].
    pub fn peak_rise_with_loss_k(&self, beside_mm: f64, loss: &SeamLoss) -> Result<f64, RuleError> {
        let y = within("distance from the seam", beside_mm, [1e-3, 1e5], "mm")?;
        let beta = loss.decay_per_s(&self.metal, self.thickness_mm)?;
        let time2 = y * y / self.metal.diffusivity_mm2_s();
        // βτ² + τ/2 − y²/4a = 0, written so that no digits are lost for small β
        let at_s = 0.5 * time2 / (0.5 + (0.25 + beta * time2).sqrt());
        Ok(self.rise_k(y, at_s, beta))
    }
}
