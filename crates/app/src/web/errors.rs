//! One page for every failure: what happened, what to do, where to go on.

use super::page;
use crate::failure::{Failure, Kind};
use askama::Template;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// A failure on its way to a browser.
#[derive(Debug)]
pub struct WebError(pub Failure);

impl<E: Into<Failure>> From<E> for WebError {
    fn from(error: E) -> Self {
        Self(error.into())
    }
}

#[derive(Template)]
#[template(path = "error.html")]
struct ErrorPage<'a> {
    heading: &'static str,
    failure: &'a Failure,
    reload: bool,
    wrote_nothing: bool,
}

impl IntoResponse for WebError {
    fn into_response(self) -> Response {
        let heading = match self.0.kind {
            Kind::BadInput => "That cannot be accepted",
            Kind::NotFound => "Not here",
            Kind::Stale => "Changed meanwhile",
            Kind::DoNotMake => "Do not make this yet",
            Kind::Refused => "Not allowed from here",
            Kind::TooLarge => "Too large",
            Kind::Stopped => "Stopped",
            Kind::Machine => "Something failed on this machine",
        };
        let status = StatusCode::from_u16(self.0.status()).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        if status == StatusCode::INTERNAL_SERVER_ERROR {
            eprintln!("{}", self.0);
        }
        let wrote_nothing = matches!(self.0.kind, Kind::BadInput | Kind::Stale | Kind::TooLarge);
        let body = page(&ErrorPage { heading, failure: &self.0, reload: self.0.kind == Kind::Stale, wrote_nothing });
        (status, body).into_response()
    }
}

/// The page for an address that leads nowhere.
pub async fn not_found() -> WebError {
    WebError(Failure::not_found("there is no page at this address").hint("start from the rack"))
}
