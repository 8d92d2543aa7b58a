use super::*;
use crate::shapes;
use glam::{DVec2, DVec3};

fn remeshed(skin: &Skin, settings: &RemeshSettings) -> Result<Remeshed, MeshError> {
    skin.remeshed(settings, &Progress::silent(), &Cancel::new())
}

/// What every remeshing must be: the same openings, even edges, sound triangles that face as the skin under them, the same area.
fn check(name: &str, skin: &Skin, edge_mm: f64, least_degrees: f64, most_deviation_mm: f64) -> Remeshed {
    let done = remeshed(skin, &RemeshSettings::to_edge_mm(edge_mm)).unwrap();
    let (before, after) = (skin.topology().unwrap(), done.skin.topology().unwrap());
    assert_eq!(before.boundaries.len(), after.boundaries.len(), "{name}: openings");
    let nearest = Nearest::new(skin).unwrap();
    for t in 0..done.skin.triangles.len() {
        let centre = done.skin.corners(t).iter().sum::<DVec3>() / 3.0;
        let facing = done.skin.double_area_normal(t).normalize().dot(nearest.closest(centre).unwrap().normal);
        assert!(facing > 0.5, "{name}: triangle {t} at {centre} turned over, {facing}");
    }
    let degrees = done.smallest_angle_rad.to_degrees();
    let edges: Vec<f64> = (0..done.skin.triangles.len())
        .flat_map(|t| {
            let [a, b, c] = done.skin.corners(t);
            [a.distance(b), b.distance(c), c.distance(a)]
        })
        .collect();
    let mean = edges.iter().sum::<f64>() / edges.len() as f64;
    let (shortest, longest) =
        (edges.iter().fold(f64::MAX, |a, b| a.min(*b)), edges.iter().fold(0.0f64, |a, b| a.max(*b)));
    assert!(shortest > 0.4 * edge_mm && longest < 1.5 * edge_mm, "{name}: edges from {shortest} to {longest}");
    assert!(degrees > least_degrees, "{name}: {degrees}");
    assert!((0.85..1.15).contains(&(mean / edge_mm)), "{name}: mean edge {mean}");
    assert!(done.deviation_mm < most_deviation_mm, "{name}: {}", done.deviation_mm);
    done
}

/// Chords of length e leave an arc of radius r by e²/(8r) at most; faces by e²/(6r) (circumcircle e/√3): twice for edges of 4/3.
fn sag(edge_mm: f64, radius_mm: f64) -> f64 {
    2.0 * edge_mm * edge_mm / (6.0 * radius_mm)
}

#[test]
fn a_cap_finer_and_coarser() {
    let cap = shapes::cap(100.0, 1.0, 20);
    for edge in [2.5, 10.0] {
        let done = check("cap", &cap, edge, 25.0, sag(edge.max(5.0), 100.0));
        // area of a cap 2πR²(1 − cos θ), chords take a share of about e²/R²
        let area = std::f64::consts::TAU * 1e4 * (1.0 - 1f64.cos());
        assert!((done.skin.area_mm2() / area - 1.0).abs() < 0.01, "{}", done.skin.area_mm2());
    }
}

#[test]
fn jittered_cylinder_and_saddle() {
    let cylinder = shapes::jittered(40, 1, &[], |p| 100.0 * DVec3::new(p.x, p.y.sin(), p.y.cos() - 1.0));
    let done = check("cylinder", &cylinder, 8.0, 25.0, sag(8.0, 100.0));
    for corner in [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]] {
        let [x, y]: [f64; 2] = corner;
        let corner = 100.0 * DVec3::new(x, y.sin(), y.cos() - 1.0);
        assert!(done.skin.points_mm.iter().any(|p| p.distance(corner) < 1e-9), "corner {corner} stays");
    }
    let saddle = shapes::jittered(40, 2, &[], |p| DVec3::new(60.0 * p.x, 60.0 * p.y, 36.0 * p.x * p.y));
    check("saddle", &saddle, 5.0, 25.0, sag(5.0, 100.0));
    check("saddle fine", &saddle, 2.0, 25.0, 0.05);
}

