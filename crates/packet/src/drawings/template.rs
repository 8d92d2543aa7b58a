//! Templates at 1:1: a cross-section to hold across the panel, the edge line to lay along it.

use glam::DVec2;
use job::file::Hand;
use job::plan::{PiecePlan, SectionShape};

use super::bounds_of;
use super::draft::{Draft, beside, length_of, point_at};
use super::profile::Laid;
use crate::drawing::{Drawing, Layer, Polyline, Scale, Shape, TextHeight};
use crate::number::trimmed;

/// Depth of the card behind the checked edge.
const BODY_MM: f64 = 45.0;
/// Hole to hang it up and to hold it by.
const HANDLE_HOLE_MM: f64 = 16.0;

/// A template whose one long edge is the outside face of a cross-section. It is held against the panel from outside.
pub fn cross_section_template(piece: &PiecePlan, shape: &SectionShape, hand: Option<Hand>) -> Drawing {
    let laid = Laid::of(piece, shape, hand);
    let name = format!("template {} {}", piece.name, shape.name);
    let description = format!("1:1 template of {}, {}, outside face", piece.name, shape.name);
    let mut draft = Draft::new(name, description, Scale::FULL);
    let edge = touched(&laid);
    let box_ = bounds_of(edge.iter().copied());
    let far = if laid.outward.x > 0.0 { box_.high.x + BODY_MM } else { box_.low.x - BODY_MM };
    let (Some(first), Some(last)) = (edge.first(), edge.last()) else { return draft.drawing };
    let mut ring = edge.clone();
    ring.push(DVec2::new(far, last.y));
    ring.push(DVec2::new(far, first.y));
    draft.ring(Layer::Template, &ring);
    let hole = DVec2::new(far - laid.outward.x * 14.0, box_.middle().y);
    draft.drawing.add(Layer::Template, Shape::Circle { centre: hole, radius_mm: HANDLE_HOLE_MM / 2.0 });
    datum(&mut draft, *first, laid.outward);
    let left = if laid.outward.x > 0.0 { box_.low.x } else { far };
    let lines = [
        format!("{}, {}", piece.name, shape.name),
        piece.placing.hand.clone(),
        place_words(piece, shape.station_mm),
        "the shaped edge touches the outside face; the arrow points up".to_owned(),
        "the mark at its foot sits at the edge line".to_owned(),
    ];
    label(&mut draft, DVec2::new(left, box_.low.y.min(first.y)), &lines);
    let arrow = DVec2::new(far - laid.outward.x * 30.0, box_.middle().y - 10.0);
    draft.arrow(Layer::Note, arrow, arrow + DVec2::Y * 20.0);
    draft.drawing
}

/// Where a station lies: along the pattern's edge line, and from which end of the piece a tape finds it.
fn place_words(piece: &PiecePlan, station_mm: f64) -> String {
    let along = format!("station {} mm of the edge line", trimmed(station_mm, 1));
    let mut ends =
        piece.shape.lines.iter().filter(|line| line.name == "end line").filter_map(|line| line.points_mm.first());
    let (Some(first), Some(start), Some(end)) = (piece.cross_sections.first(), ends.next(), ends.next()) else {
        return along;
    };
    let which = if start.x < end.x { "rear" } else { "front" };
    format!("{along}: {} mm from the {which} end of the piece", trimmed(station_mm - first.station_mm, 1))
}

/// Outside face without the curl or flange that turns away below it: from the lowest point reached going down the face.
fn touched(laid: &Laid) -> Vec<DVec2> {
    let points = &laid.outside;
    // going down from the cut edge, the checked face ends where the chain turns back up or away by more than 60°
    let mut edge: Vec<DVec2> = points.last().copied().into_iter().collect();
    let mut first_way: Option<DVec2> = None;
    for pair in points.windows(2).rev() {
        let [next, from] = pair else { continue };
        let way = (*next - *from).normalize_or_zero();
        if way == DVec2::ZERO {
            continue;
        }
        let reference = *first_way.get_or_insert(way);
        if way.dot(reference) < 0.5 {
            break;
        }
        edge.push(*next);
    }
    edge.reverse();
    edge
}

