//! Edges of a ring: its innermost and its outermost, on the outside face.

use super::{EdgePoint, PieceEdge, reflected_y};
use crate::resolve::RingShape;
use glam::{DVec2, DVec3};
use section::ring::Meridian;
use std::f64::consts::TAU;

/// Points round an edge.
const POINTS: u32 = 180;

/// "inner edge" (of a ring that is open in the middle) and "outer edge", in vehicle axes, of the finished hand.
pub(in crate::plan) fn of_ring(shape: &RingShape) -> Result<Vec<PieceEdge>, String> {
    let ring = &shape.ring;
    let meridian = Meridian::of(ring).map_err(|error| error.to_string())?;
    let half = 0.5 * ring.thickness_mm;
    let mut out = Vec::new();
    let mut edge = |name: &str, at: DVec2, into: DVec2, outward: DVec2| {
        let turned = |way: DVec2, i: u32| {
            let round = DVec2::from_angle(TAU * f64::from(i) / f64::from(POINTS)) * way.x;
            shape.to_vehicle * DVec3::new(round.x, round.y, way.y)
        };
        let point =
            |i: u32| EdgePoint { at_mm: turned(at, i), into_sheet: turned(into, i), outward: turned(outward, i) };
        let edge = PieceEdge::new(name, (0..POINTS).map(point).collect(), true).with_length(TAU * at.x);
        out.push(if shape.mirrored { reflected_y(edge) } else { edge });
    };
    if let Some(link) = meridian.links.first().filter(|_| !ring.is_closed()) {
        let outward = link.normal(0.0);
        edge("inner edge", link.from_mm + outward * half, link.along, outward);
    }
    if let Some(link) = meridian.links.last() {
        let outward = link.normal(link.length_mm);
        // back along the sheet: the normal turned to the left
        edge("outer edge", link.to_mm + outward * half, outward.perp(), outward);
    }
    Ok(out)
}
