//! Edge curves: straights, arcs of circles and ellipses and smooth lines joined end to end, with corners where they meet
//! at an angle. A closed curve ends where it starts.

use super::element::{Element, Site};
use super::fault;
use crate::SectionError;
use crate::edge_line::{EdgeLine, Segment};
use glam::DVec3;
use std::f64::consts::{FRAC_PI_2, TAU};
use std::sync::Arc;

/// An edge curve, checked: finite, joined, not doubling back, not crossing itself.
#[derive(Debug, Clone)]
pub struct Curve {
    /// Parts in order, corners among them; none turns more than 10° but a corner.
    pub elements: Vec<Element>,
    /// The curve ends where it starts.
    pub closed: bool,
}

/// Ends nearer than this are joined, mm.
const JOINED_MM: f64 = 1e-6;
/// A smaller turn between two parts is no corner, rad.
const SMOOTH_RAD: f64 = 1e-7;
/// A sharper corner doubles back: 175°.
const DOUBLES_BACK_RAD: f64 = 3.05;

impl Curve {
    /// Joins parts end to end and puts corners between them.
    ///
    /// # Errors
    /// [`SectionError::Ruled`] names a number that is not finite, a part without length, a gap, a place where it doubles back or
    /// crosses itself.
    pub fn new(name: &str, parts: Vec<Element>, closed: bool) -> Result<Self, SectionError> {
        if let [Element::Point { at_mm }] = parts.as_slice() {
            finite(name, *at_mm)?;
            return Ok(Self { elements: parts, closed });
        }
        for part in &parts {
            let (start, end) = (part.site(0.0), part.site(1.0));
            finite(name, start.position_mm)?;
            finite(name, end.position_mm)?;
            let length_mm = part.length_mm();
            if length_mm.is_nan()
                || length_mm <= JOINED_MM
                || !start.direction.is_finite()
                || !end.direction.is_finite()
            {
                return Err(fault(format!("{name} has a part without length"), "give points and sizes that are apart"));
            }
        }
        let mut elements = Vec::new();
        let count = parts.len();
        for (i, part) in parts.iter().enumerate() {
            elements.extend(part.clone().cut());
            let next = if i + 1 < count {
                parts.get(i + 1)
            } else if closed {
                parts.first()
            } else {
                None
            };
            if let Some(next) = next {
                elements.extend(joint(name, i, &part.site(1.0), &next.site(0.0))?);
            }
        }
        if elements.is_empty() {
            return Err(fault(format!("{name} has no parts"), "give at least one straight, arc or line of points"));
        }
        let curve = Self { elements, closed };
        curve.check_crossing(name)?;
        Ok(curve)
    }

    /// An ellipse (a circle where the half-axes are square and equal), from the end of its first half-axis towards the second's.
    ///
    /// # Errors
    /// As [`Curve::new`].
    pub fn ellipse(name: &str, centre_mm: DVec3, first_mm: DVec3, second_mm: DVec3) -> Result<Self, SectionError> {
        let whole = Element::Arc { centre_mm, cos_mm: first_mm, sin_mm: second_mm, from_rad: 0.0, to_rad: TAU };
        Self::new(name, vec![whole], true)
    }

