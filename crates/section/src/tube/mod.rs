//! Round tubes: a whole girth or part of one, with its end cuts, in space.
//!
//! Frame of a tube: x along its axis from the start end to the far end; the zero line of the girth faces y; angles round the
//! girth run from y to z, which is clockwise seen from the start end looking along the tube. `to_vehicle` turns these axes
//! into vehicle axes; the other hand is the finished tube reflected.
//! Model: the sheet is cut square to its face and rolled about its middle, so that one station of an edge holds through the
//! whole wall; which wall of the tube touches what it is cut to is chosen and stated ([`Wall`]).
//! Holds: end cuts are exact at the wall that touches, for the wall's own radius. Does not hold for: bevelled edges; tubes
//! that are not round; the slight spiral of a lapped long seam.
//! Units: mm, rad.

mod check;
mod end;
mod flattened;
mod outline;
mod place;
mod space;

pub use end::{Saddle, TabHole, TubeCut, TubeEnd, Wall};
pub use flattened::{FlattenedShape, flattened_shape};
pub use outline::{OutlineEdge, TubeOutline, outline};
pub use place::WallPoint;
pub use space::tessellate;

use crate::{Hand, Opening};
use glam::DMat3;
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// A round tube, or part of one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tube {
    /// "ladder tube foot".
    pub name: String,
    /// Hand of the finished piece.
    pub hand: Hand,
    /// The finished piece is the reflection of what is described.
    pub mirrored: bool,
    /// Turns the tube's axes into vehicle axes.
    pub to_vehicle: DMat3,
    /// Outside diameter.
    pub outside_diameter_mm: f64,
    /// Wall.
    pub thickness_mm: f64,
    /// Material key.
    pub material: String,
    /// Along the axis between the datums of the two ends (see [`TubeCut`]).
    pub length_mm: f64,
    /// Start end and far end.
    pub ends: [TubeEnd; 2],
    /// How much of the girth it covers.
    pub cover: Cover,
    /// The old tube that it lies over; `None` for a length that replaces the old one.
    pub over: Option<OldTube>,
    /// Holes: `along_mm` is the station from the start end's datum, `from_edge_mm` the arc along the outside from the zero line.
    pub openings: Vec<Opening>,
    /// Reach (±) of its sizes.
    pub reach_mm: f64,
}

/// How much of the girth a piece covers.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Cover {
    /// All round, closed by a long seam.
    Whole {
        /// Where the long seam stands, from the zero line.
        seam_at_rad: f64,
        /// How the long seam is made.
        seam: LongSeam,
    },
    /// A patch.
    Part {
        /// From, from the zero line.
        from_rad: f64,
        /// How far round.
        girth_rad: f64,
        /// Radius of its corners; only between square ends and the sides.
        corner_radius_mm: f64,
    },
}

/// How the long seam is made.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LongSeam {
    /// Edge to edge.
    Butt {
        /// Gap left for the weld, along the middle of the wall.
        gap_mm: f64,
    },
    /// One edge over the other.
    Lap {
        /// Overlap.
        lap_mm: f64,
    },
}

/// The old tube under a sleeve or a patch.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct OldTube {
    /// Its outside diameter.
    pub outside_diameter_mm: f64,
    /// Lap of the old wall that stays under each edge of the piece (handbook H8).
    pub lap_mm: f64,
}

impl Tube {
    /// Radius of a wall, mm.
    #[must_use]
    pub fn radius_mm(&self, wall: Wall) -> f64 {
        let outside = 0.5 * self.outside_diameter_mm;
        match wall {
            Wall::Outside => outside,
            Wall::Middle => outside - 0.5 * self.thickness_mm,
            Wall::Inside => outside - self.thickness_mm,
        }
    }

    /// Where the piece starts round the girth, and how far it goes before a lap of its long seam, rad.
    #[must_use]
    pub fn girth(&self) -> (f64, f64) {
        match self.cover {
            Cover::Whole { seam_at_rad, seam: LongSeam::Butt { gap_mm } } => {
                (seam_at_rad, TAU - gap_mm / self.radius_mm(Wall::Middle))
            }
            Cover::Whole { seam_at_rad, .. } => (seam_at_rad, TAU),
            Cover::Part { from_rad, girth_rad, .. } => (from_rad, girth_rad),
        }
    }

    /// Lap of the long seam, mm; 0 without one.
    #[must_use]
    pub const fn seam_lap_mm(&self) -> f64 {
        match self.cover {
            Cover::Whole { seam: LongSeam::Lap { lap_mm }, .. } => lap_mm,
            _ => 0.0,
        }
    }

    /// True when it closes all round.
    #[must_use]
    pub const fn is_whole(&self) -> bool {
        matches!(self.cover, Cover::Whole { .. })
    }

    /// Station in the flat at which end `end` (0 start, 1 far) is cut, at an angle round the girth; metal that a flattened end
    /// takes up on its way is added. NaN where a saddle misses its main tube.
    #[must_use]
    pub fn cut_station_mm(&self, end: usize, angle_rad: f64) -> f64 {
        let [start, far] = &self.ends;
        match end {
            0 => start.depth_mm(self, angle_rad),
            _ => self.length_mm - far.depth_mm(self, angle_rad),
        }
    }

    /// Length between the datums of the ends of a tube that measures `tip_to_tip_mm` between two squares laid to its tips.
    #[must_use]
    pub fn axis_length_mm(&self, tip_to_tip_mm: f64) -> f64 {
        tip_to_tip_mm + self.ends.iter().map(|end| end.tip_depth_mm(self)).sum::<f64>()
    }

    /// Which way angles run round the finished tube, seen from the start end looking along it.
    #[must_use]
    pub const fn turns(&self) -> &'static str {
        if self.mirrored { "anticlockwise" } else { "clockwise" }
    }
}
