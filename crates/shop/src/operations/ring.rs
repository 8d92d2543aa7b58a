//! Rings: boards, dressing down, shrinking and stretching of one formed blank; rolling and welding of one that is built up.
//!
//! Order (common practice, no source): the boards are made and the blank is marked before it is clamped; a flange goes down all round
//! by a little at a time, gathered or let out between the rounds as it begins to pucker or to pull, trimmed when it lies down. Of a
//! ring that is built up the rolled parts are closed first, then every corner is tacked at the quarters and welded crosswise.

use super::{List, Said, Size, counted, name};
use crate::{PieceWork, RingWork};
use blank::ring::{FormSide, RingCircle, RingForm, RingSeam, SeamKind};
use units::{format_deg, format_mm};

/// A round of dressing turns a flange by about this much.
const ROUND_RAD: f64 = 20.0 * std::f64::consts::PI / 180.0;
/// Least strain that is gathered or let out on purpose: 0.1 per cent, the yield strain (W30).
const WORKED_FROM: f64 = 0.001;

pub(super) fn operations(list: &mut List<'_>, piece: &PieceWork<'_>) {
    match piece.ring {
        Some(RingWork::Formed { forms, circles, words, thickness_mm }) => {
            boards(list, piece, forms);
            dress_down(list, piece, forms, words);
            work(list, piece, circles, thickness_mm);
            trim(list, piece);
        }
        Some(RingWork::Part { rolled_mm, seams }) => {
            roll(list, piece, rolled_mm);
            weld(list, piece, seams);
        }
        None => {}
    }
}

fn boards(list: &mut List<'_>, piece: &PieceWork<'_>, forms: &[RingForm]) {
    if forms.is_empty() {
        return;
    }
    let line = |form: &RingForm| {
        let board = match form.side {
            FormSide::HoleInBoard => "hole",
            FormSide::Disc => "disc",
        };
        let side = if form.side_rad.abs() > 0.01 {
            format!(", side {} off square", format_deg(form.side_rad.abs(), 1))
        } else {
            String::new()
        };
        format!(
            "{}: {board} ⌀{}, edge rounded to {}, board {} thick or more{side}; clamping board ⌀{}",
            form.name,
            format_mm(form.board_diameter_mm, 1),
            format_mm(form.edge_radius_mm, 1),
            format_mm(form.least_thickness_mm.max(6.0), 0),
            format_mm(form.clamp_diameter_mm, 1)
        )
    };
    let said = Said {
        what: format!(
            "Turn or saw two hard boards for {}: one to form over, one to clamp with",
            counted(forms.len(), "bend")
        ),
        settings: forms.iter().map(line).collect(),
        checks: vec!["diameters across two directions; the edge runs true all round".into()],
    };
    list.push("make-forms", name(piece), Size { each: 2.0 * forms.len() as f64, ..Size::default() }, said);
}

fn dress_down(list: &mut List<'_>, piece: &PieceWork<'_>, forms: &[RingForm], words: &str) {
    let folds = &piece.blank.folds;
    if folds.is_empty() {
        return;
    }
    let rounds = |rad: f64| (rad / ROUND_RAD).ceil().max(1.0);
    let line = |fold: &blank::FlatFold| {
        let [bend, _] = fold.bend_angle_rad;
        let way = if fold.up { "up" } else { "down" };
        format!("{}: {way} by {} in about {:.0} rounds", fold.name, format_deg(bend, 0), rounds(bend))
    };
    // each round goes once about the bend
    let metres: f64 = folds
        .iter()
        .map(|fold| crate::work::line_length_mm(&fold.centre_mm) / 1000.0 * rounds(fold.bend_angle_rad[0]) / 4.5)
        .sum();
    let mut settings = vec![words.to_owned()];
    settings.extend(folds.iter().map(line));
    settings.push("round and round, never one place down ahead of the rest; mallet first, steel last".into());
    let said = Said {
        what: "Clamp between the boards and dress the legs down in rounds".into(),
        settings,
        checks: vec!["height and diameter at four places after each round".into()],
    };
    list.push("dress-down", name(piece), Size { each: forms.len().max(1) as f64, metres, ..Size::default() }, said);
}

