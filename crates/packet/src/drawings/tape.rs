//! Where the tape goes: one picture for one measurement of a pattern, drawn on the piece itself.

use glam::DVec2;
use job::file::{Hand, Measurement, Role, Tape, TapeFace};
use job::plan::PiecePlan;

use super::draft::{Draft, beside, length_of, point_at, stretch_of};
use super::elevation::{Elevation, front_arrow};
use super::profile::{Laid, outside_arrow};
use super::project::{ViewAxes, visible_lines};
use super::{bounds_of, fitting_scale};
use crate::drawing::{Along, Drawing, Label, Layer, Shape, TextHeight};

/// Draws the tape of one measurement; no larger than the space.
pub fn tape_picture(
    piece: &PiecePlan,
    measurement: &Measurement,
    hand: Option<Hand>,
    width_mm: f64,
    height_mm: f64,
) -> Drawing {
    let name = format!("tape {}", measurement.id);
    let description = format!("{}: {}", measurement.title, measurement.how);
    match (&measurement.role, piece.kind.as_str()) {
        (Role::RunLength | Role::RunStart, "strip") => {
            along_edge(piece, measurement, hand, name, description, width_mm, height_mm)
        }
        (Role::Check, "strip") if measurement.tape != Tape::Calliper && spans_the_piece(piece, measurement) => {
            along_edge(piece, measurement, hand, name, description, width_mm, height_mm)
        }
        (_, "strip") => across(piece, measurement, hand, name, description, width_mm, height_mm),
        _ => on_tray(piece, measurement, name, description, width_mm, height_mm),
    }
}

/// A check figure longer than half the edge runs along the piece, a shorter one across it.
fn spans_the_piece(piece: &PiecePlan, measurement: &Measurement) -> bool {
    let nominal = measurement.nominal.length_mm(&units::Reading::default()).unwrap_or(0.0);
    nominal > 0.4 * length_of(&piece.edge_template_mm)
}

fn along_edge(
    piece: &PiecePlan,
    measurement: &Measurement,
    hand: Option<Hand>,
    name: String,
    description: String,
    width_mm: f64,
    height_mm: f64,
) -> Drawing {
    let seen = Elevation::of(piece);
    let size = seen.bounds.size();
    let scale = fitting_scale(size.x, size.y, width_mm - 16.0, height_mm - 34.0);
    let mut draft = Draft::new(name, description, scale);
    seen.draw(&mut draft);
    front_arrow(&mut draft, &seen, hand);
    let edge = lower_edge(piece, &seen);
    let (Some(first), Some(last)) = (edge.first().copied(), edge.last().copied()) else { return draft.drawing };
    match measurement.tape {
        Tape::Straight => {
            let below = Shape::LinearDimension {
                from: first,
                to: last,
                along: Along::Aligned,
                offset_paper_mm: if first.x < last.x { -14.0 } else { 14.0 },
                label: Label::Text(format!("{}: straight, end to end", measurement.title)),
            };
            draft.drawing.add(Layer::Dimension, below);
        }
        _ => {
            let tape = beside(&edge, draft.real(if first.x < last.x { -4.0 } else { 4.0 }));
            draft.path(Layer::Weld, &tape);
            ends(&mut draft, &tape);
            let words = point_at(&tape, 0.5 * length_of(&tape)).unwrap_or(first);
            draft.centred(
                draft.moved(words, 0.0, -4.0),
                TextHeight::Mm2_5,
                format!("{}: tape along the edge", measurement.title),
            );
        }
    }
    draft.drawing
}

/// The finished edge on paper: the edge line of the surface, else the lower side of its box.
fn lower_edge(piece: &PiecePlan, seen: &Elevation) -> Vec<DVec2> {
    for name in ["curl: start", "hem: start", "fold, skin side", "edge line"] {
        let line = seen.feature(piece, name);
        if line.len() > 1 {
            return line;
        }
    }
    let (low, high) = (seen.bounds.low, seen.bounds.high);
    vec![low, DVec2::new(high.x, low.y)]
}

fn ends(draft: &mut Draft, tape: &[DVec2]) {
    let reversed: Vec<DVec2> = tape.iter().rev().copied().collect();
    for chain in [tape, reversed.as_slice()] {
        if let [first, second, ..] = chain {
            let tail = *first + (*second - *first).normalize_or_zero() * draft.real(5.0);
            draft.arrow(Layer::Note, tail, *first);
        }
    }
}

