//! What differs between two contents of a card, field by field, as one short line for the history.

use std::collections::BTreeSet;

use serde_json::Value;

/// Longest text of one value in the line, in characters.
const VALUE_CHARS: usize = 40;
/// How many fields the line names before it counts the rest.
const FIELDS_NAMED: usize = 3;

/// One field that differs.
#[derive(Debug, Clone, PartialEq)]
pub struct FieldChange {
    /// Where, e.g. `sections[0].height`; list items are counted from 0. Empty for the whole card.
    pub path: String,
    /// Its value before; `None` when it was not there.
    pub old: Option<Value>,
    /// Its value now; `None` when it was removed.
    pub new: Option<Value>,
}

/// Lists the fields that differ, in the order of their names.
pub fn changes(old: &Value, new: &Value) -> Vec<FieldChange> {
    let mut found = Vec::new();
    compare("", Some(old), Some(new), &mut found);
    found
}

/// Says in one line what differs, e.g. `height: "70 mm" → "72 mm"`.
pub fn describe(old: &Value, new: &Value) -> String {
    let found = changes(old, new);
    let mut parts: Vec<String> = found.iter().take(FIELDS_NAMED).map(line).collect();
    if found.len() > FIELDS_NAMED {
        parts.push(format!("and {} more", found.len() - FIELDS_NAMED));
    }
    if parts.is_empty() { "heading only".to_owned() } else { parts.join("; ") }
}

fn compare(path: &str, old: Option<&Value>, new: Option<&Value>, found: &mut Vec<FieldChange>) {
    match (old, new) {
        (Some(old), Some(new)) if old == new => {}
        (Some(Value::Object(old)), Some(Value::Object(new))) => {
            let keys: BTreeSet<&String> = old.keys().chain(new.keys()).collect();
            for key in keys {
                let below = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
                compare(&below, old.get(key), new.get(key), found);
            }
        }
        (Some(Value::Array(old)), Some(Value::Array(new))) => {
            for index in 0..old.len().max(new.len()) {
                compare(&format!("{path}[{index}]"), old.get(index), new.get(index), found);
            }
        }
        _ => found.push(FieldChange { path: path.to_owned(), old: old.cloned(), new: new.cloned() }),
    }
}

fn line(change: &FieldChange) -> String {
    let path = if change.path.is_empty() { "card" } else { &change.path };
    match (&change.old, &change.new) {
        (Some(old), Some(new)) => format!("{path}: {} → {}", short(old), short(new)),
        (None, Some(new)) => format!("{path} added: {}", short(new)),
        (Some(old), None) => format!("{path} removed: {}", short(old)),
        (None, None) => path.to_owned(),
    }
}

fn short(value: &Value) -> String {
    let text = match value {
        Value::Object(fields) => format!("{} fields", fields.len()),
        Value::Array(items) => format!("{} items", items.len()),
        plain => plain.to_string(),
    };
    match text.char_indices().nth(VALUE_CHARS) {
        Some((cut, _)) => format!("{}…", text.get(..cut).unwrap_or_default()),
        None => text,
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn names_each_changed_field_with_old_and_new() {
        let old = json!({"customer": "museum", "sections": [{"height": "70 mm", "hand": "left"}]});
        let new =
            json!({"sections": [{"height": "72 mm", "hand": "left"}, {"height": "10 mm"}], "note": "é".repeat(60)});
        assert_eq!(
            describe(&old, &new),
            format!(
                "customer removed: \"museum\"; note added: \"{}…; sections[0].height: \"70 mm\" → \"72 mm\"; and 1 more",
                "é".repeat(39)
            )
        );
        assert_eq!(changes(&old, &new).len(), 4);
        assert!(changes(&new, &new).is_empty());
    }

    #[test]
    fn a_changed_kind_of_value_is_one_change() {
        assert_eq!(describe(&json!({"a": [1, 2]}), &json!({"a": {"b": 1}})), "a: 2 items → 1 fields");
    }
}
