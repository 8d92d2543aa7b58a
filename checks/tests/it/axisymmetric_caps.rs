//! Spherical caps against the independent radial minimum of `axisymmetric`, and against the two limits of the routes (S20–S22).
//!
//! Rim radius within 0.02 % (0.1 % at 85°), strains within 2 % of the largest ε̄.

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

/// How far a cap is from the radial minimum.
struct Compared {
    what: String,
    /// Share of the rim radius.
    rim: f64,
    /// Hoop strain at the rim, thinning in the middle and at the rim, each as a share of the largest ε̄.
    strains: [f64; 3],
    /// Work over the radial minimum's.
    work: f64,
    /// Triangles past what any sheet can do.
    beyond: usize,
}

/// Mean of ln(t/t0) over the triangles of a ring; ring i of a regular cap follows 6·(i − 1)² others and has their mean radius
/// half-way between its points.
fn thinning(flat: &FlatSkin, ring: usize) -> f64 {
    let strains = &flat.strains[6 * (ring - 1).pow(2)..6 * ring.pow(2)];
    strains.iter().map(|s| (s.thickness_mm / 0.9).ln()).sum::<f64>() / strains.len() as f64
}

fn compared(angle_deg: f64, n: f64, route: Route, triangles: usize) -> Compared {
    let angle = angle_deg.to_radians();
    let skin = cap(RADIUS_MM, angle, triangles, Cut::Regular);
    let rings = (skin.triangles.len() as f64 / 6.0).sqrt().round() as usize;
    let flat = run(&skin, n, route);
    let want = axisymmetric::cap(problem(n, route), RADIUS_MM, angle, 2000);
    let at_rim = 1.5 * thinning(&flat, rings) - 0.5 * thinning(&flat, rings - 1);
    let share = |got: f64, want_strain: f64| (got - want_strain) / want.largest;
    Compared {
        what: format!("{angle_deg}° n {n:.2} {route:?}: {:?}, {} steps", flat.ending, flat.iterations.least_work),
        rim: rim_mm(&flat) / want.radius[want.radius.len() - 1] - 1.0,
        strains: [
            share(rim_hoop(&skin, &flat), want.rim_hoop),
            share(thinning(&flat, 1), want.thinning[0]),
            share(at_rim, want.thinning[1]),
        ],
        work: flat.energy * flat.panel_area_mm2 / want.work,
        beyond: flat.beyond_any_sheet.len(),
    }
}

impl Compared {
    /// Rim radius within `rim`, every strain within 2 % of the largest ε̄.
    fn holds(&self, rim: f64) -> bool {
        self.rim.abs() < rim && self.strains.iter().all(|s| s.abs() < 0.02)
    }

    /// As little work as the radial minimum within the mesh's own error, past what any sheet can do, rim within 0.5 %.
    fn not_worse(&self) -> bool {
        self.work < 1.0004 && self.beyond > 0 && self.rim.abs() < 0.005
    }

    fn row(&self) -> String {
        let [hoop, middle, at_rim] = self.strains.map(|s| 100.0 * s);
        format!(
            "{}: rim {:+.4} %, hoop {hoop:+.2} %, middle {middle:+.2} %, thinning at the rim {at_rim:+.2} %, work × {:.5}, {} past 0.5",
            self.what,
            100.0 * self.rim,
            self.work,
            self.beyond
        )
    }
}

#[track_caller]
fn check(angle_deg: f64, n: f64, route: Route, triangles: usize, rim: f64) {
    let compared = compared(angle_deg, n, route, triangles);
    assert!(compared.holds(rim), "{}", compared.row());
}

const WHEEL_OUT: Route = Route::WheelOut { weight: ROUTE_WEIGHT };
const GATHER_IN: Route = Route::GatherIn { weight: ROUTE_WEIGHT };

#[test]
fn least_work_caps_are_the_radial_minimum() {
    for (angle, rim) in [(10.0, 0.0002), (30.0, 0.0002), (60.0, 0.0002), (85.0, 0.001)] {
        for n in [0.10, 0.21] {
            check(angle, n, Route::LeastWork, 12_000, rim);
        }
    }
}

#[test]
fn the_routes_are_the_radial_minimum() {
    for angle in [10.0, 25.0] {
        check(angle, 0.21, WHEEL_OUT, 24_000, 0.0002);
        check(angle, 0.21, GATHER_IN, 24_000, 0.0002);
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

/// The whole table: half-angles 10° to 85°, both n, all routes, on 100,000 triangles; prints a row of each. Takes minutes:
/// `cargo test --release -p checks -- --ignored --nocapture the_whole_table_of_caps`.
///
/// [`NOT_UNIQUE`] names the cases in which the radial minimum is not the one found.
#[test]
#[ignore = "minutes of work; run by name when the energies or the solver change"]
fn the_whole_table_of_caps() {
    let mut failed = Vec::new();
    for angle in [10.0, 25.0, 40.0, 60.0, 75.0, 85.0] {
        for n in [0.10, 0.21] {
            for route in [Route::LeastWork, WHEEL_OUT, GATHER_IN] {
                let compared = compared(angle, n, route, 100_000);
                println!("{}", compared.row());
                let rim = if angle > 80.0 { 0.001 } else { 0.0002 };
                let not_unique = route == WHEEL_OUT && NOT_UNIQUE.contains(&(angle, n));
                let holds = if not_unique { compared.not_worse() } else { compared.holds(rim) };
                if !holds {
                    failed.push(compared.row());
                }
            }
        }
    }
    assert!(failed.is_empty(), "{}", failed.join("\n"));
}

/// Half-angle and n of the caps whose minimum on `wheel-out` is not the radial one within the tolerance.
///
/// Stretched both ways, the work exp(−ε̄)·ε̄^(n+1) is concave from ε̄ = n + 1 − √(n + 1) on (0.05 for n = 0.10, 0.11 for n = 0.21) up to
/// ε̄ = 0.5: metal in between parts into some that hardly strains and some past 0.5. The border is sharp and lies between two rows of
/// triangles; moving it changes the work by less than the mesh does. It may run into spokes that no body of revolution has: at 60°
/// with n = 0.10 they save 0.3 % of the radial work. All of these report triangles past ε̄ = 0.5, which no sheet reaches.
const NOT_UNIQUE: [(f64, f64); 3] = [(60.0, 0.10), (75.0, 0.21), (85.0, 0.10)];
