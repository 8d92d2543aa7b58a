//! Development: from the designed piece to the flat blank.
//!
//! [`Blank`] is the report of a development: outline, folds, holes, marks, strains, concerns and the working of every
//! figure. It is plain data in mm; drawings are made from it elsewhere.

pub mod report;

mod error;

pub use error::BlankError;
pub use report::*;
