//! Free edges as heat meets them: what cannot flow on comes back, as if a source of the same heat lay mirrored beyond the edge.
//!
//! Method of images (H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, section 10.10, from memory): exact for straight edges that are
//! alone, parallel, or square to each other; a gently curved side counts as straight at the foot of the perpendicular. At other corners each side mirrors on
//! its own, which is exact at 120° and misses a little in sharper ones.

use crate::panel::foot_on;
use glam::DVec3;
use mesh::Skin;
use std::collections::{BTreeMap, BTreeSet};

/// A side ends where it turns by more than this, rad.
const CORNER_RAD: f64 = 0.5;
/// Mirrorings one after another, at most.
const MOST_MIRRORINGS: usize = 4;
/// Planes whose normals have a smaller product are square to each other; those below minus [`FACING`] face each other.
const SQUARE: f64 = 0.3;
const FACING: f64 = 0.9;
/// A place beside another, no round numbers, which tells images apart that fall together on an edge, mm.
const BESIDE: DVec3 = DVec3::new(0.731, 0.391, 0.517);
/// Places of [`BESIDE`] this near are the same, mm.
const SAME_MM: f64 = 1e-6;
/// A foot that lies so far from square, over its distance, belongs to the end of a side that a place has passed.
const OFF_SQUARE: f64 = 0.35;

/// A side of the sheet through which no heat flows.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatEdge {
    points: Vec<DVec3>,
    /// Into the sheet, square to the side, of each part between two points.
    inward: Vec<DVec3>,
}

#[derive(Clone, Copy)]
struct Mirror {
    foot: DVec3,
    inward: DVec3,
}

impl Mirror {
    fn image(&self, at: DVec3) -> DVec3 {
        at - 2.0 * (at - self.foot).dot(self.inward) * self.inward
    }

    /// Whether one may mirror what the other has mirrored.
    fn goes_with(&self, other: &Self) -> bool {
        let product = self.inward.dot(other.inward);
        product.abs() < SQUARE || product < -FACING
    }
}

impl HeatEdge {
    fn mirror(&self, at: DVec3, reach_mm: f64) -> Option<Mirror> {
        let of = |(ends, inward): (&[DVec3], &DVec3)| {
            let (foot, _) = foot_on(at, ends[0], ends[1]);
            (foot.distance(at), (ends[1] - ends[0]).normalize_or_zero(), Mirror { foot, inward: *inward })
        };
        let parts = self.points.windows(2).zip(&self.inward).map(of);
        let (distance, along, mirror) = parts.min_by(|a, b| a.0.total_cmp(&b.0))?;
        let square = (at - mirror.foot).dot(along).abs() <= OFF_SQUARE * distance;
        (square && distance <= reach_mm).then_some(mirror)
    }
}

