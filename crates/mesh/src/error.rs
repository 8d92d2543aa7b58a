//! What can be wrong with a surface.

use crate::topology::SkinFaults;
use numerics::Cancelled;
use thiserror::Error;

/// A fault of a surface or of an outline that is to be filled with triangles.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum MeshError {
    /// A coordinate is not a finite number.
    #[error("point {index} of the surface is not finite; check the lengths and angles it was made from")]
    NotFinite {
        /// Counted from 0.
        index: usize,
    },
    /// A triangle names a point that is not there, or one point twice.
    #[error(
        "triangle {index} names a point twice or one that does not exist ({points} points); give three different points"
    )]
    BadTriangle {
        /// Counted from 0.
        index: usize,
        /// Number of points.
        points: usize,
    },
    /// A triangle has no tag.
    #[error("triangle {index} has no tag ({tags} tags); give every triangle a tag from the list")]
    NoTag {
        /// Counted from 0.
        index: usize,
        /// Number of tags.
        tags: usize,
    },
    /// An edge is used twice in the same direction: the triangles on either side face different ways, or more than two meet there.
    #[error(
        "the edge between points {from} and {to} is used twice in one direction; triangles beside each other must face the same way"
    )]
    Inconsistent {
        /// Point.
        from: u32,
        /// Point.
        to: u32,
    },
    /// Outlines that are to be filled cross.
    #[error("outlines cross near ({x_mm:.2}, {y_mm:.2}) mm; give outlines that do not touch")]
    OutlinesCross {
        /// Where.
        x_mm: f64,
        /// Where.
        y_mm: f64,
    },
    /// The skin cannot be worked on.
    #[error(transparent)]
    Unsound(#[from] SkinFaults),
    /// A setting beyond its range.
    #[error("the {name} is {got}; {need}")]
    Setting {
        /// What is set.
        name: &'static str,
        /// What was given.
        got: f64,
        /// What would be accepted.
        need: &'static str,
    },
    /// A point or a direction that something is asked about is no place or leads nowhere.
    #[error("the {name} ({x}, {y}, {z}) cannot be used; {need}")]
    Place {
        /// "point", "direction".
        name: &'static str,
        /// What was given.
        x: f64,
        /// What was given.
        y: f64,
        /// What was given.
        z: f64,
        /// What would be accepted.
        need: &'static str,
    },
    /// A cutting curve is no simple closed line.
    #[error(
        "the cutting curve has fewer than three corners, or touches or crosses itself, near ({x_mm:.2}, {y_mm:.2}) mm of its plane; draw it as one simple closed line"
    )]
    CurveCrosses {
        /// Where, in the plane of the curve.
        x_mm: f64,
        /// Where, in the plane of the curve.
        y_mm: f64,
    },
    /// Nothing of the skin lies inside a cutting curve.
    #[error(
        "the cutting curve misses the skin: nothing of it lies inside; check the place and the direction of the curve"
    )]
    CurveMissesSkin,
    /// The whole skin lies inside a cutting curve of which the outside is to be kept.
    #[error("the cutting curve takes the whole skin away; keep its inside, or draw it smaller")]
    NothingLeft,
    /// Somebody asked the work to stop.
    #[error(transparent)]
    Cancelled(#[from] Cancelled),
}
