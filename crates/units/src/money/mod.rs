//! Money in whole minor units (pence, cents, yen), never in binary fractions.
//!
//! Holds: sums are exact and checked; a split loses nothing; every rounding is named by its caller ([`Rounding`],
//! [`TaxRounding`]). Does not hold: exchange between currencies; two currencies never mix.

mod currency;
mod error;
mod price;

pub use currency::Currency;
pub use error::MoneyError;
pub use price::{TaxRounding, price_by_margin, price_by_markup, tax};

use rust_decimal::{Decimal, RoundingStrategy};
use schemars::JsonSchema;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;
use std::str::FromStr;

/// How an amount that falls between two minor units is rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Rounding {
    /// Halves away from zero: 0.125 becomes 0.13.
    #[default]
    HalfUp,
    /// Halves to the even neighbour: 0.125 becomes 0.12.
    HalfEven,
}

impl Rounding {
    const fn strategy(self) -> RoundingStrategy {
        match self {
            Self::HalfUp => RoundingStrategy::MidpointAwayFromZero,
            Self::HalfEven => RoundingStrategy::MidpointNearestEven,
        }
    }
}

/// An amount of money: whole minor units of one currency.
///
/// In a file it is a string, "GBP 666.27"; "666.27 GBP" is read too.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Money {
    /// Minor units (pence, cents; yen for JPY; thousandths for KWD).
    pub minor: i64,
    /// The currency.
    pub currency: Currency,
}

impl Money {
    /// An amount of `minor` minor units.
    pub const fn new(minor: i64, currency: Currency) -> Self {
        Self { minor, currency }
    }

    /// Nothing, in `currency`.
    pub const fn zero(currency: Currency) -> Self {
        Self::new(0, currency)
    }

    /// Rounds an exact amount in major units (pounds, dollars) to minor units.
    ///
    /// # Errors
    /// [`MoneyError::TooLarge`].
    pub fn from_decimal(amount: Decimal, currency: Currency, rounding: Rounding) -> Result<Self, MoneyError> {
        let places = currency.minor_digits();
        let rounded = amount.round_dp_with_strategy(places, rounding.strategy());
        let minor = rounded.checked_mul(Decimal::from(10u64.pow(places))).and_then(|minor| i64::try_from(minor).ok());
        minor.map(|minor| Self::new(minor, currency)).ok_or(MoneyError::TooLarge)
    }

    /// The amount in major units, exact.
    pub fn to_decimal(self) -> Decimal {
        Decimal::from_i128_with_scale(i128::from(self.minor), self.currency.minor_digits())
    }

    /// Sum.
    ///
    /// # Errors
    /// [`MoneyError::Currencies`], [`MoneyError::TooLarge`].
    pub fn checked_add(self, other: Self) -> Result<Self, MoneyError> {
        self.same_currency(other)?;
        self.minor.checked_add(other.minor).map(|minor| Self { minor, ..self }).ok_or(MoneyError::TooLarge)
    }

    /// Difference.
    ///
    /// # Errors
    /// [`MoneyError::Currencies`], [`MoneyError::TooLarge`].
    pub fn checked_sub(self, other: Self) -> Result<Self, MoneyError> {
        self.same_currency(other)?;
        self.minor.checked_sub(other.minor).map(|minor| Self { minor, ..self }).ok_or(MoneyError::TooLarge)
    }

    /// The amount times a rate or a count (hours, kilograms), rounded once.
    ///
    /// # Errors
    /// [`MoneyError::TooLarge`].
    pub fn times(self, factor: Decimal, rounding: Rounding) -> Result<Self, MoneyError> {
        let product = self.to_decimal().checked_mul(factor).ok_or(MoneyError::TooLarge)?;
        Self::from_decimal(product, self.currency, rounding)
    }

    /// Sum of many amounts; nothing in `currency` when there are none.
    ///
    /// # Errors
    /// [`MoneyError::Currencies`], [`MoneyError::TooLarge`].
    pub fn sum(amounts: impl IntoIterator<Item = Self>, currency: Currency) -> Result<Self, MoneyError> {
        amounts.into_iter().try_fold(Self::zero(currency), Self::checked_add)
    }

