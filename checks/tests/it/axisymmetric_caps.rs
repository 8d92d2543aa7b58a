//! Spherical caps against the independent radial minimum of `axisymmetric`, and against the two limits of the routes (S20–S22).
//!
//! The assertions follow the mesh: rim radius to the square of the ring angle, strains within 2 % of the largest ε̄.

use crate::axisymmetric::{self, Problem};
use crate::near::near;
use crate::skins::{Cut, cap};
use blank::flatten::{FlatSkin, FlattenSettings, Flow, ROUTE_WEIGHT, Route, flatten};
use mesh::Skin;
use numerics::{Cancel, Progress};

const RADIUS_MM: f64 = 200.0;

fn run(skin: &Skin, n: f64, route: Route) -> FlatSkin {
    let settings = FlattenSettings::least_work(Flow { strength_n_mm2: 550.0, hardening_exponent: n }, route, 0.9);
    flatten(skin, &settings, &Progress::silent(), &Cancel::new()).unwrap()
}

/// Mean distance of the rim from its centre.
fn rim_mm(flat: &FlatSkin) -> f64 {
    let rim: Vec<_> = flat.boundaries[0].iter().map(|i| flat.points_mm[*i as usize]).collect();
    let centre = rim.iter().sum::<glam::DVec2>() / rim.len() as f64;
    rim.iter().map(|p| p.distance(centre)).sum::<f64>() / rim.len() as f64
}

/// Share by which the rim of the panel, a polygon, differs in the flat.
fn rim_hoop(skin: &Skin, flat: &FlatSkin) -> f64 {
    let rim = &flat.boundaries[0];
    let length: f64 = (0..rim.len())
        .map(|i| flat.points_mm[rim[i] as usize].distance(flat.points_mm[rim[(i + 1) % rim.len()] as usize]))
        .sum();
    (skin.loop_length_mm(rim) / length).ln()
}

fn problem(n: f64, route: Route) -> Problem {
    let (wheel_out, gather_in) = match route {
        Route::LeastWork => (0.0, 0.0),
        Route::WheelOut { weight } => (weight, 0.0),
        Route::GatherIn { weight } => (0.0, weight),
    };
    Problem { n, wheel_out, gather_in }
}

/// Compares a cap with the radial minimum: rim within `rim_share`, thinning and rim hoop strain within 2 % of the largest ε̄.
fn compare(angle_deg: f64, n: f64, route: Route, triangles: usize, rim_share: f64) {
    let angle = angle_deg.to_radians();
    let skin = cap(RADIUS_MM, angle, triangles, Cut::Regular);
    let flat = run(&skin, n, route);
    let want = axisymmetric::cap(problem(n, route), RADIUS_MM, angle, 2000);
    let what = format!("{angle_deg}° n {n} {route:?}: {:?} {:?}", flat.ending, flat.iterations);
    let rim = want.radius[want.radius.len() - 1];
    assert!((rim_mm(&flat) / rim - 1.0).abs() < rim_share, "{what}: rim {} not {rim}", rim_mm(&flat));
    let allowed = 0.02 * want.largest;
    let hoop = rim_hoop(&skin, &flat);
    assert!((hoop - want.rim_hoop).abs() < allowed, "{what}: hoop {hoop} not {}", want.rim_hoop);
    // the six triangles round the middle are the first
    let middle = flat.strains[..6].iter().map(|s| (s.thickness_mm / 0.9).ln()).sum::<f64>() / 6.0;
    assert!((middle - want.thinning[0]).abs() < allowed, "{what}: middle {middle} not {}", want.thinning[0]);
}

#[test]
fn least_work_caps_are_the_radial_minimum() {
    for angle in [10.0, 30.0, 60.0] {
        for n in [0.10, 0.21] {
            compare(angle, n, Route::LeastWork, 6000, 0.0005);
        }
    }
}

#[test]
fn a_nearly_full_hemisphere() {
    compare(85.0, 0.21, Route::LeastWork, 6000, 0.001);
}

#[test]
fn the_routes_are_the_radial_minimum() {
    for angle in [10.0, 30.0] {
        compare(angle, 0.21, Route::WheelOut { weight: ROUTE_WEIGHT }, 6000, 0.0005);
        compare(angle, 0.21, Route::GatherIn { weight: ROUTE_WEIGHT }, 6000, 0.0005);
    }
}

/// S20: chord half-width 200 and rise 20 are a radius of 1010 and an arc of 201.331. As c grows the blank of `wheel-out` tends to
/// the rim (S21), that of `gather-in` to the arc (S22).
#[test]
fn s20_s21_s22_the_limits_of_the_routes() {
    let (half, rise) = (200.0f64, 20.0f64);
    let radius = (half * half + rise * rise) / (2.0 * rise);
    near(radius, 1010.0, 1e-9);
    let angle = (half / radius).asin();
    near(radius * angle, 201.331, 0.5e-3);
    let skin = cap(radius, angle, 2400, Cut::Regular);
    let rims = |route: fn(f64) -> Route| [10.0, 100.0, 1000.0].map(|c| rim_mm(&run(&skin, 0.21, route(c))));
    let out = rims(|weight| Route::WheelOut { weight });
    let gathered = rims(|weight| Route::GatherIn { weight });
    let far = |rims: [f64; 3], limit: f64| rims.map(|r| (r - limit).abs() / (201.331 - 200.0));
    let (out, gathered) = (far(out, 200.0), far(gathered, 201.331));
    for share in [out, gathered] {
        // triangles of 10 mm cannot follow a strain that is exactly zero one way: near the limit they hold it to about 1 %
        assert!(share[0] > 0.03 && share[1] < 0.5 * share[0] && share[2] < 0.02, "{out:?} {gathered:?}");
    }
}

/// The whole table: half-angles 10° to 85°, both n, all routes, rim within 0.02 % (0.1 % at 85°). Takes minutes.
///
/// Known to fail, all on `wheel-out` where the strain passes ε̄ = 0.5 (no sheet goes there): 60° with n 0.10 (0.07 %, step limit),
/// 75° with n 0.21 (0.03 %) and 85° with n 0.10 (0.23 %). The other 33 cases hold.
#[test]
#[ignore = "minutes of work; run by name when the energies or the solver change"]
fn the_whole_table_of_caps() {
    let routes = [Route::LeastWork, Route::WheelOut { weight: ROUTE_WEIGHT }, Route::GatherIn { weight: ROUTE_WEIGHT }];
    let mut failed = Vec::new();
    for angle in [10.0, 25.0, 40.0, 60.0, 75.0, 85.0] {
        for n in [0.10, 0.21] {
            for route in routes {
                let share = if angle > 80.0 { 0.001 } else { 0.0002 };
                if std::panic::catch_unwind(|| compare(angle, n, route, 100_000, share)).is_err() {
                    failed.push((angle, n, route));
                }
            }
        }
    }
    assert!(failed.is_empty(), "{failed:?}");
}
