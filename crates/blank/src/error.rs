//! Why a piece could not be developed.

use thiserror::Error;

/// A piece that cannot be developed: what, where, what would be accepted.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum BlankError {
    /// The piece itself is faulty.
    #[error(transparent)]
    Section(#[from] section::SectionError),
    /// A bend rule refused its inputs.
    #[error("{place}: {what}")]
    Bend {
        /// Which fold.
        place: String,
        /// The rule's own words.
        what: String,
    },
    /// The flat overlaps itself.
    #[error("the flat of {piece} overlaps itself near ({x_mm:.0}, {y_mm:.0}) mm: {between}; {accepted}")]
    Overlaps {
        /// Which piece.
        piece: String,
        /// Where, in the flat.
        x_mm: f64,
        /// Where, in the flat.
        y_mm: f64,
        /// The two parts that clash.
        between: String,
        /// What would be accepted.
        accepted: String,
    },
}
