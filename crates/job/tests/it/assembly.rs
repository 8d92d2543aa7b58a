//! Pieces joined by seams: the boxed end of a bearer (three folded pieces) and the gutter end of a roof panel (skin and
//! strip) of the invented Wren 15; what is refused; the order of work.

use crate::{LADDER_FOOT, planned, shop};
use glam::DVec3;
use handbook::Grade;
use job::plan::{Assembly, Plan, SectionPlan};

const BOX: &str = include_str!("../../../../examples/boxed-end.toml");
const GUTTER: &str = include_str!("../../../../examples/gutter-end.toml");

fn changed(text: &str, pairs: &[(&str, &str)]) -> String {
    pairs.iter().fold(text.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "the example has no {from:?}");
        text.replacen(from, to, 1)
    })
}

fn only(plan: &Plan) -> &SectionPlan {
    let faults: Vec<_> = plan.all_faults().map(|fault| format!("{}: {}", fault.field, fault.message)).collect();
    assert!(faults.is_empty(), "{faults:?}");
    &plan.sections[0]
}

fn assembly(section: &SectionPlan) -> &Assembly {
    section.assembly.as_ref().unwrap()
}

fn stops(section: &SectionPlan) -> Vec<String> {
    let stops = section.concerns.iter().filter(|own| own.grade == Grade::Stop);
    stops.map(|own| format!("{}: {} / {} / {}", own.key, own.what, own.why, own.what_to_do)).collect()
}

fn first_fault(text: &str) -> String {
    let plan = planned(text);
    let fault = plan.all_faults().next().unwrap_or_else(|| panic!("no fault"));
    format!("{}: {}", fault.field, fault.message)
}

/// Measured 205.25 mm (mean of two): channel and lid are both so long, the end plate stands at their outer end, 60 wide and
/// 40 high, and every seam closes to rounding.
#[test]
fn the_box_stands_as_its_seams_say() {
    let plan = planned(BOX);
    let section = only(&plan);
    assert!(stops(section).is_empty(), "{:?}", stops(section));
    let own = assembly(section);
    let wanted = [60.0, 40.0, 40.0, 205.25, 205.25, 60.0];
    assert_eq!(own.seams.len(), wanted.len());
    for (seam, wanted_mm) in own.seams.iter().zip(wanted) {
        let [a, b] = seam.lengths_mm;
        assert!((a - wanted_mm).abs() < 1e-9 && (b - wanted_mm).abs() < 1e-9, "{}: {a} {b}", seam.name);
        assert!(seam.off_mm < 1e-9, "{}: {}", seam.name, seam.off_mm);
    }
    let plate = &own.pieces[1].pose;
    // its corner away from both its zero edges lies at the far top corner of the box
    assert!(plate.point(DVec3::new(60.0, 40.0, 0.0)).distance(DVec3::new(205.25, 60.0, 40.0)) < 1e-9, "{plate:?}");
    let lid = &own.pieces[2].pose;
    assert!(lid.point(DVec3::ZERO).distance(DVec3::new(0.0, 0.0, 40.0)) < 1e-9);
    // a pose is a rigid motion: lengths and hand stay
    for placed in &own.pieces {
        let pose = &placed.pose;
        assert!((pose.x.cross(pose.y) - pose.z).length() < 1e-12 && (pose.x.length() - 1.0).abs() < 1e-12);
    }
}

