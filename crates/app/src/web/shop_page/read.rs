//! From what was typed on the page of the shop to its settings, or to every fault at its field.

use super::settings::{DAYS, GROUPS, Group, Place, Setting, Written};
use handbook::materials::Material;
use serde_json::{Map, Value};
use shop::ShopSettings;
use std::collections::BTreeMap;
use units::{Dimension, LengthUnit, Quantity, Reading, SheetKind};

/// What was typed, by the name of its field.
pub type Typed = BTreeMap<String, String>;

/// What is wrong with one field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Name of the field; empty where the page has none for it.
    pub path: String,
    /// What is wrong and what would be accepted.
    pub message: String,
}

/// Reads the page. What stands on no field of it is kept as it was.
///
/// # Errors
/// Every fault, each at its field.
pub fn settings(kept: &ShopSettings, typed: &Typed) -> Result<ShopSettings, Vec<Fault>> {
    let mut reader = Reader { typed, unit: kept.unit, faults: Vec::new(), rows: BTreeMap::new() };
    if let Ok(unit) = serde_json::from_value(reader.text("unit").into()) {
        reader.unit = unit;
    }
    let mut body = serde_json::to_value(kept).unwrap_or_default();
    for group in GROUPS {
        reader.group(&mut body, group);
    }
    if !reader.faults.is_empty() {
        return Err(reader.faults);
    }
    let settings: ShopSettings = serde_json::from_value(body)
        .map_err(|error| vec![Fault { path: String::new(), message: error.to_string() }])?;
    let faults: Vec<Fault> = settings.faults().iter().map(|fault| reader.placed(&fault.key, &fault.what)).collect();
    if faults.is_empty() { Ok(settings) } else { Err(faults) }
}

/// Name of a field from its table, the row of a list, and its key.
pub fn path(table: &str, row: Option<usize>, key: &str) -> String {
    match (table, row) {
        ("", _) => key.to_owned(),
        (table, Some(row)) => format!("{table}.{row}.{key}"),
        (table, None) => format!("{table}.{key}"),
    }
}

struct Reader<'a> {
    typed: &'a Typed,
    unit: LengthUnit,
    faults: Vec<Fault>,
    /// Which row of the page became which entry of a list.
    rows: BTreeMap<&'static str, Vec<usize>>,
}

