//! What must not be done, and what cannot be done with this kit or metal.

use super::situation::{Kit, Situation, Skill};
use handbook::RuleError;
use handbook::joints::{JointForm, Metal};
use serde::{Deserialize, Serialize};

/// What refuses a joint.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RefusedBy {
    /// A rule of roadworthiness; a competent person decides.
    Rule,
    /// The metal.
    Metal,
    /// Two metals that no arc joins.
    TwoMetals,
    /// The fitter's kit, or the access.
    Kit,
    /// The sheets.
    Sheets,
}

/// A joint that is refused here.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Refusal {
    /// Form.
    pub form: JointForm,
    /// By what.
    pub by: RefusedBy,
    /// Why, in one short sentence or two.
    pub why: String,
    /// Handbook id and country, or "common practice, no source".
    pub source: String,
}

const PRACTICE: &str = "common practice, no source";
const RULE: &str = "C6, MOT inspection manual as quoted in the press (Great Britain)";

/// The gravest thing that speaks against a form altogether; none where it may be made.
pub(super) fn refuse(form: JointForm, situation: &Situation, sheets: Option<&RuleError>) -> Option<Refusal> {
    let found = by_rule(form, situation).map(|why| (RefusedBy::Rule, why, RULE));
    let found = found.or_else(|| by_two_metals(form, situation).map(|why| (RefusedBy::TwoMetals, why, PRACTICE)));
    let found = found.or_else(|| by_metal(form, situation).map(|why| (RefusedBy::Metal, why, PRACTICE)));
    let found = found.or_else(|| by_kit(form, situation).map(|why| (RefusedBy::Kit, why.to_owned(), PRACTICE)));
    let found = found.or_else(|| sheets.map(|error| (RefusedBy::Sheets, error.to_string(), "W41, W43")));
    found.map(|(by, why, source)| Refusal { form, by, why, source: source.to_owned() })
}

/// C6: near a mounting or under load a patch is welded all round; plugs and spots only where the original had them and the
/// whole panel is replaced; brazing, solder and adhesive carry no load.
fn by_rule(form: JointForm, situation: &Situation) -> Option<String> {
    if situation.carries() != Some(true) {
        return None;
    }
    let as_built = situation.was_spot_welded == Some(true) && situation.whole_panel == Some(true);
    let why = if form.is_bonded() {
        "adhesive is not accepted for parts that carry load or stand within 300 mm of a mounting"
    } else if (form.is_plugged() || form.is_spotted()) && !as_built {
        "plug and spot welds are accepted there only where the original panel was spot welded and that whole panel is replaced; a patch is welded all round"
    } else {
        return None;
    };
    Some(format!("{why}; {}", whose_rule(&situation.country)))
}

/// Whose rule it is, and why it is taken.
fn whose_rule(country: &str) -> String {
    match country.trim().to_ascii_uppercase().as_str() {
        "GB" | "UK" => "rule of Great Britain".to_owned(),
        "" => "rule of Great Britain; no country is said, so the stricter is taken: ask the local inspector".to_owned(),
        other => format!(
            "rule of Great Britain; none is kept here for {other}, so the stricter is taken: ask the local inspector"
        ),
    }
}

/// No arc makes a joint of steel and aluminium: what forms between them is brittle and breaks cold.
fn by_two_metals(form: JointForm, situation: &Situation) -> Option<String> {
    let (old, new) = (situation.old_metal?, situation.new_metal);
    (old.is_steel_beside_aluminium(new) && form.kind().is_welded())
        .then(|| "steel and aluminium do not weld to one another".to_owned())
}

fn by_metal(form: JointForm, situation: &Situation) -> Option<String> {
    let new = situation.new_metal;
    let heat = form.kind().is_welded();
    // an old metal that nobody has tried is weighed as what the new one is
    let old = situation.old_metal.unwrap_or(new);
    if old == Metal::Other || new == Metal::Other {
        return (heat || form.is_bonded()).then(|| "not computed for this metal".to_owned());
    }
    if !heat {
        return None;
    }
    if old == Metal::Aluminium {
        return by_aluminium(form, situation).map(str::to_owned);
    }
    None
}

fn by_aluminium(form: JointForm, situation: &Situation) -> Option<&'static str> {
    if form.is_plugged() {
        return Some("thin aluminium is not plug welded: the hole is gone before the sheet behind melts");
    }
    if form.is_spotted() {
        return Some("a spot welder for steel has not the current for aluminium");
    }
    match (situation.kit, situation.skill) {
        (Kit::GasShieldedWire, _) => Some("a small wire machine set up for steel does not weld thin aluminium"),
        (Kit::Tig | Kit::OxyAcetylene, Skill::Trade) => None,
        (Kit::Tig | Kit::OxyAcetylene, _) => {
            Some("thin aluminium shows no colour before it drops through: work for a trade welder")
        }
        _ => None,
    }
}

fn by_kit(form: JointForm, situation: &Situation) -> Option<&'static str> {
    let kit = situation.kit;
    if kit == Kit::None && form.kind().is_welded() {
        return Some("there is no welder in the fitter's kit");
    }
    if form.is_spotted() {
        if kit != Kit::Spot {
            return Some("there is no spot welder in the fitter's kit");
        }
        if !situation.access_behind {
            return Some("the tongs of a spot welder must reach both faces, and the back cannot be reached");
        }
    } else if form.kind().is_welded() && kit == Kit::Spot {
        return Some("a spot welder makes neither plugs nor seams");
    }
    None
}