#[test]
fn the_box_is_worked_in_order_and_shut_by_the_fitter() {
    let plan = planned(BOX);
    let section = only(&plan);
    let own = assembly(section);
    assert_eq!(own.steps.len(), 2);
    assert_eq!(own.steps[0].seams, ["A", "B", "C"]);
    assert_eq!(own.steps[1].groups, [vec!["channel".to_owned(), "end plate".to_owned()], vec!["lid".to_owned()]]);
    assert!(own.shut_by_fitter && own.shuts_at.is_none());
    assert_eq!(own.box_of, ["channel", "end plate", "lid"]);
    let kinds: Vec<&str> = section.operations.iter().map(|operation| operation.kind.as_str()).collect();
    for kind in ["fit-up", "tack-seam", "weld-seam", "dress"] {
        assert_eq!(kinds.iter().filter(|own| **own == kind).count(), 2, "{kind} in {kinds:?}");
    }
    let last_mark = kinds.iter().rposition(|kind| *kind == "mark-piece").unwrap();
    let first_fit = kinds.iter().position(|kind| *kind == "fit-up").unwrap();
    assert!(last_mark < first_fit, "pieces are ready before they are joined: {kinds:?}");
    assert!(section.protect.iter().any(|line| line.what.contains("inside the box")));
    assert!(plan.concerns.iter().any(|concern| concern.key.starts_with("C21")), "C21 for a closed section");
    // weld metres are priced: 60 + 2·40 + 2·205.25 + 60 mm
    let welded: f64 = own.seams.iter().map(|seam| seam.lengths_mm[0]).sum();
    assert!((welded - 610.5).abs() < 1e-6, "{welded}");
    let gas = section.price.as_ref().unwrap().lines.iter().find(|line| line.what == "gas and filler").unwrap();
    assert!(gas.quantity.starts_with("0.61"), "{}", gas.quantity);
}

/// A fourth piece shuts the box in the shop: what is welded from inside must come before, and it needs a hole.
#[test]
fn a_box_that_is_shut_in_the_shop_is_told() {
    let inner = "\n[[pattern.piece]]\nkind = \"folded\"\nname = \"inner plate\"\nthickness = \"1.2 mm\"\nmaterial = \"dc04\"\n\
        face_up_is = \"outside\"\ndirections = \"x across, y up\"\nbase = [[0, 0], [60, 0], [60, 40], [0, 40]]\n";
    let seam = |edge: &str, piece: &str, to: &str| {
        format!(
            "\n[[pattern.seam]]\npiece = \"inner plate\"\nedge = \"{edge}\"\nto = {{ piece = \"{piece}\", edge = \"{to}\" }}\nstands = \"90°\"\n"
        )
    };
    let seams = [
        seam("edge 0", "channel", "inner end"),
        seam("edge 1", "channel", "left wall start"),
        seam("edge 3", "channel", "right wall end"),
        seam("edge 2", "lid", "inner end"),
    ];
    let (head, tail) = BOX.split_once("[[pattern.seam]]").unwrap();
    let along_from = head.find("along = [").unwrap();
    let along_to = along_from + head[along_from..].find("\n]\n").unwrap() + 3;
    let head = format!("{}{}", &head[..along_from], &head[along_to..]);
    let whole = format!("{head}{inner}\n[[pattern.seam]]{tail}{}", seams.concat());
    let plan = planned(&whole);
    let section = only(&plan);
    let own = assembly(section);
    assert_eq!((own.shuts_at, own.shut_by_fitter), (Some(3), false));
    assert!(stops(section).is_empty(), "{:?}", stops(section));
    assert!(section.operations.iter().any(|operation| operation.kind == "prime-inside"));
    // the same without its drain: no vent
    let from = whole.find("[[pattern.piece.opening]]").unwrap();
    let to = from + whole[from..].find("[[pattern.piece]]").unwrap();
    let blind = format!("{}{}", &whole[..from], &whole[to..]);
    let plan = planned(&blind);
    assert!(stops(only(&plan)).iter().any(|stop| stop.starts_with("box-without-vent")));
    // and a seam made from inside in the step that shuts it
    let late = whole.replacen(
        "to = { piece = \"lid\", edge = \"inner end\" }",
        "from_inside = true\nto = { piece = \"lid\", edge = \"inner end\" }",
        1,
    );
    let plan = planned(&late);
    assert!(stops(only(&plan)).iter().any(|stop| stop.starts_with("seam-shut-in") && stop.contains("before 3")));
}

