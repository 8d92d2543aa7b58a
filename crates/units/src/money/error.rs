//! What can be wrong with an amount of money.

use super::Currency;

/// Why an amount or a price was refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum MoneyError {
    /// The text is not an amount.
    #[error("\"{read}\" is not an amount of money; write for example GBP 120.00 or 120.00 EUR")]
    NotUnderstood {
        /// What was written.
        read: String,
    },
    /// A comma that could be a decimal or a thousands mark.
    #[error("\"{read}\" could mean {} or {}; write it with a point or without a mark", readings[0], readings[1])]
    Ambiguous {
        /// What was written.
        read: String,
        /// Both readings.
        readings: [String; 2],
    },
    /// A currency code that is not known.
    #[error("\"{read}\" is not a known currency code; ISO 4217 codes such as GBP, EUR, USD, JPY are accepted")]
    UnknownCurrency {
        /// What was written.
        read: String,
    },
    /// More decimals than the currency has.
    #[error("\"{read}\" has more decimals than {currency} has minor digits ({places})")]
    TooManyDigits {
        /// What was written.
        read: String,
        /// The currency.
        currency: Currency,
        /// Its minor digits.
        places: u32,
    },
    /// Two currencies in one sum.
    #[error("{left} and {right} cannot be added; give every price in one currency")]
    Currencies {
        /// Currency of the left amount.
        left: Currency,
        /// Currency of the right amount.
        right: Currency,
    },
    /// Beyond what is counted.
    #[error("the amount is too large; up to 92 233 720 368 547 758 minor units are counted")]
    TooLarge,
    /// A split without weights.
    #[error("an amount cannot be split: give at least one weight above zero")]
    NoWeights,
    /// A rate outside its range.
    #[error("{name} is {got}; {need} is accepted")]
    Rate {
        /// Which rate.
        name: &'static str,
        /// What it was.
        got: String,
        /// What is accepted.
        need: &'static str,
    },
}
