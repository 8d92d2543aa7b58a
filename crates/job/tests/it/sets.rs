//! Both hands in one go, sets priced together, a piece of one version cut down for another, openings left to the fitter.

use crate::{planned, read, shop};
use handbook::Grade;
use job::file::Hand;
use job::plan::Plan;
use shop::LineClass;

const ARCH: &str = include_str!("../../../../examples/arch-edge.toml");
const BOX: &str = include_str!("../../../../examples/boxed-end.toml");

fn changed(text: &str, pairs: &[(&str, &str)]) -> String {
    pairs.iter().fold(text.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "the example has no {from:?}");
        text.replacen(from, to, 1)
    })
}

fn sound(plan: &Plan) {
    let faults: Vec<_> = plan.all_faults().map(|fault| format!("{}: {}", fault.field, fault.message)).collect();
    assert!(faults.is_empty(), "{faults:?}");
}

#[test]
fn both_hands_are_two_sections_of_one_set() {
    let text = changed(ARCH, &[("hand = \"right\"\nfrom_pattern", "hand = \"both\"\nfrom_pattern")]);
    let job = read(&text);
    let said: Vec<_> = job.sections.iter().map(|own| (own.id.as_str(), own.hand, own.set.as_str())).collect();
    assert_eq!(said, [("arch_left", Some(Hand::Left), "arch"), ("arch_right", Some(Hand::Right), "arch")]);
    let plan = job::plan(&job, &shop());
    sound(&plan);
    let [left, right] = [&plan.sections[0].pieces[0], &plan.sections[1].pieces[0]];
    assert_eq!(left.blank.outline_mm, right.blank.outline_mm, "the same flat");
    assert_ne!(left.blank.face_up, right.blank.face_up, "the other face up");
    for (a, b) in left.edges.iter().zip(&right.edges) {
        assert_eq!(a.name, b.name);
        let [p, q] = [a.points[0].at_mm, b.points[0].at_mm];
        assert!((p.x - q.x).abs() < 1e-9 && (p.y + q.y).abs() < 1e-9 && (p.z - q.z).abs() < 1e-9, "{p} {q}");
    }
}

/// What a set saves, by hand: the minutes of the first-time operations of one of two like sections, and one setting of each
/// other kind of machine for every time it is set; at rate·(1 + overhead)/(1 − margin).
#[test]
fn a_set_is_set_out_once() {
    let text = changed(ARCH, &[("hand = \"right\"\nfrom_pattern", "hand = \"both\"\nfrom_pattern")]);
    let plan = planned(&text);
    let whole = plan.price.as_ref().unwrap();
    let line = whole.lines.iter().find(|line| line.class == LineClass::Set).unwrap();
    let own = &plan.sections[0].operations;
    let first_time = ["survey", "set-out", "set-out-from-pattern", "make-templates"];
    let once: f64 = own.iter().filter(|op| first_time.contains(&op.kind.as_str())).map(|op| op.minutes.mean()).sum();
    let settings: f64 = own
        .iter()
        .filter(|op| !first_time.contains(&op.kind.as_str()))
        .map(|op| {
            let model = shop::default_minutes(&op.kind).unwrap();
            model.setup * (model.low + 4.0 + model.high) / 6.0
        })
        .sum();
    let wanted = (once + settings) / 60.0 * 48.0 * 1.15 / 0.8;
    let got = -(line.amount.minor as f64) / 100.0;
    assert!((got - wanted).abs() < 0.006 && got > 10.0, "{got} {wanted}");
    let singly: i64 = plan.sections.iter().map(|own| own.price.as_ref().unwrap().net.middle.minor).sum();
    assert_eq!(whole.net.middle.minor, singly + line.amount.minor);
    let lines: i64 = whole.lines.iter().filter(|line| line.class != LineClass::Tax).map(|line| line.amount.minor).sum();
    assert_eq!(lines, whole.net.middle.minor, "the lines add up to the net");
    // two sections that are no set save nothing
    let apart = read(&text);
    let mut apart = apart.clone();
    apart.sections.iter_mut().for_each(|own| own.set.clear());
    let apart = job::plan(&apart, &shop());
    assert!(apart.price.unwrap().lines.iter().all(|line| line.class != LineClass::Set));
}

#[test]
fn both_hands_of_a_piece_drawn_directly_need_its_hand() {
    let text = crate::DOME.replacen("hand = \"left\"", "hand = \"both\"", 1);
    let refused = job::read_toml(&text).unwrap_err().to_string();
    assert!(refused.contains("drawn_for"), "{refused}");
    let job = read(&text.replacen("hand = \"both\"", "hand = \"both\"\ndrawn_for = \"left\"", 1));
    assert_eq!(job.sections.len(), 2);
    assert!(job.sections.iter().all(|own| own.drawn_for == Some(Hand::Left)));
}

