//! Filling outlines in a plane with triangles.
//!
//! Constrained Delaunay triangulation (library `spade`) of given points in which given closed outlines appear as edges. Which of
//! the triangles count is the caller's choice by outline: inside the first and outside every other.

use crate::MeshError;
use crate::polygon::contains;
use glam::DVec2;
use spade::handles::FixedVertexHandle;
use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation as _};

/// Triangles over points of a plane; anticlockwise.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Planar {
    /// Points: first the outlines' in their order, then the others; doubled ones once.
    pub points: Vec<DVec2>,
    /// Triangles by point.
    pub triangles: Vec<[usize; 3]>,
}

/// Triangulates: `outer` and `holes` are closed outlines (first point not repeated) that become edges, `inner` are further points.
///
/// # Errors
/// [`MeshError::NotFinite`], [`MeshError::OutlinesCross`].
pub fn triangulate(outer: &[DVec2], holes: &[Vec<DVec2>], inner: &[DVec2]) -> Result<Planar, MeshError> {
    triangulate_along(outer, holes, inner, &[])
}

/// As [`triangulate`], with `lines` that no triangle reaches over; a line that would cross an outline is left out.
///
/// # Errors
/// As [`triangulate`].
pub fn triangulate_along(
    outer: &[DVec2],
    holes: &[Vec<DVec2>],
    inner: &[DVec2],
    lines: &[[DVec2; 2]],
) -> Result<Planar, MeshError> {
    let mut mesh = ConstrainedDelaunayTriangulation::<Point2<f64>>::new();
    let mut count = 0;
    let mut insert = |mesh: &mut ConstrainedDelaunayTriangulation<Point2<f64>>, point: &DVec2| {
        count += 1;
        mesh.insert(Point2::new(point.x, point.y)).map_err(|_| MeshError::NotFinite { index: count - 1 })
    };
    for outline in std::iter::once(outer).chain(holes.iter().map(Vec::as_slice)) {
        let handles: Vec<FixedVertexHandle> = outline.iter().map(|p| insert(&mut mesh, p)).collect::<Result<_, _>>()?;
        for (i, &from) in handles.iter().enumerate() {
            let to = handles[(i + 1) % handles.len()];
            if from == to {
                continue;
            }
            if !mesh.can_add_constraint(from, to) {
                let p = outline[i];
                return Err(MeshError::OutlinesCross { x_mm: p.x, y_mm: p.y });
            }
            mesh.add_constraint(from, to);
        }
    }
    for point in inner {
        insert(&mut mesh, point)?;
    }
    for [from, to] in lines {
        let (from, to) = (insert(&mut mesh, from)?, insert(&mut mesh, to)?);
        if from != to && mesh.can_add_constraint(from, to) {
            mesh.add_constraint(from, to);
        }
    }
    let points = mesh.vertices().map(|v| DVec2::new(v.position().x, v.position().y)).collect();
    let triangles = mesh
        .inner_faces()
        .filter(|face| {
            let c = face.center();
            let centre = DVec2::new(c.x, c.y);
            contains(outer, centre) && !holes.iter().any(|hole| contains(hole, centre))
        })
        .map(|face| face.vertices().map(|v| v.fix().index()))
        .collect();
    Ok(Planar { points, triangles })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(low: f64, high: f64) -> Vec<DVec2> {
        vec![DVec2::new(low, low), DVec2::new(high, low), DVec2::new(high, high), DVec2::new(low, high)]
    }

    #[test]
    fn a_square_with_a_square_hole_keeps_its_area() {
        let flat = triangulate(&square(0.0, 10.0), &[square(3.0, 5.0)], &[DVec2::new(8.0, 8.0)]).unwrap();
        let area: f64 = flat
            .triangles
            .iter()
            .map(|t| t.map(|i| flat.points[i]))
            .map(|[a, b, c]| 0.5 * (b - a).perp_dot(c - a))
            .sum();
        assert!((area - 96.0).abs() < 1e-9, "{area}");
    }

    #[test]
    fn outlines_that_cross_are_named() {
        let fault = triangulate(&square(0.0, 10.0), &[square(5.0, 12.0)], &[]);
        assert!(matches!(fault, Err(MeshError::OutlinesCross { .. })), "{fault:?}");
        let nan = triangulate(&[DVec2::NAN, DVec2::X, DVec2::Y], &[], &[]);
        assert_eq!(nan, Err(MeshError::NotFinite { index: 0 }));
    }
}
