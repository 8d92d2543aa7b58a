//! The outline of everything folded from one edge, laid flat, with the relief holes cut in.
//!
//! Frame: x along the edge from its first corner, y outward from the near tangent line of the base. A relief hole is
//! cut as the part of its circle on the metal; what would be left of the end cut as a thin hook beside it is cut off
//! level with the top of the hole.

use super::layout::{Bend, BendKind, CornerLayout, EdgeLayout, EndLine, cross_far_side};
use crate::SectionError;
use glam::DVec2;

/// Which end of an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum End {
    Start,
    Finish,
}

impl EdgeLayout {
    /// The outline of what is folded from this edge, laid flat, from the start to the end of its near tangent line.
    ///
    /// `bend_lengths_mm`: developed length of each part's bend (ignored for a part without one). `relief_radii_mm`: at
    /// the two corners, 0 for none. `trim_mm`: beyond the last part. `chord_mm` bounds the chord error of the arcs.
    #[must_use]
    pub fn flat_outline_mm(
        &self,
        bend_lengths_mm: &[f64],
        relief_radii_mm: [f64; 2],
        trim_mm: f64,
        chord_mm: f64,
    ) -> Vec<DVec2> {
        let (mut outline, far, mut end) = self.flat_chains_mm(bend_lengths_mm, relief_radii_mm, trim_mm, chord_mm);
        outline.extend(far);
        end.reverse();
        outline.append(&mut end);
        outline
    }

    /// The same in three stretches: start cut outward, free edge between, end cut outward. y never falls along a cut.
    #[must_use]
    pub fn flat_chains_mm(
        &self,
        bend_lengths_mm: &[f64],
        [start, end]: [f64; 2],
        trim_mm: f64,
        chord_mm: f64,
    ) -> (Vec<DVec2>, Vec<DVec2>, Vec<DVec2>) {
        let start = relieved(&self.cut_chain(End::Start, bend_lengths_mm, trim_mm), start, chord_mm);
        let end = relieved(&self.cut_chain(End::Finish, bend_lengths_mm, trim_mm), end, chord_mm);
        let end = end.iter().map(|p| DVec2::new(self.length_mm - p.x, p.y)).collect();
        (start, self.free_edge_between(bend_lengths_mm, trim_mm), end)
    }

    fn free_edge_between(&self, bend_lengths_mm: &[f64], trim_mm: f64) -> Vec<DVec2> {
        let Some(leg) = self.parts.last().and_then(|part| part.leg.as_ref()) else { return Vec::new() };
        let y = self.near_line_y_mm(bend_lengths_mm, self.parts.len().saturating_sub(1));
        let count = leg.far_side.len();
        let inner = leg.far_side.iter().skip(1).take(count.saturating_sub(2));
        inner.map(|p| DVec2::new(p.x, p.y + y + trim_mm)).collect()
    }

    /// y of the near tangent line of a part's leg (the far tangent line of its bend), laid flat.
    #[must_use]
    pub fn near_line_y_mm(&self, bend_lengths_mm: &[f64], part: usize) -> f64 {
        let before: f64 =
            self.parts.iter().take(part).map(|part| part.leg.as_ref().map_or(0.0, |leg| leg.length_mm)).sum();
        let bends: f64 = self
            .parts
            .iter()
            .zip(bend_lengths_mm)
            .take(part + 1)
            .filter(|(part, _)| part.bend.is_some())
            .map(|(_, length)| *length)
            .sum();
        before + bends
    }

