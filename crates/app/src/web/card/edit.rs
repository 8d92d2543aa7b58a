//! Edits of the card: each is a revision, and answers with the parts that have changed.

use super::Now;
use super::view::{self, Parts, Refused};
use crate::failure::{Failure, Kind};
use crate::shop_data::Change;
use crate::web::guard::Who;
use crate::web::{App, WebError};
use axum::Json;
use axum::extract::{Extension, Form, Path, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{Html, IntoResponse, Redirect, Response};
use serde::{Deserialize, Serialize};
use std::sync::Arc;
use store::{JobId, RevisionId};

/// Changes as a script sends them.
#[derive(Debug, Deserialize)]
pub struct Sent {
    base: i64,
    changes: Vec<Change>,
}

/// What an edit answers: the revision that stands, and the parts of the page that have changed.
#[derive(Debug, Clone, Serialize)]
pub struct EditAnswer {
    /// Base of the next edit.
    pub revision: i64,
    /// Parts as HTML by the id of the element they fill.
    pub parts: Parts,
}

/// What a refused edit answers; nothing was written.
#[derive(Debug, Clone, Serialize)]
pub struct EditRefusal {
    /// "stale" when somebody else changed the card, "refused" for a value that cannot be read.
    pub kind: &'static str,
    /// What is wrong and what would be accepted.
    pub message: String,
    /// What to do.
    pub hints: Vec<String>,
    /// Id of the field's input; empty when it belongs to none.
    pub field: String,
}

/// One or more fields, from a script as JSON or from a form without one.
pub async fn change(
    State(app): State<Arc<App>>,
    Path((id, section)): Path<(i64, String)>,
    Extension(who): Extension<Who>,
    headers: HeaderMap,
    body: axum::body::Bytes,
) -> Result<Response, WebError> {
    let json = headers.get(header::CONTENT_TYPE).is_some_and(|kind| kind.as_bytes().starts_with(b"application/json"));
    let id = JobId(id);
    if json {
        let sent: Sent = serde_json::from_slice(&body).map_err(|error| Failure::bad_input(error.to_string()))?;
        let answer = app.work(move |app| change_and_answer(app, id, &section, &sent, &who.0)).await;
        return Ok(match answer {
            Ok(answer) => Json(answer).into_response(),
            Err(failure) => refusal(&failure),
        });
    }
    let pairs = form_pairs(&body);
    app.work(move |app| change_by_form(app, id, &section, pairs, &who.0)).await.map_err(WebError)
}

fn change_and_answer(app: &Arc<App>, id: JobId, section: &str, sent: &Sent, who: &str) -> Result<EditAnswer, Failure> {
    app.data.change(id, RevisionId(sent.base), &sent.changes, who)?;
    answer(app, id, section, RevisionId(sent.base))
}

/// The parts that differ from what the page that was based on `base` shows.
fn answer(app: &Arc<App>, id: JobId, section: &str, base: RevisionId) -> Result<EditAnswer, Failure> {
    let now = Now::read(app, id)?;
    let revision = now.card.revision.id;
    let parts = view::parts(app, &now, section)?;
    let known = app.planning.remembered(id, section, base);
    let changed = parts.iter().filter(|(name, html)| known.as_ref().and_then(|known| known.get(*name)) != Some(html));
    let text = revision.0.to_string();
    let changed = changed.map(|(name, html)| (name.clone(), html.replace(super::question::BASE, &text))).collect();
    app.planning.remember(id, section, revision, parts);
    Ok(EditAnswer { revision: revision.0, parts: changed })
}

fn refusal(failure: &Failure) -> Response {
    let status = StatusCode::from_u16(failure.status()).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
    let field = failure.field.as_deref().map(super::fields::field_id).unwrap_or_default();
    let kind = if failure.kind == Kind::Stale { "stale" } else { "refused" };
    let body = EditRefusal { kind, message: failure.message.clone(), hints: failure.hints.clone(), field };
    (status, Json(body)).into_response()
}

/// Reads the pairs of a form; the last value of a name stands, as a tick box sends its "no" first.
fn form_pairs(body: &[u8]) -> Vec<(String, String)> {
    let mut pairs: Vec<(String, String)> = Vec::new();
    for (name, value) in form_urlencoded::parse(body) {
        match pairs.iter_mut().find(|(own, _)| *own == name) {
            Some(pair) => pair.1 = value.into_owned(),
            None => pairs.push((name.into_owned(), value.into_owned())),
        }
    }
    pairs
}

fn change_by_form(
    app: &Arc<App>,
    id: JobId,
    section: &str,
    pairs: Vec<(String, String)>,
    who: &str,
) -> Result<Response, Failure> {
    let base = pairs.iter().find(|(name, _)| name == "base").and_then(|(_, value)| value.parse().ok());
    let base = base.ok_or_else(|| Failure::bad_input("the form names no revision; load the card again"))?;
    let now = Now::read(app, id)?;
    let changes: Vec<Change> =
        pairs.into_iter().filter(|(name, _)| name != "base").map(|(path, value)| Change { path, value }).collect();
    match app.data.change(id, RevisionId(base), &changes, who) {
        Ok(_) => Ok(Redirect::to(&format!("/card/{id}/section/{section}")).into_response()),
        Err(failure) if failure.kind == Kind::BadInput => {
            let refused: Vec<Refused> = changes
                .into_iter()
                .map(|change| Refused {
                    fault: if failure.field.as_deref() == Some(&change.path) {
                        failure.message.clone()
                    } else {
                        String::new()
                    },
                    path: change.path,
                    value: change.value,
                })
                .collect();
            let html = view::whole(app, &now, section, &refused)?;
            Ok((StatusCode::UNPROCESSABLE_ENTITY, Html(html)).into_response())
        }
        Err(failure) => Err(failure),
    }
}

/// What undo and redo are told.
#[derive(Debug, Deserialize)]
pub struct Step {
    base: i64,
    #[serde(default)]
    section: String,
}

/// Takes the last change back.
pub async fn undo(
    state: State<Arc<App>>,
    path: Path<i64>,
    who: Extension<Who>,
    headers: HeaderMap,
    form: Form<Step>,
) -> Result<Response, WebError> {
    step(state, path, who, headers, form, |app, id, base, who| {
        app.data.store.undo(id, base, crate::shop_data::signed(who)).map(drop).map_err(Failure::from)
    })
    .await
}

/// Makes the change that was taken back last again.
pub async fn redo(
    state: State<Arc<App>>,
    path: Path<i64>,
    who: Extension<Who>,
    headers: HeaderMap,
    form: Form<Step>,
) -> Result<Response, WebError> {
    step(state, path, who, headers, form, |app, id, base, who| {
        app.data.store.redo(id, base, crate::shop_data::signed(who)).map(drop).map_err(Failure::from)
    })
    .await
}

async fn step(
    State(app): State<Arc<App>>,
    Path(id): Path<i64>,
    Extension(who): Extension<Who>,
    headers: HeaderMap,
    Form(form): Form<Step>,
    take: fn(&Arc<App>, JobId, RevisionId, &str) -> Result<(), Failure>,
) -> Result<Response, WebError> {
    let wants_json = headers.get(header::ACCEPT).is_some_and(|kind| kind.as_bytes().starts_with(b"application/json"));
    let (id, base) = (JobId(id), RevisionId(form.base));
    let section = form.section.clone();
    let done = app.work(move |app| {
        take(app, id, base, &who.0)?;
        if wants_json { answer(app, id, &section, base).map(Some) } else { Ok(None) }
    });
    match done.await {
        Ok(Some(answer)) => Ok(Json(answer).into_response()),
        Ok(None) => Ok(Redirect::to(&format!("/card/{id}/section/{}", form.section)).into_response()),
        Err(failure) if wants_json => Ok(refusal(&failure)),
        Err(failure) => Err(WebError(failure)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ticked_box_wins_over_the_no_before_it() {
        let pairs = form_pairs(b"a.b=no&a.b=yes&note=1+5%2F8%22&base=7");
        let pair = |name: &str, value: &str| (name.to_owned(), value.to_owned());
        assert_eq!(pairs, [pair("a.b", "yes"), pair("note", "1 5/8\""), pair("base", "7")]);
    }
}
