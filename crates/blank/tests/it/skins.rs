//! Skins: the flat with its make-ups, against strips and closed forms; corners of any angle; the map of raising; wheel passes.

use blank::flatten::Route;
use blank::skin::{DevelopedSkin, SkinEdge, SkinError, SkinHole, SkinPiece, SkinSettings, Work, develop};
use blank::{DevelopSettings, HoleFinish};
use glam::{DVec2, DVec3};
use handbook::Grade;
use mesh::Skin;
use mesh::polygon::{check_simple, signed_area_mm2};
use numerics::{Cancel, Progress};
use proptest::prelude::*;
use section::{
    Along, CrossSection, Curl, EdgeLine, Face, Hand, HemKind, Link, MakeUp, Outward, Runs, Segment, Side, Strip,
};
use std::f64::consts::PI;

const T: f64 = 0.9;

pub fn flange(bend_deg: f64, width_mm: f64) -> MakeUp {
    MakeUp::Flange {
        bend_angle_rad: Along::Constant(bend_deg.to_radians()),
        inside_radius_mm: 1.5,
        width_mm: Along::Constant(width_mm),
        turns: Side::Inside,
        stand_off_mm: 0.0,
        relief: section::FlangeRelief::None,
    }
}

fn hem(width_mm: f64) -> MakeUp {
    MakeUp::Hem { width_mm, inside_radius_mm: 0.5, hem: HemKind::Closed, turns: Side::Inside }
}

fn wired() -> MakeUp {
    MakeUp::Wired { wire_mm: 3.2, curl: Curl::Geometry { wrap_rad: 1.5 * PI }, turns: Side::Inside }
}

/// A flat polygon cut into triangles about `step` wide, outside face up (+z).
fn flat_skin(outline: &[DVec2], step: f64) -> Skin {
    let mut along = Vec::new();
    for (i, &a) in outline.iter().enumerate() {
        let b = outline[(i + 1) % outline.len()];
        let n = (a.distance(b) / step).ceil().max(1.0) as usize;
        along.extend((0..n).map(|k| a.lerp(b, k as f64 / n as f64)));
    }
    let planar = mesh::planar::triangulate(&along, &[], &[]).unwrap();
    // points of a slanting side are on it to rounding only: triangles without area between three of them go
    let area = |t: &&[usize; 3]| {
        let [a, b, c] = t.map(|i| planar.points[i]);
        (b - a).perp_dot(c - a) > 1e-6
    };
    let triangles = planar.triangles.iter().filter(area).map(|t| t.map(|i| u32::try_from(i).unwrap())).collect();
    Skin { points_mm: planar.points.iter().map(|p| p.extend(0.0)).collect(), triangles }
}

fn piece(skin: Skin, edges: Vec<SkinEdge>) -> SkinPiece {
    SkinPiece {
        name: "dome corner".into(),
        skin,
        face: Face::Middle,
        thickness_mm: T,
        material: "dc04".into(),
        flow: None,
        route: Route::LeastWork,
        edges,
        hole_names: Vec::new(),
        holes: Vec::new(),
        reach_mm: 0.0,
    }
}

fn edges(outline: &[DVec2], make_ups: &[Vec<MakeUp>]) -> Vec<SkinEdge> {
    let edge = |(i, (at, make_ups)): (usize, (&DVec2, &Vec<MakeUp>))| SkinEdge {
        name: format!("edge {}", i + 1),
        from_mm: at.extend(0.0),
        make_ups: make_ups.clone(),
        held: false,
    };
    outline.iter().zip(make_ups).enumerate().map(edge).collect()
}

fn run(piece: &SkinPiece) -> Result<DevelopedSkin, SkinError> {
    develop(piece, &DevelopSettings::default(), &SkinSettings::default(), &Progress::silent(), &Cancel::new())
}

fn rectangle(length: f64, height: f64) -> Vec<DVec2> {
    vec![DVec2::ZERO, DVec2::new(length, 0.0), DVec2::new(length, height), DVec2::new(0.0, height)]
}

fn size(outline: &[DVec2]) -> DVec2 {
    outline.iter().copied().fold(DVec2::NEG_INFINITY, DVec2::max)
        - outline.iter().copied().fold(DVec2::INFINITY, DVec2::min)
}

