//! One field of a job card, named by a path, set without touching any other.
//!
//! A path is the words of the job file joined by dots, sections and pieces by their own id or name instead of a number:
//! `customer.name`, `section.arch.damage.depth`, `section.arch.measured.height.readings.0`. The planner names the fields of
//! its faults the same way, so that a fault stands beside its field.

pub mod make_up;
pub mod skin;

use crate::failure::Failure;
use serde_json::{Map, Value};

/// Lists whose entries are found by a key of their own.
const KEYED: [(&str, &str); 5] =
    [("section", "id"), ("pattern", "id"), ("piece", "name"), ("pair", "name"), ("measurement", "id")];

/// Fields that are yes or no.
const YES_OR_NO: [&str; 17] = [
    "proven",
    "access_behind",
    "start",
    "end",
    "fuel",
    "battery",
    "closed_section",
    "trim_behind",
    "old_paint",
    "bonded_glass",
    "safety_mounting",
    "carries_load",
    "sits",
    "open",
    "lap_leg",
    "joins",
    "held",
];

/// Fields that are yes, no, or not said.
const YES_NO_OR_NOT_SAID: [&str; 7] =
    ["visible", "load_bearing", "near_mounting", "was_spot_welded", "whole_panel", "zinc_coated", "meter"];

/// Sets one field of a job's JSON from the text of a form; an empty text takes an optional field away.
///
/// # Errors
/// When the path leads nowhere, or the text cannot be that field's value.
pub fn set(job: &mut Value, path: &str, text: &str) -> Result<(), Failure> {
    let parts: Vec<&str> = path.split('.').collect();
    let (last, way) = parts.split_last().filter(|(last, _)| !last.is_empty()).ok_or_else(|| unknown(path))?;
    if let ["section", id, "measured", measurement, "readings"] = way {
        return set_reading(job, id, measurement, last, text).ok_or_else(|| unknown(path));
    }
    if *last == "decision" {
        let section = walk(job, way, false).ok_or_else(|| unknown(path))?;
        return set_decision(section, text).ok_or_else(|| unknown(path));
    }
    if *last == "left_out" {
        return set_left_out(job, way, text).ok_or_else(|| unknown(path));
    }
    if let [edges @ .., "edge", number] = way
        && *last == "name"
        && let Ok(number) = number.parse::<usize>()
    {
        return name_edge(job, edges, number, text).ok_or_else(|| unknown(path));
    }
    let value = match *last {
        "hand" => hand_of(job, text),
        "make_ups" => make_up::value_of(text),
        "points" | "profile" | "outline" | "templates_at" => {
            let owner = walk(job, way, false).ok_or_else(|| unknown(path))?;
            skin::value_of(owner, last, text)
        }
        name => value_of(name, text),
    };
    let value = value.map_err(|failure| failure.at_field(path))?;
    let parent = walk(job, way, value.is_some()).ok_or_else(|| unknown(path))?;
    match (parent, value) {
        (Value::Object(fields), Some(value)) => drop(fields.insert((*last).to_owned(), value)),
        (Value::Object(fields), None) => drop(fields.remove(*last)),
        (Value::Array(items), Some(value)) => {
            let index: usize = last.parse().map_err(|_| unknown(path))?;
            *items.get_mut(index).ok_or_else(|| unknown(path))? = value;
        }
        _ => return Err(unknown(path)),
    }
    Ok(())
}

fn unknown(path: &str) -> Failure {
    Failure::bad_input(format!("there is no field {path:?} on this card")).at_field(path)
}

/// The hand: left or right; near side and off side by the country of the card.
fn hand_of(job: &Value, text: &str) -> Result<Option<Value>, Failure> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    let country = job.get("country").and_then(Value::as_str).unwrap_or_default();
    let hand =
        job::hand_from_words(text, country).map_err(|message| Failure::bad_input(format!("the hand {message}")))?;
    serde_json::to_value(hand).map(Some).map_err(|error| Failure::machine(error.to_string()))
}

