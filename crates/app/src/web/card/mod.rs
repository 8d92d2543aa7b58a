//! The job card: nine questions about one section of a job, its edits and its history.

mod edit;
pub mod fields;
mod heat;
mod other;
mod question;
mod questions;
mod seams;
mod section_work;
mod view;
mod warp;

pub use edit::{change, redo, undo};
pub use heat::work_out as work_out_heat;
pub use other::{go_back, history, move_on, times};
pub use seams::look as look_for_seams;
pub use view::{ConcernView, concern_views};
pub use warp::{accept as accept_order, work_out as work_out_warp};

use super::{App, WebError, page};
use crate::failure::Failure;
use crate::shop_data::Card;
use axum::extract::{Path, State};
use axum::response::{Html, IntoResponse, Redirect, Response};
use job::file::Section;
use job::plan::Plan;
use std::sync::Arc;
use store::{JobId, Steps};

/// Everything a page about one card needs.
pub struct Now {
    /// The card.
    pub card: Card,
    /// Its plan.
    pub plan: Arc<Plan>,
    /// What can be undone.
    pub steps: Steps,
}

impl Now {
    /// Reads and plans a card.
    ///
    /// # Errors
    /// No such card.
    pub fn read(app: &Arc<App>, id: JobId) -> Result<Self, Failure> {
        let card = app.data.card(id)?;
        let plan = app.planning.plan(&card);
        let steps = app.data.store.steps(id)?;
        Ok(Self { card, plan, steps })
    }

    /// The section of the job with this id.
    ///
    /// # Errors
    /// No such section.
    pub fn section(&self, id: &str) -> Result<&Section, Failure> {
        let sections = &self.card.job.sections;
        sections.iter().find(|section| section.id == id).ok_or_else(|| {
            Failure::not_found(format!("card {} has no piece {id:?}", self.card.job.number))
                .hint("open the card from the rack")
        })
    }
}

/// The card opens at its first piece.
pub async fn show(State(app): State<Arc<App>>, Path(id): Path<i64>) -> Result<Response, WebError> {
    let card = app.work(move |app| app.data.card(JobId(id))).await?;
    match card.job.sections.first() {
        Some(section) => Ok(Redirect::to(&format!("/card/{id}/section/{}", section.id)).into_response()),
        None => {
            let html = app.work(move |app| view::whole(app, &Now::read(app, JobId(id))?, "", &[])).await?;
            Ok(Html(html).into_response())
        }
    }
}

/// The nine questions about one piece.
pub async fn show_section(
    State(app): State<Arc<App>>,
    Path((id, section)): Path<(i64, String)>,
) -> Result<Html<String>, WebError> {
    let html = app.work(move |app| {
        let now = Now::read(app, JobId(id))?;
        now.section(&section)?;
        view::whole(app, &now, &section, &[])
    });
    Ok(Html(html.await?))
}

/// Renders a page of the card that is not the card itself.
fn other_page(template: &impl askama::Template) -> Html<String> {
    page(template)
}
