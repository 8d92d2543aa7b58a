//! `soundmetal warp` as a person runs it.

use super::command_line::{assert_refused, json, run};
use std::path::{Path, PathBuf};

fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name)
}

/// A flat panel 200 × 160 in squares cut in two, as an OBJ.
fn panel() -> String {
    let mut text = String::new();
    for (i, j) in (0..=8).flat_map(|j| (0..=10).map(move |i| (i, j))) {
        text += &format!("v {} {} 0\n", 20 * i, 20 * j);
    }
    for (i, j) in (0..8).flat_map(|j| (0..10).map(move |i| (i, j))) {
        let a = 11 * j + i + 1;
        text += &format!("f {} {} {}\nf {} {} {}\n", a, a + 1, a + 12, a, a + 12, a + 11);
    }
    text
}

const PLUGS: &str = r#"
weld_format = 1
name = "locker door"
thickness = "20 swg"
material = "mild_steel"
found_by = "papers"
[heat]
process = "wire_in_dots"
dot_j = 300.0
[[seams]]
joint = "lap"
points = [[0, 80, 0], [200, 80, 0]]
[[supports]]
kind = "flange"
[search]
pitches = ["40 mm"]
finalists = 1
[mesh]
edge = "14 mm"
far_edge = "30 mm"
"#;

/// A butt is told how long its runs may be on this panel, beside the map of its heat, in figures and in words; a row of plugs has no runs.
#[test]
fn a_butt_is_told_its_run_lengths() {
    let folder = tempfile::tempdir().unwrap();
    let [mesh, weld, heat] = ["panel.obj", "butt.toml", "heat.csv"].map(|name| folder.path().join(name));
    std::fs::write(&mesh, panel()).unwrap();
    let butt = PLUGS.replace("joint = \"lap\"", "joint = \"butt\"\ngap = \"0.2 mm\"").replace("wire_in_dots", "tig");
    std::fs::write(&weld, butt.replace("pitches = [", "most_orders = 10\nruns = [\"50 mm\"]\npitches = [")).unwrap();
    let [mesh, weld, heat] = [&mesh, &weld, &heat].map(|path| path.to_str().unwrap());
    let runs = json(&["warp", mesh, weld, "--heat-map", heat, "--json"])["run_lengths"].clone();
    let tried = runs["tried"].as_array().unwrap();
    let best = &tried[runs["best"].as_u64().unwrap() as usize];
    assert!(best["runs"].as_u64().unwrap() > 1 && best["cool_enough"] == true, "{best}");
    assert!(best["hottest_before_c"].as_f64().unwrap() <= 50.0 && best["longest_pause_s"].as_f64().unwrap() > 20.0);
    assert!((runs["seam_mm"].as_f64().unwrap() - 200.0).abs() < 1.0);
    let said = run(&["warp", mesh, weld, "--heat-map", heat]);
    assert!(String::from_utf8_lossy(&said.stdout).contains("soonest done of those that stay cool"));
}

