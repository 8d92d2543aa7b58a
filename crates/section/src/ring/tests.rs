use super::*;
use std::f64::consts::PI;

fn corner(diameter_mm: f64, height_mm: f64, inside_radius_mm: f64) -> RingCorner {
    RingCorner { radius_mm: 0.5 * diameter_mm, height_mm, inside_radius_mm }
}

fn ring(face: Face, corners: Vec<RingCorner>) -> Ring {
    Ring {
        name: "seat".into(),
        thickness_mm: 1.0,
        material: "dc04".into(),
        face,
        corners,
        leg_names: Vec::new(),
        holes: Vec::new(),
        reach_mm: 0.5,
    }
}

fn stepped() -> Ring {
    let corners =
        vec![corner(240.0, -12.0, 0.0), corner(268.0, -12.0, 2.0), corner(268.0, 0.0, 2.0), corner(320.0, 0.0, 0.0)];
    ring(Face::Outside, corners)
}

/// Area by Pappus against the sum over a fine polyline, and the length against DIN-style sums of tangents and arcs.
#[test]
fn the_middle_has_the_lengths_of_its_straights_and_arcs() {
    let meridian = Meridian::of(&stepped()).unwrap();
    // outside radii: the foot of the wall turns to the left (concave outside), its head to the right
    let rho = 2.5;
    let cut = rho * (PI / 4.0).tan();
    let straights = (14.0 - cut) + (12.0 - 2.0 * cut) + (26.0 - cut);
    // the middle corners move by half the sheet along both legs: foot 134 + 0.5, head 134 + 0.5
    let moved = straights + 0.5 - 0.5;
    assert!((meridian.length_mm() - (moved + 2.0 * rho * PI / 2.0)).abs() < 1e-9, "{}", meridian.length_mm());
    let fine = meridian.polyline(0.0, 1e-7);
    let area: f64 = fine.windows(2).map(|p| PI * (p[0].x + p[1].x) * p[0].distance(p[1])).sum();
    assert!((meridian.area_mm2() / area - 1.0).abs() < 1e-5, "{} {area}", meridian.area_mm2());
}

#[test]
fn the_surface_is_closed_and_has_the_volume_of_its_sheet() {
    for mut ring in
        [stepped(), ring(Face::Middle, vec![corner(0.0, 0.0, 0.0), corner(80.0, 0.0, 3.0), corner(80.0, 30.0, 0.0)])]
    {
        ring.thickness_mm = 0.9;
        let surface = tessellate(&ring, 0.01).unwrap();
        surface.validate().unwrap();
        assert!(surface.is_closed());
        let sheet = Meridian::of(&ring).unwrap().area_mm2() * ring.thickness_mm;
        let volume = surface.volume_mm3();
        assert!((volume / sheet - 1.0).abs() < 1e-3, "{volume} {sheet}");
    }
}

#[test]
fn faces_measured_give_the_same_ring() {
    let outside = stepped();
    let half = 0.5 * outside.thickness_mm;
    let middle: Vec<RingCorner> = [(240.0, -12.0 - half), (269.0, -12.0 - half), (269.0, -half), (320.0, -half)]
        .into_iter()
        .map(|(d, z)| corner(d, z, 2.0))
        .collect();
    let (a, b) = (Meridian::of(&outside).unwrap(), Meridian::of(&ring(Face::Middle, middle)).unwrap());
    assert_eq!(a.links.len(), b.links.len());
    for (p, q) in a.links.iter().zip(&b.links) {
        assert!(p.from_mm.distance(q.from_mm) < 1e-9 && p.to_mm.distance(q.to_mm) < 1e-9, "{p:?} {q:?}");
    }
}

#[test]
fn what_cannot_be_is_named() {
    let mut short = stepped();
    short.corners[2].height_mm = -9.0;
    short.corners[3].height_mm = -9.0;
    assert!(matches!(Meridian::of(&short), Err(SectionError::ShorterThanBend { .. })));
    let mut nan = stepped();
    nan.corners[1].radius_mm = f64::NAN;
    assert!(nan.check().unwrap_err().to_string().contains("corner 2"));
    let crossing = ring(
        Face::Middle,
        vec![corner(100.0, 0.0, 0.0), corner(200.0, 0.0, 1.0), corner(200.0, 20.0, 1.0), corner(150.0, -20.0, 0.0)],
    );
    assert!(matches!(crossing.check(), Err(SectionError::RingCrossesItself { .. })));
    let mut narrow = ring(Face::Middle, vec![corner(0.6, 0.0, 0.0), corner(0.6, 10.0, 0.0)]);
    narrow.thickness_mm = 1.0;
    assert!(narrow.check().is_err());
    let mut holed = stepped();
    holed.holes = bolt_circle(&BoltCircle {
        name: "bolt hole".into(),
        count: 8,
        circle_mm: 300.0,
        hole_mm: 6.6,
        first_rad: 0.0,
        reach_mm: 0.3,
        half_clearance_mm: Some(0.3),
    });
    holed.check().unwrap();
    assert_eq!(holed.holes.len(), 8);
    holed.holes[0].along_mm = 130.0;
    assert!(holed.check().unwrap_err().to_string().contains("flat"));
}
