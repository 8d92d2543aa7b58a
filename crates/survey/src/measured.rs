//! What was measured, as heights over a datum plane.

use crate::{Frame, SurveyError};
use glam::DVec2;
use handbook::Concern;
use serde::{Deserialize, Serialize};

/// Most readings of a survey.
pub const MOST_READINGS: usize = 2_000_000;

/// Reach of a reading nobody has told one for: a contour gauge or a steel rule read to the nearest half millimetre
/// (common practice, no source).
pub const DEFAULT_REACH_MM: f64 = 0.5;

/// Which face of the sheet was touched.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Face {
    /// The outside face: what a tape and a contour gauge touch.
    #[default]
    Outside,
    /// The inside face.
    Inside,
    /// Worked out for the middle of the sheet already.
    Middle,
}

impl Face {
    /// The word of the job file.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Outside => "outside",
            Self::Inside => "inside",
            Self::Middle => "middle",
        }
    }
}

/// Where a reading stands in what a person wrote.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// A point of a profile, both counted from 1.
    Station {
        /// Which profile.
        profile: u32,
        /// Which point of it.
        point: u32,
    },
    /// A line of a text file, counted from 1.
    Line(u32),
    /// A point of a mesh or point file, counted from 1.
    Point(u32),
}

/// One height over the datum plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Along, mm.
    pub u_mm: f64,
    /// Across, mm.
    pub v_mm: f64,
    /// Towards the outside, mm.
    pub height_mm: f64,
    /// ± of the height, two standard deviations, mm.
    pub reach_mm: f64,
    /// Where it was written.
    pub origin: Origin,
}

/// A survey ready to be fitted: readings in a datum plane, checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// The datum plane.
    pub frame: Frame,
    /// Which face was touched.
    pub face: Face,
    /// Heights; of stations in the order of the profiles.
    pub readings: Vec<Reading>,
    /// Station of each profile, mm; empty for points.
    pub stations_mm: Vec<f64>,
    /// Outline of the panel in the datum plane, anticlockwise, first corner not repeated.
    pub outline_mm: Vec<DVec2>,
    /// Openings inside the outline, anticlockwise.
    pub holes_mm: Vec<Vec<DVec2>>,
    /// What was noticed on reading.
    pub concerns: Vec<Concern>,
}

impl Measured {
    /// A reading's place as a person would say it.
    #[must_use]
    pub fn place(&self, reading: &Reading) -> String {
        match reading.origin {
            Origin::Station { profile, point } => {
                let station = self.stations_mm.get(profile as usize - 1).copied().unwrap_or(reading.u_mm);
                format!("station {station:.1} mm, point {point} (across {:.1} mm)", reading.v_mm)
            }
            Origin::Line(line) => format!("line {line}"),
            Origin::Point(point) => format!("point {point}"),
        }
    }

    /// Lower and upper corner of readings and outline, mm.
    pub(crate) fn bounds_mm(&self) -> [DVec2; 2] {
        let places = self.readings.iter().map(|reading| DVec2::new(reading.u_mm, reading.v_mm));
        let all = places.chain(self.outline_mm.iter().copied());
        let empty = [DVec2::splat(f64::INFINITY), DVec2::splat(f64::NEG_INFINITY)];
        all.fold(empty, |[low, high], place| [low.min(place), high.max(place)])
    }
}

/// Refuses a survey whose size is no panel's in mm. `sure` when every length came with its unit.
pub(crate) fn check_size(size_mm: f64, sure: bool) -> Result<(), SurveyError> {
    let likely = match size_mm {
        s if s > 8000.0 => {
            "is 8 m or less: were millimetres read as inches (25.4 times too big)? write the unit behind the number"
        }
        s if s < 80.0 && !sure => {
            "is 80 mm or more: were inches read as millimetres (25.4 times too small)? write the unit"
        }
        _ => return Ok(()),
    };
    Err(SurveyError::fault("the whole survey", format!("it is {size_mm:.2} mm long; a panel {likely}")))
}
