//! The stretch and shrink map: bands of equal raising with closed boundaries.
//!
//! Raise = finished area over flat area − 1. A triangle has one raise, which is true of its middle; a point of the mesh has what the plane
//! that fits best through the middles round it has there (Zienkiewicz & Zhu, *Int. J. Numer. Methods Eng.* 33 (1992) 1331–1364, from memory: recovery
//! over patches), so that rim and middle are as true as the rest. Between points it is
//! linear, and a band is what lies between two levels (marching triangles; boundaries are joined by the sides they share, not by
//! nearness, so every band is closed and neighbours share their contour exactly). Area and mean raise of a band are sums over its clipped
//! triangles, so that bands add up to the flat. Contours are then smoothed by two passes
//! of (1, 2, 1)/4, the same on both sides, for the eye alone. The band about zero is left as it is.

use crate::Loop;
use crate::flatten::{FlatSkin, TriangleStrain};
use glam::DVec2;
use handbook::Working;
use mesh::Skin;
use mesh::polygon::{contains, distance_to_sides_mm, signed_area_mm2};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// Parts of a band smaller than this are left out, mm².
const LEAST_AREA_MM2: f64 = 1.0;
/// A patch of fewer triangles takes in those beyond them.
const FEWEST_IN_PATCH: usize = 5;
/// A patch whose middles lie on a line nearly has no plane through them: share of the determinant of a round one.
const LEAST_DETERMINANT: f64 = 1e-4;
/// Steps of the search for a label's place.
const LABEL_STEPS: i32 = 24;

/// What is done to the metal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Work {
    /// Raised: wheeled or hammered out.
    Stretch,
    /// Gathered and shrunk.
    Shrink,
    /// Left as it is.
    Leave,
}

/// A band of equal raising.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RaiseBand {
    /// Share of area from and to.
    pub raise: [f64; 2],
    /// What is done there.
    pub work: Work,
    /// "raise by 2 to 3 %".
    pub label: String,
    /// Its connected parts.
    pub areas: Vec<BandArea>,
    /// Area in the flat, mm².
    pub flat_area_mm2: f64,
    /// Mean share by which its area is raised.
    pub mean_raise: f64,
    /// Passes of the wheel for the mean raise; none where it is not stretched.
    pub passes: Option<Working>,
}

/// A connected part of a band.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BandArea {
    /// Its outer boundary, anticlockwise, mm.
    pub outer_mm: Loop,
    /// Boundaries of what it goes round, clockwise.
    pub inner_mm: Vec<Loop>,
    /// Where its label stands.
    pub label_mm: DVec2,
    /// Direction of the largest strain, a unit vector: the hatch.
    pub hatch: DVec2,
    /// Area in the flat, mm².
    pub flat_area_mm2: f64,
}

/// A corner of a clipped triangle: a point of the mesh, or where a level crosses one of its edges.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Key {
    Point(u32),
    Cross { low: u32, high: u32, level: usize },
}

/// Share of the range of a patch by which its plane is followed beyond it.
const BEYOND: f64 = 0.5;

/// A triangle of the flat: its middle, its area there, its raise.
#[derive(Clone, Copy)]
struct Middle {
    at_mm: DVec2,
    flat_area_mm2: f64,
    raise: f64,
}

