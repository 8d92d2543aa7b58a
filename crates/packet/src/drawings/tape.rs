//! Where the tape goes: one picture for one measurement of a pattern, drawn on the piece itself.

use glam::DVec2;
use job::file::{Hand, Measurement, Role, Tape, TapeFace};
use job::plan::PiecePlan;

use super::draft::{Draft, beside, length_of, point_at, stretch_of};
use super::elevation::{Elevation, front_arrow};
use super::profile::{Laid, outside_arrow};
use super::project::{ViewAxes, visible_lines};
use super::ruled_tape::on_ruled;
use super::{bounds_of, picture_scale};
use crate::drawing::{Along, Drawing, Label, Layer, Scale, Shape, TextHeight};

/// One measurement to draw on a piece.
#[derive(Debug, Clone, Copy)]
pub struct Taped<'a> {
    /// The piece.
    pub piece: &'a PiecePlan,
    /// What is measured.
    pub measurement: &'a Measurement,
    /// Its value on the surveyed vehicle, where that can be read.
    pub nominal_mm: Option<f64>,
    /// Hand of the piece.
    pub hand: Option<Hand>,
    /// Width and height that the drawing may take on paper.
    pub space_mm: [f64; 2],
}

impl Taped<'_> {
    fn draft(&self, scale: Scale) -> Draft {
        let Measurement { id, title, how, .. } = self.measurement;
        Draft::new(format!("tape {id}"), format!("{title}: {how}"), scale)
    }
}

/// Draws where the tape goes.
pub fn tape_picture(taped: Taped<'_>) -> Drawing {
    if let Some(holes) = holes_measured(&taped) {
        return between_holes(&taped, holes);
    }
    if let Some(drawing) = super::ring::tape(&taped) {
        return drawing;
    }
    match (&taped.measurement.role, taped.piece.kind.as_str()) {
        (Role::RunLength | Role::RunStart, "strip") => along_edge(&taped),
        (Role::Check, "strip") if taped.measurement.tape != Tape::Calliper && spans_the_piece(&taped) => {
            along_edge(&taped)
        }
        (_, "strip") => across(&taped),
        _ if taped.piece.ruled.is_some() => on_ruled(&taped),
        _ => on_tray(&taped),
    }
}

/// A check figure of more than this share of the edge runs along the piece, a shorter one across it.
const ALONG_FROM: f64 = 0.4;

fn spans_the_piece(taped: &Taped<'_>) -> bool {
    taped.nominal_mm.is_some_and(|nominal| nominal > ALONG_FROM * length_of(&taped.piece.edge_template_mm))
}

