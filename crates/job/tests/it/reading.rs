//! Reading and writing the job file.

use crate::{EXAMPLES, WREN15, changed, read};

#[test]
fn a_job_is_written_back_as_it_was_read() {
    for (name, text) in EXAMPLES {
        let job = read(text);
        let written = job::write_toml(&job).unwrap();
        assert_eq!(read(&written), job, "{name}");
        assert_eq!(job::write_toml(&read(&written)).unwrap(), written, "{name}");
        let json = job::write_json(&job).unwrap();
        assert_eq!(job::read_json(&json).unwrap(), job, "{name}");
    }
    let written = job::write_toml(&read(WREN15)).unwrap();
    for kept in ["1 1/2 in", "20 swg", "8.2 mm", "22 1/8 in"] {
        assert!(written.contains(kept), "{kept}");
    }
}

/// Near side is the kerb's side (common practice, no source): left where traffic keeps left.
#[test]
fn near_side_and_off_side_are_read_with_the_country_and_kept_as_left_or_right() {
    let from = ("title = \"locker-door lower edge\"\nhand = \"left\"", "title = \"locker-door lower edge\"\nhand = ");
    let country = format!("country = \"{}\"", read(WREN15).country);
    let text = |word: &str, code: &str| {
        changed(&[(from.0, &format!("{}\"{word}\"", from.1)), (&country, &format!("country = \"{code}\""))])
    };
    let hand = |word, code| {
        let job = read(&text(word, code));
        job.sections.iter().find(|section| section.id == "locker").unwrap().hand.unwrap()
    };
    assert_eq!(hand("near side", "GB"), job::file::Hand::Left);
    assert_eq!(hand("off_side", "GB"), job::file::Hand::Right);
    assert_eq!(hand("nearside", "FR"), job::file::Hand::Right);
    assert_eq!(hand("off-side", "FR"), job::file::Hand::Left);
    for (word, code, words) in
        [("near side", "", "two letters"), ("off side", "XX", "XX"), ("port", "GB", "left or right")]
    {
        let faults = faults(&text(word, code));
        let fault = faults.iter().find(|fault| fault.field == "section.locker.hand").unwrap();
        assert!(fault.message.contains(words), "{fault}");
        assert!(fault.line.is_some(), "{fault}");
    }
    let written = job::write_toml(&read(&text("near side", "GB"))).unwrap();
    assert!(!written.contains("near side"), "what is kept is left or right");
}

fn faults(text: &str) -> Vec<job::read::FileFault> {
    job::read_toml(text).map(|_| ()).unwrap_err().0
}

#[test]
fn every_fault_is_named_with_its_field_and_line() {
    let text = changed(
        &[
            ("opened = \"2026-11-02\"", "opened = \"2026-11-02\"\ncolor = \"green\""),
            (
                "[section.measured]\nrust_depth = { readings = [\"1 1/2 in\", \"1 1/2 in\", \"1 1/2 in\"]",
                "[section.measurd]\nrust_depth = { readings = [\"1 1/2 in\"]",
            ),
            ("over_curl = { readings = [\"8.2 mm\", \"8.2 mm\"]", "over_curl = { readings = [\"8.2 mmm\", \"8.2 mm\"]"),
            ("quantity = 1", "quantity = 1"),
        ]
        .into_iter()
        .filter(|(from, _)| WREN15.contains(from))
        .collect::<Vec<_>>(),
    );
    let faults = faults(&text);
    let of = |field: &str| {
        faults.iter().find(|fault| fault.field == field).unwrap_or_else(|| panic!("{field} in {faults:#?}"))
    };
    assert!(of("color").message.contains("not a key"), "{:?}", of("color"));
    let line = text.lines().position(|line| line.starts_with("color")).unwrap() + 1;
    assert_eq!(of("color").line, Some(line));
    assert!(of("section.arch.measurd").message.contains("did you mean \"measured\"?"));
}

#[test]
fn faults_in_several_sections_are_all_found() {
    let text = changed(&[
        ("over_curl = { readings = [\"8.2 mm\", \"8.2 mm\"]", "over_curl = { readings = [\"8.2 mmm\", \"8.2 mm\"]"),
        ("run_start = { readings = [\"100 mm\"]", "run_start = { readings = [\"1,250 mm\"]"),
        ("make = \"wired\"\nunless = \"hemmed\"", "make = \"wired\"\nunles = \"hemmed\""),
        ("kind = \"folded\"", "kind = \"folden\""),
    ]);
    let faults = faults(&text);
    let fields: Vec<&str> = faults.iter().map(|fault| fault.field.as_str()).collect();
    for part in [
        "section.arch.measured.over_curl",
        "section.gutter.measured.run_start",
        "wren15-wheel-arch",
        "wren15-step-well",
    ] {
        assert!(fields.iter().any(|field| field.contains(part)), "{part} in {faults:#?}");
    }
    assert!(
        faults.iter().any(|fault| fault.message.contains("unles") && fault.message.contains("unless")),
        "{faults:#?}"
    );
    assert!(
        faults.iter().any(|fault| fault.message.contains("1.250") && fault.message.contains("1250")),
        "both readings"
    );
    assert!(faults.iter().all(|fault| fault.line.is_some()), "{faults:#?}");
}

#[test]
fn what_is_no_toml_and_what_is_too_much_is_refused() {
    assert!(faults("format = = 1")[0].line == Some(1));
    assert!(faults(&changed(&[("format = 1", "format = 2")]))[0].message.contains("format 1"));
    let mut job = read(WREN15);
    let section = job.sections[4].clone();
    job.sections = (0..201).map(|i| job::file::Section { id: format!("s{i}"), ..section.clone() }).collect();
    let message = job::read_toml(&job::write_toml(&job).unwrap()).unwrap_err().to_string();
    assert!(message.contains("201") && message.contains("200"), "{message}");
    let long = format!("# {}\n", "x".repeat(51 * 1024 * 1024));
    assert!(faults(&long)[0].message.contains("50 MiB"));
}

#[test]
fn doubled_ids_and_patterns_without_a_check_figure_are_refused() {
    let doubled = faults(&changed(&[("id = \"gutter\"", "id = \"arch\"")]));
    assert!(
        doubled.iter().any(|fault| fault.field == "section.arch" && fault.message.contains("twice")),
        "{doubled:?}"
    );
    let unchecked = faults(&changed(&[(
        "role = { is = \"check\" }\nnominal = 882",
        "role = { is = \"cut_height\" }\nnominal = 882",
    )]));
    assert!(unchecked.iter().any(|fault| fault.message.contains("check figure")), "{unchecked:?}");
    let switch = faults(&changed(&[("on = [\"step_lamp\"]", "on = [\"step_lmp\"]")]));
    assert!(switch.iter().any(|fault| fault.message.contains("did you mean \"step_lamp\"?")), "{switch:?}");
}

#[test]
fn the_schema_names_every_part_and_refuses_unknown_keys() {
    let schema = job::schema();
    let text = schema.to_string();
    for part in ["section", "pattern", "measured", "readings", "edge_line", "cross_section", "make_ups"] {
        assert!(text.contains(&format!("\"{part}\"")), "{part}");
    }
    assert_eq!(schema["additionalProperties"], serde_json::Value::Bool(false));
}
