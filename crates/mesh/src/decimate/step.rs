//! Drawing edges together one by one, the cheapest first, each checked before it is done.

use super::quadric::Quadric;
use super::rim::Rim;
use crate::deviation::shape;
use crate::edit::{EditMesh, NONE, Work, prev};
use crate::nearest::Nearest;
use crate::{MeshError, Skin};
use glam::DVec3;
use numerics::{Cancel, Progress};
use parry3d_f64::math::Vector;
use parry3d_f64::query::PointQuery as _;
use parry3d_f64::shape::Triangle;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Least shape (1 is equilateral) of a triangle that a step may make out of better ones; about 5° in a slender triangle.
const THIN: f64 = 0.15;
/// Least cosine of the angle by which a step may turn a face.
const TURN: f64 = 0.5;
/// Progress is told after so many edges.
const STEPS_TOLD: usize = 1000;

/// An edge that may be drawn together: cost (bits of a number that is not negative, so that they sort alike), ends, and how often
/// each end had moved.
type Candidate = Reverse<(u64, [u32; 2], [u32; 2])>;

pub(super) struct Decimator<'a> {
    mesh: EditMesh,
    original: &'a Nearest,
    tolerance: f64,
    /// Longest side of the skin's box, mm.
    size: f64,
    rim: Rim,
    quadrics: Vec<Quadric>,
    moved: Vec<u32>,
    queue: BinaryHeap<Candidate>,
    /// Points, middles of sides and centres of the skin given, by the triangle that now stands for them.
    samples: Vec<Vec<DVec3>>,
    work: Work,
}

impl<'a> Decimator<'a> {
    pub fn new(skin: &Skin, original: &'a Nearest, tolerance: f64) -> Self {
        let mesh = EditMesh::new(skin);
        let mut this = Self {
            rim: Rim::new(&mesh),
            quadrics: quadrics(&mesh),
            moved: vec![0; mesh.points.len()],
            samples: samples(&mesh),
            size: skin.size_mm(),
            queue: BinaryHeap::new(),
            work: Work::default(),
            mesh,
            original,
            tolerance,
        };
        for h in 0..3 * this.mesh.triangles.len() as u32 {
            if this.mesh.is_edge(h) {
                this.offer(this.mesh.from(h), this.mesh.to(h), this.mesh.twin(h) == NONE);
            }
        }
        this
    }

    pub fn skin(&self) -> Skin {
        self.mesh.skin()
    }

    /// Draws edges together until none is left that may be.
    pub fn run(&mut self, progress: &Progress, cancel: &Cancel) -> Result<(), MeshError> {
        // one step takes two triangles away; how many are left at the end is known only then
        let most = self.mesh.triangles.len() / 2;
        let (mut looked_at, mut drawn) = (0_usize, 0_usize);
        while let Some(Reverse((_, ends, moved))) = self.queue.pop() {
            cancel.check()?;
            looked_at += 1;
            if looked_at.is_multiple_of(STEPS_TOLD) {
                progress.report(drawn as f64 / most.max(1) as f64, "drawing edges together");
            }
            if ends.map(|p| self.moved[p as usize]) == moved
                && let Some(h) = self.edge(ends)
            {
                drawn += usize::from(self.try_edge(h)?);
            }
        }
        Ok(())
    }

    /// The half-edge between two points, in the direction in which there is one.
    fn edge(&mut self, [a, b]: [u32; 2]) -> Option<u32> {
        for (from, to) in [(a, b), (b, a)] {
            if !self.mesh.is_used(from) {
                return None;
            }
            self.mesh.fan(from, &mut self.work.fan);
            let found = self.work.fan.iter().copied().find(|h| self.mesh.to(*h) == to);
            if found.is_some() {
                return found;
            }
        }
        None
    }

    /// Puts an edge into the queue unless its cost alone rules it out.
    fn offer(&mut self, a: u32, b: u32, free: bool) {
        let Some(at) = self.places(a, b, free).into_iter().flatten().next() else { return };
        let both = self.quadrics[a as usize].and(self.quadrics[b as usize]);
        let error = both.mean(at);
        if error > 4.0 * self.tolerance * self.tolerance {
            return;
        }
        // on flat metal every error is nothing: then the shortest first
        let length = self.mesh.at(a).distance(self.mesh.at(b)) / self.size;
        let cost = error + 1e-3 * (self.tolerance * length) * (self.tolerance * length);
        let ends = [a, b];
        self.queue.push(Reverse((cost.to_bits(), ends, ends.map(|p| self.moved[p as usize]))));
    }

