use super::*;
use crate::polygon::{distance_to_sides_mm, sides, signed_area_mm2};
use crate::shapes;
use std::f64::consts::{PI, TAU};

fn from_above() -> CurvePlane {
    CurvePlane::new(DVec3::ZERO, DVec3::X, DVec3::Z).unwrap()
}

fn perimeter(curve: &[DVec2]) -> f64 {
    sides(curve).map(|(a, b)| a.distance(b)).sum()
}

/// Both sides of a cut together are the skin, and their new edges lie on the curve.
fn both(skin: &Skin, plane: &CurvePlane, curve: &[DVec2]) -> [Cropped; 2] {
    both_within(skin, plane, curve, 1e-9)
}

fn both_within(skin: &Skin, plane: &CurvePlane, curve: &[DVec2], most_mm: f64) -> [Cropped; 2] {
    let parts = [Keep::Inside, Keep::Outside].map(|keep| skin.cropped(plane, curve, keep).unwrap());
    let area: f64 = parts.iter().map(|p| p.skin.area_mm2()).sum();
    assert!((area / skin.area_mm2() - 1.0).abs() < 1e-5, "{area} {}", skin.area_mm2());
    assert!((parts[0].cut_mm - parts[1].cut_mm).abs() < 1e-6 * parts[0].cut_mm.max(1.0));
    let own = edge_of(skin);
    for (a, b) in parts.iter().flat_map(|part| edge_of(&part.skin)) {
        let middle = plane.flat_mm(a.midpoint(b));
        let away = distance_to_sides_mm(curve, middle);
        assert!(away < most_mm || on_edge(&own, a.midpoint(b)), "edge at {middle} lies {away} off the curve");
    }
    parts
}

fn edge_of(skin: &Skin) -> Vec<(DVec3, DVec3)> {
    let mut all: Vec<[u32; 2]> = Vec::new();
    for [a, b, c] in &skin.triangles {
        all.extend([[*a, *b], [*b, *c], [*c, *a]]);
    }
    all.sort_unstable();
    let free = all.iter().filter(|[a, b]| all.binary_search(&[*b, *a]).is_err());
    free.map(|[a, b]| (skin.points_mm[*a as usize], skin.points_mm[*b as usize])).collect()
}

fn on_edge(edges: &[(DVec3, DVec3)], middle: DVec3) -> bool {
    edges.iter().any(|(p, q)| {
        let along = ((middle - p).dot(*q - *p) / (*q - *p).length_squared()).clamp(0.0, 1.0);
        p.lerp(*q, along).distance(middle) < 2.0 * SNAP_MM
    })
}

/// A tilted plane: the part inside has the curve's area divided by the cosine of the tilt.
#[test]
fn a_tilted_plane_is_cut_to_the_area_of_the_curve() {
    let skin = shapes::jittered(30, 1, &[], |p| DVec3::new(100.0 * p.x, 100.0 * p.y, 75.0 * p.x));
    let star: Vec<DVec2> =
        (0..10).map(|i| DVec2::from_angle(TAU * f64::from(i) / 10.0) * if i % 2 == 0 { 80.3 } else { 31.7 }).collect();
    let [inside, outside] = both(&skin, &from_above(), &star);
    let area = signed_area_mm2(&star) * 1.25;
    assert!((inside.skin.area_mm2() - area).abs() < 1e-8 * area, "{} {area}", inside.skin.area_mm2());
    assert_eq!((inside.pieces, outside.pieces, inside.corners_off_skin), (1, 1, 0));
    assert_eq!(inside.skin.topology().unwrap().boundaries.len(), 1);
    assert_eq!(outside.skin.topology().unwrap().boundaries.len(), 2, "the cut is a new opening");
    // either way round, the same
    let back: Vec<DVec2> = star.iter().rev().copied().collect();
    let again = skin.cropped(&from_above(), &back, Keep::Inside).unwrap();
    assert!((again.skin.area_mm2() - area).abs() < 1e-8 * area);
}

/// Cap of a sphere: 2πR·(R − √(R² − r²)), but for the facets' and the polygon's own error.
#[test]
fn a_cap_of_a_sphere() {
    let skin = shapes::cap(100.0, 1.2, 60);
    let circle = shapes::circle(DVec2::ZERO, 60.0, 720);
    let [inside, _] = both(&skin, &from_above(), &circle);
    let area = TAU * 100.0 * (100.0 - (1e4f64 - 3600.0).sqrt());
    // facets of edge 2 on R 100: e²/(12·R²)·2 of the area at most; polygon: (2π/720)²/6
    assert!((inside.skin.area_mm2() / area - 1.0).abs() < 2e-4, "{}", inside.skin.area_mm2() / area);
    assert!((inside.cut_mm / (TAU * 60.0) - 1.0).abs() < 2e-4, "{}", inside.cut_mm);
}

