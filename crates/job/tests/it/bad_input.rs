//! Bad input: each line of the list gets an error that names field, value and what would be accepted, and the other
//! sections of the job are planned all the same.

use crate::{changed, planned, section, shop, wren15};
use job::plan::Plan;

/// The fault whose field contains `field`; every other section must have its price.
#[track_caller]
fn fault(pairs: &[(&str, &str)], id: &str, field: &str) -> String {
    let plan = planned(&changed(pairs));
    others_stand(&plan, id);
    let faulty = section(&plan, id);
    assert!(faulty.pieces.is_empty(), "a faulty section has no piece");
    let found = faulty.faults.iter().find(|fault| fault.field.contains(field));
    found.unwrap_or_else(|| panic!("{field} in {:#?}", faulty.faults)).message.clone()
}

#[track_caller]
fn others_stand(plan: &Plan, id: &str) {
    for other in ["arch", "gutter", "step_well", "locker"].into_iter().filter(|other| *other != id) {
        assert!(section(plan, other).price.is_some(), "{other} has its price");
    }
}

#[track_caller]
fn says(message: &str, words: &[&str]) {
    for word in words {
        assert!(message.contains(word), "{word:?} in {message:?}");
    }
}

#[test]
fn a_lap_wider_than_the_piece_is_high() {
    let message = fault(
        &[("old_thickness = \"20 swg\"\n", "old_thickness = \"20 swg\"\nlap = \"60 mm\"\n")],
        "arch",
        "section.arch.joint.lap",
    );
    says(&message, &["60.00 mm", "44.45", "narrow the lap"]);
}

#[test]
fn a_wire_thinner_than_the_sheet() {
    let message = fault(
        &[
            ("turns = \"inside\"\nstands_out = [\"30 mm\", \"30 mm\"]", "turns = \"inside\"\n"),
            ("over_curl = { readings = [\"8.2 mm\", \"8.2 mm\"], by = \"volunteers\" }\n", ""),
            ("wire = \"1/4 in\"", "wire = \"0.6 mm\""),
        ],
        "arch",
        "",
    );
    says(&message, &["thinner than the sheet", "0.60", "0.90"]);
}

#[test]
fn a_curl_taller_than_the_strip() {
    let message = fault(
        &[
            ("rust_depth = { readings = [\"1 1/2 in\", \"1 1/2 in\", \"1 1/2 in\"], by = \"volunteers\" }\n", ""),
            (
                "id = \"rust_depth\"\ntitle = \"depth of bad metal\"\nhow = \"Tape laid on the outside skin",
                "id = \"height\"\ntitle = \"height\"\nhow = \"Tape laid on the outside skin",
            ),
            (
                "role = { is = \"rust_depth\" }\nnominal = 38\nbetween = [15, 100]",
                "role = { is = \"cut_height\" }\nnominal = 3\nbetween = [1, 100]",
            ),
            (
                "{ id = \"finger\", words = \"about two fingers\", means = { rust_depth = [25, 40] } }",
                "{ id = \"finger\", words = \"about two fingers\" }",
            ),
            (
                "{ id = \"hand\", words = \"about a hand's width\", means = { rust_depth = [60, 90] } }",
                "{ id = \"hand\", words = \"about a hand's width\" }",
            ),
            ("kind = \"stepped_lap\"\nold_thickness = \"20 swg\"", "kind = \"butt\"\nold_thickness = \"20 swg\""),
        ],
        "arch",
        "",
    );
    says(&message, &["the curl takes", "3.00 mm high", "raise the cut"]);
}

#[test]
fn a_flange_shorter_than_its_bend() {
    let message = fault(
        &[
            (
                "width = 20, turns = \"outside\" },\n]\n\n[[pattern.piece.edge]]\nedge = 2",
                "width = 2, turns = \"outside\" },\n]\n\n[[pattern.piece.edge]]\nedge = 2",
            ),
            ("on = \"fold 1.1\"\nalong = 60\nfrom_edge = 11", "on = \"base\"\nalong = 60\nfrom_edge = 60"),
            ("on = \"fold 1.1\"\nalong = 500\nfrom_edge = 11", "on = \"base\"\nalong = 200\nfrom_edge = 60"),
        ],
        "step_well",
        "",
    );
    says(&message, &["shorter than", "its bend takes"]);
}