    /// Where the edge may be drawn to, the best first. Points of free edges stay where they are.
    fn places(&self, a: u32, b: u32, free: bool) -> [Option<DVec3>; 2] {
        let (at_a, at_b) = (self.mesh.at(a), self.mesh.at(b));
        let both = self.quadrics[a as usize].and(self.quadrics[b as usize]);
        match (self.rim.is_on(a), self.rim.is_on(b)) {
            (false, false) => [Some(both.least(at_a.midpoint(at_b))), None],
            (true, false) => [Some(at_a), None],
            (false, true) => [Some(at_b), None],
            (true, true) if !free => [None, None],
            (true, true) if both.mean(at_a) <= both.mean(at_b) => [Some(at_a), Some(at_b)],
            (true, true) => [Some(at_b), Some(at_a)],
        }
    }

    /// Draws an edge together where it may be; says whether it was.
    fn try_edge(&mut self, h: u32) -> Result<bool, MeshError> {
        let (a, b) = (self.mesh.from(h), self.mesh.to(h));
        let free = self.mesh.twin(h) == NONE;
        if !self.mesh.can_collapse(h, &mut self.work) {
            return Ok(false);
        }
        for at in self.places(a, b, free).into_iter().flatten() {
            if free && !self.rim_fits(a, b, at) {
                continue;
            }
            let new = self.new_triangles(a, b);
            if !self.shapes_fit(&new, at) || !self.lies_on_skin(&new, at)? {
                continue;
            }
            let Some(assigned) = self.assign(h, &new, at) else { continue };
            self.draw_together(h, at);
            for (h, samples) in new.iter().zip(assigned) {
                self.samples[*h as usize / 3] = samples;
            }
            return Ok(true);
        }
        Ok(false)
    }

    /// True when the chord that would stand for the edge a–b and the one beside it keeps to the rim.
    fn rim_fits(&mut self, a: u32, b: u32, at: DVec3) -> bool {
        let chord = if at == self.mesh.at(a) {
            self.mesh.fan(b, &mut self.work.fan);
            self.work.fan.first().map(|h| (a, self.mesh.to(*h)))
        } else {
            self.mesh.fan(a, &mut self.work.fan);
            self.work.fan.last().map(|h| (self.mesh.from(prev(*h)), b))
        };
        chord.is_some_and(|(from, to)| self.rim.chord_mm(from, to) <= self.tolerance)
    }

    /// Half-edges at a and b whose triangles stay: their own point is the one that moves.
    fn new_triangles(&mut self, a: u32, b: u32) -> Vec<u32> {
        let mut all = Vec::new();
        for (point, other) in [(a, b), (b, a)] {
            self.mesh.fan(point, &mut self.work.fan);
            let stays = self.work.fan.iter().filter(|h| ![self.mesh.to(**h), self.mesh.apex(**h)].contains(&other));
            all.extend(stays.copied());
        }
        all
    }

    /// The triangle of a half-edge with its first point moved.
    fn moved_to(&self, h: u32, at: DVec3) -> [DVec3; 3] {
        [at, self.mesh.at(self.mesh.to(h)), self.mesh.at(self.mesh.apex(h))]
    }

    fn shapes_fit(&self, new: &[u32], at: DVec3) -> bool {
        let old = |h: u32| self.moved_to(h, self.mesh.at(self.mesh.from(h)));
        let out = |[a, b, c]: [DVec3; 3]| (b - a).cross(c - a);
        let thinnest = new.iter().map(|h| shape(old(*h), out(old(*h)))).fold(THIN, f64::min);
        new.iter().all(|&h| {
            let (before, after) = (out(old(h)), out(self.moved_to(h, at)));
            after.dot(before) > TURN * after.length() * before.length()
                && shape(self.moved_to(h, at), before) >= thinnest
        })
    }

    /// True when the new triangles lie within the tolerance of the skin given.
    fn lies_on_skin(&self, new: &[u32], at: DVec3) -> Result<bool, MeshError> {
        let near = |at: DVec3| -> Result<bool, MeshError> {
            Ok(self.original.closest(at)?.signed_distance_mm.abs() <= self.tolerance)
        };
        if !near(at)? {
            return Ok(false);
        }
        for &h in new {
            let [p, q, r] = self.moved_to(h, at);
            if !(near(p.midpoint(q))? && near((p + q + r) / 3.0)? && near(p.midpoint(r))?) {
                return Ok(false);
            }
        }
        Ok(true)
    }

