//! The steps of fitting a tube: it cannot be scribed round, so the cut is marked with a paper wrapped round the old one.

use super::{Draft, Sheet, cutting, joining};
use crate::file::{JointKind, TubeForm};
use crate::plan::cautions::is_welded;
use crate::plan::placing::hand_words;
use crate::plan::tube::plugs;
use crate::resolve::{ResolvedPiece, ResolvedShape, TubeShape};
use section::tube::TubeCut;

/// Said wherever a closed tube meets heat (handbook C21).
const VENT: &str = "closed tube: open a vent at its far end first; never weld it shut wet, waxed or of unknown content";

pub(super) fn drafts(sheet: &Sheet<'_>, tube: &TubeShape) -> Vec<Option<Draft>> {
    vec![
        Some(hold_up(sheet, tube)),
        Some(brace(tube)),
        Some(vent()),
        cutting::bolt_up(sheet),
        Some(probe(sheet, tube)),
        mark(sheet, tube),
        Some(cut(sheet, tube)),
        Some(fit(sheet, tube)),
        joining::tack(sheet).map(|draft| if sheet.by_number() { draft } else { ring(sheet, draft, tube) }),
        Some(joining::join(sheet)),
        Some(joining::protect(sheet)),
        Some(joining::send_back(sheet)),
    ]
}

/// The tube of a section that is nothing but one, or of one whose only edges that go in with the joint are ends of that tube.
pub(super) fn of<'a>(sheet: &Sheet<'a>) -> Option<&'a TubeShape> {
    let tube = |piece: &'a ResolvedPiece| match &piece.shape {
        ResolvedShape::Tube(tube) => Some(tube.as_ref()),
        _ => None,
    };
    match sheet.made.resolved.pieces.as_slice() {
        [one] => tube(one),
        several => {
            let along = &sheet.section.joint.along;
            let first = along.first().filter(|first| along.iter().all(|own| own.piece == first.piece))?;
            several.iter().find(|piece| piece.shape.name() == first.piece).and_then(tube)
        }
    }
}

fn hold_up(sheet: &Sheet<'_>, tube: &TubeShape) -> Draft {
    let how = match tube.form {
        TubeForm::Replacement => {
            "Hold it beside the old tube, end to end: its length, its cuts and its holes must agree with the old one."
        }
        TubeForm::Sleeve => "Slide it over the free end and turn it until its zero line looks the way said below.",
        TubeForm::Patch => "Clip it over the old tube with two hose clips: it must lie on all round, edges and middle.",
    };
    let mut text = vec![
        "Do not cut the vehicle before the piece is in your hands and has been held against it.".to_owned(),
        format!("This is {}: {}.", sheet.names(), hand_words(sheet.made.resolved.hand)),
        how.to_owned(),
    ];
    if sheet.made.assembly.is_some() {
        text.push(
            "What is welded to it must sit as well: lay it on what it stands on, and see that its holes meet."
                .to_owned(),
        );
    }
    for piece in sheet.made.pieces.iter().filter(|piece| piece.tube.is_some()) {
        text.push(format!("{}: {}; {}.", piece.name, piece.placing.edge_up, piece.placing.front_end));
        text.extend(piece.tube.iter().flat_map(|own| &own.ends).map(|end| format!("{}.", joining::capital(end))));
    }
    text.push("If it does not agree, stop, photograph both with a rule in the picture, and ring us.".to_owned());
    Draft {
        kind: "hold-up",
        title: "Hold the piece against the old tube",
        text,
        cautions: vec!["edges cut; wear gloves"],
        ..Draft::default()
    }
}

fn brace(tube: &TubeShape) -> Draft {
    let what = match tube.form {
        TubeForm::Replacement => {
            "Clamp a straight bar along the tube across the cut, or tie both sides to something that does not move."
        }
        TubeForm::Sleeve | TubeForm::Patch => {
            "Clamp a straight bar along the tube beside the bad place: it must not sag when its wall is opened."
        }
    };
    let text = vec![
        what.to_owned(),
        "Measure from both ends of the tube to two fixed points, and write it down: it must be the same at the end."
            .to_owned(),
        "A tube that somebody steps on or hangs from carries load: put no weight on it until it is finished."
            .to_owned(),
    ];
    Draft {
        kind: "brace",
        title: "Brace and measure",
        text,
        cautions: vec!["support what hangs on the tube before it is opened"],
        ..Draft::default()
    }
}

