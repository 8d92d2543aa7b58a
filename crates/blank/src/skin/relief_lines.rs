//! The reliefs of a skin's make-ups as places on the finished piece: corner holes, notches, scallops.

use super::corner::{Corner, Cut};
use super::edge::FlatEdge;
use glam::DVec2;
use section::skin::EdgePlace;
use std::f64::consts::TAU;

/// Points round a corner hole.
const ROUND: u32 = 48;

/// A line of a relief on the piece.
#[derive(Debug, Clone, PartialEq)]
pub struct ReliefLine {
    /// Edge that its places belong to.
    pub edge: usize,
    /// Its places in order.
    pub places: Vec<EdgePlace>,
}

/// Every relief that is cut; `corners[i]` lies before edge i.
pub(super) fn all(edges: &[FlatEdge<'_>], corners: &[Corner], tolerance_mm: f64) -> Vec<ReliefLine> {
    let mut out = Vec::new();
    for (index, edge) in edges.iter().enumerate() {
        let Some(worked) = &edge.worked else { continue };
        for outline in worked.outlines(edge, 0.0, edge.curve.length_mm(), tolerance_mm) {
            let place = |point: &DVec2| on_make_ups(edge, point.x, edge.free_mm(point.x) - edge.trim_mm - point.y);
            out.push(ReliefLine { edge: index, places: outline.iter().filter_map(place).collect() });
        }
    }
    for (after, corner) in corners.iter().enumerate() {
        let before = (after + edges.len() - 1) % edges.len().max(1);
        if let (Some(hole), Some(before_edge), Some(after_edge)) = (corner.relief, edges.get(before), edges.get(after))
        {
            let sides = [Side::of(before_edge, before, true), Side::of(after_edge, after, false)];
            out.extend(round(hole, &sides, &corner.cuts));
        }
    }
    out
}

/// One edge seen from a corner at its end or at its start.
struct Side<'a> {
    edge: &'a FlatEdge<'a>,
    index: usize,
    at_end: bool,
    corner: DVec2,
    /// Along the edge away from the corner, and outward.
    away: DVec2,
    outward: DVec2,
    speed: f64,
    /// Where the make-ups begin, outward of the edge.
    base_mm: f64,
}

impl<'a> Side<'a> {
    fn of(edge: &'a FlatEdge<'a>, index: usize, at_end: bool) -> Self {
        let station = if at_end { edge.curve.length_mm() } else { 0.0 };
        let place = edge.curve.at(station);
        Self {
            edge,
            index,
            at_end,
            corner: place.at_mm,
            away: if at_end { -place.along } else { place.along },
            outward: -place.along.perp(),
            speed: place.speed.max(0.1),
            base_mm: edge.widths.offsets_mm(station).first().copied().unwrap_or(0.0),
        }
    }

    /// Away from the corner and outward, mm of flat.
    fn own(&self, point: DVec2) -> DVec2 {
        let off = point - self.corner;
        DVec2::new(off.dot(self.away), off.dot(self.outward))
    }

    fn station_mm(&self, away_mm: f64) -> f64 {
        let station = away_mm / self.speed;
        if self.at_end { self.edge.curve.length_mm() - station } else { station }
    }

    /// The place on the make-ups, where the metal of this side is.
    fn place(&self, point: DVec2, cut: &Cut) -> Option<EdgePlace> {
        let own = self.own(point);
        (own.y >= self.base_mm && own.x >= cut_mm(cut, own.y)?)
            .then(|| on_make_ups(self.edge, self.station_mm(own.x), own.y))
            .flatten()
    }
}

/// Where the end of a strip is cut at a distance outward; `None` beyond its free edge.
fn cut_mm(cut: &Cut, out_mm: f64) -> Option<f64> {
    let first = cut.first()?;
    if out_mm <= first[1] {
        return Some(first[0]);
    }
    cut.iter().zip(cut.iter().skip(1)).find(|(_, b)| out_mm <= b[1]).map(|(a, b)| {
        let share = if b[1] > a[1] { (out_mm - a[1]) / (b[1] - a[1]) } else { 0.0 };
        a[0] + (b[0] - a[0]) * share
    })
}

/// The parts of a corner's hole that lie on metal: on either strip, and on the sheet between them.
fn round((middle, radius_mm): (DVec2, f64), sides: &[Side<'_>; 2], cuts: &[Cut; 2]) -> Vec<ReliefLine> {
    let place = |i: u32| -> Option<(usize, EdgePlace)> {
        let point = middle + DVec2::from_angle(TAU * f64::from(i) / f64::from(ROUND)) * radius_mm;
        let [before, after] = sides;
        if sides.iter().all(|side| side.own(point).y < side.base_mm) {
            let own = after.own(point);
            let station_mm = after.station_mm(own.x);
            let place = EdgePlace { station_mm, link: 0, fraction: 0.0, in_mm: after.base_mm - own.y };
            return Some((after.index, place));
        }
        let [own, next] = cuts;
        let on = |side: &Side<'_>, cut: &Cut| side.place(point, cut).map(|place| (side.index, place));
        on(before, own).or_else(|| on(after, next))
    };
    let mut out: Vec<ReliefLine> = Vec::new();
    let mut open = false;
    for found in (0..=ROUND).map(place) {
        match (found, out.last_mut()) {
            (Some((edge, place)), Some(line)) if open && line.edge == edge => line.places.push(place),
            (Some((edge, place)), _) => out.push(ReliefLine { edge, places: vec![place] }),
            (None, _) => {}
        }
        open = found.is_some();
    }
    out.retain(|line| line.places.len() > 1);
    out
}

/// The link and share that a distance outward in the flat lies on.
fn on_make_ups(edge: &FlatEdge<'_>, station_mm: f64, out_mm: f64) -> Option<EdgePlace> {
    let offsets = edge.widths.offsets_mm(station_mm.clamp(0.0, edge.curve.length_mm()));
    let mut pairs = offsets.iter().zip(offsets.iter().skip(1)).enumerate();
    let (link, (from, to)) = pairs.clone().find(|(_, (_, to))| out_mm <= **to).or_else(|| pairs.next_back())?;
    let fraction = if to > from { ((out_mm - from) / (to - from)).clamp(0.0, 1.0) } else { 0.0 };
    Some(EdgePlace { station_mm, link, fraction, in_mm: 0.0 })
}
