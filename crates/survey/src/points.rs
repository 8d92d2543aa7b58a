//! Scattered points: a text file with x y z and, if known, a reach on each line, or the points of a mesh file.
//!
//! Numbers stand apart by spaces, tabs, commas or semicolons, decimals behind a point; a first line of names is passed over, as
//! are empty lines and lines that begin with `#`. Points of a mesh file keep its order.

use crate::error::MOST_FAULTS;
use crate::measured::check_size;
use crate::{DEFAULT_REACH_MM, Face, Fault, Frame, MOST_READINGS, Measured, Origin, Reading, SurveyError, concerns};
use glam::{DVec2, DVec3};
use mesh::Skin;
use spade::{DelaunayTriangulation, Point2, Triangulation as _};

/// How points are read.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PointSettings {
    /// Millimetres in one of the file's unit; without it mm, and a size that is no panel's is refused.
    pub unit_mm: Option<f64>,
    /// Reach of a point that has none of its own, mm.
    pub reach_mm: Option<f64>,
    /// Which face was touched.
    pub face: Face,
    /// A direction towards the outside of the panel, in the file's axes.
    pub outward: Option<DVec3>,
}

struct Point {
    at: DVec3,
    reach_mm: Option<f64>,
    origin: Origin,
}

/// Reads a text file of points.
///
/// # Errors
/// [`SurveyError::Faults`] with the lines at fault; [`SurveyError::Setting`].
pub fn read(text: &str, settings: &PointSettings) -> Result<Measured, SurveyError> {
    let unit_mm = settings.unit_mm.unwrap_or(1.0);
    let mut points = Vec::new();
    let mut faults = Vec::new();
    let lines = text.lines().enumerate().map(|(index, line)| (index + 1, line.trim()));
    for (number, line) in lines.filter(|(_, line)| !line.is_empty() && !line.starts_with('#')) {
        if points.len() >= MOST_READINGS {
            let message = format!("there are more than {MOST_READINGS} points; thin them out");
            return Err(SurveyError::fault(format!("line {number}"), message));
        }
        match numbers(line) {
            Ok([x, y, z, reach]) => points.push(Point {
                at: DVec3::new(x, y, z) * unit_mm,
                reach_mm: (!reach.is_nan()).then_some(reach * unit_mm),
                origin: Origin::Line(number as u32),
            }),
            Err(_) if points.is_empty() && faults.is_empty() && is_heading(line) => {}
            Err(message) if faults.len() < MOST_FAULTS => {
                faults.push(Fault { place: format!("line {number}"), message })
            }
            Err(_) => break,
        }
    }
    if faults.is_empty() { measured(&points, None, settings) } else { Err(SurveyError::Faults(faults)) }
}

/// The points of a mesh file. Its triangles, if any, say which side is outside (anticlockwise seen from there).
///
/// # Errors
/// [`SurveyError::Faults`], [`SurveyError::Setting`].
pub fn of_skin(skin: &Skin, settings: &PointSettings) -> Result<Measured, SurveyError> {
    if skin.points_mm.len() > MOST_READINGS {
        let message =
            format!("there are {}; at most {MOST_READINGS} are accepted: thin them out", skin.points_mm.len());
        return Err(SurveyError::fault("points", message));
    }
    if let Some(index) = skin.points_mm.iter().position(|point| !point.is_finite()) {
        return Err(SurveyError::fault(
            format!("point {}", index + 1),
            "it is not finite; finite numbers are accepted",
        ));
    }
    let known = |triangle: &&[u32; 3]| triangle.iter().all(|i| (*i as usize) < skin.points_mm.len());
    let faces = skin.triangles.iter().filter(known).map(|triangle| {
        let [a, b, c] = triangle.map(|i| skin.points_mm[i as usize]);
        (b - a).cross(c - a)
    });
    let outward = Some(faces.sum::<DVec3>()).filter(|sum| *sum != DVec3::ZERO);
    let unit_mm = settings.unit_mm.unwrap_or(1.0);
    let point = |(index, at): (usize, &DVec3)| Point {
        at: *at * unit_mm,
        reach_mm: None,
        origin: Origin::Point(index as u32 + 1),
    };
    measured(&skin.points_mm.iter().enumerate().map(point).collect::<Vec<_>>(), outward, settings)
}

