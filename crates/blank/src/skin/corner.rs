//! What happens at a corner of the skin: the ends of the strips of make-ups, mitred, square, or notched with a relief hole.
//!
//! Two legs that stay in the surface meet at the intersection of their free edges. Where something is folded, each strip keeps to its own
//! side of the plane that halves the corner, folded as well as flat, half the gap away from it, so that strips overlap neither in the
//! flat nor on the piece; but two flanges that fold the same way are mitred along the line where their faces meet, whatever their angles.
//! The fold lines end in a relief hole (handbook F1–F3). A strip beside a plain edge ends square.
//! The corner is taken as straight-edged and level when folded; in the flat the curves themselves are used.

use super::edge::{EdgeKind, FlatEdge};
use crate::strip::Rung;
use glam::DVec2;
use handbook::Working;
use section::folded::EndLine;
use section::{MakeUp, Side};
use std::f64::consts::PI;

/// Interior angles between which the trim of a plain edge simply runs past the end of a strip.
const RUNS_PAST_RAD: std::ops::RangeInclusive<f64> = 0.5..=2.65;
/// How far a relief hole may lie beside the halving line, as a share of its radius.
const HOLE_BESIDE: f64 = 0.4;
/// A mitre longer than this many times the wider leg is cut off square.
const LONGEST_MITRE: f64 = 3.0;

/// Which end of an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum End {
    Start,
    Finish,
}

/// The end of a strip: along the edge from its corner inward and outward from the edge, mm of flat, from the skin to the free edge.
pub(super) type Cut = Vec<[f64; 2]>;

/// A corner between the edge before it and the edge after it.
#[derive(Debug, Clone)]
pub(super) struct Corner {
    /// Cut of the edge before (its finish) and of the edge after (its start).
    pub(super) cuts: [Cut; 2],
    /// Relief hole: middle and radius.
    pub(super) relief: Option<(DVec2, f64)>,
    /// Its working.
    pub(super) working: Option<Working>,
}

/// Directions at a corner.
struct Frame {
    at: DVec2,
    /// Outward along the plane that halves the corner, and square to it towards the edge after.
    halving: DVec2,
    across: DVec2,
    interior_rad: f64,
}

pub(super) fn corner(before: &FlatEdge<'_>, after: &FlatEdge<'_>, gap_mm: f64, thickness_mm: f64) -> Corner {
    let (a, b) = (before.curve.at(before.curve.length_mm()), after.curve.at(0.0));
    let turn = a.along.perp_dot(b.along).atan2(a.along.dot(b.along));
    let outward = -(a.along + b.along).perp();
    let halving = outward.normalize_or(a.along);
    let frame = Frame { at: b.at_mm, halving, across: halving.perp(), interior_rad: PI - turn };
    use EdgeKind::{Folded, Plain};
    match (before.kind, after.kind) {
        (Folded, Plain) | (Plain, Folded) if frame.interior_rad < PI - 1e-6 => {
            beside_plain(&frame, before, after, gap_mm, thickness_mm)
        }
        (Folded, _) | (_, Folded) => notched(&frame, before, after, gap_mm, thickness_mm),
        _ => mitred(&frame, before, after),
    }
}

/// Places from the skin to the free edge, trim included.
fn rungs(edge: &FlatEdge<'_>, end: End) -> Vec<Rung> {
    let mut rungs = edge.widths.rungs(station(edge, end));
    if edge.trim_mm > 0.0
        && let Some(last) = rungs.last().copied()
    {
        let before = rungs.len().checked_sub(2).and_then(|i| rungs.get(i)).copied();
        // the trim goes on as the last leg lies
        let slope = |face: usize| match before {
            Some(b) if last.flat_mm > b.flat_mm => (last.out_mm[face] - b.out_mm[face]) / (last.flat_mm - b.flat_mm),
            _ => 1.0,
        };
        let out_mm = [0, 1].map(|face| last.out_mm[face] + slope(face) * edge.trim_mm);
        rungs.push(Rung { flat_mm: last.flat_mm + edge.trim_mm, out_mm });
    }
    rungs
}

