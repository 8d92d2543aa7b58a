//! The grammar of what people write on a job card, free of context.
//!
//! `1 5/8"` · `1-5/8 in` · `1' 6 1/2"` · `.040"` · `40 thou` · `70` · `70 mm` · `7 cm` · `0,9 mm` · `20 swg` · `19 ga` ·
//! `87.5°` · `87° 30'`. A [`Quantity`] says what was written; what a bare number or a gauge means is decided where the
//! place and the material are known ([`crate::Dimension`]).

use crate::error::{UnitError, quoted};
use crate::gauge::{self, MM_PER_INCH};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use winnow::ascii::{digit1, space0, space1};
use winnow::combinator::{alt, opt, preceded, terminated};
use winnow::token::{literal, take_while};
use winnow::{ModalResult, Parser};

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
        let plain = plain_characters(text);
        let plain = plain.trim();
        if is_not_finite_word(plain) {
            return Err(UnitError::NotFinite { read });
        }
        let mut rest = plain;
        let written = written(&mut rest).map_err(|_| not_understood(&read, "no number was found".to_owned()))?;
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

/// Typographic signs replaced by the plain ones, fraction signs by `n/d`, letters by lower case.
fn plain_characters(text: &str) -> String {
    let mut plain = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        match c {
            '′' | '’' | '‘' => plain.push('\''),
            '″' | '”' | '“' => plain.push('"'),
            '−' | '–' | '‑' => plain.push('-'),
            '⁄' | '∕' => plain.push('/'),
            'º' => plain.push('°'),
            c if c.is_whitespace() => plain.push(' '),
            c => match vulgar_fraction(c) {
                Some(fraction) => {
                    if plain.ends_with(|last: char| last.is_ascii_digit()) {
                        plain.push(' ');
                    }
                    plain.push_str(fraction);
                }
                None => plain.extend(c.to_lowercase()),
            },
        }
    }
    plain
}

const fn vulgar_fraction(c: char) -> Option<&'static str> {
    Some(match c {
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        '⅓' => "1/3",
        '⅔' => "2/3",
        '⅛' => "1/8",
        '⅜' => "3/8",
        '⅝' => "5/8",
        '⅞' => "7/8",
        '⅕' => "1/5",
        '⅖' => "2/5",
        '⅗' => "3/5",
        '⅘' => "4/5",
        '⅙' => "1/6",
        '⅚' => "5/6",
        _ => return None,
    })
}

/// A number as written: a decimal, or a fraction with or without whole part.
#[derive(Debug, Clone, Copy)]
enum Amount<'i> {
    Decimal(&'i str),
    Fraction { whole: Option<&'i str>, top: &'i str, bottom: &'i str },
}

/// A quantity as written, not yet evaluated.
#[derive(Debug)]
struct Written<'i> {
    negative: bool,
    amount: Amount<'i>,
    unit: &'i str,
    /// Inches after feet, or minutes after degrees, with the unit written after them.
    tail: Option<(Amount<'i>, &'i str)>,
}

fn written<'i>(input: &mut &'i str) -> ModalResult<Written<'i>> {
    let sign = terminated(opt(alt((literal("-"), literal("+")))), space0).parse_next(input)?;
    let gauge_first =
        opt(terminated(alt((literal("swg"), literal("s.w.g."), literal("ga"))), space0)).parse_next(input)?;
    let amount = amount(input)?;
    let unit = match gauge_first {
        Some(unit) => unit,
        None => preceded(space0, unit_sign).parse_next(input)?,
    };
    let tail = if is_foot(unit) || is_degree(unit) { opt(tail).parse_next(input)? } else { None };
    Ok(Written { negative: sign == Some("-"), amount, unit, tail })
}

fn tail<'i>(input: &mut &'i str) -> ModalResult<(Amount<'i>, &'i str)> {
    (preceded((space0, opt(terminated("-", space0))), amount), preceded(space0, unit_sign)).parse_next(input)
}

