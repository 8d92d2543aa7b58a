//! Checks of the folded shape by routes that share nothing with its making: closed surfaces, volumes, places by hand.

use super::*;
use crate::{Along, HemKind, OpeningShape};
use glam::DVec3;
use mesh::polygon::signed_area_mm2;
use std::f64::consts::FRAC_PI_2;

fn flange(degrees: f64, width_mm: f64, turns: Side) -> MakeUp {
    MakeUp::Flange {
        bend_angle_rad: Along::Constant(degrees.to_radians()),
        inside_radius_mm: 1.6,
        width_mm: Along::Constant(width_mm),
        turns,
        stand_off_mm: 0.0,
        relief: crate::FlangeRelief::None,
    }
}

fn edge(make_ups: Vec<MakeUp>) -> EdgeFolds {
    EdgeFolds { make_ups, start_cut: EndCut::Meet { gap_mm: 0.5 }, end_cut: EndCut::Meet { gap_mm: 0.5 } }
}

fn tray(edges: [Vec<MakeUp>; 4]) -> Folded {
    Folded {
        name: "tray".into(),
        hand: Hand::Left,
        mirrored: false,
        face_up_is: Side::Inside,
        base: Base { corners_mm: [(0., 0.), (420., 0.), (420., 260.), (0., 260.)].map(DVec2::from).to_vec() },
        edges: edges.map(edge).to_vec(),
        corners: vec![CornerKind::Welded { relief_mm: None }; 4],
        thickness_mm: 1.2,
        material: "DC04".into(),
        openings: vec![round(On::Skin, 80.0, 60.0, 20.0), round(On::Fold { edge: 1, index: 0 }, 130.0, 40.0, 6.6)],
        reach_mm: 0.5,
    }
}

fn round(on: On, along_mm: f64, from_edge_mm: f64, diameter_mm: f64) -> Opening {
    Opening {
        name: "hole".into(),
        on,
        along_mm,
        from_edge_mm,
        shape: OpeningShape::Round { diameter_mm },
        reach_mm: 0.5,
        half_clearance_mm: None,
    }
}

use crate::On;

fn step_well() -> Folded {
    let up = Side::Inside;
    tray([
        vec![flange(90., 60., up), flange(90., 15., up)],
        vec![flange(90., 60., up)],
        vec![flange(75., 45., up)],
        vec![flange(90., 60., up)],
    ])
}

fn volume_and_gap(surface: &mesh::Surface) -> (f64, f64) {
    let mut volume = 0.0;
    let mut open = DVec3::ZERO;
    for corner in &surface.triangles {
        let [a, b, c] = corner.map(|id| surface.points_mm[id.0 as usize]);
        volume += a.dot(b.cross(c)) / 6.0;
        open += (b - a).cross(c - a) / 2.0;
    }
    (volume, open.length())
}

#[test]
fn the_surface_is_closed_and_has_the_volume_of_the_sheet() {
    for mirrored in [false, true] {
        let folded = Folded { mirrored, ..step_well() };
        let surface = tessellate(&folded, 0.01).unwrap();
        let (volume, open) = volume_and_gap(&surface);
        // Laid out at the middle of the sheet the volume is the laid-out area times the thickness (Pappus).
        let layout = layout(&folded).unwrap();
        let mut area = signed_area_mm2(&layout.base_outline_mm(0.01));
        for (index, edge) in layout.edges.iter().enumerate() {
            let middles: Vec<f64> = edge
                .parts
                .iter()
                .map(|p| p.bend.map_or(0.0, |b| b.turned_rad.abs() * (b.inside_radius_mm + 0.6)))
                .collect();
            area -= signed_area_mm2(&edge.flat_outline_mm(&middles, layout.relief_radii_mm(index), 0.0, 0.01));
        }
        area -= std::f64::consts::PI * (100.0 + 3.3 * 3.3);
        assert!(open < 1e-6, "open by {open} mm²");
        assert!((volume / (area * 1.2) - 1.0).abs() < 2e-4, "volume {volume}, laid out {}", area * 1.2);
        assert_eq!(surface.tag_of.len(), surface.triangles.len());
    }
}

