//! The closest point of a skin, what a ray meets, and how far a point lies above the outside.
//!
//! The search is that of `parry3d-f64` over a tree of boxes built once. The sign of a distance comes from the normals by angle at
//! points and edges: J. A. Bærentzen, H. Aanæs, "Signed distance computation using the angle weighted pseudonormal", IEEE
//! Transactions on Visualization and Computer Graphics 11 (2005) 243–253 (from memory). It is right beside the skin; beyond a free edge
//! it says on which side of the skin, drawn on, the point would lie.

use crate::{MeshError, Skin};
use glam::DVec3;
use parry3d_f64::math::Vector;
use parry3d_f64::query::{PointQueryWithLocation as _, Ray, RayCast as _};
use parry3d_f64::shape::{TriMesh, TrianglePointLocation};

/// A skin made ready for many questions.
#[derive(Debug, Clone)]
pub struct Nearest {
    mesh: TriMesh,
    /// Unit, by triangle.
    face: Vec<DVec3>,
    /// Unit, by side 3·t + i, from corner i of triangle t to the next.
    side: Vec<DVec3>,
    /// Unit, by point.
    point: Vec<DVec3>,
}

/// The place of a skin closest to a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Closest {
    /// Where, mm.
    pub at_mm: DVec3,
    /// On which triangle.
    pub triangle: usize,
    /// Shares of the triangle's corners in the place; their sum is 1.
    pub weights: [f64; 3],
    /// Unit normal there, outward: of the face, or by angle of the faces at the edge or point.
    pub normal: DVec3,
    /// How far, mm; positive on the outside.
    pub signed_distance_mm: f64,
}

/// Where a ray meets a skin first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hit {
    /// Where, mm.
    pub at_mm: DVec3,
    /// On which triangle.
    pub triangle: usize,
    /// From the start of the ray, mm.
    pub distance_mm: f64,
    /// True when the ray comes from the outside.
    pub from_outside: bool,
}

fn to_parry(v: DVec3) -> Vector {
    Vector::new(v.x, v.y, v.z)
}

fn from_parry(v: Vector) -> DVec3 {
    DVec3::new(v.x, v.y, v.z)
}

fn place_error(name: &'static str, at: DVec3, need: &'static str) -> MeshError {
    MeshError::Place { name, x: at.x, y: at.y, z: at.z, need }
}

impl Nearest {
    /// Builds the tree of boxes: about 0.5 µs for each triangle.
    ///
    /// # Errors
    /// [`MeshError::Unsound`] when points or triangles are faulty one by one; edges may be of any kind.
    pub fn new(skin: &Skin) -> Result<Self, MeshError> {
        skin.check_parts()?;
        let points = skin.points_mm.iter().map(|p| to_parry(*p)).collect();
        let empty = |_| MeshError::Unsound(crate::topology::SkinFaults(vec![crate::topology::SkinFault::Empty]));
        let mesh = TriMesh::new(points, skin.triangles.clone()).map_err(empty)?;
        let face: Vec<DVec3> =
            (0..skin.triangles.len()).map(|t| skin.double_area_normal(t).normalize_or_zero()).collect();
        Ok(Self { mesh, side: side_normals(skin, &face), face, point: skin.point_normals() })
    }

    /// The closest place of the skin.
    ///
    /// # Errors
    /// [`MeshError::Place`] when the point is not finite, or so far that its distance is not.
    pub fn closest(&self, point_mm: DVec3) -> Result<Closest, MeshError> {
        let refused = || place_error("point", point_mm, "give a finite point within reach of the skin");
        if !point_mm.is_finite() {
            return Err(refused());
        }
        let found = self.mesh.project_local_point_and_get_location_with_max_dist(to_parry(point_mm), false, f64::MAX);
        let (projection, (triangle, location)) = found.ok_or_else(refused)?;
        let (triangle, at_mm) = (triangle as usize, from_parry(projection.point));
        let corners = self.mesh.indices().get(triangle).ok_or_else(refused)?;
        let normal = match location {
            TrianglePointLocation::OnVertex(i) => self.point[corners[i as usize % 3] as usize],
            TrianglePointLocation::OnEdge(i, _) => self.side[3 * triangle + i as usize % 3],
            TrianglePointLocation::OnFace(..) | TrianglePointLocation::OnSolid => self.face[triangle],
        };
        let away = point_mm - at_mm;
        Ok(Closest {
            at_mm,
            triangle,
            weights: location.barycentric_coordinates().unwrap_or([1.0 / 3.0; 3]),
            normal,
            signed_distance_mm: away.length().copysign(away.dot(normal)),
        })
    }

    /// What a ray of at most `reach_mm` meets first, from either side; `None` when it meets nothing.
    ///
    /// # Errors
    /// [`MeshError::Place`] when the start is not finite or the direction has no length; [`MeshError::Setting`] for a reach that is
    /// negative or NaN (infinite is taken).
    pub fn ray(&self, from_mm: DVec3, direction: DVec3, reach_mm: f64) -> Result<Option<Hit>, MeshError> {
        let unit = direction.try_normalize();
        let unit = unit.ok_or_else(|| place_error("direction", direction, "give a finite direction of some length"))?;
        if !from_mm.is_finite() {
            return Err(place_error("point", from_mm, "give a finite point"));
        }
        if reach_mm.is_nan() || reach_mm < 0.0 {
            return Err(MeshError::Setting { name: "reach of a ray", got: reach_mm, need: "give 0 mm or more" });
        }
        let ray = Ray::new(to_parry(from_mm), to_parry(unit));
        let hit = self.mesh.cast_local_ray_and_get_normal(&ray, reach_mm.min(f64::MAX), false);
        Ok(hit.and_then(|hit| {
            let distance_mm = hit.time_of_impact;
            let triangle = hit.subshape as usize;
            let face = self.face.get(triangle)?;
            let at_mm = from_mm + unit * distance_mm;
            Some(Hit { at_mm, triangle, distance_mm, from_outside: face.dot(unit) < 0.0 })
        }))
    }

