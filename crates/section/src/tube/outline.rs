//! The outline of a tube's sheet: x the station, y the arc along the middle of the wall from where the piece starts.

use super::{Cover, Tube, Wall};
use crate::{Opening, OpeningShape, SectionError};
use glam::DVec2;
use std::f64::consts::{FRAC_PI_2, TAU};

/// Deepest halving of an interval: points lie at most 2⁻¹⁴ of a quarter of the girth apart there.
const DEEPEST: usize = 14;

/// Outline of the sheet, seen on the inside of the tube.
#[derive(Debug, Clone, PartialEq)]
pub struct TubeOutline {
    /// Anticlockwise from the start end on the first side.
    pub points_mm: Vec<DVec2>,
    /// First side, far end, second side, start end, in order.
    pub edges: Vec<OutlineEdge>,
}

/// One edge of the outline.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutlineEdge {
    /// "long seam", "foot" …
    pub name: String,
    /// Indices of its points in order; the last one is the first of the next edge.
    pub points: Vec<usize>,
}

/// Outline with every chord within `tolerance_mm` of the cut it stands for.
///
/// # Errors
/// What is wrong with the tube, as [`Tube::check`]; a tolerance out of range.
pub fn outline(tube: &Tube, tolerance_mm: f64) -> Result<TubeOutline, SectionError> {
    tube.check()?;
    crate::error::within("the tolerance", tolerance_mm, 1e-7..=5.0, "mm")?;
    let start = tube.edge_samples_mm(0, tolerance_mm);
    let far = tube.edge_samples_mm(1, tolerance_mm);
    Ok(joined(tube, &start, &far))
}

/// The outline through given places of both ends, each list rising from 0 to the width.
pub(super) fn joined(tube: &Tube, start_mm: &[f64], far_mm: &[f64]) -> TubeOutline {
    let at = |end: usize, y: f64| DVec2::new(tube.edge_station_mm(end, y), y);
    let mut points_mm: Vec<DVec2> = Vec::with_capacity(start_mm.len() + far_mm.len());
    points_mm.push(at(0, 0.0));
    points_mm.extend(far_mm.iter().map(|y| at(1, *y)));
    // the way back ends where it began
    points_mm.extend(start_mm.iter().skip(1).rev().map(|y| at(0, *y)));
    let (far, all) = (far_mm.len(), points_mm.len());
    let [first_side, second_side] = tube.side_names();
    let edge = |name: String, points: Vec<usize>| OutlineEdge { name, points };
    let [start_end, far_end] = &tube.ends;
    let edges = vec![
        edge(first_side, vec![0, 1]),
        edge(far_end.name.clone(), (1..=far).collect()),
        edge(second_side, vec![far, far + 1]),
        edge(start_end.name.clone(), (far + 1..all).chain([0]).collect()),
    ];
    TubeOutline { points_mm, edges }
}

impl Tube {
    /// Width of the sheet along the middle of the wall, with the lap of its long seam.
    #[must_use]
    pub fn width_mm(&self) -> f64 {
        self.girth().1 * self.radius_mm(Wall::Middle) + self.seam_lap_mm()
    }

    /// Angle round the girth at a distance across the sheet.
    #[must_use]
    pub fn angle_rad(&self, y_mm: f64) -> f64 {
        self.girth().0 + y_mm / self.radius_mm(Wall::Middle)
    }

    /// Distance across the sheet of an angle round the girth, counted on from where the piece starts.
    #[must_use]
    pub fn across_mm(&self, angle_rad: f64) -> f64 {
        let turned = (angle_rad - self.girth().0).rem_euclid(TAU);
        // a hair before the start is the start
        let turned = if TAU - turned < 1e-9 { 0.0 } else { turned };
        turned * self.radius_mm(Wall::Middle)
    }

    /// Station of an end's edge at a distance across the sheet, corners of a patch rounded.
    #[must_use]
    pub fn edge_station_mm(&self, end: usize, y_mm: f64) -> f64 {
        let cut = self.cut_station_mm(end, self.angle_rad(y_mm));
        let Cover::Part { corner_radius_mm, .. } = self.cover else { return cut };
        let short = corner_radius_mm - y_mm.min(self.width_mm() - y_mm);
        if short <= 0.0 {
            return cut;
        }
        let in_mm = corner_radius_mm - (corner_radius_mm * corner_radius_mm - short * short).max(0.0).sqrt();
        if end == 0 { cut + in_mm } else { cut - in_mm }
    }

