//! Reads a model from a value and collects every fault: a fault is noted, the offending value is taken out, and reading
//! starts again, until nothing is wrong or nothing can be taken out.

use super::lines::{element_name, join};
use crate::plan::Fault;
use serde::de::DeserializeOwned;
use serde_path_to_error::Segment;
use std::collections::BTreeSet;
use toml::Value;

/// Most faults of one file that are listed.
const MOST_FAULTS: usize = 60;

/// A step into the value.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Step {
    Key(String),
    Index(usize),
}

pub(super) fn model<T: DeserializeOwned>(mut value: Value) -> Result<T, Vec<Fault>> {
    let mut faults: Vec<Fault> = Vec::new();
    let mut taken: BTreeSet<String> = BTreeSet::new();
    name_elements(&mut value);
    for _ in 0..4 * MOST_FAULTS {
        let error = match serde_path_to_error::deserialize::<_, T>(unnamed(value.clone())) {
            Ok(model) if faults.is_empty() => return Ok(model),
            Ok(_) => return Err(faults),
            Err(error) => error,
        };
        let mut steps = steps(&error, &value);
        let message = error.inner().message().to_owned();
        if let Some(key) = unknown_key(&message)
            && steps.last() != Some(&Step::Key(key.to_owned()))
        {
            let within = find_key(get(&value, &steps), key);
            steps.extend(within);
        }
        let message = explain(&message, &path(&steps, &value));
        let field = path(&steps, &value);
        let only_missing_what_was_taken = missing(&message).is_some_and(|key| taken.contains(&join(&field, key)));
        if !only_missing_what_was_taken && faults.len() < MOST_FAULTS {
            let field = missing(&message).map_or_else(|| field.clone(), |key| join(&field, key));
            faults.push(Fault { field, message });
        }
        // A plain value takes its whole list with it.
        if let Some((Step::Index(_), list)) = steps.split_last() {
            taken.insert(path(list, &value));
        }
        taken.insert(field);
        if !take_out(&mut value, &steps) {
            return Err(faults);
        }
    }
    Err(faults)
}

/// Positions in lists would shift when an element is taken out; each element that has no name of its own is kept in
/// place by its position, written beside it.
const POSITION: &str = "\u{0}position";

fn name_elements(value: &mut Value) {
    match value {
        Value::Table(table) => table.iter_mut().for_each(|(_, child)| name_elements(child)),
        Value::Array(list) => {
            for (index, child) in list.iter_mut().enumerate() {
                if let Value::Table(table) = child {
                    let position = i64::try_from(index).unwrap_or(i64::MAX);
                    table.insert(POSITION.to_owned(), Value::Integer(position));
                }
                name_elements(child);
            }
        }
        _ => {}
    }
}

fn unnamed(mut value: Value) -> Value {
    fn strip(value: &mut Value) {
        match value {
            Value::Table(table) => {
                table.remove(POSITION);
                table.iter_mut().for_each(|(_, child)| strip(child));
            }
            Value::Array(list) => list.iter_mut().for_each(strip),
            _ => {}
        }
    }
    strip(&mut value);
    value
}

fn steps(error: &serde_path_to_error::Error<toml::de::Error>, value: &Value) -> Vec<Step> {
    let mut steps = Vec::new();
    let mut at = Some(value);
    for segment in error.path().iter() {
        let step = match segment {
            Segment::Seq { index } => Step::Index(*index),
            Segment::Map { key } => Step::Key(key.clone()),
            Segment::Enum { variant } => Step::Key(variant.clone()),
            Segment::Unknown => continue,
        };
        let next = match (&step, at) {
            (Step::Key(key), Some(Value::Table(table))) => table.get(key),
            (Step::Index(index), Some(Value::Array(list))) => list.get(*index),
            _ => None,
        };
        if next.is_none() {
            continue; // a variant's name that is no key of the file
        }
        steps.push(step);
        at = next;
    }
    steps
}

fn get<'a>(value: &'a Value, steps: &[Step]) -> Option<&'a Value> {
    steps.iter().try_fold(value, |at, step| match step {
        Step::Key(key) => at.get(key.as_str()),
        Step::Index(index) => at.get(*index),
    })
}

