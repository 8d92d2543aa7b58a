//! Openings: place, shape, what must line up.

use super::{Build, Reader};
use crate::file;
use glam::DVec2;
use handbook::holes::{Bolt, Fit};
use section::{On, Opening, OpeningShape, StripEdge};

/// Which kind of piece an opening is in: it decides how `on` is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum In {
    Strip,
    Folded,
    Skin,
    Tube,
}

pub(super) fn all(
    build: &Build<'_>,
    openings: &[file::Opening],
    within: In,
    field: &str,
    reader: &mut Reader,
) -> Vec<Opening> {
    openings
        .iter()
        .filter(|opening| opening.let_in.is_none()) // a plate of its own is supplied instead
        .filter(|opening| build.source.is_on(opening.when.as_deref(), opening.unless.as_deref()))
        .filter_map(|opening| one(build, opening, within, &format!("{field}.opening.{}", opening.name), reader))
        .collect()
}

pub(super) fn one(
    build: &Build<'_>,
    opening: &file::Opening,
    within: In,
    field: &str,
    reader: &mut Reader,
) -> Option<Opening> {
    let on = place(&opening.on, within, field, reader)?;
    let (shape, half_clearance_mm) = shape(opening, field, reader)?;
    let reach_mm = opening
        .reach
        .as_ref()
        .map_or(build.shop.allowances.hole_reach_mm, |reach| reader.length(&format!("{field}.reach"), reach));
    Some(Opening {
        name: opening.name.clone(),
        on,
        along_mm: reader.signed(&format!("{field}.along"), &opening.along),
        from_edge_mm: reader.signed(&format!("{field}.from_edge"), &opening.from_edge),
        shape,
        reach_mm,
        half_clearance_mm,
    })
}

pub(super) fn place(on: &str, within: In, field: &str, reader: &mut Reader) -> Option<On> {
    let mut words = on.split_whitespace();
    let first = words.next();
    let number = words.next();
    let index = |text: Option<&str>| text.map_or(Some(0), |text| text.parse::<usize>().ok());
    let found = match (within, first) {
        (In::Strip | In::Skin, None | Some("skin")) | (In::Tube, None) | (In::Folded, None | Some("base")) => {
            Some(On::Skin)
        }
        (In::Strip, Some("finished")) => {
            index(number).map(|index| On::StripMakeUp { edge: StripEdge::Finished, index })
        }
        (In::Strip, Some("cut")) => index(number).map(|index| On::StripMakeUp { edge: StripEdge::Cut, index }),
        (In::Folded, Some("fold")) => number.and_then(|text| {
            let (edge, index) = text.split_once('.').unwrap_or((text, "0"));
            Some(On::Fold { edge: edge.parse().ok()?, index: index.parse().ok()? })
        }),
        _ => None,
    };
    if found.is_none() || words.next().is_some() {
        let accepted = match within {
            In::Strip => "\"skin\", \"finished 0\" or \"cut 0\"",
            In::Folded => "\"base\", \"fold 2\" or \"fold 2.1\"",
            In::Skin => "\"skin\", or leave it out",
            In::Tube => "nothing: a tube has one wall",
        };
        reader.fault(format!("{field}.on"), format!("\"{on}\" is no place; write {accepted}"));
        return None;
    }
    found
}

