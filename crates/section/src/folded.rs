//! A folded piece: a base outline in the plane with a chain of folds on each edge (a tray, a box, a bracket).
//!
//! The base lies in the plane z = 0 of its own frame, seen from the face up, corners anticlockwise. Edge i runs from corner i to
//! the next. Base outline and leg widths are sizes over the outside of the finished piece, to the sharp outer corners (apexes).
//! The underside of the base lies at z = 0 and its face up at z = thickness, so that a leg folded square up is as high as it is wide.
//!
//! Every fold is a cylindrical bend about a straight line, so every leg is flat: one bend angle along a fold, and one width
//! where a further fold follows. A joggle is not made on a folded piece.

mod collide;
mod corner;
pub mod layout;
mod place;
mod pose;
mod relief;
mod tessellate;
mod validate;

pub use corner::mitre;
pub use layout::{Bend, BendKind, CornerLayout, EdgeLayout, EndLine, Layout, Leg, Part, layout};
pub use place::{LegPoint, opening_outline_mm};
pub use pose::Pose;
pub use relief::arc_steps;
pub use tessellate::tessellate;

use crate::{Hand, MakeUp, Opening, Side};
use glam::DVec2;
use serde::{Deserialize, Serialize};

/// The base outline.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Base {
    /// Corners, mm, anticlockwise seen from the face up.
    pub corners_mm: Vec<DVec2>,
}

/// How the end of a flange is cut.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "cut")]
pub enum EndCut {
    /// So that it meets its neighbour with `gap_mm` for the weld where both edges fold the same way, or square where the neighbour is raw.
    /// The inner edges of the two cut faces stand `gap_mm` apart, which leaves a groove on the outside; legs beyond the first keep clear of the
    /// neighbour by the gap.
    Meet {
        /// Gap at the corner.
        gap_mm: f64,
    },
    /// Set back by a length from the corner; less than nothing runs past it.
    SetBack {
        /// From the corner along the edge.
        back_mm: f64,
    },
    /// Cut at an angle from square, rad, positive when the free edge is shorter.
    Angle {
        /// From square.
        angle_rad: f64,
    },
}

/// What is done where two folded edges meet.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "corner")]
pub enum CornerKind {
    /// Welded closed, with a relief hole where the bend lines meet (handbook F1–F3); `None` takes the rule.
    Welded {
        /// Diameter of the relief hole.
        relief_mm: Option<f64>,
    },
    /// Left open, with the same relief.
    Open {
        /// Diameter of the relief hole.
        relief_mm: Option<f64>,
    },
}

/// Chain of make-ups on one edge of the base, outward, with its end cuts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct EdgeFolds {
    /// Make-ups, outward; a fold is a [`MakeUp::Flange`] whose `turns` is Inside (up, towards the face up) or Outside (down). Empty = raw edge.
    pub make_ups: Vec<MakeUp>,
    /// Cut at the edge's first corner.
    pub start_cut: EndCut,
    /// Cut at the edge's last corner.
    pub end_cut: EndCut,
}

/// A folded piece as designed.
#[derive(Debug, Clone)]
pub struct Folded {
    /// "step-well tray".
    pub name: String,
    /// Hand of the finished piece.
    pub hand: Hand,
    /// True when the finished piece is the reflection (x → −x of the base frame) of this geometry.
    pub mirrored: bool,
    /// Which side of the vehicle the face up belongs to: Inside = the face up is the inside and the underside the outside of the vehicle.
    pub face_up_is: Side,
    /// Base outline.
    pub base: Base,
    /// One chain per base edge.
    pub edges: Vec<EdgeFolds>,
    /// One per corner; corner i is between edge i−1 and edge i.
    pub corners: Vec<CornerKind>,
    /// Sheet.
    pub thickness_mm: f64,
    /// Material key in the handbook.
    pub material: String,
    /// Openings.
    pub openings: Vec<Opening>,
    /// Reach of the sizes.
    pub reach_mm: f64,
}

#[cfg(test)]
mod tests;
