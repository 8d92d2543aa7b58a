use super::*;
use crate::shapes;
use glam::{DVec2, DVec3};
use std::sync::{Arc, Mutex};

fn decimated(skin: &Skin, tolerance_mm: f64) -> Result<Decimated, MeshError> {
    skin.decimated(tolerance_mm, &Progress::silent(), &Cancel::new())
}

fn evenly(skin: &Skin, edge_mm: f64) -> Skin {
    let settings = crate::remesh::RemeshSettings::to_edge_mm(edge_mm);
    skin.remeshed(&settings, &Progress::silent(), &Cancel::new()).unwrap().skin
}

/// What every decimation must be: the same openings, faces as the skin under them, and within the tolerance at places the work itself never
/// looked at.
fn check(name: &str, skin: &Skin, tolerance_mm: f64, most_triangles: usize) -> Decimated {
    let done = decimated(skin, tolerance_mm).unwrap();
    let (before, after) = (skin.topology().unwrap(), done.skin.topology().unwrap());
    assert_eq!(before.boundaries.len(), after.boundaries.len(), "{name}: openings");
    assert!(done.deviation_mm <= tolerance_mm, "{name}: {}", done.deviation_mm);
    let (old, new) = (Nearest::new(skin).unwrap(), Nearest::new(&done.skin).unwrap());
    let mut random = fastrand::Rng::with_seed(1);
    let mut most: f64 = 0.0;
    for (skin, other) in [(skin, &new), (&done.skin, &old)] {
        for _ in 0..10_000 {
            let (mut u, mut v) = (random.f64(), random.f64());
            if u + v > 1.0 {
                (u, v) = (1.0 - u, 1.0 - v);
            }
            let [a, b, c] = skin.corners(random.usize(0..skin.triangles.len()));
            most = most.max(other.closest(a + (b - a) * u + (c - a) * v).unwrap().signed_distance_mm.abs());
        }
    }
    assert!(most <= tolerance_mm, "{name}: {most}");
    for t in 0..done.skin.triangles.len() {
        let centre = done.skin.corners(t).iter().sum::<DVec3>() / 3.0;
        let facing = done.skin.double_area_normal(t).normalize().dot(old.closest(centre).unwrap().normal);
        assert!(facing > 0.3, "{name}: triangle {t} at {centre} turned over, {facing}");
    }
    assert!(done.skin.triangles.len() <= most_triangles, "{name}: {}", done.skin.triangles.len());
    done
}

/// Points on the sphere and faces below it: an equilateral triangle of edge e sags by e²/(6R), so a cap of area S in a tolerance d wants
/// S/(√3/4·6·R·d) triangles of that kind; with points above and faces below, half as many. Twice the first is allowed.
#[test]
fn a_cap_in_about_as_many_triangles_as_theory_wants() {
    let cap = shapes::cap(100.0, 1.0, 40);
    for tolerance in [0.05, 0.2] {
        let area = std::f64::consts::TAU * 1e4 * (1.0 - 1f64.cos());
        let theory = area / (0.25 * 3f64.sqrt() * 6.0 * 100.0 * tolerance);
        check("cap", &cap, tolerance, (2.0 * theory) as usize);
    }
}

#[test]
fn jittered_cylinder_and_saddle() {
    let cylinder = shapes::jittered(40, 1, &[], |p| 100.0 * DVec3::new(p.x, p.y.sin(), p.y.cos() - 1.0));
    check("cylinder", &cylinder, 0.1, 900);
    let saddle = shapes::jittered(40, 2, &[], |p| DVec3::new(60.0 * p.x, 60.0 * p.y, 36.0 * p.x * p.y));
    check("saddle", &saddle, 0.1, 900);
}