/// What the text of a form means for a field of this name; `None` takes it away.
fn value_of(name: &str, text: &str) -> Result<Option<Value>, Failure> {
    let text = text.trim();
    if YES_OR_NO.contains(&name) {
        return match text {
            "yes" | "on" | "true" => Ok(Some(Value::Bool(true))),
            "no" | "" | "false" => Ok(Some(Value::Bool(false))),
            other => Err(Failure::bad_input(format!("{name} is {other:?}; yes or no is accepted"))),
        };
    }
    if text.is_empty() {
        return Ok(None);
    }
    if YES_NO_OR_NOT_SAID.contains(&name) {
        return match text {
            "yes" | "true" => Ok(Some(Value::Bool(true))),
            "no" | "false" => Ok(Some(Value::Bool(false))),
            other => Err(Failure::bad_input(format!("{name} is {other:?}; yes or no is accepted, or nothing"))),
        };
    }
    match name {
        "least_current_a" | "current_a" | "voltage_v" | "travel_mm_s" => {
            let accepted = match name {
                "voltage_v" => "a number of volt; 5 to 50 are accepted",
                "travel_mm_s" => "a travel in mm/s; 0.2 to 50 are accepted",
                _ => "a number of ampere; 1 to 500 are accepted",
            };
            let value: Option<f64> = text.parse().ok().filter(|value: &f64| value.is_finite());
            let number = value.and_then(serde_json::Number::from_f64);
            number
                .map(|number| Some(number.into()))
                .ok_or_else(|| Failure::bad_input(format!("{text:?} is not {accepted}")))
        }
        "quantity" | "inch_denominator" => {
            let number: u32 = text
                .parse()
                .map_err(|_| Failure::bad_input(format!("{text:?} is not a whole number; 1 to 999 is accepted")))?;
            Ok(Some(number.into()))
        }
        "fitting_hours" => {
            let hours: f64 = text.parse().map_err(|_| {
                Failure::bad_input(format!("{text:?} is not a number of hours; zero or more is accepted"))
            })?;
            let number = serde_json::Number::from_f64(hours).filter(|_| hours >= 0.0);
            number
                .map(|number| Some(number.into()))
                .ok_or_else(|| Failure::bad_input(format!("{text} hours are not possible; zero or more is accepted")))
        }
        _ => Ok(Some(text.into())),
    }
}

/// Goes down a path; missing tables are made on the way when `make` is set.
fn walk<'a>(mut value: &'a mut Value, way: &[&str], make: bool) -> Option<&'a mut Value> {
    let mut parts = way.iter();
    while let Some(part) = parts.next() {
        if let Some((_, key)) =
            KEYED.iter().find(|(list, _)| list == part).filter(|_| value.get(part).is_some_and(Value::is_array))
        {
            let wanted = parts.next()?;
            let items = value.get_mut(part)?.as_array_mut()?;
            value = items.iter_mut().find(|item| item.get(key).and_then(Value::as_str) == Some(wanted))?;
        } else if *part == "edge" && value.get(part).is_some_and(Value::is_array) {
            value = by_number(value.get_mut(part)?.as_array_mut()?, parts.next()?.parse().ok()?)?;
        } else if let Value::Array(items) = value {
            value = items.get_mut(part.parse::<usize>().ok()?)?;
        } else {
            let fields = value.as_object_mut()?;
            if make && fields.get(*part).is_none_or(Value::is_null) {
                fields.insert((*part).to_owned(), Value::Object(Map::new()));
            }
            value = fields.get_mut(*part)?;
        }
    }
    Some(value)
}

/// An edge by its own number, or by its place where the list has no numbers.
fn by_number(edges: &mut [Value], number: usize) -> Option<&mut Value> {
    let own = |edge: &Value| edge.get("edge").and_then(Value::as_u64);
    let place = edges.iter().position(|edge| own(edge) == u64::try_from(number).ok());
    let place = if edges.iter().any(|edge| own(edge).is_some()) { place? } else { number };
    edges.get_mut(place)
}

/// Names an edge of a skin, which is added where it had no name; without a name it is a raw edge again, with all that was said of it gone.
fn name_edge(job: &mut Value, way: &[&str], number: usize, text: &str) -> Option<()> {
    let piece = walk(job, way, false)?.as_object_mut()?;
    if piece.get("kind").and_then(Value::as_str) != Some("skin") {
        return None;
    }
    let list = piece.entry("edge").or_insert_with(|| Value::Array(Vec::new())).as_array_mut()?;
    let number_of = |edge: &Value| edge.get("edge").and_then(Value::as_u64);
    let wanted = u64::try_from(number).ok();
    match (text.trim(), list.iter_mut().find(|edge| number_of(edge) == wanted)) {
        ("", _) => list.retain(|edge| number_of(edge) != wanted),
        (name, Some(edge)) => drop(edge.as_object_mut()?.insert("name".to_owned(), name.into())),
        (name, None) => {
            list.push(serde_json::json!({ "edge": number, "name": name }));
            list.sort_by_key(number_of);
        }
    }
    if list.is_empty() {
        piece.remove("edge");
    }
    Some(())
}

