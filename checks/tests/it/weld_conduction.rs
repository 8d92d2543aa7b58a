//! Conduction in a panel's mesh against closed forms: W12 (Rosenthal, from memory) away from the pool, a dot and a hot sheet with surface
//! loss (Carslaw and Jaeger, from memory), and the balance of heat.

use crate::near::near;
use glam::DVec3;
use handbook::materials::Material;
use handbook::welding::{SurfaceLoss, Thermal, thermal};
use mesh::Skin;
use numerics::{Cancel, Progress};
use std::f64::consts::PI;
use weld::heat::conduction::{
    ARC_RADIUS_MM, Conducted, Panel, Pass, RunOrder, RunTrials, Schedule, Wait, conduct, fineness, run_lengths, split,
};
use weld::heat::{HeatError, MovingSource, Seam, SeamLoss};

fn steel() -> Thermal {
    thermal(Material::Dc01).unwrap()
}

/// Places from −end to end, `fine` apart within ±`near`, then growing by 1.25.
fn graded(end: f64, near: f64, fine: f64) -> Vec<f64> {
    let mut places = vec![0.0];
    let mut step = fine;
    while *places.last().unwrap() < end - 0.5 * step {
        let last = *places.last().unwrap();
        if last >= near {
            step = (1.25 * step).min(15.0);
        }
        places.push((last + step).min(end));
    }
    places.iter().skip(1).rev().map(|x| -x).chain(places.iter().copied()).collect()
}

/// A flat sheet over a grid of places, cut along alternating diagonals.
fn sheet(xs: &[f64], ys: &[f64]) -> Skin {
    let points_mm = ys.iter().flat_map(|&y| xs.iter().map(move |&x| DVec3::new(x, y, 0.0))).collect();
    let n = xs.len() as u32;
    let mut triangles = Vec::new();
    for (j, i) in (0..ys.len() as u32 - 1).flat_map(|j| (0..n - 1).map(move |i| (j, i))) {
        let [a, b, c, d] = [j * n + i, j * n + i + 1, (j + 1) * n + i + 1, (j + 1) * n + i];
        triangles.extend(if (i + j) % 2 == 0 { [[a, b, c], [a, c, d]] } else { [[a, b, d], [b, c, d]] });
    }
    Skin { points_mm, triangles }
}

fn quiet(panel: &Panel<'_>, schedule: &Schedule) -> Result<Conducted, HeatError> {
    conduct(panel, schedule, &Progress::silent(), &Cancel::new())
}

fn panel<'a>(skin: &'a Skin, metal: &'a Thermal, loss: SurfaceLoss) -> Panel<'a> {
    Panel { skin, thickness_mm: &[0.9], metal, loss, air_c: 25.0 }
}

fn schedule(passes: Vec<(Wait, Pass)>) -> Schedule {
    Schedule { passes, radius_mm: ARC_RADIUS_MM, start_c: vec![25.0], watch_s: 0.0, at_times_s: Vec::new() }
}

fn run(from: f64, to: f64) -> Pass {
    Pass::Run { line_mm: vec![DVec3::X * from, DVec3::X * to], travel_mm_s: 2.0, power_w: 210.0 }
}

fn node(skin: &Skin, x: f64, y: f64) -> usize {
    let to = |p: &DVec3| p.distance(DVec3::new(x, y, 0.0));
    let found = skin.points_mm.iter().enumerate().min_by(|a, b| to(a.1).total_cmp(&to(b.1))).unwrap();
    assert!(to(found.1) < 1e-9, "no node at {x}, {y}");
    found.0
}

