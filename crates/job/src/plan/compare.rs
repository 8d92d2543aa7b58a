//! The repair beside a stock part, a donor panel, a new assembly: over the whole list of damage.
//!
//! Each side says what is in it. The hours of letting the pieces in are not known here, so that no saving is stated.

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
    let money = |amount| Money::from_decimal(amount, shop.money.currency, rounding).ok();
    Some(format!(
        "{name} is {} and its fitting {} ({hours} h at the shop's hour), {} in all. The pieces made here are {} ({} to {}) WITHOUT \
         letting them in: add the hours of whoever fits them before the two are compared",
        money(amount)?,
        money(fitting)?,
        money(amount + fitting)?,
        price.net.middle,
        price.net.low,
        price.net.high
    ))
}
