//! Plane sections of a [`crate::Skin`], joined to lines and reduced to clean curves of straights and arcs.
//!
//! Model: a point within [`ON_PLANE_MM`] of the plane lies in it. Such points count as above the plane (simulation of simplicity:
//! H. Edelsbrunner, E. P. Mücke, *ACM Trans. Graphics* 9 (1990) 66–104, from memory), so that every triangle that is cut is
//! cut once and lines are joined by the mesh's edges, never by nearness.
//! Holds: a line runs from boundary to boundary or closes; it passes through points and along edges that lie in the plane,
//! exactly; none is broken or doubled; the outside of the sheet is to the left of the line, seen against the plane's normal.
//! An edge of the sheet that lies in the plane is part of the section, whichever side the sheet is on.
//! Left out: where the plane only touches (a summit, a crease with the sheet on one side). Refused: triangles lying in the plane.
//! Units: mm. Frame: [`SectionPlane`].

mod arcs;
mod cut;
mod fit;
mod link;
mod plane;

#[cfg(test)]
mod tests;

pub use arcs::{ArcChain, ArcStep, ArcVertex};
pub use cut::{LevelLine, ON_PLANE_MM, Place, SectionCutter, SectionLine, SectionPoint};
pub use fit::{Fit, FitSettings};
pub use plane::SectionPlane;

use crate::topology::SkinFaults;
use glam::DVec3;

/// Why there is no section.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SectionError {
    /// The skin has faults.
    #[error(transparent)]
    Skin(#[from] SkinFaults),
    /// A number is not finite.
    #[error("{what} is not finite; give numbers in mm")]
    NotFinite {
        /// Which.
        what: &'static str,
    },
    /// A direction has no length.
    #[error("{what} has no length; give a direction, such as (1, 0, 0)")]
    NoDirection {
        /// Which.
        what: &'static str,
    },
    /// The two directions of a plane are parallel.
    #[error("the direction along and the direction up of the plane are parallel; give two that are 1° apart or more")]
    Parallel,
    /// A setting is out of its range.
    #[error("{name} is {got}; {accepted} is accepted")]
    OutOfRange {
        /// Which.
        name: &'static str,
        /// Given.
        got: f64,
        /// What would be accepted.
        accepted: &'static str,
    },
    /// The plane passes the skin by, or only touches it.
    #[error(
        "the plane does not cut the skin: the skin lies {lowest_mm:.2} to {highest_mm:.2} mm from it along its normal; \
         move the plane along its normal by a distance between those two"
    )]
    Misses {
        /// Lowest point of the skin over the plane.
        lowest_mm: f64,
        /// Highest.
        highest_mm: f64,
    },
    /// Triangles lie in the plane: the section is an area there, not a line.
    #[error(
        "the skin lies flat in the plane at ({:.1}, {:.1}, {:.1}); move the plane by 0.01 mm or more, or turn it",
        .at_mm.x, .at_mm.y, .at_mm.z
    )]
    FlatInPlane {
        /// Triangle.
        triangle: usize,
        /// Its centre.
        at_mm: DVec3,
    },
}
