//! Tolerances: general tolerances of ISO 2768-1, thickness of cold-rolled sheet by EN 10131, bend angles.
//!
//! A range is "over a up to and including b" (handbook T4). Reprints disagree on class c from 0.5 to 3 mm; 0.2 is used,
//! and 0.3 from 3 to 6 (X13).

use crate::error::{RuleError, within};
use crate::working::{Source, Working};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Tolerance class of ISO 2768-1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ToleranceClass {
    /// f.
    Fine,
    /// m.
    #[default]
    Medium,
    /// c.
    Coarse,
    /// v.
    VeryCoarse,
}

impl ToleranceClass {
    /// Letter of the class.
    pub const fn letter(self) -> &'static str {
        match self {
            Self::Fine => "f",
            Self::Medium => "m",
            Self::Coarse => "c",
            Self::VeryCoarse => "v",
        }
    }
}

/// Upper end of each range of lengths, and ± for f, m, c, v; NaN where the standard has none.
const LINEAR: [(f64, [f64; 4]); 8] = [
    (3.0, [0.05, 0.1, 0.2, f64::NAN]),
    (6.0, [0.05, 0.1, 0.3, 0.5]),
    (30.0, [0.1, 0.2, 0.5, 1.0]),
    (120.0, [0.15, 0.3, 0.8, 1.5]),
    (400.0, [0.2, 0.5, 1.2, 2.5]),
    (1000.0, [0.3, 0.8, 2.0, 4.0]),
    (2000.0, [0.5, 1.2, 3.0, 6.0]),
    (4000.0, [f64::NAN, 2.0, 4.0, 8.0]),
];

/// ± on a length by ISO 2768-1 table 1 (T1).
///
/// # Errors
/// [`RuleError::OutOfRange`] outside the table or where the class has no value.
pub fn linear(nominal_mm: f64, class: ToleranceClass) -> Result<Working, RuleError> {
    let least_mm = if class == ToleranceClass::VeryCoarse { 3.0 } else { 0.5 };
    let most_mm = if class == ToleranceClass::Fine { 2000.0 } else { 4000.0 };
    let nominal = within("nominal length", nominal_mm, least_mm, most_mm, "mm")?;
    let value = LINEAR
        .iter()
        .find(|(upper, row)| nominal <= *upper && !by_class(row, class).is_nan())
        .map_or(f64::NAN, |(_, row)| by_class(row, class));
    let source = Source::standard("ISO 2768-1:1989 table 1, reprints", "T1");
    Ok(Working::new("general tolerance ±", value, "mm", format!("class {}", class.letter()), source).with(
        "L",
        "nominal length",
        nominal,
        "mm",
    ))
}

const fn by_class(row: &[f64; 4], class: ToleranceClass) -> f64 {
    let [fine, medium, coarse, very_coarse] = *row;
    match class {
        ToleranceClass::Fine => fine,
        ToleranceClass::Medium => medium,
        ToleranceClass::Coarse => coarse,
        ToleranceClass::VeryCoarse => very_coarse,
    }
}

/// ± on a broken edge (chamfer or outside radius) by ISO 2768-1 table 2 (T2).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn broken_edge(nominal_mm: f64, class: ToleranceClass) -> Result<Working, RuleError> {
    let nominal = within("broken edge", nominal_mm, 0.5, 1000.0, "mm")?;
    let close = matches!(class, ToleranceClass::Fine | ToleranceClass::Medium);
    let value = match (nominal, close) {
        (n, true) if n <= 3.0 => 0.2,
        (n, false) if n <= 3.0 => 0.4,
        (n, true) if n <= 6.0 => 0.5,
        (n, false) if n <= 6.0 => 1.0,
        (_, true) => 1.0,
        (_, false) => 2.0,
    };
    let source = Source::standard("ISO 2768-1:1989 table 2, reprint", "T2");
    Ok(Working::new("tolerance of a broken edge ±", value, "mm", format!("class {}", class.letter()), source).with(
        "L",
        "nominal size",
        nominal,
        "mm",
    ))
}

/// ± on an angle, rad, by the shorter leg, ISO 2768-1 table 3 (T3, from memory).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn angle_rad(shorter_leg_mm: f64, class: ToleranceClass) -> Result<Working, RuleError> {
    let leg = within("shorter leg", shorter_leg_mm, 0.5, 100_000.0, "mm")?;
    let minutes: [f64; 5] = match class {
        ToleranceClass::Fine | ToleranceClass::Medium => [60.0, 30.0, 20.0, 10.0, 5.0],
        ToleranceClass::Coarse => [90.0, 60.0, 30.0, 15.0, 10.0],
        ToleranceClass::VeryCoarse => [180.0, 120.0, 60.0, 30.0, 20.0],
    };
    let uppers = [10.0, 50.0, 120.0, 400.0, f64::INFINITY];
    let value = uppers.iter().zip(minutes).find(|(upper, _)| leg <= **upper).map_or(f64::NAN, |(_, minutes)| minutes);
    let source = Source::standard("ISO 2768-1:1989 table 3 (from memory)", "T3");
    let working = Working::new(
        "tolerance of an angle ±",
        (value / 60.0).to_radians(),
        "rad",
        format!("class {}, {value}' by the shorter leg", class.letter()),
        source,
    );
    Ok(working.with("leg", "shorter leg", leg, "mm"))
}

