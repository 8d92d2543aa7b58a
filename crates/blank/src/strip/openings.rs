//! Openings mapped into the flat.

use super::flat::Flat;
use crate::{FlatOpening, HoleFinish, hole_finish};
use glam::DVec2;
use section::{On, Opening, OpeningShape, StripEdge};

/// Every opening in the flat, each through its own fold.
pub(super) fn all(flat: &Flat<'_>) -> Vec<FlatOpening> {
    flat.strip().openings.iter().filter_map(|opening| one(flat, opening)).collect()
}

fn one(flat: &Flat<'_>, opening: &Opening) -> Option<FlatOpening> {
    let station = opening.along_mm;
    let cut = flat.cut(station);
    let at = flat.swept.on_chain(&cut.profile, opening.on, station, opening.from_edge_mm)?;
    let centre_mm = flat.point(&cut, cut.distance_mm(at));
    let diameter_mm = opening.round_mm();
    let pilot = flat.settings.pilot_hole_mm;
    let (finish, why) = hole_finish(opening.reach_mm, opening.half_clearance_mm, diameter_mm, pilot);
    let cut_diameter_mm = finish.cut_diameter_mm(diameter_mm, pilot);
    // what is cut through the mate leaves nothing to cut in the flat
    let outline_mm = (diameter_mm.is_none() && finish == HoleFinish::FullSize).then(|| {
        let away = match opening.on {
            On::StripMakeUp { edge: StripEdge::Finished, .. } => -1.0,
            _ => 1.0,
        };
        let across = flat.across(&cut);
        let along = -across.perp();
        let place = |local: &DVec2| centre_mm + along * local.x + across * (local.y * away);
        let mut outline: Vec<DVec2> =
            opening.shape.outline_mm(flat.settings.sampling_tolerance_mm).iter().map(place).collect();
        if away < 0.0 {
            outline.reverse();
        }
        outline
    });
    Some(FlatOpening {
        name: opening.name.clone(),
        centre_mm,
        diameter_mm,
        cut_diameter_mm,
        outline_mm,
        finish,
        why,
        along_mm: opening.along_mm,
        from_edge_mm: opening.from_edge_mm,
    })
}

/// What an opening takes from the area of the flat as it is cut.
pub(super) fn area_mm2(opening: &FlatOpening) -> f64 {
    if opening.finish == HoleFinish::ThroughMate {
        return 0.0;
    }
    let round = opening.cut_diameter_mm.map_or(0.0, |d| 0.25 * std::f64::consts::PI * d * d);
    let other = opening.outline_mm.as_deref().map_or(0.0, |outline| mesh::polygon::signed_area_mm2(outline).abs());
    round + other
}

/// Middle of the largest extent of a shape, for edge distances: half its size away from the edge.
pub(super) fn half_size_mm(shape: &OpeningShape) -> f64 {
    let [low, high] = shape.bounds_mm();
    0.5 * (high.y - low.y)
}