/// W12 by the transient model, 100 mm after the arc began, with a spot of 1.5 mm in place of a point: all printed places but (0, 3), which lies 0.03 mm from the pool,
/// the printed peaks and some places more within 3 % of the rise; the balance of heat to rounding.
#[test]
fn w12_by_the_transient_model() {
    let metal = steel();
    let skin = sheet(&graded(150.0, 80.0, 1.0), &graded(120.0, 12.0, 1.0));
    let mut plan = schedule(vec![(Wait::Seconds(0.0), run(-60.0, 60.0))]);
    plan.radius_mm = 1.5;
    plan.watch_s = 60.0;
    plan.at_times_s = vec![50.0]; // the arc is at x = 40
    let done = quiet(&panel(&skin, &metal, SurfaceLoss::NONE), &plan).unwrap();
    let at_50 = &done.at_times[0].1;
    for (x, y, printed) in [(-10.0, 0.0, 1269.7), (-10.0, 5.0, 1008.4), (-20.0, 5.0, 835.4), (0.0, 10.0, 283.6)] {
        let got = at_50[node(&skin, 40.0 + x, y)];
        assert!(((got - 25.0) / (printed - 25.0) - 1.0).abs() < 0.03, "({x}, {y}): {got} {printed}");
    }
    for (y, printed) in [(5.0, 1072.8), (10.0, 619.4)] {
        for side in [-1.0, 1.0] {
            let got = done.peak_c[node(&skin, 20.0, side * y)];
            assert!(((got - 25.0) / (printed - 25.0) - 1.0).abs() < 0.03, "{y}: {got} {printed}");
        }
    }
    let arc = MovingSource::new(&metal, 0.9, 210.0, 2.0, 25.0).unwrap();
    for (x, y) in [(-40.0, 6.0), (-30.0, 12.0), (-20.0, 12.0), (5.0, 6.0), (-5.0, 8.0), (-15.0, 10.0)] {
        let want = arc.temperature_c(x, y).unwrap() - 25.0;
        let got = at_50[node(&skin, 40.0 + x, y)] - 25.0;
        assert!((got / want - 1.0).abs() < 0.03, "({x}, {y}): {got} {want}");
    }
    near(done.energy.given_j, 210.0 * 60.0, 1e-6);
    near(done.energy.stored_j, 210.0 * 60.0, 1e-6);
    near(done.energy.lost_j, 0.0, 1e-9);
}

/// Heat in = heat stored + heat lost, on a bent, uneven mesh with loss, several passes and waits.
#[test]
fn heat_in_is_heat_stored_and_lost() {
    let metal = steel();
    let flat = sheet(&graded(60.0, 30.0, 2.0), &graded(60.0, 10.0, 2.0));
    let bend = |p: &DVec3| if p.y > 6.0 { DVec3::new(p.x, 6.0, p.y - 6.0) } else { *p };
    let skin = Skin { points_mm: flat.points_mm.iter().map(bend).collect(), triangles: flat.triangles };
    let dot = Pass::Dot { at_mm: DVec3::new(20.0, 0.0, 0.0), seconds: 0.7, power_w: 500.0 };
    let cool = Wait::UntilCool { below_c: 120.0, at_most_s: 600.0 };
    let passes = vec![(Wait::Seconds(3.0), run(-20.0, 0.0)), (cool, run(0.0, 10.0)), (Wait::Seconds(5.0), dot)];
    let done = quiet(&panel(&skin, &metal, SurfaceLoss::default()), &schedule(passes)).unwrap();
    near(done.energy.given_j, 210.0 * 15.0 + 350.0, 1e-6);
    assert!(done.energy.lost_j > 0.05 * done.energy.given_j, "the loss is worth a balance");
    near(done.energy.stored_j + done.energy.lost_j, done.energy.given_j, 1e-6);
    let second = done.passes[1];
    assert!(second.cool_enough && second.waited_s > 1.0);
    assert!(second.hottest_before_c <= 120.0 && second.hottest_before_c > 115.0, "{}", second.hottest_before_c);
    assert!(done.factorisations < 20, "{} factors for {} steps", done.factorisations, done.steps);
}

