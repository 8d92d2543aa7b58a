//! Pictures of fitting for a cone or a transition: the piece in its isometric view, its joined ends marked, and what is done there.

use glam::DVec2;
use job::plan::{FittingStep, PiecePlan, RuledPlan, SectionPlan};

use super::draft::Draft;
use super::isometric::ruled_view;
use super::project::visible_lines;
use super::weld_map::order_on_picture;
use super::{bounds_of, picture_scale};
use crate::drawing::{Drawing, Layer, Shape, TextHeight};

/// Draws one step; no larger than the space.
pub(super) fn ruled_picture(
    section: &SectionPlan,
    piece: &PiecePlan,
    ruled: &RuledPlan,
    step: &FittingStep,
    width_mm: f64,
    height_mm: f64,
) -> Drawing {
    let view = ruled_view(piece);
    let lines = visible_lines(&piece.shape, &view);
    let box_ = bounds_of(lines.iter().flat_map(|(_, points)| points.iter().copied()));
    let scale = picture_scale(box_.size().x, box_.size().y, width_mm - 60.0, height_mm - 34.0);
    let description = format!("Step {}: {}. {}, {}", step.number, step.title, piece.name, piece.placing.hand);
    let mut draft = Draft::new(format!("step {}", step.number), description, scale);
    for (name, points) in &lines {
        draft.path(if name == "seam" { Layer::Mark } else { Layer::Outline }, points);
    }
    let foot = draft.moved(box_.low, 0.0, -7.0);
    draft.words(foot, TextHeight::Mm2_5, format!("{} · {}", piece.name, piece.placing.hand));
    // each point with whether its outside is turned to the viewer
    let ends: Vec<Vec<(DVec2, bool)>> = ruled
        .layout
        .edges
        .iter()
        .zip(ruled.joined)
        .filter(|(_, joined)| *joined)
        .filter_map(|(edge, _)| piece.edges.iter().find(|own| own.name == edge.name))
        .map(|edge| {
            edge.points.iter().map(|point| (view.flat(point.at_mm), point.outward.dot(view.towards) > 0.0)).collect()
        })
        .collect();
    let words = words(section, step);
    let rings = matches!(step.kind.as_str(), "scribe" | "cut" | "clean-and-probe");
    for (index, end) in ends.iter().enumerate() {
        if rings {
            let closed: Vec<DVec2> = end.iter().chain(end.first()).map(|(at, _)| *at).collect();
            draft.path(Layer::Trim, &closed);
        }
        if matches!(step.kind.as_str(), "tack" | "weld" | "clamp-and-check") {
            eighths(end).for_each(|at| {
                draft.drawing.add(Layer::Weld, Shape::Circle { centre: at, radius_mm: draft.real(2.0) });
            });
        }
        let rightmost = end.iter().map(|(at, _)| *at).max_by(|a, b| a.x.total_cmp(&b.x));
        if let (0, Some(tip), false) = (index, rightmost, words.is_empty()) {
            let elbow = DVec2::new(tip.x + draft.real(5.0), box_.high.y + draft.real(8.0));
            draft.callout(tip, elbow, words.clone());
        }
    }
    draft.drawing
}

/// Eight places round an end, those that are seen.
fn eighths(end: &[(DVec2, bool)]) -> impl Iterator<Item = DVec2> + '_ {
    let count = end.len();
    (0..8).filter_map(move |eighth| end.get(eighth * count / 8)).filter(|(_, seen)| *seen).map(|(at, _)| *at)
}

fn words(section: &SectionPlan, step: &FittingStep) -> String {
    match step.kind.as_str() {
        "hold-up" => "does it sit all round without force?".into(),
        "brace" => "bars crosswise over this opening; write its sizes down".into(),
        "clean-and-probe" => "clean and probe the metal this end joins, all round".into(),
        "scribe" => "scribe round this end on the old metal".into(),
        "cut" => "cut inside the line only".into(),
        "clamp-and-check" => "clamp crosswise first, then between".into(),
        "tack" | "weld" if section.joint.count > 0 => {
            order_on_picture(section, format!("{} places, the next always across from the last", section.joint.count))
        }
        "tack" | "weld" => "crosswise, then between".into(),
        "protect" => "primer and sealer round the joint; wax inside".into(),
        _ => String::new(),
    }
}
