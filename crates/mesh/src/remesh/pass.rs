//! The steps of remeshing, each once over the whole mesh in the order of its edges or points.

use super::RemeshSettings;
use super::lines::{Kind, Lines};
use crate::deviation::shape;
use crate::edit::{EditMesh, NONE, Work, next, prev};
use crate::nearest::Nearest;
use crate::{MeshError, Skin};
use glam::DVec3;
use numerics::Cancel;

/// Least shape (1 is equilateral) of a triangle that a step may make out of better ones; about 8° in a slender triangle.
const THIN: f64 = 0.25;
/// Shape below which a triangle is mended; about 20°.
const TO_MEND: f64 = 0.5;
/// Least cosine of the angle by which a step may turn a face.
const TURN: f64 = 0.7;

pub(super) struct Remesher<'a> {
    mesh: EditMesh,
    kinds: Vec<Kind>,
    /// Outward normal of the skin given under each free point.
    normals: Vec<DVec3>,
    /// Normals of the skin given at its own points.
    original_normals: Vec<DVec3>,
    /// Points that lie on the skin given.
    placed: Vec<bool>,
    lines: Lines,
    original: &'a Nearest,
    skin: &'a Skin,
    /// A point that would move by less stays.
    still: f64,
    longest: f64,
    shortest: f64,
    work: Work,
    cancel: &'a Cancel,
}

impl<'a> Remesher<'a> {
    pub fn new(skin: &'a Skin, original: &'a Nearest, settings: &RemeshSettings, cancel: &'a Cancel) -> Self {
        let mut mesh = EditMesh::new(skin);
        let (fold, corner) = (settings.fold_angle_rad, settings.corner_angle_rad);
        let (lines, kinds) = Lines::find(&mut mesh, fold, corner, 3.0 * settings.target_edge_mm);
        Self {
            mesh,
            kinds,
            original_normals: skin.point_normals(),
            normals: skin.point_normals(),
            placed: vec![true; skin.points_mm.len()],
            lines,
            original,
            skin,
            still: 0.01 * settings.target_edge_mm,
            longest: 4.0 / 3.0 * settings.target_edge_mm,
            shortest: 4.0 / 5.0 * settings.target_edge_mm,
            work: Work::default(),
            cancel,
        }
    }

    pub fn skin(&self) -> Skin {
        self.mesh.skin()
    }

    fn half_edges(&self) -> u32 {
        3 * self.mesh.triangles.len() as u32
    }

    /// Cuts edges that are too long in the middle, the longest first.
    pub fn split(&mut self) -> Result<(), MeshError> {
        let mut too_long: Vec<u32> = self.edges(|length, this| length > this.longest);
        while !too_long.is_empty() {
            too_long.sort_by(|a, b| self.mesh.length(*b).total_cmp(&self.mesh.length(*a)).then(a.cmp(b)));
            for h in too_long {
                self.cancel.check()?;
                // a split of a side before may have given its number to another
                if self.mesh.length(h) <= self.longest {
                    continue;
                }
                let (a, b, line) = (self.mesh.from(h), self.mesh.to(h), self.mesh.line(h));
                let middle = self.mesh.at(a).midpoint(self.mesh.at(b));
                self.mesh.split_edge(h, middle);
                self.kinds.push(if line == NONE { Kind::Free } else { Kind::On(line) });
                self.normals.push((self.normals[a as usize] + self.normals[b as usize]).normalize_or_zero());
                self.placed.push(false);
            }
            too_long = self.edges(|length, this| length > this.longest);
        }
        Ok(())
    }

    fn edges(&self, wanted: impl Fn(f64, &Self) -> bool) -> Vec<u32> {
        (0..self.half_edges()).filter(|&h| self.mesh.is_edge(h) && wanted(self.mesh.length(h), self)).collect()
    }

    /// Draws edges together that are too short, the shortest first.
    pub fn collapse(&mut self) -> Result<(), MeshError> {
        let mut too_short = self.edges(|length, this| length < this.shortest);
        too_short.sort_by(|a, b| self.mesh.length(*a).total_cmp(&self.mesh.length(*b)).then(a.cmp(b)));
        for h in too_short {
            self.cancel.check()?;
            if self.mesh.is_edge(h) && self.mesh.length(h) < self.shortest {
                self.try_collapse(h, self.longest, THIN);
            }
        }
        Ok(())
    }