/// The same piece as a strip: the edge line is the fold's sharp corner, the cross-section the skin.
fn strip(length: f64, height: f64, chain: Vec<MakeUp>) -> blank::Blank {
    let edge_line = EdgeLine::new(DVec3::ZERO, &[Segment::Straight { to_mm: DVec3::X * length }]).unwrap();
    let strip = Strip {
        name: "strip".into(),
        hand: Hand::Left,
        mirrored: false,
        edge_line,
        outward: Outward::One(DVec3::Y),
        face: Face::Outside,
        runs: Runs::Up,
        sections: vec![CrossSection {
            station_mm: 0.0,
            start_angle_rad: 0.0,
            links: vec![Link::Straight { length_mm: height }],
        }],
        from_mm: 0.0,
        to_mm: length,
        spare_from_mm: 0.0,
        spare_to_mm: 0.0,
        thickness_mm: T,
        material: "dc04".into(),
        finished_edge: chain,
        cut_edge: vec![],
        openings: vec![],
        reach_mm: 0.0,
        makes: section::Makes::Body,
        under_mm: 0.0,
    };
    blank::strip::develop(&strip, &DevelopSettings::default()).unwrap()
}

#[test]
fn a_flat_skin_with_one_make_up_is_the_strip() {
    let chains = [
        vec![flange(90.0, 18.0)],
        vec![flange(60.0, 18.0), flange(90.0, 12.0)],
        vec![hem(9.0)],
        vec![wired()],
        vec![MakeUp::Joggle { depth_mm: T, ramp_mm: 4.5, lap_mm: 16.0, runs_out_mm: [0.0; 2] }],
    ];
    for chain in chains {
        let outline = rectangle(400.0, 250.0);
        let mut make_ups = vec![Vec::new(); 4];
        make_ups[0] = chain.clone();
        let got = run(&piece(flat_skin(&outline, 40.0), edges(&outline, &make_ups))).unwrap().blank;
        let want = strip(400.0, 250.0, chain);
        assert_eq!(got.outline_mm.len(), 4, "{:?}", got.outline_mm);
        let mut sizes = [size(&got.outline_mm).to_array(), size(&want.outline_mm).to_array()];
        sizes.iter_mut().for_each(|pair| pair.sort_by(f64::total_cmp));
        for (a, b) in sizes[0].iter().zip(&sizes[1]) {
            assert!((a - b).abs() < 1e-7, "{sizes:?}");
        }
        assert!((got.area_mm2 - want.area_mm2).abs() < 1e-4, "{} {}", got.area_mm2, want.area_mm2);
        assert_eq!(got.folds.len(), want.folds.len());
        for (a, b) in got.folds.iter().zip(&want.folds) {
            assert_eq!((a.kind, a.turns), (b.kind, b.turns));
            // the outside is up here, the inside there
            assert_ne!(a.up, b.up);
            assert!((a.allowance_mm[0] - b.allowance_mm[0]).abs() < 1e-12);
            let length = |line: &[DVec2]| line.windows(2).map(|p| p[0].distance(p[1])).sum::<f64>();
            assert!((length(&a.centre_mm) - length(&b.centre_mm)).abs() < 1e-6, "{} is whole", a.name);
        }
        assert!(got.concerns.iter().all(|concern| concern.grade < Grade::Stop), "{:?}", got.concerns);
        assert!(got.lengthwise.is_empty(), "nothing is stretched: {:?}", got.lengthwise);
    }
}

/// A tray of a flat skin with four 90° flanges: the corner is a square notch with the relief hole F1 where the tangents cross.
#[test]
fn four_flanges_make_a_tray_with_relieved_corners() {
    let outline = rectangle(300.0, 200.0);
    let developed =
        run(&piece(flat_skin(&outline, 50.0), edges(&outline, &vec![vec![flange(90.0, 20.0)]; 4]))).unwrap();
    let blank = &developed.blank;
    assert_eq!(check_simple(&blank.outline_mm), Ok(()));
    let one = strip(300.0, 200.0, vec![flange(90.0, 20.0)]);
    let wide = size(&one.outline_mm).min_element() - 200.0;
    let want = DVec2::new(300.0 + 2.0 * wide, 200.0 + 2.0 * wide);
    assert!((size(&blank.outline_mm) - want).length() < 1e-6, "{:?} {want:?}", size(&blank.outline_mm));
    // each corner loses a square as wide as the strip, and little more: the cut-back of a sheet's thickness and the hole
    let missing = want.x * want.y - blank.area_mm2;
    let square = 4.0 * wide * wide;
    assert!(missing > square && missing < square + 4.0 * (2.0 * wide * 1.5 + PI * 1.6 * 1.6), "{missing} {square}");
    assert!(blank.workings.iter().any(|working| working.name.contains("relief") && working.value == 3.2));
    assert_eq!(blank.folds.len(), 4);
}

