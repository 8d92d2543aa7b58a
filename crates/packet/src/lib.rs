//! Drawings once, rendered as SVG, DXF and PDF; the documents that leave the shop.
//!
//! Lower half (knows no job, section or price):
//! - [`drawing`]: the model, mm, y up, layers with ISO 128 line types;
//! - [`font`]: the one typeface and its extents;
//! - [`svg`], [`dxf`], [`pdf`]: renderers; [`page`] is a sheet of paper with drawings placed on it;
//! - [`sheet`] dresses a page with frame and title block; [`tiles`] splits a full-size drawing over sheets of office paper.
//!
//! Upper half: [`drawings`] made from a plan, [`documents`] written from a job and its plan.
//!
//! **Invariant:** renderers see [`drawing::Stroke`]s and know nothing of each other.
//! **Invariant:** no clock, no file, no system font; the same drawing gives the same bytes.

pub mod documents;
pub mod drawing;
pub mod drawings;
pub mod dxf;
mod error;
pub mod font;
pub mod number;
pub mod page;
pub mod pdf;
pub mod sheet;
pub mod svg;
pub mod tiles;

pub use documents::{PacketFile, preview, write_packet};
pub use drawing::Drawing;
pub use error::PacketError;
