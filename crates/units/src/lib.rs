//! Shop dimensions, angles and money: reading what people write and printing it back.
//!
//! This is the only room where units are converted. Inside the program a length is `…_mm: f64`, an angle
//! `…_rad: f64`, an amount of money [`Money`]; everything a person typed is a [`Dimension`], which keeps the text.
//!
//! Holds: what is ambiguous is refused with all its readings; NaN, infinities and negative sizes never pass;
//! a value printed and read again differs by at most half the last place printed.
//! Does not know: what a piece is, which tolerance applies, where a value will be used.

pub mod angle;
pub mod dimension;
pub mod error;
pub mod gauge;
pub mod money;
pub mod print;
pub mod quantity;

pub use angle::{bend_from_opening_rad, format_deg, opening_from_bend_rad};
pub use dimension::{Dimension, Reading};
pub use error::UnitError;
pub use gauge::SheetKind;
pub use money::{Currency, Money, MoneyError, Rounding, TaxRounding};
pub use print::{Denominator, Shown, format_feet_inch, format_inch, format_mm};
pub use quantity::{LengthUnit, Quantity};
