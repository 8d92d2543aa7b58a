//! Weld, dress, check, mark, prime, pack.

use super::{List, Said, Size, counted, name};
use crate::work::line_length_mm;
use crate::{PieceShape, PieceWork, SectionWork};
use blank::{FlatMark, HoleFinish, MarkKind};
use units::format_mm;

/// Check dimensions that stand on the operation itself; the whole list is on the traveller.
const CHECKS_SHOWN: usize = 6;

pub(super) fn of_piece(list: &mut List<'_>, piece: &PieceWork<'_>) {
    if piece.ring.is_some_and(|ring| ring.is_followed()) {
        return; // checked and marked when the whole ring is together
    }
    corners(list, piece);
    check(list, piece);
    trim(list, piece);
    mark(list, piece);
}

fn corners(list: &mut List<'_>, piece: &PieceWork<'_>) {
    if piece.welded_corners_mm.is_empty() {
        return;
    }
    if piece.shape == PieceShape::Strip {
        return flange_seams(list, piece);
    }
    let metres = piece.welded_corners_mm.iter().sum::<f64>() / 1000.0;
    let size = Size { each: piece.welded_corners_mm.len() as f64, metres, ..Size::default() };
    let said = Said {
        what: format!("Weld {}, tacked from the base outwards", counted(piece.welded_corners_mm.len(), "corner")),
        settings: vec![
            "butt, gap closed, copper behind".into(),
            "cool between corners; opposite corners in turn".into(),
        ],
        checks: vec![
            "diagonals of the base before and after".into(),
            "hold water in it for ten minutes: no drop".into(),
        ],
    };
    list.push("weld-corners", name(piece), size, said);
    let said = Said { what: "Dress the corner welds flush outside; leave the inside".into(), ..Said::default() };
    list.push("dress", name(piece), Size { metres, ..Size::default() }, said);
}

/// Closed notches or the seam of a split flange: welds of a strip itself.
fn flange_seams(list: &mut List<'_>, piece: &PieceWork<'_>) {
    let seams = piece.welded_corners_mm.len();
    let metres = piece.welded_corners_mm.iter().sum::<f64>() / 1000.0;
    let what = match seams {
        1 => "Weld the seam of the flange, edge to edge, tacked from the middle outwards".to_owned(),
        _ => format!("Weld the {seams} closed notches of the flange, from the foot outwards, the middle ones first"),
    };
    let said = Said {
        what,
        settings: vec!["butt, gap closed, copper behind".into(), "hand warm before the next".into()],
        checks: vec!["the edge follows its template all along".into()],
    };
    list.push("weld-corners", name(piece), Size { each: seams as f64, metres, ..Size::default() }, said);
    let said = Said { what: "Dress the welds of the flange flush on its outer face".into(), ..Said::default() };
    list.push("dress", name(piece), Size { metres, ..Size::default() }, said);
}

fn check(list: &mut List<'_>, piece: &PieceWork<'_>) {
    let dimensions = &piece.blank.check_dimensions;
    let checks = dimensions
        .iter()
        .take(CHECKS_SHOWN)
        .map(|check| {
            format!("{}: {:.1} {} ± {:.1} ({})", check.name, check.nominal, check.unit, check.tolerance, check.rule)
        })
        .collect();
    let what = "Check against the templates and the list of dimensions; write down what it measures".into();
    let each = (piece.templates + dimensions.len().min(CHECKS_SHOWN)) as f64 / 2.0;
    list.push("check", name(piece), Size { each, ..Size::default() }, Said { what, settings: Vec::new(), checks });
}

