use super::*;
use crate::points::{self, PointSettings};
use crate::{FitSettings, fit, stations};
use numerics::spline::Smoothing;

/// A part of a sphere of radius 500 over 360 × 300 mm, exact.
fn ball() -> SurfaceFit {
    let mut text = String::new();
    for i in 0..=18 {
        for j in 0..=15 {
            let (x, y) = (20.0 * f64::from(i) - 180.0, 20.0 * f64::from(j) - 150.0);
            text += &format!("{x} {y} {} 0.02\n", (250_000.0 - x * x - y * y).sqrt());
        }
    }
    let measured = points::read(&text, &PointSettings::default()).unwrap();
    let settings = FitSettings { smoothing: Smoothing::Given(1.0) };
    fit(measured, &settings, &Progress::silent(), &Cancel::new()).unwrap()
}

fn cut(fit: &SurfaceFit, edge_mm: f64, tolerance_mm: f64) -> SurfaceSkin {
    fit.skin(&SkinSettings { edge_mm, tolerance_mm }, &Progress::silent(), &Cancel::new()).unwrap()
}

/// Longest edge, smallest angle, furthest middle of a triangle from the sphere.
fn measures(skin: &Skin) -> [f64; 3] {
    let mut found = [0.0, f64::INFINITY, 0.0f64];
    for triangle in 0..skin.triangles.len() {
        let corners = skin.corners(triangle);
        for i in 0..3 {
            let (u, v) = (corners[(i + 1) % 3] - corners[i], corners[(i + 2) % 3] - corners[i]);
            found[0] = f64::max(found[0], u.length());
            found[1] = found[1].min(u.angle_between(v).to_degrees());
        }
        found[2] = found[2].max((corners.iter().sum::<DVec3>().length() / 3.0 - 500.0).abs());
    }
    found
}

#[test]
fn a_ball_is_cut_into_sound_even_triangles_within_the_tolerance() {
    let fit = ball();
    for (edge, tolerance) in [(20.0, 0.2), (10.0, 0.05), (40.0, 0.05)] {
        let skin = cut(&fit, edge, tolerance).skin;
        let topology = skin.topology().unwrap();
        assert_eq!(topology.boundaries.len(), 1);
        let [longest, narrowest, furthest] = measures(&skin);
        assert!(longest <= 1.5 * edge, "{edge} {tolerance}: longest {longest}");
        assert!(narrowest > 15.0, "{edge} {tolerance}: narrowest {narrowest}");
        assert!(furthest < tolerance + 0.02, "{edge} {tolerance}: furthest {furthest}");
        assert!(skin.triangles.iter().enumerate().all(|(t, _)| skin.double_area_normal(t).z > 0.0), "facing out");
    }
    assert!(cut(&fit, 40.0, 0.05).skin.triangles.len() > cut(&fit, 40.0, 0.5).skin.triangles.len());
    assert_eq!(cut(&fit, 20.0, 0.2), cut(&fit, 20.0, 0.2), "the same every time");
}

#[test]
fn a_corner_with_a_hole_keeps_both_and_tells_where_it_was_not_measured() {
    let text = "stations_format = 1\nreach = 0.5\noutline = [[0,0],[500,0],[500,150],[300,150],[300,300],[0,300]]\n\
        holes = [[[80,80],[160,80],[160,140],[80,140]]]\n";
    let mut text = text.to_owned();
    for station in [0.0, 75.0, 150.0, 225.0, 300.0f64] {
        text += &format!("[[profiles]]\nstation = {station}\npoints = [");
        for across in [0.0, 60.0, 120.0, 180.0, 240.0, 300.0f64] {
            text += &format!(
                "[{across}, {:.1}],",
                20.0 - (station - 150.0).powi(2) / 1800.0 - (across - 150.0).powi(2) / 1500.0
            );
        }
        text += "]\n";
    }
    let fit =
        fit(stations::read(&text).unwrap(), &FitSettings::default(), &Progress::silent(), &Cancel::new()).unwrap();
    let cut = cut(&fit, 15.0, 0.1);
    let topology = cut.skin.topology().unwrap();
    assert_eq!(topology.boundaries.len(), 2);
    assert!(
        (cut.skin.loop_length_mm(&topology.boundaries[1]) - 280.0).abs() < 3.0,
        "the hole's edge along the surface"
    );
    assert_eq!(cut.reach_mm.len(), cut.skin.points_mm.len());
    let [concern] = &cut.concerns[..] else { panic!("{:?}", cut.concerns) };
    assert!(concern.key == "far-from-readings" && concern.place.contains("along 500"), "{concern:?}");
}

#[test]
fn settings_that_cannot_be_used_are_named() {
    let fit = ball();
    let refused = |edge_mm: f64, tolerance_mm: f64| {
        let settings = SkinSettings { edge_mm, tolerance_mm };
        fit.skin(&settings, &Progress::silent(), &Cancel::new()).unwrap_err().to_string()
    };
    assert!(refused(-1.0, 0.05).contains("the edge is -1"));
    assert!(refused(10.0, f64::NAN).contains("the tolerance is NaN"));
    assert!(refused(0.1, 0.05).contains("more than 2000000 triangles"));
}
