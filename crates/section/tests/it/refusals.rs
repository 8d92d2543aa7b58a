//! Faulty pieces are refused with one clear line.

use crate::strip_fixtures::{LAP, arch_line, arch_pattern, flange, gutter_pair, plain, wired};
use glam::{DVec2, DVec3};
use section::{
    Along, CrossSection, Link, MakeUp, On, Opening, OpeningShape, Outward, Runs, SectionError, Strip, StripEdge, Swept,
    cut_to_height,
};

fn strip() -> Strip {
    plain(arch_line(), DVec3::Y, 0.0, 50.0)
}

fn fault(strip: &Strip) -> SectionError {
    Swept::new(strip).expect_err("a faulty strip was accepted")
}

fn section(station_mm: f64, links: Vec<Link>) -> CrossSection {
    CrossSection { station_mm, start_angle_rad: 0.0, links }
}

fn hole(on: On, along_mm: f64, from_edge_mm: f64) -> Opening {
    Opening {
        name: "bolt hole 1".into(),
        on,
        along_mm,
        from_edge_mm,
        shape: OpeningShape::Round { diameter_mm: 6.6 },
        reach_mm: 0.2,
        half_clearance_mm: None,
    }
}

#[test]
fn plain_strip_is_accepted() {
    Swept::new(&strip()).unwrap();
}

#[test]
fn edge_line_parallel_to_outward() {
    let turned = Strip { outward: Outward::One(DVec3::X), ..strip() };
    match fault(&turned) {
        // The arch runs along x at its crown, half-way.
        SectionError::ParallelToOutward { station_mm } => assert!((station_mm - 418.9).abs() < 1.0, "{station_mm}"),
        other => panic!("{other}"),
    }
}

#[test]
fn stations_out_of_order() {
    let link = vec![Link::Straight { length_mm: 50.0 }];
    let swapped = Strip { sections: vec![section(300.0, link.clone()), section(100.0, link)], ..strip() };
    assert_eq!(
        fault(&swapped),
        SectionError::StationOrder { what: "cross-section", index: 2, station_mm: 100.0, before_mm: 300.0 }
    );
    let mut pair = gutter_pair();
    pair.contact_angle_rad = Along::Stations(vec![(10.0, 0.0), (10.0, 0.1)]);
    assert!(matches!(pair.strips(), Err(SectionError::StationOrder { what: "flange angle", index: 2, .. })));
}

#[test]
fn differing_chains() {
    let one = vec![Link::Straight { length_mm: 50.0 }];
    let two = vec![Link::Straight { length_mm: 50.0 }, Link::Straight { length_mm: 5.0 }];
    let differ = Strip { sections: vec![section(0.0, one), section(100.0, two)], ..strip() };
    assert_eq!(fault(&differ), SectionError::ChainsDiffer { index: 2, got: 2, need: 1 });
}

#[test]
fn cross_section_that_crosses_itself() {
    let links = vec![
        Link::Straight { length_mm: 40.0 },
        Link::Arc { inside_radius_mm: 3.0, bend_angle_rad: -4.2 },
        Link::Straight { length_mm: 40.0 },
    ];
    assert!(matches!(
        fault(&Strip { sections: vec![section(0.0, links)], ..strip() }),
        SectionError::CrossesItself { .. }
    ));
}

#[test]
fn flange_shorter_than_its_bend() {
    match fault(&Strip { finished_edge: vec![flange(90.0, 2.0)], ..strip() }) {
        SectionError::ShorterThanBend { place, got_mm, need_mm } => {
            assert_eq!(place, "flange at station 0.0 mm");
            assert_eq!(got_mm, 2.0);
            assert!((need_mm - 2.4).abs() < 1e-12); // (r + t)·tan 45°
        }
        other => panic!("{other}"),
    }
    let low = plain(arch_line(), DVec3::Y, 0.0, 2.0);
    match fault(&Strip { finished_edge: vec![flange(90.0, 20.0)], ..low }) {
        SectionError::ShorterThanBend { place, got_mm, need_mm } => {
            assert!(place.starts_with("the skin"), "{place}");
            assert_eq!((got_mm, need_mm > 2.3), (2.0, true));
        }
        other => panic!("{other}"),
    }
}

#[test]
fn curl_taller_than_the_strip_and_wire_thinner_than_the_sheet() {
    let low = plain(arch_line(), DVec3::Y, 0.0, 3.0);
    let taller = fault(&Strip { finished_edge: vec![wired(6.4)], ..low });
    match taller {
        SectionError::TallerThanStrip { what: "the curl", need_mm, height_mm } => {
            assert!((need_mm - 8.2).abs() < 1e-9 && (height_mm - 7.1).abs() < 1e-9);
        }
        other => panic!("{other}"),
    }
    assert_eq!(
        fault(&Strip { finished_edge: vec![wired(0.8)], ..strip() }),
        SectionError::WireThinnerThanSheet { wire_mm: 0.8, thickness_mm: 0.9 }
    );
    let cut = cut_to_height(&arch_pattern(), 4.0, vec![]);
    assert!(matches!(cut, Err(SectionError::TallerThanStrip { .. })), "{cut:?}");
}

