//! Cones, transitions and developables between two edge curves, against formulas and against unrollings that share no code with
//! the program's own: triangles laid side by side in the plane by their three sides.

use crate::near::near;
use blank::ruled::{DevelopedRuled, RollLineKind, develop};
use blank::{Blank, DevelopSettings};
use glam::{DVec2, DVec3};
use mesh::polygon::signed_area_mm2;
use proptest::prelude::*;
use section::ruled::{
    Between, Cone, Curve, Element, End, Girth, Make, Ruled, RuledEdge, SeamPlace, Transition, TransitionEnd,
};
use section::{Face, Hand, Segment};
use std::f64::consts::{PI, TAU};

/// What every test piece is made of; sizes at the middle of the sheet unless changed.
pub fn make() -> Make {
    Make {
        name: "test piece".into(),
        hand: Hand::Left,
        mirrored: false,
        given: Face::Middle,
        thickness_mm: 0.9,
        material: "dc04".into(),
        girth: Girth::default(),
        lap_mm: 0.0,
        fold_radius_mm: 1.5,
        step_rad: 15f64.to_radians(),
        reach_mm: 0.0,
    }
}

pub fn frustum(bottom_radius_mm: f64, top_radius_mm: f64, height_mm: f64) -> Cone {
    Cone { bottom_radius_mm, top_radius_mm, height_mm, offset_mm: [0.0, 0.0], top_tilt_rad: 0.0 }
}

fn flat_of(piece: &Ruled) -> DevelopedRuled {
    develop(piece, &DevelopSettings::default()).unwrap()
}

fn cone(shape: &Cone) -> DevelopedRuled {
    flat_of(&shape.piece(&make()).unwrap())
}

fn square_to_round() -> Transition {
    let level = |end| TransitionEnd { end, turned_rad: 0.0 };
    Transition {
        bottom: level(End::Rectangle { size_mm: [200.0, 200.0], corner_radius_mm: 0.0 }),
        top: level(End::Round { diameter_mm: 150.0 }),
        height_mm: 150.0,
        offset_mm: [0.0, 0.0],
        top_tilt_rad: [0.0, 0.0],
    }
}

/// D2, D3, D4: cones to a point, sector radius and angle (mathematics reference; blacksmith's page; public-domain mechanics text).
#[test]
fn d2_to_d4_cones_to_a_point() {
    let angle = |flat: &DevelopedRuled| flat.layout.sector.as_ref().unwrap().angle_rad.to_degrees();
    let d2 = cone(&frustum(50.0, 0.0, 120.0));
    near(d2.layout.ends_mm[0], 130.0, 1e-9);
    near(angle(&d2), 138.461_538_5, 1e-6);
    // a cone whose point measures 90°: as high as its radius
    near(angle(&cone(&frustum(70.0, 0.0, 70.0))), 360.0 * (PI / 4.0).sin(), 1e-6);
    near(360.0 * (PI / 4.0).sin(), 254.56, 0.005);
    // slant six times the radius
    near(angle(&cone(&frustum(10.0, 0.0, 10.0 * 35f64.sqrt()))), 60.0, 1e-6);
}

/// The angle at the point of the flat itself, from its outline, and not from the formula that is printed beside it.
#[test]
fn d2_the_flat_has_the_angle_that_is_printed() {
    let flat = cone(&frustum(50.0, 0.0, 120.0));
    let point = flat.layout.lines[0].line_mm[1];
    let away: Vec<DVec2> = flat.blank.outline_mm.iter().map(|p| *p - point).filter(|p| p.length() > 1.0).collect();
    for radius in &away {
        near(radius.length(), 130.0, 1e-9);
    }
    let mut angles: Vec<f64> = away.iter().map(|p| p.to_angle().rem_euclid(TAU)).collect();
    angles.sort_by(f64::total_cmp);
    let gap =
        angles.windows(2).map(|pair| pair[1] - pair[0]).fold(angles[0] + TAU - angles[angles.len() - 1], f64::max);
    near((TAU - gap).to_degrees(), 138.461_538_5, 1e-6);
}

/// D5: frustum R 100, r 60, H 150 (a derivation in a mathematics forum): slant, both radii, angle, area.
#[test]
fn d5_frustum() {
    let flat = cone(&frustum(100.0, 60.0, 150.0));
    let sector = flat.layout.sector.as_ref().unwrap();
    near(sector.slant_mm, 155.242, 0.5e-3);
    near(sector.outer_mm, 388.104, 0.5e-3);
    near(sector.inner_mm, 232.863, 0.5e-3);
    near(sector.angle_rad.to_degrees(), 92.7586, 0.5e-4);
    near(flat.layout.sheet_area_mm2, 78_033.0, 0.05);
    // the outline as cut lies on the two circles about one centre
    let [first, last] =
        [&flat.layout.lines[0], &flat.layout.lines[flat.layout.lines.len() - 1]].map(|line| line.line_mm);
    let along = |[a, b]: [DVec2; 2]| (b - a).normalize();
    let (d, e, r) = (along(first), along(last), last[0] - first[0]);
    let centre = first[0] + d * (r.perp_dot(e) / d.perp_dot(e));
    for point in &flat.blank.outline_mm {
        let radius = point.distance(centre);
        let off = (radius - sector.outer_mm).abs().min((radius - sector.inner_mm).abs());
        assert!(off < 1e-8, "{point} lies {off} mm off both circles");
    }
}