#[test]
fn a_hole_off_the_metal() {
    let message = fault(
        &[(
            "name = \"slot for the step lamp\"\nwhen = \"step_lamp\"\nalong = 820\nfrom_edge = 16",
            "name = \"slot for the step lamp\"\nwhen = \"step_lamp\"\nalong = 820\nfrom_edge = 90",
        )],
        "arch",
        "",
    );
    says(&message, &["slot for the step lamp", "off the metal"]);
    let message = fault(
        &[("along = 30\nfrom_edge = 30\ndiameter = 12", "along = -30\nfrom_edge = 30\ndiameter = 12")],
        "step_well",
        "",
    );
    says(&message, &["drain", "off the metal"]);
}

#[test]
fn an_edge_line_that_doubles_back() {
    let message = fault(
        &[(
            "segments = [{ straight = [840, 910, 610] }]",
            "segments = [{ straight = [840, 910, 610] }, { straight = [400, 910, 611] }]",
        )],
        "locker",
        "edge_line",
    );
    says(&message, &["doubles back"]);
}

#[test]
fn an_edge_line_parallel_to_outward() {
    let message = fault(
        &[(
            "segments = [{ straight = [840, 910, 610] }]\noutward = [0, 1, 0]",
            "segments = [{ straight = [840, 910, 610] }]\noutward = [1, 0, 0]",
        )],
        "locker",
        "",
    );
    says(&message, &["parallel to 'outward'", "station"]);
    let message = fault(
        &[(
            "segments = [{ straight = [840, 910, 610] }]\noutward = [0, 1, 0]",
            "segments = [{ straight = [840, 910, 610] }]\noutward = [0, 0, 0]",
        )],
        "locker",
        "outward",
    );
    says(&message, &["no direction"]);
}

#[test]
fn a_cross_section_that_crosses_itself() {
    let message = fault(
        &[(
            "links = [{ straight = 130 }]",
            "links = [{ straight = 20 }, { arc = { radius = 2, bend = \"-170°\" } }, { straight = 10 }, { arc = { radius = 2, bend = \"-170°\" } }, { straight = 60 }]",
        )],
        "locker",
        "",
    );
    says(&message, &["crosses itself"]);
}

#[test]
fn an_outline_that_crosses_itself() {
    let crossed = "base = [[0, 0], [260, 560], [260, 0], [0, 560]]";
    let message = fault(&[("base = [[0, 0], [260, 0], [260, 560], [0, 560]]", crossed)], "step_well", "");
    says(&message, &["crosses itself", "sides 1 and 3"]);
}

#[test]
fn a_station_out_of_order() {
    let message = fault(&[("station = 604\n", "station = 1300\n")], "arch", "");
    says(&message, &["stations must rise", "1300"]);
}

#[test]
fn an_unknown_gauge() {
    let message = fault(
        &[("old_thickness = \"20 swg\"", "old_thickness = \"48 swg\"")],
        "arch",
        "section.arch.joint.old_thickness",
    );
    says(&message, &["48", "30"]);
    let message = fault(
        &[(
            "name = \"locker-door lower edge\"\nthickness = \"0.9 mm\"\nmaterial = \"dc04\"",
            "name = \"locker-door lower edge\"\nthickness = \"20 ga\"\nmaterial = \"zinc_coated_steel\"",
        )],
        "locker",
        "thickness",
    );
    says(&message, &["0.912 mm", "1.006 mm"]);
    let message = fault(
        &[(
            "name = \"locker-door lower edge\"\nthickness = \"0.9 mm\"\nmaterial = \"dc04\"",
            "name = \"locker-door lower edge\"\nthickness = \"0.9 mm\"\nmaterial = \"dc4\"",
        )],
        "locker",
        "material",
    );
    says(&message, &["did you mean \"dc04\"?"]);
}

#[test]
fn a_thickness_of_nothing_or_less() {
    for (text, word) in [("0 mm", "zero"), ("-0.9 mm", "negative")] {
        let message = fault(
            &[(
                "name = \"locker-door lower edge\"\nthickness = \"0.9 mm\"",
                &format!("name = \"locker-door lower edge\"\nthickness = \"{text}\""),
            )],
            "locker",
            "thickness",
        );
        says(&message, &[word]);
    }
}

#[test]
fn numbers_that_are_not_finite_are_refused_in_the_file() {
    for text in ["nan", "inf", "-inf", "\"NaN mm\""] {
        let changed = changed(&[("links = [{ straight = 130 }]", &format!("links = [{{ straight = {text} }}]"))]);
        let message = job::read_toml(&changed).unwrap_err().to_string();
        says(&message, &["not a finite number"]);
    }
    let vector = changed(&[(
        "segments = [{ straight = [840, 910, 610] }]\noutward = [0, 1, 0]",
        "segments = [{ straight = [840, 910, 610] }]\noutward = [nan, 1, 0]",
    )]);
    let plan = planned(&vector);
    assert!(!section(&plan, "locker").faults.is_empty());
}

