//! One ruling: its ends, how fast they move, which way the sheet faces and how fast it bends.

use super::element::Site;
use super::pairing::{root, twist_of};
use super::{Ruled, Span};
use glam::{DVec2, DVec3};

/// A ruling of a span, with rates by the span's parameter (0 to 1).
#[derive(Debug, Clone, Copy)]
pub struct Ruling {
    /// End on edge A, mm.
    pub a_mm: DVec3,
    /// End on edge B, mm.
    pub b_mm: DVec3,
    /// Rate of the end on A, mm.
    pub a_rate_mm: DVec3,
    /// Rate of the end on B, mm.
    pub b_rate_mm: DVec3,
    /// Unit vector from A to B.
    pub e: DVec3,
    /// Unit vector along the sheet square to the ruling, in the sense in which the edges are run through.
    pub m: DVec3,
    /// e × m.
    pub normal: DVec3,
    /// Rate of the normal along m: the sheet bends by this many rad over the span.
    pub normal_rate: f64,
    /// Positions on the two elements.
    pub place: DVec2,
}

/// Residual twist: what of the shape cannot be had by bending.
#[derive(Debug, Clone, PartialEq)]
pub struct Twist {
    /// Angle between the tangent planes at the two ends of a ruling, or the crease between two neighbouring parts, rad.
    pub twist_rad: f64,
    /// Where on edge A, mm.
    pub at_a_mm: DVec3,
    /// Where on edge B, mm.
    pub at_b_mm: DVec3,
    /// The rulings cross each other inside the sheet.
    pub crossing: bool,
}

impl Ruling {
    /// Length from A to B, mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        self.a_mm.distance(self.b_mm)
    }
}

impl Ruled {
    /// The ruling at `u`, 0 to 1, of a span.
    #[must_use]
    pub fn ruling(&self, span: &Span, u: f64) -> Ruling {
        let [edge_a, edge_b] = &self.edges;
        let w = span.to - span.from;
        let site = |place: DVec2| (edge_a.curve.site(span.a, place.x), edge_b.curve.site(span.b, place.y));
        let (place, rate) = if span.linear {
            (span.from + w * u, w)
        } else {
            let place = self.found(span, u);
            let (a, b) = site(place);
            (place, rates(&a, &b, w))
        };
        let (a, b) = site(place);
        of_sites(&a, &b, place, rate)
    }

    /// The pair on the line square to the rising diagonal through the span's own line at `u`.
    fn found(&self, span: &Span, u: f64) -> DVec2 {
        let on_line = span.from.lerp(span.to, u);
        let back = (on_line.x - span.from.x).min(span.to.y - on_line.y);
        let on = (span.to.x - on_line.x).min(on_line.y - span.from.y);
        let place = |d: f64| DVec2::new(on_line.x + d, on_line.y - d);
        let [edge_a, edge_b] = &self.edges;
        let g = |d: f64| {
            let place = place(d);
            twist_of(&edge_a.curve.site(span.a, place.x), &edge_b.curve.site(span.b, place.y))
        };
        if back + on < 1e-14 || g(-back) * g(on) > 0.0 {
            return on_line;
        }
        place(root(g, -back, on))
    }

    /// The worst residual twist, and whether rulings cross inside the sheet.
    #[must_use]
    pub fn twist(&self) -> Twist {
        let mut worst = Twist { twist_rad: 0.0, at_a_mm: DVec3::ZERO, at_b_mm: DVec3::ZERO, crossing: false };
        let mut before: Option<DVec3> = None;
        for span in &self.spans {
            let designed = self.is_fold(span);
            for u in [0.0, 0.25, 0.5, 0.75, 1.0] {
                let ruling = self.ruling(span, u);
                let crease = match before {
                    Some(normal) if u == 0.0 => angle(normal, ruling.normal),
                    _ => 0.0,
                };
                let inside = if designed { 0.0 } else { self.plane_angle(span, &ruling) };
                let here = crease.max(inside);
                if here > worst.twist_rad {
                    worst = Twist { twist_rad: here, at_a_mm: ruling.a_mm, at_b_mm: ruling.b_mm, ..worst };
                }
                let back = ruling.a_rate_mm.dot(ruling.m).min(ruling.b_rate_mm.dot(ruling.m));
                worst.crossing |= back < -1e-9 * ruling.length_mm();
            }
            before = Some(self.ruling(span, 1.0).normal);
        }
        worst
    }

