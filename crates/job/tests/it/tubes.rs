//! Round tubes: the ladder tube of the invented Wren 15 from its file to flat, papers to wrap, steps and price.

use crate::{LADDER, planned, section, shop};
use blank::FaceUp;
use glam::DVec3;
use handbook::Grade;
use job::plan::{PiecePlan, Plan};
use std::sync::LazyLock;

static LADDER_PLAN: LazyLock<Plan> = LazyLock::new(|| planned(LADDER));

fn changed(pairs: &[(&str, &str)]) -> String {
    pairs.iter().fold(LADDER.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "the ladder has no {from:?}");
        text.replacen(from, to, 1)
    })
}

fn piece(plan: &Plan) -> &PiecePlan {
    let faults: Vec<_> = plan.all_faults().collect();
    assert!(faults.is_empty(), "{faults:?}");
    &section(plan, "ladder").pieces[0]
}

#[track_caller]
fn fault(pairs: &[(&str, &str)]) -> String {
    let plan = planned(&changed(pairs));
    let faults: Vec<_> = plan.all_faults().map(|fault| format!("{}: {}", fault.field, fault.message)).collect();
    assert!(!faults.is_empty() && section(&plan, "ladder").pieces.is_empty());
    faults.join("\n")
}

fn version(id: &str) -> Plan {
    planned(&changed(&[("version = \"flattened\"", &format!("version = \"{id}\""))]))
}

const SLEEVE: [(&str, &str); 4] = [
    ("kind = \"butt\"", "kind = \"plain_lap\""),
    ("form = \"replacement\"", "form = \"sleeve\"\nclearance = \"0.2 mm\""),
    ("version = \"flattened\"", "version = \"plain\""),
    ("seam_at = \"135°\"", "seam_at = \"20°\""),
];

const PATCH: [(&str, &str); 5] = [
    ("kind = \"butt\"", "kind = \"plain_lap\""),
    ("form = \"replacement\"", "form = \"patch\"\nfrom = \"100°\"\ngirth = \"150°\""),
    ("version = \"flattened\"", "version = \"plain\""),
    ("seam_at = \"135°\"\n", ""),
    ("from_edge = \"180°\"", "from_edge = \"170°\""),
];

/// The measured diameter and length size it: mean of the readings 31.95 mm, 268 mm; girth of the flat π·(D − t) (handbook D1).
#[test]
fn the_ladder_tube_is_sized_by_what_was_measured() {
    let piece = piece(&LADDER_PLAN);
    let tube = piece.tube.as_ref().unwrap();
    assert!((tube.outside_diameter_mm - 31.95).abs() < 1e-9);
    let size = piece.blank.outline_mm.iter().copied().fold(glam::DVec2::ZERO, glam::DVec2::max);
    assert!((size.y - std::f64::consts::PI * 30.75).abs() < 1e-6, "{size}");
    // 268 mm finished, and what the flattened foot takes up on its way
    let taken = 48f64.hypot(15.375 - 0.6) - 48.0;
    assert!((size.x - 268.0 - taken).abs() < 1e-6, "{size}");
    assert_eq!(piece.kind, "tube");
    assert_eq!(piece.blank.face_up, FaceUp::Inside);
    assert!(piece.placing.edge_up.contains("upper cut lies up, the foot down"), "{}", piece.placing.edge_up);
    assert!(piece.placing.front_end.contains("zero line looks to the rear"), "{}", piece.placing.front_end);
    assert_eq!(piece.placing.front_label(), "It lies");
    piece.shape.validate().unwrap();
    let [low, high] = piece.shape.bounds_mm().unwrap();
    assert!((high.z - low.z - 268.0).abs() < 1e-6, "{low} {high}");
    assert!(section(&LADDER_PLAN, "ladder").price.is_some());
    assert!(LADDER_PLAN.open_stops(section(&LADDER_PLAN, "ladder")).next().is_none());
}

