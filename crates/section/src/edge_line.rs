//! Edge lines: points, arcs and straights in space, measured by arc length.
//!
//! Straights and three-point arcs are exact; measured points are joined by a cubic spline with continuous curvature
//! (see `spline`). Arc length is integrated by Gauss–Legendre to better than 1e-9 of the length. Joints with a kink up to 2° are
//! rounded over at most 10 mm on either side (the line moves by less than 0.1 mm); a sharper kink is refused.
//! Beyond its ends the line goes on as it ended: straight, or on the circle that fits the end. Units: mm.

use crate::SectionError;
use crate::jet::JetVector;
use glam::DVec3;
use piece::{Derivatives, MIN_LENGTH_MM, Piece, Polynomial};
use serde::{Deserialize, Serialize};

mod piece;
mod spline;

/// One segment of an edge line; it starts where the one before ended.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "segment")]
pub enum Segment {
    /// Straight to a point.
    Straight {
        /// End.
        to_mm: DVec3,
    },
    /// Circular arc through a point to a point.
    Arc {
        /// A point on the arc between the ends.
        via_mm: DVec3,
        /// End.
        to_mm: DVec3,
    },
    /// Smooth curve through measured points, the last of which ends it.
    Through {
        /// Points in order.
        points_mm: Vec<DVec3>,
    },
}

/// An edge line, checked: finite, smooth (no kink above 2°), not doubling back.
#[derive(Debug, Clone)]
pub struct EdgeLine {
    spans: Vec<Span>,
}

/// A stretch of one piece.
#[derive(Debug, Clone)]
struct Span {
    /// Station of its start.
    station: f64,
    /// Arc length on the piece at its start and at its end.
    from: f64,
    to: f64,
    piece: Piece,
}

/// A point of an edge line with its derivatives by arc length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LinePoint {
    /// Position.
    pub position_mm: DVec3,
    /// Unit tangent.
    pub tangent: DVec3,
    /// Curvature vector (derivative of the tangent), 1/mm.
    pub curvature_per_mm: DVec3,
}

/// Sharpest kink that is taken for a measuring error and rounded.
const KINK_LIMIT_RAD: f64 = 2.0 * std::f64::consts::PI / 180.0;
/// Kinks below this are rounding of the input.
const KINK_IGNORED_RAD: f64 = 1e-7;
/// Longest stretch on either side of a kink that is rounded.
const ROUNDING_MM: f64 = 10.0;
/// Largest coordinate accepted; a vehicle in mm is far smaller.
const LARGEST_MM: f64 = 1e6;

impl EdgeLine {
    /// Builds an edge line from its start and segments, mm.
    ///
    /// # Errors
    /// [`SectionError::EdgeLine`] or [`SectionError::OutOfRange`] names the segment's fault and its station: a number that is not
    /// finite, no length, a kink above 2°, a line that doubles back.
    pub fn new(start_mm: DVec3, segments: &[Segment]) -> Result<Self, SectionError> {
        check_finite(start_mm, segments)?;
        let pieces = build_pieces(start_mm, segments)?;
        Ok(Self { spans: round_kinks(pieces)? })
    }

    /// A straight from one point to another.
    ///
    /// # Errors
    /// As [`EdgeLine::new`].
    pub fn straight(from_mm: DVec3, to_mm: DVec3) -> Result<Self, SectionError> {
        Self::new(from_mm, &[Segment::Straight { to_mm }])
    }

    /// Length of the line, mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        self.spans.last().map_or(0.0, |span| span.station + span.to - span.from)
    }

    /// The point at a station (arc length from the start, mm); beyond the ends the line goes on as it ended.
    #[must_use]
    pub fn at(&self, station_mm: f64) -> LinePoint {
        let [position_mm, tangent, curvature_per_mm, _] = self.derivatives(station_mm, Lean::After);
        LinePoint { position_mm, tangent, curvature_per_mm }
    }

    /// Stations of the ends and of the joints where the curvature or its derivative may jump, rising.
    #[must_use]
    pub fn breaks_mm(&self) -> Vec<f64> {
        self.spans.iter().map(|span| span.station).chain([self.length_mm()]).collect()
    }

    /// Position with two derivatives, and tangent with two derivatives, by arc length.
    #[must_use]
    pub fn jets(&self, station_mm: f64, lean: Lean) -> (JetVector, JetVector) {
        let [p, d1, d2, d3] = self.derivatives(station_mm, lean);
        (JetVector { value: p, first: d1, second: d2 }, JetVector { value: d1, first: d2, second: d3 })
    }

    fn derivatives(&self, station_mm: f64, lean: Lean) -> Derivatives {
        let after = match lean {
            Lean::After => self.spans.partition_point(|span| span.station <= station_mm),
            Lean::Before => self.spans.partition_point(|span| span.station < station_mm),
        };
        match self.spans.get(after.saturating_sub(1)) {
            Some(span) => span.piece.at(span.from + station_mm - span.station),
            None => [DVec3::NAN; 4],
        }
    }
}

/// Which side's derivatives are meant at a joint.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lean {
    /// Of the piece that ends there.
    Before,
    /// Of the piece that starts there.
    After,
}

