//! Cutting a skin in two along a straight line or an arc of its flat.
//!
//! Triangles are split where the line crosses them; a point of the mesh nearer to the line than a twentieth of its shortest edge is taken
//! as on it, so that no slivers arise (the seam bends by that little). Only the stretch of the line that passes through the wanted triangle
//! cuts: other limbs of the flat under the same line stay whole. Both parts get the same points along the seam.

use super::error::SkinError;
use crate::flatten::FlatSkin;
use glam::{DVec2, DVec3};
use mesh::Skin;
use std::collections::{BTreeMap, BTreeSet};

/// Share of the shortest edge within which a point counts as on the line.
const SNAP: f64 = 0.05;

/// A point of the seam.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Node {
    /// A point of the mesh.
    Point(u32),
    /// On the edge between two points, the lower first.
    Edge(u32, u32),
}

/// A line of the flat: straight, or an arc gentle enough that the piece meets only one side of its circle.
#[derive(Debug, Clone, Copy)]
pub(super) struct Line {
    /// A place on it.
    pub(super) through: DVec2,
    /// Unit: its direction there.
    pub(super) direction: DVec2,
    /// 1/mm: 0 straight, positive where it turns to the left.
    pub(super) curvature: f64,
}

impl Line {
    /// Distance of a point from it, positive to the left.
    ///
    /// R − |p − c| with the centre c, written so that it holds for a straight line too.
    fn off_mm(&self, point: DVec2) -> f64 {
        let d = point - self.through;
        let twice = 2.0 * d.dot(self.direction.perp()) - self.curvature * d.length_squared();
        // below 0 nowhere: it is (|p − c|/R)²
        twice / (1.0 + (1.0 - self.curvature * twice).max(0.0).sqrt())
    }

    /// Unit direction of the line, or of the one beside it, at a point.
    pub(super) fn direction_at(&self, point: DVec2) -> DVec2 {
        let left = self.direction.perp() - self.curvature * (point - self.through);
        -left.perp().normalize_or_zero()
    }
}

/// A skin cut in two.
#[derive(Debug, Clone)]
pub(super) struct Cut {
    /// Points of the seam in order.
    pub(super) nodes: Vec<Node>,
    /// The same in the flat of the whole and in space on the skin as given, mm.
    pub(super) flat_mm: Vec<DVec2>,
    pub(super) seam_mm: Vec<DVec3>,
    /// The part to the left of the seam and the part to its right.
    pub(super) parts: [Skin; 2],
}

/// The stretch of a line through a triangle, from boundary to boundary; `off` by [`snapped`].
fn trace(flat: &FlatSkin, triangle: usize, line: &Line, off: &[f64]) -> Option<Vec<Node>> {
    let mut ways: BTreeMap<Node, BTreeSet<Node>> = BTreeMap::new();
    let mut first = None;
    for (t, corners) in flat.triangles.iter().enumerate() {
        if let Some([a, b]) = crossing(*corners, off) {
            ways.entry(a).or_default().insert(b);
            ways.entry(b).or_default().insert(a);
            if t == triangle {
                first = Some([a, b]);
            }
        }
    }
    let [a, b] = first?;
    let mut nodes = walk(&ways, b, a)?;
    nodes.reverse();
    nodes.extend(walk(&ways, a, b)?);
    let along = |node: &Node| place(&flat.points_mm, off, *node).dot(line.direction);
    if nodes.first().map(along) > nodes.last().map(along) {
        nodes.reverse();
    }
    Some(nodes)
}

/// From `at` on, away from `before`, to the end.
fn walk(ways: &BTreeMap<Node, BTreeSet<Node>>, before: Node, at: Node) -> Option<Vec<Node>> {
    let (mut before, mut at, mut out) = (before, at, vec![at]);
    loop {
        let mut on = ways.get(&at)?.iter().filter(|next| **next != before);
        match (on.next(), on.next()) {
            (None, _) => return Some(out),
            (Some(next), None) if out.len() <= ways.len() => {
                (before, at) = (at, *next);
                out.push(at);
            }
            _ => return None,
        }
    }
}

/// Distance of every point from the line, 0 where it counts as on it.
fn snapped(flat: &FlatSkin, line: &Line) -> Vec<f64> {
    let mut shortest = vec![f64::INFINITY; flat.points_mm.len()];
    for corners in &flat.triangles {
        for i in 0..3 {
            let (a, b) = (corners[i] as usize, corners[(i + 1) % 3] as usize);
            let length = flat.points_mm[a].distance(flat.points_mm[b]);
            shortest[a] = shortest[a].min(length);
            shortest[b] = shortest[b].min(length);
        }
    }
    let off = |(point, shortest): (&DVec2, f64)| {
        let off = line.off_mm(*point);
        if off.abs() < SNAP * shortest { 0.0 } else { off }
    };
    flat.points_mm.iter().zip(shortest).map(off).collect()
}

/// Where the line enters and leaves a triangle.
fn crossing(corners: [u32; 3], off: &[f64]) -> Option<[Node; 2]> {
    let mut nodes = Vec::with_capacity(3);
    for i in 0..3 {
        let (a, b) = (corners[i], corners[(i + 1) % 3]);
        let (da, db) = (off[a as usize], off[b as usize]);
        if da == 0.0 {
            nodes.push(Node::Point(a));
        }
        if da * db < 0.0 {
            nodes.push(Node::Edge(a.min(b), a.max(b)));
        }
    }
    match nodes[..] {
        [a, b] => Some([a, b]),
        _ => None,
    }
}