/// D13's choice for cones: the middle of the sheet lies half a thickness from the measured face along the sheet's normal, so a radius over
/// the outside loses t/2 · cos of the half-angle (geometry).
#[test]
fn faces_are_brought_to_the_middle_along_the_normal() {
    let shape = frustum(100.0, 60.0, 150.0);
    let slant = 40f64.hypot(150.0);
    let level = 0.45 * 150.0 / slant;
    for (given, by) in [(Face::Outside, -level), (Face::Inside, level)] {
        let flat = flat_of(&shape.piece(&Make { given, ..make() }).unwrap());
        near(flat.layout.edges[0].length_mm, TAU * (100.0 + by), 1e-9);
        near(flat.layout.edges[1].length_mm, TAU * (60.0 + by), 1e-9);
        near(flat.layout.sector.as_ref().unwrap().outer_mm, (100.0 + by) * slant / 40.0, 1e-9);
        near(flat.layout.sheet_area_mm2, PI * (160.0 + 2.0 * by) * slant, 1e-6);
        // to a point: the middle's own cone has the same angle at its point
        let pointed = flat_of(&frustum(50.0, 0.0, 120.0).piece(&Make { given, ..make() }).unwrap());
        let by = by.signum() * 0.45 * 120.0 / 130.0;
        near(pointed.layout.edges[0].length_mm, TAU * (50.0 + by), 1e-9);
        near(pointed.layout.ends_mm[0], 130.0 * (50.0 + by) / 50.0, 1e-9);
    }
}

/// D14: square 200 to round 150, 150 high: true lengths from a corner to the points of its quarter, the mid-side seam, the chord between
/// the points (triangulation).
#[test]
fn d14_square_to_round() {
    let piece = square_to_round().piece(&Make { step_rad: 20f64.to_radians(), ..make() }).unwrap();
    // the corner at (100, 100) and the quarter circle it faces
    let mut found: Vec<(f64, f64)> = Vec::new();
    for degrees in [0.0, 22.5, 45.0, 67.5, 90.0f64] {
        let on_circle = DVec3::new(75.0 * degrees.to_radians().cos(), 75.0 * degrees.to_radians().sin(), 150.0);
        let length = piece
            .spans
            .iter()
            .flat_map(|span| [0.0, 0.25, 0.5, 0.75, 1.0].map(|u| piece.ruling(span, u)))
            .filter(|ruling| ruling.a_mm.distance(DVec3::new(100.0, 100.0, 0.0)) < 1e-9)
            .min_by(|a, b| a.b_mm.distance(on_circle).total_cmp(&b.b_mm.distance(on_circle)));
        let ruling = length.unwrap();
        assert!(ruling.b_mm.distance(on_circle) < 1e-6, "no ruling to {degrees}°: {:?}", ruling.b_mm);
        found.push((degrees, ruling.length_mm()));
    }
    for ((_, got), want) in found.iter().zip([182.003, 168.898, 164.048, 168.898, 182.003]) {
        near(*got, want, 0.5e-3);
    }
    near(2.0 * 75.0 * (11.25f64.to_radians()).sin(), 29.264, 0.5e-3);
    let flat = flat_of(&piece);
    near(flat.layout.ends_mm[0], 152.069, 0.5e-3);
    near(flat.layout.ends_mm[1], 152.069, 0.5e-3);
    near(flat.layout.edges[0].length_mm, 800.0, 1e-9);
    near(flat.layout.edges[1].length_mm, TAU * 75.0, 1e-9);
    // the middle line of every corner is as long as the true length to its middle, and lies half way along its quarter
    let lines = &flat.layout.lines;
    let rolled = lines.iter().filter(|line| line.kind == RollLineKind::Roll);
    let middles: Vec<f64> =
        rolled.filter(|line| (line.length_mm - 164.048).abs() < 0.5e-3).map(|line| line.along_mm[1]).collect();
    for (quarter, along) in middles.iter().enumerate() {
        near(*along, TAU * 75.0 * (quarter as f64 + 0.5) / 4.0, 1e-6);
    }
    assert_eq!(middles.len(), 4);
    // four flat triangles and four corners
    assert_eq!(flat.layout.lines.iter().filter(|line| line.kind == RollLineKind::Limit).count(), 8);
    assert!(
        flat.blank.concerns.iter().all(|concern| concern.grade == handbook::Grade::Note),
        "{:?}",
        flat.blank.concerns
    );
}

