//! Both ends of the quick path: a written reply while somebody is on the telephone, and a price when numbers come back.

use super::card::{ConcernView, Now, concern_views};
use super::guard::Who;
use super::photos::{self, Filled};
use super::{App, WebError, page};
use crate::failure::{Failure, Kind};
use crate::reply;
use crate::shop_data::{Change, today};
use crate::waiting::{Waits, pattern_of};
use askama::Template;
use axum::extract::multipart::Multipart;
use axum::extract::{Extension, Form, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use job::file::{Customer, FreeEnds, FromPattern, Hand, Job, Pattern, Question, Role, Said, Section, Vehicle};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::Arc;
use store::{JobId, RevisionId, Sending};

#[derive(Template)]
#[template(path = "new.html")]
struct NewPage {
    patterns: Vec<Offered>,
}

struct Offered {
    id: String,
    title: String,
    plain_words: String,
    vehicle: String,
    chosen: bool,
    questions: Vec<Question>,
}

/// A pattern chosen beforehand.
#[derive(Debug, Deserialize)]
pub struct Chosen {
    #[serde(default)]
    pattern: String,
}

/// A new card: photos, pieces by picture, a few questions each.
pub async fn form(State(app): State<Arc<App>>, Query(chosen): Query<Chosen>) -> Result<Html<String>, WebError> {
    let patterns = app.work(|app| app.data.patterns()).await?;
    let offered = patterns.into_iter().map(|(_, pattern)| Offered {
        chosen: pattern.id == chosen.pattern,
        id: pattern.id,
        title: pattern.title,
        plain_words: pattern.plain_words,
        vehicle: pattern.vehicle,
        questions: pattern.questions.into_iter().take(4).collect(),
    });
    Ok(page(&NewPage { patterns: offered.collect() }))
}

/// Makes the card and shows the written reply.
pub async fn make(
    State(app): State<Arc<App>>,
    Extension(who): Extension<Who>,
    form: Multipart,
) -> Result<Response, WebError> {
    let filled = Filled::read(form).await?;
    let (id, pieces) = app
        .work(move |app| {
            let job = new_job(app, &filled)?;
            let pieces = job.sections.len();
            let (id, _) = app.data.create(&job, None, &who.0)?;
            photos::keep(app, id, filled.photos, &who.0)?;
            Ok((id, pieces))
        })
        .await?;
    let next = if pieces == 0 { format!("/card/{id}") } else { format!("/card/{id}/reply") };
    Ok(Redirect::to(&next).into_response())
}

fn new_job(app: &Arc<App>, filled: &Filled) -> Result<Job, Failure> {
    let settings = app.data.settings()?;
    let mut sections: Vec<Section> = Vec::new();
    let mut patterns = Vec::new();
    for (_, name) in filled.texts.iter().filter(|(field, _)| field == "pattern") {
        let missing = || {
            Failure::bad_input(format!("there is no pattern {name:?} on the shelf")).hint("choose one of the pictures")
        };
        let pattern = app.data.pattern(name)?.ok_or_else(missing)?;
        sections.push(said_section(&pattern, filled));
        patterns.push(pattern);
    }
    let vehicle = patterns.first().map(|pattern| pattern.vehicle.clone()).unwrap_or_default();
    let titles: Vec<&str> = patterns.iter().map(|pattern| pattern.title.as_str()).collect();
    let title = if titles.is_empty() { "new enquiry".to_owned() } else { titles.join(", ") };
    Ok(Job {
        format: 1,
        number: app.data.next_number()?,
        title,
        unit: settings.unit,
        country: settings.country,
        opened: today(),
        customer: Customer {
            name: filled.text("customer").trim().to_owned(),
            contact: filled.text("contact").trim().to_owned(),
            ..Customer::default()
        },
        vehicle: Vehicle { name: vehicle, ..Vehicle::default() },
        fitter: Default::default(),
        near: Default::default(),
        alternatives: Vec::new(),
        lifted: Vec::new(),
        photos: Vec::new(),
        sections,
        patterns,
    })
}

/// The answer chosen to a question; nothing when it was not asked.
fn answer_to<'a>(pattern: &Pattern, question: &'a Question, filled: &Filled) -> Option<&'a job::file::Answer> {
    let chosen = filled.text(&format!("said.{}.{}", pattern.id, question.id));
    question.answers.iter().find(|answer| answer.id == chosen)
}

