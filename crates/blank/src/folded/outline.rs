//! The outline of the flat, checked, and the lines marked on it.

use super::Development;
use crate::{BlankError, FlatMark, Loop, MarkKind};
use glam::DVec2;
use mesh::polygon::{Clash, check_simple};
use section::folded::BendKind;

/// A stretch of the outline and what it belongs to.
struct Stretch {
    owner: String,
    points: Vec<DVec2>,
}

/// The outline, anticlockwise; refuses one that crosses itself, naming the two parts.
pub(super) fn outline(development: &Development<'_>) -> Result<Loop, BlankError> {
    let stretches = stretches(development);
    let mut points: Vec<DVec2> = Vec::new();
    let mut owners: Vec<&str> = Vec::new();
    for stretch in &stretches {
        for point in &stretch.points {
            if points.last().is_none_or(|last| last.distance(*point) > 1e-9) {
                points.push(*point);
                owners.push(&stretch.owner);
            }
        }
    }
    while points.len() > 1 && points.first().zip(points.last()).is_some_and(|(a, b)| a.distance(*b) <= 1e-9) {
        points.pop();
        owners.pop();
    }
    match check_simple(&points) {
        Ok(()) => Ok(points),
        Err(Clash { sides: [first, second], at_mm: at }) => {
            let owner = |index: usize| owners.get(index).copied().unwrap_or("the base");
            Err(BlankError::Overlaps {
                piece: development.folded.name.clone(),
                x_mm: at.x,
                y_mm: at.y,
                between: format!("{} and {}", owner(first), owner(second)),
                accepted: "set their ends back, cut them at an angle, narrow one, or make one of them a separate piece"
                    .to_owned(),
            })
        }
    }
}

fn stretches(development: &Development<'_>) -> Vec<Stretch> {
    let layout = development.layout;
    let chord = development.settings.sampling_tolerance_mm;
    let mut list = Vec::new();
    for ((index, arc), edge) in layout.relief_arcs_mm(chord).into_iter().enumerate().zip(&development.edges) {
        list.push(Stretch { owner: format!("the relief hole at corner {}", index + 1), points: arc });
        let reliefs = layout.relief_radii_mm(index);
        let flat = edge.layout.flat_outline_mm(&edge.lengths_mm, reliefs, edge.layout.trim_mm, chord);
        let name = edge.layout.parts.iter().map(|part| part.name.as_str()).collect::<Vec<_>>().join(" and ");
        let owner =
            if name.is_empty() { format!("raw edge {}", index + 1) } else { format!("{name} on edge {}", index + 1) };
        list.push(Stretch { owner, points: flat.iter().map(|p| edge.flat_mm(p.x, p.y)).collect() });
    }
    list
}

/// Trim lines, and the tangents that hems and curls are laid off from.
pub(super) fn marks(development: &Development<'_>) -> Vec<FlatMark> {
    let mut marks = Vec::new();
    for edge in &development.edges {
        let layout = edge.layout;
        for (index, part) in layout.parts.iter().enumerate() {
            let Some(bend) = part.bend.as_ref().filter(|bend| bend.kind != BendKind::Fold) else { continue };
            let y = edge.leg_y_mm(index) - edge.lengths_mm.get(index).copied().unwrap_or(0.0);
            let ([start, _], [end, _]) = (bend.start_x_mm, bend.end_x_mm);
            let what = if bend.kind == BendKind::Hem { "the hem" } else { "the wrap" };
            marks.push(FlatMark {
                kind: MarkKind::TangentLine,
                line_mm: vec![edge.flat_mm(start, y), edge.flat_mm(end, y)],
                label: format!("{what} starts here (edge {})", edge.index + 1),
            });
        }
        if layout.trim_mm > 0.0 {
            let line = layout.flat_outline_mm(&edge.lengths_mm, [0.0, 0.0], 0.0, 1.0);
            let top = line.iter().map(|p| p.y).fold(0.0, f64::max);
            let last = layout.parts.last().and_then(|part| part.leg.as_ref());
            let line_mm = match (last, layout.parts.len().checked_sub(1)) {
                (Some(leg), Some(index)) => {
                    let y = edge.leg_y_mm(index);
                    leg.far_side.iter().map(|p| edge.flat_mm(p.x, y + p.y)).collect()
                }
                _ => {
                    let [from, to] = layout.crossing_x_mm;
                    vec![edge.flat_mm(from, top), edge.flat_mm(to, top)]
                }
            };
            let label = format!("trim to this line ({:.1} mm left on)", layout.trim_mm);
            marks.push(FlatMark { kind: MarkKind::TrimLine, line_mm, label });
        }
    }
    marks
}
