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
        .filter(|opening| build.source.is_on(opening.when.as_deref(), opening.unless.as_deref()))
        .filter_map(|opening| one(build, opening, within, &format!("{field}.opening.{}", opening.name), reader))
        .collect()
}

fn one(build: &Build<'_>, opening: &file::Opening, within: In, field: &str, reader: &mut Reader) -> Option<Opening> {
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
            reader.fault(field, "says its shape not at all or twice; give one of diameter, bolt, slot or corners");
            None
        }
    }
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
