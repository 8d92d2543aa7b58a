//! The wires of a skin's wired edges in space: each along its own edge, or carried round a corner in one.
//!
//! Two wired edges that meet in a corner and are wired alike (same wire, same side, centre lines that cross) share one wire, bent there to
//! an inside radius of one wire (common practice, no source). Two that are not alike cannot both end in that corner.

use super::{EdgeFrame, SkinEdge, carrier, edge_frames, faces};
use crate::profile::Profile;
use crate::{Lean, MakeUp, Part, SectionError, Side, StripEdge, Swept};
use glam::DVec3;
use handbook::edges::WireCorner;
use mesh::{PointId, Skin, Surface};
use std::f64::consts::PI;

/// Centre lines that pass nearer than this share of the wire at a corner cross.
const CROSS_WITHIN: f64 = 0.25;
/// Longest chord of a bend, rad.
const BEND_STEP_RAD: f64 = 0.12;
/// Flats of a drawn wire.
const SIDES: usize = 16;

/// One wire.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeWire {
    /// Edges along which it runs, in order.
    pub edges: Vec<usize>,
    /// Diameter.
    pub wire_mm: f64,
    /// Joins up with itself.
    pub closed: bool,
    /// Centre line; the last point of a closed one is the first again.
    pub path_mm: Vec<DVec3>,
    /// Bend at each corner that it goes round, rad.
    pub turns_rad: Vec<f64>,
    /// Length of the centre line, its bends as arcs, mm.
    pub length_mm: f64,
}

/// All wires of a skin.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct EdgeWires {
    /// Each with its edges.
    pub wires: Vec<EdgeWire>,
    /// Pairs of wired edges that meet in a corner and are not wired alike.
    pub clashes: Vec<[usize; 2]>,
}

/// An edge with its wire's centre line.
struct Wired {
    wire_mm: f64,
    turns: Side,
    line_mm: Vec<DVec3>,
}

/// Where a wire goes round the corner after an edge.
struct Bend {
    next: usize,
    turn_rad: f64,
    /// Where the straights run out, before and after.
    from_mm: DVec3,
    to_mm: DVec3,
    /// Points of the arc between.
    arc_mm: Vec<DVec3>,
}