fn vent() -> Draft {
    let text = vec![
        "Drill 3 mm at the lowest point and at the far end of the old tube; let it drain and blow it through."
            .to_owned(),
        "If anything but water and rust comes out, or it smells of fuel or gas, stop: a competent person decides."
            .to_owned(),
        "The holes stay open until the last weld is cold.".to_owned(),
    ];
    Draft { kind: "vent", title: "Open a vent before any heat", text, cautions: vec![VENT], ..Draft::default() }
}

fn probe(sheet: &Sheet<'_>, tube: &TubeShape) -> Draft {
    let mut text = vec![
        "Clean the old tube to bright metal all round, from the rust to well beyond the cut.".to_owned(),
        "Tap it all round with a small hammer and probe with a scriber: sound metal rings and does not give. Tubes rust from inside, so the back and the underside count as much as the front.".to_owned(),
    ];
    let where_sound = match tube.form {
        TubeForm::Replacement => {
            "The wall must be sound where it is cut, all round; if it is not, stop and ring the shop.".to_owned()
        }
        TubeForm::Sleeve | TubeForm::Patch => format!(
            "The wall must be sound under the lap of {} all round the piece; if it is not, stop and ring the shop.",
            sheet.words.length(sheet.made.resolved.joint.lap_mm)
        ),
    };
    text.push(where_sound);
    let mut cautions = vec!["disc: guard on, face shield, stand out of line"];
    if sheet.job.near.old_paint {
        cautions.push("test old paint, solder and sealer before sanding or burning");
    }
    Draft { kind: "clean-and-probe", title: "Clean, probe, confirm sound metal", text, cautions, ..Draft::default() }
}

fn mark(sheet: &Sheet<'_>, tube: &TubeShape) -> Option<Draft> {
    let words = sheet.words;
    let wraps = sheet.made.pieces.iter().filter_map(|piece| piece.tube.as_ref()).flat_map(|own| &own.wraps);
    let names: Vec<&str> = wraps.map(|wrap| wrap.name.as_str()).collect();
    if names.is_empty() {
        return None;
    }
    let lap_mm = sheet.made.resolved.joint.lap_mm;
    let mut text = vec![
        format!("Cut out the paper from the packet ({}); see first that it was printed at full size.", names.join("; ")),
        "Wrap it tight round the old tube, printed face out, its edges meeting on the line: then its straight edges are square to the tube.".to_owned(),
        "Turn it until its zero line looks the way said above, and tape it.".to_owned(),
    ];
    let mut figures_mm = Vec::new();
    match tube.form {
        TubeForm::Replacement => {
            text.push(
                "Scribe along the heavy line. On the old tube the waste lies on the side of the new piece.".to_owned(),
            );
            figures_mm.push(("length of the piece".to_owned(), tube.tube.length_mm));
        }
        TubeForm::Sleeve | TubeForm::Patch => {
            text.push(format!(
                "Scribe the outer line, the edge of the piece, and the inner one, the cut line: {} inside it. That much of the old wall stays under the piece.",
                words.length(lap_mm)
            ));
            figures_mm.push(("lap".to_owned(), lap_mm));
        }
    }
    Some(Draft {
        kind: "scribe",
        title: "Wrap the paper round the old tube and mark the cut",
        text,
        figures_mm,
        ..Draft::default()
    })
}