#[test]
fn a_wire_goes_round_a_corner_in_one() {
    let outline = rectangle(300.0, 200.0);
    let made =
        |make_ups: &[Vec<MakeUp>]| run(&piece(flat_skin(&outline, 50.0), edges(&outline, make_ups))).unwrap().blank;
    // by hand: the centre lines lie straight under the edges and cross under the corner; bent to 1.5 wires there
    let saved = 1.5 * 3.2 * (2.0 - 0.5 * PI);
    let stands_out = DevelopSettings::default().strip.wire_stands_out_mm;
    let blank = made(&[vec![wired()], vec![wired()], Vec::new(), Vec::new()]);
    let [wire] = blank.wires.as_slice() else { panic!("{:?}", blank.wires) };
    assert!((wire.cut_length_mm - (500.0 - saved + 2.0 * stands_out)).abs() < 1e-6, "{wire:?}");
    assert!(wire.name.contains("edge 1, edge 2, in one") && wire.name.contains("R4.8"), "{}", wire.name);
    let all = made(&vec![vec![wired()]; 4]);
    let [round] = all.wires.as_slice() else { panic!("{:?}", all.wires) };
    assert!((round.cut_length_mm - (1000.0 - 4.0 * saved)).abs() < 1e-6, "{round:?}");
    let apart = made(&[vec![wired()], Vec::new(), vec![wired()], Vec::new()]);
    assert_eq!(apart.wires.len(), 2);
    // a thicker wire on one of them, or a flange before it, and they cannot be one
    let thick = MakeUp::Wired { wire_mm: 4.0, curl: Curl::Geometry { wrap_rad: 1.5 * PI }, turns: Side::Inside };
    for other in [vec![thick], vec![flange(90.0, 20.0), wired()]] {
        let blank = made(&[vec![wired()], other, Vec::new(), Vec::new()]);
        let stop = blank.concerns.iter().find(|own| own.key == "skin-wires-meet").unwrap();
        assert_eq!(stop.grade, Grade::Stop);
        assert!(stop.what.contains("edge 1 and edge 2") && stop.what_to_do.contains("alike"), "{stop:?}");
    }
}

#[test]
fn trim_runs_past_the_end_of_a_flange_and_legs_are_mitred() {
    let outline = rectangle(300.0, 200.0);
    let make_ups = vec![
        vec![flange(90.0, 20.0)],
        vec![MakeUp::Raw { trim_mm: 3.0 }],
        vec![MakeUp::Seam { width_mm: 12.0 }],
        vec![MakeUp::Seam { width_mm: 8.0 }],
    ];
    let blank = run(&piece(flat_skin(&outline, 50.0), edges(&outline, &make_ups))).unwrap().blank;
    assert_eq!(check_simple(&blank.outline_mm), Ok(()));
    let wide = size(&strip(300.0, 200.0, vec![flange(90.0, 20.0)]).outline_mm).min_element() - 200.0;
    let [a, b] = [size(&blank.outline_mm).min_element(), size(&blank.outline_mm).max_element()];
    assert!((a - (200.0 + wide + 12.0)).abs() < 1e-6 && (b - (300.0 + 3.0 + 8.0)).abs() < 1e-6, "{a} {b}");
}

#[test]
fn what_has_no_room_is_a_stop_that_names_its_edge() {
    let outline = rectangle(300.0, 200.0);
    let mut notch = outline.clone();
    // a slot 20 wide and 60 deep, its sides flanged inward by 15 mm: the flats overlap
    notch.splice(
        2..2,
        [DVec2::new(300.0, 90.0), DVec2::new(240.0, 90.0), DVec2::new(240.0, 110.0), DVec2::new(300.0, 110.0)],
    );
    let mut make_ups = vec![Vec::new(); notch.len()];
    make_ups[2] = vec![flange(90.0, 15.0)];
    make_ups[4] = vec![flange(90.0, 15.0)];
    let blank = run(&piece(flat_skin(&notch, 10.0), edges(&notch, &make_ups))).unwrap().blank;
    let overlap = blank.concerns.iter().find(|concern| concern.key == "skin-flat-overlaps").unwrap();
    assert_eq!(overlap.grade, Grade::Stop);
    assert!(overlap.what.contains("edge 3") || overlap.what.contains("edge 5"), "{}", overlap.what);
    // bending away at the bottom of the slot leaves no room for a wide flange there
    let mut make_ups = vec![Vec::new(); notch.len()];
    make_ups[3] = vec![flange(90.0, 60.0)];
    let blank = run(&piece(flat_skin(&notch, 10.0), edges(&notch, &make_ups))).unwrap().blank;
    assert!(
        blank.concerns.iter().any(|c| c.key == "skin-no-room-for-make-up" && c.place == "edge 4"),
        "{:?}",
        blank.concerns
    );
}

