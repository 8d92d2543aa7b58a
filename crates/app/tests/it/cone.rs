//! `soundmetal cone` as a person runs it.

use crate::command_line::{assert_refused, json, near, run};
use std::f64::consts::PI;

/// Handbook D5 (a derivation in a mathematics forum): R 100, r 60, H 150: s 155.242, radii 388.104 and 232.863, 92.7586°, 78 033.0 mm².
#[test]
fn a_frustum_has_its_radii_and_its_angle() {
    let flat = json(&[
        "cone",
        "--bottom",
        "200",
        "--top",
        "120",
        "--height",
        "150",
        "--thickness",
        "0.9",
        "--face",
        "middle",
        "--json",
    ]);
    near(&flat["slant_mm"], 155.242, 0.5e-3);
    near(&flat["outer_radius_mm"], 388.104, 0.5e-3);
    near(&flat["inner_radius_mm"], 232.863, 0.5e-3);
    near(&flat["sector_deg"], 92.7586, 0.5e-4);
    near(&flat["area_mm2"], 78_033.0, 0.05);
    assert_eq!(flat["form"], "cone");
    // over the outside it is smaller by half a thickness along the normal
    let outside = json(&["cone", "--bottom", "200", "--top", "120", "--height", "150", "--thickness", "0.9", "--json"]);
    near(&outside["edges"][0]["length_mm"], 2.0 * PI * (100.0 - 0.45 * 150.0 / 40f64.hypot(150.0)), 1e-6);
}

/// Handbook D14 (triangulation): square 200 to round 150, 150 high: the mid-side seam is 152.069 long.
#[test]
fn square_to_round_is_written_as_table_and_files() {
    let folder = tempfile::tempdir().unwrap();
    let [dxf, svg] = ["flat.dxf", "flat.svg"].map(|name| folder.path().join(name));
    let output = run(&[
        "cone",
        "--bottom-rectangle",
        "200,200",
        "--top",
        "150",
        "--height",
        "150",
        "--thickness",
        "0.9",
        "--face",
        "middle",
        "--dxf",
        dxf.to_str().unwrap(),
        "--svg",
        svg.to_str().unwrap(),
    ]);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(text.contains("152.069") && text.contains("A: square end") && text.contains("limit"), "{text}");
    assert!(std::fs::read_to_string(dxf).unwrap().contains("LWPOLYLINE"));
    assert!(std::fs::read_to_string(svg).unwrap().starts_with("<svg"));
}

/// A flat cone is out of reach of a compass: offsets from the chord, here against the circle's own sagitta.
#[test]
fn a_flat_cone_gives_offsets_from_its_chord() {
    let flat = json(&[
        "cone",
        "--bottom",
        "300",
        "--top",
        "280",
        "--height",
        "200",
        "--thickness",
        "1",
        "--face",
        "middle",
        "--pieces",
        "4",
        "--json",
    ]);
    let radius = flat["outer_radius_mm"].as_f64().unwrap();
    assert!(radius > 1000.0);
    let edge = &flat["edges"][0];
    let chord = edge["chord_mm"].as_f64().unwrap();
    let middle = &edge["chord_offsets_mm"][6];
    near(&middle[0], 0.5 * chord, 1e-9);
    // within the 0.01 mm that chords of the outline leave
    near(&middle[1], radius - (radius * radius - 0.25 * chord * chord).sqrt(), 0.011);
    assert!(flat["concerns"].as_array().unwrap().iter().any(|concern| concern["key"] == "radius-beyond-compass"));
}

#[test]
fn bad_sizes_are_refused_by_name() {
    let with = |bottom: &'static str, top: &'static str, height: &'static str| {
        ["cone", "--bottom", bottom, "--top", top, "--height", height, "--thickness", "0.9"]
    };
    assert_refused(&with("200", "200", "100"), "tube");
    assert_refused(&with("200", "120", "0"), "no height");
    assert_refused(&with("200", "1.2", "100"), "smallest radius");
    assert_refused(&with("wide", "120", "100"), "--bottom");
    assert_refused(&["cone", "--height", "10", "--thickness", "1"], "--bottom");
    assert_refused(&["cone", "--bottom", "90", "--height", "50", "--thickness", "1", "--seam", "anywhere"], "--seam");
    assert_refused(&["cone", "--bottom-rectangle", "90,50", "--height", "50", "--thickness", "1"], "--top");
}
