//! Question 2: how far has it gone, and what is done about it?

use super::Asked;
use crate::web::card::fields::Field;
use crate::web::card::question::Question;
use crate::web::figures::{Cell, Table};
use handbook::rust::Cause;
use job::file::{Decision, Role};
use job::plan::ProtectLine;

const CAUSES: [(&str, &str, Option<Cause>); 8] = [
    ("", "not known yet", None),
    ("thrown_mud", "thrown mud", Some(Cause::ThrownMud)),
    ("blocked_drain", "a blocked drain", Some(Cause::BlockedDrain)),
    ("water_held_in_edge", "water held in an edge", Some(Cause::WaterHeldInEdge)),
    ("never_painted", "never painted", Some(Cause::NeverPainted)),
    ("acid", "acid", Some(Cause::Acid)),
    ("stone_chips", "stone chips", Some(Cause::StoneChips)),
    ("old_filler", "old filler", Some(Cause::OldFiller)),
];

/// The question.
pub fn ask(asked: &Asked<'_>) -> Question {
    let damage = &asked.section.damage;
    let depth = damage.depth.as_ref().map(units::Dimension::written).unwrap_or_default();
    let cause = CAUSES.iter().find(|(.., cause)| *cause == damage.cause).map_or("", |(key, ..)| key);
    let mut fields = Vec::new();
    if !has_depth_measurement(asked) {
        let hint = "Along the outside face, square to the edge, from the lowest outside point of the finished edge";
        fields.push(Field::text(asked.path("damage.depth"), "Depth of bad metal", depth).hint(hint));
    }
    fields.push(Field::tick(asked.path("damage.proven"), "proven: cleaned and probed from both sides", damage.proven));
    fields.push(Field::choice(
        asked.path("damage.cause"),
        "Why it rusted",
        cause,
        CAUSES.map(|(key, words, _)| (key, words)),
    ));
    fields.push(Field::long(asked.path("damage.notes"), "What can be seen", &damage.notes));
    fields.extend(decision_fields(asked));
    Question {
        title: "How far has it gone?",
        fields,
        answer: sentence(&asked.plan.damage),
        short: if damage.proven { "proven".into() } else { "seen, not proven".into() },
        tables: protect_table(&asked.plan.protect).into_iter().collect(),
        ..Question::default()
    }
}

/// A pattern that asks for the depth among its measurements has it under the next question but one.
fn has_depth_measurement(asked: &Asked<'_>) -> bool {
    asked.pattern.is_some_and(|pattern| pattern.measurements.iter().any(|m| m.role == Role::RustDepth))
}

fn decision_fields(asked: &Asked<'_>) -> Vec<Field> {
    let choices = [
        ("make", "make a repair section"),
        ("leave_and_treat", "leave and treat"),
        ("decline", "decline, and say what to do instead"),
    ];
    let choose = |value: &str| Field::choice(asked.path("decision"), "What we do about it", value, choices).wide();
    match &asked.section.decision {
        Decision::Make => vec![choose("make")],
        Decision::LeaveAndTreat { reason } => {
            vec![choose("leave_and_treat"), Field::long(asked.path("decision.reason"), "Why it may be left", reason)]
        }
        Decision::Decline { reason, instead } => vec![
            choose("decline"),
            Field::long(asked.path("decision.reason"), "Why we decline", reason),
            Field::long(asked.path("decision.instead"), "What to do instead", instead),
        ],
    }
}

fn protect_table(lines: &[ProtectLine]) -> Option<Table> {
    let row = |line: &ProtectLine| vec![Cell::words(&line.stage), Cell::words(&line.what)];
    (!lines.is_empty()).then(|| Table {
        caption: "So that it does not rust through in the same place again".into(),
        head: vec!["when", "what"],
        rows: lines.iter().map(row).collect(),
    })
}

/// A sentence with a capital and a full stop.
pub fn sentence(text: &str) -> String {
    let mut chars = text.trim().chars();
    let Some(first) = chars.next() else { return "Nothing is said about it yet.".into() };
    let whole: String = first.to_uppercase().chain(chars).collect();
    if whole.ends_with(['.', '!', '?']) { whole } else { format!("{whole}.") }
}
