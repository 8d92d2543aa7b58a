//! How fast the middle of a seam cools through a temperature, and whether a plate is thin or thick (W10).

use super::{Seam, within};
use handbook::welding::{THICK_FROM, THIN_BELOW, Thermal};
use handbook::{RuleError, Source, Working};
use serde::Serialize;
use std::f64::consts::PI;

/// How heat flows away from the seam.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Flow {
    /// In the plane of the sheet.
    Thin,
    /// Between the two: the true rate lies below that of thick plate.
    Between,
    /// Also downwards.
    Thick,
}

/// Cooling of the middle of a seam.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CoolingRate {
    /// How heat flows.
    pub flow: Flow,
    /// τ = t·√(ρC·(Tc−T0)/H): thin below 0.6, thick above 0.9.
    pub relative_thickness: f64,
    /// Rate, K/s.
    pub rate: Working,
}

fn source() -> Source {
    Source::text("AWS Welding Handbook (from memory); limits of τ seen on a teaching page", "W10")
}

fn flow_at(relative_thickness: f64) -> Flow {
    match relative_thickness {
        tau if tau < THIN_BELOW => Flow::Thin,
        tau if tau > THICK_FROM => Flow::Thick,
        _ => Flow::Between,
    }
}

fn relative_thickness(metal: &Thermal, thickness_mm: f64, net_j_mm: f64, rise_k: f64) -> f64 {
    thickness_mm * (metal.heat_capacity_j_mm3_k * rise_k / net_j_mm).sqrt()
}

impl Seam {
    /// Cooling rate of the middle of the seam at a temperature (W10, W11): thin 2πk·ρC·(t/H)²·(Tc−T0)³, thick 2πk·(Tc−T0)²/H;
    /// between the two the lower of them.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`].
    pub fn cooling_rate(&self, at_c: f64) -> Result<CoolingRate, RuleError> {
        let Thermal { conductivity_w_mm_k: k, heat_capacity_j_mm3_k: rho_c, melting_c, .. } = self.metal;
        let at = within("temperature of cooling", at_c, [self.start_c + 1.0, melting_c], "°C")?;
        let (rise, h, t) = (at - self.start_c, self.net_j_mm, self.thickness_mm);
        let tau = relative_thickness(&self.metal, t, h, rise);
        let thin = 2.0 * PI * k * rho_c * (t / h).powi(2) * rise.powi(3);
        let thick = 2.0 * PI * k * rise * rise / h;
        let flow = flow_at(tau);
        let (value, formula) = match flow {
            Flow::Thin => (thin, "2π·k·ρC·(t/H)²·(Tc−T0)³"),
            Flow::Between => (thin.min(thick), "the lower of 2π·k·ρC·(t/H)²·(Tc−T0)³ and 2π·k·(Tc−T0)²/H"),
            Flow::Thick => (thick, "2π·k·(Tc−T0)²/H"),
        };
        let rate = Working::new("cooling rate", value, "K/s", formula, source())
            .with("k", "conductivity", k, "W/(mm·K)")
            .with("ρC", "heat capacity of a volume", rho_c, "J/(mm³·K)")
            .with("t", "thickness", t, "mm")
            .with("H", "net heat input", h, "J/mm")
            .with("Tc", "temperature", at, "°C")
            .with("T0", "sheet before the arc", self.start_c, "°C")
            .with("τ", "relative thickness", tau, "");
        Ok(CoolingRate { flow, relative_thickness: tau, rate })
    }

    /// Net heat input at which the middle cools at a rate, J/mm (W10 turned round), for thin plate; with τ, by which the reader sees
    /// whether it is thin.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`].
    pub fn heat_for_rate(&self, at_c: f64, rate_k_s: f64) -> Result<(Working, Flow), RuleError> {
        let Thermal { conductivity_w_mm_k: k, heat_capacity_j_mm3_k: rho_c, melting_c, .. } = self.metal;
        let at = within("temperature of cooling", at_c, [self.start_c + 1.0, melting_c], "°C")?;
        let rate = within("cooling rate", rate_k_s, [1e-6, 1e6], "K/s")?;
        let (rise, t) = (at - self.start_c, self.thickness_mm);
        let heat = t * (2.0 * PI * k * rho_c * rise.powi(3) / rate).sqrt();
        let tau = relative_thickness(&self.metal, t, heat, rise);
        let working = Working::new("net heat input", heat, "J/mm", "t·√(2π·k·ρC·(Tc−T0)³/R)", source())
            .with("t", "thickness", t, "mm")
            .with("R", "cooling rate", rate, "K/s")
            .with("Tc", "temperature", at, "°C")
            .with("T0", "sheet before the arc", self.start_c, "°C")
            .with("τ", "relative thickness", tau, "");
        Ok((working, flow_at(tau)))
    }
}