fn cut(sheet: &Sheet<'_>, tube: &TubeShape) -> Draft {
    let words = sheet.words;
    let mut figures_mm = Vec::new();
    let mut text = match (tube.form, sheet.section.joint.kind) {
        (TubeForm::Replacement, JointKind::Bolted) => {
            vec!["Unbolt the old piece; cut only where the line is.".to_owned()]
        }
        (TubeForm::Replacement, _) => vec![
            "Saw round the tube outside the line, turning it or yourself; never straight through in one stroke.".to_owned(),
            "File to the line, square to the wall; deburr inside and out.".to_owned(),
        ],
        (TubeForm::Sleeve | TubeForm::Patch, _) => vec![
            "Cut the old wall along the inner line, where it is bad; drill the corners first so that no cut ends in a sharp corner.".to_owned(),
            "Look inside with a lamp: brush out scale, and tap the back wall from inside.".to_owned(),
            "File to the line; deburr both faces.".to_owned(),
        ],
    };
    if tube.form == TubeForm::Patch || tube.form == TubeForm::Sleeve {
        let joint = &sheet.made.resolved.joint;
        if let Some(hole_mm) = joint.figures.as_ref().and_then(|figures| figures.hole_mm) {
            let in_mm = 0.5 * joint.lap_mm;
            figures_mm.push(("hole".to_owned(), hole_mm));
            figures_mm.push(("hole from the edge of the piece".to_owned(), in_mm));
            let own = sheet.made.pieces.iter().flat_map(|piece| &piece.blank.openings);
            let made = own.filter(|opening| opening.name == plugs::NAME).count();
            let (size, place) = (words.small(hole_mm), words.length(in_mm));
            text.push(if made > 0 {
                format!("The piece comes with its {made} plug holes of {size}, {place} in from its edge: mark them through and see that bright, sound wall lies under every one.")
            } else {
                format!("Punch or drill {} holes of {size} in the new piece, {place} in from its edge; deburr them.", sheet.joint.count)
            });
        }
    }
    let mut cautions = vec!["disc: guard on, face shield, sparks away from glass and tanks", VENT];
    if sheet.job.near.fuel {
        cautions.push("fuel near: no spark before a competent person has made it safe");
    }
    Draft { kind: "cut", title: "Cut to the line", text, figures_mm, cuts_vehicle: true, cautions }
}

fn fit(sheet: &Sheet<'_>, tube: &TubeShape) -> Draft {
    let mut text = Vec::new();
    match (tube.form, sheet.section.joint.kind) {
        (TubeForm::Replacement, JointKind::Bolted) => text.push("Faces painted and dry, bolts finger tight.".to_owned()),
        (TubeForm::Replacement, _) => text.push(format!(
            "Line both tubes up in a length of angle iron with two clamps each side: outside flush all round, gap none to half the wall ({}).",
            sheet.words.small(0.5 * sheet.made.resolved.joint.old_thickness_mm)
        )),
        (TubeForm::Sleeve, _) => text.push("Slide the sleeve over the place, zero line as said; its edges lie on the scribed lines.".to_owned()),
        (TubeForm::Patch, _) => text.push("Lay the patch on its scribed line and pull it down with hose clips until no feeler goes under its edge.".to_owned()),
    }
    let sits = tube.tube.ends.iter().any(|end| matches!(end.cut, TubeCut::Saddle(_)));
    if sits {
        text.push("Where an end sits on another tube, file the high spots until light shows nowhere by more than half the wall.".to_owned());
    }
    text.push("Check the measurements written down at the start.".to_owned());
    Draft { kind: "clamp-and-check", title: "Line it up, clamp, check", text, ..Draft::default() }
}

/// Tacks round a ring stand across from one another.
fn ring(sheet: &Sheet<'_>, draft: Draft, tube: &TubeShape) -> Draft {
    if tube.form == TubeForm::Patch {
        return draft;
    }
    let own = [
        "Four tacks at each ring: one, its opposite, then the two between. Turn and look along the tube after each pair.".to_owned(),
        "Check the measurements again after the tacks; a tack is cut in a minute, a weld is not.".to_owned(),
    ];
    Draft { text: joining::called_in(sheet).chain(own).collect(), ..draft }
}

/// The caution of welding on a closed tube, where the section is welded.
pub(super) fn closed(sheet: &Sheet<'_>) -> Option<&'static str> {
    let has_tube = sheet.made.resolved.pieces.iter().any(|piece| matches!(piece.shape, ResolvedShape::Tube(_)));
    (has_tube && is_welded(sheet.section)).then_some(VENT)
}