#[test]
fn openings_stay_and_a_curve_through_one_opens_it() {
    let hole = shapes::circle(DVec2::new(0.3, 0.1), 0.15, 24);
    let skin = shapes::jittered(30, 2, std::slice::from_ref(&hole), |p| (100.0 * p).extend(0.0));
    let hole: Vec<DVec2> = hole.iter().map(|p| *p * 100.0).collect();
    let around = shapes::circle(DVec2::new(20.0, 5.0), 55.0, 90);
    let [inside, _] = both(&skin, &from_above(), &around);
    assert_eq!(inside.skin.topology().unwrap().boundaries.len(), 2, "the hole stays");
    let area = signed_area_mm2(&around) - signed_area_mm2(&hole);
    assert!((inside.skin.area_mm2() - area).abs() < 1e-8 * area);
    assert!((inside.cut_mm - perimeter(&around)).abs() < 1e-8 * area);
    let through = shapes::circle(DVec2::new(0.0, 5.0), 30.0, 90);
    let [inside, _] = both(&skin, &from_above(), &through);
    assert_eq!(inside.skin.topology().unwrap().boundaries.len(), 1, "the hole is now a notch");
    assert!(inside.corners_off_skin > 3 && inside.pieces == 1);
}

#[test]
fn beyond_the_skin_its_own_edge_bounds_the_part() {
    let skin = shapes::jittered(20, 3, &[], |p| (100.0 * p).extend(10.0 * p.x * p.y));
    let half = [DVec2::new(-300.0, -300.0), DVec2::new(0.0, -300.0), DVec2::new(0.0, 300.0), DVec2::new(-300.0, 300.0)];
    let [left, right] = both(&skin, &from_above(), &half);
    assert_eq!(left.corners_off_skin, 4);
    // z = 0 along x = 0, but for the facets
    assert!((left.cut_mm - 200.0).abs() < 0.01, "{}", left.cut_mm);
    assert!((left.skin.area_mm2() / right.skin.area_mm2() - 1.0).abs() < 1e-3);
    let around = shapes::circle(DVec2::ZERO, 500.0, 12);
    let whole = skin.cropped(&from_above(), &around, Keep::Inside).unwrap();
    assert_eq!((whole.skin.triangles.len(), whole.cut_mm), (skin.triangles.len(), 0.0));
    assert_eq!(skin.cropped(&from_above(), &around, Keep::Outside), Err(MeshError::NothingLeft));
    let beside = shapes::circle(DVec2::new(400.0, 0.0), 50.0, 12);
    assert_eq!(skin.cropped(&from_above(), &beside, Keep::Inside), Err(MeshError::CurveMissesSkin));
    assert_eq!(skin.cropped(&from_above(), &beside, Keep::Outside), Err(MeshError::CurveMissesSkin));
}

/// Curves that run exactly along edges and through points, and within a hair of them.
#[test]
fn no_slivers_beside_edges_and_points() {
    let n = 11u32;
    let points_mm = (0..n * n).map(|i| DVec3::new(f64::from(i % n), f64::from(i / n), 0.0) * 10.0).collect();
    let at = |x: u32, y: u32| y * n + x;
    let triangles = (0..(n - 1) * (n - 1))
        .map(|i| (i % (n - 1), i / (n - 1)))
        .flat_map(|(x, y)| [[at(x, y), at(x + 1, y), at(x + 1, y + 1)], [at(x, y), at(x + 1, y + 1), at(x, y + 1)]])
        .collect();
    let skin = Skin { points_mm, triangles };
    for hair in [0.0, 1e-12, 1e-7, 1e-4, 0.009, -0.009, 0.02] {
        let square = [(20.0, 20.0), (70.0, 20.0), (70.0, 60.0), (45.0, 45.0), (20.0, 60.0)];
        let square: Vec<DVec2> = square.map(|(x, y)| DVec2::new(x + hair, y - hair)).to_vec();
        for part in both(&skin, &from_above(), &square) {
            let sharpest = part.skin.smallest_angle_rad();
            assert!(sharpest > 5e-4, "{hair}: {sharpest}");
        }
        let inside = skin.cropped(&from_above(), &square, Keep::Inside).unwrap();
        let area = signed_area_mm2(&square);
        assert!((inside.skin.area_mm2() - area).abs() < 1e-9 * area, "{hair}: {} {area}", inside.skin.area_mm2());
    }
}

/// A closed box of side 2: a square window takes a piece of top and bottom; a half space takes walls with it; along a wall the wall falls away.
#[test]
fn several_layers_and_walls() {
    let cube = shapes::cube();
    let window = [DVec2::new(-0.5, -0.5), DVec2::new(0.5, -0.5), DVec2::new(0.5, 0.5), DVec2::new(-0.5, 0.5)];
    let [inside, outside] = both(&cube, &from_above(), &window);
    assert!((inside.skin.area_mm2() - 2.0).abs() < 1e-12 && inside.pieces == 2 && outside.pieces == 1);
    let side = [DVec2::new(-9.0, -9.0), DVec2::new(0.3, -9.0), DVec2::new(0.3, 9.0), DVec2::new(-9.0, 9.0)];
    let [inside, _] = both(&cube, &from_above(), &side);
    assert!((inside.skin.area_mm2() - (4.0 + 4.0 * 1.3 * 2.0)).abs() < 1e-12, "{}", inside.skin.area_mm2());
    assert!((inside.cut_mm - 8.0).abs() < 1e-12 && inside.pieces == 1);
    let along = [DVec2::new(-9.0, -9.0), DVec2::new(1.0, -9.0), DVec2::new(1.0, 9.0), DVec2::new(-9.0, 9.0)];
    let part = cube.cropped(&from_above(), &along, Keep::Inside).unwrap();
    assert!((part.skin.area_mm2() - 20.0).abs() < 1e-9, "all but the wall on the curve: {}", part.skin.area_mm2());
}