/// "Two pieces that do not share their seam's length": both edges, both lengths, the difference, what is accepted.
#[test]
fn a_seam_of_two_lengths_is_a_stop() {
    let short =
        changed(BOX, &[("base = [[0, 0], [60, 0], [60, 40], [0, 40]]", "base = [[0, 0], [57, 0], [57, 40], [0, 40]]")]);
    let plan = planned(&short);
    let found = stops(only(&plan));
    let stop = found.iter().find(|stop| stop.starts_with("seam-lengths-differ")).unwrap();
    for words in [
        "\"bottom\" of end plate",
        "\"outer end\" of channel",
        "57.0 mm against 60.0 mm",
        "3.0 mm longer",
        "up to 1.0 mm",
    ] {
        assert!(stop.contains(words), "{words:?} in {stop}");
    }
    // cut files are kept back: it is an open stop of the section
    assert!(plan.open_stops(&plan.sections[0]).next().is_some());
    // within the allowance nothing is said
    let near = changed(
        BOX,
        &[("base = [[0, 0], [60, 0], [60, 40], [0, 40]]", "base = [[0, 0], [59.4, 0], [59.4, 40], [0, 40]]")],
    );
    assert!(stops(only(&planned(&near))).is_empty());
}

/// The right length in the wrong place: the lid on the wrong walls' height.
#[test]
fn edges_that_do_not_meet_are_a_stop() {
    let leaning = changed(
        BOX,
        &[(
            "to = { piece = \"channel\", edge = \"left wall\" }\njoint = \"butt\"\nstands = \"90°\"",
            "to = { piece = \"channel\", edge = \"left wall\" }\njoint = \"butt\"\nstands = \"100°\"",
        )],
    );
    let found = stops(only(&planned(&leaning)));
    let stop = found.iter().find(|stop| stop.starts_with("seam-stands-off")).unwrap();
    // the far side of a lid 60 wide that leans by 10° stands 60·sin(10°) = 10.4 mm over the wall
    assert!(stop.contains("10.4 mm apart"), "{stop}");
}

/// Skin with a folded drip flange, strip with a wired edge 12 mm up behind it: curves of two radii that agree at the lap.
/// By hand: the flange's rim lies 18 mm under a parabola of radius about 900, the lap 6 mm under it.
#[test]
fn a_strip_laps_behind_the_flange_of_a_skin() {
    let plan = planned(GUTTER);
    let section = only(&plan);
    assert!(stops(section).is_empty(), "{:?}", stops(section));
    let seam = &assembly(section).seams[0];
    let [own_mm, other_mm] = seam.lengths_mm;
    // arc length of z = −x²/1800 over ±150 is 301.38 mm, turning 2·atan(1/6) = 0.3303 rad; 6 mm further in it is 1.98 mm shorter
    assert!((own_mm - (301.38 - 6.0 * 0.3303)).abs() < 0.1, "{own_mm}");
    assert!((other_mm - own_mm).abs() < seam.accepted_mm, "{other_mm} {own_mm}");
    assert!(seam.off_mm < 0.6, "{}", seam.off_mm);
    assert!(seam.words.contains("12.0 mm under") && seam.count >= 5, "{}", seam.words);
    // the strip is not cut to a height: its far edge belongs to the seam
    assert!(section.cut.is_none());
    let on_other_face = changed(GUTTER, &[("\"lap_under\"", "\"lap_over\"")]);
    let found = stops(only(&planned(&on_other_face)));
    assert!(found.iter().all(|stop| !stop.starts_with("seam-lengths-differ")), "{found:?}");
    // two sheets of 0.9 mm off: 1.8 mm where 1.0 is accepted
    assert!(found.iter().any(|stop| stop.starts_with("seam-stands-off")), "{found:?}");
}

