//! The edges of a bare mesh: the stretches of its rim from corner to corner, so that each has its own figure.
//!
//! A corner is where the rim turns by more than [`CORNER_RAD`] between a fortieth of its length before and after: the steps of a
//! jagged rim of triangles turn more than that, but not over such a length. Without two corners the rim is one edge.

use glam::{DVec2, DVec3};
use mesh::Skin;

/// Least turn of a corner, 40°.
const CORNER_RAD: f64 = 0.7;
/// Share of the rim over which a turn is taken, to either side.
const REACH: f64 = 1.0 / 40.0;
/// Of more corners than these the rim is one edge: they are no corners of a panel.
const MOST_CORNERS: usize = 12;

/// The stretches of a rim, closed by `ring`, as chains of points with a name that says from where to where in the flat.
pub fn edges(skin: &Skin, flat_mm: &[DVec2], ring: &[u32]) -> Vec<(String, Vec<u32>)> {
    let whole: Vec<u32> = ring.iter().chain(ring.first()).copied().collect();
    let mut corners = corners(skin, ring);
    if corners.len() < 2 || corners.len() > MOST_CORNERS {
        return vec![("outer edge".to_owned(), whole)];
    }
    let flat = |i: usize| {
        let point = ring.get(i % ring.len().max(1)).and_then(|point| flat_mm.get(*point as usize));
        point.copied().unwrap_or_default()
    };
    // the first edge starts at the lower left corner
    let lower_left = corners
        .iter()
        .enumerate()
        .min_by(|a, b| (flat(*a.1).x + flat(*a.1).y).total_cmp(&(flat(*b.1).x + flat(*b.1).y)));
    let first = lower_left.map_or(0, |(index, _)| index);
    corners.rotate_left(first);
    let ends = corners.iter().zip(corners.iter().cycle().skip(1));
    let edge = |(number, (from, to)): (usize, (&usize, &usize))| {
        let steps = (to + ring.len() - from) % ring.len();
        let chain = ring.iter().cycle().skip(*from).take(steps + 1).copied().collect();
        let [a, b] = [flat(*from), flat(*to)];
        (format!("edge {} ({:.0}, {:.0} to {:.0}, {:.0})", number + 1, a.x, a.y, b.x, b.y), chain)
    };
    ends.enumerate().map(edge).collect()
}

/// Places in the ring where it turns sharply, in its order.
fn corners(skin: &Skin, ring: &[u32]) -> Vec<usize> {
    let points: Vec<DVec3> = ring.iter().filter_map(|i| skin.points_mm.get(*i as usize)).copied().collect();
    let count = points.len();
    if count != ring.len() || count < 3 {
        return Vec::new();
    }
    let at = |i: usize| points.get(i % count).copied().unwrap_or_default();
    let length: f64 = (0..count).map(|i| at(i).distance(at(i + 1))).sum();
    let reach = REACH * length;
    // the point of the ring at a length on from a place, one way round or the other
    let walked = |from: usize, forward: bool| {
        let (mut i, mut left) = (from, reach);
        for _ in 0..count {
            let next = if forward { i + 1 } else { i + count - 1 } % count;
            let step = at(i).distance(at(next));
            if step >= left && step > 0.0 {
                return at(i).lerp(at(next), left / step);
            }
            (i, left) = (next, left - step);
        }
        at(i)
    };
    let turns: Vec<f64> = (0..count)
        .map(|i| {
            let (before, after) = (at(i) - walked(i, false), walked(i, true) - at(i));
            if before == DVec3::ZERO || after == DVec3::ZERO { 0.0 } else { before.angle_between(after) }
        })
        .collect();
    let sharpest_about = |i: usize, turn: f64| {
        [true, false].into_iter().all(|forward| {
            let (mut j, mut gone) = (i, 0.0);
            loop {
                let next = if forward { j + 1 } else { j + count - 1 } % count;
                gone += at(j).distance(at(next));
                if gone > reach || next == i {
                    return true;
                }
                j = next;
                let other = turns.get(j).copied().unwrap_or(0.0);
                // of two alike the first counts
                if other > turn || (other >= turn && j < i) {
                    return false;
                }
            }
        })
    };
    turns
        .iter()
        .enumerate()
        .filter(|(i, turn)| **turn > CORNER_RAD && sharpest_about(*i, **turn))
        .map(|(i, _)| i)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A rim of points about the middle: `sides` straight sides of 20 steps each, or a circle.
    fn rim(at: impl Fn(f64) -> DVec2) -> (Skin, Vec<DVec2>, Vec<u32>) {
        let flat: Vec<DVec2> = (0..80).map(|i| at(f64::from(i) / 80.0)).collect();
        let skin = Skin { points_mm: flat.iter().map(|p| p.extend(0.0)).collect(), triangles: Vec::new() };
        (skin, flat, (0..80).collect())
    }

    #[test]
    fn a_square_has_four_edges_and_a_disc_one() {
        let square = |share: f64| {
            let (side, along) = ((4.0 * share).floor(), 100.0 * (4.0 * share).fract());
            match side as u32 {
                0 => DVec2::new(along, 0.0),
                1 => DVec2::new(100.0, along),
                2 => DVec2::new(100.0 - along, 100.0),
                _ => DVec2::new(0.0, 100.0 - along),
            }
        };
        let (skin, flat, ring) = rim(square);
        let found = edges(&skin, &flat, &ring);
        assert_eq!(found.len(), 4);
        assert!(found.iter().all(|(_, chain)| chain.len() == 21), "{found:?}");
        assert_eq!(found[0].0, "edge 1 (0, 0 to 100, 0)");
        let disc = |share: f64| 100.0 * DVec2::from_angle(share * std::f64::consts::TAU);
        let (skin, flat, ring) = rim(disc);
        assert_eq!(edges(&skin, &flat, &ring).len(), 1);
    }
}
