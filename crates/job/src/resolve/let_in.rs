//! Openings that are not made in the piece: each has a let-in plate of its own for the fitter to open.
//!
//! The plate is flat: the opening with a margin of sound metal all round, and a lap beyond it that goes behind the panel. Its
//! corners are rounded, because a sharp corner in a weld cracks (common practice, no source).

use super::opening::{self, In};
use super::{Build, Reader, ResolvedPiece, ResolvedShape};
use crate::file::{self, Piece};
use glam::DVec2;
use section::{Base, CornerKind, EdgeFolds, EndCut, Folded, Side};
use std::f64::consts::FRAC_PI_2;

/// A corner of a let-in plate is never sharper than this, mm (common practice, no source).
pub const SHARPEST_MM: f64 = 6.0;
/// Chords of a rounded corner stay this near to it, mm.
const CHORD_MM: f64 = 0.04;

/// A plate with what the fitter does with it.
#[derive(Debug, Clone, PartialEq)]
pub struct LetInPlate {
    /// Name of the plate, a piece of its own.
    pub plate: String,
    /// Name of the opening.
    pub opening: String,
    /// Piece that it is let into.
    pub into: String,
    /// Size over its lap, mm.
    pub size_mm: [f64; 2],
    /// Size of the hole that is cut for it, mm.
    pub hole_mm: [f64; 2],
    /// Lap all round, mm.
    pub lap_mm: f64,
    /// Corner radius of the plate and of the hole, mm.
    pub radius_mm: [f64; 2],
    /// Place of the middle on the piece: along, from the edge, mm.
    pub at_mm: DVec2,
    /// The opening on the plate, about its middle: marked, not cut.
    pub outline_mm: Vec<DVec2>,
    /// The plate goes on metal that is curved.
    pub curved: bool,
}

/// Plates of all pieces, each with the piece to cut.
pub(super) fn all(build: &Build<'_>, reader: &mut Reader) -> Vec<(LetInPlate, ResolvedPiece)> {
    reader.unit(build.source.unit);
    let mut out = Vec::new();
    for piece in build.source.pieces {
        let curved = matches!(piece, Piece::Skin(_) | Piece::Tube(_));
        let within = match piece {
            Piece::Folded(_) => In::Folded,
            Piece::Skin(_) => In::Skin,
            _ => In::Strip,
        };
        for own in crate::read::piece_openings(piece) {
            let Some(let_in) = &own.let_in else { continue };
            if !build.source.is_on(own.when.as_deref(), own.unless.as_deref()) {
                continue;
            }
            let field = format!("{}.piece.{}.opening.{}", build.source.path, crate::read::piece_name(piece), own.name);
            out.extend(one(build, piece, own, let_in, (within, curved), &field, reader));
        }
    }
    out
}

fn one(
    build: &Build<'_>,
    piece: &Piece,
    own: &file::Opening,
    let_in: &file::LetIn,
    (within, curved): (In, bool),
    field: &str,
    reader: &mut Reader,
) -> Option<(LetInPlate, ResolvedPiece)> {
    let opening = opening::one(build, own, within, field, reader)?;
    let field = format!("{field}.let_in");
    let margin_mm = reader.positive(&format!("{field}.margin"), &let_in.margin);
    let lap_mm = reader.length(&format!("{field}.lap"), &let_in.lap);
    let radius_mm = reader.positive(&format!("{field}.corner_radius"), &let_in.corner_radius);
    let (thickness, material) = crate::read::piece_sheet(piece);
    let thickness_mm = super::strip::sheet(thickness, material, &field, build, reader);
    if radius_mm - lap_mm < SHARPEST_MM {
        let least_mm = SHARPEST_MM + lap_mm;
        let message = format!(
            "is {radius_mm:.1} mm, which leaves {:.1} mm at the hole that is cut, inside the lap of {lap_mm:.1} mm: a sharp corner in a weld cracks; {least_mm:.1} mm or more is accepted",
            radius_mm - lap_mm
        );
        reader.fault(format!("{field}.corner_radius"), message);
    }
    let [low, high] = opening.shape.bounds_mm();
    let inner_mm = (high - low) + DVec2::splat(2.0 * margin_mm);
    let size_mm = inner_mm + DVec2::splat(2.0 * lap_mm);
    if 2.0 * radius_mm > size_mm.min_element() {
        let message = format!(
            "is {radius_mm:.1} mm on a plate {:.1} mm wide; at most {:.1} mm is accepted",
            size_mm.min_element(),
            0.5 * size_mm.min_element()
        );
        reader.fault(format!("{field}.corner_radius"), message);
    }
    if !(size_mm.is_finite() && radius_mm.is_finite() && thickness_mm.is_finite()) || reader.is_faulty() {
        return None;
    }
    let name = format!("let-in plate for {}", own.name);
    // the plate's own zero is its lower left corner; the opening's box lies in its middle
    let middle = 0.5 * size_mm;
    let shift = middle - 0.5 * (low + high);
    let outline_mm = opening.shape.outline_mm(0.02).into_iter().map(|point| point + shift).collect();
    let plate = LetInPlate {
        plate: name.clone(),
        opening: own.name.clone(),
        into: crate::read::piece_name(piece).to_owned(),
        size_mm: size_mm.to_array(),
        hole_mm: inner_mm.to_array(),
        lap_mm,
        radius_mm: [radius_mm, radius_mm - lap_mm],
        at_mm: DVec2::new(opening.along_mm, opening.from_edge_mm) + 0.5 * (low + high),
        outline_mm,
        curved,
    };
    let corners_mm = rounded(size_mm, radius_mm);
    Some((plate, flat(build, name, corners_mm, thickness_mm, material)))
}

