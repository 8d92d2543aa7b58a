//! A band from the corners of what was said on the telephone.

use crate::{Price, PriceRange, ShopError};
use units::Money;

/// The band over prices of the low and the high corner of the answers: the lowest low, the mean of the middles, the
/// highest high; net of tax. Nothing when there is no price.
///
/// # Errors
/// [`ShopError::Money`] when the prices are of different currencies or too large.
pub fn band<'a>(corners: impl IntoIterator<Item = &'a Price>) -> Result<Option<PriceRange>, ShopError> {
    let corners: Vec<&PriceRange> = corners.into_iter().map(|price| &price.net).collect();
    let Some(first) = corners.first() else { return Ok(None) };
    let middles = Money::sum(corners.iter().map(|range| range.middle), first.middle.currency)
        .map_err(|error| ShopError::Money { key: "price".into(), error })?;
    let count = i64::try_from(corners.len()).unwrap_or(1);
    let least = corners.iter().map(|range| range.low.minor).min().unwrap_or(first.low.minor);
    let most = corners.iter().map(|range| range.high.minor).max().unwrap_or(first.high.minor);
    let currency = first.middle.currency;
    Ok(Some(PriceRange {
        low: Money::new(least, currency),
        middle: Money::new(middles.minor / count, currency),
        high: Money::new(most, currency),
    }))
}
