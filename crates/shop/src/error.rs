//! Why the shop cannot say what a piece takes or costs.

use crate::SettingFault;
use thiserror::Error;
use units::MoneyError;

/// A fault in the shop's settings, or a price that cannot be made from them.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum ShopError {
    /// The settings could not be read.
    #[error("the shop's settings cannot be read: {0}")]
    Read(String),
    /// Numbers outside their range.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))]
    Settings(Vec<SettingFault>),
    /// A price needs an amount that is not set.
    #[error("there is no {what}, so there is no price; set {key} in the shop's settings (an amount such as \"48.00\")")]
    NoRate {
        /// What is missing ("hourly rate").
        what: String,
        /// Its key in the settings.
        key: String,
    },
    /// No sheet of the rack serves.
    #[error(
        "no sheet of {material} {thickness_mm:.2} mm is in the shop's list, so its metal cannot be priced; the list has {have}; add a [[sheet]] to the shop's settings"
    )]
    NoSheet {
        /// Material asked for.
        material: String,
        /// Thickness asked for.
        thickness_mm: f64,
        /// What there is.
        have: String,
    },
    /// No wire of the rack serves.
    #[error(
        "no wire of {diameter_mm:.2} mm is in the shop's list, so it cannot be priced; add a [[wire]] to the shop's settings"
    )]
    NoWire {
        /// Diameter asked for.
        diameter_mm: f64,
    },
    /// An amount is no money.
    #[error("{key}: {error}")]
    Money {
        /// Where it stands.
        key: String,
        /// What is wrong with it.
        error: MoneyError,
    },
    /// A number that cannot be reckoned with.
    #[error("{what} is {got}; a finite number from {min} to {max} is accepted")]
    OutOfRange {
        /// What.
        what: String,
        /// What it was.
        got: f64,
        /// Smallest accepted.
        min: f64,
        /// Largest accepted.
        max: f64,
    },
    /// A date that is none.
    #[error("\"{read}\" is not a date; write YYYY-MM-DD")]
    Date {
        /// What was written.
        read: String,
    },
}
