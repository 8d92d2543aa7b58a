//! Pieces made together as a set: what is done once for all of them is paid once.
//!
//! Each section is priced alone. In a set the survey, the setting out and the templates are needed once, for its largest member,
//! and a machine that is set for one member need not be set again for the next. What that saves is one line of the quote, at the same
//! hourly rate, overhead and margin as everything else. Material, forming and finishing of every piece stay what they are.

use super::{FIRST_TIME_ONLY, decimal, money, required_hour, share, to_f64, with_margin};
use crate::{LineClass, Operation, QuoteLine, ShopError, ShopSettings, default_minutes};
use handbook::{Source, Working};
use rust_decimal::Decimal;
use std::collections::BTreeSet;
use units::Money;

/// One section of a set.
#[derive(Debug, Clone, Copy)]
pub struct SetMember<'a> {
    /// Name of the set.
    pub set: &'a str,
    /// Operations of the section, minutes for one of its lot.
    pub operations: &'a [Operation],
    /// How many.
    pub quantity: u32,
}

/// Minutes that a set saves.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct SetMinutes {
    /// Survey, setting out and templates, done once.
    pub once: f64,
    /// Setting of machines, done once.
    pub settings: f64,
}

/// Minutes saved by making sections together, set by set; a set of one piece saves none.
#[must_use]
pub fn set_minutes(members: &[SetMember<'_>], settings: &ShopSettings) -> SetMinutes {
    let names: BTreeSet<&str> = members.iter().map(|member| member.set).collect();
    let mut saved = SetMinutes::default();
    for name in names {
        let own: Vec<&SetMember<'_>> = members.iter().filter(|member| member.set == name).collect();
        saved.once += beyond_largest(own.iter().map(|member| (once(member.operations), member.quantity)));
        let kinds: BTreeSet<&str> =
            own.iter().flat_map(|member| member.operations).map(|operation| operation.kind.as_str()).collect();
        for kind in kinds.into_iter().filter(|kind| !FIRST_TIME_ONLY.contains(kind)) {
            let each = setting(kind, settings);
            // the settings of one member are paid once for its lot already
            let settings_of = |member: &&&SetMember<'_>| {
                each * member.operations.iter().filter(|operation| operation.kind == kind).count() as f64
            };
            saved.settings += beyond_largest(own.iter().map(|member| (settings_of(&member), 1)));
        }
    }
    saved
}

/// Everything but the largest one: (minutes of one, how many).
fn beyond_largest(of: impl Iterator<Item = (f64, u32)>) -> f64 {
    let (sum, most) = of.fold((0.0, 0.0_f64), |(sum, most), (minutes, count)| {
        (sum + minutes * f64::from(count.max(1)), most.max(minutes))
    });
    sum - most
}

fn once(operations: &[Operation]) -> f64 {
    let first_time = operations.iter().filter(|operation| FIRST_TIME_ONLY.contains(&operation.kind.as_str()));
    first_time.map(|operation| operation.minutes.mean()).sum()
}

/// Mean minutes of setting up for a kind of operation, as the operations count them.
fn setting(kind: &str, settings: &ShopSettings) -> f64 {
    let model = settings.minutes.get(kind).copied().or_else(|| default_minutes(kind)).unwrap_or_default();
    let factor = settings.learned.get(kind).copied().unwrap_or(1.0);
    factor * model.setup * (model.low + 4.0 + model.high) / 6.0
}

/// The line of the quote for what sets save, with its working; nothing when nothing is saved. The amount is less than nothing.
///
/// # Errors
/// [`ShopError::NoRate`] without an hourly rate; [`ShopError::Money`].
pub fn set_saving(members: &[SetMember<'_>], settings: &ShopSettings) -> Result<Option<QuoteLine>, ShopError> {
    let saved = set_minutes(members, settings);
    let minutes = saved.once + saved.settings;
    if minutes < 0.5 {
        return Ok(None);
    }
    let hour = required_hour(settings)?;
    let labour = hour * decimal("minutes saved", minutes)? / Decimal::from(60);
    let overhead = labour * share("money.overhead_percent", settings.money.overhead_percent)?;
    let amount = money(with_margin(labour + overhead, settings)?, settings)?;
    let code = settings.money.currency.code();
    Ok(Some(QuoteLine {
        what: "made as a set: set out once, machines set once".into(),
        class: LineClass::Set,
        quantity: format!("{minutes:.0} min less"),
        amount: Money::new(-amount.minor, amount.currency),
        working: Working::new(
            "saved by making it as a set",
            to_f64(amount.to_decimal()),
            code,
            "(once + settings)/60·rate·(1 + overhead)/(1 − margin)",
            Source::shop_setting("the shop's minutes, rate, overhead and margin"),
        )
        .with("once", "survey, setting out and templates of all members but the largest", saved.once, "min")
        .with("settings", "setting of machines for all members but the largest", saved.settings, "min")
        .with("rate", "price of one hour", to_f64(hour), code)
        .with("overhead", "share of workshop, tools and power", settings.money.overhead_percent, "%")
        .with("margin", "margin of the price", settings.money.margin_percent, "%"),
    }))
}
