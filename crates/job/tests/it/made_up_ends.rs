//! Strips whose ends are made up: the lower edge of the locker door hemmed round its corner.

use crate::{LOCKER, planned};
use glam::DVec2;
use handbook::Grade;
use job::plan::{Plan, SectionPlan};

const ARCH: &str = include_str!("../../../../examples/arch-edge.toml");

const HEM: &str = "make = \"hem\"\nwidth = 12\nturns = \"inside\"\n";
const FLANGE: &str = "make = \"flange\"\nopening = \"90°\"\nradius = 1.5\nwidth = 14\nturns = \"inside\"\n";

fn with_end(end: &str, make_up: &str) -> Plan {
    planned(&format!("{}\n\n[[pattern.piece.{end}]]\n{make_up}", LOCKER.trim_end()))
}

fn only(plan: &Plan) -> &SectionPlan {
    let faults: Vec<_> = plan.all_faults().map(|fault| format!("{}: {}", fault.field, fault.message)).collect();
    assert!(faults.is_empty(), "{faults:?}");
    &plan.sections[0]
}

fn size(section: &SectionPlan) -> DVec2 {
    let outline = || section.pieces[0].blank.outline_mm.iter().copied();
    outline().reduce(DVec2::max).unwrap() - outline().reduce(DVec2::min).unwrap()
}

/// The flat is longer by what a hem of 12 mm takes, its leg and its bend, and no higher than the strip's; the corner between both hems is
/// cut out with its relief hole.
#[test]
fn a_hem_comes_round_the_corner() {
    let raw = planned(LOCKER);
    let plan = with_end("end_edge", HEM);
    let (raw, section) = (only(&raw), only(&plan));
    let longer_mm = size(section).x - size(raw).x;
    assert!((size(section).y - size(raw).y).abs() < 1e-6, "{} {}", size(section), size(raw));
    let fold = &section.pieces[0].blank.folds;
    assert_eq!(fold.len(), raw.pieces[0].blank.folds.len() + 1);
    let allowance_mm = fold.iter().map(|own| own.allowance_mm[0]).fold(0.0, f64::max);
    assert!((longer_mm - (12.0 + allowance_mm)).abs() < 1e-6, "{longer_mm} {allowance_mm}");
    assert_eq!(mesh::polygon::check_simple(&section.pieces[0].blank.outline_mm), Ok(()));
    let piece = &section.pieces[0];
    assert!(piece.blank.workings.iter().any(|own| own.name.contains("relief") && own.value >= 3.2), "F1");
    // the same sizes, known as well as those of the strip without a hem
    assert_eq!(piece.reach_mm, raw.pieces[0].reach_mm);
    assert!(piece.reach_mm > 0.0);
    for check in piece.blank.check_dimensions.iter().filter(|check| check.unit == "mm") {
        assert_eq!(check.reach, Some(piece.reach_mm), "{}", check.name);
        assert!(check.rule.starts_with("ISO 2768-1") || check.rule.starts_with("outside"), "{}", check.rule);
    }
    let stops: Vec<_> =
        section.concerns.iter().chain(&piece.blank.concerns).filter(|own| own.grade == Grade::Stop).collect();
    assert!(stops.is_empty(), "{stops:?}");
    // it goes in by its cut edge as the strip does, and keeps the names of its edges
    let names: Vec<&str> = piece.edges.iter().map(|edge| edge.name.as_str()).collect();
    for name in ["finished edge", "cut edge", "rear corner", "front corner"] {
        assert!(names.contains(&name), "{names:?}");
    }
    assert!(section.joint.maps.iter().all(|map| map.edge == "cut edge") && !section.joint.maps.is_empty());
    assert_eq!(section.cut, raw.cut);
    // in space the hem stands one fold beyond the end line at x 840
    let [low, high] = piece.shape.bounds_mm().unwrap();
    assert!((low.x - 300.0).abs() < 1e-6 && high.x > 840.5 && high.x < 843.0, "{low} {high}");
}

/// A square flange at the start: its outer face stands at the end line, and the other hand is the same flat turned over.
#[test]
fn a_flange_stands_at_the_end_line() {
    let plan = with_end("start_edge", FLANGE);
    let section = only(&plan);
    let [low, _] = section.pieces[0].shape.bounds_mm().unwrap();
    // the round of the hem beside it runs on to the plane that halves the corner
    assert!((low.x - 300.0).abs() < 0.2, "{low}");
    let other = if LOCKER.contains("hand = \"left\"\nfrom_pattern") { "right" } else { "left" };
    let text = format!("{}\n\n[[pattern.piece.start_edge]]\n{FLANGE}", LOCKER.trim_end());
    let own = if other == "right" { "left" } else { "right" };
    let turned = planned(
        &text.replace(&format!("hand = \"{own}\"\nfrom_pattern"), &format!("hand = \"{other}\"\nfrom_pattern")),
    );
    let turned = only(&turned);
    assert!((size(turned) - size(section)).length() < 1e-9);
    let ([a, b], [c, d]) = (section.pieces[0].shape.bounds_mm().unwrap(), turned.pieces[0].shape.bounds_mm().unwrap());
    assert!((a.y + d.y).abs() < 1e-6 && (b.y + c.y).abs() < 1e-6, "{a} {b} {c} {d}");
}

#[test]
fn what_an_end_cannot_have_is_named() {
    let fault = |plan: &Plan| {
        let fault = plan.all_faults().next().unwrap_or_else(|| panic!("no fault"));
        format!("{}: {}", fault.field, fault.message)
    };
    let lap = fault(&with_end("end_edge", "make = \"raw\"\ntrim = 3\n"));
    assert!(lap.contains("end_edge") && lap.contains("a flange, a hem or a wire"), "{lap}");
    let held = planned(&format!(
        "{}\n\n[[pattern.piece.end_edge]]\n{HEM}",
        LOCKER.trim_end().replace("runs = \"up\"", "runs = \"up\"\nheld_line = \"cut edge\"")
    ));
    assert!(fault(&held).contains("held_line"), "{}", fault(&held));
    // a wheel arch is round seen from outside
    let arch = fault(&planned(&format!("{}\n\n[[pattern.piece.start_edge]]\n{FLANGE}", ARCH.trim_end())));
    assert!(arch.contains("straight seen from outside") && arch.contains("kind = \"skin\""), "{arch}");
}
