//! Development: from the designed piece to the flat blank.
//!
//! [`Blank`] is the report of a development: outline, folds, holes, marks, strains, concerns and the working of every
//! figure. It is plain data in mm; drawings are made from it elsewhere.

pub mod flatten;
pub mod folded;
pub mod report;
pub mod ring;
pub mod ruled;
pub mod skin;
pub mod strip;
pub mod templates;
pub mod tube;

mod error;
mod flat_surface;
mod hole_finish;
mod reliefs;
mod settings;

pub use error::BlankError;
pub use flat_surface::flat_surface;
pub use hole_finish::hole_finish;
pub use reliefs::{EdgeVerdict, edge_verdict};
pub use report::*;
pub use settings::{DevelopSettings, material_name, material_of};
