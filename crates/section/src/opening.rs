//! Holes, slots and cut-outs at measured places.

use crate::StripEdge;
use glam::DVec2;
use serde::{Deserialize, Serialize};

/// Which leg of a piece an opening is in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum On {
    /// The skin of a strip, or the base of a folded piece.
    Skin,
    /// The leg of make-up `index` (counted from 0 outward) on a long edge of a strip.
    StripMakeUp {
        /// Which edge.
        edge: StripEdge,
        /// Which make-up.
        index: usize,
    },
    /// The leg of fold `index` on edge `edge` of a folded piece (both counted from 0).
    Fold {
        /// Base edge: from corner `edge` to the next.
        edge: usize,
        /// Which fold of its chain.
        index: usize,
    },
}

/// Shape of an opening, in the face it is in; x along the edge, y away from it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "shape")]
pub enum OpeningShape {
    /// Round hole.
    Round {
        /// Diameter.
        diameter_mm: f64,
    },
    /// Slot with round ends, `angle_rad` from the edge direction.
    Slot {
        /// Over the ends.
        length_mm: f64,
        /// Across.
        width_mm: f64,
        /// Turned from the edge direction.
        angle_rad: f64,
    },
    /// Any simple closed outline about the opening's place.
    CutOut {
        /// Corners in mm.
        corners_mm: Vec<DVec2>,
    },
}

/// One opening.
///
/// Strip: `along_mm` is the station, `from_edge_mm` the distance from the edge line along the outside face (skin), or from
/// the edge line in the contact plane (flange), or from the start of the make-up's leg (others). Folded base: x and y of the base plane.
/// Folded leg: `along_mm` from the edge's first corner, `from_edge_mm` from the fold's apex along the leg's outer face.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Opening {
    /// "bolt hole 3", "drain".
    pub name: String,
    /// Which leg.
    pub on: On,
    /// Station, or x.
    pub along_mm: f64,
    /// Distance from the edge, or y.
    pub from_edge_mm: f64,
    /// Shape and size.
    pub shape: OpeningShape,
    /// Reach (±, two standard deviations) of its place.
    pub reach_mm: f64,
    /// Half the play a bolt may have in it (ISO 273 clearance / 2); `None` when nothing must line up.
    pub half_clearance_mm: Option<f64>,
}
