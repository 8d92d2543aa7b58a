//! The grammar of what people write on a job card, free of context.
//!
//! `1 5/8"` · `1-5/8 in` · `1' 6 1/2"` · `.040"` · `40 thou` · `70` · `70 mm` · `7 cm` · `0,9 mm` · `20 swg` · `19 ga` ·
//! `87.5°` · `87° 30'`. A [`Quantity`] says what was written; what a bare number or a gauge means is decided where the
//! place and the material are known ([`crate::Dimension`]).

mod characters;
mod evaluate;
mod grammar;

use crate::error::{UnitError, quoted};
use crate::gauge::MM_PER_INCH;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Shown in messages as what would be accepted.
pub(crate) const ACCEPTED: &str = "70 mm, 1 5/8\", 1' 6 1/2\", .040\", 40 thou, 20 swg, 19 ga or 87.5°";

/// Longest text that is looked at.
const LONGEST_CHARS: usize = 64;
/// Largest length, in mm, and largest bare number.
const LARGEST: f64 = 1e6;

/// A unit of length.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LengthUnit {
    /// Millimetre.
    #[default]
    Millimetre,
    /// Centimetre.
    Centimetre,
    /// Metre.
    Metre,
    /// Inch, 25.4 mm.
    Inch,
    /// Foot, 304.8 mm.
    Foot,
    /// Thousandth of an inch.
    Thou,
}

impl LengthUnit {
    /// Millimetres in one of this unit.
    pub const fn mm(self) -> f64 {
        match self {
            Self::Millimetre => 1.0,
            Self::Centimetre => 10.0,
            Self::Metre => 1000.0,
            Self::Inch => MM_PER_INCH,
            Self::Foot => 12.0 * MM_PER_INCH,
            Self::Thou => MM_PER_INCH / 1000.0,
        }
    }

    /// The sign by which the unit is written.
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Centimetre => "cm",
            Self::Metre => "m",
            Self::Inch => "in",
            Self::Foot => "ft",
            Self::Thou => "thou",
        }
    }

    /// Whether the unit is metric.
    pub const fn is_metric(self) -> bool {
        matches!(self, Self::Millimetre | Self::Centimetre | Self::Metre)
    }
}

/// What was written, before its place and its material are known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Quantity {
    /// A length with its unit; may be negative.
    Length {
        /// Its value in mm.
        mm: f64,
    },
    /// A number without a unit; may be negative.
    Bare {
        /// The number.
        number: f64,
        /// Whether it was written with a fraction (`1 5/8`), which only inches are.
        fraction: bool,
    },
    /// A number of the Imperial Standard Wire Gauge.
    Swg(u32),
    /// A number of the sheet gauge (`ga`).
    SheetGauge(u32),
    /// An angle; may be negative.
    Angle {
        /// Its value in radians.
        rad: f64,
    },
}

impl Quantity {
    /// Reads one quantity.
    ///
    /// # Errors
    /// [`UnitError`] with what was read, every reading where there is more than one, and what would be accepted.
    pub fn parse(text: &str) -> Result<Self, UnitError> {
        let read = quoted(text.trim());
        if text.trim().is_empty() {
            return Err(UnitError::Empty);
        }
        if text.chars().count() > LONGEST_CHARS {
            return Err(not_understood(&read, format!("it is longer than {LONGEST_CHARS} characters")));
        }
        let plain = characters::plain_characters(text);
        let plain = plain.trim();
        if is_not_finite_word(plain) {
            return Err(UnitError::NotFinite { read });
        }
        let mut rest = plain;
        let written =
            grammar::written(&mut rest).map_err(|_| not_understood(&read, "no number was found".to_owned()))?;
        if !rest.is_empty() {
            return Err(not_understood(&read, format!("\"{}\" was left over", quoted(rest))));
        }
        written.evaluate(&read)
    }

    /// What the quantity is, for messages.
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::Length { .. } => "a length",
            Self::Bare { .. } => "a bare number",
            Self::Swg(_) => "a wire gauge number",
            Self::SheetGauge(_) => "a sheet gauge number",
            Self::Angle { .. } => "an angle",
        }
    }
}

fn not_understood(read: &str, why: String) -> UnitError {
    UnitError::NotUnderstood { read: read.to_owned(), why }
}

