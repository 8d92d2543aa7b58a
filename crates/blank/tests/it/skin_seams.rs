//! Seams of a four-sided dome with make-ups: parts keep their named edges, seams keep their distance.

use crate::skins::flange;
use blank::DevelopSettings;
use blank::flatten::Route;
use blank::skin::seams::{SeamProposal, propose};
use blank::skin::{DevelopedSkin, SkinEdge, SkinHole, SkinPiece, SkinSettings, develop};
use glam::DVec3;
use mesh::Skin;
use mesh::polygon::check_simple;
use numerics::{Cancel, Progress};
use section::{Along, Face, MakeUp, Side};
use std::sync::{Arc, Mutex};

const N: u32 = 14;

/// Spherical patch of radius 260 over a square of 300, a little out of square so that no direction is preferred.
fn dome() -> SkinPiece {
    dome_out_of_square(12.0)
}

/// The dome with its far side pushed along by so much, mm.
fn dome_out_of_square(pushed_mm: f64) -> SkinPiece {
    let at = |i: u32, j: u32| {
        let (s, t) = (f64::from(i) / f64::from(N), f64::from(j) / f64::from(N));
        let (x, y) = (300.0 * s - 150.0 + pushed_mm * t, 300.0 * t - 150.0);
        DVec3::new(x, y, (260.0f64 * 260.0 - x * x - y * y).sqrt())
    };
    let number = |i: u32, j: u32| i * (N + 1) + j;
    let points_mm = (0..=N).flat_map(|i| (0..=N).map(move |j| at(i, j))).collect();
    let squares = (0..N).flat_map(|i| (0..N).map(move |j| (i, j)));
    let triangles = squares
        .flat_map(|(i, j)| {
            let [a, b, c, d] = [number(i, j), number(i + 1, j), number(i + 1, j + 1), number(i, j + 1)];
            [[a, b, c], [a, c, d]]
        })
        .collect();
    let tapered = MakeUp::Flange {
        bend_angle_rad: Along::Constant(1.5),
        inside_radius_mm: 1.5,
        width_mm: Along::Stations(vec![(0.0, 10.0), (400.0, 22.0)]),
        turns: Side::Inside,
        stand_off_mm: 0.0,
        relief: section::FlangeRelief::None,
    };
    let make_ups = [vec![tapered], vec![flange(90.0, 15.0)], vec![], vec![MakeUp::Raw { trim_mm: 3.0 }]];
    let corners = [("front", at(0, 0)), ("left", at(N, 0)), ("rear", at(N, N)), ("right", at(0, N))];
    let edge = |((name, from_mm), make_ups): ((&str, DVec3), Vec<MakeUp>)| SkinEdge {
        name: name.into(),
        from_mm,
        make_ups,
        held: false,
    };
    SkinPiece {
        name: "dome corner".into(),
        skin: Skin { points_mm, triangles },
        face: Face::Outside,
        thickness_mm: 0.9,
        material: "dc04".into(),
        flow: None,
        route: Route::LeastWork,
        edges: corners.into_iter().zip(make_ups).map(edge).collect(),
        hole_names: Vec::new(),
        holes: Vec::new(),
        reach_mm: 0.0,
    }
}

fn settings() -> SkinSettings {
    SkinSettings { seam_radius_mm: 0.0, seam_directions: 6, ..SkinSettings::default() }
}

fn seams(piece: &SkinPiece, settings: &SkinSettings) -> (DevelopedSkin, Vec<SeamProposal>) {
    let (progress, cancel) = (Progress::silent(), Cancel::new());
    let whole = develop(piece, &DevelopSettings::default(), settings, &progress, &cancel).unwrap();
    let seams = propose(piece, &whole, &DevelopSettings::default(), settings, &progress, &cancel).unwrap();
    (whole, seams)
}

fn width(edge: &SkinEdge, station: f64) -> Option<f64> {
    match edge.make_ups.first()? {
        MakeUp::Flange { width_mm, .. } => Some(width_mm.at(station)),
        _ => None,
    }
}