fn check_finite(start_mm: DVec3, segments: &[Segment]) -> Result<(), SectionError> {
    let check = |name: String, point: DVec3| {
        for (axis, value) in [("x", point.x), ("y", point.y), ("z", point.z)] {
            crate::error::within(format!("{axis} of {name}"), value, -LARGEST_MM..=LARGEST_MM, "mm")?;
        }
        Ok(())
    };
    check("the edge line's start".into(), start_mm)?;
    for (i, segment) in segments.iter().enumerate() {
        let place = |what: &str| format!("{what} of segment {}", i + 1);
        match segment {
            Segment::Straight { to_mm } => check(place("the end"), *to_mm)?,
            Segment::Arc { via_mm, to_mm } => {
                check(place("the middle"), *via_mm)?;
                check(place("the end"), *to_mm)?;
            }
            Segment::Through { points_mm } => {
                for (k, point) in points_mm.iter().enumerate() {
                    check(place(&format!("point {}", k + 1)), *point)?;
                }
            }
        }
    }
    Ok(())
}

fn fault(what: impl Into<String>, station_mm: f64, accepted: &'static str) -> SectionError {
    SectionError::EdgeLine { what: what.into(), station_mm, accepted }
}

const GIVE_DISTINCT: &str = "give points that are apart, in order along the edge";
const ONE_WAY: &str = "give points that run one way along the edge";

/// Straights and arcs first, so that a spline between them can take over their tangents.
fn build_pieces(start_mm: DVec3, segments: &[Segment]) -> Result<Vec<Piece>, SectionError> {
    let mut runs: Vec<Run> = Vec::new();
    let mut at = start_mm;
    let mut station = 0.0;
    for segment in segments {
        match segment {
            Segment::Straight { to_mm } => {
                let piece = Piece::straight(at, *to_mm);
                runs.push(Run::Done(
                    piece.ok_or_else(|| fault("has a straight without length", station, GIVE_DISTINCT))?,
                ));
                station += at.distance(*to_mm);
                at = *to_mm;
            }
            Segment::Arc { via_mm, to_mm } => {
                let piece = Piece::arc(at, *via_mm, *to_mm).ok_or_else(|| {
                    fault(
                        "has an arc whose three points give no circle",
                        station,
                        "give three points that are apart, in order along the arc",
                    )
                })?;
                station += piece.length();
                runs.push(Run::Done(piece));
                at = *to_mm;
            }
            Segment::Through { points_mm } => {
                if !matches!(runs.last(), Some(Run::Points(_))) {
                    runs.push(Run::Points(vec![at]));
                }
                if let Some(Run::Points(points)) = runs.last_mut() {
                    for point in points_mm {
                        if at.distance(*point) < MIN_LENGTH_MM {
                            return Err(fault("has a point twice", station, GIVE_DISTINCT));
                        }
                        let before = points.iter().rev().nth(1).map(|p| at - *p);
                        if before.is_some_and(|chord| chord.dot(*point - at) <= 0.0) {
                            return Err(fault("doubles back", station, ONE_WAY));
                        }
                        station += at.distance(*point);
                        points.push(*point);
                        at = *point;
                    }
                }
            }
        }
    }
    if station < MIN_LENGTH_MM {
        return Err(fault("has no length", 0.0, "give at least one segment"));
    }
    let tangent = |run: Option<&Run>, end: bool| match run {
        Some(Run::Done(piece)) => Some(piece.at(if end { piece.length() } else { 0.0 })[1]),
        _ => None,
    };
    let mut pieces = Vec::new();
    for (i, run) in runs.iter().enumerate() {
        match run {
            Run::Done(piece) => pieces.push(piece.clone()),
            Run::Points(points) if points.len() > 1 => {
                let before = tangent(i.checked_sub(1).and_then(|k| runs.get(k)), true);
                pieces.extend(spline::through(points, before, tangent(runs.get(i + 1), false)));
            }
            Run::Points(_) => {}
        }
    }
    Ok(pieces)
}

enum Run {
    Done(Piece),
    Points(Vec<DVec3>),
}

fn round_kinks(pieces: Vec<Piece>) -> Result<Vec<Span>, SectionError> {
    let mut spans: Vec<Span> = Vec::new();
    let mut station = 0.0;
    for piece in pieces {
        let length = piece.length();
        check_runs_on(&piece, station)?;
        let mut next = Span { station, from: 0.0, to: length, piece };
        if let Some(last) = spans.last_mut() {
            let kink = last.piece.at(last.to)[1].angle_between(next.piece.at(0.0)[1]);
            if kink > std::f64::consts::FRAC_PI_2 {
                return Err(fault("doubles back", station, ONE_WAY));
            }
            if kink > KINK_LIMIT_RAD {
                let what = format!("has a kink of {:.1}°", kink.to_degrees());
                return Err(fault(
                    what,
                    station,
                    "kinks up to 2° are rounded; join the two with an arc or measure again",
                ));
            }
            if kink > KINK_IGNORED_RAD {
                let back = ROUNDING_MM.min(0.25 * (last.to - last.from));
                let on = ROUNDING_MM.min(0.25 * length);
                last.to -= back;
                next.from = on;
                let blend = Polynomial::quintic(last.piece.at(last.to), next.piece.at(on), back + on);
                let piece = Piece::Polynomial(blend);
                let start = last.station + last.to - last.from;
                let blended = piece.length();
                spans.push(Span { station: start, from: 0.0, to: blended, piece });
                next.station = start + blended;
            }
        }
        station = next.station + next.to - next.from;
        spans.push(next);
    }
    Ok(spans)
}

/// A spline between measured points may swing back between them; its tangent then turns against the chord.
fn check_runs_on(piece: &Piece, station: f64) -> Result<(), SectionError> {
    if let Piece::Polynomial(_) = piece {
        let length = piece.length();
        let chord = piece.at(length)[0] - piece.at(0.0)[0];
        for i in 0..=16 {
            let s = length * f64::from(i) / 16.0;
            if piece.at(s)[1].dot(chord) <= 0.0 {
                return Err(fault("doubles back", station + s, ONE_WAY));
            }
        }
    }
    Ok(())
}