    /// How far the skin lies from a point along a direction, mm: the nearer of the two ways, positive along the direction.
    ///
    /// # Errors
    /// As [`Nearest::ray`].
    pub fn distance_along_mm(&self, from_mm: DVec3, direction: DVec3, reach_mm: f64) -> Result<Option<f64>, MeshError> {
        let there = self.ray(from_mm, direction, reach_mm)?.map(|hit| hit.distance_mm);
        let back = self.ray(from_mm, -direction, there.unwrap_or(reach_mm))?.map(|hit| hit.distance_mm);
        Ok(match (there, back) {
            (Some(there), Some(back)) if back < there => Some(-back),
            (None, Some(back)) => Some(-back),
            (there, _) => there,
        })
    }
}

/// Sum of the normals of the triangles at each side.
fn side_normals(skin: &Skin, face: &[DVec3]) -> Vec<DVec3> {
    let all = skin.triangles.iter().enumerate();
    let mut sides: Vec<(u32, u32, usize)> = all
        .flat_map(|(t, &[a, b, c])| [(a, b, 3 * t), (b, c, 3 * t + 1), (c, a, 3 * t + 2)])
        .map(|(from, to, side)| (from.min(to), from.max(to), side))
        .collect();
    sides.sort_unstable();
    let mut normals = vec![DVec3::ZERO; sides.len()];
    for edge in sides.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)) {
        let sum: DVec3 = edge.iter().map(|side| face[side.2 / 3]).sum();
        edge.iter().for_each(|side| normals[side.2] = sum.normalize_or_zero());
    }
    normals
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes;

    /// A cube of side 2 about the origin: distance to it is known in closed form, inside, beside faces, edges and corners.
    #[test]
    fn distance_to_a_cube_is_that_of_the_formula() {
        let cube = shapes::cube();
        let nearest = Nearest::new(&cube).unwrap();
        let mut random = fastrand::Rng::with_seed(1);
        for _ in 0..2000 {
            let p = DVec3::from([0; 3].map(|_| 4.0 * random.f64() - 2.0));
            let beyond = p.abs() - DVec3::ONE;
            let truth = beyond.max(DVec3::ZERO).length() + beyond.max_element().min(0.0);
            let found = nearest.closest(p).unwrap();
            assert!((found.signed_distance_mm - truth).abs() < 1e-12, "{p}: {} {truth}", found.signed_distance_mm);
            let corners = cube.corners(found.triangle);
            let again: DVec3 = corners.iter().zip(found.weights).map(|(c, w)| *c * w).sum();
            assert!(again.distance(found.at_mm) < 1e-12 && (found.weights.iter().sum::<f64>() - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn a_ray_meets_the_sphere_where_the_formula_says() {
        let ball = shapes::cap(100.0, 1.2, 60);
        let nearest = Nearest::new(&ball).unwrap();
        for x in [0.0, 10.0, 33.3, 71.0] {
            let hit = nearest.ray(DVec3::new(x, 5.0, 300.0), -DVec3::Z, f64::INFINITY).unwrap().unwrap();
            let z = (100.0f64 * 100.0 - x * x - 25.0).sqrt();
            // facets of edge 2 lie at most e²/(2R)/cos below the sphere along z
            assert!(hit.at_mm.z <= z + 1e-9 && z - hit.at_mm.z < 0.04, "{x}: {} {z}", hit.at_mm.z);
            assert!(hit.from_outside);
            let below = nearest.ray(DVec3::new(x, 5.0, 0.0), DVec3::Z, 200.0).unwrap().unwrap();
            assert!(!below.from_outside && (below.distance_mm - hit.at_mm.z).abs() < 1e-9);
        }
        assert_eq!(nearest.ray(DVec3::Z * 300.0, DVec3::Z, f64::INFINITY).unwrap(), None);
        assert_eq!(nearest.ray(DVec3::Z * 300.0, -DVec3::Z, 150.0).unwrap(), None, "beyond reach");
        let up = nearest.distance_along_mm(DVec3::Z * 101.0, DVec3::Z, 50.0).unwrap().unwrap();
        assert!((up + 1.0).abs() < 1e-9, "{up}: the centre point of the cap lies on the sphere, 1 mm behind");
    }

    #[test]
    fn no_place_and_no_skin_are_named() {
        let nearest = Nearest::new(&shapes::cube()).unwrap();
        assert!(matches!(nearest.closest(DVec3::NAN), Err(MeshError::Place { name: "point", .. })));
        assert!(matches!(nearest.closest(DVec3::splat(1e300)), Err(MeshError::Place { .. })));
        assert!(matches!(nearest.ray(DVec3::ZERO, DVec3::ZERO, 1.0), Err(MeshError::Place { name: "direction", .. })));
        assert!(matches!(nearest.ray(DVec3::NAN, DVec3::X, 1.0), Err(MeshError::Place { name: "point", .. })));
        assert!(matches!(nearest.ray(DVec3::ZERO, DVec3::X, f64::NAN), Err(MeshError::Setting { .. })));
        assert!(matches!(Nearest::new(&Skin::default()), Err(MeshError::Unsound(_))));
        let mut bad = shapes::cube();
        bad.triangles[0][1] = 77;
        assert!(matches!(Nearest::new(&bad), Err(MeshError::Unsound(_))));
    }
}