/// A closed tube carries caution C21 on the plan and where it is heated on the fitting sheet; its steps are a tube's own.
#[test]
fn a_closed_tube_carries_its_caution() {
    // also where nobody said that a closed section is near
    let plan = planned(&changed(&[("closed_section = true", "closed_section = false")]));
    let caution = plan.concerns.iter().find(|concern| concern.key == "C21").unwrap();
    assert_eq!(caution.grade, Grade::Caution);
    let steps = &section(&plan, "ladder").fitting;
    let kinds: Vec<&str> = steps.iter().map(|step| step.kind.as_str()).collect();
    let order = [
        "hold-up",
        "brace",
        "vent",
        "clean-and-probe",
        "scribe",
        "cut",
        "clamp-and-check",
        "tack",
        "weld",
        "protect",
        "send-back",
    ];
    assert_eq!(kinds, order);
    for step in steps.iter().filter(|step| matches!(step.kind.as_str(), "vent" | "cut" | "weld" | "tack")) {
        assert!(step.cautions.iter().any(|caution| caution.contains("open a vent")), "{}", step.title);
    }
    let words = steps.iter().flat_map(|step| &step.text).cloned().collect::<Vec<_>>().join(" ");
    for strange in ["finished edge", "upper edge of the piece", "wire", "step line"] {
        assert!(!words.contains(strange), "{strange}: {words}");
    }
}

/// Each version ends as its answer says; the papers to wrap follow.
#[test]
fn every_version_of_the_foot_is_made() {
    let cases = [
        ("flattened", 1, "flattened over 42.0 mm"),
        ("on_cross_tube", 2, "saddle on a tube of 42.0 mm at 75°"),
        ("slanted", 2, "mitred 30° from square"),
        ("plain", 1, "cut square"),
    ];
    for (id, papers, words) in cases {
        let plan = version(id);
        let piece = piece(&plan);
        let tube = piece.tube.as_ref().unwrap();
        assert!(tube.ends[0].contains(words), "{id}: {}", tube.ends[0]);
        assert_eq!(tube.wraps.len(), papers, "{id}");
        assert!(tube.wraps.iter().all(|wrap| (wrap.girth_mm - std::f64::consts::PI * 32.05).abs() < 1e-9));
        // tip to tip as measured, whatever sits there
        let [low, high] = piece.shape.bounds_mm().unwrap();
        assert!((high.z - low.z - 268.0).abs() < 0.05, "{id}: {low} {high}");
        assert!(section(&plan, "ladder").price.is_some(), "{id}");
    }
}

/// Operations in the order of working: cut, drill flat, form, weld the seam, dress, flatten, drill through both walls.
#[test]
fn a_tube_is_made_in_order() {
    let section = section(&LADDER_PLAN, "ladder");
    let kinds: Vec<&str> = section.operations.iter().map(|operation| operation.kind.as_str()).collect();
    let wanted = [
        "cut-blank",
        "mark-out",
        "drill",
        "roll-tube",
        "weld-seam",
        "dress",
        "flatten-end",
        "drill-formed",
        "check",
        "prime",
    ];
    let places: Vec<usize> = wanted
        .iter()
        .map(|kind| kinds.iter().position(|own| own == kind).unwrap_or_else(|| panic!("{kind}: {kinds:?}")))
        .collect();
    assert!(places.windows(2).all(|pair| pair[0] < pair[1]), "{kinds:?}");
    // the rolls of the shop close down to 40 mm
    assert!(section.concerns.iter().any(|concern| concern.key == "tube-below-rolls"));
    let roll = section.operations.iter().find(|operation| operation.kind == "roll-tube").unwrap();
    assert!(roll.what.starts_with("Form it by hand over a bar"), "{}", roll.what);
}

/// Sleeve and patch lie over the old tube: inside = old outside + clearance; the old wall is cut the shop's lap short (handbook H8).
#[test]
fn sleeve_and_patch_lie_over_the_old_tube() {
    let sleeve = planned(&changed(&SLEEVE));
    let tube = piece(&sleeve).tube.as_ref().unwrap();
    assert!((2.0 * tube.inside_radius_mm - 32.15).abs() < 1e-9);
    assert_eq!(tube.lap_mm, shop().rules.tube_patch_lap_mm);
    let patch = planned(&changed(&PATCH));
    let tube = piece(&patch).tube.as_ref().unwrap();
    assert!((2.0 * tube.inside_radius_mm - 31.95).abs() < 1e-9 && tube.seam.is_empty());
    assert!(section(&patch, "ladder").operations.iter().all(|operation| operation.kind != "weld-seam"));
    let said = section(&patch, "ladder").fitting.iter().find(|step| step.kind == "scribe").unwrap();
    assert!(said.figures_mm.contains(&("lap".to_owned(), 9.0)), "{:?}", said.figures_mm);
    // a lap written in the joint counts
    let written = planned(&changed(&[
        PATCH[1],
        PATCH[2],
        PATCH[3],
        PATCH[4],
        ("kind = \"butt\"", "kind = \"plain_lap\"\nlap = \"7 mm\""),
    ]));
    assert_eq!(piece(&written).tube.as_ref().unwrap().lap_mm, 7.0);
}