#[test]
fn edges_are_taken_in_order_and_near_the_boundary() {
    let outline = rectangle(300.0, 200.0);
    let good = piece(flat_skin(&outline, 50.0), edges(&outline, &vec![Vec::new(); 4]));
    let mut turned = good.clone();
    turned.edges.reverse();
    assert!(matches!(run(&turned), Err(SkinError::CornerOrder { .. })));
    let mut off = good.clone();
    off.edges[1].from_mm += DVec3::Z * 40.0;
    assert!(matches!(run(&off), Err(SkinError::OffBoundary { .. })));
    assert_eq!(run(&SkinPiece { edges: Vec::new(), ..good.clone() }), Err(SkinError::NoEdges));
    let unknown = SkinPiece { material: "cheese".into(), ..good.clone() };
    assert!(matches!(run(&unknown), Err(SkinError::UnknownMaterial { .. })));
    assert!(matches!(run(&SkinPiece { thickness_mm: f64::NAN, ..good.clone() }), Err(SkinError::OutOfRange { .. })));
    let mut wide = good;
    wide.edges[0].make_ups = vec![flange(90.0, 1.0)];
    assert!(run(&wide).unwrap_err().to_string().contains("edge 1"));
}

/// The face matters by half a thickness: a dome taken on its outside face has the larger flat.
#[test]
fn a_round_hole_on_a_flat_skin_stays_where_it_was_measured() {
    let outline = rectangle(300.0, 200.0);
    let mut with = piece(flat_skin(&outline, 50.0), edges(&outline, &vec![Vec::new(); 4]));
    with.holes = vec![SkinHole {
        name: "aerial".into(),
        at_mm: DVec3::new(80.0, 60.0, 2.0),
        diameter_mm: 14.0,
        reach_mm: 0.0,
        half_clearance_mm: None,
    }];
    let blank = run(&with).unwrap().blank;
    let hole = &blank.openings[0];
    assert_eq!(hole.finish, HoleFinish::FullSize);
    let mut to_sides: Vec<f64> = blank.outline_mm.iter().map(|corner| corner.distance(hole.centre_mm)).collect();
    to_sides.sort_by(f64::total_cmp);
    assert!((to_sides[0] - 100.0).abs() < 1e-6, "{to_sides:?}");
    assert!((blank.area_mm2 - (60_000.0 - PI * 49.0)).abs() < 1e-4, "{}", blank.area_mm2);
    with.holes[0].at_mm.z = 90.0;
    assert!(matches!(run(&with), Err(SkinError::OffSkin { .. })));
}

/// Spherical cap in rings of 6, 12, 18 … points.
pub fn cap(radius_mm: f64, half_angle: f64, rings: u32) -> Skin {
    let mut skin = Skin { points_mm: vec![DVec3::Z * radius_mm], triangles: Vec::new() };
    let first = |i: u32| if i == 0 { 0 } else { 3 * i * (i - 1) + 1 };
    for i in 1..=rings {
        let polar = half_angle * f64::from(i) / f64::from(rings);
        for j in 0..6 * i {
            let around = DVec2::from_angle(2.0 * PI * f64::from(j) / f64::from(6 * i)) * polar.sin();
            skin.points_mm.push(radius_mm * around.extend(polar.cos()));
        }
        let at = |i: u32, j: u32| if i == 0 { 0 } else { first(i) + j % (6 * i) };
        for side in 0..6 {
            for k in 0..i {
                skin.triangles.push([at(i - 1, side * (i - 1) + k), at(i, side * i + k), at(i, side * i + k + 1)]);
                if k + 1 < i {
                    skin.triangles.push([
                        at(i - 1, side * (i - 1) + k),
                        at(i, side * i + k + 1),
                        at(i - 1, side * (i - 1) + k + 1),
                    ]);
                }
            }
        }
    }
    skin
}

