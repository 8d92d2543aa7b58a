//! What holds for every flattening (derived): nothing turned over, the same from every start, for every place and either hand.

use crate::skins::{Cut, cap, disc, patch, saddle, torus, wheel_guard};
use blank::flatten::{FlatSkin, FlattenError, FlattenSettings, Flow, ROUTE_WEIGHT, Route, Start, flatten};
use glam::{DMat3, DVec2, DVec3};
use mesh::Skin;
use numerics::newton::Ending;
use numerics::{Cancel, Progress};

fn settings() -> FlattenSettings {
    along(Route::LeastWork)
}

const WHEEL_OUT: Route = Route::WheelOut { weight: ROUTE_WEIGHT };
const GATHER_IN: Route = Route::GatherIn { weight: ROUTE_WEIGHT };

fn along(route: Route) -> FlattenSettings {
    FlattenSettings::least_work(Flow { strength_n_mm2: 550.0, hardening_exponent: 0.21 }, route, 0.9)
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
        for route in [WHEEL_OUT, GATHER_IN] {
            let flat = run(&skin, &along(route));
            let share = smallest_area_share(&skin, &flat);
            assert!(share > 0.1, "{name} {route:?}: a triangle has {share} of its area");
        }
    }
}

/// From the symmetric Dirichlet minimum, that minimum disturbed, a projection and the convex map: the same minimum. Caps to 60° and the
/// wheel guard, every route.
#[test]
fn the_same_minimum_from_every_start() {
    let caps = [10.0f64, 30.0, 60.0].map(|deg| (deg, cap(200.0, deg.to_radians(), 1500, Cut::Jittered(5))));
    let guard = patch([1060.0, 205.0], 1500, Cut::Jittered(5), wheel_guard);
    let mut apart = Vec::new();
    for (name, skin) in
        caps.into_iter().map(|(deg, skin)| (format!("cap {deg}°"), skin)).chain([("guard".into(), guard)])
    {
        let dirichlet = run(&skin, &FlattenSettings { relative_fall: 1e-10, ..FlattenSettings::symmetric_dirichlet() });
        let above = projected(&skin, name == "guard");
        let disturbed = disturbed(&skin, &dirichlet.points_mm);
        let starts = [
            ("convex", Start::Convex),
            ("minimum", Start::Given(dirichlet.points_mm)),
            ("above", Start::Given(above)),
            ("disturbed", Start::Given(disturbed)),
        ];
        for route in [Route::LeastWork, WHEEL_OUT, GATHER_IN] {
            let first = run(&skin, &along(route));
            for (from, start) in &starts {
                let other = run(&skin, &FlattenSettings { start: start.clone(), ..along(route) });
                let share = other.energy / first.energy - 1.0;
                if share.abs() > 1e-6 {
                    apart.push(format!(
                        "{name}, {route:?}, from {from}: {share:+e} {:?} {:?}",
                        other.ending, first.ending
                    ));
                }
            }
        }
    }
    assert!(apart.is_empty(), "{}", apart.join("\n"));
}

/// Seen from above; the guard, whose ends stand upright, unrolled round its axle. Mirrored where that shows its back.
fn projected(skin: &Skin, unrolled: bool) -> Vec<DVec2> {
    let round = |p: &DVec3| DVec2::new(335.0 * (p.z / 310.0).atan2(p.x / 360.0), p.y);
    let flat: Vec<DVec2> = skin.points_mm.iter().map(|p| if unrolled { round(p) } else { p.truncate() }).collect();
    let [a, b, c] = skin.triangles[0].map(|i| flat[i as usize]);
    let side = (b - a).perp_dot(c - a).signum();
    flat.into_iter().map(|p| p * DVec2::new(side, 1.0)).collect()
}

/// Every point moved at random by up to a fifth of the shortest edge beside it, which turns nothing over here.
fn disturbed(skin: &Skin, points: &[DVec2]) -> Vec<DVec2> {
    let mut shortest = vec![f64::INFINITY; points.len()];
    for &[a, b, c] in &skin.triangles {
        for (i, j) in [(a, b), (b, c), (c, a)].map(|(i, j)| (i as usize, j as usize)) {
            let length = points[i].distance(points[j]);
            shortest[i] = shortest[i].min(length);
            shortest[j] = shortest[j].min(length);
        }
    }
    let mut random = fastrand::Rng::with_seed(3);
    let mut by = |reach: f64| 0.2 * reach * DVec2::new(2.0 * random.f64() - 1.0, 2.0 * random.f64() - 1.0);
    points.iter().zip(shortest).map(|(p, reach)| *p + by(reach)).collect()
}