    /// Places across the sheet between which an end's edge stays within a tolerance of its chord, rising from 0 to the width.
    pub(super) fn edge_samples_mm(&self, end: usize, tolerance_mm: f64) -> Vec<f64> {
        let width = self.width_mm();
        let quarter = self.ends.get(end).map_or(0.0, super::TubeEnd::quarter_rad);
        let mut breaks = vec![0.0, width];
        breaks.extend((0..4).map(|k| self.across_mm(quarter + f64::from(k) * FRAC_PI_2)));
        if let Cover::Part { corner_radius_mm, .. } = self.cover {
            breaks.extend([corner_radius_mm, width - corner_radius_mm]);
        }
        breaks.extend(breaks.clone().iter().map(|y| y + TAU * self.radius_mm(Wall::Middle)));
        let breaks = sorted(breaks, width);
        let at = |y: f64| DVec2::new(self.edge_station_mm(end, y), y);
        let mut out = vec![0.0];
        for pair in breaks.windows(2) {
            let [a, b] = [pair.first(), pair.last()].map(|y| y.copied().unwrap_or(0.0));
            refine(a, b, &at, tolerance_mm, 0, &mut out);
        }
        out
    }

    fn side_names(&self) -> [String; 2] {
        match self.cover {
            Cover::Whole { .. } => ["long seam, first side".into(), "long seam, second side".into()],
            Cover::Part { from_rad, girth_rad, .. } => [from_rad, from_rad + girth_rad]
                .map(|angle| format!("side at {:.0}°", angle.to_degrees().rem_euclid(360.0))),
        }
    }

    /// Rim of an opening in the plane of the outline. A round hole is the one a straight pin passes through both faces of the wall;
    /// others are laid off along the outside. Empty for a hole wider than the bore.
    #[must_use]
    pub fn opening_rim_mm(&self, opening: &Opening, tolerance_mm: f64) -> Vec<DVec2> {
        let [outside, middle, inside] = [Wall::Outside, Wall::Middle, Wall::Inside].map(|wall| self.radius_mm(wall));
        let centre = DVec2::new(opening.along_mm, self.across_mm(opening.from_edge_mm / outside));
        let round = matches!(opening.shape, OpeningShape::Round { .. });
        let place = |local: DVec2| {
            let turned = if round { (local.y / inside).asin() } else { local.y / outside };
            centre + DVec2::new(local.x, middle * turned)
        };
        let rim: Vec<DVec2> = opening.shape.outline_mm(tolerance_mm).into_iter().map(place).collect();
        if rim.iter().all(|point| point.is_finite()) { rim } else { Vec::new() }
    }
}

/// Rising, without doubles, inside the width.
pub(super) fn sorted(mut places: Vec<f64>, width_mm: f64) -> Vec<f64> {
    places.retain(|y| (0.0..=width_mm).contains(y));
    places.sort_by(f64::total_cmp);
    places.dedup_by(|b, a| *b - *a < 1e-7);
    if let Some(last) = places.last_mut() {
        *last = width_mm;
    }
    places
}

fn refine(a: f64, b: f64, at: &impl Fn(f64) -> DVec2, tolerance_mm: f64, depth: usize, out: &mut Vec<f64>) {
    let (first, last) = (at(a), at(b));
    let along = (last - first).normalize_or_zero();
    let off = |share: f64| along.perp_dot(at(a + (b - a) * share) - first).abs();
    let straight = [0.5, 0.25, 0.75, 0.125, 0.875].into_iter().all(|share| off(share) <= tolerance_mm);
    if straight || depth == DEEPEST {
        out.push(b);
        return;
    }
    let half = 0.5 * (a + b);
    refine(a, half, at, tolerance_mm, depth + 1, out);
    refine(half, b, at, tolerance_mm, depth + 1, out);
}