/// Point of the flat `along_mm` inward from a corner and `out_mm` outward of the edge.
pub(super) fn place(edge: &FlatEdge<'_>, end: End, [along_mm, out_mm]: [f64; 2]) -> DVec2 {
    let station = match end {
        End::Start => edge.curve.station_after_start(along_mm),
        End::Finish => edge.curve.station_before_end(along_mm),
    };
    edge.curve.at(station).outward(out_mm)
}

fn square(edge: &FlatEdge<'_>, end: End, back_mm: f64) -> Cut {
    let mut cut: Cut = vec![[back_mm, 0.0]];
    cut.extend(rungs(edge, end).iter().filter(|rung| rung.flat_mm > 1e-9).map(|rung| [back_mm, rung.flat_mm]));
    cut
}

/// A strip beside a plain edge: square, on the line to which the plain edge's trim runs.
fn beside_plain(frame: &Frame, before: &FlatEdge<'_>, after: &FlatEdge<'_>, gap_mm: f64, thickness_mm: f64) -> Corner {
    let plain_is_after = after.kind == EdgeKind::Plain;
    let trim = if plain_is_after { after.trim_mm } else { before.trim_mm };
    if trim > 0.0 && !RUNS_PAST_RAD.contains(&frame.interior_rad) {
        return notched(frame, before, after, gap_mm, thickness_mm);
    }
    let past = trim / frame.interior_rad.sin().max(1e-3);
    let (strip, strip_end) = if plain_is_after { (before, End::Finish) } else { (after, End::Start) };
    let free_mm = rungs(strip, strip_end).last().map_or(0.0, |rung| rung.flat_mm);
    // a flange closed past square may end short of its sharp corner in the flat: then the plain edge is cut back to it
    if free_mm < 1e-9 {
        return mitred(frame, before, after);
    }
    let strip_cut = square(strip, strip_end, -past);
    // where the trim's line reaches the strip's base, counted along the plain edge
    let plain_cut = vec![[-past * frame.interior_rad.cos(), trim]];
    let cuts = if plain_is_after { [strip_cut, plain_cut] } else { [plain_cut, strip_cut] };
    Corner { cuts, relief: None, working: None }
}

/// Least place along the edge at which a point `out_mm` beyond it is `clear_mm` on its own side of the halving line.
fn clear_of_halving(frame: &Frame, edge: &FlatEdge<'_>, end: End, out_mm: f64, clear_mm: f64) -> f64 {
    let sign = if end == End::Start { 1.0 } else { -1.0 };
    let side = |along: f64| (place(edge, end, [along, out_mm]) - frame.at).dot(frame.across) * sign - clear_mm;
    let half = 0.5 * frame.interior_rad;
    let mut along = (clear_mm - out_mm * half.cos()) / half.sin().max(1e-3);
    for _ in 0..20 {
        let off = side(along);
        if off.abs() < 1e-9 {
            break;
        }
        along -= off / half.sin().max(0.05);
    }
    along
}

/// The first leg of a flange that meets another one, folded the same way, in the line where their faces meet.
struct FirstLeg {
    line: EndLine,
    /// Offsets of the leg's start and end in the flat.
    from_mm: f64,
    to_mm: f64,
    setback_mm: f64,
}