/// What a skin has left on at the edges that are let in comes off once it is formed: the cut-out is scribed from it.
fn trim(list: &mut List<'_>, piece: &PieceWork<'_>) {
    let left_on = |mark: &&FlatMark| piece.shape == PieceShape::Skin && mark.kind == MarkKind::TrimLine;
    let lines: Vec<&FlatMark> = piece.blank.marks.iter().filter(left_on).collect();
    if lines.is_empty() {
        return;
    }
    let metres = lines.iter().map(|mark| line_length_mm(&mark.line_mm)).sum::<f64>() / 1000.0;
    let said = Said {
        what: "Trim the edges that are let in to their line, once the shape agrees with the templates".into(),
        settings: lines.iter().map(|mark| mark.label.clone()).collect(),
        checks: vec![
            "lengths and diagonals of the finished edges; forming moves a line, so scribe it again before it is cut"
                .into(),
        ],
    };
    list.push("trim", name(piece), Size { metres, ..Size::default() }, said);
}

fn mark(list: &mut List<'_>, piece: &PieceWork<'_>) {
    let hand = if piece.hand.is_empty() { String::new() } else { format!("{}, ", piece.hand) };
    let lines = match &piece.tube {
        Some(_) => "zero line, the name of each end, job number".to_owned(),
        None => format!("this face out, front end, {}job number", lines_words(piece)),
    };
    let said = Said {
        what: format!("Mark on the metal: {hand}{lines}"),
        checks: vec!["witness marks agree with the fitting sheet".into()],
        ..Said::default()
    };
    list.push("mark-piece", name(piece), Size { each: 1.0, ..Size::default() }, said);
}

/// The lines that this piece has.
fn lines_words(piece: &PieceWork<'_>) -> String {
    let has = |kind: MarkKind| piece.blank.marks.iter().any(|mark| mark.kind == kind);
    let words = [
        (MarkKind::EndLine, if piece.shape == PieceShape::Skin { "corners, " } else { "end lines, " }),
        (MarkKind::LapLine, "lap line, "),
    ];
    words.into_iter().filter(|(kind, _)| has(*kind)).map(|(_, words)| words).collect()
}

pub(super) fn of_section(list: &mut List<'_>, section: &SectionWork<'_>) {
    pair_check(list, section);
    let square_metres: f64 = section.pieces.iter().map(|piece| 2.0 * piece.blank.area_mm2 / 1e6).sum();
    let prime = Said {
        what: "Degrease and prime all over; weldable primer only on the lap faces, kept clear of where the arc goes"
            .into(),
        checks: vec!["dry to the maker's time before packing".into()],
        ..Said::default()
    };
    list.push("prime", "", Size { square_metres, ..Size::default() }, prime);
    let names: Vec<String> =
        section.pieces.iter().map(|piece| format!("{} × {}", section.quantity.max(1), name(piece))).collect();
    let pack = Said {
        what: if section.pieces.iter().all(|piece| piece.tube.is_some()) {
            "Pack with the fitting sheet and the papers to wrap; tape over both ends".into()
        } else {
            "Pack with the fitting sheet; tape over wire ends and corners".into()
        },
        settings: names,
        checks: vec!["piece, fitting sheet, templates, invoice".into()],
    };
    list.push("pack", "", Size { each: 1.0, ..Size::default() }, pack);
}

fn pair_check(list: &mut List<'_>, section: &SectionWork<'_>) {
    let Some((piece, mate)) = section.pieces.iter().find_map(|piece| Some((piece, piece.mate.as_ref()?))) else {
        return;
    };
    let holes = piece.blank.openings.iter().filter(|opening| opening.diameter_mm.is_some()).count();
    let through = section
        .pieces
        .iter()
        .flat_map(|piece| &piece.blank.openings)
        .filter(|opening| opening.finish == HoleFinish::ThroughMate)
        .count();
    let mut settings = vec!["spacer between, bolts finger tight from the middle outwards".to_owned()];
    if through > 0 {
        settings.push(format!("drill {} through the mate while bolted", counted(through, "hole")));
    }
    let said = Said {
        what: format!("Pair check: bolt {} and {mate} together", name(piece)),
        settings,
        checks: vec![
            format!("skins run on smoothly within {}", format_mm(0.5, 1)),
            "opening angles of both with the bevel at each end".into(),
        ],
    };
    list.push("pair-check", "", Size { each: holes.max(1) as f64, ..Size::default() }, said);
}
