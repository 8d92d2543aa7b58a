//! Steps that read otherwise for a cone, a duct, a transition: it joins with its ends, all round.

use super::{Draft, Sheet};
use crate::file::JointKind;
use crate::plan::placing::hand_words;
use crate::resolve::ResolvedShape;

/// "round end and square end": the ends that are joined to the vehicle.
fn joined_ends(sheet: &Sheet<'_>) -> String {
    let mut names: Vec<&str> = Vec::new();
    for piece in &sheet.made.resolved.pieces {
        let ResolvedShape::Ruled(ruled) = &piece.shape else { continue };
        let ends = ruled.piece.edges.iter().zip(ruled.joins);
        names.extend(ends.filter(|(_, joins)| *joins).map(|(edge, _)| edge.name.as_str()));
    }
    names.dedup();
    names.join(" and ")
}

pub(super) fn hold_up(sheet: &Sheet<'_>) -> Draft {
    let mut text = vec![
        "Do not cut the vehicle before the piece is in your hands and has been held against it.".to_owned(),
        format!("This is {}: {}.", sheet.names(), hand_words(sheet.made.resolved.hand)),
        format!(
            "Offer its {} to the place it joins: it must sit all round without force, its seam where the mark says.",
            joined_ends(sheet)
        ),
        "If it does not sit, stop, photograph the gap with a rule in it, and ring us.".to_owned(),
    ];
    for piece in &sheet.made.pieces {
        text.push(format!("{}: {}.", piece.name, piece.placing.front_end));
    }
    Draft {
        kind: "hold-up",
        title: "Hold the piece against the vehicle",
        text,
        cautions: vec!["the edges of both ends cut; wear gloves"],
        ..Draft::default()
    }
}

pub(super) fn brace(sheet: &Sheet<'_>) -> Draft {
    let mut text = vec![
        "Clamp two bars crosswise over the opening it joins, so that the opening keeps its size when the old metal is out."
            .to_owned(),
        "Measure the opening both ways and crosswise and write it down: it must be the same at the end.".to_owned(),
    ];
    let mut cautions = Vec::new();
    if sheet.job.near.carries_load {
        text.insert(0, "Support what hangs on this metal before anything is loosened.".to_owned());
        cautions.push("support what you unbolt; springs and heavy lids first");
    }
    Draft { kind: "brace", title: "Brace and measure", text, cautions, ..Draft::default() }
}

pub(super) fn scribe(sheet: &Sheet<'_>) -> Draft {
    let lap_mm = sheet.made.resolved.joint.lap_mm;
    let ends = joined_ends(sheet);
    let (title, text, figures_mm) = if lap_mm > 0.0 {
        (
            "Scribe round each end, then mark the cut line one lap back",
            vec![
                format!("Set the piece in place and scribe round its {ends} on the old metal."),
                format!(
                    "Mark the cut line so that {} of the old metal stays under the piece all round: that is the lap.",
                    sheet.words.length(lap_mm)
                ),
            ],
            vec![("lap".to_owned(), lap_mm)],
        )
    } else if sheet.section.joint.kind == JointKind::Bolted {
        (
            "Mark round each end",
            vec![
                format!("Set the piece in place and mark round its {ends} and every bolt hole on the old metal."),
                "The old piece comes out along its own seams and bolts; nothing beyond the marks is cut.".to_owned(),
            ],
            Vec::new(),
        )
    } else {
        (
            "Scribe round each end",
            vec![format!("Set the piece in place and scribe round its {ends}: that is the cut line, edge to edge.")],
            Vec::new(),
        )
    };
    Draft { kind: "scribe", title, text, figures_mm, ..Draft::default() }
}

pub(super) fn clamp(sheet: &Sheet<'_>) -> Draft {
    let first = match sheet.section.joint.kind {
        JointKind::SteppedLap | JointKind::PlainLap | JointKind::BondedLap => {
            "Each end laps the old metal so that water runs over the joint and not into it, tight all round.".to_owned()
        }
        JointKind::Butt => format!(
            "Edge to edge: gap none to half the thickness ({}), copper behind.",
            sheet.words.small(0.5 * sheet.made.resolved.joint.old_thickness_mm)
        ),
        JointKind::Bolted => "Faces painted and dry, sealer between, bolts crosswise.".to_owned(),
    };
    let text = vec![
        first,
        "Clamp in four places crosswise, then between them; measure the opening again both ways and crosswise."
            .to_owned(),
    ];
    Draft { kind: "clamp-and-check", title: "Fit, clamp, check the opening", text, ..Draft::default() }
}
