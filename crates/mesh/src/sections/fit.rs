//! Few straights and arcs in place of many points.
//!
//! Method: arcs begin and end at given points; a point between them allows those arcs through both ends that pass within
//! the tolerance of it, an interval of bulges; the arc is taken from the middle of what all points allow (the tolerance gates of
//! R. L. Drysdale, G. Rote, A. Sturm, *Approximation of an open polygonal curve with a minimum number of circular arcs and
//! biarcs*, Computational Geometry 41 (2008) 31–47, from memory). Each arc is made as long as it can be found by doubling and
//! halving, which is near the least number, not proven to be it.
//! Holds: every arc is then measured against all its points and the middles of their chords, and taken only when within tolerance.
//! Not held: tangents need not agree where two steps meet.

use super::{ArcChain, ArcStep, ArcVertex, SectionError};
use glam::DVec2;

/// How close the curve stays to the points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FitSettings {
    /// Most distance of a given point from the curve, mm.
    pub tolerance_mm: f64,
    /// How much further the middle of a chord may lie from the curve, mm: the chord error of the mesh, where it is known to be a
    /// smooth surface cut into triangles; 0 where the triangles are the truth.
    pub chord_error_mm: f64,
}

impl Default for FitSettings {
    /// 0.02 mm, a shop setting, no source; the triangles are the truth.
    fn default() -> Self {
        Self { tolerance_mm: 0.02, chord_error_mm: 0.0 }
    }
}

/// A fitted curve and how far it is from its points.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// The curve.
    pub chain: ArcChain,
    /// Greatest distance of a given point from it, mm.
    pub deviation_mm: f64,
}

/// A straight is preferred where it is this much better than it need be.
const STRAIGHT_SHARE: f64 = 0.1;
/// Bulge of the longest arc: a half circle.
const MOST_BULGE: f64 = 1.0;

impl Fit {
    /// Fits straights and arcs to points in order. Points nearer than 1e-9 mm to the one before are passed over.
    ///
    /// # Errors
    /// [`SectionError::NotFinite`]; [`SectionError::OutOfRange`] for a tolerance outside 1e-6 to 10 mm, a chord error outside
    /// 0 to 10 mm, or fewer than two points apart (three when closed).
    pub fn through(points_mm: &[DVec2], closed: bool, settings: &FitSettings) -> Result<Self, SectionError> {
        let range = |name, got: f64, range: std::ops::RangeInclusive<f64>, accepted| {
            if range.contains(&got) { Ok(()) } else { Err(SectionError::OutOfRange { name, got, accepted }) }
        };
        range("the tolerance of the curve", settings.tolerance_mm, 1e-6..=10.0, "0.000001 to 10 mm")?;
        range("the chord error", settings.chord_error_mm, 0.0..=10.0, "0 to 10 mm")?;
        if points_mm.iter().any(|point| !point.is_finite()) {
            return Err(SectionError::NotFinite { what: "a point of the curve" });
        }
        let mut points: Vec<DVec2> = Vec::with_capacity(points_mm.len() + 1);
        for &point in points_mm {
            if points.last().is_none_or(|last| last.distance(point) > 1e-9) {
                points.push(point);
            }
        }
        if closed {
            while points.len() > 1 && points[0].distance(points[points.len() - 1]) <= 1e-9 {
                points.pop();
            }
            points.extend(points.first().copied());
        }
        let (need, accepted) = if closed { (4, "3 points or more") } else { (2, "2 points or more") };
        if points.len() < need {
            let got = points.len().saturating_sub(usize::from(closed)) as f64;
            return Err(SectionError::OutOfRange { name: "the number of points of a curve", got, accepted });
        }
        Ok(greedy(&points, closed, settings))
    }
}

fn greedy(points: &[DVec2], closed: bool, settings: &FitSettings) -> Fit {
    let (mut vertices, mut deviation_mm, mut from) = (Vec::new(), 0.0f64, 0);
    let last = points.len() - 1;
    while from < last {
        let (to, step) = longest(points, from, settings);
        vertices.push(ArcVertex { at_mm: points[from], bulge: step.bulge });
        deviation_mm = deviation_mm.max(step.deviation_mm);
        from = to;
    }
    if !closed {
        vertices.push(ArcVertex::straight(points[last]));
    }
    Fit { chain: ArcChain { vertices, closed }, deviation_mm }
}

