//! Puts a weld line into the triangles: points near it are moved on to it, edges that cross it are cut there.
//!
//! The line is where the signed distance to it is 0: every triangle is cut at most once, whatever the line does inside it, so that a
//! manifold stays one. Corners of the line are cut off within one triangle.

use super::PanelError;
use super::line::{Foot, LaidLine};
use glam::DVec3;
use mesh::Skin;
use std::collections::BTreeMap;

/// A point closer to the line than this share of its shortest edge is moved on to it.
const SNAP: f64 = 0.28;
/// How far from the line anything is looked at, in edges.
const BAND_EDGES: f64 = 5.0;

/// A line as points of the mesh.
#[derive(Debug, Clone)]
pub(super) struct Chain {
    /// Points in order of station; a closed one does not repeat its first.
    pub points: Vec<u32>,
    pub closed: bool,
}

/// One line being put in.
struct Inserter<'a> {
    skin: &'a mut Skin,
    line: &'a LaidLine,
    seam: usize,
    band_mm: f64,
    feet: Vec<Option<Foot>>,
}

/// Puts a line in. Points for which `fixed` holds are not moved.
pub(super) fn insert(
    skin: &mut Skin,
    line: &LaidLine,
    seam: usize,
    edge_mm: f64,
    fixed: &[u32],
) -> Result<(), PanelError> {
    let band_mm = BAND_EDGES * edge_mm;
    let feet = skin.points_mm.iter().map(|p| line.foot(*p, band_mm)).collect();
    let mut inserter = Inserter { skin, line, seam, band_mm, feet };
    inserter.snap(fixed);
    inserter.cut()
}