/// Sets reading `index` of a measurement; a measurement without readings is not measured.
fn set_reading(job: &mut Value, section: &str, measurement: &str, index: &str, text: &str) -> Option<()> {
    let index: usize = index.parse().ok().filter(|index| *index < 3)?;
    let text = text.trim();
    let section = walk(job, &["section", section], false)?;
    let measured = walk(section, &["measured"], true)?.as_object_mut()?;
    let entry = measured.entry(measurement).or_insert_with(|| serde_json::json!({ "readings": [] }));
    let readings = entry.get_mut("readings")?.as_array_mut()?;
    match (index < readings.len(), text.is_empty()) {
        (true, true) => drop(readings.remove(index)),
        (true, false) => *readings.get_mut(index)? = text.into(),
        (false, false) => readings.push(text.into()),
        (false, true) => {}
    }
    if readings.is_empty() {
        measured.remove(measurement);
    }
    if measured.is_empty() {
        section.as_object_mut()?.remove("measured");
    }
    Some(())
}

/// Sets what the shop does, keeping reasons that were written before.
fn set_decision(section: &mut Value, what: &str) -> Option<()> {
    let fields = section.as_object_mut()?;
    let word = |key: &str| {
        let kept = fields.get("decision").and_then(|decision| decision.get(key)).and_then(Value::as_str);
        kept.unwrap_or_default().to_owned()
    };
    let decision = match what {
        "make" => serde_json::json!({ "do": "make" }),
        "leave_and_treat" => serde_json::json!({ "do": what, "reason": word("reason") }),
        "decline" => serde_json::json!({ "do": what, "reason": word("reason"), "instead": word("instead") }),
        _ => return None,
    };
    fields.insert("decision".into(), decision);
    Some(())
}

