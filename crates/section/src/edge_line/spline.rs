//! Interpolating cubic spline with continuous second derivative, by chord length.
//!
//! End conditions: the tangent of a neighbouring straight or arc where there is one, otherwise "not a knot" (the third
//! derivative runs on through the last inner point). Source: de Boor, *A Practical Guide to Splines*, ch. IV (from memory).

use super::piece::{Piece, Polynomial};
use glam::DVec3;

/// Pieces of the spline through `points` (at least two, none doubled).
pub(super) fn through(points: &[DVec3], start: Option<DVec3>, end: Option<DVec3>) -> Vec<Piece> {
    let spans: Vec<f64> = points.windows(2).map(|pair| pair[0].distance(pair[1])).collect();
    let moments = second_derivatives(points, &spans, start, end);
    spans
        .iter()
        .enumerate()
        .map(|(i, &h)| {
            let interval = Polynomial::spline_interval(points[i], points[i + 1], moments[i], moments[i + 1], h);
            Piece::Polynomial(interval)
        })
        .collect()
}

/// Second derivatives at the points: a system with one row per point and at most two entries beside the diagonal.
fn second_derivatives(points: &[DVec3], h: &[f64], start: Option<DVec3>, end: Option<DVec3>) -> Vec<DVec3> {
    let n = points.len();
    let chord = |i: usize| (points[i + 1] - points[i]) / h[i];
    if n == 3 && start.is_none() && end.is_none() {
        return vec![(chord(1) - chord(0)) * (2.0 / (h[0] + h[1])); 3];
    }
    let mut rows = vec![[0.0; 5]; n]; // columns i−2 … i+2
    let mut right = vec![DVec3::ZERO; n];
    for i in 1..n - 1 {
        rows[i] = [0.0, h[i - 1], 2.0 * (h[i - 1] + h[i]), h[i], 0.0];
        right[i] = (chord(i) - chord(i - 1)) * 6.0;
    }
    match start {
        Some(tangent) => {
            rows[0] = [0.0, 0.0, 2.0 * h[0], h[0], 0.0];
            right[0] = (chord(0) - tangent) * 6.0;
        }
        None if n > 2 => rows[0] = [0.0, 0.0, h[1], -(h[0] + h[1]), h[0]],
        None => rows[0] = [0.0, 0.0, 1.0, if end.is_some() { -1.0 } else { 0.0 }, 0.0],
    }
    match end {
        Some(tangent) => {
            rows[n - 1] = [0.0, h[n - 2], 2.0 * h[n - 2], 0.0, 0.0];
            right[n - 1] = (tangent - chord(n - 2)) * 6.0;
        }
        None if n > 2 => {
            let (before, last) = (h[n - 3], h[n - 2]);
            rows[n - 1] = [last, -(before + last), before, 0.0, 0.0];
        }
        None => rows[n - 1] = [0.0, if start.is_some() { -1.0 } else { 0.0 }, 1.0, 0.0, 0.0],
    }
    solve_banded(rows, right)
}

/// Gaussian elimination inside a band of two on either side.
fn solve_banded(mut rows: Vec<[f64; 5]>, mut right: Vec<DVec3>) -> Vec<DVec3> {
    let n = rows.len();
    for k in 0..n {
        for below in k + 1..n.min(k + 3) {
            let offset = below - k;
            let factor = rows[below][2 - offset] / rows[k][2];
            for column in 0..3 {
                rows[below][2 - offset + column] -= factor * rows[k][2 + column];
            }
            let shift = right[k] * factor;
            right[below] -= shift;
        }
    }
    for k in (0..n).rev() {
        for (offset, after) in (k + 1..n.min(k + 3)).enumerate() {
            let known = right[after] * rows[k][3 + offset];
            right[k] -= known;
        }
        right[k] /= rows[k][2];
    }
    right
}
