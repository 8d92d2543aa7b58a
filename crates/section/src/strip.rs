//! A strip: an edge line with cross-sections at stations along it and make-ups on its two long edges.

use crate::{EdgeLine, Hand, MakeUp, Opening};
use glam::{DVec2, DVec3};
use serde::{Deserialize, Serialize};

/// Which face of the sheet the edge line lies on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Face {
    /// The outside face: what a tape and a contour gauge touch.
    #[default]
    Outside,
    /// The middle of the sheet.
    Middle,
    /// The inside face.
    Inside,
}

/// Which way the cross-section leaves the edge line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Runs {
    /// Along +u.
    #[default]
    Up,
    /// Along −u. The chain is the mirror image; positive angles still turn towards the outside.
    Down,
}

/// One vector, or one per station, made square to the tangent to give o.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Outward {
    /// The same everywhere.
    One(DVec3),
    /// (station_mm, vector), interpolated linearly and made unit.
    PerStation(Vec<(f64, DVec3)>),
}

/// Right-handed frame at a station: t along, o outward, u = t × o.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// The point on the edge line.
    pub origin_mm: DVec3,
    /// Tangent.
    pub t: DVec3,
    /// Outward, square to t.
    pub o: DVec3,
    /// t × o: up, for a line running forward on the left side.
    pub u: DVec3,
}

/// Which part of a strip a piece is, where a flange is split ([`crate::FlangeRelief::Split`]).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "makes")]
pub enum Makes {
    /// Everything but what lies beyond the seam of a split flange.
    #[default]
    Body,
    /// Only what lies beyond the seam of the split flange on that edge: the outermost of its chain.
    SplitFlange {
        /// Which edge.
        edge: crate::StripEdge,
    },
}

/// One link of a cross-section.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "link")]
pub enum Link {
    /// Straight between tangent points.
    Straight {
        /// Length.
        length_mm: f64,
    },
    /// Arc with the radius of its inside (concave) face.
    Arc {
        /// Inside radius.
        inside_radius_mm: f64,
        /// Turned from flat, rad, positive towards the outside.
        bend_angle_rad: f64,
    },
}

/// A chain in the (o, u) plane at one station.
///
/// `start_angle_rad` is the direction of the first link measured from u (from −u where the strip runs down), positive
/// towards the outside.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CrossSection {
    /// Arc length along the edge line.
    pub station_mm: f64,
    /// Direction of the first link.
    pub start_angle_rad: f64,
    /// Links from the edge line to the cut edge.
    pub links: Vec<Link>,
}

/// A strip as designed: a stretch of the edge line with everything on it.
///
/// Geometry is always given on the side it was surveyed; `mirrored` asks for the finished geometry reflected (y → −y).
#[derive(Debug, Clone)]
pub struct Strip {
    /// "wheel-arch edge".
    pub name: String,
    /// Hand of the finished piece, after any reflection.
    pub hand: Hand,
    /// True when the finished piece is the reflection of this geometry.
    pub mirrored: bool,
    /// The line the strip follows.
    pub edge_line: EdgeLine,
    /// Outward vector(s).
    pub outward: Outward,
    /// Face the edge line lies on.
    pub face: Face,
    /// Up or down from the edge line.
    pub runs: Runs,
    /// Cross-sections, stations rising.
    pub sections: Vec<CrossSection>,
    /// Start of the piece without spare, mm along the edge line.
    pub from_mm: f64,
    /// End of the piece without spare.
    pub to_mm: f64,
    /// Spare length at the start (handbook H2), 0 where the end is not free.
    pub spare_from_mm: f64,
    /// Spare length at the end.
    pub spare_to_mm: f64,
    /// Sheet.
    pub thickness_mm: f64,
    /// Material key in the handbook.
    pub material: String,
    /// Make-ups at the edge line, outward.
    pub finished_edge: Vec<MakeUp>,
    /// Make-ups at the far edge, outward.
    pub cut_edge: Vec<MakeUp>,
    /// Openings.
    pub openings: Vec<Opening>,
    /// Reach of the height (±), carried to trim allowances.
    pub reach_mm: f64,
    /// Which part of it this piece is.
    pub makes: Makes,
    /// The piece lies so far under the face that the edge line stands for: the thickness of the old skin that laps over it; 0 is flush.
    /// A flange on the finished edge keeps the place of its outer face: its own apex then lies further down the flange.
    pub under_mm: f64,
}

/// A point of a cross-section in the (o, u) plane, mm.
pub type InSection = DVec2;