/// Raise at every point of the mesh.
pub(super) fn point_raise(middle: &Skin, flat: &FlatSkin) -> Vec<f64> {
    let of = |(t, triangle): (usize, &[u32; 3])| {
        let [a, b, c] = triangle.map(|i| flat.points_mm[i as usize]);
        let flat_area_mm2 = 0.5 * (b - a).perp_dot(c - a);
        let finished_mm2 = 0.5 * middle.double_area_normal(t).length();
        let raise = if flat_area_mm2 > 0.0 { finished_mm2 / flat_area_mm2 - 1.0 } else { 0.0 };
        Middle { at_mm: (a + b + c) / 3.0, flat_area_mm2: flat_area_mm2.max(0.0), raise }
    };
    let middles: Vec<Middle> = flat.triangles.iter().enumerate().map(of).collect();
    let mut round: Vec<Vec<u32>> = vec![Vec::new(); flat.points_mm.len()];
    for (t, triangle) in flat.triangles.iter().enumerate() {
        for &i in triangle {
            round[i as usize].push(t as u32);
        }
    }
    let rims: BTreeSet<u32> = flat.boundaries.iter().flatten().copied().collect();
    let at_point = |(i, near): (usize, &Vec<u32>)| {
        let mut patch: BTreeSet<u32> = near.iter().copied().collect();
        // one side alone tells no slope
        if near.len() < FEWEST_IN_PATCH || rims.contains(&(i as u32)) {
            patch.extend(near.iter().flat_map(|t| flat.triangles[*t as usize]).flat_map(|j| &round[j as usize]));
        }
        let patch: Vec<Middle> = patch.into_iter().map(|t| middles[t as usize]).collect();
        recovered(&patch, flat.points_mm[i])
    };
    round.iter().enumerate().map(at_point).collect()
}

/// Value at a place of the plane that fits best through the raises of a patch, by area. Where the plane runs on beyond the middles it is
/// followed no farther than half their range.
fn recovered(patch: &[Middle], at_mm: DVec2) -> f64 {
    let area: f64 = patch.iter().map(|own| own.flat_area_mm2).sum();
    if area <= 0.0 {
        return 0.0;
    }
    let mean =
        |value: &dyn Fn(&Middle) -> f64| patch.iter().map(|own| own.flat_area_mm2 * value(own)).sum::<f64>() / area;
    let centre = DVec2::new(mean(&|own| own.at_mm.x), mean(&|own| own.at_mm.y));
    let raise = mean(&|own| own.raise);
    let of = |own: &Middle| own.at_mm - centre;
    let [xx, xy, yy] =
        [mean(&|own| of(own).x.powi(2)), mean(&|own| of(own).x * of(own).y), mean(&|own| of(own).y.powi(2))];
    let [xr, yr] = [mean(&|own| of(own).x * (own.raise - raise)), mean(&|own| of(own).y * (own.raise - raise))];
    let determinant = xx * yy - xy * xy;
    if determinant <= LEAST_DETERMINANT * (0.5 * (xx + yy)).powi(2) {
        return raise;
    }
    let slope = DVec2::new(yy * xr - xy * yr, xx * yr - xy * xr) / determinant;
    let [least, most] =
        patch.iter().fold([f64::INFINITY, f64::NEG_INFINITY], |[l, m], own| [l.min(own.raise), m.max(own.raise)]);
    (raise + slope.dot(at_mm - centre)).clamp(least - BEYOND * (most - least), most + BEYOND * (most - least))
}

/// Levels between the bands: multiples of the first step that gives at most `most` bands to either side of zero, zero itself left out.
pub(super) fn levels(raise: &[f64], steps: &[f64], most: usize) -> Vec<f64> {
    let low = raise.iter().copied().fold(0.0, f64::min);
    let high = raise.iter().copied().fold(0.0, f64::max);
    // levels below the largest value count; the last step serves when none is wide enough
    let count = |far: f64, step: f64| (far / step).floor().clamp(0.0, 1000.0) as usize;
    let fits = |step: &&f64| count(high, **step).max(count(-low, **step)) <= most;
    let Some(&step) = steps.iter().find(fits).or(steps.last()) else { return Vec::new() };
    let mut out: Vec<f64> = (1..=count(-low, step)).rev().map(|k| -(k as f64) * step).collect();
    out.extend((1..=count(high, step)).map(|k| k as f64 * step));
    out
}

/// The bands between the levels, lowest first; `step` is the width of the two outermost.
pub(super) fn bands(flat: &FlatSkin, raise: &[f64], levels: &[f64]) -> Vec<RaiseBand> {
    let step = match levels {
        [.., a] if levels.len() == 1 => a.abs(),
        [.., a, b] if *a > 0.0 || *b < 0.0 => b - a,
        [a, b, ..] if *b < 0.0 => b - a,
        [.., b] => b.abs(),
        [] => raise.iter().map(|r| r.abs()).fold(0.0, f64::max),
    };
    let mut map = Map { flat, raise, levels, parts: vec![Part::default(); levels.len() + 1] };
    for t in 0..flat.triangles.len() {
        map.add(t);
    }
    (0..=levels.len()).filter_map(|band| map.band(band, step)).collect()
}

