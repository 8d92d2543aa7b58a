//! The flat as a thin closed surface, for the view in space.

use crate::{Blank, FaceUp, HoleFinish};
use glam::{DVec2, DVec3};
use mesh::{FeatureLine, MeshError, PointId, SheetFace, Surface, Tag};
use std::collections::BTreeSet;

/// Sagitta of the chords that stand for round holes, mm.
const HOLE_SAGITTA_MM: f64 = 0.02;

/// The flat in the plane z = 0 (the face that is up; the other face at −t), openings cut as they are cut in the flat.
///
/// Tags: part "flat". Feature lines: "outline", every fold's centre line and every mark under its name, openings.
///
/// # Errors
/// [`MeshError`] when openings cross the outline or each other.
pub fn flat_surface(blank: &Blank) -> Result<Surface, MeshError> {
    let holes: Vec<(String, Vec<DVec2>)> = blank.openings.iter().filter_map(hole).collect();
    let outlines: Vec<Vec<DVec2>> = holes.iter().map(|(_, outline)| outline.clone()).collect();
    let planar = mesh::planar::triangulate(&blank.outline_mm, &outlines, &[])?;
    let mut surface = Surface::default();
    for z in [0.0, -blank.thickness_mm] {
        for point in &planar.points {
            surface.push_point(point.extend(z));
        }
    }
    let (up, down) = match blank.face_up {
        FaceUp::Outside => (SheetFace::Outside, SheetFace::Inside),
        FaceUp::Inside => (SheetFace::Inside, SheetFace::Outside),
    };
    let [up, down, wall] = [up, down, SheetFace::Edge].map(|face| surface.tag(Tag { part: "flat".into(), face }));
    let n = planar.points.len();
    let top = |i: usize| PointId(u32::try_from(i).unwrap_or(u32::MAX));
    let bottom = |i: usize| PointId(u32::try_from(n + i).unwrap_or(u32::MAX));
    let mut edges = BTreeSet::new();
    for &[a, b, c] in &planar.triangles {
        surface.push_triangle([a, b, c].map(top), up);
        surface.push_triangle([a, c, b].map(bottom), down);
        edges.extend([(a, b), (b, c), (c, a)]);
    }
    for &(a, b) in edges.iter().filter(|(a, b)| !edges.contains(&(*b, *a))) {
        surface.push_triangle([top(b), top(a), bottom(a)], wall);
        surface.push_triangle([top(b), bottom(a), bottom(b)], wall);
    }
    let line = |name: &str, points: &[DVec2], closed: bool| FeatureLine {
        name: name.into(),
        points_mm: points.iter().map(|p| DVec3::new(p.x, p.y, 0.0)).collect(),
        closed,
    };
    surface.lines.push(line("outline", &blank.outline_mm, true));
    surface.lines.extend(blank.folds.iter().map(|fold| line(&fold.name, &fold.centre_mm, false)));
    surface.lines.extend(blank.marks.iter().map(|mark| line(&mark.label, &mark.line_mm, false)));
    surface.lines.extend(holes.iter().map(|(name, outline)| line(name, outline, true)));
    Ok(surface)
}

fn hole(opening: &crate::FlatOpening) -> Option<(String, Vec<DVec2>)> {
    if opening.finish == HoleFinish::ThroughMate {
        return None;
    }
    let outline = match (opening.cut_diameter_mm, &opening.outline_mm) {
        (Some(diameter_mm), _) => {
            let shape = section::OpeningShape::Round { diameter_mm };
            shape.outline_mm(HOLE_SAGITTA_MM).iter().map(|p| *p + opening.centre_mm).collect()
        }
        (None, Some(outline)) => outline.clone(),
        (None, None) => return None,
    };
    Some((opening.name.clone(), outline))
}
