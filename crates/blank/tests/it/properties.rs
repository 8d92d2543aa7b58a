//! Properties that hold for every strip.

use blank::{Blank, DevelopSettings, strip::develop};
use glam::{DQuat, DVec2, DVec3};
use proptest::prelude::*;
use section::{Along, CrossSection, EdgeLine, Face, Hand, Link, MakeUp, Outward, Runs, Segment, Side, Strip, Swept};
use std::f64::consts::PI;

/// Conical strip with a flange and a lap, placed anywhere.
#[derive(Debug, Clone)]
struct Sizes {
    radius: f64,
    sweep: f64,
    lean: f64,
    width: f64,
    bend: [f64; 2],
}

fn sizes() -> impl Strategy<Value = Sizes> {
    (300.0..2000.0, 0.2..1.5, -1.2..1.2, 30.0..90.0, 0.4..2.2, 0.4..2.2)
        .prop_map(|(radius, sweep, lean, width, a, b)| Sizes { radius, sweep, lean, width, bend: [a, b] })
}

fn plain(sizes: &Sizes, turn: DQuat, shift: DVec3) -> Strip {
    let at = |f: f64| {
        let angle = 0.5 * PI + sizes.sweep * (0.5 - f);
        turn * DVec3::new(sizes.radius * angle.cos(), 0.0, sizes.radius * angle.sin()) + shift
    };
    let edge_line = EdgeLine::new(at(0.0), &[Segment::Arc { via_mm: at(0.4), to_mm: at(1.0) }]).unwrap();
    Strip {
        name: "strip".into(),
        hand: Hand::Left,
        mirrored: false,
        from_mm: 0.0,
        to_mm: edge_line.length_mm(),
        edge_line,
        outward: Outward::One(turn * DVec3::Y),
        face: Face::Middle,
        runs: Runs::Up,
        sections: vec![CrossSection {
            station_mm: 0.0,
            start_angle_rad: sizes.lean,
            links: vec![Link::Straight { length_mm: sizes.width }],
        }],
        spare_from_mm: 0.0,
        spare_to_mm: 0.0,
        thickness_mm: 0.9,
        material: "dc01".into(),
        finished_edge: vec![],
        cut_edge: vec![],
        openings: vec![],
        reach_mm: 0.0,
        makes: section::Makes::Body,
        under_mm: 0.0,
    }
}

fn full(sizes: &Sizes, turn: DQuat, shift: DVec3) -> Strip {
    let mut strip = plain(sizes, turn, shift);
    let length = strip.to_mm;
    strip.finished_edge = vec![MakeUp::Flange {
        bend_angle_rad: Along::Stations(vec![(0.0, sizes.bend[0]), (length, sizes.bend[1])]),
        inside_radius_mm: 1.5,
        width_mm: Along::Constant(15.0),
        turns: Side::Inside,
        stand_off_mm: 0.0,
        relief: section::FlangeRelief::None,
    }];
    strip.cut_edge = vec![MakeUp::Joggle { depth_mm: 0.9, ramp_mm: 4.5, lap_mm: 15.0, runs_out_mm: [0.0; 2] }];
    strip
}

fn flat(strip: &Strip, tolerance_mm: f64) -> Blank {
    develop(strip, &DevelopSettings { sampling_tolerance_mm: tolerance_mm, ..DevelopSettings::default() }).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Handbook D16: flat area = area of the surface. Surface area by Pappus (handbook S11): arc of the middle line times width.
    #[test]
    fn developable_strip_keeps_its_area(sizes in sizes()) {
        let blank = flat(&plain(&sizes, DQuat::IDENTITY, DVec3::ZERO), 1e-5);
        let middle = sizes.radius + 0.5 * sizes.width * sizes.lean.cos();
        let area = sizes.sweep * middle * sizes.width;
        prop_assert!((blank.area_mm2 / area - 1.0).abs() < 1e-6, "{} for {area}", blank.area_mm2);
        prop_assert!(blank.lengthwise.is_empty());
    }

    #[test]
    fn rigid_motion_changes_nothing(sizes in sizes(), axis in (-1.0..1.0f64, -1.0..1.0f64, 0.2..1.0f64), angle in 0.0..6.0f64) {
        let turn = DQuat::from_axis_angle(DVec3::from(axis).normalize(), angle);
        let own = flat(&full(&sizes, DQuat::IDENTITY, DVec3::ZERO), 0.01);
        let moved = flat(&full(&sizes, turn, DVec3::new(900.0, -300.0, 50.0)), 0.01);
        prop_assert_eq!(own.outline_mm.len(), moved.outline_mm.len());
        for (p, q) in own.outline_mm.iter().zip(&moved.outline_mm) {
            prop_assert!(p.distance(*q) < 1e-5);
        }
        for (a, b) in own.lengthwise.iter().zip(&moved.lengthwise) {
            prop_assert!((a.mm_per_100_mm - b.mm_per_100_mm).abs() < 1e-7);
        }
    }

    #[test]
    fn other_hand_is_the_same_flat_turned_over(sizes in sizes()) {
        let strip = full(&sizes, DQuat::IDENTITY, DVec3::ZERO);
        let own = flat(&strip, 0.01);
        let other = flat(&Strip { mirrored: true, ..strip }, 0.01);
        prop_assert_eq!(&own.outline_mm, &other.outline_mm);
        prop_assert_ne!(own.face_up, other.face_up);
        prop_assert_eq!(own.area_mm2, other.area_mm2);
    }
}