/// Leaves a switch of the pattern out, or puts it back: `section.ID.from_pattern.SWITCH.left_out`.
fn set_left_out(job: &mut Value, way: &[&str], text: &str) -> Option<()> {
    let ["section", id, "from_pattern", switch] = way else { return None };
    let pattern = walk(job, &["section", id, "from_pattern"], false)?.as_object_mut()?;
    let without = pattern.entry("without").or_insert_with(|| Value::Array(Vec::new())).as_array_mut()?;
    without.retain(|item| item.as_str() != Some(switch));
    if matches!(text.trim(), "yes" | "on" | "true") {
        without.push((*switch).into());
    }
    if without.is_empty() {
        pattern.remove("without");
    }
    Some(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn job() -> Value {
        json!({
            "number": "1", "customer": { "name": "museum" },
            "section": [
                { "id": "tray", "measured": {} },
                { "id": "arch", "measured": { "height": { "readings": ["70 mm"] } }, "from_pattern": { "id": "p" } },
            ],
        })
    }

    #[test]
    fn sets_one_field_and_nothing_else() {
        let mut job = job();
        set(&mut job, "customer.name", " county museum ").unwrap();
        set(&mut job, "section.arch.damage.depth", "40 mm").unwrap();
        set(&mut job, "section.arch.damage.proven", "on").unwrap();
        set(&mut job, "section.arch.quantity", "2").unwrap();
        assert_eq!(job["customer"]["name"], "county museum");
        assert_eq!(job["section"][1]["damage"], json!({ "depth": "40 mm", "proven": true }));
        assert_eq!(job["section"][1]["quantity"], 2);
        assert_eq!(job["section"][0], json!({ "id": "tray", "measured": {} }));
    }

    #[test]
    fn an_empty_text_takes_the_field_away() {
        let mut job = job();
        set(&mut job, "section.arch.measured.height.readings.0", "").unwrap();
        assert_eq!(job["section"][1].get("measured"), None);
        set(&mut job, "customer.name", "").unwrap();
        assert_eq!(job["customer"], json!({}));
    }

    #[test]
    fn readings_are_added_in_order_and_changed_in_place() {
        let mut job = job();
        set(&mut job, "section.arch.measured.height.readings.2", "71").unwrap();
        set(&mut job, "section.arch.measured.height.readings.0", "70").unwrap();
        assert_eq!(job["section"][1]["measured"]["height"]["readings"], json!(["70", "71"]));
        assert!(set(&mut job, "section.arch.measured.height.readings.3", "70").is_err());
    }

    #[test]
    fn a_decision_keeps_the_reason_already_written() {
        let mut job = job();
        set(&mut job, "section.arch.decision", "decline").unwrap();
        set(&mut job, "section.arch.decision.reason", "too far gone").unwrap();
        set(&mut job, "section.arch.decision", "leave_and_treat").unwrap();
        assert_eq!(job["section"][1]["decision"], json!({ "do": "leave_and_treat", "reason": "too far gone" }));
    }

    #[test]
    fn a_switch_is_left_out_and_put_back() {
        let mut job = job();
        set(&mut job, "section.arch.from_pattern.lamp.left_out", "on").unwrap();
        assert_eq!(job["section"][1]["from_pattern"]["without"], json!(["lamp"]));
        set(&mut job, "section.arch.from_pattern.lamp.left_out", "no").unwrap();
        assert_eq!(job["section"][1]["from_pattern"], json!({ "id": "p" }));
    }

    #[test]
    fn near_side_becomes_left_or_right_by_the_country() {
        let mut job = job();
        let failure = set(&mut job, "section.arch.hand", "near_side").unwrap_err();
        assert!(failure.message.contains("two letters"), "{failure}");
        set(&mut job, "country", "IE").unwrap();
        set(&mut job, "section.arch.hand", "near_side").unwrap();
        assert_eq!(job["section"][1]["hand"], "left");
        set(&mut job, "section.arch.hand", "").unwrap();
        assert_eq!(job["section"][1].get("hand"), None);
    }

    #[test]
    fn the_points_of_a_profile_are_pairs() {
        let mut job = json!({ "section": [{ "id": "dome", "piece": [
            { "kind": "skin", "name": "dome corner", "profile": [{ "station": 0, "points": [] }] },
        ]}]});
        set(&mut job, "section.dome.piece.dome corner.profile.0.points", "0 92, 45 mm 91.5 mm").unwrap();
        assert_eq!(job["section"][0]["piece"][0]["profile"][0]["points"], json!([["0", "92"], ["45 mm", "91.5 mm"]]));
        let failure = set(&mut job, "section.dome.piece.dome corner.profile.0.points", "0 92, 45").unwrap_err();
        assert!(failure.message.contains("no point"), "{failure}");
    }

    #[test]
    fn an_edge_of_a_skin_is_added_made_up_and_taken_away_by_its_own_number() {
        let mut job = json!({ "section": [{ "id": "dome", "piece": [
            { "kind": "skin", "name": "dome", "edge": [{ "edge": 3, "name": "gutter edge", "held": true }] },
        ]}]});
        let edges = |job: &Value| job["section"][0]["piece"][0]["edge"].clone();
        set(&mut job, "section.dome.piece.dome.edge.1.name", "front edge").unwrap();
        set(&mut job, "section.dome.piece.dome.edge.1.make_ups", "hem 8, inside").unwrap();
        set(&mut job, "section.dome.piece.dome.edge.3.name", "drip edge").unwrap();
        let hem = json!([{ "make": "hem", "width": "8", "turns": "inside" }]);
        assert_eq!(
            edges(&job),
            json!([
                { "edge": 1, "name": "front edge", "make_ups": hem },
                { "edge": 3, "name": "drip edge", "held": true },
            ])
        );
        let failure = set(&mut job, "section.dome.piece.dome.edge.1.make_ups", "hem wide").unwrap_err();
        assert!(failure.message.contains("wide"), "{failure}");
        assert!(set(&mut job, "section.dome.piece.dome.edge.2.make_ups", "raw 2").is_err(), "an edge without a name");
        set(&mut job, "section.dome.piece.dome.edge.1.make_ups", "").unwrap();
        assert_eq!(edges(&job)[0], json!({ "edge": 1, "name": "front edge" }));
        set(&mut job, "section.dome.piece.dome.edge.1.name", " ").unwrap();
        assert_eq!(edges(&job), json!([{ "edge": 3, "name": "drip edge", "held": true }]));
        set(&mut job, "section.dome.piece.dome.edge.3.name", "").unwrap();
        assert_eq!(edges(&job), Value::Null);
    }

    #[test]
    fn what_leads_nowhere_is_refused_by_name() {
        let mut job = job();
        for path in ["", "section.none.title", "number.name", "section.arch.measured.height.readings.x"] {
            let failure = set(&mut job, path, "x").unwrap_err();
            assert!(failure.message.contains("no field"), "{path}: {failure}");
        }
        assert!(set(&mut job, "section.arch.quantity", "two").unwrap_err().message.contains("whole number"));
        assert!(set(&mut job, "section.arch.damage.proven", "perhaps").unwrap_err().message.contains("yes or no"));
    }
}
