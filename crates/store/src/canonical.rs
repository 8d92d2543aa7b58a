//! Canonical JSON: one text for one content, whatever the order in which its keys were given.
//!
//! Keys are sorted by their bytes, no spaces; numbers as `serde_json` writes them (shortest text that reads back the
//! same). The order of list items is content and is kept.

use serde_json::Value;

use crate::StoreError;
use crate::error::Result;
use crate::limits::FILE_LIMIT_BYTES;

/// Deeper than any job file; below the depth at which reading back would be refused.
const DEPTH_LIMIT: usize = 100;

/// Returns the canonical text of a card.
pub(crate) fn to_text(value: &Value) -> Result<String> {
    let text = sorted(value, 0)?.to_string();
    if text.len() as u64 > FILE_LIMIT_BYTES {
        return Err(StoreError::TooLarge {
            what: "the card",
            size_bytes: text.len() as u64,
            limit_bytes: FILE_LIMIT_BYTES,
        });
    }
    Ok(text)
}

fn sorted(value: &Value, depth: usize) -> Result<Value> {
    if depth > DEPTH_LIMIT {
        return Err(StoreError::Invalid {
            field: "the card",
            got: format!("nested more than {DEPTH_LIMIT} deep"),
            need: "tables and lists nested at most 100 deep",
        });
    }
    Ok(match value {
        Value::Array(items) => Value::Array(items.iter().map(|item| sorted(item, depth + 1)).collect::<Result<_>>()?),
        Value::Object(fields) => {
            // Sorted here because another crate may have made serde_json keep the order of insertion.
            let mut keys: Vec<_> = fields.iter().collect();
            keys.sort_by_key(|(key, _)| *key);
            let fields = keys.into_iter().map(|(key, item)| Ok((key.clone(), sorted(item, depth + 1)?)));
            Value::Object(fields.collect::<Result<_>>()?)
        }
        plain => plain.clone(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_order_of_keys_does_not_matter_and_the_order_of_items_does() {
        let one: Value = serde_json::from_str(r#"{"b":[1,2],"a":{"d":0.1,"c":null}}"#).unwrap();
        let two: Value = serde_json::from_str(r#"{"a":{"c":null,"d":0.1},"b":[1,2]}"#).unwrap();
        assert_eq!(to_text(&one).unwrap(), r#"{"a":{"c":null,"d":0.1},"b":[1,2]}"#);
        assert_eq!(to_text(&one).unwrap(), to_text(&two).unwrap());
        let other: Value = serde_json::from_str(r#"{"a":{"c":null,"d":0.1},"b":[2,1]}"#).unwrap();
        assert_ne!(to_text(&one).unwrap(), to_text(&other).unwrap());
    }

    #[test]
    fn too_deep_is_refused_and_what_is_accepted_reads_back() {
        let nest = |depth: usize| (0..depth).fold(Value::Null, |inner, _| Value::Array(vec![inner]));
        let text = to_text(&nest(100)).unwrap();
        assert_eq!(serde_json::from_str::<Value>(&text).unwrap(), nest(100));
        assert!(matches!(to_text(&nest(101)), Err(StoreError::Invalid { .. })));
    }
}
