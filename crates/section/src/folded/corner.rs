//! End cuts where two edges of the base meet.
//!
//! Two first legs that fold the same way meet along the line where their outer faces cross. Each is cut back from that
//! line so that the inner edges of the two cut faces stand the gap apart, which leaves a groove on the outside for the
//! weld; at a re-entrant corner the outer edges stand the gap apart. Legs beyond the first keep clear of the neighbour's
//! first leg by the gap, and keep to their own side of the plane that halves the corner where the neighbour has such a leg too.

use super::EndCut;
use super::layout::{BendKind, EdgeLayout, EndLine, Part};
use glam::{DVec2, DVec3};

/// One edge seen from one of its corners: `away` runs along the edge away from the corner.
pub(super) struct CornerSide<'a> {
    edge: &'a EdgeLayout,
    away: DVec3,
    outward: DVec3,
    crossing_mm: f64,
}

/// The cut of one part at one corner; x counts from that corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PartEnd {
    pub bend_x_mm: [f64; 2],
    pub leg: EndLine,
}

/// What a part must keep clear of: `normal · (point − corner) ≤ limit`.
struct Clear {
    normal: DVec3,
    limit_mm: f64,
}

impl<'a> CornerSide<'a> {
    pub(super) fn of(edge: &'a EdgeLayout, at_start: bool) -> Self {
        let [start, end] = edge.crossing_x_mm;
        let (away, crossing_mm) = if at_start { (edge.along, start) } else { (-edge.along, edge.length_mm - end) };
        Self { edge, away: away.extend(0.0), outward: edge.outward.extend(0.0), crossing_mm }
    }

    fn ray(&self) -> Ray {
        Ray { away: self.away, outward: self.outward }
    }

    /// First bend when it is a flange's fold, with its sign (+1 up).
    fn first_fold(&self) -> Option<(f64, f64)> {
        let bend = self.edge.parts.first()?.bend.as_ref()?;
        (bend.kind == BendKind::Fold).then_some((bend.turned_rad.abs(), bend.turned_rad.signum()))
    }

    fn in_space(&self, section: DVec2) -> DVec3 {
        self.outward * section.x + DVec3::Z * section.y
    }

    fn bends_back(&self, part: usize) -> Option<bool> {
        let bend = self.edge.parts.get(part)?.bend.as_ref()?;
        let first = self.edge.parts.first()?.bend.as_ref()?;
        Some(bend.turned_rad * first.turned_rad < 0.0)
    }
}

/// Direction of a first leg away from its apex and the normal of its outer face.
fn first_leg(outward: DVec3, angle_rad: f64, sign: f64) -> (DVec3, DVec3) {
    let (sin, cos) = angle_rad.sin_cos();
    (outward * cos + DVec3::Z * (sign * sin), outward * sin - DVec3::Z * (sign * cos))
}

/// The end cut of a flange that meets another at a corner of a flat base, both folded the same way: x along its edge from the corner of the
/// apex lines, s from its apex along its outer face. The bends (turned from flat) may differ, and the interior angle of the corner is any.
/// The cuts of both stand the gap apart, as on a folded piece.
#[must_use]
pub fn mitre(interior_rad: f64, [bend_rad, other_bend_rad]: [f64; 2], gap_mm: f64, thickness_mm: f64) -> EndLine {
    let (sin, cos) = interior_rad.sin_cos();
    // the base lies between the two edges: to the left of this one, to the right of the other
    let this = Ray { away: DVec3::X, outward: DVec3::NEG_Y };
    let other = Ray { away: DVec3::new(cos, sin, 0.0), outward: DVec3::new(-sin, cos, 0.0) };
    meet_line((this, bend_rad), (other, other_bend_rad), 1.0, gap_mm, thickness_mm)
}

/// An edge of the base seen from its corner.
#[derive(Clone, Copy)]
struct Ray {
    away: DVec3,
    outward: DVec3,
}

