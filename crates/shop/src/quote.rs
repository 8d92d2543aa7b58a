//! The quote: every line shown, a range and never a bare number.

use handbook::Working;
use serde::{Deserialize, Serialize};
use units::Money;

/// Middle and nine-in-ten range of a price.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PriceRange {
    /// One in twenty comes out below.
    pub low: Money,
    /// Middle.
    pub middle: Money,
    /// One in twenty comes out above.
    pub high: Money,
}

/// One line of a quote.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct QuoteLine {
    /// What it is ("folding, 4 folds").
    pub what: String,
    /// Labour, material, consumables, overhead, margin, carriage, tax.
    pub class: LineClass,
    /// Quantity with its unit, as printed.
    pub quantity: String,
    /// Amount, middle.
    pub amount: Money,
    /// How it was found.
    pub working: Working,
}

/// Class of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LineClass {
    /// Minutes × rate.
    Labour,
    /// Sheet, wire.
    Material,
    /// Discs, gas, primer.
    Consumables,
    /// Share of what the shop costs.
    Overhead,
    /// Margin.
    Margin,
    /// What is saved by making pieces as a set; less than nothing.
    Set,
    /// Packing and carriage.
    Carriage,
    /// Tax.
    Tax,
}

impl LineClass {
    /// As printed.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Labour => "labour",
            Self::Material => "material",
            Self::Consumables => "consumables",
            Self::Overhead => "overhead",
            Self::Margin => "margin",
            Self::Set => "saved as a set",
            Self::Carriage => "packing and carriage",
            Self::Tax => "tax",
        }
    }
}

/// Price of one section (all its pieces, its quantity).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Price {
    /// Lines.
    pub lines: Vec<QuoteLine>,
    /// Net of tax.
    pub net: PriceRange,
    /// With tax, rounded once on the total.
    pub gross: PriceRange,
    /// Minutes in all, middle.
    pub minutes: f64,
    /// Said on the telephone, not measured.
    pub said_on_the_phone: bool,
    /// The same piece again from the kept pattern: net middle.
    pub next_one: Option<Money>,
}