/// The plain energy, stopped at a fall of 1e-4, is within 1e-4 of what it would come to.
#[test]
fn the_plain_energy_has_come_to_rest() {
    for (name, skin) in skins() {
        let plain = FlattenSettings::symmetric_dirichlet();
        let (quick, long) =
            (run(&skin, &plain), run(&skin, &FlattenSettings { relative_fall: 1e-10, ..plain.clone() }));
        assert!(quick.energy <= 1.0001 * long.energy, "{name}: {} {}", quick.energy, long.energy);
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

/// The same panel in 2,000, 20,000 and 100,000 triangles, regular and jittered: its outlines, laid on one another, differ by less than
/// 0.1 % of its size.
#[test]
fn a_finer_mesh_gives_the_same_outline() {
    let outline = |triangles, cut| {
        let skin = patch([585.0, 125.0], triangles, cut, torus(0.0));
        outline(&skin, &run(&skin, &settings()))
    };
    let finest = outline(100_000, Cut::Regular);
    let size = finest.iter().flat_map(|p| finest.iter().map(|q| p.distance(*q))).fold(0.0, f64::max);
    for (triangles, cut) in [
        (2000, Cut::Regular),
        (2000, Cut::Jittered(1)),
        (20_000, Cut::Regular),
        (20_000, Cut::Jittered(1)),
        (100_000, Cut::Jittered(1)),
    ] {
        let apart = laid_on(&outline(triangles, cut), &finest) / size;
        println!("{triangles} {cut:?}: {:.4} %", 100.0 * apart);
        assert!(apart < 1e-3, "{triangles} {cut:?}: {apart}");
    }
}

/// Points of the flat outline of a wheel-arch corner: its four sides, each in 50 equal parts of the finished length.
fn outline(skin: &Skin, flat: &FlatSkin) -> Vec<DVec2> {
    let rim = &flat.boundaries[0];
    let corners = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]].map(|[s, w]| {
        let corner = torus(0.0)(s, w);
        let away = |i: &usize| skin.points_mm[rim[*i] as usize].distance(corner);
        (0..rim.len()).min_by(|a, b| away(a).total_cmp(&away(b))).unwrap()
    });
    let turns = (corners[1] + rim.len() - corners[0]) % rim.len() < (corners[3] + rim.len() - corners[0]) % rim.len();
    let mut points = Vec::new();
    for side in 0..4 {
        let (from, to) = (corners[side], corners[(side + 1) % 4]);
        let (from, to) = if turns { (from, to) } else { (to, from) };
        let steps = (to + rim.len() - from) % rim.len();
        let chain: Vec<usize> = (0..=steps).map(|k| rim[(from + k) % rim.len()] as usize).collect();
        let mut along = vec![0.0];
        for pair in chain.windows(2) {
            along.push(along[along.len() - 1] + skin.points_mm[pair[0]].distance(skin.points_mm[pair[1]]));
        }
        for part in 0..50 {
            let at = along[steps] * f64::from(part) / 50.0;
            let k = along.partition_point(|x| *x <= at).clamp(1, steps) - 1;
            let share = (at - along[k]) / (along[k + 1] - along[k]);
            points.push(flat.points_mm[chain[k]].lerp(flat.points_mm[chain[k + 1]], share));
        }
    }
    points
}

/// Largest distance of like points after the best rigid fit.
fn laid_on(points: &[DVec2], other: &[DVec2]) -> f64 {
    let n = points.len() as f64;
    let (centre, there) = (points.iter().sum::<DVec2>() / n, other.iter().sum::<DVec2>() / n);
    let pairs = || points.iter().zip(other).map(|(p, q)| (*p - centre, *q - there));
    let turn = pairs().map(|(p, q)| DVec2::new(p.dot(q), p.perp_dot(q))).sum::<DVec2>().normalize();
    pairs().map(|(p, q)| turn.rotate(p).distance(q)).fold(0.0, f64::max)
}

/// S23: flattening must lose the angle that a cap has too little, 2π·(1 − cos(s/R)): summed over the points inside the mesh.
#[test]
fn s23_the_angle_a_cap_lacks() {
    let angle = 201.331f64 / 1010.0;
    let skin = cap(1010.0, angle, 24_000, Cut::Regular);
    let mut lacks = vec![std::f64::consts::TAU; skin.points_mm.len()];
    for (t, triangle) in skin.triangles.iter().enumerate() {
        let corners = skin.corners(t);
        for i in 0..3 {
            lacks[triangle[i] as usize] -=
                (corners[(i + 1) % 3] - corners[i]).angle_between(corners[(i + 2) % 3] - corners[i]);
        }
    }
    let rim = &skin.topology().unwrap().boundaries[0];
    rim.iter().for_each(|i| lacks[*i as usize] = 0.0);
    // the outermost ring of angles is missing: rim − half a ring of 63
    let inside = (lacks.iter().sum::<f64>()).to_degrees();
    let whole = 360.0 * (1.0 - angle.cos());
    assert!((whole - 7.1287).abs() < 0.5e-3, "{whole}");
    let half_ring = 360.0 * (1.0 - (angle * (1.0 - 0.5 / 63.0)).cos());
    assert!((inside - half_ring).abs() < 2e-3 * whole, "{inside} {half_ring}");
}

