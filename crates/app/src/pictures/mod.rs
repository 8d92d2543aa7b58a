//! Pictures of the card: the packet's own drawings as SVG, and the few that no paper has.

pub mod plan_view;

use job::plan::{PiecePlan, SectionPlan};
use mesh::{PointId, Surface};
use packet::documents::preview;
use packet::drawing::Drawing;

/// The SVG text of a picture; an empty text when it holds nothing that can be drawn.
pub fn svg(drawing: &Drawing) -> String {
    packet::svg::drawing(drawing, 4.0).unwrap_or_default()
}

/// All pieces of a section in one view, drawn apart below one another so that mating faces can be told.
pub fn together(section: &SectionPlan) -> String {
    if let Some(picture) = preview::assembly(section, packet::drawings::Shown::Together).ok().flatten() {
        return picture;
    }
    let Some(first) = section.pieces.first() else { return String::new() };
    let shapes = section.pieces.iter().enumerate().map(|(index, piece)| lowered(&piece.shape, index));
    let shape = shapes.fold(Surface::default(), |whole, part| joined(whole, &part));
    let whole = PiecePlan { name: section.title.clone(), shape, ..first.clone() };
    preview::finished_piece(section, &whole).unwrap_or_default()
}

/// A surface moved down by its place in the row.
fn lowered(part: &Surface, index: usize) -> Surface {
    const APART_MM: f64 = 70.0;
    let down = glam::DVec3::Z * (APART_MM * index as f64);
    let mut part = part.clone();
    part.points_mm.iter_mut().for_each(|point| *point -= down);
    part.lines.iter_mut().flat_map(|line| &mut line.points_mm).for_each(|point| *point -= down);
    part
}

/// Two surfaces as one.
fn joined(mut whole: Surface, part: &Surface) -> Surface {
    let (points, tags) = (whole.points_mm.len() as u32, whole.tags.len() as u16);
    whole.points_mm.extend(&part.points_mm);
    whole.triangles.extend(part.triangles.iter().map(|triangle| triangle.map(|id| PointId(id.0 + points))));
    whole.tag_of.extend(part.tag_of.iter().map(|tag| tag + tags));
    whole.tags.extend(part.tags.iter().cloned());
    whole.lines.extend(part.lines.iter().cloned());
    whole
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn joining_keeps_every_triangle_with_its_own_points() {
        let part = Surface {
            points_mm: vec![glam::DVec3::ZERO, glam::DVec3::X, glam::DVec3::Y],
            triangles: vec![[PointId(0), PointId(1), PointId(2)]],
            tag_of: vec![0],
            tags: vec![mesh::Tag { part: "skin".into(), face: mesh::SheetFace::Outside }],
            lines: Vec::new(),
        };
        let whole = joined(joined(Surface::default(), &part), &part);
        assert_eq!(whole.triangles, [[PointId(0), PointId(1), PointId(2)], [PointId(3), PointId(4), PointId(5)]]);
        assert_eq!(whole.tag_of, [0, 1]);
        assert_eq!(whole.tags.len(), 2);
    }
}