fn datum(draft: &mut Draft, at: DVec2, outward: DVec2) {
    draft.line(Layer::Mark, at, at + outward * 12.0);
    draft.centred(at + outward * 18.0 + DVec2::Y * 3.0, TextHeight::Mm2_5, "edge line");
}

fn label(draft: &mut Draft, at: DVec2, lines: &[String]) {
    for (index, line) in lines.iter().enumerate() {
        let place = at + DVec2::new(0.0, -6.0 - 4.6 * index as f64);
        if index == 0 {
            draft.bold(place, TextHeight::Mm2_5, line.clone());
        } else {
            draft.words(place, TextHeight::Mm2_5, line.clone());
        }
    }
}

/// A template of the finished edge laid in its best plane, or of the middle of it up to `longest_mm`.
pub fn edge_template(piece: &PiecePlan, longest_mm: Option<f64>) -> Option<Drawing> {
    let whole = &piece.edge_template_mm;
    let length = length_of(whole);
    if whole.len() < 2 || length < 1.0 {
        return None;
    }
    let shown = longest_mm.map_or(length, |longest| longest.min(length));
    let from = 0.5 * (length - shown);
    let first_mm = piece.cross_sections.first().map_or(0.0, |shape| shape.station_mm);
    let edge = levelled(&super::draft::stretch_of(whole, from, from + shown));
    let mut draft = Draft::new(
        format!("template {} edge", piece.name),
        format!("1:1 template of the finished edge of {}", piece.name),
        Scale::FULL,
    );
    let body = beside(&edge, -BODY_MM.min(smallest_radius(&edge) * 0.6));
    let ring: Vec<DVec2> = edge.iter().copied().chain(body.iter().rev().copied()).collect();
    draft.ring(Layer::Template, &ring);
    let middle = 0.5 * shown;
    let (top, bottom) = (point_at(&edge, middle)?, point_at(&body, 0.5 * length_of(&body))?);
    let grip = top.lerp(bottom, 0.55);
    let slot =
        Polyline::slot(grip - DVec2::X * 14.0, grip + DVec2::X * 14.0, HANDLE_HOLE_MM.min(0.4 * top.distance(bottom)));
    draft.drawing.add(Layer::Template, slot);
    for (at, words) in [(0.0, "start"), (middle, "middle"), (shown, "end")] {
        if let (Some(a), Some(b)) = (point_at(&edge, (at - 0.5).max(0.0)), point_at(&edge, at + 0.5)) {
            let normal = (b - a).perp().normalize_or_zero();
            let foot = point_at(&edge, at)?;
            draft.line(Layer::Mark, foot, foot - normal * 7.0);
            // the words of the two ends stand inside the card, not across the line that is cut
            let inward = (b - a).normalize_or_zero() * if words == "start" { 9.0 } else { -9.0 };
            let aside = if words == "middle" { DVec2::ZERO } else { inward };
            let place = foot - normal * 10.0 + aside;
            draft.centred(place, TextHeight::Mm1_8, format!("{words} {} mm", trimmed(first_mm + from + at, 0)));
        }
    }
    let low = bounds_of(ring.iter().copied()).low;
    let lines = [
        format!("{}, finished edge", piece.name),
        piece.placing.hand.clone(),
        "the curved upper edge lies along the edge line of the panel, outside face".to_owned(),
        format!("middle of the piece, {}", place_words(piece, first_mm + from + middle)),
        piece.placing.front_end.clone(),
    ];
    label(&mut draft, low, &lines);
    Some(draft.drawing)
}

/// Turns the chain so that its ends lie level.
fn levelled(chain: &[DVec2]) -> Vec<DVec2> {
    let (Some(first), Some(last)) = (chain.first(), chain.last()) else { return Vec::new() };
    let turn = DVec2::from_angle(-(*last - *first).to_angle());
    chain.iter().map(|point| turn.rotate(*point - *first)).collect()
}

fn smallest_radius(chain: &[DVec2]) -> f64 {
    let length = length_of(chain);
    let (Some(a), Some(m), Some(b)) = (chain.first(), point_at(chain, 0.5 * length), chain.last()) else {
        return f64::INFINITY;
    };
    let (chord, sagitta) = (a.distance(*b), m.distance(a.midpoint(*b)));
    if sagitta < 1e-6 { f64::INFINITY } else { chord * chord / (8.0 * sagitta) + sagitta / 2.0 }
}