    /// One end cut laid flat, x counted from that end's corner inward.
    fn cut_chain(&self, end: End, bend_lengths_mm: &[f64], trim_mm: f64) -> Vec<DVec2> {
        let own = |x: f64| if end == End::Start { x } else { self.length_mm - x };
        let [from, to] = self.crossing_x_mm;
        let mut chain = vec![DVec2::new(own(if end == End::Start { from } else { to }), 0.0)];
        for (index, part) in self.parts.iter().enumerate() {
            let y = self.near_line_y_mm(bend_lengths_mm, index);
            if let Some(bend) = &part.bend {
                let [near, far] = if end == End::Start { bend.start_x_mm } else { bend.end_x_mm };
                let length = bend_lengths_mm.get(index).copied().unwrap_or(0.0);
                chain.push(DVec2::new(own(near), y - length));
                chain.push(DVec2::new(own(far), y));
            }
            if let Some(leg) = &part.leg {
                let last = index + 1 == self.parts.len();
                let line = if end == End::Start { leg.start } else { leg.end };
                let far = far_corner(&leg.far_side, line, end, if last { trim_mm } else { 0.0 });
                chain.push(DVec2::new(own(line.at_mm), y));
                chain.push(DVec2::new(own(far.x), y + far.y));
            }
        }
        let last_is_leg = self.parts.last().is_some_and(|part| part.leg.is_some());
        if let (false, true, Some(&last)) = (last_is_leg, trim_mm > 0.0, chain.last()) {
            chain.push(last + DVec2::new(0.0, trim_mm));
        }
        chain.dedup_by(|a, b| a.distance(*b) < 1e-12);
        chain
    }
}

fn far_corner(far_side: &[DVec2], line: EndLine, end: End, trim_mm: f64) -> DVec2 {
    let corner = if end == End::Start { far_side.first() } else { far_side.last() }.copied().unwrap_or_default();
    if trim_mm == 0.0 {
        return corner;
    }
    let beyond: Vec<DVec2> = far_side.iter().map(|p| *p + DVec2::new(0.0, trim_mm)).collect();
    cross_far_side(&beyond, line)
}

/// An end cut with the relief circle about its first point cut in; x grows into the metal.
fn relieved(chain: &[DVec2], radius_mm: f64, chord_mm: f64) -> Vec<DVec2> {
    let Some(&centre) = chain.first().filter(|_| radius_mm > 0.0) else { return chain.to_vec() };
    let local: Vec<DVec2> = chain.iter().map(|p| *p - centre).collect();
    let crossing = last_crossing(&local, radius_mm);
    let hidden = crossing.is_none() && local.get(1).is_some_and(|p| p.y == 0.0 && p.x >= radius_mm - 1e-9);
    let mut out = vec![DVec2::new(radius_mm, 0.0)];
    let after = match crossing {
        _ if hidden => 1,
        Some((side, at)) => {
            out.extend(arc(radius_mm, at.y.atan2(at.x), chord_mm));
            side + 1
        }
        None => {
            out.extend(arc(radius_mm, std::f64::consts::FRAC_PI_2, chord_mm));
            let (side, at) = level_with_top(&local, radius_mm);
            out.push(at);
            side + 1
        }
    };
    out.extend(local.iter().skip(after));
    out.dedup_by(|a, b| a.distance(*b) < 1e-12);
    out.into_iter().map(|p| p + centre).collect()
}

/// Points of an arc about the origin from angle 0 (not included) to `to_rad`, chord error at most `chord_mm`.
pub(super) fn arc(radius_mm: f64, to_rad: f64, chord_mm: f64) -> Vec<DVec2> {
    let count = arc_steps(radius_mm, to_rad, chord_mm);
    (1..=count).map(|i| DVec2::from_angle(to_rad * f64::from(i) / f64::from(count)) * radius_mm).collect()
}

/// How many chords an arc needs so that none lies farther than `chord_mm` from it.
#[must_use]
pub fn arc_steps(radius_mm: f64, angle_rad: f64, chord_mm: f64) -> u32 {
    let step = 2.0 * (1.0 - (chord_mm / radius_mm).min(1.0)).acos();
    let count = (angle_rad.abs() / step.max(1e-3)).ceil();
    if count.is_finite() { (count as u32).clamp(1, 4096) } else { 1 }
}

