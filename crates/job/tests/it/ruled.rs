//! Cones and transitions: the air duct and rain funnel of the invented Wren 15 from the job file to flat, price and fitting sheet.

use crate::{planned, section, shop};
use blank::FaceUp;
use blank::ruled::RollLineKind;
use job::plan::{PiecePlan, Plan};
use std::f64::consts::PI;
use std::sync::LazyLock;

pub const FUNNEL: &str = include_str!("../../../../examples/roof-funnel.toml");

static DEMO: LazyLock<Plan> = LazyLock::new(|| planned(FUNNEL));

fn piece<'a>(plan: &'a Plan, id: &str) -> &'a PiecePlan {
    &section(plan, id).pieces[0]
}

fn changed(from: &str, to: &str) -> String {
    assert!(FUNNEL.contains(from), "the demo has no {from:?}");
    FUNNEL.replacen(from, to, 1)
}

#[track_caller]
fn fault(from: &str, to: &str) -> String {
    let plan = planned(&changed(from, to));
    let faults: Vec<_> = plan.all_faults().map(|fault| format!("{}: {}", fault.field, fault.message)).collect();
    assert!(!faults.is_empty(), "{to:?} was accepted");
    faults.join("\n")
}

/// The square end of the duct is measured 220.5 × 180 over the outside: its middle line is one thickness less each way. The round end,
/// 150 over the outside, is a circle of 149.1 at the middle. Geometry.
#[test]
fn the_duct_is_developed_at_the_middle_of_its_sheet() {
    let plan = &*DEMO;
    assert!(plan.all_faults().next().is_none(), "{:?}", plan.all_faults().collect::<Vec<_>>());
    let duct = piece(plan, "air_duct");
    assert_eq!(duct.kind, "transition");
    let [square, round] = &duct.ruled.as_ref().unwrap().layout.edges;
    assert!((square.length_mm - 2.0 * (220.5 + 180.0 - 1.8)).abs() < 1e-9, "{}", square.length_mm);
    assert!((round.length_mm - PI * 149.1).abs() < 1e-9, "{}", round.length_mm);
    assert_eq!(duct.blank.face_up, FaceUp::Inside);
    // the check figure agrees, nothing else stops it
    assert!(plan.open_stops(section(plan, "air_duct")).next().is_none());
    assert!(section(plan, "air_duct").price.is_some() && section(plan, "rain_funnel").price.is_some());
}

