//! Several pieces as one: assembled or drawn apart, each piece with its number, each seam with its letter.
//!
//! Part references as ISO 6433 has them (common practice, from memory): numbers of one height in circles of one size, set in columns
//! beside the view, each with a leader that ends in a dot on the face of its part. Seams carry letters in boxes, their leaders end on the line.

use std::borrow::Cow;

use glam::{DVec2, DVec3};
use job::file::Hand;
use job::plan::{Assembly, PiecePlan, PlacedPiece, SectionPlan};
use mesh::{FeatureLine, PointId, Surface};

use super::draft::Draft;
use super::project::{Sight, ViewAxes, visible_lines};
use super::{bounds_of, picture_scale};
use crate::drawing::{Drawing, Layer, Polyline, Shape, TextHeight};

/// Radius of a balloon on paper.
const BALLOON: f64 = 3.6;
/// Least distance between two references in a column on paper.
const PITCH: f64 = 9.0;
/// From the view to the columns on paper.
const BESIDE: f64 = 12.0;

/// How far apart the pieces are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shown {
    /// As they are joined, with the letters of the seams.
    Together,
    /// Moved out from the middle, with the numbers of the pieces.
    Apart,
}

/// Draws the pieces of a section as one; no larger than the space. Nothing for a section without seams.
pub fn assembly(section: &SectionPlan, shown: Shown, width_mm: f64, height_mm: f64) -> Option<Drawing> {
    let plan = section.assembly.as_ref()?;
    let fitted = section.as_fitted();
    let shifts = shifts(plan, &fitted, shown);
    let parts: Vec<Surface> = fitted
        .iter()
        .zip(&plan.pieces)
        .zip(&shifts)
        .map(|((piece, placed), shift)| in_place(&piece.shape, placed, *shift))
        .collect();
    let whole = parts.iter().fold(Surface::default(), joined);
    let view = view_of(section);
    let lines = visible_lines(&whole, &view);
    let box_ = bounds_of(lines.iter().flat_map(|(_, points)| points.iter().copied()));
    let beside = 2.0 * (BESIDE + 2.0 * BALLOON + 2.0);
    let scale = picture_scale(box_.size().x, box_.size().y, width_mm - beside, height_mm - 16.0);
    let what = match shown {
        Shown::Together => "as joined",
        Shown::Apart => "drawn apart",
    };
    let description = format!("{}: {} pieces {what}", section.title, plan.pieces.len());
    let mut draft = Draft::new(format!("assembly {} {what}", section.id), description, scale);
    for (name, points) in &lines {
        let layer = if name == "fold tangent" || name.contains("tangent") { Layer::Dimension } else { Layer::Outline };
        draft.path(layer, points);
    }
    let sight = Sight::of(&whole, &view);
    let mut labels = Vec::new();
    match shown {
        Shown::Apart => {
            for (part, placed) in parts.iter().zip(&plan.pieces) {
                labels.extend(face_of(part, &view, sight.as_ref()).map(|tip| Label {
                    tip,
                    words: placed.number.to_string(),
                    piece: true,
                }));
            }
        }
        Shown::Together => {
            for seam in &plan.seams {
                let mut points = seam.points_mm.clone();
                points.extend(seam.points_mm.first().filter(|_| seam.closed));
                // what lies behind metal is drawn as a hidden edge (ISO 128, dashed narrow)
                for (layer, seen) in [(Layer::Hidden, false), (Layer::Weld, true)] {
                    let parts = sight.as_ref().map_or_else(
                        || if seen { vec![points.iter().map(|point| view.flat(*point)).collect()] } else { Vec::new() },
                        |sight| sight.parts(&points, seen),
                    );
                    parts.iter().for_each(|part: &Vec<DVec2>| draft.path(layer, part));
                }
                labels.extend(place_of(&seam.points_mm, &view, sight.as_ref()).map(|tip| Label {
                    tip,
                    words: seam.letter.clone(),
                    piece: false,
                }));
            }
        }
    }
    columns(&mut draft, labels, [box_.low, box_.high]);
    let foot = draft.moved(DVec2::new(box_.low.x, box_.low.y), 0.0, -8.0);
    draft.words(foot, TextHeight::Mm2_5, format!("{what}, isometric, about {}", scale.title()));
    Some(draft.drawing)
}

