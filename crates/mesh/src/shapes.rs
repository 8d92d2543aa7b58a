//! Skins of known shape for the tests of this crate.

use crate::{Skin, planar};
use glam::{DVec2, DVec3};

/// A closed cube of side 2 about the origin.
pub fn cube() -> Skin {
    let points_mm =
        (0..8u32).map(|i| DVec3::from([0, 1, 2].map(|axis| if i >> axis & 1 == 1 { 1.0 } else { -1.0 }))).collect();
    let faces = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    let triangles = faces.iter().flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]]).collect();
    Skin { points_mm, triangles }
}

/// A spherical cap, rings of 6, 12, 18 … points, outside out.
pub fn cap(radius_mm: f64, half_angle_rad: f64, rings: u32) -> Skin {
    let place = |at: DVec2| {
        let polar = at.length() * half_angle_rad;
        let around = at.to_angle();
        radius_mm * DVec3::new(polar.sin() * around.cos(), polar.sin() * around.sin(), polar.cos())
    };
    let mut flat = vec![DVec2::ZERO];
    for i in 1..=rings {
        let angle = |j: u32| std::f64::consts::TAU * f64::from(j) / f64::from(6 * i);
        flat.extend((0..6 * i).map(|j| f64::from(i) / f64::from(rings) * DVec2::from_angle(angle(j))));
    }
    let first = |i: u32| if i == 0 { 0 } else { 3 * i * (i - 1) + 1 };
    let at = |i: u32, j: u32| if i == 0 { 0 } else { first(i) + j % (6 * i) };
    let mut triangles = Vec::new();
    for i in 1..=rings {
        for (side, k) in (0..6).flat_map(|side| (0..i).map(move |k| (side, k))) {
            let (inner, outer) = (side * (i - 1) + k, side * i + k);
            triangles.push([at(i - 1, inner), at(i, outer), at(i, outer + 1)]);
            if k + 1 < i {
                triangles.push([at(i - 1, inner), at(i, outer + 1), at(i - 1, inner + 1)]);
            }
        }
    }
    Skin { points_mm: flat.into_iter().map(place).collect(), triangles }
}

/// The square from −1 to 1, `holes` left out, in points moved at random by up to 40 % of their spacing, mapped by `place`.
pub fn jittered(across: u32, seed: u64, holes: &[Vec<DVec2>], place: impl Fn(DVec2) -> DVec3) -> Skin {
    let mut random = fastrand::Rng::with_seed(seed);
    let mut jitter = || 0.4 * (2.0 * random.f64() - 1.0);
    let step = 2.0 / f64::from(across);
    let grid = |x: f64, y: f64| DVec2::new(x, y) * step - DVec2::ONE;
    let n = f64::from(across);
    let mut outer = Vec::new();
    for (from, along) in
        [((0.0, 0.0), (1.0, 0.0)), ((n, 0.0), (0.0, 1.0)), ((n, n), (-1.0, 0.0)), ((0.0, n), (0.0, -1.0))]
    {
        for i in 0..across {
            let s = f64::from(i) + if i == 0 { 0.0 } else { jitter() };
            outer.push(grid(from.0 + along.0 * s, from.1 + along.1 * s));
        }
    }
    let mut inner = Vec::new();
    for (x, y) in (1..across).flat_map(|y| (1..across).map(move |x| (x, y))) {
        let point = grid(f64::from(x) + jitter(), f64::from(y) + jitter());
        let clear = |hole: &Vec<DVec2>| {
            !crate::polygon::contains(hole, point) && crate::polygon::distance_to_sides_mm(hole, point) > 0.4 * step
        };
        if holes.iter().all(clear) {
            inner.push(point);
        }
    }
    let flat = planar::triangulate(&outer, holes, &inner).unwrap();
    // points in a hole or doubled belong to no triangle
    let skin = Skin {
        points_mm: flat.points.iter().map(|p| place(*p)).collect(),
        triangles: flat.triangles.iter().map(|t| t.map(|i| i as u32)).collect(),
    };
    crate::edit::EditMesh::new(&skin).skin()
}

/// A circle of `n` points.
pub fn circle(centre: DVec2, radius: f64, n: u32) -> Vec<DVec2> {
    (0..n).map(|i| centre + radius * DVec2::from_angle(std::f64::consts::TAU * f64::from(i) / f64::from(n))).collect()
}
