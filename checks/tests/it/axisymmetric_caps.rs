//! Spherical caps against the independent radial minimum of `axisymmetric`, and against the two limits of the routes (S20–S22).
//!
//! Rim radius within 0.02 % (0.1 % at 85°), strains within 2 % of the largest ε̄.

use crate::axisymmetric::{self, Blank, Problem};
use crate::near::near;
use crate::skins::{Cut, cap};
use blank::flatten::{FlatSkin, FlattenSettings, Flow, ROUTE_WEIGHT, Route, Start, flatten};
use glam::{DVec2, DVec3};
use mesh::Skin;
use numerics::{Cancel, Progress};
use std::f64::consts::TAU;

const RADIUS_MM: f64 = 200.0;

fn run(skin: &Skin, n: f64, route: Route) -> FlatSkin {
    run_from(Start::Automatic, skin, n, route)
}

fn run_from(start: Start, skin: &Skin, n: f64, route: Route) -> FlatSkin {
    let settings = FlattenSettings::least_work(Flow { strength_n_mm2: 550.0, hardening_exponent: n }, route, 0.9);
    flatten(skin, &FlattenSettings { start, ..settings }, &Progress::silent(), &Cancel::new()).unwrap()
}

/// Mean distance of the rim from its centre.
fn rim_mm(flat: &FlatSkin) -> f64 {
    let rim: Vec<_> = flat.boundaries[0].iter().map(|i| flat.points_mm[*i as usize]).collect();
    let centre = rim.iter().sum::<DVec2>() / rim.len() as f64;
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

/// Mean of ln(t/t0) over the triangles with their middles in the `row`th of `rows` equal rows of arc, counted from the middle.
fn thinning(skin: &Skin, flat: &FlatSkin, half_angle: f64, row: usize, rows: usize) -> f64 {
    let inside = |t: &[u32; 3]| {
        let middle = t.iter().map(|i| skin.points_mm[*i as usize]).sum::<glam::DVec3>();
        let polar = middle.truncate().length().atan2(middle.z);
        (polar / half_angle * rows as f64) as usize == row
    };
    let of_row: Vec<f64> = skin
        .triangles
        .iter()
        .zip(&flat.strains)
        .filter(|(t, _)| inside(t))
        .map(|(_, s)| (s.thickness_mm / 0.9).ln())
        .collect();
    of_row.iter().sum::<f64>() / of_row.len() as f64
}

/// The radial blank's place of every point.
fn radial_places(skin: &Skin, angle: f64, blank: &Blank) -> Vec<DVec2> {
    let rings = blank.radius.len() - 1;
    let radius = |polar: f64| {
        let at = polar / angle * rings as f64;
        let ring = (at as usize).min(rings - 1);
        blank.radius[ring] + (at - ring as f64) * (blank.radius[ring + 1] - blank.radius[ring])
    };
    let place = |p: &DVec3| radius(p.truncate().length().atan2(p.z)) * p.truncate().normalize_or_zero();
    skin.points_mm.iter().map(place).collect()
}

fn compared(angle_deg: f64, n: f64, route: Route, skin: &Skin) -> Compared {
    let want = axisymmetric::cap(problem(n, route), RADIUS_MM, angle_deg.to_radians(), 2000);
    compared_with(&want, run(skin, n, route), [angle_deg, n], route, skin)
}

fn compared_with(want: &Blank, flat: FlatSkin, [angle_deg, n]: [f64; 2], route: Route, skin: &Skin) -> Compared {
    let angle = angle_deg.to_radians();
    let rows = (skin.triangles.len() as f64 / 6.0).sqrt().round() as usize;
    let thinning = |flat: &FlatSkin, row: usize| thinning(skin, flat, angle, row, rows);
    let at_rim = 1.5 * thinning(&flat, rows - 1) - 0.5 * thinning(&flat, rows - 2);
    let share = |got: f64, want_strain: f64| (got - want_strain) / want.largest;
    Compared {
        what: format!("{angle_deg}° n {n:.2} {route:?}: {:?}, {} steps", flat.ending, flat.iterations.least_work),
        rim: rim_mm(&flat) / want.radius[want.radius.len() - 1] - 1.0,
        strains: [
            share(rim_hoop(skin, &flat), want.rim_hoop),
            share(thinning(&flat, 0), want.thinning[0]),
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
    let skin = cap(RADIUS_MM, angle_deg.to_radians(), triangles, Cut::Regular);
    let compared = compared(angle_deg, n, route, &skin);
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

/// A cap in 180 equal sectors and 278 rings of equal arc: 99,900 triangles that turn into one another.
fn cap_in_sectors(half_angle: f64) -> Skin {
    const SECTORS: usize = 180;
    const RINGS: usize = 278;
    let at = |i: usize, j: usize| if i == 0 { 0 } else { (1 + (i - 1) * SECTORS + j % SECTORS) as u32 };
    let place = |i: usize, j: usize| {
        let (polar, around) = (half_angle * i as f64 / RINGS as f64, TAU * j as f64 / SECTORS as f64);
        RADIUS_MM * DVec3::new(polar.sin() * around.cos(), polar.sin() * around.sin(), polar.cos())
    };
    let rings = (1..=RINGS).flat_map(|i| (0..SECTORS).map(move |j| (i, j)));
    let points_mm = std::iter::once(place(0, 0)).chain(rings.clone().map(|(i, j)| place(i, j))).collect();
    let halves = |(i, j): (usize, usize)| {
        let outer = [at(i - 1, j), at(i, j), at(i, j + 1)];
        std::iter::once(outer).chain((i > 1).then(|| [at(i - 1, j), at(i, j + 1), at(i - 1, j + 1)]))
    };
    Skin { points_mm, triangles: rings.flat_map(halves).collect() }
}

/// The mesh on which a cap is compared, 100,000 triangles: rings of 6, 12, 18 … points but for the caps in which the metal parts
/// sharply into some that hardly strains and some past ε̄ = 0.5 (`wheel-out` only).
///
/// Stretched both ways, the work exp(−ε̄)·ε̄^(n+1) is concave from ε̄ = n + 1 − √(n + 1) on (0.05 for n = 0.10, 0.11 for n = 0.21) up to
/// ε̄ = 0.5. The border between the two parts sticks to a row of triangles where rows run along it: points at random have no rows.
/// At 60° with n = 0.10 the radial blank is no minimum, spokes save 0.3 % of its work: equal sectors, which the flattening
/// keeps equal, find the stationary radial blank again.
fn mesh_of(angle_deg: f64, n: f64, route: Route) -> Skin {
    let angle = angle_deg.to_radians();
    match (angle_deg as u32, (100.0 * n) as u32, route) {
        (60, 10, Route::WheelOut { .. }) => cap_in_sectors(angle),
        (75, 21, Route::WheelOut { .. }) => cap(RADIUS_MM, angle, 100_000, Cut::Jittered(1)),
        _ => cap(RADIUS_MM, angle, 100_000, Cut::Regular),
    }
}

/// Half-angle, n and route of the cap that has more than one blank of least work.
const SEVERAL: (f64, f64, Route) = (85.0, 0.10, WHEEL_OUT);

/// The whole table: half-angles 10° to 85°, both n, all routes, on 100,000 triangles; prints a row of each. Takes minutes:
/// `cargo test --release -p checks -- --ignored --nocapture the_whole_table_of_caps`.
///
/// At 85° with n = 0.10 `wheel-out` has several minima whose work is the same to 0.05 % and whose rims differ by 0.17 %: one of them is
/// the radial blank, where the flattening stays when it starts there; by itself it must find one with no more work.
#[test]
#[ignore = "minutes of work; run by name when the energies or the solver change"]
fn the_whole_table_of_caps() {
    let mut failed = Vec::new();
    let mut row = |compared: &Compared, rim: f64| {
        println!("{}", compared.row());
        if !compared.holds(rim) {
            failed.push(compared.row());
        }
    };
    for angle in [10.0, 25.0, 40.0, 60.0, 75.0, 85.0] {
        for n in [0.10, 0.21] {
            for route in [Route::LeastWork, WHEEL_OUT, GATHER_IN] {
                if (angle, n, route) != SEVERAL {
                    row(
                        &compared(angle, n, route, &mesh_of(angle, n, route)),
                        if angle > 80.0 { 0.001 } else { 0.0002 },
                    );
                }
            }
        }
    }
    let (angle, n, route) = SEVERAL;
    let skin = cap(RADIUS_MM, angle.to_radians(), 100_000, Cut::Regular);
    let want = axisymmetric::cap(problem(n, route), RADIUS_MM, angle.to_radians(), 2000);
    let start = Start::Given(radial_places(&skin, angle.to_radians(), &want));
    let radial = compared_with(&want, run_from(start, &skin, n, route), [angle, n], route, &skin);
    row(&radial, 0.001);
    let own = compared(angle, n, route, &skin);
    println!("by itself {}", own.row());
    assert!(own.work <= radial.work && own.beyond > 0, "{} {}", own.row(), radial.row());
    assert!(failed.is_empty(), "{}", failed.join("\n"));
}
