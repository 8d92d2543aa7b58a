//! A flange renewed by cutting on the bend: its other leg is a lap under the old skin.
//!
//! The old flange is cut off just above the inner end of its bend, so that the old edge lies on flat metal. The new piece lies under the old
//! skin by its thickness; its flange keeps the place of the old one's outer face. The lap leg is straight and as long as the joint says.

use super::{Asked, Height};
use crate::file::{JointKind, MakeUpKind, Piece};
use crate::resolve::{JointChoice, Reader, Source};
use handbook::{Source as From, Working};
use section::{Along, MakeUp, Side, Strip, cut_to_height};
use units::format_mm;

/// The old edge keeps so far off the end of the new bend, mm (common practice, no source).
const OFF_THE_BEND_MM: f64 = 1.0;

/// Is the strip of that name a flange with a lap leg?
pub(super) fn wanted(source: &Source<'_>, name: &str) -> bool {
    let strips = source.pieces.iter().filter_map(|piece| match piece {
        Piece::Strip(strip) if strip.name == name => Some(strip),
        _ => None,
    });
    let mut make_ups = strips.flat_map(|strip| &strip.finished_edge);
    make_ups.any(|own| {
        source.is_on(own.when.as_deref(), own.unless.as_deref())
            && matches!(own.what, MakeUpKind::Flange { lap_leg: true, .. })
    })
}

/// Cuts the strip off just above its bend, lays it under the old skin and gives it its lap.
pub(super) fn apply(
    strip: &mut Strip,
    joint: &JointChoice,
    found: Option<&Height>,
    asked: &Asked<'_>,
    reader: &mut Reader,
) -> Option<Height> {
    let section = asked.section;
    if !matches!(section.joint.kind, JointKind::PlainLap | JointKind::BondedLap) {
        let message = "does not suit a lap leg, which goes under the old skin: plain_lap or bonded_lap is accepted";
        reader.fault(format!("section.{}.joint.kind", section.id), message);
        return None;
    }
    let field = format!("{}.piece.{}.finished_edge.0", asked.source.path, strip.name);
    let Some(MakeUp::Flange { bend_angle_rad, inside_radius_mm, turns, .. }) = strip.finished_edge.first() else {
        reader.fault(field, "has no flange; a lap leg belongs to a flange");
        return None;
    };
    if *turns != Side::Inside {
        reader.fault(
            format!("{field}.turns"),
            "is outside; a flange with a lap leg under the old skin turns to the inside",
        );
        return None;
    }
    let stations = match bend_angle_rad {
        Along::Constant(_) => vec![strip.from_mm],
        Along::Stations(list) => list.iter().map(|(station, _)| *station).collect(),
    };
    // the bend of the new piece starts there on its outside face
    let ends_mm = |station: f64| {
        let bend = bend_angle_rad.at(station);
        (inside_radius_mm + strip.thickness_mm) * (0.5 * bend).tan() - joint.old_thickness_mm / bend.tan()
    };
    let bend_mm = stations.into_iter().map(ends_mm).fold(0.0, f64::max);
    let cut_mm = bend_mm + OFF_THE_BEND_MM;
    let working = Working::new(
        "height of the cut, on the bend",
        cut_mm,
        "mm",
        "(r + t)·tan(N/2) − t_old/tan N + clear",
        From::common_practice("B33"),
    )
    .with("r", "inside radius of the new flange", *inside_radius_mm, "mm")
    .with("t", "thickness of the new piece", strip.thickness_mm, "mm")
    .with("t_old", "thickness of the old skin", joint.old_thickness_mm, "mm")
    .with("clear", "off the end of the bend", OFF_THE_BEND_MM, "mm");
    let depth_mm = found.and_then(|height| height.depth_mm);
    if let Some(depth_mm) = depth_mm.filter(|depth| *depth > cut_mm) {
        reader.stop(
            "cut-in-bad-metal",
            [
                format!(
                    "the old flange is cut off at {}, the bad metal reaches {}",
                    format_mm(cut_mm, 1),
                    format_mm(depth_mm, 1)
                ),
                "the lap leg would be welded to thin metal, which burns away and rusts again".into(),
                "let in a strip up to sound metal instead: leave lap_leg out".into(),
            ],
        );
    }
    strip.under_mm = joint.old_thickness_mm;
    match cut_to_height(strip, cut_mm, vec![MakeUp::Seam { width_mm: joint.lap_mm }]) {
        Ok(shaped) => *strip = shaped,
        Err(error) => {
            let place = super::field_of(&error, &format!("section.{}", section.id), asked);
            reader.fault(place, error.to_string());
            return None;
        }
    }
    Some(Height { cut_mm, reach_mm: 0.0, second_mm: None, depth_mm, workings: vec![working] })
}
