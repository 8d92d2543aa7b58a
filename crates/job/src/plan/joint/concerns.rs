//! What a joint makes the reader know: refused here, metal not tried, not said.

use super::advice::{new_metal, old_metal};
use crate::file::Section;
use crate::plan::JointPlan;
use crate::plan::make::Made;
use crate::resolve::note;
use handbook::joints::{JointForm, Metal};
use handbook::{Concern, Grade, LiftedBy};
use weld::advice::RefusedBy;
use weld::metal::QUESTIONS;

/// Concerns of the joint of a section.
pub(in crate::plan) fn concerns(section: &Section, made: &Made, plan: &JointPlan) -> Vec<Concern> {
    let Some(form) = plan.form else { return Vec::new() };
    let mut concerns: Vec<Concern> = refused(section, plan, form).into_iter().collect();
    if form.kind().is_welded() {
        concerns.extend(metal(section));
        concerns.extend(plan.too_hot.clone());
    } else {
        concerns.extend(two_metals(section, made, form));
    }
    if form == JointForm::BoltedFlange && plan.count == 0 {
        concerns.push(note(
            "joint-no-bolts",
            Grade::Caution,
            &section.title,
            [
                "bolted, but the piece has no hole for a bolt".into(),
                "nothing would hold it".into(),
                "give the holes, or choose another joint under \"How does it go in?\"".into(),
            ],
        ));
    }
    let metal_words = |words: &&String| !words.starts_with("which metal");
    let unsaid: Vec<&str> = plan.advice.not_said.iter().filter(metal_words).map(String::as_str).collect();
    if !unsaid.is_empty() {
        concerns.push(note(
            "joint-not-said",
            // what joins by plugs, spots or glue must not carry before somebody has said that it may (C6)
            if form != JointForm::Butt && form != JointForm::BoltedFlange && section.joint.load_bearing.is_none() {
                Grade::Caution
            } else {
                Grade::Note
            },
            &section.title,
            [
                format!("not said: {}", unsaid.join("; ")),
                "the advice on the joint weighs it, and rules hang on it".into(),
                "ask, and say it under \"How does it go in?\"".into(),
            ],
        ));
    }
    concerns
}

fn refused(section: &Section, plan: &JointPlan, form: JointForm) -> Option<Concern> {
    let refusal = plan.advice.refusal(form)?;
    let instead = match plan.advice.ranked.first() {
        Some(first) => format!("choose another joint: {} is advised", first.form.name()),
        None => "no joint that is worked out here suits; ask somebody who joins this metal for a living".into(),
    };
    let (key, grade, lifted_by, why) = match refusal.by {
        RefusedBy::Rule => {
            ("joint-refused-by-rule", Grade::Stop, Some(LiftedBy::CompetentPerson), "people's lives hang on such metal")
        }
        // nobody at the shop can make it hold: only who proves that the metals are others may go on
        RefusedBy::TwoMetals => (
            "joint-refused-by-two-metals",
            Grade::Stop,
            Some(LiftedBy::CompetentPerson),
            "what forms between them is brittle and breaks when it is cold",
        ),
        RefusedBy::Metal => ("joint-refused-by-metal", Grade::Stop, Some(LiftedBy::Shop), "it would not hold"),
        // no welder at all has a concern of its own
        RefusedBy::Kit if plan.advice.refused.iter().any(|own| own.why.starts_with("there is no welder")) => {
            return None;
        }
        RefusedBy::Kit => ("joint-kit", Grade::Caution, None, "it cannot go in as planned"),
        RefusedBy::Sheets => ("joint-sheets", Grade::Caution, None, "the joint cannot be worked out for them"),
    };
    Some(Concern {
        key: key.into(),
        grade,
        place: section.title.clone(),
        what: format!("{}: {}", form.name(), refusal.why),
        why: why.into(),
        what_to_do: instead,
        lifted_by,
        source: refusal.source.clone(),
    })
}

/// What the reader does where steel and aluminium touch.
const TOUCHING: &str = "insulate the faces: epoxy primer on both, cured, and an unbroken film of adhesive, sealer or tape between; sleeves and washers of plastic at bolts; seal every edge so that no water gets in";

/// Steel on aluminium corrodes where water bridges them, held by bolts or glue.
fn two_metals(section: &Section, made: &Made, form: JointForm) -> Option<Concern> {
    let new = new_metal(made);
    let (touch, old) = match old_metal(section).ok().flatten() {
        Some(old) => (old.is_steel_beside_aluminium(new), old.name()),
        None => (new == Metal::Aluminium, "a panel that may be steel: its metal is not known for sure"),
    };
    touch.then(|| Concern {
        source: "common practice, no source".into(),
        ..note(
            "joint-two-metals",
            Grade::Caution,
            &section.title,
            [
                format!("{}: {} on {}", form.name(), new.name(), old),
                "where water bridges two metals the aluminium beside the steel is eaten away".into(),
                TOUCHING.into(),
            ],
        )
    })
}

fn metal(section: &Section) -> Option<Concern> {
    match old_metal(section) {
        Ok(Some(_)) => None,
        Ok(None) => {
            let question = if section.joint.magnet.is_some() { QUESTIONS[1] } else { QUESTIONS[0] };
            Some(note(
                "joint-metal-not-tried",
                Grade::Caution,
                &section.title,
                [
                    "nobody has said which metal the old panel is".into(),
                    "steel and aluminium take heat quite differently; settings and pauses are kept back until it is known".into(),
                    format!("ask: {question}"),
                ],
            ))
        }
        Err(error) => Some(note(
            "joint-metal-doubtful",
            Grade::Stop,
            &section.title,
            [
                error.to_string(),
                "a joint for the wrong metal does not hold".into(),
                "try magnet and file again on bare metal".into(),
            ],
        )),
    }
}
