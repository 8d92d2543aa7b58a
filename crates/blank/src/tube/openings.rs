//! Holes of a tube in its flat.

use super::Development;
use crate::{FlatOpening, HoleFinish, hole_finish};
use glam::DVec2;
use section::Opening;
use section::tube::{TubeCut, Wall, flattened_shape};
use std::f64::consts::PI;

/// A hole that differs from a round one by no more than this is drilled round in the flat, mm (a shop setting, no source).
const ROUND_WITHIN_MM: f64 = 0.1;

pub(super) fn openings(development: &Development<'_>) -> Vec<FlatOpening> {
    let mut out: Vec<FlatOpening> = development.tube.openings.iter().map(|opening| one(development, opening)).collect();
    out.extend(in_flattened_ends(development));
    out
}

fn one(development: &Development<'_>, opening: &Opening) -> FlatOpening {
    let (tube, settings) = (development.tube, development.settings);
    let rim = tube.opening_rim_mm(opening, settings.sampling_tolerance_mm);
    let across = tube.across_mm(opening.from_edge_mm / tube.radius_mm(Wall::Outside));
    let centre_mm = development.flat(opening.along_mm, across);
    let diameter_mm = opening.round_mm();
    let is_round = diameter_mm.is_some_and(|diameter| {
        let off = |point: &DVec2| (point.distance(DVec2::new(opening.along_mm, across)) - 0.5 * diameter).abs();
        rim.iter().map(off).fold(0.0, f64::max) <= ROUND_WITHIN_MM
    });
    let (finish, why) = hole_finish(opening.reach_mm, opening.half_clearance_mm, diameter_mm, settings.pilot_hole_mm);
    let cut_mm = finish.cut_diameter_mm(diameter_mm, settings.pilot_hole_mm);
    let cut_diameter_mm = cut_mm.filter(|_| is_round || finish == HoleFinish::Pilot);
    let outline_mm = (finish == HoleFinish::FullSize && !is_round)
        .then(|| rim.iter().map(|point| development.flat(point.x, point.y)).collect());
    FlatOpening {
        name: opening.name.clone(),
        centre_mm,
        diameter_mm,
        cut_diameter_mm,
        outline_mm,
        finish,
        why,
        along_mm: opening.along_mm,
        from_edge_mm: opening.from_edge_mm,
    }
}

/// The hole of a flattened end goes through both thicknesses: its two centres are marked, and it is drilled when the end is flat.
fn in_flattened_ends(development: &Development<'_>) -> Vec<FlatOpening> {
    let tube = development.tube;
    let mut out = Vec::new();
    for (i, end) in tube.ends.iter().enumerate() {
        let TubeCut::Flattened { transition_mm, face_at_rad, hole: Some(hole), .. } = end.cut else { continue };
        let taken = flattened_shape(tube, transition_mm).taken_up_mm;
        let x = if i == 0 { hole.from_tip_mm - taken } else { tube.length_mm + taken - hole.from_tip_mm };
        for (face, word) in [(0.0, "one face"), (PI, "other face")] {
            out.push(FlatOpening {
                name: format!("hole in the {}, {word}", end.name),
                centre_mm: development.flat(x, tube.across_mm(face_at_rad + face)),
                diameter_mm: Some(hole.diameter_mm),
                cut_diameter_mm: None,
                outline_mm: None,
                finish: HoleFinish::AfterForming,
                why: "both thicknesses are drilled at once when the end is flat, so that they line up".into(),
                along_mm: if i == 0 { hole.from_tip_mm } else { tube.length_mm - hole.from_tip_mm },
                from_edge_mm: tube.radius_mm(Wall::Outside) * (face_at_rad + face),
            });
        }
    }
    out
}
