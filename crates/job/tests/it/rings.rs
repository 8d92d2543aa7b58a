//! Rings: the ventilator ring and the stove-pipe collar of the invented Wren 15 from the job file to flats, ways, price and steps.

use crate::{RINGS, planned, section};
use job::plan::{PiecePlan, Plan, RingWay};
use std::sync::LazyLock;

static PLAN: LazyLock<Plan> = LazyLock::new(|| planned(RINGS));

fn changed(pairs: &[(&str, &str)]) -> Plan {
    let text = pairs.iter().fold(RINGS.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "the rings have no {from:?}");
        text.replacen(from, to, 1)
    });
    planned(&text)
}

fn ventilator(plan: &Plan) -> &PiecePlan {
    &section(plan, "ventilator").pieces[0]
}

fn kinds<'a>(plan: &'a Plan, id: &str) -> Vec<&'a str> {
    section(plan, id).operations.iter().map(|operation| operation.kind.as_str()).collect()
}

#[test]
fn the_seat_is_formed_from_one_blank_and_the_deep_collar_is_built_up() {
    assert!(PLAN.all_faults().next().is_none(), "{:?}", PLAN.all_faults().collect::<Vec<_>>());
    let one = ventilator(&PLAN).ring.as_ref().unwrap();
    assert_eq!(one.way, RingWay::OneBlank);
    assert!(one.ways.iter().all(|way| way.feasible && way.net.is_some()), "{:?}", one.ways);
    let collar = section(&PLAN, "stove_collar");
    let built = collar.pieces[0].ring.as_ref().unwrap();
    assert_eq!(built.way, RingWay::BuiltUp);
    assert!(!built.ways[0].feasible && built.ways[0].stopped_by[0].contains("deep instead of"), "{:?}", built.ways);
    // spigot, cone, flange: a flat each, together one ring for the fitter
    let names: Vec<&str> = collar.pieces.iter().map(|piece| piece.name.as_str()).collect();
    assert_eq!(names, ["stove collar, spigot", "stove collar, cone", "stove collar, flange"]);
    let fitted = collar.as_fitted();
    assert_eq!(fitted.len(), 1);
    assert_eq!(fitted[0].name, "stove collar");
    assert!(fitted[0].shape.is_closed());
}

/// 268.25 mm measured where the pattern has 268: every diameter is a quarter of a millimetre larger, the bolt circle too.
#[test]
fn what_was_measured_sizes_the_ring() {
    let ring = &ventilator(&PLAN).ring.as_ref().unwrap().ring;
    let diameters: Vec<f64> = ring.corners.iter().map(|corner| 2.0 * corner.radius_mm).collect();
    assert!((diameters[1] - 268.25).abs() < 1e-9 && (diameters[3] - 330.25).abs() < 1e-9, "{diameters:?}");
    let hole = &ring.holes[0];
    assert!((2.0 * hole.along_mm.hypot(hole.from_edge_mm) - 306.25).abs() < 1e-9);
    let higher = changed(&[("readings = [\"18 mm\"]", "readings = [\"20 mm\"]")]);
    assert!((ventilator(&higher).ring.as_ref().unwrap().ring.height_mm() - 20.0).abs() < 1e-9);
}

#[test]
fn operations_follow_the_way() {
    let formed = kinds(&PLAN, "ventilator");
    for kind in ["make-forms", "dress-down", "stretch-ring", "trim-ring", "check"] {
        assert!(formed.contains(&kind), "{formed:?}");
    }
    let built = kinds(&PLAN, "stove_collar");
    let at = |kind: &str| built.iter().position(|own| *own == kind).unwrap();
    assert_eq!(built.iter().filter(|own| **own == "cut-blank").count(), 3);
    assert_eq!(built.iter().filter(|own| **own == "roll-ring").count(), 2);
    assert!(at("roll-ring") < at("weld-closing") && at("weld-closing") < at("weld-ring"));
    assert_eq!(built.iter().filter(|own| **own == "weld-ring").count(), 1);
}

