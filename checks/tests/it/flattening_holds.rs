//! What holds for every flattening (derived): nothing turned over, the same from every start, for every place and either hand.

use crate::skins::{Cut, cap, disc, patch, saddle, torus, wheel_guard};
use blank::flatten::{FlatSkin, FlattenError, FlattenSettings, Flow, Route, Start, flatten};
use glam::{DMat3, DVec2, DVec3};
use mesh::Skin;
use numerics::newton::Ending;
use numerics::{Cancel, Progress};

fn settings() -> FlattenSettings {
    FlattenSettings::least_work(Flow { strength_n_mm2: 550.0, hardening_exponent: 0.21 }, Route::LeastWork, 0.9)
}

fn run(skin: &Skin, settings: &FlattenSettings) -> FlatSkin {
    flatten(skin, settings, &Progress::silent(), &Cancel::new()).unwrap()
}

/// Smallest share of its own area in the panel that a flat triangle has; negative when it is turned over.
fn smallest_area_share(skin: &Skin, flat: &FlatSkin) -> f64 {
    let share = |(t, triangle): (usize, &[u32; 3])| {
        let [a, b, c] = triangle.map(|i| flat.points_mm[i as usize]);
        (b - a).perp_dot(c - a) / skin.double_area_normal(t).length()
    };
    skin.triangles.iter().enumerate().map(share).fold(f64::INFINITY, f64::min)
}

/// A skin without the triangles whose centre is in one of the holes (centre and radius in the plane from above).
fn with_holes(skin: &Skin, holes: &[(DVec2, f64)]) -> Skin {
    let stays = |t: &&[u32; 3]| {
        let centre = t.iter().map(|i| skin.points_mm[*i as usize].truncate()).sum::<DVec2>() / 3.0;
        holes.iter().all(|(at, radius)| at.distance(centre) > *radius)
    };
    let triangles: Vec<[u32; 3]> = skin.triangles.iter().filter(stays).copied().collect();
    let mut number = vec![None; skin.points_mm.len()];
    let mut points_mm = Vec::new();
    let triangles = triangles
        .into_iter()
        .map(|t| {
            t.map(|i| {
                *number[i as usize].get_or_insert_with(|| {
                    points_mm.push(skin.points_mm[i as usize]);
                    points_mm.len() as u32 - 1
                })
            })
        })
        .collect();
    Skin { points_mm, triangles }
}

/// Crown both ways: z = −(x² + y²/2)/700 over 1 × 50.
fn ribbon(s: f64, w: f64) -> DVec3 {
    let (x, y) = (1000.0 * (s - 0.5), 20.0 * (w - 0.5));
    DVec3::new(x, y, -(x * x + 40.0 * y * y) / 1400.0)
}

fn skins() -> Vec<(&'static str, Skin)> {
    let dome = cap(200.0, 60f64.to_radians(), 1500, Cut::Jittered(2));
    let at = |x: f64, y: f64| DVec2::new(x, y);
    // rings squeezed towards the rim by 1 : 200: slivers
    let slivers = disc(600, Cut::Regular, |p| {
        let r = p.length();
        let p = p * if r > 0.0 { (1.0 - (1.0 - r).powi(3)) / r } else { 1.0 };
        DVec3::new(150.0 * p.x, 150.0 * p.y, -30.0 * p.length_squared())
    });
    vec![
        ("hemisphere to 85°", cap(200.0, 85f64.to_radians(), 2400, Cut::Jittered(2))),
        ("saddle", patch([330.0, 330.0], 1500, Cut::Jittered(2), saddle)),
        ("wheel-arch corner", patch([585.0, 125.0], 1500, Cut::Jittered(2), torus(0.0))),
        ("wheel guard", patch([1060.0, 205.0], 1500, Cut::Jittered(2), wheel_guard)),
        ("ribbon 1 : 50", patch([1000.0, 20.0], 1500, Cut::Jittered(2), ribbon)),
        ("annulus", with_holes(&dome, &[(at(0.0, 0.0), 90.0)])),
        ("three holes", with_holes(&dome, &[(at(60.0, 0.0), 25.0), (at(-50.0, 60.0), 30.0), (at(-40.0, -70.0), 22.0)])),
        ("slivers", slivers),
    ]
}

#[test]
fn no_triangle_is_turned_over_and_nothing_fails() {
    for (name, skin) in skins() {
        for start in [Start::Automatic, Start::Convex] {
            let flat = run(&skin, &FlattenSettings { start: start.clone(), ..settings() });
            let share = smallest_area_share(&skin, &flat);
            assert!(share > 0.1, "{name}: a triangle has {share} of its area");
            assert_eq!(flat.ending, Ending::Converged, "{name} from {start:?}: {:?}", flat.iterations);
        }
    }
}

