//! Brings the curve into the triangles: points near it on to it, its corners in, and every edge that crosses it cut there.
//!
//! Afterwards no triangle lies on both sides: an edge cut at the curve is joined to the third corners of its triangles, and the
//! next cut of those triangles is joined to the first by the same rule.

use super::grid::Grid;
use super::{CurvePlane, SNAP_MM};
use crate::Skin;
use crate::edit::{EditMesh, NONE, Work, next, prev};
use glam::{DVec2, DVec3};

/// Corners draw points from so many times as far as sides do, so that no point is left beside a corner by moving on to a side.
const CORNER: f64 = 1.5;
/// Rounding of a place made by a cut, mm, with room.
const ROUNDING_MM: f64 = 1e-7;
/// A triangle steeper to the plane than this (cosine of its normal to the plane's) is a wall.
const WALL: f64 = 0.01;

pub(super) struct Cutter<'a> {
    pub mesh: EditMesh,
    /// Corners of the curve that a point of the skin came under.
    pub found: Vec<bool>,
    plane: &'a CurvePlane,
    curve: &'a [DVec2],
    grid: Grid,
    flat: Vec<DVec2>,
    on_curve: Vec<bool>,
    work: Work,
}

fn foot(point: DVec2, a: DVec2, b: DVec2) -> (DVec2, f64) {
    let side = b - a;
    let along = ((point - a).dot(side) / side.length_squared()).clamp(0.0, 1.0);
    (a + side * along, along)
}

impl<'a> Cutter<'a> {
    pub fn new(skin: &Skin, plane: &'a CurvePlane, curve: &'a [DVec2]) -> Self {
        Self {
            mesh: EditMesh::new(skin),
            found: vec![false; curve.len()],
            plane,
            curve,
            grid: Grid::new(curve, CORNER * SNAP_MM),
            flat: skin.points_mm.iter().map(|p| plane.flat_mm(*p)).collect(),
            on_curve: vec![false; skin.points_mm.len()],
            work: Work::default(),
        }
    }

    fn side(&self, side: u32) -> (DVec2, DVec2) {
        (self.curve[side as usize], self.curve[(side as usize + 1) % self.curve.len()])
    }

    /// Moves points near the curve on to it, near its corners into them.
    pub fn snap_points(&mut self) {
        let mut near = Vec::new();
        for point in 0..self.mesh.points.len() as u32 {
            let at = self.flat[point as usize];
            self.grid.near(at, at, &mut near);
            let corners = near.iter().flat_map(|side| [*side, (side + 1) % self.curve.len() as u32]);
            let corner = corners.min_by(|a, b| {
                let away = |corner: u32| self.curve[corner as usize].distance(at);
                away(*a).total_cmp(&away(*b)).then(a.cmp(b))
            });
            let corner = corner.filter(|corner| self.curve[*corner as usize].distance(at) < CORNER * SNAP_MM);
            if let Some(corner) = corner {
                self.found[corner as usize] = true;
                self.put(point, self.curve[corner as usize]);
                continue;
            }
            let feet = near.iter().map(|side| foot(at, self.side(*side).0, self.side(*side).1).0);
            if let Some(on) =
                feet.min_by(|p, q| p.distance(at).total_cmp(&q.distance(at))).filter(|on| on.distance(at) < SNAP_MM)
            {
                self.put(point, on);
            }
        }
    }

    /// Moves a point along the skin to a place of the curve, unless that would turn a triangle.
    fn put(&mut self, point: u32, to: DVec2) {
        self.on_curve[point as usize] = true;
        let (by, normal) = (to - self.flat[point as usize], self.plane.normal());
        self.mesh.fan(point, &mut self.work.fan);
        let corners = self.work.fan.iter().map(|h| self.mesh.corners(*h as usize / 3));
        let out: DVec3 = corners.map(|[a, b, c]| (b - a).cross(c - a)).sum::<DVec3>().normalize_or_zero();
        let level = self.plane.right * by.x + self.plane.up * by.y;
        let rise = if out.dot(normal).abs() > 0.1 { -out.dot(level) / out.dot(normal) } else { 0.0 };
        let at = self.mesh.at(point) + level + normal * rise;
        let stays = |h: &u32| {
            let (p, q) = (self.mesh.at(self.mesh.to(*h)), self.mesh.at(self.mesh.apex(*h)));
            let (old, new) = ((p - self.mesh.at(point)).cross(q - self.mesh.at(point)), (p - at).cross(q - at));
            new.dot(old) > 0.5 * new.length() * old.length() && new.length() > 0.1 * old.length()
        };
        if self.work.fan.iter().all(stays) {
            self.mesh.points[point as usize] = at;
            self.flat[point as usize] = to;
        }
    }