/// D15: oblique cone, base r 50, its point offset 30, H 120: true lengths by the radial-line method.
#[test]
fn d15_oblique_cone() {
    let shape = Cone { offset_mm: [30.0, 0.0], ..frustum(50.0, 0.0, 120.0) };
    let piece =
        shape.piece(&Make { girth: Girth { seam: SeamPlace::Share(0.0), ..Girth::default() }, ..make() }).unwrap();
    let want = [121.655, 123.296, 127.672, 133.417, 138.924, 142.822, 144.222];
    for (i, want) in want.into_iter().enumerate() {
        let angle = (30.0 * i as f64).to_radians();
        let at = DVec3::new(50.0 * angle.cos(), 50.0 * angle.sin(), 0.0);
        let nearest = piece
            .spans
            .iter()
            .flat_map(|span| [piece.ruling(span, 0.0), piece.ruling(span, 1.0)])
            .min_by(|a, b| a.a_mm.distance(at).total_cmp(&b.a_mm.distance(at)))
            .unwrap();
        assert!(nearest.a_mm.distance(at) < 1e-9);
        // the handbook's figures are good to one in their last digit
        near(nearest.length_mm(), want, 1e-3);
    }
    // all rulings run to one point of the flat
    let flat = flat_of(&piece);
    let point = flat.layout.lines[0].line_mm[1];
    for line in &flat.layout.lines {
        assert!(line.line_mm[1].distance(point) < 1e-9);
    }
}

/// An unrolling of its own: rulings at `count` places a span, the triangles between them laid into the plane by their sides. Returns area
/// and the lengths of both edges.
fn by_triangles(piece: &Ruled, count: u32) -> (f64, [f64; 2]) {
    let off = piece.to_middle_mm();
    let mut area = 0.0;
    let mut edges = [0.0; 2];
    let mut before: Option<(DVec3, DVec3)> = None;
    for span in &piece.spans {
        for i in 0..=count {
            let ruling = piece.ruling(span, f64::from(i) / f64::from(count));
            let now = (ruling.a_mm + ruling.normal * off, ruling.b_mm + ruling.normal * off);
            if let Some((a, b)) = before {
                area += 0.5 * ((now.0 - a).cross(b - a).length() + (now.1 - b).cross(b - now.0).length());
                edges[0] += a.distance(now.0);
                edges[1] += b.distance(now.1);
            }
            before = Some(now);
        }
    }
    (area, edges)
}

/// Richardson's extrapolation of a figure whose error goes with the square of the step.
fn extrapolated(coarse: f64, fine: f64) -> f64 {
    fine + (fine - coarse) / 3.0
}

/// D16 on a piece: area, edge lengths and ruling lengths of the flat against the unrolling by triangles.
fn d16(piece: &Ruled) -> DevelopedRuled {
    let flat = flat_of(piece);
    let (coarse, fine) = (by_triangles(piece, 24), by_triangles(piece, 48));
    let area = extrapolated(coarse.0, fine.0);
    let (lap, sheet) = (piece.lap_mm, flat.layout.sheet_area_mm2);
    assert!((sheet / area - 1.0).abs() < 1e-6, "{sheet} {area}");
    for edge in [0, 1] {
        let length = extrapolated(coarse.1[edge], fine.1[edge]);
        let got = flat.layout.edges[edge].length_mm;
        assert!((got - length).abs() < 1e-6 * (1.0 + length), "{} {got} {length}", flat.layout.edges[edge].name);
    }
    for line in &flat.layout.lines {
        assert!((line.line_mm[0].distance(line.line_mm[1]) - line.length_mm).abs() < 1e-9);
    }
    outline_agrees(&flat.blank, &flat, lap);
    flat
}

/// The outline that is cut has the area and the edges that are printed, within the chords of its curves.
fn outline_agrees(blank: &Blank, flat: &DevelopedRuled, lap_mm: f64) {
    let outline = signed_area_mm2(&blank.outline_mm);
    assert!(outline > 0.0);
    let sheet = flat.layout.sheet_area_mm2 + lap_mm * flat.layout.ends_mm[0];
    assert!((outline / sheet - 1.0).abs() < 1e-3, "{outline} {sheet}");
    if lap_mm == 0.0 {
        let next = blank.outline_mm.iter().cycle().skip(1);
        let girth: f64 = blank.outline_mm.iter().zip(next).map(|(a, b)| a.distance(*b)).sum();
        let printed =
            flat.layout.edges.iter().map(|edge| edge.length_mm).sum::<f64>() + flat.layout.ends_mm.iter().sum::<f64>();
        assert!((girth / printed - 1.0).abs() < 2e-4, "{girth} {printed}");
    }
}

