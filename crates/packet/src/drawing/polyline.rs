//! Chains of straights and arcs in the plane, in mm, x to the right and y up.
//!
//! An arc is written as the *bulge* of the step from one vertex to the next: the tangent of a quarter of the angle that
//! the arc turns through, positive anticlockwise, 0 for a straight (the DXF convention, so that arcs leave as arcs).

use glam::DVec2;

use super::bounds::Bounds;

/// A corner of a polyline and the step that leaves it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vertex {
    /// Position, mm.
    pub at: DVec2,
    /// tan(angle/4) of the arc to the next vertex; positive anticlockwise, 0 straight.
    pub bulge: f64,
}

/// A chain of straights and arcs, open or closed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Polyline {
    /// The corners in order. A closed chain does not repeat the first.
    pub vertices: Vec<Vertex>,
    /// Whether the last vertex is joined to the first.
    pub closed: bool,
}

/// One step of a polyline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// Start, mm.
    pub from: DVec2,
    /// End, mm.
    pub to: DVec2,
    /// tan(angle/4), positive anticlockwise, 0 straight.
    pub bulge: f64,
}

/// Centre, radius and angles of an arc.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ArcForm {
    /// Centre, mm.
    pub centre: DVec2,
    /// Radius, mm.
    pub radius_mm: f64,
    /// Angle of the start point from +x, radians.
    pub start_rad: f64,
    /// Angle turned through from start to end, radians, positive anticlockwise.
    pub sweep_rad: f64,
}

impl ArcForm {
    /// Returns the point at the fraction `t` (0 start, 1 end) of the arc.
    pub fn point(&self, t: f64) -> DVec2 {
        let angle = self.start_rad + self.sweep_rad * t;
        self.centre + DVec2::new(angle.cos(), angle.sin()) * self.radius_mm
    }
}

impl Step {
    /// Returns the arc, or `None` for a straight step.
    pub fn arc(&self) -> Option<ArcForm> {
        let chord = self.to - self.from;
        if self.bulge == 0.0 || chord.length_squared() == 0.0 {
            return None;
        }
        let middle = (self.from + self.to) * 0.5;
        // distance from the chord to the centre, positive on its left: c/2 · (1 - b²) / (2b)
        let centre = middle + chord.perp() * ((1.0 - self.bulge * self.bulge) / (4.0 * self.bulge));
        let arm = self.from - centre;
        let sweep_rad = 4.0 * self.bulge.atan();
        Some(ArcForm { centre, radius_mm: arm.length(), start_rad: arm.y.atan2(arm.x), sweep_rad })
    }

    /// Returns the length in mm.
    pub fn length_mm(&self) -> f64 {
        self.arc().map_or_else(|| (self.to - self.from).length(), |arc| arc.radius_mm * arc.sweep_rad.abs())
    }
}

impl Polyline {
    /// Makes an open chain of straights.
    pub fn open(points: impl IntoIterator<Item = DVec2>) -> Self {
        Self { vertices: points.into_iter().map(|at| Vertex { at, bulge: 0.0 }).collect(), closed: false }
    }

    /// Makes a closed chain of straights. A last point equal to the first is dropped.
    pub fn closed(points: impl IntoIterator<Item = DVec2>) -> Self {
        let mut vertices: Vec<_> = points.into_iter().map(|at| Vertex { at, bulge: 0.0 }).collect();
        if vertices.len() > 1 && vertices.first().map(|v| v.at) == vertices.last().map(|v| v.at) {
            vertices.pop();
        }
        Self { vertices, closed: true }
    }

    /// Makes a closed rectangle between two opposite corners.
    pub fn rectangle(low: DVec2, high: DVec2) -> Self {
        Self::closed([low, DVec2::new(high.x, low.y), high, DVec2::new(low.x, high.y)])
    }

    /// Makes a slot with round ends: the area swept by a circle of `width_mm` whose centre moves from `from` to `to`.
    pub fn slot(from: DVec2, to: DVec2, width_mm: f64) -> Self {
        let side = (to - from).normalize_or_zero().perp() * (width_mm / 2.0);
        let vertex = |at, bulge| Vertex { at, bulge };
        Self {
            vertices: vec![
                vertex(from - side, 0.0),
                vertex(to - side, 1.0),
                vertex(to + side, 0.0),
                vertex(from + side, 1.0),
            ],
            closed: true,
        }
    }