    fn add(&mut self, point: u32) {
        self.flat.push(self.plane.flat_mm(self.mesh.at(point)));
        self.on_curve.push(true);
    }

    /// Makes each corner of the curve a point of every layer under it.
    pub fn insert_corners(&mut self) {
        let mut open: Vec<usize> = (0..self.mesh.triangles.len()).rev().collect();
        let mut near = Vec::new();
        while let Some(triangle) = open.pop() {
            let at = self.mesh.triangles[triangle].map(|p| self.flat[p as usize]);
            let (low, high) = (at[0].min(at[1]).min(at[2]), at[0].max(at[1]).max(at[2]));
            self.grid.near(low - SNAP_MM, high + SNAP_MM, &mut near);
            for &corner in &near {
                let before = self.mesh.triangles.len();
                if self.insert_corner(triangle, at, corner as usize) {
                    self.found[corner as usize] = true;
                    open.extend([triangle].into_iter().chain(before..self.mesh.triangles.len()));
                    break;
                }
            }
        }
    }

    /// Cuts the triangle, or one of its sides, at a corner of the curve that lies in it and is no point of it yet.
    fn insert_corner(&mut self, triangle: usize, at: [DVec2; 3], corner: usize) -> bool {
        let wanted = self.curve[corner];
        if at.iter().any(|p| p.distance(wanted) < SNAP_MM) {
            return false;
        }
        for i in 0..3 {
            let (on, along) = foot(wanted, at[i], at[(i + 1) % 3]);
            if on.distance(wanted) < SNAP_MM {
                let h = (3 * triangle + i) as u32;
                let place = self.mesh.at(self.mesh.from(h)).lerp(self.mesh.at(self.mesh.to(h)), along);
                let point = self.mesh.split_edge(h, place);
                self.add(point);
                self.put(point, wanted);
                return true;
            }
        }
        let area = |p: DVec2, q: DVec2, r: DVec2| (q - p).perp_dot(r - p);
        let whole = area(at[0], at[1], at[2]);
        let shares = [area(wanted, at[1], at[2]), area(at[0], wanted, at[2]), area(at[0], at[1], wanted)];
        if whole == 0.0 || shares.iter().any(|share| share / whole <= 0.0) {
            return false;
        }
        let place = self.mesh.corners(triangle).iter().zip(shares).map(|(p, share)| *p * (share / whole)).sum();
        let point = self.mesh.split_triangle(triangle, place);
        self.add(point);
        true
    }

    /// Cuts every edge where it crosses the curve.
    pub fn cut_edges(&mut self) {
        let mut open: Vec<u32> =
            (0..3 * self.mesh.triangles.len() as u32).rev().filter(|h| self.mesh.is_edge(*h)).collect();
        let mut near = Vec::new();
        while let Some(h) = open.pop() {
            let Some(along) = self.crossing(h, &mut near) else { continue };
            let place = self.mesh.at(self.mesh.from(h)).lerp(self.mesh.at(self.mesh.to(h)), along);
            let new = 3 * self.mesh.triangles.len() as u32;
            let two = self.mesh.twin(h) != NONE;
            let point = self.mesh.split_edge(h, place);
            self.add(point);
            // the two halves, the edges to the third corners, and the two that are now sides of new triangles
            open.extend([h, new, new + 1, new + 2]);
            if two {
                open.extend([new + 4, new + 5]);
            }
        }
    }