/// x, y, z and reach; NaN stands for no reach.
fn numbers(line: &str) -> Result<[f64; 4], String> {
    let words: Vec<&str> = line.split([' ', '\t', ',', ';']).filter(|word| !word.is_empty()).collect();
    if !(3..=4).contains(&words.len()) {
        return Err(format!(
            "it has {} numbers; 3 or 4 are accepted (x y z, then the reach if known; decimals behind a point)",
            words.len()
        ));
    }
    let mut numbers = [f64::NAN; 4];
    for ((slot, word), name) in numbers.iter_mut().zip(&words).zip(["x", "y", "z", "reach"]) {
        let value: f64 = word.parse().map_err(|_| format!("{name} is \"{word}\"; a number is accepted"))?;
        if !value.is_finite() || (name == "reach" && value <= 0.0) {
            let need = if name == "reach" { "a number more than 0" } else { "a finite number" };
            return Err(format!("{name} is {word}; {need} is accepted"));
        }
        *slot = value;
    }
    Ok(numbers)
}

/// Names of columns: words of letters, none of them a number.
fn is_heading(line: &str) -> bool {
    let mut words = line.split([' ', '\t', ',', ';']).filter(|word| !word.is_empty());
    words.all(|word| word.starts_with(char::is_alphabetic) && word.parse::<f64>().is_err())
}

fn measured(points: &[Point], faces: Option<DVec3>, settings: &PointSettings) -> Result<Measured, SurveyError> {
    let positive = |name, value: Option<f64>| match value {
        Some(got) if !(got.is_finite() && got > 0.0) => {
            Err(SurveyError::Setting { name, got, need: "a finite number more than 0" })
        }
        _ => Ok(()),
    };
    positive("the unit in mm", settings.unit_mm)?;
    positive("the reach", settings.reach_mm)?;
    if points.len() < 3 {
        return Err(SurveyError::fault("points", format!("there are {}; 3 or more are accepted", points.len())));
    }
    let places: Vec<DVec3> = points.iter().map(|point| point.at).collect();
    let first = places.first().copied().unwrap_or_default();
    let (low, high) = places.iter().fold((first, first), |(low, high), place| (low.min(*place), high.max(*place)));
    check_size((high - low).max_element(), settings.unit_mm.is_some())?;
    let frame = Frame::of_points(&places, settings.outward.or(faces));
    let default_mm = settings.reach_mm.unwrap_or(DEFAULT_REACH_MM);
    let reading = |point: &Point| {
        let [u_mm, v_mm, height_mm] = frame.place_mm(point.at);
        Reading { u_mm, v_mm, height_mm, reach_mm: point.reach_mm.unwrap_or(default_mm), origin: point.origin }
    };
    let readings: Vec<Reading> = points.iter().map(reading).collect();
    let untold = settings.reach_mm.is_none() && points.iter().any(|point| point.reach_mm.is_none());
    Ok(Measured {
        frame,
        face: settings.face,
        outline_mm: hull(&readings)?,
        readings,
        stations_mm: Vec::new(),
        holes_mm: Vec::new(),
        concerns: if untold { vec![concerns::reach_not_told()] } else { Vec::new() },
    })
}

/// Convex hull of the places, anticlockwise.
fn hull(readings: &[Reading]) -> Result<Vec<DVec2>, SurveyError> {
    let places = readings.iter().map(|reading| Point2::new(reading.u_mm, reading.v_mm)).collect();
    let bad = |_| {
        SurveyError::fault("points", "a place is beyond what can be worked with; lengths of a panel in mm are accepted")
    };
    let mesh = DelaunayTriangulation::<Point2<f64>>::bulk_load(places).map_err(bad)?;
    let mut corners: Vec<DVec2> =
        mesh.convex_hull().map(|edge| edge.from().position()).map(|at| DVec2::new(at.x, at.y)).collect();
    if mesh::polygon::signed_area_mm2(&corners) < 0.0 {
        corners.reverse();
    }
    let line = SurveyError::fault(
        "points",
        format!("all {} lie on one line; points beside it are accepted too", readings.len()),
    );
    let area = mesh::polygon::signed_area_mm2(&corners);
    let length = readings.iter().map(|reading| reading.u_mm.abs()).fold(0.0, f64::max);
    if corners.len() < 3 || area <= 1e-4 * length * length { Err(line) } else { Ok(corners) }
}

#[cfg(test)]
mod tests;
