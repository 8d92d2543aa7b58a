//! The card written out: whole for a page, by parts for an edit.

use super::Now;
use super::fields::field_id;
use super::question::{BASE, Question, Written};
use super::questions;
use crate::failure::Failure;
use crate::web::App;
use askama::Template;
use handbook::{Concern, Grade, LiftedBy};
use job::file::{Decision, Job};
use job::plan::{Fault, SectionPlan};
use std::collections::BTreeMap;
use std::sync::Arc;
use store::{JobId, Steps};

/// Parts of a card by the id of the element that holds them.
pub type Parts = BTreeMap<String, String>;

/// A concern as a page shows it.
#[derive(Debug, Clone)]
pub struct ConcernView {
    /// Word.
    pub grade: &'static str,
    /// Class.
    pub class: &'static str,
    /// Place.
    pub place: String,
    /// What is the matter.
    pub what: String,
    /// Why it matters.
    pub why: String,
    /// What to do.
    pub what_to_do: String,
    /// Source.
    pub source: String,
    /// Who may lift it, or who has.
    pub lifting: String,
    /// A stop that nobody has lifted.
    pub open: bool,
    /// Where it is lifted.
    pub link: String,
    /// Key, for the form that lifts it.
    pub key: String,
    /// Needs a competent person.
    pub competent: bool,
    /// A caution of the handbook (C5 and on): what it is is always seen, why and what to do by one click.
    pub brief: bool,
}

/// Concerns, gravest first.
pub fn concern_views<'a>(id: JobId, concerns: impl IntoIterator<Item = &'a Concern>) -> Vec<ConcernView> {
    let mut listed: Vec<&Concern> = concerns.into_iter().collect();
    listed.sort_by_key(|concern| std::cmp::Reverse(concern.grade));
    listed.into_iter().map(|concern| concern_view(id, concern)).collect()
}

fn concern_view(id: JobId, concern: &Concern) -> ConcernView {
    let (grade, class) = match concern.grade {
        Grade::Note => ("Note", "note"),
        Grade::Caution => ("Caution", "caution"),
        Grade::Stop => ("Stop", "stop"),
    };
    let competent = concern.lifted_by == Some(LiftedBy::CompetentPerson);
    let lifting = match concern.grade {
        Grade::Stop if competent => "May be lifted by a competent person, with name, trade, date and reason.",
        Grade::Stop => "May be lifted by the shop, by name and with a reason.",
        _ => "",
    };
    ConcernView {
        grade,
        class,
        place: concern.place.clone(),
        what: concern.what.clone(),
        why: concern.why.clone(),
        what_to_do: concern.what_to_do.clone(),
        source: concern.source.clone(),
        lifting: lifting.to_owned(),
        open: concern.grade == Grade::Stop,
        link: format!("/card/{id}/packet#stops"),
        key: concern.key.clone(),
        competent,
        brief: concern.grade == Grade::Caution && is_caution_id(&concern.key),
    }
}

/// Is this the id of a caution of the handbook ("C12")?
pub fn is_caution_id(key: &str) -> bool {
    key.strip_prefix('C').is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
}

#[derive(Template)]
#[template(path = "card.html")]
struct CardPage<'a> {
    id: JobId,
    section: &'a str,
    revision: i64,
    number: &'a str,
    title: &'a str,
    about: String,
    faults: String,
    steps: String,
    pieces: String,
    strip: String,
    questions: Vec<Written>,
}

#[derive(Template)]
#[template(path = "parts/strip.html")]
struct StripPart {
    links: Vec<StripLink>,
}

struct StripLink {
    number: usize,
    short: String,
    class: &'static str,
    mark: String,
}

#[derive(Template)]
#[template(path = "parts/steps.html")]
struct StepsPart<'a> {
    id: JobId,
    revision: i64,
    section: &'a str,
    steps: Steps,
    sequence: i64,
}

#[derive(Template)]
#[template(path = "parts/pieces.html")]
struct PiecesPart {
    id: JobId,
    pieces: Vec<PieceLink>,
}