fn amount<'i>(input: &mut &'i str) -> ModalResult<Amount<'i>> {
    let separator = alt((space1, "-"));
    let mixed = (terminated(digit1, separator), digit1, preceded(slash, digit1))
        .map(|(whole, top, bottom)| Amount::Fraction { whole: Some(whole), top, bottom });
    let fraction = (digit1, preceded(slash, digit1)).map(|(top, bottom)| Amount::Fraction { whole: None, top, bottom });
    let decimal = take_while(1.., |c: char| c.is_ascii_digit() || c == '.' || c == ',').map(Amount::Decimal);
    alt((mixed, fraction, decimal)).parse_next(input)
}

fn slash<'i>(input: &mut &'i str) -> ModalResult<&'i str> {
    (space0, "/", space0).take().parse_next(input)
}

/// A unit word or sign, possibly none.
fn unit_sign<'i>(input: &mut &'i str) -> ModalResult<&'i str> {
    let word = (take_while(1, char::is_alphabetic), take_while(0.., |c: char| c.is_alphanumeric() || c == '.')).take();
    alt((word, literal("''"), literal("\""), literal("'"), literal("°"), literal("%"), literal(""))).parse_next(input)
}

fn is_foot(unit: &str) -> bool {
    matches!(unit, "'" | "ft" | "ft." | "foot" | "feet")
}

fn is_degree(unit: &str) -> bool {
    matches!(unit, "°" | "deg" | "deg." | "degree" | "degrees")
}

fn is_inch(unit: &str) -> bool {
    matches!(unit, "\"" | "''" | "in" | "in." | "inch" | "inches")
}

impl Written<'_> {
    fn evaluate(&self, read: &str) -> Result<Quantity, UnitError> {
        let sign = if self.negative { -1.0 } else { 1.0 };
        let unit = self.unit;
        if is_degree(unit) {
            return self.angle(read, sign);
        }
        if is_foot(unit) {
            return self.feet(read, sign);
        }
        let value = |unit_shown: &str| self.amount.value(read, unit_shown);
        let length = |unit: LengthUnit| {
            let mm = sign * value(unit.sign())? * unit.mm();
            in_range(mm, read).map(|mm| Quantity::Length { mm })
        };
        match unit {
            "" => {
                let fraction = matches!(self.amount, Amount::Fraction { .. });
                in_range(sign * value("")?, read).map(|number| Quantity::Bare { number, fraction })
            }
            unit if is_inch(unit) => length(LengthUnit::Inch),
            "mm" | "mm." | "millimetre" | "millimetres" | "millimeter" | "millimeters" => {
                length(LengthUnit::Millimetre)
            }
            "cm" | "cm." | "centimetre" | "centimetres" | "centimeter" | "centimeters" => {
                length(LengthUnit::Centimetre)
            }
            "m" | "metre" | "metres" | "meter" | "meters" => length(LengthUnit::Metre),
            "thou" | "thous" => length(LengthUnit::Thou),
            "mil" | "mils" => {
                let number = value(unit)?;
                Err(UnitError::Ambiguous {
                    read: read.to_owned(),
                    readings: vec![format!("{number} mm"), format!("{number} thousandths of an inch")],
                    write: format!("{number} mm or {number} thou"),
                })
            }
            "swg" | "s.w.g." | "s.w.g" => self.gauge_number(read).map(Quantity::Swg),
            "ga" | "ga." => self.gauge_number(read).map(Quantity::SheetGauge),
            "g" | "gauge" | "gage" | "g." => {
                let number = self.gauge_number(read)?;
                Err(UnitError::Ambiguous {
                    read: read.to_owned(),
                    readings: gauge::readings(number),
                    write: format!("{number} swg, {number} ga (plain steel only), or the thickness in mm"),
                })
            }
            "rad" => in_range(sign * value("rad")?, read).map(|rad| Quantity::Angle { rad }),
            unit if unit.starts_with('e') && unit.len() > 1 => {
                Err(not_understood(read, "numbers with a power of ten are not read".to_owned()))
            }
            unit => Err(not_understood(read, format!("\"{}\" is not a known unit", quoted(unit)))),
        }
    }

    fn angle(&self, read: &str, sign: f64) -> Result<Quantity, UnitError> {
        let mut deg = self.amount.value(read, "°")?;
        if let Some((minutes, unit)) = &self.tail {
            let minutes = minutes.value(read, "'")?;
            if *unit != "'" || minutes >= 60.0 {
                return Err(not_understood(read, "after degrees, minutes below 60 with ' are read".to_owned()));
            }
            deg += minutes / 60.0;
        }
        in_range(sign * deg, read).map(|deg| Quantity::Angle { rad: deg.to_radians() })
    }

    fn feet(&self, read: &str, sign: f64) -> Result<Quantity, UnitError> {
        let mut inches = 12.0 * self.amount.value(read, "ft")?;
        if let Some((rest, unit)) = &self.tail {
            let rest = rest.value(read, "in")?;
            if !(unit.is_empty() || is_inch(unit)) || rest >= 12.0 {
                return Err(not_understood(read, "after feet, inches below 12 are read".to_owned()));
            }
            inches += rest;
        }
        in_range(sign * inches * MM_PER_INCH, read).map(|mm| Quantity::Length { mm })
    }

    fn gauge_number(&self, read: &str) -> Result<u32, UnitError> {
        let number = match self.amount {
            Amount::Decimal(digits) if !self.negative && digits.len() <= 2 => digits.parse().ok(),
            _ => None,
        };
        number.ok_or_else(|| not_understood(read, "a gauge is a whole number of one or two digits".to_owned()))
    }
}

