//! Why a skin could not be developed.

use crate::BlankError;
use crate::flatten::FlattenError;
use thiserror::Error;

/// A skin that cannot be developed: what, where, what would be accepted.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum SkinError {
    /// The flattening refused.
    #[error(transparent)]
    Flatten(#[from] FlattenError),
    /// The skin has faults.
    #[error(transparent)]
    Skin(#[from] mesh::topology::SkinFaults),
    /// A question to the surface was refused.
    #[error(transparent)]
    Mesh(#[from] mesh::MeshError),
    /// A make-up or a bend rule refused.
    #[error("edge {edge}: {fault}")]
    Edge {
        /// Which edge.
        edge: String,
        /// Why.
        fault: BlankError,
    },
    /// A rule of the handbook refused its inputs.
    #[error(transparent)]
    Rule(#[from] handbook::RuleError),
    /// No edge is named.
    #[error("no edge is named; name at least one, with the corner where it starts")]
    NoEdges,
    /// A corner does not lie on the boundary.
    #[error(
        "the start of edge {edge} is {distance_mm:.1} mm from the skin's outer boundary; at most {allowed_mm:.1} mm is accepted"
    )]
    OffBoundary {
        /// Which edge.
        edge: String,
        /// How far.
        distance_mm: f64,
        /// Accepted.
        allowed_mm: f64,
    },
    /// Corners do not follow one another along the boundary.
    #[error(
        "the start of edge {edge} does not follow that of {before}; give the edges in order round the skin, anticlockwise seen from \
         outside (the sheet to the left), each corner once and at least 2 mm on"
    )]
    CornerOrder {
        /// Which edge.
        edge: String,
        /// The edge before it.
        before: String,
    },
    /// A number is out of its range.
    #[error("{what} is {got}; {accepted} is accepted")]
    OutOfRange {
        /// Which.
        what: String,
        /// Given.
        got: f64,
        /// Accepted.
        accepted: &'static str,
    },
    /// The material is not in the handbook.
    #[error("material '{key}' is not in the handbook; give one of its keys")]
    UnknownMaterial {
        /// Given.
        key: String,
    },
    /// An opening is not on the skin.
    #[error("the opening {name} is {distance_mm:.1} mm off the skin; its middle must lie on it to {allowed_mm:.1} mm")]
    OffSkin {
        /// Which.
        name: String,
        /// How far.
        distance_mm: f64,
        /// Accepted.
        allowed_mm: f64,
    },
    /// A seam line does not cut the skin in two.
    #[error("the seam does not cut the piece in two: {why}")]
    BadSeam {
        /// Why.
        why: &'static str,
    },
    /// Stopped.
    #[error("stopped; nothing was lost")]
    Cancelled,
}
