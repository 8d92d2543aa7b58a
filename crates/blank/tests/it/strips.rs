//! Flats of strips: what they say beside their outline.

use blank::strip::{Held, develop};
use blank::{Blank, DevelopSettings, FoldKind, HoleFinish, MarkKind, flat_surface};
use glam::DVec3;
use handbook::shop_rules::WireEnd;
use handbook::{Concern, bend::Rule};
use section::{
    Along, CrossSection, Curl, EdgeLine, Face, Hand, Link, MakeUp, On, Opening, OpeningShape, Outward, Runs, Segment,
    Side, Strip, StripEdge,
};
use std::f64::consts::PI;

/// Wheel-arch edge of the invented Wren 15: wired, crowned, lapped, 400 mm radius.
pub fn arch() -> Strip {
    let at = |degrees: f64| {
        let (sin, cos) = degrees.to_radians().sin_cos();
        DVec3::new(400.0 * cos, 0.0, 400.0 * sin)
    };
    let edge_line = EdgeLine::new(at(150.0), &[Segment::Arc { via_mm: at(90.0), to_mm: at(30.0) }]).unwrap();
    let crowned = |station_mm, radius: f64| CrossSection {
        station_mm,
        start_angle_rad: 0.0,
        links: vec![
            Link::Straight { length_mm: 20.0 },
            Link::Arc { inside_radius_mm: radius, bend_angle_rad: -60.0 / radius },
        ],
    };
    Strip {
        name: "wheel-arch edge".into(),
        hand: Hand::Right,
        mirrored: true,
        edge_line,
        outward: Outward::One(DVec3::Y),
        face: Face::Outside,
        runs: Runs::Up,
        sections: vec![crowned(0.0, 420.0), crowned(400.0, 300.0), crowned(800.0, 420.0)],
        from_mm: 60.0,
        to_mm: 760.0,
        spare_from_mm: 25.0,
        spare_to_mm: 25.0,
        thickness_mm: 0.9,
        material: "dc04".into(),
        finished_edge: vec![MakeUp::Wired {
            wire_mm: 6.4,
            curl: Curl::Geometry { wrap_rad: 1.5 * PI },
            turns: Side::Inside,
        }],
        cut_edge: vec![MakeUp::Joggle { depth_mm: 0.9, ramp_mm: 4.5, lap_mm: 15.0, runs_out_mm: [0.0; 2] }],
        openings: vec![],
        reach_mm: 0.5,
        makes: section::Makes::Body,
        under_mm: 0.0,
    }
}

fn flanged(width_mm: f64, make_up_edge: StripEdge) -> Strip {
    let flange = MakeUp::Flange {
        bend_angle_rad: Along::Constant(0.5 * PI),
        inside_radius_mm: 1.5,
        width_mm: Along::Constant(width_mm),
        turns: Side::Inside,
        stand_off_mm: 0.0,
        relief: section::FlangeRelief::None,
    };
    let (finished_edge, cut_edge) = match make_up_edge {
        StripEdge::Finished => (vec![flange], vec![]),
        StripEdge::Cut => (vec![], vec![flange]),
    };
    let sections =
        vec![CrossSection { station_mm: 0.0, start_angle_rad: 0.0, links: vec![Link::Straight { length_mm: 50.0 }] }];
    Strip { finished_edge, cut_edge, sections, mirrored: false, ..arch() }
}

fn flat(strip: &Strip) -> Blank {
    develop(strip, &DevelopSettings::default()).unwrap()
}

fn hole(reach_mm: f64, from_edge_mm: f64) -> Opening {
    Opening {
        name: "bolt hole 1".into(),
        on: On::StripMakeUp { edge: StripEdge::Finished, index: 0 },
        along_mm: 200.0,
        from_edge_mm,
        shape: OpeningShape::Round { diameter_mm: 6.6 },
        reach_mm,
        half_clearance_mm: Some(0.3),
    }
}

fn keys(concerns: &[Concern]) -> Vec<&str> {
    concerns.iter().map(|concern| concern.key.as_str()).collect()
}