/// A sheet hot all over cools as exp(−2hτ/(ρC·t)).
#[test]
fn a_hot_sheet_cools_by_the_exponential_law() {
    for metal in [steel(), thermal(Material::Aluminium1050aO).unwrap()] {
        let skin = sheet(&graded(40.0, 10.0, 5.0), &graded(40.0, 10.0, 5.0));
        let loss = SurfaceLoss::default();
        let plan = Schedule { start_c: vec![225.0], watch_s: 120.0, ..schedule(Vec::new()) };
        let done = quiet(&panel(&skin, &metal, loss), &plan).unwrap();
        let face = loss.of_one_face(25.0).unwrap().value;
        let want = 25.0 + 200.0 * (-2.0 * face * done.end_s / (metal.heat_capacity_j_mm3_k * 0.9)).exp();
        assert!(done.end_c.iter().all(|got| (got - want).abs() < 0.05), "{} {want}", done.end_c[0]);
        assert!((done.end_s - 120.0).abs() < 0.3);
    }
}

/// A short dot, later: Q/(4πk·t·τ)·exp(−r²/4aτ − βτ), with the width of the spot added to 4aτ.
#[test]
fn a_dot_spreads_as_a_point_of_heat() {
    for metal in [steel(), thermal(Material::Aluminium1050aO).unwrap()] {
        let skin = sheet(&graded(150.0, 20.0, 1.0), &graded(150.0, 20.0, 1.0));
        let dot = Pass::Dot { at_mm: DVec3::ZERO, seconds: 0.2, power_w: 1500.0 };
        let loss = SurfaceLoss::default();
        let mut plan = schedule(vec![(Wait::Seconds(0.0), dot)]);
        plan.watch_s = 12.0;
        plan.at_times_s = vec![3.1, 10.1]; // from the middle of the dot: 3 and 10 s
        let done = quiet(&panel(&skin, &metal, loss), &plan).unwrap();
        let beta = 2.0 * loss.of_one_face(25.0).unwrap().value / (metal.heat_capacity_j_mm3_k * 0.9);
        for ((time, at), since) in done.at_times.iter().zip([3.0, 10.0]) {
            let width = 4.0 * metal.diffusivity_mm2_s() * since + ARC_RADIUS_MM * ARC_RADIUS_MM / 3.0;
            for r in [0.0, 5.0, 10.0] {
                let peak = 300.0 / (PI * metal.heat_capacity_j_mm3_k * 0.9 * width);
                let want = peak * (-r * r / width - beta * since).exp();
                let got = at[node(&skin, r, 0.0)] - 25.0;
                assert!((got / want - 1.0).abs() < 0.01, "{} {time} s, {r} mm: {got} {want}", metal.name);
            }
        }
    }
}

/// What the mesh must have: peaks at one, two and four radii beside the seam on meshes of edge 1/5, 2/5, 4/5 and 8/5 of the radius.
#[test]
fn how_fine_the_mesh_must_be() {
    let metal = steel();
    let peaks = [0.5, 1.0, 2.0, 4.0].map(|edge| {
        let xs: Vec<f64> = (0..=(120.0 / edge) as u32).map(|i| f64::from(i) * edge - 60.0).collect();
        let ys: Vec<f64> = (0..=(80.0 / edge) as u32).map(|i| f64::from(i) * edge - 40.0).collect();
        let skin = sheet(&xs, &ys);
        let line = [DVec3::X * -40.0, DVec3::X * 40.0];
        let found = fineness(&skin, &line, 2.5).unwrap();
        assert_eq!(found.is_enough(), edge < 3.0, "{found:?}");
        near(found.longest_edge_mm, edge * 2.0f64.sqrt(), 1e-9);
        let mut plan = schedule(vec![(Wait::Seconds(0.0), run(-40.0, 40.0))]);
        plan.watch_s = 20.0;
        let done = quiet(&panel(&skin, &metal, SurfaceLoss::NONE), &plan).unwrap();
        [0.0, 4.0, 8.0, 12.0].map(|y| done.peak_c[node(&skin, 0.0, y)] - 25.0)
    });
    let off = |row: usize, y: usize| (peaks[row][y] / peaks[0][y] - 1.0).abs();
    // measured: 0.2, 0.7 and 1.9 % beside the seam; in its middle 0.4, 1.9 and 18 %
    assert!((1..4).all(|y| off(1, y) < 0.003 && off(2, y) < 0.01 && off(3, y) < 0.03));
    assert!(off(1, 0) < 0.01 && off(2, 0) < 0.03 && off(3, 0) > 0.1, "a mesh as coarse as this loses the pool");
}