/// A flat sheet: few triangles, straight edges exactly kept, round openings within the tolerance.
#[test]
fn a_flat_sheet_with_holes() {
    let centres = [DVec2::new(-0.5, -0.4), DVec2::new(0.4, -0.3), DVec2::new(0.1, 0.5)];
    let holes: Vec<Vec<DVec2>> = centres.iter().map(|c| shapes::circle(*c, 0.2, 90)).collect();
    let skin = shapes::jittered(40, 3, &holes, |p| (100.0 * p).extend(0.0));
    let done = check("holes", &skin, 0.1, 400);
    let after = done.skin.topology().unwrap().boundaries;
    let outer: Vec<DVec3> = after[0].iter().map(|p| done.skin.points_mm[*p as usize]).collect();
    assert!((done.skin.loop_length_mm(&after[0]) - 800.0).abs() < 1e-9, "the rectangle stays: {outer:?}");
    for hole in &after[1..] {
        let points: Vec<DVec2> = hole.iter().map(|p| done.skin.points_mm[*p as usize].truncate()).collect();
        let centre =
            centres.iter().map(|c| *c * 100.0).min_by(|a, b| a.distance(points[0]).total_cmp(&b.distance(points[0])));
        for (a, b) in crate::polygon::sides(&points) {
            let sag = 20.0 - a.midpoint(b).distance(centre.unwrap());
            // the polygon of 90 sides itself sags by 20·(1 − cos(π/90)) = 0.012
            assert!((0.0..0.1 + 0.0125).contains(&sag), "{sag}");
        }
    }
}

/// A sheet folded by 90°: both faces flat, the fold kept sharp.
#[test]
fn a_fold_stays_sharp() {
    let n = 31u32;
    let fold = |i: u32| {
        let (x, y) = (f64::from(i % n) - 15.0, f64::from(i / n));
        DVec3::new(x.min(0.0), y, -x.max(0.0)) * 5.0
    };
    let at = |x: u32, y: u32| y * n + x;
    let triangles = (0..(n - 1) * (n - 1))
        .map(|i| (i % (n - 1), i / (n - 1)))
        .flat_map(|(x, y)| [[at(x, y), at(x + 1, y), at(x + 1, y + 1)], [at(x, y), at(x + 1, y + 1), at(x, y + 1)]])
        .collect();
    let skin = Skin { points_mm: (0..n * n).map(fold).collect(), triangles };
    let done = check("fold", &skin, 0.05, 60);
    assert!((done.skin.area_mm2() / 22_500.0 - 1.0).abs() < 2e-3, "{}", done.skin.area_mm2());
}

#[test]
fn a_closed_body_and_faults() {
    let fine = evenly(&shapes::cube(), 0.3);
    let cube = decimated(&fine, 1e-3).unwrap();
    assert!(cube.skin.triangles.len() < fine.triangles.len() / 8, "{}", cube.skin.triangles.len());
    assert!((cube.skin.area_mm2() - 24.0).abs() < 0.05);
    assert_eq!(cube, decimated(&fine, 1e-3).unwrap(), "the same every time");
    for tolerance in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(decimated(&fine, tolerance), Err(MeshError::Setting { name: "tolerance", .. })));
    }
    let mut torn = fine.clone();
    torn.triangles[3].swap(0, 1);
    assert!(matches!(decimated(&torn, 0.1), Err(MeshError::Unsound(_))));
    assert!(decimated(&Skin::default(), 0.1).is_err());
    // a tolerance larger than the skin leaves something sound
    let cap = shapes::cap(100.0, 1.0, 10);
    assert!(decimated(&cap, 1e4).unwrap().skin.topology().is_ok());
}

#[test]
fn it_says_how_far_it_is_and_stops_at_a_word() {
    let fine = evenly(&shapes::cube(), 0.03);
    let shares = Arc::new(Mutex::new(Vec::new()));
    let into = Arc::clone(&shares);
    let progress = Progress::new(move |step| into.lock().unwrap().push(step.share));
    fine.decimated(1e-3, &progress, &Cancel::new()).unwrap();
    let shares = shares.lock().unwrap();
    assert!(shares.len() > 5 && shares.is_sorted() && shares.last() == Some(&1.0), "{shares:?}");
    let cancel = Cancel::new();
    let flag = cancel.clone();
    let until_then = Progress::new(move |step| {
        if step.share > 0.3 {
            flag.cancel()
        }
    });
    assert_eq!(fine.decimated(1e-3, &until_then, &cancel), Err(MeshError::Cancelled(numerics::Cancelled)));
}
