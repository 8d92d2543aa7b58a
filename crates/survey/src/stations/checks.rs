//! From the file to heights over the datum plane, every fault named.

use super::file::{Pair, Profile, Stations};
use crate::error::MOST_FAULTS;
use crate::measured::check_size;
use crate::{DEFAULT_REACH_MM, Fault, Frame, MOST_READINGS, Measured, Origin, Reading, SurveyError, concerns};
use glam::DVec2;
use mesh::polygon::{check_simple, contains, distance_to_sides_mm, signed_area_mm2};
use units::{Dimension, Quantity};

/// Largest reach that still says something about a panel, mm.
const LARGEST_REACH_MM: f64 = 50.0;

/// Reads lengths and collects faults.
struct Reader {
    context: units::Reading,
    faults: Vec<Fault>,
}

pub(super) fn measured(file: &Stations) -> Result<Measured, SurveyError> {
    if file.stations_format != 1 {
        let message = format!("it is {}; 1 is accepted", file.stations_format);
        return Err(SurveyError::fault("stations_format", message));
    }
    let context = units::Reading { bare_unit: file.unit.length_unit(), ..Default::default() };
    let mut reader = Reader { context, faults: Vec::new() };
    let points: usize = file.profiles.iter().map(|profile| profile.points.len()).sum();
    if points > MOST_READINGS {
        reader.fault("profiles", format!("there are {points} points; at most {MOST_READINGS} are accepted"));
        return Err(SurveyError::Faults(reader.faults));
    }
    if file.profiles.len() < 3 {
        reader.fault("profiles", format!("there are {}; 3 or more are accepted", file.profiles.len()));
    }
    let reach_mm = reader.reach("reach", file.reach.as_ref());
    let mut measured = Measured {
        frame: Frame::STATIONS,
        face: file.face,
        readings: Vec::with_capacity(points),
        stations_mm: Vec::new(),
        outline_mm: Vec::new(),
        holes_mm: Vec::new(),
        concerns: Vec::new(),
    };
    for (index, profile) in file.profiles.iter().enumerate() {
        reader.profile(index, profile, reach_mm, &mut measured);
    }
    if file.reach.is_none() && file.profiles.iter().any(|profile| profile.reach.is_none()) {
        measured.concerns.push(concerns::reach_not_told());
    }
    if reader.faults.is_empty() {
        reader.outlines(file, &mut measured);
    }
    if !reader.faults.is_empty() {
        return Err(SurveyError::Faults(reader.faults));
    }
    let [low, high] = measured.bounds_mm();
    check_size((high - low).max_element(), !file.has_bare_lengths())?;
    Ok(measured)
}

impl Stations {
    /// Whether a length that gives the survey its size stands without a unit.
    fn has_bare_lengths(&self) -> bool {
        let bare = |length: &Dimension| matches!(length.quantity(), Quantity::Bare { .. });
        self.profiles
            .iter()
            .any(|profile| bare(&profile.station) || profile.points.iter().any(|[across, _]| bare(across)))
    }
}

impl Reader {
    fn fault(&mut self, place: impl Into<String>, message: impl Into<String>) {
        if self.faults.len() < MOST_FAULTS {
            self.faults.push(Fault { place: place.into(), message: message.into() });
        }
    }

    fn length(&mut self, place: impl FnOnce() -> String, length: &Dimension) -> Option<f64> {
        match length.signed_length_mm(&self.context) {
            Ok(mm) => Some(mm),
            Err(error) => {
                self.fault(place(), error.to_string());
                None
            }
        }
    }

    /// A reach, or that of a reading nobody told one for.
    fn reach(&mut self, place: &str, reach: Option<&Dimension>) -> f64 {
        let Some(reach) = reach else { return DEFAULT_REACH_MM };
        match reach.positive_length_mm(&self.context) {
            Ok(mm) if mm <= LARGEST_REACH_MM => return mm,
            Ok(mm) => {
                self.fault(place, format!("it is {mm} mm; more than 0 and at most {LARGEST_REACH_MM} mm is accepted"))
            }
            Err(error) => self.fault(place, error.to_string()),
        }
        DEFAULT_REACH_MM
    }

