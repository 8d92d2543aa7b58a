//! Results kept by the hash of what they were made from.
//!
//! Key = BLAKE3 of the canonical inputs (their JSON: struct fields in order, maps sorted) and of the program's version, so a
//! result is reused only when nothing that it depends on has changed. The oldest result leaves when the cache is full.

use serde::Serialize;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Hash of canonical inputs.
pub(super) type Key = [u8; 32];

/// Hash of a stage's name and its inputs; nothing when they have no JSON form (a number that is not finite).
pub(super) fn key(stage: &str, inputs: &impl Serialize) -> Option<Key> {
    let mut hasher = blake3::Hasher::new();
    hasher.update(env!("CARGO_PKG_VERSION").as_bytes());
    hasher.update(stage.as_bytes());
    serde_json::to_writer(&mut hasher, inputs).ok()?;
    Some(*hasher.finalize().as_bytes())
}

/// A bounded cache.
#[derive(Debug)]
pub(super) struct Cache<T> {
    kept: BTreeMap<Key, (u64, Arc<T>)>,
    used: u64,
    most: usize,
}

impl<T> Cache<T> {
    pub(super) fn new(most: usize) -> Self {
        Self { kept: BTreeMap::new(), used: 0, most }
    }

    pub(super) fn get_or(&mut self, key: Option<Key>, make: impl FnOnce() -> T) -> Arc<T> {
        let Some(key) = key else { return Arc::new(make()) };
        self.used += 1;
        if let Some((used, value)) = self.kept.get_mut(&key) {
            *used = self.used;
            return Arc::clone(value);
        }
        let value = Arc::new(make());
        if self.kept.len() >= self.most
            && let Some(oldest) = self.kept.iter().min_by_key(|(_, (used, _))| *used).map(|(key, _)| *key)
        {
            self.kept.remove(&oldest);
        }
        self.kept.insert(key, (self.used, Arc::clone(&value)));
        value
    }

    pub(super) fn len(&self) -> usize {
        self.kept.len()
    }
}
