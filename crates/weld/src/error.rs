//! What can keep heat, shrinkage or a shell from being worked out.

use glam::DVec3;
use numerics::Cancelled;
use numerics::cholesky::CholeskyError;
use numerics::eigen::EigenError;

/// A fault of what a calculation was given, or its being stopped.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum WeldError {
    /// No triangle.
    #[error("the panel has no triangle; give a surface, not points alone")]
    Empty,
    /// A number that is not finite.
    #[error("{what} {index} is not finite; check the figures it was made from")]
    NotFinite {
        /// "point", "force on node" …
        what: &'static str,
        /// Counted from 0.
        index: usize,
    },
    /// A number beyond its range.
    #[error("the {name} is {got}; {need}")]
    OutOfRange {
        /// What is given, with its unit.
        name: &'static str,
        /// Given.
        got: f64,
        /// What would be accepted.
        need: &'static str,
    },
    /// Something named by a number that is not there.
    #[error("{what} {got} does not exist; there are {count}, counted from 0")]
    NoSuch {
        /// "point", "triangle", "sheet" …
        what: &'static str,
        /// Given.
        got: usize,
        /// How many there are.
        count: usize,
    },
    /// As many numbers as triangles were expected.
    #[error("{what} has {got} entries; {need} are needed, one for each triangle")]
    WrongLength {
        /// What was given.
        what: &'static str,
        /// Given.
        got: usize,
        /// Needed.
        need: usize,
    },
    /// A triangle without area, or next to none.
    #[error("triangle {triangle} at {} has no area to speak of; merge its points or remesh", place(*.at_mm))]
    Degenerate {
        /// Counted from 0.
        triangle: usize,
        /// Its centre.
        at_mm: DVec3,
    },
    /// A direction that is none: of zero length, or square to the triangle it is to lie in.
    #[error("the {what} {index} has no direction; give a unit vector, for a strain one that lies in the sheet")]
    NoDirection {
        /// "axis of hold" …
        what: &'static str,
        /// Counted from 0.
        index: usize,
    },
    /// The panel is in several parts, and one of them nothing holds.
    #[error(
        "the panel is torn into {parts} parts, and nothing holds the one at {}; join the parts or hold each", place(*.at_mm)
    )]
    Torn {
        /// How many parts.
        parts: usize,
        /// A point of the loose part.
        at_mm: DVec3,
    },
    /// The mesh itself is unsound.
    #[error(transparent)]
    Mesh(#[from] mesh::MeshError),
    /// No boundary of the piece lies on an edge that joins.
    #[error("no edge of the piece lies where it is to be joined; give the edge that takes the joint")]
    NoJoinedEdge,
    /// The panel round a piece would fold over.
    #[error(
        "a panel of {band_mm:.0} mm round the piece runs into itself at {}; give a narrower one", place(*.at_mm)
    )]
    BandMeetsItself {
        /// Where the edge turns too tightly.
        at_mm: DVec3,
        /// Width asked for.
        band_mm: f64,
    },
    /// The stiffness could not be factored.
    #[error("the shell cannot be solved: {0}")]
    Stiffness(#[from] CholeskyError),
    /// No buckling modes.
    #[error("the least buckling load cannot be found: {0}")]
    Eigen(EigenError),
    /// Stopped.
    #[error(transparent)]
    Cancelled(#[from] Cancelled),
}

fn place(at: DVec3) -> String {
    format!("({:.1}, {:.1}, {:.1})", at.x, at.y, at.z)
}

impl From<EigenError> for WeldError {
    fn from(error: EigenError) -> Self {
        match error {
            EigenError::Cancelled(cancelled) => Self::Cancelled(cancelled),
            other => Self::Eigen(other),
        }
    }
}
