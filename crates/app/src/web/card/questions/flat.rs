//! Question 5: what do we cut from flat?

use super::{Asked, mm};
use crate::web::card::question::{Picture, Question};
use crate::web::card::seams;
use crate::web::figures::{Cell, Figure, Table, escape};
use blank::{Blank, CrownVerdict, FaceUp, HoleFinish, LengthwiseLine};
use handbook::Grade;
use job::plan::PiecePlan;
use packet::drawings::{FlatNote, NoteAbout};
use std::fmt::Write as _;

/// The question.
pub fn ask(asked: &Asked<'_>) -> Question {
    let blanks: Vec<&Blank> = asked.plan.pieces.iter().map(|piece| &piece.blank).collect();
    let picture = |piece: &PiecePlan| Picture {
        svg: asked.app.planning.pictures(asked.plan, piece).flat.clone(),
        caption: format!("Flat of {}, {}, mm", piece.name, face_words(piece.blank.face_up)),
        shape: Some(format!(
            "/card/{}/section/{}/shape.json?flat=1&piece={}",
            asked.id(),
            asked.section.id,
            crate::web::shapes::part_name(&piece.name)
        )),
        small: false,
    };
    let found = asked.app.planning.seams(asked.id(), asked.plan);
    Question {
        title: "What do we cut from flat?",
        pictures: asked.plan.pieces.iter().map(picture).collect(),
        answer: answer(&blanks),
        short: blanks.first().map_or_else(|| "nothing".into(), |blank| size_words(blank)),
        tables: blanks
            .iter()
            .flat_map(|blank| tables(blank))
            .chain(asked.plan.pieces.iter().flat_map(super::ruled::tables))
            .chain(asked.plan.pieces.iter().filter_map(bands_table))
            .chain(seams::tables(found.as_deref()))
            .collect(),
        figures: blanks.iter().flat_map(|blank| blank.workings.iter().map(Figure::named)).collect(),
        extra: blanks.iter().map(|blank| strain_html(blank)).collect::<String>()
            + &asked.plan.pieces.iter().map(notes_html).collect::<String>()
            + &seams::html(asked.id(), asked.plan, found.as_deref()),
        ..Question::default()
    }
}

fn face_words(face: FaceUp) -> &'static str {
    match face {
        FaceUp::Outside => "outside face up",
        FaceUp::Inside => "inside face up",
    }
}

fn size_words(blank: &Blank) -> String {
    let points = blank.outline_mm.iter().copied();
    let (low, high) = points.fold((glam::DVec2::INFINITY, glam::DVec2::NEG_INFINITY), |(l, h), p| (l.min(p), h.max(p)));
    let size = high - low;
    if size.is_finite() { format!("{:.1} × {:.1} mm", size.x, size.y) } else { "nothing".into() }
}

fn answer(blanks: &[&Blank]) -> String {
    if blanks.is_empty() {
        return "Nothing is cut from sheet.".into();
    }
    let one = |blank: &&Blank| {
        let wires = blank
            .wires
            .iter()
            .map(|wire| format!(", with {:.1} mm wire cut to {}", wire.diameter_mm, mm(wire.cut_length_mm)));
        let crown = blank.crown.as_ref().map_or("", |crown| match crown.verdict {
            CrownVerdict::SpringsToShape => ", springs to its crown",
            CrownVerdict::Wheel => ", crown put in with wheel or shrinker",
            CrownVerdict::WheeledSkin => ", needs a wheeled skin",
        });
        format!(
            "{}: {} from {} sheet{}{crown}",
            blank.piece,
            size_words(blank),
            mm(blank.thickness_mm),
            wires.collect::<String>()
        )
    };
    format!("{}.", blanks.iter().map(one).collect::<Vec<_>>().join("; "))
}