pub fn rim(radius_mm: f64, half_angle: f64, make_ups: Vec<MakeUp>) -> Vec<SkinEdge> {
    let from_mm = radius_mm * DVec3::new(half_angle.sin(), 0.0, half_angle.cos());
    vec![SkinEdge { name: "rim".into(), from_mm, make_ups, held: false }]
}

/// A shallow cap with a seam leg all round: one closed outline without a corner, wider than the skin's flat by the leg.
#[test]
fn a_closed_rim_has_no_corner() {
    let (radius, angle) = (400.0, 0.4);
    let of = |make_ups| run(&piece(cap(radius, angle, 14), rim(radius, angle, make_ups))).unwrap();
    let (plain, leg) = (of(Vec::new()), of(vec![MakeUp::Seam { width_mm: 10.0 }]));
    for developed in [&plain, &leg] {
        assert_eq!(check_simple(&developed.blank.outline_mm), Ok(()));
    }
    let grown = size(&leg.blank.outline_mm) - size(&plain.blank.outline_mm);
    assert!((grown - DVec2::splat(20.0)).length() < 0.1, "{grown}");
    // the leg goes on along the sphere's tangent at the rim: on the piece its edge is a cone's, in the flat a ring's
    let line = leg.blank.lengthwise.iter().find(|line| line.name.contains("free edge")).unwrap();
    let want = 2.0 * PI * (radius * angle.sin() + 10.0 * angle.cos());
    assert!((line.in_piece_mm / want - 1.0).abs() < 2e-3, "{} {want}", line.in_piece_mm);
}

/// The corner hole is as large as the bend beside it asks for (F1), not as the curl farther out does: a flange of radius 0.5 with a wire of 8 mm
/// on it, whose curl has a radius of 4.
#[test]
fn the_corner_hole_goes_by_the_bend_next_to_the_skin() {
    let corners = rectangle(300.0, 200.0);
    let of = |radius: f64, wire: Option<f64>| {
        let mut chain = vec![MakeUp::Flange {
            bend_angle_rad: Along::Constant(0.5 * PI),
            inside_radius_mm: radius,
            width_mm: Along::Constant(40.0),
            turns: Side::Inside,
            stand_off_mm: 0.0,
            relief: section::FlangeRelief::None,
        }];
        chain.extend(wire.map(|wire_mm| MakeUp::Wired {
            wire_mm,
            curl: Curl::Geometry { wrap_rad: 1.5 * PI },
            turns: Side::Inside,
        }));
        let make_ups = vec![chain.clone(), chain, Vec::new(), Vec::new()];
        let developed = run(&piece(flat_skin(&corners, 20.0), edges(&corners, &make_ups))).unwrap();
        let hole = developed.blank.workings.into_iter().find(|own| own.name.contains("relief"));
        hole.map(|own| own.value).unwrap()
    };
    let (plain, wired) = (of(0.5, None), of(0.5, Some(8.0)));
    let f1 = |radius| handbook::edges::relief::relief_hole(T, radius).unwrap().diameter_mm;
    assert_eq!(plain, f1(0.5));
    assert_eq!(wired, f1(0.5));
    assert!(f1(4.0) > f1(0.5), "the curl would ask for more");
    assert_eq!(of(4.0, None), f1(4.0));
}

