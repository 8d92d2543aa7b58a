//! Price of a section: every line shown, a range and never a bare number.
//!
//! Rounding points (handbook E1, E9): costs are carried exact; each printed line is rounded; the net price is rounded once
//! from the exact cost and the margin line takes what is left, so that the lines always add up to the net; tax is rounded
//! once, on the net total. Range: minutes are added as PERT estimates (E10), their deviations as independent, with the
//! shop's shared reach on top; low and high are the prices that one in twenty falls below and above.

mod costs;
mod set;
mod telephone;
mod total;

pub use set::{SetMember, SetMinutes, set_minutes, set_saving};
pub use telephone::band;
pub use total::{total, total_with};

use crate::{LineClass, Operation, Price, PriceRange, QuoteLine, SectionWork, ShopError, ShopSettings};
use costs::Costs;
use handbook::{Source, Working};
use rust_decimal::Decimal;
use units::money::{price_by_margin, tax};
use units::{Currency, Money, TaxRounding};

/// Standard deviations on either side that hold nine cases in ten of a normal distribution.
pub const NINE_IN_TEN: f64 = 1.645;

/// Operations that fall away when the same piece is made again from its kept pattern.
const FIRST_TIME_ONLY: [&str; 4] = ["survey", "set-out", "set-out-from-pattern", "make-templates"];

/// Prices a section from its operations; minutes of the operations are for one of the lot.
///
/// # Errors
/// [`ShopError::NoRate`] names the amount that is not set; [`ShopError::NoSheet`], [`ShopError::NoWire`] what the rack
/// lacks; [`ShopError::Money`] an amount that is no money.
pub fn price(section: &SectionWork<'_>, operations: &[Operation], settings: &ShopSettings) -> Result<Price, ShopError> {
    let costs = Costs::of(section, settings)?;
    let all = Hours::of(operations, section.count(), settings, |_| true);
    let next = next_hours(section, operations, settings);
    let sums = |minutes: f64| costs.net(minutes, settings);
    let net = PriceRange {
        low: sums((all.mean - NINE_IN_TEN * all.deviation).max(0.0))?,
        middle: sums(all.mean)?,
        high: sums(all.mean + NINE_IN_TEN * all.deviation)?,
    };
    let gross = PriceRange {
        low: with_tax(net.low, settings)?,
        middle: with_tax(net.middle, settings)?,
        high: with_tax(net.high, settings)?,
    };
    Ok(Price {
        lines: lines(&costs, operations, section, &net, settings)?,
        gross,
        minutes: all.mean,
        said_on_the_phone: section.said_on_the_phone,
        next_one: Some(sums(next)?),
        net,
    })
}

/// Minutes of the lot with their deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hours {
    /// Mean minutes (PERT).
    pub mean: f64,
    /// Standard deviation, minutes.
    pub deviation: f64,
}

impl Hours {
    /// Adds the operations that `which` lets through, for a lot of `count`.
    pub fn of(
        operations: &[Operation],
        count: f64,
        settings: &ShopSettings,
        which: impl Fn(&Operation) -> bool,
    ) -> Self {
        let (mean, variance) =
            operations.iter().filter(|operation| which(operation)).fold((0.0, 0.0), |(mean, variance), operation| {
                (mean + count * operation.minutes.mean(), variance + (count * operation.minutes.deviation()).powi(2))
            });
        let shared = mean * settings.money.shared_reach_percent / 200.0;
        Self { mean, deviation: (variance + shared * shared).sqrt() }
    }
}

/// Minutes of the same lot again from its kept pattern: survey, set-out and templates fall away, and taking the pattern
/// from the shelf comes in their place.
fn next_hours(section: &SectionWork<'_>, operations: &[Operation], settings: &ShopSettings) -> f64 {
    let again = Hours::of(operations, section.count(), settings, |operation| {
        !FIRST_TIME_ONLY.contains(&operation.kind.as_str())
    });
    let kept = SectionWork {
        kept_pattern: true,
        pieces: section.pieces.clone(),
        sub_assemblies: Vec::new(),
        title: String::new(),
        ..*section
    };
    let shelf = crate::operations(&kept, settings);
    again.mean + Hours::of(&shelf, section.count(), settings, |operation| operation.kind == "set-out-from-pattern").mean
}

fn lines(
    costs: &Costs,
    operations: &[Operation],
    section: &SectionWork<'_>,
    net: &PriceRange,
    settings: &ShopSettings,
) -> Result<Vec<QuoteLine>, ShopError> {
    let mut lines = labour_lines(costs, operations, section, settings)?;
    lines.extend(costs.lines.iter().cloned());
    let all = Hours::of(operations, section.count(), settings, |_| true);
    let labour = costs.labour(all.mean)?;
    let overhead = costs.overhead(labour, settings)?;
    lines.push(QuoteLine {
        what: "share of workshop, tools and power".into(),
        class: LineClass::Overhead,
        quantity: format!("{} %", settings.money.overhead_percent),
        amount: money(overhead, settings)?,
        working: costs.overhead_working(labour, overhead, settings),
    });
    let so_far = Money::sum(lines.iter().map(|line| line.amount), settings.money.currency).map_err(in_sum)?;
    let carriage = costs.carriage.clone();
    let carried = carriage.iter().try_fold(so_far, |sum, line| sum.checked_add(line.amount)).map_err(in_sum)?;
    let margin = net.middle.checked_sub(carried).map_err(in_sum)?;
    lines.push(QuoteLine {
        what: "margin".into(),
        class: LineClass::Margin,
        quantity: format!("{} %", settings.money.margin_percent),
        amount: margin,
        working: costs.margin_working(labour, overhead, margin, settings),
    });
    lines.extend(carriage);
    lines.push(tax_line(net.middle, settings)?);
    Ok(lines)
}

