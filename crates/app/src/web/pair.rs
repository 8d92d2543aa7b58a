//! Letting another machine in: type the code that the program shows, once.

use super::{App, WebError, guard, page};
use crate::failure::Failure;
use askama::Template;
use axum::extract::{Form, State};
use axum::http::header;
use axum::response::{Html, IntoResponse, Redirect, Response};
use serde::Deserialize;
use std::sync::Arc;

#[derive(Template)]
#[template(path = "pair.html")]
struct PairPage {
    fault: String,
}

/// What is typed.
#[derive(Debug, Deserialize)]
pub struct Typed {
    code: String,
    #[serde(default)]
    name: String,
}

/// The form.
pub async fn form() -> Html<String> {
    page(&PairPage { fault: String::new() })
}

/// Checks the code and remembers the machine.
pub async fn pair(State(app): State<Arc<App>>, Form(typed): Form<Typed>) -> Result<Response, WebError> {
    match app.guard.pair(&typed.code, &typed.name) {
        Ok(session) => {
            let cookie = format!("{}={session}; Path=/; HttpOnly; SameSite=Strict; Max-Age=2592000", guard::COOKIE);
            Ok(([(header::SET_COOKIE, cookie)], Redirect::to("/")).into_response())
        }
        Err(Failure { message, .. }) => {
            Ok((axum::http::StatusCode::FORBIDDEN, page(&PairPage { fault: message })).into_response())
        }
    }
}