/// D16 for every form, every face, every seam and shares of the girth.
#[test]
fn d16_flats_keep_area_edges_and_rulings() {
    let tilted = Cone { top_tilt_rad: 0.3, ..frustum(100.0, 60.0, 150.0) };
    let leaning = Cone { offset_mm: [35.0, -20.0], ..frustum(90.0, 50.0, 140.0) };
    for given in [Face::Outside, Face::Middle, Face::Inside] {
        for shape in [&tilted, &leaning, &frustum(100.0, 60.0, 150.0), &frustum(60.0, 100.0, 80.0)] {
            for girth in [
                Girth::default(),
                Girth { seam: SeamPlace::Share(0.37), ..Girth::default() },
                Girth { seam: SeamPlace::Short, pieces: 2, piece: 2 },
                Girth { seam: SeamPlace::Share(0.2), pieces: 3, piece: 1 },
            ] {
                d16(&shape.piece(&Make { given, girth, ..make() }).unwrap());
            }
        }
    }
    for seam in [SeamPlace::Short, SeamPlace::Corner(2), SeamPlace::MidSide(3), SeamPlace::Share(0.4)] {
        for shape in transitions() {
            let rounded = matches!(shape.bottom.end, End::Rectangle { corner_radius_mm, .. } if corner_radius_mm > 0.0);
            if rounded && matches!(seam, SeamPlace::Corner(_)) {
                continue; // has none
            }
            let girth = Girth { seam, ..Girth::default() };
            d16(&shape.piece(&Make { girth, ..make() }).unwrap());
            d16(&shape.piece(&Make { girth: Girth { pieces: 2, piece: 1, ..girth }, ..make() }).unwrap());
        }
    }
}

fn transitions() -> Vec<Transition> {
    let round = |diameter_mm| TransitionEnd { end: End::Round { diameter_mm }, turned_rad: 0.0 };
    let rectangle =
        |a, b, r| TransitionEnd { end: End::Rectangle { size_mm: [a, b], corner_radius_mm: r }, turned_rad: 0.0 };
    let base = square_to_round();
    vec![
        base.clone(),
        Transition { offset_mm: [40.0, 15.0], ..base.clone() },
        Transition { top_tilt_rad: [0.25, -0.1], ..base.clone() },
        Transition { bottom: rectangle(260.0, 140.0, 0.0), ..base.clone() },
        Transition { bottom: TransitionEnd { turned_rad: 0.3, ..rectangle(220.0, 180.0, 0.0) }, ..base.clone() },
        Transition { bottom: rectangle(260.0, 140.0, 25.0), offset_mm: [10.0, 0.0], ..base.clone() },
        Transition { bottom: rectangle(180.0, 180.0, 0.0), top: round(230.0), ..base },
    ]
}

/// Parts in two pieces add up to the whole; so do their girths.
#[test]
fn shares_of_the_girth_add_up_to_the_whole() {
    let whole = cone(&frustum(100.0, 60.0, 150.0));
    let halves: Vec<DevelopedRuled> = [1, 2]
        .map(|piece| {
            let girth = Girth { pieces: 2, piece, ..Girth::default() };
            flat_of(&frustum(100.0, 60.0, 150.0).piece(&Make { girth, ..make() }).unwrap())
        })
        .into();
    near(halves.iter().map(|half| half.layout.sheet_area_mm2).sum(), whole.layout.sheet_area_mm2, 1e-6);
    for edge in [0, 1] {
        near(
            halves.iter().map(|half| half.layout.edges[edge].length_mm).sum(),
            whole.layout.edges[edge].length_mm,
            1e-9,
        );
    }
    near(
        halves[0].layout.sector.as_ref().unwrap().angle_rad,
        0.5 * whole.layout.sector.as_ref().unwrap().angle_rad,
        1e-9,
    );
    assert!(!halves[0].layout.own_seam && whole.layout.own_seam);
}

/// Bends of the roll lines add up to the bend of the whole: once round in the level sense for a cone, TAU · cos of the half-angle
/// (the normal of a cone moves on a circle of that radius; geometry).
#[test]
fn roll_lines_add_up_to_the_bend() {
    let flat = cone(&frustum(100.0, 60.0, 150.0));
    let sum: f64 = flat.layout.lines.iter().map(|line| line.bend_rad).sum();
    near(sum, TAU * 150.0 / 40f64.hypot(150.0), 1e-9);
    assert!(flat.layout.lines.iter().all(|line| line.up && line.bend_rad <= 15f64.to_radians() + 1e-9));
    // the first and the last line lie half a step from the seam
    near(
        flat.layout.lines[0].along_mm[0] * 2.0,
        flat.layout.lines[1].along_mm[0] - flat.layout.lines[0].along_mm[0],
        1e-9,
    );
}