/// The cuts of every part of `this` at the corner it shares with `other`.
pub(super) fn ends(this: &CornerSide<'_>, other: &CornerSide<'_>, cut: &EndCut, thickness_mm: f64) -> Vec<PartEnd> {
    let mut before = this.crossing_mm;
    let mut list = Vec::with_capacity(this.edge.parts.len());
    for (index, part) in this.edge.parts.iter().enumerate() {
        let end = match *cut {
            EndCut::SetBack { back_mm } => square_end(before, back_mm),
            EndCut::Angle { angle_rad } if index == 0 => {
                let slope = angle_rad.tan();
                let apex = part.leg.as_ref().map_or(0.0, |leg| leg.from_apex_mm);
                sloped_end(before, EndLine { at_mm: slope * apex, slope })
            }
            EndCut::Angle { .. } => square_end(before, before),
            EndCut::Meet { gap_mm } => meet_end(this, other, index, part, before, gap_mm, thickness_mm),
        };
        before = end.leg.x_mm(part.leg.as_ref().map_or(0.0, |leg| leg.length_mm));
        list.push(end);
    }
    list
}

fn square_end(before_mm: f64, at_mm: f64) -> PartEnd {
    sloped_end(before_mm, EndLine { at_mm, slope: 0.0 })
}

fn sloped_end(before_mm: f64, leg: EndLine) -> PartEnd {
    PartEnd { bend_x_mm: [before_mm.max(leg.at_mm), leg.at_mm], leg }
}

fn meet_end(
    this: &CornerSide<'_>,
    other: &CornerSide<'_>,
    index: usize,
    part: &Part,
    before_mm: f64,
    gap_mm: f64,
    t: f64,
) -> PartEnd {
    if index == 0 && part.bend.is_none() {
        return square_end(before_mm, before_mm);
    }
    if let (0, Some((angle, sign))) = (index, this.first_fold()) {
        let line = match other.first_fold() {
            Some((angle_2, sign_2)) if sign == sign_2 => {
                meet_line((this.ray(), angle), (other.ray(), angle_2), sign, gap_mm, t)
            }
            _ => EndLine { at_mm: 0.0, slope: 0.0 },
        };
        let from_apex = part.leg.as_ref().map_or(0.0, |leg| leg.from_apex_mm);
        return sloped_end(before_mm, EndLine { at_mm: line.x_mm(from_apex), ..line });
    }
    clear_end(this, &clearances(this, other, index, gap_mm, t), part, before_mm, t)
}

/// The end cut of a first leg, in x and the distance from its apex along the outer face.
fn meet_line((this, angle): (Ray, f64), (other, other_angle): (Ray, f64), sign: f64, gap_mm: f64, t: f64) -> EndLine {
    let (m, n) = first_leg(this.outward, angle, sign);
    let (other_m, other_n) = first_leg(other.outward, other_angle, sign);
    let line = other_n.cross(n);
    if line.length() < 1e-9 {
        return EndLine { at_mm: gap_mm / 2.0, slope: 0.0 };
    }
    let line = if line.dot(m) < 0.0 { -line.normalize() } else { line.normalize() };
    if line.dot(m) < 1e-9 || line.dot(other_m) < 1e-9 {
        return EndLine { at_mm: gap_mm / 2.0, slope: 0.0 };
    }
    let square = |away: DVec3| (away - line * away.dot(line)).normalize();
    let (a, b) = (square(this.away), square(other.away));
    let half = a.dot(b).clamp(-1.0, 1.0).acos() / 2.0;
    let inner_face = if other_n.dot(a) < 0.0 { t / half.tan() } else { 0.0 };
    let pull = inner_face + gap_mm / 2.0 / half.sin();
    let slope = line.dot(this.away) / line.dot(m);
    EndLine { at_mm: pull * slope.hypot(1.0), slope }
}

