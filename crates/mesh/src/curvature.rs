//! Principal curvatures and their directions at the points of a skin.
//!
//! Method: in the tangent plane of each point a cubic is fitted by least squares to the points of its two rings, and the curvatures
//! are those of the cubic: F. Cazals, M. Pouget, "Estimating differential quantities using polynomial fitting of osculating jets",
//! Computer Aided Geometric Design 22 (2005) 121–146 (from memory). Chosen over the fit of normals by triangle (S. Rusinkiewicz 2004), which is cheaper
//! but does not converge on irregular triangles, where normals are themselves only good to the first order.
//! The error falls with the square of the edge, on irregular triangles and at free edges too. Across a fold the cubic rounds
//! it off: the figure there says "sharp", not how sharp. Noise e of the points becomes about e/h² of curvature, h the edge: remesh a
//! rough scan to a longer edge first.

use crate::{MeshError, Skin};
use glam::{DVec2, DVec3};

/// Fewest points of a fit; at free edges rings are added until it is reached.
const FEWEST: usize = 16;
/// Most points of a fit (the rings of a point where very many triangles meet).
const MOST: usize = 128;
/// Terms of a cubic in two variables.
const TERMS: usize = 10;
/// Weight of the wish for small coefficients, against the fit: decides only what the points leave open.
const RIDGE: f64 = 1e-10;

/// Curvature of a skin at a point; positive where the outside face is convex (a ball seen from outside).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Curvature {
    /// Unit normal of the fitted surface, outward.
    pub normal: DVec3,
    /// Largest curvature of a section along the normal, 1/mm.
    pub largest_per_mm: f64,
    /// Smallest, 1/mm; negative across a hollow.
    pub smallest_per_mm: f64,
    /// Unit direction of the largest.
    pub largest_along: DVec3,
    /// Unit direction of the smallest: normal × `largest_along`.
    pub smallest_along: DVec3,
}

impl Curvature {
    /// Product of the two, 1/mm²: zero where the skin can be developed.
    #[must_use]
    pub fn gauss_per_mm2(&self) -> f64 {
        self.largest_per_mm * self.smallest_per_mm
    }

    /// Mean of the two, 1/mm.
    #[must_use]
    pub fn mean_per_mm(&self) -> f64 {
        0.5 * (self.largest_per_mm + self.smallest_per_mm)
    }
}

impl Skin {
    /// Curvature at every point.
    ///
    /// A skin of fewer than six points, or of two rows of points, leaves terms open: those are taken as flat.
    ///
    /// # Errors
    /// [`MeshError::Unsound`] when points or triangles are faulty one by one; edges may be of any kind.
    pub fn curvatures(&self) -> Result<Vec<Curvature>, MeshError> {
        self.check_parts()?;
        let neighbours = Neighbours::new(self);
        let normals = self.point_normals();
        let mut rings = Rings { points: Vec::new(), seen: vec![u32::MAX; self.points_mm.len()] };
        let at_point = |(point, normal): (usize, DVec3)| {
            rings.gather(point as u32, &neighbours);
            let points: Vec<DVec3> =
                rings.points.iter().map(|p| self.points_mm[*p as usize] - self.points_mm[point]).collect();
            fit(normal, &points)
        };
        Ok(normals.into_iter().enumerate().map(at_point).collect())
    }
}

/// Points joined to each point by an edge: those of point i are `to[first[i]..first[i + 1]]`.
struct Neighbours {
    first: Vec<u32>,
    to: Vec<u32>,
}

impl Neighbours {
    fn new(skin: &Skin) -> Self {
        let mut sides: Vec<u64> = Vec::with_capacity(6 * skin.triangles.len());
        for &[a, b, c] in &skin.triangles {
            for (from, to) in [(a, b), (b, c), (c, a)] {
                sides.push(u64::from(from) << 32 | u64::from(to));
                sides.push(u64::from(to) << 32 | u64::from(from));
            }
        }
        sides.sort_unstable();
        sides.dedup();
        let mut first = vec![0u32; skin.points_mm.len() + 1];
        sides.iter().for_each(|side| first[(side >> 32) as usize + 1] += 1);
        for i in 1..first.len() {
            first[i] += first[i - 1];
        }
        Self { first, to: sides.into_iter().map(|side| side as u32).collect() }
    }

    fn of(&self, point: u32) -> &[u32] {
        &self.to[self.first[point as usize] as usize..self.first[point as usize + 1] as usize]
    }
}

struct Rings {
    points: Vec<u32>,
    /// For which point each was last gathered.
    seen: Vec<u32>,
}