#[test]
fn a_row_of_plugs_is_ordered_and_its_warp_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let [mesh, weld, out] = ["panel.obj", "plugs.toml", "warped.ply"].map(|name| folder.path().join(name));
    std::fs::write(&mesh, panel()).unwrap();
    std::fs::write(&weld, PLUGS).unwrap();
    let [mesh, weld, out] = [&mesh, &weld, &out].map(|path| path.to_str().unwrap());
    let heat = folder.path().join("heat.csv");
    let heat = heat.to_str().unwrap();
    let drawing = folder.path().join("warped.svg");
    let drawing = drawing.to_str().unwrap();
    let figures = json(&["warp", mesh, weld, "--out-mesh", out, "--heat-map", heat, "--svg", drawing, "--json"]);
    assert_eq!(figures["exhaustive"], true, "six plugs have 720 orders");
    assert_eq!(figures["orders_tried"], 720);
    assert_eq!(figures["oil_cans"], false, "{}", figures["oil_canning"]);
    assert_eq!(figures["found"]["table"]["steps"].as_array().unwrap().len(), 6);
    let height = |level: &str| figures["warp_height_mm"][level].as_f64().unwrap();
    assert_eq!(figures["concerns"].as_array().unwrap().len(), 0, "{}", figures["concerns"]);
    assert!(0.0 < height("low") && height("low") < height("high"), "{}", figures["warp_height_mm"]);
    assert!(std::fs::read_to_string(out).unwrap().contains("deflection_mm"));
    // the drawing tells the same height: its highest place above its lowest
    let drawn = std::fs::read_to_string(drawing).unwrap();
    let place = |name: &str| {
        let (_, rest) = drawn.split_once(&format!("{name}: "))?;
        rest.split_once(" mm")?.0.parse::<f64>().ok()
    };
    let apart_mm = place("highest").unwrap_or(0.0) + place("lowest").unwrap_or(0.0);
    let step_mm: f64 = drawn.split_once("from line to line ").unwrap().1.split_once(" mm").unwrap().0.parse().unwrap();
    // a place within a tenth of a step of its shape is not named
    assert!((apart_mm - height("middle")).abs() < 0.011 + 0.1 * step_mm, "{apart_mm} {}", height("middle"));
    assert!(drawn.contains("class=\"layer weld"));
    let limits = figures["heat"]["limits"].as_array().unwrap();
    let reach = |key: &str| limits.iter().find(|own| own["key"] == key).unwrap()["farthest_mm"].as_f64().unwrap();
    assert!(0.0 < reach("melts") && reach("melts") < reach("paint-burns") && reach("paint-burns") < reach("wax"));
    for key in ["paint-marks", "sealer", "adhesive", "solder", "glass-bond"] {
        assert!(reach(key) > 0.0, "{key}");
    }
    assert!(figures["heat"]["hottest_start"]["at_c"].as_f64().unwrap() >= 20.0);
    assert_eq!(figures["heat"]["surface"], "bright_steel");
    let rows = std::fs::read_to_string(heat).unwrap();
    assert!(rows.starts_with("x_mm,y_mm,z_mm,peak_c\n") && rows.lines().count() > 500, "{}", rows.lines().count());
    assert_refused(&["warp", mesh, weld, "--heat-map", "heat.txt"], "ends in .ply or .csv");
    let table = String::from_utf8(run(&["warp", mesh, weld]).stdout).unwrap();
    for words in [
        "end to end",
        "habit",
        "found",
        "orders tried 720, all there are",
        "oil-canning: no",
        "order found",
        "bonded glass",
        "warmest start of a weld",
        "bright bare steel",
    ] {
        assert!(table.contains(words), "{words}: {table}");
    }
}

/// The same panel butted by TIG. Some 90 J/mm leave a tendon force of about 18 kN (200 N per J/mm, from memory), and a plate 160 mm wide and
/// 0.914 mm thick on simple supports buckles at 4π²E/(12(1 − ν²))·(t/b)²·b·t = 3.6 kN (Timoshenko and Gere, from memory).
#[test]
fn a_butt_through_the_middle_of_a_flat_panel_oil_cans() {
    let folder = tempfile::tempdir().unwrap();
    let [mesh, weld] = ["panel.obj", "butt.toml"].map(|name| folder.path().join(name));
    std::fs::write(&mesh, panel()).unwrap();
    let tig = "process = \"tig\"\ncurrent_a = 20.0\nvoltage_v = 12.0\ntravel_mm_s = 2.0";
    let text = PLUGS
        .replace("process = \"wire_in_dots\"\ndot_j = 300.0", tig)
        .replace("joint = \"lap\"", "joint = \"butt\"\ngap = \"0 mm\"")
        .replace("finalists = 1", "finalists = 1\nmost_orders = 40");
    std::fs::write(&weld, text).unwrap();
    let figures = json(&["warp", mesh.to_str().unwrap(), weld.to_str().unwrap(), "--json"]);
    assert_eq!(figures["oil_cans"], true, "{}", figures["oil_canning"]);
    assert!(figures["oil_canning"].as_str().unwrap().contains("what buckles the panel"), "{}", figures["oil_canning"]);
}