impl Inserter<'_> {
    fn signed(&self, point: u32) -> Option<f64> {
        self.feet[point as usize].map(|foot| foot.signed_mm)
    }

    /// Where an edge crosses the line, as a share from `a`.
    fn crossing(&self, a: u32, b: u32) -> Option<f64> {
        let (da, db) = (self.signed(a)?, self.signed(b)?);
        if (da > 0.0) == (db > 0.0) || da == 0.0 || db == 0.0 {
            return None;
        }
        let (p, q) = (self.skin.points_mm[a as usize], self.skin.points_mm[b as usize]);
        // where two stretches of the line are as near, the sign changes without a crossing
        if da.abs() + db.abs() > 1.5 * p.distance(q) {
            return None;
        }
        let share = da / (da - db);
        let foot = self.line.foot(p.lerp(q, share), self.band_mm)?;
        (!foot.beyond).then_some(share)
    }

    fn snap(&mut self, fixed: &[u32]) {
        let mut fans: Vec<Vec<u32>> = vec![Vec::new(); self.skin.points_mm.len()];
        for (triangle, corners) in self.skin.triangles.iter().enumerate() {
            if corners.iter().any(|p| self.feet[*p as usize].is_some()) {
                corners.iter().for_each(|p| fans[*p as usize].push(triangle as u32));
            }
        }
        let mut free = vec![Vec::new(); self.skin.points_mm.len()];
        for [p, q] in super::line::free_edges(self.skin) {
            free[p as usize].push(q);
            free[q as usize].push(p);
        }
        for point in 0..self.skin.points_mm.len() as u32 {
            let Some(foot) = self.feet[point as usize] else { continue };
            if foot.beyond || fixed.contains(&point) {
                continue;
            }
            let at = self.skin.points_mm[point as usize];
            let around = fans[point as usize].iter().flat_map(|t| self.skin.triangles[*t as usize]);
            let shortest = around
                .filter(|p| *p != point)
                .map(|p| self.skin.points_mm[p as usize].distance(at))
                .fold(f64::MAX, f64::min);
            if foot.signed_mm.abs() > SNAP * shortest {
                continue;
            }
            let target = if free[point as usize].is_empty() {
                Some(foot.at)
            } else {
                // a point of the free edge moves along it
                let along = free[point as usize].iter().filter_map(|&next| {
                    let share = self.crossing(point, next)?;
                    Some(at.lerp(self.skin.points_mm[next as usize], share))
                });
                along.min_by(|p, q| p.distance(at).total_cmp(&q.distance(at)))
            };
            let Some(target) = target.filter(|target| self.may_move(point, *target, &fans[point as usize])) else {
                continue;
            };
            self.skin.points_mm[point as usize] = target;
            if let Some(foot) = &mut self.feet[point as usize] {
                foot.signed_mm = 0.0;
            }
        }
    }

    /// No triangle at the point is turned or made much thinner.
    fn may_move(&self, point: u32, to: DVec3, fan: &[u32]) -> bool {
        fan.iter().all(|&triangle| {
            let corners = self.skin.triangles[triangle as usize];
            let old = corners.map(|p| self.skin.points_mm[p as usize]);
            let mut new = old;
            for i in 0..3 {
                if corners[i] == point {
                    new[i] = to;
                }
            }
            let area = |[a, b, c]: [DVec3; 3]| (b - a).cross(c - a);
            let (before, after) = (area(old), area(new));
            before.dot(after) > 0.4 * before.length_squared()
        })
    }

    fn cut(&mut self) -> Result<(), PanelError> {
        let mut cuts: BTreeMap<(u32, u32), u32> = BTreeMap::new();
        let triangles = std::mem::take(&mut self.skin.triangles);
        let mut new = Vec::with_capacity(triangles.len() + 1024);
        for &corners in &triangles {
            for i in 0..3 {
                let (p, q) = (corners[i].min(corners[(i + 1) % 3]), corners[i].max(corners[(i + 1) % 3]));
                if !cuts.contains_key(&(p, q))
                    && let Some(share) = self.crossing(p, q)
                {
                    let at = self.skin.points_mm[p as usize].lerp(self.skin.points_mm[q as usize], share);
                    cuts.insert((p, q), self.skin.points_mm.len() as u32);
                    self.skin.points_mm.push(at);
                    let foot = self.line.foot(at, self.band_mm).map(|foot| Foot { signed_mm: 0.0, ..foot });
                    self.feet.push(foot);
                }
            }
        }
        let cut_of = |p: u32, q: u32| cuts.get(&(p.min(q), p.max(q))).copied();
        for &corners in &triangles {
            self.split(corners, cut_of, &mut new)?;
        }
        self.skin.triangles = new;
        Ok(())
    }

    fn split(
        &self,
        corners: [u32; 3],
        cut_of: impl Fn(u32, u32) -> Option<u32>,
        new: &mut Vec<[u32; 3]>,
    ) -> Result<(), PanelError> {
        let cuts = [0, 1, 2].map(|i| cut_of(corners[i], corners[(i + 1) % 3]));
        let turned = |i: usize| [corners[i], corners[(i + 1) % 3], corners[(i + 2) % 3]];
        match cuts.iter().flatten().count() {
            0 => new.push(corners),
            1 => {
                let i = cuts.iter().position(Option::is_some).unwrap_or(0);
                let (Some(m), [a, b, c]) = (cuts[i], turned(i)) else { return Ok(()) };
                new.extend([[a, m, c], [m, b, c]]);
            }
            2 => {
                // a: the corner between the two cut sides
                let i = (0..3).find(|i| cuts[*i].is_some() && cuts[(i + 2) % 3].is_some()).unwrap_or(0);
                let (Some(m), Some(n), [a, b, c]) = (cuts[i], cuts[(i + 2) % 3], turned(i)) else { return Ok(()) };
                new.push([a, m, n]);
                let length = |p: u32, q: u32| self.skin.points_mm[p as usize].distance(self.skin.points_mm[q as usize]);
                if length(m, c) < length(b, n) {
                    new.extend([[m, b, c], [m, c, n]]);
                } else {
                    new.extend([[m, b, n], [b, c, n]]);
                }
            }
            _ => {
                let at_mm = self.skin.points_mm[corners[0] as usize];
                return Err(PanelError::Unclear { seam: self.seam, at_mm });
            }
        }
        Ok(())
    }
}

