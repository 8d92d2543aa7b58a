//! The demo works from file to price.

use crate::{EXAMPLES, planned, read, section, shop, wren15};
use job::file::Hand;

#[test]
fn every_example_is_planned_without_a_fault() {
    for (name, text) in EXAMPLES {
        let plan = planned(text);
        let faults: Vec<_> = plan.all_faults().collect();
        assert!(faults.is_empty(), "{name}: {faults:#?}");
        assert!(plan.sections.iter().any(|section| !section.pieces.is_empty()), "{name}");
    }
}

#[test]
fn all_four_kinds_of_piece_have_a_flat_a_shape_and_a_price() {
    let plan = job::plan(&wren15(), &shop());
    for (id, pieces) in [("arch", 1), ("gutter", 2), ("step_well", 1), ("locker", 1)] {
        let section = section(&plan, id);
        assert_eq!(section.pieces.len(), pieces, "{id}");
        for piece in &section.pieces {
            assert!(piece.blank.area_mm2 > 1000.0 && !piece.shape.triangles.is_empty(), "{id}");
        }
        assert!(section.price.is_some() && !section.operations.is_empty(), "{id}");
        let stops: Vec<_> = plan.open_stops(section).map(|stop| &stop.key).collect();
        assert!(stops.is_empty(), "{id}: {stops:?}");
    }
    assert!(plan.promise.is_some() && plan.compared.len() == 2);
}

/// H11: 8.2 over the curl in 20 swg sheet leaves 6.37: 1/4 in bar. H1: 38.1 + 6.35. H2: 25 at each free end. H4, W41: step as
/// deep as the old sheet, ramp five times that, overlap 12.7 for 0.9 mm sheet.
#[test]
fn the_arch_follows_the_shop_rules() {
    let plan = job::plan(&wren15(), &shop());
    let arch = section(&plan, "arch");
    let wire = &arch.pieces[0].blank.wires[0];
    assert!((wire.diameter_mm - 6.35).abs() < 1e-9);
    let cut = arch.cut.as_ref().unwrap();
    assert!((cut.cut_height_mm - 44.45).abs() < 1e-9, "{}", cut.cut_height_mm);
    assert!((cut.lap_mm - (5.0 * 0.9144 + 12.7)).abs() < 1e-9, "{}", cut.lap_mm);
    let length =
        arch.pieces[0].blank.check_dimensions.iter().find(|check| check.name.contains("spare included")).unwrap();
    assert!((length.nominal - (780.0 + 50.0)).abs() < 1e-6);
}

#[test]
fn a_place_that_is_left_and_one_that_is_declined_have_words_and_no_metal() {
    let plan = job::plan(&wren15(), &shop());
    let dent = section(&plan, "dent");
    assert!(dent.pieces.is_empty() && dent.price.is_none() && !dent.protect.is_empty());
    let bracket = section(&plan, "spring_bracket");
    assert!(
        bracket.pieces.is_empty()
            && bracket.reply.contains("What we suggest instead")
            && bracket.reply.contains("Thank you")
    );
}

#[test]
fn rust_that_is_only_seen_carries_two_heights_and_two_prices() {
    let plan = job::plan(&wren15(), &shop());
    let locker = section(&plan, "locker");
    let cut = locker.cut.as_ref().unwrap();
    assert!(cut.second_cut_height_mm.unwrap() > cut.cut_height_mm);
    assert!(locker.second_price.is_some());
    assert!(locker.concerns.iter().any(|concern| concern.key == "rust-not-proven"));
}