/// A flat piece with a plain outline.
fn flat(build: &Build<'_>, name: String, corners_mm: Vec<DVec2>, thickness_mm: f64, material: &str) -> ResolvedPiece {
    let raw = EdgeFolds {
        make_ups: Vec::new(),
        start_cut: EndCut::Meet { gap_mm: 0.0 },
        end_cut: EndCut::Meet { gap_mm: 0.0 },
    };
    let count = corners_mm.len();
    ResolvedPiece {
        shape: ResolvedShape::Folded(Box::new(Folded {
            name,
            hand: build.placed.hand,
            mirrored: build.placed.mirrored,
            face_up_is: Side::Outside,
            base: Base { corners_mm },
            edges: vec![raw; count],
            corners: vec![CornerKind::Open { relief_mm: None }; count],
            thickness_mm,
            material: material.to_owned(),
            openings: Vec::new(),
            reach_mm: 0.0,
        })),
        wire_stands_out_mm: None,
        held_line: None,
        end_names: [String::new(), String::new()],
        mate: None,
        directions: "its x runs along the piece, its y away from the edge".into(),
    }
}

/// A rectangle from 0, 0 with rounded corners, anticlockwise.
pub(super) fn rounded(size_mm: DVec2, radius_mm: f64) -> Vec<DVec2> {
    let turn = 2.0 * (1.0 - (CHORD_MM / radius_mm).min(0.5)).acos();
    let steps = ((FRAC_PI_2 / turn).ceil() as usize).clamp(2, 90);
    let (right, top) = (size_mm.x - radius_mm, size_mm.y - radius_mm);
    let middles = [(right, radius_mm, -1.0), (right, top, 0.0), (radius_mm, top, 1.0), (radius_mm, radius_mm, 2.0)];
    let mut out: Vec<DVec2> = Vec::with_capacity(4 * (steps + 1));
    for (x, y, quarter) in middles {
        for step in 0..=steps {
            let angle = FRAC_PI_2 * (quarter + step as f64 / steps as f64);
            let point = DVec2::new(x, y) + DVec2::from_angle(angle) * radius_mm;
            if out.last().is_none_or(|last| last.distance(point) > 0.2) {
                out.push(point);
            }
        }
    }
    if out.len() > 1 && out.first().zip(out.last()).is_some_and(|(a, b)| a.distance(*b) <= 0.2) {
        out.pop();
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use mesh::polygon::{check_simple, signed_area_mm2};

    /// Area by hand: the rectangle less (4 − π)·r².
    #[test]
    fn a_rounded_rectangle_has_its_area() {
        let outline = rounded(DVec2::new(120.0, 80.0), 20.0);
        assert!(check_simple(&outline).is_ok());
        let wanted = 120.0 * 80.0 - (4.0 - std::f64::consts::PI) * 400.0;
        assert!((signed_area_mm2(&outline) / wanted - 1.0).abs() < 1e-3);
        let round = rounded(DVec2::splat(50.0), 25.0);
        assert!(
            check_simple(&round).is_ok()
                && (signed_area_mm2(&round) / (std::f64::consts::PI * 625.0) - 1.0).abs() < 5e-3
        );
    }
}