/// Of each triangle near the line, whether it lies on its left (`Some(true)`) or right; others `None`.
pub(super) fn sides(skin: &Skin, line: &LaidLine, edge_mm: f64) -> Vec<Option<bool>> {
    let band = BAND_EDGES * edge_mm;
    let feet: Vec<Option<f64>> =
        skin.points_mm.iter().map(|p| line.foot(*p, band).map(|foot| foot.signed_mm)).collect();
    let side = |corners: &[u32; 3]| {
        // the corner farthest from the line says it; points on the line are off it by rounding only
        let at = corners.map(|p| feet[p as usize]);
        let far = at.iter().flatten().copied().max_by(|a, b| a.abs().total_cmp(&b.abs()))?;
        if far.abs() < 1e-3 * edge_mm {
            let centre = corners.iter().map(|p| skin.points_mm[*p as usize]).sum::<DVec3>() / 3.0;
            return line.foot(centre, band).map(|foot| foot.signed_mm > 0.0);
        }
        at.iter().all(Option::is_some).then_some(far > 0.0)
    };
    skin.triangles.iter().map(side).collect()
}

/// The edges on the line, in order.
pub(super) fn chain(
    skin: &Skin,
    line: &LaidLine,
    seam: usize,
    edge_mm: f64,
    sides: &[Option<bool>],
) -> Result<Chain, PanelError> {
    let mut edges: Vec<(u32, u32, usize)> = Vec::new();
    for (triangle, &[a, b, c]) in skin.triangles.iter().enumerate().filter(|(t, _)| sides[*t].is_some()) {
        edges.extend([(a, b), (b, c), (c, a)].map(|(p, q)| (p.min(q), p.max(q), triangle)));
    }
    edges.sort_unstable();
    let foot = |point: u32| line.foot(skin.points_mm[point as usize], edge_mm);
    let on = |point: u32| foot(point).is_some_and(|foot| foot.signed_mm.abs() < 0.1 * edge_mm);
    let mut next: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
    for edge in edges.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)) {
        if let [(p, q, one), (_, _, other)] = *edge
            && sides[one] != sides[other]
            && on(p)
            && on(q)
        {
            next.entry(p).or_default().push(q);
            next.entry(q).or_default().push(p);
        }
    }
    let unclear = |point: u32| PanelError::Unclear { seam, at_mm: skin.points_mm[point as usize] };
    let Some((&any, _)) = next.iter().next() else {
        let at_mm = line.places().next().unwrap_or_default();
        return Err(PanelError::Unclear { seam, at_mm });
    };
    if let Some((&point, _)) = next.iter().find(|(_, beside)| beside.len() > 2) {
        return Err(unclear(point));
    }
    let ends: Vec<u32> = next.iter().filter(|(_, beside)| beside.len() == 1).map(|(point, _)| *point).collect();
    let closed = ends.is_empty();
    if closed != line.closed || ends.len() > 2 {
        return Err(unclear(ends.first().copied().unwrap_or(any)));
    }
    let station = |point: u32| foot(point).map_or(0.0, |foot| foot.station_mm);
    let by_station = |a: &&u32, b: &&u32| station(**a).total_cmp(&station(**b));
    let start = if closed { next.keys().min_by(by_station) } else { ends.iter().min_by(by_station) };
    let start = start.copied().unwrap_or(any);
    let mut points = vec![start];
    let first = next.get(&start).into_iter().flatten().min_by(by_station).copied();
    let (mut before, mut at) = (start, first);
    while let Some(point) = at {
        if point == start {
            break;
        }
        points.push(point);
        at = next.get(&point).into_iter().flatten().find(|beside| **beside != before).copied();
        before = point;
    }
    if points.len() != next.len() || points.len() < 3 {
        let missed = next.keys().find(|point| !points.contains(point)).copied();
        return Err(unclear(missed.unwrap_or(start)));
    }
    Ok(Chain { points, closed })
}
