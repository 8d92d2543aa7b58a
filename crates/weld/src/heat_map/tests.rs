use super::*;
use crate::shrinkage::ShopFactors;
use crate::warp::{PlannedSeam, WarpSettings};
use handbook::materials::Material;
use handbook::welding::HeatProcess;

/// A flat sheet 300 × 200 in squares of 20 mm.
fn sheet() -> Skin {
    let at = |i: u32, j: u32| j * 16 + i;
    let points_mm =
        (0..11).flat_map(|j| (0..16).map(move |i| DVec3::new(20.0 * f64::from(i), 20.0 * f64::from(j), 0.0))).collect();
    let triangles = (0..10)
        .flat_map(|j| (0..15).map(move |i| (i, j)))
        .flat_map(|(i, j)| [[at(i, j), at(i + 1, j), at(i + 1, j + 1)], [at(i, j), at(i + 1, j + 1), at(i, j + 1)]])
        .collect();
    Skin { points_mm, triangles }
}

fn plan(joint: SeamJoint) -> WarpPlan {
    let metal = WeldMetal::of(Material::MildSteel).unwrap();
    let heat = PlannedHeat::of_run(HeatProcess::Tig, 105.0, 2.0, &metal, 0.9).unwrap();
    let line = SeamLine { points_mm: vec![DVec3::new(0.0, 100.0, 0.0), DVec3::new(300.0, 100.0, 0.0)], closed: false };
    WarpPlan {
        skin: sheet(),
        thickness_mm: 0.9,
        metal,
        seams: vec![PlannedSeam { line, joint }],
        heat,
        shop: ShopFactors::default(),
        supports: Vec::new(),
        settings: WarpSettings::default(),
    }
}

fn map(plan: &WarpPlan, welds: &[WeldPass]) -> HeatMap {
    heat_map(plan, welds, &Progress::silent(), &Cancel::new()).unwrap()
}

fn run(from: f64, to: f64, pause_s: f64) -> WeldPass {
    let line_mm = vec![DVec3::new(from, 100.0, 0.0), DVec3::new(to, 100.0, 0.0)];
    WeldPass { kind: EventKind::Run, line_mm, number: 1, pause_s: Some(pause_s), dot_mm: None }
}

/// Rise of the peak at a distance beside a steady run in wide sheet that loses heat from both faces, K: q/(2π·k·t)·exp(−u·x)·K0(√(u² + m²)·r),
/// m² = 2h/(k·t), greatest over x. W12 with the loss of a thin plate (Rosenthal 1941/46, Carslaw and Jaeger, from memory).
fn peak_rise_k(plan: &WarpPlan, beside_mm: f64) -> f64 {
    let metal = &plan.metal.thermal;
    let face = SurfaceLoss::of(SheetSurface::BrightSteel).of_one_face(20.0).unwrap().value;
    let (power_w, travel_mm_s) = (plan.heat.run_j_mm * plan.heat.travel_mm_s, plan.heat.travel_mm_s);
    let conducts = metal.conductivity_w_mm_k * plan.thickness_mm;
    let u = 0.5 * travel_mm_s / metal.diffusivity_mm2_s();
    let w = (u * u + 2.0 * face / conducts).sqrt();
    let behind = (0..1200).map(|i| 0.25 * f64::from(i));
    let rise = behind.map(|x| {
        let r = x.hypot(beside_mm);
        (u * x - w * r).exp() * spec_math::cephes64::k0e(w * r)
    });
    power_w / (2.0 * std::f64::consts::PI * conducts) * rise.fold(0.0, f64::max)
}

/// One run over the whole sheet (210 W at 2 mm/s, the example of W12) against the closed form with loss, in the middle of the length.
#[test]
fn peaks_beside_a_run_are_those_of_the_closed_form() {
    let plan = plan(SeamJoint::Butt { gap_mm: 0.0 });
    // without loss the formula is W12 itself: 619.4 °C at y 10 from 25 °C; the loss takes some of it
    let at_10 = peak_rise_k(&plan, 10.0);
    assert!((500.0..594.4).contains(&at_10), "{at_10}");
    let map = map(&plan, &[run(0.0, 300.0, 0.0)]);
    assert!(map.mesh.fine_enough, "{:?}", map.mesh);
    let (mut worst, mut seen): (f64, usize) = (0.0, 0);
    for (at, peak) in map.skin.points_mm.iter().zip(&map.peak_c) {
        let beside = (at.y - 100.0).abs();
        if (120.0..=200.0).contains(&at.x) && (BESIDE_MM..=20.0).contains(&beside) {
            worst = worst.max(((peak - 20.0) / peak_rise_k(&plan, beside) - 1.0).abs());
            seen += 1;
        }
    }
    assert!(seen > 50, "{seen}");
    assert!(worst < ERROR_BESIDE, "{worst}");
    // the same as distances
    for limit in map.limits.iter().filter(|limit| (300.0..900.0).contains(&limit.from_c)) {
        let got = peak_rise_k(&plan, limit.usual_mm);
        assert!((got / (limit.from_c - 20.0) - 1.0).abs() < 2.0 * ERROR_BESIDE, "{}: {got} K", limit.from_c);
    }
    let melts = map.limits.first().unwrap();
    assert_eq!(melts.key, reach::MELTS);
    assert!((1.5..4.5).contains(&melts.usual_mm), "half the pool is 3.03 mm by W12: {}", melts.usual_mm);
    for pair in map.limits.windows(2) {
        assert!(pair[0].farthest_mm <= pair[1].farthest_mm + 1e-9, "what suffers sooner suffers farther out");
    }
    assert!((map.given_j - 105.0 * 300.0).abs() < 1e-6 * map.given_j);
}

