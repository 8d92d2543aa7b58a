//! Why a skin could not be flattened.

use numerics::cholesky::CholeskyError;
use thiserror::Error;

/// A flattening that could not start.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum FlattenError {
    /// The skin has faults.
    #[error(transparent)]
    Skin(#[from] mesh::topology::SkinFaults),
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
    /// A given start has the wrong number of points.
    #[error("the given start has {got} points; the skin has {need}")]
    StartLength {
        /// Given.
        got: usize,
        /// Needed.
        need: usize,
    },
    /// The start has triangles turned over, without area or not finite.
    #[error("{triangles} triangles of the start are turned over or have no area; start from the panel instead")]
    StartTurnedOver {
        /// How many.
        triangles: usize,
    },
    /// An edge that is to be held is not on the boundary.
    #[error("points {from} and {to} are not an edge of the skin's boundary; only boundary edges are held to length")]
    NotABoundaryEdge {
        /// Point.
        from: u32,
        /// Point.
        to: u32,
    },
    /// A named edge is no chain of points with a length.
    #[error("the edge {name} has fewer than two points, one that the skin lacks, or no length")]
    BadEdge {
        /// Its name.
        name: String,
    },
    /// The sparse solver refused.
    #[error(transparent)]
    Solver(#[from] CholeskyError),
    /// Stopped before there was any flat, or without waiting for one.
    #[error("stopped before there was a flat; nothing was lost")]
    Cancelled,
}
