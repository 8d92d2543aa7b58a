use super::*;
use crate::{HoleFinish, MarkKind};
use glam::DVec2;
use mesh::polygon::signed_area_mm2;
use section::{
    Along, Base, CornerKind, Curl, EdgeFolds, EndCut, Hand, HemKind, MakeUp, On, Opening, OpeningShape, SectionError,
};

fn flange(degrees: f64, width_mm: f64) -> MakeUp {
    MakeUp::Flange {
        bend_angle_rad: Along::Constant(degrees.to_radians()),
        inside_radius_mm: 1.5,
        width_mm: Along::Constant(width_mm),
        turns: Side::Inside,
        stand_off_mm: 0.0,
        relief: section::FlangeRelief::None,
    }
}

fn piece(corners: &[(f64, f64)], edges: Vec<Vec<MakeUp>>) -> Folded {
    Folded {
        name: "box".into(),
        hand: Hand::Left,
        mirrored: false,
        face_up_is: Side::Inside,
        base: Base { corners_mm: corners.iter().map(|c| DVec2::from(*c)).collect() },
        corners: vec![CornerKind::Welded { relief_mm: None }; edges.len()],
        edges: edges
            .into_iter()
            .map(|make_ups| EdgeFolds {
                make_ups,
                start_cut: EndCut::Meet { gap_mm: 0.3 },
                end_cut: EndCut::Meet { gap_mm: 0.3 },
            })
            .collect(),
        thickness_mm: 0.9,
        material: "dc04".into(),
        openings: vec![],
        reach_mm: 0.5,
    }
}

const PLATE: [(f64, f64); 4] = [(0., 0.), (100., 0.), (100., 40.), (0., 40.)];

fn develop_default(folded: &Folded) -> Result<Blank, BlankError> {
    develop(folded, &DevelopSettings::default())
}

fn height(blank: &Blank) -> f64 {
    let ys = || blank.outline_mm.iter().map(|p| p.y);
    ys().fold(f64::NEG_INFINITY, f64::max) - ys().fold(f64::INFINITY, f64::min)
}

/// A flat hole of 3 mm in a leg, 8 mm from its free edge, stays 8 mm from it in the flat.
#[test]
fn a_hole_keeps_its_distance_from_the_free_edge() {
    let mut folded = piece(&PLATE, vec![vec![flange(90., 20.)], vec![], vec![], vec![]]);
    folded.openings.push(Opening {
        name: "bolt hole".into(),
        on: On::Fold { edge: 0, index: 0 },
        along_mm: 30.0,
        from_edge_mm: 12.0,
        shape: OpeningShape::Round { diameter_mm: 6.6 },
        reach_mm: 0.5,
        half_clearance_mm: Some(0.3),
    });
    let blank = develop_default(&folded).unwrap();
    let low = blank.outline_mm.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
    let hole = &blank.openings[0];
    assert!((hole.centre_mm.y - low - 8.0).abs() < 1e-9 && (hole.centre_mm.x - 30.0).abs() < 1e-9);
    assert_eq!((hole.finish, hole.cut_diameter_mm), (HoleFinish::Pilot, Some(3.0)));
    let hole_area = std::f64::consts::FRAC_PI_4 * 9.0;
    assert!((signed_area_mm2(&blank.outline_mm) - blank.area_mm2 - hole_area).abs() < 1e-9);
}

#[test]
fn trim_lies_beyond_the_finished_edge_and_is_marked() {
    let plain = piece(&PLATE, vec![vec![flange(90., 20.)], vec![], vec![], vec![]]);
    let trimmed = piece(&PLATE, vec![vec![flange(90., 20.), MakeUp::Raw { trim_mm: 3.0 }], vec![], vec![], vec![]]);
    let (plain, trimmed) = (develop_default(&plain).unwrap(), develop_default(&trimmed).unwrap());
    assert!((height(&trimmed) - height(&plain) - 3.0).abs() < 1e-9);
    assert_eq!(trimmed.trim_mm, 3.0);
    assert!(trimmed.marks.iter().any(|mark| mark.kind == MarkKind::TrimLine));
}

/// Hem of 8 mm from its tangent, r 0.5, t 0.9: BA 2.309 (handbook B13); wire 3.2 in 0.9 sheet at 270°: 9.660 (F15).
#[test]
fn hem_and_wire_take_their_handbook_allowance() {
    let bare = height(&develop_default(&piece(&PLATE, vec![vec![flange(90., 20.)], vec![], vec![], vec![]])).unwrap());
    let hem = MakeUp::Hem { width_mm: 8.0, inside_radius_mm: 0.5, hem: HemKind::Closed, turns: Side::Outside };
    let hemmed = piece(&PLATE, vec![vec![flange(90., 20.), hem], vec![], vec![], vec![]]);
    assert!((height(&develop_default(&hemmed).unwrap()) - bare - 2.309 - 8.0).abs() < 1e-3);
    let wire = MakeUp::Wired {
        wire_mm: 3.2,
        curl: Curl::Geometry { wrap_rad: 1.5 * std::f64::consts::PI },
        turns: Side::Outside,
    };
    let wired = develop_default(&piece(&PLATE, vec![vec![flange(90., 20.), wire], vec![], vec![], vec![]])).unwrap();
    assert!((height(&wired) - bare - 9.660).abs() < 1e-3);
    assert_eq!(wired.wires.len(), 1);
    assert!((wired.wires[0].cut_length_mm - 100.0).abs() < 1e-9);
}

