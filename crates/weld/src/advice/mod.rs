//! Which joint for this place and this fitter: ranked, each with its reasons, and what must not be done.
//!
//! Model: every form of joint that the place allows is either refused, with the rule or the plain fact that refuses it, or
//! gathers reasons for and against it, each worth a few points; the sum ranks them. Points are the judgement of common
//! practice, no source; what counts is that the reader sees every reason. Rules of roadworthiness carry the country they come
//! from (handbook C5, C6) and are taken everywhere, because they are the stricter.
//!
//! Guarantees: pure; a refused form is never ranked; ties fall to the order of [`JointForm::ALL`].
//! Does not know: the job's words, prices, and whether the person is right about the metal.

mod reasons;
mod refusals;
mod situation;

pub use refusals::{Refusal, RefusedBy};
pub use situation::{Kit, Place, Situation, Skill, WarpFigure};

use crate::joints::{JointDesign, design};
use handbook::ShopRules;
use handbook::joints::{JointForm, Sheets};
use serde::{Deserialize, Serialize};

/// One reason for or against a joint.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Reason {
    /// Worth, against when negative.
    pub points: i32,
    /// One short sentence.
    pub text: String,
}

/// A joint that may be made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Advised {
    /// Form.
    pub form: JointForm,
    /// Sum of the reasons.
    pub points: i32,
    /// Reasons, the weightiest first.
    pub reasons: Vec<Reason>,
    /// The joint worked out.
    pub design: JointDesign,
}

/// What is advised.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Advice {
    /// What may be made, best first.
    pub ranked: Vec<Advised>,
    /// What must or cannot be done here.
    pub refused: Vec<Refusal>,
    /// What was not said although it matters, in words.
    pub not_said: Vec<String>,
    /// A competent person must see it before any joint is chosen (C5).
    pub competent_person: bool,
}

impl Advice {
    /// Why a form is refused; none where it may be made or does not suit the place.
    pub fn refusal(&self, form: JointForm) -> Option<&Refusal> {
        self.refused.iter().find(|refusal| refusal.form == form)
    }
}

/// What refuses a form here, whether it belongs to the place or not.
#[must_use]
pub fn refusal(form: JointForm, situation: &Situation, rules: &ShopRules) -> Option<Refusal> {
    refusals::refuse(form, situation, design(form, sheets_of(situation), rules).as_ref().err())
}

const fn sheets_of(situation: &Situation) -> Sheets {
    Sheets {
        front_mm: situation.old_mm,
        back_mm: situation.new_mm,
        load_bearing: matches!(situation.load_bearing, Some(true)),
    }
}

/// Advises on the joints of a place.
#[must_use]
pub fn advise(situation: &Situation, rules: &ShopRules) -> Advice {
    let sheets = sheets_of(situation);
    let mut advice = Advice {
        not_said: situation.not_said(),
        competent_person: situation.carries() == Some(true),
        ..Advice::default()
    };
    let suits = |form: &JointForm| situation.flanged || *form != JointForm::BoltedFlange;
    for form in situation.place.forms().iter().copied().filter(suits) {
        let worked_out = design(form, sheets, rules);
        let refusal = refusals::refuse(form, situation, worked_out.as_ref().err());
        match (refusal, worked_out) {
            (Some(refusal), _) => advice.refused.push(refusal),
            (None, Ok(design)) => {
                let reasons = reasons::reasons(form, situation);
                let points = reasons.iter().map(|reason| reason.points).sum();
                advice.ranked.push(Advised { form, points, reasons, design });
            }
            // a joint that cannot be worked out has been refused above
            (None, Err(_)) => {}
        }
    }
    advice.ranked.sort_by_key(|own| std::cmp::Reverse(own.points)); // stable: ties stay in the order of the list
    advice
}

#[cfg(test)]
mod tests;
