//! From the drawing to the marked blank with its holes.

use super::{List, Said, Size, counted, name};
use crate::work::{bounds_mm, outline_length_mm};
use crate::{PieceWork, SectionWork};
use blank::HoleFinish;
use units::format_mm;

pub(super) fn set_out(list: &mut List<'_>, section: &SectionWork<'_>) {
    // a ring that is built up is surveyed and set out once for all its parts
    let whole = section.pieces.iter().filter(|piece| piece.ring.is_none_or(|ring| !ring.is_followed()));
    let pieces = whole.count() as f64;
    if section.kept_pattern {
        let said = Said {
            what: "Take the pattern from the shelf; enter the measurements; compare the check figure".into(),
            ..Said::default()
        };
        list.push("set-out-from-pattern", "", Size { each: pieces, ..Size::default() }, said);
        return;
    }
    let survey = Said { what: "Go through photographs and measurements; draw the survey".into(), ..Said::default() };
    list.push("survey", "", Size { each: pieces, ..Size::default() }, survey);
    let set_out =
        Said { what: "Set out the piece and develop the flat; keep it as a pattern".into(), ..Said::default() };
    list.push("set-out", "", Size { each: pieces, ..Size::default() }, set_out);
}

pub(super) fn operations(list: &mut List<'_>, piece: &PieceWork<'_>) {
    templates(list, piece);
    buck(list, piece);
    cut(list, piece);
    mark(list, piece);
    holes(list, piece);
}

fn templates(list: &mut List<'_>, piece: &PieceWork<'_>) {
    if piece.templates == 0 {
        return;
    }
    let said = Said {
        what: format!("Print and cut {}", counted(piece.templates, "template")),
        checks: vec!["the bars on the print measure true".into()],
        ..Said::default()
    };
    list.push("make-templates", name(piece), Size { each: piece.templates as f64, ..Size::default() }, said);
}

fn buck(list: &mut List<'_>, piece: &PieceWork<'_>) {
    if piece.buck_slices == 0 {
        return;
    }
    let said = Said {
        what: format!(
            "Saw the {} of the buck from board, square to its face, file to the line, put together by their numbers",
            counted(piece.buck_slices, "slice")
        ),
        checks: vec!["the slots close down to the base; a batten bent over the tops touches every slice".into()],
        ..Said::default()
    };
    list.push("make-buck", name(piece), Size { each: piece.buck_slices as f64, ..Size::default() }, said);
}

fn cut(list: &mut List<'_>, piece: &PieceWork<'_>) {
    let blank = piece.blank;
    let metres = outline_length_mm(blank) / 1000.0;
    let [x_mm, y_mm] = bounds_mm(blank);
    let said = Said {
        what: format!(
            "Cut the blank from {} {}",
            blank::material_name(&blank.material),
            format_mm(blank.thickness_mm, 2)
        ),
        settings: vec![
            format!("overall {} × {}", format_mm(x_mm, 1), format_mm(y_mm, 1)),
            "rolling direction along the length where the sheet allows".into(),
        ],
        checks: vec!["running dimensions from the datum".into()],
    };
    list.push("cut-blank", name(piece), Size { metres, ..Size::default() }, said);
    let deburr = Said { what: "Deburr all round before anything else is done".into(), ..Said::default() };
    list.push("deburr", name(piece), Size { metres, ..Size::default() }, deburr);
}

fn mark(list: &mut List<'_>, piece: &PieceWork<'_>) {
    let blank = piece.blank;
    let lines = blank.marks.len() + 3 * blank.folds.len() + blank.openings.len();
    let face = match blank.face_up {
        blank::FaceUp::Outside => "outside face up",
        blank::FaceUp::Inside => "inside face up",
    };
    let mut settings = vec![format!("the flat lies {face}")];
    // lines to bend along carry numbers, the limits of flat parts nothing: said once
    let said = |mark: &&blank::FlatMark| mark.kind != blank::MarkKind::Ruling && !mark.label.is_empty();
    settings.extend(blank.marks.iter().filter(said).map(|mark| mark.label.clone()));
    let rulings = blank.marks.iter().filter(|mark| mark.kind == blank::MarkKind::Ruling).count();
    if rulings > 0 {
        settings.push(format!("{} to bend along, each with its number, in pencil", counted(rulings, "line")));
    }
    let lap = if blank.marks.iter().any(|mark| mark.kind == blank::MarkKind::LapLine) { ", lap line" } else { "" };
    let what = match &piece.tube {
        Some(_) => {
            "Mark the zero line and the quarters, the lap of the seam, hole centres; pencil, never a scriber".into()
        }
        None => {
            format!("Mark tangent and sight lines, end lines{lap} and hole centres; scribe nothing on an outside bend")
        }
    };
    list.push(
        "mark-out",
        name(piece),
        Size { each: lines as f64, ..Size::default() },
        Said { what, settings, checks: Vec::new() },
    );
}

/// Equal lines once, with how many there are of them.
fn once_with_count(lines: Vec<String>) -> Vec<String> {
    let mut counts: Vec<(String, usize)> = Vec::new();
    for line in lines {
        match counts.iter_mut().find(|(own, _)| *own == line) {
            Some((_, count)) => *count += 1,
            None => counts.push((line, 1)),
        }
    }
    let told = |(line, count): (String, usize)| if count == 1 { line } else { format!("{count} × {line}") };
    counts.into_iter().map(told).collect()
}

fn holes(list: &mut List<'_>, piece: &PieceWork<'_>) {
    let in_the_flat = |finish| !matches!(finish, HoleFinish::ThroughMate | HoleFinish::AfterForming);
    let now: Vec<_> = piece.blank.openings.iter().filter(|opening| in_the_flat(opening.finish)).collect();
    if now.is_empty() {
        return;
    }
    let settings = now
        .iter()
        .map(|opening| match (opening.cut_diameter_mm, opening.finish) {
            (Some(diameter_mm), HoleFinish::Pilot) => {
                format!("{}: pilot {}, opened at fitting", opening.name, format_mm(diameter_mm, 1))
            }
            (Some(diameter_mm), _) => format!("{}: {}", opening.name, format_mm(diameter_mm, 1)),
            (None, _) => format!("{}: saw and file to the line", opening.name),
        })
        .collect();
    let settings = once_with_count(settings);
    let what = format!("Make {} in the flat", counted(now.len(), "opening"));
    let checks = vec!["centres against the running dimensions".into()];
    list.push(
        "drill",
        name(piece),
        Size { each: now.len() as f64, ..Size::default() },
        Said { what, settings, checks },
    );
}