/// Where the edge line passes from a straight into an arc, with `outward` leaning along it, the surface has a ridge; the flat must
/// neither tear nor turn there: the held line keeps its length and every other line stays in one piece.
#[test]
fn flat_hangs_together_where_curvature_jumps_and_where_a_kink_was_rounded() {
    let kink = 1.5f64.to_radians();
    let knee = DVec3::new(200.0, 0.0, 0.0);
    let second = knee + DVec3::new(kink.cos(), 0.0, kink.sin()) * 150.0;
    let direction = (second - knee).normalize();
    let up = DVec3::new(-direction.z, 0.0, direction.x);
    let on_arc = |angle: f64| second + up * 300.0 + (direction * angle.sin() - up * angle.cos()) * 300.0;
    let edge_line = EdgeLine::new(
        DVec3::ZERO,
        &[
            Segment::Straight { to_mm: knee },
            Segment::Straight { to_mm: second },
            Segment::Arc { via_mm: on_arc(0.3), to_mm: on_arc(0.7) },
        ],
    )
    .unwrap();
    let strip = Strip {
        to_mm: edge_line.length_mm(),
        edge_line,
        outward: Outward::One(DVec3::new(0.25, 1.0, 0.1)),
        ..full(
            &Sizes { radius: 400.0, sweep: 1.0, lean: 0.1, width: 60.0, bend: [1.2, 1.9] },
            DQuat::IDENTITY,
            DVec3::ZERO,
        )
    };
    let blank = flat(&strip, 0.01);
    let held = blank.lengthwise.iter().find(|line| line.held).unwrap();
    assert!((held.in_flat_mm - held.in_piece_mm).abs() < 1e-9);
    let swept = Swept::new(&strip).unwrap();
    assert!(swept.breaks_mm().len() > 4);
    // Chords of each long side add up to its integrated length: no jump at any break.
    let names: Vec<String> = swept.line_names();
    let half = blank.outline_mm.iter().position(|p| *p == corner(&blank)).unwrap();
    let run = |points: &[DVec2]| points.windows(2).map(|pair| pair[0].distance(pair[1])).sum::<f64>();
    for (points, name) in [(&blank.outline_mm[..half], &names[0]), (&blank.outline_mm[half..], &names[names.len() - 1])]
    {
        let line = blank.lengthwise.iter().find(|line| &line.name == name).unwrap();
        let chords = run(points);
        assert!((chords - line.in_flat_mm).abs() < 0.01, "{name}: {chords} for {}", line.in_flat_mm);
    }
}

/// First point of the side at the cut edge: the far end of the end line of the flat.
fn corner(blank: &Blank) -> DVec2 {
    let lap = blank.folds.iter().find(|fold| fold.name.ends_with("foot of the ramp")).unwrap();
    let end = lap.tangent_near_mm[lap.tangent_near_mm.len() - 1];
    let near = |p: &&DVec2| p.distance(end);
    // The lap is 10.5 mm wide beyond the foot of the ramp.
    *blank.outline_mm.iter().min_by(|a, b| (near(a) - 10.5).abs().total_cmp(&(near(b) - 10.5).abs())).unwrap()
}