impl Reader<'_> {
    fn text(&self, path: &str) -> &str {
        self.typed.get(path).map(|text| text.trim()).unwrap_or_default()
    }

    fn group(&mut self, body: &mut Value, group: &Group) {
        match group.place {
            Place::Table("rules.wire_end") => {
                let wire_end = self.wire_end(group);
                put(body, "rules", "wire_end", wire_end.map(Value::Object));
            }
            Place::Table(table) => {
                for setting in group.settings {
                    let value = self.setting(&path(table, None, setting.key), setting, SheetKind::default());
                    put(body, table, setting.key, value);
                }
            }
            Place::Machine(machine) => {
                let table = format!("machines.{machine}");
                let mut told = group.settings.iter().filter(|own| own.tells());
                let filled = told.any(|own| !self.text(&path(&table, None, own.key)).is_empty());
                let value = filled.then(|| self.table(&table, None, group.settings));
                put(body, "machines", machine, value.map(Value::Object));
            }
            Place::List(list) => {
                let rows = self.list(list, group.settings);
                put(body, "", list, Some(Value::Array(rows)));
            }
            Place::Bend => {
                let bend = self.bend(group);
                put(body, "", "bend", Some(Value::Object(bend)));
            }
        }
    }

    fn list(&mut self, list: &'static str, settings: &[Setting]) -> Vec<Value> {
        let mut taken = Vec::new();
        let mut rows = Vec::new();
        for row in 0..self.row_count(list) {
            let filled = settings
                .iter()
                .filter(|setting| setting.tells())
                .any(|setting| !self.text(&path(list, Some(row), setting.key)).is_empty());
            if filled {
                taken.push(row);
                rows.push(Value::Object(self.table(list, Some(row), settings)));
            }
        }
        self.rows.insert(list, taken);
        rows
    }

    /// Rows that were sent for a list.
    fn row_count(&self, list: &str) -> usize {
        let rows = self.typed.keys().filter_map(|name| name.strip_prefix(list)?.strip_prefix('.')?.split('.').next());
        rows.filter_map(|row| row.parse::<usize>().ok()).filter(|row| *row < 500).max().map_or(0, |last| last + 1)
    }

    fn table(&mut self, table: &str, row: Option<usize>, settings: &[Setting]) -> Map<String, Value> {
        let metal = serde_json::from_value::<Material>(self.text(&path(table, row, "material")).into());
        let sheet = metal.map(|metal| metal.properties().sheet).unwrap_or_default();
        let mut made = Map::new();
        for setting in settings {
            if let Some(value) = self.setting(&path(table, row, setting.key), setting, sheet) {
                made.insert(setting.key.to_owned(), value);
            }
        }
        made
    }

    fn wire_end(&mut self, group: &Group) -> Option<Map<String, Value>> {
        let mut made = self.table("rules.wire_end", None, group.settings);
        let kind = made.get("wire_end").and_then(Value::as_str).unwrap_or_default();
        if !matches!(kind, "stands_out" | "short") {
            made.remove("length_mm");
        } else if !made.contains_key("length_mm") {
            self.fault("rules.wire_end.length_mm", "write by how much the wire stands out or ends short, as 30 mm");
        }
        Some(made)
    }

    fn bend(&mut self, group: &Group) -> Map<String, Value> {
        let chosen = self.text("bend.rule").to_owned();
        let (rule, metal) = chosen.split_once('.').unwrap_or((&chosen, ""));
        let counts = |key: &str| match rule {
            "neutral_line" => key == "k_factor",
            "shop_coupon" => !matches!(key, "rule" | "k_factor"),
            _ => false,
        };
        let mut made = Map::new();
        for setting in group.settings {
            let path = path("bend", None, setting.key);
            if setting.key == "rule" {
                self.setting(&path, setting, SheetKind::default());
            } else if counts(setting.key)
                && let Some(value) = self.setting(&path, setting, SheetKind::default())
            {
                made.insert(setting.key.to_owned(), value);
            }
        }
        made.insert("rule".to_owned(), rule.into());
        if !metal.is_empty() {
            made.insert("metal".to_owned(), metal.into());
        }
        made
    }

    /// The value of one setting; `None` takes it away.
    fn setting(&mut self, path: &str, setting: &Setting, sheet: SheetKind) -> Option<Value> {
        if setting.written == Written::Days {
            let worked = DAYS.iter().filter(|(day, _)| self.text(&format!("{path}.{day}")) == "yes");
            return Some(worked.map(|(day, _)| Value::from(*day)).collect());
        }
        let text = self.text(path);
        if text.is_empty() && setting.optional {
            return match setting.written {
                Written::Words => Some("".into()),
                Written::Lines => Some(Value::Array(Vec::new())),
                _ => None,
            };
        }
        match value(setting, text, Reading { bare_unit: self.unit, sheet }) {
            Ok(value) => Some(value),
            Err(message) => {
                let message = format!("{}: {message}", setting.label);
                self.fault(path, message);
                None
            }
        }
    }

    fn fault(&mut self, path: &str, message: impl Into<String>) {
        self.faults.push(Fault { path: path.to_owned(), message: message.into() });
    }

    /// A fault of the settings at the field of the page where it was typed.
    fn placed(&self, key: &str, what: &str) -> Fault {
        let (path, label) = match key.split_once('[') {
            Some((list, rest)) => self.placed_in_row(list, rest),
            None if key == "bend" => ("bend.rule".to_owned(), "Bend rule".to_owned()),
            None => (key.to_owned(), label_of(key).unwrap_or_default().to_owned()),
        };
        let known = label_of_path(&path).is_some();
        let message = match (label.as_str(), what.starts_with("is ")) {
            ("", _) => what.to_owned(),
            (label, true) => format!("{label} {what}"),
            (label, false) => format!("{label}: {what}"),
        };
        Fault { path: if known { path } else { String::new() }, message }
    }

    fn placed_in_row(&self, list: &str, rest: &str) -> (String, String) {
        let (index, key) = rest.split_once(']').unwrap_or((rest, ""));
        let key = key.trim_start_matches('.');
        let row = index.parse().ok().and_then(|index: usize| self.rows.get(list)?.get(index).copied());
        match (row, GROUPS.iter().find(|group| matches!(group.place, Place::List(own) if own == list))) {
            (Some(row), Some(group)) => {
                let label = group.settings.iter().find(|own| own.key == key).map(|own| own.label).unwrap_or_default();
                (path(list, Some(row), key), format!("{} {}: {label}", group.legend, row + 1))
            }
            _ => (list.to_owned(), label_of(list).unwrap_or_default().to_owned()),
        }
    }
}

/// Name in the trade of a setting that stands in no list, by its key ("money.hour").
fn label_of(key: &str) -> Option<&'static str> {
    GROUPS.iter().find_map(|group| {
        let table = match group.place {
            Place::Table(table) => table.to_owned(),
            Place::Machine(machine) => format!("machines.{machine}"),
            Place::Bend => "bend".to_owned(),
            Place::List(_) => return None,
        };
        group.settings.iter().find(|own| path(&table, None, own.key) == key).map(|own| own.label)
    })
}

