//! Price from cost, and tax, with the rounding point named (handbook E1, E9).

use super::{Money, MoneyError, Rounding};
use rust_decimal::Decimal;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Where tax is rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum TaxRounding {
    /// Once, on the sum of all lines.
    #[default]
    OnTotal,
    /// On every line, then added.
    PerLine,
}

/// Price whose share `margin` is profit: cost/(1 − margin), not rounded.
///
/// # Errors
/// [`MoneyError::Rate`] outside 0 ≤ margin < 1; [`MoneyError::TooLarge`].
pub fn price_by_margin(cost: Decimal, margin: Decimal) -> Result<Decimal, MoneyError> {
    if margin < Decimal::ZERO || margin >= Decimal::ONE {
        return Err(rate("margin", margin, "0 or more and below 1 (0.20 for 20 %)"));
    }
    cost.checked_div(Decimal::ONE - margin).ok_or(MoneyError::TooLarge)
}

/// Price by an addition to cost: cost·(1 + markup), not rounded.
///
/// # Errors
/// [`MoneyError::Rate`] outside 0 ≤ markup ≤ 10; [`MoneyError::TooLarge`].
pub fn price_by_markup(cost: Decimal, markup: Decimal) -> Result<Decimal, MoneyError> {
    if markup < Decimal::ZERO || markup > Decimal::TEN {
        return Err(rate("markup", markup, "0 to 10 (0.20 for 20 %)"));
    }
    cost.checked_mul(Decimal::ONE + markup).ok_or(MoneyError::TooLarge)
}

/// Tax at `tax_rate` (0.20 for 20 %) on net lines, rounded where `point` says; the lines must share a currency.
///
/// # Errors
/// [`MoneyError::Rate`] outside 0 ≤ rate ≤ 1; [`MoneyError::Currencies`]; [`MoneyError::NoWeights`] without a line.
pub fn tax(lines: &[Money], tax_rate: Decimal, point: TaxRounding, rounding: Rounding) -> Result<Money, MoneyError> {
    if tax_rate < Decimal::ZERO || tax_rate > Decimal::ONE {
        return Err(rate("tax rate", tax_rate, "0 to 1 (0.20 for 20 %)"));
    }
    let currency = lines.first().ok_or(MoneyError::NoWeights)?.currency;
    match point {
        TaxRounding::OnTotal => Money::sum(lines.iter().copied(), currency)?.times(tax_rate, rounding),
        TaxRounding::PerLine => {
            let mut sum = Money::zero(currency);
            for line in lines {
                sum = sum.checked_add(line.times(tax_rate, rounding)?)?;
            }
            Ok(sum)
        }
    }
}

fn rate(name: &'static str, got: Decimal, need: &'static str) -> MoneyError {
    MoneyError::Rate { name, got: got.to_string(), need }
}