fn is_not_finite_word(plain: &str) -> bool {
    let word = plain.trim_start_matches(['-', '+']).split(|c: char| !c.is_ascii_alphabetic()).next();
    matches!(word, Some("nan" | "inf" | "infinity"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(text: &str) -> f64 {
        match Quantity::parse(text) {
            Ok(Quantity::Length { mm }) => mm,
            other => panic!("{text}: {other:?}"),
        }
    }

    #[test]
    fn every_form_of_a_length_is_read() {
        for (text, want_mm) in [
            ("1 5/8\"", 41.275),
            ("1-5/8 in", 41.275),
            ("1⅝\"", 41.275),
            ("1 ⅝ in", 41.275),
            ("½″", 12.7),
            ("5/8 inch", 15.875),
            ("1' 6 1/2\"", 469.9),
            ("1'-6 1/2\"", 469.9),
            ("1′6″", 457.2),
            ("1 ft 6 in", 457.2),
            ("6'", 1828.8),
            ("1' 6", 457.2),
            (".040\"", 1.016),
            ("40 thou", 1.016),
            ("70 mm", 70.0),
            ("70mm", 70.0),
            ("7 cm", 70.0),
            ("0.9mm", 0.9),
            ("0,9 mm", 0.9),
            ("0,900 mm", 0.9),
            ("12,5 mm", 12.5),
            ("1.2 m", 1200.0),
            ("2 3/4''", 69.85),
            ("-3 mm", -3.0),
            ("−1/2 in", -12.7),
            ("  70 MM ", 70.0),
            ("70\u{a0}mm", 70.0),
        ] {
            assert!((mm(text) - want_mm).abs() < 1e-9, "{text}: {}", mm(text));
        }
    }

    #[test]
    fn bare_numbers_gauges_and_angles_keep_their_kind() {
        assert_eq!(Quantity::parse("70"), Ok(Quantity::Bare { number: 70.0, fraction: false }));
        assert_eq!(Quantity::parse("1 5/8"), Ok(Quantity::Bare { number: 1.625, fraction: true }));
        assert_eq!(Quantity::parse("20 swg"), Ok(Quantity::Swg(20)));
        assert_eq!(Quantity::parse("SWG 20"), Ok(Quantity::Swg(20)));
        assert_eq!(Quantity::parse("19ga"), Ok(Quantity::SheetGauge(19)));
        for (text, deg) in [("87.5°", 87.5), ("87.5 deg", 87.5), ("87° 30'", 87.5), ("-30°", -30.0), ("87 ½°", 87.5)]
        {
            match Quantity::parse(text) {
                Ok(Quantity::Angle { rad }) => assert!((rad.to_degrees() - deg).abs() < 1e-12, "{text}"),
                other => panic!("{text}: {other:?}"),
            }
        }
    }

    #[test]
    fn a_doubtful_comma_is_refused_with_both_readings() {
        for text in ["1,250", "1,250 mm", "12,500 mm", "125,000 mm"] {
            match Quantity::parse(text) {
                Err(UnitError::Ambiguous { readings, .. }) => assert_eq!(readings.len(), 2, "{text}"),
                other => panic!("{text}: {other:?}"),
            }
        }
        let message = Quantity::parse("1,250 mm").unwrap_err().to_string();
        assert!(message.contains("1.250 mm or 1250 mm"), "{message}");
    }

    #[test]
    fn words_with_two_meanings_are_refused_with_both() {
        let message = Quantity::parse("16 gauge").unwrap_err().to_string();
        assert!(message.contains("1.519 mm") && message.contains("1.626 mm"), "{message}");
        assert!(matches!(Quantity::parse("40 mil"), Err(UnitError::Ambiguous { .. })));
    }

    #[test]
    fn nonsense_is_refused() {
        for text in [
            "",
            " ",
            "mm",
            "nan",
            "NaN mm",
            "inf",
            "-inf",
            "infinity",
            "1e3",
            "1e400 mm",
            "1.2e-3 in",
            "1..2",
            "1.2.3",
            "1,2,3",
            "5.",
            ",5 mm",
            "1/0\"",
            "0/8\"",
            "9/8\"",
            "1 8/8\"",
            "1 2 3",
            "70 mm mm",
            "70 furlongs",
            "1' 13\"",
            "1' 6 mm",
            "87° 61'",
            "20.5 swg",
            "-20 swg",
            "4/0 swg",
            "70%",
            "M6",
            "--3 mm",
            "5 - 3 mm",
            "0x10 mm",
            "١٢ mm",
            "2000000 mm",
            "99999999999999999999 mm",
            "1\"2",
            "70 mm²",
        ] {
            assert!(Quantity::parse(text).is_err(), "{text:?}: {:?}", Quantity::parse(text));
        }
        assert!(matches!(Quantity::parse("NaN mm"), Err(UnitError::NotFinite { .. })));
        let long = "7".repeat(100_000);
        let message = Quantity::parse(&long).unwrap_err().to_string();
        assert!(message.chars().count() < 250, "{message}");
    }

    proptest::proptest! {
        #[test]
        fn any_text_is_answered_without_panic(text in "\\PC{0,24}") {
            let _ = Quantity::parse(&text);
        }

        #[test]
        fn any_shop_like_text_is_answered_with_a_finite_value(text in "[-0-9 .,/'\"½°a-z]{0,14}") {
            if let Ok(Quantity::Length { mm }) = Quantity::parse(&text) {
                proptest::prop_assert!(mm.is_finite());
            }
        }

        #[test]
        fn printed_millimetres_read_back(value in -9999.0..9999.0f64) {
            let text = crate::format_mm(value, 3);
            proptest::prop_assert!((mm(&text) - value).abs() <= 0.000_500_001, "{text}");
        }

        #[test]
        fn printed_inches_read_back(value in -9999.0..9999.0f64, parts in 0usize..3) {
            use crate::print::Denominator::{Sixteenths, SixtyFourths, ThirtySeconds};
            let denominator = [Sixteenths, ThirtySeconds, SixtyFourths][parts];
            let half_step_mm = 0.5 * 25.4 / f64::from(denominator.parts()) + 1e-9;
            for text in [crate::format_inch(value, denominator), crate::format_feet_inch(value, denominator)] {
                proptest::prop_assert!((mm(&text) - value).abs() <= half_step_mm, "{text}");
            }
        }
    }
}