/// Heat of one run adds to that of the next beside it when nobody waits, and a pause takes it away.
#[test]
fn heat_adds_up_and_a_pause_lets_it_go() {
    let plan = plan(SeamJoint::Butt { gap_mm: 0.0 });
    let paint = |map: &HeatMap| map.limits.iter().find(|own| own.key == "paint-marks").unwrap().farthest_mm;
    let hurried = map(&plan, &[run(100.0, 140.0, 0.0), run(140.0, 180.0, 0.0), run(100.0, 140.0, 0.0)]);
    let patient = map(&plan, &[run(100.0, 140.0, 0.0), run(140.0, 180.0, 400.0), run(100.0, 140.0, 400.0)]);
    assert!(paint(&hurried) > 1.1 * paint(&patient), "{} {}", paint(&hurried), paint(&patient));
    let start = |map: &HeatMap| map.hottest_start.unwrap().at_c;
    assert!(start(&hurried) > 100.0 && start(&patient) < 60.0, "{} {}", start(&hurried), start(&patient));
    assert_eq!(hurried.concerns.len(), 1);
    assert!(patient.concerns.is_empty());
    assert!((patient.pauses_s - 2.0 * 405.0).abs() < 1.0, "two pauses of 400 s and twice moving there");
}

/// Dots of a lap sink into two sheets: less far than the same heat in one.
#[test]
fn two_sheets_of_a_lap_take_up_more() {
    let dot = |x: f64| WeldPass {
        kind: EventKind::Plug,
        line_mm: vec![DVec3::new(x, 100.0, 0.0)],
        number: 1,
        pause_s: Some(60.0),
        dot_mm: Some(5.5),
    };
    let lap = plan(SeamJoint::Lap { overlap_mm: 14.0, dot_mm: 5.5 });
    let narrow = plan(SeamJoint::Lap { overlap_mm: 0.1, dot_mm: 5.5 });
    let [lap, narrow] = [&lap, &narrow].map(|plan| map(plan, &[dot(120.0), dot(180.0)]));
    let of = |map: &HeatMap, key: &str| map.limits.iter().find(|own| own.key == key).unwrap().farthest_mm;
    assert!(of(&lap, "paint-burns") < 0.95 * of(&narrow, "paint-burns"));
    assert!(of(&lap, "wax") > of(&lap, "paint-burns"));
}

#[test]
fn no_weld_and_a_stop_are_told() {
    let plan = plan(SeamJoint::Butt { gap_mm: 0.0 });
    assert!(matches!(heat_map(&plan, &[], &Progress::silent(), &Cancel::new()), Err(HeatMapError::NoWeld)));
    let cancel = Cancel::new();
    cancel.cancel();
    let stopped = heat_map(&plan, &[run(0.0, 300.0, 0.0)], &Progress::silent(), &cancel);
    assert!(matches!(stopped, Err(HeatMapError::Cancelled(_))));
}

/// An order of another plan is refused by the step that has no line, not drawn without it.
#[test]
fn a_step_without_a_line_is_named() {
    let plan = plan(SeamJoint::Butt { gap_mm: 0.0 });
    let step = StepRow {
        number: 1,
        kind: EventKind::Run,
        seam: 1,
        stations_mm: [20.0, 60.0],
        at_mm: [40.0, 100.0, 0.0],
        pause_s: 30.0,
        start_c: 20.0,
        without_pause_c: 20.0,
        gap_change_mm: None,
        margin: None,
    };
    let welds = passes_of(&plan, std::slice::from_ref(&step)).unwrap();
    assert_eq!(welds[0].line_mm, [DVec3::new(20.0, 100.0, 0.0), DVec3::new(60.0, 100.0, 0.0)]);
    for other in [StepRow { seam: 2, ..step.clone() }, StepRow { stations_mm: [310.0, 350.0], ..step.clone() }] {
        let error = passes_of(&plan, &[other]).unwrap_err();
        assert!(matches!(error, HeatMapError::NoLine { number: 1, .. }), "{error}");
    }
}

/// A line through a corner keeps its corner, and a closed one goes on over its end.
#[test]
fn a_part_of_a_line_keeps_its_corners() {
    let points_mm = vec![DVec3::ZERO, DVec3::X * 10.0, DVec3::new(10.0, 10.0, 0.0)];
    let open = SeamLine { points_mm, closed: false };
    let want = vec![DVec3::X * 5.0, DVec3::X * 10.0, DVec3::new(10.0, 4.0, 0.0)];
    assert_eq!(part_of(&open, 5.0, 14.0), want);
    assert_eq!(part_of(&open, 0.0, 4.0), vec![DVec3::ZERO, DVec3::X * 4.0]);
    // closed, its last side leads back to the first point: 20 to 34.1 mm
    let closed = SeamLine { closed: true, ..open };
    let back = part_of(&closed, 15.0, 20.0 + 50_f64.sqrt());
    let want = [DVec3::new(10.0, 5.0, 0.0), DVec3::new(10.0, 10.0, 0.0), DVec3::new(5.0, 5.0, 0.0)];
    assert!(back.len() == 3 && back.iter().zip(want).all(|(got, want)| got.distance(want) < 1e-9), "{back:?}");
}