/// Measured in place of the pattern's own: 20 mm more front to rear is 40 mm more round the square end.
#[test]
fn a_measured_size_takes_the_place_of_the_patterns() {
    let wider = planned(&changed(r#"["220 mm", "221 mm"]"#, r#"["240 mm", "241 mm"]"#));
    let length = |plan: &Plan| piece(plan, "air_duct").ruled.as_ref().unwrap().layout.edges[0].length_mm;
    assert!((length(&wider) - length(&DEMO) - 40.0).abs() < 1e-9);
    let refused = fault(r#"["220 mm", "221 mm"]"#, r#"["2200 mm"]"#);
    assert!(refused.contains("10 times too big"), "{refused}");
}

/// The finished shape is the sheet that was developed: its faces on either side of the middle have the flat's area between them, and its ends are the edges listed.
#[test]
fn shape_flat_and_edges_agree() {
    for id in ["air_duct", "rain_funnel"] {
        let piece = piece(&DEMO, id);
        piece.shape.validate().unwrap();
        assert!(piece.shape.is_closed());
        let ruled = &piece.ruled.as_ref().unwrap().layout;
        let lap = ruled.lap_mm * ruled.ends_mm[0];
        assert!(piece.shape.volume_mm3() > 0.0);
        let face = |face| {
            let own = piece.shape.triangles.iter().zip(&piece.shape.tag_of);
            let own = own.filter(|(_, tag)| piece.shape.tags[**tag as usize].face == face);
            own.map(|(corners, _)| {
                let [a, b, c] = corners.map(|id| piece.shape.points_mm[id.0 as usize]);
                0.5 * (b - a).cross(c - a).length()
            })
            .sum::<f64>()
        };
        let middle = 0.5 * (face(mesh::SheetFace::Outside) + face(mesh::SheetFace::Inside));
        assert!((middle / (piece.blank.area_mm2 - lap) - 1.0).abs() < 4e-3, "{id}: {middle} {}", piece.blank.area_mm2);
        let names: Vec<&str> = piece.edges.iter().map(|edge| edge.name.as_str()).collect();
        assert_eq!(names, ruled.edges.iter().map(|edge| edge.name.as_str()).collect::<Vec<_>>());
        for edge in &piece.edges {
            assert!(edge.closed && edge.points.len() > 3, "{id}, {}: {} points", edge.name, edge.points.len());
            for point in &edge.points {
                assert!(
                    (point.into_sheet.length() - 1.0).abs() < 1e-9 && point.into_sheet.dot(point.outward).abs() < 1e-6
                );
            }
        }
    }
}

/// Lines are numbered, add up to a whole turn less the lean of the sides, and the steps of the work name them.
#[test]
fn operations_bend_along_the_lines_and_close_the_seam() {
    let duct = section(&DEMO, "air_duct");
    let kinds: Vec<&str> = duct.operations.iter().map(|operation| operation.kind.as_str()).collect();
    let at = |kind: &str| kinds.iter().position(|own| *own == kind).unwrap_or_else(|| panic!("no {kind} in {kinds:?}"));
    assert!(at("cut-blank") < at("bend-along-lines") && at("bend-along-lines") < at("weld-seam"));
    assert!(at("weld-seam") < at("dress") && at("dress") < at("check"));
    let lines = &piece(&DEMO, "air_duct").ruled.as_ref().unwrap().layout.lines;
    let bends = lines.iter().filter(|line| line.kind == RollLineKind::Roll).count();
    let operation = &duct.operations[at("bend-along-lines")];
    assert!(operation.what.contains(&bends.to_string()), "{}", operation.what);
    assert!(operation.settings.iter().any(|line| line.contains("stays flat")));
    // the seam runs along the middle of the front, a corner's lines between two limits
    let limits = lines.iter().filter(|line| line.kind == RollLineKind::Limit).count();
    assert_eq!(limits, 8);
}

/// The fitting sheet speaks of ends and an opening, never of an edge to look along.
#[test]
fn the_fitting_sheet_fits_a_duct() {
    let text: Vec<String> = section(&DEMO, "air_duct").fitting.iter().flat_map(|step| step.text.clone()).collect();
    let text = text.join(" ");
    assert!(text.contains("square") || text.contains("rectangular end and round end"), "{text}");
    assert!(text.contains("all round") && !text.contains("Look along it"), "{text}");
    assert_eq!(section(&DEMO, "air_duct").fitting[0].kind, "hold-up");
}

/// The other hand of a leaning funnel: the reflection, and the same flat with its other face up.
#[test]
fn the_same_numbers_make_either_hand() {
    let pattern = |hand: &str| {
        let text = FUNNEL.replacen("id = \"air_duct\"\n", &format!("id = \"air_duct\"\nhand = \"{hand}\"\n"), 1);
        planned(&text.replacen("vehicle = \"Wren 15\"\n", "vehicle = \"Wren 15\"\nhand = \"left\"\n", 1))
    };
    let (left, right) = (pattern("left"), pattern("right"));
    let (left, right) = (piece(&left, "air_duct"), piece(&right, "air_duct"));
    assert_eq!(left.blank.outline_mm, right.blank.outline_mm);
    assert_ne!(left.blank.face_up, right.blank.face_up);
    for (a, b) in left.shape.points_mm.iter().zip(&right.shape.points_mm) {
        assert_eq!((a.x, -a.y, a.z), (b.x, b.y, b.z));
    }
}

/// Two edge lines in space; a pair that cannot be joined by bending stops its cut files and says where.
#[test]
fn edge_lines_in_space_are_joined_or_stopped() {
    let with = |lower: &str, upper: &str| {
        let cone = FUNNEL.split("[[section.piece]]").nth(1).unwrap().split("[[pattern]]").next().unwrap();
        let between = format!(
            r#"
kind = "transition"
name = "spout"
thickness = "0.9 mm"
material = "dc04"
directions = "x to the rear"
outward = [1.0, 0.0, 0.0]
edge = [
  {{ name = "lower edge", start = [0, 0, 0], segments = [{lower}] }},
  {{ name = "upper edge", start = [0, 0, 90], segments = [{upper}] }},
]

"#
        );
        planned(&FUNNEL.replacen(cone, &between, 1))
    };
    let good = with("{ arc = [[30, 60, 0], [0, 120, 0]] }", "{ arc = [[30, 60, 90], [0, 120, 90]] }");
    let spout = piece(&good, "rain_funnel");
    assert!(spout.ruled.as_ref().unwrap().layout.twist_rad < 1e-6);
    assert_eq!(spout.edges.len(), 4, "two edges and two ends");
    assert!(good.open_stops(section(&good, "rain_funnel")).next().is_none());
    // two skew straights: whatever is laid between them is twisted
    let bad = with("{ straight = [0, 120, 0] }", "{ straight = [60, 120, 90] }");
    let stop = bad.open_stops(section(&bad, "rain_funnel")).next().expect("a stop");
    assert_eq!(stop.key, "not-by-bending");
    assert!(stop.what.contains('°'), "{}", stop.what);
}

#[test]
fn bad_sizes_are_named_at_their_field() {
    for (from, to, words) in [
        ("top = 36", "top = 130", "tube"),
        ("height = 95", "height = 0", "height"),
        ("top = 36", "top = 1.5", "smallest radius"),
        ("bottom = 130", "bottom = \"a lot\"", "is not a dimension"),
        ("top = { round = 150 }", "top = { round = 150, oval = [100, 50] }", "exactly one"),
        ("seam = { at = \"short\", lap = \"8 mm\" }", "seam = { at = { corner = 3 } }", "no corner 3"),
        ("seam = { at = \"short\", lap = \"8 mm\" }", "seam = { pieces = 2, piece = 3 }", "piece 3 of 2"),
        ("bottom = { rectangle = [220, 180] }\n", "", "bottom, top and height"),
        ("piece = \"air duct\", size = \"top\"", "piece = \"air duckt\", size = \"top\"", "air duct"),
    ] {
        let text = changed(from, to);
        let message = match job::read_toml(&text) {
            Ok(job) => {
                let plan = job::plan(&job, &shop());
                plan.all_faults()
                    .map(|fault| format!("{}: {}", fault.field, fault.message))
                    .collect::<Vec<_>>()
                    .join("\n")
            }
            Err(errors) => errors.to_string(),
        };
        assert!(message.contains(words), "{to}: {message:?}");
    }
}
