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

use crate::weld_line::WeldLineError;
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
    /// A weld that does not lie on the panel, or is no line.
    #[error(transparent)]
    Line(#[from] WeldLineError),
    /// A test strip from which nothing follows.
    #[error("{what}; {need}")]
    Strip {
        /// What is the matter, with its figures.
        what: String,
        /// What would be accepted.
        need: String,
    },
}
