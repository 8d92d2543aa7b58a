//! Where the tape goes on a cone or a transition: seen from the side, the measured end or height with its dimension.

use glam::{DVec2, DVec3};
use job::file::{Role, RuledSize};

use super::draft::Draft;
use super::project::{ViewAxes, visible_lines};
use super::tape::Taped;
use super::{bounds_of, picture_scale};
use crate::drawing::{Along, Bounds, Drawing, Label, Layer, Shape, TextHeight};

/// Draws the piece from the side with the measured way.
pub(super) fn on_ruled(taped: &Taped<'_>) -> Drawing {
    let Taped { piece, measurement, space_mm: [width_mm, height_mm], .. } = *taped;
    let size = match &measurement.role {
        Role::RuledSize { size, .. } => Some(*size),
        _ => None,
    };
    let across = matches!(size, Some(RuledSize::BottomAlongY | RuledSize::TopAlongY));
    let (towards, words) =
        if across { (DVec3::X, "y runs to the right") } else { (DVec3::NEG_Y, "x runs to the right") };
    let view = ViewAxes::seen_from(towards, DVec3::Z);
    let lines = visible_lines(&piece.shape, &view);
    let box_ = bounds_of(lines.iter().flat_map(|(_, points)| points.iter().copied()));
    let scale = picture_scale(box_.size().x, box_.size().y, width_mm - 50.0, height_mm - 34.0);
    let mut draft =
        Draft::new(format!("tape {}", measurement.id), format!("{}: {}", measurement.title, measurement.how), scale);
    for (_, points) in &lines {
        draft.path(Layer::Outline, points);
    }
    let ring = |index: usize| edge_box(taped, &view, index);
    let (from, to, along, offset_paper_mm) = match size {
        Some(RuledSize::Bottom | RuledSize::BottomAlongY) => {
            let end = ring(0);
            (end.low, DVec2::new(end.high.x, end.low.y), Along::Horizontal, -8.0)
        }
        Some(RuledSize::Top | RuledSize::TopAlongY) => {
            let end = ring(1);
            (DVec2::new(end.low.x, end.high.y), end.high, Along::Horizontal, 8.0)
        }
        Some(RuledSize::Height) => {
            let (bottom, top) = (ring(0), ring(1));
            let x = box_.low.x;
            (DVec2::new(x, bottom.middle().y), DVec2::new(x, top.middle().y), Along::Vertical, -8.0)
        }
        None => slope(taped, &view),
    };
    let label = Label::Text("tape".to_owned());
    draft.drawing.add(Layer::Dimension, Shape::LinearDimension { from, to, along, offset_paper_mm, label });
    let beside = DVec2::new(box_.high.x, box_.middle().y);
    draft.words(draft.moved(beside, 5.0, 0.0), TextHeight::Mm2_5, measurement.title.clone());
    let root = draft.moved(box_.low, 0.0, -18.0);
    draft.words(root, TextHeight::Mm2_5, format!("seen from the side; {words}"));
    draft.drawing
}

/// Box of edge A or B on paper.
fn edge_box(taped: &Taped<'_>, view: &ViewAxes, index: usize) -> Bounds {
    let edges = taped.piece.shape.lines.iter().filter(|line| line.name == "outline");
    let line = edges.take(2).nth(index);
    bounds_of(line.into_iter().flat_map(|line| &line.points_mm).map(|point| view.flat(*point)))
}

/// A check figure goes down the slope at the side, from the top edge to the bottom edge.
fn slope(taped: &Taped<'_>, view: &ViewAxes) -> (DVec2, DVec2, Along, f64) {
    let (bottom, top) = (edge_box(taped, view, 0), edge_box(taped, view, 1));
    let from = DVec2::new(bottom.high.x, bottom.low.y);
    (from, DVec2::new(top.high.x, top.high.y), Along::Aligned, -6.0)
}