/// The 1956 edge is hemmed and has no lamp slot; foot to foot it is 870 where the 1953 one is 882.
#[test]
fn a_piece_of_one_version_is_cut_down_for_another() {
    let text = changed(
        ARCH,
        &[
            (
                "version = \"1953\" }",
                "version = \"1953\", for_version = \"1956\", from = \"220 mm\", to = \"900 mm\" }",
            ),
            ("foot_to_foot = { readings = [\"34 3/4 in\"]", "foot_to_foot = { readings = [\"870 mm\"]"),
        ],
    );
    let plan = planned(&text);
    sound(&plan);
    let section = &plan.sections[0];
    for words in [
        "made for version 1953",
        "repair for version 1956",
        "foot to foot is 882.0 mm, there 870.0 mm",
        "slot for the step lamp",
        "edge hemmed",
    ] {
        assert!(section.pattern.contains(words), "{words:?} in {}", section.pattern);
    }
    // made 180 to 960, wanted 220 to 900
    assert!(section.pattern.contains("100.0 mm of the length"), "{}", section.pattern);
    let off = section.workings.iter().find(|own| own.name.starts_with("cut off the length")).unwrap();
    assert!((off.value - 100.0).abs() < 1e-9);
    assert!(
        section.concerns.iter().any(|own| own.key == "cut-down-for-another-version" && own.grade == Grade::Caution)
    );
    // the check figure is that of the vehicle's version
    let check = section.measured.iter().find(|own| own.id == "foot_to_foot").unwrap();
    assert_eq!((check.expected_mm, check.agrees), (Some(870.0), Some(true)));
    let same = planned(&changed(ARCH, &[("version = \"1953\" }", "version = \"1953\", for_version = \"1953\" }")]));
    assert!(same.all_faults().any(|fault| fault.message.contains("the version that the piece is made for")));
    let unknown = planned(&changed(ARCH, &[("version = \"1953\" }", "version = \"1953\", for_version = \"1957\" }")]));
    assert!(unknown.all_faults().any(|fault| fault.message.contains("no version \"1957\"")));
}

const LAMP: &str = "name = \"drain and vent\"\nalong = 165\nfrom_edge = 30\ndiameter = 10\n\n[[pattern.piece.opening]]\nname = \"lamp hole\"\n\
    along = 60\nfrom_edge = 30\ndiameter = 24\n";

/// A lamp hole of 24 mm with 15 mm of metal round it and 8 mm of lap: plate 24 + 2·15 + 2·8 = 70 mm, hole for it 54 mm,
/// corners 16 and 8 mm.
#[test]
fn an_opening_is_supplied_as_a_plate() {
    let plain = "name = \"drain and vent\"\nalong = 165\nfrom_edge = 30\ndiameter = 10\n";
    let let_in = "let_in = { margin = \"15 mm\", lap = \"8 mm\", corner_radius = \"16 mm\" }\n";
    let plan = planned(&changed(BOX, &[(plain, &format!("{LAMP}{let_in}"))]));
    sound(&plan);
    let section = &plan.sections[0];
    let plate = section.pieces.last().unwrap();
    assert_eq!(plate.name, "let-in plate for lamp hole");
    let size = |pick: fn(&glam::DVec2) -> f64| {
        let values: Vec<f64> = plate.blank.outline_mm.iter().map(pick).collect();
        values.iter().copied().fold(f64::MIN, f64::max) - values.iter().copied().fold(f64::MAX, f64::min)
    };
    assert!((size(|p| p.x) - 70.0).abs() < 1e-6 && (size(|p| p.y) - 70.0).abs() < 1e-6);
    // rounded: (4 − π)·16² less than the square
    assert!(
        (plate.blank.area_mm2 - (4900.0 - (4.0 - std::f64::consts::PI) * 256.0)).abs() < 3.0,
        "{}",
        plate.blank.area_mm2
    );
    assert!(plate.blank.openings.is_empty() && plate.blank.marks.iter().any(|mark| mark.label.contains("lamp hole")));
    let channel = &section.pieces[0];
    assert!(channel.blank.openings.iter().all(|own| own.name != "lamp hole"), "not made in the piece");
    let step = section.fitting.iter().find(|step| step.kind == "let-in").unwrap();
    assert!(
        step.cuts_vehicle
            && step.text.iter().any(|text| text.contains("54.0 mm × 54.0 mm") && text.contains("8.0 mm radius")),
        "{:?}",
        step.text
    );
    let sharp = let_in.replace("16 mm", "9 mm");
    let plan = planned(&changed(BOX, &[(plain, &format!("{LAMP}{sharp}"))]));
    let fault = plan.all_faults().next().unwrap();
    assert!(fault.field.ends_with("let_in.corner_radius") && fault.message.contains("14.0 mm or more"), "{fault:?}");
}

#[test]
fn a_rectangle_is_never_sharp() {
    let plain = "diameter = 10\n\n[[pattern.piece]]";
    let text = |more: &str| changed(BOX, &[(plain, &format!("rectangle = [20, 12]\n{more}\n[[pattern.piece]]"))]);
    let plan = planned(&text(""));
    sound(&plan);
    let own = &plan.sections[0].pieces[0].blank.openings[0];
    // 20 × 12 less (4 − π)·3²; chords within 0.05 mm of the four quarter circles take a little more
    let area: f64 = mesh::polygon::signed_area_mm2(own.outline_mm.as_ref().unwrap()).abs();
    assert!((area - (240.0 - (4.0 - std::f64::consts::PI) * 9.0)).abs() < 0.6, "{area}");
    let wide = planned(&text("corner_radius = 7\n"));
    assert!(wide.all_faults().any(|fault| fault.message.contains("at most 6.0 mm")));
    let twice = planned(&text("diameter = 10\n"));
    assert!(twice.all_faults().any(|fault| fault.message.contains("not at all or twice")));
}
