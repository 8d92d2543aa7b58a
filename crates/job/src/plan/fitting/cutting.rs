//! From holding the piece up to the filed cut.

use super::{Draft, Sheet, ring};
use crate::file::JointKind;
use crate::plan::placing::hand_words;
use crate::resolve::{ResolvedPiece, ResolvedShape, SkinShapeEdge, is_welded_on};
use handbook::joints::JointKind as Book;
use section::MakeUp;

pub(super) fn hold_up(sheet: &Sheet<'_>) -> Draft {
    let mut text = vec![
        "Do not cut the vehicle before the piece is in your hands and has been held against it.".to_owned(),
        format!("This is {}: {}.", sheet.names(), hand_words(sheet.made.resolved.hand)),
        if sheet.is_ring() { ring::HOLD } else { "Hold it in place over the old metal, marks outward. Look along it from both ends: it must follow the old line without force." }.to_owned(),
        "If it does not sit, stop, photograph the gap with a rule in it, and ring us.".to_owned(),
    ];
    let pieces = &sheet.made.resolved.pieces;
    let welded_on =
        |plan: &crate::plan::PiecePlan| pieces.iter().any(|own| own.shape.name() == plan.name && is_welded_on(own));
    let whole = |plan: &&crate::plan::PiecePlan| plan.part_of.is_empty() || plan.ring.is_some();
    for piece in sheet.made.pieces.iter().filter(whole).filter(|plan| !welded_on(plan)) {
        let placing = &piece.placing;
        let curl = if placing.curl.is_empty() { String::new() } else { format!("; {}", placing.curl) };
        let place = [&placing.edge_up, &placing.front_end].into_iter().filter(|words| !words.is_empty());
        let place = place.cloned().collect::<Vec<_>>().join("; ");
        text.push(format!("{}: {place}{curl}.", piece.name_in_job()));
    }
    Draft {
        kind: "hold-up",
        title: "Hold the piece against the vehicle",
        text,
        cautions: vec!["edges and wire ends cut; wear gloves"],
        ..Draft::default()
    }
}

pub(super) fn brace(sheet: &Sheet<'_>) -> Option<Draft> {
    let carries = sheet.job.near.carries_load;
    let folded = sheet.is_folded();
    let (what, cautions) = if carries {
        (
            "Support what hangs on this metal before anything is loosened: stands under the vehicle, lids and springs held.",
            vec!["support what you unbolt; springs and heavy lids first"],
        )
    } else if sheet.is_ring() {
        (ring::BRACE, Vec::new())
    } else if folded {
        (
            "Tack or clamp a bar across the opening on each side, so that it keeps its size when the old metal is out.",
            Vec::new(),
        )
    } else {
        (
            "Clamp a straight bar along the panel above the cut, so that it keeps its line when the old edge is off.",
            Vec::new(),
        )
    };
    let measure = if sheet.is_ring() {
        ring::MEASURE
    } else {
        "Measure what loses its support, twice and crosswise, and write it down: it must be the same at the end."
    };
    let text = vec![what.to_owned(), measure.to_owned()];
    Some(Draft { kind: "brace", title: "Brace and measure", text, cautions, ..Draft::default() })
}

pub(super) fn bolt_up(sheet: &Sheet<'_>) -> Option<Draft> {
    let mut holes: Vec<String> = sheet
        .made
        .pieces
        .iter()
        .flat_map(|piece| &piece.blank.openings)
        .filter(|opening| {
            let at_fitting = matches!(opening.finish, blank::HoleFinish::Pilot | blank::HoleFinish::ThroughMate);
            opening.diameter_mm.is_some() && at_fitting
        })
        .map(|opening| opening.name.clone())
        .collect();
    holes.dedup();
    let bolted = sheet.section.joint.kind == JointKind::Bolted || sheet.has_mate();
    if !bolted && holes.is_empty() {
        return None;
    }
    let mut text =
        vec!["Bolt up everything that must line up, with its packers, finger tight, before any weld.".to_owned()];
    if sheet.has_mate() {
        text.push("Put the spacer between the flanges and keep it there until the last bolt is tight.".to_owned());
    }
    if !holes.is_empty() {
        text.push(format!(
            "These holes are pilots or are drilled through the mate; open them only when all is bolted up: {}.",
            holes.join(", ")
        ));
    }
    Some(Draft { kind: "bolt-up", title: "Bolt up what must line up", text, ..Draft::default() })
}