fn across(
    piece: &PiecePlan,
    measurement: &Measurement,
    hand: Option<Hand>,
    name: String,
    description: String,
    width_mm: f64,
    height_mm: f64,
) -> Drawing {
    let Some(shape) = piece.cross_sections.get(piece.cross_sections.len() / 2) else {
        return on_tray(piece, measurement, name, description, width_mm, height_mm);
    };
    let laid = Laid::of(piece, shape, hand);
    let box_ = bounds_of(laid.outside.iter().chain(&laid.inside).copied());
    let scale = fitting_scale(box_.size().x + 20.0, box_.size().y, width_mm - 60.0, height_mm - 24.0);
    let mut draft = Draft::new(name, description, scale);
    laid.draw(&mut draft, DVec2::ZERO);
    outside_arrow(&mut draft, &laid, box_.low);
    if measurement.role == Role::OldCurl || measurement.tape == Tape::Calliper {
        calliper(&mut draft, &laid, measurement);
        return draft.drawing;
    }
    let face = if measurement.face == TapeFace::Inside { &laid.inside } else { &laid.outside };
    let length = length_of(face);
    let nominal = measurement.nominal.length_mm(&units::Reading::default()).unwrap_or(0.5 * length);
    // from the lowest outside point of the finished edge, up the face by the nominal figure
    let bottom = face.iter().copied().enumerate().min_by(|a, b| a.1.y.total_cmp(&b.1.y)).map_or(0, |(index, _)| index);
    let start = length_of(face.get(..=bottom).unwrap_or_default());
    let way = if measurement.face == TapeFace::Inside { -1.0 } else { 1.0 };
    let run = stretch_of(face, start, (start + nominal).min(length));
    let off = laid.outward * (way * draft.real(3.0));
    let mut tape: Vec<DVec2> = upright_part(&run).into_iter().map(|point| point + off).collect();
    if let (Some(first), Some(foot)) = (tape.first().copied(), run.first()) {
        tape.insert(0, DVec2::new(first.x, foot.y.min(first.y - 1e-3)));
    }
    draft.path(Layer::Weld, &tape);
    ends(&mut draft, &tape);
    let middle = point_at(&tape, 0.5 * length_of(&tape)).unwrap_or_default();
    let elbow = middle + laid.outward * (way * draft.real(12.0)) + DVec2::Y * draft.real(4.0);
    draft.callout(middle, elbow, format!("{}:\ntape along this face,\nfrom the lowest point", measurement.title));
    draft.drawing
}

/// The run without the bottom of the curl or fold, where it still goes sideways.
fn upright_part(run: &[DVec2]) -> Vec<DVec2> {
    let start = run.windows(2).position(|pair| matches!(pair, [a, b] if (b.y - a.y).abs() > 2.0 * (b.x - a.x).abs()));
    run.get(start.unwrap_or(0)..).unwrap_or_default().to_vec()
}

fn calliper(draft: &mut Draft, laid: &Laid, measurement: &Measurement) {
    let (centre, over_mm) = match laid.wire {
        Some((centre, diameter)) => (centre, diameter + 2.0 * sheet_mm(laid)),
        None => (laid.lowest(), 3.0),
    };
    let reach = over_mm / 2.0;
    let shape = Shape::LinearDimension {
        from: centre - DVec2::X * reach,
        to: centre + DVec2::X * reach,
        along: Along::Horizontal,
        offset_paper_mm: -10.0,
        label: Label::Text(format!("{}: calliper over the curl", measurement.title)),
    };
    draft.drawing.add(Layer::Dimension, shape);
}

fn sheet_mm(laid: &Laid) -> f64 {
    match (laid.outside.last(), laid.inside.last()) {
        (Some(a), Some(b)) => a.distance(*b),
        _ => 0.0,
    }
}

/// A folded piece from above with the measured way across or along it.
fn on_tray(
    piece: &PiecePlan,
    measurement: &Measurement,
    name: String,
    description: String,
    width_mm: f64,
    height_mm: f64,
) -> Drawing {
    let size = piece.shape.bounds_mm().map_or(glam::DVec3::ZERO, |[low, high]| high - low);
    // the longer side lies along the paper
    let up = if size.x >= size.y { glam::DVec3::Y } else { glam::DVec3::NEG_X };
    let view = ViewAxes::seen_from(glam::DVec3::Z, up);
    let lines = visible_lines(&piece.shape, &view);
    let box_ = bounds_of(lines.iter().flat_map(|(_, points)| points.iter().copied()));
    let scale = fitting_scale(box_.size().x, box_.size().y, width_mm - 50.0, height_mm - 30.0);
    let mut draft = Draft::new(name, description, scale);
    for (_, points) in &lines {
        draft.path(Layer::Outline, points);
    }
    let (low, high) = (box_.low, box_.high);
    let along_y = matches!(measurement.role, Role::LengthenAlongY { .. });
    let upright = view.flat(if along_y { glam::DVec3::Y } else { glam::DVec3::X }).y.abs() > 0.5;
    let words = DVec2::new(high.x, high.y);
    let (from, to, along) = match (measurement.role == Role::Check, upright) {
        (true, _) => (low, high, Along::Aligned),
        (false, true) => (low, DVec2::new(low.x, high.y), Along::Vertical),
        (false, false) => (low, DVec2::new(high.x, low.y), Along::Horizontal),
    };
    let offset_paper_mm = if along == Along::Aligned { 0.0 } else { -8.0 };
    let label = Label::Text("tape".to_owned());
    draft.drawing.add(Layer::Dimension, Shape::LinearDimension { from, to, along, offset_paper_mm, label });
    draft.words(draft.moved(words, 5.0, -3.0), TextHeight::Mm2_5, measurement.title.clone());
    let root = draft.moved(low, 0.0, -16.0);
    draft.words(root, TextHeight::Mm2_5, "seen from the face that is up");
    draft.drawing
}
