//! What a weld leaves behind as it cools: forces, lost width, and the strain that a shell model takes.
//!
//! [`rules`] are the published rules with their spread, [`buckling`] says what a flat panel stands, [`Bead`] is one run or dot and
//! [`Bed::lay`] spreads its shrinkage over the triangles of a shell. [`TestStrip`] replaces the published coefficients by the shop's own.
//! No figure here is one number: the rules were made for plate, so each comes as a [`Range`] (W23). Shrinkage is positive in rules
//! and ranges and negative as strain.

mod bead;
pub mod buckling;
mod lay;
mod overlap;
mod range;
pub mod rules;
mod test_strip;

pub use bead::{Amount, Bead, Dot, Run};
pub use lay::{Bed, Laid, lay};
pub use range::{Range, Ranged};
pub use test_strip::{Factor, HOW_TO_WELD_A_TEST_STRIP, Reading, ShopFactors, TestStrip};

use glam::DVec3;
use handbook::RuleError;
use mesh::MeshError;

/// Why no shrinkage was worked out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ShrinkageError {
    /// A quantity outside its range.
    #[error(transparent)]
    Rule(#[from] RuleError),
    /// The mesh is unsound.
    #[error(transparent)]
    Mesh(#[from] MeshError),
    /// A weld that does not lie on the panel.
    #[error(
        "the {what} lies {distance_mm:.1} mm off the mesh at ({:.1}, {:.1}, {:.1}); it may lie at most {most_mm:.1} mm off",
        at_mm.x, at_mm.y, at_mm.z
    )]
    OffMesh {
        /// "weld line" or "dot".
        what: &'static str,
        /// How far.
        distance_mm: f64,
        /// How far it may lie.
        most_mm: f64,
        /// Where.
        at_mm: DVec3,
    },
    /// A weld line that is none.
    #[error("{what}; give a line of two points or more, all finite and each away from the one before")]
    NoLine {
        /// What is the matter.
        what: String,
    },
    /// A test strip from which nothing follows.
    #[error("{what}; {need}")]
    Strip {
        /// What is the matter, with its figures.
        what: String,
        /// What would be accepted.
        need: String,
    },
}