pub(super) fn probe(sheet: &Sheet<'_>) -> Draft {
    let words = sheet.words;
    let mut text = vec![
        "Clean both faces to bright metal, from the rust to well beyond the cut line.".to_owned(),
        "Probe with a scriber and tap: sound metal rings, does not give and has no pinhole against a lamp behind."
            .to_owned(),
    ];
    let mut figures_mm = Vec::new();
    if let Some(cut) = sheet.cut {
        text.push(if cut.on_the_bend {
            format!(
                "The old skin must be sound from just above the bend, {} from the outer face of the flange, up to {}, all along: the lap \
                 leg is joined to it there.",
                words.length(cut.cut_height_mm),
                words.length(cut.cut_height_mm + cut.lap_mm)
            )
        } else {
            format!(
                "The metal must be sound at {} from the lowest outside point of the edge, all along.",
                words.length(cut.cut_height_mm)
            )
        });
        figures_mm.push(("cut height".to_owned(), cut.cut_height_mm));
        if let Some(second_mm) = cut.second_cut_height_mm {
            text.push(format!(
                "The rust was only seen, not proven. If it runs higher, stop: the quote also carries a piece for {}.",
                words.length(second_mm)
            ));
            figures_mm.push(("second cut height".to_owned(), second_mm));
        }
    }
    text.push("If it is not sound there, stop and ring the shop before anything is cut.".to_owned());
    let mut cautions = vec!["disc: guard on, face shield, stand out of line"];
    if sheet.job.near.old_paint {
        cautions.push("test old paint, solder and sealer before sanding or burning");
    }
    Draft {
        kind: "clean-and-probe",
        title: "Clean, probe, confirm sound metal",
        text,
        figures_mm,
        cautions,
        ..Draft::default()
    }
}

/// Free ends with their spare length: of a strip, or of a skin that was a strip with one end made up.
fn spare_ends(piece: &ResolvedPiece) -> Vec<(&str, f64)> {
    let [start, end] = &piece.end_names;
    let ends: Vec<(&str, f64)> = match &piece.shape {
        ResolvedShape::Strip(strip) => {
            vec![(start.as_str(), strip.spare_from_mm), (end.as_str(), strip.spare_to_mm)]
        }
        ResolvedShape::Skin(skin) => {
            let is_end = |edge: &&SkinShapeEdge| [start, end].contains(&&edge.name);
            skin.edges.iter().filter(is_end).map(|edge| (edge.name.as_str(), left_on_mm(edge))).collect()
        }
        _ => Vec::new(),
    };
    ends.into_iter().filter(|(_, spare_mm)| *spare_mm > 0.0).collect()
}

/// Left on at an edge of a skin to trim.
fn left_on_mm(edge: &SkinShapeEdge) -> f64 {
    let trim = edge.make_ups.iter().filter_map(|own| match own {
        MakeUp::Raw { trim_mm } => Some(*trim_mm),
        _ => None,
    });
    trim.fold(0.0, f64::max)
}

pub(super) fn trim_ends(sheet: &Sheet<'_>) -> Option<Draft> {
    let words = sheet.words;
    let mut figures_mm = Vec::new();
    let mut text = Vec::new();
    for piece in sheet.made.resolved.pieces.iter().filter(|piece| !is_welded_on(piece)) {
        for (name, spare_mm) in spare_ends(piece) {
            text.push(format!(
                "{}: {} spare at the {name}, beyond its end line.",
                piece.shape.name(),
                words.length(spare_mm)
            ));
            figures_mm.push((format!("spare, {name}"), spare_mm));
        }
    }
    if figures_mm.is_empty() {
        return None;
    }
    text.push("Mark what is too long against the vehicle, cut outside the mark and file to it; the end lines show where it was measured to end.".to_owned());
    text.push(
        "Hold the piece in place by its witness marks, this face out, and clamp it every hand's width.".to_owned(),
    );
    Some(Draft {
        kind: "trim-ends",
        title: "Trim the spare ends, set it by its marks, clamp",
        text,
        figures_mm,
        cautions: vec!["deburr and tape the fresh ends"],
        ..Draft::default()
    })
}