/// The sides of a skin, but for those whose points `goes_on` says that the metal goes on beyond them.
#[must_use]
pub fn heat_edges(skin: &Skin, goes_on: impl Fn(DVec3) -> bool) -> Vec<HeatEdge> {
    let sides = |&[a, b, c]: &[u32; 3]| [(a, b, c), (b, c, a), (c, a, b)];
    let all: BTreeMap<(u32, u32), u32> =
        skin.triangles.iter().flat_map(sides).map(|(from, to, third)| ((from, to), third)).collect();
    let at = |point: u32| skin.points_mm.get(point as usize).copied().unwrap_or_default();
    let ends = |from: u32, to: u32| {
        let shared = all.contains_key(&(to, from));
        let beyond = goes_on(at(from)) && goes_on(at(to));
        !(shared || beyond)
    };
    // one side begins at each point of a sound mesh
    let next: BTreeMap<u32, (u32, u32)> = all
        .iter()
        .filter(|((from, to), _)| ends(*from, *to))
        .map(|((from, to), third)| (*from, (*to, *third)))
        .collect();
    let along = |from: u32, to: u32| (at(to) - at(from)).normalize_or_zero();
    let turns = |before: u32, point: u32, after: u32| along(before, point).dot(along(point, after)) < CORNER_RAD.cos();
    let before: BTreeMap<u32, u32> = next.iter().map(|(from, (to, _))| (*to, *from)).collect();
    let begins = |point: &u32| match (before.get(point), next.get(point)) {
        (Some(before), Some((after, _))) => turns(*before, *point, *after),
        (None, Some(_)) => true,
        _ => false,
    };
    let mut starts: Vec<u32> = next.keys().copied().filter(begins).collect();
    // rings without a corner begin anywhere
    starts.extend(next.keys().copied());
    let (mut taken, mut edges) = (BTreeSet::new(), Vec::new());
    for start in starts {
        let mut edge = HeatEdge { points: vec![at(start)], inward: Vec::new() };
        let (mut point, mut last) = (start, None);
        while let Some((to, third)) = next.get(&point).filter(|_| !taken.contains(&point)) {
            if last.is_some_and(|last| turns(last, point, *to)) {
                break;
            }
            taken.insert(point);
            let inward = (at(*third) - at(point)).reject_from_normalized(along(point, *to)).normalize_or_zero();
            edge.points.push(at(*to));
            edge.inward.push(inward);
            (last, point) = (Some(point), *to);
        }
        if !edge.inward.is_empty() {
            edges.push(edge);
        }
    }
    edges
}

/// A place and its images in the sides that are nearer to it than `reach_mm`; images farther than twice that are left out.
#[must_use]
pub fn with_images(edges: &[HeatEdge], at: DVec3, reach_mm: f64) -> Vec<DVec3> {
    let mirrors: Vec<Mirror> = edges.iter().filter_map(|edge| edge.mirror(at, reach_mm)).collect();
    let mut found: Vec<(DVec3, DVec3, Option<Mirror>)> = vec![(at, at + BESIDE, None)];
    let mut from = 0;
    for _ in 0..MOST_MIRRORINGS {
        let until = found.len();
        for k in from..until {
            let Some(&(image, beside, last)) = found.get(k) else { break };
            for mirror in mirrors.iter().filter(|mirror| last.is_none_or(|last| last.goes_with(mirror))) {
                let next = (mirror.image(image), mirror.image(beside));
                let known = found.iter().any(|other| other.1.distance(next.1) < SAME_MM);
                if !known && next.0.distance(at) <= 2.0 * reach_mm {
                    found.push((next.0, next.1, Some(*mirror)));
                }
            }
        }
        from = until;
    }
    found.into_iter().map(|(image, _, _)| image).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes::sheet;

    #[test]
    fn a_sheet_has_four_sides_and_a_place_near_one_has_one_image() {
        let skin = sheet(240.0, 200.0, 0.0);
        let edges = heat_edges(&skin, |_| false);
        assert_eq!(edges.len(), 4);
        let images = with_images(&edges, DVec3::new(100.0, 12.0, 0.0), 60.0);
        assert_eq!(images.len(), 2);
        assert!(images[1].distance(DVec3::new(100.0, -12.0, 0.0)) < 1e-9, "{images:?}");
        // at a corner the same heat counts four times, on a side twice
        assert_eq!(with_images(&edges, DVec3::ZERO, 60.0).len(), 4);
        assert_eq!(with_images(&edges, DVec3::new(100.0, 0.0, 0.0), 60.0).len(), 2);
        assert_eq!(with_images(&edges, DVec3::new(100.0, 100.0, 0.0), 60.0).len(), 1);
        // a side beyond which the panel goes on throws nothing back
        let edges = heat_edges(&skin, |at| at.y < 1e-9);
        assert_eq!(edges.len(), 3);
        assert_eq!(with_images(&edges, DVec3::new(100.0, 12.0, 0.0), 60.0).len(), 1);
    }
}
