//! The nine questions, each made from the job (what was said) and the plan (what follows).

mod as_one;
mod cost;
mod cut;
mod damage;
mod flat;
mod got;
mod joint;
mod joint_advice;
mod leaving;
mod making;
mod ruled;
mod shape;
mod skin;

use super::Now;
use super::fields::Field;
use super::question::Question;
use super::view::{concern_views, is_caution_id, mark_faults};
use crate::failure::Failure;
use crate::web::App;
use handbook::Concern;
use job::file::{Job, Pattern, Section};
use job::plan::SectionPlan;
use std::sync::Arc;
use store::{IssuedDocument, JobId};

/// What a question is made from.
pub struct Asked<'a> {
    /// The program.
    pub app: &'a Arc<App>,
    /// The card and its plan.
    pub now: &'a Now,
    /// The section asked about.
    pub section: &'a Section,
    /// Its plan.
    pub plan: &'a SectionPlan,
    /// Its pattern, when it is made from one.
    pub pattern: Option<&'a Pattern>,
    /// What has left the shop for this job.
    pub issued: &'a [IssuedDocument],
}

impl Asked<'_> {
    /// The job.
    pub fn job(&self) -> &Job {
        &self.now.card.job
    }

    /// The card's id.
    pub fn id(&self) -> JobId {
        self.now.card.id
    }

    /// Path of a field of this section.
    pub fn path(&self, field: &str) -> String {
        format!("section.{}.{field}", self.section.id)
    }
}

/// All questions about a section. A card without pieces has the first alone.
///
/// # Errors
/// A section that the plan does not know.
pub fn all(app: &Arc<App>, now: &Now, section: &str) -> Result<Vec<Question>, Failure> {
    let Some(own) = now.card.job.sections.iter().find(|own| own.id == section) else {
        return Ok(vec![got::without_pieces(now)]);
    };
    let plan = now.plan.sections.iter().find(|plan| plan.id == section);
    let plan = plan.ok_or_else(|| {
        Failure::machine(format!("the plan of card {} has no piece {section:?}", now.card.job.number))
    })?;
    let issued = app.data.store.issued(now.card.id)?;
    let pattern = crate::waiting::pattern_of(&now.card.job, own);
    let asked = Asked { app, now, section: own, plan, pattern, issued: &issued };
    // Question 3 draws the fitter's picture, 4 and 5 the piece's: the two have a thread each.
    let mut questions = std::thread::scope(|threads| {
        let where_to_cut = threads.spawn(|| cut::ask(&asked));
        let shape = [shape::ask(&asked), flat::ask(&asked)];
        let cut = where_to_cut.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic));
        let first = [got::ask(&asked)?, damage::ask(&asked), cut];
        let last = [joint::ask(&asked), making::ask(&asked)?, cost::ask(&asked), leaving::ask(&asked)];
        Ok::<_, Failure>(first.into_iter().chain(shape).chain(last).collect::<Vec<Question>>())
    })?;
    for (index, question) in questions.iter_mut().enumerate() {
        question.number = index + 1;
    }
    share_concerns(&asked, &mut questions);
    mark_faults(&mut questions, plan.faults.iter().chain(&now.plan.faults));
    Ok(questions)
}

/// Gives each concern to the question it belongs to.
fn share_concerns(asked: &Asked<'_>, questions: &mut [Question]) {
    let flats: Vec<&Concern> = asked.plan.pieces.iter().flat_map(|piece| &piece.blank.concerns).collect();
    let whole: Vec<&Concern> = asked.now.plan.concerns.iter().collect();
    for question in questions.iter_mut() {
        let number = question.number;
        let own =
            asked.plan.concerns.iter().filter(|concern| !flats.contains(concern) && question_of(concern) == number);
        let flat = flats.iter().copied().filter(|_| number == 5);
        let shared = whole.iter().copied().filter(|concern| question_of(concern) == number);
        question.concerns = concern_views(asked.id(), own.chain(flat).chain(shared));
    }
}

/// Which question a concern belongs to, by its key. Cautions (C5 and on) belong to fitting.
fn question_of(concern: &Concern) -> usize {
    let key = concern.key.as_str();
    let has = |words: &[&str]| words.iter().any(|word| key.contains(word));
    if is_caution_id(key) || has(&["lap", "joint", "heat", "weld", "plug", "spot", "seal", "fitter"]) {
        6
    } else if has(&["check", "measure", "reading", "cut", "version", "hand", "end"]) {
        3
    } else if has(&["proven", "rust", "damage", "cause", "drain"]) {
        2
    } else if has(&["price", "rate", "stock", "sheet", "cost", "alternative"]) {
        8
    } else if has(&["machine", "brake", "folder", "roller", "throat", "operation"]) {
        7
    } else {
        4
    }
}

/// Yes-or-no fields of a table of the job.
fn ticks(prefix: &str, rows: &[(&str, &str, bool)]) -> Vec<Field> {
    rows.iter().map(|(name, label, value)| Field::tick(format!("{prefix}.{name}"), *label, *value)).collect()
}

/// A length in mm as the card prints it.
fn mm(value: f64) -> String {
    units::format_mm(value, 1)
}