/// Where a key stands below a value, nearest first (an unknown key of a tagged piece is reported at the piece).
fn find_key(value: Option<&Value>, key: &str) -> Vec<Step> {
    let Some(value) = value else { return Vec::new() };
    let mut queue = std::collections::VecDeque::from([(value, Vec::new())]);
    while let Some((at, steps)) = queue.pop_front() {
        match at {
            Value::Table(table) => {
                for (name, child) in table {
                    let mut next = steps.clone();
                    next.push(Step::Key(name.clone()));
                    if name == key {
                        return next;
                    }
                    queue.push_back((child, next));
                }
            }
            Value::Array(list) => {
                for (index, child) in list.iter().enumerate() {
                    let mut next = steps.clone();
                    next.push(Step::Index(index));
                    queue.push_back((child, next));
                }
            }
            _ => {}
        }
    }
    Vec::new()
}

fn path(steps: &[Step], value: &Value) -> String {
    let mut at = Some(value);
    let mut path = String::new();
    for step in steps {
        let (name, next) = match step {
            Step::Key(key) => (key.clone(), at.and_then(|at| at.get(key.as_str()))),
            Step::Index(index) => {
                let element = at.and_then(|at| at.get(*index));
                let position = element
                    .and_then(|element| element.get(POSITION))
                    .and_then(Value::as_integer)
                    .and_then(|position| usize::try_from(position).ok())
                    .unwrap_or(*index);
                (element_name(element, position), element)
            }
        };
        path = join(&path, &name);
        at = next;
    }
    path
}

/// Takes the value at the steps out; of a list of plain values the whole list goes, so that positions stay true.
fn take_out(value: &mut Value, steps: &[Step]) -> bool {
    let Some((last, above)) = steps.split_last() else { return false };
    let parent = above.iter().try_fold(&mut *value, |at, step| match step {
        Step::Key(key) => at.get_mut(key.as_str()),
        Step::Index(index) => at.get_mut(*index),
    });
    match (parent, last) {
        (Some(Value::Table(table)), Step::Key(key)) => table.remove(key).is_some(),
        (Some(Value::Array(list)), Step::Index(index)) if list.get(*index).is_some_and(Value::is_table) => {
            list.remove(*index);
            true
        }
        (Some(_), Step::Index(_)) => take_out(value, above),
        _ => false,
    }
}

fn missing(message: &str) -> Option<&str> {
    message.strip_prefix("missing field `")?.split('`').next()
}

/// The key that nobody knows, where that is the fault.
fn unknown_key(message: &str) -> Option<&str> {
    message.strip_prefix("unknown field `")?.split('`').next()
}

/// Puts the reader's own words in the place of the parser's: unknown keys get the nearest known one.
fn explain(message: &str, field: &str) -> String {
    if message.contains("untagged enum") {
        return "cannot be read; write one value (a dimension such as 25 mm, an angle such as 80°, or three plain numbers for a direction), or a list of them with their stations".to_owned();
    }
    if let Some(rest) = message.strip_prefix("unknown variant `") {
        let (got, accepted) = rest.split_once("`, expected ").unwrap_or((rest, ""));
        return format!("\"{got}\" is not known here; accepted: {}", accepted.replace('`', "\""));
    }
    let Some(key) = unknown_key(message) else { return message.to_owned() };
    let mut known: Vec<&str> = message.split('`').skip(3).step_by(2).collect();
    if ["finished_edge", "cut_edge", "make_ups"].iter().any(|chain| field.contains(chain)) {
        known.extend(["when", "unless"]); // read before the make-up itself
    }
    let nearest = known
        .iter()
        .map(|known| (strsim::osa_distance(key, known), *known))
        .filter(|(distance, known)| *distance <= 3.max(known.chars().count() / 3))
        .min_by_key(|(distance, _)| *distance);
    let hint = match nearest {
        Some((_, known)) => format!("did you mean \"{known}\"?"),
        None if known.is_empty() => "nothing more is accepted here".to_owned(),
        None => format!("accepted here: {}", known.join(", ")),
    };
    format!("\"{key}\" is not a key of the job file; {hint}")
}
