//! Areas that a strip or a disc has in common with a triangle, exactly.

use glam::{DVec2, DVec3};

/// Where a strip lies: from `start` along the unit vector `along` for `length`, `half_width` to each side.
#[derive(Debug, Clone, Copy)]
pub(super) struct Strip {
    pub start: DVec3,
    pub along: DVec3,
    pub length: f64,
    pub half_width: f64,
}

/// A triangle whose plane is steeper than this to the strip is not under it: cosine of 60°.
const LEAST_ALONG: f64 = 0.5;

/// Area of the triangle under the strip, and the strip's direction in the triangle's plane; none when they do not meet.
///
/// Sheets that lie within half the width of the strip's line, one over the other, are all under it: the two of a lap are fused.
pub(super) fn strip_and_triangle(strip: &Strip, corners: [DVec3; 3]) -> Option<(f64, DVec3)> {
    let normal = (corners[1] - corners[0]).cross(corners[2] - corners[0]).try_normalize()?;
    let in_plane = strip.along - normal * strip.along.dot(normal);
    if in_plane.length() < LEAST_ALONG {
        return None;
    }
    let along = in_plane.normalize();
    let across = normal.cross(along);
    let middle = (corners[0] + corners[1] + corners[2]) / 3.0;
    let nearest = strip.start + strip.along * (middle - strip.start).dot(strip.along).clamp(0.0, strip.length);
    if (nearest - middle).dot(normal).abs() > strip.half_width {
        return None;
    }
    let x = |p: DVec3| (p - strip.start).dot(strip.along);
    let y = |p: DVec3| (p - nearest).dot(across);
    let mut polygon = corners.to_vec();
    clip(&mut polygon, x);
    clip(&mut polygon, |p| strip.length - x(p));
    clip(&mut polygon, |p| strip.half_width - y(p));
    clip(&mut polygon, |p| strip.half_width + y(p));
    let area = area(&polygon);
    (area > 0.0).then_some((area, along))
}

/// Keeps the part of a convex polygon where a linear function is positive.
fn clip(polygon: &mut Vec<DVec3>, inside: impl Fn(DVec3) -> f64) {
    let mut kept = Vec::with_capacity(polygon.len() + 1);
    for (i, &to) in polygon.iter().enumerate() {
        let from = polygon[(i + polygon.len() - 1) % polygon.len()];
        let (a, b) = (inside(from), inside(to));
        if (a > 0.0) != (b > 0.0) {
            kept.push(from.lerp(to, a / (a - b)));
        }
        if b > 0.0 {
            kept.push(to);
        }
    }
    *polygon = kept;
}

fn area(polygon: &[DVec3]) -> f64 {
    let Some(&first) = polygon.first() else { return 0.0 };
    let twice: DVec3 = polygon.windows(2).map(|pair| (pair[0] - first).cross(pair[1] - first)).sum();
    0.5 * twice.length()
}

/// Area of the triangle within a disc of `radius` in its own plane about the place nearest to `centre`; 0 when the plane passes
/// farther away than the radius.
pub(super) fn disc_and_triangle(centre: DVec3, radius: f64, corners: [DVec3; 3]) -> f64 {
    let Some(normal) = (corners[1] - corners[0]).cross(corners[2] - corners[0]).try_normalize() else { return 0.0 };
    if (centre - corners[0]).dot(normal).abs() > radius {
        return 0.0;
    }
    let u = (corners[1] - corners[0]).normalize();
    let v = normal.cross(u);
    let flat = corners.map(|p| DVec2::new((p - centre).dot(u), (p - centre).dot(v)));
    (0..3).map(|i| disc_and_wedge(flat[i], flat[(i + 1) % 3], radius)).sum::<f64>().max(0.0)
}

/// Signed area of the triangle (0, p, q) within the disc about 0.
fn disc_and_wedge(p: DVec2, q: DVec2, radius: f64) -> f64 {
    let sector = |a: DVec2, b: DVec2| 0.5 * radius * radius * a.perp_dot(b).atan2(a.dot(b));
    let side = q - p;
    let (a, b, c) = (side.length_squared(), p.dot(side), p.length_squared() - radius * radius);
    let discriminant = b * b - a * c;
    if a <= 0.0 || discriminant <= 0.0 {
        return sector(p, q);
    }
    let (enter, leave) = ((-b - discriminant.sqrt()) / a, (-b + discriminant.sqrt()) / a);
    if leave <= 0.0 || enter >= 1.0 {
        return sector(p, q);
    }
    let (from, to) = (p + side * enter.max(0.0), p + side * leave.min(1.0));
    let before = if enter > 0.0 { sector(p, from) } else { 0.0 };
    let after = if leave < 1.0 { sector(to, q) } else { 0.0 };
    before + 0.5 * from.perp_dot(to) + after
}

#[cfg(test)]
mod tests {
    use super::*;

    const TRIANGLE: [DVec3; 3] = [DVec3::ZERO, DVec3::new(4.0, 0.0, 0.0), DVec3::new(0.0, 4.0, 0.0)];

    /// By hand: x from 1 to 2 of the triangle below y = 4 − x, cut at y = 1.
    #[test]
    fn a_strip_cuts_what_a_pencil_would() {
        let strip = Strip { start: DVec3::X, along: DVec3::X, length: 1.0, half_width: 1.0 };
        let (area, along) = strip_and_triangle(&strip, TRIANGLE).unwrap();
        assert!((area - 1.0).abs() < 1e-12 && along == DVec3::X);
        let wide = Strip { half_width: 10.0, ..strip };
        assert!((strip_and_triangle(&wide, TRIANGLE).unwrap().0 - 2.5).abs() < 1e-12);
        let raised = Strip { start: DVec3::new(1.0, 0.0, 1.5), ..strip };
        assert!(strip_and_triangle(&raised, TRIANGLE).is_none(), "another sheet, farther than the half width");
        let steep = Strip { along: DVec3::Z, ..strip };
        assert!(strip_and_triangle(&steep, TRIANGLE).is_none());
    }

    #[test]
    fn a_disc_cuts_quarters_whole_and_nothing() {
        let pi = std::f64::consts::PI;
        assert!((disc_and_triangle(DVec3::ZERO, 1.0, TRIANGLE) - pi / 4.0).abs() < 1e-12);
        assert!((disc_and_triangle(DVec3::new(1.1, 1.1, 0.0), 1.0, TRIANGLE) - pi).abs() < 1e-12);
        assert!((disc_and_triangle(DVec3::ZERO, 100.0, TRIANGLE) - 8.0).abs() < 1e-9);
        assert!(disc_and_triangle(DVec3::new(9.0, 9.0, 0.0), 1.0, TRIANGLE).abs() < 1e-12);
        assert_eq!(disc_and_triangle(DVec3::Z * 2.0, 1.0, TRIANGLE), 0.0);
        // half a disc over a straight side
        assert!((disc_and_triangle(DVec3::new(2.0, 0.0, 0.0), 0.5, TRIANGLE) - pi / 8.0).abs() < 1e-12);
    }
}
