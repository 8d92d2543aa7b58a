//! Plane sections of triangle meshes against closed forms.
//!
//! Circle of a sphere: Archimedes, *On the Sphere and Cylinder*. Ellipse of a cylinder: Serenus, *On the Section of a Cylinder*, semi-axes r and
//! r/cos of the tilt. Ellipse of a cone: Apollonius; eccentricity sin(tilt)/cos(half-angle) by the spheres of G. P. Dandelin (1822). All from
//! memory, each short enough to derive. A mesh point of a section lies on a chord of the surface: within the sagitta of its edge.

use crate::skins::{Cut, cap, cone, cylinder, patch};
use glam::{DVec2, DVec3};
use mesh::Skin;
use mesh::sections::{FitSettings, SectionCutter, SectionError, SectionLine, SectionPlane};
use std::collections::{BTreeMap, BTreeSet};

fn plane(origin: DVec3, along: DVec3, up: DVec3) -> SectionPlane {
    SectionPlane::new(origin, along, up).unwrap()
}

fn only_line(skin: &Skin, plane: &SectionPlane) -> SectionLine {
    let mut lines = SectionCutter::new(skin).unwrap().cut(plane).unwrap();
    assert_eq!(lines.len(), 1);
    lines.remove(0)
}

fn longest_edge(skin: &Skin) -> f64 {
    let edge = |t: usize| {
        let [a, b, c] = skin.corners(t);
        a.distance(b).max(b.distance(c)).max(c.distance(a))
    };
    (0..skin.triangles.len()).map(edge).fold(0.0, f64::max)
}

/// Worst distance of the points from an ellipse about `centre` with semi-axes along x and y, to first order.
fn off_ellipse(points: &[DVec2], centre: DVec2, axes: DVec2) -> f64 {
    let off = |point: &DVec2| {
        let q = *point - centre;
        let value = (q / axes).length_squared() - 1.0;
        value.abs() / (2.0 * q / (axes * axes)).length()
    };
    points.iter().map(off).fold(0.0, f64::max)
}

#[test]
fn a_sphere_is_cut_in_a_circle() {
    let (radius, half_angle) = (400.0, 1.0f64);
    let mut worst = Vec::new();
    for triangles in [4_000, 16_000] {
        for cut in [Cut::Regular, Cut::Jittered(3)] {
            let skin = cap(radius, half_angle, triangles, cut);
            let sagitta = radius - (radius * radius - longest_edge(&skin).powi(2) / 4.0).sqrt();
            for (tilt, distance) in [(0.0f64, 300.0), (0.0, 260.0), (0.3, 330.0)] {
                let up = DVec3::new(0.0, tilt.cos(), tilt.sin());
                let section = plane(DVec3::X.cross(up) * distance, DVec3::X, up);
                let line = only_line(&skin, &section);
                assert!(line.closed);
                let true_radius = (radius * radius - distance * distance).sqrt();
                // a point off the sphere by the sagitta is off the circle by radius/true radius times that
                let allowed = sagitta * radius / true_radius;
                let points = line.plane_points_mm();
                let off = points.iter().map(|p| true_radius - p.length()).fold(0.0, f64::max);
                assert!(points.iter().all(|p| p.length() < true_radius + 1e-9), "chords lie inside the sphere");
                assert!(off <= allowed, "{off} of {allowed}");
                // points lie anywhere within the sagitta: a curve as clean as a person can follow must be allowed that
                let settings = FitSettings { tolerance_mm: allowed, chord_error_mm: allowed };
                let fit = line.fitted(&settings).unwrap();
                assert!(
                    fit.chain.vertices.len() < points.len() / 3,
                    "{} of {}",
                    fit.chain.vertices.len(),
                    points.len()
                );
                let curve = fit.chain.flattened_mm(1e-4);
                assert!(curve.iter().all(|p| (p.length() - true_radius).abs() <= 2.0 * allowed + 1e-4));
                worst.push(off);
            }
        }
    }
    let [coarse, fine] = [&worst[..6], &worst[6..]].map(|half| half.iter().copied().fold(0.0, f64::max));
    assert!(fine < coarse / 2.5, "four times the triangles, a quarter of the error: {coarse} {fine}");
}

#[test]
fn a_cylinder_is_cut_in_an_ellipse() {
    let mut worst = Vec::new();
    for triangles in [2_000, 8_000] {
        let skin = patch([314.0, 400.0], triangles, Cut::Regular, cylinder);
        // axis z, radius 150; tilted about x by 40°
        let tilt = 40f64.to_radians();
        let section = plane(DVec3::Z * 200.0, DVec3::X, DVec3::new(0.0, tilt.cos(), tilt.sin()));
        let points = only_line(&skin, &section).plane_points_mm();
        let off = off_ellipse(&points, DVec2::ZERO, DVec2::new(150.0, 150.0 / tilt.cos()));
        // along the rulings the points are exact, along chords within the sagitta of a chord
        let chord = longest_edge(&skin);
        assert!(off <= chord * chord / (8.0 * 150.0), "{off}");
        worst.push(off);
        // square to the axis, through a row of points: the circle itself, to rounding
        let level = only_line(&skin, &plane(DVec3::Z * skin.points_mm[5].z, DVec3::X, DVec3::Y)).plane_points_mm();
        assert!(off_ellipse(&level, DVec2::ZERO, DVec2::splat(150.0)) < 1e-9);
    }
    assert!(worst[1] < worst[0] / 3.0, "{worst:?}");
}

