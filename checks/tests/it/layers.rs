//! The rooms of the house depend one way only: each on rooms above it in the list, never the other way round.

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::Command;

/// The rooms in the order in which data flows; a room may use those before it.
const ROOMS: [&str; 13] = [
    "units",
    "handbook",
    "numerics",
    "mesh",
    "survey",
    "section",
    "blank",
    "weld",
    "shop",
    "job",
    "packet",
    "store",
    "soundmetal",
];

/// Outside the house: they may use every room.
const YARD: [&str; 2] = ["checks", "benches"];

/// Libraries of files, web, database and documents, and the rooms that may use them.
const BORDER_LIBRARIES: [(&str, &[&str]); 9] = [
    ("anyhow", &["soundmetal"]),
    ("askama", &["soundmetal"]),
    ("axum", &["soundmetal"]),
    ("clap", &["soundmetal"]),
    ("dxf", &["packet"]),
    ("rusqlite", &["store"]),
    ("tokio", &["soundmetal"]),
    ("typst", &["packet"]),
    ("typst-pdf", &["packet"]),
];

type Dependencies = BTreeMap<String, BTreeSet<String>>;

/// Every fault of a dependency list, one line each.
fn faults(packages: &Dependencies) -> Vec<String> {
    let room = |name: &str| ROOMS.iter().position(|room| *room == name);
    let mut faults = Vec::new();
    for (name, dependencies) in packages {
        if YARD.contains(&name.as_str()) {
            continue;
        }
        let Some(own) = room(name) else {
            faults.push(format!("{name} has no place in the list of rooms"));
            continue;
        };
        for dependency in dependencies {
            if YARD.contains(&dependency.as_str()) || room(dependency).is_some_and(|theirs| theirs >= own) {
                faults.push(format!("{name} must not use {dependency}"));
            }
            let border = BORDER_LIBRARIES.iter().find(|(library, _)| library == dependency);
            if border.is_some_and(|(_, rooms)| !rooms.contains(&name.as_str())) {
                faults.push(format!("{name} must not use {dependency}: it belongs to an outer room"));
            }
        }
    }
    faults
}

/// Normal and build dependencies of every package of the workspace.
fn workspace() -> Dependencies {
    let manifest = Path::new(env!("CARGO_MANIFEST_DIR")).join("../Cargo.toml");
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--no-deps", "--offline", "--format-version", "1", "--manifest-path"])
        .arg(manifest)
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let metadata: Value = serde_json::from_slice(&output.stdout).unwrap();
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let array = |value: &Value| value.as_array().cloned().unwrap_or_default();
    let used = |package: &Value| {
        let not_for_tests = |dependency: &Value| dependency["kind"].as_str() != Some("dev");
        array(&package["dependencies"]).iter().filter(|dep| not_for_tests(dep)).map(|dep| text(&dep["name"])).collect()
    };
    array(&metadata["packages"]).iter().map(|package| (text(&package["name"]), used(package))).collect()
}

#[test]
fn rooms_depend_one_way() {
    let packages = workspace();
    assert!(packages.len() >= ROOMS.len() - 3, "found only {:?}", packages.keys());
    assert!(packages["handbook"].contains("units"), "the dependencies were not read");
    let faults = faults(&packages);
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn a_dependency_the_wrong_way_is_noticed() {
    let uses = |name: &str, dependencies: &[&str]| {
        (name.to_owned(), dependencies.iter().map(|&dependency| dependency.to_owned()).collect())
    };
    let found = |packages: Dependencies| faults(&packages).len();
    assert_eq!(found([uses("handbook", &["units"])].into()), 0);
    assert_eq!(found([uses("units", &["handbook"])].into()), 1);
    assert_eq!(found([uses("blank", &["job"]), uses("job", &["blank"])].into()), 1);
    assert_eq!(found([uses("section", &["checks"])].into()), 1);
    assert_eq!(found([uses("cellar", &[])].into()), 1);
    assert_eq!(found([uses("blank", &["rusqlite"])].into()), 1);
}