#[test]
fn lap_wider_than_the_piece_and_piece_higher_than_the_pattern() {
    let wide = MakeUp::Joggle { depth_mm: 0.9, ramp_mm: 4.5, lap_mm: 60.0, runs_out_mm: [0.0; 2] };
    assert_eq!(
        fault(&Strip { cut_edge: vec![wide.clone()], ..strip() }),
        SectionError::LapWiderThanPiece { lap_mm: 60.0, height_mm: 50.0 }
    );
    let cut = cut_to_height(&arch_pattern(), 44.0, vec![wide]).err();
    assert_eq!(cut, Some(SectionError::LapWiderThanPiece { lap_mm: 60.0, height_mm: 44.0 }));
    let high = cut_to_height(&arch_pattern(), 160.0, vec![LAP]);
    assert!(matches!(high, Err(SectionError::HigherThanPattern { need_mm: 160.0, .. })), "{high:?}");
}

#[test]
fn holes_off_the_metal() {
    let flange_leg = On::StripMakeUp { edge: StripEdge::Finished, index: 0 };
    for (on, along, distance) in [
        (On::Skin, 100.0, 48.0),   // over the cut edge
        (On::Skin, 1.0, 20.0),     // over the end
        (On::Skin, 100.0, 4.0),    // in the fold
        (flange_leg, 100.0, 18.0), // over the flange's edge
        (flange_leg, 100.0, 5.0),  // in the fold
        (On::StripMakeUp { edge: StripEdge::Cut, index: 0 }, 100.0, 5.0),
    ] {
        let mut piece = Strip { finished_edge: vec![flange(90.0, 20.0)], ..strip() };
        piece.openings = vec![hole(on, along, distance)];
        assert!(matches!(fault(&piece), SectionError::OffTheMetal { .. }), "{on:?} {along} {distance}");
    }
    let mut piece = Strip { finished_edge: vec![flange(90.0, 20.0)], ..strip() };
    piece.openings = vec![hole(On::Skin, 100.0, 30.0), hole(flange_leg, 100.0, 10.0)];
    Swept::new(&piece).unwrap();
}

#[test]
fn numbers_that_are_not_numbers() {
    for (name, faulty) in [
        ("the sheet's thickness", Strip { thickness_mm: f64::NAN, ..strip() }),
        ("the sheet's thickness", Strip { thickness_mm: -0.9, ..strip() }),
        ("a length of cross-section 1", plain(arch_line(), DVec3::Y, 0.0, f64::INFINITY)),
        ("the end of the piece", Strip { to_mm: 5000.0, ..strip() }),
        ("the number of cross-sections", Strip { sections: vec![], ..strip() }),
    ] {
        match fault(&faulty) {
            SectionError::OutOfRange { name: got, .. } => assert_eq!(got, name),
            other => panic!("{other}"),
        }
    }
    let mut piece = strip();
    piece.openings = vec![Opening {
        shape: OpeningShape::CutOut { corners_mm: vec![DVec2::NAN, DVec2::X, DVec2::Y] },
        ..hole(On::Skin, 100.0, 30.0)
    }];
    assert!(matches!(fault(&piece), SectionError::OutOfRange { .. }));
}

#[test]
fn make_up_after_the_end_of_a_chain_and_a_bend_that_changes_side() {
    let chain = Strip { finished_edge: vec![wired(3.2), flange(90.0, 20.0)], ..strip() };
    assert!(matches!(fault(&chain), SectionError::MakeUpOrder { index: 1, what: "curl", .. }));
    let arc = |bend_angle_rad| vec![Link::Arc { inside_radius_mm: 600.0, bend_angle_rad }];
    let changes = Strip { sections: vec![section(0.0, arc(0.1)), section(100.0, arc(-0.1))], ..strip() };
    assert!(matches!(fault(&changes), SectionError::BendChangesSide { link: 1, .. }));
}

#[test]
fn curve_tighter_than_the_strip_is_deep() {
    let line = section::EdgeLine::new(
        DVec3::new(-60.0, 0.0, 0.0),
        &[section::Segment::Arc { via_mm: DVec3::new(0.0, 0.0, 60.0), to_mm: DVec3::new(60.0, 0.0, 0.0) }],
    )
    .unwrap();
    let tight = |runs| {
        let strip = Strip { runs, ..plain(line.clone(), DVec3::Y, 0.0, 70.0) };
        matches!(Swept::new(&strip), Err(SectionError::TooTight { .. }))
    };
    assert!(tight(Runs::Up) != tight(Runs::Down), "exactly one of the two ways runs over the centre");
}