    /// Draws an edge together unless that breaks a line, turns a face, or makes a longer edge or a thinner triangle than allowed.
    fn try_collapse(&mut self, h: u32, longest: f64, thinnest: f64) -> bool {
        let (a, b) = (self.mesh.from(h), self.mesh.to(h));
        let (kind, at) = match (self.kinds[a as usize], self.kinds[b as usize]) {
            (Kind::Free, Kind::Free) => (Kind::Free, self.mesh.at(a).midpoint(self.mesh.at(b))),
            (kept, Kind::Free) => (kept, self.mesh.at(a)),
            (Kind::Free, kept) => (kept, self.mesh.at(b)),
            _ if self.mesh.line(h) == NONE => return false,
            (Kind::Corner, Kind::Corner) => return false,
            (Kind::Corner, _) => (Kind::Corner, self.mesh.at(a)),
            (_, Kind::Corner) => (Kind::Corner, self.mesh.at(b)),
            (kept @ Kind::On(line), _) => (kept, self.lines.project(line, self.mesh.at(a).midpoint(self.mesh.at(b)))),
        };
        if !self.mesh.can_collapse(h, &mut self.work) {
            return false;
        }
        if !(self.fits(a, b, at, longest, thinnest) && self.fits(b, a, at, longest, thinnest)) {
            return false;
        }
        self.mesh.collapse(h, at, &mut self.work);
        self.kinds[a as usize] = kind;
        self.placed[a as usize] = kind != Kind::Free;
        let normal = self.normals[a as usize] + self.normals[b as usize];
        self.normals[a as usize] = normal.normalize_or_zero();
        true
    }

    /// True when the triangles at `point` that do not touch `other` stay sound with the point moved.
    fn fits(&mut self, point: u32, other: u32, at: DVec3, longest: f64, thinnest: f64) -> bool {
        self.mesh.fan(point, &mut self.work.fan);
        let mesh = &self.mesh;
        self.work.fan.iter().all(|&h| {
            let ends = [mesh.to(h), mesh.apex(h)];
            if ends.contains(&other) {
                return true;
            }
            let [p, q] = ends.map(|p| mesh.at(p));
            let old = [mesh.at(point), p, q];
            let points = [point, ends[0], ends[1]];
            if p.distance(at).max(q.distance(at)) > longest {
                return false;
            }
            let was_out = self.faces_out(old, points);
            if !was_out || !self.faces_out([at, p, q], points) {
                // what was turned over may turn back, or stay so until a neighbour moves
                return !was_out;
            }
            let out = (old[1] - old[0]).cross(old[2] - old[0]);
            let new = (p - at).cross(q - at);
            let thin = shape([at, p, q], out);
            let as_before = new.dot(out) > TURN * new.length() * out.length();
            as_before && (thin >= thinnest || thin > shape(old, out))
        })
    }

    /// True when a triangle looks the way of the skin under its free points.
    fn faces_out(&self, [a, b, c]: [DVec3; 3], points: [u32; 3]) -> bool {
        let normal = (b - a).cross(c - a);
        let least = 0.2 * normal.length();
        let free = points.iter().filter(|p| self.kinds[**p as usize] == Kind::Free);
        free.map(|p| self.normals[*p as usize]).all(|out| normal.dot(out) > least)
    }

    /// Turns edges: towards even numbers of triangles at the points, or towards the larger smallest angle.
    pub fn flip(&mut self, by_angle: bool) -> Result<(), MeshError> {
        let mut edges: Vec<u32> = (0..self.half_edges()).collect();
        for _ in 0..if by_angle { 8 } else { 1 } {
            let mut touched = Vec::new();
            for h in edges {
                self.cancel.check()?;
                if self.mesh.is_edge(h) && self.wants_flip(h, by_angle) {
                    let sides = [h, self.mesh.twin(h)].map(|side| side / 3 * 3);
                    self.mesh.flip(h);
                    let sides = sides.into_iter().flat_map(|t| t..t + 3).filter(|side| self.mesh.twin(*side) != NONE);
                    touched.extend(sides.map(|side| side.min(self.mesh.twin(side))));
                }
            }
            touched.sort_unstable();
            touched.dedup();
            edges = touched;
        }
        Ok(())
    }