#[test]
fn arch_strip_names_its_lines_marks_and_folds() {
    let blank = flat(&arch());
    let names: Vec<&str> = blank.stations[0].lines.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(
        names,
        ["curl: free edge", "curl: start", "skin line 1", "lap: step line", "lap: foot of the ramp", "lap: free edge"]
    );
    let held = blank.lengthwise.iter().find(|line| line.held).unwrap();
    assert_eq!(held.name, "curl: start");
    assert!(held.strain_percent.iter().all(|percent| percent.abs() < 1e-9), "{held:?}");
    let kinds: Vec<FoldKind> = blank.folds.iter().map(|fold| fold.kind).collect();
    assert_eq!(kinds, [FoldKind::Curl, FoldKind::Joggle, FoldKind::Joggle, FoldKind::Rolled]);
    assert_eq!(blank.folds.iter().map(|fold| fold.number).collect::<Vec<_>>(), [1, 2, 3, 4]);
    assert!(blank.folds.iter().all(|fold| fold.sight_mm.is_empty()), "none of them goes under a nose");
    let count = |kind| blank.marks.iter().filter(|mark| mark.kind == kind).count();
    let marks = [MarkKind::EndLine, MarkKind::LapLine, MarkKind::HeldLine, MarkKind::TangentLine].map(count);
    assert_eq!(marks, [2, 1, 1, 1]);
    assert_eq!(blank.trim_mm, 0.0, "a lap takes up the reach of the height itself");
    // Handbook F15: 6.4 mm wire in 0.9 mm sheet, three quarters round at its centre line.
    let curl = blank.folds[0].allowance_mm;
    assert!((curl[0] - 1.5 * PI * 3.65).abs() < 1e-9, "{curl:?}");
}

/// The wire's own centre line lies half a wire and the sheet behind the edge line's face, on the arch's own radius; handbook H10 at its ends.
#[test]
fn wire_is_as_long_as_its_centre_line_and_what_stands_out() {
    let mut settings = DevelopSettings::default();
    settings.strip.wire_ends = [WireEnd::StandsOut { length_mm: 30.0 }, WireEnd::Short { length_mm: 12.0 }];
    let blank = develop(&arch(), &settings).unwrap();
    let wire = &blank.wires[0];
    assert!((wire.cut_length_mm - (750.0 + 30.0 - 12.0)).abs() < 1e-6, "{}", wire.cut_length_mm);
    assert_eq!(wire.stands_out_mm, [30.0, -12.0]);
    for (_, radius) in &wire.bend_radius_mm {
        assert!((radius.unwrap() - 400.0).abs() < 1e-6);
    }
    assert!(!keys(&blank.concerns).contains(&"wire-ends"));
    assert!(keys(&flat(&arch()).concerns).contains(&"wire-ends"), "nobody has said how it ends");
}

#[test]
fn held_line_can_be_chosen_and_a_wrong_name_is_told() {
    let mut settings = DevelopSettings::default();
    settings.strip.held = Held::Line("lap: step line".into());
    let blank = develop(&arch(), &settings).unwrap();
    assert!(blank.lengthwise.iter().any(|line| line.held && line.name == "lap: step line"));
    settings.strip.held = Held::Line("middle".into());
    let fault = develop(&arch(), &settings).unwrap_err().to_string();
    assert!(fault.starts_with("held line: there is no line 'middle'; choose one of: curl: free edge, "), "{fault}");
}

#[test]
fn hole_is_finished_by_its_reach() {
    let with = |reach| Strip { openings: vec![hole(reach, 12.0)], ..flanged(25.0, StripEdge::Finished) };
    let opening = |reach| flat(&with(reach)).openings.remove(0);
    assert_eq!((opening(0.2).finish, opening(0.2).cut_diameter_mm), (HoleFinish::FullSize, Some(6.6)));
    assert_eq!((opening(1.0).finish, opening(1.0).cut_diameter_mm), (HoleFinish::Pilot, Some(3.0)));
    assert_eq!((opening(4.0).finish, opening(4.0).cut_diameter_mm), (HoleFinish::ThroughMate, None));
    let whole = flat(&flanged(25.0, StripEdge::Finished)).area_mm2;
    let holed = flat(&with(0.2)).area_mm2;
    assert!((whole - holed - PI * 3.3 * 3.3).abs() < 1e-6);
    // Handbook F18: an M6 bolt wants 12 mm to the edge; 13 mm here, then 7.
    assert!(!keys(&flat(&with(0.2)).concerns).contains(&"hole-near-edge"));
    let near = Strip { openings: vec![hole(0.2, 18.0)], ..flanged(25.0, StripEdge::Finished) };
    assert!(keys(&flat(&near).concerns).contains(&"hole-near-edge"));
}

#[test]
fn every_opening_lies_inside_the_outline() {
    let mut strip = flanged(25.0, StripEdge::Finished);
    strip.openings = vec![hole(0.2, 12.0)];
    strip.openings.push(Opening {
        name: "drain".into(),
        on: On::Skin,
        along_mm: 400.0,
        from_edge_mm: 20.0,
        shape: OpeningShape::Slot { length_mm: 20.0, width_mm: 6.0, angle_rad: 0.3 },
        ..hole(0.2, 0.0)
    });
    let blank = flat(&strip);
    assert!(blank.openings.iter().all(|opening| mesh::polygon::contains(&blank.outline_mm, opening.centre_mm)));
    let slot = blank.openings[1].outline_mm.as_ref().unwrap();
    let area = mesh::polygon::signed_area_mm2(slot);
    assert!((area - (14.0 * 6.0 + 9.0 * PI)).abs() < 0.6, "{area}");
    let surface = flat_surface(&blank).unwrap();
    surface.validate().unwrap();
    assert!(surface.is_closed());
    let volume = surface.volume_mm3() / strip.thickness_mm;
    assert!((volume / blank.area_mm2 - 1.0).abs() < 1e-4, "{volume} for {}", blank.area_mm2);
}

