//! From what is written to a quantity: units, fractions, decimal marks, and what is refused.

use super::grammar::{Amount, Written, is_degree, is_foot, is_inch};
use super::{LARGEST, LengthUnit, Quantity, not_understood};
use crate::error::{UnitError, quoted};
use crate::gauge::{self, MM_PER_INCH};

impl Written<'_> {
    /// The quantity, or why it is none.
    pub(super) fn evaluate(&self, read: &str) -> Result<Quantity, UnitError> {
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
