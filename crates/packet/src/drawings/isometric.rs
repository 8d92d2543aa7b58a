//! The finished piece in an isometric view, hidden lines dropped, with arrows to the front and up.

use glam::DVec3;
use job::file::Hand;
use job::plan::PiecePlan;

use super::draft::Draft;
use super::hand::placing_lines;
use super::project::{ViewAxes, visible_lines};
use super::{bounds_of, picture_scale};
use crate::drawing::{Drawing, Layer, TextHeight};

/// Draws the piece as seen from outside, in front and above, on the side of its hand; no larger than the space.
pub fn isometric(piece: &PiecePlan, hand: Option<Hand>, width_mm: f64, height_mm: f64) -> Drawing {
    let view = view_of(piece, hand);
    let lines = visible_lines(&piece.shape, &view);
    let box_ = bounds_of(lines.iter().flat_map(|(_, points)| points.iter().copied()));
    let scale = picture_scale(box_.size().x, box_.size().y, width_mm - 24.0, height_mm - 30.0);
    let placing = placing_lines(&piece.placing);
    let description = format!("{}: isometric view of the finished piece. {}", piece.name, placing.join(". "));
    let mut draft = Draft::new(format!("view {}", piece.name), description, scale);
    for (name, points) in &lines {
        let layer = if piece.tube.is_some() { super::tube::line_layer(name) } else { layer_of(name) };
        draft.path(layer, points);
    }
    if piece.tube.is_some()
        && let Some(tip) = super::tube::seen(&lines, "zero line")
    {
        let elbow = glam::DVec2::new(box_.high.x + draft.real(5.0), tip.y + draft.real(6.0));
        draft.callout(tip, elbow, super::tube::zero_words(piece));
    }
    arrows(&mut draft, piece, &view, box_.low);
    let corner = glam::DVec2::new(box_.low.x, box_.low.y);
    let hand_words = piece.placing.hand.clone();
    draft.bold(draft.moved(corner, 34.0, -6.0), TextHeight::Mm2_5, hand_words);
    if !piece.placing.curl.is_empty() {
        draft.words(draft.moved(corner, 34.0, -11.0), TextHeight::Mm2_5, piece.placing.curl.clone());
    }
    draft.words(draft.moved(corner, 34.0, -16.0), TextHeight::Mm2_5, format!("isometric, about {}", scale.title()));
    draft.drawing
}

/// The visible lines of the piece on their layers.
pub(super) fn finished_lines(piece: &PiecePlan, view: &ViewAxes) -> Vec<(Layer, Vec<glam::DVec2>)> {
    let layer = |name: &str| if piece.tube.is_some() { super::tube::line_layer(name) } else { layer_of(name) };
    visible_lines(&piece.shape, view).into_iter().map(|(name, points)| (layer(&name), points)).collect()
}

/// Strips stand in vehicle axes and are seen from their own side; folded pieces stand in axes of their own.
pub(super) fn view_of(piece: &PiecePlan, hand: Option<Hand>) -> ViewAxes {
    if piece.ruled.is_some() {
        return ruled_view(piece);
    }
    let towards = match (piece.kind.as_str(), hand) {
        ("tube", hand) => super::tube::viewer(piece, hand),
        ("strip" | "skin" | "ring", Some(Hand::Right)) => DVec3::new(0.8, -1.2, 0.8),
        ("strip" | "skin" | "ring", _) => DVec3::new(0.8, 1.2, 0.8),
        _ => DVec3::new(-1.0, -1.0, 1.0),
    };
    ViewAxes::seen_from(towards, DVec3::Z)
}

/// The view of a piece bent along rulings: its larger end shows, so that one looks into it.
pub(super) fn ruled_view(piece: &PiecePlan) -> ViewAxes {
    let width = |name: &str| {
        let edge = piece.edges.iter().find(|edge| edge.name == name);
        edge.map_or(0.0, |edge| edge.length_mm)
    };
    let edges = piece.ruled.as_ref().map(|ruled| &ruled.layout.edges);
    let wide_below = edges.is_some_and(|[a, b]| width(&a.name) > 1.5 * width(&b.name));
    let height = if wide_below { 0.55 } else { 0.8 };
    ViewAxes::seen_from(DVec3::new(-0.9, -1.1, height), DVec3::Z)
}

/// Which way x of a folded piece runs: its base is drawn from zero, and the other hand's is reflected; not told where it lies about zero.
fn own_x(piece: &PiecePlan) -> Option<DVec3> {
    let [low, high] = piece.shape.bounds_mm()?;
    let middle = low.midpoint(high).x;
    (middle.abs() > 0.2 * (high.x - low.x)).then(|| DVec3::X * middle.signum())
}

fn layer_of(name: &str) -> Layer {
    match name {
        "outline" | "edge" | "hole" => Layer::Outline,
        "seam" => Layer::Mark,
        "end line" => Layer::Mark,
        _ if name.ends_with("step line") => Layer::Lap,
        _ if name.contains("hole") || name.contains("bolt") || name.contains("drain") => Layer::Outline,
        _ => Layer::Dimension,
    }
}

/// Arrows of the axes in the corner below the view: front and up in vehicle axes; the piece's own x and y, or x and z, where it has axes of its
/// own, which its words place on the vehicle.
fn arrows(draft: &mut Draft, piece: &PiecePlan, view: &ViewAxes, low: glam::DVec2) {
    let words = if piece.ruled.is_some() {
        vec![(DVec3::X, "x"), (DVec3::Z, "z")]
    } else if piece.kind != "folded" {
        vec![(DVec3::X, "front"), (DVec3::Z, "up")]
    } else {
        own_x(piece).map(|x| (x, "x")).into_iter().chain([(DVec3::Y, "y")]).collect()
    };
    let root = draft.moved(low, 6.0, -20.0);
    for (axis, name) in words {
        let way = view.flat(axis).normalize_or_zero();
        let tip = root + way * draft.real(10.0);
        draft.arrow(Layer::Note, root, tip);
        draft.centred(tip + way * draft.real(4.5), TextHeight::Mm2_5, name);
    }
}
