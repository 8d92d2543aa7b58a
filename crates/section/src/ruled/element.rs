//! One smooth part of an edge curve, or one of its corners, by a parameter from 0 to 1.

use crate::edge_line::{EdgeLine, Lean};
use glam::DVec3;
use std::sync::Arc;

/// A part of an edge curve.
#[derive(Debug, Clone)]
pub enum Element {
    /// Straight between two points.
    Straight {
        /// Start, mm.
        from_mm: DVec3,
        /// End, mm.
        to_mm: DVec3,
    },
    /// Arc of a circle or an ellipse: centre + cos·a + sin·b.
    Arc {
        /// Centre, mm.
        centre_mm: DVec3,
        /// Half-axis reached at 0 rad.
        cos_mm: DVec3,
        /// Half-axis reached at a quarter turn.
        sin_mm: DVec3,
        /// Start, rad.
        from_rad: f64,
        /// End, rad.
        to_rad: f64,
    },
    /// A stretch of a smooth line, by its own arc length.
    Line {
        /// The line.
        line: Arc<EdgeLine>,
        /// Start on it, mm.
        from_mm: f64,
        /// End on it, mm.
        to_mm: f64,
    },
    /// A corner: the place stands still while the direction turns.
    Corner {
        /// Place, mm.
        at_mm: DVec3,
        /// Direction before it.
        before: DVec3,
        /// Direction after it.
        after: DVec3,
    },
    /// The point of a cone: an edge without length or direction.
    Point {
        /// Place, mm.
        at_mm: DVec3,
    },
}

/// A place on a curve, with derivatives by the parameter of its element.
#[derive(Debug, Clone, Copy)]
pub struct Site {
    /// Position, mm.
    pub position_mm: DVec3,
    /// First derivative of the position, mm.
    pub rate_mm: DVec3,
    /// Second derivative of the position, mm.
    pub second_mm: DVec3,
    /// Unit direction; zero for a [`Element::Point`].
    pub direction: DVec3,
    /// Derivative of the direction.
    pub turning: DVec3,
}

/// Curved parts are cut so that none turns more than this: 10°.
const MOST_TURN_RAD: f64 = std::f64::consts::PI / 18.0;

impl Element {
    /// The place at `x`, 0 to 1.
    #[must_use]
    pub fn site(&self, x: f64) -> Site {
        match self {
            Self::Straight { from_mm, to_mm } => {
                let rate_mm = *to_mm - *from_mm;
                Site::of(*from_mm + rate_mm * x, rate_mm, DVec3::ZERO)
            }
            Self::Arc { centre_mm, cos_mm, sin_mm, from_rad, to_rad } => {
                let sweep = to_rad - from_rad;
                let (sin, cos) = (from_rad + sweep * x).sin_cos();
                let out = *cos_mm * cos + *sin_mm * sin;
                let along = *sin_mm * cos - *cos_mm * sin;
                Site::of(*centre_mm + out, along * sweep, -out * (sweep * sweep))
            }
            Self::Line { line, from_mm, to_mm } => {
                let span = to_mm - from_mm;
                let lean = if (x < 0.5) == (span > 0.0) { Lean::After } else { Lean::Before };
                let (position, _) = line.jets(from_mm + span * x, lean);
                Site::of(position.value, position.first * span, position.second * (span * span))
            }
            Self::Corner { at_mm, before, after } => corner(*at_mm, *before, *after, x),
            Self::Point { at_mm } => Site {
                position_mm: *at_mm,
                rate_mm: DVec3::ZERO,
                second_mm: DVec3::ZERO,
                direction: DVec3::ZERO,
                turning: DVec3::ZERO,
            },
        }
    }

    /// True where neither place nor direction turns: a straight.
    #[must_use]
    pub const fn is_straight(&self) -> bool {
        matches!(self, Self::Straight { .. })
    }

    /// True for a corner.
    #[must_use]
    pub const fn is_corner(&self) -> bool {
        matches!(self, Self::Corner { .. })
    }

    /// Length along the curve, mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        match self {
            Self::Straight { from_mm, to_mm } => from_mm.distance(*to_mm),
            Self::Line { from_mm, to_mm, .. } => (to_mm - from_mm).abs(),
            Self::Corner { .. } | Self::Point { .. } => 0.0,
            Self::Arc { .. } => super::gauss().integrate(0.0, 1.0, |x| self.site(x).rate_mm.length()),
        }
    }

    /// Cuts a curved part so that no part turns more than 10°; straights, corners and points stay whole.
    pub(super) fn cut(self) -> Vec<Self> {
        let count = match &self {
            Self::Arc { .. } | Self::Line { .. } => {
                let direction = |i: u32| self.site(f64::from(i) / 16.0).direction;
                let turn: f64 = (0..16).map(|i| direction(i).angle_between(direction(i + 1))).sum();
                let least = if matches!(self, Self::Line { .. }) { 4.0 } else { 1.0 };
                (turn / MOST_TURN_RAD - 1e-6).ceil().clamp(least, 720.0) as u32
            }
            _ => 1,
        };
        let part = |from: f64, to: f64, i: u32| from + (to - from) * f64::from(i) / f64::from(count);
        match self {
            Self::Arc { centre_mm, cos_mm, sin_mm, from_rad, to_rad } => (0..count)
                .map(|i| Self::Arc {
                    centre_mm,
                    cos_mm,
                    sin_mm,
                    from_rad: part(from_rad, to_rad, i),
                    to_rad: part(from_rad, to_rad, i + 1),
                })
                .collect(),
            Self::Line { line, from_mm, to_mm } => (0..count)
                .map(|i| Self::Line {
                    line: Arc::clone(&line),
                    from_mm: part(from_mm, to_mm, i),
                    to_mm: part(from_mm, to_mm, i + 1),
                })
                .collect(),
            whole => vec![whole],
        }
    }

    /// The same part run through the other way.
    pub(super) fn reversed(&self) -> Self {
        match self.clone() {
            Self::Straight { from_mm, to_mm } => Self::Straight { from_mm: to_mm, to_mm: from_mm },
            Self::Arc { centre_mm, cos_mm, sin_mm, from_rad, to_rad } => {
                Self::Arc { centre_mm, cos_mm, sin_mm: -sin_mm, from_rad: -to_rad, to_rad: -from_rad }
            }
            Self::Corner { at_mm, before, after } => Self::Corner { at_mm, before: -after, after: -before },
            Self::Line { line, from_mm, to_mm } => Self::Line { line, from_mm: to_mm, to_mm: from_mm },
            point @ Self::Point { .. } => point,
        }
    }
}

impl Site {
    fn of(position_mm: DVec3, rate_mm: DVec3, second_mm: DVec3) -> Self {
        let speed = rate_mm.length();
        let direction = rate_mm / speed;
        let turning = (second_mm - direction * second_mm.dot(direction)) / speed;
        Self { position_mm, rate_mm, second_mm, direction, turning }
    }
}

fn corner(at_mm: DVec3, before: DVec3, after: DVec3, x: f64) -> Site {
    let angle = before.angle_between(after);
    let side = (after - before * after.dot(before)).normalize_or_zero();
    let (sin, cos) = (angle * x).sin_cos();
    Site {
        position_mm: at_mm,
        rate_mm: DVec3::ZERO,
        second_mm: DVec3::ZERO,
        direction: before * cos + side * sin,
        turning: (side * cos - before * sin) * angle,
    }
}
