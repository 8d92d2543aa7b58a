//! Where the make-ups of an edge end at the corners with its neighbours.

use super::{EdgeFrame, SkinEdge};
use crate::folded::mitre;
use crate::profile::Node;
use crate::{MakeUp, Side};
use glam::DVec3;
use mesh::Skin;
use std::f64::consts::PI;

/// Gap left between the ends of two strips, mm: what the flat leaves for the weld.
const GAP_MM: f64 = 0.5;
/// A mitre steeper than this (run along the edge over width) is drawn no steeper.
const STEEPEST: f64 = 3.0;

/// A corner between the edge that ends in it and the edge that starts in it.
pub(super) struct Corner {
    point: u32,
    interior_rad: f64,
    chains: Vec<Vec<MakeUp>>,
}

/// Every corner in which one edge ends and another starts.
pub(super) fn corners(skin: &Skin, normals: &[DVec3], edges: &[SkinEdge<'_>]) -> Vec<Corner> {
    let place = |point: &u32| skin.points_mm.get(*point as usize).copied();
    let mut out = Vec::new();
    for (before, ended) in edges.iter().enumerate() {
        for (_, started) in edges.iter().enumerate().filter(|(after, _)| *after != before) {
            let ([.., back, point], [first, next, ..]) = (ended.chain, started.chain) else { continue };
            if point != first {
                continue;
            }
            let (Some(at), Some(back), Some(next)) = (place(point), place(back), place(next)) else { continue };
            let Some(normal) = normals.get(*point as usize) else { continue };
            let flat = |way: DVec3| (way - *normal * way.dot(*normal)).normalize_or_zero();
            let (a, b) = (flat(at - back), flat(next - at));
            let turn = a.cross(b).dot(*normal).atan2(a.dot(b));
            let chains = vec![ended.make_ups.to_vec(), started.make_ups.to_vec()];
            out.push(Corner { point: *point, interior_rad: PI - turn, chains });
        }
    }
    out
}

/// How far along the edge each node of the make-ups starts, and how far before its end each stops, mm.
pub(super) struct Ends([Vec<f64>; 2]);

impl Ends {
    /// Station of a node that would stand at `station_mm` if nothing were cut.
    pub(super) fn station_mm(&self, frames: &[EdgeFrame], node: usize, station_mm: f64) -> f64 {
        let length = frames.last().map_or(0.0, |frame| frame.station_mm);
        let [start, end] = [0, 1].map(|i| self.0.get(i).and_then(|list| list.get(node)).copied().unwrap_or(0.0));
        if length <= 0.0 || start + end >= length {
            station_mm
        } else {
            start + station_mm * (length - start - end) / length
        }
    }
}

/// The ends of one edge; `nodes` from the tangent outward.
pub(super) fn of(edge: &SkinEdge<'_>, corners: &[Corner], nodes: &[Node], thickness_mm: f64) -> Ends {
    let cut = |at_start: bool| {
        let point = if at_start { edge.chain.first() } else { edge.chain.last() };
        let corner = corners.iter().find(|corner| {
            let own = if at_start { corner.chains.get(1) } else { corner.chains.first() };
            Some(&corner.point) == point && own.is_some_and(|own| own.as_slice() == edge.make_ups)
        });
        let other = corner.and_then(|corner| if at_start { corner.chains.first() } else { corner.chains.get(1) });
        match (corner, other) {
            (Some(corner), Some(other)) if is_made(other) => {
                of_corner(edge.make_ups, other, corner.interior_rad, nodes, thickness_mm)
            }
            _ => vec![0.0; nodes.len()],
        }
    };
    Ends([cut(true), cut(false)])
}

fn is_made(make_ups: &[MakeUp]) -> bool {
    make_ups.iter().any(|one| !matches!(one, MakeUp::Raw { .. }))
}

fn is_folded(make_ups: &[MakeUp]) -> bool {
    matches!(make_ups.first(), Some(MakeUp::Flange { .. } | MakeUp::Wired { .. } | MakeUp::Hem { .. }))
}

fn flange(make_ups: &[MakeUp]) -> Option<(f64, f64, Side)> {
    match make_ups.first() {
        Some(MakeUp::Flange { bend_angle_rad, inside_radius_mm, turns, .. }) => {
            Some((bend_angle_rad.at(0.0), *inside_radius_mm, *turns))
        }
        _ => None,
    }
}

fn of_corner(own: &[MakeUp], other: &[MakeUp], interior_rad: f64, nodes: &[Node], thickness_mm: f64) -> Vec<f64> {
    let half = 0.5 * interior_rad;
    let (sin, cos) = (half.sin().max(0.05), half.cos());
    // a leg that stays in the surface does not run past the end of its edge beside one that is folded
    let least = if is_folded(own) && is_folded(other) { f64::NEG_INFINITY } else { 0.0 };
    // outward along the skin's surface, the farther cut of both faces
    let halved = |node: &Node| {
        [0.0, thickness_mm]
            .map(|depth| (0.5 * GAP_MM + node.point(depth).y * cos) / sin)
            .into_iter()
            .fold(least, f64::max)
    };
    let mitred = match (flange(own), flange(other)) {
        (Some((bend, radius, turns)), Some((other_bend, _, other_turns))) if turns == other_turns => {
            let line = mitre(interior_rad, [bend, other_bend], GAP_MM, thickness_mm);
            (line.slope.abs() <= STEEPEST).then_some((line, (radius + thickness_mm) * (0.5 * bend).tan(), bend))
        }
        _ => None,
    };
    let mut along_leg = None;
    nodes
        .iter()
        .enumerate()
        .map(|(k, node)| {
            let Some((line, setback, bend)) = mitred else { return halved(node) };
            // past the fold the chain has turned by the whole bend: from there s counts from the apex
            let turned = nodes.first().map_or(0.0, |first| (node.angle_rad.value - first.angle_rad.value).abs());
            if k == 0 || (turned - bend).abs() > 1e-9 {
                along_leg = None;
                return halved(node);
            }
            let start = *along_leg.get_or_insert(node.point(0.0));
            line.x_mm(setback + start.distance(node.point(0.0)))
        })
        .collect()
}

/// The frame at a station, straight on beyond the ends.
pub(super) fn frame_at(frames: &[EdgeFrame], station_mm: f64) -> Option<EdgeFrame> {
    let next =
        frames.partition_point(|frame| frame.station_mm <= station_mm).clamp(1, frames.len().saturating_sub(1).max(1));
    let (a, b) = (frames.get(next - 1)?, frames.get(next)?);
    let share = (station_mm - a.station_mm) / (b.station_mm - a.station_mm);
    let turn = share.clamp(0.0, 1.0);
    Some(EdgeFrame {
        station_mm,
        at_mm: a.at_mm + (b.at_mm - a.at_mm) * share,
        outward: a.outward.lerp(b.outward, turn).normalize_or_zero(),
        normal: a.normal.lerp(b.normal, turn).normalize_or_zero(),
    })
}