/// What a part that is not a first leg must keep clear of.
fn clearances(this: &CornerSide<'_>, other: &CornerSide<'_>, index: usize, gap_mm: f64, t: f64) -> Vec<Clear> {
    let back = this.bends_back(index);
    let both = back.is_some() && other.bends_back(index) == back && (index > 0 || other.first_fold().is_none());
    let same_way = this.first_sign() == other.first_sign();
    let mut list = Vec::new();
    if both && same_way {
        let half = interior_angle(this, other) / 2.0;
        list.push(Clear { normal: -this.away * half.sin() - this.outward * half.cos(), limit_mm: -gap_mm / 2.0 });
    }
    if both && same_way && back == Some(true) {
        return list;
    }
    list.push(match other.first_fold() {
        Some((angle, sign)) if index > 0 && same_way => {
            Clear { normal: first_leg(other.outward, angle, sign).1, limit_mm: -(t + gap_mm) }
        }
        Some(_) if same_way => Clear { normal: other.outward, limit_mm: -(other.edge.setback_mm + gap_mm) },
        _ => Clear { normal: other.outward, limit_mm: 0.0 },
    });
    list
}

impl CornerSide<'_> {
    fn first_sign(&self) -> f64 {
        self.edge.parts.first().and_then(|part| part.bend.as_ref()).map_or(0.0, |bend| bend.turned_rad.signum())
    }

    /// z of the apex: on the convex face.
    fn apex_z_mm(&self, t: f64) -> f64 {
        if self.first_sign() < 0.0 { t } else { 0.0 }
    }
}

fn interior_angle(this: &CornerSide<'_>, other: &CornerSide<'_>) -> f64 {
    let cos = this.away.dot(other.away).clamp(-1.0, 1.0);
    // The neighbour runs away on the inner side of this edge at a convex corner.
    if other.away.dot(this.outward) <= 0.0 { cos.acos() } else { std::f64::consts::TAU - cos.acos() }
}

fn clear_end(this: &CornerSide<'_>, clear: &[Clear], part: &Part, before_mm: f64, t: f64) -> PartEnd {
    let apex = DVec3::Z * this.apex_z_mm(t);
    let needed = |section: DVec2| {
        let point = this.in_space(section) - apex;
        clear
            .iter()
            .filter(|c| c.normal.dot(this.away) < -1e-9)
            .map(|c| (c.normal.dot(point) - c.limit_mm) / -c.normal.dot(this.away))
            .fold(f64::NEG_INFINITY, f64::max)
    };
    let through = |pose: super::pose::Pose| needed(pose.at_height(0.0)).max(needed(pose.at_height(t)));
    let leg_line = part.leg.as_ref().map(|leg| {
        let (near, far) = (through(leg.pose), through(leg.pose.straight(leg.length_mm)));
        let slope = if leg.length_mm > 0.0 { (far - near) / leg.length_mm } else { 0.0 };
        EndLine { at_mm: near, slope }
    });
    let bend_needs = part.bend.as_ref().map_or(f64::NEG_INFINITY, |bend| {
        let turn = |i: u32| bend.turned_rad * f64::from(i) / 16.0;
        (0..=16).map(|i| through(bend.pose.bent(turn(i), bend.inside_radius_mm, t))).fold(f64::NEG_INFINITY, f64::max)
    });
    match leg_line.filter(|line| line.at_mm.is_finite() && line.slope.is_finite()) {
        Some(leg) if this.bends_back_part(part) => sloped_end(before_mm, leg),
        Some(leg) => {
            let at_mm = leg.at_mm.max(bend_needs);
            PartEnd { bend_x_mm: [before_mm.max(at_mm), at_mm], leg: EndLine { at_mm, ..leg } }
        }
        None => square_end(before_mm, before_mm.max(bend_needs)),
    }
}

impl CornerSide<'_> {
    fn bends_back_part(&self, part: &Part) -> bool {
        part.bend.as_ref().is_some_and(|bend| bend.turned_rad * self.first_sign() < 0.0)
    }
}