/// A hopper, rectangle to rectangle: four flats and four sharp folds. The flats at the middle of the sheet are plane trapezoids, and each
/// fold takes its allowance less two setbacks (bend rule; geometry).
#[test]
fn a_hopper_is_flats_and_sharp_folds() {
    let level =
        |a, b| TransitionEnd { end: End::Rectangle { size_mm: [a, b], corner_radius_mm: 0.0 }, turned_rad: 0.0 };
    let shape = Transition {
        bottom: level(300.0, 200.0),
        top: level(150.0, 100.0),
        height_mm: 120.0,
        offset_mm: [0.0, 0.0],
        top_tilt_rad: [0.0, 0.0],
    };
    let piece = shape.piece(&make()).unwrap();
    let flat = flat_of(&piece);
    assert_eq!(flat.blank.folds.len(), 4);
    // dihedral: normals of the two leaning sides, (120, 0, 75) and (0, 120, 50) by their slopes
    let (n1, n2) = (DVec3::new(120.0, 0.0, 75.0).normalize(), DVec3::new(0.0, 120.0, 50.0).normalize());
    let bend = n1.dot(n2).acos();
    for fold in &flat.blank.folds {
        near(fold.bend_angle_rad[0], bend, 1e-9);
        assert!(fold.up && fold.sight_mm.len() == 2);
    }
    let fold = &flat.blank.folds[0];
    let add = fold.allowance_mm[0] - 2.0 * (0.5 * bend).tan() * (1.5 + 0.45);
    near(flat.layout.edges[0].length_mm, 1000.0 + 4.0 * add, 1e-9);
    near(flat.layout.edges[1].length_mm, 500.0 + 4.0 * add, 1e-9);
    // the outline as cut: four trapezoids to their tangent lines and four bands as wide as the allowance
    let area = flats_mm2() + 4.0 * add * (75f64.powi(2) + 50f64.powi(2) + 120f64.powi(2)).sqrt();
    let outline = signed_area_mm2(&flat.blank.outline_mm);
    assert!((outline / area - 1.0).abs() < 2e-4, "{outline} {area}");
    // its seam along a corner folds three times only
    let girth = Girth { seam: SeamPlace::Corner(1), ..Girth::default() };
    assert_eq!(flat_of(&shape.piece(&Make { girth, ..make() }).unwrap()).blank.folds.len(), 3);
}

/// The four sides of that hopper: trapezoids 300 to 150 and 200 to 100 wide, as high as they lean.
fn flats_mm2() -> f64 {
    (300.0 + 150.0) * 50f64.hypot(120.0) + (200.0 + 100.0) * 75f64.hypot(120.0)
}

fn edge(name: &str, curve: Curve) -> RuledEdge {
    RuledEdge { name: name.into(), curve }
}

fn open(curves: [Curve; 2]) -> Between {
    let [a, b] = curves;
    Between { edges: [edge("lower edge", a), edge("upper edge", b)], outward: Some(DVec3::X) }
}

fn smooth(points: &[DVec3]) -> Curve {
    let segments = [Segment::Through { points_mm: points[1..].to_vec() }];
    Curve::from_segments("an edge", points[0], &segments).unwrap()
}

/// A known cone found again from its two edge curves alone: two ellipses in which tilted planes cut it. Every ruling found runs
/// through the cone's point.
#[test]
fn a_cone_is_found_again_from_its_two_edges() {
    let point = DVec3::new(0.0, 0.0, 300.0);
    // a plane z = h + x·s cuts the cone of radius (300 − z)/2 at these places
    let cut = |h: f64, s: f64| {
        let (near_mm, far_mm) = ((300.0 - h) / (2.0 + s), (300.0 - h) / (2.0 - s));
        let (first, last) = (DVec3::new(near_mm, 0.0, h + s * near_mm), DVec3::new(-far_mm, 0.0, h - s * far_mm));
        let centre = 0.5 * (first + last);
        let across = ((0.5 * (300.0 - centre.z)).powi(2) - centre.x * centre.x).sqrt();
        // from another place round the ellipse on each
        let (a, b) = (first - centre, DVec3::Y * across);
        (centre, a, b)
    };
    let ellipse = |(centre, a, b): (DVec3, DVec3, DVec3), turn: f64| {
        let whole = Element::Arc { centre_mm: centre, cos_mm: a, sin_mm: b, from_rad: turn, to_rad: turn + TAU };
        Curve::new("an ellipse", vec![whole], true).unwrap()
    };
    let between = Between {
        edges: [edge("lower", ellipse(cut(20.0, 0.2), 0.7)), edge("upper", ellipse(cut(170.0, -0.4), 2.9))],
        outward: None,
    };
    let piece = between.piece(&make()).unwrap();
    for span in &piece.spans {
        for u in [0.0, 0.3, 1.0] {
            let ruling = piece.ruling(span, u);
            let off = (point - ruling.a_mm).cross(ruling.e).length();
            assert!(off < 1e-7, "a ruling passes the point at {off} mm");
        }
    }
    assert!(piece.twist().twist_rad < 1e-7 && !piece.twist().crossing);
    assert_eq!(piece.outside, -1.0);
    // in the flat, too
    let flat = d16(&piece);
    let lines = &flat.layout.lines;
    let meet = |i: usize, j: usize| {
        let ([a, b], [c, d]) = (lines[i].line_mm, lines[j].line_mm);
        let (e, f) = ((b - a).normalize(), (d - c).normalize());
        a + e * ((c - a).perp_dot(f) / e.perp_dot(f))
    };
    for (i, j) in [(0, 5), (3, 9), (2, 14)] {
        assert!(meet(i, j).distance(meet(0, 7)) < 1e-5);
    }
}