fn work(list: &mut List<'_>, piece: &PieceWork<'_>, circles: &[RingCircle], thickness_mm: [f64; 2]) {
    let metres = |circles: &[&RingCircle]| {
        circles.iter().map(|circle| circle.flat_diameter_mm).fold(0.0, f64::max) * std::f64::consts::PI / 1000.0
    };
    let line = |circle: &&RingCircle| {
        let verb = if circle.strain < 0.0 { "gather" } else { "let out" };
        format!(
            "{}: {verb} {:.1} mm per 100 mm (⌀{} in the flat to ⌀{})",
            circle.name,
            100.0 * circle.strain.abs(),
            format_mm(circle.flat_diameter_mm, 1),
            format_mm(circle.finished_diameter_mm, 1)
        )
    };
    let shrunk: Vec<&RingCircle> = circles.iter().filter(|circle| circle.strain < -WORKED_FROM).collect();
    let stretched: Vec<&RingCircle> = circles.iter().filter(|circle| circle.strain > WORKED_FROM).collect();
    if !shrunk.is_empty() {
        let said = Said {
            what: "Shrink the flange between the rounds: gather where it puckers, planish it down on the board".into(),
            settings: shrunk.iter().map(line).collect(),
            checks: vec![format!("no fold over; up to {} thick afterwards", format_mm(thickness_mm[1], 2))],
        };
        list.push("shrink-ring", name(piece), Size { metres: metres(&shrunk), ..Size::default() }, said);
    }
    if !stretched.is_empty() {
        let said = Said {
            what: "Let the edge out between the rounds: stretch evenly all round, no nick left in the cut edge".into(),
            settings: stretched.iter().map(line).collect(),
            checks: vec![format!("no split at the edge; {} thick or more afterwards", format_mm(thickness_mm[0], 2))],
        };
        list.push("stretch-ring", name(piece), Size { metres: metres(&stretched), ..Size::default() }, said);
    }
}

fn trim(list: &mut List<'_>, piece: &PieceWork<'_>) {
    if piece.blank.trim_mm <= 0.0 {
        return;
    }
    let lines: Vec<_> = piece.blank.marks.iter().filter(|mark| mark.kind == blank::MarkKind::TrimLine).collect();
    let metres = lines.iter().map(|mark| crate::work::line_length_mm(&mark.line_mm)).sum::<f64>() / 1000.0;
    let said = Said {
        what: "Scribe the finished height or width with a surface gauge off the board, trim to it, dress the edge"
            .into(),
        settings: lines.iter().map(|mark| mark.label.clone()).collect(),
        checks: vec!["the list of dimensions, not the trim line of the flat".into()],
    };
    list.push("trim-ring", name(piece), Size { metres, ..Size::default() }, said);
}

fn roll(list: &mut List<'_>, piece: &PieceWork<'_>, rolled_mm: Option<f64>) {
    let Some(radius_mm) = rolled_mm else { return };
    let inside_mm = radius_mm - 0.5 * piece.blank.thickness_mm;
    let said = Said {
        what: "Roll it round, both ends first, until they meet without force".into(),
        settings: vec![format!("mean inside ⌀{}; outside face as marked", format_mm(2.0 * inside_mm, 1))],
        checks: vec!["radius template, or the edge of the flat part it goes on".into()],
    };
    list.push("roll-ring", name(piece), Size { each: 1.0, ..Size::default() }, said);
}

fn weld(list: &mut List<'_>, piece: &PieceWork<'_>, seams: &[RingSeam]) {
    let of = |kind: SeamKind| seams.iter().filter(move |seam| seam.kind == kind);
    let metres = |kind: SeamKind| of(kind).map(|seam| seam.length_mm).sum::<f64>() / 1000.0;
    let count = |kind: SeamKind| of(kind).count();
    if count(SeamKind::Closing) > 0 {
        let said = Said {
            what: format!(
                "Close the rolled parts: weld {}, planish, true them round again",
                counted(count(SeamKind::Closing), "seam")
            ),
            settings: of(SeamKind::Closing)
                .map(|seam| format!("{}: {}", seam.name, format_mm(seam.length_mm, 1)))
                .collect(),
            checks: vec!["diameter in two directions at both edges".into()],
        };
        let size = Size { each: count(SeamKind::Closing) as f64, metres: metres(SeamKind::Closing), ..Size::default() };
        list.push("weld-closing", name(piece), size, said);
    }
    if count(SeamKind::Corner) == 0 {
        return;
    }
    let line = |seam: &RingSeam| {
        format!(
            "{}: {} round at ⌀{}, inside edges touching, weld from the open side",
            seam.name,
            format_mm(seam.length_mm, 0),
            format_mm(seam.diameter_mm.unwrap_or(0.0), 1)
        )
    };
    let said = Said {
        what: "Set the parts up by their quarter marks, tack at the quarters, then between them, weld in short runs crosswise".into(),
        settings: of(SeamKind::Corner).map(line).collect(),
        checks: vec!["flat on the plate and round in two directions after the tacks and after each seam".into()],
    };
    let size = Size { each: count(SeamKind::Corner) as f64, metres: metres(SeamKind::Corner), ..Size::default() };
    list.push("weld-ring", name(piece), size, said);
    let dress =
        Said { what: "Dress the seams flush on the side that shows; flatten on the plate".into(), ..Said::default() };
    let all = metres(SeamKind::Corner) + metres(SeamKind::Closing);
    list.push("dress", name(piece), Size { metres: all, ..Size::default() }, dress);
}