/// Said in the file, a way is kept even where it cannot be made: then its stop stands.
#[test]
fn a_way_that_is_said_is_kept() {
    let asked = changed(&[("bend_radius = 2.5\nmake = \"either\"", "bend_radius = 2.5\nmake = \"one_blank\"")]);
    let collar = section(&asked, "stove_collar");
    assert_eq!(collar.pieces.len(), 1);
    assert!(asked.open_stops(collar).any(|stop| stop.key == "ring-deeper-than-blank"));
    let built = changed(&[("bend_radius = 2\nmake = \"one_blank\"", "bend_radius = 2\nmake = \"built_up\"")]);
    assert_eq!(section(&built, "ventilator").pieces.len(), 3);
}

/// A ring that is built up is welded together first and is then one ring to the pipe that is butted on it: 130 mm across, upright, its
/// far end 60 mm over the spigot's 100.
#[test]
fn a_built_up_ring_takes_a_seam_of_the_section() {
    let pipe = "bend_radius = 2.5\nmake = \"built_up\"\n";
    let more = "[[section.piece]]\nkind = \"tube\"\nname = \"pipe\"\ndiameter = \"130 mm\"\nthickness = \"1.2 mm\"\nmaterial = \"dc04\"\n\
        length = \"60 mm\"\nstart = [{ name = \"foot\" }]\nfar = [{ name = \"top\" }]\n\n[[section.seam]]\npiece = \"pipe\"\n\
        edge = \"foot\"\nreversed = true\nto = { piece = \"stove collar\", edge = \"inner edge\" }\n\n[[pattern]]\nid = \"wren15-ventilator-ring\"";
    let plan = changed(&[
        ("bend_radius = 2.5\nmake = \"either\"\n", pipe),
        ("[[pattern]]\nid = \"wren15-ventilator-ring\"", more),
    ]);
    let own = section(&plan, "stove_collar");
    assert!(own.faults.is_empty(), "{:?}", own.faults);
    assert_eq!(own.pieces.len(), 4, "three parts of the ring and the pipe");
    let joined = own.assembly.as_ref().unwrap();
    assert_eq!(joined.pieces.iter().map(|own| own.piece.as_str()).collect::<Vec<_>>(), ["stove collar", "pipe"]);
    let seam = &joined.seams[0];
    assert!(seam.lengths_mm.iter().all(|mm| (mm - 130.0 * std::f64::consts::PI).abs() < 0.05), "{:?}", seam.lengths_mm);
    assert!(seam.off_mm < 0.1, "{}", seam.off_mm);
    let top = joined.pieces[1].pose.point(glam::DVec3::Z * 60.0);
    assert!(top.distance(glam::DVec3::Z * 160.0) < 0.1, "{top}");
    let kinds: Vec<&str> = own.operations.iter().map(|operation| operation.kind.as_str()).collect();
    let at = |kind: &str| kinds.iter().position(|own| *own == kind).unwrap_or_else(|| panic!("no {kind} in {kinds:?}"));
    let last_seam = kinds.iter().rposition(|own| *own == "weld-seam").unwrap();
    assert!(at("weld-ring") < at("fit-up") && at("fit-up") < last_seam, "{kinds:?}");
    assert!(own.concerns.iter().all(|own| own.key != "seam-turns-back"), "{:?}", own.concerns);

    // without `reversed` the pipe hangs down inside the spigot: both edges are named, and what would do
    let (built, more) =
        (("bend_radius = 2.5\nmake = \"either\"\n", pipe), ("[[pattern]]\nid = \"wren15-ventilator-ring\"", more));
    let inside = more.1.replace("reversed = true\n", "");
    let plan = changed(&[built, (more.0, &inside)]);
    let stops: Vec<_> = plan.open_stops(section(&plan, "stove_collar")).collect();
    let stop = stops.iter().find(|own| own.key == "seam-turns-back").unwrap_or_else(|| panic!("{stops:?}"));
    assert!(stop.what.contains("\"foot\" of pipe and \"inner edge\" of stove collar"), "{}", stop.what);
    assert!(stop.why.contains("open by 0°"), "{}", stop.why);
    assert!(stop.what_to_do.contains("reversed = true"), "{}", stop.what_to_do);
    assert!(stop.what_to_do.contains("stands the other way round"), "{}", stop.what_to_do);
}