/// A known cylinder: two plane sections, rulings parallel to its axis.
#[test]
fn a_cylinder_is_found_again_from_its_two_edges() {
    let section = |h: f64, slope: f64, turn: f64| {
        let whole = Element::Arc {
            centre_mm: DVec3::Z * h,
            cos_mm: DVec3::new(80.0, 0.0, 80.0 * slope),
            sin_mm: DVec3::Y * 80.0,
            from_rad: turn,
            to_rad: turn + 2.5,
        };
        Curve::new("a section", vec![whole], false).unwrap()
    };
    let between = open([section(0.0, 0.3, 0.2), section(150.0, -0.5, 0.2)]);
    let piece = between.piece(&Make { given: Face::Outside, ..make() }).unwrap();
    for span in &piece.spans {
        assert!(piece.ruling(span, 0.4).e.cross(DVec3::Z).length() < 1e-9);
    }
    let flat = d16(&piece);
    // unrolled at the middle of the sheet: 2.5 rad of radius 80 − 0.45 wide, whatever the cuts
    let xs = |line: [DVec2; 2]| line[0].distance(line[1]);
    assert!(flat.layout.lines.iter().all(|line| (xs(line.line_mm) - line.length_mm).abs() < 1e-9));
    let ends = [piece.spans.first().unwrap(), piece.spans.last().unwrap()];
    let (first, last) = (piece.ruling(ends[0], 0.0), piece.ruling(ends[1], 1.0));
    let (start, end) = (flat.blank.marks.first(), flat.blank.marks.last());
    assert!(start.is_some() && end.is_some() && first.length_mm() > 0.0 && last.length_mm() > 0.0);
    let wide: f64 = flat.layout.lines.iter().map(|line| line.bend_rad.abs()).sum::<f64>() * (80.0 - 0.45);
    near(wide, 2.5 * (80.0 - 0.45), 1e-6);
}

/// A tangent developable: the tangents of a helix, between two curves on it. The rulings found are those tangents.
#[test]
fn a_tangent_developable_is_found_again() {
    let (r, c) = (60.0, 40.0);
    let helix = |t: f64| DVec3::new(r * t.cos(), r * t.sin(), c * t);
    let tangent = |t: f64| DVec3::new(-r * t.sin(), r * t.cos(), c).normalize();
    // many points: the spline through them is the curve to 1e-6 mm
    let curve = |out: f64| {
        let points: Vec<DVec3> =
            (0..=240).map(|i| 1.2 * f64::from(i) / 240.0).map(|t| helix(t) + tangent(t) * out).collect();
        smooth(&points)
    };
    let piece = open([curve(50.0), curve(130.0)]).piece(&make()).unwrap();
    assert!(piece.twist().twist_rad < 2e-4, "{:?}", piece.twist());
    let mut checked = 0;
    for span in piece.spans.iter().filter(|span| !span.linear) {
        let ruling = piece.ruling(span, 0.5);
        // the nearest tangent: rulings touch the helix where they are produced beyond edge A
        let t = (0..12_000)
            .map(|i| 1.2 * f64::from(i) / 12_000.0)
            .min_by(|a, b| {
                let off = |t: f64| (helix(t) + tangent(t) * 50.0).distance(ruling.a_mm);
                off(*a).total_cmp(&off(*b))
            })
            .unwrap();
        if (0.05..1.15).contains(&t) {
            let off = ruling.e.cross(tangent(t)).length();
            assert!(off < 1e-3, "at {t}: {off}");
            checked += 1;
        }
    }
    assert!(checked > 20, "{checked}");
    d16(&piece);
}

