//! Which face of the sheet a size or a mesh is of, as an option says it.

use clap::ValueEnum;
use section::Face;

/// A face of the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum WhichFace {
    /// The outside face
    Outside,
    /// The middle of the sheet
    Middle,
    /// The inside face
    Inside,
}

impl From<WhichFace> for Face {
    fn from(face: WhichFace) -> Self {
        match face {
            WhichFace::Outside => Self::Outside,
            WhichFace::Middle => Self::Middle,
            WhichFace::Inside => Self::Inside,
        }
    }
}

impl From<WhichFace> for survey::Face {
    fn from(face: WhichFace) -> Self {
        match face {
            WhichFace::Outside => Self::Outside,
            WhichFace::Middle => Self::Middle,
            WhichFace::Inside => Self::Inside,
        }
    }
}