/// Two squares that meet in the middle of the sheet in one point: each gets its own.
#[test]
fn parts_that_touch_in_a_point_are_parted() {
    let skin = shapes::jittered(10, 5, &[], |p| (100.0 * p).extend(0.0));
    let tie = [
        (-300.0, -90.0),
        (-0.005, 0.0),
        (-300.0, 90.0),
        (-300.0, 300.0),
        (300.0, 300.0),
        (300.0, 90.0),
        (0.005, 0.0),
        (300.0, -90.0),
        (300.0, -300.0),
        (-300.0, -300.0),
    ];
    let tie: Vec<DVec2> = tie.map(|(x, y)| DVec2::new(x, y)).to_vec();
    let part = skin.cropped(&from_above(), &tie, Keep::Inside).unwrap();
    assert!(part.pieces == 1 || part.pieces == 2, "{}", part.pieces);
    let around = skin.cropped(&from_above(), &tie, Keep::Outside).unwrap();
    assert_eq!(around.pieces, 2);
}

/// Random curves over random skins with openings, seen from random directions.
#[test]
fn random_curves_always_cut_clean() {
    let mut random = fastrand::Rng::with_seed(7);
    for seed in 0..60 {
        let hole = shapes::circle(DVec2::new(random.f64() - 0.5, random.f64() - 0.5), 0.2, 15);
        let bump = random.f64();
        let skin = shapes::jittered(12, seed, &[hole], |p| {
            DVec3::new(100.0 * p.x, 100.0 * p.y, 60.0 * bump * (3.0 * p.x).sin() * p.y)
        });
        let normal = DVec3::new(random.f64() - 0.5, random.f64() - 0.5, 1.0);
        let plane = CurvePlane::new(DVec3::new(5.0, 3.0, 0.0), DVec3::X, normal).unwrap();
        let n = 3 + random.u32(0..40);
        let centre = DVec2::new(random.f64() - 0.5, random.f64() - 0.5) * 100.0;
        let curve: Vec<DVec2> = (0..n)
            .map(|i| centre + DVec2::from_angle(TAU * f64::from(i) / f64::from(n)) * (20.0 + 80.0 * random.f64()))
            .collect();
        // where two sides of the curve leave a sharp corner, a point may be on one and near the other
        both_within(&skin, &plane, &curve, SNAP_MM);
    }
}

#[test]
fn faults_are_named() {
    let skin = shapes::jittered(6, 1, &[], |p| (100.0 * p).extend(0.0));
    let crop = |curve: &[DVec2]| skin.cropped(&from_above(), curve, Keep::Inside);
    let tie = [DVec2::ZERO, DVec2::new(40.0, 40.0), DVec2::new(40.0, 0.0), DVec2::new(0.0, 40.0)];
    assert_eq!(crop(&tie), Err(MeshError::CurveCrosses { x_mm: 20.0, y_mm: 20.0 }));
    assert!(matches!(crop(&[DVec2::ZERO, DVec2::X]), Err(MeshError::CurveCrosses { .. })));
    assert!(matches!(crop(&[]), Err(MeshError::CurveCrosses { .. })));
    assert!(matches!(crop(&[DVec2::NAN, DVec2::X, DVec2::Y]), Err(MeshError::Place { .. })));
    assert!(matches!(crop(&[DVec2::ZERO, DVec2::X * 1e9, DVec2::Y]), Err(MeshError::Setting { .. })));
    let plane = |right, normal| CurvePlane::new(DVec3::ZERO, right, normal);
    assert!(matches!(plane(DVec3::X, DVec3::ZERO), Err(MeshError::Place { name: "normal", .. })));
    assert!(matches!(plane(DVec3::X, DVec3::X), Err(MeshError::Place { name: "axis", .. })));
    assert!(matches!(plane(DVec3::NAN, DVec3::X), Err(MeshError::Place { name: "axis", .. })));
    let square = shapes::circle(DVec2::ZERO, 10.0 * PI, 4);
    assert!(matches!(Skin::default().cropped(&from_above(), &square, Keep::Inside), Err(MeshError::Unsound(_))));
    let mut torn = skin.clone();
    torn.triangles[3].swap(0, 1);
    assert!(matches!(torn.cropped(&from_above(), &square, Keep::Inside), Err(MeshError::Unsound(_))));
}
