//! Temperature round an arc that travels steadily over thin sheet (W12).
//!
//! Rosenthal 1941/46 (from memory): T − T0 = q/(2π·k·t)·exp(−u·x)·K0(u·r), u = v/2a, a = k/ρC, x ahead of the arc, r from the
//! arc. A point of heat: endless at the arc itself, and wrong inside the pool. No loss from the faces, sheet without end.

use super::root::where_it_falls_to;
use super::{start_c, thickness, within};
use handbook::welding::Thermal;
use handbook::{RuleError, Source, Working};
use spec_math::cephes64::{k0e, k1e};
use std::f64::consts::PI;

/// An arc that travels steadily.
#[derive(Debug, Clone, PartialEq)]
pub struct MovingSource {
    metal: Thermal,
    thickness_mm: f64,
    power_w: f64,
    travel_mm_s: f64,
    start_c: f64,
}

/// Extent of everything at least as hot as one temperature, from the arc.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Isotherm {
    /// Ahead of the arc.
    pub ahead_mm: f64,
    /// Behind the arc.
    pub behind_mm: f64,
    /// Greatest distance square to the seam.
    pub half_width_mm: f64,
    /// How far behind the arc the greatest width lies.
    pub widest_behind_mm: f64,
}

/// How near to the arc and how far from it isotherms are looked for, times 2a/v.
const SEARCH: [f64; 2] = [1e-12, 1e6];

impl MovingSource {
    /// An arc of net power `power_w` over sheet that stood at `start_c`.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`].
    pub fn new(
        metal: &Thermal,
        thickness_mm: f64,
        power_w: f64,
        travel_mm_s: f64,
        start: f64,
    ) -> Result<Self, RuleError> {
        Ok(Self {
            metal: metal.clone(),
            thickness_mm: thickness(thickness_mm)?,
            power_w: within("net power", power_w, [0.1, 1e6], "W")?,
            travel_mm_s: within("travel", travel_mm_s, [0.01, 1000.0], "mm/s")?,
            start_c: start_c(start, metal.melting_c)?,
        })
    }

    /// u = v/2a, 1/mm.
    fn inverse_length_per_mm(&self) -> f64 {
        0.5 * self.travel_mm_s / self.metal.diffusivity_mm2_s()
    }

    /// q/(2π·k·t), K.
    fn scale_k(&self) -> f64 {
        self.power_w / (2.0 * PI * self.metal.conductivity_w_mm_k * self.thickness_mm)
    }

    /// Temperature at a place, `ahead_mm` x before the arc (negative behind it) and `beside_mm` y square to the seam.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`] for a place that is none, or the arc itself.
    pub fn temperature_c(&self, ahead_mm: f64, beside_mm: f64) -> Result<f64, RuleError> {
        let x = within("distance ahead of the arc", ahead_mm, [-1e6, 1e6], "mm")?;
        let y = within("distance beside the seam", beside_mm, [-1e6, 1e6], "mm")?;
        let r = within("distance from the arc", x.hypot(y), [1e-9, 2e6], "mm")?;
        let u = self.inverse_length_per_mm();
        // K0 scaled by exp(u·r): exp(−u·x) alone overflows far behind the arc
        Ok(self.start_c + self.scale_k() * (-u * (x + r)).exp() * k0e(u * r))
    }

    /// Rise of the peak at its radius ρ = u·r, where x/r = −K0/K1, K.
    fn peak_rise_k(&self, rho: f64) -> f64 {
        let ratio = k0e(rho) / k1e(rho);
        self.scale_k() * (rho * (ratio - 1.0)).exp() * k0e(rho)
    }

    /// Peak temperature that a line at a distance from the seam reaches as the arc passes.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`].
    pub fn peak_c(&self, beside_mm: f64) -> Result<Working, RuleError> {
        let y = within("distance beside the seam", beside_mm, [1e-6, 1e5], "mm")?;
        let u = self.inverse_length_per_mm();
        // y rises with ρ: its negative falls
        let found = where_it_falls_to(-u * y, SEARCH, |rho| -rho * sine_at_peak(rho));
        let rho = found.ok_or(RuleError::OutOfRange {
            name: "distance beside the seam over 2a/v",
            got: u * y,
            min: SEARCH[0],
            max: SEARCH[1],
            unit: "",
        })?;
        let formula = "T0 + greatest over x of q/(2π·k·t)·exp(−v·x/2a)·K0(v·r/2a)";
        Ok(self.inputs("peak temperature", self.start_c + self.peak_rise_k(rho), "°C", formula).with(
            "y",
            "distance beside the seam",
            y,
            "mm",
        ))
    }

    fn inputs(&self, name: &'static str, value: f64, unit: &'static str, formula: &'static str) -> Working {
        Working::new(name, value, unit, formula, Source::text("Rosenthal 1941/46, thin plate (from memory)", "W12"))
            .with("q", "net power", self.power_w, "W")
            .with("v", "travel", self.travel_mm_s, "mm/s")
            .with("t", "thickness", self.thickness_mm, "mm")
            .with("k", "conductivity", self.metal.conductivity_w_mm_k, "W/(mm·K)")
            .with("a", "diffusivity", self.metal.diffusivity_mm2_s(), "mm²/s")
            .with("T0", "sheet before the arc", self.start_c, "°C")
    }

    /// Extent of all that is at least as hot as `at_c` at one time.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`] unless the temperature lies above the sheet's before the arc.
    pub fn isotherm(&self, at_c: f64) -> Result<Isotherm, RuleError> {
        let at = within("temperature", at_c, [self.start_c + 1.0, 5000.0], "°C")?;
        let (u, scale, rise) = (self.inverse_length_per_mm(), self.scale_k(), at - self.start_c);
        // a weak arc has its isotherm within a hair of the point of heat: nothing is that hot
        let find = |falling: &dyn Fn(f64) -> f64| where_it_falls_to(rise, SEARCH, falling).unwrap_or(0.0);
        let behind = find(&|rho| scale * k0e(rho));
        let ahead = find(&|rho| scale * (-2.0 * rho).exp() * k0e(rho));
        let widest = find(&|rho| self.peak_rise_k(rho));
        let (beside, back) =
            if widest > 0.0 { (widest * sine_at_peak(widest), widest * k0e(widest) / k1e(widest)) } else { (0.0, 0.0) };
        Ok(Isotherm {
            ahead_mm: ahead / u,
            behind_mm: behind / u,
            half_width_mm: beside / u,
            widest_behind_mm: back / u,
        })
    }

    /// Half the width of the pool: where the peak just melts. Half the width of the fusion line's strip.
    ///
    /// # Errors
    /// As [`MovingSource::isotherm`].
    pub fn pool_half_width_mm(&self) -> Result<Working, RuleError> {
        let half = self.isotherm(self.metal.melting_c)?.half_width_mm;
        let formula = "y at which the greatest over x of q/(2π·k·t)·exp(−v·x/2a)·K0(v·r/2a) is Tm − T0";
        Ok(self.inputs("half the width of the pool", half, "mm", formula).with(
            "Tm",
            "melting",
            self.metal.melting_c,
            "°C",
        ))
    }
}

/// y/r where a line's peak lies at ρ = u·r.
fn sine_at_peak(rho: f64) -> f64 {
    let cosine = k0e(rho) / k1e(rho);
    (1.0 - cosine * cosine).max(0.0).sqrt()
}