/// By hand: a square flange 60 wide stands with its outside over the edge and its free edge at z = 60; the 75° flange's
/// free edge lies 45·cos 75° out and 45·sin 75° up.
#[test]
fn places_by_hand() {
    let folded = step_well();
    let front = folded.point_on(On::Fold { edge: 0, index: 0 }, 100.0, 60.0).unwrap();
    assert!(front.underside_mm.distance(DVec3::new(100.0, 0.0, 60.0)) < 1e-9);
    assert!(front.face_up_mm.distance(DVec3::new(100.0, 1.2, 60.0)) < 1e-9);
    let back = folded.point_on(On::Fold { edge: 0, index: 1 }, 100.0, 15.0).unwrap();
    assert!(back.underside_mm.distance(DVec3::new(100.0, 15.0, 60.0)) < 1e-9);
    let rear = folded.point_on(On::Fold { edge: 2, index: 0 }, 20.0, 45.0).unwrap();
    let (sin, cos) = 75f64.to_radians().sin_cos();
    assert!(rear.underside_mm.distance(DVec3::new(400.0, 260.0 + 45.0 * cos, 45.0 * sin)) < 1e-9);
    let other = Folded { mirrored: true, ..folded }.point_on(On::Fold { edge: 2, index: 0 }, 20.0, 45.0).unwrap();
    assert!(other.underside_mm.distance(DVec3::new(-400.0, 260.0 + 45.0 * cos, 45.0 * sin)) < 1e-9);
}

/// Square corners with square flanges: each leg stops a sheet thickness and half the gap short of the outer corner.
#[test]
fn square_corners_meet_edge_to_edge() {
    let layout = layout(&step_well()).unwrap();
    let side = layout.edges[1].parts[0].leg.clone().unwrap();
    assert!((side.start.at_mm - (1.2 + 0.25 * 2f64.sqrt())).abs() < 1e-12, "{:?}", side.start);
    assert!(side.start.slope.abs() < 1e-12);
    assert!((layout.corners[1].relief_mm.unwrap() - 3.2).abs() < 1e-12);
}

#[test]
fn inner_edges_of_any_corner_stand_the_gap_apart() {
    for (a, b) in [(60., 90.), (75., 120.), (110., 65.), (90., 90.)] {
        let up = Side::Inside;
        let folded = tray([vec![flange(a, 30., up)], vec![flange(b, 40., up)], vec![], vec![]]);
        let folded = Folded { openings: vec![], ..folded };
        let layout = layout(&folded).unwrap();
        let end = layout.edges[0].parts[0].leg.clone().unwrap();
        let start = layout.edges[1].parts[0].leg.clone().unwrap();
        // Two points on each inner end edge; distance between the two parallel lines.
        let inner = |edge: usize, leg: &Leg, at: EndLine, s: f64| {
            layout.edges[edge].in_space(at.x_mm(s), leg.pose.straight(s).at_height(1.2))
        };
        let (p, q) = (inner(0, &end, end.end, 0.0), inner(0, &end, end.end, 10.0));
        let r = inner(1, &start, start.start, 5.0);
        let line = (q - p).normalize();
        let gap = (r - p).reject_from(line).length();
        assert!((gap - 0.5).abs() < 1e-9, "{a}°/{b}°: gap {gap}");
    }
}

#[test]
fn flanges_folded_down_are_the_same_box_turned_over() {
    let [down, up] =
        [Side::Outside, Side::Inside].map(|turns| tray([0, 1, 2, 3].map(|_| vec![flange(90., 44., turns)])));
    let z = |folded: &Folded| tessellate(folded, 0.05).unwrap().points_mm.iter().map(|p| p.z).fold(0.0, f64::min);
    assert!((z(&down) + 44.0 - 1.2).abs() < 1e-9);
    assert!(z(&up).abs() < 1e-9);
    let cut = |folded: &Folded| layout(folded).unwrap().edges[0].parts[0].leg.clone().unwrap().start;
    assert_eq!(cut(&down), cut(&up));
}

#[test]
fn hemmed_and_wired_flanges_are_closed_surfaces() {
    let up = Side::Inside;
    let hem = MakeUp::Hem { width_mm: 8., inside_radius_mm: 0.6, hem: HemKind::Closed, turns: up };
    let wire = MakeUp::Wired {
        wire_mm: 3.2,
        curl: crate::Curl::Geometry { wrap_rad: 1.5 * std::f64::consts::PI },
        turns: Side::Outside,
    };
    let seam = MakeUp::Seam { width_mm: 12. };
    let folded = tray([
        vec![flange(90., 40., up), hem],
        vec![flange(80., 50., up), wire],
        vec![seam],
        vec![flange(90., 30., up), flange(90., 12., Side::Outside), MakeUp::Raw { trim_mm: 3. }],
    ]);
    let surface = tessellate(&folded, 0.01).unwrap();
    let (volume, open) = volume_and_gap(&surface);
    assert!(volume > 0.0 && open < 1e-6, "{volume} {open}");
}

