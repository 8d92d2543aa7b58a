//! A triangle mesh that can be cut finer, coarser and otherwise, while it stays a manifold.
//!
//! Triangles and half-edges in flat arrays: half-edge 3·t + i runs from corner i of triangle t to the next corner; its twin runs
//! back in the neighbouring triangle and is [`NONE`] at a free edge. A half-edge may carry a line (a fold, a free edge, a cut):
//! both halves carry the same, and what comes of an edge inherits it. Removed triangles stay as gaps until [`EditMesh::skin`].

use crate::Skin;
use glam::DVec3;

/// No half-edge, no line, no point.
pub(crate) const NONE: u32 = u32::MAX;

/// See the module.
#[derive(Debug, Clone)]
pub(crate) struct EditMesh {
    /// Points, mm; those of no triangle are gaps.
    pub points: Vec<DVec3>,
    /// Triangles by point; `[NONE; 3]` is a gap.
    pub triangles: Vec<[u32; 3]>,
    twin: Vec<u32>,
    line: Vec<u32>,
    /// A half-edge that leaves the point.
    out: Vec<u32>,
}

/// The half-edge after this one in its triangle.
pub(crate) fn next(h: u32) -> u32 {
    if h % 3 == 2 { h - 2 } else { h + 1 }
}

/// The half-edge before this one in its triangle.
pub(crate) fn prev(h: u32) -> u32 {
    if h.is_multiple_of(3) { h + 2 } else { h - 1 }
}

