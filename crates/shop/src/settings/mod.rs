//! What the shop has set: who it is, what an hour costs, what stands in the rack and on the floor, and its own rules.
//!
//! One file (`shop.toml`). Every key has a default, so that a new shop starts with an empty file; what has no honest
//! default (the hourly rate, the prices of stock) is absent until it is given, and a price then says what is missing.
//! Lengths in this file are plain numbers in mm (every key ends in its unit); money is an amount of the shop's currency
//! as written ("48.00"); a share is in per cent.

mod machines;
mod minutes;
mod money;
mod read;
mod rules;
mod stock;
mod weld_strip;

pub use machines::*;
pub use minutes::*;
pub use money::*;
pub use read::*;
pub use rules::*;
pub use stock::*;
pub use weld_strip::*;

use handbook::ShopRules;
use handbook::bend::Rule;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use units::LengthUnit;

/// The shop's settings.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct ShopSettings {
    /// Name, as printed at the head of every paper.
    pub name: String,
    /// Address lines.
    pub address: Vec<String>,
    /// Telephone and mail, as printed.
    pub contact: Vec<String>,
    /// Country (ISO 3166-1 alpha-2) whose rules and holidays are the shop's own; may be empty.
    pub country: String,
    /// Unit of a bare number in a new job.
    pub unit: LengthUnit,
    /// Rates, overhead, margin, tax.
    pub money: MoneySettings,
    /// Hours, working days, backlog.
    pub calendar: CalendarSettings,
    /// Bend rule.
    pub bend: Rule,
    /// Rules of the trade as the shop keeps them (handbook 12a).
    pub rules: ShopRules,
    /// Trim, reach and tolerance on stock.
    pub allowances: Allowances,
    /// Development of double-curved skins, with the trial strips of the shop's wheel.
    pub skins: blank::skin::SkinSettings,
    /// Machines.
    pub machines: Machines,
    /// Sheets in the rack.
    #[serde(rename = "sheet", skip_serializing_if = "Vec::is_empty")]
    pub sheets: Vec<SheetStock>,
    /// Wire and round bar.
    #[serde(rename = "wire", skip_serializing_if = "Vec::is_empty")]
    pub wires: Vec<WireStock>,
    /// Consumables.
    #[serde(rename = "consumable", skip_serializing_if = "Vec::is_empty")]
    pub consumables: Vec<Consumable>,
    /// Minutes by kind of operation; kinds not named here keep the program's default.
    pub minutes: BTreeMap<String, MinutesModel>,
    /// Factors learned from the shop's own times, by kind of operation ([`crate::learn()`]).
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub learned: BTreeMap<String, f64>,
}

/// When the shop works and what waits.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct CalendarSettings {
    /// Bench hours a week that really go into jobs.
    pub hours_per_week: f64,
    /// Working days, as "mon", "tue" …
    pub working_days: Vec<Weekday>,
    /// Hours of work accepted and not yet done.
    pub backlog_hours: f64,
    /// ± of the backlog, per cent (two standard deviations).
    pub backlog_reach_percent: f64,
    /// Working days for primer to dry, for packing and for the carrier to call.
    pub handling_days: u32,
    /// Days on which the shop is shut (YYYY-MM-DD).
    pub shut: Vec<String>,
}

impl Default for CalendarSettings {
    fn default() -> Self {
        Self {
            hours_per_week: 30.0,
            working_days: vec![Weekday::Mon, Weekday::Tue, Weekday::Wed, Weekday::Thu, Weekday::Fri],
            backlog_hours: 0.0,
            backlog_reach_percent: 30.0,
            handling_days: 2,
            shut: Vec::new(),
        }
    }
}

/// A day of the week.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Weekday {
    /// Monday.
    Mon,
    /// Tuesday.
    Tue,
    /// Wednesday.
    Wed,
    /// Thursday.
    Thu,
    /// Friday.
    Fri,
    /// Saturday.
    Sat,
    /// Sunday.
    Sun,
}