#[test]
fn reach_of_the_height_is_left_on_as_trim_along_a_plain_edge() {
    let plain = Strip { cut_edge: vec![], ..arch() };
    let blank = flat(&plain);
    assert_eq!(blank.trim_mm, 0.5); // ±0.5 mm of height
    assert!(blank.marks.iter().any(|mark| mark.kind == MarkKind::TrimLine));
    let raw = Strip { cut_edge: vec![MakeUp::Raw { trim_mm: 3.0 }], ..arch() };
    assert_eq!(flat(&raw).trim_mm, 3.0);
}

#[test]
fn strained_flange_asks_for_reliefs() {
    // The arch's plane holds the flange when the skin stands square to it: 60 mm on 400 mm is 15 %; half the uniform strain of
    // DC04 (handbook S32, n = 0.21) is 11.7 %.
    let mut strip = flanged(60.0, StripEdge::Finished);
    strip.sections[0].start_angle_rad = 0.5 * PI;
    let blank = flat(&strip);
    assert!(keys(&blank.concerns).contains(&"flange-strain"), "{:?}", blank.lengthwise);
    assert!(blank.marks.iter().filter(|mark| mark.kind == MarkKind::Relief).count() > 10);
    let mut narrow = flanged(8.0, StripEdge::Finished);
    narrow.sections[0].start_angle_rad = 0.5 * PI;
    assert!(!keys(&flat(&narrow).concerns).contains(&"flange-strain"));
}

#[test]
fn springback_and_rules_are_the_shops() {
    let strip = flanged(25.0, StripEdge::Finished);
    let din = flat(&strip);
    let neutral = DevelopSettings { bend_rule: Rule::NeutralLine { k_factor: 0.5 }, ..DevelopSettings::default() };
    let middle = develop(&strip, &neutral).unwrap();
    assert!((middle.folds[0].allowance_mm[0] - 0.5 * PI * 1.95).abs() < 1e-9);
    assert!(din.folds[0].allowance_mm[0] < middle.folds[0].allowance_mm[0]);
    // Handbook B38: one inside radius from the tangent line on the skin, towards the flange.
    let fold = &din.folds[0];
    let apart = fold.tangent_near_mm[0].distance(fold.sight_mm[0]);
    assert!((apart - 1.5).abs() < 1e-9, "{apart}");
    let over = din.folds[0].fold_to_rad.unwrap();
    assert!(over[0] > 0.5 * PI && over[0] < 0.52 * PI, "{over:?}");
    let bad = DevelopSettings { bend_rule: Rule::NeutralLine { k_factor: 0.9 }, ..DevelopSettings::default() };
    assert!(develop(&strip, &bad).is_err());
}

/// A strip whose flat would run over itself is refused by name: a cone sector of more than one turn.
#[test]
fn flat_that_overlaps_itself_is_refused() {
    let at = |degrees: f64| {
        let (sin, cos) = degrees.to_radians().sin_cos();
        DVec3::new(100.0 * cos, 0.0, 100.0 * sin)
    };
    let edge_line = EdgeLine::new(
        at(179.0),
        &[Segment::Arc { via_mm: at(0.0), to_mm: at(-179.0) }, Segment::Arc { via_mm: at(170.0), to_mm: at(90.0) }],
    )
    .unwrap();
    let strip = Strip {
        to_mm: edge_line.length_mm(),
        from_mm: 0.0,
        spare_from_mm: 0.0,
        spare_to_mm: 0.0,
        edge_line,
        finished_edge: vec![],
        cut_edge: vec![],
        ..flanged(25.0, StripEdge::Finished)
    };
    let fault = develop(&strip, &DevelopSettings::default()).unwrap_err();
    assert!(matches!(fault, blank::BlankError::Overlaps { .. }), "{fault}");
}

#[test]
fn check_dimensions_carry_tolerance_and_reach() {
    let blank = flat(&arch());
    let step = blank.check_dimensions.iter().find(|check| check.name == "height to the step line, middle").unwrap();
    assert!((step.nominal - (3.2 + 0.9 + 20.0 + 60.0 * (300.9 / 300.0))).abs() < 0.2, "{}", step.nominal);
    assert_eq!((step.tolerance, step.reach), (0.3, Some(0.5))); // ISO 2768-1 m, 30 to 120
    assert!(
        blank.check_dimensions.iter().any(|check| check.name == "over the curl" && (check.nominal - 8.2).abs() < 1e-9)
    );
    let whole = blank.running_x.last().unwrap();
    assert_eq!(whole.name, "end of the flat");
    assert!(blank.running_x.windows(2).all(|pair| pair[0].from_datum_mm <= pair[1].from_datum_mm));
}