#[test]
fn the_other_hand_is_the_same_outline_turned_over() {
    let edges = vec![vec![flange(90., 20.)], vec![flange(60., 12.)], vec![flange(110., 15.)], vec![]];
    let folded = piece(&PLATE, edges);
    let blank = develop_default(&folded).unwrap();
    let other = develop_default(&Folded { mirrored: true, hand: Hand::Right, ..folded }).unwrap();
    assert_eq!((blank.face_up, other.face_up), (FaceUp::Inside, FaceUp::Outside));
    assert_eq!(blank.outline_mm, other.outline_mm);
    assert_eq!(blank.running_x, other.running_x);
    assert_eq!(blank.check_dimensions, other.check_dimensions);
    for (a, b) in blank.folds.iter().zip(&other.folds) {
        assert_eq!(a.up, !b.up);
        assert_eq!((&a.tangent_near_mm, a.turns), (&b.tangent_near_mm, b.turns));
    }
}

/// Two flanges at a re-entrant corner claim the same metal.
#[test]
fn flats_that_lie_over_each_other_are_refused_by_name() {
    let corners = [(0., 0.), (200., 0.), (200., 100.), (100., 100.), (100., 200.), (0., 200.)];
    let mut edges = vec![vec![]; 6];
    edges[2] = vec![flange(90., 30.)];
    edges[3] = vec![flange(90., 30.)];
    match develop_default(&piece(&corners, edges)) {
        Err(BlankError::Overlaps { between, .. }) => {
            assert!(between.contains("edge 3") && between.contains("edge 4"), "{between}");
        }
        other => panic!("{:?}", other.map(|blank| blank.outline_mm.len())),
    }
}

#[test]
fn faults_of_the_piece_and_of_the_rule_are_passed_on() {
    let folded = piece(&PLATE, vec![vec![flange(90., 2.)], vec![], vec![], vec![]]);
    assert!(matches!(develop_default(&folded), Err(BlankError::Section(SectionError::ShorterThanBend { .. }))));
    let good = piece(&PLATE, vec![vec![flange(90., 20.)], vec![], vec![], vec![]]);
    let rule = handbook::bend::Rule::NeutralLine { k_factor: f64::NAN };
    let refused = develop(&good, &DevelopSettings { bend_rule: rule, ..DevelopSettings::default() });
    assert!(matches!(refused, Err(BlankError::Bend { .. })));
}

#[test]
fn folding_order_works_inward_and_names_what_cannot_be_reached() {
    let edges = vec![
        vec![flange(90., 20.), flange(90., 8.)],
        vec![flange(90., 20.)],
        vec![flange(90., 20.)],
        vec![flange(90., 20.)],
    ];
    let blank = develop_default(&piece(&PLATE, edges)).unwrap();
    let order: Vec<&str> = blank.folds.iter().map(|fold| fold.name.as_str()).collect();
    assert_eq!(
        order,
        [
            "fold 1: return on edge 1",
            "fold 2: flange on edge 1",
            "fold 3: flange on edge 3",
            "fold 4: flange on edge 2",
            "fold 5: flange on edge 4",
        ]
    );
    let between = blank.concerns.iter().filter(|concern| concern.key == "fold-between-standing-flanges");
    assert_eq!(between.count(), 2);
    assert!(blank.concerns.iter().any(|concern| concern.key == "return-overhangs-clamp"));
}

/// A wire carried round a square corner: two centre lines less R·(2 − π/2) for the rounding; an open corner has two wires.
#[test]
fn a_wire_is_carried_round_a_welded_corner() {
    let wired = || vec![MakeUp::Wired { wire_mm: 3.2, curl: Curl::Geometry { wrap_rad: 4.5 }, turns: Side::Outside }];
    let mut folded = piece(&PLATE, vec![wired(), wired(), vec![], vec![]]);
    let blank = develop_default(&folded).unwrap();
    assert_eq!(blank.wires.len(), 1);
    let radius = 1.5 * 3.2;
    let length = 140.0 - radius * (2.0 - std::f64::consts::FRAC_PI_2);
    assert!((blank.wires[0].cut_length_mm - length).abs() < 1e-9, "{:?}", blank.wires[0]);
    assert!(blank.wires[0].name.contains("carried round"), "{}", blank.wires[0].name);
    assert!(mesh::polygon::check_simple(&blank.outline_mm).is_ok());
    folded.corners[1] = CornerKind::Open { relief_mm: None };
    assert_eq!(develop_default(&folded).unwrap().wires.len(), 2);
    let round = piece(&PLATE, vec![wired(), wired(), wired(), wired()]);
    let blank = develop_default(&round).unwrap();
    assert_eq!(blank.wires.len(), 1);
    let length = 280.0 - 4.0 * radius * (2.0 - std::f64::consts::FRAC_PI_2);
    assert!((blank.wires[0].cut_length_mm - length).abs() < 1e-9, "{:?}", blank.wires[0]);
}
