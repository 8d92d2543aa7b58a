//! Weld lines: checked, walked along, sampled on the mesh, cut into runs.

use super::HeatError;
use crate::heat::within;
use crate::weld_line::{self, WeldLineError};
use glam::DVec3;
use mesh::Skin;
use mesh::nearest::Nearest;

/// A checked line.
#[derive(Debug, Clone)]
pub(super) struct Line {
    points_mm: Vec<DVec3>,
    /// Distance of each point along the line.
    along_mm: Vec<f64>,
}

impl Line {
    pub(super) fn new(points_mm: &[DVec3]) -> Result<Self, HeatError> {
        let length = weld_line::length_mm(points_mm)?;
        within("length of the weld line", length, [0.01, 1e5], "mm")?;
        let mut along_mm = vec![0.0];
        for ends in points_mm.windows(2) {
            along_mm.push(along_mm.last().copied().unwrap_or(0.0) + ends[0].distance(ends[1]));
        }
        Ok(Self { points_mm: points_mm.to_vec(), along_mm })
    }

    pub(super) fn length_mm(&self) -> f64 {
        self.along_mm.last().copied().unwrap_or(0.0)
    }

    /// The place at a distance along the line, held to its ends.
    pub(super) fn at(&self, along: f64) -> DVec3 {
        let i = self.along_mm.partition_point(|to| *to < along).clamp(1, self.points_mm.len() - 1);
        let (from, to) = (self.along_mm[i - 1], self.along_mm[i]);
        self.points_mm[i - 1].lerp(self.points_mm[i], ((along - from) / (to - from)).clamp(0.0, 1.0))
    }

    /// The part between two distances.
    fn part(&self, from: f64, to: f64) -> Vec<DVec3> {
        let between = self.along_mm.iter().zip(&self.points_mm);
        let inner = between.filter(|(along, _)| **along > from + 1e-6 && **along < to - 1e-6).map(|(_, point)| *point);
        [self.at(from)].into_iter().chain(inner).chain([self.at(to)]).collect()
    }
}

/// A weld line cut into the least number of equal runs of at most a length.
///
/// # Errors
/// [`HeatError::Line`]; [`HeatError::Rule`] for a length that is none, or when there would be more than 1000 runs.
pub fn split(line_mm: &[DVec3], longest_mm: f64) -> Result<Vec<Vec<DVec3>>, HeatError> {
    let line = Line::new(line_mm)?;
    let length = line.length_mm();
    let longest = within("length of a run", longest_mm, [1.0, 1e5], "mm")?;
    let runs = within("number of runs", (length / longest - 1e-9).ceil().max(1.0), [1.0, 1000.0], "")?;
    let step = length / runs;
    Ok((0..runs as u32).map(|i| line.part(step * f64::from(i), step * f64::from(i + 1))).collect())
}

/// A place on the mesh: nodes of a triangle and their shares.
pub(super) type Sample = [(u32, f64); 3];

/// Places of the mesh under a pass, none farther off than `most_mm`.
pub(super) fn samples(
    skin: &Skin,
    nearest: &Nearest,
    places: impl Iterator<Item = DVec3>,
    what: &'static str,
    most_mm: f64,
) -> Result<Vec<Sample>, HeatError> {
    let sample = |at_mm: DVec3| {
        let closest = nearest.closest(at_mm)?;
        let distance_mm = closest.signed_distance_mm.abs();
        if distance_mm > most_mm {
            return Err(WeldLineError::OffMesh { what, distance_mm, most_mm, at_mm }.into());
        }
        let [a, b, c] = skin.triangles[closest.triangle];
        let [wa, wb, wc] = closest.weights;
        Ok([(a, wa), (b, wb), (c, wc)])
    };
    places.map(sample).collect()
}
