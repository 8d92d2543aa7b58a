//! Skins as pieces: the map of raising against the independent radial minimum, S21 and S22 in the words of the shop, F7 along the
//! flanged rim of a disc, and a seam that saves what it says.

use crate::axisymmetric::{self, Problem};
use crate::near::near;
use crate::skins::{Cut, cap, disc};
use blank::DevelopSettings;
use blank::flatten::{ROUTE_WEIGHT, Route};
use blank::skin::seams::{figures, propose};
use blank::skin::{DevelopedSkin, SkinEdge, SkinPiece, SkinSettings, develop};
use glam::{DVec2, DVec3};
use handbook::bend::{Bend, Rule, allowance};
use mesh::Skin;
use numerics::{Cancel, Progress};
use section::{Along, Face, MakeUp, Side};

const RADIUS_MM: f64 = 200.0;

fn piece(skin: Skin, rim_mm: DVec3, route: Route) -> SkinPiece {
    SkinPiece {
        name: "dome".into(),
        skin,
        face: Face::Middle,
        thickness_mm: 0.9,
        material: "dc04".into(),
        flow: None,
        route,
        edges: vec![SkinEdge { name: "rim".into(), from_mm: rim_mm, make_ups: Vec::new(), held: false }],
        hole_names: Vec::new(),
        holes: Vec::new(),
        reach_mm: 0.0,
    }
}

fn cap_piece(radius_mm: f64, angle: f64, triangles: usize, route: Route) -> SkinPiece {
    let rim = radius_mm * DVec3::new(angle.sin(), 0.0, angle.cos());
    piece(cap(radius_mm, angle, triangles, Cut::Regular), rim, route)
}

fn run(piece: &SkinPiece) -> DevelopedSkin {
    develop(piece, &DevelopSettings::default(), &SkinSettings::default(), &Progress::silent(), &Cancel::new()).unwrap()
}

/// Raise of the radial minimum at a flat radius.
fn raise_at(blank: &axisymmetric::Blank, finished: impl Fn(f64) -> f64, ds: f64, radius: f64) -> f64 {
    let ring = blank.radius.partition_point(|r| *r <= radius).clamp(1, blank.radius.len() - 1) - 1;
    let (inner, outer) = (blank.radius[ring], blank.radius[ring + 1]);
    ds / (outer - inner) * finished((ring as f64 + 0.5) * ds) / (0.5 * (inner + outer)) - 1.0
}

/// Cap of 60°: every contour is a circle about the middle, where the radial minimum has it, to the 2 % of the largest strain that the
/// strains of the mesh themselves are checked to; twice that at single points, where the six fans of the mesh meet.
#[test]
fn the_bands_of_a_cap_are_the_circles_of_the_radial_minimum() {
    let angle = 60f64.to_radians();
    let developed = run(&cap_piece(RADIUS_MM, angle, 6000, Route::LeastWork));
    let rings = 2000;
    let reference = axisymmetric::cap(Problem { n: 0.21, wheel_out: 0.0, gather_in: 0.0 }, RADIUS_MM, angle, rings);
    let rim = reference.radius[rings];
    let (arc, ds) = (|s: f64| RADIUS_MM * (s / RADIUS_MM).sin(), RADIUS_MM * angle / rings as f64);
    let box_middle = |points: &[DVec2]| {
        let low = points.iter().copied().fold(DVec2::INFINITY, DVec2::min);
        0.5 * (low + points.iter().copied().fold(DVec2::NEG_INFINITY, DVec2::max))
    };
    let centre = box_middle(&developed.blank.outline_mm);
    let mut compared = 0;
    for band in &developed.forming.bands {
        assert_eq!(band.areas.len(), 1, "{} is one ring", band.label);
        for contour in &band.areas[0].inner_mm {
            let off: Vec<f64> =
                contour.iter().map(|p| raise_at(&reference, arc, ds, p.distance(centre)) - band.raise[1]).collect();
            let mean = off.iter().sum::<f64>() / off.len() as f64;
            let most = off.iter().map(|off| off.abs()).fold(0.0, f64::max);
            let what = format!("{}: off by {mean} and up to {most}, largest strain {}", band.label, reference.largest);
            assert!(mean.abs() < 0.02 * reference.largest && most < 0.04 * reference.largest, "{what}");
            compared += 1;
        }
    }
    assert!(compared >= 4, "{compared}");
    // thickest at the rim, thinnest in the middle
    let [thin, thick] = developed.forming.thickness;
    near((thin.thickness_mm / 0.9).ln(), reference.thinning[0], 0.02 * reference.largest);
    assert!(thin.at_mm.distance(centre) < 0.1 * rim && thick.at_mm.distance(centre) > 0.9 * rim);
}

