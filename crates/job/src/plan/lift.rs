//! Stops that a person has lifted: by name, with date and reason; a competent person with trade.

use super::{Fault, SectionPlan};
use crate::file::{Job, LiftedStop};
use handbook::{Concern, Grade, LiftedBy};

/// Lifts what may be lifted: a lifted stop becomes a caution that says by whom, when and why. Returns the faults of entries
/// that meet a stop but lack what it needs.
pub(super) fn lift(job: &Job, concerns: &mut [Concern]) -> Vec<Fault> {
    let mut faults = Vec::new();
    for (i, lifted) in job.lifted.iter().enumerate() {
        for concern in concerns.iter_mut().filter(|concern| meets(lifted, concern)) {
            let lacking = lacking(lifted, concern.lifted_by);
            if lacking.is_empty() {
                concern.grade = Grade::Caution;
                let trade =
                    if lifted.trade.trim().is_empty() { String::new() } else { format!(", {}", lifted.trade.trim()) };
                concern.what_to_do.push_str(&format!(
                    " Lifted by {}{trade}, on {}: {}",
                    lifted.name.trim(),
                    lifted.date.trim(),
                    lifted.reason.trim()
                ));
            }
            let who = match concern.lifted_by {
                Some(LiftedBy::CompetentPerson) => "a competent person, who gives name, trade, date and reason",
                _ => "the shop, by name, with date and reason",
            };
            faults.extend(lacking.into_iter().map(|(field, what)| Fault {
                field: format!("lifted.{i}.{field}"),
                message: format!("the stop \"{}\" is lifted without {what}; it may be lifted by {who}", concern.key),
            }));
        }
    }
    faults
}

fn meets(lifted: &LiftedStop, concern: &Concern) -> bool {
    concern.grade == Grade::Stop && lifted.concern == concern.key && lifted.place == concern.place
}

fn lacking(lifted: &LiftedStop, by: Option<LiftedBy>) -> Vec<(&'static str, &'static str)> {
    let mut lacking = Vec::new();
    if lifted.name.trim().is_empty() {
        lacking.push(("name", "the name it needs"));
    }
    if by == Some(LiftedBy::CompetentPerson) && lifted.trade.trim().is_empty() {
        lacking.push(("trade", "the trade it needs"));
    }
    if lifted.date.trim().parse::<jiff::civil::Date>().is_err() {
        lacking.push(("date", "a date (YYYY-MM-DD)"));
    }
    if lifted.reason.trim().is_empty() {
        lacking.push(("reason", "a reason"));
    }
    lacking
}

/// Entries that meet nothing at all: the stop went away, or its key or place is misspelt.
pub(super) fn faults(job: &Job, concerns: &[Concern], sections: &[SectionPlan]) -> Vec<Fault> {
    let known = || concerns.iter().chain(sections.iter().flat_map(|section| &section.concerns));
    job.lifted
        .iter()
        .enumerate()
        .filter(|(_, lifted)| !known().any(|concern| concern.key == lifted.concern && concern.place == lifted.place))
        .map(|(i, lifted)| Fault {
            field: format!("lifted.{i}"),
            message: format!(
                "there is no concern \"{}\" at \"{}\" any more; take this entry out, or name one that stands",
                lifted.concern, lifted.place
            ),
        })
        .collect()
}