#[test]
fn bad_seams_are_named() {
    let no_edge = first_fault(&changed(BOX, &[("edge = \"bottom\"\nto", "edge = \"botom\"\nto")]));
    assert!(no_edge.contains("seam.0.edge") && no_edge.contains("did you mean \"bottom\""), "{no_edge}");
    let no_piece = first_fault(&changed(
        BOX,
        &[("to = { piece = \"channel\", edge = \"outer end\" }", "to = { piece = \"chanel\", edge = \"outer end\" }")],
    ));
    assert!(no_piece.contains("did you mean \"channel\""), "{no_piece}");
    let itself = first_fault(&changed(
        BOX,
        &[("to = { piece = \"channel\", edge = \"outer end\" }", "to = { piece = \"end plate\", edge = \"top\" }")],
    ));
    assert!(itself.contains("joined to itself"), "{itself}");
    let both = first_fault(&changed(
        BOX,
        &[(
            "to = { piece = \"channel\", edge = \"outer end\" }",
            "to = { piece = \"channel\", edge = \"outer end\", line = [[0, 0], [60, 0]] }",
        )],
    ));
    assert!(both.contains("exactly one of"), "{both}");
    let lap = first_fault(&changed(
        BOX,
        &[(
            "joint = \"butt\"\nstands = \"90°\"\nfrom_inside",
            "joint = \"butt\"\nlap = \"10 mm\"\nstands = \"90°\"\nfrom_inside",
        )],
    ));
    assert!(lap.contains("only a lap has one"), "{lap}");
    let wide = first_fault(&changed(BOX, &[("stands = \"90°\"\nfrom_inside", "stands = \"200°\"\nfrom_inside")]));
    assert!(wide.contains("0° to 180°"), "{wide}");
    // a piece that nothing joins
    let (head, tail) = BOX.split_at(BOX.find("[[pattern.seam]]\nname = \"lid, left\"").unwrap());
    assert!(tail.contains("lid, right"));
    let alone = first_fault(head);
    assert!(alone.contains("no seam joins lid"), "{alone}");
    let along = first_fault(&changed(BOX, &[("edge = \"left wall start\" },", "edge = \"left wal start\" },")]));
    assert!(along.contains("joint.along.1.edge"), "{along}");
}

/// The bending of nothing: the allowance of the shop stands in the working of every seam.
#[test]
fn lengths_carry_their_working() {
    let plan = planned(BOX);
    let seam = &assembly(only(&plan)).seams[0];
    let working = &seam.workings[0];
    assert!(working.name.contains("difference of its two lengths") && working.value.abs() < 1e-9);
    let accepted = working.inputs.iter().find(|input| input.symbol == "s + r").unwrap();
    assert!((accepted.value - (shop().allowances.seam_within_mm + 0.5)).abs() < 1e-9, "{}", accepted.value);
}

/// A gusset that stands on a line of the channel's floor, on its inner face: 1.2 mm over the underside.
#[test]
fn a_plate_stands_on_a_line_of_a_face() {
    let gusset = "[[pattern.piece]]\nkind = \"folded\"\nname = \"gusset\"\nthickness = \"1.2 mm\"\nmaterial = \"dc04\"\nface_up_is = \"inside\"\n\
        directions = \"x across, y up\"\nbase = [[0, 0], [40, 0], [0, 30]]\n\n[[pattern.seam]]\npiece = \"gusset\"\nedge = \"edge 0\"\n\
        to = { piece = \"channel\", line = [[100, 10], [100, 50]] }\njoint = \"edge_to_face\"\n\n[[pattern.seam]]\nname = \"end plate, bottom\"";
    let text = changed(BOX, &[("[[pattern.seam]]\nname = \"end plate, bottom\"", gusset)]);
    let plan = planned(&text);
    let section = only(&plan);
    assert!(stops(section).is_empty(), "{:?}", stops(section));
    let own = assembly(section);
    let pose = &own.pieces.iter().find(|own| own.piece == "gusset").unwrap().pose;
    // the line was moved with the channel's far end only beyond 100 mm
    assert!(pose.point(DVec3::ZERO).distance(DVec3::new(100.0, 10.0, 1.2)) < 1e-9, "{pose:?}");
    assert!(pose.point(DVec3::new(0.0, 30.0, 0.0)).distance(DVec3::new(100.0, 10.0, 31.2)) < 1e-9, "{pose:?}");
    let seam = own.seams.iter().find(|seam| seam.pieces[0] == "gusset").unwrap();
    assert!(seam.off_mm < 1e-9 && (seam.lengths_mm[1] - 40.0).abs() < 1e-9);
    let long = planned(&text.replacen("[100, 50]", "[100, 54]", 1));
    assert!(stops(only(&long)).iter().any(|stop| stop.contains("40.0 mm against 44.0 mm")));
}

