//! Heat input of an arc.

use super::within;
use handbook::welding::{Efficiency, HeatProcess};
use handbook::{RuleError, Source, Working};

/// An arc that travels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arc {
    /// Current.
    pub current_a: f64,
    /// Voltage.
    pub voltage_v: f64,
    /// Travel.
    pub travel_mm_s: f64,
}

impl Arc {
    /// Heat input with a share of the power entering the work, J/mm: Q = k·U·I/v (W1).
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`] names the first quantity that is none.
    pub fn heat_input(&self, efficiency: f64) -> Result<Working, RuleError> {
        let power = self.net_power_w(efficiency)?;
        let v = within("travel", self.travel_mm_s, [0.01, 1000.0], "mm/s")?;
        Ok(Working::new("net heat input", power / v, "J/mm", "k·U·I/v", Source::standard("EN 1011-1; TWI", "W1"))
            .with("k", "share of the power that enters the work", efficiency, "")
            .with("U", "voltage", self.voltage_v, "V")
            .with("I", "current", self.current_a, "A")
            .with("v", "travel", v, "mm/s"))
    }

    /// Power that enters the work, W: k·U·I.
    ///
    /// # Errors
    /// As [`Arc::heat_input`].
    pub fn net_power_w(&self, efficiency: f64) -> Result<f64, RuleError> {
        let k = within("share of the power that enters the work", efficiency, [0.01, 1.0], "")?;
        let voltage = within("voltage", self.voltage_v, [1.0, 200.0], "V")?;
        let current = within("current", self.current_a, [1.0, 2000.0], "A")?;
        Ok(k * voltage * current)
    }
}

/// Heat input of a process as heat flow and shrinkage want it: measured efficiency, its spread as reach.
///
/// # Errors
/// As [`Arc::heat_input`].
pub fn net_heat(arc: &Arc, process: HeatProcess) -> Result<Working, RuleError> {
    let Efficiency { value, range: [low, high], source } = process.heat_flow_efficiency();
    let working = arc.heat_input(value)?;
    let reach = working.value * (high - value).max(value - low) / value;
    let formula = format!("{}; k: {}", working.formula, source.text);
    Ok(Working { formula: formula.into(), ..working }.reach(reach))
}
