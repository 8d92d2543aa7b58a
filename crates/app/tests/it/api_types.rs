//! The types that the pages' scripts are checked against are those that the program sends.

use std::collections::{BTreeMap, BTreeSet};

const TYPES: &str = include_str!("../../web/types/api.d.ts");
const SOURCES: [&str; 3] = [
    include_str!("../../src/web/card/edit.rs"),
    include_str!("../../src/web/shapes.rs"),
    include_str!("../../src/web/long_work.rs"),
];

/// Fields by name of type, from lines `  name: type;` inside `export interface`.
fn of_script() -> BTreeMap<String, BTreeSet<(String, String)>> {
    let mut found = BTreeMap::new();
    for part in TYPES.split("export interface ").skip(1) {
        let (name, rest) = part.split_once('{').unwrap();
        let body = rest.split_once('}').unwrap().0;
        let field =
            |line: &str| line.trim().trim_end_matches(';').split_once(": ").map(|(n, t)| (n.to_owned(), t.to_owned()));
        found.insert(name.trim().to_owned(), body.lines().filter_map(field).collect());
    }
    found
}

/// Fields of every `pub struct` that is serialised, with the script's name for their types.
fn of_program() -> BTreeMap<String, BTreeSet<(String, String)>> {
    let mut found = BTreeMap::new();
    for source in SOURCES {
        for part in source.split("Serialize)]\npub struct ").skip(1) {
            let (name, rest) = part.split_once(" {").unwrap();
            let body = rest.split_once("\n}").unwrap().0;
            let field = |line: &str| {
                let (name, kind) = line.trim().strip_prefix("pub ")?.trim_end_matches(',').split_once(": ")?;
                Some((name.to_owned(), script_type(name, kind)))
            };
            found.insert(name.to_owned(), body.lines().filter_map(field).collect());
        }
    }
    found
}

fn script_type(name: &str, kind: &str) -> String {
    if let Some(inner) = kind.strip_prefix("Vec<").and_then(|rest| rest.strip_suffix('>')) {
        return format!("{}[]", script_type(name, inner));
    }
    match (name, kind) {
        ("kind", "&'static str") => r#""stale" | "refused""#.to_owned(),
        ("state", "&'static str") => r#""running" | "finished" | "stopped" | "failed""#.to_owned(),
        (_, "Parts") => "Record<string, string>".to_owned(),
        (_, "String") => "string".to_owned(),
        (_, "i64" | "u64" | "u32" | "u8" | "f64") => "number".to_owned(),
        (_, other) => other.to_owned(),
    }
}

#[test]
fn types_of_scripts_and_program_are_the_same() {
    let (script, program) = (of_script(), of_program());
    assert_eq!(script, program);
    assert!(script.len() >= 5);
}
