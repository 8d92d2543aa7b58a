//! The hand as people say it: left, right, or near side and off side with the country.

use crate::file::Hand;
use crate::plan::Fault;
use handbook::rule_of_road::{RuleOfRoad, rule_of_road};
use toml::Value;

/// The hand that `words` mean on a vehicle of `country` (ISO 3166-1 alpha-2). Near side and off side are the kerb's side and
/// the other one of a vehicle built for that country's roads.
///
/// # Errors
/// A line that says what would be accepted: other words, or near side and off side without a country that is known.
pub fn hand_from_words(words: &str, country: &str) -> Result<Hand, String> {
    let plain: String = words.chars().filter(char::is_ascii_alphabetic).collect::<String>().to_ascii_lowercase();
    let near = match plain.as_str() {
        "left" => return Ok(Hand::Left),
        "right" => return Ok(Hand::Right),
        "nearside" => true,
        "offside" => false,
        _ => {
            return Err(format!("is {words:?}; left or right, seen from the driving seat facing forward, is accepted"));
        }
    };
    match (rule_of_road(country), near) {
        (Some(RuleOfRoad::KeepLeft), true) | (Some(RuleOfRoad::KeepRight), false) => Ok(Hand::Left),
        (Some(_), _) => Ok(Hand::Right),
        (None, _) => Err(format!(
            "is {words:?}, which is left or right by the country, and the country is {country:?}; give its two letters \
             (GB), or write left or right"
        )),
    }
}

/// Keeps a section for both hands as two sections of one set, left and right.
fn in_both_hands(job: &mut Value) -> Vec<Fault> {
    let Some(sections) = job.get_mut("section").and_then(Value::as_array_mut) else { return Vec::new() };
    let mut faults = Vec::new();
    for section in std::mem::take(sections) {
        match section {
            Value::Table(table) if is_both(&table) => {
                let id = table.get("id").and_then(Value::as_str).unwrap_or_default();
                if !table.contains_key("from_pattern") && !table.contains_key("drawn_for") {
                    let message = "is both, and nothing says which hand the pieces are drawn for; write drawn_for = \"left\" or \"right\"";
                    faults.push(Fault { field: format!("section.{id}.drawn_for"), message: message.into() });
                }
                sections.extend(["left", "right"].map(|hand| Value::Table(of_hand(&table, hand))));
            }
            other => sections.push(other),
        }
    }
    faults
}

fn is_both(section: &toml::Table) -> bool {
    let words = section.get("hand").and_then(Value::as_str).unwrap_or_default();
    let plain: String = words.chars().filter(char::is_ascii_alphabetic).collect::<String>().to_ascii_lowercase();
    matches!(plain.as_str(), "both" | "bothhands" | "pair")
}

fn of_hand(section: &toml::Table, hand: &str) -> toml::Table {
    let mut own = section.clone();
    let text = |key: &str| section.get(key).and_then(Value::as_str).unwrap_or_default().to_owned();
    let (id, title) = (text("id"), text("title"));
    own.insert("hand".into(), Value::String(hand.into()));
    own.insert("id".into(), Value::String(format!("{id}_{hand}")));
    own.insert("title".into(), Value::String(format!("{title}, {hand}")));
    own.entry("set").or_insert_with(|| Value::String(id));
    own
}

/// Writes near side and off side of every section as left or right, before the model is read; a section for both hands becomes two.
pub(super) fn said_in_full(job: &mut Value) -> Vec<Fault> {
    let mut faults = in_both_hands(job);
    let country = job.get("country").and_then(Value::as_str).unwrap_or_default().to_owned();
    let sections = job.get_mut("section").and_then(Value::as_array_mut).into_iter().flatten();
    for section in sections.filter_map(Value::as_table_mut) {
        let Some(words) = section.get("hand").and_then(Value::as_str) else { continue };
        match hand_from_words(words, &country) {
            Ok(hand) => {
                let word = if hand == Hand::Left { "left" } else { "right" };
                section.insert("hand".into(), Value::String(word.into()));
            }
            Err(message) => {
                let id = section.get("id").and_then(Value::as_str).unwrap_or_default();
                faults.push(Fault { field: format!("section.{id}.hand"), message });
                section.remove("hand");
            }
        }
    }
    faults
}