/// ± on a bend angle, rad, by the shorter leg (B15, DIN 6935 from memory).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn bend_angle_rad(shorter_leg_mm: f64) -> Result<Working, RuleError> {
    let leg = within("shorter leg", shorter_leg_mm, 0.5, 100_000.0, "mm")?;
    let deg: f64 = match leg {
        leg if leg <= 30.0 => 2.0,
        leg if leg <= 50.0 => 1.75,
        leg if leg <= 80.0 => 1.5,
        leg if leg <= 120.0 => 1.25,
        _ => 1.0,
    };
    let source = Source::standard("DIN 6935, limits of bend angles (from memory)", "B15");
    Ok(Working::new(
        "tolerance of a bend angle ±",
        deg.to_radians(),
        "rad",
        format!("{deg}° by the shorter leg"),
        source,
    )
    .with("leg", "shorter leg", leg, "mm"))
}

/// How closely sheet thickness was ordered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SheetOrder {
    /// Normal tolerances.
    #[default]
    Normal,
    /// Special tolerances (S).
    Special,
}

/// Upper end of each range of thickness, ± by width up to 1200, up to 1500 and wider: normal, then special.
type ThicknessRow = (f64, [f64; 3], Option<[f64; 3]>);
const SHEET: [ThicknessRow; 5] = [
    (0.60, [0.03, 0.04, 0.05], None),
    (0.80, [0.04, 0.05, 0.06], Some([0.030, 0.035, 0.040])),
    (1.00, [0.05, 0.06, 0.07], Some([0.035, 0.040, 0.050])),
    (1.20, [0.06, 0.07, 0.08], Some([0.040, 0.050, 0.060])),
    (1.60, [0.08, 0.09, 0.10], None),
];

/// ± on the thickness of cold-rolled low-carbon sheet by EN 10131 (T9, T10), yield point below 260 N/mm².
///
/// # Errors
/// [`RuleError::OutOfRange`] outside 0.40 to 1.60 mm (special: over 0.60 to 1.20 mm) or beyond 2200 mm of width.
pub fn sheet_thickness(nominal_mm: f64, width_mm: f64, order: SheetOrder) -> Result<Working, RuleError> {
    let (least_mm, most_mm) = match order {
        SheetOrder::Normal => (0.40, 1.60),
        SheetOrder::Special => (0.60 + 1e-9, 1.20),
    };
    let t = within("nominal thickness", nominal_mm, least_mm, most_mm, "mm")?;
    let width = within("sheet width", width_mm, 1.0, 2200.0, "mm")?;
    let row = SHEET.iter().find(|(upper, ..)| t <= *upper).and_then(|(_, normal, special)| match order {
        SheetOrder::Normal => Some(*normal),
        SheetOrder::Special => *special,
    });
    let value = row.map_or(f64::NAN, |[to_1200, to_1500, wider]| match width {
        w if w <= 1200.0 => to_1200,
        w if w <= 1500.0 => to_1500,
        _ => wider,
    });
    let (formula, id) = match order {
        SheetOrder::Normal => ("normal tolerances", "T9"),
        SheetOrder::Special => ("special tolerances (S)", "T10"),
    };
    let source = Source::standard("EN 10131:2006 table 1, two reprints", id);
    Ok(Working::new("tolerance of the sheet ±", value, "mm", formula, source)
        .with("t", "nominal thickness", t, "mm")
        .with("w", "sheet width", width, "mm"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_answer_is_a_number_or_a_refusal() {
        let classes =
            [ToleranceClass::Fine, ToleranceClass::Medium, ToleranceClass::Coarse, ToleranceClass::VeryCoarse];
        for class in classes {
            for nominal in [f64::NAN, -1.0, 0.0, 0.4, 0.5, 2.9, 3.0, 3.1, 1999.0, 2000.0, 2001.0, 4000.0, 4001.0] {
                if let Ok(working) = linear(nominal, class) {
                    assert!(working.value.is_finite(), "{nominal} {class:?}");
                }
            }
        }
        assert!(linear(2500.0, ToleranceClass::Fine).is_err());
        assert!(linear(2.0, ToleranceClass::VeryCoarse).is_err());
        for order in [SheetOrder::Normal, SheetOrder::Special] {
            for t in [0.39, 0.4, 0.6, 0.61, 0.8, 1.2, 1.3, 1.6, 1.7] {
                if let Ok(working) = sheet_thickness(t, 1250.0, order) {
                    assert!(working.value.is_finite(), "{t} {order:?}");
                }
            }
        }
    }
}
