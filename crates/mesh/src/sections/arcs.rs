//! Chains of straights and arcs in a plane, mm.
//!
//! An arc is written as the bulge of the step from one vertex to the next: the tangent of a quarter of the angle it turns
//! through, positive anticlockwise, 0 for a straight.

use glam::DVec2;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// A vertex and the step that leaves it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ArcVertex {
    /// Position, mm.
    pub at_mm: DVec2,
    /// tan(angle/4) of the arc to the next vertex; positive anticlockwise, 0 straight.
    pub bulge: f64,
}

impl ArcVertex {
    /// A vertex left by a straight.
    #[must_use]
    pub fn straight(at_mm: DVec2) -> Self {
        Self { at_mm, bulge: 0.0 }
    }
}

/// A chain of straights and arcs.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct ArcChain {
    /// In order; a closed chain does not repeat the first.
    pub vertices: Vec<ArcVertex>,
    /// Whether the last vertex joins the first.
    pub closed: bool,
}

/// One step of a chain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ArcStep {
    /// Start, mm.
    pub from_mm: DVec2,
    /// End, mm.
    pub to_mm: DVec2,
    /// tan(angle/4), positive anticlockwise, 0 straight.
    pub bulge: f64,
}

impl ArcStep {
    /// Radius, mm; infinite for a straight.
    #[must_use]
    pub fn radius_mm(&self) -> f64 {
        // half chord h, bulge b: r = h(1 + b²)/(2|b|)
        0.25 * self.from_mm.distance(self.to_mm) * (1.0 + self.bulge * self.bulge) / self.bulge.abs()
    }

    /// Length along the step, mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        let chord = self.from_mm.distance(self.to_mm);
        let quarter = self.bulge.abs().atan();
        // chord·(θ/2)/sin(θ/2), θ/2 = 2·quarter
        if quarter < 1e-9 { chord } else { chord * 2.0 * quarter / (2.0 * quarter).sin() }
    }

    /// The point at a share of the length (0 start, 1 end), mm.
    #[must_use]
    pub fn point(&self, share: f64) -> DVec2 {
        let half = 2.0 * self.bulge.atan();
        if half == 0.0 {
            return self.from_mm.lerp(self.to_mm, share);
        }
        // the chord to a point of the arc: its length is to the whole chord as the sines of the half angles, turned back by
        // the rest of the half angle
        let part = half * share;
        DVec2::from_angle(part - half).rotate(self.to_mm - self.from_mm) * (part.sin() / half.sin()) + self.from_mm
    }

    /// Distance of a point from the whole circle or straight of the step, mm. Holds for points beside the step.
    #[must_use]
    pub fn distance_from_circle_mm(&self, point_mm: DVec2) -> f64 {
        let chord = self.to_mm - self.from_mm;
        let h = 0.5 * chord.length();
        let Some(x_axis) = chord.try_normalize() else { return point_mm.distance(self.from_mm) };
        let from_middle = point_mm - self.from_mm.midpoint(self.to_mm);
        let (x, y) = (from_middle.dot(x_axis), x_axis.perp_dot(from_middle));
        // circle x² + y² − h² = 2ys, s = h(1 − b²)/(2b); multiplied by 2b so that a straight is no special case
        let b = self.bulge;
        let centre = h * (1.0 - b * b);
        let power = 2.0 * b * (x * x + y * y - h * h) - 2.0 * y * centre;
        power.abs() / (h * (1.0 + b * b) + (2.0 * b * x).hypot(2.0 * b * y - centre))
    }

    fn chords(&self, deviation_mm: f64) -> usize {
        if self.bulge == 0.0 {
            return 1;
        }
        let half = (1.0 - deviation_mm / self.radius_mm()).clamp(-1.0, 1.0).acos().clamp(1e-4, PI / 4.0);
        (4.0 * self.bulge.abs().atan() / (2.0 * half)).ceil().clamp(1.0, 100_000.0) as usize
    }
}

impl ArcChain {
    /// The steps, the closing one last.
    pub fn steps(&self) -> impl Iterator<Item = ArcStep> + '_ {
        let n = self.vertices.len();
        let steps = if self.closed { n } else { n.saturating_sub(1) };
        (0..steps).map(move |i| ArcStep {
            from_mm: self.vertices[i].at_mm,
            to_mm: self.vertices[(i + 1) % n].at_mm,
            bulge: self.vertices[i].bulge,
        })
    }

    /// Length along straights and arcs, mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        self.steps().map(|step| step.length_mm()).sum()
    }

    /// Points along the chain whose chords leave the arcs by at most `deviation_mm`; a closed chain does not repeat its first.
    #[must_use]
    pub fn flattened_mm(&self, deviation_mm: f64) -> Vec<DVec2> {
        let mut points: Vec<DVec2> = self.vertices.first().map(|vertex| vertex.at_mm).into_iter().collect();
        for step in self.steps() {
            let chords = step.chords(deviation_mm);
            points.extend((1..chords).map(|i| step.point(i as f64 / chords as f64)));
            points.push(step.to_mm);
        }
        if self.closed {
            points.pop();
        }
        points
    }

    /// The chain run through the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let n = self.vertices.len();
        let back = |i: usize| {
            // the step that leaves vertex i backwards is the one that came to it; an open chain's last bulge means nothing
            let before = if i == 0 { if self.closed { n - 1 } else { 0 } } else { i - 1 };
            let bulge = if i == 0 && !self.closed { 0.0 } else { -self.vertices[before].bulge };
            ArcVertex { at_mm: self.vertices[i].at_mm, bulge }
        };
        Self { vertices: (0..n).rev().map(back).collect(), closed: self.closed }
    }

    /// The chain with every point mapped by a shift, turn or even scaling; not by a reflection.
    #[must_use]
    pub fn mapped(&self, move_point: impl Fn(DVec2) -> DVec2) -> Self {
        let vertices = self.vertices.iter().map(|v| ArcVertex { at_mm: move_point(v.at_mm), bulge: v.bulge });
        Self { vertices: vertices.collect(), closed: self.closed }
    }
}