/// Area of a convex polygon, and the integral over it of what is linear between its corners.
fn area_and_raise(points: &[DVec2], values: &[f64]) -> [f64; 2] {
    let (Some(&apex), Some(&value)) = (points.first(), values.first()) else { return [0.0; 2] };
    let sides = points.windows(2).zip(values.windows(2)).skip(1);
    sides.fold([0.0; 2], |[area, weighted], (p, v)| {
        let own = (0.5 * (p[0] - apex).perp_dot(p[1] - apex)).max(0.0);
        [area + own, weighted + own * (value + v[0] + v[1]) / 3.0]
    })
}

/// Everything gathered for one band.
#[derive(Clone, Default)]
struct Part {
    /// Sides that no other clipped triangle has the other way, with their triangle.
    sides: BTreeMap<(Key, Key), u32>,
    /// Joined triangles: parent of each.
    joined: BTreeMap<u32, u32>,
    /// Per triangle: area and area × raise in the band.
    area: BTreeMap<u32, [f64; 2]>,
}

struct Map<'a> {
    flat: &'a FlatSkin,
    raise: &'a [f64],
    levels: &'a [f64],
    parts: Vec<Part>,
}

impl Map<'_> {
    fn band_of(&self, point: u32) -> usize {
        let raise = self.raise[point as usize];
        self.levels.partition_point(|level| *level <= raise)
    }

    fn add(&mut self, t: usize) {
        let triangle = self.flat.triangles[t];
        let of = triangle.map(|i| self.band_of(i));
        let (low, high) = (of.iter().copied().min().unwrap_or(0), of.iter().copied().max().unwrap_or(0));
        for band in low..=high {
            let mut keys: Vec<Key> = Vec::with_capacity(5);
            for i in 0..3 {
                let (a, b) = (triangle[i], triangle[(i + 1) % 3]);
                let (from, to) = (of[i], of[(i + 1) % 3]);
                if from == band {
                    keys.push(Key::Point(a));
                }
                let cross = |level| Key::Cross { low: a.min(b), high: a.max(b), level };
                // level k lies between band k and band k + 1
                if from < band && to >= band {
                    keys.push(cross(band - 1));
                }
                if (from <= band) != (to <= band) {
                    keys.push(cross(band));
                }
                if from >= band && to < band && band > 0 {
                    keys.push(cross(band - 1));
                }
            }
            self.add_polygon(band, t as u32, &keys);
        }
    }

    fn add_polygon(&mut self, band: usize, t: u32, keys: &[Key]) {
        let points: Vec<DVec2> = keys.iter().map(|key| self.place(*key)).collect();
        let values: Vec<f64> = keys.iter().map(|key| self.value(*key)).collect();
        let sums = area_and_raise(&points, &values);
        let part = &mut self.parts[band];
        part.area.insert(t, sums);
        part.joined.entry(t).or_insert(t);
        for (i, &from) in keys.iter().enumerate() {
            let to = keys[(i + 1) % keys.len()];
            match part.sides.remove(&(to, from)) {
                Some(other) => part.join(t, other),
                None => {
                    part.sides.insert((from, to), t);
                }
            }
        }
    }

    fn value(&self, key: Key) -> f64 {
        match key {
            Key::Point(i) => self.raise[i as usize],
            Key::Cross { level, .. } => self.levels[level],
        }
    }

    fn place(&self, key: Key) -> DVec2 {
        match key {
            Key::Point(i) => self.flat.points_mm[i as usize],
            Key::Cross { low, high, level } => {
                let (a, b) = (self.raise[low as usize], self.raise[high as usize]);
                let share = ((self.levels[level] - a) / (b - a)).clamp(0.0, 1.0);
                self.flat.points_mm[low as usize].lerp(self.flat.points_mm[high as usize], share)
            }
        }
    }

    fn band(&mut self, band: usize, step: f64) -> Option<RaiseBand> {
        let mut part = std::mem::take(&mut self.parts[band]);
        let mut areas: BTreeMap<u32, Area> = BTreeMap::new();
        let triangles: Vec<(u32, [f64; 2])> = part.area.iter().map(|(t, a)| (*t, *a)).collect();
        let (mut whole, mut raised) = (0.0, 0.0);
        for (t, [area, weighted]) in triangles {
            whole += area;
            raised += weighted;
            let strain = self.flat.strains[t as usize];
            let root = part.root(t);
            // directions without sense: add twice the angle
            let [x, y] = worked(&strain).to_array();
            let double = DVec2::new(x * x - y * y, 2.0 * x * y);
            let of = areas.entry(root).or_default();
            of.double_direction += double * (area * (strain.major - strain.minor));
        }
        for (root, keys) in part.loops() {
            let points = self.smoothed(&keys);
            areas.entry(root).or_default().loops.push(points);
        }
        let areas: Vec<BandArea> = areas.into_values().filter_map(Area::finish).collect();
        if areas.is_empty() {
            return None;
        }
        let lower = band.checked_sub(1).and_then(|i| self.levels.get(i)).copied();
        let upper = self.levels.get(band).copied();
        let bounds = match (lower, upper) {
            (Some(a), Some(b)) => [a, b],
            (Some(a), None) => [a, a + step],
            (None, Some(b)) => [b - step, b],
            (None, None) => [-step, step],
        };
        // without a level on the other side the band about zero reaches as far as it does on this one
        let bounds = match bounds {
            [a, b] if a > 0.0 || b < 0.0 => [a, b],
            [a, b] => [a.min(-b.abs()), b.max(a.abs())],
        };
        let work = match bounds {
            [a, _] if a > 0.0 => Work::Stretch,
            [_, b] if b < 0.0 => Work::Shrink,
            _ => Work::Leave,
        };
        let mean_raise = if whole > 0.0 { raised / whole } else { 0.0 };
        Some(RaiseBand {
            raise: bounds,
            work,
            label: label(bounds, work),
            areas,
            flat_area_mm2: whole,
            mean_raise,
            passes: None,
        })
    }

    /// Places of a loop, contours smoothed; points of the mesh's own boundary stay.
    fn smoothed(&self, keys: &[Key]) -> Loop {
        let n = keys.len();
        let level = |i: usize| match keys[i % n] {
            Key::Cross { level, .. } => Some(level),
            Key::Point(_) => None,
        };
        let free = |i: usize| level(i).is_some() && level(i) == level(i + 1) && level(i) == level(i + n - 1);
        let mut points: Loop = keys.iter().map(|key| self.place(*key)).collect();
        for _ in 0..2 {
            let before = points.clone();
            for i in (0..n).filter(|i| free(*i)) {
                points[i] = (before[(i + n - 1) % n] + before[(i + 1) % n]) * 0.25 + before[i] * 0.5;
            }
        }
        points.dedup_by(|a, b| a.distance(*b) < 1e-9);
        points
    }
}

