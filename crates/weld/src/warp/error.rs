//! Why no warp was worked out.

use crate::WeldError;
use crate::metal::MetalError;
use crate::order::OrderError;
use crate::panel::PanelError;
use crate::shrinkage::ShrinkageError;
use handbook::RuleError;
use numerics::Cancelled;

/// A weld plan that cannot be computed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum WarpError {
    /// The weld line does not fit the panel.
    #[error(transparent)]
    Panel(#[from] PanelError),
    /// The metal has no constants, or is not known.
    #[error(transparent)]
    Metal(#[from] MetalError),
    /// Shrinkage could not be worked out.
    #[error(transparent)]
    Shrinkage(#[from] ShrinkageError),
    /// A figure outside its range.
    #[error(transparent)]
    Rule(#[from] RuleError),
    /// The shell could not be solved.
    #[error(transparent)]
    Shell(WeldError),
    /// The orders could not be compared.
    #[error(transparent)]
    Order(OrderError),
    /// A setting beyond its range.
    #[error("the {name} is {got}; {need}")]
    Setting {
        /// What is set, with its unit.
        name: &'static str,
        /// Given.
        got: f64,
        /// What would be accepted.
        need: &'static str,
    },
    /// A support that touches nothing.
    #[error(
        "support {number} ({name}) touches nothing within {within_mm:.0} mm; give points along the edge that is held, a clamp's on the sheet"
    )]
    SupportOffEdge {
        /// Counted from 1.
        number: usize,
        /// What it is.
        name: &'static str,
        /// How far an edge may lie from it.
        within_mm: f64,
    },
    /// Stopped.
    #[error(transparent)]
    Cancelled(#[from] Cancelled),
}

impl From<WeldError> for WarpError {
    fn from(error: WeldError) -> Self {
        match error {
            WeldError::Cancelled(cancelled) => Self::Cancelled(cancelled),
            other => Self::Shell(other),
        }
    }
}

impl From<OrderError> for WarpError {
    fn from(error: OrderError) -> Self {
        match error {
            OrderError::Cancelled(cancelled) => Self::Cancelled(cancelled),
            OrderError::Shell(error) => error.into(),
            other => Self::Order(other),
        }
    }
}
