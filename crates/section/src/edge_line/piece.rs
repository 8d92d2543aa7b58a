//! One smooth piece of an edge line, by its own arc length.

use crate::quadrature::GaussLegendre;
use glam::DVec3;
use std::sync::LazyLock;

/// Position and its first three derivatives by arc length, mm, 1, 1/mm, 1/mm².
pub(super) type Derivatives = [DVec3; 4];

/// A smooth piece. Arc length runs from 0; straights and arcs can be evaluated anywhere, polynomials go on as the circle
/// that fits their end.
#[derive(Debug, Clone)]
pub(super) enum Piece {
    Straight { start: DVec3, direction: DVec3, length: f64 },
    Arc { centre: DVec3, first: DVec3, second: DVec3, radius: f64, length: f64 },
    Polynomial(Polynomial),
}

/// A vector polynomial in 0..1 with a table of its arc length.
#[derive(Debug, Clone)]
pub(super) struct Polynomial {
    coefficients: [DVec3; 6],
    /// Arc length at equal steps of the parameter.
    table: [f64; STEPS + 1],
}

const STEPS: usize = 4;

static RULE: LazyLock<GaussLegendre<8>> = LazyLock::new(GaussLegendre::new);

impl Piece {
    pub(super) fn length(&self) -> f64 {
        match self {
            Self::Straight { length, .. } | Self::Arc { length, .. } => *length,
            Self::Polynomial(polynomial) => polynomial.length(),
        }
    }

    pub(super) fn at(&self, s: f64) -> Derivatives {
        match self {
            Self::Straight { start, direction, .. } => [*start + *direction * s, *direction, DVec3::ZERO, DVec3::ZERO],
            Self::Arc { centre, first, second, radius, .. } => {
                let (sin, cos) = (s / radius).sin_cos();
                let out = *first * cos + *second * sin;
                let along = *second * cos - *first * sin;
                [*centre + out * *radius, along, -out / *radius, -along / (radius * radius)]
            }
            Self::Polynomial(polynomial) => polynomial.at(s),
        }
    }

    pub(super) fn straight(start: DVec3, end: DVec3) -> Option<Self> {
        let length = start.distance(end);
        (length > MIN_LENGTH_MM).then(|| Self::Straight { start, direction: (end - start) / length, length })
    }

    /// Circle through three points, from the first through the second to the third; a straight where they lie on a line.
    pub(super) fn arc(start: DVec3, via: DVec3, end: DVec3) -> Option<Self> {
        let (a, b) = (via - start, end - start);
        let (la, lb) = (a.length(), b.length());
        if la < MIN_LENGTH_MM || lb < MIN_LENGTH_MM || via.distance(end) < MIN_LENGTH_MM {
            return None;
        }
        let normal = a.cross(b);
        // Below this the sagitta is under a millionth of the chord: no circle can be measured.
        if normal.length() < 1e-6 * la * lb {
            return (a.dot(b) > 0.0 && la < lb).then(|| Self::straight(start, end)).flatten();
        }
        let n2 = normal.length_squared();
        let to_centre = (normal.cross(a) * lb * lb + b.cross(normal) * la * la) / (2.0 * n2);
        let radius = to_centre.length();
        let first = -to_centre / radius;
        let second = normal.normalize().cross(first);
        let rel = end - (start + to_centre);
        let mut sweep = rel.dot(second).atan2(rel.dot(first));
        if sweep <= 0.0 {
            sweep += std::f64::consts::TAU;
        }
        Some(Self::Arc { centre: start + to_centre, first, second, radius, length: radius * sweep })
    }
}

/// Two points nearer than this are one point.
pub(super) const MIN_LENGTH_MM: f64 = 1e-3;

impl Polynomial {
    /// Cubic between two points with second derivatives `m0`, `m1` over a parameter span `h` (spline interval).
    pub(super) fn spline_interval(p0: DVec3, p1: DVec3, m0: DVec3, m1: DVec3, h: f64) -> Self {
        let slope = (p1 - p0) / h - (m0 * 2.0 + m1) * (h / 6.0);
        Self::new([p0, slope * h, m0 * (h * h / 2.0), (m1 - m0) * (h * h / 6.0), DVec3::ZERO, DVec3::ZERO])
    }

