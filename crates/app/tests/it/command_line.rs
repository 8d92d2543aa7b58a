//! The program as a person runs it: what it prints, and the code it ends with.

use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

pub fn run(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_soundmetal")).args(args).output().unwrap()
}

pub fn json(args: &[&str]) -> Value {
    let output = run(args);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

/// Ends with code 2, one line on stderr that holds `words`, nothing on stdout.
#[track_caller]
pub fn assert_refused(args: &[&str], words: &str) {
    let output = run(args);
    let error = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{error}");
    assert!(error.contains(words), "{error}");
    assert!(output.stdout.is_empty());
}

pub fn near(value: &Value, expected: f64, tolerance: f64) {
    let value = value.as_f64().unwrap();
    assert!((value - expected).abs() <= tolerance, "{value} instead of {expected}");
}

/// Handbook B3 (DIN 6935, a metal-trades table book): r 6, s 5, opening 60°, legs 16 and 21: k 0.6896, v 5.8229, L 31.177.
#[test]
fn bend_gives_the_worked_example_of_din_6935() {
    let figures =
        json(&["bend", "--thickness", "5 mm", "--radius", "6 mm", "--opening", "60", "--legs", "16,21", "--json"]);
    near(&figures["k"], 0.6896, 1e-4);
    near(&figures["K"], 0.3448, 1e-4);
    near(&figures["deduction"], 5.8229, 1e-3);
    near(&figures["developed_mm"], 31.177, 1e-3);
    let by_bend = json(&["bend", "--thickness", "5", "--radius", "6", "--angle", "120", "--json"]);
    near(&by_bend["allowance"], figures["allowance"].as_f64().unwrap(), 1e-9);
}

/// Handbook B33 (FAA-H-8083-31 ch. 4): SB = tan(N/2)·(R + T).
#[test]
fn bend_gives_the_setback_in_inches_too() {
    let figures = json(&[
        "bend",
        "--thickness",
        ".040\"",
        "--radius",
        "0.16 in",
        "--angle",
        "90",
        "--rule",
        "aircraft",
        "--json",
    ]);
    near(&figures["setback"], 0.2 * 25.4, 1e-6);
    near(&figures["allowance"], 0.2791 * 25.4, 0.002);
}

/// Handbook F12, F13, F14, F15: wire 3.2, sheet 0.9.
#[test]
fn allowance_wired_shows_all_four_rules() {
    let figures = json(&["allowance", "wired", "--wire", "3.2 mm", "--thickness", "0.9 mm", "--json"]);
    near(&figures["rule_a_mm"], 8.0, 1e-9);
    near(&figures["rule_b_mm"], 8.9, 1e-9);
    near(&figures["rule_c_mm"], 10.0, 1e-9);
    near(&figures["geometry_270_mm"], 9.660, 1e-3);
    near(&figures["allowance_mm"], 9.660, 1e-3);
}

/// Handbook F4 and F7.
#[test]
fn allowance_joggle_and_flange_give_the_closed_forms() {
    near(&json(&["allowance", "joggle", "--depth", "0.9", "--ramp", "5.4", "--json"])["extra_mm"], 0.0745, 1e-4);
    let flange =
        |line| json(&["allowance", "flange", "--width", "12", "--line-radius", "200", "--line", line, "--json"]);
    near(&flange("concave")["strain_percent"], 6.383, 1e-3);
    near(&flange("convex")["strain_percent"], -5.660, 1e-3);
}

#[test]
fn bad_input_is_one_line_that_names_the_option_and_ends_with_2() {
    assert_refused(&["bend", "--thickness", "thick", "--radius", "1", "--angle", "90"], "--thickness");
    assert_refused(&["bend", "--thickness", "NaN", "--radius", "1", "--angle", "90"], "--thickness");
    assert_refused(&["bend", "--thickness", "0", "--radius", "1", "--angle", "90"], "zero");
    assert_refused(&["bend", "--thickness", "20 ga", "--radius", "1", "--angle", "90"], "ga");
    assert_refused(&["bend", "--thickness", "1", "--radius", "1"], "--angle");
    assert_refused(&["allowance", "wired", "--wire", "0.8 mm", "--thickness", "0.9 mm"], "wire");
    assert_refused(&["plan", "no-such-job.toml"], "no-such-job.toml");
    assert_refused(&["nonsense"], "nonsense");
}

fn examples() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let mut jobs: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| {
            let name = path.file_name().unwrap().to_str().unwrap();
            name.ends_with(".toml")
                && !name.ends_with(".stations.toml")
                && !name.ends_with(".weld.toml")
                && name != "shop.toml"
        })
        .collect();
    jobs.sort();
    assert!(!jobs.is_empty());
    jobs
}

#[test]
fn every_example_is_planned_and_priced() {
    for job in examples() {
        let path = job.to_str().unwrap();
        let output = run(&["plan", path, "--json"]);
        let plan: Value = serde_json::from_slice(&output.stdout).unwrap_or_else(|_| {
            panic!("{path}: {}", String::from_utf8_lossy(&output.stderr));
        });
        assert!(matches!(output.status.code(), Some(0 | 3)), "{path}: {}", String::from_utf8_lossy(&output.stderr));
        assert!(!plan["sections"].as_array().unwrap().is_empty());
        let price = run(&["price", path]);
        assert!(matches!(price.status.code(), Some(0 | 3)), "{path}");
    }
}