/// Words of a kind of operation on a quote: its hyphens part words, but for the one that belongs to "pre-bend".
fn labour_words(kind: &str) -> String {
    match kind.strip_prefix("pre-") {
        Some(rest) => format!("pre-{}", rest.replace('-', " ")),
        None => kind.replace('-', " "),
    }
}

fn labour_lines(
    costs: &Costs,
    operations: &[Operation],
    section: &SectionWork<'_>,
    settings: &ShopSettings,
) -> Result<Vec<QuoteLine>, ShopError> {
    let mut kinds: Vec<&str> = Vec::new();
    for operation in operations {
        if !kinds.contains(&operation.kind.as_str()) {
            kinds.push(&operation.kind);
        }
    }
    kinds
        .into_iter()
        .map(|kind| {
            let hours = Hours::of(operations, section.count(), settings, |operation| operation.kind == kind);
            let amount = costs.labour(hours.mean)?;
            Ok(QuoteLine {
                what: labour_words(kind),
                class: LineClass::Labour,
                quantity: format!("{:.0} min", hours.mean),
                amount: money(amount, settings)?,
                working: Working::new(
                    format!("labour: {kind}"),
                    to_f64(amount),
                    settings.money.currency.code(),
                    "rate·minutes/60, minutes = Σ (a + 4m + b)/6",
                    Source::text("PERT, US Navy 1958", "E10"),
                )
                .with("rate", "price of one hour", to_f64(costs.hour), settings.money.currency.code())
                .with("minutes", "mean of low, likely, high", hours.mean, "min")
                .reach(2.0 * to_f64(costs.hour) * hours.deviation / 60.0),
            })
        })
        .collect()
}

fn tax_line(net: Money, settings: &ShopSettings) -> Result<QuoteLine, ShopError> {
    let amount = tax_of(net, settings)?;
    let code = settings.money.currency.code();
    Ok(QuoteLine {
        what: settings.money.tax_name.clone(),
        class: LineClass::Tax,
        quantity: format!("{} %", settings.money.tax_percent),
        amount,
        working: Working::new(
            settings.money.tax_name.clone(),
            to_f64(amount.to_decimal()),
            code,
            "net·rate, rounded once on the total",
            Source::text("decimal arithmetic", "E9"),
        )
        .with("net", "net price", to_f64(net.to_decimal()), code)
        .with("rate", "rate of tax", settings.money.tax_percent, "%"),
    })
}

fn tax_of(net: Money, settings: &ShopSettings) -> Result<Money, ShopError> {
    let rate = share("money.tax_percent", settings.money.tax_percent)?;
    tax(&[net], rate, TaxRounding::OnTotal, settings.money.rounding)
        .map_err(|error| ShopError::Money { key: "money.tax_percent".into(), error })
}

/// A net amount with its tax, rounded once.
///
/// # Errors
/// [`ShopError::Money`] when the rate is out of range.
pub fn with_tax(net: Money, settings: &ShopSettings) -> Result<Money, ShopError> {
    net.checked_add(tax_of(net, settings)?).map_err(in_sum)
}

/// Price before rounding and carriage: cost/(1 − margin).
pub(crate) fn with_margin(cost: Decimal, settings: &ShopSettings) -> Result<Decimal, ShopError> {
    let margin = share("money.margin_percent", settings.money.margin_percent)?;
    price_by_margin(cost, margin).map_err(|error| ShopError::Money { key: "money.margin_percent".into(), error })
}

/// A share given in per cent, as a decimal fraction.
pub(crate) fn share(key: &str, percent: f64) -> Result<Decimal, ShopError> {
    Ok(decimal(key, percent)? / Decimal::ONE_HUNDRED)
}

/// A number of the program's own arithmetic as a decimal, at nine places.
pub(crate) fn decimal(what: &str, value: f64) -> Result<Decimal, ShopError> {
    const LARGEST: f64 = 1e12;
    let refused = || ShopError::OutOfRange { what: what.into(), got: value, min: -LARGEST, max: LARGEST };
    if !(-LARGEST..=LARGEST).contains(&value) {
        return Err(refused());
    }
    Decimal::try_from(value).map(|value| value.round_dp(9)).map_err(|_| refused())
}

pub(crate) fn money(amount: Decimal, settings: &ShopSettings) -> Result<Money, ShopError> {
    Money::from_decimal(amount, settings.money.currency, settings.money.rounding).map_err(in_sum)
}

fn in_sum(error: units::MoneyError) -> ShopError {
    ShopError::Money { key: "price".into(), error }
}

pub(crate) fn to_f64(amount: Decimal) -> f64 {
    f64::try_from(amount).unwrap_or(f64::NAN)
}

/// The shop's price of one hour.
pub(crate) fn required_hour(settings: &ShopSettings) -> Result<Decimal, ShopError> {
    costs::required("hourly rate", "money.hour", settings.money.hour.as_deref(), settings)
}

/// Reads an amount of the shop's settings ("48.00"), which carries no currency of its own, zero or more.
///
/// # Errors
/// [`units::MoneyError`] when it is no amount or has more decimals than the currency.
pub fn amount(text: &str, currency: Currency) -> Result<Decimal, units::MoneyError> {
    let money = Money::parse(&format!("{currency} {}", text.trim()))?;
    if money.minor < 0 {
        return Err(units::MoneyError::NotUnderstood { read: text.trim().into() });
    }
    Ok(money.to_decimal())
}