/// The edges that go into the vehicle are those of the ring, not of its parts.
#[test]
fn a_built_up_ring_goes_in_by_its_own_edges() {
    let along = |edge: &str| {
        let from = "kind = \"bolted\"\nfixing = \"bolt\"\n";
        changed(&[
            ("bend_radius = 2\nmake = \"one_blank\"", "bend_radius = 2\nmake = \"built_up\""),
            (from, &format!("{from}along = [{{ piece = \"ventilator ring\", edge = \"{edge}\" }}]\n")),
        ])
    };
    let plan = along("outer edge");
    let own = section(&plan, "ventilator");
    assert!(own.faults.is_empty() && own.pieces.len() == 3, "{:?}", own.faults);
    let wrong = along("rim");
    let fault = &section(&wrong, "ventilator").faults[0];
    assert!(fault.field.ends_with("joint.along.0.edge"), "{}", fault.field);
    assert!(fault.message.contains("ventilator ring") && fault.message.contains("outer edge"), "{}", fault.message);
}

/// The flange and its holes lie at the height and the places of the file, x to the front.
#[test]
fn it_stands_in_vehicle_axes() {
    let piece = ventilator(&PLAN);
    let [low, high] = piece.shape.bounds_mm().unwrap();
    assert!((high.z - 18.0).abs() < 1e-9 && (low.z + 1.2).abs() < 1e-9, "{low} {high}");
    assert!((high.x - 165.125).abs() < 0.01 && (high.y - 165.125).abs() < 0.1);
    assert_eq!(piece.shape.lines.iter().filter(|line| line.name == "hole").count(), 16);
    assert_eq!(piece.edges.iter().map(|edge| edge.name.as_str()).collect::<Vec<_>>(), ["inner edge", "outer edge"]);
    let outer = &piece.edges[1];
    assert!((outer.length_mm - std::f64::consts::PI * 330.25).abs() < 1e-6);
    for point in &outer.points {
        assert!((point.at_mm.z).abs() < 1e-9 && point.into_sheet.dot(point.at_mm) < 0.0 && point.outward.z > 0.999);
    }
}

#[test]
fn faults_are_named_at_their_field() {
    for (from, to, field, words) in [
        ("circle = 240", "circle = 262", "stove_collar", "is flat"),
        ("bolt = \"M5\"", "bolt = \"M7\"", "bolt", "M5, M6"),
        ("x_runs = \"front\"", "x_runs = \"up\"", "x_runs", "square"),
        (
            "kind = \"bolted\"\nfixing = \"bolt\"\naccess_behind = true\nvisible = true\nload_bearing = false\nnear_mounting = false\nmagnet = \"sticks\"\n\n[[section.piece]]\nkind = \"ring\"\n",
            "kind = \"stepped_lap\"\nfixing = \"plug\"\naccess_behind = true\n\n[[section.piece]]\nkind = \"ring\"\njoins = \"outer\"\n",
            "joint.kind",
            "stepped lap",
        ),
    ] {
        let plan = changed(&[(from, to)]);
        let faults: Vec<String> =
            plan.all_faults().map(|fault| format!("{}: {}", fault.field, fault.message)).collect();
        assert!(faults.iter().any(|fault| fault.contains(field) && fault.contains(words)), "{from}: {faults:?}");
    }
}

/// Fitting a round thing: crosswise, no ends and no middle.
#[test]
fn fitting_steps_are_those_of_a_ring() {
    let steps = &section(&PLAN, "ventilator").fitting;
    let text: String = steps.iter().flat_map(|step| &step.text).cloned().collect::<Vec<_>>().join(" ");
    assert!(text.contains("crosswise") && text.contains("right round"), "{text}");
    for word in ["both ends", "middle outwards", "above the cut"] {
        assert!(
            !steps
                .iter()
                .filter(|step| step.kind != "hold-up" && step.kind != "send-back")
                .flat_map(|step| &step.text)
                .any(|text| text.contains(word)),
            "{word}"
        );
    }
}