    /// Splits by weights without loss: largest remainder, ties to the first (handbook E8).
    ///
    /// # Errors
    /// [`MoneyError::NoWeights`] when all weights are zero or there are none.
    pub fn split(self, weights: &[u32]) -> Result<Vec<Self>, MoneyError> {
        let total: i128 = weights.iter().copied().map(i128::from).sum();
        if total == 0 {
            return Err(MoneyError::NoWeights);
        }
        let sign = i128::from(self.minor.signum());
        let amount = i128::from(self.minor).abs();
        let mut shares: Vec<i128> = weights.iter().map(|&weight| amount * i128::from(weight) / total).collect();
        let left_over = amount - shares.iter().sum::<i128>();
        let mut by_remainder: Vec<usize> = (0..weights.len()).collect();
        by_remainder.sort_by_key(|&i| {
            let remainder = weights.get(i).map_or(0, |&weight| amount * i128::from(weight) % total);
            (std::cmp::Reverse(remainder), i)
        });
        let extra = usize::try_from(left_over).unwrap_or(0);
        for &i in by_remainder.iter().take(extra) {
            if let Some(share) = shares.get_mut(i) {
                *share += 1;
            }
        }
        let money = |share: i128| i64::try_from(sign * share).map(|minor| Self { minor, ..self });
        shares.into_iter().map(money).collect::<Result<_, _>>().map_err(|_| MoneyError::TooLarge)
    }

    fn same_currency(self, other: Self) -> Result<(), MoneyError> {
        if self.currency == other.currency {
            return Ok(());
        }
        Err(MoneyError::Currencies { left: self.currency, right: other.currency })
    }

    /// Reads "GBP 666.27" or "666.27 GBP".
    ///
    /// # Errors
    /// [`MoneyError::NotUnderstood`], [`MoneyError::Ambiguous`] for a doubtful comma, [`MoneyError::TooManyDigits`]
    /// for more decimals than the currency has.
    pub fn parse(text: &str) -> Result<Self, MoneyError> {
        let trimmed = text.trim();
        let read = || crate::error::quoted(trimmed);
        let not_understood = || MoneyError::NotUnderstood { read: read() };
        let is_code = |c: char| c.is_ascii_alphabetic();
        let (code, number) = if trimmed.starts_with(is_code) {
            let end = trimmed.find(|c: char| !is_code(c)).ok_or_else(not_understood)?;
            trimmed.split_at(end)
        } else {
            let end = trimmed.rfind(|c: char| !is_code(c)).ok_or_else(not_understood)?;
            let end = end + trimmed.get(end..).and_then(|rest| rest.chars().next()).map_or(0, char::len_utf8);
            let (number, code) = trimmed.split_at(end);
            (code, number)
        };
        let currency: Currency = code.parse()?;
        let amount = amount(number.trim(), &read(), currency)?;
        Self::from_decimal(amount, currency, Rounding::HalfUp)
    }
}

fn amount(number: &str, read: &str, currency: Currency) -> Result<Decimal, MoneyError> {
    let not_understood = || MoneyError::NotUnderstood { read: read.to_owned() };
    let unsigned = number.strip_prefix('-').unwrap_or(number);
    let point = match unsigned.split_once(',') {
        Some((whole, part)) if part.len() == 3 && currency.minor_digits() != 0 => {
            return Err(MoneyError::Ambiguous {
                read: read.to_owned(),
                readings: [format!("{whole}.{part}"), format!("{whole}{part}")],
            });
        }
        Some((whole, part)) => format!("{whole}.{part}"),
        None => unsigned.to_owned(),
    };
    let (whole, part) = point.split_once('.').unwrap_or((&point, ""));
    let digits_only = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
    if whole.is_empty() || !digits_only(whole) || !digits_only(part) || point.ends_with('.') {
        return Err(not_understood());
    }
    let places = currency.minor_digits();
    if part.len() > places as usize {
        return Err(MoneyError::TooManyDigits { read: read.to_owned(), currency, places });
    }
    let value = Decimal::from_str(&point).map_err(|_| MoneyError::TooLarge)?;
    Ok(if unsigned.len() == number.len() { value } else { -value })
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.currency, self.to_decimal())
    }
}