#[test]
fn parts_keep_their_edges_and_make_ups() {
    let piece = dome();
    let (whole, seams) = seams(&piece, &settings());
    assert_eq!(check_simple(&whole.blank.outline_mm), Ok(()));
    assert!(!seams.is_empty());
    for seam in &seams {
        let names: Vec<&str> = seam.pieces.iter().flat_map(|part| &part.edges).map(|edge| edge.name.as_str()).collect();
        assert_eq!(names.iter().filter(|name| **name == "seam").count(), 2, "{names:?}");
        for old in ["front", "left", "rear", "right"] {
            let whole_or_both =
                [vec![old.to_owned()], vec![format!("{old}, after the seam"), format!("{old}, before the seam")]];
            let kept = whole_or_both.iter().filter(|set| set.iter().all(|name| names.contains(&name.as_str()))).count();
            assert_eq!(kept, 1, "{old} of {names:?}");
        }
        // the tapered flange goes on across the seam as wide as it was
        let part = |suffix: &str| {
            seam.pieces.iter().zip(&seam.parts).find_map(|(part, developed)| {
                let i = part.edges.iter().position(|edge| edge.name == format!("front, {suffix} the seam"))?;
                Some((part.edges[i].clone(), developed.forming.edges[i].finished_length_mm))
            })
        };
        if let (Some((after, _)), Some((before, length))) = (part("after"), part("before")) {
            let [a, b] = [width(&after, 0.0).unwrap(), width(&before, length).unwrap()];
            assert!((a - b).abs() < 0.02, "{a} {b}");
        }
        for developed in &seam.parts {
            assert_eq!(check_simple(&developed.blank.outline_mm), Ok(()));
        }
        let length = |part: &DevelopedSkin| part.forming.edges.last().unwrap().finished_length_mm;
        // both edges of the weld are the same line, on either part half a thickness below the face
        assert!(
            (length(&seam.parts[0]) - length(&seam.parts[1])).abs() < 0.05,
            "{:?}",
            seam.parts.each_ref().map(length)
        );
        assert!(seam.after.largest_strain < seam.before.largest_strain, "{}", seam.words());
    }
}

/// What a seam saves in the words of the shop, against the triangles and edges of the blanks themselves.
#[test]
fn a_seam_says_what_it_saves_in_raising_gathering_and_margin() {
    let (whole, found) = seams(&dome(), &settings());
    // raise of a triangle: finished over flat area is the exponential of both true strains together
    let raises = |part: &DevelopedSkin| part.flat.strains.iter().map(|own| (own.major + own.minor).exp_m1()).collect();
    let most = |values: Vec<f64>| values.into_iter().fold(0.0, f64::max);
    for seam in &found {
        for (own, parts) in [(&seam.before, vec![&whole]), (&seam.after, seam.parts.iter().collect())] {
            let triangles: Vec<f64> = parts.iter().flat_map(|part| -> Vec<f64> { raises(part) }).collect();
            let (raised, gathered) = (most(triangles.clone()), most(triangles.iter().map(|raise| -raise).collect()));
            // the map takes points from the triangles round them, and rims a little beyond: its extremes lie between the mean of what is raised
            // and a quarter above the largest triangle
            let mean = |values: Vec<f64>| {
                let positive: Vec<f64> = values.into_iter().filter(|value| *value > 0.0).collect();
                positive.iter().sum::<f64>() / positive.len().max(1) as f64
            };
            let means = [mean(triangles.clone()), mean(triangles.iter().map(|raise| -raise).collect())];
            for (own, least, largest) in [(own.most_raised, means[0], raised), (own.most_gathered, means[1], gathered)]
            {
                assert!(own >= least && own <= 1.25 * largest, "{own}: {least} to {largest}");
            }
            let margin = |part: &&DevelopedSkin| {
                let limit = &part.forming.limit;
                let margins = part.flat.strains.iter().map(|own| limit.major_limit(own.minor) - own.major);
                margins.fold(f64::INFINITY, f64::min)
            };
            let least = parts.iter().map(margin).fold(f64::INFINITY, f64::min);
            assert!((own.limit_margin - least).abs() < 1e-12, "{} {least}", own.limit_margin);
        }
        let words = seam.words();
        let (a, b) = (&seam.before, &seam.after);
        for said in [
            format!("most raised {:.1} % instead of {:.1} %", 100.0 * b.most_raised, 100.0 * a.most_raised),
            format!(
                "least margin under the forming limit {:.1} % of true strain instead of {:.1} %",
                100.0 * b.limit_margin,
                100.0 * a.limit_margin
            ),
        ] {
            assert!(words.contains(&said), "{words}");
        }
        assert!(b.most_raised < a.most_raised && b.limit_margin > a.limit_margin, "{words}");
    }
}

