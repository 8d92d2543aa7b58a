//! What a finished skin is checked against and formed over: checking templates, buck slices, hammerform outlines.
//!
//! Geometry only: outlines are chains of straights and arcs in mm with their frame in space; drawings are made from them elsewhere.
//! The sections come from [`mesh::sections`]; a skin given at one face of the sheet is first moved to the face that is touched
//! ([`FacedSkin`]).
//! Holds: every outline is closed, simple and anticlockwise round its material; a section's curve keeps to the mesh within
//! the tolerance asked for. What the mesh itself is off the true surface comes on top.
//! Sizes of cards, slots and clearances are shop settings, no source.
//! Vehicle axes: x forward, y to the left, z up.

pub mod buck;

mod card;
mod checking;
mod error;
mod faced;
mod hammerform;
mod label;
mod settings;
mod spans;

#[cfg(test)]
mod tests;

pub use card::{CardMark, MarkKind};
pub use checking::{CheckingTemplate, Datum, DatumLine, StationOrder, checking_template};
pub use error::TemplateError;
pub use faced::FacedSkin;
pub use hammerform::{EdgeRuns, FormPlane, Hammerform, HammerformOrder, hammerform};
pub use label::{Points, TemplateLabel};
pub use settings::CardSettings;
