//! From the path of a field to its line in the file, and the names that stand for list positions in a path.

use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Line numbers by field path.
pub(super) struct Lines {
    spans: Vec<(String, usize)>,
}

impl Lines {
    pub(super) fn new(text: &str, value: &toml::Value) -> Self {
        let mut spans = Vec::new();
        if let Ok(table) = DeTable::parse(text) {
            walk_table(table.get_ref(), value, "", text, &mut spans);
        }
        Self { spans }
    }

    /// Line of a field, or of the nearest field above it that the file has.
    pub(super) fn of_field(&self, field: &str) -> Option<usize> {
        let mut path = field;
        loop {
            if let Some((_, line)) = self.spans.iter().find(|(known, _)| known == path) {
                return Some(*line);
            }
            path = path.rsplit_once('.').map(|(above, _)| above)?;
        }
    }
}

/// Line of a byte, from 1.
pub(super) fn line_at(text: &str, byte: usize) -> usize {
    text.as_bytes().iter().take(byte).filter(|byte| **byte == b'\n').count() + 1
}

/// What stands for position `index` of a list in a path: the element's own id or name, or the position.
pub(super) fn element_name(element: Option<&toml::Value>, index: usize) -> String {
    ["id", "name"]
        .iter()
        .find_map(|key| element?.get(key)?.as_str())
        .filter(|name| !name.is_empty() && !name.contains('.'))
        .map_or_else(|| index.to_string(), str::to_owned)
}

/// Joins a path and a step.
pub(super) fn join(path: &str, step: &str) -> String {
    if path.is_empty() { step.to_owned() } else { format!("{path}.{step}") }
}

fn walk_table(table: &DeTable<'_>, value: &toml::Value, path: &str, text: &str, spans: &mut Vec<(String, usize)>) {
    for (key, child) in table.iter() {
        let name: &str = key.get_ref();
        let at = join(path, name);
        note(&at, key.span(), text, spans);
        if let Some(value) = value.get(name) {
            walk(child, value, &at, text, spans);
        }
    }
}

fn walk(child: &Spanned<DeValue<'_>>, value: &toml::Value, path: &str, text: &str, spans: &mut Vec<(String, usize)>) {
    match child.get_ref() {
        DeValue::Table(table) => walk_table(table, value, path, text, spans),
        DeValue::Array(list) => {
            for (index, element) in list.iter().enumerate() {
                let at = join(path, &element_name(value.get(index), index));
                note(&at, element.span(), text, spans);
                if let Some(value) = value.get(index) {
                    walk(element, value, &at, text, spans);
                }
            }
        }
        _ => {}
    }
}

fn note(path: &str, span: Range<usize>, text: &str, spans: &mut Vec<(String, usize)>) {
    spans.push((path.to_owned(), line_at(text, span.start)));
}