/// A measurement 25.4 times too big or too small is named as such.
#[test]
fn a_wrong_scale_is_named() {
    let message = fault(
        &[(
            "rust_depth = { readings = [\"1 1/2 in\", \"1 1/2 in\", \"1 1/2 in\"]",
            "rust_depth = { readings = [\"1.5 mm\"]",
        )],
        "arch",
        "section.arch.measured.rust_depth",
    );
    says(&message, &["1.5 mm", "15.0 mm to 100.0 mm", "25.4 times too small"]);
    let message = fault(
        &[(
            "rust_depth = { readings = [\"1 1/2 in\", \"1 1/2 in\", \"1 1/2 in\"]",
            "rust_depth = { readings = [\"38 in\"]",
        )],
        "arch",
        "section.arch.measured.rust_depth",
    );
    says(&message, &["25.4 times too big"]);
}

#[test]
fn a_check_figure_that_is_off_stops_with_likely_reasons() {
    let plan = planned(&changed(&[(
        "foot_to_foot = { readings = [\"34 3/4 in\"]",
        "foot_to_foot = { readings = [\"34 1/4 in\"]",
    )]));
    let arch = section(&plan, "arch");
    let stop = plan.open_stops(arch).find(|stop| stop.key == "check-figure-foot_to_foot").unwrap();
    says(&stop.why, &["another version: 1956 on", "other hand", "bent"]);
    assert_eq!(arch.measured.iter().find(|measured| measured.id == "foot_to_foot").unwrap().agrees, Some(false));
    let plan = planned(&changed(&[(
        "foot_to_foot = { readings = [\"34 3/4 in\"]",
        "foot_to_foot = { readings = [\"34.75 mm\"]",
    )]));
    let arch = section(&plan, "arch");
    let reasons = &arch.measured.iter().find(|measured| measured.id == "foot_to_foot").unwrap().likely_reasons;
    assert!(reasons[0].contains("25.4 times too small"), "{reasons:?}");
}

#[test]
fn names_that_are_not_there() {
    says(
        &fault(
            &[("from_pattern = { id = \"wren15-locker-door\" }", "from_pattern = { id = \"wren15-locker-dor\" }")],
            "locker",
            "from_pattern.id",
        ),
        &["did you mean \"wren15-locker-door\"?"],
    );
    says(
        &fault(
            &[("id = \"wren15-wheel-arch\", version = \"1953\" }", "id = \"wren15-wheel-arch\", version = \"1955\" }")],
            "arch",
            "from_pattern.version",
        ),
        &["1955"],
    );
    says(
        &fault(&[("edge_length = { readings", "edge_lenght = { readings")], "locker", "measured.edge_lenght"),
        &["did you mean \"edge_length\"?"],
    );
    says(
        &fault(
            &[("title = \"locker-door lower edge\"\nhand = \"left\"", "title = \"locker-door lower edge\"")],
            "locker",
            "hand",
        ),
        &["left or right"],
    );
    says(
        &fault(
            &[("wheel-arch\", version = \"1953\" }", "wheel-arch\", version = \"1953\", without = [\"hemmed\"] }")],
            "arch",
            "without",
        ),
        &["may not be left out"],
    );
}

#[test]
fn a_price_with_no_rate_names_it_and_the_rest_stands() {
    let mut shop = shop();
    shop.money.hour = None;
    let plan = job::plan(&wren15(), &shop);
    let arch = section(&plan, "arch");
    assert!(arch.price.is_none() && !arch.pieces.is_empty() && !arch.fitting.is_empty());
    let fault = arch.faults.iter().find(|fault| fault.field == "shop.money.hour").unwrap();
    says(&fault.message, &["hourly rate", "48.00"]);
}

#[test]
fn a_wire_between_two_sizes_is_a_caution() {
    let plan = planned(&changed(&[(
        "over_curl = { readings = [\"8.2 mm\", \"8.2 mm\"]",
        "over_curl = { readings = [\"9.0 mm\", \"9.0 mm\"]",
    )]));
    let caution = section(&plan, "arch").concerns.iter().find(|concern| concern.key == "wire-between-sizes").unwrap();
    says(&caution.what, &["7.17 mm"]);
}

#[test]
fn a_size_that_was_not_measured_is_a_stop() {
    let plan = planned(&changed(&[(
        "run_length = { readings = [\"640 mm\", \"641 mm\"], by = \"the shop, from the old piece\" }\n",
        "",
    )]));
    let gutter = section(&plan, "gutter");
    assert!(plan.open_stops(gutter).any(|stop| stop.key == "not-measured-run_length"));
}
