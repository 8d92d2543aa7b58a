//! What the tests share: an open store in a folder of its own, and the invented shop's cards.

use jiff::Timestamp;
use serde_json::{Value, json};
use store::{DataFolder, Edit, Heading, Options, Signed, Store};
use tempfile::TempDir;

/// A store that goes away with its folder.
pub struct Shop {
    pub store: Store,
    pub dir: TempDir,
}

impl Shop {
    pub fn new() -> Self {
        let dir = tempfile::tempdir().unwrap();
        Self { store: open(&folder(&dir)), dir }
    }

    pub fn folder(&self) -> DataFolder {
        folder(&self.dir)
    }
}

pub fn folder(dir: &TempDir) -> DataFolder {
    DataFolder::new(dir.path().join("data"))
}

pub fn open(folder: &DataFolder) -> Store {
    Store::open(folder.clone(), options()).unwrap()
}

pub fn options() -> Options {
    Options { app_version: "0.1.0-test".into(), readers: 2 }
}

pub fn at(second: i64) -> Timestamp {
    Timestamp::from_second(1_795_600_000 + second).unwrap()
}

pub fn signed(second: i64) -> Signed {
    Signed { who: "bench tablet".into(), at: at(second) }
}

pub fn heading(number: &str) -> Heading {
    Heading {
        number: number.into(),
        title: "Wheel-arch edge, right rear".into(),
        customer: "Mobile library society".into(),
        vehicle: "Wren 15".into(),
        waiting_for: "measurements".into(),
    }
}

pub fn card(height: &str) -> Value {
    json!({"format": 1, "sections": [{"name": "arch", "height": height, "hand": "right"}]})
}

pub fn edit(number: &str, height: &str) -> Edit {
    Edit { body: card(height), heading: heading(number), what: None }
}
