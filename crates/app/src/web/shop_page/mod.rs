//! The shop's own page: who it is, what an hour costs, what stands in the rack and on the floor.
//!
//! Every change is a revision of the shop's settings; prices and plans of every card follow from then on.

mod read;
mod settings;
mod show;

use super::card::fields::{Kind, field_id};
use super::guard::Who;
use super::rack::when;
use super::{App, WebError, page};
use crate::failure::{Failure, Kind as FailureKind};
use crate::shop_data::signed;
use askama::Template;
use axum::extract::multipart::Multipart;
use axum::extract::{Extension, Form, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Redirect, Response};
use read::{Fault, Typed};
use serde::Deserialize;
use shop::ShopSettings;
use std::sync::Arc;
use store::{RevisionId, Steps, StoreError, Subject};

/// Longest file of settings, bytes.
const LONGEST_FILE: usize = 1024 * 1024;

#[derive(Template)]
#[template(path = "shop.html")]
struct ShopPage {
    name: String,
    base: i64,
    kept: bool,
    faults: Vec<Linked>,
    groups: Vec<show::Headed>,
    learned: Vec<String>,
    can_undo: bool,
    can_redo: bool,
    lines: Vec<Line>,
}

/// A fault with the field to go to.
struct Linked {
    link: String,
    message: String,
}

struct Line {
    sequence: i64,
    when: String,
    who: String,
    what: String,
}

/// Whether a change was just kept.
#[derive(Debug, Deserialize)]
pub struct Shown {
    #[serde(default)]
    kept: String,
}

/// The settings as they stand.
pub async fn form(State(app): State<Arc<App>>, Query(shown): Query<Shown>) -> Result<Html<String>, WebError> {
    let made = app.work(move |app| whole(app, &app.data.settings()?, !shown.kept.is_empty(), None, &[])).await?;
    Ok(page(&made))
}

fn whole(
    app: &Arc<App>,
    settings: &ShopSettings,
    kept: bool,
    typed: Option<&Typed>,
    faults: &[Fault],
) -> Result<ShopPage, Failure> {
    let (base, steps, mut lines) = match app.data.store.current(Subject::Shop) {
        Ok(record) => {
            let steps = app.data.store.steps(Subject::Shop)?;
            (record.revision.id.0, steps, app.data.store.history(Subject::Shop)?)
        }
        Err(StoreError::NotFound { .. }) => (0, Steps { can_undo: false, can_redo: false }, Vec::new()),
        Err(error) => return Err(error.into()),
    };
    lines.reverse();
    let lines = lines.into_iter().take(20);
    Ok(ShopPage {
        name: settings.name.clone(),
        base,
        kept,
        faults: faults.iter().map(linked).collect(),
        groups: show::groups(settings, typed, faults),
        learned: settings
            .learned
            .iter()
            .map(|(kind, factor)| format!("{} × {factor:.2}", kind.replace('-', " ")))
            .collect(),
        can_undo: steps.can_undo,
        can_redo: steps.can_redo,
        lines: lines
            .map(|line| Line { sequence: line.sequence, when: when(line.at), who: line.who, what: line.what })
            .collect(),
    })
}

fn linked(fault: &Fault) -> Linked {
    let link = if fault.path.is_empty() { String::new() } else { format!("#{}", field_id(&fault.path)) };
    Linked { link, message: fault.message.clone() }
}

/// Keeps what was typed, all or nothing.
pub async fn keep(
    State(app): State<Arc<App>>,
    Extension(who): Extension<Who>,
    body: axum::body::Bytes,
) -> Result<Response, WebError> {
    // the last value of a name stands, as a tick box sends its "no" first
    let typed: Typed =
        form_urlencoded::parse(&body).map(|(name, value)| (name.into_owned(), value.into_owned())).collect();
    app.work(move |app| {
        let standing = app.data.settings()?;
        match read::settings(&standing, &typed) {
            Ok(settings) => {
                let base = typed.get("base").and_then(|base| base.parse().ok()).map(RevisionId);
                let base = base.ok_or_else(|| Failure::bad_input("the form names no revision; load the page again"))?;
                app.keep_settings_from(base, settings, &who.0)?;
                Ok(Redirect::to("/shop?kept=yes").into_response())
            }
            Err(faults) => {
                let made = whole(app, &standing, false, Some(&typed), &faults)?;
                Ok((StatusCode::UNPROCESSABLE_ENTITY, page(&made)).into_response())
            }
        }
    })
    .await
    .map_err(WebError)
}

/// The settings as the file that the command line takes.
pub async fn save(State(app): State<Arc<App>>) -> Result<Response, WebError> {
    let text =
        app.work(|app| app.data.settings()?.write_toml().map_err(|error| Failure::machine(error.to_string()))).await?;
    let headers = [
        (header::CONTENT_TYPE, "application/toml; charset=utf-8"),
        (header::CONTENT_DISPOSITION, "attachment; filename=\"shop.toml\""),
    ];
    Ok((headers, text).into_response())
}

/// Takes the settings of a file in the place of those that stand.
pub async fn take(
    State(app): State<Arc<App>>,
    Extension(who): Extension<Who>,
    mut form: Multipart,
) -> Result<Response, WebError> {
    let unread = |error: axum::extract::multipart::MultipartError| {
        Failure::bad_input(format!("the file could not be read: {}", error.body_text()))
    };
    let (mut base, mut text) = (None, None);
    while let Some(part) = form.next_field().await.map_err(unread)? {
        let name = part.name().unwrap_or_default().to_owned();
        let bytes = part.bytes().await.map_err(unread)?;
        if bytes.len() > LONGEST_FILE {
            let message = "the file is larger than 1 MiB; a file of settings is a short text";
            return Err(Failure::new(FailureKind::TooLarge, message).into());
        }
        let own = String::from_utf8(bytes.to_vec())
            .map_err(|_| Failure::bad_input("the file is not a text in UTF-8; choose a shop.toml"))?;
        match name.as_str() {
            "base" => base = own.trim().parse().ok().map(RevisionId),
            "file" => text = Some(own),
            _ => {}
        }
    }
    let (Some(base), Some(text)) = (base, text.filter(|text| !text.trim().is_empty())) else {
        return Err(Failure::bad_input("no file was chosen; choose a shop.toml").into());
    };
    app.work(move |app| {
        let settings = ShopSettings::read_toml(&text)
            .map_err(|error| Failure::bad_input(error.to_string()).in_place("the file"))?;
        app.keep_settings_from(base, settings, &who.0)
    })
    .await?;
    Ok(Redirect::to("/shop?kept=yes").into_response())
}

/// What undo and redo are told.
#[derive(Debug, Deserialize)]
pub struct Step {
    base: i64,
    step: String,
}

/// Takes the last change back, or makes it again.
pub async fn step(
    State(app): State<Arc<App>>,
    Extension(who): Extension<Who>,
    Form(form): Form<Step>,
) -> Result<Response, WebError> {
    app.work(move |app| {
        let base = RevisionId(form.base);
        match form.step.as_str() {
            "undo" => app.data.store.undo(Subject::Shop, base, signed(&who.0))?,
            "redo" => app.data.store.redo(Subject::Shop, base, signed(&who.0))?,
            other => return Err(Failure::bad_input(format!("{other:?} is no step; undo and redo are"))),
        };
        app.planning.set_settings(app.data.settings()?);
        Ok(())
    })
    .await?;
    Ok(Redirect::to("/shop?kept=yes").into_response())
}
