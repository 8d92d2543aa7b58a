use super::*;
use handbook::Grade;
use section::Face;
use section::RingCorner;

fn corner(diameter_mm: f64, height_mm: f64, inside_radius_mm: f64) -> RingCorner {
    RingCorner { radius_mm: 0.5 * diameter_mm, height_mm, inside_radius_mm }
}

fn ring(corners: Vec<RingCorner>) -> Ring {
    Ring {
        name: "seat".into(),
        thickness_mm: 1.0,
        material: "dc04".into(),
        face: Face::Middle,
        corners,
        leg_names: Vec::new(),
        holes: Vec::new(),
        reach_mm: 0.5,
    }
}

fn stepped(depth_mm: f64) -> Ring {
    ring(vec![
        corner(240.0, -depth_mm, 0.0),
        corner(268.0, -depth_mm, 2.0),
        corner(268.0, 0.0, 2.0),
        corner(320.0, 0.0, 0.0),
    ])
}

fn developed(ring: &Ring) -> DevelopedRing {
    develop(ring, &DevelopSettings::default(), &RingSettings::default()).unwrap()
}

#[test]
fn the_held_leg_keeps_its_size_and_the_rest_is_strained() {
    let one = developed(&stepped(8.0)).one_blank;
    assert!(one.is_feasible(), "{:?}", one.blank.concerns);
    for strain in
        one.strains.iter().filter(|strain| Held::Leg(2) == one.held && strain.part == section::ring::RingPart::Leg(2))
    {
        assert!(strain.hoop.abs() < 1e-12);
    }
    assert!(one.most_stretched().unwrap().hoop > 0.0 || one.most_gathered().unwrap().gathered() > 0.0);
}

#[test]
fn a_step_too_deep_names_the_deepest_that_would_do() {
    let deep = stepped(60.0);
    let one = developed(&deep).one_blank;
    assert!(!one.is_feasible());
    let deepest = one.deepest_mm.unwrap();
    assert!(deepest > 5.0 && deepest < 60.0, "{deepest}");
    assert!(
        one.blank
            .concerns
            .iter()
            .any(|c| c.grade == Grade::Stop && c.what_to_do.contains(&format!("{deepest:.1} mm deep")))
    );
    // a little less is accepted, a little more is not, whichever leg is held
    let at = |depth: f64| developed(&stepped(depth)).one_blank.is_feasible();
    assert!(at(deepest - 0.05) && !at(deepest + 0.05), "{deepest}");
    assert!(developed(&deep).built_up.is_feasible());
}

#[test]
fn parts_of_a_built_up_ring_meet_at_one_diameter() {
    let cone = ring(vec![
        corner(100.0, 0.0, 0.0),
        corner(160.0, 0.0, 2.0),
        corner(200.0, 30.0, 2.0),
        corner(200.0, 55.0, 0.0),
    ]);
    for shape in [stepped(12.0), cone] {
        let built = developed(&shape).built_up;
        assert_eq!(built.parts.len(), 3);
        for seam in built.seams.iter().filter(|seam| seam.kind == SeamKind::Corner) {
            let [a, b] = seam.edge_diameters_mm.unwrap();
            assert!((a - b).abs() < 1e-9 && (a - seam.diameter_mm.unwrap()).abs() < 1e-9, "{seam:?}");
        }
    }
}

#[test]
fn faulty_rings_and_settings_are_named() {
    let shape = stepped(10.0);
    let settings = RingSettings { held: Some(Held::Leg(1)), ..RingSettings::default() };
    let said = develop(&shape, &DevelopSettings::default(), &settings).unwrap_err().to_string();
    assert!(said.contains("flat legs are 1 (flat 1), 3 (flat 3)"), "{said}");
    let mut unknown = stepped(10.0);
    unknown.material = "old tin".into();
    assert!(matches!(
        develop(&unknown, &DevelopSettings::default(), &RingSettings::default()),
        Err(RingError::UnknownMaterial { .. })
    ));
    let mut nan = stepped(10.0);
    nan.corners[0].height_mm = f64::NAN;
    assert!(develop(&nan, &DevelopSettings::default(), &RingSettings::default()).is_err());
}

#[test]
fn forms_lie_on_the_hollow_side() {
    let one = developed(&stepped(8.0)).one_blank;
    assert_eq!(one.forms.len(), 2);
    let [inner, outer] = [&one.forms[0], &one.forms[1]];
    // the seat is clamped on a disc inside the wall, the flange on a board with a hole round it
    assert_eq!((inner.side, outer.side), (FormSide::Disc, FormSide::HoleInBoard));
    assert!((inner.board_diameter_mm - 267.0).abs() < 1e-9 && (outer.board_diameter_mm - 269.0).abs() < 1e-9);
    assert!((outer.clamp_diameter_mm - (268.0 + 5.0)).abs() < 1e-9);
}

/// S30 is for low-carbon steel, S31 for steel and aluminium: a ring of anything else says that its limit is borrowed.
#[test]
fn the_limit_of_a_ring_names_its_source_truly() {
    for (material, sourced) in [("dc04", true), ("stainless18_8", false), ("aluminium1050a_o", false)] {
        // the outer leg held, wall and inner leg are let out
        let held = RingSettings { held: Some(Held::Leg(2)), ..RingSettings::default() };
        let asked = Ring { material: material.into(), ..stepped(40.0) };
        let one = develop(&asked, &DevelopSettings::default(), &held).unwrap().one_blank;
        let stretched: Vec<_> = one.blank.concerns.iter().filter(|own| own.key.starts_with("ring-stretch")).collect();
        assert!(!stretched.is_empty(), "{material}: {:?}", one.blank.concerns);
        for concern in stretched {
            assert_eq!(concern.source.contains("no source"), !sourced, "{material}: {}", concern.source);
        }
    }
}