fn refuses(folded: &Folded) -> SectionError {
    tessellate(folded, 0.1).map(|surface| surface.triangles.len()).unwrap_err()
}

use crate::SectionError;

#[test]
fn bad_pieces_are_refused_by_name() {
    let good = step_well();
    let with = |corners: &[(f64, f64)]| Folded {
        base: Base { corners_mm: corners.iter().map(|c| DVec2::from(*c)).collect() },
        ..good.clone()
    };
    assert!(matches!(
        refuses(&with(&[(0., 0.), (420., 260.), (420., 0.), (0., 260.)])),
        SectionError::BaseOutline { .. }
    ));
    assert!(matches!(
        refuses(&with(&[(0., 260.), (420., 260.), (420., 0.), (0., 0.)])),
        SectionError::BaseOutline { .. }
    ));
    assert!(matches!(
        refuses(&with(&[(0., 0.), (f64::NAN, 0.), (420., 260.), (0., 260.)])),
        SectionError::OutOfRange { .. }
    ));
    assert!(matches!(refuses(&with(&[(0., 0.), (420., 0.), (420., 260.)])), SectionError::BaseOutline { .. }));
    assert!(matches!(refuses(&Folded { thickness_mm: 0.0, ..good.clone() }), SectionError::OutOfRange { .. }));
    let mut off = good.clone();
    off.openings[0].along_mm = 412.0;
    assert!(matches!(refuses(&off), SectionError::OffTheMetal { .. }));
    off = good.clone();
    off.openings[1].from_edge_mm = 58.0;
    assert!(matches!(refuses(&off), SectionError::OffTheMetal { .. }));
    off.openings[1].on = On::Fold { edge: 7, index: 0 };
    assert!(matches!(refuses(&off), SectionError::OffTheMetal { .. }));
}

#[test]
fn clashes_once_folded_are_refused_by_name() {
    let up = Side::Inside;
    let plain = |edges| Folded { openings: vec![], ..tray(edges) };
    let short = plain([vec![flange(90., 2., up)], vec![], vec![], vec![]]);
    assert!(matches!(refuses(&short), SectionError::ShorterThanBend { .. }));
    // Returns of 140 from both long edges of a base 260 wide overlap.
    let returns = || vec![flange(90., 60., up), flange(90., 140., up)];
    let both = plain([returns(), vec![], returns(), vec![]]);
    assert!(matches!(refuses(&both), SectionError::LegsCollide { .. }));
    // Leaning in past the opposite flange.
    let leaning = plain([vec![flange(140., 400., up)], vec![], vec![flange(90., 250., up)], vec![]]);
    assert!(matches!(refuses(&leaning), SectionError::LegsCollide { .. }));
    // Square ends run into each other at a corner.
    let mut square = plain([vec![flange(90., 30., up)], vec![flange(90., 30., up)], vec![], vec![]]);
    square.edges[0].end_cut = EndCut::SetBack { back_mm: 0.0 };
    square.edges[1].start_cut = EndCut::SetBack { back_mm: 0.0 };
    assert!(matches!(refuses(&square), SectionError::LegsCollide { .. }));
    square.edges[1].start_cut = EndCut::SetBack { back_mm: 1.2 };
    assert!(tessellate(&square, 0.1).is_ok(), "one leg over the end of the other");
    // A long fold beyond its own base.
    let through = plain([vec![flange(160., 120., up), flange(60., 90., up)], vec![], vec![], vec![]]);
    assert!(matches!(refuses(&through), SectionError::LegsCollide { .. }), "leg through the base");
    // Angled ends that cross before the free edge.
    let mut spear = plain([vec![flange(90., 300., up)], vec![], vec![], vec![]]);
    spear.edges[0].start_cut = EndCut::Angle { angle_rad: 0.9 };
    spear.edges[0].end_cut = EndCut::Angle { angle_rad: 0.9 };
    assert!(matches!(refuses(&spear), SectionError::EndCutsCross { .. }));
    let twisted = MakeUp::Flange {
        bend_angle_rad: Along::Stations(vec![(0., FRAC_PI_2), (420., 1.4)]),
        inside_radius_mm: 1.6,
        width_mm: Along::Constant(30.),
        turns: up,
        stand_off_mm: 0.,
        relief: crate::FlangeRelief::None,
    };
    assert!(matches!(refuses(&plain([vec![twisted], vec![], vec![], vec![]])), SectionError::OutOfRange { .. }));
}