/// S24: along a strip of half-width 150, R1 1500 and R2 600, the edges must be gathered by 1.2435 % more than the middle (exact sweep),
/// whatever blank is chosen: away from the ends that is what the flat has.
#[test]
fn s24_the_edges_of_a_strip_and_its_middle() {
    let (radius, roll, half) = (1500.0, 600.0, 150.0f64);
    let place = |s: f64, w: f64| {
        let (turn, angle) = (1200.0 / radius * (s - 0.5), 2.0 * half / roll * (w - 0.5));
        let out = radius - roll * (1.0 - angle.cos());
        DVec3::new(out * turn.sin(), roll * angle.sin(), out * turn.cos())
    };
    let skin = patch([1200.0, 300.0], 12_800, Cut::Regular, place);
    let flat = run(&skin, &settings());
    // regular rows: `along` squares, `across` squares
    let across = 40;
    assert_eq!(skin.points_mm.len() % (across + 1), 0);
    let along = skin.points_mm.len() / (across + 1) - 1;
    let strain = |j: usize| {
        let (mut there, mut here) = (0.0, 0.0);
        for i in along * 2 / 5..along * 3 / 5 {
            let (a, b) = (i * (across + 1) + j, (i + 1) * (across + 1) + j);
            there += skin.points_mm[a].distance(skin.points_mm[b]);
            here += flat.points_mm[a].distance(flat.points_mm[b]);
        }
        (there / here).ln()
    };
    let middle = strain(across / 2);
    let edges = 0.5 * (strain(0) + strain(across));
    let share = 1.0 - (edges - middle).exp();
    assert!((share - 0.012435).abs() < 0.03 * 0.012435, "{share}");
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
    let cancel = Cancel::new();
    cancel.cancel();
    assert_eq!(flatten(&skin, &settings(), &Progress::silent(), &cancel), Err(FlattenError::Cancelled));
}

/// Every fault of a mesh is named by the flattening itself, whatever the settings, and nothing panics.
#[test]
fn faults_of_the_mesh_are_named() {
    let good = cap(200.0, 1.0, 200, Cut::Regular);
    let words = |change: &dyn Fn(&mut Skin)| {
        let mut skin = good.clone();
        change(&mut skin);
        flatten(&skin, &settings(), &Progress::silent(), &Cancel::new()).unwrap_err().to_string()
    };
    let extra = |skin: &mut Skin, at: DVec3| {
        skin.points_mm.push(at);
        skin.points_mm.len() as u32 - 1
    };
    type Spoil<'a> = &'a dyn Fn(&mut Skin);
    let cases: [(&str, Spoil<'_>); 9] = [
        ("3 triangles meet at the edge", &|skin| {
            let [a, b, _] = skin.triangles[0];
            let c = extra(skin, DVec3::new(3.0, 4.0, 400.0));
            skin.triangles.push([b, a, c]);
        }),
        ("2 separate pieces", &|skin| {
            let far = skin.reflected_y();
            let shift = skin.points_mm.len() as u32;
            skin.points_mm.extend(far.points_mm.iter().map(|p| *p + DVec3::X * 900.0));
            skin.triangles.extend(far.triangles.iter().map(|t| t.map(|i| i + shift)));
        }),
        ("face different ways", &|skin| skin.triangles[3].swap(0, 1)),
        ("closed all round", &|skin| {
            let rim = skin.topology().unwrap().boundaries[0].clone();
            let top = extra(skin, DVec3::new(0.0, 0.0, -300.0));
            skin.triangles.extend((0..rim.len()).map(|i| [rim[(i + 1) % rim.len()], rim[i], top]));
        }),
        ("has no area", &|skin| skin.points_mm[2] = skin.points_mm[1]),
        ("point 5 is not finite", &|skin| skin.points_mm[5].y = f64::NAN),
        ("point 6 is not finite", &|skin| skin.points_mm[6].x = f64::INFINITY),
        ("names a point twice or one that does not exist", &|skin| skin.triangles[0] = [0, 1, 9999]),
        ("2000001 triangles; at most 2000000", &|skin| skin.triangles = vec![[0, 1, 2]; 2_000_001]),
    ];
    for (expected, change) in cases {
        let said = words(change);
        assert!(said.contains(expected), "{expected}: {said}");
    }
    let inches = good.scaled(1.0 / 25.4).doubtful_unit().unwrap();
    assert!(inches.to_string().contains("inches"), "{inches}");
}

/// Cancelled after the first step, small or on a thread of its own: the best flat so far, or the word that there is none yet.
#[test]
fn cancelling_loses_nothing() {
    for triangles in [2000, 60_000] {
        let skin = cap(200.0, 1.0, triangles, Cut::Regular);
        let cancel = Cancel::new();
        let asked = cancel.clone();
        let progress = Progress::new(move |step| {
            if step.words == "minimising" {
                asked.cancel();
            }
        });
        match flatten(&skin, &settings(), &progress, &cancel) {
            Ok(flat) => {
                assert_eq!(flat.ending, Ending::Cancelled);
                assert!(smallest_area_share(&skin, &flat) > 0.1);
            }
            Err(fault) => assert_eq!(fault, FlattenError::Cancelled),
        }
    }
}