/// S22: 0.6609 mm per 100 mm at the rim when all arcs are kept. S21: the area is raised by 1.00 % when the rim is held.
#[test]
fn s21_s22_in_the_words_of_the_shop() {
    let angle = (200.0f64 / 1010.0).asin();
    let gathered = run(&cap_piece(1010.0, angle, 2400, Route::GatherIn { weight: 100.0 }));
    near(gathered.forming.edges[0].gather_mm_per_100_mm, 0.6609, 0.02 * 0.6609);
    assert_eq!(gathered.forming.edge_words[0], "rim: gather 0.7 mm per 100 mm");
    let mut held = cap_piece(1010.0, angle, 2400, Route::WheelOut { weight: ROUTE_WEIGHT });
    held.edges[0].held = true;
    let held = run(&held);
    assert_eq!(held.forming.edge_words[0], "rim: keep its length");
    let bands = &held.forming.bands;
    let area: f64 = bands.iter().map(|band| band.flat_area_mm2).sum();
    let raise = bands.iter().map(|band| band.flat_area_mm2 * band.mean_raise).sum::<f64>() / area;
    near(raise, 0.0100, 0.02 * 0.01);
}

/// F7: a flange of 12 mm turned 90° on a convex edge of radius 200 must be gathered by 5.660 % at its free edge. F7 has no thickness:
/// 0.2 mm sheet with its bend allowance comes within 3 %, and with both in the closed form the figure is exact.
#[test]
fn f7_the_flanged_rim_of_a_disc() {
    let skin = disc(2400, Cut::Regular, |at| (200.0 * at).extend(0.0));
    let mut flanged = piece(skin, DVec3::X * 200.0, Route::LeastWork);
    flanged.thickness_mm = 0.2;
    flanged.edges[0].make_ups = vec![MakeUp::Flange {
        bend_angle_rad: Along::Constant(90f64.to_radians()),
        inside_radius_mm: 0.05,
        width_mm: Along::Constant(12.0),
        turns: Side::Inside,
        stand_off_mm: 0.0,
        relief: section::FlangeRelief::None,
    }];
    let blank = run(&flanged).blank;
    let free = blank.lengthwise.iter().find(|line| line.name == "rim, flange: free edge").unwrap();
    let bend = Bend { thickness_mm: 0.2, inside_radius_mm: 0.05, bend_angle_rad: 90f64.to_radians() };
    let allowance_mm = allowance(&bend, &Rule::default()).unwrap().allowance_mm;
    let closed = (200.0 - 0.1) / (200.0 + allowance_mm + 12.0 - 2.0 * (0.05 + 0.2)) - 1.0;
    for percent in free.strain_percent {
        near(percent, -5.660, 0.03 * 5.660);
        near(percent, 100.0 * closed, 2e-3);
    }
    // 5.7 % is within the 6 % that the shop gathers by hand without reliefs
    assert!(!blank.concerns.iter().any(|concern| concern.key == "flange-strain"));
}

/// A seam through the worst place of a deep cap leaves less strain and less work, in two pieces that make up the whole.
#[test]
fn a_seam_saves_what_it_says() {
    let whole = cap_piece(RADIUS_MM, 60f64.to_radians(), 1000, Route::LeastWork);
    let developed = run(&whole);
    let before = figures(&[&developed]);
    let settings = SkinSettings { seam_directions: 4, seam_radius_mm: 0.0, ..SkinSettings::default() };
    let seams =
        propose(&whole, &developed, &DevelopSettings::default(), &settings, &Progress::silent(), &Cancel::new())
            .unwrap();
    assert!(!seams.is_empty() && seams.len() <= 3);
    for seam in &seams {
        assert_eq!(seam.before, before);
        let area: f64 = seam.pieces.iter().map(|part| part.skin.area_mm2()).sum();
        near(area, whole.skin.area_mm2(), 1e-6 * area);
        for (part, developed) in seam.pieces.iter().zip(&seam.parts) {
            let again = run(part);
            assert_eq!(again.blank.outline_mm, developed.blank.outline_mm, "the part stands on its own");
            assert_eq!(part.edges.last().unwrap().name, "seam");
        }
    }
    let best = &seams[0];
    assert!(best.after.largest_strain < 0.9 * before.largest_strain, "{}", best.words());
    assert!(best.after.work_j < 0.8 * before.work_j, "{}", best.words());
    assert!(seams.windows(2).all(|pair| pair[0].after.stops <= pair[1].after.stops));
    let stopped = Cancel::new();
    stopped.cancel();
    let asked = propose(&whole, &developed, &DevelopSettings::default(), &settings, &Progress::silent(), &stopped);
    assert_eq!(asked.unwrap_err(), blank::skin::SkinError::Cancelled);
}