impl Rings {
    /// The point itself and two rings around it, more while they are too few.
    fn gather(&mut self, point: u32, neighbours: &Neighbours) {
        self.points.clear();
        self.points.push(point);
        self.seen[point as usize] = point;
        let (mut from, mut rings) = (0, 0);
        while from < self.points.len() && (rings < 2 || self.points.len() < FEWEST) {
            let end = self.points.len();
            for i in from..end {
                for &to in neighbours.of(self.points[i]) {
                    if self.seen[to as usize] != point && self.points.len() < MOST {
                        self.seen[to as usize] = point;
                        self.points.push(to);
                    }
                }
            }
            (from, rings) = (end, rings + 1);
        }
    }
}

/// Curvature at the origin of the cubic through `points`; `normal` is about the surface's.
fn fit(normal: DVec3, points: &[DVec3]) -> Curvature {
    let normal = if normal == DVec3::ZERO { DVec3::Z } else { normal };
    let (right, up) = main_axes(normal, points);
    let flat = |p: &DVec3| DVec2::new(p.dot(right), p.dot(up));
    let reach = points.iter().map(flat).fold(DVec2::ZERO, |most, p| most.max(p.abs()));
    let scale = DVec2::select(reach.cmpgt(DVec2::ZERO), reach, DVec2::ONE);
    let (mut matrix, mut rhs) = ([[0.0; TERMS]; TERMS], [0.0; TERMS]);
    for point in points {
        let DVec2 { x: u, y: v } = flat(point) / scale;
        let row = [1.0, u, v, u * u, u * v, v * v, u * u * u, u * u * v, u * v * v, v * v * v];
        let height = point.dot(normal);
        for i in 0..TERMS {
            for j in 0..=i {
                matrix[i][j] += row[i] * row[j];
            }
            rhs[i] += row[i] * height;
        }
    }
    let [_, p, q, r, s, t, ..] = solve(matrix, rhs);
    let (p, q) = (p / scale.x, q / scale.y);
    let second = [2.0 * r / (scale.x * scale.x), s / (scale.x * scale.y), 2.0 * t / (scale.y * scale.y)];
    of_graph([right, up, normal], [p, q], second)
}

/// Axes of the tangent plane along which the points spread most and least: each then has its own scale.
fn main_axes(normal: DVec3, points: &[DVec3]) -> (DVec3, DVec3) {
    let (e, f) = normal.any_orthonormal_pair();
    let (mut ee, mut ef, mut ff) = (0.0, 0.0, 0.0);
    for point in points {
        let (x, y) = (point.dot(e), point.dot(f));
        (ee, ef, ff) = (ee + x * x, ef + x * y, ff + y * y);
    }
    let turn = 0.5 * (2.0 * ef).atan2(ee - ff);
    let right = e * turn.cos() + f * turn.sin();
    (right, normal.cross(right))
}

/// Least squares by Cholesky on the normal equations scaled to a unit diagonal; the ridge keeps what is open near zero.
fn solve(mut matrix: [[f64; TERMS]; TERMS], rhs: [f64; TERMS]) -> [f64; TERMS] {
    let scale: [f64; TERMS] = std::array::from_fn(|i| if matrix[i][i] > 0.0 { 1.0 / matrix[i][i].sqrt() } else { 1.0 });
    for i in 0..TERMS {
        for j in 0..i {
            matrix[i][j] *= scale[i] * scale[j];
        }
        matrix[i][i] = 1.0 + RIDGE;
    }
    let mut x: [f64; TERMS] = std::array::from_fn(|i| rhs[i] * scale[i]);
    for j in 0..TERMS {
        for k in 0..j {
            for i in j..TERMS {
                matrix[i][j] -= matrix[i][k] * matrix[j][k];
            }
        }
        let pivot = matrix[j][j].max(1e-3 * RIDGE).sqrt();
        for row in &mut matrix[j..] {
            row[j] /= pivot;
        }
        matrix[j][j] = pivot;
        x[j] = (x[j] - (0..j).map(|k| matrix[j][k] * x[k]).sum::<f64>()) / pivot;
    }
    for j in (0..TERMS).rev() {
        x[j] = (x[j] - (j + 1..TERMS).map(|k| matrix[k][j] * x[k]).sum::<f64>()) / matrix[j][j];
    }
    std::array::from_fn(|i| x[i] * scale[i])
}