    /// Quintic with given position and first and second derivative (by a parameter of span `h`) at both ends.
    pub(super) fn quintic(a: Derivatives, b: Derivatives, h: f64) -> Self {
        let (p0, v0, w0) = (a[0], a[1] * h, a[2] * (h * h));
        let (p1, v1, w1) = (b[0], b[1] * h, b[2] * (h * h));
        let d = p1 - p0 - v0 - w0 * 0.5;
        let e = v1 - v0 - w0;
        let f = w1 - w0;
        Self::new([
            p0,
            v0,
            w0 * 0.5,
            d * 10.0 - e * 4.0 + f * 0.5,
            d * -15.0 + e * 7.0 - f,
            d * 6.0 - e * 3.0 + f * 0.5,
        ])
    }

    fn new(coefficients: [DVec3; 6]) -> Self {
        let mut out = Self { coefficients, table: [0.0; STEPS + 1] };
        for i in 0..STEPS {
            let (from, to) = (i as f64 / STEPS as f64, (i + 1) as f64 / STEPS as f64);
            out.table[i + 1] = out.table[i] + RULE.integrate(from, to, |u| out.derivative(u)[1].length());
        }
        out
    }

    fn length(&self) -> f64 {
        self.table[STEPS]
    }

    /// Position and derivatives by the parameter.
    fn derivative(&self, u: f64) -> Derivatives {
        let c = &self.coefficients;
        let mut out = [c[5], DVec3::ZERO, DVec3::ZERO, DVec3::ZERO];
        for coefficient in c.iter().rev().skip(1) {
            out[3] = out[3] * u + out[2];
            out[2] = out[2] * u + out[1];
            out[1] = out[1] * u + out[0];
            out[0] = out[0] * u + *coefficient;
        }
        [out[0], out[1], out[2] * 2.0, out[3] * 6.0]
    }

    /// Parameter at an arc length inside the piece, to 1e-12 of its length.
    fn parameter(&self, s: f64) -> f64 {
        let i = self.table.partition_point(|&length| length <= s).clamp(1, STEPS) - 1;
        let base = i as f64 / STEPS as f64;
        let mut u = base + (s - self.table[i]) / (self.table[i + 1] - self.table[i]) / STEPS as f64;
        for _ in 0..20 {
            let length = self.table[i] + RULE.integrate(base, u, |u| self.derivative(u)[1].length());
            let step = (length - s) / self.derivative(u)[1].length();
            u -= step;
            if step.abs() < 1e-14 {
                break;
            }
        }
        u
    }

    fn at(&self, s: f64) -> Derivatives {
        let length = self.length();
        if s < 0.0 || s > length {
            let (at, beyond) = if s < 0.0 { (0.0, s) } else { (1.0, s - length) };
            return continue_as_circle(&self.by_arc_length(at), beyond);
        }
        self.by_arc_length(self.parameter(s))
    }

    /// Chain rule from the parameter to arc length.
    fn by_arc_length(&self, u: f64) -> Derivatives {
        let [r, r1, r2, r3] = self.derivative(u);
        let v2 = r1.length_squared();
        let v = v2.sqrt();
        let q = r1.dot(r2);
        let u1 = 1.0 / v;
        let u2 = -q / (v2 * v2);
        let u3 = -(r2.length_squared() + r1.dot(r3)) / (v2 * v2 * v) + 4.0 * q * q / (v2 * v2 * v2 * v);
        [r, r1 * u1, r2 * (u1 * u1) + r1 * u2, r3 * (u1 * u1 * u1) + r2 * (3.0 * u1 * u2) + r1 * u3]
    }
}

fn continue_as_circle(end: &Derivatives, beyond: f64) -> Derivatives {
    let [p, t, k, _] = *end;
    let curvature = k.length();
    if curvature < 1e-9 {
        return [p + t * beyond, t, DVec3::ZERO, DVec3::ZERO];
    }
    let to_centre = k / (curvature * curvature);
    let radius = 1.0 / curvature;
    let (first, second) = (-to_centre / radius, t);
    Piece::Arc { centre: p + to_centre, first, second, radius, length: 0.0 }.at(beyond)
}
