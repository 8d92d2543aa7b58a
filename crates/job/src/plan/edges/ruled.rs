//! Edges of a piece bent along rulings: its two ends by their names, and the ends of its sheet where it does not close on itself.

use super::{EdgePoint, PieceEdge, reflected_y};
use crate::plan::make::SHAPE_TOLERANCE_MM;
use glam::DVec3;
use section::ruled::{Ruled, Ruling, rulings};

/// Names of the ends of an open sheet.
const ENDS: [&str; 2] = ["first end", "other end"];

/// Edges on the face that carries the piece's edge curves.
pub(in crate::plan) fn of_ruled(piece: &Ruled) -> Vec<PieceEdge> {
    let list = rulings(piece, SHAPE_TOLERANCE_MM);
    let mut edges = Vec::new();
    for (index, edge) in piece.edges.iter().enumerate() {
        let length_mm: f64 = piece.lengths_along(index).iter().sum();
        if length_mm <= 0.0 {
            continue; // the point of a cone
        }
        let mut points: Vec<EdgePoint> = Vec::new();
        for point in list.iter().map(|ruling| along(piece, ruling, index)) {
            if points.last().is_none_or(|last| last.at_mm.distance(point.at_mm) > 1e-9) {
                points.push(point);
            }
        }
        if piece.own_seam {
            points.pop();
        }
        edges.push(PieceEdge::new(edge.name.clone(), points, piece.own_seam).with_length(length_mm));
    }
    if !piece.own_seam {
        let ends = [(list.first(), 1.0), (list.last(), -1.0)];
        edges.extend(ENDS.iter().zip(ends).filter_map(|(name, (ruling, into))| {
            let ruling = ruling?;
            let point =
                |at_mm: DVec3| EdgePoint { at_mm, into_sheet: ruling.m * into, outward: outward(piece, ruling) };
            Some(PieceEdge::new(*name, vec![point(ruling.a_mm), point(ruling.b_mm)], false))
        }));
    }
    if piece.mirrored { edges.into_iter().map(reflected_y).collect() } else { edges }
}

fn outward(piece: &Ruled, ruling: &Ruling) -> DVec3 {
    ruling.normal * piece.outside
}

/// The end of a ruling on edge A (0) or B (1).
fn along(piece: &Ruled, ruling: &Ruling, index: usize) -> EdgePoint {
    let (at_mm, rate, into) =
        if index == 0 { (ruling.a_mm, ruling.a_rate_mm, ruling.e) } else { (ruling.b_mm, ruling.b_rate_mm, -ruling.e) };
    // square to the edge where it moves, along the ruling where it stands still
    let into_sheet = rate.try_normalize().map_or(into, |along| (into - along * into.dot(along)).normalize_or(into));
    EdgePoint { at_mm, into_sheet, outward: outward(piece, ruling) }
}
