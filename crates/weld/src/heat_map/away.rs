//! Distance of every point from the weld lines, along the sheet as a tape is laid.
//!
//! Front that moves over the triangles: R. Kimmel, J. A. Sethian, "Computing geodesic paths on manifolds", Proc. Natl. Acad. Sci. 95
//! (1998) 8431–8435 (from memory), without the splitting of obtuse triangles: behind one the way goes along its sides, a little too long.

use crate::panel::SeamLine;
use glam::DVec3;
use mesh::Skin;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Points so near to a line get their distance straight, mm: a few edges of the mesh beside it.
const STRAIGHT_MM: f64 = 5.0;

/// Distance in an order that the heap can keep.
#[derive(PartialEq)]
struct Far(f64);

impl Eq for Far {}

impl PartialOrd for Far {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Far {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0)
    }
}

/// Distances of all points; endless for a part that no line touches.
pub(super) fn from_lines(skin: &Skin, lines: &[SeamLine]) -> Vec<f64> {
    let mut away: Vec<f64> = skin
        .points_mm
        .iter()
        .map(|point| lines.iter().map(|line| straight(*point, line)).fold(f64::INFINITY, f64::min))
        .map(|far| if far <= STRAIGHT_MM { far } else { f64::INFINITY })
        .collect();
    let mut beside: Vec<Vec<u32>> = vec![Vec::new(); away.len()];
    for (triangle, corners) in skin.triangles.iter().enumerate() {
        for corner in corners {
            beside[*corner as usize].push(triangle as u32);
        }
    }
    let reached = away.iter().enumerate().filter(|(_, far)| far.is_finite());
    let mut front: BinaryHeap<Reverse<(Far, u32)>> = reached.map(|(p, far)| Reverse((Far(*far), p as u32))).collect();
    let mut done = vec![false; away.len()];
    while let Some(Reverse((_, point))) = front.pop() {
        if std::mem::replace(&mut done[point as usize], true) {
            continue;
        }
        for triangle in &beside[point as usize] {
            let corners = skin.triangles[*triangle as usize];
            for turn in 0..3 {
                let [to, a, b] = [corners[turn], corners[(turn + 1) % 3], corners[(turn + 2) % 3]];
                if done[to as usize] || !(done[a as usize] || done[b as usize]) {
                    continue;
                }
                let place = |p: u32| skin.points_mm[p as usize];
                let from = |p: u32| if done[p as usize] { away[p as usize] } else { f64::INFINITY };
                let far = across(place(to), [place(a), place(b)], [from(a), from(b)]);
                if far < away[to as usize] {
                    away[to as usize] = far;
                    front.push(Reverse((Far(far), to)));
                }
            }
        }
    }
    away
}

fn straight(point: DVec3, line: &SeamLine) -> f64 {
    line.nearest(point).map_or(f64::INFINITY, |foot| foot.distance(point))
}

/// Distance of the third corner when a plane front passes the other two at theirs.
fn across(to: DVec3, [a, b]: [DVec3; 2], [far_a, far_b]: [f64; 2]) -> f64 {
    let along_sides = (far_a + to.distance(a)).min(far_b + to.distance(b));
    if !(far_a.is_finite() && far_b.is_finite()) {
        return along_sides;
    }
    // in the plane of the triangle: a at the origin, b on the axis, the corner above it
    let base = a.distance(b);
    let axis = (b - a) / base.max(f64::MIN_POSITIVE);
    let x = (to - a).dot(axis);
    let y = (to - a - axis * x).length();
    let slope = (far_b - far_a) / base.max(f64::MIN_POSITIVE);
    if slope.abs() >= 1.0 {
        return along_sides;
    }
    let rise = (1.0 - slope * slope).sqrt();
    // the way of the front back from the corner must meet the side between a and b
    let foot = x - y * slope / rise;
    if (0.0..=base).contains(&foot) { (far_a + x * slope + y * rise).min(along_sides) } else { along_sides }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// On a bent sheet the distance is that along the sheet: 30 mm flat and 20 mm up are 50 mm.
    #[test]
    fn a_tape_goes_round_the_bend() {
        let steps = 10_u32;
        let at = |i: u32, j: u32| i * (steps + 1) + j;
        let place = |i: u32, j: u32| {
            let y = 5.0 * f64::from(j);
            DVec3::new(5.0 * f64::from(i), y.min(30.0), (y - 30.0).max(0.0))
        };
        let points_mm = (0..=steps).flat_map(|i| (0..=steps).map(move |j| place(i, j))).collect();
        let triangles = (0..steps)
            .flat_map(|i| (0..steps).map(move |j| (i, j)))
            .flat_map(|(i, j)| [[at(i, j), at(i + 1, j), at(i + 1, j + 1)], [at(i, j), at(i + 1, j + 1), at(i, j + 1)]])
            .collect();
        let skin = Skin { points_mm, triangles };
        let line = SeamLine { points_mm: vec![DVec3::ZERO, DVec3::X * 50.0], closed: false };
        let away = from_lines(&skin, &[line]);
        for i in 0..=steps {
            for j in 0..=steps {
                let (got, want) = (away[at(i, j) as usize], 5.0 * f64::from(j));
                assert!((got - want).abs() < 1e-9, "{i} {j}: {got} {want}");
            }
        }
    }
}
