//! Rates, overhead, margin, tax: everything a price needs besides hours and metal.

use serde::{Deserialize, Serialize};
use units::{Currency, Rounding};

/// Money settings. Amounts are texts in the shop's currency ("48.00").
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct MoneySettings {
    /// Currency of every amount.
    pub currency: Currency,
    /// Price of one hour at the bench; a price without it is refused by name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hour: Option<String>,
    /// Share of what the shop costs, per cent of labour, material and consumables (handbook E1).
    pub overhead_percent: f64,
    /// Margin, per cent of the price: price = cost/(1 − margin) (handbook E1).
    pub margin_percent: f64,
    /// What the tax is called on a quote ("VAT").
    pub tax_name: String,
    /// Tax, per cent of the net price; rounded once, on the total (handbook E9).
    pub tax_percent: f64,
    /// How halves are rounded. Costs are carried exact; the net price is rounded once, then the tax once.
    pub rounding: Rounding,
    /// Packing material for one section.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub packing: Option<String>,
    /// Carriage of a parcel up to `parcel_up_to_mm`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub carriage_parcel: Option<String>,
    /// Carriage of anything longer.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub carriage_long: Option<String>,
    /// Longest piece that goes as a parcel.
    pub parcel_up_to_mm: f64,
    /// ± of the hours that all operations share (a bad week, an awkward sheet), per cent, two standard deviations.
    pub shared_reach_percent: f64,
}

impl Default for MoneySettings {
    fn default() -> Self {
        Self {
            currency: Currency::GBP,
            hour: None,
            overhead_percent: 0.0,
            margin_percent: 0.0,
            tax_name: "tax".into(),
            tax_percent: 0.0,
            rounding: Rounding::HalfUp,
            packing: None,
            carriage_parcel: None,
            carriage_long: None,
            parcel_up_to_mm: 1200.0,
            shared_reach_percent: 20.0,
        }
    }
}
