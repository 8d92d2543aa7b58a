//! The pattern shelf: choose by picture, plain words beside.

use super::guard::Who;
use super::{App, WebError, page};
use crate::failure::Failure;
use askama::Template;
use axum::extract::{Extension, Form, Path, Query, State};
use axum::http::header;
use axum::response::{Html, IntoResponse, Redirect, Response};
use job::file::{FromPattern, Job, Pattern, Said, Section, Version};
use serde::Deserialize;
use std::sync::Arc;
use store::{JobId, RevisionId};

#[derive(Template)]
#[template(path = "patterns.html")]
struct PatternsPage {
    patterns: Vec<Kept>,
    card: Option<OnCard>,
}

/// The card that a piece is chosen for.
struct OnCard {
    id: JobId,
    number: String,
    revision: i64,
}

struct Kept {
    id: String,
    title: String,
    plain_words: String,
    vehicle: String,
    versions: Vec<Version>,
    measurements: Vec<String>,
}

/// The card to choose a piece for, if there is one.
#[derive(Debug, Deserialize)]
pub struct ForCard {
    card: Option<i64>,
}

/// The shelf, alone or to choose a piece for a card.
pub async fn show(State(app): State<Arc<App>>, Query(wanted): Query<ForCard>) -> Result<Html<String>, WebError> {
    let made = app.work(move |app| {
        let card = wanted.card.map(|id| app.data.card(JobId(id))).transpose()?;
        let card = card.map(|card| OnCard { id: card.id, number: card.job.number, revision: card.revision.id.0 });
        let patterns = app.data.patterns()?.into_iter().map(|(_, pattern)| kept(pattern)).collect();
        Ok(PatternsPage { patterns, card })
    });
    Ok(page(&made.await?))
}

/// Which pattern goes on a card.
#[derive(Debug, Deserialize)]
pub struct Put {
    base: i64,
    pattern: String,
}

/// Puts a piece of a pattern on a card, nothing said and nothing measured yet.
pub async fn put_on_card(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(put): Form<Put>,
) -> Result<Response, WebError> {
    let section = app.work(move |app| {
        let missing = || Failure::not_found(format!("there is no pattern {:?} on the shelf", put.pattern));
        let pattern = app.data.pattern(&put.pattern)?.ok_or_else(missing)?;
        let card = app.data.card(JobId(id))?;
        let mut job = card.job;
        let section = add_piece(&mut job, pattern);
        app.data.commit(card.id, RevisionId(put.base), &job, card.waits, &who.0)?;
        Ok(section)
    });
    Ok(Redirect::to(&format!("/card/{id}/section/{}", section.await?)).into_response())
}

/// Adds a section made from a pattern to a job; returns its id.
fn add_piece(job: &mut Job, pattern: Pattern) -> String {
    let same = |id: &str, sections: &[Section]| sections.iter().any(|section| section.id == id);
    let numbered = (2..).map(|number| format!("{}-{number}", pattern.id));
    let free = std::iter::once(pattern.id.clone()).chain(numbered).find(|id| !same(id, &job.sections));
    let id = free.unwrap_or_else(|| pattern.id.clone());
    if job.sections.is_empty() && job.vehicle.name.trim().is_empty() {
        job.vehicle.name.clone_from(&pattern.vehicle);
    }
    job.sections.push(Section {
        id: id.clone(),
        title: pattern.title.clone(),
        hand: None,
        drawn_for: None,
        set: String::new(),
        quantity: 1,
        decision: Default::default(),
        from_pattern: Some(FromPattern {
            id: pattern.id.clone(),
            version: None,
            without: Vec::new(),
            for_version: None,
            from: None,
            to: None,
        }),
        measured: Default::default(),
        said: Some(Said::default()),
        damage: Default::default(),
        joint: pattern.usual_joint(),
        free_ends: Default::default(),
        try_on_reply: None,
        pairs: Vec::new(),
        pieces: Vec::new(),
        seams: Vec::new(),
        places: Vec::new(),
    });
    if !job.patterns.iter().any(|own| own.id == pattern.id) {
        job.patterns.push(pattern);
    }
    id
}

fn kept(pattern: Pattern) -> Kept {
    let line = |measurement: &job::file::Measurement| {
        let check = if measurement.role == job::file::Role::Check { " (check figure)" } else { "" };
        format!("{}{check}: {}", measurement.title, measurement.how)
    };
    Kept {
        measurements: pattern.measurements.iter().map(line).collect(),
        id: pattern.id,
        title: pattern.title,
        plain_words: pattern.plain_words,
        vehicle: pattern.vehicle,
        versions: pattern.versions,
    }
}

/// Which version is drawn, the usual one when absent, and whether it is cut through: that tells a round edge from a folded one.
#[derive(Debug, Deserialize)]
pub struct Drawn {
    version: Option<String>,
    #[serde(default)]
    cut_through: bool,
}

/// The finished piece of a pattern at its own sizes, seen from outside and above or cut through.
pub async fn picture(
    State(app): State<Arc<App>>,
    Path(name): Path<String>,
    Query(drawn): Query<Drawn>,
) -> Result<Response, WebError> {
    let svg = app.work(move |app| {
        let missing = || Failure::not_found(format!("there is no pattern {name:?} on the shelf"));
        let pattern = app.data.pattern(&name)?.ok_or_else(missing)?;
        app.planning.pattern_picture(&pattern, drawn.version.as_deref(), drawn.cut_through)
    });
    Ok(([(header::CONTENT_TYPE, "image/svg+xml")], svg.await?).into_response())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_second_piece_of_one_pattern_gets_an_id_of_its_own_and_brings_the_pattern_once() {
        let pattern = crate::demo::patterns().unwrap().remove(0);
        let mut job = crate::demo::cards().unwrap().remove(0).job;
        (job.sections, job.patterns, job.vehicle.name) = (Vec::new(), Vec::new(), String::new());
        let ids = [0; 2].map(|_| add_piece(&mut job, pattern.clone()));
        assert_eq!(ids, [pattern.id.clone(), format!("{}-2", pattern.id)]);
        assert_eq!(job.patterns, std::slice::from_ref(&pattern));
        assert_eq!(job.vehicle.name, pattern.vehicle);
        let body = serde_json::to_value(&job).unwrap();
        assert_eq!(serde_json::from_value::<Job>(body).unwrap(), job);
    }
}