/// The long seam of a sleeve is welded on the vehicle: its tacks and short runs stand in a map of their own, from end to end of the seam, on the wall at the
/// angle that the file says. A patch has none.
#[test]
fn the_long_seam_of_a_sleeve_has_its_map() {
    let plan = planned(&changed(&SLEEVE));
    let own = piece(&plan);
    let joint = &section(&plan, "ladder").joint;
    let [map] = joint.maps.as_slice() else { panic!("{:?}", joint.maps) };
    assert_eq!((map.row, map.edge.as_str()), (job::plan::WeldRow::LongSeam, "long seam"));
    let runs: Vec<_> = map.events.iter().filter(|event| event.kind == weld::joints::WeldEventKind::Run).collect();
    let welded: f64 = runs.iter().map(|run| (run.to_mm - run.from_mm).abs()).sum();
    assert!((welded - map.length_mm).abs() < 1e-6 && runs.len() > 4, "{welded} of {}", map.length_mm);
    let [least, most] = map.spacing_mm().unwrap();
    let ([low, high], _) = handbook::joints::tack_pitch(1.2).unwrap();
    assert!(least > 0.7 * low && most <= high, "W31: {low} to {high}, {least} to {most}");
    let edge = own.weld_edge("long seam").unwrap();
    assert!((edge.length_mm - own.tube.as_ref().unwrap().seam_length_mm).abs() < 0.01, "{}", edge.length_mm);
    assert!(own.edges.iter().all(|edge| edge.name != "long seam"), "no edge to join another piece to");
    let patch = planned(&changed(&PATCH));
    assert!(section(&patch, "ladder").joint.maps.is_empty());
}

/// Plug holes stand in the flat on the middle of the lap, as many as the joint says, none near the end of another (handbook H8, H9: 7 mm
/// where a sheet is at least 1.2 mm).
#[test]
fn plug_holes_stand_in_the_lap_of_the_flat() {
    for (name, pairs) in [("patch", &PATCH[..]), ("sleeve", &SLEEVE[..])] {
        let plan = planned(&changed(pairs));
        let own = piece(&plan);
        let section = section(&plan, "ladder");
        let holes: Vec<_> = own.blank.openings.iter().filter(|opening| opening.name == "plug hole").collect();
        assert_eq!(holes.len(), section.joint.count, "{name}");
        for (i, hole) in holes.iter().enumerate() {
            assert_eq!(hole.cut_diameter_mm, Some(7.0), "{name}");
            if name == "patch" {
                let in_mm = mesh::polygon::distance_to_sides_mm(&own.blank.outline_mm, hole.centre_mm);
                assert!((in_mm - 4.5).abs() < 0.05, "{in_mm}");
            } else {
                let [low, high] =
                    own.blank.outline_mm.iter().fold([f64::MAX, f64::MIN], |[l, h], p| [l.min(p.x), h.max(p.x)]);
                assert!(((hole.centre_mm.x - low).min(high - hole.centre_mm.x) - 4.5).abs() < 1e-9);
            }
            let next = holes
                .iter()
                .enumerate()
                .filter(|(j, _)| *j != i)
                .map(|(_, other)| other.centre_mm.distance(hole.centre_mm));
            let next_mm = next.fold(f64::MAX, f64::min);
            assert!(next_mm > 20.0 && next_mm < 40.5, "{name}: {next_mm}");
        }
        let cut = section.fitting.iter().find(|step| step.kind == "cut").unwrap();
        assert!(cut.text.iter().any(|text| text.contains(&format!("{} plug holes", holes.len()))), "{:?}", cut.text);
    }
    let narrow = planned(&changed(&[
        PATCH[1],
        PATCH[2],
        PATCH[3],
        PATCH[4],
        ("kind = \"butt\"", "kind = \"plain_lap\"\nlap = \"7 mm\""),
    ]));
    assert!(piece(&narrow).blank.openings.iter().all(|opening| opening.name != "plug hole"));
    let told = section(&narrow, "ladder").concerns.iter().find(|own| own.key == "plugs-wider-than-lap").unwrap();
    assert!(told.what_to_do.contains("8.6 mm or more"), "{}", told.what_to_do);
}