fn said_section(pattern: &Pattern, filled: &Filled) -> Section {
    let given: Vec<_> =
        pattern.questions.iter().filter_map(|q| Some((q.id.clone(), answer_to(pattern, q, filled)?))).collect();
    let hand = given.iter().find_map(|(_, answer)| answer.hand);
    let version = given.iter().find_map(|(_, answer)| answer.version.clone());
    let declined = given.iter().find_map(|(_, answer)| answer.decline.clone());
    let answers: BTreeMap<String, String> =
        given.iter().map(|(question, answer)| (question.clone(), answer.id.clone())).collect();
    Section {
        id: pattern.id.clone(),
        title: pattern.title.clone(),
        hand,
        drawn_for: None,
        set: String::new(),
        quantity: 1,
        decision: match declined {
            Some([reason, instead]) => job::file::Decision::Decline { reason, instead },
            None => job::file::Decision::Make,
        },
        from_pattern: Some(FromPattern {
            id: pattern.id.clone(),
            version,
            without: Vec::new(),
            for_version: None,
            from: None,
            to: None,
        }),
        measured: BTreeMap::new(),
        said: Some(Said { answers }),
        damage: Default::default(),
        joint: pattern.usual_joint(),
        free_ends: FreeEnds::default(),
        try_on_reply: None,
        pairs: Vec::new(),
        pieces: Vec::new(),
        seams: Vec::new(),
        places: Vec::new(),
    }
}

#[derive(Template)]
#[template(path = "reply.html")]
struct ReplyPage {
    id: JobId,
    number: String,
    letter: String,
    contact: String,
    phone: bool,
    concerns: Vec<ConcernView>,
    faults: Vec<String>,
}

/// The written reply: band and date, or a kind refusal.
pub async fn reply(State(app): State<Arc<App>>, Path(id): Path<i64>) -> Result<Html<String>, WebError> {
    let page_of = app.work(move |app| {
        let now = Now::read(app, JobId(id))?;
        let job = &now.card.job;
        let own = now.plan.sections.iter().flat_map(|section| &section.concerns);
        let stops = own.filter(|concern| concern.grade == handbook::Grade::Stop);
        Ok(ReplyPage {
            id: now.card.id,
            number: job.number.clone(),
            letter: app.planning.letter(job, &now.plan),
            contact: job.customer.contact.clone(),
            phone: reply::is_said_on_the_phone(job),
            concerns: concern_views(now.card.id, stops),
            faults: now.plan.all_faults().map(|fault| fault.message.clone()).collect(),
        })
    });
    Ok(page(&page_of.await?))
}

/// Where the reply went.
#[derive(Debug, Deserialize)]
pub struct Sent {
    to: String,
}

/// Notes that the reply has gone out.
pub async fn send(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(sent): Form<Sent>,
) -> Result<Response, WebError> {
    app.work(move |app| {
        let now = Now::read(app, JobId(id))?;
        let letter = app.planning.letter(&now.card.job, &now.plan);
        let phone = reply::is_said_on_the_phone(&now.card.job);
        let sending = Sending {
            revision: now.card.revision.id,
            document: if phone { "telephone reply".into() } else { "quote".into() },
            file: format!("{} reply.txt", now.card.job.number),
            sent_to: sent.to,
            bytes: letter.into_bytes(),
        };
        app.data.store.record_issued(now.card.id, sending, crate::shop_data::signed(&who.0))?;
        if !phone && Waits::of(&now.card.job, Some(Waits::Quoted)) == Waits::Quoted {
            app.data.commit(now.card.id, now.card.revision.id, &now.card.job, Some(Waits::Quoted), &who.0)?;
        }
        Ok(())
    })
    .await?;
    Ok(Redirect::to("/").into_response())
}

#[derive(Template)]
#[template(path = "numbers.html")]
struct NumbersPage {
    id: JobId,
    revision: i64,
    number: String,
    title: String,
    faults: Vec<String>,
    pieces: Vec<PieceNumbers>,
}

struct PieceNumbers {
    title: String,
    picture: String,
    hand: &'static str,
    hand_path: String,
    has_hand: bool,
    version_path: String,
    versions: Vec<VersionChoice>,
    numbers: Vec<NumberField>,
}

/// A version to choose; there are none to choose from where the pattern has only one.
struct VersionChoice {
    id: String,
    words: String,
    chosen: bool,
}

