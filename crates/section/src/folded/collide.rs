//! Refuses pieces whose legs would pass through one another or through the base once folded.
//!
//! Model: base and legs as flat slabs with sides square to the sheet, the bends between them left out. Two slabs clash
//! when an edge of one pierces the other by more than a hundredth of the thickness.

use super::layout::Layout;
use crate::SectionError;
use glam::{DVec2, DVec3};
use mesh::polygon::{contains, distance_to_sides_mm};

/// One flat slab: its outline in its own plane and where that plane lies.
struct Slab {
    name: String,
    edge: Option<usize>,
    part: usize,
    origin: DVec3,
    x: DVec3,
    y: DVec3,
    up: DVec3,
    outline: Vec<DVec2>,
}

impl Slab {
    fn in_space(&self, point: DVec2, height_mm: f64) -> DVec3 {
        self.origin + self.x * point.x + self.y * point.y + self.up * height_mm
    }

    /// Every edge of the slab, a little inside its faces, and some lines through it.
    fn edges(&self, t: f64) -> Vec<(DVec3, DVec3)> {
        let centre = self.outline.iter().sum::<DVec2>() / self.outline.len().max(1) as f64;
        let mut list = vec![self.through(centre, t)];
        let next = self.outline.iter().cycle().skip(1);
        for (a, b) in self.outline.iter().zip(next) {
            // Where sides or corners of two slabs lie over each other, the lines from the middle of the sides show the clash.
            let middle = (*a + *b) / 2.0;
            for height in [MARGIN * t, (1.0 - MARGIN) * t] {
                list.push((self.in_space(*a, height), self.in_space(*b, height)));
                list.push((self.in_space(centre, height), self.in_space(middle, height)));
            }
            list.push(self.through(*a, t));
            list.push(self.through(middle, t));
        }
        list
    }

    fn through(&self, point: DVec2, t: f64) -> (DVec3, DVec3) {
        (self.in_space(point, MARGIN * t), self.in_space(point, (1.0 - MARGIN) * t))
    }

    /// Where a segment pierces one of the slab's planes within its outline.
    fn pierced(&self, (a, b): (DVec3, DVec3), t: f64) -> Option<DVec3> {
        [MARGIN, 0.5, 1.0 - MARGIN].into_iter().find_map(|fraction| {
            let height = |p: DVec3| (p - self.origin).dot(self.up) - fraction * t;
            let (ha, hb) = (height(a), height(b));
            if !(ha * hb < 0.0 && ha.abs().min(hb.abs()) > 1e-6) {
                return None;
            }
            let at = a + (b - a) * (ha / (ha - hb));
            let flat = DVec2::new((at - self.origin).dot(self.x), (at - self.origin).dot(self.y));
            let inside = contains(&self.outline, flat) && distance_to_sides_mm(&self.outline, flat) > MARGIN * t;
            inside.then_some(at)
        })
    }
}

const MARGIN: f64 = 0.01;

fn slabs(layout: &Layout) -> Vec<Slab> {
    let mut list = vec![Slab {
        name: "the base".to_owned(),
        edge: None,
        part: 0,
        origin: DVec3::ZERO,
        x: DVec3::X,
        y: DVec3::Y,
        up: DVec3::Z,
        outline: layout.corners.iter().map(|corner| corner.tangents_cross_mm).collect(),
    }];
    for (index, edge) in layout.edges.iter().enumerate() {
        for (at, part) in edge.parts.iter().enumerate() {
            let Some(leg) = &part.leg else { continue };
            let direction = |v: DVec2| (edge.outward * v.x).extend(v.y);
            list.push(Slab {
                name: format!("{} on edge {}", part.name, index + 1),
                edge: Some(index),
                part: at,
                origin: edge.in_space(0.0, leg.pose.underside_mm),
                x: edge.along.extend(0.0),
                y: direction(leg.pose.direction()),
                up: direction(leg.pose.normal()),
                outline: leg.outline_mm(),
            });
        }
    }
    list
}

/// Refuses the piece when two slabs clash.
pub(super) fn check(layout: &Layout) -> Result<(), SectionError> {
    let t = layout.thickness_mm;
    let slabs = slabs(layout);
    for (index, a) in slabs.iter().enumerate() {
        for b in slabs.iter().skip(index + 1).filter(|b| !neighbours(a, b)) {
            let hit = a.edges(t).into_iter().find_map(|edge| b.pierced(edge, t));
            let hit = hit.or_else(|| b.edges(t).into_iter().find_map(|edge| a.pierced(edge, t)));
            if let Some(at) = hit {
                return Err(SectionError::LegsCollide {
                    first: a.name.clone(),
                    second: b.name.clone(),
                    x_mm: at.x,
                    y_mm: at.y,
                    z_mm: at.z,
                });
            }
        }
    }
    Ok(())
}

/// True when one bend joins the two, so that they meet by design.
fn neighbours(a: &Slab, b: &Slab) -> bool {
    match (a.edge, b.edge) {
        (None, Some(_)) => b.part == 0,
        (Some(i), Some(j)) => i == j && a.part.abs_diff(b.part) == 1,
        _ => false,
    }
}
