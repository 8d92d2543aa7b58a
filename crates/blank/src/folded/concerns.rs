//! What to know before cutting a folded piece.
//!
//! Rules of reach on the folder, stated here because they are the trade's and have no source: a flange between two
//! flanges that already stand needs fingers that fit between them; a return that overhangs the base keeps the clamping
//! fingers from being lifted out.

use super::Development;
use super::folds::FlatEdge;
use crate::material_of;
use glam::DVec2;
use handbook::min_radius;
use handbook::{Concern, Grade};
use mesh::polygon::distance_to_sides_mm;
use section::folded::{Bend, BendKind, opening_outline_mm};
use section::{On, Opening};

pub(super) fn concerns(development: &Development<'_>) -> Vec<Concern> {
    let mut list = Vec::new();
    for edge in &development.edges {
        radius(development, edge, &mut list);
        springback(development, edge, &mut list);
        between_neighbours(development, edge, &mut list);
        overhang(edge, &mut list);
        relief_in_leg(development, edge, &mut list);
        wire_ends(edge, &mut list);
    }
    for opening in &development.folded.openings {
        near_bend(development, opening, &mut list);
    }
    list
}

fn concern(key: &str, grade: Grade, place: String, what: String, why: &str, what_to_do: &str, source: &str) -> Concern {
    Concern {
        key: key.to_owned(),
        grade,
        place,
        what,
        why: why.to_owned(),
        what_to_do: what_to_do.to_owned(),
        lifted_by: None,
        source: source.to_owned(),
    }
}

const COMMON: &str = "common practice, no source";

fn folds<'a>(edge: &'a FlatEdge<'_>) -> impl Iterator<Item = (String, &'a Bend)> {
    let bends = edge.layout.parts.iter().filter_map(|part| part.bend.as_ref().map(|bend| (edge.place(part), bend)));
    bends.filter(|(_, bend)| bend.kind == BendKind::Fold)
}

fn radius(development: &Development<'_>, edge: &FlatEdge<'_>, list: &mut Vec<Concern>) {
    let Some(material) = material_of(&development.folded.material) else { return };
    let Ok(least) = min_radius::for_material(material, development.folded.thickness_mm) else { return };
    for (place, bend) in folds(edge).filter(|(_, bend)| bend.inside_radius_mm < least.value - 1e-9) {
        list.push(concern(
            "radius-under-least",
            Grade::Caution,
            place,
            format!("inside radius {:.2} mm; the least for this sheet is {:.2} mm", bend.inside_radius_mm, least.value),
            "the outside of the bend may crack",
            "fold over a larger nose, or try it on an offcut of the same sheet across the grain",
            &least.source.text,
        ));
    }
}

fn springback(development: &Development<'_>, edge: &FlatEdge<'_>, list: &mut Vec<Concern>) {
    let known = development.settings.elastic(&development.folded.material).is_some();
    for (part, flat) in edge.layout.parts.iter().zip(&edge.bends) {
        let fold = part.bend.as_ref().is_some_and(|bend| bend.kind == BendKind::Fold);
        if !fold || flat.fold_to_rad.is_some() {
            continue;
        }
        let what = if known {
            "the sheet springs back flat from this radius"
        } else {
            "no springback is known for this material"
        };
        list.push(concern(
            "no-over-bend",
            Grade::Caution,
            edge.place(part),
            what.to_owned(),
            "the angle to fold to is not given",
            "fold an offcut first and measure what it springs back; roll a radius that does not set",
            "Gardiner, handbook P1",
        ));
    }
}

fn first_number(edge: &FlatEdge<'_>) -> Option<(usize, f64)> {
    let part = edge.layout.parts.first()?;
    let bend = part.bend.as_ref().filter(|bend| bend.kind == BendKind::Fold)?;
    Some((part.number, bend.turned_rad.signum()))
}

/// The flange that is folded when both neighbours already stand the same way.
fn between_neighbours(development: &Development<'_>, edge: &FlatEdge<'_>, list: &mut Vec<Concern>) {
    let count = development.edges.len();
    let neighbour = |step: usize| development.edges.get((edge.index + step) % count.max(1)).and_then(first_number);
    let (Some((number, _)), Some(before), Some(after)) = (first_number(edge), neighbour(count - 1), neighbour(1))
    else {
        return;
    };
    if before.0 > number || after.0 > number || before.1 != after.1 {
        return;
    }
    let [from, to] = edge.layout.crossing_x_mm;
    let Some(part) = edge.layout.parts.first() else { return };
    list.push(concern(
        "fold-between-standing-flanges",
        Grade::Caution,
        edge.place(part),
        format!(
            "both neighbouring flanges already stand when this one is folded; {:.1} mm is clear between them",
            to - from
        ),
        "a folder with one long clamping bar cannot reach it",
        "use fingers whose widths add up to no more than the clear length, or leave this flange as a separate piece",
        COMMON,
    ));
}