#[test]
fn the_schema_is_json_schema_and_unknown_keys_in_a_job_are_refused() {
    assert!(json(&["schema"])["$schema"].as_str().unwrap().contains("json-schema"));
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.toml");
    let text = std::fs::read_to_string(&examples()[0]).unwrap();
    std::fs::write(&path, format!("colour = \"red\"\n{text}")).unwrap();
    assert_refused(&["plan", path.to_str().unwrap()], "colour");
}

#[test]
fn the_measure_sheet_is_a_page_or_a_paper() {
    let folder = tempfile::tempdir().unwrap();
    let job = examples().into_iter().find(|path| path.ends_with("wren15.toml")).unwrap();
    let ask = |name: &str| {
        let out = folder.path().join(name);
        let output = run(&["ask", job.to_str().unwrap(), "-o", out.to_str().unwrap()]);
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        std::fs::read(out).unwrap()
    };
    assert!(ask("ask.pdf").starts_with(b"%PDF"));
    let page = String::from_utf8(ask("ask.html")).unwrap();
    assert!(page.starts_with("<!DOCTYPE html>") && page.contains("<svg") && page.contains("reading 1"));
    assert!(!page.contains("<script") && !page.contains("src=") && !page.contains("<?xml"));
    assert_eq!(page.matches("<section>").count(), page.matches("</section>").count());
    assert_refused(&["ask", job.to_str().unwrap(), "-o", "ask.txt"], ".html");
}

#[test]
fn a_packet_of_an_example_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let output = run(&["packet", examples()[0].to_str().unwrap(), "-o", out.to_str().unwrap()]);
    assert!(matches!(output.status.code(), Some(0 | 3)), "{}", String::from_utf8_lossy(&output.stderr));
    assert!(out.join("plan.json").is_file());
}

#[test]
fn a_job_goes_out_and_comes_back_and_a_backup_is_restored() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("data").to_str().unwrap().to_owned();
    let job = examples().into_iter().find(|path| path.ends_with("wren15.toml")).unwrap();
    let number = job::read_toml(&std::fs::read_to_string(&job).unwrap()).unwrap().number;
    let exported = folder.path().join("out.toml");
    let export = run(&["export", &number, "-o", exported.to_str().unwrap(), "--data", &data]);
    assert!(export.status.success(), "{}", String::from_utf8_lossy(&export.stderr));
    assert_refused(&["import", exported.to_str().unwrap(), "--data", &data], "already on another card");
    let import = run(&["import", exported.to_str().unwrap(), "--number", "99-001", "--data", &data]);
    assert!(import.status.success(), "{}", String::from_utf8_lossy(&import.stderr));
    let saved = folder.path().join("shop.backup");
    assert!(run(&["backup", saved.to_str().unwrap(), "--data", &data]).status.success());
    assert_refused(&["backup", saved.to_str().unwrap(), "--data", &data], "exists");
    let other = folder.path().join("other").to_str().unwrap().to_owned();
    assert!(run(&["restore", saved.to_str().unwrap(), "--data", &other]).status.success());
    let again = run(&["export", "99-001", "--data", &other]);
    assert!(String::from_utf8(again.stdout).unwrap().contains("99-001"));
    assert_refused(&["export", "00-000", "--data", &other], "00-000");
    // before the command it is no word for another shop that would be passed over
    let before = run(&["--data", &other, "export", "99-001"]);
    assert_eq!(before.status.code(), Some(2), "{}", String::from_utf8_lossy(&before.stdout));
    assert!(String::from_utf8_lossy(&before.stderr).contains("--data"));
}

/// Number behind a name of a table, and its unit.
pub fn table_row(table: &str, name: &str) -> (f64, String) {
    let line = table.lines().find(|line| line.starts_with(name)).unwrap_or_else(|| panic!("{name}: {table}"));
    let mut words = line.trim_start_matches(name).split_whitespace();
    (words.next().unwrap().parse().unwrap(), words.next().unwrap_or_default().to_owned())
}

/// A person who types bare numbers in inches reads inches; JSON stays in mm.
#[test]
fn a_table_answers_in_the_unit_that_is_asked() {
    let args = ["bend", "--thickness", ".036", "--radius", "1/8", "--angle", "90", "--unit", "in"];
    let figures = json(&[&args[..], &["--json"]].concat());
    let table = String::from_utf8(run(&args).stdout).unwrap();
    for (name, key) in [("allowance", "allowance"), ("deduction", "deduction"), ("setback", "setback")] {
        let (value, unit) = table_row(&table, name);
        assert_eq!(unit, "in", "{table}");
        near(&figures[key], 25.4 * value, 0.001);
    }
    assert!(table.contains("0.03600 in sheet, inside radius 0.12500 in"), "{table}");
    let metric = ["bend", "--thickness", "0.9144", "--radius", "3.175", "--angle", "90"];
    let table = String::from_utf8(run(&metric).stdout).unwrap();
    let (value, unit) = table_row(&table, "allowance");
    assert_eq!(unit, "mm");
    near(&figures["allowance"], value, 0.001);
}