#[test]
fn seams_keep_away_from_holes_and_corners_and_report_progress() {
    let mut piece = dome();
    let (whole, free) = seams(&piece, &settings());
    // a hole on the best seam rules that direction out
    let middle = free[0].seam_mm[free[0].seam_mm.len() / 4];
    let hole = |name: &str, at_mm: DVec3| SkinHole {
        name: name.into(),
        at_mm,
        diameter_mm: 20.0,
        reach_mm: 0.0,
        half_clearance_mm: None,
    };
    piece.holes.push(hole("vent", middle));
    let (_, others) = seams(&piece, &settings());
    assert!(others.iter().all(|seam| seam.flat_mm != free[0].flat_mm), "the first seam goes through the vent");
    for seam in &others {
        let vents = seam.pieces.iter().map(|part| part.holes.len()).sum::<usize>();
        assert_eq!(vents, 1, "the vent is in one part");
    }
    // with a margin as large as the piece nothing is left
    let far = SkinSettings { seam_margin_mm: 400.0, ..settings() };
    assert!(seams_only(&piece, &far).is_empty());
    let seen = Arc::new(Mutex::new(Vec::new()));
    let into = Arc::clone(&seen);
    let progress = Progress::new(move |step| into.lock().unwrap().push(step.share));
    let one = SkinSettings { seam_directions: 2, ..settings() };
    propose(&dome(), &whole, &DevelopSettings::default(), &one, &progress, &Cancel::new()).unwrap();
    let seen = seen.lock().unwrap();
    assert!(seen.windows(2).all(|pair| pair[0] <= pair[1] + 1e-12) && seen.last() == Some(&1.0), "{seen:?}");
}

fn seams_only(piece: &SkinPiece, settings: &SkinSettings) -> Vec<SeamProposal> {
    seams(piece, settings).1
}

/// A dome with one raw edge round the whole has four corners all the same, and no seam ends within the margin of one.
#[test]
fn seams_of_a_skin_with_one_edge_keep_off_its_corners() {
    let mut piece = dome_out_of_square(0.0);
    piece.edges.truncate(1);
    piece.edges[0].make_ups.clear();
    let settings = SkinSettings { seam_directions: 8, curved_seams: false, seam_margin_mm: 80.0, ..settings() };
    let (whole, found) = seams(&piece, &settings);
    let corners = [0, N, N * (N + 1), N * (N + 1) + N].map(|i| whole.flat.points_mm[i as usize]);
    assert!(!found.is_empty());
    for seam in &found {
        for end in &seam.ends {
            let near = corners.iter().map(|corner| corner.distance(end.flat_mm)).fold(f64::INFINITY, f64::min);
            assert!(near >= settings.seam_margin_mm, "{near}: {}", seam.words());
        }
    }
}

/// The outside face is larger than the middle of the sheet by about t/R in length.
#[test]
fn the_face_that_was_measured_matters() {
    let outside = dome();
    let middle = SkinPiece { face: Face::Middle, ..outside.clone() };
    let area = |piece: &SkinPiece| {
        let cancel = Cancel::new();
        develop(piece, &DevelopSettings::default(), &settings(), &Progress::silent(), &cancel)
            .unwrap()
            .flat
            .flat_area_mm2
    };
    let share = area(&middle) / area(&outside) - 1.0;
    // 0.45 mm of radius 260, both ways
    assert!((share - 2.0 * 0.45 / 260.0).abs() < 4e-4, "{share}");
}

/// Arcs are tried beside straight lines and never make the best seam worse; on a dome out of square one is better.
#[test]
fn a_gently_curved_seam_is_taken_where_it_is_better() {
    let with_arc = [12.0, 30.0, 60.0].map(dome_out_of_square).into_iter().find_map(|piece| {
        let curved = seams(&piece, &settings()).1;
        curved.iter().any(|seam| seam.bow_radius_mm.is_finite()).then_some((piece, curved))
    });
    let (piece, curved) = with_arc.expect("no arc was better than its straight line");
    let straight = seams(&piece, &SkinSettings { curved_seams: false, ..settings() }).1;
    assert!(straight.iter().all(|seam| seam.bow_radius_mm.is_infinite()));
    let best = |seams: &[SeamProposal]| (seams[0].after.stops, seams[0].score.value);
    assert!(best(&curved) <= best(&straight), "{:?} {:?}", best(&curved), best(&straight));
    let bowed: Vec<&SeamProposal> = curved.iter().filter(|seam| seam.bow_radius_mm.is_finite()).collect();
    let mut rises = Vec::new();
    for seam in bowed {
        // every point stands off the chord as an arc of that radius does, so there is no corner; the mesh bends it by its
        // snapping, 5 % of an edge of 21 to 28 mm, at the point and at either end
        let (first, last) = (seam.flat_mm[0], *seam.flat_mm.last().unwrap());
        let (along, chord) = ((last - first).normalize(), first.distance(last));
        let off = |point: &glam::DVec2| along.perp_dot(*point - first);
        let most =
            seam.flat_mm.iter().map(off).fold(0.0, |most: f64, off| if off.abs() > most.abs() { off } else { most });
        for point in &seam.flat_mm {
            let s = along.dot(*point - first);
            let expected = most.signum() * s * (chord - s) / (2.0 * seam.bow_radius_mm);
            assert!((off(point) - expected).abs() < 3.5, "{} {expected}", off(point));
        }
        rises.push(most.abs());
    }
    assert!(rises.iter().any(|rise| *rise > 10.0), "{rises:?}");
    assert_eq!(curved, seams(&piece, &settings()).1, "the same every time");
}