fn versions(section: &Section, pattern: &Pattern) -> Vec<VersionChoice> {
    if pattern.versions.len() < 2 {
        return Vec::new();
    }
    let said = section.from_pattern.as_ref().and_then(|from| from.version.as_deref());
    let choice = |version: &job::file::Version| VersionChoice {
        id: version.id.clone(),
        words: format!("{}: {}", version.title, version.how_to_tell),
        chosen: said == Some(&version.id),
    };
    pattern.versions.iter().map(choice).collect()
}

struct NumberField {
    id: String,
    path: String,
    title: String,
    how: String,
    value: String,
    check: bool,
    fault: String,
}

/// A form for the numbers that came back.
pub async fn numbers(State(app): State<Arc<App>>, Path(id): Path<i64>) -> Result<Html<String>, WebError> {
    let page_of = app.work(move |app| Ok(numbers_page(&Now::read(app, JobId(id))?, &BTreeMap::new(), None)));
    Ok(page(&page_of.await?))
}

/// Writes the numbers on the card; a check figure that is off stops here with its likely reasons.
pub async fn take_numbers(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(form): Form<BTreeMap<String, String>>,
) -> Result<Response, WebError> {
    app.work(move |app| {
        let id = JobId(id);
        let base = form.get("base").and_then(|base| base.parse().ok()).map(RevisionId);
        let base = base.ok_or_else(|| Failure::bad_input("the form names no revision; load the card again"))?;
        let filled = form.iter().filter(|(path, value)| path.starts_with("section.") && !value.trim().is_empty());
        let changes: Vec<Change> =
            filled.map(|(path, value)| Change { path: path.clone(), value: value.clone() }).collect();
        match app.data.change(id, base, &changes, &who.0) {
            Ok(_) => {}
            Err(failure) if failure.kind == Kind::BadInput => {
                let again = numbers_page(&Now::read(app, id)?, &form, Some(&failure));
                return Ok((StatusCode::UNPROCESSABLE_ENTITY, page(&again)).into_response());
            }
            Err(failure) => return Err(failure),
        }
        let now = Now::read(app, id)?;
        if now.plan.all_faults().next().is_some() {
            let again = numbers_page(&now, &form, None);
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page(&again)).into_response());
        }
        Ok(Redirect::to(&format!("/card/{id}/packet")).into_response())
    })
    .await
    .map_err(WebError)
}

fn numbers_page(now: &Now, typed: &BTreeMap<String, String>, failure: Option<&Failure>) -> NumbersPage {
    let job = &now.card.job;
    let mut faults: Vec<String> = failure.map(|failure| failure.message.clone()).into_iter().collect();
    if failure.is_none() && !typed.is_empty() {
        faults.extend(now.plan.all_faults().map(|fault| fault.message.clone()));
    }
    let pieces = job.sections.iter().filter(|section| section.decision == job::file::Decision::Make);
    let pieces = pieces.filter_map(|section| Some(piece_numbers(section, pattern_of(job, section)?, typed, failure)));
    NumbersPage {
        id: now.card.id,
        revision: now.card.revision.id.0,
        number: job.number.clone(),
        title: job.title.clone(),
        faults,
        pieces: pieces.collect(),
    }
}

fn piece_numbers(
    section: &Section,
    pattern: &Pattern,
    typed: &BTreeMap<String, String>,
    failure: Option<&Failure>,
) -> PieceNumbers {
    let field = |measurement: &job::file::Measurement| {
        let path = format!("section.{}.measured.{}.readings.0", section.id, measurement.id);
        let stored = section.measured.get(&measurement.id).and_then(|measured| measured.readings.first());
        let value = typed.get(&path).cloned().or_else(|| stored.map(units::Dimension::written)).unwrap_or_default();
        let own = failure.filter(|failure| failure.field.as_deref() == Some(&path));
        NumberField {
            id: path.replace('.', "-"),
            title: measurement.title.clone(),
            how: measurement.how.clone(),
            value,
            check: measurement.role == Role::Check,
            fault: own.map(|failure| failure.message.clone()).unwrap_or_default(),
            path,
        }
    };
    PieceNumbers {
        title: section.title.clone(),
        picture: format!("/patterns/{}/picture.svg", pattern.id),
        hand: match section.hand {
            Some(Hand::Left) => "left",
            Some(Hand::Right) => "right",
            None => "",
        },
        hand_path: format!("section.{}.hand", section.id),
        has_hand: section.hand.is_some() || pattern.hand.is_some(),
        version_path: format!("section.{}.from_pattern.version", section.id),
        versions: versions(section, pattern),
        numbers: pattern.measurements.iter().map(field).collect(),
    }
}