impl FirstLeg {
    fn of(
        frame: &Frame,
        [(edge, end), (other, other_end)]: [(&FlatEdge<'_>, End); 2],
        gap_mm: f64,
        thickness_mm: f64,
    ) -> Option<Self> {
        if frame.interior_rad >= PI - 1e-3 {
            return None;
        }
        let (bend_rad, turns) = first_flange(edge, end)?;
        let (other_rad, other_turns) = first_flange(other, other_end)?;
        if turns != other_turns {
            return None;
        }
        let line = section::folded::mitre(frame.interior_rad, [bend_rad, other_rad], gap_mm, thickness_mm);
        let offsets = edge.widths.offsets_mm(station(edge, end));
        let (skin, from_mm, to_mm) = (*offsets.first()?, *offsets.get(1)?, *offsets.get(2)?);
        (line.slope.abs() <= LONGEST_MITRE).then_some(Self { line, from_mm, to_mm, setback_mm: -skin })
    }

    fn along_mm(&self, flat_mm: f64) -> Option<f64> {
        let on_leg = flat_mm >= self.from_mm - 1e-9 && flat_mm <= self.to_mm + 1e-9;
        on_leg.then(|| self.line.x_mm(self.setback_mm + flat_mm - self.from_mm))
    }
}

fn first_flange(edge: &FlatEdge<'_>, end: End) -> Option<(f64, Side)> {
    match edge.given.make_ups.first()? {
        MakeUp::Flange { bend_angle_rad, turns, .. } => Some((bend_angle_rad.at(station(edge, end)), *turns)),
        _ => None,
    }
}

fn station(edge: &FlatEdge<'_>, end: End) -> f64 {
    match end {
        End::Start => 0.0,
        End::Finish => edge.curve.length_mm(),
    }
}

fn notch_cut(
    frame: &Frame,
    (edge, end): (&FlatEdge<'_>, End),
    leg: Option<&FirstLeg>,
    gap_mm: f64,
    both_fold: bool,
) -> Cut {
    let half = 0.5 * frame.interior_rad;
    let (sin, cos) = (half.sin().max(1e-3), half.cos());
    let one = |rung: &Rung| {
        let flat = clear_of_halving(frame, edge, end, rung.flat_mm, 0.5 * gap_mm);
        let halved =
            rung.out_mm.map(|out| (0.5 * gap_mm - out * cos) / sin).into_iter().fold(f64::NEG_INFINITY, f64::max);
        let folded = leg.and_then(|leg| leg.along_mm(rung.flat_mm)).unwrap_or(halved);
        let along = flat.max(folded);
        [if both_fold { along } else { along.max(0.0) }, rung.flat_mm]
    };
    rungs(edge, end).iter().map(one).collect()
}

fn notched(frame: &Frame, before: &FlatEdge<'_>, after: &FlatEdge<'_>, gap_mm: f64, thickness_mm: f64) -> Corner {
    let both_fold = before.kind == EdgeKind::Folded && after.kind == EdgeKind::Folded;
    let sides = [(before, End::Finish), (after, End::Start)];
    let cuts = [0, 1].map(|i| {
        let leg = FirstLeg::of(frame, [sides[i], sides[1 - i]], gap_mm, thickness_mm);
        notch_cut(frame, sides[i], leg.as_ref(), gap_mm, both_fold)
    });
    let radius = before.first_radius_mm().max(after.first_radius_mm());
    let hole = handbook::edges::relief::relief_hole(thickness_mm, radius).ok();
    let mut corner = Corner { cuts, relief: None, working: None };
    if let Some(hole) = hole {
        // kept near the halving line, so that the ends of both strips run into it
        let middle = tangents_cross(frame, before, after);
        let beside = (middle - frame.at).dot(frame.across);
        let most = HOLE_BESIDE * 0.5 * hole.diameter_mm;
        let middle = middle + frame.across * (beside.clamp(-most, most) - beside);
        // a hole larger than what is folded would leave nothing of the strip's end
        let room = [(before, End::Finish, 0), (after, End::Start, 1)]
            .into_iter()
            .filter_map(|(edge, end, i)| corner.cuts[i].last().map(|top| place(edge, end, *top).distance(middle)))
            .fold(f64::INFINITY, f64::min);
        corner.relief = Some((middle, (0.5 * hole.diameter_mm).min(0.7 * room)));
        corner.working = Some(hole.working);
    }
    corner
}

/// Where the bend tangent lines next to the skin cross (F3).
fn tangents_cross(frame: &Frame, before: &FlatEdge<'_>, after: &FlatEdge<'_>) -> DVec2 {
    let base = |edge: &FlatEdge<'_>, end| rungs(edge, end).first().map_or(0.0, |rung| rung.flat_mm);
    let (y0, y1) = (base(before, End::Finish), base(after, End::Start));
    let a = before.curve.at(before.curve.length_mm());
    let b = after.curve.at(0.0);
    let (p, q) = (a.outward(y0), b.outward(y1));
    let det = a.along.perp_dot(b.along);
    if det.abs() < 0.2 {
        return frame.at + frame.halving * y0.min(y1);
    }
    p + a.along * ((q - p).perp_dot(b.along) / det)
}

/// Two legs in the surface: their free edges meet.
fn mitred(frame: &Frame, before: &FlatEdge<'_>, after: &FlatEdge<'_>) -> Corner {
    let (ya, yb) = (before.free_mm(before.curve.length_mm()), after.free_mm(0.0));
    let blunt = Corner { cuts: [vec![[0.0, ya]], vec![[0.0, yb]]], relief: None, working: None };
    let sin = frame.interior_rad.sin();
    let widest = ya.abs().max(yb.abs());
    if widest < 1e-9 || sin.abs() < 0.05 {
        return blunt;
    }
    let cos = frame.interior_rad.cos();
    // the free edges of straight legs cross here
    let (mut sa, mut sb) = (-(yb + ya * cos) / sin, -(ya + yb * cos) / sin);
    for _ in 0..30 {
        let (p, q) = (place(before, End::Finish, [sa, ya]), place(after, End::Start, [sb, yb]));
        let miss = q - p;
        if miss.length() < 1e-10 {
            break;
        }
        let u = -before.curve.at(before.curve.station_before_end(sa)).along;
        let v = after.curve.at(after.curve.station_after_start(sb)).along;
        let det = u.perp_dot(v);
        if det.abs() < 1e-3 {
            return blunt;
        }
        // p + u·da = q + v·db
        sa += miss.perp_dot(v) / det;
        sb += miss.perp_dot(u) / det;
    }
    let met = place(before, End::Finish, [sa, ya]).distance(place(after, End::Start, [sb, yb])) < 1e-6;
    if !met || sa.abs().max(sb.abs()) > LONGEST_MITRE * widest {
        return blunt;
    }
    Corner { cuts: [vec![[sa, ya]], vec![[sb, yb]]], ..blunt }
}

/// Boundary of the flat round a corner, from the free edge before it to the free edge after it; metal to the left.
pub(super) fn boundary(corner: &Corner, before: &FlatEdge<'_>, after: &FlatEdge<'_>, chord_mm: f64) -> Vec<DVec2> {
    let world = |edge, end, cut: &Cut| -> Vec<DVec2> { cut.iter().map(|at| place(edge, end, *at)).collect() };
    let mut down = world(before, End::Finish, &corner.cuts[0]);
    down.reverse();
    let mut up = world(after, End::Start, &corner.cuts[1]);
    if let Some((middle, radius)) = corner.relief {
        let mut up_reversed: Vec<DVec2> = up.iter().rev().copied().collect();
        let (first, second) = (until_hole(&down, middle, radius), until_hole(&up_reversed, middle, radius));
        up_reversed = second;
        let arc = match (first.last(), up_reversed.last()) {
            (Some(from), Some(to)) => clockwise_arc(middle, radius, *from, *to, chord_mm),
            _ => Vec::new(),
        };
        down = first;
        down.extend(arc);
        up = up_reversed;
        up.reverse();
    }
    down.extend(up);
    down.dedup_by(|a, b| a.distance(*b) < 1e-9);
    down
}

/// A line from the free edge inward as far as the hole it runs into; on to the middle of the hole where it would miss it.
fn until_hole(line: &[DVec2], middle: DVec2, radius: f64) -> Vec<DVec2> {
    let mut out: Vec<DVec2> = Vec::new();
    for &point in line.iter().chain([&middle]) {
        if let Some(&last) = out.last()
            && let Some(entry) = enters(last, point, middle, radius)
        {
            out.push(entry);
            return out;
        }
        out.push(point);
    }
    out
}

/// First point of a segment that starts outside a circle and lies on it.
fn enters(a: DVec2, b: DVec2, middle: DVec2, radius: f64) -> Option<DVec2> {
    let (d, f) = (b - a, a - middle);
    let (qa, qb, qc) = (d.length_squared(), f.dot(d), f.length_squared() - radius * radius);
    let under = qb * qb - qa * qc;
    if qa <= 0.0 || qc < 0.0 || under < 0.0 {
        return None;
    }
    let root = (-qb - under.sqrt()) / qa;
    (0.0..=1.0).contains(&root).then(|| a + d * root)
}

/// Points of the circle between two of its points, clockwise, neither included.
fn clockwise_arc(middle: DVec2, radius: f64, from: DVec2, to: DVec2, chord_mm: f64) -> Vec<DVec2> {
    let start = (from - middle).to_angle();
    let sweep = (start - (to - middle).to_angle()).rem_euclid(2.0 * PI);
    let count = section::folded::arc_steps(radius, sweep, chord_mm);
    (1..count).map(|i| middle + DVec2::from_angle(start - sweep * f64::from(i) / f64::from(count)) * radius).collect()
}
