//! Corners of the outer boundary, named or not: places that a seam keeps away from.
//!
//! A corner of the boundary is where it turns by more than 40° between a fortieth of its length before and after: the steps of a coarse mesh
//! turn less than that over such a length, a corner rounded within it turns more (own choice, no source). Held on the finished
//! surface, where a corner is one whatever the forming does.

use super::DevelopedSkin;
use glam::{DVec2, DVec3};

/// Least turn of a corner, 40°.
const CORNER_RAD: f64 = 0.7;
/// Share of the boundary's length over which a turn is taken, to either side.
const REACH: f64 = 1.0 / 40.0;

/// Corners in the flat, mm: the ends of named edges, and wherever the boundary turns sharply, so that a skin with one edge round the whole
/// has its corners too.
pub(super) fn corners_mm(whole: &DevelopedSkin) -> Vec<DVec2> {
    let ring = whole.flat.boundaries.first().map_or(&[][..], Vec::as_slice);
    let flat = |point: u32| whole.flat.points_mm[point as usize];
    let named = whole.edge_points.iter().filter(|_| !whole.closed_rim).filter_map(|chain| chain.first());
    let points: Vec<DVec3> = ring.iter().map(|i| whole.middle.points_mm[*i as usize]).collect();
    let sharp = ring.iter().enumerate().filter(|(at, _)| turn_rad(&points, *at) > CORNER_RAD).map(|(_, point)| point);
    named.chain(sharp).map(|point| flat(*point)).collect()
}

/// How much a closed line turns at a point.
fn turn_rad(ring: &[DVec3], at: usize) -> f64 {
    let next = ring.iter().cycle().skip(1);
    let length_mm: f64 = ring.iter().zip(next).map(|(a, b)| a.distance(*b)).sum();
    let reach_mm = REACH * length_mm;
    let [before, after] = [walked(ring, at, reach_mm, false), walked(ring, at, reach_mm, true)];
    let (into, out) = (ring[at] - before, after - ring[at]);
    if into.length() > 0.0 && out.length() > 0.0 { into.angle_between(out) } else { 0.0 }
}

/// The point of a closed line at a length from one of its points, one way round or the other.
fn walked(ring: &[DVec3], from: usize, length_mm: f64, forward: bool) -> DVec3 {
    let n = ring.len();
    let (mut i, mut left_mm) = (from, length_mm);
    for _ in 0..n {
        let next = if forward { (i + 1) % n } else { (i + n - 1) % n };
        let step_mm = ring[i].distance(ring[next]);
        if step_mm >= left_mm && step_mm > 0.0 {
            return ring[i].lerp(ring[next], left_mm / step_mm);
        }
        left_mm -= step_mm;
        i = next;
    }
    ring[i]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn turns(ring: &[DVec3]) -> Vec<usize> {
        (0..ring.len()).filter(|at| turn_rad(ring, *at) > CORNER_RAD).collect()
    }

    /// A rectangle of 30 points has its four corners, a ring of 40 none, a drop only its tip.
    #[test]
    fn corners_are_found_and_round_edges_have_none() {
        let side = |a: DVec3, b: DVec3, n: u32| (0..n).map(move |k| a.lerp(b, f64::from(k) / f64::from(n)));
        let [a, b, c, d] = [[0.0, 0.0], [200.0, 0.0], [200.0, 100.0], [0.0, 100.0]].map(|[x, y]| DVec3::new(x, y, 0.0));
        let rectangle: Vec<DVec3> =
            side(a, b, 10).chain(side(b, c, 5)).chain(side(c, d, 10)).chain(side(d, a, 5)).collect();
        assert_eq!(turns(&rectangle), [0, 10, 15, 25]);
        let round = |k: u32| DVec2::from_angle(std::f64::consts::TAU * f64::from(k) / 40.0).extend(0.0) * 80.0;
        let circle: Vec<DVec3> = (0..40).map(round).collect();
        assert!(turns(&circle).is_empty(), "{:?}", turns(&circle));
        // tangents from a point to the circle, 60° to either side of it
        let tip = DVec3::new(160.0, 0.0, 0.0);
        let arc: Vec<DVec3> = (7..=33).map(round).collect();
        let (first, last) = (arc[0], arc[arc.len() - 1]);
        let drop: Vec<DVec3> =
            side(tip, first, 12).chain(arc.iter().copied()).chain(side(last, tip, 12).skip(1)).collect();
        assert_eq!(turns(&drop), [0]);
    }
}
