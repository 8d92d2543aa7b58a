//! Long work that the page of a section asks for: what it is done with, and what is kept of it.

use super::Now;
use crate::failure::Failure;
use crate::web::{App, WebError};
use axum::response::Redirect;
use job::file::{Job, Section};
use job::plan::SectionPlan;
use numerics::{Cancel, Cancelled, Progress};
use shop::ShopSettings;
use std::sync::Arc;
use store::JobId;

/// A section as it stood when its work was asked for.
#[derive(Debug)]
pub(super) struct Asked {
    pub(super) id: JobId,
    pub(super) job: Job,
    pub(super) section: Section,
    pub(super) plan: SectionPlan,
    pub(super) shop: Arc<ShopSettings>,
}

/// What the work is called, where its result stands, and under which question.
#[derive(Debug, Clone, Copy)]
pub(super) struct Name {
    pub(super) work: &'static str,
    pub(super) result: &'static str,
    pub(super) question: &'static str,
}

/// Address of the page of a section.
pub(super) fn page_of(id: JobId, section: &str) -> String {
    format!("/card/{}/section/{section}", id.0)
}

/// Submits the work once `check` has let the section through; the card tells how far it is.
pub(super) async fn submit(
    app: Arc<App>,
    (id, section): (i64, String),
    name: Name,
    check: impl FnOnce(&Asked) -> Result<(), Failure> + Send + 'static,
    work: impl FnOnce(&Keeper, &Asked, &Progress, &Cancel) -> Result<(), Cancelled> + Send + 'static,
) -> Result<Redirect, WebError> {
    let (id, page) = (JobId(id), page_of(JobId(id), &section));
    let asked = app.work(move |app| {
        let now = Now::read(app, id)?;
        let own = now.section(&section)?.clone();
        let plan = now.plan.sections.iter().find(|plan| plan.id == section).cloned();
        let plan = plan.ok_or_else(|| Failure::bad_input(format!("{} is not planned", own.title)))?;
        let asked = Asked { id, job: now.card.job.clone(), section: own, plan, shop: app.planning.settings() };
        check(&asked)?;
        Ok(asked)
    });
    let asked = asked.await?;
    let keeper = Keeper(Arc::clone(&app));
    let of = format!("{}, {}", asked.job.number, asked.section.title);
    let submitted = app
        .long_work
        .submit((&page, &of), name.work, name.result, move |progress, cancel| work(&keeper, &asked, progress, cancel));
    Ok(Redirect::to(&app.long_work.wait_a_little(submitted, &page, name.question).await))
}

/// Keeps results as long as the shop's settings are those they were worked out with.
#[derive(Debug)]
pub(super) struct Keeper(Arc<App>);

impl Keeper {
    pub(super) fn keep(&self, asked: &Asked, put: impl FnOnce(&crate::planning::Planning)) {
        if Arc::ptr_eq(&asked.shop, &self.0.planning.settings()) {
            put(&self.0.planning);
        }
    }

    /// Is the heat of the section kept as it stands?
    pub(super) fn has_heat(&self, asked: &Asked) -> bool {
        let planning = &self.0.planning;
        let kept = || planning.heat(asked.id, &asked.job, &asked.section, &asked.plan).is_some();
        Arc::ptr_eq(&asked.shop, &planning.settings()) && kept()
    }
}
