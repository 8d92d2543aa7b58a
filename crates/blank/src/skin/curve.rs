//! One edge of the flat as a smooth curve, by arc length along the finished edge.

use super::smooth::{smooth, smooth_closed};
use glam::{DVec2, DVec3};

/// An edge in the flat, the sheet to its left. Between the boundary's points it is a cubic through them with the slopes of the parabola
/// through each three; beyond its ends it goes straight on.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct FlatCurve {
    /// Stations of the points: arc length along the finished edge, mm.
    pub(super) stations_mm: Vec<f64>,
    points_mm: Vec<DVec2>,
    slopes: Vec<DVec2>,
    /// True when the last point is the first again and the edge has no corner.
    pub(super) closed: bool,
    /// Largest distance by which smoothing moved a point, mm.
    pub(super) moved_mm: f64,
}

/// A place of a curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct CurvePoint {
    pub(super) at_mm: DVec2,
    /// Unit direction.
    pub(super) along: DVec2,
    /// Millimetres of flat per millimetre of station.
    pub(super) speed: f64,
}

impl CurvePoint {
    /// The point at a distance outward, mm.
    pub(super) fn outward(&self, distance_mm: f64) -> DVec2 {
        self.at_mm - self.along.perp() * distance_mm
    }
}

impl FlatCurve {
    /// `flat_mm` and `finished_mm` are the same boundary points in the flat and in the piece, in order; a closed curve repeats its first.
    pub(super) fn new(flat_mm: &[DVec2], finished_mm: &[DVec3], closed: bool, tolerance_mm: f64) -> Self {
        let mut stations_mm = vec![0.0];
        let mut sum = 0.0;
        for pair in finished_mm.windows(2) {
            sum += pair[0].distance(pair[1]);
            stations_mm.push(sum);
        }
        let points_mm = if closed && flat_mm.len() > 5 {
            let mut points = smooth_closed(&flat_mm[..flat_mm.len() - 1], &stations_mm, tolerance_mm);
            points.extend(points.first().copied());
            points
        } else {
            smooth(flat_mm, &stations_mm, tolerance_mm)
        };
        let moved_mm = points_mm.iter().zip(flat_mm).map(|(a, b)| a.distance(*b)).fold(0.0, f64::max);
        let slopes = slopes(&points_mm, &stations_mm, closed);
        Self { stations_mm, points_mm, slopes, closed, moved_mm }
    }

    /// Length of the finished edge, mm.
    pub(super) fn length_mm(&self) -> f64 {
        self.stations_mm.last().copied().unwrap_or(0.0)
    }

    /// Length in the flat, mm, by chords of the boundary's points.
    pub(super) fn flat_length_mm(&self) -> f64 {
        self.points_mm.windows(2).map(|p| p[0].distance(p[1])).sum()
    }

    /// The curve at a station; beyond an open end straight on, in mm of the flat.
    pub(super) fn at(&self, station_mm: f64) -> CurvePoint {
        let length = self.length_mm();
        let station = if self.closed { station_mm.rem_euclid(length) } else { station_mm };
        let inside = station.clamp(0.0, length);
        let i = self.stations_mm.partition_point(|s| *s <= inside).clamp(1, self.stations_mm.len() - 1) - 1;
        let (a, b) = (self.stations_mm[i], self.stations_mm[i + 1]);
        let h = b - a;
        let u = (inside - a) / h;
        let (p, q) = (self.points_mm[i], self.points_mm[i + 1]);
        let (m, n) = (self.slopes[i] * h, self.slopes[i + 1] * h);
        let chord = q - p;
        // Hermite about the chord, so that a straight stays straight to rounding
        let (dm, dn) = (m - chord, n - chord);
        let at_mm = p + chord * u + dm * (u * (1.0 - u) * (1.0 - u)) - dn * (u * u * (1.0 - u));
        let slope = (chord + dm * ((1.0 - u) * (1.0 - 3.0 * u)) - dn * (u * (2.0 - 3.0 * u))) / h;
        let along = slope.normalize_or(chord.normalize_or(DVec2::X));
        CurvePoint { at_mm: at_mm + along * (station - inside), along, speed: slope.length() }
    }

    /// Station of a place `flat_mm` of flat from the start; negative before it.
    pub(super) fn station_after_start(&self, flat_mm: f64) -> f64 {
        if flat_mm < 0.0 { flat_mm } else { flat_mm / self.at(0.0).speed.max(0.1) }
    }

    /// Station of a place `flat_mm` of flat before the end; beyond it where negative.
    pub(super) fn station_before_end(&self, flat_mm: f64) -> f64 {
        let end = self.length_mm();
        if flat_mm < 0.0 { end - flat_mm } else { end - flat_mm / self.at(end).speed.max(0.1) }
    }

    /// The line at `offset_mm`(station) outward between two stations, points such that chords keep within the tolerance.
    pub(super) fn polyline(&self, from: f64, to: f64, offset_mm: &dyn Fn(f64) -> f64, tolerance_mm: f64) -> Vec<DVec2> {
        if to <= from {
            let middle = 0.5 * (from + to);
            return vec![self.at(middle).outward(offset_mm(middle))];
        }
        let mut breaks = vec![from];
        breaks.extend(self.stations_mm.iter().copied().filter(|s| *s > from + 1e-6 && *s < to - 1e-6));
        breaks.push(to);
        let at = |s: f64| vec![self.at(s).outward(offset_mm(s)).extend(0.0)];
        let stations = section::tessellate::refine(&breaks, &at, tolerance_mm);
        let points: Vec<DVec2> = stations.into_iter().map(|s| self.at(s).outward(offset_mm(s))).collect();
        fewer(&points, tolerance_mm)
    }
}

/// Slope by station at each point: of the parabola through it and its neighbours.
fn slopes(points: &[DVec2], stations: &[f64], closed: bool) -> Vec<DVec2> {
    let n = points.len();
    let chord = |i: usize| (points[i + 1] - points[i]) / (stations[i + 1] - stations[i]);
    let between = |before: DVec2, h0: f64, after: DVec2, h1: f64| (before * h1 + after * h0) / (h0 + h1);
    let h = |i: usize| stations[i + 1] - stations[i];
    (0..n)
        .map(|i| match i {
            _ if n == 2 => chord(0),
            i if i == 0 || i + 1 == n => {
                if closed {
                    between(chord(n - 2), h(n - 2), chord(0), h(0))
                } else if i == 0 {
                    let inner = between(chord(0), h(0), chord(1), h(1));
                    chord(0) * 2.0 - inner
                } else {
                    let inner = between(chord(n - 3), h(n - 3), chord(n - 2), h(n - 2));
                    chord(n - 2) * 2.0 - inner
                }
            }
            i => between(chord(i - 1), h(i - 1), chord(i), h(i)),
        })
        .collect()
}

/// Leaves out points while every one left out stays within the tolerance of the chord.
pub(super) fn fewer(points: &[DVec2], tolerance_mm: f64) -> Vec<DVec2> {
    let off_mm = |a: usize, b: usize, i: usize| mesh::polygon::distance_to_sides_mm(&[points[a], points[b]], points[i]);
    let kept = mesh::thin::kept_within(points.len(), tolerance_mm.max(1e-9), off_mm);
    points.iter().zip(kept).filter(|(_, kept)| *kept).map(|(p, _)| *p).collect()
}
