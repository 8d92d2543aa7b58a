//! Folded pieces, lengthened where they were measured.

use super::make_up::{self, On};
use super::opening::{self, In};
use super::strip;
use super::{Build, Reader, ResolvedPiece, ResolvedShape};
use crate::file::{self, Role};
use glam::DVec2;
use section::{Base, CornerKind, EdgeFolds, EndCut, Folded, Opening, Side};

pub(super) fn piece(build: &Build<'_>, folded: &file::Folded, reader: &mut Reader) -> Option<ResolvedPiece> {
    let field = format!("{}.piece.{}", build.source.path, folded.name);
    let thickness_mm = strip::sheet(&folded.thickness, &folded.material, &field, build, reader);
    let corners_mm: Vec<DVec2> = folded
        .base
        .iter()
        .enumerate()
        .map(|(i, [x, y])| {
            let field = format!("{field}.base.{i}");
            DVec2::new(reader.signed(&field, x), reader.signed(&field, y))
        })
        .collect();
    let count = corners_mm.len();
    let mut edges: Vec<EdgeFolds> = vec![
        EdgeFolds {
            make_ups: Vec::new(),
            start_cut: EndCut::Meet { gap_mm: 0.0 },
            end_cut: EndCut::Meet { gap_mm: 0.0 }
        };
        count
    ];
    let mut wire_stands_out_mm = None;
    for edge in &folded.edges {
        let path = format!("{field}.edge.{}", edge.edge);
        let make_ups = format!("{path}.make_ups");
        let on = On { field: &make_ups, thickness_mm, leg_width_mm: strip::leg_width(build, &folded.name, edge.edge) };
        let chain = make_up::chain(build, &edge.make_ups, on, reader);
        wire_stands_out_mm = wire_stands_out_mm.or(chain.wire_stands_out_mm);
        let start_cut = end_cut(&edge.start_cut, &format!("{path}.start_cut"), reader);
        let end_cut = end_cut(&edge.end_cut, &format!("{path}.end_cut"), reader);
        match edges.get_mut(edge.edge) {
            Some(place) => *place = EdgeFolds { make_ups: chain.make_ups, start_cut, end_cut },
            None => reader.fault(
                format!("{path}.edge"),
                format!("is {}; the base has edges 0 to {}", edge.edge, count.saturating_sub(1)),
            ),
        }
    }
    for corner in folded.open_corners.iter().filter(|corner| **corner >= count) {
        reader.fault(
            format!("{field}.open_corners"),
            format!("{corner} is no corner; the base has 0 to {}", count.saturating_sub(1)),
        );
    }
    let relief_mm = folded.relief.as_ref().map(|relief| reader.positive(&format!("{field}.relief"), relief));
    let corners = (0..count)
        .map(|i| {
            if folded.open_corners.contains(&i) {
                CornerKind::Open { relief_mm }
            } else {
                CornerKind::Welded { relief_mm }
            }
        })
        .collect();
    let openings = opening::all(build, &folded.openings, In::Folded, &field, reader);
    let (corners_mm, openings) = lengthened(build, &folded.name, corners_mm, openings, reader);
    Some(ResolvedPiece {
        shape: ResolvedShape::Folded(Box::new(Folded {
            name: folded.name.clone(),
            hand: build.placed.hand,
            mirrored: build.placed.mirrored,
            face_up_is: match folded.face_up_is {
                file::Turns::Inside => Side::Inside,
                file::Turns::Outside => Side::Outside,
            },
            base: Base { corners_mm },
            edges,
            corners,
            thickness_mm,
            material: folded.material.clone(),
            openings,
            reach_mm: reach(build, &folded.name),
        })),
        wire_stands_out_mm,
        held_line: None,
        end_names: [String::new(), String::new()],
        mate: None,
        directions: folded.directions.clone(),
    })
}

fn end_cut(cut: &file::EndCut, field: &str, reader: &mut Reader) -> EndCut {
    match cut {
        file::EndCut::Meet(gap) => EndCut::Meet { gap_mm: reader.length(field, gap) },
        file::EndCut::SetBack(back) => EndCut::SetBack { back_mm: reader.signed(field, back) },
        file::EndCut::Angle(angle) => EndCut::Angle { angle_rad: reader.angle(field, angle) },
    }
}

/// Largest reach of the figures that size a folded piece.
fn reach(build: &Build<'_>, name: &str) -> f64 {
    let Some(pattern) = build.source.pattern else { return 0.0 };
    let sizes = |role: &Role| role.pieces().any(|piece| piece == name);
    pattern
        .measurements
        .iter()
        .filter(|measurement| sizes(&measurement.role))
        .filter_map(|measurement| build.values.by_id.get(&measurement.id))
        .map(|value| value.reach_mm)
        .fold(0.0, f64::max)
}

/// Moves everything beyond each line by measured − nominal; openings on legs are laid off again from their moved corner.
fn lengthened(
    build: &Build<'_>,
    name: &str,
    mut corners: Vec<DVec2>,
    mut openings: Vec<Opening>,
    reader: &mut Reader,
) -> (Vec<DVec2>, Vec<Opening>) {
    let Some(pattern) = build.source.pattern else { return (corners, openings) };
    for measurement in &pattern.measurements {
        let (axis, beyond) = match &measurement.role {
            role @ Role::LengthenAlongX { beyond, .. } if role.pieces().any(|piece| piece == name) => {
                (DVec2::X, beyond)
            }
            role @ Role::LengthenAlongY { beyond, .. } if role.pieces().any(|piece| piece == name) => {
                (DVec2::Y, beyond)
            }
            _ => continue,
        };
        let Some(value) = build.values.by_id.get(&measurement.id) else { continue };
        let field = format!("pattern.{}.measurement.{}.role.beyond", pattern.id, measurement.id);
        let line_mm = reader.signed(&field, beyond);
        let by = axis * (value.mm - value.nominal_mm);
        let moved = |point: DVec2| if point.dot(axis) > line_mm { point + by } else { point };
        let before = corners.clone();
        for corner in &mut corners {
            *corner = moved(*corner);
        }
        for opening in &mut openings {
            move_opening(opening, &before, &corners, moved);
        }
    }
    (corners, openings)
}

fn move_opening(opening: &mut Opening, before: &[DVec2], after: &[DVec2], moved: impl Fn(DVec2) -> DVec2) {
    match opening.on {
        section::On::Skin => {
            let place = moved(DVec2::new(opening.along_mm, opening.from_edge_mm));
            (opening.along_mm, opening.from_edge_mm) = (place.x, place.y);
        }
        section::On::Fold { edge, .. } => {
            let next = |corners: &[DVec2]| corners.get((edge + 1) % corners.len().max(1)).copied();
            let (Some(first), Some(second)) = (before.get(edge), next(before)) else { return };
            let (Some(new_first), Some(new_second)) = (after.get(edge), next(after)) else { return };
            let along = (second - *first).normalize_or_zero();
            let new_along = (new_second - *new_first).normalize_or_zero();
            let place = moved(*first + along * opening.along_mm);
            opening.along_mm = (place - *new_first).dot(new_along);
        }
        section::On::StripMakeUp { .. } => {}
    }
}
