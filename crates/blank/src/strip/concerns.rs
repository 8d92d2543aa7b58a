//! What the shop must know before it cuts the flat of a strip.

use super::flat::Flat;
use super::{openings, wires};
use crate::{Crown, CrownVerdict, FlatFold, FoldKind};
use handbook::shop_rules::WireEnd;
use handbook::{Concern, Grade, LiftedBy, holes, min_radius};

/// All concerns of the development.
pub(super) fn all(flat: &Flat<'_>, crown: Option<&Crown>, folds: &[FlatFold]) -> Vec<Concern> {
    let mut out = Vec::new();
    out.extend(flat.edges.iter().flat_map(|edge| edge.concerns()));
    out.extend(crown.and_then(|crown| crowned(flat, crown)));
    out.extend(folds.iter().filter_map(|fold| tight(flat, fold)));
    out.extend(folds.iter().filter_map(|fold| elastic(flat, fold)));
    out.extend(near_the_edge(flat));
    out.extend(wire_ends(flat));
    out
}

fn concern(flat: &Flat<'_>, key: &str, grade: Grade, place: &str, texts: [String; 3], source: &str) -> Concern {
    let [what, why, what_to_do] = texts;
    Concern {
        key: key.into(),
        grade,
        place: format!("{}, {place}", flat.strip().name),
        what,
        why,
        what_to_do,
        lifted_by: (grade == Grade::Stop).then_some(LiftedBy::Shop),
        source: source.into(),
    }
}

fn crowned(flat: &Flat<'_>, crown: &Crown) -> Option<Concern> {
    let place = format!("station {:.0} mm", crown.station_mm);
    let strain = crown.strain_percent;
    match crown.verdict {
        CrownVerdict::SpringsToShape => None,
        CrownVerdict::Wheel => {
            let texts = [
                format!("crowned both ways: edge and middle differ by {strain:.2} %"),
                "folding and rolling alone leave the edges tight or the middle loose".to_owned(),
                "wheel the middle or shrink the edges after rolling, checking against the templates".to_owned(),
            ];
            Some(concern(flat, "crown", Grade::Note, &place, texts, "S24, H3"))
        }
        CrownVerdict::WheeledSkin => {
            let lower = match crown.highest_strip_mm {
                Some(highest) => {
                    format!("make it as a wheeled skin, or cut lower: a strip up to {highest:.0} mm would still do")
                }
                None => "make it as a wheeled skin".to_owned(),
            };
            let texts = [
                format!("crowned both ways: edge and middle differ by {strain:.2} %"),
                "a strip cannot be stretched that far by folding and rolling".to_owned(),
                lower,
            ];
            Some(concern(flat, "crown", Grade::Caution, &place, texts, "S24, H3"))
        }
    }
}

fn tight(flat: &Flat<'_>, fold: &FlatFold) -> Option<Concern> {
    if fold.kind != FoldKind::Fold {
        return None;
    }
    let strip = flat.strip();
    let least = min_radius::for_material(crate::material_of(&strip.material)?, strip.thickness_mm).ok()?;
    if fold.inside_radius_mm >= least.value - 1e-9 {
        return None;
    }
    let texts = [
        format!("inside radius {:.2} mm is below the {:.2} mm of this sheet", fold.inside_radius_mm, least.value),
        "the outside of the bend may crack".to_owned(),
        "fold over a larger radius, or anneal".to_owned(),
    ];
    Some(concern(flat, "radius-too-small", Grade::Caution, &fold.name, texts, &least.source.id))
}

fn elastic(flat: &Flat<'_>, fold: &FlatFold) -> Option<Concern> {
    // Known to stay elastic only where the metal is known.
    flat.settings.elastic(&flat.strip().material)?;
    if fold.fold_to_rad.is_some() {
        return None;
    }
    let texts = [
        format!("a radius of {:.0} mm is so large that the sheet stays elastic", fold.inside_radius_mm),
        "it springs flat again when the rolls let go".to_owned(),
        "take it as sprung into place and held by its edges, or wheel it to shape".to_owned(),
    ];
    Some(concern(flat, "stays-elastic", Grade::Note, &fold.name, texts, "P3"))
}

/// Bolt holes nearer to the free edge than two bolt diameters (handbook F18).
fn near_the_edge(flat: &Flat<'_>) -> Vec<Concern> {
    let strip = flat.strip();
    let one = |opening: &section::Opening| {
        let clearance = opening.half_clearance_mm?;
        let bolt = opening.round_mm()? - 2.0 * clearance;
        let least = holes::least_edge_distance(bolt).ok()?;
        let [_, free] = flat.swept.leg_range_mm(opening.on, opening.along_mm)?;
        let to_edge = free - opening.from_edge_mm;
        if to_edge >= least.value - 1e-9 || to_edge < openings::half_size_mm(&opening.shape) {
            return None;
        }
        let texts = [
            format!("its middle is {to_edge:.1} mm from the free edge; two bolt diameters are {:.1} mm", least.value),
            "the bolt may tear out".to_owned(),
            "widen the flange, move the holes, or accept it where the old part had the same".to_owned(),
        ];
        Some(concern(flat, "hole-near-edge", Grade::Note, &opening.name, texts, "F18"))
    };
    strip.openings.iter().filter_map(one).collect()
}

fn wire_ends(flat: &Flat<'_>) -> Option<Concern> {
    flat.swept.wired().next()?;
    if !flat.settings.strip.wire_ends.iter().any(|end| matches!(end, WireEnd::Ask)) {
        return None;
    }
    let [start, end] = wires::ends(flat).map(|end| end.adds_mm().unwrap_or(0.0));
    let texts = [
        format!("nobody has said how the wire ends; taken as standing out {start:.0} mm and {end:.0} mm"),
        "a wire that is too short cannot be joined to the old one".to_owned(),
        "ask: standing out 25 to 40 mm, flush, or short so that the old wire enters".to_owned(),
    ];
    Some(concern(flat, "wire-ends", Grade::Note, "wire", texts, "H10"))
}