#[test]
fn a_patch_with_holes_keeps_them() {
    let centres = [DVec2::new(-0.5, -0.4), DVec2::new(0.4, -0.3), DVec2::new(0.1, 0.5)];
    let holes: Vec<Vec<DVec2>> = centres.iter().map(|c| shapes::circle(*c, 0.2, 40)).collect();
    let place = |p: DVec2| DVec3::new(100.0 * p.x, 100.0 * p.y, 10.0 * (p.x * 2.0).cos());
    let skin = shapes::jittered(40, 3, &holes, place);
    let done = check("holes", &skin, 6.0, 20.0, 0.5);
    let lengths = |skin: &Skin| -> Vec<f64> {
        skin.topology().unwrap().boundaries.iter().map(|b| skin.loop_length_mm(b)).collect()
    };
    for (before, after) in lengths(&skin).into_iter().zip(lengths(&done.skin)) {
        // six-millimetre chords of a circle of radius 20 are shorter than its arcs by e²/(24r²), up to 4/3 edges
        assert!(after <= before + 1e-9 && after > before * (1.0 - 0.015), "{before} {after}");
    }
}

/// A sheet folded by 90° along x = 0: the fold stays straight and sharp.
#[test]
fn a_fold_stays_on_its_line() {
    let fold = |p: DVec2| DVec3::new(50.0 * p.x.min(0.0), 50.0 * p.y, -50.0 * p.x.max(0.0));
    let n = 21u32;
    let points = (0..n * n).map(|i| DVec2::new(f64::from(i % n), f64::from(i / n)) / 10.0 - DVec2::ONE);
    let at = |x: u32, y: u32| y * n + x;
    let triangles = (0..(n - 1) * (n - 1))
        .map(|i| (i % (n - 1), i / (n - 1)))
        .flat_map(|(x, y)| [[at(x, y), at(x + 1, y), at(x + 1, y + 1)], [at(x, y), at(x + 1, y + 1), at(x, y + 1)]])
        .collect();
    let skin = Skin { points_mm: points.map(fold).collect(), triangles };
    let done = check("fold", &skin, 7.0, 25.0, 1e-9);
    assert!((done.skin.area_mm2() - 1e4).abs() < 1e-6, "both faces stay flat: {}", done.skin.area_mm2());
}

/// Single triangles of a scan that are turned over among their neighbours come out sound.
#[test]
fn triangles_turned_over_are_mended() {
    let n = 41u32;
    let mut random = fastrand::Rng::with_seed(8);
    let points_mm = (0..n * n)
        .map(|i| {
            let rim = [i % n, i / n].iter().any(|k| *k == 0 || *k == n - 1);
            let mut step = || if rim { 0.0 } else { 0.42 * (2.0 * random.f64() - 1.0) };
            let (x, y) = (f64::from(i % n) + step(), f64::from(i / n) + step());
            DVec3::new(5.0 * x, 5.0 * y, 0.001 * x * x * y)
        })
        .collect();
    let at = |x: u32, y: u32| y * n + x;
    let triangles = (0..(n - 1) * (n - 1))
        .map(|i| (i % (n - 1), i / (n - 1)))
        .flat_map(|(x, y)| [[at(x, y), at(x + 1, y), at(x + 1, y + 1)], [at(x, y), at(x + 1, y + 1), at(x, y + 1)]])
        .collect();
    let skin = Skin { points_mm, triangles };
    let over = (0..skin.triangles.len()).filter(|t| skin.double_area_normal(*t).z < 0.0).count();
    assert!(over > 5, "the input has {over} triangles turned over");
    for edge in [3.0, 5.0, 12.0] {
        let done = remeshed(&skin, &RemeshSettings::to_edge_mm(edge)).unwrap();
        assert!((0..done.skin.triangles.len()).all(|t| done.skin.double_area_normal(t).z > 0.0), "{edge}");
        assert!(done.smallest_angle_rad.to_degrees() > 20.0, "{edge}: {}", done.smallest_angle_rad.to_degrees());
    }
}

/// A ribbon of 1:50, finer than its width and coarser: with nothing between its edges the triangles are as thin as it is, but sound.
#[test]
fn a_long_thin_ribbon() {
    let place = |p: DVec2| DVec3::new(250.0 * p.x, 5.0 * p.y, 20.0 * (2.0 * p.x).sin());
    let ribbon = shapes::jittered(24, 4, &[], place);
    let fine = remeshed(&ribbon, &RemeshSettings::to_edge_mm(3.0)).unwrap();
    assert!(fine.smallest_angle_rad.to_degrees() > 15.0, "{}", fine.smallest_angle_rad.to_degrees());
    // its own facets, up to 1.8 · 20.8 mm long on a radius of 781 mm, lie e²/(8R) = 0.22 mm off the curve, each in its own way
    assert!(fine.turned_over == 0 && fine.deviation_mm < 0.22, "{}", fine.deviation_mm);
    let coarse = remeshed(&ribbon, &RemeshSettings::to_edge_mm(20.0)).unwrap();
    assert_eq!((coarse.turned_over, coarse.skin.topology().unwrap().boundaries.len()), (0, 1));
}

