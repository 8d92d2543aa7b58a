//! Gauge numbers: one number means different thicknesses in different tables (handbook G6).
//!
//! Sources. Imperial Standard Wire Gauge: BS 3737:1964 (withdrawn), 16 to 24 and 8, 10, 12, 14 compared with two
//! reprints, the rest from memory. Manufacturers' Standard Gauge for sheet steel: 16, 18, 20 compared with reprints,
//! the rest from memory; all follow t = (lb/ft²)/41.82 in (handbook G3). Zinc-coated sheet gauge, US Standard Gauge
//! (15 U.S.C. 206) and the Brown & Sharpe formula 0.005 in · 92^((36−n)/39): from memory; these three serve only to
//! show what a doubtful number could mean.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Millimetres in one inch, exact since 1959.
pub const MM_PER_INCH: f64 = 25.4;

/// What the sheet is made of, as far as a gauge number depends on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SheetKind {
    /// Not known yet.
    #[default]
    Unknown,
    /// Plain (uncoated) low-carbon steel.
    Steel,
    /// Zinc-coated steel.
    ZincCoated,
    /// Stainless steel.
    Stainless,
    /// Aluminium and its alloys.
    Aluminium,
    /// Brass, copper and other metals.
    Other,
}

/// Inches by Imperial Standard Wire Gauge number, 0 to 30.
const IMPERIAL_WIRE_INCH: [f64; 31] = [
    0.324, 0.300, 0.276, 0.252, 0.232, 0.212, 0.192, 0.176, 0.160, 0.144, 0.128, 0.116, 0.104, 0.092, 0.080, 0.072,
    0.064, 0.056, 0.048, 0.040, 0.036, 0.032, 0.028, 0.024, 0.022, 0.020, 0.018, 0.0164, 0.0148, 0.0136, 0.0124,
];

/// Inches by Manufacturers' Standard Gauge number for sheet steel, 3 to 30.
const STEEL_SHEET_INCH: [f64; 28] = [
    0.2391, 0.2242, 0.2092, 0.1943, 0.1793, 0.1644, 0.1495, 0.1345, 0.1196, 0.1046, 0.0897, 0.0747, 0.0673, 0.0598,
    0.0538, 0.0478, 0.0418, 0.0359, 0.0329, 0.0299, 0.0269, 0.0239, 0.0209, 0.0179, 0.0164, 0.0149, 0.0135, 0.0120,
];

/// Inches by zinc-coated sheet gauge number, 8 to 30.
const ZINC_COATED_INCH: [f64; 23] = [
    0.1681, 0.1532, 0.1382, 0.1233, 0.1084, 0.0934, 0.0785, 0.0710, 0.0635, 0.0575, 0.0516, 0.0456, 0.0396, 0.0366,
    0.0336, 0.0306, 0.0276, 0.0247, 0.0217, 0.0202, 0.0187, 0.0172, 0.0157,
];

/// Inches by US Standard Gauge number (used for stainless sheet), 8 to 30.
const US_STANDARD_INCH: [f64; 23] = [
    0.171_875,
    0.156_25,
    0.140_625,
    0.125,
    0.109_375,
    0.093_75,
    0.078_125,
    0.070_312_5,
    0.0625,
    0.056_25,
    0.05,
    0.043_75,
    0.0375,
    0.034_375,
    0.031_25,
    0.028_125,
    0.025,
    0.021_875,
    0.018_75,
    0.017_187_5,
    0.015_625,
    0.014_062_5,
    0.0125,
];

/// A table of gauge numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum GaugeTable {
    /// Imperial Standard Wire Gauge (`swg`), wire and sheet.
    ImperialWire,
    /// Manufacturers' Standard Gauge for plain sheet steel (`ga`).
    SteelSheet,
    /// Gauge of zinc-coated sheet, coating included.
    ZincCoatedSheet,
    /// US Standard Gauge, still used for stainless sheet.
    UsStandard,
    /// Brown & Sharpe gauge, used for aluminium, brass and copper sheet.
    BrownSharpe,
}

impl GaugeTable {
    /// Name as printed to a reader.
    pub const fn name(self) -> &'static str {
        match self {
            Self::ImperialWire => "the Imperial Standard Wire Gauge",
            Self::SteelSheet => "the steel sheet gauge",
            Self::ZincCoatedSheet => "the zinc-coated sheet gauge",
            Self::UsStandard => "the US Standard gauge (stainless)",
            Self::BrownSharpe => "the Brown & Sharpe gauge (aluminium, brass)",
        }
    }

    /// First and last number of the table.
    pub const fn range(self) -> (u32, u32) {
        match self {
            Self::ImperialWire => (0, 30),
            Self::SteelSheet => (3, 30),
            Self::ZincCoatedSheet | Self::UsStandard => (8, 30),
            Self::BrownSharpe => (0, 30),
        }
    }

    /// Thickness or diameter of a gauge number in mm; `None` for a number that the table does not have.
    pub fn mm(self, number: u32) -> Option<f64> {
        let (first, _) = self.range();
        let row = |table: &[f64]| table.get(usize::try_from(number.checked_sub(first)?).ok()?).copied();
        let inch = match self {
            Self::ImperialWire => row(&IMPERIAL_WIRE_INCH),
            Self::SteelSheet => row(&STEEL_SHEET_INCH),
            Self::ZincCoatedSheet => row(&ZINC_COATED_INCH),
            Self::UsStandard => row(&US_STANDARD_INCH),
            Self::BrownSharpe => (number <= 30).then(|| 0.005 * 92f64.powf((36.0 - f64::from(number)) / 39.0)),
        };
        inch.map(|inch| inch * MM_PER_INCH)
    }
}

/// Every meaning that a sheet gauge number without a table can have, as "0.912 mm (the steel sheet gauge)".
pub fn readings(number: u32) -> Vec<String> {
    [
        GaugeTable::SteelSheet,
        GaugeTable::ImperialWire,
        GaugeTable::ZincCoatedSheet,
        GaugeTable::UsStandard,
        GaugeTable::BrownSharpe,
    ]
    .iter()
    .filter_map(|table| Some(format!("{:.3} mm ({})", table.mm(number)?, table.name())))
    .collect()
}