    /// Gives what the triangles around the edge stand for to the nearest of the new ones; `None` when one is too far from all.
    fn assign(&self, h: u32, new: &[u32], at: DVec3) -> Option<Vec<Vec<DVec3>>> {
        let parry = |p: DVec3| Vector::from_array(p.to_array());
        let triangles: Vec<Triangle> =
            new.iter().map(|h| self.moved_to(*h, at).map(parry)).map(|[a, b, c]| Triangle::new(a, b, c)).collect();
        if triangles.is_empty() {
            return None;
        }
        let between = [h, self.mesh.twin(h)].into_iter().filter(|side| *side != NONE);
        let mut assigned = vec![Vec::new(); new.len()];
        let mut last = 0;
        for around in new.iter().copied().chain(between) {
            for &sample in &self.samples[around as usize / 3] {
                let away = |i: usize| triangles[i].distance_to_local_point(parry(sample), false);
                // beside the last one's triangle most often: then only what is nearer than that needs a look
                let mut best = (away(last), last);
                for i in 0..triangles.len() {
                    if best.0 > 1e-3 * self.tolerance && i != last {
                        let distance = away(i);
                        best = if distance < best.0 { (distance, i) } else { best };
                    }
                }
                if best.0 > self.tolerance {
                    return None;
                }
                last = best.1;
                assigned[last].push(sample);
            }
        }
        Some(assigned)
    }

    fn draw_together(&mut self, h: u32, at: DVec3) {
        let (a, b) = (self.mesh.from(h), self.mesh.to(h));
        let place = if self.rim.is_on(b) && (!self.rim.is_on(a) || at == self.mesh.at(b)) { b } else { a };
        let quadric = self.quadrics[a as usize].and(self.quadrics[b as usize]);
        self.mesh.collapse(h, at, &mut self.work);
        self.rim.take_place(a, place);
        self.quadrics[a as usize] = quadric;
        for point in [a, b] {
            self.moved[point as usize] += 1;
        }
        self.mesh.ring(a, &mut self.work.fan, &mut self.work.ring);
        let ring = self.work.ring.clone();
        let ends = [ring.first().copied(), ring.last().copied()];
        let open = self.work.fan.len() < ring.len();
        for point in ring {
            self.offer(a, point, open && ends.contains(&Some(point)));
        }
    }
}

/// Planes of the triangles at each point by their area, and planes along free edges square to the skin.
fn quadrics(mesh: &EditMesh) -> Vec<Quadric> {
    let mut quadrics = vec![Quadric::NONE; mesh.points.len()];
    let mut add = |point: u32, quadric: Quadric| {
        quadrics[point as usize] = quadrics[point as usize].and(quadric);
    };
    for h in 0..3 * mesh.triangles.len() as u32 {
        let [a, b, c] = mesh.corners(h as usize / 3);
        let normal = (b - a).cross(c - a);
        let unit = normal.normalize_or_zero();
        add(mesh.from(h), Quadric::plane(a, unit, 0.5 * normal.length()));
        if mesh.twin(h) == NONE {
            let (from, to) = (mesh.at(mesh.from(h)), mesh.at(mesh.to(h)));
            let square =
                Quadric::plane(from, (to - from).cross(unit).normalize_or_zero(), (to - from).length_squared());
            add(mesh.from(h), square);
            add(mesh.to(h), square);
        }
    }
    quadrics
}

/// Points, middles of sides and centres, each at one triangle.
fn samples(mesh: &EditMesh) -> Vec<Vec<DVec3>> {
    let mut seen = vec![false; mesh.points.len()];
    let mut samples = Vec::with_capacity(mesh.triangles.len());
    for triangle in 0..mesh.triangles.len() {
        let corners = mesh.corners(triangle);
        let mut here = vec![corners.iter().sum::<DVec3>() / 3.0];
        for i in 0..3 {
            let h = (3 * triangle + i) as u32;
            if !std::mem::replace(&mut seen[mesh.from(h) as usize], true) {
                here.push(corners[i]);
            }
            if mesh.is_edge(h) {
                here.push(corners[i].midpoint(corners[(i + 1) % 3]));
            }
        }
        samples.push(here);
    }
    samples
}
