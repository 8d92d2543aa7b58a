//! What a weld plan does to a panel: from panel, heat and supports to buckling margin, warp, and the order of tacks and runs.
//!
//! [`Prepared`] cuts the panel open, lays the shrinkage of every tack and run, and condenses the sheet; [`Prepared::search`] compares
//! orders; [`Prepared::finish`] computes in full what the best of them, the trade habit and end-to-end welding leave: margin, warp height,
//! whether the panel oil-cans, where to planish. Figures that follow from shrinkage come for the least, the middle and the most of its
//! published spread. Model of the supports: [`PanelSupport`]; of a lap: [`SeamJoint::Lap`]. Nothing here melts, creeps or yields
//! except what shrinkage stands for; clamps stay on until the end.

mod compare;
mod error;
pub mod file;
mod finish;
mod heat;
mod heights;
mod large;
mod outcome;
mod plan;
mod prepare;
mod search;
pub mod shape_map;
mod state;
mod supports;

pub use compare::Comparison;
pub use error::WarpError;
pub use heat::PlannedHeat;
pub use heights::Heights;
pub use outcome::{GapOut, OrderFigures, OrderTable, PlanishStrip, StepRow, WarpResult, WarpShape};
pub use plan::{EdgeKind, PanelSupport, PlannedSeam, SeamJoint, WarpPlan, WarpSettings};
pub use prepare::{Candidate, Prepared};
pub use search::{Chosen, OrdersFound};
pub use supports::EDGE_WITHIN_MM;

use numerics::{Cancel, Progress};

/// A whole plan in, the result out.
///
/// # Errors
/// [`WarpError`].
pub fn warp(plan: WarpPlan, progress: &Progress, cancel: &Cancel) -> Result<WarpResult, WarpError> {
    let mut prepared = Prepared::new(plan, &progress.part(0.0, 0.3), cancel)?;
    let found = prepared.search(&progress.part(0.3, 0.6), cancel)?;
    prepared.finish(&found, &progress.part(0.6, 1.0), cancel)
}

#[cfg(test)]
mod tests;
