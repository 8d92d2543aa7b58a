//! Openings of base and legs, mapped into the flat.

use super::Development;
use crate::{FlatOpening, HoleFinish, hole_finish};
use glam::DVec2;
use section::folded::opening_outline_mm;
use section::{On, Opening};

pub(super) fn openings(development: &Development<'_>) -> Vec<FlatOpening> {
    development.folded.openings.iter().filter_map(|opening| flat_opening(development, opening)).collect()
}

fn flat_opening(development: &Development<'_>, opening: &Opening) -> Option<FlatOpening> {
    let settings = development.settings;
    let (centre_mm, along, away) = place(development, opening)?;
    let diameter_mm = opening.round_mm();
    let outline_mm = diameter_mm.is_none().then(|| {
        let outline = opening_outline_mm(&opening.shape, settings.sampling_tolerance_mm);
        outline.iter().map(|p| centre_mm + along * p.x + away * p.y).collect()
    });
    let (finish, why) = hole_finish(opening.reach_mm, opening.half_clearance_mm, diameter_mm, settings.pilot_hole_mm);
    let cut_diameter_mm = finish.cut_diameter_mm(diameter_mm, settings.pilot_hole_mm);
    Some(FlatOpening {
        name: opening.name.clone(),
        centre_mm,
        diameter_mm,
        cut_diameter_mm,
        // What is cut through the mate leaves nothing to cut in the flat.
        outline_mm: outline_mm.filter(|_| finish == HoleFinish::FullSize),
        finish,
        why,
        along_mm: opening.along_mm,
        from_edge_mm: opening.from_edge_mm,
    })
}

/// Place of an opening in the flat with the directions along and away from its edge.
fn place(development: &Development<'_>, opening: &Opening) -> Option<(DVec2, DVec2, DVec2)> {
    match opening.on {
        On::Skin => Some((DVec2::new(opening.along_mm, opening.from_edge_mm), DVec2::X, DVec2::Y)),
        On::Fold { edge, index } => {
            let edge = development.edges.get(edge)?;
            let leg = edge.layout.parts.get(index)?.leg.as_ref()?;
            let y = edge.leg_y_mm(index) + opening.from_edge_mm - leg.from_apex_mm;
            Some((edge.flat_mm(opening.along_mm, y), edge.layout.along, edge.layout.outward))
        }
        On::StripMakeUp { .. } => None,
    }
}
