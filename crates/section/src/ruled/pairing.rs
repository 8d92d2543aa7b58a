//! Pairs the points of two edge curves so that a sheet bent along the rulings between them joins the two.
//!
//! A ruling from A(x) to B(y) lies in one tangent plane from end to end when both directions and the ruling are coplanar:
//! g = det(tangent of A, tangent of B, unit ruling) = 0. The pairs form a line in the (x, y) plane that must rise in both; it is
//! followed from cell to cell (a cell is one part of A against one part of B), the crossing of each cell's side found by
//! bracketing. A straight gives a flat triangle (its own direction is constant, so one point of the other edge serves all of
//! it), a corner gives a cone of rulings, and both come out of the same equation because at a corner the direction turns while
//! the place stands still. At the ends of open edges a fan about the end point is free.
//! Where no such line runs on, the nearest pairing is taken and its residual twist is measured.
//! Source: tangent planes along a ruling of a developable surface (do Carmo, *Differential Geometry of Curves and Surfaces*,
//! §3-5, from memory).

use super::curve::Curve;
use super::element::{Element, Site};
use super::fault;
use crate::SectionError;
use glam::{DVec2, DVec3};

/// A stretch of the pairing inside one cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Element of edge A.
    pub a: usize,
    /// Element of edge B.
    pub b: usize,
    /// Position on both elements at the start, 0 to 1.
    pub from: DVec2,
    /// Position on both elements at the end.
    pub to: DVec2,
    /// The pairs lie on the line between the two; otherwise they are found.
    pub linear: bool,
}

/// Below this g is nothing: 1e-9 rad.
const COPLANAR: f64 = 1e-9;
/// Cells walked at most.
const MOST_CELLS: usize = 20_000;

/// Directions and ruling, coplanar when 0.
pub(super) fn twist_of(a: &Site, b: &Site) -> f64 {
    let ruling = (b.position_mm - a.position_mm).normalize_or_zero();
    a.direction.dot(b.direction.cross(ruling))
}

/// Pairs two curves with the same parts in the same order, point by point.
#[must_use]
pub fn same(a: &Curve, b: &Curve) -> Vec<Span> {
    let last = b.count().saturating_sub(1);
    let span = |i: usize| Span { a: i, b: i.min(last), from: DVec2::ZERO, to: DVec2::ONE, linear: true };
    (0..a.count()).map(span).collect()
}

/// Finds the pairing of two curves from their starts to their ends; of two closed curves once round from A's start.
///
/// # Errors
/// [`SectionError::Ruled`] when one is closed and the other is not, or they nowhere face each other.
pub fn find(a: &Curve, b: &Curve) -> Result<Vec<Span>, SectionError> {
    if a.closed != b.closed {
        return Err(fault(
            "one edge is closed and the other is open",
            "two closed edges (a duct, a hood), or two open ones, are accepted",
        ));
    }
    if a.closed {
        let (start_b, y) = opposite(a, b)?;
        return Walk::new(a, b, (0, 0.0), (start_b, y)).run();
    }
    Walk::new(a, b, (0, 0.0), (0, 0.0)).run()
}

/// The point of B that A's start pairs with: tangent planes agree and both edges run the same way; the nearest of them.
fn opposite(a: &Curve, b: &Curve) -> Result<(usize, f64), SectionError> {
    let start = a.site(0, 0.0);
    let mut best: Option<(f64, usize, f64)> = None;
    let mut offer = |index: usize, y: f64| {
        let site = b.site(index, y);
        let ruling = site.position_mm - start.position_mm;
        let e = ruling.normalize_or_zero();
        let across = |t: DVec3| t - e * t.dot(e);
        if across(start.direction).dot(across(site.direction)) <= 1e-9 {
            return;
        }
        let length = ruling.length();
        if best.is_none_or(|(shortest, _, _)| length < shortest - 1e-9) {
            best = Some((length, index, y));
        }
    };
    for (index, element) in b.elements.iter().enumerate() {
        let g = |y: f64| twist_of(&start, &element.site(y));
        let (g0, g1) = (g(0.0), g(1.0));
        if element.is_straight() && g0.abs() < COPLANAR {
            // any point of this straight would do: the one nearest A's start
            let (from, to) = (element.site(0.0).position_mm, element.site(1.0).position_mm);
            let along = to - from;
            offer(index, ((start.position_mm - from).dot(along) / along.length_squared()).clamp(0.0, 1.0));
        } else if g0.abs() < COPLANAR {
            offer(index, 0.0);
        } else if g1.abs() < COPLANAR {
            // the next element's start
        } else if g0 * g1 < 0.0 {
            offer(index, root(g, 0.0, 1.0));
        }
    }
    let (_, index, y) = best.ok_or_else(|| {
        fault(
            "the two edges have no place where their tangent planes agree",
            "two edges that face each other and run round the same way are accepted",
        )
    })?;
    Ok(if y >= 1.0 { (index + 1, 0.0) } else { (index, y) })
}

/// The way through the cells.
struct Walk<'a> {
    a: &'a Curve,
    b: &'a Curve,
    /// Element and position on A, counted on over the end of a closed curve.
    i: usize,
    x: f64,
    j: usize,
    y: f64,
    /// Where it ends.
    end_a: (usize, f64),
    end_b: (usize, f64),
    spans: Vec<Span>,
}

