//! Skins for the checks of flattening: exact points of known surfaces, cut into triangles regularly or at random.

use glam::{DVec2, DVec3};
use mesh::Skin;
use std::f64::consts::{PI, TAU};

/// How the parameter plane is cut into triangles.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cut {
    /// Squares cut in two, or rings.
    Regular,
    /// Points moved by up to 35 % of their spacing (along the edge at the edge), then a Delaunay triangulation.
    Jittered(u64),
}

/// Spherical cap of `half_angle` in rings of 6, 12, 18 … points: about `triangles` triangles. The outside is the hollow's back.
pub fn cap(radius_mm: f64, half_angle: f64, triangles: usize, cut: Cut) -> Skin {
    let place = |at: DVec2| {
        let (polar, around) = (at.length() * half_angle, at.to_angle());
        radius_mm * DVec3::new(polar.sin() * around.cos(), polar.sin() * around.sin(), polar.cos())
    };
    disc(triangles, cut, place)
}

/// The unit disc mapped by `place`.
pub fn disc(triangles: usize, cut: Cut, place: impl Fn(DVec2) -> DVec3) -> Skin {
    let rings = ((triangles as f64 / 6.0).sqrt().round() as usize).max(3);
    let mut move_by = jitter(cut);
    let step = 1.0 / rings as f64;
    let ring = |i: usize| (0..6 * i.max(1)).take(if i == 0 { 1 } else { 6 * i });
    let mut points: Vec<Vec<DVec2>> = Vec::new();
    for i in 0..=rings {
        let radius = i as f64 * step;
        let point = |j: usize, [by_radius, by_angle]: [f64; 2]| {
            let radius = if i == rings { radius } else { radius + by_radius * step };
            let angle = TAU * j as f64 / (6 * i.max(1)) as f64 + by_angle * step / radius.abs().max(step);
            radius * DVec2::from_angle(angle)
        };
        points.push(ring(i).map(|j| point(j, move_by())).collect());
    }
    if let Cut::Jittered(_) = cut {
        let outer = points.pop().unwrap_or_default();
        return delaunay(&outer, &points.concat(), place);
    }
    let first = |i: usize| if i == 0 { 0 } else { (3 * i * (i - 1) + 1) as u32 };
    let at = |i: usize, j: usize| if i == 0 { 0 } else { first(i) + (j % (6 * i)) as u32 };
    let mut cut_up = Vec::new();
    for i in 1..=rings {
        for side in 0..6 {
            for k in 0..i {
                let (inner, outer) = (side * (i - 1) + k, side * i + k);
                cut_up.push([at(i - 1, inner), at(i, outer), at(i, outer + 1)]);
                if k + 1 < i {
                    cut_up.push([at(i - 1, inner), at(i, outer + 1), at(i - 1, inner + 1)]);
                }
            }
        }
    }
    Skin { points_mm: points.concat().into_iter().map(place).collect(), triangles: cut_up }
}

/// A patch `place`(s, w), s and w from 0 to 1, about `length` × `width` in size.
pub fn patch(size: [f64; 2], triangles: usize, cut: Cut, place: impl Fn(f64, f64) -> DVec3) -> Skin {
    let [length, width] = size;
    let across = ((triangles as f64 / 2.0 * width / length).sqrt().round() as usize).max(2);
    let along = ((triangles as f64 / 2.0 / across as f64).round() as usize).max(2);
    let mut move_by = jitter(cut);
    let mut edge = Vec::new();
    let mut inner = Vec::new();
    let mut regular = Vec::new();
    for i in 0..=along {
        for j in 0..=across {
            let [a, b] = move_by();
            let (ends, sides) = (i == 0 || i == along, j == 0 || j == across);
            let s = (i as f64 + if ends { 0.0 } else { a }) / along as f64;
            let w = (j as f64 + if sides { 0.0 } else { b }) / across as f64;
            regular.push(place(s, w));
            let point = DVec2::new(s * length, w * width);
            if ends || sides { edge.push(point) } else { inner.push(point) }
        }
    }
    if let Cut::Jittered(_) = cut {
        let middle = DVec2::new(length, width) / 2.0;
        let round = |p: &DVec2| {
            // position along the rectangle, anticlockwise from its lowest left corner
            let d = (*p - middle) / middle;
            if d.y <= -1.0 + 1e-12 {
                d.x
            } else if d.x >= 1.0 - 1e-12 {
                2.0 + d.y
            } else if d.y >= 1.0 - 1e-12 {
                4.0 - d.x
            } else {
                6.0 - d.y
            }
        };
        edge.sort_by(|a, b| round(a).total_cmp(&round(b)));
        return delaunay(&edge, &inner, |p| place(p.x / length, p.y / width));
    }
    let at = |i: usize, j: usize| (i * (across + 1) + j) as u32;
    let halves =
        |i: usize, j: usize| [[at(i, j), at(i + 1, j), at(i + 1, j + 1)], [at(i, j), at(i + 1, j + 1), at(i, j + 1)]];
    let squares = (0..along).flat_map(|i| (0..across).map(move |j| (i, j)));
    Skin { points_mm: regular, triangles: squares.flat_map(|(i, j)| halves(i, j)).collect() }
}