/// A straight and a smooth edge: the straight's triangle, cones about its ends. Two skew straights cannot be joined: a stop that says where.
#[test]
fn what_cannot_be_joined_by_bending_is_stopped_with_its_twist() {
    let straight = |from: DVec3, to: DVec3| {
        Curve::new("an edge", vec![Element::Straight { from_mm: from, to_mm: to }], false).unwrap()
    };
    // opposite sides of a skew quadrilateral: the ruled surface between them is a saddle
    let a = straight(DVec3::ZERO, DVec3::new(200.0, 0.0, 0.0));
    let b = straight(DVec3::new(0.0, 150.0, 0.0), DVec3::new(200.0, 150.0, 80.0));
    let piece = open([a, b]).piece(&make()).unwrap();
    let flat = flat_of(&piece);
    let stop = flat.blank.concerns.iter().find(|concern| concern.key == "not-by-bending").unwrap();
    assert_eq!(stop.grade, handbook::Grade::Stop);
    // the crease between the two triangles, by their normals
    let (p, q, s, v) =
        (DVec3::ZERO, DVec3::new(200.0, 0.0, 0.0), DVec3::new(0.0, 150.0, 0.0), DVec3::new(200.0, 150.0, 80.0));
    let crease = |one: [DVec3; 3], other: [DVec3; 3]| {
        let normal = |[a, b, c]: [DVec3; 3]| (b - a).cross(c - a).normalize();
        normal(one).dot(normal(other)).acos()
    };
    let either = [crease([p, q, v], [p, v, s]), crease([p, q, s], [q, v, s])];
    assert!(either.iter().any(|want| (want - piece.twist().twist_rad).abs() < 1e-9), "{either:?} {:?}", piece.twist());
    assert!(stop.what.contains('°') && stop.what.contains("mm"), "{}", stop.what);
}

fn arc_points(count: u32, at: impl Fn(f64) -> DVec3) -> Vec<DVec3> {
    (0..=count).map(|i| at(f64::from(i) / f64::from(count))).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    /// Random pairs of bulged edges: either the flat is isometric (D16), or the piece carries a concern, or the error says what is
    /// wrong.
    #[test]
    fn random_edges_give_an_isometric_flat_or_say_why_not(
        bulge_a in -60.0..60.0f64, bulge_b in -60.0..60.0f64, lean in -80.0..80.0f64, twist in -0.6..0.6f64,
        rise in 60.0..200.0f64, skew in -30.0..30.0f64, wave in -8.0..8.0f64,
    ) {
        let a = smooth(&arc_points(12, |s| DVec3::new(bulge_a * (PI * s).sin(), 240.0 * s, wave * (2.0 * PI * s).sin())));
        let b = smooth(&arc_points(12, |s| {
            let across = bulge_b * (PI * s).sin();
            DVec3::new(lean + across * twist.cos(), 20.0 + 200.0 * s + skew * s * s, rise + across * twist.sin() + 40.0 * twist * s)
        }));
        match open([a, b]).piece(&make()).map_err(blank::BlankError::from).and_then(|piece| Ok((develop(&piece, &DevelopSettings::default())?, piece))) {
            Ok((flat, piece)) => {
                let said = flat.blank.concerns.iter().any(|concern| concern.key == "not-by-bending");
                if !said {
                    prop_assert!(flat.layout.twist_rad < 1e-3);
                    d16(&piece);
                }
                prop_assert!(said || flat.layout.twist_rad < 0.05f64.to_radians());
            }
            Err(error) => prop_assert!(error.to_string().len() > 30, "{error}"),
        }
    }

    /// Random ducts: rectangle or oval to round, offset, turned and tilted. Convex ends can always be joined by bending alone.
    #[test]
    fn random_ducts_can_always_be_bent(
        a in 120.0..400.0f64, b in 120.0..400.0f64, corner in 0.0..50.0f64, sharp: bool, diameter in 60.0..300.0f64,
        height in 80.0..300.0f64, x in -60.0..60.0f64, y in -60.0..60.0f64, turned in -0.7..0.7f64, tilt in -0.2..0.2f64,
    ) {
        let end = End::Rectangle { size_mm: [a, b], corner_radius_mm: if sharp { 0.0 } else { corner + 2.0 } };
        let shape = Transition {
            bottom: TransitionEnd { end, turned_rad: turned },
            top: TransitionEnd { end: End::Round { diameter_mm: diameter }, turned_rad: 0.0 },
            height_mm: height,
            offset_mm: [x, y],
            top_tilt_rad: [tilt, 0.0],
        };
        let piece = shape.piece(&make());
        prop_assert!(piece.is_ok(), "{piece:?}");
        let piece = piece.unwrap();
        prop_assert!(piece.twist().twist_rad < 1e-6, "{:?}", piece.twist());
        d16(&piece);
    }
}