/// The other hand: the same numbers, reflected.
#[test]
fn the_other_hand_has_the_same_numbers_and_the_right_words() {
    let job = wren15();
    let mut other = job.clone();
    for section in &mut other.sections {
        section.hand = section.hand.map(|hand| if hand == Hand::Left { Hand::Right } else { Hand::Left });
    }
    let (plan, mirrored) = (job::plan(&job, &shop()), job::plan(&other, &shop()));
    for id in ["arch", "gutter", "locker"] {
        let (a, b) = (section(&plan, id), section(&mirrored, id));
        for (first, second) in a.pieces.iter().zip(&b.pieces) {
            assert_eq!(first.blank.outline_mm, second.blank.outline_mm, "{id}");
            assert_ne!(first.blank.face_up, second.blank.face_up, "{id}");
            assert_ne!(first.placing.hand, second.placing.hand);
            let reflected =
                |points: &[glam::DVec3]| -> Vec<[f64; 3]> { points.iter().map(|p| [p.x, -p.y, p.z]).collect() };
            let plain = |points: &[glam::DVec3]| -> Vec<[f64; 3]> { points.iter().map(|p| [p.x, p.y, p.z]).collect() };
            let (left, right) = (reflected(&first.shape.points_mm), plain(&second.shape.points_mm));
            assert_eq!(left.len(), right.len());
            for (p, q) in left.iter().zip(&right) {
                assert!(p.iter().zip(q).all(|(x, y)| (x - y).abs() < 1e-9), "{id}");
            }
        }
        assert_eq!(a.price.as_ref().map(|price| &price.net), b.price.as_ref().map(|price| &price.net), "{id}");
    }
    let arch = section(&plan, "arch");
    assert_eq!(arch.pieces[0].placing.hand, "right hand (driver's right, sitting and facing forward)");
    assert_eq!(arch.pieces[0].placing.edge_up, "cut edge up, wired edge down");
    assert_eq!(arch.pieces[0].placing.front_end, "front foot to the front, rear foot to the rear");
    assert!(arch.pieces[0].shape.points_mm.iter().all(|point| point.y < 0.0), "the right hand lies at −y");
}