fn jitter(cut: Cut) -> impl FnMut() -> [f64; 2] {
    let mut random = match cut {
        Cut::Regular => None,
        Cut::Jittered(seed) => Some(fastrand::Rng::with_seed(seed)),
    };
    move || random.as_mut().map_or([0.0; 2], |random| [random.f64(), random.f64()].map(|x| 0.7 * (x - 0.5)))
}

fn delaunay(outer: &[DVec2], inner: &[DVec2], place: impl Fn(DVec2) -> DVec3) -> Skin {
    let planar = mesh::planar::triangulate(outer, &[], inner).unwrap();
    let triangles = planar.triangles.iter().map(|t| t.map(|i| i as u32)).collect();
    Skin { points_mm: planar.points.into_iter().map(place).collect(), triangles }
}

/// Cylinder of radius 150 over 120°, 400 long; s runs round it.
pub fn cylinder(s: f64, w: f64) -> DVec3 {
    let angle = 2.0 * PI / 3.0 * s;
    DVec3::new(150.0 * angle.cos(), 150.0 * angle.sin(), 400.0 * w)
}

/// Cone of half-angle 25° over 150°, slant distance 200 to 600; s runs round it.
pub fn cone(s: f64, w: f64) -> DVec3 {
    let (slant, angle, half) = (200.0 + 400.0 * w, 150f64.to_radians() * s, 25f64.to_radians());
    DVec3::new(slant * half.sin() * angle.cos(), slant * half.sin() * angle.sin(), -slant * half.cos())
}

/// Quarter torus, arch radius 330, roll radius 60; 120° of section about `middle_deg` (0 dome side, 180 saddle side).
pub fn torus(middle_deg: f64) -> impl Fn(f64, f64) -> DVec3 {
    move |s, w| {
        let (u, v) = ((90.0 * s).to_radians(), (middle_deg + 120.0 * (w - 0.5)).to_radians());
        let q = 330.0 + 60.0 * v.cos();
        DVec3::new(q * u.cos(), q * u.sin(), 60.0 * v.sin())
    }
}

/// A wheel guard: an arc section of changing crown swept along half an ellipse, 180 wide.
pub fn wheel_guard(s: f64, w: f64) -> DVec3 {
    let (a, b, width) = (360.0, 310.0, 180.0);
    let t = (5.0 + 170.0 * s).to_radians();
    let base = DVec3::new(a * t.cos(), 0.0, b * t.sin());
    let normal = DVec3::new(b * t.cos(), 0.0, a * t.sin()).normalize();
    let height = 42.0 + 20.0 * (TAU * s - 0.6).cos();
    let radius: f64 = (width * width / 4.0 + height * height) / (2.0 * height);
    let half = (width / 2.0 / radius).asin();
    let y = radius * ((2.0 * w - 1.0) * half).sin();
    base + DVec3::Y * y + normal * ((radius * radius - y * y).sqrt() - (radius - height))
}

/// Saddle 300 × 300.
pub fn saddle(s: f64, w: f64) -> DVec3 {
    let (x, y) = (300.0 * s - 150.0, 300.0 * w - 150.0);
    DVec3::new(x, y, (x * x - y * y) / 600.0)
}
