//! Heat of an arc or flame on thin sheet: closed forms, and conduction on the panel's own mesh.
//!
//! [`Arc`] gives the heat input, [`Seam`] and [`DotHeat`] peak temperatures and cooling beside a finished line and a plug, [`MovingSource`] the temperature
//! round a moving arc, [`reach`] how far heat harms, [`conduction`] the
//! temperatures of a panel while it is welded. Thermal constants do not change with temperature and nothing melts: figures
//! inside the pool mean "molten", no more. y is the distance square to the seam, x runs ahead of the arc; temperatures in °C.

pub mod conduction;
mod cooling;
mod dot;
mod input;
mod machine;
mod moving;
pub mod reach;
mod root;
mod seam;
mod usual;

pub use cooling::{CoolingRate, Flow};
pub(crate) use dot::melts_plug_j;
pub use dot::{DotHeat, plug_heat};
pub use input::{Arc, net_heat};
pub use machine::Machine;
pub use moving::{Isotherm, MovingSource};
pub use seam::{Seam, SeamLoss};
pub use usual::{UsualHeat, heat_of_arc, usual_heat, usual_heat_from};

use crate::weld_line::WeldLineError;
use handbook::RuleError;
use mesh::MeshError;
use numerics::Cancelled;
use numerics::cholesky::CholeskyError;

/// Why no temperatures were worked out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum HeatError {
    /// A quantity outside its range.
    #[error(transparent)]
    Rule(#[from] RuleError),
    /// The mesh is unsound.
    #[error(transparent)]
    Mesh(#[from] MeshError),
    /// A weld that does not lie on the panel, or is no line.
    #[error(transparent)]
    Line(#[from] WeldLineError),
    /// Slices of the wrong length.
    #[error("{what} has {got} numbers; give {need}")]
    WrongLength {
        /// Which.
        what: &'static str,
        /// Given.
        got: usize,
        /// Needed.
        need: String,
    },
    /// The equations could not be solved.
    #[error(transparent)]
    Solve(#[from] CholeskyError),
    /// Somebody asked to stop.
    #[error(transparent)]
    Cancelled(#[from] Cancelled),
}

/// Passes a quantity between two bounds; NaN never passes.
pub(crate) fn within(name: &'static str, got: f64, [min, max]: [f64; 2], unit: &'static str) -> Result<f64, RuleError> {
    if (min..=max).contains(&got) { Ok(got) } else { Err(RuleError::OutOfRange { name, got, min, max, unit }) }
}

/// Thickness of sheet for which heat and shrinkage are computed, mm.
pub(crate) fn thickness(got: f64) -> Result<f64, RuleError> {
    within("thickness", got, [0.1, 12.0], "mm")
}

/// Net heat input, J/mm: any that is one; what is unusual is a caution elsewhere (H14).
pub(crate) fn net_j_mm(got: f64) -> Result<f64, RuleError> {
    within("net heat input", got, [1e-3, 1e5], "J/mm")
}

/// Temperature of the sheet before the arc, °C.
pub(crate) fn start_c(got: f64, melting_c: f64) -> Result<f64, RuleError> {
    within("temperature of the sheet before the arc", got, [-50.0, melting_c - 1.0], "°C")
}
