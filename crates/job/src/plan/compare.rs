//! The repair against a stock part, a donor panel, a new assembly: over the whole list of damage.

use super::Fault;
use crate::file::{AlternativeKind, Job};
use rust_decimal::Decimal;
use shop::{Price, ShopSettings};
use units::Money;

pub(super) fn sentences(job: &Job, shop: &ShopSettings, price: Option<&Price>, faults: &mut Vec<Fault>) -> Vec<String> {
    let mut out = Vec::new();
    for (i, other) in job.alternatives.iter().enumerate() {
        let field = format!("alternatives.{i}");
        if !(0.0..=10_000.0).contains(&other.fitting_hours) {
            let message = format!("is {}; 0 to 10000 hours are accepted", other.fitting_hours);
            faults.push(Fault { field: format!("{field}.fitting_hours"), message });
            continue;
        }
        let amount = match shop::price::amount(&other.price, shop.money.currency) {
            Ok(amount) => amount,
            Err(error) => {
                faults.push(Fault { field: format!("{field}.price"), message: error.to_string() });
                continue;
            }
        };
        let Some(price) = price else { continue };
        let Some(sentence) = sentence(other.what, amount, other.fitting_hours, price, shop) else { continue };
        let note = if other.note.is_empty() { String::new() } else { format!(" ({})", other.note) };
        out.push(format!("{sentence}{note}"));
    }
    out
}

fn sentence(what: AlternativeKind, amount: Decimal, hours: f64, price: &Price, shop: &ShopSettings) -> Option<String> {
    let name = match what {
        AlternativeKind::StockPart => "A stock part",
        AlternativeKind::DonorPanel => "A donor panel",
        AlternativeKind::NewAssembly => "A new assembly",
    };
    let rounding = shop.money.rounding;
    let hour = shop.money.hour.as_deref().and_then(|hour| shop::price::amount(hour, shop.money.currency).ok())?;
    let fitting = hour * Decimal::try_from(hours).ok()?;
    let whole = Money::from_decimal(amount + fitting, shop.money.currency, rounding).ok()?;
    let repair = price.net.middle;
    let difference = whole.checked_sub(repair).ok()?;
    let size = Money::new(difference.minor.abs(), difference.currency);
    let verdict = if difference.minor > 0 {
        format!("the repair saves {size}")
    } else {
        format!("the repair costs {size} more, and keeps the original metal")
    };
    Some(format!(
        "{name} is {} and {hours} h to fit, {whole} in all; the pieces here are {repair} ({} to {}): {verdict}",
        Money::from_decimal(amount, shop.money.currency, rounding).ok()?,
        price.net.low,
        price.net.high
    ))
}