fn label_of_path(path: &str) -> Option<&'static str> {
    label_of(path).or_else(|| {
        let mut parts = path.splitn(3, '.');
        let (list, key) = (parts.next()?, parts.nth(1)?);
        let group = GROUPS.iter().find(|group| matches!(group.place, Place::List(own) if own == list))?;
        group.settings.iter().find(|own| own.key == key).map(|own| own.label)
    })
}

/// What a text means as a setting.
fn value(setting: &Setting, text: &str, reading: Reading) -> Result<Value, String> {
    let told = |error: units::UnitError| error.to_string();
    match setting.written {
        Written::Words if text.is_empty() => Err("is empty; write it as it is printed".into()),
        Written::Words | Written::Days => Ok(text.into()),
        Written::Country => {
            if text.len() == 2 && text.chars().all(|letter| letter.is_ascii_alphabetic()) {
                return Ok(text.to_ascii_uppercase().into());
            }
            Err(format!("{text:?} is not two letters; GB, IE, US or DE is accepted"))
        }
        Written::Lines => Ok(text.lines().map(str::trim).filter(|line| !line.is_empty()).map(Value::from).collect()),
        Written::Amount if text.is_empty() => Err("is empty; write an amount, as 48.00".into()),
        Written::Amount => Ok(text.into()),
        Written::Number(unit) => number(text, unit).map(Value::from),
        Written::Whole(unit) => {
            let got = number(text, unit)?;
            if !(0.0..=1e6).contains(&got) || got.fract() > 0.0 {
                return Err(format!("is {text}; a whole number, zero or more, is accepted"));
            }
            // whole and within a million: nothing is lost
            Ok((got as u32).into())
        }
        Written::Length => {
            Dimension::parse(text).and_then(|size| size.length_mm(&reading)).map(Value::from).map_err(told)
        }
        Written::Thickness => {
            Dimension::parse(text).and_then(|size| size.thickness_mm(&reading)).map(Value::from).map_err(told)
        }
        Written::Angle => Dimension::parse(text).and_then(|size| size.angle_rad()).map(Value::from).map_err(told),
        Written::OneOf(_) | Written::Currency | Written::Metal => {
            let choices = setting.choices().unwrap_or_default();
            if choices.iter().any(|(value, _)| value == text) {
                return Ok(text.into());
            }
            let known: Vec<&str> = choices.iter().map(|(_, words)| words.as_str()).collect();
            Err(format!("{text:?} is not one of {}", known.join(", ")))
        }
    }
}

/// A plain number, its unit written or not.
fn number(text: &str, unit: &str) -> Result<f64, String> {
    let bare = text.strip_suffix(unit).unwrap_or(text).trim();
    if bare.is_empty() {
        return Err("is empty; write a number".to_owned());
    }
    match Dimension::parse(bare).map(|size| size.quantity()) {
        Ok(Quantity::Bare { number, .. }) => Ok(number),
        Ok(other) => Err(format!("{text:?} is {}; a number{} is accepted", other.kind(), of(unit))),
        Err(error) => Err(error.to_string()),
    }
}

fn of(unit: &str) -> String {
    if unit.is_empty() { String::new() } else { format!(" of {unit}") }
}

/// Sets or removes one key of a table, which is made when it is missing.
fn put(body: &mut Value, table: &str, key: &str, value: Option<Value>) {
    let mut place = body;
    for part in table.split('.').filter(|part| !part.is_empty()) {
        let Some(fields) = place.as_object_mut() else { return };
        place = fields.entry(part).or_insert_with(|| Value::Object(Map::new()));
    }
    let Some(fields) = place.as_object_mut() else { return };
    match value {
        Some(value) => drop(fields.insert(key.to_owned(), value)),
        None => drop(fields.remove(key)),
    }
}

#[cfg(test)]
mod tests {
    use super::super::show;
    use super::*;

    fn demo() -> ShopSettings {
        crate::demo::shop().unwrap()
    }

    /// The page as it is shown, sent back.
    fn typed(settings: &ShopSettings) -> Typed {
        let groups = show::groups(settings, None, &[]);
        let fields = groups.into_iter().flat_map(|group| group.parts).flat_map(|part| part.fields);
        fields.map(|field| (field.path, field.value)).collect()
    }

    fn changed(pairs: &[(&str, &str)]) -> Result<ShopSettings, Vec<Fault>> {
        let mut typed = typed(&demo());
        typed.extend(pairs.iter().map(|(path, text)| ((*path).to_owned(), (*text).to_owned())));
        settings(&demo(), &typed)
    }

    #[test]
    fn a_page_sent_back_untouched_changes_nothing() {
        assert_eq!(settings(&demo(), &typed(&demo())).unwrap(), demo());
        let bare = ShopSettings { name: "Bare".into(), country: "IE".into(), ..ShopSettings::default() };
        assert_eq!(settings(&bare, &typed(&bare)).unwrap(), bare);
    }

