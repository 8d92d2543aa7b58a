//! A dimension as somebody wrote it, together with what was read from it.

use crate::error::{UnitError, quoted};
use crate::gauge::{self, GaugeTable, SheetKind};
use crate::quantity::{LengthUnit, Quantity};
use serde::de::{self, Deserialize, Deserializer, Visitor};
use serde::ser::{Serialize, Serializer};
use std::fmt;
use std::str::FromStr;

/// What a place knows that the writer left unsaid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Reading {
    /// Unit of a bare number: the shop's unit.
    pub bare_unit: LengthUnit,
    /// What the sheet is made of: a `ga` number needs plain steel.
    pub sheet: SheetKind,
}

/// A dimension that keeps the text as written and the quantity read from it.
///
/// In a file it is a string (`"1 5/8 in"`) or a number (a bare number); it is written back as it came.
#[derive(Debug, Clone, PartialEq)]
pub struct Dimension {
    written: Written,
    quantity: Quantity,
}

#[derive(Debug, Clone, PartialEq)]
enum Written {
    Text(String),
    Integer(i64),
    Float(f64),
}

impl Dimension {
    /// Reads a dimension and keeps the text.
    ///
    /// # Errors
    /// As [`Quantity::parse`].
    pub fn parse(text: &str) -> Result<Self, UnitError> {
        Ok(Self { quantity: Quantity::parse(text)?, written: Written::Text(text.trim().to_owned()) })
    }

    /// A bare number.
    ///
    /// # Errors
    /// [`UnitError::NotFinite`], [`UnitError::TooLarge`].
    pub fn from_number(number: f64) -> Result<Self, UnitError> {
        Ok(Self { quantity: bare(number)?, written: Written::Float(number) })
    }

    /// A length that the program itself worked out, written in millimetres.
    ///
    /// # Errors
    /// [`UnitError::NotFinite`], [`UnitError::TooLarge`].
    pub fn from_mm(mm: f64) -> Result<Self, UnitError> {
        bare(mm)?;
        Ok(Self {
            quantity: Quantity::Length { mm },
            written: Written::Text(format!("{} mm", crate::print::trimmed(mm, 9))),
        })
    }

    /// Nothing, written "0 mm".
    #[must_use]
    pub fn zero() -> Self {
        Self { quantity: Quantity::Length { mm: 0.0 }, written: Written::Text("0 mm".to_owned()) }
    }

    /// The text as written.
    pub fn written(&self) -> String {
        match &self.written {
            Written::Text(text) => text.clone(),
            Written::Integer(number) => number.to_string(),
            Written::Float(number) => number.to_string(),
        }
    }

    /// What was read, before its place and material are known.
    pub const fn quantity(&self) -> Quantity {
        self.quantity
    }

    /// The length in mm, zero or more. A bare number takes `context.bare_unit`.
    ///
    /// # Errors
    /// [`UnitError::NotPositive`] for a negative length, [`UnitError::WrongKind`] for a gauge or an angle,
    /// [`UnitError::Ambiguous`] for a bare fraction where the shop's unit is metric.
    pub fn length_mm(&self, context: &Reading) -> Result<f64, UnitError> {
        let mm = self.signed_length_mm(context)?;
        self.require(mm >= 0.0, "negative", "zero or more").map(|()| mm)
    }

    /// The length in mm, more than zero.
    ///
    /// # Errors
    /// As [`Dimension::length_mm`], and for zero.
    pub fn positive_length_mm(&self, context: &Reading) -> Result<f64, UnitError> {
        let mm = self.length_mm(context)?;
        self.require(mm > 0.0, "zero", "more than zero").map(|()| mm)
    }

    /// The length in mm, which may be negative: an offset or a coordinate.
    ///
    /// # Errors
    /// [`UnitError::WrongKind`], [`UnitError::Ambiguous`].
    pub fn signed_length_mm(&self, context: &Reading) -> Result<f64, UnitError> {
        match self.quantity {
            Quantity::Length { mm } => Ok(mm),
            Quantity::Bare { number, fraction } => self.bare_mm(number, fraction, context.bare_unit),
            Quantity::Swg(_) | Quantity::SheetGauge(_) | Quantity::Angle { .. } => {
                Err(self.wrong_kind("a length", "70 mm or 1 5/8\""))
            }
        }
    }

