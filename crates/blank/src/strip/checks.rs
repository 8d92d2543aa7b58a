//! Dimensions of the finished piece to check, with their tolerance and reach.

use super::flat::Flat;
use crate::CheckDimension;
use handbook::tolerances;
use section::{FlangeRelief, MakeUp, Makes, Strip, StripEdge};

/// Heights, flanges and angles at the start, the middle and the end; lengths; curl and hem.
pub(super) fn dimensions(flat: &Flat<'_>) -> Vec<CheckDimension> {
    let strip = flat.strip();
    let stations = [("start", strip.from_mm), ("middle", 0.5 * (strip.from_mm + strip.to_mm)), ("end", strip.to_mm)];
    let mut out = lengths(flat);
    if let Makes::SplitFlange { edge } = strip.makes {
        out.extend(stations.into_iter().filter_map(|(where_, station)| {
            let chain = strip.make_ups(edge);
            let split =
                chain.iter().position(|one| matches!(one, MakeUp::Flange { relief: FlangeRelief::Split { .. }, .. }));
            let on = section::On::StripMakeUp { edge, index: split.unwrap_or(0) };
            let width = flat.swept.leg_range_mm(on, station).map_or(f64::NAN, |[from, to]| to - from);
            length(flat, format!("width from the seam, {where_}"), width, None)
        }));
        return out;
    }
    for (where_, station) in stations {
        out.extend(heights(flat, where_, station));
        for edge in [StripEdge::Finished, StripEdge::Cut] {
            out.extend(flanges(flat, edge, where_, station));
        }
    }
    for edge in [StripEdge::Finished, StripEdge::Cut] {
        out.extend(rolled_edges(flat, edge));
    }
    out.extend(pitches(flat));
    out
}

fn length(flat: &Flat<'_>, name: String, nominal_mm: f64, reach: Option<f64>) -> Option<CheckDimension> {
    CheckDimension::linear(name, nominal_mm, flat.settings.tolerance_class, reach)
}

fn lengths(flat: &Flat<'_>) -> Vec<CheckDimension> {
    let strip = flat.strip();
    let (start, end) = (flat.swept.start_mm(), flat.swept.end_mm());
    let ends = [start, end].map(|s| flat.swept.frame(s).origin_mm);
    let mut out = Vec::new();
    out.extend(length(flat, "length along the edge line, spare included".into(), end - start, None));
    out.extend(length(flat, "straight from end to end at the edge line".into(), ends[0].distance(ends[1]), None));
    if start < strip.from_mm || end > strip.to_mm {
        out.extend(length(
            flat,
            "length along the edge line, between end lines".into(),
            strip.to_mm - strip.from_mm,
            None,
        ));
    }
    out
}

fn heights(flat: &Flat<'_>, where_: &str, station: f64) -> Vec<CheckDimension> {
    let strip = flat.strip();
    let skin = flat.swept.skin_height_mm(station);
    let reach = (strip.reach_mm > 0.0).then_some(strip.reach_mm);
    let named = match strip.cut_edge.first() {
        Some(MakeUp::Joggle { lap_mm, .. }) => {
            vec![("height to the step line", skin), ("height of the piece, lap included", skin + lap_mm)]
        }
        _ => vec![("height over the outside face", skin)],
    };
    named.into_iter().filter_map(|(name, mm)| length(flat, format!("{name}, {where_}"), mm, reach)).collect()
}

fn flanges(flat: &Flat<'_>, edge: StripEdge, where_: &str, station: f64) -> Vec<CheckDimension> {
    let strip = flat.strip();
    let mut out = Vec::new();
    for (index, make_up) in strip.make_ups(edge).iter().enumerate() {
        let MakeUp::Flange { bend_angle_rad, width_mm, stand_off_mm, relief, .. } = make_up else { continue };
        let name = strip.make_up_name(edge, index);
        let bend = bend_angle_rad.at(station);
        let given = width_mm.at(station);
        let mut width = if *stand_off_mm == 0.0 { given } else { given + stand_off_mm / bend.tan() };
        if edge == StripEdge::Finished && index == 0 && strip.under_mm > 0.0 {
            width -= strip.under_mm / bend.sin();
        }
        if let FlangeRelief::Split { seam_mm } = relief {
            width = *seam_mm;
        }
        out.extend(length(flat, format!("width of the {name} from its sharp corner, {where_}"), width, None));
        let shorter = width.min(flat.swept.skin_height_mm(station));
        let (tolerance, rule) = match tolerances::bend_angle_rad(shorter) {
            Ok(working) => (working.value.to_degrees(), "DIN 6935, by the shorter leg".to_owned()),
            Err(_) => (2.0, "common practice".to_owned()),
        };
        out.push(CheckDimension {
            name: format!("opening angle of the {name}, {where_}"),
            nominal: 180.0 - bend.to_degrees(),
            unit: "°".into(),
            tolerance,
            rule,
            reach: None,
        });
    }
    out
}

fn rolled_edges(flat: &Flat<'_>, edge: StripEdge) -> Vec<CheckDimension> {
    let strip: &Strip = flat.strip();
    let t = strip.thickness_mm;
    let figure = |make_up: &MakeUp| match make_up {
        MakeUp::Wired { wire_mm, .. } => Some(("over the curl".to_owned(), wire_mm + 2.0 * t)),
        MakeUp::Hem { width_mm, inside_radius_mm, .. } => {
            Some(("width of the hem over its fold".to_owned(), width_mm + inside_radius_mm + t))
        }
        _ => None,
    };
    strip.make_ups(edge).iter().filter_map(figure).filter_map(|(name, mm)| length(flat, name, mm, None)).collect()
}

/// First to last hole of each leg, straight.
fn pitches(flat: &Flat<'_>) -> Vec<CheckDimension> {
    let openings = &flat.strip().openings;
    let (Some(first), Some(last)) = (openings.first(), openings.last()) else { return Vec::new() };
    if openings.len() < 2 || first.on != last.on || (last.along_mm - first.along_mm).abs() < 1e-6 {
        return Vec::new();
    }
    let apart = (last.along_mm - first.along_mm).abs();
    let name = format!("{} to {} along the edge line", first.name, last.name);
    length(flat, name, apart, Some(first.reach_mm.max(last.reach_mm))).into_iter().collect()
}