    /// A sharp fold along one ruling: corner against corner.
    #[must_use]
    pub fn is_fold(&self, span: &Span) -> bool {
        let corner = |edge: usize, index: usize| {
            self.edges.get(edge).and_then(|edge| edge.curve.element(index)).is_some_and(super::Element::is_corner)
        };
        corner(0, span.a) && corner(1, span.b)
    }

    /// Bend of a sharp fold, rad, positive where the sheet turns towards e × m.
    #[must_use]
    pub fn fold_rad(&self, span: &Span) -> f64 {
        let (first, last) = (self.ruling(span, 0.0), self.ruling(span, 1.0));
        angle(first.normal, last.normal).copysign(first.normal.cross(last.normal).dot(first.e))
    }

    /// Angle between the tangent planes at the two ends of a ruling where both ends move.
    fn plane_angle(&self, span: &Span, ruling: &Ruling) -> f64 {
        let [edge_a, edge_b] = &self.edges;
        let (a, b) = (edge_a.curve.site(span.a, ruling.place.x), edge_b.curve.site(span.b, ruling.place.y));
        let across = |t: DVec3| t - ruling.e * t.dot(ruling.e);
        let (across_a, across_b) = (across(a.direction), across(b.direction));
        // a fan turns about its own point: only the moving end has a tangent plane
        let fan = span.from.x == span.to.x || span.from.y == span.to.y;
        if fan || across_a.length() < 1e-6 || across_b.length() < 1e-6 {
            return 0.0;
        }
        angle(across_a, across_b)
    }
}

/// Angle between two vectors, exact for small ones, rad.
fn angle(a: DVec3, b: DVec3) -> f64 {
    a.cross(b).length().atan2(a.dot(b))
}

/// Rates of both positions along the pairing, by differentiating det(direction A, direction B, ruling) = 0.
fn rates(a: &Site, b: &Site, w: DVec2) -> DVec2 {
    let ruling = b.position_mm - a.position_mm;
    let by_x = a.turning.dot(b.direction.cross(ruling));
    let by_y = a.direction.dot(b.turning.cross(ruling));
    let sum = w.x + w.y;
    let difference = by_y - by_x;
    if difference.abs() < 1e-12 * ruling.length() {
        return w;
    }
    DVec2::new(by_y, -by_x) * (sum / difference)
}

fn of_sites(a: &Site, b: &Site, place: DVec2, rate: DVec2) -> Ruling {
    let e = (b.position_mm - a.position_mm).normalize_or_zero();
    let across = |t: DVec3| t - e * t.dot(e);
    let (a_rate_mm, b_rate_mm) = (a.rate_mm * rate.x, b.rate_mm * rate.y);
    let moving = across(a_rate_mm) + across(b_rate_mm);
    let standing = across(a.direction) + across(b.direction);
    let m = moving.try_normalize().unwrap_or_else(|| standing.normalize_or_zero());
    let normal = e.cross(m);
    // the tangent stays in the sheet: its rate along the normal gives the rate of the normal along the tangent
    let bend = |site: &Site, rate: f64| -site.second_mm.dot(normal) * rate / site.rate_mm.dot(m);
    let [speed_a, speed_b] = [a_rate_mm.dot(m), b_rate_mm.dot(m)];
    let normal_rate = if speed_a.abs() >= speed_b.abs() && speed_a.abs() > 0.0 {
        bend(a, rate.x)
    } else if speed_b.abs() > 0.0 {
        bend(b, rate.y)
    } else {
        0.0
    };
    Ruling { a_mm: a.position_mm, b_mm: b.position_mm, a_rate_mm, b_rate_mm, e, m, normal, normal_rate, place }
}