    /// Iterates over the steps; a closed chain ends with the step back to the first vertex.
    pub fn steps(&self) -> impl Iterator<Item = Step> + '_ {
        let count = self.vertices.len();
        let steps = if self.closed && count > 1 { count } else { count.saturating_sub(1) };
        let next = self.vertices.iter().cycle().skip(1);
        self.vertices.iter().zip(next).take(steps).map(|(a, b)| Step { from: a.at, to: b.at, bulge: a.bulge })
    }

    /// Returns the enclosed area in mm², positive anticlockwise; an open chain is closed by its chord.
    pub fn signed_area_mm2(&self) -> f64 {
        let Some(origin) = self.vertices.first().map(|v| v.at) else { return 0.0 };
        let chord_area: f64 = self.steps().map(|s| (s.from - origin).perp_dot(s.to - origin) * 0.5).sum();
        let arc_area: f64 = self
            .steps()
            .filter_map(|step| step.arc())
            .map(|arc| 0.5 * arc.radius_mm * arc.radius_mm * (arc.sweep_rad - arc.sweep_rad.sin()))
            .sum();
        chord_area + arc_area
    }

    /// Returns the length in mm along straights and arcs.
    pub fn length_mm(&self) -> f64 {
        self.steps().map(|step| step.length_mm()).sum()
    }

    /// Returns points along the chain whose chords leave the arcs by at most `deviation_mm`.
    ///
    /// The first point is the first vertex; a closed chain ends with its first vertex repeated.
    pub fn flattened(&self, deviation_mm: f64) -> Vec<DVec2> {
        let mut points: Vec<DVec2> = self.vertices.first().map(|v| v.at).into_iter().collect();
        for step in self.steps() {
            if let Some(arc) = step.arc() {
                let pieces = chords_for(&arc, deviation_mm);
                points.extend((1..pieces).map(|i| arc.point(i as f64 / pieces as f64)));
            }
            points.push(step.to);
        }
        points
    }

    /// Returns the bounding box, arcs included; `None` without vertices.
    pub fn bounds(&self) -> Option<Bounds> {
        let mut bounds = Bounds::around(self.vertices.iter().map(|v| v.at))?;
        for arc in self.steps().filter_map(|step| step.arc()) {
            for quarter in -8_i32..=8 {
                let angle = f64::from(quarter) * std::f64::consts::FRAC_PI_2;
                let t = (angle - arc.start_rad) / arc.sweep_rad;
                if (0.0..=1.0).contains(&t) {
                    bounds.include(arc.point(t));
                }
            }
        }
        Some(bounds)
    }

    /// Returns the chain with every vertex mapped by `move_point`, which must keep shapes (shift, turn, even scaling);
    /// `turned_over` is true when it also reflects.
    pub fn mapped(&self, turned_over: bool, move_point: impl Fn(DVec2) -> DVec2) -> Self {
        let sign = if turned_over { -1.0 } else { 1.0 };
        let vertices = self.vertices.iter().map(|v| Vertex { at: move_point(v.at), bulge: v.bulge * sign }).collect();
        Self { vertices, closed: self.closed }
    }
}

fn chords_for(arc: &ArcForm, deviation_mm: f64) -> usize {
    let ratio = (1.0 - deviation_mm / arc.radius_mm).clamp(-1.0, 1.0);
    let half_angle = ratio.acos().clamp(1e-4, std::f64::consts::FRAC_PI_4);
    (arc.sweep_rad.abs() / (2.0 * half_angle)).ceil().clamp(1.0, 100_000.0) as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    #[test]
    fn a_slot_has_the_area_length_and_bounds_of_the_closed_form() {
        let slot = Polyline::slot(DVec2::new(10.0, 5.0), DVec2::new(40.0, 5.0), 8.0);
        assert!((slot.signed_area_mm2() - (30.0 * 8.0 + PI * 16.0)).abs() < 1e-9);
        assert!((slot.length_mm() - (60.0 + PI * 8.0)).abs() < 1e-9);
        let bounds = slot.bounds().unwrap();
        assert!((bounds.low - DVec2::new(6.0, 1.0)).length() < 1e-9, "{bounds:?}");
        assert!((bounds.high - DVec2::new(44.0, 9.0)).length() < 1e-9, "{bounds:?}");
    }

    #[test]
    fn flattening_keeps_within_the_deviation_asked_for() {
        let half = Polyline {
            vertices: vec![
                Vertex { at: DVec2::new(50.0, 0.0), bulge: 1.0 },
                Vertex { at: DVec2::new(-50.0, 0.0), bulge: 0.0 },
            ],
            closed: false,
        };
        let points = half.flattened(0.01);
        for pair in points.windows(2) {
            let middle = (pair[0] + pair[1]) * 0.5;
            assert!((50.0 - middle.length()).abs() <= 0.01 + 1e-9);
        }
        assert!(points.iter().all(|point| point.y >= -1e-9), "an anticlockwise half circle from +x lies above");
    }

    #[test]
    fn turning_over_reverses_the_sign_of_the_area() {
        let slot = Polyline::slot(DVec2::ZERO, DVec2::new(10.0, 3.0), 4.0);
        let over = slot.mapped(true, |point| DVec2::new(-point.x, point.y));
        assert!((slot.signed_area_mm2() + over.signed_area_mm2()).abs() < 1e-9);
    }
}