/// The program's flattening of skins, on meshes cut along the rulings at 0.25° a step, gives the same flat.
#[test]
fn flattening_of_skins_agrees_on_meshes_along_the_rulings() {
    use blank::flatten::{FlattenSettings, flatten};
    use numerics::{Cancel, Progress};
    let leaning = Cone { offset_mm: [35.0, -20.0], ..frustum(90.0, 50.0, 140.0) };
    let girth = Girth { pieces: 2, ..Girth::default() };
    let pieces = [
        leaning.piece(&Make { girth, ..make() }).unwrap(),
        square_to_round().piece(&Make { girth, ..make() }).unwrap(),
    ];
    for piece in pieces {
        let mut points_mm: Vec<DVec3> = Vec::new();
        for span in &piece.spans {
            // a span turns at most 10°: 40 steps are 0.25°
            for i in 0..=40 {
                let ruling = piece.ruling(span, f64::from(i) / 40.0);
                let moved = points_mm.len() < 2 || {
                    let last = [points_mm[points_mm.len() - 2], points_mm[points_mm.len() - 1]];
                    last[0].distance(ruling.a_mm) > 1e-6 || last[1].distance(ruling.b_mm) > 1e-6
                };
                if moved {
                    points_mm.extend([ruling.a_mm, ruling.b_mm]);
                }
            }
        }
        let (skin, index) = triangles(&points_mm);
        let flat =
            flatten(&skin, &FlattenSettings::symmetric_dirichlet(), &Progress::silent(), &Cancel::new()).unwrap();
        let ours = flat_of(&piece);
        let [first, last] = [[index[0], index[1]], [index[index.len() - 2], index[index.len() - 1]]];
        let at = |i: usize| flat.points_mm[i];
        let diagonals = [at(first[0]).distance(at(last[1])), at(last[0]).distance(at(first[1]))];
        for (got, want) in ours.layout.diagonals_mm.iter().zip(diagonals) {
            // chords of 0.25° are shorter than their arcs by 8e-7 of their length
            assert!((got - want).abs() < 1e-5 * want, "{got} {want}");
        }
    }
}

/// Triangles along a row of rulings; points that stand still (corners, the ends of fans) are one point of the mesh. Returns the mesh and
/// the mesh's point for every end of a ruling.
fn triangles(ends: &[DVec3]) -> (mesh::Skin, Vec<usize>) {
    let mut skin = mesh::Skin { points_mm: Vec::new(), triangles: Vec::new() };
    let mut index: Vec<usize> = Vec::new();
    for (k, end) in ends.iter().enumerate() {
        let before = k.checked_sub(2).map(|i| index[i]);
        match before.filter(|i| skin.points_mm[*i].distance(*end) < 1e-6) {
            Some(i) => index.push(i),
            None => {
                skin.points_mm.push(*end);
                index.push(skin.points_mm.len() - 1);
            }
        }
    }
    for row in index.chunks(2).collect::<Vec<_>>().windows(2) {
        let ([a, b], [c, d]) = ([row[0][0], row[0][1]], [row[1][0], row[1][1]]);
        for [i, j, k] in [[a, b, d], [a, d, c]] {
            if i != j && j != k && k != i {
                skin.triangles.push([i as u32, j as u32, k as u32]);
            }
        }
    }
    (skin, index)
}

/// Every bad size is named with what would be accepted.
#[test]
fn bad_input_is_named() {
    let good = frustum(100.0, 60.0, 150.0);
    let refused = |shape: Cone| shape.piece(&make()).unwrap_err().to_string();
    for (shape, words) in [
        (Cone { height_mm: 0.0, ..good.clone() }, "no height"),
        (Cone { height_mm: f64::NAN, ..good.clone() }, "NaN"),
        (Cone { top_radius_mm: 100.0, ..good.clone() }, "tube"),
        (Cone { top_radius_mm: -3.0, ..good.clone() }, "top radius"),
        (Cone { top_radius_mm: 0.8, ..good.clone() }, "smallest radius"),
        (Cone { bottom_radius_mm: f64::INFINITY, ..good.clone() }, "bottom radius"),
        (Cone { top_tilt_rad: 1.3, ..good }, "misses the cone"),
    ] {
        let message = refused(shape);
        assert!(message.contains(words) && message.contains("accepted"), "{message}");
    }
    let crossing =
        [DVec3::ZERO, DVec3::new(100.0, 100.0, 0.0), DVec3::new(100.0, 0.0, 0.0), DVec3::new(0.0, 100.0, 0.0)];
    let parts = crossing.iter().zip(crossing.iter().cycle().skip(1));
    let parts = parts.map(|(a, b)| Element::Straight { from_mm: *a, to_mm: *b }).collect();
    let message = Curve::new("the lower edge", parts, true).unwrap_err().to_string();
    assert!(message.contains("crosses itself") && message.contains("lower edge"), "{message}");
    let nan = vec![Element::Straight { from_mm: DVec3::NAN, to_mm: DVec3::ZERO }];
    assert!(Curve::new("the lower edge", nan, false).is_err());
    // a corner on a face of the sheet has no one middle
    let bent = vec![
        Element::Straight { from_mm: DVec3::ZERO, to_mm: DVec3::Y * 100.0 },
        Element::Straight { from_mm: DVec3::Y * 100.0, to_mm: DVec3::new(50.0, 180.0, 0.0) },
    ];
    let bent = Curve::new("the lower edge", bent, false).unwrap();
    let far = smooth(&arc_points(6, |s| DVec3::new(20.0 * (PI * s).sin(), 180.0 * s, 120.0)));
    let message = open([bent, far]).piece(&Make { given: Face::Outside, ..make() }).unwrap_err().to_string();
    assert!(message.contains("sharp corner") && message.contains("arc"), "{message}");
}
