//! Tables and rules of the trade with their sources, and the working of every figure.

pub mod concern;
pub mod working;

pub use concern::{Concern, Grade, LiftedBy};
pub use working::{Given, Source, SourceKind, Working};