/// Points a thousandth of a millimetre apart give slivers; none is left.
#[test]
fn slivers_go() {
    let mut random = fastrand::Rng::with_seed(2);
    let mut inner = Vec::new();
    for _ in 0..300 {
        let at = DVec2::new(random.f64() - 0.5, random.f64() - 0.5) * 1.8;
        inner.extend([at, at + DVec2::new(1e-5, 2e-6), at + DVec2::new(0.02, 1e-6)]);
    }
    let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(|(x, y)| DVec2::new(x, y));
    let flat = crate::planar::triangulate(&corners, &[], &inner).unwrap();
    let skin = Skin {
        points_mm: flat.points.iter().map(|p| DVec3::new(100.0 * p.x, 100.0 * p.y, 10.0 * p.x * p.y)).collect(),
        triangles: flat.triangles.iter().map(|t| t.map(|i| i as u32)).collect(),
    };
    assert!(skin.smallest_angle_rad() < 1e-3);
    let done = remeshed(&skin, &RemeshSettings::to_edge_mm(6.0)).unwrap();
    assert!(done.smallest_angle_rad.to_degrees() > 20.0, "{}", done.smallest_angle_rad.to_degrees());
    assert!(done.turned_over == 0 && done.deviation_mm < 0.2, "{} {}", done.turned_over, done.deviation_mm);
    let fewer = skin.decimated(0.5, &Progress::silent(), &Cancel::new()).unwrap();
    assert!(fewer.deviation_mm <= 0.5 && fewer.skin.triangles.len() < 300, "{}", fewer.skin.triangles.len());
}

/// A closed body has no free edge and keeps its eight corners and twelve folds.
#[test]
fn a_cube_stays_a_cube() {
    let done = remeshed(&shapes::cube(), &RemeshSettings::to_edge_mm(0.3)).unwrap();
    let again = remeshed(&shapes::cube(), &RemeshSettings::to_edge_mm(0.3)).unwrap();
    assert_eq!(done, again, "the same every time");
    assert!((done.skin.area_mm2() - 24.0).abs() < 1e-9 && done.deviation_mm < 1e-12, "{}", done.deviation_mm);
    assert!(done.smallest_angle_rad.to_degrees() > 25.0, "{}", done.smallest_angle_rad.to_degrees());
}

#[test]
fn faults_and_settings_are_named() {
    let cap = shapes::cap(100.0, 1.0, 4);
    for edge in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-4] {
        let fault = remeshed(&cap, &RemeshSettings::to_edge_mm(edge));
        assert!(matches!(fault, Err(MeshError::Setting { name: "target edge", .. })), "{edge}");
    }
    let angle = RemeshSettings { fold_angle_rad: f64::NAN, ..RemeshSettings::to_edge_mm(10.0) };
    assert!(matches!(remeshed(&cap, &angle), Err(MeshError::Setting { name: "fold angle", .. })));
    let mut torn = cap.clone();
    torn.triangles[0].swap(0, 1);
    assert!(matches!(remeshed(&torn, &RemeshSettings::to_edge_mm(10.0)), Err(MeshError::Unsound(_))));
    assert!(remeshed(&Skin::default(), &RemeshSettings::to_edge_mm(10.0)).is_err());
    // far coarser than the skin is large: something sound is left
    let coarse = remeshed(&cap, &RemeshSettings::to_edge_mm(1e4)).unwrap();
    assert!(coarse.skin.topology().is_ok());
}

#[test]
fn it_stops_at_a_word() {
    for share in [0.0, 0.3, 0.7, 0.8] {
        let cancel = Cancel::new();
        let flag = cancel.clone();
        let until_then = Progress::new(move |step| {
            if step.share > share {
                flag.cancel()
            }
        });
        let done = shapes::cube().remeshed(&RemeshSettings::to_edge_mm(0.1), &until_then, &cancel);
        assert_eq!(done, Err(MeshError::Cancelled(numerics::Cancelled)), "{share}");
    }
}