/// Curvature of the graph w = f(u, v) over `axes` at the origin from its slopes and second derivatives (uu, uv, vv).
///
/// With I the first and II the second fundamental form and I = L·Lᵀ, the principal curvatures are the eigenvalues of L⁻¹·II·L⁻ᵀ
/// (M. do Carmo, *Differential Geometry of Curves and Surfaces*, section 3.3: eigenvalues of I⁻¹·II), here with the outward normal's sign.
fn of_graph([right, up, out]: [DVec3; 3], [p, q]: [f64; 2], [r, s, t]: [f64; 3]) -> Curvature {
    let (e, f, g) = (1.0 + p * p, p * q, 1.0 + q * q);
    let w = (1.0 + p * p + q * q).sqrt();
    let (l11, l21) = (e.sqrt(), f / e.sqrt());
    let l22 = (g - l21 * l21).sqrt();
    let (r, s, t) = (-r / w, -s / w, -t / w);
    let a = r / e;
    let b = (s / l11 - l21 * a) / l22;
    let c = (t - 2.0 * l21 * s / l11 + l21 * l21 * a) / (l22 * l22);
    let turn = 0.5 * (2.0 * b).atan2(a - c);
    let (mean, radius) = (0.5 * (a + c), (0.25 * (a - c) * (a - c) + b * b).sqrt());
    let (y1, y2) = (turn.cos(), turn.sin());
    let v = y2 / l22;
    let u = (y1 - l21 * v) / l11;
    let normal = ((out - right * p - up * q) / w).normalize_or_zero();
    let largest_along = ((right + out * p) * u + (up + out * q) * v).normalize_or_zero();
    Curvature {
        normal,
        largest_per_mm: mean + radius,
        smallest_per_mm: mean - radius,
        largest_along,
        smallest_along: normal.cross(largest_along),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shapes;

    /// Largest error of the two curvatures over all points, times the length `size_mm`; `truth` gives (largest, smallest, direction of
    /// the largest).
    fn error(skin: &Skin, size_mm: f64, truth: impl Fn(DVec3) -> (f64, f64, Option<DVec3>)) -> f64 {
        let found = skin.curvatures().unwrap();
        let at_point = |(c, p): (&Curvature, &DVec3)| {
            let (largest, smallest, along) = truth(*p);
            assert!((c.normal.cross(c.largest_along) - c.smallest_along).length() < 1e-12);
            // an error of direction of angle a is one of curvature of (largest − smallest)·sin² a at most
            let turn = along.map_or(0.0, |along| along.cross(c.largest_along).length_squared());
            (c.largest_per_mm - largest).abs().max((c.smallest_per_mm - smallest).abs()) * size_mm + turn
        };
        found.iter().zip(&skin.points_mm).map(at_point).fold(0.0, f64::max)
    }

    /// Largest errors at 20 and 80 squares across must fall by 8 at least: by more than 4^1.5, though the worst point, at the edge of
    /// another random mesh each time, is not the same.
    fn converges(name: &str, last: f64, at: impl Fn(u32) -> f64) {
        let errors = [20, 80].map(at);
        assert!(errors[0] > 8.0 * errors[1] && errors[1] < last, "{name}: {errors:?}");
    }

    /// Sphere of radius 100: both curvatures 1/100 everywhere; the patch reaches 45° from its middle.
    #[test]
    fn a_jittered_sphere_converges() {
        let place = |p: DVec2| 100.0 * DVec3::new(p.x, p.y, 1.4).normalize();
        converges("sphere", 0.004, |n| error(&shapes::jittered(n, 3, &[], place), 100.0, |_| (0.01, 0.01, None)));
    }

    /// Cylinder of radius 100 about x: 1/100 around, 0 along.
    #[test]
    fn a_jittered_cylinder_converges() {
        let place = |p: DVec2| 100.0 * DVec3::new(p.x, -p.y.sin(), -p.y.cos());
        let truth = |p: DVec3| (0.01, 0.0, Some(DVec3::X.cross(p).normalize()));
        converges("cylinder", 0.004, |n| error(&shapes::jittered(n, 4, &[], place), 100.0, truth));
    }

    /// Torus, R 200, r 50, parameter v around the tube: 1/r and cos v/(R + r cos v) (do Carmo, section 3.3, example).
    #[test]
    fn a_jittered_torus_converges() {
        let place = |p: DVec2| {
            let (u, v) = (0.5 * p.x, 2.0 * p.y);
            let ring = 200.0 + 50.0 * v.cos();
            DVec3::new(ring * u.cos(), ring * u.sin(), 50.0 * v.sin())
        };
        let truth = |p: DVec3| {
            let ring = p.truncate().length();
            let around = DVec3::new(-p.y, p.x, 0.0) / ring;
            let out = (p - (p.truncate() / ring * 200.0).extend(0.0)) / 50.0;
            (1.0 / 50.0, (ring - 200.0) / 50.0 / ring, Some(around.cross(out).normalize()))
        };
        converges("torus", 0.02, |n| error(&shapes::jittered(n, 5, &[], place), 50.0, truth));
    }

    /// Saddle z = x·y/100, outside up: Gauss curvature −1/(100·(1 + (x² + y²)/100²))²; mean curvature
    /// (do Carmo, section 3.3: K = (rt − s²)/w⁴, H = ((1 + q²)r − 2pqs + (1 + p²)t)/(2w³)).
    #[test]
    fn a_jittered_saddle_converges() {
        let place = |p: DVec2| DVec3::new(60.0 * p.x, 60.0 * p.y, 36.0 * p.x * p.y);
        let truth = |at: DVec3| {
            let (p, q, s) = (at.y / 100.0, at.x / 100.0, 0.01);
            let w = (1.0 + p * p + q * q).sqrt();
            let gauss = -s * s / w.powi(4);
            let mean = p * q * s / w.powi(3);
            let root = (mean * mean - gauss).sqrt();
            (mean + root, mean - root, None)
        };
        converges("saddle", 0.004, |n| error(&shapes::jittered(n, 6, &[], place), 100.0, truth));
    }

    /// Turned over, convex becomes hollow; moved and turned in space nothing changes.
    #[test]
    fn the_sign_follows_the_outside_face() {
        let skin = shapes::cap(50.0, 1.0, 8);
        let over = Skin { triangles: skin.triangles.iter().map(|&[a, b, c]| [a, c, b]).collect(), ..skin.clone() };
        let turn = glam::DQuat::from_euler(glam::EulerRot::XYZ, 0.3, 1.1, 2.0);
        let moved = Skin {
            points_mm: skin.points_mm.iter().map(|p| turn * *p + DVec3::splat(900.0)).collect(),
            triangles: skin.triangles.clone(),
        };
        let (skin, over, moved) = (skin.curvatures().unwrap(), over.curvatures().unwrap(), moved.curvatures().unwrap());
        for ((a, b), c) in skin.iter().zip(&over).zip(&moved) {
            assert!(a.largest_per_mm > 0.019 && a.smallest_per_mm > 0.019);
            assert!((a.largest_per_mm + b.smallest_per_mm).abs() < 1e-9, "{a:?} {b:?}");
            assert!((a.largest_per_mm - c.largest_per_mm).abs() < 1e-9, "{a:?} {c:?}");
            assert!((turn * a.normal - c.normal).length() < 1e-9);
        }
    }

    /// A cylinder cut along its rulings has two rows of points only: flat along, curved across.
    #[test]
    fn long_triangles_along_rulings() {
        let points_mm = (0..=20u32)
            .flat_map(|i| {
                let angle = 0.05 * f64::from(i);
                [0.0, 300.0].map(|x| DVec3::new(x, -100.0 * angle.cos(), 100.0 * angle.sin()))
            })
            .collect();
        let triangles =
            (0..20u32).flat_map(|i| [[2 * i, 2 * i + 3, 2 * i + 1], [2 * i, 2 * i + 2, 2 * i + 3]]).collect();
        let skin = Skin { points_mm, triangles };
        for (c, p) in skin.curvatures().unwrap().iter().zip(&skin.points_mm) {
            let convex = c.normal.dot(p.with_x(0.0)) > 0.0;
            let (around, along) =
                if convex { (c.largest_per_mm, c.smallest_per_mm) } else { (-c.smallest_per_mm, c.largest_per_mm) };
            assert!((around - 0.01).abs() < 5e-4 && along.abs() < 1e-5, "{c:?}");
        }
    }

    #[test]
    fn few_points_and_faults() {
        let one = Skin { points_mm: vec![DVec3::ZERO, DVec3::X, DVec3::Y], triangles: vec![[0, 1, 2]] };
        assert!(one.curvatures().unwrap().iter().all(|c| c.largest_per_mm.abs() < 1e-12 && c.normal == DVec3::Z));
        let mut bad = shapes::cube();
        bad.points_mm[3].z = f64::NAN;
        assert!(matches!(bad.curvatures(), Err(MeshError::Unsound(_))));
        assert!(matches!(Skin::default().curvatures(), Err(MeshError::Unsound(_))));
    }
}
