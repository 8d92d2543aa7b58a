//! Developable skins: what is exact stays exact (derived; S25: what cannot be flattened vanishes with R1·R2 → ∞).

use crate::skins::{Cut, cone, cylinder, patch};
use blank::flatten::{FlatSkin, FlattenSettings, Flow, Route, flatten};
use glam::{DVec2, DVec3};
use mesh::Skin;
use numerics::{Cancel, Progress};

fn run(skin: &Skin, settings: &FlattenSettings) -> FlatSkin {
    flatten(skin, settings, &Progress::silent(), &Cancel::new()).unwrap()
}

fn least_work() -> FlattenSettings {
    FlattenSettings::least_work(Flow { strength_n_mm2: 550.0, hardening_exponent: 0.21 }, Route::LeastWork, 0.9)
}

fn largest_edge_error_mm(skin: &Skin, flat: &FlatSkin) -> f64 {
    let mut largest = 0.0f64;
    for &[a, b, c] in &skin.triangles {
        for (i, j) in [(a, b), (b, c), (c, a)] {
            let (i, j) = (i as usize, j as usize);
            let there = skin.points_mm[i].distance(skin.points_mm[j]);
            largest = largest.max((flat.points_mm[i].distance(flat.points_mm[j]) - there).abs());
        }
    }
    largest
}

/// Cut along their rulings, the squares between are flat: the mesh itself is developable and every edge keeps its length.
#[test]
fn skins_cut_along_their_rulings_keep_every_edge() {
    let flat = |s: f64, w: f64| DVec3::new(300.0 * s, 200.0 * w * 0.8, 200.0 * w * 0.6);
    let skins = [
        patch([314.0, 400.0], 2000, Cut::Regular, cylinder),
        patch([442.0, 400.0], 2000, Cut::Regular, cone),
        patch([300.0, 200.0], 2000, Cut::Regular, flat),
        patch([300.0, 200.0], 2000, Cut::Jittered(7), flat),
    ];
    for (i, skin) in skins.iter().enumerate() {
        for settings in [FlattenSettings::symmetric_dirichlet(), least_work()] {
            let error = largest_edge_error_mm(skin, &run(skin, &settings));
            assert!(error < 1e-9, "skin {i}: {error:e} mm");
        }
    }
}

/// Root mean square distance to the exact development after the best rigid fit, mm.
fn misfit_mm(flat: &[DVec2], exact: &[DVec2]) -> f64 {
    let n = flat.len() as f64;
    let (centre, other) = (flat.iter().sum::<DVec2>() / n, exact.iter().sum::<DVec2>() / n);
    // the angle of the complex sum of q·conj(p) turns p best onto q
    let sum: DVec2 = flat
        .iter()
        .zip(exact)
        .map(|(p, q)| (*p - centre, *q - other))
        .map(|(p, q)| DVec2::new(p.dot(q), p.perp_dot(q)))
        .sum();
    let turn = sum.normalize();
    let squares: f64 =
        flat.iter().zip(exact).map(|(p, q)| (turn.rotate(*p - centre) - (*q - other)).length_squared()).sum();
    (squares / n).sqrt()
}

/// The exact development of a point of [`cylinder`].
fn unrolled(p: &DVec3) -> DVec2 {
    DVec2::new(150.0 * p.y.atan2(p.x), p.z)
}

/// The exact development of a point of [`cone`]: slant distance and azimuth times the sine of the half-angle.
fn unrolled_cone(p: &DVec3) -> DVec2 {
    let half = 25f64.to_radians();
    // `cone` shows its hollow side: the flat, seen from there, runs the other way round
    (-p.z / half.cos()) * DVec2::from_angle(-p.y.atan2(p.x) * half.sin())
}

/// Cut anyhow, the mesh differs from the surface by the square of its edge: so must the flat from the exact development.
#[test]
fn irregular_meshes_come_near_with_the_square_of_the_edge() {
    type Case = (fn(f64, f64) -> DVec3, fn(&DVec3) -> DVec2, [f64; 2]);
    let cases: [Case; 2] = [(cylinder, unrolled, [314.0, 400.0]), (cone, unrolled_cone, [442.0, 400.0])];
    for (place, exact, size) in cases {
        let misfit = |triangles: usize| {
            let skin = patch(size, triangles, Cut::Jittered(3), place);
            let flat = run(&skin, &FlattenSettings::symmetric_dirichlet());
            misfit_mm(&flat.points_mm, &skin.points_mm.iter().map(exact).collect::<Vec<_>>())
        };
        let (coarse, fine) = (misfit(500), misfit(8000));
        // four times finer: 16 times nearer; 10 leaves room for the chance of the mesh
        assert!(fine < coarse / 10.0, "{coarse} {fine}");
        assert!(fine < 0.05, "{fine}");
    }
}

/// S25: the energy of a shallow patch of principal radii R1 = 600 and R2 vanishes as R2 grows. Strains go with 1/R2, the
/// energy with its square.
#[test]
fn s25_the_rest_vanishes_with_the_second_curvature() {
    let energy = |curvature: f64| {
        let place = move |s: f64, w: f64| {
            // swept: an arc of radius 600 across, bent along by `curvature`
            let (x, angle) = (300.0 * (s - 0.5), 200.0 / 600.0 * (w - 0.5));
            let (up, side) = (600.0 * (angle.cos() - 1.0), 600.0 * angle.sin());
            let turn = x * curvature;
            let out = 1.0 / curvature + up;
            DVec3::new(out * turn.sin(), side, out * turn.cos() - 1.0 / curvature)
        };
        let skin = patch([300.0, 200.0], 1500, Cut::Regular, place);
        let settings = FlattenSettings { relative_fall: 1e-9, ..FlattenSettings::symmetric_dirichlet() };
        run(&skin, &settings).energy
    };
    let (first, second, third) = (energy(1.0 / 1500.0), energy(1.0 / 3000.0), energy(1.0 / 6000.0));
    for ratio in [first / second, second / third] {
        assert!((3.7..4.3).contains(&ratio), "{first:e} {second:e} {third:e}");
    }
}