#[derive(Clone, Copy)]
struct Taken {
    bulge: f64,
    deviation_mm: f64,
}

/// The longest step found that leaves point `from`: doubled while it fits, then halved between the last that fits and the first
/// that does not.
fn longest(points: &[DVec2], from: usize, settings: &FitSettings) -> (usize, Taken) {
    let last = points.len() - 1;
    let mut best = (from + 1, Taken { bulge: 0.0, deviation_mm: 0.0 });
    let (mut reach, mut first_bad) = (2, last + 1);
    while from + reach / 2 < last {
        let to = (from + reach).min(last);
        match step_over(&points[from..=to], settings) {
            Some(step) => best = (to, step),
            None => {
                first_bad = to;
                break;
            }
        }
        reach *= 2;
    }
    while first_bad - best.0 > 1 {
        let to = best.0.midpoint(first_bad);
        match step_over(&points[from..=to], settings) {
            Some(step) => best = (to, step),
            None => first_bad = to,
        }
    }
    best
}

/// A straight or arc from the first to the last point that keeps to all of them, or none.
fn step_over(points: &[DVec2], settings: &FitSettings) -> Option<Taken> {
    let (&from, &to) = (points.first()?, points.last()?);
    if from.distance(to) <= settings.tolerance_mm || !advances(points, from, to) {
        return None;
    }
    let straight = ArcStep { from_mm: from, to_mm: to, bulge: 0.0 };
    let fine = FitSettings { tolerance_mm: STRAIGHT_SHARE * settings.tolerance_mm, chord_error_mm: 0.0 };
    if let Some(deviation_mm) = measured(&straight, points, &fine) {
        return Some(Taken { bulge: 0.0, deviation_mm });
    }
    // wider than is taken, so that the middle of the gate is that of the points alone
    let (mut least, mut most) = (-2.0 * MOST_BULGE, 2.0 * MOST_BULGE);
    for &point in &points[1..points.len() - 1] {
        let (u, v) = (point - from, to - point);
        if u.length().min(v.length()) <= 2.0 * settings.tolerance_mm {
            continue;
        }
        // tangent in the point of the circle through it and both ends
        let across = (u / u.length_squared() + v / v.length_squared()).perp().normalize_or_zero();
        let pair = [-1.0, 1.0].map(|side| bulge_through(from, point + across * (side * settings.tolerance_mm), to));
        least = least.max(pair[0].min(pair[1]));
        most = most.min(pair[0].max(pair[1]));
        if least > most {
            return None;
        }
    }
    let bulge = 0.5 * (least + most);
    if bulge.abs() > MOST_BULGE {
        return None;
    }
    let arc = ArcStep { bulge, ..straight };
    measured(&arc, points, settings).map(|deviation_mm| Taken { bulge, deviation_mm })
}

/// Points move on from one end to the other: |PA|/(|PA| + |PB|) grows along any arc from A to B up to a half circle.
fn advances(points: &[DVec2], from: DVec2, to: DVec2) -> bool {
    let along = |p: DVec2| p.distance(from) / (p.distance(from) + p.distance(to));
    points.windows(2).all(|pair| along(pair[0]) <= along(pair[1]))
}

/// Bulge of the arc from one end to the other through a point: the angle turned at the point is half the arc's.
fn bulge_through(from: DVec2, point: DVec2, to: DVec2) -> f64 {
    let (u, v) = (point - from, to - point);
    (0.5 * u.perp_dot(v).atan2(u.dot(v))).tan()
}

/// Greatest distance of the points from the step; none when a point or the middle of a chord is too far off.
fn measured(step: &ArcStep, points: &[DVec2], settings: &FitSettings) -> Option<f64> {
    let mut worst = 0.0f64;
    for pair in points.windows(2) {
        let at_point = step.distance_from_circle_mm(pair[1]);
        let at_middle = step.distance_from_circle_mm(pair[0].midpoint(pair[1]));
        if at_point > settings.tolerance_mm || at_middle > settings.tolerance_mm + settings.chord_error_mm {
            return None;
        }
        worst = worst.max(at_point);
    }
    Some(worst)
}
