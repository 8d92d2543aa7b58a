//! The job file: what a person said or measured, and nothing else.
//!
//! `format = 1`. Dimensions are written as the shop writes them ([`units::Dimension`] keeps the text). The same model is
//! read from TOML, kept by the store as JSON, edited by the web page and printed as JSON Schema. Unknown keys are refused,
//! so that a misspelt measurement is never ignored. `resolve` turns it into the plain numbers of `section`.

mod card;
mod pattern;
mod piece;
mod seam;
mod section;
mod skin;
mod tube;

pub use card::*;
pub use pattern::*;
pub use piece::*;
pub use seam::*;
pub use section::*;
pub use skin::*;
pub use tube::*;