#[test]
fn a_cone_is_cut_in_an_ellipse() {
    let mut worst = Vec::new();
    for triangles in [2_000, 8_000] {
        let skin = patch([500.0, 400.0], triangles, Cut::Regular, cone);
        // apex at 0, axis −z, half-angle 25°; the plane cuts the axis at −350, tilted by 20° about y
        let (half, tilt, depth) = (25f64.to_radians(), 20f64.to_radians(), 350.0);
        let section = plane(-DVec3::Z * depth, DVec3::new(tilt.cos(), 0.0, tilt.sin()), DVec3::Y);
        let points = only_line(&skin, &section).plane_points_mm();
        // where the plane meets the two outermost rulings
        let reach = |sign: f64| depth * half.tan() * sign / (tilt.cos() + sign * tilt.sin() * half.tan());
        let (right, left) = (reach(1.0), reach(-1.0));
        let major = 0.5 * (right - left);
        let eccentricity = tilt.sin() / half.cos();
        let minor = major * (1.0 - eccentricity * eccentricity).sqrt();
        let off = off_ellipse(&points, DVec2::new(0.5 * (right + left), 0.0), DVec2::new(major, minor));
        let chord = longest_edge(&skin);
        // the radius of the normal section is at least the distance from the axis over cos(half-angle) where the cone is narrowest
        assert!(off <= chord * chord / (8.0 * 200.0 * half.tan()), "{off}");
        worst.push(off);
    }
    assert!(worst[1] < worst[0] / 3.0, "{worst:?}");
}

/// Planes laid through three points of the mesh: through points exactly, near and along edges.
#[test]
fn planes_through_points_of_the_mesh_leave_no_loose_end() {
    for cut in [Cut::Regular, Cut::Jittered(11)] {
        let skin = cap(300.0, 1.2, 3_000, cut);
        let rim: BTreeSet<u32> = skin.topology().unwrap().boundaries.concat().into_iter().collect();
        let cutter = SectionCutter::new(&skin).unwrap();
        let mut random = fastrand::Rng::with_seed(5);
        let mut through_points = 0;
        for _ in 0..300 {
            let [a, b, c] = [(); 3].map(|()| skin.points_mm[random.usize(0..skin.points_mm.len())]);
            let Ok(section) = SectionPlane::new(a, b - a, c - a) else { continue };
            let lines = match cutter.cut(&section) {
                Ok(lines) => lines,
                Err(SectionError::FlatInPlane { .. } | SectionError::Misses { .. }) => continue,
                Err(other) => panic!("{other}"),
            };
            let mut uses = BTreeMap::new();
            for line in &lines {
                for point in &line.points {
                    assert!(section.height_mm(point.at_mm).abs() < 1e-8);
                    through_points += usize::from(matches!(point.place, mesh::sections::Place::Point(_)));
                }
                if !line.closed {
                    for end in [&line.points[0], &line.points[line.points.len() - 1]] {
                        let on_rim = match end.place {
                            mesh::sections::Place::Point(p) => rim.contains(&p),
                            mesh::sections::Place::Edge { low, high, .. } => rim.contains(&low) && rim.contains(&high),
                        };
                        assert!(on_rim, "an open line ends inside the sheet");
                    }
                }
                for pair in line.points.windows(2) {
                    let key = |i: usize| pair[i].at_mm.to_array().map(f64::to_bits);
                    *uses.entry((key(0).min(key(1)), key(0).max(key(1)))).or_insert(0) += 1;
                }
            }
            assert!(uses.values().all(|n| *n == 1), "a stretch is doubled");
            // a sphere is convex: a plane cuts the cap in at most two lines, and a plane curve through a, b and c passes all of them
            for point in [a, b, c] {
                let near =
                    lines.iter().flat_map(|line| &line.points).map(|p| p.at_mm.distance(point)).fold(1e9, f64::min);
                assert!(near < 1e-8, "{near}");
            }
            let turned = SectionPlane::new(a, -section.along(), section.up()).unwrap();
            let total = |lines: &[SectionLine]| lines.iter().map(SectionLine::length_mm).sum::<f64>();
            let other = total(&cutter.cut(&turned).unwrap());
            assert!((total(&lines) - other).abs() < 1e-7, "{} {other}", total(&lines));
        }
        assert!(through_points > 700, "{through_points}");
    }
}
