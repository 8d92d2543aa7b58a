//! The points of the weld lines doubled, and paired.

use super::contour::{self, Chain};
use super::line::{LaidLine, free_edges};
use super::{Panel, PanelError};
use glam::DVec3;
use mesh::Skin;

/// Two points that lie opposite each other across a weld line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// Point of the open mesh on the left of the line, seen from outside along it.
    pub left: u32,
    /// Point on the right.
    pub right: u32,
    /// Point of the closed mesh.
    pub closed: u32,
    /// Distance along the line, mm.
    pub station_mm: f64,
    /// Length of line that belongs to the pair, mm.
    pub share_mm: f64,
    /// Along the line, unit.
    pub along: DVec3,
    /// From right to left in the sheet, unit.
    pub across: DVec3,
    /// Outward, unit.
    pub normal: DVec3,
}

/// The pairs of one weld line in the order of their stations.
#[derive(Debug, Clone, PartialEq)]
pub struct SeamPairs {
    /// The pairs; an end inside the sheet is none, because it is joined already.
    pub pairs: Vec<Pair>,
    /// Length, mm.
    pub length_mm: f64,
    /// The line is closed.
    pub closed: bool,
    /// Triangles on its left and right that touch a point of it.
    pub beside: [Vec<u32>; 2],
}

/// Doubles the points of all lines of a mesh that has them as edges.
pub(super) fn parted(closed: Skin, lines: &[LaidLine], edge_mm: f64) -> Result<Panel, PanelError> {
    let mut is_free = vec![false; closed.points_mm.len()];
    free_edges(&closed).iter().flatten().for_each(|p| is_free[*p as usize] = true);
    let mut open = closed.clone();
    let mut closed_of: Vec<u32> = (0..closed.points_mm.len() as u32).collect();
    let mut owner = vec![usize::MAX; closed.points_mm.len()];
    let mut seams = Vec::new();
    for (i, line) in lines.iter().enumerate() {
        let sides = contour::sides(&closed, line, edge_mm);
        let chain = contour::chain(&closed, line, i + 1, edge_mm, &sides)?;
        for &point in &chain.points {
            if owner[point as usize] != usize::MAX {
                let (one, at_mm) = (owner[point as usize] + 1, closed.points_mm[point as usize]);
                return Err(PanelError::SeamsMeet { one, other: i + 1, at_mm, least_mm: 2.0 * edge_mm });
            }
            owner[point as usize] = i;
        }
        let ends = [chain.points.first(), chain.points.last()];
        let single = |point: u32| !chain.closed && !is_free[point as usize] && ends.contains(&Some(&point));
        let mut double = vec![u32::MAX; closed.points_mm.len()];
        for &point in chain.points.iter().filter(|point| !single(**point)) {
            double[point as usize] = open.points_mm.len() as u32;
            open.points_mm.push(closed.points_mm[point as usize]);
            closed_of.push(point);
        }
        let mut beside = [Vec::new(), Vec::new()];
        for (triangle, side) in sides.iter().enumerate() {
            let Some(left) = *side else { continue };
            if closed.triangles[triangle].iter().any(|p| owner[*p as usize] == i) {
                beside[usize::from(!left)].push(triangle as u32);
            }
            if !left {
                for (corner, p) in open.triangles[triangle].iter_mut().zip(closed.triangles[triangle]) {
                    if double[p as usize] != u32::MAX {
                        *corner = double[p as usize];
                    }
                }
            }
        }
        seams.push(seam(&closed, line, &chain, &double, beside, edge_mm));
    }
    let (piece_of, pieces) = pieces(&open);
    let (_, closed_pieces) = self::pieces(&closed);
    Ok(Panel { closed, open, closed_of, seams, piece_of, pieces, closed_pieces })
}

fn seam(skin: &Skin, line: &LaidLine, chain: &Chain, double: &[u32], beside: [Vec<u32>; 2], edge_mm: f64) -> SeamPairs {
    let count = chain.points.len();
    let at = |i: usize| skin.points_mm[chain.points[i % count] as usize];
    let (mut pairs, mut station_mm) = (Vec::with_capacity(count), 0.0);
    for (i, &point) in chain.points.iter().enumerate() {
        let before = if i > 0 {
            i - 1
        } else if chain.closed {
            count - 1
        } else {
            0
        };
        let after = if chain.closed { i + 1 } else { (i + 1).min(count - 1) };
        if i > 0 {
            station_mm += at(i).distance(at(i - 1));
        }
        let along = (at(after) - at(before)).normalize_or_zero();
        let normal = line.foot(at(i), 2.0 * edge_mm).map_or(DVec3::Z, |foot| foot.normal);
        let across = normal.cross(along).normalize_or_zero();
        let share_mm = 0.5 * (at(after).distance(at(i)) + at(i).distance(at(before)));
        let right = double[point as usize];
        if right != u32::MAX {
            let normal = along.cross(across);
            pairs.push(Pair { left: point, right, closed: point, station_mm, share_mm, along, across, normal });
        }
    }
    let length_mm = if chain.closed { station_mm + at(0).distance(at(count - 1)) } else { station_mm };
    SeamPairs { pairs, length_mm, closed: chain.closed, beside }
}

/// Piece of each point, and how many there are.
fn pieces(skin: &Skin) -> (Vec<u32>, usize) {
    let mut parent: Vec<u32> = (0..skin.points_mm.len() as u32).collect();
    fn root(parent: &mut [u32], mut at: u32) -> u32 {
        while parent[at as usize] != at {
            parent[at as usize] = parent[parent[at as usize] as usize];
            at = parent[at as usize];
        }
        at
    }
    for &[a, b, c] in &skin.triangles {
        for other in [b, c] {
            let (p, q) = (root(&mut parent, a), root(&mut parent, other));
            parent[p.max(q) as usize] = p.min(q);
        }
    }
    let (mut number, mut count) = (vec![u32::MAX; parent.len()], 0);
    let mut piece = Vec::with_capacity(parent.len());
    for point in 0..parent.len() as u32 {
        let at = root(&mut parent, point) as usize;
        if number[at] == u32::MAX {
            number[at] = count;
            count += 1;
        }
        piece.push(number[at]);
    }
    (piece, count as usize)
}
