//! Templates of the ends of a cone or a transition at 1:1: the outside of each end laid in its plane, to hold against the opening that
//! it joins and to true the end by.

use glam::{DVec2, DVec3};
use job::plan::PiecePlan;

use super::bounds_of;
use super::draft::Draft;
use crate::drawing::{Drawing, Layer, Scale, Shape, TextHeight};
use crate::number::trimmed;

/// An end that leaves its plane by more than this has no flat template, mm.
const PLANE_MM: f64 = 0.2;
/// Hole to hold it by.
const HANDLE_HOLE_MM: f64 = 16.0;
/// A smaller end has no room for the hole and the words, mm.
const ROOM_MM: f64 = 60.0;

/// A template for every end of a piece that closes on itself; none for another piece.
pub fn end_templates(piece: &PiecePlan) -> Vec<Drawing> {
    ends(piece).into_iter().map(|(name, outline)| template(piece, &name, &outline)).collect()
}

/// Their names, for the list of what is in the packet.
pub fn end_template_names(piece: &PiecePlan) -> Vec<String> {
    ends(piece).into_iter().map(|(name, _)| format!("{}, {name}, outside", piece.name)).collect()
}

/// Name and outline of each plane end, over the outside.
fn ends(piece: &PiecePlan) -> Vec<(String, Vec<DVec2>)> {
    let Some(ruled) = piece.ruled.as_deref().filter(|ruled| ruled.layout.own_seam) else { return Vec::new() };
    let outlines = piece.shape.lines.iter().filter(|line| line.name == "outline").take(2);
    let named = ruled.layout.edges.iter().zip(outlines);
    named.filter_map(|(edge, line)| Some((edge.name.clone(), laid(&line.points_mm)?))).collect()
}

/// Points laid in their plane, x of the piece to the right as far as that goes; `None` where they lie in none.
fn laid(points: &[DVec3]) -> Option<Vec<DVec2>> {
    let middle = points.iter().sum::<DVec3>() / points.len().max(1) as f64;
    let area: DVec3 =
        points.iter().zip(points.iter().cycle().skip(1)).map(|(a, b)| (*a - middle).cross(*b - middle)).sum();
    let normal = area.try_normalize()?;
    if points.iter().any(|point| (*point - middle).dot(normal).abs() > PLANE_MM) {
        return None;
    }
    let right = (DVec3::X - normal * normal.x).try_normalize().unwrap_or_else(|| normal.any_orthonormal_vector());
    let up = normal.cross(right);
    let up = if up.y < 0.0 { -up } else { up };
    let mut outline: Vec<DVec2> =
        points.iter().map(|point| DVec2::new((*point - middle).dot(right), (*point - middle).dot(up))).collect();
    // the seam's two sides meet in one point
    if outline.first().zip(outline.last()).is_some_and(|(a, b)| a.distance(*b) < 1e-6) {
        outline.pop();
    }
    Some(outline)
}

fn template(piece: &PiecePlan, name: &str, outline: &[DVec2]) -> Drawing {
    let description = format!("1:1 template of the {name} of {}, outside", piece.name);
    let mut draft = Draft::new(format!("template {} {name}", piece.name), description, Scale::FULL);
    draft.ring(Layer::Template, outline);
    let box_ = bounds_of(outline.iter().copied());
    let size = box_.size();
    let roomy = size.min_element() > ROOM_MM;
    if roomy {
        let centre = box_.middle() + DVec2::Y * (0.25 * size.y);
        draft.drawing.add(Layer::Template, Shape::Circle { centre, radius_mm: HANDLE_HOLE_MM / 2.0 });
    }
    let lines = [
        format!("{}: {name}", piece.name),
        format!("{} × {} mm over the outside", trimmed(size.x, 1), trimmed(size.y, 1)),
        "x of the piece to the right".to_owned(),
    ];
    let at = if roomy {
        box_.middle() + DVec2::new(-0.4 * size.x.min(110.0), 0.0)
    } else {
        DVec2::new(box_.low.x, box_.low.y - 6.0)
    };
    for (index, line) in lines.into_iter().enumerate() {
        let place = at - DVec2::Y * (4.6 * index as f64);
        if index == 0 {
            draft.bold(place, TextHeight::Mm2_5, line);
        } else {
            draft.words(place, TextHeight::Mm2_5, line);
        }
    }
    draft.drawing
}
