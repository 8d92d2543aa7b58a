//! The fields of the page of the shop, as they stand or as they were typed.

use super::read::{Fault, Typed, path};
use super::settings::{DAYS, GROUPS, Group, Place, Setting, Written};
use crate::web::card::fields::{Field, Kind};
use serde_json::Value;
use shop::ShopSettings;

/// Empty rows at the end of a list.
const EMPTY_ROWS: usize = 2;

/// What stands under one heading.
#[derive(Debug)]
pub struct Headed {
    /// Heading.
    pub heading: &'static str,
    /// What it is for.
    pub about: &'static str,
    /// Its parts.
    pub parts: Vec<Part>,
}

/// Fields that belong together.
#[derive(Debug)]
pub struct Part {
    /// What they are of; may be empty.
    pub legend: String,
    /// The fields.
    pub fields: Vec<Field>,
}

/// Every group with its fields: the settings, or what was typed where that is given.
pub fn groups(settings: &ShopSettings, typed: Option<&Typed>, faults: &[Fault]) -> Vec<Headed> {
    let body = serde_json::to_value(settings).unwrap_or_default();
    let showing = Showing { body: &body, typed, faults };
    let mut headed: Vec<Headed> = Vec::new();
    for group in GROUPS {
        let parts = showing.parts(group);
        match headed.last_mut().filter(|_| group.heading.is_empty()) {
            Some(before) => before.parts.extend(parts),
            None => headed.push(Headed { heading: group.heading, about: group.about, parts }),
        }
    }
    headed
}

struct Showing<'a> {
    body: &'a Value,
    typed: Option<&'a Typed>,
    faults: &'a [Fault],
}

impl Showing<'_> {
    fn parts(&self, group: &Group) -> Vec<Part> {
        let (table, at) = match group.place {
            Place::Table(table) => (table.to_owned(), self.at(table)),
            Place::Machine(machine) => {
                let table = format!("machines.{machine}");
                let at = self.at(&table);
                (table, at)
            }
            Place::Bend => ("bend".to_owned(), self.at("bend")),
            Place::List(list) => return self.rows(list, group),
        };
        vec![Part { legend: group.legend.to_owned(), fields: self.fields(&table, None, group, at) }]
    }

    fn rows(&self, list: &str, group: &Group) -> Vec<Part> {
        let entries = self.body.get(list).and_then(Value::as_array).map(Vec::as_slice).unwrap_or_default();
        let typed = self.typed.map_or(0, |typed| {
            let sent = |row: usize| typed.contains_key(&path(list, Some(row), group.settings[0].key));
            (0..).take_while(|row| sent(*row)).count()
        });
        let count = if typed > 0 { typed } else { entries.len() + EMPTY_ROWS };
        let row = |row: usize| Part {
            legend: format!("{} {}", group.legend, row + 1),
            fields: self.fields(list, Some(row), group, entries.get(row)),
        };
        (0..count).map(row).collect()
    }

    fn at(&self, table: &str) -> Option<&Value> {
        table.split('.').filter(|part| !part.is_empty()).try_fold(self.body, |value, part| value.get(part))
    }

    fn fields(&self, table: &str, row: Option<usize>, group: &Group, at: Option<&Value>) -> Vec<Field> {
        group.settings.iter().flat_map(|setting| self.field(&path(table, row, setting.key), setting, at)).collect()
    }

    fn field(&self, path: &str, setting: &Setting, at: Option<&Value>) -> Vec<Field> {
        let stored = at.and_then(|table| table.get(setting.key));
        if setting.written == Written::Days {
            return DAYS.iter().map(|(day, name)| self.day(&format!("{path}.{day}"), day, name, stored)).collect();
        }
        let mut value = match setting.key {
            "rule" => bend_rule(at),
            _ => stored.map(|value| shown(setting, value)).unwrap_or_default(),
        };
        if let Some(typed) = self.typed.and_then(|typed| typed.get(path)) {
            value.clone_from(typed);
        }
        let mut field = Field::text(path, setting.label, value).hint(setting.hint);
        if let Some(choices) = setting.choices() {
            field.kind = Kind::Choice(choices);
        } else if setting.written == Written::Lines {
            field.kind = Kind::Long;
        }
        field.fault = self.faults.iter().find(|fault| fault.path == path).map(|fault| fault.message.clone());
        vec![field]
    }

    fn day(&self, path: &str, day: &str, name: &str, stored: Option<&Value>) -> Field {
        let worked = match self.typed {
            Some(typed) => typed.get(path).is_some_and(|text| text == "yes"),
            None => stored.and_then(Value::as_array).is_some_and(|days| days.iter().any(|own| own == day)),
        };
        Field::tick(path, name, worked)
    }
}

/// The choice of the bend rule: its name, and the metal where the rule goes by metal.
fn bend_rule(bend: Option<&Value>) -> String {
    let word = |key: &str| bend.and_then(|bend| bend.get(key)).and_then(Value::as_str).unwrap_or_default();
    if word("metal").is_empty() { word("rule").to_owned() } else { format!("{}.{}", word("rule"), word("metal")) }
}

/// A stored value as it is written.
fn shown(setting: &Setting, value: &Value) -> String {
    match (setting.written, value) {
        (Written::Lines, Value::Array(lines)) => lines.iter().filter_map(Value::as_str).collect::<Vec<_>>().join("\n"),
        (Written::Length | Written::Thickness, value) => {
            value.as_f64().map(|mm| format!("{mm} mm")).unwrap_or_default()
        }
        (Written::Angle, value) => {
            let degrees = value.as_f64().unwrap_or_default().to_degrees();
            // six digits of a degree are finer than any protractor, and 90° stays 90°
            format!("{}°", (degrees * 1e6).round() / 1e6)
        }
        (Written::Number(unit), value) => {
            let number = value.as_f64().unwrap_or_default();
            if unit.is_empty() { number.to_string() } else { format!("{number} {unit}") }
        }
        (Written::Whole(unit), value) => value.as_u64().map(|whole| format!("{whole} {unit}")).unwrap_or_default(),
        (_, Value::String(text)) => text.clone(),
        _ => String::new(),
    }
}
