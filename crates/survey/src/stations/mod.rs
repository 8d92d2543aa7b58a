//! Profiles taken with a contour gauge at stations along a straight datum line, as a TOML file.
//!
//! ```toml
//! stations_format = 1
//! name = "roof corner"
//! unit = "mm"              # of numbers written without one: mm, cm, m or in
//! face = "outside"         # which face the gauge touched: outside, inside or middle
//! reach = "0.5 mm"         # ± of a height; a profile may have its own
//!
//! [[profiles]]
//! station = "0 mm"         # along the datum line, each further than the one before
//! points = [["-180 mm", "3.5 mm"], ["-150 mm", "9 mm"]]   # across and height, across growing
//!
//! outline = [["0 mm", "-180 mm"], …]    # optional, at the top: corners along and across; default: to the ends of the profiles
//! holes = [[…], …]                      # optional
//! ```
//!
//! Along, across and height are x, y and z: looking along the datum line, across is positive to the left, height towards the
//! outside of the panel. The datum line and the heights are those of a straight-edge or a stretched line, not of the panel.

mod checks;
mod file;
mod numbers;

pub use numbers::{Profile, measured};

use crate::{Measured, SurveyError};
use serde::Deserialize as _;

/// Reads a file of stations.
///
/// # Errors
/// [`SurveyError::Faults`] with every fault found: what cannot be read as TOML, then fields and their values.
pub fn read(text: &str) -> Result<Measured, SurveyError> {
    let fault = |error: toml::de::Error| {
        let line = error.span().map(|span| text.get(..span.start).unwrap_or("").matches('\n').count() + 1);
        let place = line.map_or_else(|| "the file".to_owned(), |line| format!("line {line}"));
        SurveyError::fault(place, error.message().replace('\n', "; "))
    };
    let value = toml::Deserializer::parse(text).map_err(fault)?;
    checks::measured(&file::Stations::deserialize(value).map_err(fault)?)
}

#[cfg(test)]
mod tests;