    /// Drops the gaps and brings neighbours together.
    pub fn tidy(&mut self) {
        let old = self.mesh.tidy();
        self.kinds = old.iter().map(|p| self.kinds[*p as usize]).collect();
        self.normals = old.iter().map(|p| self.normals[*p as usize]).collect();
        self.placed = old.iter().map(|p| self.placed[*p as usize]).collect();
    }

    fn wants_flip(&mut self, h: u32, by_angle: bool) -> bool {
        let back = self.mesh.twin(h);
        if back == NONE || self.mesh.line(h) != NONE {
            return false;
        }
        let points = [self.mesh.from(h), self.mesh.to(h), self.mesh.apex(h), self.mesh.apex(back)];
        let [a, b, c, d] = points.map(|p| self.mesh.at(p));
        let (one, other) = ((b - a).cross(c - a), (a - b).cross(d - b));
        let mut out = one.normalize_or_zero() + other.normalize_or_zero();
        let over = |corners, points| !self.faces_out(corners, points);
        let against = one.dot(other) < 0.5 * one.length() * other.length();
        if against
            && (over([a, b, c], [points[0], points[1], points[2]])
                || over([b, a, d], [points[1], points[0], points[3]]))
        {
            // one is turned over: the skin below says which way is out
            out = points.iter().map(|p| self.normals[*p as usize]).sum();
        }
        let old = shape([a, b, c], out).min(shape([b, a, d], out));
        let new = shape([a, d, c], out).min(shape([b, c, d], out));
        let better = if by_angle { new > old + 1e-3 } else { new > THIN.min(old) && self.evener(points) };
        if !better || new <= 0.0 {
            return false;
        }
        // across a bend the new edge would leave the skin: both new faces must look as the old ones did
        let turned = [(d - a).cross(c - a), (c - b).cross(d - b)];
        let flat = turned.iter().all(|n| n.dot(out) > TURN * n.length() * out.length());
        flat && self.faces_out([a, d, c], [points[0], points[3], points[2]])
            && self.faces_out([b, c, d], [points[1], points[2], points[3]])
            && self.mesh.can_flip(h, &mut self.work.fan, &mut self.work.ring)
    }

    /// True when turning the edge a–b to c–d brings the numbers of triangles nearer to six, or three on a line of the edge.
    fn evener(&mut self, points: [u32; 4]) -> bool {
        let excess = points.map(|p| {
            self.mesh.fan(p, &mut self.work.fan);
            let first = self.work.fan.first().map_or(NONE, |h| self.mesh.twin(*h));
            let wanted = if first == NONE { 3 } else { 6 };
            self.work.fan.len() as i64 - wanted
        });
        let cost = |change: [i64; 4]| -> i64 { excess.iter().zip(change).map(|(e, c)| (e + c) * (e + c)).sum() };
        cost([-1, -1, 1, 1]) < cost([0; 4])
    }

    /// Moves points to the middle of their triangles, along the skin or along their line, as far as no triangle suffers.
    pub fn relax(&mut self) -> Result<(), MeshError> {
        for point in 0..self.mesh.points.len() as u32 {
            if self.mesh.is_used(point) {
                self.relax_point(point)?;
            }
        }
        Ok(())
    }

    fn relax_point(&mut self, point: u32) -> Result<(), MeshError> {
        self.cancel.check()?;
        let wanted = match self.kinds[point as usize] {
            Kind::Corner => return Ok(()),
            Kind::On(_) => self.middle_on_line(point),
            Kind::Free => self.middle(point),
        };
        let from = self.mesh.at(point);
        if self.placed[point as usize] && from.distance(wanted) < self.still {
            return Ok(());
        }
        for share in [1.0, 0.5, 0.25, 0.0] {
            let (at, normal) = self.on_skin(point, from.lerp(wanted, share))?;
            // even the point as it is must go back on the skin, but never by turning a triangle
            let thinnest = if share > 0.0 { THIN } else { 0.0 };
            if self.fits(point, NONE, at, f64::INFINITY, thinnest) {
                self.mesh.points[point as usize] = at;
                self.normals[point as usize] = normal;
                self.placed[point as usize] = true;
                break;
            }
        }
        Ok(())
    }