struct PieceLink {
    id: String,
    title: String,
    state: String,
    here: bool,
}

/// A fault in the summary at the top.
#[derive(Debug, Clone)]
pub struct FaultLine {
    /// What is wrong.
    pub message: String,
    /// Link to the field; empty where there is none.
    pub link: String,
}

#[derive(Template)]
#[template(path = "parts/faults.html")]
struct FaultsPart {
    faults: Vec<FaultLine>,
}

/// The whole page. `refused` are changes that were not written: their texts stay in the fields, with what is wrong.
///
/// # Errors
/// As the questions.
pub fn whole(app: &Arc<App>, now: &Now, section: &str, refused: &[Refused]) -> Result<String, Failure> {
    let mut questions = questions::all(app, now, section)?;
    put_back(&mut questions, refused);
    let revision = now.card.revision.id.0;
    let job = &now.card.job;
    let page = CardPage {
        id: now.card.id,
        section,
        revision,
        number: &job.number,
        title: &job.title,
        about: about(job),
        faults: faults_part(now, section, &questions, refused),
        steps: steps_part(now, section),
        pieces: pieces_part(now, section),
        strip: strip_part(&questions),
        questions: questions.iter().map(Question::write).collect(),
    };
    let html = page.render().map_err(Failure::machine)?;
    app.planning.remember(now.card.id, section, now.card.revision.id, parts_of(now, section, &questions));
    Ok(html.replace(BASE, &revision.to_string()))
}

/// The parts of the card that change with an edit, by element id.
///
/// # Errors
/// As the questions.
pub fn parts(app: &Arc<App>, now: &Now, section: &str) -> Result<Parts, Failure> {
    Ok(parts_of(now, section, &questions::all(app, now, section)?))
}

fn parts_of(now: &Now, section: &str, questions: &[Question]) -> Parts {
    let mut parts = Parts::new();
    for written in questions.iter().map(Question::write) {
        let mut put = |part: &str, html: String| parts.insert(format!("q{}-{part}", written.number), html);
        put("drawing", written.drawing);
        put("fields", written.fields);
        put("answer", written.answer);
        put("concerns", written.concerns);
        put("more", written.more);
    }
    parts.insert("strip".into(), strip_part(questions));
    parts.insert("steps".into(), steps_part(now, section));
    parts.insert("faults".into(), faults_part(now, section, questions, &[]));
    parts
}

/// A change that was refused: its field, the text as typed, and why.
#[derive(Debug, Clone)]
pub struct Refused {
    /// Path of the field.
    pub path: String,
    /// Text as typed.
    pub value: String,
    /// Why; empty for a change that was only carried along with a refused one.
    pub fault: String,
}

/// Puts texts that were not written back into their fields.
fn put_back(questions: &mut [Question], refused: &[Refused]) {
    for field in questions.iter_mut().flat_map(|question| &mut question.fields) {
        if let Some(refused) = refused.iter().find(|refused| refused.path == field.path) {
            field.value.clone_from(&refused.value);
            if !refused.fault.is_empty() {
                field.fault = Some(refused.fault.clone());
            }
        }
    }
}

fn about(job: &Job) -> String {
    let parts = [&job.vehicle.name, &job.vehicle.year, &job.customer.name];
    parts.into_iter().filter(|part| !part.is_empty()).cloned().collect::<Vec<_>>().join(" · ")
}

fn strip_part(questions: &[Question]) -> String {
    let link = |question: &Question| {
        let stops = question.concerns.iter().filter(|concern| concern.open).count();
        let faults = question.fields.iter().filter(|field| field.fault.is_some()).count();
        let (class, mark) = match (faults, stops, question.stale.is_empty()) {
            (0, 0, true) => ("", String::new()),
            (0, 0, false) => ("stale", question.stale.clone()),
            (0, stops, _) => ("stop", format!("{stops} stop{}", if stops == 1 { "" } else { "s" })),
            (faults, ..) => ("wrong", format!("{faults} to put right")),
        };
        StripLink { number: question.number, short: question.short.clone(), class, mark }
    };
    StripPart { links: questions.iter().map(link).collect() }.render().unwrap_or_default()
}