/// The pieces of a section that seams join, as one piece for pictures of fitting; `None` without seams.
pub fn as_one(section: &SectionPlan) -> Option<PiecePlan> {
    let plan = section.assembly.as_ref()?;
    let fitted = section.as_fitted();
    let parts = || fitted.iter().zip(&plan.pieces);
    // a tube is what the fitter sees: its pictures stand on its axis
    let (first, placed) = parts().find(|(piece, _)| piece.tube.is_some()).or_else(|| parts().next())?;
    let shape = parts()
        .fold(Surface::default(), |whole, (piece, placed)| joined(whole, &in_place(&piece.shape, placed, DVec3::ZERO)));
    let mut one = PiecePlan { name: section.title.clone(), kind: "as one".into(), shape, ..first.as_ref().clone() };
    if let Some(tube) = &mut one.tube {
        tube.axis_mm = tube.axis_mm.map(|end| placed.pose.point(end));
        tube.zero = placed.pose.direction(tube.zero);
    }
    // a strip's pictures stand on its cross-section, which the whole has not
    Some(one)
}

/// A reference: where its leader ends, and what stands in it.
struct Label {
    tip: DVec2,
    words: String,
    piece: bool,
}

pub(super) fn view_of(section: &SectionPlan) -> ViewAxes {
    let on_vehicle = section.pieces.iter().any(|piece| matches!(piece.kind.as_str(), "strip" | "skin"));
    let towards = match (on_vehicle, section.hand) {
        (true, Some(Hand::Right)) => DVec3::new(0.8, -1.2, 0.8),
        (true, _) => DVec3::new(0.8, 1.2, 0.8),
        _ => DVec3::new(-1.0, -1.0, 1.0),
    };
    ViewAxes::seen_from(towards, DVec3::Z)
}

