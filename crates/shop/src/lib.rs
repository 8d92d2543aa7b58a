//! Stock, machines, operations, minutes and price.
//!
//! [`ShopSettings`] holds what the shop has set. [`operations()`] turns the blanks of a section into operations in order
//! with minutes; [`price()`] turns those into a price with every line and a range; [`machine_concerns`] says what the
//! shop's machines cannot do; [`promise`] counts working days from a given date; [`decline_reply`] says no kindly;
//! [`learn()`] turns the shop's own times into factors.
//!
//! Holds: pure functions of their arguments (no clock, no file); sums of the printed lines equal the net price; money is
//! never a binary fraction. Does not hold: nesting (metal is charged by the box round a blank), overtime.

pub mod calendar;
pub mod decline;
pub mod learn;
pub mod limits;
pub mod operation;
pub mod operations;
pub mod price;
pub mod quote;
pub mod settings;
pub mod work;

mod error;

pub use calendar::{PromisedDates, date_in_words, promise};
pub use decline::{Declined, decline_reply};
pub use error::ShopError;
pub use learn::{ActualTime, learn};
pub use limits::machine_concerns;
pub use operation::*;
pub use operations::operations;
pub use price::{band, price};
pub use quote::*;
pub use settings::*;
pub use work::{PieceShape, PieceWork, SeamHeld, SeamWork, SectionWork, StepWork, SubAssembly, TubeWork};

#[cfg(test)]
mod tests;