fn steps_part(now: &Now, section: &str) -> String {
    let revision = &now.card.revision;
    let part =
        StepsPart { id: now.card.id, revision: revision.id.0, section, steps: now.steps, sequence: revision.sequence };
    part.render().unwrap_or_default()
}

fn pieces_part(now: &Now, here: &str) -> String {
    let piece = |section: &job::file::Section| {
        let plan = now.plan.sections.iter().find(|plan| plan.id == section.id);
        PieceLink {
            id: section.id.clone(),
            title: section.title.clone(),
            state: plan.map(|plan| state_words(&section.decision, plan)).unwrap_or_default(),
            here: section.id == here,
        }
    };
    let part = PiecesPart { id: now.card.id, pieces: now.card.job.sections.iter().map(piece).collect() };
    part.render().unwrap_or_default()
}

/// How a piece stands, in a word or two.
fn state_words(decision: &Decision, plan: &SectionPlan) -> String {
    let stops = open_stops(plan);
    match decision {
        Decision::Decline { .. } => "declined".into(),
        Decision::LeaveAndTreat { .. } => "left and treated".into(),
        Decision::Make if !plan.faults.is_empty() => format!("{} to put right", plan.faults.len()),
        Decision::Make if stops > 0 => format!("{stops} stop{}", if stops == 1 { "" } else { "s" }),
        Decision::Make => plan.price.as_ref().map(|price| price.net.middle.to_string()).unwrap_or_default(),
    }
}

/// Stops that nobody has lifted.
pub fn open_stops(plan: &SectionPlan) -> usize {
    plan.concerns.iter().filter(|concern| concern.grade == Grade::Stop).count()
}

fn faults_part(now: &Now, section: &str, questions: &[Question], refused: &[Refused]) -> String {
    let plan = now.plan.sections.iter().find(|plan| plan.id == section);
    let own = plan.map(|plan| plan.faults.as_slice()).unwrap_or_default().iter().chain(&now.plan.faults);
    let line = |fault: &Fault| FaultLine { message: fault.message.clone(), link: link_to(questions, &fault.field) };
    let typed = refused.iter().filter(|refused| !refused.fault.is_empty());
    let typed =
        typed.map(|refused| FaultLine { message: refused.fault.clone(), link: link_to(questions, &refused.path) });
    let faults: Vec<FaultLine> = typed.chain(own.map(line)).collect();
    FaultsPart { faults }.render().unwrap_or_default()
}

/// Link to the field a fault belongs to, when it is on the card.
fn link_to(questions: &[Question], path: &str) -> String {
    let fields = || questions.iter().flat_map(|question| &question.fields);
    let exact = fields().find(|field| field.path == path);
    let below = || fields().find(|field| !path.is_empty() && field.path.starts_with(&format!("{path}.")));
    // one field may hold a whole list: what is wrong with a point stands beside the profiles
    let above = || fields().find(|field| path.starts_with(&format!("{}.", field.path)));
    exact.or_else(below).or_else(above).map(|field| format!("#{}", field_id(&field.path))).unwrap_or_default()
}

/// Sets the plan's faults beside their fields.
pub fn mark_faults<'a>(questions: &mut [Question], faults: impl Iterator<Item = &'a Fault>) {
    for fault in faults {
        let fields = || 0..questions.len();
        let found = fields().find_map(|q| {
            let own = questions.get(q)?.fields.iter().position(|field| {
                field.path == fault.field
                    || (!fault.field.is_empty() && field.path.starts_with(&format!("{}.", fault.field)))
                    || fault.field.starts_with(&format!("{}.", field.path))
            })?;
            Some((q, own))
        });
        if let Some(field) = found.and_then(|(q, own)| questions.get_mut(q)?.fields.get_mut(own)) {
            field.fault = Some(fault.message.clone());
        }
    }
}
