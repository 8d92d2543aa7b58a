//! Short tables for people, JSON for programs.

use crate::failure::{Failure, Kind};
use clap::ValueEnum;
use handbook::Working;
use serde::Serialize;
use std::io::{ErrorKind, Write};
use units::{Dimension, LengthUnit, Reading, SheetKind};

/// Unit of a bare number on the command line, and of the table that answers.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, ValueEnum)]
pub enum Unit {
    /// Millimetres
    #[default]
    Mm,
    /// Inches
    In,
}

/// What the sheet is made of; a `ga` number is read for plain steel only.
#[derive(Debug, Clone, Copy, Default, ValueEnum)]
pub enum Sheet {
    /// Not said
    #[default]
    Unknown,
    /// Plain steel
    Steel,
    /// Zinc-coated steel
    ZincCoated,
    /// Aluminium
    Aluminium,
}

/// How dimensions of a command are read, and how its figures are printed.
#[derive(Debug, Clone, Copy, clap::Args)]
pub struct Manner {
    /// Unit of a number without one, and of the lengths and areas in the table
    #[arg(long, value_enum, default_value_t)]
    unit: Unit,
    /// What the sheet is made of (a ga number needs steel)
    #[arg(long, value_enum, default_value_t)]
    sheet: Sheet,
    /// Print JSON: mm, degrees, under keys that say so
    #[arg(long)]
    pub json: bool,
}

impl Manner {
    /// What a place knows that the writer left unsaid.
    pub fn reading(&self) -> Reading {
        Reading {
            bare_unit: match self.unit {
                Unit::Mm => LengthUnit::Millimetre,
                Unit::In => LengthUnit::Inch,
            },
            sheet: match self.sheet {
                Sheet::Unknown => SheetKind::default(),
                Sheet::Steel => SheetKind::Steel,
                Sheet::ZincCoated => SheetKind::ZincCoated,
                Sheet::Aluminium => SheetKind::Aluminium,
            },
        }
    }

    /// Reads a length of zero or more, named by its option.
    pub fn length_mm(&self, option: &str, text: &str) -> Result<f64, Failure> {
        let read = Dimension::parse(text).and_then(|dimension| dimension.length_mm(&self.reading()));
        read.map_err(|error| Failure::from(error).in_place(option))
    }

    /// Reads the thickness of a sheet or wire, named by its option.
    pub fn thickness_mm(&self, option: &str, text: &str) -> Result<f64, Failure> {
        let read = Dimension::parse(text).and_then(|dimension| dimension.thickness_mm(&self.reading()));
        read.map_err(|error| Failure::from(error).in_place(option))
    }

    /// A figure of the table in the unit that is asked, with its decimals and its unit: lengths and areas come in mm, mm² or cm².
    fn shown<'a>(&self, value: f64, unit: &'a str, decimals: usize) -> (f64, usize, &'a str) {
        if self.unit == Unit::Mm {
            return (value, decimals, unit);
        }
        let inch_mm = LengthUnit::Inch.mm();
        // two places more are at least as fine as before
        match unit {
            "mm" => (value / inch_mm, decimals + 2, "in"),
            "mm²" => (value / inch_mm.powi(2), decimals + 2, "in²"),
            "cm²" => (100.0 * value / inch_mm.powi(2), decimals, "in²"),
            _ => (value, decimals, unit),
        }
    }

    /// A line of a table for people: name, value, unit.
    pub fn row(&self, name: &str, value: f64, unit: &str) -> String {
        let decimals = if unit == "mm" || unit == "°" { 3 } else { 4 };
        let (value, decimals, unit) = self.shown(value, unit, decimals);
        format!("{name:<34} {value:>12.decimals$} {unit}\n")
    }

    /// A length, as in "435.7 mm" or "17.154 in"; `decimals` are those of the millimetres.
    pub fn length(&self, mm: f64, decimals: usize) -> String {
        let (value, decimals, unit) = self.shown(mm, "mm", decimals);
        format!("{value:.decimals$} {unit}")
    }

    /// The number of a length without its unit; `decimals` are those of the millimetres.
    pub fn number(&self, mm: f64, decimals: usize) -> String {
        let (value, decimals, _) = self.shown(mm, "mm", decimals);
        format!("{value:.decimals$}")
    }

    /// An area, as in "1204 mm²" or "1.87 in²".
    pub fn area(&self, mm2: f64) -> String {
        let (value, decimals, unit) = self.shown(mm2, "mm²", 0);
        format!("{value:.decimals$} {unit}")
    }

    /// So much of every hundred, as in "3.20 mm per 100 mm": the same number in any unit.
    pub fn per_hundred(&self, figure: f64) -> String {
        let unit = self.length_unit();
        format!("{figure:.2} {unit} per 100 {unit}")
    }

    /// The unit of lengths in the table, mm.
    pub fn length_unit_mm(&self) -> f64 {
        self.reading().bare_unit.mm()
    }

    /// The unit of lengths in the table.
    pub fn length_unit(&self) -> &'static str {
        match self.unit {
            Unit::Mm => "mm",
            Unit::In => "in",
        }
    }
}

/// Reads an angle in radians, named by its option.
pub fn angle_rad(option: &str, text: &str) -> Result<f64, Failure> {
    Dimension::parse(text)
        .and_then(|dimension| dimension.angle_rad())
        .map_err(|error| Failure::from(error).in_place(option))
}

/// Writes a value as JSON over several lines.
pub fn json_text(value: &impl Serialize) -> Result<String, Failure> {
    serde_json::to_string_pretty(value).map(|text| text + "\n").map_err(Failure::machine)
}

/// Lines for workings: the figure, then how it was found.
pub fn working_rows(workings: &[Working]) -> String {
    let line = |working: &Working| {
        let id = if working.source.id.is_empty() { String::new() } else { format!(" ({})", working.source.id) };
        format!("  {}: {}; {}{id}\n", working.name, working.formula, working.source.text)
    };
    workings.iter().map(line).collect()
}

/// Writes to stdout. A reader that has gone away is no trouble.
pub fn print(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(Failure::new(Kind::Machine, error.to_string())),
        _ => Ok(()),
    }
}
