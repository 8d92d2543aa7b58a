//! How a flat lies on the drawing: its smallest box upright, the longer side along x, the lower left corner at 0.

use crate::flatten::FlatSkin;
use glam::DVec2;

/// Direction of the longer side of the smallest box round some points, within 90° of x; x without two points.
///
/// The smallest box has a side along one of the sides of the convex hull (Freeman & Shapira 1975, from memory).
pub(super) fn long_side(points: &[DVec2]) -> DVec2 {
    let hull = hull(points);
    let mut best = (f64::INFINITY, DVec2::X);
    for (i, &a) in hull.iter().enumerate() {
        let along = (hull[(i + 1) % hull.len()] - a).normalize_or_zero();
        let (low, high) = extent(&hull, along);
        let size = high - low;
        // sides that give the same box but for rounding: the first counts
        if along != DVec2::ZERO && size.x * size.y < best.0 * (1.0 - 1e-9) {
            best = (size.x * size.y, if size.x >= size.y { along } else { along.perp() });
        }
    }
    let along = best.1;
    if along.x < 0.0 || (along.x.abs() < 1e-12 && along.y < 0.0) { -along } else { along }
}

/// Turns a flat so that `along` becomes x; the directions of strain turn with it.
pub(super) fn turn(flat: &mut FlatSkin, along: DVec2) {
    let back = DVec2::new(along.x, -along.y);
    flat.points_mm.iter_mut().for_each(|point| *point = back.rotate(*point));
    flat.strains.iter_mut().for_each(|strain| strain.major_direction = back.rotate(strain.major_direction));
}

fn extent(points: &[DVec2], along: DVec2) -> (DVec2, DVec2) {
    let own = |p: &DVec2| DVec2::new(p.dot(along), p.dot(along.perp()));
    let turned = points.iter().map(own);
    turned.fold((DVec2::INFINITY, DVec2::NEG_INFINITY), |(low, high), p| (low.min(p), high.max(p)))
}

/// Convex hull, anticlockwise (Andrew's monotone chain).
fn hull(points: &[DVec2]) -> Vec<DVec2> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let half = |points: &mut dyn Iterator<Item = &DVec2>| {
        let mut chain: Vec<DVec2> = Vec::new();
        for &p in points {
            while let [.., a, b] = chain[..]
                && (b - a).perp_dot(p - a) <= 0.0
            {
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut out = half(&mut sorted.iter());
    out.extend(half(&mut sorted.iter().rev()));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_turned_rectangle_is_found() {
        for degrees in [0.0, 12.0, 80.0, 170.0, -60.0f64] {
            let turn = DVec2::from_angle(degrees.to_radians());
            let corners = [(0.0, 0.0), (300.0, 0.0), (300.0, 120.0), (0.0, 120.0), (150.0, 60.0)];
            let points = corners.map(|(x, y)| turn.rotate(DVec2::new(x, y)));
            let along = long_side(&points);
            assert!(along.perp_dot(turn).abs() < 1e-9 && along.x >= 0.0, "{degrees}: {along}");
        }
        assert_eq!(long_side(&[]), DVec2::X);
    }
}
