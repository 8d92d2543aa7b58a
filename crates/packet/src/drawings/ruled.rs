//! What stands beside the flat of a piece bent along rulings: the table of its lines, offsets from chords, notes.

use blank::ruled::{RollLine, RollLineKind, RuledLayout};
use blank::{Blank, FaceUp};
use job::plan::PiecePlan;

use super::blank::{FlatList, draw_edges, draw_fold, draw_marks, numbered};
use super::draft::Draft;
use crate::drawing::{Drawing, Scale, TextHeight};
use crate::number::trimmed;

/// Radius beyond which offsets from chords are given: what a beam compass on a bench sets out. Common practice, no source.
const COMPASS_MM: f64 = 1000.0;

/// Tables of a piece bent along rulings; none for another piece.
pub(super) fn lists(piece: &PiecePlan) -> Vec<FlatList> {
    let Some(layout) = piece.ruled.as_ref().map(|ruled| &ruled.layout) else { return Vec::new() };
    let lines = FlatList {
        head: &[
            "no.",
            "line",
            "bend",
            "way",
            "along A, mm",
            "along B, mm",
            "length, mm",
            "radius A, mm",
            "radius B, mm",
        ],
        shares: &[0.0, 2.2, 0.9, 0.0, 1.2, 1.2, 1.2, 1.2, 1.2],
        rows: layout.lines.iter().map(row).collect(),
    };
    let far = layout.sector.as_ref().is_some_and(|sector| sector.outer_mm > COMPASS_MM);
    let offsets = FlatList {
        head: &["along the chord of A, mm", "out from it, mm", "along the chord of B, mm", "in from it, mm"],
        shares: &[1.0, 1.0, 1.0, 1.0],
        rows: if far { offset_rows(layout) } else { Vec::new() },
    };
    [lines, offsets].into_iter().filter(|list| !list.rows.is_empty()).collect()
}

fn row(line: &RollLine) -> Vec<String> {
    let radius = |radius: Option<f64>| match radius {
        Some(mm) if mm < 0.05 => "point".to_owned(),
        Some(mm) => trimmed(mm, 1),
        None => "–".to_owned(),
    };
    let [a, b] = line.along_mm.map(|mm| trimmed(mm, 1));
    let [radius_a, radius_b] = line.radii_mm.map(radius);
    let limit = line.kind == RollLineKind::Limit;
    let what = match line.kind {
        RollLineKind::Roll => "bend along it",
        RollLineKind::Limit => "limit of a flat part",
        RollLineKind::Fold => "sharp fold",
    };
    let way = if line.up { "up" } else { "down" };
    vec![
        if limit { "–".into() } else { line.number.to_string() },
        what.into(),
        if limit { "–".into() } else { format!("{}°", trimmed(line.bend_rad.to_degrees().abs(), 1)) },
        if limit { "–".into() } else { way.into() },
        a,
        b,
        trimmed(line.length_mm, 1),
        radius_a,
        radius_b,
    ]
}

fn offset_rows(layout: &RuledLayout) -> Vec<Vec<String>> {
    let [a, b] = &layout.edges;
    let cells = |offset: &blank::ruled::ChordOffset| [trimmed(offset.along_mm, 1), trimmed(offset.offset_mm.abs(), 1)];
    let none = || [String::new(), String::new()];
    let count = a.offsets.len().max(b.offsets.len());
    (0..count)
        .map(|i| {
            let [along_a, out_a] = a.offsets.get(i).map_or_else(none, cells);
            let [along_b, out_b] = b.offsets.get(i).map_or_else(none, cells);
            vec![along_a, out_a, along_b, out_b]
        })
        .collect()
}

/// Sentences below the flat.
pub(super) fn notes(layout: &RuledLayout) -> Vec<String> {
    let [a, b] = &layout.edges;
    let mut notes = vec![
        format!(
            "A is the {}, below: {} mm along it. B is the {}, above: {} mm. Distances in the table run along each edge from its right-hand end.",
            a.name,
            trimmed(a.length_mm, 1),
            b.name,
            trimmed(b.length_mm, 1)
        ),
        capital(&layout.offset_words),
    ];
    if let Some(sector) = &layout.sector {
        notes.push(format!(
            "By compass: radii {} and {} mm about one centre, {}° between the ends.",
            trimmed(sector.outer_mm, 1),
            trimmed(sector.inner_mm, 1),
            trimmed(sector.angle_rad.to_degrees(), 2)
        ));
    }
    let [one, other] = layout.diagonals_mm;
    notes.push(format!("Diagonals of the flat: {} and {} mm.", trimmed(one, 1), trimmed(other, 1)));
    notes
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    let first: String = chars.next().map(|first| first.to_uppercase().collect()).unwrap_or_default();
    format!("{first}{}.", chars.as_str())
}

/// Draws the flat of a ruled piece alone at 1:1, as the command line writes it: outline, folds, lines with their numbers.
pub fn ruled_flat_drawing(blank: &Blank) -> Drawing {
    let face = match blank.face_up {
        FaceUp::Outside => "outside face up",
        FaceUp::Inside => "inside face up",
    };
    let mut draft = Draft::new("flat", format!("Flat of {}, {face}", blank.piece), Scale::FULL);
    draw_edges(&mut draft, blank);
    for fold in &blank.folds {
        draw_fold(&mut draft, fold);
    }
    draw_marks(&mut draft, blank);
    let low = blank.outline_mm.iter().copied().reduce(glam::DVec2::min).unwrap_or_default();
    let at = draft.moved(low, 0.0, -8.0);
    draft.words(at, TextHeight::Mm2_5, format!("{face}; lines are bent along, numbers as in the table"));
    for mark in blank.marks.iter().filter(|mark| !mark.label.is_empty()) {
        numbered(&mut draft, mark);
    }
    draft.drawing
}