/// What each piece is moved by: away from the middle of all, for the view drawn apart.
fn shifts(plan: &Assembly, pieces: &[Cow<'_, PiecePlan>], shown: Shown) -> Vec<DVec3> {
    if shown == Shown::Together {
        return vec![DVec3::ZERO; pieces.len()];
    }
    let middles: Vec<DVec3> = pieces
        .iter()
        .zip(&plan.pieces)
        .map(|(piece, placed)| {
            let [low, high] = piece.shape.bounds_mm().unwrap_or_default();
            placed.pose.point(low.midpoint(high))
        })
        .collect();
    let all = middles.iter().sum::<DVec3>() / (middles.len().max(1) as f64);
    let size = pieces
        .iter()
        .filter_map(|piece| piece.shape.bounds_mm())
        .map(|[low, high]| (high - low).length())
        .fold(0.0, f64::max);
    let first = middles.first().copied().unwrap_or_default();
    middles
        .iter()
        .map(|middle| {
            // the first piece stays; the others leave it the way they lie from it
            let way = (*middle - if middle.distance(first) > 1e-6 { first } else { all }).normalize_or_zero();
            if middle.distance(first) > 1e-6 { way * (0.35 * size) } else { DVec3::ZERO }
        })
        .collect()
}

fn in_place(shape: &Surface, placed: &PlacedPiece, shift: DVec3) -> Surface {
    let mut out = shape.clone();
    let place = |point: &mut DVec3| *point = placed.pose.point(*point) + shift;
    out.points_mm.iter_mut().for_each(place);
    out.lines.iter_mut().flat_map(|line: &mut FeatureLine| &mut line.points_mm).for_each(place);
    out
}

fn joined(mut whole: Surface, part: &Surface) -> Surface {
    let points = u32::try_from(whole.points_mm.len()).unwrap_or(u32::MAX);
    let tags = u16::try_from(whole.tags.len()).unwrap_or(u16::MAX);
    whole.points_mm.extend(&part.points_mm);
    whole
        .triangles
        .extend(part.triangles.iter().map(|triangle| triangle.map(|id| PointId(id.0.saturating_add(points)))));
    whole.tag_of.extend(part.tag_of.iter().map(|tag| tag.saturating_add(tags)));
    whole.tags.extend(part.tags.iter().cloned());
    whole.lines.extend(part.lines.iter().cloned());
    whole
}

/// A place on a face of the part that can be seen: the middle of its largest visible triangle.
fn face_of(part: &Surface, view: &ViewAxes, sight: Option<&Sight<'_>>) -> Option<DVec2> {
    let faces = (0..part.triangles.len()).filter_map(|index| {
        let [a, b, c] = part.corners(index)?;
        let middle = (a + b + c) / 3.0;
        let area = (view.flat(b) - view.flat(a)).perp_dot(view.flat(c) - view.flat(a)).abs();
        Some((area, middle))
    });
    let seen = faces.filter(|(_, middle)| sight.is_none_or(|sight| sight.sees(*middle)));
    let best = seen.max_by(|a, b| a.0.total_cmp(&b.0));
    let fallback = || part.points_mm.first().copied();
    best.map(|(_, middle)| middle).or_else(fallback).map(|point| view.flat(point))
}

/// A place of a seam that can be seen, as near its middle as may be; its middle where it is hidden all along.
fn place_of(points: &[DVec3], view: &ViewAxes, sight: Option<&Sight<'_>>) -> Option<DVec2> {
    let middle = points.len() / 2;
    let mut by_distance: Vec<usize> = (0..points.len()).collect();
    by_distance.sort_by_key(|index| index.abs_diff(middle));
    let seen = by_distance
        .into_iter()
        .filter_map(|index| points.get(index))
        .find(|point| sight.is_none_or(|sight| sight.sees(**point)));
    seen.or(points.get(middle)).map(|point| view.flat(*point))
}

/// References in two columns, left and right of the view, in the order of their tips so that leaders do not cross.
fn columns(draft: &mut Draft, labels: Vec<Label>, [low, high]: [DVec2; 2]) {
    let middle = 0.5 * (low.x + high.x);
    let (mut left, mut right): (Vec<Label>, Vec<Label>) = labels.into_iter().partition(|label| label.tip.x < middle);
    // an even share on both sides
    while left.len() > right.len() + 1 {
        let Some(index) = furthest(&left, |label| label.tip.x) else { break };
        right.push(left.remove(index));
    }
    while right.len() > left.len() + 1 {
        let Some(index) = furthest(&right, |label| -label.tip.x) else { break };
        left.push(right.remove(index));
    }
    let gap = draft.real(BESIDE);
    for (mut side, x, out) in [(left, low.x - gap, -1.0), (right, high.x + gap, 1.0)] {
        side.sort_by(|a, b| b.tip.y.total_cmp(&a.tip.y));
        let pitch = draft.real(PITCH);
        let mut ys: Vec<f64> = side.iter().map(|label| label.tip.y).collect();
        let mut least = f64::INFINITY;
        for y in &mut ys {
            *y = y.min(least - pitch).min(high.y);
            least = *y;
        }
        // a column that has sunk below the view is lifted again
        let sunk = low.y - ys.last().copied().unwrap_or(low.y);
        if sunk > 0.0 {
            ys.iter_mut().for_each(|y| *y += 0.5 * sunk);
        }
        for (label, y) in side.iter().zip(ys) {
            reference(draft, label, DVec2::new(x + out * draft.real(BALLOON), y));
        }
    }
}

fn furthest(labels: &[Label], by: impl Fn(&Label) -> f64) -> Option<usize> {
    (0..labels.len()).max_by(|a, b| {
        let of = |index: &usize| labels.get(*index).map_or(f64::NEG_INFINITY, &by);
        of(a).total_cmp(&of(b))
    })
}

fn reference(draft: &mut Draft, label: &Label, at: DVec2) {
    let radius = draft.real(BALLOON);
    let way = (label.tip - at).normalize_or_zero();
    draft.line(Layer::Note, at + way * radius, label.tip);
    if label.piece {
        draft.drawing.add(Layer::Note, Shape::Circle { centre: at, radius_mm: radius });
        let dot = draft.real(0.7);
        let ring = (0..12).map(|i| label.tip + DVec2::from_angle(std::f64::consts::TAU * f64::from(i) / 12.0) * dot);
        draft.drawing.add(Layer::Note, Shape::Filled(Polyline::closed(ring)));
    } else {
        let half = 0.8 * radius;
        let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(|(x, y)| at + DVec2::new(x, y) * half);
        draft.ring(Layer::Note, &corners);
    }
    draft.centred(at, TextHeight::Mm3_5, label.words.clone());
}
