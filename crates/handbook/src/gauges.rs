//! Gauge numbers, round bars and what sheet weighs, each with its working.
//!
//! The tables stand in [`units::gauge`], because a dimension must be readable before any rule; their sources are
//! named there and again in the working.

use crate::error::{RuleError, positive_size, thickness, within};
use crate::working::{Source, Working};
pub use units::gauge::GaugeTable;

/// Where a gauge table is from.
pub const fn source(table: GaugeTable) -> Source {
    match table {
        GaugeTable::ImperialWire => {
            Source::standard("BS 3737:1964 (withdrawn), Imperial Standard Wire Gauge, reprints", "G4")
        }
        GaugeTable::SteelSheet => {
            Source::text("Manufacturers' Standard Gage for sheet steel, reprints (odd numbers from memory)", "G1")
        }
        GaugeTable::UsStandard => Source::text("US Standard Gauge of 1893, 15 U.S.C. 206 (from memory)", "G10"),
        _ => Source::text("gauge tables of sheet suppliers (from memory)", "G6"),
    }
}

/// Thickness or diameter of a gauge number, with its source.
///
/// # Errors
/// [`RuleError::OutOfRange`] for a number that the table does not have.
pub fn gauge(table: GaugeTable, number: u32) -> Result<Working, RuleError> {
    let (first, last) = table.range();
    within("gauge number", f64::from(number), f64::from(first), f64::from(last), "")?;
    let mm = table.mm(number).ok_or(RuleError::OutOfRange {
        name: "gauge number",
        got: f64::from(number),
        min: f64::from(first),
        max: f64::from(last),
        unit: "",
    })?;
    Ok(Working::new("thickness by gauge", mm, "mm", table.name(), source(table)).with(
        "no.",
        "gauge number",
        f64::from(number),
        "",
    ))
}

/// Steel sheet gauge from the weight that defines it: t (in) = (lb/ft²)/41.82 (G3). The convention is 2.4 % above
/// real steel (X14): mass is never priced from it.
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn steel_gauge_from_weight(pounds_per_square_foot: f64) -> Result<Working, RuleError> {
    let weight = within("weight of the sheet", pounds_per_square_foot, 0.1, 20.0, "lb/ft²")?;
    let mm = weight / STEEL_GAUGE_LB_PER_FT2_INCH * units::gauge::MM_PER_INCH;
    let source = Source::text("Manufacturers' Standard Gage, 41.82 lb/ft² per inch", "G3");
    Ok(Working::new("thickness by gauge weight", mm, "mm", "25.4·w/41.82", source)
        .with("w", "weight", weight, "lb/ft²"))
}

/// Weight convention of the steel sheet gauge.
pub const STEEL_GAUGE_LB_PER_FT2_INCH: f64 = 41.82;

/// Converts lb/ft² per inch of thickness to kg/m³ (G9).
pub fn density_kg_m3(pounds_per_ft2_inch: f64) -> f64 {
    const KG_PER_POUND: f64 = 0.453_592_37;
    const METRES_PER_FOOT: f64 = 0.3048;
    pounds_per_ft2_inch * KG_PER_POUND / (METRES_PER_FOOT * METRES_PER_FOOT * 0.0254)
}

/// Mass of one square metre of sheet: ρ·t (G8).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn sheet_mass_kg_m2(thickness_mm: f64, density_kg_m3: f64) -> Result<Working, RuleError> {
    let t = thickness(thickness_mm)?;
    let density = within("density", density_kg_m3, 1000.0, 20_000.0, "kg/m³")?;
    let value = density * t / 1000.0;
    Ok(Working::new("mass of the sheet", value, "kg/m²", "ρ·t/1000", Source::geometry("G8"))
        .with("ρ", "density", density, "kg/m³")
        .with("t", "thickness", t, "mm"))
}

/// Mass of a round bar per metre.
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn bar_mass_kg_m(diameter_mm: f64, density_kg_m3: f64) -> Result<Working, RuleError> {
    let d = positive_size("bar diameter", diameter_mm)?;
    let density = within("density", density_kg_m3, 1000.0, 20_000.0, "kg/m³")?;
    let value = std::f64::consts::FRAC_PI_4 * d * d * density * 1e-6;
    Ok(Working::new("mass of the bar", value, "kg/m", "π/4·d²·ρ", Source::geometry("G7"))
        .with("d", "diameter", d, "mm")
        .with("ρ", "density", density, "kg/m³"))
}

/// A wire or round bar that is commonly sold for wired edges.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgeBar {
    /// Name as it is asked for.
    pub name: &'static str,
    /// Diameter.
    pub diameter_mm: f64,
}

/// Wires and bars for edges, thin to thick (G5, G5b, and metric sizes).
pub const EDGE_BARS: &[EdgeBar] = &[
    EdgeBar { name: "2 mm wire", diameter_mm: 2.0 },
    EdgeBar { name: "14 swg wire", diameter_mm: 0.080 * 25.4 },
    EdgeBar { name: "2.5 mm wire", diameter_mm: 2.5 },
    EdgeBar { name: "12 swg wire", diameter_mm: 0.104 * 25.4 },
    EdgeBar { name: "3 mm bar", diameter_mm: 3.0 },
    EdgeBar { name: "1/8 in bar", diameter_mm: 25.4 / 8.0 },
    EdgeBar { name: "10 swg wire", diameter_mm: 0.128 * 25.4 },
    EdgeBar { name: "4 mm bar", diameter_mm: 4.0 },
    EdgeBar { name: "8 swg wire", diameter_mm: 0.160 * 25.4 },
    EdgeBar { name: "3/16 in bar", diameter_mm: 3.0 * 25.4 / 16.0 },
    EdgeBar { name: "5 mm bar", diameter_mm: 5.0 },
    EdgeBar { name: "6 mm bar", diameter_mm: 6.0 },
    EdgeBar { name: "1/4 in bar", diameter_mm: 25.4 / 4.0 },
    EdgeBar { name: "5/16 in bar", diameter_mm: 5.0 * 25.4 / 16.0 },
    EdgeBar { name: "8 mm bar", diameter_mm: 8.0 },
];

/// The bar nearest in diameter.
pub fn nearest_edge_bar(diameter_mm: f64) -> Option<EdgeBar> {
    let off = |bar: &EdgeBar| (bar.diameter_mm - diameter_mm).abs();
    EDGE_BARS.iter().copied().filter(|bar| off(bar).is_finite()).min_by(|a, b| off(a).total_cmp(&off(b)))
}
