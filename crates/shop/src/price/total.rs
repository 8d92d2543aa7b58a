//! Several sections together.

use super::{tax_line, with_tax};
use crate::{LineClass, Price, PriceRange, QuoteLine, ShopError, ShopSettings};
use units::Money;

/// Adds the prices of sections: lines one after another, tax once on the whole, ranges combined as independent (the half
/// widths by root of the sum of squares). Nothing when there is no price.
///
/// # Errors
/// [`ShopError::Money`] when amounts do not add up in one currency.
pub fn total(prices: &[&Price], settings: &ShopSettings) -> Result<Option<Price>, ShopError> {
    total_with(prices, None, settings)
}

/// [`total`], less what is saved by making pieces as sets.
///
/// # Errors
/// As [`total`].
pub fn total_with(
    prices: &[&Price],
    saving: Option<QuoteLine>,
    settings: &ShopSettings,
) -> Result<Option<Price>, ShopError> {
    if prices.is_empty() {
        return Ok(None);
    }
    let currency = settings.money.currency;
    let sum = |pick: fn(&Price) -> Money| {
        Money::sum(prices.iter().map(|price| pick(price)), currency)
            .map_err(|error| ShopError::Money { key: "price".into(), error })
    };
    let singly = sum(|price| price.net.middle)?;
    let saved = saving.as_ref().map_or(0, |line| line.amount.minor);
    let middle = Money::new(singly.minor.saturating_add(saved), currency);
    let spread = |pick: fn(&PriceRange) -> i64| {
        let squares: f64 =
            prices.iter().map(|price| ((price.net.middle.minor - pick(&price.net)) as f64).powi(2)).sum();
        squares.sqrt().round() as i64
    };
    let net = PriceRange {
        low: Money::new(middle.minor.saturating_sub(spread(|range| range.low.minor)), currency),
        middle,
        high: Money::new(middle.minor.saturating_add(spread(|range| range.high.minor)), currency),
    };
    let mut lines: Vec<QuoteLine> = prices
        .iter()
        .flat_map(|price| price.lines.iter().filter(|line| line.class != LineClass::Tax).cloned())
        .collect();
    let minutes_saved = saving.as_ref().map_or(0.0, minutes_of);
    lines.extend(saving);
    lines.push(tax_line(middle, settings)?);
    let next: Option<Vec<Money>> = prices.iter().map(|price| price.next_one).collect();
    let next_one = match next {
        Some(next) => Money::sum(next, currency).ok(),
        None => None,
    };
    Ok(Some(Price {
        lines,
        gross: PriceRange {
            low: with_tax(net.low, settings)?,
            middle: with_tax(net.middle, settings)?,
            high: with_tax(net.high, settings)?,
        },
        net,
        minutes: (prices.iter().map(|price| price.minutes).sum::<f64>() - minutes_saved).max(0.0),
        said_on_the_phone: prices.iter().any(|price| price.said_on_the_phone),
        next_one,
    }))
}

/// Minutes that stand in the working of a saving.
fn minutes_of(line: &QuoteLine) -> f64 {
    let minutes = line.working.inputs.iter().filter(|given| given.unit == "min");
    minutes.map(|given| given.value).sum()
}
