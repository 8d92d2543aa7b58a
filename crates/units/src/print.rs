//! Printing lengths for people: millimetres, inch fractions, feet and inches.

use crate::gauge::MM_PER_INCH;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Finest fraction of an inch that is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Denominator {
    /// 1/16 in (steps of 1.59 mm).
    Sixteenths,
    /// 1/32 in (steps of 0.79 mm).
    #[default]
    ThirtySeconds,
    /// 1/64 in (steps of 0.40 mm).
    SixtyFourths,
}

impl Denominator {
    /// 16, 32 or 64.
    pub const fn parts(self) -> u32 {
        match self {
            Self::Sixteenths => 16,
            Self::ThirtySeconds => 32,
            Self::SixtyFourths => 64,
        }
    }
}

/// In which unit lengths are shown to somebody: the shop, or the person who fits the piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "unit", rename_all = "snake_case")]
pub enum Shown {
    /// Millimetres.
    Millimetres {
        /// Decimal places.
        decimals: u8,
    },
    /// Inches with fractions.
    Inches {
        /// Finest fraction.
        denominator: Denominator,
    },
    /// Millimetres with inches in brackets.
    Both {
        /// Decimal places of the millimetres.
        decimals: u8,
        /// Finest fraction of the inches.
        denominator: Denominator,
    },
}

impl Default for Shown {
    fn default() -> Self {
        Self::Millimetres { decimals: 1 }
    }
}

impl Shown {
    /// Prints a length given in mm.
    pub fn length(&self, mm: f64) -> String {
        match *self {
            Self::Millimetres { decimals } => format_mm(mm, usize::from(decimals)),
            Self::Inches { denominator } => format_inch(mm, denominator),
            Self::Both { decimals, denominator } => {
                format!("{} ({})", format_mm(mm, usize::from(decimals)), format_inch(mm, denominator))
            }
        }
    }

    /// Half of the last place printed, in mm: how far the printed figure may be from the value.
    pub fn rounding_mm(&self) -> f64 {
        match *self {
            Self::Millimetres { decimals } | Self::Both { decimals, .. } => 0.5 * 10f64.powi(-i32::from(decimals)),
            Self::Inches { denominator } => 0.5 * MM_PER_INCH / f64::from(denominator.parts()),
        }
    }
}

/// Prints a length in mm with `decimals` places: `format_mm(41.275, 1)` is "41.3 mm".
pub fn format_mm(mm: f64, decimals: usize) -> String {
    if !mm.is_finite() {
        return "not a number".to_owned();
    }
    let text = format!("{mm:.decimals$}");
    format!("{} mm", without_negative_zero(&text))
}

/// Prints a length given in mm as inches with a reduced fraction: `format_inch(41.275, Sixteenths)` is `1 5/8"`.
pub fn format_inch(mm: f64, denominator: Denominator) -> String {
    fraction_parts(mm, denominator).map_or_else(
        || "not a number".to_owned(),
        |parts| format!("{}{}\"", parts.sign, inches_text(parts.inches, parts.numerator, parts.denominator)),
    )
}

/// Prints a length given in mm as feet and inches from one foot on: `1' 6 1/2"`.
pub fn format_feet_inch(mm: f64, denominator: Denominator) -> String {
    let Some(parts) = fraction_parts(mm, denominator) else { return "not a number".to_owned() };
    let (feet, inches) = (parts.inches / 12, parts.inches % 12);
    let rest = inches_text(inches, parts.numerator, parts.denominator);
    match feet {
        0 => format!("{}{rest}\"", parts.sign),
        _ if inches == 0 && parts.numerator == 0 => format!("{}{feet}'", parts.sign),
        _ => format!("{}{feet}' {rest}\"", parts.sign),
    }
}

/// Number with at most `decimals` places, idle zeros dropped.
pub(crate) fn trimmed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    without_negative_zero(text).to_owned()
}

fn without_negative_zero(text: &str) -> &str {
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest,
        _ => text,
    }
}

struct FractionParts {
    sign: &'static str,
    inches: u64,
    numerator: u64,
    denominator: u64,
}

fn fraction_parts(mm: f64, denominator: Denominator) -> Option<FractionParts> {
    const LARGEST_MM: f64 = 1e12; // keeps the count of 64ths exact in an f64
    if !mm.is_finite() || mm.abs() > LARGEST_MM {
        return None;
    }
    let parts = u64::from(denominator.parts());
    let count = (mm.abs() / MM_PER_INCH * f64::from(denominator.parts())).round() as u64;
    let (mut numerator, mut bottom) = (count % parts, parts);
    while numerator != 0 && numerator % 2 == 0 {
        numerator /= 2;
        bottom /= 2;
    }
    let sign = if mm < 0.0 && count > 0 { "-" } else { "" };
    Some(FractionParts { sign, inches: count / parts, numerator, denominator: bottom })
}

fn inches_text(inches: u64, numerator: u64, denominator: u64) -> String {
    match (inches, numerator) {
        (_, 0) => inches.to_string(),
        (0, _) => format!("{numerator}/{denominator}"),
        _ => format!("{inches} {numerator}/{denominator}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inches_are_reduced() {
        assert_eq!(format_inch(41.275, Denominator::SixtyFourths), "1 5/8\"");
        assert_eq!(format_inch(25.4 / 64.0, Denominator::SixtyFourths), "1/64\"");
        assert_eq!(format_inch(25.39, Denominator::Sixteenths), "1\"");
        assert_eq!(format_inch(0.1, Denominator::Sixteenths), "0\"");
        assert_eq!(format_inch(-12.7, Denominator::Sixteenths), "-1/2\"");
    }

    #[test]
    fn feet_appear_from_one_foot() {
        assert_eq!(format_feet_inch(18.5 * 25.4, Denominator::Sixteenths), "1' 6 1/2\"");
        assert_eq!(format_feet_inch(304.8, Denominator::Sixteenths), "1'");
        assert_eq!(format_feet_inch(279.4, Denominator::Sixteenths), "11\"");
    }

    #[test]
    fn millimetres_never_print_a_negative_zero() {
        assert_eq!(format_mm(-0.01, 1), "0.0 mm");
        assert_eq!(format_mm(41.275, 2), "41.27 mm"); // 41.275 lies just below in binary
        assert_eq!(format_mm(f64::INFINITY, 1), "not a number");
    }

    #[test]
    fn both_units_side_by_side() {
        let both = Shown::Both { decimals: 1, denominator: Denominator::Sixteenths };
        assert_eq!(both.length(38.1), "38.1 mm (1 1/2\")");
    }
}