/// The highest crossing of the cut with the quarter circle on the metal's side: index of the chain's side and the point.
fn last_crossing(chain: &[DVec2], radius_mm: f64) -> Option<(usize, DVec2)> {
    let sides = chain.iter().zip(chain.iter().skip(1)).enumerate();
    let mut best: Option<(usize, DVec2)> = None;
    for (index, (&a, &b)) in sides {
        let d = b - a;
        let (qa, qb, qc) = (d.length_squared(), a.dot(d), a.length_squared() - radius_mm * radius_mm);
        let under = qb * qb - qa * qc;
        if qa == 0.0 || under < 0.0 {
            continue;
        }
        for root in [(-qb - under.sqrt()) / qa, (-qb + under.sqrt()) / qa] {
            let at = a + d * root;
            let on_quarter = (0.0..=1.0).contains(&root) && at.x > 0.0 && at.y > 0.0;
            if on_quarter && best.is_none_or(|(_, p)| at.y > p.y) {
                best = Some((index, at));
            }
        }
    }
    best
}

/// Where the cut passes the height of the circle's top: index of the chain's side and the point.
fn level_with_top(chain: &[DVec2], radius_mm: f64) -> (usize, DVec2) {
    let sides = chain.iter().zip(chain.iter().skip(1)).enumerate();
    for (index, (&a, &b)) in sides {
        if a.y <= radius_mm && b.y > radius_mm {
            return (index, a + (b - a) * ((radius_mm - a.y) / (b.y - a.y)));
        }
    }
    (chain.len(), DVec2::new(0.0, radius_mm))
}

/// Refuses relief holes that leave nothing of the fold between them or stand higher than what is folded.
pub(super) fn check(
    edge: &EdgeLayout,
    index: usize,
    corners: &[CornerLayout],
    thickness_mm: f64,
) -> Result<(), SectionError> {
    let radius = |corner: usize| {
        let corner = corners.get(corner % corners.len().max(1));
        corner.and_then(|corner| corner.relief_mm).map_or(0.0, |diameter| diameter / 2.0)
    };
    let (start, end) = (radius(index), radius(index + 1));
    let [from, to] = edge.crossing_x_mm;
    if to - from <= start + end {
        let place = format!("the fold between the relief holes on edge {}", index + 1);
        return Err(SectionError::ShorterThanBend { place, got_mm: to - from, need_mm: start + end });
    }
    check_height(edge, index, End::Start, start, thickness_mm)?;
    check_height(edge, index, End::Finish, end, thickness_mm)
}

/// Refuses a relief hole that stands higher than what is folded first, at one end of the edge.
fn check_height(
    edge: &EdgeLayout,
    index: usize,
    end: End,
    radius_mm: f64,
    thickness_mm: f64,
) -> Result<(), SectionError> {
    let Some(part) = edge.parts.first().filter(|_| radius_mm > 0.0) else { return Ok(()) };
    if let Some(leg) = &part.leg {
        let line = if end == End::Start { leg.start } else { leg.end };
        let height = far_corner(&leg.far_side, line, end, 0.0).y;
        if height <= radius_mm {
            let place = format!("the leg above the relief hole on edge {}", index + 1);
            return Err(SectionError::ShorterThanBend { place, got_mm: height, need_mm: radius_mm });
        }
        return Ok(());
    }
    let Some(bend) = &part.bend else { return Ok(()) };
    let height_mm = least_height_mm(bend, thickness_mm);
    // How far in from the hole's centre the curl's free edge ends.
    let [from, to] = edge.crossing_x_mm;
    let ends_in = if end == End::Start { bend.start_x_mm[1] - from } else { to - bend.end_x_mm[1] };
    let beside = ends_in > 0.0 && ends_in.hypot(height_mm) > radius_mm;
    if height_mm > radius_mm || beside {
        return Ok(());
    }
    let place = format!("{} (wired edge) on edge {}", part.name, index + 1);
    let end = if end == End::Start { "start" } else { "end" };
    Err(SectionError::ReliefThroughCurl { place, end, height_mm, radius_mm })
}

/// Height of a bend laid flat: at the middle of the sheet as in the finished shape, or the shop's trial strip where that is less.
fn least_height_mm(bend: &Bend, thickness_mm: f64) -> f64 {
    let middle = bend.turned_rad.abs() * (bend.inside_radius_mm + thickness_mm / 2.0);
    match bend.kind {
        BendKind::Curl { allowance_mm: Some(trial_mm), .. } => middle.min(trial_mm),
        _ => middle,
    }
}