impl EditMesh {
    /// Of a skin that passed [`Skin::check_manifold`].
    pub fn new(skin: &Skin) -> Self {
        let mut mesh = Self {
            points: skin.points_mm.clone(),
            triangles: skin.triangles.clone(),
            twin: vec![NONE; 3 * skin.triangles.len()],
            line: vec![NONE; 3 * skin.triangles.len()],
            out: vec![NONE; skin.points_mm.len()],
        };
        let mut sides: Vec<(u32, u32, u32)> = (0..mesh.twin.len() as u32)
            .map(|h| (mesh.from(h).min(mesh.to(h)), mesh.from(h).max(mesh.to(h)), h))
            .collect();
        sides.sort_unstable();
        for edge in sides.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)) {
            if let [one, other] = edge {
                mesh.link(one.2, other.2);
            }
        }
        for h in 0..mesh.twin.len() as u32 {
            let from = mesh.from(h) as usize;
            if mesh.out[from] == NONE || mesh.twin[h as usize] == NONE {
                mesh.out[from] = h;
            }
        }
        mesh
    }

    /// Point the half-edge leaves.
    pub fn from(&self, h: u32) -> u32 {
        self.triangles[h as usize / 3][h as usize % 3]
    }

    /// Point the half-edge runs to.
    pub fn to(&self, h: u32) -> u32 {
        self.from(next(h))
    }

    /// Third corner of the half-edge's triangle.
    pub fn apex(&self, h: u32) -> u32 {
        self.from(prev(h))
    }

    /// The half-edge that runs back, or [`NONE`].
    pub fn twin(&self, h: u32) -> u32 {
        self.twin[h as usize]
    }

    /// The line that the edge carries, or [`NONE`].
    pub fn line(&self, h: u32) -> u32 {
        self.line[h as usize]
    }

    /// Gives both halves of an edge a line.
    pub fn set_line(&mut self, h: u32, line: u32) {
        self.line[h as usize] = line;
        if self.twin[h as usize] != NONE {
            self.line[self.twin[h as usize] as usize] = line;
        }
    }

    /// Place of a point, mm.
    pub fn at(&self, point: u32) -> DVec3 {
        self.points[point as usize]
    }

    /// Length of an edge, mm.
    pub fn length(&self, h: u32) -> f64 {
        self.at(self.from(h)).distance(self.at(self.to(h)))
    }

    /// True for a triangle that is no gap.
    pub fn is_live(&self, triangle: usize) -> bool {
        self.triangles[triangle][0] != NONE
    }

    /// Half-edges of live triangles, each edge once: by the half without twin or of the lower number.
    pub fn is_edge(&self, h: u32) -> bool {
        self.is_live(h as usize / 3) && (self.twin(h) == NONE || h < self.twin(h))
    }

    /// True when the point still belongs to a triangle.
    pub fn is_used(&self, point: u32) -> bool {
        self.out[point as usize] != NONE
    }

    /// Corners of a triangle, mm.
    pub fn corners(&self, triangle: usize) -> [DVec3; 3] {
        self.triangles[triangle].map(|p| self.at(p))
    }

    /// Half-edges that leave a point, anticlockwise; at the skin's edge from the free one on.
    pub fn fan(&self, point: u32, fan: &mut Vec<u32>) {
        fan.clear();
        let start = self.out[point as usize];
        if start == NONE {
            return;
        }
        let mut first = start;
        loop {
            let back = self.twin(first);
            if back == NONE {
                break;
            }
            first = next(back);
            if first == start {
                break;
            }
        }
        let mut h = first;
        loop {
            fan.push(h);
            h = self.twin(prev(h));
            if h == NONE || h == first {
                return;
            }
        }
    }

    /// Points joined to a point by an edge, anticlockwise. `fan` is filled on the way.
    pub fn ring(&self, point: u32, fan: &mut Vec<u32>, ring: &mut Vec<u32>) {
        self.fan(point, fan);
        ring.clear();
        ring.extend(fan.iter().map(|h| self.to(*h)));
        if let Some(last) = fan.last()
            && self.twin(prev(*last)) == NONE
        {
            ring.push(self.apex(*last));
        }
    }

    fn link(&mut self, one: u32, other: u32) {
        if one != NONE {
            self.twin[one as usize] = other;
        }
        if other != NONE {
            self.twin[other as usize] = one;
        }
    }

    fn add_triangle(&mut self, corners: [u32; 3]) -> u32 {
        self.triangles.push(corners);
        self.twin.extend([NONE; 3]);
        self.line.extend([NONE; 3]);
        3 * (self.triangles.len() as u32 - 1)
    }

    fn add_point(&mut self, at: DVec3) -> u32 {
        self.points.push(at);
        self.out.push(NONE);
        self.points.len() as u32 - 1
    }

    /// Cuts an edge in two at a new point, and with it the triangles beside it. The new point.
    pub fn split_edge(&mut self, h: u32, at: DVec3) -> u32 {
        let (b, c, back, line) = (self.to(h), self.apex(h), self.twin(h), self.line(h));
        let middle = self.add_point(at);
        let half = self.add_triangle([middle, b, c]);
        let (outer, outer_line) = (self.twin(next(h)), self.line(next(h)));
        self.triangles[h as usize / 3][next(h) as usize % 3] = middle;
        self.link(half + 1, outer);
        self.line[half as usize + 1] = outer_line;
        self.link(next(h), half + 2);
        self.line[next(h) as usize] = NONE;
        self.line[half as usize] = line;
        if self.out[b as usize] == next(h) {
            self.out[b as usize] = half + 1;
        }
        if back != NONE {
            let d = self.apex(back);
            let other = self.add_triangle([b, middle, d]);
            let (outer, outer_line) = (self.twin(prev(back)), self.line(prev(back)));
            self.triangles[back as usize / 3][back as usize % 3] = middle;
            self.link(other + 2, outer);
            self.line[other as usize + 2] = outer_line;
            self.link(prev(back), other + 1);
            self.line[prev(back) as usize] = NONE;
            self.link(half, other);
            self.line[other as usize] = line;
            if self.out[b as usize] == back {
                self.out[b as usize] = other;
            }
        }
        self.out[middle as usize] = half;
        middle
    }

    /// Cuts a triangle in three at a new point. The new point.
    pub fn split_triangle(&mut self, triangle: usize, at: DVec3) -> u32 {
        let [a, b, c] = self.triangles[triangle];
        let t = 3 * triangle as u32;
        let middle = self.add_point(at);
        let (n0, n1) = (self.add_triangle([b, c, middle]), self.add_triangle([c, a, middle]));
        for (new, old) in [(n0, t + 1), (n1, t + 2)] {
            self.link(new, self.twin(old));
            self.line[new as usize] = self.line(old);
            self.line[old as usize] = NONE;
        }
        self.triangles[triangle][2] = middle;
        self.link(t + 1, n0 + 2);
        self.link(n0 + 1, n1 + 2);
        self.link(n1 + 1, t + 2);
        for (point, h) in [(a, t), (b, n0), (c, n1), (middle, t + 2)] {
            self.out[point as usize] = h;
        }
        middle
    }

    /// True when the edge can be turned to join the other two corners: not free, no line on it, and those not joined already.
    pub fn can_flip(&self, h: u32, fan: &mut Vec<u32>, ring: &mut Vec<u32>) -> bool {
        let back = self.twin(h);
        if back == NONE || self.line(h) != NONE || self.apex(h) == self.apex(back) {
            return false;
        }
        self.ring(self.apex(h), fan, ring);
        !ring.contains(&self.apex(back))
    }

    /// Turns an edge for which [`EditMesh::can_flip`] holds.
    pub fn flip(&mut self, h: u32) {
        let back = self.twin(h);
        let (a, b, c, d) = (self.from(h), self.to(h), self.apex(h), self.apex(back));
        let outer = [next(h), prev(h), next(back), prev(back)].map(|o| (self.twin(o), self.line(o)));
        let (t, u) = (h / 3 * 3, back / 3 * 3);
        self.triangles[t as usize / 3] = [a, d, c];
        self.triangles[u as usize / 3] = [b, c, d];
        for (new, (twin, line)) in [u, t + 2, t, u + 2].into_iter().zip(outer) {
            self.link(new, twin);
            self.line[new as usize] = line;
        }
        self.link(t + 1, u + 1);
        (self.line[t as usize + 1], self.line[u as usize + 1]) = (NONE, NONE);
        for (point, h) in [(a, t), (d, t + 1), (b, u), (c, u + 1)] {
            self.out[point as usize] = h;
        }
    }

    /// True when the edge can be drawn together into one point and leave a manifold.
    pub fn can_collapse(&self, h: u32, work: &mut Work) -> bool {
        let (a, b, back) = (self.from(h), self.to(h), self.twin(h));
        self.ring(b, &mut work.fan, &mut work.ring);
        let b_free = work.fan.len() < work.ring.len();
        self.ring(a, &mut work.fan, &mut work.other);
        let a_free = work.fan.len() < work.other.len();
        if a_free && b_free && back != NONE {
            return false;
        }
        let common = work.ring.iter().filter(|p| work.other.contains(p)).count();
        if common != if back == NONE { 1 } else { 2 } {
            return false;
        }
        let mut keeps_fan = |side: u32| {
            self.ring(self.apex(side), &mut work.fan, &mut work.ring);
            let free = work.fan.len() < work.ring.len();
            work.fan.len() >= if free { 2 } else { 4 }
        };
        keeps_fan(h) && (back == NONE || keeps_fan(back))
    }

    /// Draws an edge for which [`EditMesh::can_collapse`] holds together: its end goes, its start moves to `at`.
    pub fn collapse(&mut self, h: u32, at: DVec3, work: &mut Work) {
        let (a, b, back) = (self.from(h), self.to(h), self.twin(h));
        self.fan(b, &mut work.fan);
        for &leaving in &work.fan {
            self.triangles[leaving as usize / 3][leaving as usize % 3] = a;
        }
        self.points[a as usize] = at;
        self.close(next(h), prev(h));
        if back != NONE {
            self.close(prev(back), next(back));
        }
        self.out[b as usize] = NONE;
    }

    /// Removes a triangle of which `gone` and `kept` have become one edge between the same points.
    fn close(&mut self, gone: u32, kept: u32) {
        let (x, y) = (self.twin(gone), self.twin(kept));
        let line = if self.line(kept) == NONE { self.line(gone) } else { self.line(kept) };
        self.link(x, y);
        for side in [x, y] {
            if side != NONE {
                self.line[side as usize] = line;
                let (from, to) = (self.from(side), self.to(side));
                self.out[from as usize] = side;
                self.out[to as usize] = next(side);
            }
        }
        self.triangles[gone as usize / 3] = [NONE; 3];
    }

    /// Drops the gaps and numbers triangles and points as they lie beside each other. The old number of each point.
    ///
    /// Long work on a mesh in the order of its making waits for memory most of the time.
    pub fn tidy(&mut self) -> Vec<u32> {
        let order = self.neighbourly();
        let mut new_triangle = vec![NONE; self.triangles.len()];
        let (mut new_point, mut old_point) = (vec![NONE; self.points.len()], Vec::new());
        for (new, &old) in order.iter().enumerate() {
            new_triangle[old as usize] = new as u32;
            for p in self.triangles[old as usize] {
                if new_point[p as usize] == NONE {
                    new_point[p as usize] = old_point.len() as u32;
                    old_point.push(p);
                }
            }
        }
        let half = |h: u32| if h == NONE { NONE } else { 3 * new_triangle[h as usize / 3] + h % 3 };
        let sides = || order.iter().flat_map(|t| 3 * t..3 * t + 3);
        *self = Self {
            points: old_point.iter().map(|p| self.at(*p)).collect(),
            triangles: order.iter().map(|t| self.triangles[*t as usize].map(|p| new_point[p as usize])).collect(),
            twin: sides().map(|h| half(self.twin(h))).collect(),
            line: sides().map(|h| self.line(h)).collect(),
            out: old_point.iter().map(|p| half(self.out[*p as usize])).collect(),
        };
        old_point
    }

    /// Live triangles, each piece ring by ring from its first.
    fn neighbourly(&self) -> Vec<u32> {
        let mut seen = vec![false; self.triangles.len()];
        let mut order = Vec::with_capacity(self.triangles.len());
        for start in 0..self.triangles.len() {
            if seen[start] || !self.is_live(start) {
                continue;
            }
            seen[start] = true;
            let mut at = order.len();
            order.push(start as u32);
            while let Some(&triangle) = order.get(at) {
                at += 1;
                for h in 3 * triangle..3 * triangle + 3 {
                    let beside = self.twin(h) / 3;
                    if self.twin(h) != NONE && !seen[beside as usize] {
                        seen[beside as usize] = true;
                        order.push(beside);
                    }
                }
            }
        }
        order
    }

    /// The live triangles with the points they use, in their order.
    pub fn skin(&self) -> Skin {
        let mut new = vec![NONE; self.points.len()];
        let mut skin = Skin::default();
        for triangle in self.triangles.iter().filter(|t| t[0] != NONE) {
            triangle.iter().for_each(|p| new[*p as usize] = 0);
        }
        for (point, number) in new.iter_mut().enumerate().filter(|(_, n)| **n == 0) {
            *number = skin.points_mm.len() as u32;
            skin.points_mm.push(self.points[point]);
        }
        let live = self.triangles.iter().filter(|t| t[0] != NONE);
        skin.triangles = live.map(|t| t.map(|p| new[p as usize])).collect();
        skin
    }
}

/// Lists used again and again.
#[derive(Debug, Default)]
pub(crate) struct Work {
    pub fan: Vec<u32>,
    pub ring: Vec<u32>,
    pub other: Vec<u32>,
}
