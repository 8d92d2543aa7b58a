//! Conduction in a panel while it is welded: peak temperatures, temperatures at times, and how long to wait.
//!
//! Model: the sheet has one temperature through its thickness; linear triangles, heat capacity lumped at the nodes; both faces lose
//! heat in proportion to the difference from the air; constants do not change with temperature and nothing melts. Time runs by the
//! two-stage rule of Bank and others (trapezoid, then backward difference; second order, L-stable; from memory), its matrix factored
//! once for each length of step; steps grow while the panel cools. The arc is a spot of heat with the density 3/(πR²)·exp(−3r²/R²)
//! (Pavelic, from memory), 95 % of it within R, scaled so that all of its heat enters the mesh.
//!
//! Holds: heat in = heat stored + heat lost, to rounding. Needs edges of at most about R beside the seam to be right there
//! ([`fineness`] tells); a few edges away from the seam a coarse mesh is right as well. Heat does not cross a gap between pieces of the mesh.

mod assembly;
mod fineness;
mod line;
mod run_length;
mod schedule;
mod source;
mod stepping;

pub use fineness::{Fineness, fineness};
pub use line::split;
pub use run_length::{RunLength, RunLengths, RunOrder, RunTrials, run_lengths};
pub use schedule::conduct;

use super::{HeatError, thickness, within};
use glam::DVec3;
use handbook::welding::{SurfaceLoss, Thermal};
use mesh::Skin;

/// Radius within which an arc leaves 95 % of its heat on thin sheet, mm: a setting, from memory.
pub const ARC_RADIUS_MM: f64 = 2.5;

/// A panel that is heated.
#[derive(Debug, Clone)]
pub struct Panel<'a> {
    /// Its mesh.
    pub skin: &'a Skin,
    /// Thickness: one for all triangles, or one for each.
    pub thickness_mm: &'a [f64],
    /// Thermal constants.
    pub metal: &'a Thermal,
    /// Loss of each face.
    pub loss: SurfaceLoss,
    /// Temperature of the air.
    pub air_c: f64,
}

/// One piece of heating.
#[derive(Debug, Clone, PartialEq)]
pub enum Pass {
    /// An arc that travels along a line.
    Run {
        /// Its line.
        line_mm: Vec<DVec3>,
        /// Travel.
        travel_mm_s: f64,
        /// Net power.
        power_w: f64,
    },
    /// A tack, plug or dot of wire: an arc that stands.
    Dot {
        /// Where.
        at_mm: DVec3,
        /// How long.
        seconds: f64,
        /// Net power.
        power_w: f64,
    },
}

/// When a pass begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Wait {
    /// After so many seconds.
    Seconds(f64),
    /// As soon as all of its own line is cool, at the latest after a time.
    UntilCool {
        /// Cool enough, °C.
        below_c: f64,
        /// Longest wait, s.
        at_most_s: f64,
    },
}

/// Passes in their order, each with the wait before it.
#[derive(Debug, Clone, PartialEq)]
pub struct Schedule {
    /// Waits and passes.
    pub passes: Vec<(Wait, Pass)>,
    /// Radius of the spot of heat, see [`ARC_RADIUS_MM`].
    pub radius_mm: f64,
    /// Temperature of the panel before: one for all nodes, or one for each.
    pub start_c: Vec<f64>,
    /// How long to go on after the last pass; peaks far from the seam come late.
    pub watch_s: f64,
    /// Times since the start, s, at which all temperatures are wanted.
    pub at_times_s: Vec<f64>,
}

/// What one pass met.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PassLog {
    /// How long it waited.
    pub waited_s: f64,
    /// When it began.
    pub began_s: f64,
    /// When it ended.
    pub ended_s: f64,
    /// Hottest place of its own line just before it began: the start temperature of its shrinkage.
    pub hottest_before_c: f64,
    /// Whether that was cool enough; always for a wait in seconds.
    pub cool_enough: bool,
}

/// Where the heat went, J, over the air's temperature.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Energy {
    /// Given by the passes.
    pub given_j: f64,
    /// More in the panel at the end than at the start.
    pub stored_j: f64,
    /// Lost from the faces.
    pub lost_j: f64,
}

/// Temperatures of a panel while it was welded.
#[derive(Debug, Clone, PartialEq)]
pub struct Conducted {
    /// Highest temperature of each node.
    pub peak_c: Vec<f64>,
    /// Temperatures of all nodes at the wanted times, in the order of time; those after the end are left out.
    pub at_times: Vec<(f64, Vec<f64>)>,
    /// Temperatures at the end.
    pub end_c: Vec<f64>,
    /// When it ended.
    pub end_s: f64,
    /// One for each pass.
    pub passes: Vec<PassLog>,
    /// Where the heat went.
    pub energy: Energy,
    /// Steps of time.
    pub steps: usize,
    /// Factorisations.
    pub factorisations: usize,
}

impl Pass {
    fn power_w(&self) -> Result<f64, HeatError> {
        let (Self::Run { power_w, .. } | Self::Dot { power_w, .. }) = self;
        Ok(within("net power", *power_w, [0.01, 1e6], "W")?)
    }
}

impl Panel<'_> {
    /// Thickness of each triangle, checked.
    fn thicknesses(&self) -> Result<Vec<f64>, HeatError> {
        let triangles = self.skin.triangles.len();
        match self.thickness_mm {
            [one] => Ok(vec![thickness(*one)?; triangles]),
            each if each.len() == triangles => Ok(each.iter().map(|t| thickness(*t)).collect::<Result<_, _>>()?),
            other => Err(HeatError::WrongLength {
                what: "thickness of the panel",
                got: other.len(),
                need: format!("one, or one for each of {triangles} triangles"),
            }),
        }
    }
}