    fn on_skin(&self, point: u32, at: DVec3) -> Result<(DVec3, DVec3), MeshError> {
        if let Kind::On(line) = self.kinds[point as usize] {
            return Ok((self.lines.project(line, at), self.normals[point as usize]));
        }
        let closest = self.original.closest(at)?;
        let corners = self.skin.triangles[closest.triangle].iter().zip(closest.weights);
        let smooth: DVec3 = corners.map(|(p, weight)| self.original_normals[*p as usize] * weight).sum();
        // a triangle of the skin that is turned over among its neighbours is not believed
        let normal = if closest.normal.dot(smooth) > 0.0 { closest.normal } else { smooth.normalize_or_zero() };
        Ok((closest.at_mm, normal))
    }

    /// True when a triangle at the point looks away from the skin.
    fn is_turned_over(&mut self, point: u32) -> bool {
        self.mesh.fan(point, &mut self.work.fan);
        self.work.fan.iter().any(|h| self.triangle_is_turned_over(*h as usize / 3))
    }

    fn triangle_is_turned_over(&self, triangle: usize) -> bool {
        !self.faces_out(self.mesh.corners(triangle), self.mesh.triangles[triangle])
    }

    /// Number of triangles that look away from the skin under them.
    pub fn turned_over(&self) -> usize {
        (0..self.mesh.triangles.len()).filter(|t| self.mesh.is_live(*t) && self.triangle_is_turned_over(*t)).count()
    }

    /// Turns and moves what a rough scan has turned over, before it is cut up.
    pub fn untangle(&mut self) -> Result<(), MeshError> {
        for _ in 0..10 {
            if self.turned_over() == 0 {
                break;
            }
            self.flip(true)?;
            for point in 0..self.mesh.points.len() as u32 {
                if self.is_turned_over(point) {
                    self.relax_point(point)?;
                }
            }
        }
        Ok(())
    }

    /// Centre of the triangles at a point, weighted by area; of its neighbours where a triangle is turned over.
    fn middle(&mut self, point: u32) -> DVec3 {
        self.mesh.ring(point, &mut self.work.fan, &mut self.work.ring);
        let (mut sum, mut weight, mut over) = (DVec3::ZERO, 0.0, false);
        for &h in &self.work.fan {
            let corners = self.mesh.corners(h as usize / 3);
            let [a, b, c] = corners;
            let area = (b - a).cross(c - a).length();
            sum += (a + b + c) / 3.0 * area;
            weight += area;
            over |= !self.faces_out(corners, [point; 3]);
        }
        if over {
            let sum: DVec3 = self.work.ring.iter().map(|p| self.mesh.at(*p)).sum();
            return sum / self.work.ring.len() as f64;
        }
        if weight > 0.0 { sum / weight } else { self.mesh.at(point) }
    }

    /// Middle of the two neighbours on the point's line.
    fn middle_on_line(&mut self, point: u32) -> DVec3 {
        self.mesh.fan(point, &mut self.work.fan);
        let mesh = &self.mesh;
        let leaving = self.work.fan.iter().filter(|h| mesh.line(**h) != NONE).map(|h| mesh.to(*h));
        let last = self.work.fan.last().map(|h| prev(*h)).filter(|h| mesh.twin(*h) == NONE && mesh.line(*h) != NONE);
        let ends: Vec<u32> = leaving.chain(last.map(|h| mesh.from(h))).collect();
        match ends[..] {
            [one, other] => mesh.at(one).midpoint(mesh.at(other)),
            _ => mesh.at(point),
        }
    }

    /// Draws the shortest side of thin triangles together.
    pub fn mend(&mut self) -> Result<(), MeshError> {
        for t in 0..self.mesh.triangles.len() {
            self.cancel.check()?;
            if !self.mesh.is_live(t) {
                continue;
            }
            let [a, b, c] = self.mesh.corners(t);
            if shape([a, b, c], (b - a).cross(c - a)) >= TO_MEND {
                continue;
            }
            let h = 3 * t as u32;
            let mut sides = [h, next(h), prev(h)];
            sides.sort_by(|x, y| self.mesh.length(*x).total_cmp(&self.mesh.length(*y)).then(x.cmp(y)));
            self.try_collapse(sides[0], 1.5 * self.longest, TO_MEND);
        }
        Ok(())
    }
}