fn tables(blank: &Blank) -> Vec<Table> {
    let mut tables = Vec::new();
    if !blank.folds.is_empty() {
        let row = |fold: &blank::FlatFold| {
            vec![
                Cell::number(fold.number.to_string()),
                Cell::words(&fold.name),
                Cell::words(if fold.up { "up" } else { "down" }),
                Cell::number(both(fold.bend_angle_rad.map(f64::to_degrees), "°")),
                Cell::number(mm(fold.inside_radius_mm)),
                Cell::number(both(fold.allowance_mm, " mm")),
                Cell::number(
                    fold.fold_to_rad.map_or_else(|| "springs".into(), |angles| both(angles.map(f64::to_degrees), "°")),
                ),
                Cell::words(&fold.rule),
            ]
        };
        tables.push(Table {
            caption: format!("Folds of {}, bend angles turned from flat", blank.piece),
            head: vec!["no.", "fold", "turns", "bend angle", "inside radius", "allowance", "fold to", "rule"],
            rows: blank.folds.iter().map(row).collect(),
        });
    }
    if !blank.openings.is_empty() {
        // the datum of the drawing's running dimensions: one hole has one pair of figures
        let datum = blank.outline_mm.iter().copied().reduce(glam::DVec2::min).unwrap_or_default();
        let row = |opening: &blank::FlatOpening| {
            let finish = match opening.finish {
                HoleFinish::FullSize => "full size in the flat",
                HoleFinish::Pilot => "pilot in the flat",
                HoleFinish::ThroughMate => "drilled through the mate",
                HoleFinish::AfterForming => "centre marked, drilled after forming",
            };
            let size = opening.diameter_mm.map_or_else(|| "as drawn".into(), |diameter| format!("⌀ {diameter:.1} mm"));
            let place = opening.centre_mm - datum;
            let place = format!("{:.1}, {:.1}", place.x, place.y);
            vec![
                Cell::words(&opening.name),
                Cell::number(size),
                Cell::number(place),
                Cell::words(finish),
                Cell::words(&opening.why),
            ]
        };
        tables.push(Table {
            caption: format!("Holes and cut-outs of {}", blank.piece),
            head: vec!["what", "size", "x, y in the flat, mm", "made", "why"],
            rows: blank.openings.iter().map(row).collect(),
        });
    }
    tables
}

/// The bands of a skin's map of raising; none for another piece, or where nothing is worked.
fn bands_table(piece: &PiecePlan) -> Option<Table> {
    piece.skin.as_ref()?;
    let list = packet::drawings::flat_lists(piece).into_iter().find(|list| list.head.first() == Some(&"band"))?;
    Some(Table {
        caption: format!("Bands of {}", piece.name),
        head: list.head.to_vec(),
        rows: list.rows.into_iter().map(|row| row.into_iter().map(Cell::words).collect()).collect(),
    })
}

/// What stands below the flat of a skin on its papers, one sentence each, the gravest first and then round the piece. Lengths of lines
/// and concerns stand on the page themselves.
fn notes_html(piece: &PiecePlan) -> String {
    if piece.skin.is_none() {
        return String::new();
    }
    let mut notes = packet::drawings::flat_notes(piece);
    notes.retain(|note| !matches!(note.about, NoteAbout::Line | NoteAbout::Concern));
    packet::drawings::gravest_first(&mut notes);
    let item = |note: &FlatNote| {
        let grade = match note.grade {
            Some(Grade::Stop) => "<strong>Stop</strong>: ",
            Some(Grade::Caution) => "<strong>Caution</strong>: ",
            Some(_) | None => "",
        };
        format!("<li>{grade}{}</li>", escape(&note.text))
    };
    let items: String = notes.iter().map(item).collect();
    format!("<h3>Forming {}</h3><ul class=\"forming\">{items}</ul>", escape(&piece.name))
}

/// One value, or two where the ends differ.
fn both(ends: [f64; 2], unit: &str) -> String {
    let [start, end] = ends;
    if (start - end).abs() < 0.05 { format!("{start:.1}{unit}") } else { format!("{start:.1} to {end:.1}{unit}") }
}

/// Lengthwise lines that must be let out (stretched) or gathered (shrunk): two hues, hatching, per cent.
fn strain_html(blank: &Blank) -> String {
    let lines: Vec<&LengthwiseLine> = blank.lengthwise.iter().filter(|line| !line.held).collect();
    if lines.is_empty() {
        return String::new();
    }
    let most = lines.iter().flat_map(|line| line.strain_percent).fold(0.0_f64, |most, strain| most.max(strain.abs()));
    let mut html = format!(
        "<h3>Longer or shorter than the flat: {}</h3><div class=\"table-frame\" tabindex=\"0\" role=\"group\" aria-label=\"strain of lengthwise lines\"><table class=\"strain\"><thead><tr><th scope=\"col\">line</th>\
         <th scope=\"col\">per cent</th><th scope=\"col\">per 100 mm</th><th scope=\"col\"></th></tr></thead><tbody>",
        escape(&blank.piece)
    );
    for line in lines {
        let [low, high] = line.strain_percent;
        let (class, words) = if line.mm_per_100_mm < 0.0 { ("shrink", "gather") } else { ("stretch", "let out") };
        let share = if most > 0.0 { low.abs().max(high.abs()) / most * 100.0 } else { 0.0 };
        let _ = write!(
            html,
            "<tr><th scope=\"row\">{}</th><td class=\"figure\">{low:+.2} to {high:+.2} %</td><td class=\"figure\">{words} {:.2} mm</td>\
             <td><svg class=\"share\" viewBox=\"0 0 100 12\" preserveAspectRatio=\"none\" aria-hidden=\"true\"><rect width=\"{share:.1}\" height=\"12\" fill=\"url(#hatch-{class})\"/></svg></td></tr>",
            escape(&line.name),
            line.mm_per_100_mm.abs()
        );
    }
    html.push_str("</tbody></table></div>");
    html
}