/// The pause until a long seam's middle is cool, by the closed form and by the model, in a wide sheet with loss.
#[test]
fn the_pause_of_the_closed_form_and_of_the_model() {
    let metal = steel();
    let skin = sheet(&graded(200.0, 150.0, 2.0), &graded(200.0, 10.0, 1.0));
    let loss = SurfaceLoss::default();
    let quick = Pass::Run { line_mm: vec![DVec3::X * -150.0, DVec3::X * 150.0], travel_mm_s: 60.0, power_w: 6000.0 };
    let small = Pass::Run { line_mm: vec![DVec3::X * -5.0, DVec3::X * 5.0], travel_mm_s: 2.0, power_w: 1.0 };
    let cool = Wait::UntilCool { below_c: 150.0, at_most_s: 1000.0 };
    let done = quiet(&panel(&skin, &metal, loss), &schedule(vec![(Wait::Seconds(0.0), quick), (cool, small)])).unwrap();
    let closed = Seam::new(&metal, 0.9, 100.0, 25.0).unwrap().pause_s(150.0, &SeamLoss { surface: loss, air_c: 25.0 });
    let (closed, model) = (closed.unwrap().value, done.passes[1].waited_s + 2.5);
    assert!((model / closed - 1.0).abs() < 0.03, "{model} {closed}");
}

#[test]
fn a_warm_start_and_a_hot_neighbour_are_carried_on() {
    let metal = steel();
    let skin = sheet(&graded(40.0, 20.0, 2.0), &graded(40.0, 10.0, 2.0));
    let start_c: Vec<f64> = skin.points_mm.iter().map(|p| if p.x > 0.0 { 300.0 } else { 25.0 }).collect();
    let cool = Wait::UntilCool { below_c: 60.0, at_most_s: 2.0 };
    let plan = Schedule { start_c, ..schedule(vec![(cool, run(10.0, 20.0)), (Wait::Seconds(1.0), run(-20.0, -10.0))]) };
    let done = quiet(&panel(&skin, &metal, SurfaceLoss::default()), &plan).unwrap();
    let first = done.passes[0];
    assert!(!first.cool_enough && first.hottest_before_c > 200.0 && first.waited_s <= 2.25);
    assert!(done.passes[1].hottest_before_c > 25.0 && done.passes[1].cool_enough);
    assert!(done.peak_c.iter().zip(&skin.points_mm).all(|(peak, p)| p.x <= 0.0 || *peak >= 300.0 - 1e-9));
}

/// Middle outwards is done sooner than end to end; all runs of the best are cool enough.
#[test]
fn run_lengths_and_pauses() {
    let metal = steel();
    let skin = sheet(&graded(120.0, 80.0, 4.0), &graded(100.0, 10.0, 4.0));
    let line = [DVec3::X * -75.0, DVec3::X * 75.0];
    let trials = RunTrials {
        line_mm: &line,
        travel_mm_s: 2.0,
        power_w: 210.0,
        radius_mm: ARC_RADIUS_MM,
        order: RunOrder::MiddleOutwards,
        lengths_mm: &[25.0, 50.0, 150.0],
        cool_c: 150.0,
        longest_pause_s: 300.0,
        start_c: 25.0,
    };
    let of = |trials: &RunTrials<'_>| {
        run_lengths(&panel(&skin, &metal, SurfaceLoss::default()), trials, &Progress::silent(), &Cancel::new()).unwrap()
    };
    let outwards = of(&trials);
    assert_eq!(outwards.best, Some(1), "the whole seam in one run is no advice");
    let best = outwards.tried[1].clone();
    assert!(best.cool_enough && best.hottest_before_c <= 150.0);
    assert_eq!(outwards.tried.iter().map(|one| one.runs).collect::<Vec<_>>(), [6, 3, 1]);
    near(outwards.working.as_ref().unwrap().value, best.longest_pause_s, 1e-12);
    let end_to_end = of(&RunTrials { order: RunOrder::EndToEnd, ..trials.clone() });
    for (side_by_side, apart) in end_to_end.tried.iter().zip(&outwards.tried).take(2) {
        assert!(side_by_side.total_s > 1.2 * apart.total_s, "the next run beside the last waits longer");
    }
    let hasty = of(&RunTrials { longest_pause_s: 1.0, lengths_mm: &[25.0], ..trials });
    assert_eq!(hasty.best, None, "no pause of a second is enough");
}