/// A piece can be made without its cut-out, and another version hems the edge.
#[test]
fn switches_and_versions_change_the_piece() {
    let with = planned(crate::WREN15);
    let without = planned(&crate::changed(&[(
        r#"from_pattern = { id = "wren15-wheel-arch", version = "1953" }"#,
        r#"from_pattern = { id = "wren15-wheel-arch", version = "1953", without = ["step_lamp"] }"#,
    )]));
    assert_eq!(section(&with, "arch").pieces[0].blank.openings.len(), 1);
    assert!(section(&without, "arch").pieces[0].blank.openings.is_empty());
    assert!(section(&without, "arch").pattern.contains("without slot for the step lamp"));
    let hemmed =
        planned(&crate::changed(&[(r#"wheel-arch", version = "1953" }"#, r#"wheel-arch", version = "1956" }"#)]));
    let arch = section(&hemmed, "arch");
    assert!(arch.pieces[0].blank.wires.is_empty() && arch.pieces[0].placing.curl.contains("hem"));
    let check = arch.concerns.iter().find(|concern| concern.key == "check-figure-foot_to_foot").unwrap();
    assert!(check.why.contains("another version: 1953 to 1955"), "{}", check.why);
}

/// A switch turns a stretch of the edge line over; left out, the line runs as before.
#[test]
fn a_stretch_of_the_edge_line_hangs_on_a_switch() {
    const ARC: &str = "{ arc = [[-1500, 905, 780], [-1242.885, 905, 686.418]] }";
    const OVER: &str = "{ unless = \"step_lamp\", arc = [[-1500, 905, 780], [-1242.885, 905, 686.418]] },\n  { when = \"step_lamp\", arc = [[-1500, 905, 778], [-1242.885, 905, 686.418]] }";
    let version = (
        r#"from_pattern = { id = "wren15-wheel-arch", version = "1953" }"#,
        r#"from_pattern = { id = "wren15-wheel-arch", version = "1953", without = ["step_lamp"] }"#,
    );
    let across = |text: &str| {
        let plan = planned(text);
        let arch = section(&plan, "arch");
        assert!(arch.faults.is_empty(), "{:?}", arch.faults);
        let checks = &arch.pieces[0].blank.check_dimensions;
        checks.iter().find(|check| check.name.contains("straight from end to end")).unwrap().nominal
    };
    let (usual, over) = (across(crate::WREN15), across(&crate::changed(&[(ARC, OVER)])));
    assert!((usual - over).abs() > 0.1, "{usual} {over}");
    assert!((usual - across(&crate::changed(&[(ARC, OVER), version]))).abs() < 1e-9);
    let unknown = OVER.replace("step_lamp", "step_lump");
    let message = job::read_toml(&crate::changed(&[(ARC, &unknown)])).unwrap_err().to_string();
    assert!(message.contains("edge_line") && message.contains("did you mean \"step_lamp\"?"), "{message}");
    let doubled = planned(&crate::changed(&[(ARC, "{ straight = [-1242.885, 905, 686.418], through = [] }")]));
    let fault = section(&doubled, "arch").faults.iter().find(|fault| fault.field.contains("segments.1")).unwrap();
    assert!(fault.message.contains("exactly one of straight, arc and through"), "{}", fault.message);
}

/// A version that nobody said is never taken in silence.
#[test]
fn a_version_that_was_not_said_is_told() {
    let told = |text: &str| {
        let plan = planned(text);
        let arch = section(&plan, "arch");
        assert!(!arch.pieces.is_empty());
        arch.concerns.iter().find(|concern| concern.key == "version-not-said").cloned()
    };
    assert_eq!(told(crate::WREN15), None);
    let unsaid = told(&crate::changed(&[(r#", version = "1953" }"#, " }")])).unwrap();
    assert!(unsaid.what.contains("1953 to 1955") && unsaid.what_to_do.contains("folded flat"), "{unsaid:?}");
}

/// A bare number of a pattern takes the pattern's unit, on the measure sheet as in the piece.
#[test]
fn usual_sizes_take_the_unit_of_their_pattern() {
    let job = wren15();
    let depth = &job.patterns[0].measurements[0];
    let [low, high] = depth.between_mm(units::LengthUnit::Millimetre).unwrap();
    let [low_inch, high_inch] = depth.between_mm(units::LengthUnit::Inch).unwrap();
    assert!((low_inch - 25.4 * low).abs() < 1e-9 && (high_inch - 25.4 * high).abs() < 1e-9);
    let nominal = |unit| depth.nominal_mm(unit, None).unwrap();
    assert!((nominal(units::LengthUnit::Inch) - 25.4 * nominal(units::LengthUnit::Millimetre)).abs() < 1e-9);
}

/// A version has a picture of its own: the pattern alone, at its own sizes.
#[test]
fn each_version_of_a_pattern_can_be_drawn_alone() {
    let job = wren15();
    let pattern = job.patterns.iter().find(|pattern| pattern.id == "wren15-wheel-arch").unwrap();
    for version in &pattern.versions {
        let plan = job::plan(&pattern.alone(Some(&version.id)), &shop());
        let wired = !plan.sections[0].pieces[0].blank.wires.is_empty();
        assert_eq!(wired, version.id == "1953");
    }
}

/// A measured figure moves everything beyond its line, holes on the lips too.
#[test]
fn a_longer_tray_moves_its_far_holes() {
    let plan = planned(crate::WREN15);
    let tray = &section(&plan, "step_well").pieces[0].blank;
    let side = tray.check_dimensions.iter().find(|check| check.name.contains("edge 2")).unwrap();
    assert!((side.nominal - 22.125 * 25.4).abs() < 1e-9, "{}", side.nominal);
    let hole = |name: &str| tray.openings.iter().find(|opening| opening.name == name).unwrap().centre_mm;
    let apart = (hole("front lip, bolt left") - hole("front lip, bolt right")).length();
    assert!((apart - (440.0 + 22.125 * 25.4 - 560.0)).abs() < 1e-6, "{apart}");
}

#[test]
fn a_pattern_is_kept_as_it_was_written() {
    for (name, text) in EXAMPLES {
        for pattern in read(text).patterns {
            let written = job::write_pattern_toml(&pattern).unwrap();
            assert_eq!(job::read_pattern_toml(&written).unwrap(), pattern, "{name}");
        }
    }
}
