//! Profiles that are in millimetres already, as a job has them.

use super::checks;
use super::file::{self, Pair, Stations, Unit};
use crate::{Face, Measured, SurveyError};
use glam::DVec2;
use units::{Dimension, UnitError};

/// A profile in millimetres.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    /// Along the datum line.
    pub station_mm: f64,
    /// Across and height of each point, across growing.
    pub points_mm: Vec<DVec2>,
    /// ± of a height, two standard deviations.
    pub reach_mm: f64,
}

/// The survey of some profiles inside an outline, checked as a file of them is.
///
/// # Errors
/// [`SurveyError::Faults`].
pub fn measured(profiles: &[Profile], face: Face, outline_mm: &[DVec2]) -> Result<Measured, SurveyError> {
    let unusable = |error: UnitError| SurveyError::fault("the profiles", error.to_string());
    let pair =
        |point: &DVec2| -> Result<Pair, UnitError> { Ok([Dimension::from_mm(point.x)?, Dimension::from_mm(point.y)?]) };
    let pairs = |points: &[DVec2]| points.iter().map(pair).collect::<Result<Vec<Pair>, UnitError>>();
    let profile = |own: &Profile| -> Result<file::Profile, UnitError> {
        Ok(file::Profile {
            station: Dimension::from_mm(own.station_mm)?,
            reach: Some(Dimension::from_mm(own.reach_mm)?),
            points: pairs(&own.points_mm)?,
        })
    };
    let stations = Stations {
        stations_format: 1,
        _name: String::new(),
        unit: Unit::Mm,
        face,
        reach: None,
        outline: Some(pairs(outline_mm).map_err(unusable)?),
        holes: Vec::new(),
        profiles: profiles.iter().map(profile).collect::<Result<_, _>>().map_err(unusable)?,
    };
    checks::measured(&stations)
}
