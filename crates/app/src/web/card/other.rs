//! The rest of the card: its history, its place on the rack, minutes really taken.

use super::other_page;
use crate::failure::Failure;
use crate::shop_data::signed;
use crate::waiting::Waits;
use crate::web::guard::Who;
use crate::web::rack::when;
use crate::web::{App, WebError};
use askama::Template;
use axum::extract::{Extension, Form, Path, State};
use axum::response::{Html, IntoResponse, Redirect, Response};
use serde::Deserialize;
use std::sync::Arc;
use store::{JobId, RevisionId};

#[derive(Template)]
#[template(path = "history.html")]
struct HistoryPage {
    id: JobId,
    revision: i64,
    number: String,
    title: String,
    lines: Vec<Line>,
}

struct Line {
    id: i64,
    sequence: i64,
    when: String,
    who: String,
    what: String,
    current: bool,
}

/// Every revision of a card, newest first.
pub async fn history(State(app): State<Arc<App>>, Path(id): Path<i64>) -> Result<Html<String>, WebError> {
    let page = app.work(move |app| {
        let card = app.data.card(JobId(id))?;
        let mut lines: Vec<Line> = app
            .data
            .store
            .history(card.id)?
            .into_iter()
            .map(|line| Line {
                id: line.id.0,
                sequence: line.sequence,
                when: when(line.at),
                who: line.who,
                what: line.what,
                current: line.id == card.revision.id,
            })
            .collect();
        lines.reverse();
        Ok(HistoryPage {
            id: card.id,
            revision: card.revision.id.0,
            number: card.job.number,
            title: card.job.title,
            lines,
        })
    });
    Ok(other_page(&page.await?))
}

/// Which revision to take up again.
#[derive(Debug, Deserialize)]
pub struct Target {
    base: i64,
    target: i64,
}

/// Takes up an earlier revision.
pub async fn go_back(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(form): Form<Target>,
) -> Result<Response, WebError> {
    app.work(move |app| {
        let (base, target) = (RevisionId(form.base), RevisionId(form.target));
        Ok(app.data.store.go_back(JobId(id), base, target, signed(&who.0))?)
    })
    .await?;
    Ok(Redirect::to(&format!("/card/{id}")).into_response())
}

/// Where the card goes on the rack.
#[derive(Debug, Deserialize)]
pub struct Move {
    base: i64,
    waits: String,
}

/// Moves a card on the rack, as a person says. What the job itself shows (measurements missing, declined) stands.
pub async fn move_on(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(form): Form<Move>,
) -> Result<Response, WebError> {
    app.work(move |app| {
        let waits = Waits::from_words(&form.waits)
            .ok_or_else(|| Failure::bad_input(format!("{:?} is no place on the rack", form.waits)))?;
        let card = app.data.card(JobId(id))?;
        let stands = Waits::of(&card.job, Some(waits));
        if stands != waits {
            let message = format!("the card cannot be {:?}: it is {:?}", waits.words(), stands.words());
            return Err(Failure::bad_input(message).hint("enter what is missing, or change what we do about the piece"));
        }
        app.data.commit(card.id, RevisionId(form.base), &card.job, Some(waits), &who.0)
    })
    .await?;
    Ok(Redirect::to(&format!("/card/{id}")).into_response())
}

/// Minutes really taken for one operation.
#[derive(Debug, Deserialize)]
pub struct Taken {
    section: String,
    operation: String,
    minutes: String,
}

/// Writes minutes down; the shop learns from them.
pub async fn times(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    Form(form): Form<Taken>,
) -> Result<Response, WebError> {
    let section = form.section.clone();
    app.work(move |app| {
        let (kind, piece) = form.operation.split_once('|').unwrap_or((&form.operation, ""));
        let minutes: f64 = form.minutes.trim().replace(',', ".").parse().map_err(|_| {
            Failure::bad_input(format!(
                "{:?} is not a number of minutes; more than 0 and at most 10080 is accepted",
                form.minutes
            ))
        })?;
        let piece = if piece.is_empty() { &form.section } else { piece };
        app.data.store.record_actual(JobId(id), piece, kind, minutes, signed(&who.0))?;
        app.learn()
    })
    .await?;
    Ok(Redirect::to(&format!("/card/{id}/section/{section}#q7")).into_response())
}
