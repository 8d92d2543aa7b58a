//! Edge lines against closed forms of geometry.

use glam::DVec3;
use section::{EdgeLine, SectionError, Segment};
use std::f64::consts::PI;

fn circle(degrees: f64) -> DVec3 {
    let (sin, cos) = degrees.to_radians().sin_cos();
    DVec3::new(300.0 * cos, 300.0 * sin, 20.0)
}

#[test]
fn three_point_arc_has_the_length_and_curvature_of_its_circle() {
    let line = EdgeLine::new(circle(10.0), &[Segment::Arc { via_mm: circle(50.0), to_mm: circle(210.0) }]).unwrap();
    assert!((line.length_mm() - 300.0 * 200f64.to_radians()).abs() < 1e-9, "{}", line.length_mm());
    for degrees in [-20.0, 0.0, 90.0, 200.0, 230.0f64] {
        // Stations before the start and past the end lie on the same circle.
        let at = line.at(300.0 * degrees.to_radians());
        assert!(at.position_mm.distance(circle(10.0 + degrees)) < 1e-9);
        assert!((at.curvature_per_mm.length() - 1.0 / 300.0).abs() < 1e-12);
        assert!(at.curvature_per_mm.dot(at.position_mm - DVec3::new(0.0, 0.0, 20.0)) < 0.0);
    }
}

#[test]
fn straight_goes_on_straight() {
    let line = EdgeLine::straight(DVec3::ZERO, DVec3::new(30.0, 40.0, 0.0)).unwrap();
    assert_eq!(line.length_mm(), 50.0);
    assert!(line.at(75.0).position_mm.distance(DVec3::new(45.0, 60.0, 0.0)) < 1e-12);
}

/// Length of a helix is known in closed form; a spline through 61 of its points errs by the fourth power of the spacing.
#[test]
fn spline_is_measured_by_arc_length() {
    let helix = |angle: f64| DVec3::new(200.0 * angle.cos(), 200.0 * angle.sin(), 30.0 * angle);
    let points = (1..=60).map(|i| helix(f64::from(i) / 60.0 * PI)).collect();
    let line = EdgeLine::new(helix(0.0), &[Segment::Through { points_mm: points }]).unwrap();
    assert!((line.length_mm() / (PI * 200f64.hypot(30.0)) - 1.0).abs() < 1e-6, "{}", line.length_mm());
    // Arc length by an independent route: many short chords.
    let n = 200_000;
    let (from, to) = (37.0, 511.0);
    let at = |i: i32| line.at(from + (to - from) * f64::from(i) / f64::from(n)).position_mm;
    let chords: f64 = (0..n).map(|i| at(i).distance(at(i + 1))).sum();
    assert!((chords / (to - from) - 1.0).abs() < 1e-9, "{chords}");
    let middle = line.at(300.0);
    assert!((middle.tangent.length() - 1.0).abs() < 1e-12);
    assert!((middle.curvature_per_mm.length() - 200.0 / (200f64.powi(2) + 900.0)).abs() < 1e-6);
}

#[test]
fn spline_takes_over_the_tangent_of_a_straight() {
    let through = Segment::Through { points_mm: vec![DVec3::new(150.0, 5.0, 0.0), DVec3::new(200.0, 20.0, 0.0)] };
    let line =
        EdgeLine::new(DVec3::ZERO, &[Segment::Straight { to_mm: DVec3::new(100.0, 0.0, 0.0) }, through]).unwrap();
    assert!(line.at(100.0 + 1e-9).tangent.distance(DVec3::X) < 1e-9);
}

fn kinked(degrees: f64) -> Result<EdgeLine, SectionError> {
    let (sin, cos) = degrees.to_radians().sin_cos();
    let knee = DVec3::new(100.0, 0.0, 0.0);
    let end = knee + DVec3::new(cos, sin, 0.0) * 100.0;
    EdgeLine::new(DVec3::ZERO, &[Segment::Straight { to_mm: knee }, Segment::Straight { to_mm: end }])
}

#[test]
fn small_kinks_are_rounded_and_sharp_ones_refused() {
    let line = kinked(1.9).unwrap();
    let mut before = line.at(80.0).tangent;
    for i in 1..=400 {
        let at = line.at(80.0 + 0.1 * f64::from(i));
        assert!(at.tangent.angle_between(before) < 0.001, "at {}", 80.0 + 0.1 * f64::from(i));
        before = at.tangent;
    }
    assert!(line.at(100.0).position_mm.distance(DVec3::new(100.0, 0.0, 0.0)) < 0.1);
    match kinked(24.0) {
        Err(SectionError::EdgeLine { what, station_mm, .. }) => {
            assert_eq!(what, "has a kink of 24.0°");
            assert!((station_mm - 100.0).abs() < 1e-9);
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn bad_lines_are_refused_with_their_station() {
    let what = |result: Result<EdgeLine, SectionError>| match result {
        Err(SectionError::EdgeLine { what, station_mm, .. }) => (what, station_mm),
        other => panic!("{other:?}"),
    };
    assert_eq!(what(kinked(179.0)), ("doubles back".into(), 100.0));
    assert_eq!(what(EdgeLine::new(DVec3::ZERO, &[])), ("has no length".into(), 0.0));
    assert_eq!(what(EdgeLine::straight(DVec3::X, DVec3::X)).0, "has a straight without length");
    let back = vec![DVec3::new(100.0, 0.0, 0.0), DVec3::new(60.0, 10.0, 0.0)];
    assert_eq!(
        what(EdgeLine::new(DVec3::ZERO, &[Segment::Through { points_mm: back }])),
        ("doubles back".into(), 100.0)
    );
    let line = [Segment::Arc { via_mm: DVec3::X, to_mm: DVec3::ZERO }];
    assert_eq!(what(EdgeLine::new(DVec3::ZERO, &line)).0, "has an arc whose three points give no circle");
    let nan = EdgeLine::straight(DVec3::ZERO, DVec3::new(f64::NAN, 0.0, 0.0));
    assert!(matches!(nan, Err(SectionError::OutOfRange { name, .. }) if name == "x of the end of segment 1"));
}