impl FromStr for Money {
    type Err = MoneyError;
    fn from_str(text: &str) -> Result<Self, MoneyError> {
        Self::parse(text)
    }
}

impl Serialize for Money {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Money {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = std::borrow::Cow::<str>::deserialize(deserializer)?;
        Self::parse(&text).map_err(serde::de::Error::custom)
    }
}

impl JsonSchema for Money {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Money".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "type": "string",
            "pattern": "^[A-Z]{3} -?[0-9]+(\\.[0-9]+)?$",
            "description": "ISO 4217 code and amount, as \"GBP 666.27\""
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_print_with_the_digits_of_their_currency_and_read_back() {
        for (minor, currency, text) in [
            (66_627, Currency::GBP, "GBP 666.27"),
            (-5, Currency::EUR, "EUR -0.05"),
            (1500, Currency::JPY, "JPY 1500"),
            (1234, Currency::KWD, "KWD 1.234"),
        ] {
            let money = Money::new(minor, currency);
            assert_eq!(money.to_string(), text);
            assert_eq!(Money::parse(text), Ok(money));
        }
        assert_eq!(Money::parse("666.27 gbp"), Ok(Money::new(66_627, Currency::GBP)));
        assert_eq!(Money::parse("12,50 EUR"), Ok(Money::new(1250, Currency::EUR)));
    }

    #[test]
    fn doubtful_or_wrong_amounts_are_refused() {
        assert!(matches!(Money::parse("GBP 1,250"), Err(MoneyError::Ambiguous { .. })));
        assert!(matches!(Money::parse("GBP 1.005"), Err(MoneyError::TooManyDigits { .. })));
        assert!(matches!(Money::parse("JPY 1.5"), Err(MoneyError::TooManyDigits { .. })));
        assert!(matches!(Money::parse("12.50 XQQ"), Err(MoneyError::UnknownCurrency { .. })));
        for text in
            ["", "GBP", "12.50", "GBP nan", "GBP 1e3", "GBP 1.", "GBP .5", "GBP --1", "£ 5", "GBP ü", "ü GBP", "5€"]
        {
            assert!(Money::parse(text).is_err(), "{text:?}");
        }
        assert_eq!(Money::parse("GBP 99999999999999999999"), Err(MoneyError::TooLarge));
    }

    #[test]
    fn currencies_never_mix_and_sums_never_wrap() {
        let pound = Money::new(1, Currency::GBP);
        assert!(matches!(pound.checked_add(Money::new(1, Currency::EUR)), Err(MoneyError::Currencies { .. })));
        assert_eq!(Money::new(i64::MAX, Currency::GBP).checked_add(pound), Err(MoneyError::TooLarge));
        assert_eq!(Money::new(i64::MIN, Currency::GBP).checked_sub(pound), Err(MoneyError::TooLarge));
    }

    proptest::proptest! {
        #[test]
        fn any_text_is_answered_without_panic(text in "\\PC{0,24}") {
            let _ = Money::parse(&text);
        }

        #[test]
        fn a_split_loses_nothing(minor in proptest::num::i64::ANY, weights in proptest::collection::vec(0u32..1000, 1..8)) {
            if let Ok(shares) = Money::new(minor, Currency::EUR).split(&weights) {
                let sum: i128 = shares.iter().map(|share| i128::from(share.minor)).sum();
                proptest::prop_assert_eq!(sum, i128::from(minor));
            }
        }

        #[test]
        fn any_amount_reads_back(minor in proptest::num::i64::ANY) {
            for currency in [Currency::GBP, Currency::JPY, Currency::KWD] {
                let money = Money::new(minor, currency);
                proptest::prop_assert_eq!(Money::parse(&money.to_string()), Ok(money));
            }
        }
    }
}