fn along_edge(taped: &Taped<'_>) -> Drawing {
    let Taped { piece, measurement, hand, space_mm: [width_mm, height_mm], .. } = *taped;
    let seen = Elevation::of(piece);
    let size = seen.bounds.size();
    let scale = picture_scale(size.x, size.y, width_mm - 16.0, height_mm - 34.0);
    let mut draft = taped.draft(scale);
    seen.draw(&mut draft);
    front_arrow(&mut draft, &seen, hand);
    let edge = lower_edge(piece, &seen);
    let (Some(first), Some(last)) = (edge.first().copied(), edge.last().copied()) else { return draft.drawing };
    match measurement.tape {
        _ if measurement.role == Role::RunStart => before_the_start(&mut draft, &edge, seen.bounds.high.y, measurement),
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
            let words = DVec2::new(seen.bounds.middle().x, seen.bounds.low.y);
            draft.centred(
                draft.moved(words, 0.0, -13.0),
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

fn across(taped: &Taped<'_>) -> Drawing {
    let Taped { piece, measurement, hand, space_mm: [width_mm, height_mm], .. } = *taped;
    let Some(shape) = piece.cross_sections.get(piece.cross_sections.len() / 2) else {
        return on_tray(taped);
    };
    let laid = Laid::of(piece, shape, hand);
    let box_ = bounds_of(laid.outside.iter().chain(&laid.inside).copied());
    let scale = picture_scale(box_.size().x + 20.0, box_.size().y, width_mm - 60.0, height_mm - 24.0);
    let mut draft = taped.draft(scale);
    laid.draw(&mut draft, DVec2::ZERO);
    outside_arrow(&mut draft, &laid, box_.low);
    if measurement.role == Role::OldCurl || measurement.tape == Tape::Calliper {
        calliper(&mut draft, &laid, measurement);
        return draft.drawing;
    }
    let face = if measurement.face == TapeFace::Inside { &laid.inside } else { &laid.outside };
    let length = length_of(face);
    let nominal = taped.nominal_mm.unwrap_or(0.5 * length);
    // from the lowest outside point of the finished edge, up the face by the nominal figure
    let bottom = laid.foot(face);
    let start = length_of(face.get(..=bottom).unwrap_or_default());
    let way = if measurement.face == TapeFace::Inside { -1.0 } else { 1.0 };
    let run = stretch_of(face, start, (start + nominal).min(length));
    let off = laid.outward * (way * draft.real(3.0));
    let mut tape: Vec<DVec2> = upright_part(&run).into_iter().map(|point| point + off).collect();
    if let (Some(first), Some(foot)) = (tape.first().copied(), run.first()) {
        tape.insert(
            0,
            DVec2::new(first.x, if laid.up() > 0.0 { foot.y.min(first.y - 1e-3) } else { foot.y.max(first.y + 1e-3) }),
        );
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
    // the two jaws, closed on the curl from both sides
    for side in [-1.0, 1.0] {
        let tip = centre + DVec2::X * (side * reach);
        draft.arrow(Layer::Note, tip + DVec2::X * (side * draft.real(9.0)), tip);
        draft.line(Layer::Weld, tip - DVec2::Y * reach, tip + DVec2::Y * reach);
    }
    let tip = centre + DVec2::new(reach, reach);
    let elbow = draft.moved(tip, 8.0, 12.0);
    draft.callout(tip, elbow, format!("{}:\ncalliper over the curl, not squeezed", measurement.title));
}

/// The way from the pattern's mark on the vehicle to where the piece starts.
fn before_the_start(draft: &mut Draft, edge: &[DVec2], above: f64, measurement: &Measurement) {
    let [first, second, ..] = edge else { return };
    let way = (*first - *second).normalize_or_zero();
    let datum = *first + way * draft.real(28.0);
    draft.line(Layer::Adjacent, *first, datum + way * draft.real(6.0));
    let off = DVec2::NEG_Y * draft.real(4.0);
    let tape = [datum + off, *first + off];
    draft.path(Layer::Weld, &tape);
    ends(draft, &tape);
    draft.line(Layer::Note, datum - DVec2::Y * draft.real(7.0), datum + DVec2::Y * draft.real(4.0));
    let middle = datum.midpoint(*first);
    let level = DVec2::new(middle.x, above.max(middle.y));
    draft.centred(draft.moved(level, 0.0, 6.0), TextHeight::Mm2_5, measurement.title.clone());
}

/// Two openings of the piece whose middles stand as far apart as the check figure says.
fn holes_measured(taped: &Taped<'_>) -> Option<[glam::DVec3; 2]> {
    let Taped { piece, measurement, nominal_mm, .. } = *taped;
    if measurement.role != Role::Check || measurement.tape == Tape::Calliper {
        return None;
    }
    let nominal = nominal_mm?;
    let closed =
        piece.shape.lines.iter().filter(|line| line.closed && line.name != "outline" && !line.points_mm.is_empty());
    let middles: Vec<glam::DVec3> =
        closed.map(|line| line.points_mm.iter().copied().sum::<glam::DVec3>() / line.points_mm.len() as f64).collect();
    let pairs = middles.iter().enumerate().flat_map(|(index, a)| middles.iter().skip(index + 1).map(move |b| [*a, *b]));
    pairs.into_iter().find(|[a, b]| (a.distance(*b) - nominal).abs() < 2.0)
}

/// From the middle of one opening to the middle of another, seen square to the face they are in.
fn between_holes(taped: &Taped<'_>, holes: [glam::DVec3; 2]) -> Drawing {
    let Taped { piece, measurement, hand, space_mm, .. } = *taped;
    let outside = Elevation::of(piece);
    // a flange that the skin hides is seen from beyond its free edge
    let view = if piece.kind == "strip" {
        ViewAxes::seen_from(
            outside.view.towards * 0.6 - outside.view.up * below(&outside, piece, holes),
            outside.view.towards,
        )
    } else {
        ViewAxes::seen_from(glam::DVec3::Z, glam::DVec3::Y)
    };
    let lines = visible_lines(&piece.shape, &view);
    let box_ = bounds_of(lines.iter().flat_map(|(_, points)| points.iter().copied()));
    let scale = picture_scale(box_.size().x, box_.size().y, space_mm[0] - 30.0, space_mm[1] - 30.0);
    let mut draft = taped.draft(scale);
    for (_, points) in &lines {
        draft.path(Layer::Outline, points);
    }
    let [a, b] = holes.map(|hole| view.flat(hole));
    let (from, to) = if a.x <= b.x { (a, b) } else { (b, a) };
    let label = Label::Text(format!("{}, middle to middle", measurement.title));
    let offset_paper_mm = draft.drawing.scale.ratio() * (box_.high.y - from.y.max(to.y)) + 7.0;
    draft
        .drawing
        .add(Layer::Dimension, Shape::LinearDimension { from, to, along: Along::Aligned, offset_paper_mm, label });
    let front = view.flat(glam::DVec3::X);
    if hand.is_some() && front.length() > 0.3 {
        let root = draft.moved(DVec2::new(box_.middle().x, box_.low.y), 0.0, -7.0);
        let way = front.normalize_or_zero() * draft.real(10.0);
        draft.arrow(Layer::Note, root - way, root + way);
        draft.centred(root + way * 1.7, TextHeight::Mm2_5, "front");
    }
    draft.drawing
}

/// 1 where the openings lie below the middle of the view from outside, else −1.
fn below(outside: &Elevation, piece: &PiecePlan, holes: [glam::DVec3; 2]) -> f64 {
    let cut_edge =
        piece.shape.lines.iter().find(|line| line.name == "outline").map_or(outside.bounds.middle(), |line| {
            line.points_mm.iter().map(|point| outside.view.flat(*point)).sum::<DVec2>()
                / line.points_mm.len().max(1) as f64
        });
    let middle = holes.map(|hole| outside.view.flat(hole).y).iter().sum::<f64>() / 2.0;
    if middle <= cut_edge.y { 1.0 } else { -1.0 }
}

fn sheet_mm(laid: &Laid) -> f64 {
    match (laid.outside.last(), laid.inside.last()) {
        (Some(a), Some(b)) => a.distance(*b),
        _ => 0.0,
    }
}

/// A folded piece from above with the measured way across or along it.
fn on_tray(taped: &Taped<'_>) -> Drawing {
    let Taped { piece, measurement, space_mm: [width_mm, height_mm], .. } = *taped;
    let size = piece.shape.bounds_mm().map_or(glam::DVec3::ZERO, |[low, high]| high - low);
    // the longer side lies along the paper
    let up = if size.x >= size.y { glam::DVec3::Y } else { glam::DVec3::NEG_X };
    let view = ViewAxes::seen_from(glam::DVec3::Z, up);
    let lines = visible_lines(&piece.shape, &view);
    let box_ = bounds_of(lines.iter().flat_map(|(_, points)| points.iter().copied()));
    let scale = picture_scale(box_.size().x, box_.size().y, width_mm - 50.0, height_mm - 30.0);
    let mut draft = taped.draft(scale);
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
