//! The pattern shelf: choose by picture, plain words beside.

use super::{App, WebError, page};
use crate::failure::Failure;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::header;
use axum::response::{Html, IntoResponse, Response};
use job::file::{Pattern, Version};
use serde::Deserialize;
use std::sync::Arc;

#[derive(Template)]
#[template(path = "patterns.html")]
struct PatternsPage {
    patterns: Vec<Kept>,
}

struct Kept {
    id: String,
    title: String,
    plain_words: String,
    vehicle: String,
    versions: Vec<Version>,
    measurements: Vec<String>,
}

/// The shelf.
pub async fn show(State(app): State<Arc<App>>) -> Result<Html<String>, WebError> {
    let patterns = app.work(|app| app.data.patterns()).await?;
    let patterns = patterns.into_iter().map(|(_, pattern)| kept(pattern)).collect();
    Ok(page(&PatternsPage { patterns }))
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
