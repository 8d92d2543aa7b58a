//! From the clamped piece to the photographs that come back.

use super::{Draft, Sheet, ring};
use crate::file::{JointKind, Kit};
use crate::plan::PITCH;
use crate::plan::cautions::{has_open_arc, is_welded};
use handbook::joints::{JointKind as Book, TOUGHENED_EPOXY};
use weld::joints::WeldEventKind;

pub(super) fn clamp(sheet: &Sheet<'_>) -> Draft {
    let mut text = Vec::new();
    if sheet.is_ring() {
        text = ring::clamp(sheet.section.joint.kind);
        return Draft { kind: "clamp-and-check", title: "Fit, clamp, check level and round", text, ..Draft::default() };
    }
    match sheet.section.joint.kind {
        _ if sheet.cut.is_some_and(|cut| cut.on_the_bend) => text.push(
            "The lap leg goes under the old skin, tight all along; the old edge lies just short of the new bend, and the flange takes the place of the old one."
                .to_owned(),
        ),
        JointKind::SteppedLap => text.push(
            "The step goes behind the old panel; the old edge lies in the step and the outside faces are flush."
                .to_owned(),
        ),
        JointKind::PlainLap | JointKind::BondedLap => {
            text.push("The lap goes behind the old metal, tight all along.".to_owned())
        }
        JointKind::Butt => text.push(format!(
            "Edge to edge: gap none to half the thickness ({}){}.",
            sheet.words.small(0.5 * sheet.made.resolved.joint.old_thickness_mm),
            if sheet.section.joint.access_behind { ", copper behind" } else { "" }
        )),
        JointKind::Bolted => {
            text.push("Faces painted and dry, sealer between, bolts from the middle outwards.".to_owned())
        }
    }
    text.push(
        "Fit, clamp at every hand's width, and check gaps, line and the measurements written down at the start."
            .to_owned(),
    );
    Draft { kind: "clamp-and-check", title: "Fit, clamp, check the gaps", text, ..Draft::default() }
}

pub(super) fn tack(sheet: &Sheet<'_>) -> Option<Draft> {
    if !is_welded(sheet.section) {
        return None;
    }
    if sheet.is_ring() && !sheet.by_number() {
        let (text, cautions) = (called_in(sheet).chain(ring::tack()).collect(), welding(sheet));
        return Some(Draft {
            kind: "tack",
            title: "Tack crosswise, then check again",
            text,
            cautions,
            ..Draft::default()
        });
    }
    let each = match sheet.made.resolved.joint.kind {
        _ if sheet.joint.tacked_mm.is_some() => {
            "Each tack is one of the plugs or spots; the tacks along both edges come last, by their numbers on the map."
        }
        Book::SteppedLapPlug | Book::PlainLap => "Each tack is one of the plugs, welded whole.",
        Book::SteppedLapSpot | Book::PlainLapSpot => "Each tack is one of the spots.",
        _ => "Each tack is a dot no longer than three thicknesses (common practice, no source).",
    };
    let own = [
        each.to_owned(),
        if sheet.by_number() {
            by_number(sheet)
        } else if sheet.is_ruled() {
            "Tack in four places crosswise, then halfway between, and so on: never two next to each other in turn."
                .to_owned()
        } else {
            "Tack in the middle, then at both ends, then halfway between, and so on: never two next to each other in turn."
                .to_owned()
        },
        "Check line, gaps and measurements again after the first five tacks; a tack is cut in a minute, a weld is not."
            .to_owned(),
    ];
    let text = called_in(sheet).chain(own).collect();
    Some(Draft { kind: "tack", title: "Tack, then check again", text, cautions: welding(sheet), ..Draft::default() })
}

/// Who does it where the fitter has no welder.
pub(super) fn called_in(sheet: &Sheet<'_>) -> impl Iterator<Item = String> + use<> {
    let none = sheet.job.fitter.kit == Kit::None;
    none.then(|| "There is no welder in this kit: from here to the last weld it is a welder's work.".to_owned())
        .into_iter()
}