impl<'a> Walk<'a> {
    fn new(a: &'a Curve, b: &'a Curve, (i, x): (usize, f64), (j, y): (usize, f64)) -> Self {
        Self { a, b, i, x, j, y, end_a: (i + a.count(), x), end_b: (j + b.count(), y), spans: Vec::new() }
    }

    fn run(mut self) -> Result<Vec<Span>, SectionError> {
        for _ in 0..MOST_CELLS {
            let (x1, y1) = (self.last_x(), self.last_y());
            match (x1 > self.x, y1 > self.y) {
                (false, false) => return Ok(self.spans),
                (true, false) => self.to(DVec2::new(x1, self.y), true),
                (false, true) => self.to(DVec2::new(self.x, y1), true),
                (true, true) => self.cell(x1, y1),
            }
        }
        Err(fault("the two edges have too many parts to pair", "up to 5000 parts in all are accepted"))
    }

    /// How far the walk may go on A's element.
    fn last_x(&self) -> f64 {
        if self.i == self.end_a.0 { self.end_a.1 } else { 1.0 }
    }

    fn last_y(&self) -> f64 {
        if self.j == self.end_b.0 { self.end_b.1 } else { 1.0 }
    }

    fn g(&self, x: f64, y: f64) -> f64 {
        twist_of(&self.a.site(self.i, x), &self.b.site(self.j, y))
    }

    fn to(&mut self, place: DVec2, linear: bool) {
        let from = DVec2::new(self.x, self.y);
        let (count_a, count_b) = (self.a.count(), self.b.count());
        if place.distance(from) > 1e-13 {
            self.spans.push(Span { a: self.i % count_a, b: self.j % count_b, from, to: place, linear });
        }
        (self.x, self.y) = (place.x, place.y);
        if self.x >= 1.0 && self.i < self.end_a.0 && (self.i + 1, 0.0) <= self.end_a && self.more(self.i, self.end_a) {
            (self.i, self.x) = (self.i + 1, 0.0);
        }
        if self.y >= 1.0 && self.j < self.end_b.0 && (self.j + 1, 0.0) <= self.end_b && self.more(self.j, self.end_b) {
            (self.j, self.y) = (self.j + 1, 0.0);
        }
    }

    /// There is something left on the next element.
    fn more(&self, element: usize, end: (usize, f64)) -> bool {
        element + 1 < end.0 || (element + 1 == end.0 && end.1 > 0.0)
    }

    fn is_straight(curve: &Curve, index: usize) -> bool {
        curve.element(index).is_some_and(Element::is_straight)
    }

    /// One cell, from where the walk stands to (x1, y1) at most.
    fn cell(&mut self, x1: f64, y1: f64) {
        let (x, y) = (self.x, self.y);
        let zero = |g: f64| g.abs() < COPLANAR;
        let (here, right, up, far) = (self.g(x, y), self.g(x1, y), self.g(x, y1), self.g(x1, y1));
        let (straight_a, straight_b) = (Self::is_straight(self.a, self.i), Self::is_straight(self.b, self.j));
        if zero(here) {
            if (straight_a && straight_b) || (zero(right) && zero(up) && zero(far)) {
                return self.to(DVec2::new(x1, y1), true);
            }
            if straight_a && zero(right) {
                return self.to(DVec2::new(x1, y), true);
            }
            if straight_b && zero(up) {
                return self.to(DVec2::new(x, y1), true);
            }
            if right * up < 0.0 {
                if zero(far) {
                    return self.to(DVec2::new(x1, y1), false);
                }
                let place = if far * right < 0.0 {
                    DVec2::new(x1, root(|y| self.g(x1, y), y, y1))
                } else {
                    DVec2::new(root(|x| self.g(x, y1), x, x1), y1)
                };
                return self.to(place, false);
            }
        } else {
            if here * up < 0.0 {
                let y = root(|y| self.g(x, y), y, y1);
                return self.to(DVec2::new(x, y), true);
            }
            if here * right < 0.0 {
                let x = root(|x| self.g(x, y), x, x1);
                return self.to(DVec2::new(x, y), true);
            }
        }
        // a fan: free at the end of an open edge, a twist elsewhere (measured afterwards)
        let place = if right.abs() < up.abs() { DVec2::new(x1, y) } else { DVec2::new(x, y1) };
        self.to(place, true);
    }
}

/// Root of a function that changes sign between two places: regula falsi with halved weights (Illinois), bisection as a guard.
pub(super) fn root(f: impl Fn(f64) -> f64, from: f64, to: f64) -> f64 {
    let (mut a, mut b, mut fa, mut fb) = (from, to, f(from), f(to));
    if fa == 0.0 {
        return a;
    }
    if fb == 0.0 {
        return b;
    }
    for step in 0..200 {
        let mut c = if step % 3 == 2 { 0.5 * (a + b) } else { b - fb * (b - a) / (fb - fa) };
        if !(c > a.min(b) && c < a.max(b)) {
            c = 0.5 * (a + b);
        }
        let fc = f(c);
        if fc == 0.0 || (b - a).abs() < 4.0 * f64::EPSILON * (1.0 + c.abs()) {
            return c;
        }
        if fc * fb < 0.0 {
            (a, fa) = (b, fb);
        } else {
            fa *= 0.5;
        }
        (b, fb) = (c, fc);
    }
    b
}