    #[test]
    fn sizes_are_read_as_the_trade_writes_them() {
        let new = changed(&[
            ("unit", "inch"),
            ("machines.folder.length_mm", "4' 1\""),
            ("machines.folder.thickest_mm", "16 swg"),
            ("rules.above_bad_depth_mm", "1/4"),
            ("money.margin_percent", "25 %"),
            ("calendar.working_days.fri", "no"),
        ])
        .unwrap();
        let folder = new.machines.folder.unwrap();
        assert!((folder.length_mm - 49.0 * 25.4).abs() < 1e-9, "{}", folder.length_mm);
        // BS 3737: 16 SWG is 0.064 in
        assert!((folder.thickest_mm - 0.064 * 25.4).abs() < 1e-9, "{}", folder.thickest_mm);
        assert!((new.rules.above_bad_depth_mm - 6.35).abs() < 1e-12);
        assert!((new.money.margin_percent - 25.0).abs() < 1e-12);
        assert_eq!(new.calendar.working_days.len(), 4);
    }

    #[test]
    fn an_emptied_machine_and_row_are_gone_and_an_empty_row_adds_one() {
        let empty = ["length_mm", "thickest_mm"].map(|key| format!("machines.shear.{key}"));
        let row = ["thickness_mm", "width_mm", "length_mm", "price", "count"].map(|key| format!("sheet.1.{key}"));
        let mut pairs: Vec<(&str, &str)> = empty.iter().chain(&row).map(|path| (path.as_str(), "")).collect();
        let last = demo().sheets.len();
        let added = [
            ("material", "aluminium1050a_o"),
            ("thickness_mm", "1.2 mm"),
            ("width_mm", "1 m"),
            ("length_mm", "2 m"),
            ("price", "52.00"),
        ]
        .map(|(key, text)| (format!("sheet.{last}.{key}"), text));
        pairs.extend(added.iter().map(|(path, text)| (path.as_str(), *text)));
        let new = changed(&pairs).unwrap();
        assert_eq!(new.machines.shear, None);
        assert_eq!(new.sheets.len(), last);
        assert_eq!(new.sheets[1], demo().sheets[2]);
        assert!((new.sheets[last - 1].width_mm - 1000.0).abs() < 1e-9);
    }

    #[test]
    fn a_bent_strip_of_the_shop_is_taken_with_its_angle_in_degrees() {
        // strip of 0.9 mm, inside radius 1.5 mm, bent square: 100 mm flat gave legs of 51 mm (B1 gives 1.9 mm to take off)
        let new = changed(&[
            ("bend.rule", "shop_coupon"),
            ("bend.thickness_mm", "0.9 mm"),
            ("bend.inside_radius_mm", "1.5 mm"),
            ("bend.bend_angle_rad", "90°"),
            ("bend.strip_length_mm", "100 mm"),
            ("bend.leg_a_mm", "51 mm"),
            ("bend.leg_b_mm", "51 mm"),
            ("bend.legs_to", "corner"),
        ])
        .unwrap();
        let handbook::bend::Rule::ShopCoupon(strip) = new.bend else { panic!("{:?}", new.bend) };
        assert!((strip.bend_angle_rad - std::f64::consts::FRAC_PI_2).abs() < 1e-12);
        assert_eq!(settings(&new, &typed(&new)).unwrap(), new, "and is shown as it was typed");
    }

    #[test]
    fn what_is_wrong_is_named_at_its_field() {
        let wrong = [
            ("name", " ", "Name of the shop"),
            ("country", "Britain", "two letters"),
            ("money.hour", "a lot", "One hour at the bench"),
            ("money.margin_percent", "120", "Margin, % of the price is 120 %; 0 to 95 % is accepted"),
            ("money.tax_percent", "NaN", "finite"),
            ("machines.folder.length_mm", "", "Longest fold"),
            ("machines.folder.length_mm", "-3 mm", "negative"),
            ("machines.folder.thickest_mm", "20 gauge", "could mean"),
            ("sheet.0.price", "", "Price of one sheet"),
            ("sheet.0.width_mm", "2 mm", "Sheet 1: Across is 2 mm"),
            ("calendar.handling_days", "1.5", "whole number"),
            ("calendar.shut", "Christmas", "not a date"),
        ];
        for (path, text, said) in wrong {
            let faults = changed(&[(path, text)]).unwrap_err();
            assert!(
                faults.iter().any(|fault| fault.path == path && fault.message.contains(said)),
                "{path} = {text:?}: {faults:?}"
            );
        }
        let rules = changed(&[("rules.spare_end_mm", "2 m")]).unwrap_err();
        assert!(rules[0].message.contains("spare length"), "{rules:?}");
    }
}