    /// Where an edge first crosses the curve, away from its ends, as a share of its length.
    fn crossing(&self, h: u32, near: &mut Vec<u32>) -> Option<f64> {
        let [a, b] = [self.mesh.from(h), self.mesh.to(h)].map(|p| self.flat[p as usize]);
        self.grid.near(a.min(b), a.max(b), near);
        let crossings = near.iter().filter_map(|&side| {
            let (p, q) = self.side(side);
            let (da, db) = ((q - p).perp_dot(a - p), (q - p).perp_dot(b - p));
            let (dp, dq) = ((b - a).perp_dot(p - a), (b - a).perp_dot(q - a));
            // an edge with an end on the side's line touches it there, or runs along it, but for rounding
            if da.abs().min(db.abs()) < ROUNDING_MM * p.distance(q) {
                return None;
            }
            if (da > 0.0) == (db > 0.0) || (dp > 0.0) == (dq > 0.0) {
                return None;
            }
            let along = da / (da - db);
            let at = a.lerp(b, along);
            (at.distance(a) >= SNAP_MM && at.distance(b) >= SNAP_MM).then_some(along)
        });
        crossings.reduce(f64::min)
    }

    /// Takes out slivers that the cuts have left: short sides drawn together, flat caps turned.
    pub fn mend(&mut self) {
        for triangle in 0..self.mesh.triangles.len() {
            if !self.mesh.is_live(triangle) || !self.mesh.triangles[triangle].iter().any(|p| self.on_curve[*p as usize])
            {
                continue;
            }
            let first = 3 * triangle as u32;
            let mut sides = [first, next(first), prev(first)];
            sides.sort_by(|x, y| self.mesh.length(*x).total_cmp(&self.mesh.length(*y)).then(x.cmp(y)));
            let [a, b, c] = self.mesh.corners(triangle);
            let height = (b - a).cross(c - a).length() / self.mesh.length(sides[2]);
            if height >= 0.1 * SNAP_MM {
                continue;
            }
            if self.mesh.length(sides[0]) < SNAP_MM {
                self.draw_together(sides[0]);
            } else {
                self.turn_cap(sides[2]);
            }
        }
    }

    /// Draws a short edge into its end on the curve.
    fn draw_together(&mut self, h: u32) {
        let (a, b) = (self.mesh.from(h), self.mesh.to(h));
        let keep = if self.on_curve[b as usize] && !self.on_curve[a as usize] { b } else { a };
        let (at, flat) = (self.mesh.at(keep), self.flat[keep as usize]);
        if self.mesh.can_collapse(h, &mut self.work) {
            self.mesh.collapse(h, at, &mut self.work);
            self.flat[a as usize] = flat;
            self.on_curve[a as usize] |= self.on_curve[b as usize];
        }
    }

    /// Turns the longest side of a flat cap unless it lies on the curve.
    fn turn_cap(&mut self, h: u32) {
        let (a, b) = (self.mesh.from(h), self.mesh.to(h));
        let on = self.on_curve[a as usize] && self.on_curve[b as usize];
        if !on && self.mesh.can_flip(h, &mut self.work.fan, &mut self.work.ring) {
            self.mesh.flip(h);
        }
    }

    /// Of each triangle whether it lies inside, by its centre; `None` for gaps and for walls that stand on the curve.
    pub fn sides(&self, inside: impl Fn(DVec2) -> bool) -> Vec<Option<bool>> {
        let side = |triangle: usize| {
            if !self.mesh.is_live(triangle) {
                return None;
            }
            let points = self.mesh.triangles[triangle];
            if points.iter().all(|p| self.on_curve[*p as usize]) {
                let [a, b, c] = self.mesh.corners(triangle);
                let steep = (b - a).cross(c - a).normalize_or_zero().dot(self.plane.normal()).abs() < WALL;
                if steep {
                    return None;
                }
            }
            Some(inside(points.iter().map(|p| self.flat[*p as usize]).sum::<DVec2>() / 3.0))
        };
        (0..self.mesh.triangles.len()).map(side).collect()
    }
}