    /// The thickness of a sheet or the diameter of a wire in mm, more than zero.
    ///
    /// `swg` is read for sheet and wire; `ga` is the Manufacturers' Standard Gauge and is read only for plain steel.
    ///
    /// # Errors
    /// [`UnitError::Ambiguous`] with the readings in mm for `ga` with another or an unknown metal;
    /// [`UnitError::UnknownGauge`]; [`UnitError::NotPositive`]; [`UnitError::WrongKind`] for an angle.
    pub fn thickness_mm(&self, context: &Reading) -> Result<f64, UnitError> {
        match self.quantity {
            Quantity::Swg(number) => self.gauge_mm(GaugeTable::ImperialWire, number),
            Quantity::SheetGauge(number) if context.sheet == SheetKind::Steel => {
                self.gauge_mm(GaugeTable::SteelSheet, number)
            }
            Quantity::SheetGauge(number) => Err(UnitError::Ambiguous {
                read: quoted(&self.written()),
                readings: gauge::readings(number),
                write: "the thickness in mm, or swg (ga is read for plain steel only)".to_owned(),
            }),
            Quantity::Angle { .. } => Err(self.wrong_kind("a thickness", "0.9 mm, .036\" or 20 swg")),
            Quantity::Length { .. } | Quantity::Bare { .. } => self.positive_length_mm(context),
        }
    }

    /// The angle in radians; a bare number is degrees; may be negative. The place says whether it is a bend angle
    /// (turned from flat) or an opening angle (between the faces).
    ///
    /// # Errors
    /// [`UnitError::WrongKind`] for a length or a gauge.
    pub fn angle_rad(&self) -> Result<f64, UnitError> {
        match self.quantity {
            Quantity::Angle { rad } => Ok(rad),
            Quantity::Bare { number, .. } => Ok(number.to_radians()),
            Quantity::Length { .. } | Quantity::Swg(_) | Quantity::SheetGauge(_) => {
                Err(self.wrong_kind("an angle", "87.5° or 87.5"))
            }
        }
    }

    fn bare_mm(&self, number: f64, fraction: bool, bare_unit: LengthUnit) -> Result<f64, UnitError> {
        if fraction && bare_unit.is_metric() {
            let written = self.written();
            return Err(UnitError::Ambiguous {
                read: quoted(&written),
                readings: vec![
                    format!("{number} {} (a bare number takes the shop's unit)", bare_unit.sign()),
                    format!("{} mm ({written} in)", number * LengthUnit::Inch.mm()),
                ],
                write: format!("{written} in, or a decimal in {}", bare_unit.sign()),
            });
        }
        Ok(number * bare_unit.mm())
    }

    fn gauge_mm(&self, table: GaugeTable, number: u32) -> Result<f64, UnitError> {
        let (first, last) = table.range();
        table.mm(number).ok_or_else(|| UnitError::UnknownGauge {
            read: quoted(&self.written()),
            table: table.name(),
            number,
            first,
            last,
        })
    }

    fn require(&self, holds: bool, what: &'static str, need: &'static str) -> Result<(), UnitError> {
        if holds { Ok(()) } else { Err(UnitError::NotPositive { read: quoted(&self.written()), what, need }) }
    }

    fn wrong_kind(&self, wanted: &'static str, example: &'static str) -> UnitError {
        UnitError::WrongKind { read: quoted(&self.written()), found: self.quantity.kind(), wanted, example }
    }
}

fn bare(number: f64) -> Result<Quantity, UnitError> {
    if !number.is_finite() {
        return Err(UnitError::NotFinite { read: number.to_string() });
    }
    if number.abs() > 1e6 {
        return Err(UnitError::TooLarge { read: quoted(&number.to_string()), limit: "1 km" });
    }
    Ok(Quantity::Bare { number, fraction: false })
}

impl FromStr for Dimension {
    type Err = UnitError;
    fn from_str(text: &str) -> Result<Self, UnitError> {
        Self::parse(text)
    }
}

impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.written())
    }
}

impl Serialize for Dimension {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match &self.written {
            Written::Text(text) => serializer.serialize_str(text),
            Written::Integer(number) => serializer.serialize_i64(*number),
            Written::Float(number) => serializer.serialize_f64(*number),
        }
    }
}

impl<'de> Deserialize<'de> for Dimension {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(DimensionVisitor)
    }
}

struct DimensionVisitor;

impl Visitor<'_> for DimensionVisitor {
    type Value = Dimension;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a dimension such as {}", crate::quantity::ACCEPTED)
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<Dimension, E> {
        Dimension::parse(text).map_err(E::custom)
    }

    fn visit_i64<E: de::Error>(self, number: i64) -> Result<Dimension, E> {
        let quantity = bare(number as f64).map_err(E::custom)?;
        Ok(Dimension { quantity, written: Written::Integer(number) })
    }

    fn visit_u64<E: de::Error>(self, number: u64) -> Result<Dimension, E> {
        self.visit_i64(i64::try_from(number).unwrap_or(i64::MAX))
    }

    fn visit_f64<E: de::Error>(self, number: f64) -> Result<Dimension, E> {
        Dimension::from_number(number).map_err(E::custom)
    }
}

impl schemars::JsonSchema for Dimension {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Dimension".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "type": ["string", "number"],
            "description": format!("as the shop writes it: {}; a bare number takes the shop's unit", crate::quantity::ACCEPTED)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dimension(text: &str) -> Dimension {
        Dimension::parse(text).unwrap()
    }