/// How an order that was computed is followed.
fn by_number(sheet: &Sheet<'_>) -> String {
    let numbers = |run: bool| {
        let events = sheet.joint.maps.iter().flat_map(|map| &map.events);
        events.filter(move |event| (event.kind == WeldEventKind::Run) == run).map(|event| event.number)
    };
    let between = match (numbers(false).max(), numbers(true).min()) {
        (Some(last_tack), Some(first_run)) if first_run < last_tack => {
            " A run whose number comes before that of a tack is welded before it."
        }
        _ => "",
    };
    format!(
        "In the order of the numbers on the map, 1 first: the order was computed for this panel and is the best of those tried (gap, then buckling, then warp); follow it also where the next weld lies near the last.{between}"
    )
}

fn welding(sheet: &Sheet<'_>) -> Vec<&'static str> {
    let mut cautions =
        vec!["watch for fire for 30 minutes after the last heat", "a second person behind with an extinguisher"];
    if has_open_arc(sheet.job.fitter.kit, sheet.section) {
        cautions.push(
            "shade 8 or darker for TIG up to 150 A, 10 above; for wire 10 from 60 A, 7 at the least below; cover skin; screen the place",
        );
    }
    if sheet.job.near.battery {
        cautions.push("battery disconnected and out");
    }
    if sheet.job.near.fuel {
        cautions.push("fuel near: no heat before a competent person has made it safe");
    }
    match super::tube::closed(sheet) {
        Some(vent) => cautions.push(vent),
        None if sheet.job.near.closed_section => {
            cautions.push("closed section: open a vent first, never weld it shut wet or waxed");
        }
        None => {}
    }
    cautions
}

pub(super) fn join(sheet: &Sheet<'_>) -> Draft {
    let mut text = vec![format!("{}.", capital(&sheet.joint.sentence))];
    let mut figures_mm = Vec::new();
    let joint = &sheet.made.resolved.joint;
    if let Some(hole_mm) = joint.figures.as_ref().and_then(|figures| figures.hole_mm) {
        figures_mm.push(("hole".to_owned(), hole_mm));
    }
    if let Some(pitch) = sheet.joint.workings.iter().find(|working| working.name == PITCH) {
        figures_mm.push(("pitch".to_owned(), pitch.value));
    }
    if !sheet.joint.maps.is_empty() {
        let what = if sheet.joint.maps.iter().any(|map| map.row.is_own()) { "every weld" } else { "the seam's welds" };
        text.push(format!("Mark {what} from the map at 1:1; do not step the pitch off, it adds up."));
    }
    let (title, cautions) = match joint.kind {
        Book::BoltedFlange if sheet.is_ring() => {
            text.push(ring::TIGHTEN.to_owned());
            ("Tighten crosswise", Vec::new())
        }
        Book::Butt if sheet.is_ring() && !sheet.by_number() => {
            text.push(ring::WELD.to_owned());
            ("Weld in short runs", welding(sheet))
        }
        Book::BoltedFlange => {
            text.push(
                "Tighten from the middle outwards, look along the skins after each pair, then once round again."
                    .to_owned(),
            );
            ("Tighten", Vec::new())
        }
        Book::BondedLap => {
            let [least, most] = TOUGHENED_EPOXY.clamp_h;
            text.push(format!(
                "Adhesive over the whole lap as its data sheet says; clamp until it has cured, {least:.0} to {most:.0} h at about 20 °C unless its maker's sheet says otherwise."
            ));
            ("Bond", vec!["no heat or disc on the joint afterwards"])
        }
        Book::Butt => {
            text.push(if sheet.by_number() && sheet.section.joint.access_behind {
                "Short runs in the order of the numbers on the map, cool to hand warm before each, planish each run before the next."
                    .to_owned()
            } else if sheet.by_number() {
                "Short runs in the order of the numbers on the map, each cooled to hand warm; it is not planished."
                    .to_owned()
            } else if sheet.section.joint.access_behind {
                "Short runs from the middle outwards, cool to hand warm between them, planish each run before the next."
                    .to_owned()
            } else {
                "Short runs, the next one far from the last, each cooled to hand warm; it is not planished."
                    .to_owned()
            });
            ("Weld in short runs", welding(sheet))
        }
        Book::SteppedLapSpot | Book::PlainLapSpot => {
            text.push(one_by_one(sheet, "spots"));
            ("Weld the spots", welding(sheet))
        }
        Book::SteppedLapPlug | Book::PlainLap => {
            text.push(one_by_one(sheet, "plugs"));
            ("Weld the plugs", welding(sheet))
        }
    };
    if sheet.section.joint.kind == JointKind::SteppedLap {
        text.push(
            "Dress flush outside. The inside is faired with filler no thicker than the old sheet, over primer."
                .to_owned(),
        );
    }
    text.extend(sheet.joint.notes.iter().map(|note| format!("{}.", capital(note))));
    Draft { kind: "weld", title, text, figures_mm, cautions, ..Draft::default() }
}

fn one_by_one(sheet: &Sheet<'_>, dots: &str) -> String {
    if sheet.by_number() {
        format!("Weld the {dots} in the order of the numbers on the map; before each let its place cool to hand warm.")
    } else {
        format!(
            "Weld the {dots} in the order of the tacks: the next one always far from the last; let it cool to hand warm."
        )
    }
}

/// Plates that are supplied for openings which are not made.
pub(super) fn let_in(sheet: &Sheet<'_>) -> Option<Draft> {
    let plates = &sheet.made.resolved.plates;
    if plates.is_empty() {
        return None;
    }
    let words = sheet.words;
    let mut text = Vec::new();
    let mut figures_mm = Vec::new();
    for plate in plates {
        let [hole_x, hole_y] = plate.hole_mm;
        let [outer_mm, inner_mm] = plate.radius_mm;
        text.push(format!(
            "{} is not made in {}. Its plate is supplied: {} × {}, corners of {} radius; the opening is marked on it.",
            plate.opening,
            plate.into,
            words.length(plate.size_mm[0]),
            words.length(plate.size_mm[1]),
            words.length(outer_mm)
        ));
        text.push(format!(
            "Find its place on the vehicle first (drawn: {} along and {} from the edge), lay the plate there and scribe round it.",
            words.length(plate.at_mm.x),
            words.length(plate.at_mm.y)
        ));
        if plate.lap_mm > 0.0 {
            text.push(format!(
                "Cut {} inside the scribed line: a hole of {} × {} with corners of {} radius, never sharp. The plate goes behind it.",
                words.length(plate.lap_mm),
                words.length(hole_x),
                words.length(hole_y),
                words.length(inner_mm)
            ));
        } else {
            text.push("Cut on the scribed line, corners as round as the plate's, never sharp. The plate goes in edge to edge.".to_owned());
        }
        text.push("Let it in and weld it as the seam of the section; open it along its marks only when it is cold and checked against what goes through it.".to_owned());
        figures_mm.push((format!("{}, lap", plate.plate), plate.lap_mm));
        figures_mm.push((format!("{}, hole along", plate.plate), hole_x));
        figures_mm.push((format!("{}, hole across", plate.plate), hole_y));
    }
    Some(Draft {
        kind: "let-in",
        title: "Let in the plate, then open it",
        text,
        figures_mm,
        cuts_vehicle: true,
        cautions: welding(sheet),
    })
}

pub(super) fn protect(sheet: &Sheet<'_>) -> Draft {
    let text = sheet.protect.iter().map(|line| format!("{}: {}.", capital(&line.stage), line.what)).collect();
    let mut cautions = vec!["two-pack primer and paint: breathing gear, no heat on them"];
    if is_welded(sheet.section) {
        cautions.insert(0, "no primer where the arc goes; burnt zinc makes fume");
    }
    Draft { kind: "protect", title: "Protect it, in this order", text, cautions, ..Draft::default() }
}

pub(super) fn send_back(sheet: &Sheet<'_>) -> Draft {
    let mut text = vec![
        "Photograph it square on from outside, along it from both ends, and from behind, with a rule in the picture."
            .to_owned(),
        "Photograph the cut-off old edge beside the rule: it shows us why it rusted.".to_owned(),
        "Write down what the check figure measures now, how long it took, and what we should change.".to_owned(),
    ];
    if let Some(cut) = sheet.cut {
        text.push(format!("Write down where you really cut: drawn {}.", sheet.words.length(cut.cut_height_mm)));
    }
    Draft { kind: "send-back", title: "Photograph and send back", text, ..Draft::default() }
}

pub(super) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}