impl Part {
    fn root(&mut self, t: u32) -> u32 {
        let mut at = t;
        while let Some(&parent) = self.joined.get(&at)
            && parent != at
        {
            at = parent;
        }
        self.joined.insert(t, at);
        at
    }

    fn join(&mut self, a: u32, b: u32) {
        let (a, b) = (self.root(a), self.root(b));
        self.joined.insert(a.max(b), a.min(b));
    }

    /// Sides chained to closed loops, each with the root of its triangles.
    fn loops(&mut self) -> Vec<(u32, Vec<Key>)> {
        let mut next: BTreeMap<Key, Vec<(Key, u32)>> = BTreeMap::new();
        for ((from, to), t) in std::mem::take(&mut self.sides) {
            next.entry(from).or_default().push((to, t));
        }
        let mut out = Vec::new();
        while let Some((&start, _)) = next.iter().next() {
            let (mut at, mut keys, mut triangle) = (start, Vec::new(), 0);
            while let Some(ways) = next.get_mut(&at) {
                let Some((to, t)) = ways.pop() else { break };
                if ways.is_empty() {
                    next.remove(&at);
                }
                keys.push(at);
                triangle = t;
                at = to;
                if at == start {
                    break;
                }
            }
            let root = self.root(triangle);
            if !keys.is_empty() {
                out.push((root, keys));
            }
        }
        out
    }
}