    const STEEL: Reading = Reading { bare_unit: LengthUnit::Millimetre, sheet: SheetKind::Steel };
    const INCH: Reading = Reading { bare_unit: LengthUnit::Inch, sheet: SheetKind::Unknown };

    #[test]
    fn a_bare_number_takes_the_shop_unit() {
        assert_eq!(dimension("70").length_mm(&STEEL), Ok(70.0));
        assert_eq!(dimension("2").length_mm(&INCH), Ok(50.8));
        assert_eq!(dimension("1 5/8").length_mm(&INCH), Ok(41.275));
        let message = dimension("1 5/8").length_mm(&STEEL).unwrap_err().to_string();
        assert!(message.contains("1.625 mm") && message.contains("41.275 mm"), "{message}");
    }

    #[test]
    fn sheet_gauge_needs_plain_steel() {
        let ga = dimension("20 ga");
        assert!((ga.thickness_mm(&STEEL).unwrap() - 0.911_86).abs() < 1e-9);
        for sheet in
            [SheetKind::Unknown, SheetKind::ZincCoated, SheetKind::Aluminium, SheetKind::Stainless, SheetKind::Other]
        {
            let message = ga.thickness_mm(&Reading { sheet, ..STEEL }).unwrap_err().to_string();
            for reading in ["0.912 mm", "0.914 mm", "1.006 mm", "0.952 mm", "0.812 mm"] {
                assert!(message.contains(reading), "{reading}: {message}");
            }
        }
    }

    #[test]
    fn wire_gauge_is_read_for_any_sheet_and_for_wire() {
        for sheet in [SheetKind::Unknown, SheetKind::Steel, SheetKind::Aluminium] {
            let mm = dimension("20 swg").thickness_mm(&Reading { sheet, ..STEEL }).unwrap();
            assert!((mm - 0.9144).abs() < 1e-12);
        }
        assert!(matches!(dimension("31 swg").thickness_mm(&STEEL), Err(UnitError::UnknownGauge { .. })));
        assert!(matches!(dimension("2 ga").thickness_mm(&STEEL), Err(UnitError::UnknownGauge { .. })));
    }

    #[test]
    fn sizes_below_zero_are_refused_by_name() {
        assert!(dimension("-3 mm").length_mm(&STEEL).unwrap_err().to_string().contains("negative"));
        assert!(dimension("0 mm").positive_length_mm(&STEEL).unwrap_err().to_string().contains("zero"));
        assert!(dimension("0").thickness_mm(&STEEL).is_err());
        assert_eq!(dimension("-3 mm").signed_length_mm(&STEEL), Ok(-3.0));
        assert_eq!(dimension("0 mm").length_mm(&STEEL), Ok(0.0));
    }

    #[test]
    fn the_wrong_kind_is_refused() {
        assert!(matches!(dimension("20 swg").length_mm(&STEEL), Err(UnitError::WrongKind { .. })));
        assert!(matches!(dimension("90°").length_mm(&STEEL), Err(UnitError::WrongKind { .. })));
        assert!(matches!(dimension("90°").thickness_mm(&STEEL), Err(UnitError::WrongKind { .. })));
        assert!(matches!(dimension("90 mm").angle_rad(), Err(UnitError::WrongKind { .. })));
        assert!((dimension("90").angle_rad().unwrap().to_degrees() - 90.0).abs() < 1e-12);
    }

    #[test]
    fn a_file_is_written_back_as_it_came() {
        let text = "a = \"1 5/8 in\"\nb = 70\nc = 0.9\n";
        let table: std::collections::BTreeMap<String, Dimension> = toml::from_str(text).unwrap();
        assert_eq!(toml::to_string(&table).unwrap(), text);
        let json = r#"{"a":"1 5/8 in","b":70,"c":0.9}"#;
        let table: std::collections::BTreeMap<String, Dimension> = serde_json::from_str(json).unwrap();
        assert_eq!(serde_json::to_string(&table).unwrap(), json);
    }

    #[test]
    fn a_file_with_nonsense_is_refused() {
        for text in ["a = nan", "a = inf", "a = \"1,250\"", "a = 1e300", "a = true", "a = []", "a = \"\""] {
            assert!(toml::from_str::<std::collections::BTreeMap<String, Dimension>>(text).is_err(), "{text}");
        }
    }

    proptest::proptest! {
        #[test]
        fn a_computed_length_keeps_every_digit(mm in 0.0..99_999.0f64) {
            let made = Dimension::from_mm(mm).unwrap();
            let read: Dimension = serde_json::from_str(&serde_json::to_string(&made).unwrap()).unwrap();
            proptest::prop_assert_eq!(made.length_mm(&STEEL).unwrap(), mm);
            proptest::prop_assert!((read.length_mm(&STEEL).unwrap() - mm).abs() <= 1e-9);
        }
    }
}