/// From the panel, the convex map, a projection from above, and the minimum shaken: the same minimum.
#[test]
fn the_same_minimum_from_every_start() {
    let skin = cap(200.0, 60f64.to_radians(), 1500, Cut::Jittered(5));
    let first = run(&skin, &settings());
    let mut random = fastrand::Rng::with_seed(3);
    let shaken = first.points_mm.iter().map(|p| *p + DVec2::new(random.f64(), random.f64())).collect();
    let above = skin.points_mm.iter().map(|p| p.truncate()).collect();
    for start in [Start::Convex, Start::Given(above), Start::Given(shaken)] {
        let other = run(&skin, &FlattenSettings { start, ..settings() });
        assert!((other.energy / first.energy - 1.0).abs() < 1e-6, "{} {}", other.energy, first.energy);
    }
}

#[test]
fn a_rigid_motion_changes_nothing_and_the_other_hand_is_the_mirror() {
    let skin = patch([585.0, 125.0], 1000, Cut::Jittered(4), torus(0.0));
    let flat = run(&skin, &settings());
    let turn = DMat3::from_rotation_z(0.7) * DMat3::from_rotation_x(-1.1);
    let moved = Skin {
        points_mm: skin.points_mm.iter().map(|p| turn * *p + DVec3::new(500.0, -20.0, 900.0)).collect(),
        triangles: skin.triangles.clone(),
    };
    let again = run(&moved, &settings());
    let mirrored = run(&skin.reflected_y(), &settings());
    for (i, p) in flat.points_mm.iter().enumerate() {
        assert!(p.distance(again.points_mm[i]) < 1e-3, "{p} {}", again.points_mm[i]);
        assert!(p.distance(mirrored.points_mm[i] * DVec2::new(1.0, -1.0)) < 1e-3, "{p} {}", mirrored.points_mm[i]);
    }
    assert!((flat.energy / again.energy - 1.0).abs() < 1e-9, "{} {}", flat.energy, again.energy);
    assert_eq!(flat, run(&skin, &settings()), "the same input gives the same bits");
}

#[test]
fn a_finer_mesh_gives_the_same_outline() {
    let area = |triangles, cut| {
        let flat = run(&patch([585.0, 125.0], triangles, cut, torus(0.0)), &settings());
        flat.flat_area_mm2.sqrt()
    };
    let fine = area(8000, Cut::Regular);
    for (triangles, cut) in [(2000, Cut::Regular), (2000, Cut::Jittered(1)), (8000, Cut::Jittered(1))] {
        let other = area(triangles, cut);
        assert!((other / fine - 1.0).abs() < 1e-3, "{triangles} {cut:?}: {other} {fine}");
    }
}

/// The rim of a dome held to its length: the blank's rim is as long as the finished one.
#[test]
fn a_held_edge_keeps_its_length() {
    let skin = cap(200.0, 40f64.to_radians(), 1000, Cut::Regular);
    let rim = skin.topology().unwrap().boundaries[0].clone();
    let held_edges = (0..rim.len()).map(|i| [rim[i], rim[(i + 1) % rim.len()]]).collect();
    let flat = run(&skin, &FlattenSettings { held_edges, ..settings() });
    assert!(flat.held_edge_error < 1e-3, "{}", flat.held_edge_error);
    let free = run(&skin, &settings());
    assert!(flat.flat_area_mm2 < 0.99 * free.flat_area_mm2, "the free blank's rim is longer");
}

#[test]
fn what_cannot_be_flattened_is_named() {
    let skin = cap(200.0, 1.0, 200, Cut::Regular);
    let refuse = |skin: &Skin, settings: &FlattenSettings| {
        flatten(skin, settings, &Progress::silent(), &Cancel::new()).unwrap_err()
    };
    let thin = FlattenSettings { thickness_mm: f64::NAN, ..settings() };
    assert!(matches!(refuse(&skin, &thin), FlattenError::OutOfRange { name: "thickness", .. }));
    let inside = FlattenSettings { held_edges: vec![[0, 1]], ..settings() };
    assert_eq!(refuse(&skin, &inside), FlattenError::NotABoundaryEdge { from: 0, to: 1 });
    let over: Vec<DVec2> = skin.points_mm.iter().map(|p| DVec2::new(-p.x, p.y)).collect();
    let over = FlattenSettings { start: Start::Given(over), ..settings() };
    assert!(matches!(refuse(&skin, &over), FlattenError::StartTurnedOver { .. }));
    let mut faulty = skin.clone();
    faulty.triangles[3].swap(0, 1);
    assert!(matches!(refuse(&faulty, &settings()), FlattenError::Skin(_)));
    let cancel = Cancel::new();
    cancel.cancel();
    assert_eq!(flatten(&skin, &settings(), &Progress::silent(), &cancel), Err(FlattenError::Cancelled));
}