#[derive(Default)]
struct Area {
    loops: Vec<Loop>,
    double_direction: DVec2,
}

/// The way the metal moves most: that of the larger strain, whether it is stretched or shrunk.
fn worked(strain: &TriangleStrain) -> DVec2 {
    if strain.major.abs() >= strain.minor.abs() { strain.major_direction } else { strain.major_direction.perp() }
}

impl Area {
    fn finish(mut self) -> Option<BandArea> {
        self.loops.sort_by(|a, b| signed_area_mm2(b).total_cmp(&signed_area_mm2(a)));
        let flat_area_mm2: f64 = self.loops.iter().map(|one| signed_area_mm2(one)).sum();
        if flat_area_mm2.is_nan() || flat_area_mm2 < LEAST_AREA_MM2 {
            return None;
        }
        let mut loops = self.loops.into_iter();
        let outer_mm = loops.next()?;
        let inner_mm: Vec<Loop> = loops.filter(|one| signed_area_mm2(one) < 0.0).collect();
        let label_mm = roomiest(&outer_mm, &inner_mm);
        let half = 0.5 * self.double_direction.to_angle();
        Some(BandArea { outer_mm, inner_mm, label_mm, hatch: DVec2::from_angle(half), flat_area_mm2 })
    }
}

/// A place inside, as far from every boundary as a grid search finds.
fn roomiest(outer: &Loop, inner: &[Loop]) -> DVec2 {
    let low = outer.iter().copied().fold(DVec2::INFINITY, DVec2::min);
    let high = outer.iter().copied().fold(DVec2::NEG_INFINITY, DVec2::max);
    let mut best = (-1.0, outer.first().copied().unwrap_or_default());
    for i in 0..LABEL_STEPS * LABEL_STEPS {
        let share = |k: i32| (f64::from(k) + 0.5) / f64::from(LABEL_STEPS);
        let at = low + (high - low) * DVec2::new(share(i % LABEL_STEPS), share(i / LABEL_STEPS));
        if !contains(outer, at) || inner.iter().any(|hole| contains(hole, at)) {
            continue;
        }
        let room =
            inner.iter().map(|hole| distance_to_sides_mm(hole, at)).fold(distance_to_sides_mm(outer, at), f64::min);
        if room > best.0 + 1e-9 {
            best = (room, at);
        }
    }
    best.1
}

fn label([from, to]: [f64; 2], work: Work) -> String {
    let percent = |share: f64| {
        let text = format!("{:.2}", 100.0 * share.abs());
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    };
    match work {
        Work::Stretch => format!("raise by {} to {} %", percent(from), percent(to)),
        Work::Shrink => format!("gather by {} to {} %", percent(to), percent(from)),
        Work::Leave => format!("leave (within {} %)", percent(from.abs().max(to.abs()))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Strokes run the way the metal moves most: along a stretch, and along what is gathered too, not square to it.
    #[test]
    fn strokes_run_the_way_the_metal_moves_most() {
        let strain = |major, minor| TriangleStrain {
            major,
            minor,
            major_direction: DVec2::X,
            effective: 0.0,
            thickness_mm: 0.9,
        };
        assert_eq!(worked(&strain(0.05, -0.01)), DVec2::X);
        // the rim of a gathered cap: the hoop shrinks by 8 %, the radius gives by 2 %
        assert_eq!(worked(&strain(0.02, -0.08)), DVec2::Y);
    }
}
