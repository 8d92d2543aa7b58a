//! Known surfaces, measured with seeded normal errors: the fit must miss by no more than it says. Closed forms; no source needed.

use crate::near::near;
use glam::DVec2;
use numerics::spline::Smoothing;
use numerics::{Cancel, Progress};
use survey::{Face, FitSettings, Frame, Measured, Origin, Reading, SurfaceFit, fit};

type Height = fn(f64, f64) -> f64;

fn plane(u: f64, v: f64) -> f64 {
    12.0 + 0.2 * u - 0.1 * v
}

/// Radius 500, its top at the middle of the panel.
fn sphere(u: f64, v: f64) -> f64 {
    (500.0f64.powi(2) - (u - 200.0).powi(2) - (v - 150.0).powi(2)).sqrt() - 500.0
}

/// The outer side of a tube of radius 250 bent round a circle: 600 along, 250 across.
fn torus(u: f64, v: f64) -> f64 {
    let across = (250.0f64.powi(2) - (v - 150.0).powi(2)).sqrt();
    ((350.0 + across).powi(2) - (u - 200.0).powi(2)).sqrt() - 600.0
}

fn saddle(u: f64, v: f64) -> f64 {
    (u - 200.0) * (v - 150.0) / 800.0
}

const SURFACES: [(&str, Height); 4] = [("plane", plane), ("sphere", sphere), ("torus", torus), ("saddle", saddle)];

/// 10 stations of 12 points over 400 × 300 mm, with normal errors of this σ and a reach of two of it.
fn measured(height: Height, sigma_mm: f64, seed: u64) -> Measured {
    let mut random = fastrand::Rng::with_seed(seed);
    // Box–Muller
    let mut normal = || (-2.0 * (1.0 - random.f64()).ln()).sqrt() * (std::f64::consts::TAU * random.f64()).cos();
    let mut readings = Vec::new();
    for i in 0..10u32 {
        for j in 0..12u32 {
            let (u_mm, v_mm) = (400.0 / 9.0 * f64::from(i), 300.0 / 11.0 * f64::from(j));
            let height_mm = height(u_mm, v_mm) + sigma_mm * normal();
            let origin = Origin::Station { profile: i + 1, point: j + 1 };
            readings.push(Reading { u_mm, v_mm, height_mm, reach_mm: 2.0 * sigma_mm, origin });
        }
    }
    let corners = [(0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0)];
    Measured {
        frame: Frame::STATIONS,
        face: Face::Outside,
        readings,
        stations_mm: (0..10).map(|i| 400.0 / 9.0 * f64::from(i)).collect(),
        outline_mm: corners.map(|(u, v)| DVec2::new(u, v)).into(),
        holes_mm: Vec::new(),
        concerns: Vec::new(),
    }
}

fn fitted(height: Height, sigma_mm: f64, seed: u64, smoothing: Smoothing) -> SurfaceFit {
    fit(measured(height, sigma_mm, seed), &FitSettings { smoothing }, &Progress::silent(), &Cancel::new()).unwrap()
}

/// The lattice on which fit and truth are compared.
fn places() -> impl Iterator<Item = (f64, f64)> {
    (0..=40).flat_map(|i| (0..=30).map(move |j| (10.0 * f64::from(i), 10.0 * f64::from(j))))
}

/// Reach is two standard deviations: 95 % of places within it over all runs, and no surface far below.
#[test]
fn the_truth_lies_within_the_reach_for_95_places_in_100() {
    let (mut within, mut all) = (0usize, 0usize);
    for (name, height) in SURFACES {
        let before = (within, all);
        for seed in 1..=4 {
            let fit = fitted(height, 0.25, seed, Smoothing::default());
            assert!(fit.concerns.is_empty(), "{name}: {:?}", fit.concerns);
            for (u, v) in places() {
                let point = fit.evaluate(u, v);
                within += usize::from((point.at_mm.z - height(u, v)).abs() <= point.reach_mm);
                all += 1;
            }
        }
        let share = (within - before.0) as f64 / (all - before.1) as f64;
        println!("{name}: {share:.3}");
        assert!(share > 0.90, "{name}: only {share:.3} within the reach");
    }
    let share = within as f64 / all as f64;
    assert!(share >= 0.95, "only {share:.4} within the reach");
}

/// Σ(residual/σ)² / (readings − fixed unknowns) is 1 in the mean; over 120 readings less some 25 its square root spreads by 7 %.
#[test]
fn residuals_match_the_errors_that_were_put_in() {
    for (name, height) in SURFACES {
        let scatters = (1..=4).map(|seed| fitted(height, 0.25, seed, Smoothing::default()).surface.scatter());
        let mean = scatters.sum::<f64>() / 4.0;
        assert!((mean - 1.0).abs() < 0.1, "{name}: {mean}");
    }
}

/// Readings without error: the surface between them within 0.05 mm, and its crown radii as they are.
#[test]
fn exact_readings_give_the_surface_and_its_radii() {
    for (name, height) in SURFACES {
        let fit = fitted(height, 1e-4, 1, Smoothing::default());
        let miss = |(u, v): (f64, f64)| (fit.evaluate(u, v).at_mm.z - height(u, v)).abs();
        let furthest = places().map(miss).fold(0.0, f64::max);
        println!("{name}: {furthest:.4}");
        assert!(furthest < 0.05, "{name}: {furthest}");
    }
    let radii = |height| fitted(height, 1e-4, 1, Smoothing::default()).crown_radii_mm(200.0, 150.0);
    let [tight, wide] = radii(sphere);
    near(tight, 500.0, 5.0);
    near(wide, 500.0, 5.0);
    let [tight, wide] = radii(torus);
    near(tight, 250.0, 2.5);
    near(wide, 600.0, 6.0);
    // z = xy/800: curvatures ± 1/800 at the middle
    let [one, other] = radii(saddle);
    near(one.abs(), 800.0, 8.0);
    near(one + other, 0.0, 8.0);
}