    /// A rectangle with its middle at `centre_mm`, from the middle of its side at +`along`, anticlockwise seen against
    /// along × across; `corner_radius_mm` rounds its corners.
    ///
    /// # Errors
    /// As [`Curve::new`].
    pub fn rectangle(
        name: &str,
        centre_mm: DVec3,
        half_mm: [DVec3; 2],
        corner_radius_mm: f64,
    ) -> Result<Self, SectionError> {
        let [along, across] = half_mm;
        let (a, b) = (along.length(), across.length());
        let r = corner_radius_mm;
        if !(r >= 0.0 && r <= a.min(b)) {
            return Err(fault(
                format!("{name} has a corner radius of {r:.2} mm"),
                format!("0 to {:.2} mm (half its shorter side) is accepted", a.min(b)),
            ));
        }
        let (x, y) = (along / a, across / b);
        let at = |u: f64, v: f64| centre_mm + x * u + y * v;
        // corner i: which signs, and from where its quarter circle starts
        let corners = [(1.0, 1.0, 0.0), (-1.0, 1.0, 1.0), (-1.0, -1.0, 2.0), (1.0, -1.0, 3.0)];
        let mut parts = Vec::new();
        let mut from = at(a, 0.0);
        for (u, v, quarter) in corners {
            let middle = at(u * (a - r), v * (b - r));
            let (sin, cos) = f64::sin_cos(quarter * FRAC_PI_2);
            let start = middle + (x * cos + y * sin) * r;
            let end = middle + (y * cos - x * sin) * r;
            if from.distance(start) > JOINED_MM {
                parts.push(Element::Straight { from_mm: from, to_mm: start });
            }
            if r > 0.0 {
                let from_rad = quarter * FRAC_PI_2;
                let to_rad = from_rad + FRAC_PI_2;
                parts.push(Element::Arc { centre_mm: middle, cos_mm: x * r, sin_mm: y * r, from_rad, to_rad });
            }
            from = end;
        }
        if from.distance(at(a, 0.0)) > JOINED_MM {
            parts.push(Element::Straight { from_mm: from, to_mm: at(a, 0.0) });
        }
        Self::new(name, parts, true)
    }

    /// From a start and segments as an edge line has them; kinks above 2° are corners here. Closed when it ends at its start.
    ///
    /// # Errors
    /// As [`Curve::new`], and those of [`EdgeLine::new`].
    pub fn from_segments(name: &str, start_mm: DVec3, segments: &[Segment]) -> Result<Self, SectionError> {
        let mut parts = Vec::new();
        let mut run: Vec<Segment> = Vec::new();
        let mut start = start_mm;
        let mut line: Option<EdgeLine> = None;
        for segment in segments {
            run.push(segment.clone());
            match EdgeLine::new(start, &run) {
                Ok(longer) => line = Some(longer),
                Err(error) => {
                    let Some(done) = line.take() else { return Err(named(name, error)) };
                    start = done.at(done.length_mm()).position_mm;
                    parts.extend(line_parts(done));
                    run = vec![segment.clone()];
                    line = Some(EdgeLine::new(start, &run).map_err(|error| named(name, error))?);
                }
            }
        }
        let Some(last) = line else {
            return Err(fault(format!("{name} has no segments"), "give at least one straight, arc or line of points"));
        };
        let end = last.at(last.length_mm()).position_mm;
        parts.extend(line_parts(last));
        Self::new(name, parts, end.distance(start_mm) < JOINED_MM)
    }

    /// The curve run through the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        Self { elements: self.elements.iter().rev().map(Element::reversed).collect(), closed: self.closed }
    }

    /// Length, mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        self.elements.iter().map(Element::length_mm).sum()
    }

    /// Number of corners.
    #[must_use]
    pub fn corners(&self) -> usize {
        self.elements.iter().filter(|element| element.is_corner()).count()
    }

    /// Number of elements.
    #[must_use]
    pub fn count(&self) -> usize {
        self.elements.len()
    }

    /// The element at a position counted in elements (over the end of a closed curve it starts again).
    #[must_use]
    pub(super) fn element(&self, index: usize) -> Option<&Element> {
        self.elements.get(index % self.elements.len().max(1))
    }

    /// The place at `x` on element `index`.
    #[must_use]
    pub fn site(&self, index: usize, x: f64) -> Site {
        let nowhere = Element::Point { at_mm: DVec3::NAN };
        self.element(index).unwrap_or(&nowhere).site(x)
    }

    /// Points along it, `per_element` on each part that has a length, the last one too.
    #[must_use]
    pub fn points_mm(&self, per_element: u32) -> Vec<DVec3> {
        let mut points = Vec::new();
        for element in self.elements.iter().filter(|element| !element.is_corner()) {
            let steps = if element.is_straight() { 1 } else { per_element.max(1) };
            points.extend((0..steps).map(|i| element.site(f64::from(i) / f64::from(steps)).position_mm));
        }
        points.extend(self.elements.last().map(|last| last.site(1.0).position_mm));
        points
    }

    /// Middle of its points, mm.
    #[must_use]
    pub fn middle_mm(&self) -> DVec3 {
        let points = self.points_mm(4);
        let lengths: Vec<f64> = points.windows(2).map(|pair| pair[0].distance(pair[1])).collect();
        let whole: f64 = lengths.iter().sum();
        let sum: DVec3 =
            points.windows(2).zip(&lengths).map(|(pair, length)| (pair[0] + pair[1]) * (0.5 * length)).sum();
        if whole > 0.0 { sum / whole } else { points.first().copied().unwrap_or_default() }
    }

    fn check_crossing(&self, name: &str) -> Result<(), SectionError> {
        let points = self.points_mm(2);
        let sides: Vec<(DVec3, DVec3)> = points.windows(2).map(|pair| (pair[0], pair[1])).collect();
        for (i, first) in sides.iter().enumerate() {
            let last = if self.closed && i == 0 { sides.len().saturating_sub(1) } else { sides.len() };
            for second in sides.iter().take(last).skip(i + 2) {
                if between_segments_mm(*first, *second) < 1e-6 {
                    let at = first.0.lerp(first.1, 0.5);
                    return Err(fault(
                        format!("{name} crosses itself near ({:.1}, {:.1}, {:.1}) mm", at.x, at.y, at.z),
                        "give its points in order, once round",
                    ));
                }
            }
        }
        Ok(())
    }
}

