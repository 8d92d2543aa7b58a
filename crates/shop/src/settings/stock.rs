//! Sheets, wire and consumables in the rack, with their prices.

use serde::{Deserialize, Serialize};

/// A sheet in the rack.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SheetStock {
    /// Material key of the handbook.
    pub material: String,
    /// Thickness.
    pub thickness_mm: f64,
    /// Across.
    pub width_mm: f64,
    /// Along the rolling direction.
    pub length_mm: f64,
    /// Price of one sheet, in the shop's currency.
    pub price: String,
    /// How many stand in the rack.
    #[serde(default)]
    pub count: u32,
}

/// Wire or round bar.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WireStock {
    /// How it is called ("1/4 in bar", "8 swg").
    pub name: String,
    /// Diameter.
    pub diameter_mm: f64,
    /// Price of one metre, in the shop's currency.
    pub price_per_metre: String,
    /// Metres in the rack.
    #[serde(default)]
    pub metres: f64,
}

/// Something used up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Consumable {
    /// What ("flap disc", "gas and filler", "primer").
    pub name: String,
    /// Price of one `per`, in the shop's currency.
    pub price: String,
    /// What it is counted by.
    pub per: ConsumablePer,
    /// How much of it one `per` needs.
    #[serde(default = "one")]
    pub amount: f64,
}

fn one() -> f64 {
    1.0
}

/// What a consumable is counted by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ConsumablePer {
    /// Each section.
    Section,
    /// Each metre welded in the shop.
    WeldMetre,
    /// Each square metre primed, both faces counted.
    SquareMetre,
    /// Each metre of outline deburred.
    EdgeMetre,
}

/// The sheet of the rack nearest to what a piece asks for: same material, thickness within `within_mm`; of several the
/// thickest match first, then the smallest sheet that takes the blank, then the order of the file.
#[must_use]
pub fn choose_sheet<'a>(
    sheets: &'a [SheetStock],
    material: &str,
    thickness_mm: f64,
    blank_mm: [f64; 2],
    within_mm: f64,
) -> Option<&'a SheetStock> {
    let fits = |sheet: &SheetStock| {
        let (long, short) = (blank_mm[0].max(blank_mm[1]), blank_mm[0].min(blank_mm[1]));
        long <= sheet.width_mm.max(sheet.length_mm) && short <= sheet.width_mm.min(sheet.length_mm)
    };
    let off = |sheet: &SheetStock| (sheet.thickness_mm - thickness_mm).abs();
    let mut matching: Vec<&SheetStock> =
        sheets.iter().filter(|sheet| sheet.material == material && off(sheet) <= within_mm).collect();
    matching.sort_by(|a, b| {
        let area = |sheet: &SheetStock| sheet.width_mm * sheet.length_mm;
        (!fits(a)).cmp(&!fits(b)).then(off(a).total_cmp(&off(b))).then(area(a).total_cmp(&area(b)))
    });
    matching.first().copied()
}

/// The wire or bar nearest to a measured diameter, with how far it is off in mm (stock − measured).
#[must_use]
pub fn choose_wire(wires: &[WireStock], diameter_mm: f64) -> Option<(&WireStock, f64)> {
    wires.iter().map(|wire| (wire, wire.diameter_mm - diameter_mm)).min_by(|(_, a), (_, b)| a.abs().total_cmp(&b.abs()))
}