pub(super) fn scribe(sheet: &Sheet<'_>) -> Draft {
    let words = sheet.words;
    let (title, text, figures_mm) = match sheet.cut {
        Some(cut) if cut.on_the_bend => {
            let cut_mm = words.rounded_mm(cut.cut_height_mm);
            let text = vec![
                "Set the piece in place by its witness marks, its flange face on the old flange's face, and scribe both ends.".to_owned(),
                format!(
                    "Take the piece away. Mark the cut line on the outside skin, all along, {} from the outer face of the old flange: just \
                     above the bend, on flat metal.",
                    words.length(cut_mm)
                ),
                format!(
                    "The lap leg of {} goes under the old skin, so nothing above that line is cut.",
                    words.length(cut.lap_mm)
                ),
            ];
            let figures = vec![("cut height".to_owned(), cut.cut_height_mm), ("lap".to_owned(), cut.lap_mm)];
            ("Mark the cut line just above the bend", text, figures)
        }
        Some(cut) if cut.lap_mm > 0.0 => {
            let cut_mm = words.rounded_mm(cut.cut_height_mm);
            let lap_mm = words.rounded_mm(cut.lap_mm);
            let text = vec![
                format!(
                    "Scribe along the upper edge of the piece. That line stands at {} from the lowest outside point of the edge: the height of the piece.",
                    words.length(cut_mm + lap_mm)
                ),
                format!(
                    "Take the piece away. Mark the cut line one lap of {} lower: at {}.",
                    words.length(lap_mm),
                    words.length(cut_mm)
                ),
                format!(
                    "{} less {} is {}. Cut at the lower line; the old panel's edge then lies in the step.",
                    words.length(cut_mm + lap_mm),
                    words.length(lap_mm),
                    words.length(cut_mm)
                ),
            ];
            let figures = vec![
                ("piece height".to_owned(), cut.piece_height_mm),
                ("lap".to_owned(), cut.lap_mm),
                ("cut height".to_owned(), cut.cut_height_mm),
            ];
            ("Scribe along the piece, then mark the cut line one lap lower", text, figures)
        }
        Some(cut) => {
            let text = vec![
                format!(
                    "Scribe along the upper edge of the piece, at {}: that is the cut line, edge to edge.",
                    words.length(cut.cut_height_mm)
                ),
                "Carry it round both ends.".to_owned(),
            ];
            let figures = vec![
                ("piece height".to_owned(), cut.piece_height_mm),
                ("lap".to_owned(), 0.0),
                ("cut height".to_owned(), cut.cut_height_mm),
            ];
            ("Scribe along the piece: that is the cut line", text, figures)
        }
        None => {
            let (title, mut text, figures_mm) = folded_scribe(sheet);
            text.splice(0..0, from_trimmed_edges(sheet));
            (title, text, figures_mm)
        }
    };
    Draft { kind: "scribe", title, text, figures_mm, ..Draft::default() }
}

/// A skin comes with a little left on where it is let in, or trimmed already: the cut-out is scribed from the edge as it is then.
fn from_trimmed_edges(sheet: &Sheet<'_>) -> Option<String> {
    let trimmed = sheet.made.resolved.pieces.iter().filter_map(|piece| {
        let ResolvedShape::Skin(skin) = &piece.shape else { return None };
        // spare at a free end is trimmed by the fitter
        let left_on = |edge: &&SkinShapeEdge| left_on_mm(edge) > 0.0 && !piece.end_names.contains(&edge.name);
        let names: Vec<&str> = skin.edges.iter().filter(left_on).map(|edge| edge.name.as_str()).collect();
        (!names.is_empty()).then(|| names.join(" and "))
    });
    let names = trimmed.collect::<Vec<_>>().join(" and ");
    (!names.is_empty()).then(|| {
        format!(
            "Trimmed to the line in the shop: {names}. See first that nothing is still left on beyond the scribed line; scribe from the trimmed \
             edge, never from one that will still be cut."
        )
    })
}