/// A return that lies over the base when the base's own fold is made.
fn overhang(edge: &FlatEdge<'_>, list: &mut Vec<Concern>) {
    let Some((part, first)) = edge.layout.parts.first().and_then(|part| part.bend.as_ref().map(|bend| (part, bend)))
    else {
        return;
    };
    let later = edge.layout.parts.iter().skip(1).filter_map(|part| part.leg.as_ref());
    let apex_n = first.pose.underside_mm.x;
    let reach = later.map(|leg| apex_n - leg.pose.straight(leg.length_mm).underside_mm.x).fold(0.0, f64::max);
    let back = edge.layout.parts.iter().skip(1).filter_map(|part| part.bend.as_ref());
    let same_way = back.into_iter().any(|bend| bend.turned_rad * first.turned_rad > 0.0 && bend.kind == BendKind::Fold);
    if !same_way || reach <= 0.0 {
        return;
    }
    list.push(concern(
        "return-overhangs-clamp",
        Grade::Caution,
        edge.place(part),
        format!("the return lies {reach:.1} mm over the base beyond the bend line once this fold is made"),
        "the clamping fingers stand under it and cannot be lifted straight out",
        "fold with fingers that draw out sideways between the ends, or fold the return last with a narrow nose",
        COMMON,
    ));
}

fn relief_in_leg(development: &Development<'_>, edge: &FlatEdge<'_>, list: &mut Vec<Concern>) {
    let radii = development.layout.relief_radii_mm(edge.index);
    let Some((part, length)) = edge.layout.parts.first().zip(edge.lengths_mm.first()) else { return };
    let deepest = radii.into_iter().fold(0.0, f64::max);
    if part.bend.is_none() || deepest <= *length {
        return;
    }
    list.push(concern(
        "relief-reaches-leg",
        Grade::Note,
        edge.place(part),
        format!("the relief hole (Ø {:.1} mm) reaches {:.1} mm into the leg", 2.0 * deepest, deepest - length),
        "it leaves a small opening at the foot of the corner",
        "close it with the corner weld, or drain through it on purpose",
        "handbook F1-F3",
    ));
}

fn wire_ends(edge: &FlatEdge<'_>, list: &mut Vec<Concern>) {
    for part in &edge.layout.parts {
        if matches!(&part.bend, Some(Bend { kind: BendKind::Curl { .. }, .. })) {
            list.push(concern(
                "wire-ends-flush",
                Grade::Note,
                edge.place(part),
                "the wire is cut flush with the sheet at both ends".to_owned(),
                "some edges want it to stand out, or short so that the old wire enters",
                "ask, and change its length before cutting",
                "handbook H10",
            ));
        }
    }
}

/// An opening closer to a bend or an edge than twice the thickness and the inside radius.
fn near_bend(development: &Development<'_>, opening: &Opening, list: &mut Vec<Concern>) {
    let layout = development.layout;
    let (region, centre, radius) = match opening.on {
        On::Skin => {
            let bends = layout.edges.iter().filter_map(|edge| edge.parts.first().and_then(|part| part.bend.as_ref()));
            let radius = bends.map(|bend| bend.inside_radius_mm).fold(0.0, f64::max);
            (layout.base_outline_mm(0.05), DVec2::new(opening.along_mm, opening.from_edge_mm), radius)
        }
        On::Fold { edge, index } => {
            let Some((layout, leg)) = layout.leg(edge, index) else { return };
            let radius =
                layout.parts.get(index).and_then(|part| part.bend.as_ref()).map_or(0.0, |bend| bend.inside_radius_mm);
            (leg.outline_mm(), DVec2::new(opening.along_mm, opening.from_edge_mm - leg.from_apex_mm), radius)
        }
        On::StripMakeUp { .. } => return,
    };
    let outline = opening_outline_mm(&opening.shape, 0.05);
    let clear = outline.iter().map(|p| distance_to_sides_mm(&region, centre + *p)).fold(f64::INFINITY, f64::min);
    let need = 2.0 * development.folded.thickness_mm + radius;
    if clear >= need {
        return;
    }
    list.push(concern(
        "opening-near-bend",
        Grade::Caution,
        opening.name.clone(),
        format!(
            "{clear:.1} mm of flat metal between it and the nearest bend line, relief or edge; {need:.1} mm is wanted"
        ),
        "it is drawn out of shape when the fold is made, or tears out",
        "move it, make it smaller, or drill it after folding",
        COMMON,
    ));
}