fn place<V>(points: &[V], off: &[f64], node: Node) -> V
where
    V: Copy + std::ops::Add<Output = V> + std::ops::Mul<f64, Output = V>,
{
    match node {
        Node::Point(i) => points[i as usize],
        Node::Edge(a, b) => {
            let (da, db) = (off[a as usize], off[b as usize]);
            let share = da / (da - db);
            points[a as usize] * (1.0 - share) + points[b as usize] * share
        }
    }
}

/// Cuts `skin` (whose flat is `flat`) along a line that passes through a triangle.
pub(super) fn cut(skin: &Skin, flat: &FlatSkin, triangle: usize, line: &Line) -> Result<Cut, SkinError> {
    let bad = |why| SkinError::BadSeam { why };
    let off = snapped(flat, line);
    let nodes = trace(flat, triangle, line, &off).ok_or_else(|| bad("the line has no end at the boundary"))?;
    let flat_mm: Vec<DVec2> = nodes.iter().map(|node| place(&flat.points_mm, &off, *node)).collect();
    let seam_mm: Vec<DVec3> = nodes.iter().map(|node| place(&skin.points_mm, &off, *node)).collect();
    let mut points_mm = skin.points_mm.clone();
    let mut new = BTreeMap::new();
    let mut numbers = Vec::with_capacity(nodes.len());
    for (node, at) in nodes.iter().zip(&seam_mm) {
        numbers.push(match node {
            Node::Point(i) => *i,
            Node::Edge(a, b) => {
                let number = u32::try_from(points_mm.len()).unwrap_or(u32::MAX);
                points_mm.push(*at);
                new.insert((*a, *b), number);
                number
            }
        });
    }
    let on_seam: BTreeSet<u32> = numbers.iter().copied().collect();
    let triangles: Vec<[u32; 3]> = skin.triangles.iter().flat_map(|corners| split(*corners, &new, &on_seam)).collect();
    let barrier: BTreeSet<(u32, u32)> = numbers.windows(2).map(|p| (p[0].min(p[1]), p[0].max(p[1]))).collect();
    let sides = two_sides(&triangles, &barrier)
        .ok_or_else(|| bad("the line meets a hole, or the piece hangs together round it"))?;
    // the seam runs forward in the triangles to its left
    let runs_forward = |t: &[u32; 3]| (0..3).any(|i| t[i] == numbers[0] && t[(i + 1) % 3] == numbers[1]);
    let left = triangles.iter().position(runs_forward).ok_or_else(|| bad("the line runs along the boundary"))?;
    let left = sides[left];
    let part =
        |side: u8| extract(&points_mm, triangles.iter().zip(&sides).filter(|(_, s)| **s == side).map(|(t, _)| *t));
    let parts = [part(left), part(1 - left)];
    for one in &parts {
        one.topology()?;
    }
    Ok(Cut { nodes, flat_mm, seam_mm, parts })
}

/// The triangles that a triangle becomes.
fn split(corners: [u32; 3], new: &BTreeMap<(u32, u32), u32>, on_seam: &BTreeSet<u32>) -> Vec<[u32; 3]> {
    let on_side = |i: usize| {
        let (a, b) = (corners[i], corners[(i + 1) % 3]);
        new.get(&(a.min(b), a.max(b))).copied()
    };
    let sides = [on_side(0), on_side(1), on_side(2)];
    for i in 0..3 {
        let [a, b, c] = [0, 1, 2].map(|k| corners[(i + k) % 3]);
        match [sides[i], sides[(i + 1) % 3], sides[(i + 2) % 3]] {
            // sides a–b and c–a are cut: the corner a comes off
            [Some(p), None, Some(q)] => return vec![[a, p, q], [p, b, c], [p, c, q]],
            // side b–c is cut and a lies on the line
            [None, Some(p), None] if on_seam.contains(&a) => return vec![[a, b, p], [a, p, c]],
            _ => {}
        }
    }
    vec![corners]
}

/// Side of each triangle, 0 or 1; none when there are not exactly two.
fn two_sides(triangles: &[[u32; 3]], barrier: &BTreeSet<(u32, u32)>) -> Option<Vec<u8>> {
    let mut beside: BTreeMap<(u32, u32), Vec<usize>> = BTreeMap::new();
    for (t, corners) in triangles.iter().enumerate() {
        for i in 0..3 {
            let (a, b) = (corners[i], corners[(i + 1) % 3]);
            beside.entry((a.min(b), a.max(b))).or_default().push(t);
        }
    }
    let mut side = vec![u8::MAX; triangles.len()];
    let mut count = 0u8;
    for start in 0..triangles.len() {
        if side[start] != u8::MAX {
            continue;
        }
        if count == 2 {
            return None;
        }
        let mut stack = vec![start];
        side[start] = count;
        while let Some(t) = stack.pop() {
            for i in 0..3 {
                let (a, b) = (triangles[t][i], triangles[t][(i + 1) % 3]);
                let edge = (a.min(b), a.max(b));
                if barrier.contains(&edge) {
                    continue;
                }
                for &next in beside.get(&edge).into_iter().flatten() {
                    if side[next] == u8::MAX {
                        side[next] = count;
                        stack.push(next);
                    }
                }
            }
        }
        count += 1;
    }
    (count == 2).then_some(side)
}

fn extract(points_mm: &[DVec3], triangles: impl Iterator<Item = [u32; 3]>) -> Skin {
    let mut numbers: BTreeMap<u32, u32> = BTreeMap::new();
    let mut out = Skin::default();
    for corners in triangles {
        let own = corners.map(|i| {
            *numbers.entry(i).or_insert_with(|| {
                out.points_mm.push(points_mm[i as usize]);
                u32::try_from(out.points_mm.len() - 1).unwrap_or(u32::MAX)
            })
        });
        out.triangles.push(own);
    }
    out
}