fn shape(opening: &file::Opening, field: &str, reader: &mut Reader) -> Option<(OpeningShape, Option<f64>)> {
    if opening.corner_radius.is_some() && opening.rectangle.is_none() {
        reader.fault(format!("{field}.corner_radius"), "belongs to a rectangle; leave it out, or give rectangle");
    }
    if let Some([length, width]) = &opening.rectangle {
        let others =
            [opening.diameter.is_some(), opening.bolt.is_some(), opening.slot.is_some(), opening.corners.is_some()];
        if others.contains(&true) {
            reader.fault(field, SHAPES);
            return None;
        }
        return rectangle(opening, [length, width], field, reader);
    }
    match (&opening.diameter, &opening.bolt, &opening.slot, &opening.corners) {
        (Some(diameter), None, None, None) => {
            Some((OpeningShape::Round { diameter_mm: reader.positive(&format!("{field}.diameter"), diameter) }, None))
        }
        (None, Some(bolt), None, None) => {
            let (diameter_mm, half) = bolt_hole(bolt, &format!("{field}.bolt"), reader)?;
            Some((OpeningShape::Round { diameter_mm }, Some(half)))
        }
        (None, None, Some([length, width]), None) => {
            let angle_rad =
                opening.turned.as_ref().map_or(0.0, |turned| reader.angle(&format!("{field}.turned"), turned));
            let shape = OpeningShape::Slot {
                length_mm: reader.positive(&format!("{field}.slot.0"), length),
                width_mm: reader.positive(&format!("{field}.slot.1"), width),
                angle_rad,
            };
            Some((shape, None))
        }
        (None, None, None, Some(corners)) => {
            let corners_mm = corners
                .iter()
                .enumerate()
                .map(|(i, [x, y])| {
                    DVec2::new(
                        reader.signed(&format!("{field}.corners.{i}"), x),
                        reader.signed(&format!("{field}.corners.{i}"), y),
                    )
                })
                .collect();
            Some((OpeningShape::CutOut { corners_mm }, None))
        }
        _ => {
            reader.fault(field, SHAPES);
            None
        }
    }
}

const SHAPES: &str = "says its shape not at all or twice; give one of diameter, bolt, slot, rectangle or corners";
/// Corner of a rectangle where none is given, mm: a sharp one starts a crack (common practice, no source).
const USUAL_CORNER_MM: f64 = 3.0;

/// A rectangle about its place, corners rounded.
fn rectangle(
    opening: &file::Opening,
    [length, width]: [&units::Dimension; 2],
    field: &str,
    reader: &mut Reader,
) -> Option<(OpeningShape, Option<f64>)> {
    let size = DVec2::new(
        reader.positive(&format!("{field}.rectangle.0"), length),
        reader.positive(&format!("{field}.rectangle.1"), width),
    );
    let given = opening.corner_radius.as_ref();
    let radius_mm = given.map_or(USUAL_CORNER_MM, |radius| reader.positive(&format!("{field}.corner_radius"), radius));
    let most_mm = 0.5 * size.min_element();
    if radius_mm > most_mm {
        reader.fault(
            format!("{field}.corner_radius"),
            format!(
                "is {radius_mm:.1} mm in a rectangle {:.1} mm wide; at most {most_mm:.1} mm is accepted",
                2.0 * most_mm
            ),
        );
    }
    if !(size.is_finite() && radius_mm > 0.0 && radius_mm <= most_mm) {
        return None;
    }
    let angle_rad = opening.turned.as_ref().map_or(0.0, |turned| reader.angle(&format!("{field}.turned"), turned));
    let turn = DVec2::from_angle(angle_rad);
    let corners_mm =
        super::let_in::rounded(size, radius_mm).into_iter().map(|point| turn.rotate(point - 0.5 * size)).collect();
    Some((OpeningShape::CutOut { corners_mm }, None))
}

/// Clearance hole (ISO 273 medium) of a bolt and half its play, mm.
pub(super) fn bolt_hole(bolt: &str, field: &str, reader: &mut Reader) -> Option<(f64, f64)> {
    let known = [("M5", Bolt::M5), ("M6", Bolt::M6), ("M8", Bolt::M8), ("M10", Bolt::M10)];
    let Some((_, found)) = known.iter().find(|(name, _)| name.eq_ignore_ascii_case(bolt.trim())) else {
        reader.fault(field, format!("\"{bolt}\" is no bolt of this handbook; M5, M6, M8 or M10 are accepted"));
        return None;
    };
    let hole_mm = found.clearance_hole(Fit::Medium).value;
    Some((hole_mm, 0.5 * (hole_mm - found.diameter_mm())))
}