fn folded_scribe(sheet: &Sheet<'_>) -> (&'static str, Vec<String>, Vec<(String, f64)>) {
    let lap_mm = sheet.made.resolved.joint.lap_mm;
    if sheet.is_ring() {
        let figures = if lap_mm > 0.0 { vec![("lap".to_owned(), lap_mm)] } else { Vec::new() };
        let text = ring::scribe(sheet.section.joint.kind, &sheet.words.length(lap_mm));
        return ("Scribe round the ring", text, figures);
    }
    if lap_mm > 0.0 {
        let text = vec![
            "Set the piece in place by its witness marks and scribe round it on the old metal.".to_owned(),
            format!(
                "Mark the cut line inside the scribed line, one lap of {} in: the old metal under the lap stays.",
                sheet.words.length(lap_mm)
            ),
        ];
        return (
            "Scribe round the piece, then mark the cut line one lap inside",
            text,
            vec![("lap".to_owned(), lap_mm)],
        );
    }
    let text = if sheet.section.joint.kind == JointKind::Bolted {
        vec![
            "Set the piece in place by its witness marks and mark every bolt hole and its outline on the old metal."
                .to_owned(),
            "The old piece comes out along its own seams and bolts; nothing beyond the scribed line is cut.".to_owned(),
        ]
    } else {
        vec![
            "Set the piece in place by its witness marks and scribe round it: that is the cut line, edge to edge."
                .to_owned(),
        ]
    };
    ("Scribe round the piece", text, Vec::new())
}

pub(super) fn cut(sheet: &Sheet<'_>) -> Draft {
    let mut text = match sheet.section.joint.kind {
        _ if sheet.cut.is_some_and(|cut| cut.on_the_bend) => vec![
            "Cut the old flange off along the line, on the side of the flange, and leave a saw's width; file to the line and deburr both faces.".to_owned(),
            "Free the old flange from what it is fixed to; clean the inside of the old skin to bright metal as far as the lap leg reaches.".to_owned(),
        ],
        JointKind::Bolted => {
            vec!["Unbolt the old piece, or drill out its spots; cut only what the scribed line takes away.".to_owned()]
        }
        _ => vec![
            "Cut inside the line, on the side of the bad metal, and leave a saw's width.".to_owned(),
            "File to the line; deburr both faces.".to_owned(),
        ],
    };
    if crate::plan::let_in_corner::reaches_mm(sheet.section, sheet.made).is_some() {
        text.push(
            "A let-in corner is trimmed to the old metal by cut and file to a close butt: file where it touches, until it drops in with no gap to see light through."
                .to_owned(),
        );
    }
    text.push(
        "Offer the piece up again before the last file strokes: metal comes off easily and does not go back on."
            .to_owned(),
    );
    let mut figures_mm = sheet.cut.map(|cut| vec![("cut height".to_owned(), cut.cut_height_mm)]).unwrap_or_default();
    text.extend(plug_holes(sheet, &mut figures_mm));
    let mut cautions =
        vec!["disc: guard on, face shield, sparks away from glass and tanks", "look behind the panel first"];
    if sheet.job.near.fuel {
        cautions.push("fuel near: no spark before a competent person has made it safe");
    }
    Draft { kind: "cut", title: "Cut inside the line and file to it", text, figures_mm, cuts_vehicle: true, cautions }
}

/// Plug holes are made in the old panel, the sheet nearest the torch, before the piece goes behind it.
fn plug_holes(sheet: &Sheet<'_>, figures_mm: &mut Vec<(String, f64)>) -> Option<String> {
    let joint = &sheet.made.resolved.joint;
    if !matches!(joint.kind, Book::SteppedLapPlug | Book::PlainLap) {
        return None;
    }
    let hole_mm = joint.figures.as_ref()?.hole_mm?;
    // the old edge lies where the ramp begins; sheet lies on sheet only beyond it
    let in_mm = joint.ramp_mm + 0.5 * (joint.lap_mm - joint.ramp_mm);
    figures_mm.push(("hole".to_owned(), hole_mm));
    figures_mm.push(("hole from the old edge".to_owned(), in_mm));
    Some(format!(
        "Punch or drill {} holes of {} in the old panel, {} in from its new edge; deburr them.",
        sheet.joint.count,
        sheet.words.small(hole_mm),
        sheet.words.length(in_mm)
    ))
}