/// Every held edge is named with how well it was held, against its own steps in flat and piece.
#[test]
fn every_held_edge_says_how_well_it_was_held() {
    let mut asked = piece(cap(300.0, 0.5, 14), Vec::new());
    let at = |degrees: f64| {
        let (sin, cos) = 0.5f64.sin_cos();
        let around = DVec2::from_angle(degrees.to_radians()) * sin;
        300.0 * around.extend(cos)
    };
    let edge = |(name, degrees, held): (&str, f64, bool)| SkinEdge {
        name: name.into(),
        from_mm: at(degrees),
        make_ups: Vec::new(),
        held,
    };
    asked.edges = [("front", 0.0, true), ("left", 90.0, false), ("rear", 180.0, true)].map(edge).to_vec();
    let developed = run(&asked).unwrap();
    let held = &developed.forming.held;
    assert_eq!(held.iter().map(|own| own.name.as_str()).collect::<Vec<_>>(), ["front", "rear"]);
    for own in held {
        let index = asked.edges.iter().position(|edge| edge.name == own.name).unwrap();
        let miss = developed.edge_points[index].windows(2).map(|p| {
            let [a, b] = [p[0] as usize, p[1] as usize];
            let flat = developed.flat.points_mm[a].distance(developed.flat.points_mm[b]);
            (flat / developed.middle.points_mm[a].distance(developed.middle.points_mm[b]) - 1.0).abs()
        });
        let worst = miss.fold(0.0, f64::max);
        assert!((own.largest_miss - worst).abs() < 1e-12 && worst < 1e-3, "{own:?} {worst}");
        assert!((own.flat_length_mm / own.finished_length_mm - 1.0).abs() <= worst + 1e-12);
    }
    let all = held.iter().map(|own| own.largest_miss).fold(0.0, f64::max);
    assert!((all - developed.flat.held_edge_error).abs() < 1e-12, "{all} {}", developed.flat.held_edge_error);
    assert!(!developed.blank.concerns.iter().any(|own| own.key == "skin-held-edge"));
}

/// The map of a cap: bands add up to the flat, neighbours share their contours, and every label stands in its own band.
#[test]
fn the_map_of_a_cap_is_whole() {
    let developed = run(&piece(cap(300.0, 0.9, 16), rim(300.0, 0.9, Vec::new()))).unwrap();
    let bands = &developed.forming.bands;
    assert!(
        bands.len() >= 4
            && bands.iter().any(|b| b.work == Work::Stretch)
            && bands.iter().any(|b| b.work == Work::Shrink),
        "{bands:?}"
    );
    let by_triangles: f64 = bands.iter().map(|band| band.flat_area_mm2).sum();
    assert!((by_triangles / developed.flat.flat_area_mm2 - 1.0).abs() < 1e-9);
    let by_polygons: f64 = bands.iter().flat_map(|band| &band.areas).map(|area| area.flat_area_mm2).sum();
    assert!((by_polygons / developed.flat.flat_area_mm2 - 1.0).abs() < 1e-3, "{by_polygons}");
    for band in bands {
        assert!(band.mean_raise >= band.raise[0] - 1e-9 && band.mean_raise <= band.raise[1] + 1e-9, "{band:?}");
        assert_eq!(band.passes.is_some(), band.work == Work::Stretch);
        for area in &band.areas {
            assert!(mesh::polygon::contains(&area.outer_mm, area.label_mm));
            assert!(area.inner_mm.iter().all(|hole| !mesh::polygon::contains(hole, area.label_mm)));
            assert!((area.hatch.length() - 1.0).abs() < 1e-9 && signed_area_mm2(&area.outer_mm) > 0.0);
        }
    }
}

/// The area of a band against an independent sum: whole triangles of a mesh of 29 400, each by its own raise. The map draws it between
/// contours of the raise of the points, so that it is off by the square of the triangles' size; the same sum over coarse triangles by
/// their size itself.
#[test]
fn the_area_of_a_band_is_that_of_the_metal() {
    let of = |rings| run(&piece(cap(300.0, 0.9, rings), rim(300.0, 0.9, Vec::new()))).unwrap();
    let by_triangles = |developed: &DevelopedSkin, [from, to]: [f64; 2]| -> f64 {
        let flat = &developed.flat;
        let own = |(triangle, strain): (&[u32; 3], &blank::flatten::TriangleStrain)| {
            let raise = (strain.major + strain.minor).exp_m1();
            let [a, b, c] = triangle.map(|i| flat.points_mm[i as usize]);
            if raise >= from && raise < to { 0.5 * (b - a).perp_dot(c - a) } else { 0.0 }
        };
        flat.triangles.iter().zip(&flat.strains).map(own).sum()
    };
    let fine = of(70);
    // what lies in a wrong band, as a share of all that is worked on, by the map and by triangles
    let wrong = |rings: u32| -> [f64; 2] {
        let coarse = of(rings);
        let (mut off, mut whole) = ([0.0; 2], 0.0);
        for band in coarse.forming.bands.iter().filter(|band| band.work != Work::Leave) {
            let truth = by_triangles(&fine, band.raise);
            off[0] += (band.flat_area_mm2 - truth).abs();
            off[1] += (by_triangles(&coarse, band.raise) - truth).abs();
            whole += truth;
        }
        off.map(|own| own / whole)
    };
    let found = [14, 28].map(wrong);
    let [coarse, finer] = found;
    assert!(coarse[0] < 0.11 && finer[0] < 0.06 && found.iter().all(|own| own[0] < own[1]), "{found:?}");
}