/// The wires of the edges of a skin, `middle` its middle before the make-ups are folded.
///
/// # Errors
/// [`SectionError`] of the make-ups.
pub fn wires(middle: &Skin, thickness_mm: f64, edges: &[SkinEdge<'_>]) -> Result<EdgeWires, SectionError> {
    let normals = middle.point_normals();
    let wired: Vec<Option<Wired>> =
        edges.iter().map(|edge| Wired::of(middle, &normals, thickness_mm, edge)).collect::<Result<_, _>>()?;
    let mut clashes = Vec::new();
    let bends: Vec<Option<Bend>> = (0..edges.len())
        .map(|index| {
            let own = wired.get(index)?.as_ref()?;
            let last = edges.get(index)?.chain.last()?;
            let next = edges.iter().position(|edge| edge.chain.first() == Some(last)).filter(|next| *next != index)?;
            let other = wired.get(next)?.as_ref()?;
            let bend = own.round_to(other, next);
            if bend.is_none() {
                clashes.push([index, next]);
            }
            bend
        })
        .collect();
    let reached = |index: usize| bends.iter().flatten().any(|bend| bend.next == index);
    let mut taken = vec![false; edges.len()];
    let mut out = Vec::new();
    // wires with a free end first, then those that run all round
    for free in [true, false] {
        for start in 0..edges.len() {
            let is_open = wired.get(start).is_some_and(Option::is_some) && taken.get(start) == Some(&false);
            if is_open && !(free && reached(start)) {
                out.extend(run(start, &wired, &bends, &mut taken));
            }
        }
    }
    Ok(EdgeWires { wires: out, clashes })
}

impl Wired {
    fn of(
        middle: &Skin,
        normals: &[DVec3],
        thickness_mm: f64,
        edge: &SkinEdge<'_>,
    ) -> Result<Option<Self>, SectionError> {
        let found = edge.make_ups.iter().enumerate().find_map(|(index, make_up)| match make_up {
            MakeUp::Wired { wire_mm, turns, .. } => Some((index, *wire_mm, *turns)),
            _ => None,
        });
        let Some((index, wire_mm, turns)) = found else { return Ok(None) };
        let frames = edge_frames(middle, normals, edge.chain);
        let length_mm = frames.last().map_or(0.0, |frame| frame.station_mm);
        let strip = carrier(edge.name, edge.make_ups, (thickness_mm, ""), length_mm)?;
        let swept = Swept::new(&strip)?;
        let depth_mm = match turns {
            Side::Inside => thickness_mm + 0.5 * wire_mm,
            Side::Outside => -0.5 * wire_mm,
        };
        let centre = |frame: &EdgeFrame| {
            let profile: Profile = swept.profile(frame.station_mm, Lean::After);
            let part = Part::Bend { edge: StripEdge::Finished, index };
            let bend = profile.links.iter().position(|link| link.part == part)?;
            Some(frame.place(profile.nodes.get(bend + 1)?, depth_mm, thickness_mm))
        };
        let line_mm: Vec<DVec3> = frames.iter().filter_map(centre).collect();
        Ok((line_mm.len() > 1).then_some(Self { wire_mm, turns, line_mm }))
    }

    /// The bend from the end of this wire into the start of another; `None` where they are not one.
    fn round_to(&self, other: &Self, next: usize) -> Option<Bend> {
        if (self.wire_mm - other.wire_mm).abs() > 1e-9 || self.turns != other.turns {
            return None;
        }
        let ([.., back, p], [q, ahead, ..]) = (self.line_mm.as_slice(), other.line_mm.as_slice()) else { return None };
        let (a, b) = ((*p - *back).try_normalize()?, (*ahead - *q).try_normalize()?);
        let turn_rad = a.angle_between(b);
        let between = *q - *p;
        if turn_rad < 1e-3 {
            let straight_on = (between - a * between.dot(a)).length() <= CROSS_WITHIN * self.wire_mm;
            return straight_on.then(|| Bend { next, turn_rad: 0.0, from_mm: *p, to_mm: *q, arc_mm: Vec::new() });
        }
        // nearest points of both lines
        let (cos, sin) = (a.dot(b), a.cross(b).length());
        if sin < 1e-6 {
            return None;
        }
        let (along_a, along_b) = (between.dot(a), between.dot(b));
        let (s, r) = ((along_a - along_b * cos) / (sin * sin), (along_a * cos - along_b) / (sin * sin));
        let (x, y) = (*p + a * s, *q + b * r);
        let WireCorner { radius_mm, tangent_mm, .. } = WireCorner::new(self.wire_mm, turn_rad);
        let room_mm = 0.5 * length(&self.line_mm).min(length(&other.line_mm));
        if x.distance(y) > CROSS_WITHIN * self.wire_mm
            || turn_rad > PI - 0.2
            || (tangent_mm - s).max(tangent_mm + r) > room_mm
        {
            return None;
        }
        let corner = x.midpoint(y);
        let (from_mm, to_mm) = (corner - a * tangent_mm, corner + b * tangent_mm);
        let inward = (b - a * cos).normalize_or_zero();
        let steps = (turn_rad / BEND_STEP_RAD).ceil().max(2.0) as u32;
        let on_arc = |i: u32| {
            let (sin, cos) = (turn_rad * f64::from(i) / f64::from(steps)).sin_cos();
            from_mm + a * (radius_mm * sin) + inward * (radius_mm * (1.0 - cos))
        };
        Some(Bend { next, turn_rad, from_mm, to_mm, arc_mm: (1..steps).map(on_arc).collect() })
    }
}

/// The wire that starts with an edge.
fn run(start: usize, wired: &[Option<Wired>], bends: &[Option<Bend>], taken: &mut [bool]) -> Option<EdgeWire> {
    let wire_mm = wired.get(start)?.as_ref()?.wire_mm;
    let closing = |index: usize| bends.get(index).and_then(Option::as_ref);
    let into = |index: usize| bends.iter().flatten().find(|bend| bend.next == index);
    let mut out = EdgeWire {
        edges: Vec::new(),
        wire_mm,
        closed: false,
        path_mm: Vec::new(),
        turns_rad: Vec::new(),
        length_mm: 0.0,
    };
    let mut at = start;
    loop {
        *taken.get_mut(at)? = true;
        out.edges.push(at);
        let own = wired.get(at)?.as_ref()?;
        let before = into(at).map(|bend| bend.to_mm);
        let after = closing(at);
        let line = between(&own.line_mm, before, after.map(|bend| bend.from_mm));
        out.length_mm += length(&line);
        out.path_mm.extend(line);
        let Some(bend) = after else { break };
        out.length_mm += WireCorner::new(wire_mm, bend.turn_rad).arc_mm;
        out.turns_rad.push(bend.turn_rad);
        out.path_mm.extend(bend.arc_mm.iter().copied());
        if bend.next == start {
            out.closed = true;
            out.path_mm.extend(out.path_mm.first().copied());
            break;
        }
        if taken.get(bend.next) != Some(&false) {
            break;
        }
        at = bend.next;
    }
    // an edge without a corner
    out.closed |= out.path_mm.len() > 2 && out.path_mm.first() == out.path_mm.last();
    Some(out)
}

/// A line cut back or drawn on, straight, to where its bends begin.
fn between(line: &[DVec3], from: Option<DVec3>, to: Option<DVec3>) -> Vec<DVec3> {
    let mut out = ended(line, to);
    out.reverse();
    out = ended(&out, from);
    out.reverse();
    out
}

fn ended(line: &[DVec3], end: Option<DVec3>) -> Vec<DVec3> {
    let Some(end) = end else { return line.to_vec() };
    let [.., back, last] = line else { return line.to_vec() };
    let along = (*last - *back).normalize_or_zero();
    let mut out: Vec<DVec3> = line.to_vec();
    while out.len() > 1 && out.last().is_some_and(|point| (end - *point).dot(along) < 1e-9) {
        out.pop();
    }
    out.push(end);
    out
}

fn length(line: &[DVec3]) -> f64 {
    line.iter().zip(line.iter().skip(1)).map(|(a, b)| a.distance(*b)).sum()
}

/// Draws every wire as a round bar.
pub(super) fn add(wires: &EdgeWires, surface: &mut Surface) {
    for wire in &wires.wires {
        bar(&wire.path_mm, 0.5 * wire.wire_mm, surface);
    }
}

fn bar(path: &[DVec3], radius_mm: f64, surface: &mut Surface) {
    let [tag, _, _] = faces("wire", surface);
    let (Some(first), Some(second)) = (path.first(), path.get(1)) else { return };
    let mut along = (*second - *first).normalize_or(DVec3::X);
    let mut across = along.any_orthonormal_vector();
    let mut rings: Vec<Vec<PointId>> = Vec::with_capacity(path.len());
    for (i, point) in path.iter().enumerate() {
        let before = i.checked_sub(1).and_then(|k| path.get(k)).unwrap_or(point);
        let after = path.get(i + 1).unwrap_or(point);
        along = (*after - *before).normalize_or(along);
        // carried on with the least turn, so that the flats do not twist
        across = (across - along * across.dot(along)).normalize_or(along.any_orthonormal_vector());
        let up = along.cross(across);
        let around = |k: usize| {
            let angle = std::f64::consts::TAU * k as f64 / SIDES as f64;
            (across * angle.cos() + up * angle.sin()) * radius_mm
        };
        rings.push((0..SIDES).map(|k| surface.push_point(*point + around(k))).collect());
    }
    for (here, next) in rings.iter().zip(rings.iter().skip(1)) {
        for i in 0..SIDES {
            let k = (i + 1) % SIDES;
            if let (Some(a), Some(b), Some(c), Some(d)) = (here.get(i), next.get(i), next.get(k), here.get(k)) {
                surface.push_triangle([*a, *c, *b], tag);
                surface.push_triangle([*a, *d, *c], tag);
            }
        }
    }
}