/// The other hand: both pieces are reflected, and their seams close as before.
#[test]
fn the_other_hand_closes_as_well() {
    let right = planned(GUTTER);
    let left = planned(&changed(GUTTER, &[("hand = \"right\"", "hand = \"left\"\ndrawn_for = \"right\"")]));
    let [a, b] = [&right, &left].map(|plan| &assembly(only(plan)).seams[0]);
    assert!((a.off_mm - b.off_mm).abs() < 1e-9 && (a.lengths_mm[0] - b.lengths_mm[0]).abs() < 1e-9);
    for (p, q) in a.points_mm.iter().zip(&b.points_mm) {
        assert!(p.distance(DVec3::new(q.x, -q.y, q.z)) < 1e-9, "{p} {q}");
    }
    let handed = changed(
        BOX,
        &[
            ("vehicle = \"Wren 15\"\nunit", "vehicle = \"Wren 15\"\nhand = \"left\"\nunit"),
            (
                "title = \"boxed end of the step bearer\"\nfrom_pattern",
                "title = \"boxed end\"\nhand = \"right\"\nfrom_pattern",
            ),
        ],
    );
    let plan = planned(&handed);
    let section = only(&plan);
    assert!(stops(section).is_empty(), "{:?}", stops(section));
    assert!(assembly(section).seams.iter().all(|seam| seam.off_mm < 1e-9));
    // folded pieces are reflected x → −x: the far top corner of the end plate
    let plate = &assembly(section).pieces[1].pose;
    assert!(plate.point(DVec3::new(-60.0, 40.0, 0.0)).distance(DVec3::new(-205.25, 60.0, 40.0)) < 1e-9, "{plate:?}");
}

/// A gusset whose edge lies on the wall of a tube, along it: 54 mm from station 62 to 8 at 0°, and its foot 38 mm on the plate that
/// the tube stands on. By hand: the wall faces the rear 16 mm behind the axis, so the gusset's corner at the toe is 62 mm behind it.
#[test]
fn a_gusset_stands_on_a_tube_and_on_its_plate() {
    let plan = planned(LADDER_FOOT);
    let section = only(&plan);
    assert!(stops(section).is_empty(), "{:?}", stops(section));
    let own = assembly(section);
    let seam = |name: &str| own.seams.iter().find(|seam| seam.name == name).unwrap();
    let on_tube = seam("gusset to the tube");
    assert!(on_tube.lengths_mm.iter().all(|mm| (mm - 54.0).abs() < 1e-9), "{:?}", on_tube.lengths_mm);
    let on_plate = seam("gusset to the plate");
    assert!(on_plate.lengths_mm.iter().all(|mm| (mm - 38.0).abs() < 1e-9), "{:?}", on_plate.lengths_mm);
    let round = seam("tube on its plate");
    assert!(round.closed && (round.lengths_mm[1] - 32.0 * std::f64::consts::PI).abs() < 1e-9);
    for seam in &own.seams {
        assert!(seam.off_mm < 0.02, "{}: {}", seam.name, seam.off_mm);
    }
    let toe = own.pieces[2].pose.point(DVec3::new(46.0, 0.0, 0.0));
    assert!(toe.distance(DVec3::new(-62.0, 0.0, 0.0)) < 1e-9, "{toe}");
    assert!(own.shuts_at.is_none() && !own.shut_by_fitter);
    // marked with a paper round the old tube, bolted by its plate, and never welded shut
    let kinds: Vec<&str> = section.fitting.iter().map(|step| step.kind.as_str()).collect();
    assert!(kinds.contains(&"vent") && kinds.contains(&"bolt-up"), "{kinds:?}");
}