    fn profile(&mut self, index: usize, profile: &Profile, reach_mm: f64, into: &mut Measured) {
        let number = index + 1;
        let name = format!("profile {number} (station {})", profile.station.written());
        let Some(station_mm) = self.length(|| format!("profile {number}, station"), &profile.station) else { return };
        if let Some(before) = into.stations_mm.last()
            && station_mm <= *before
        {
            let message = format!(
                "its station is {station_mm} mm, the one before it is at {before} mm; stations that grow are accepted"
            );
            self.fault(&name, message);
        }
        into.stations_mm.push(station_mm);
        let reach_mm = match &profile.reach {
            None => reach_mm,
            own => self.reach(&format!("{name}, reach"), own.as_ref()),
        };
        if profile.points.len() < 2 {
            self.fault(&name, format!("it has {} points; 2 or more are accepted", profile.points.len()));
        }
        let first = into.readings.len();
        for (at, [across, height]) in profile.points.iter().enumerate() {
            let across = self.length(|| format!("{name}, point {}, across", at + 1), across);
            let height = self.length(|| format!("{name}, point {}, height", at + 1), height);
            if let (Some(v_mm), Some(height_mm)) = (across, height) {
                let origin = Origin::Station { profile: number as u32, point: at as u32 + 1 };
                into.readings.push(Reading { u_mm: station_mm, v_mm, height_mm, reach_mm, origin });
            }
        }
        let added = into.readings.get(first..).unwrap_or_default();
        if let Some(message) = not_growing(added) {
            self.fault(name, message);
        }
    }

    fn outlines(&mut self, file: &Stations, into: &mut Measured) {
        into.outline_mm = match &file.outline {
            Some(corners) => self.outline("outline", corners),
            None => around_profiles(&into.readings, into.stations_mm.len()),
        };
        for (index, corners) in file.holes.iter().enumerate() {
            let place = format!("holes {}", index + 1);
            let hole = self.outline(&place, corners);
            if !self.faults.is_empty() {
                return;
            }
            let outside = hole.iter().any(|corner| !contains(&into.outline_mm, *corner))
                || into.outline_mm.iter().any(|corner| contains(&hole, *corner));
            let meets = |other: &Vec<DVec2>| {
                hole.iter().any(|corner| contains(other, *corner))
                    || other.iter().any(|corner| contains(&hole, *corner))
            };
            if outside || hole.iter().any(|corner| distance_to_sides_mm(&into.outline_mm, *corner) == 0.0) {
                self.fault(&place, "it does not lie inside the outline; a hole inside it is accepted");
            } else if into.holes_mm.iter().any(meets) {
                self.fault(&place, "it meets another hole; holes apart from one another are accepted");
            }
            into.holes_mm.push(hole);
        }
    }

    /// Corners of a closed outline, anticlockwise.
    fn outline(&mut self, place: &str, corners: &[Pair]) -> Vec<DVec2> {
        let mut outline = Vec::with_capacity(corners.len());
        for (at, [along, across]) in corners.iter().enumerate() {
            let along = self.length(|| format!("{place}, corner {}, along", at + 1), along);
            let across = self.length(|| format!("{place}, corner {}, across", at + 1), across);
            if let (Some(u), Some(v)) = (along, across) {
                outline.push(DVec2::new(u, v));
            }
        }
        if outline.len() > 1 && outline.first() == outline.last() {
            outline.pop();
        }
        if outline.len() < 3 {
            self.fault(place, format!("it has {} corners; 3 or more are accepted", outline.len()));
        } else if let Err(clash) = check_simple(&outline) {
            let [a, b] = clash.sides.map(|side| side + 1);
            let (u, v) = (clash.at_mm.x, clash.at_mm.y);
            let message = format!(
                "its sides {a} and {b} meet near ({u:.1}, {v:.1}) mm; an outline that does not cross itself is accepted"
            );
            self.fault(place, message);
        }
        if signed_area_mm2(&outline) < 0.0 {
            outline.reverse();
        }
        outline
    }
}

/// What is wrong with the order of a profile's points.
fn not_growing(points: &[Reading]) -> Option<String> {
    let falls = |pair: &[Reading]| matches!(pair, [a, b] if b.v_mm <= a.v_mm);
    let fallen = points.windows(2).position(falls)?;
    if points.len() > 2 && points.windows(2).all(falls) {
        return Some("it runs backwards (across falls from point to point); write its points from the right to the left of the datum line".to_owned());
    }
    let [a, b] = [points.get(fallen)?, points.get(fallen + 1)?];
    Some(format!(
        "point {} is at {} mm across, the one before it at {} mm; points whose across grows are accepted",
        fallen + 2,
        b.v_mm,
        a.v_mm
    ))
}

/// Along the first points of the profiles and back along their last ones.
fn around_profiles(readings: &[Reading], profiles: usize) -> Vec<DVec2> {
    let of = |reading: &Reading| match reading.origin {
        Origin::Station { profile, .. } => profile,
        Origin::Line(_) | Origin::Point(_) => 0,
    };
    let ends: Vec<&[Reading]> = readings.chunk_by(|a, b| of(a) == of(b)).take(profiles).collect();
    let place = |reading: &Reading| DVec2::new(reading.u_mm, reading.v_mm);
    let there = ends.iter().filter_map(|profile| profile.first()).map(place);
    there.chain(ends.iter().rev().filter_map(|profile| profile.last()).map(place)).collect()
}