/// Bands of a mesh cut up unevenly, and of a piece with an opening: they add up to the flat, and what they raise together is what the finished
/// skin has more than its flat.
#[test]
fn bands_add_up_to_the_flat_and_to_what_is_raised() {
    let mut jittered = cap(300.0, 0.9, 16);
    for (i, point) in jittered.points_mm.iter_mut().enumerate() {
        let polar = point.truncate().length();
        // the rim keeps its place
        if polar < 300.0 * 0.85f64.sin() {
            let turn = DVec2::from_angle(2.4 * i as f64) * 4.0;
            *point = (*point + turn.extend(0.0)).normalize() * 300.0;
        }
    }
    let mut holed = cap(300.0, 0.9, 16);
    holed.triangles.retain(|triangle| triangle.iter().all(|i| *i >= 7));
    holed.points_mm.drain(..7);
    holed.triangles.iter_mut().flatten().for_each(|i| *i -= 7);
    for skin in [jittered, holed] {
        let developed = run(&piece(skin, rim(300.0, 0.9, Vec::new()))).unwrap();
        let bands = &developed.forming.bands;
        let area: f64 = bands.iter().map(|band| band.flat_area_mm2).sum();
        let raised: f64 = bands.iter().map(|band| band.flat_area_mm2 * band.mean_raise).sum();
        let flat = &developed.flat;
        assert!((area / flat.flat_area_mm2 - 1.0).abs() < 1e-6, "{area} {}", flat.flat_area_mm2);
        let more = flat.panel_area_mm2 - flat.flat_area_mm2;
        // raising and gathering cancel largely: held against the flat
        assert!((raised - more).abs() < 0.002 * flat.flat_area_mm2, "{raised} {more}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    /// Quadrilaterals of any angles, one of them re-entrant now and then, with any make-ups on every edge.
    #[test]
    fn corners_of_any_angle_give_simple_outlines(
        ends in prop::array::uniform4((0.55f64..1.0, -0.3f64..0.3)),
        dart in prop::bool::ANY,
        kinds in prop::array::uniform4(0usize..6),
        widths in prop::array::uniform4(10.0f64..26.0),
        bends in prop::array::uniform4(20.0f64..150.0),
    ) {
        let corner = |i: usize, (far, turn): (f64, f64)| {
            let far = if dart && i == 2 { 0.12 } else { far };
            400.0 * far * DVec2::from_angle(PI / 4.0 + PI / 2.0 * i as f64 + turn)
        };
        let outline: Vec<DVec2> = ends.iter().enumerate().map(|(i, end)| corner(i, *end)).collect();
        prop_assume!(signed_area_mm2(&outline) > 0.0 && check_simple(&outline).is_ok());
        let make_ups: Vec<Vec<MakeUp>> = (0..4)
            .map(|i| match kinds[i] {
                0 => vec![],
                1 => vec![flange(bends[i], widths[i])],
                2 => vec![hem(widths[i])],
                3 => vec![MakeUp::Joggle { depth_mm: T, ramp_mm: 4.5, lap_mm: widths[i], runs_out_mm: [0.0; 2] }],
                4 => vec![MakeUp::Raw { trim_mm: 0.2 * widths[i] }],
                _ => vec![wired()],
            })
            .collect();
        let blank = run(&piece(flat_skin(&outline, 60.0), edges(&outline, &make_ups))).unwrap().blank;
        let room = blank.concerns.iter().all(|concern| concern.key != "skin-no-room-for-make-up");
        prop_assert!(room && check_simple(&blank.outline_mm).is_ok(), "{:?} {:?}", blank.concerns, blank.outline_mm);
        // a flange turned far over takes more at its bend (two outside setbacks) than a narrow one adds
        let taken = |i: usize| {
            let setback_mm = if kinds[i] == 1 { (1.5 + T) * (0.5 * bends[i].to_radians()).tan() } else { 0.0 };
            (2.0 * setback_mm - widths[i]).max(0.0) * outline[i].distance(outline[(i + 1) % 4])
        };
        let taken_mm2: f64 = (0..4).map(taken).sum();
        prop_assert!(blank.area_mm2 >= signed_area_mm2(&outline) - 4.0 * 60.0 - taken_mm2);
    }
}
