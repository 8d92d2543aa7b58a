//! The order of tacks and runs: what each does to the gaps still open, and the order that warps least.
//!
//! Model. The seam starts open. An event (a tack, a plug, a run) first joins its pairs of points, free of stress, in the position which
//! the two sides then have; the offset between them is locked in. Then it shrinks: its inherent strain moves what is free and
//! stresses what is not. Every step is linear, so the sheet is condensed once to the relative motions of its pairs, and a join is
//! a few more rows in a small dense factor: exact, and quick enough for hundreds of orders a minute ([`condense`], [`Walk`]).
//! In one connected sheet the order would not matter; here it does, through the offsets that are locked in.
//!
//! Holds: the condensed answer equals that of the whole sheet solved anew at every step. Does not hold for: edges that meet before
//! they are joined (a gap below 0 is reported, with the event after which it first is, and counted against the order; the contact is not
//! computed: elastic edges without riding over would push with several hundred N/mm², which they do not), sheet that buckles between two events. A dot joins force and bending, a run also the rotation in the plane of the sheet.

pub mod condense;
mod condensed;
pub mod cooling;
pub mod edges;
mod factor;
pub mod habit;
pub(crate) mod offsets;
mod score;
pub mod search;
pub mod stretches;
mod walk;

pub use condensed::{Condensed, CondensedEvent, GapLimit, OrderError, Projection, Watch};
pub use offsets::offset_shifts;
pub use score::{ENOUGH_MARGIN, Score};
pub use walk::{GapLeft, StepRecord, Walk, first_gap_left, trail};

use crate::shell::{InherentStrain, RestShift};
use glam::DVec3;
use serde::{Deserialize, Serialize};

/// Rows of a pair among the relative motions: left minus right, in the axes of the pair.
pub const ROWS: usize = 6;

/// Which relative motion a row is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub enum Row {
    /// Opening of the gap in the sheet, mm.
    Across = 0,
    /// Slip along the line, mm.
    Along = 1,
    /// Step out of the sheet, mm.
    Normal = 2,
    /// Kink about the line, rad.
    AboutAlong = 3,
    /// Kink about the direction across, rad.
    AboutAcross = 4,
    /// Rotation in the plane of the sheet, rad.
    AboutNormal = 5,
}

/// What is done at the seam.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum EventKind {
    /// A dot that holds a butt.
    Tack,
    /// A plug in the hole of a lap, or a spot.
    Plug,
    /// A stretch that is welded in one go.
    Run,
}

impl EventKind {
    /// Rows of a pair that it joins.
    #[must_use]
    pub const fn rows(self) -> usize {
        match self {
            Self::Tack | Self::Plug => 5,
            Self::Run => 6,
        }
    }

    /// Name as printed.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Tack => "tack",
            Self::Plug => "plug",
            Self::Run => "run",
        }
    }
}

/// A tack, a plug or a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// What it is.
    pub kind: EventKind,
    /// Weld line, counted from 0.
    pub seam: usize,
    /// Where it starts and ends along the line, mm; the same for a dot.
    pub stations_mm: [f64; 2],
    /// Pairs that it joins, numbered over all weld lines.
    pub pairs: Vec<u32>,
    /// Events of a lower phase come first (tacks before runs).
    pub phase: u8,
    /// Strain that it leaves, on the triangles of the open mesh.
    pub inherent: Vec<InherentStrain>,
    /// Where triangles of the open mesh are at rest once it has lost width across.
    pub shifts: Vec<RestShift>,
    /// Heat that enters the sheet, J.
    pub heat_j: f64,
    /// How long the arc burns, s.
    pub seconds: f64,
    /// Places along it, in the order of welding, mm.
    pub places_mm: Vec<DVec3>,
}

impl Event {
    /// The event where it shrinks so many times as much ([`cooling::Timing::counts`]).
    #[must_use]
    pub fn counting(&self, counts: f64) -> Self {
        let mut event = self.clone();
        event.inherent.iter_mut().for_each(|part| part.strain = part.strain.map(|strain| counts * strain));
        event.shifts.iter_mut().for_each(|part| part.corners_mm = part.corners_mm.map(|shift| counts * shift));
        event
    }
}
