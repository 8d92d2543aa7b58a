//! `soundmetal tube`, `ring` and `allowance flange` where they refuse or warn.

use crate::command_line::{json, near, run};

/// Bad input: what it says.
#[track_caller]
fn refused(args: &[&str]) -> String {
    let output = run(args);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{said}");
    said
}

/// Two pieces at a right angle: each is square at one end, its mitre 45°, and as long at its middle as the centre radius (D8 halved).
#[test]
fn an_elbow_of_two_pieces_is_two_end_pieces() {
    let asked =
        ["tube", "--diameter", "60", "--wall", "1.5", "--elbow", "90°", "--pieces", "2", "--centre-radius", "60"];
    let flat = json(&[asked.as_slice(), &["--json"]].concat());
    near(&flat["axis_length_mm"], 60.0, 1e-9);
    let said = run(&asked);
    let text = String::from_utf8_lossy(&said.stdout).into_owned();
    assert!(text.contains("end piece along its back") && text.contains("square end: square"), "{text}");
    assert!(!text.contains("middle piece"), "{text}");
    // how long it is comes from the elbow
    let both = run(&[asked.as_slice(), &["--length", "300"]].concat());
    assert_eq!(both.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&both.stderr).contains("--length"));
}

/// 5 mm of wall cut square at 45°: half of it bites and half gapes, 2.5 mm by hand.
#[test]
fn what_the_other_wall_of_a_mitre_does_is_said() {
    let said = run(&["tube", "--diameter", "60", "--wall", "5", "--length", "300", "--start", "mitre=45°"]);
    let text = String::from_utf8_lossy(&said.stdout).into_owned();
    assert!(text.contains("bites 2.50 mm inside and gapes 2.50 mm outside"), "{text}");
}

#[test]
fn a_cut_that_takes_the_whole_tube_is_named_with_the_length_that_would_do() {
    let said = refused(&["tube", "--diameter", "40", "--wall", "1", "--length", "30", "--start", "mitre=60°"]);
    assert!(said.contains("of its 30.0 mm from tip to tip") && said.contains("long or more"), "{said}");
    let steep = refused(&["tube", "--diameter", "40", "--wall", "1", "--length", "300", "--start", "mitre=90°"]);
    assert!(steep.contains("the mitre from square") && steep.contains("between 0 and 80°"), "{steep}");
    let flat =
        refused(&["tube", "--diameter", "40", "--wall", "1", "--length", "300", "--start", "saddle=60,angle=0°"]);
    assert!(flat.contains("between 10 and 170°"), "{flat}");
}

#[test]
fn a_ring_is_written_from_the_inside_outwards() {
    let corners = ["--corner", "330,0", "--corner", "268,0", "--corner", "268,18"];
    let said = refused(&[["ring", "--thickness", "1", "--radius", "2"].as_slice(), corners.as_slice()].concat());
    assert!(
        said.contains("from outside (⌀330.0 mm) inwards (⌀268.0 mm)") && said.contains("innermost edge outwards"),
        "{said}"
    );
}

/// The deepest that is offered is the deepest that can be made, whichever leg is clamped: a little less is accepted, a little more is not.
#[test]
fn the_deepest_ring_that_is_offered_is_the_deepest_that_is_made() {
    let ring = |height: f64| {
        let (top, wall) = (format!("232,{height}"), format!("268,{height}"));
        let more = [
            "--corner",
            &top,
            "--corner",
            &wall,
            "--corner",
            "268,0",
            "--corner",
            "330,0",
            "--make",
            "one-blank",
            "--json",
        ];
        run(&[["ring", "--thickness", "1", "--radius", "2"].as_slice(), more.as_slice()].concat())
    };
    let refused: serde_json::Value = serde_json::from_slice(&ring(60.0).stdout).unwrap();
    let deepest = refused["one_blank"]["deepest_mm"].as_f64().unwrap();
    assert_eq!(ring(deepest - 0.05).status.code(), Some(0), "{deepest}");
    assert_eq!(ring(deepest + 0.05).status.code(), Some(3), "{deepest}");
}

/// Handbook F7: 15 wide on a line of 30 is let out by 100 %, which no sheet takes (S30).
#[test]
fn a_flange_that_tears_ends_as_do_not_make_this() {
    let torn = run(&["allowance", "flange", "--width", "15", "--line-radius", "30"]);
    assert_eq!(torn.status.code(), Some(3));
    assert!(String::from_utf8_lossy(&torn.stdout).contains("let out by 100.0 %"));
    let gathered = run(&["allowance", "flange", "--width", "40", "--line-radius", "30", "--line", "convex"]);
    assert_eq!(gathered.status.code(), Some(3));
    let mild = run(&["allowance", "flange", "--width", "12", "--line-radius", "200"]);
    assert_eq!(mild.status.code(), Some(0));
    assert!(!String::from_utf8_lossy(&mild.stdout).contains("caution"), "6.4 % is no more than half of what it takes");
}