#[test]
fn runs_are_cut_evenly_along_a_bent_line() {
    let line = [DVec3::ZERO, DVec3::X * 30.0, DVec3::new(30.0, 60.0, 0.0)];
    let runs = split(&line, 40.0).unwrap();
    assert_eq!(runs.len(), 3);
    assert_eq!(runs[0], [DVec3::ZERO, DVec3::X * 30.0]);
    let length = |run: &[DVec3]| run.windows(2).map(|ends| ends[0].distance(ends[1])).sum::<f64>();
    assert!(runs.iter().all(|run| (length(run) - 30.0).abs() < 1e-9));
    assert!(split(&line, f64::NAN).is_err() && split(&line[..1], 10.0).is_err());
}

#[test]
fn what_cannot_be_heated_is_named() {
    let metal = steel();
    let skin = sheet(&graded(40.0, 20.0, 4.0), &graded(40.0, 10.0, 4.0));
    let good = schedule(vec![(Wait::Seconds(0.0), run(-10.0, 10.0))]);
    let on = panel(&skin, &metal, SurfaceLoss::default());
    let refused = |panel: &Panel<'_>, schedule: &Schedule| quiet(panel, schedule).unwrap_err().to_string();
    assert!(quiet(&on, &good).is_ok());
    let one = |pass: Pass| schedule(vec![(Wait::Seconds(0.0), pass)]);
    assert!(
        refused(&on, &one(run(-10.0, 70.0))).contains("weld line lies 28.7 mm off the mesh")
            || refused(&on, &one(run(-10.0, 70.0))).contains("off the mesh")
    );
    let dot = Pass::Dot { at_mm: DVec3::Z * 12.0, seconds: 1.0, power_w: 400.0 };
    assert!(refused(&on, &one(dot)).contains("dot lies 12.0 mm off the mesh"));
    let line_mm = vec![DVec3::ZERO, DVec3::X];
    let backwards = Pass::Run { line_mm: line_mm.clone(), travel_mm_s: -2.0, power_w: 210.0 };
    assert!(refused(&on, &one(backwards)).contains("travel is -2 mm/s"));
    let unknown = Pass::Run { line_mm, travel_mm_s: 2.0, power_w: f64::NAN };
    assert!(refused(&on, &one(unknown)).contains("net power is NaN"));
    assert!(refused(&Panel { thickness_mm: &[0.0], ..on.clone() }, &good).contains("thickness is 0"));
    assert!(
        refused(&Panel { thickness_mm: &[0.9, 0.9], ..on.clone() }, &good).contains("thickness of the panel has 2")
    );
    assert!(refused(&on, &Schedule { start_c: vec![], ..good.clone() }).contains("has 0 numbers"));
    assert!(refused(&on, &Schedule { radius_mm: 0.0, ..good.clone() }).contains("radius"));
    assert!(refused(&on, &schedule(Vec::new())).contains("schedule"));
    let asked = Cancel::new();
    asked.cancel();
    assert!(matches!(conduct(&on, &good, &Progress::silent(), &asked), Err(HeatError::Cancelled(_))));
}