/// The other hand: the tube turned round, and nothing else.
#[test]
fn the_other_hand_of_a_gusset_on_a_tube_closes_as_well() {
    let beside = [
        ("line = [[62, \"0°\"], [8, \"0°\"]]", "line = [[62, \"90°\"], [8, \"90°\"]]"),
        ("line = [[64, 30], [102, 30]]", "line = [[40, 54], [40, 57]]"),
    ];
    for hand in ["left", "right"] {
        let text = changed(LADDER_FOOT, &[("hand = \"left\"\nfrom", &format!("hand = \"{hand}\"\nfrom"))]);
        let plan = planned(&text);
        let section = only(&plan);
        assert!(stops(section).is_empty(), "{hand}: {:?}", stops(section));
        // at 90° the gusset stands to the driver's right of the tube, on the other hand to the left
        let plan = planned(&changed(&text, &beside));
        let own = assembly(only(&plan));
        let toe = own.pieces[2].pose.point(DVec3::new(if hand == "left" { 46.0 } else { -46.0 }, 0.0, 0.0));
        let wanted = if hand == "left" { -62.0 } else { 62.0 };
        assert!(toe.distance(DVec3::new(0.0, wanted, 0.0)) < 1e-9, "{hand}: {toe}");
    }
}

#[test]
fn seams_that_a_round_wall_cannot_have_are_named() {
    let line = "to = { piece = \"ladder tube\", line = [[62, \"0°\"], [8, \"0°\"]] }\njoint = \"edge_to_face\"\nturns = \"outside\"";
    let fault = |with: &str| first_fault(&changed(LADDER_FOOT, &[(line, with)]));
    let across = fault(
        "to = { piece = \"ladder tube\", line = [[30, \"0°\"], [30, \"180°\"]] }\njoint = \"edge_to_face\"\nturns = \"outside\"",
    );
    // half the girth rises one radius over its chord
    assert!(
        across.contains("to.line") && across.contains("16.0 mm over its chord") && across.contains("the same angle"),
        "{across}"
    );
    let inside =
        fault("to = { piece = \"ladder tube\", line = [[62, \"0°\"], [8, \"0°\"]] }\njoint = \"edge_to_face\"");
    assert!(inside.contains(".turns") && inside.contains("turns = \"outside\""), "{inside}");
    let lapped = fault("to = { piece = \"ladder tube\", line = [[62, \"0°\"], [8, \"0°\"]] }\njoint = \"lap_over\"");
    assert!(lapped.contains(".joint") && lapped.contains("edge_to_face"), "{lapped}");
    let beyond = fault(
        "to = { piece = \"ladder tube\", line = [[200, \"0°\"], [146, \"0°\"]] }\njoint = \"edge_to_face\"\nturns = \"outside\"",
    );
    assert!(beyond.contains("from station 0.0 to 182.0 mm"), "{beyond}");
    let round =
        fault("to = { piece = \"ladder tube\", round = [40, 0, 20] }\njoint = \"edge_to_face\"\nturns = \"outside\"");
    assert!(round.contains("saddle at its end"), "{round}");
    let on = fault(
        "to = { piece = \"ladder tube\", line = [[62, 0], [8, 0]], on = \"base\" }\njoint = \"edge_to_face\"\nturns = \"outside\"",
    );
    assert!(on.contains("a tube has one wall"), "{on}");
    // as long as the wall lets it: the other length is another
    let short = stops(only(&planned(&changed(LADDER_FOOT, &[("line = [[62, \"0°\"]", "line = [[58, \"0°\"]")]))));
    assert!(short.iter().any(|stop| stop.contains("54.0 mm against 50.0 mm")), "{short:?}");
}