fn named(name: &str, error: SectionError) -> SectionError {
    SectionError::Rule { place: name.to_owned(), what: error.to_string() }
}

fn line_parts(line: EdgeLine) -> Vec<Element> {
    let breaks = line.breaks_mm();
    let line = Arc::new(line);
    let part = |pair: &[f64]| {
        let (from, to) = (pair[0], pair[1]);
        let (start, end) = (line.at(from).position_mm, line.at(to).position_mm);
        if start.distance(end) > (to - from) * (1.0 - 1e-13) {
            Element::Straight { from_mm: start, to_mm: end }
        } else {
            Element::Line { line: Arc::clone(&line), from_mm: from, to_mm: to }
        }
    };
    breaks.windows(2).map(part).collect()
}

fn finite(name: &str, point: DVec3) -> Result<(), SectionError> {
    if point.is_finite() && point.abs().max_element() <= 1e6 {
        return Ok(());
    }
    Err(fault(
        format!("{name} has a point at ({}, {}, {}) mm", point.x, point.y, point.z),
        "numbers between -1000000 and 1000000 mm are accepted",
    ))
}

/// The corner between two parts, if they meet at an angle.
fn joint(name: &str, part: usize, end: &Site, start: &Site) -> Result<Option<Element>, SectionError> {
    let gap_mm = end.position_mm.distance(start.position_mm);
    if gap_mm > JOINED_MM {
        return Err(fault(
            format!("{name} has a gap of {gap_mm:.3} mm after part {}", part + 1),
            "start every part where the one before ended",
        ));
    }
    let turn = end.direction.angle_between(start.direction);
    if turn > DOUBLES_BACK_RAD {
        return Err(fault(
            format!("{name} doubles back after part {}", part + 1),
            "give points that run one way along the edge",
        ));
    }
    Ok((turn > SMOOTH_RAD).then_some(Element::Corner {
        at_mm: end.position_mm,
        before: end.direction,
        after: start.direction,
    }))
}

/// Distance between two segments, mm.
fn between_segments_mm((p, p1): (DVec3, DVec3), (q, q1): (DVec3, DVec3)) -> f64 {
    let (d, e, r) = (p1 - p, q1 - q, p - q);
    let (a, c, f, b) = (d.length_squared(), e.length_squared(), e.dot(r), d.dot(e));
    let denominator = a * c - b * b;
    let mut s = if denominator > 1e-12 * a * c { ((b * f - d.dot(r) * c) / denominator).clamp(0.0, 1.0) } else { 0.0 };
    let t = ((b * s + f) / c).clamp(0.0, 1.0);
    s = ((b * t - d.dot(r)) / a).clamp(0.0, 1.0);
    (p + d * s).distance(q + e * t)
}
