//! Picture of fitting for a plate that is supplied for an opening: where to scribe, where to cut, and what is opened last.

use blank::MarkKind;
use glam::DVec2;
use job::plan::{FittingStep, PiecePlan};

use super::draft::{Draft, beside};
use super::{bounds_of, picture_scale};
use crate::drawing::{Drawing, Layer, TextHeight};

/// Room on paper for what is written right of the plate.
const NOTES_MM: f64 = 92.0;

/// Is the piece a plate with an opening that the fitter makes?
pub fn is_let_in_plate(piece: &PiecePlan) -> bool {
    piece.blank.marks.iter().any(|mark| mark.kind == MarkKind::Opening)
}

/// Draws the plate square from its marked face; no larger than the space. `figures` are those of the step as printed.
pub(super) fn plate_picture(
    piece: &PiecePlan,
    step: &FittingStep,
    figures: &[(String, String)],
    width_mm: f64,
    height_mm: f64,
) -> Drawing {
    let outline = &piece.blank.outline_mm;
    let box_ = bounds_of(outline.iter().copied());
    let size = box_.size();
    let scale = picture_scale(size.x, size.y, width_mm - NOTES_MM, height_mm - 22.0);
    let description = format!("Step {}: {}. {}, {}", step.number, step.title, piece.name, piece.placing.hand);
    let mut draft = Draft::new(format!("step {}", step.number), description, scale);
    draft.ring(Layer::Outline, outline);
    let foot = draft.moved(box_.low, 0.0, -7.0);
    draft.words(foot, TextHeight::Mm2_5, format!("{} · {} · marked face", piece.name, piece.placing.hand));
    let [along, across] = ["hole along", "hole across"].map(|name| printed(figures, piece, name));
    // a plate of which the step says nothing is not drawn with a line to cut on
    let lap_mm = step.figures_mm.iter().find(|(name, _)| *name == figure_name(piece, "lap")).map(|(_, lap_mm)| *lap_mm);
    let Some(lap_mm) = lap_mm else { return draft.drawing };
    let hole = inset(outline, lap_mm);
    draft.ring(Layer::VehicleCut, &hole);
    let opening = piece.blank.marks.iter().filter(|mark| mark.kind == MarkKind::Opening);
    let openings: Vec<&Vec<DVec2>> = opening.map(|mark| &mark.line_mm).collect();
    openings.iter().for_each(|line| draft.path(Layer::Hidden, line));

    let right = |line: &[DVec2], share: f64| {
        let bounds = bounds_of(line.iter().copied());
        let height = bounds.low.y + share * bounds.size().y;
        line.iter()
            .copied()
            .filter(|point| point.x > bounds.middle().x)
            .min_by(|a, b| (a.y - height).abs().total_cmp(&(b.y - height).abs()))
    };
    let cut = match (along, across) {
        (Some(along), Some(across)) if lap_mm > 1e-6 => {
            format!("2  cut here, one lap inside: {along} × {across},\nround corners; the plate goes behind")
        }
        (Some(along), Some(across)) => format!("2  cut on that line: {along} × {across}, round corners"),
        _ => "2  cut inside the scribed line, round corners".to_owned(),
    };
    let notes = [
        (right(outline, 0.82), "1  lay the plate in its place on the old metal\nand scribe round it".to_owned(), 0.95),
        (right(&hole, 0.5), cut, 0.5),
        (
            openings.first().and_then(|line| right(line, 0.3)),
            "3  let in, weld as the other seams; open along this\nline last, cold and checked".to_owned(),
            0.05,
        ),
    ];
    for (tip, words, share) in notes {
        if let Some(tip) = tip {
            let elbow = DVec2::new(box_.high.x + draft.real(8.0), box_.low.y + share * size.y);
            draft.callout(tip, elbow, words);
        }
    }
    draft.drawing
}

fn figure_name(piece: &PiecePlan, what: &str) -> String {
    format!("{}, {what}", piece.name)
}

/// A figure of the plate as printed.
fn printed<'a>(figures: &'a [(String, String)], piece: &PiecePlan, what: &str) -> Option<&'a str> {
    let wanted = figure_name(piece, what);
    figures.iter().find(|(name, _)| *name == wanted).map(|(_, figure)| figure.as_str())
}

/// The outline moved inward all round.
fn inset(outline: &[DVec2], by_mm: f64) -> Vec<DVec2> {
    let mut round: Vec<DVec2> = outline.last().copied().into_iter().chain(outline.iter().copied()).collect();
    round.extend(outline.first().copied());
    let moved = beside(&round, by_mm);
    moved.get(1..moved.len().saturating_sub(1)).map(<[DVec2]>::to_vec).unwrap_or_default()
}