fn in_range(value: f64, read: &str) -> Result<f64, UnitError> {
    if !value.is_finite() {
        return Err(UnitError::NotFinite { read: read.to_owned() });
    }
    if value.abs() > LARGEST {
        return Err(UnitError::TooLarge { read: read.to_owned(), limit: "1 km" });
    }
    Ok(value)
}

impl Amount<'_> {
    fn value(&self, read: &str, unit_shown: &str) -> Result<f64, UnitError> {
        match *self {
            Self::Decimal(text) => decimal(text, read, unit_shown),
            Self::Fraction { whole, top, bottom } => {
                let whole = whole.map_or(Ok(0.0), |whole| digits(whole, read))?;
                let (top, bottom) = (digits(top, read)?, digits(bottom, read)?);
                if bottom == 0.0 || top == 0.0 || top >= bottom {
                    let why = "a fraction has a numerator from 1 up to one less than its denominator";
                    return Err(not_understood(read, why.to_owned()));
                }
                Ok(whole + top / bottom)
            }
        }
    }
}

fn digits(text: &str, read: &str) -> Result<f64, UnitError> {
    const MOST_DIGITS: usize = 30;
    if text.len() > MOST_DIGITS {
        return Err(UnitError::TooLarge { read: read.to_owned(), limit: "thirty digits" });
    }
    text.parse().map_err(|_| not_understood(read, "no number was found".to_owned()))
}

/// Evaluates a decimal written with a point, or with a comma where only one reading is possible.
fn decimal(text: &str, read: &str, unit: &str) -> Result<f64, UnitError> {
    let points = text.matches('.').count();
    let commas = text.matches(',').count();
    if points + commas > 1 {
        return Err(not_understood(read, "write one decimal point and no thousands mark".to_owned()));
    }
    if !text.ends_with(|c: char| c.is_ascii_digit()) || text.starts_with(',') {
        return Err(not_understood(read, "a decimal mark stands between digits".to_owned()));
    }
    if let Some((whole, part)) = text.split_once(',') {
        let decimal = format!("{whole}.{part}");
        let may_be_thousands = part.len() == 3 && whole.len() <= 3 && !whole.starts_with('0');
        if may_be_thousands {
            let space = if unit.is_empty() { "" } else { " " };
            return Err(UnitError::Ambiguous {
                read: read.to_owned(),
                readings: vec![format!("{decimal}{space}{unit}"), format!("{whole}{part}{space}{unit}")],
                write: format!("it with a point ({decimal}) or without a mark ({whole}{part})"),
            });
        }
        return digits(&decimal, read);
    }
    digits(text, read)
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