/// The other hand is the finished shape reflected, its flat the same with the outside up, its papers turned over.
#[test]
fn the_left_tube_is_the_reflection() {
    let left = planned(&changed(&[
        ("hand = \"right\"", "hand = \"left\""),
        ("version = \"flattened\"", "version = \"on_cross_tube\""),
    ]));
    let right = version("on_cross_tube");
    let (left, right) = (piece(&left), piece(&right));
    assert_eq!(left.blank.outline_mm, right.blank.outline_mm);
    assert_eq!((right.blank.face_up, left.blank.face_up), (FaceUp::Inside, FaceUp::Outside));
    let reflected: Vec<DVec3> = right.shape.points_mm.iter().map(|p| DVec3::new(p.x, -p.y, p.z)).collect();
    assert_eq!(reflected, left.shape.points_mm);
    assert!(left.placing.front_end.contains("anticlockwise"), "{}", left.placing.front_end);
    assert_ne!(left.tube.as_ref().unwrap().wraps[0].lines, right.tube.as_ref().unwrap().wraps[0].lines);
}

#[test]
fn faults_stand_at_their_field_with_what_would_be_accepted() {
    type Case<'a> = (&'a [(&'a str, &'a str)], &'a [&'a str]);
    let cases: [Case<'_>; 9] = [
        (&[("zero_faces = \"rear\"", "zero_faces = \"down\"")], &["zero_faces: is along axis_runs"]),
        (
            &[("kind = \"butt\"", "kind = \"stepped_lap\"")],
            &["section.ladder.joint.kind: ", "butt or bolted is accepted"],
        ),
        (
            &[("when = \"flat\"\nname", "name"), ("version = \"flattened\"", "version = \"slanted\"")],
            &["start: says 2 things for one end"],
        ),
        (&[("seam_at = \"135°\"", "girth = \"120°\"")], &["girth: belongs to a patch"]),
        (
            &[("main = \"42 mm\"", "main = \"20 mm\""), ("version = \"flattened\"", "version = \"on_cross_tube\"")],
            &["is wider than the tube of 20.0 mm"],
        ),
        // a slant of 80° on 32 mm is 181 mm deep: more than the tube has
        (
            &[
                ("angle = \"30°\"", "angle = \"80°\""),
                ("version = \"flattened\"", "version = \"slanted\""),
                ("[\"268 mm\"]", "[\"170 mm\"]"),
            ],
            &["it runs past the upper cut", "or mitre it to"],
        ),
        (&[("along = \"120 mm\"", "along = \"60 mm\"")], &["drain at station 60.0 mm", "is off the metal"]),
        (
            &[("form = \"replacement\"", "form = \"patch\""), ("kind = \"butt\"", "kind = \"plain_lap\"")],
            &["girth: is missing"],
        ),
        (&[("thickness = \"1.2 mm\"", "thickness = \"17 mm\"")], &["thickness"]),
    ];
    for (pairs, wanted) in cases {
        let found = fault(pairs);
        for words in wanted {
            assert!(found.contains(words), "{words:?} in {found}");
        }
    }
}

/// A tube of 40 mm is 125.7 mm round: a girth of 100.5 mm belongs to another one, and neither figure passes alone.
#[test]
fn the_girth_is_held_against_the_diameter_that_was_measured() {
    let with = |diameter: &str, girth: &str| {
        let text = LADDER
            .replace("readings = [\"31.9 mm\", \"32 mm\"]", &format!("readings = [\"{diameter} mm\"]"))
            .replace("readings = [\"100.5 mm\"]", &format!("readings = [\"{girth} mm\"]"));
        planned(&text)
    };
    let stop = |plan: &Plan| {
        let own = section(plan, "ladder");
        plan.open_stops(own)
            .find(|stop| stop.key == "check-figure-girth")
            .map(|stop| format!("{} / {}", stop.what, stop.why))
    };
    let wrong = stop(&with("40", "100.5")).unwrap();
    assert!(wrong.contains("outside diameter of the tube asks for 125.6 mm"), "{wrong}");
    assert!(wrong.contains("read wrong"), "{wrong}");
    assert_eq!(stop(&with("40", "125.7")), None);
    assert_eq!(stop(&with("32", "100.5")), None);
    assert!(stop(&with("32", "125.7")).is_some());
}