#[test]
fn plans_that_cannot_be_computed_are_named() {
    let folder = tempfile::tempdir().unwrap();
    let [mesh, weld] = ["panel.obj", "weld.toml"].map(|name| folder.path().join(name));
    std::fs::write(&mesh, panel()).unwrap();
    let refused = |from: &str, to: &str, words: &str| {
        std::fs::write(&weld, PLUGS.replace(from, to)).unwrap();
        assert_refused(&["warp", mesh.to_str().unwrap(), weld.to_str().unwrap()], words);
    };
    refused("[200, 80, 0]", "[200, 80, 25]", "25.0 mm off the mesh");
    refused("20 swg", "0 mm", "thickness");
    refused("mild_steel", "stainless18_8", "not computed for this metal");
    refused("mild_steel", "stainless", "\"stainless\": not computed for this metal; mild_steel, dc01");
    refused("found_by = \"papers\"", "", "magnet");
    refused("joint = \"lap\"", "joint = \"glued\"", "line 11");
    refused("dot_j = 300.0", "dot_j = -1.0", "heat of a tack, plug or spot");
    refused("kind = \"flange\"", "kind = \"clamp\"\npoints = [[900, 900, 0]]", "touches nothing");
    let nothing = folder.path().join("nothing.toml");
    assert_refused(&["warp", mesh.to_str().unwrap(), nothing.to_str().unwrap()], "cannot be read");
}

#[test]
fn the_roof_corner_has_a_weld_plan_that_fits_its_surface() {
    let folder = tempfile::tempdir().unwrap();
    let [mesh, weld] = ["corner.ply", "corner.weld.toml"].map(|name| folder.path().join(name));
    let stations = example("roof-dome-corner.stations.toml");
    let made = run(&["surface", stations.to_str().unwrap(), "-o", mesh.to_str().unwrap(), "--edge", "15 mm"]);
    assert!(made.status.success());
    // plugs instead of the butt, coarse and with few orders: the whole plan takes a minute and more
    let text = std::fs::read_to_string(example("roof-dome-corner.weld.toml")).unwrap();
    let text = text.replace("joint = \"butt\"\ngap = \"0.3 mm\"", "joint = \"lap\"")
        + "[search]\nmost_orders = 40\nfinalists = 1\npitches = [\"40 mm\"]\n[mesh]\nedge = \"14 mm\"\nfar_edge = \"40 mm\"\n";
    std::fs::write(&weld, text).unwrap();
    let figures = json(&["warp", mesh.to_str().unwrap(), weld.to_str().unwrap(), "--face", "outside", "--json"]);
    // plugs do not buckle it in the middle of their spread, and the order found is no worse than the habit
    let margin = &figures["found"]["margin"];
    assert!(margin["middle"].as_f64().unwrap() > 1.0, "{margin}");
    let rms = |order: &str| figures[order]["rms_mm"].as_f64().unwrap();
    assert!(rms("found") <= rms("habit") + 1e-9, "{} {}", rms("found"), rms("habit"));
    assert_eq!(figures["concerns"].as_array().unwrap().len(), 0, "{}", figures["concerns"]);
}

/// H14 on 0.9 mm: TIG 50 to 150 J/mm; 135 A at 12 V and 3 mm/s bring 421.
#[test]
fn an_absurd_heat_is_told_before_the_search_and_again_behind_it() {
    let folder = tempfile::tempdir().unwrap();
    let [mesh, weld] = ["panel.obj", "plugs.toml"].map(|name| folder.path().join(name));
    std::fs::write(&mesh, panel()).unwrap();
    let hot = "process = \"tig\"\ncurrent_a = 135.0\nvoltage_v = 12.0\ntravel_mm_s = 3.0";
    std::fs::write(&weld, PLUGS.replace("process = \"wire_in_dots\"\ndot_j = 300.0", hot)).unwrap();
    let done = run(&["warp", mesh.to_str().unwrap(), weld.to_str().unwrap()]);
    assert!(done.status.success());
    let early = String::from_utf8(done.stderr).unwrap();
    assert!(early.contains("caution: the weld: 421 J/mm net; TIG on 0.9144 mm steel usually takes"), "{early}");
    let told = String::from_utf8(done.stdout).unwrap();
    assert!(told.contains("caution: the weld: 421 J/mm net"), "{told}");
}
