//! Warp of the panel round a section: worked out as long work, shown under question 6 when it is done.

use super::Now;
use crate::failure::Failure;
use crate::planning::WarpFound;
use crate::web::figures::{Cell, Figure, Table, escape};
use crate::web::guard::Who;
use crate::web::{App, WebError};
use axum::extract::{Extension, Path, State};
use axum::response::Redirect;
use job::plan::{SectionPlan, heat_of_section, warp_of_section};
use std::fmt::Write as _;
use std::sync::Arc;
use store::JobId;
use weld::shrinkage::Range;
use weld::warp::{OrderFigures, WarpSettings};

/// Name of the work, as shown.
pub const WORK: &str = "working out the warp";

/// Starts the work; the card tells how far it is.
pub async fn work_out(
    State(app): State<Arc<App>>,
    Path((id, section)): Path<(i64, String)>,
) -> Result<Redirect, WebError> {
    let page = format!("/card/{id}/section/{section}");
    let work = app.work(move |app| {
        let now = Now::read(app, JobId(id))?;
        let own = now.section(&section)?.clone();
        let plan = now.plan.sections.iter().find(|plan| plan.id == section).cloned();
        let plan = plan.ok_or_else(|| Failure::bad_input(format!("{} is not planned", own.title)))?;
        Ok((now.card.job.clone(), own, app.planning.settings(), plan))
    });
    let (job, own, settings, plan) = work.await?;
    let keeper = Arc::clone(&app);
    let search = app.long_work.submit(WORK, "the warp stands under question 6", move |progress, cancel| {
        // the heat first: it takes seconds, and stands even when the warp is stopped
        let heat = heat_of_section(&job, &own, &plan, &settings, &progress.part(0.0, 0.08), cancel)?;
        keeper.planning.keep_heat(JobId(id), &job, &own, &plan, heat);
        let rest = progress.part(0.08, 1.0);
        let found = warp_of_section(&job, &own, &settings, &WarpSettings::default(), &rest, cancel)?;
        cancel.check()?;
        keeper.planning.keep_warp(JobId(id), &job, &own, &plan, found);
        Ok(())
    });
    Ok(Redirect::to(&app.long_work.wait_a_little(search, &page, "q6").await))
}

/// Takes the order that was found into the job, with the warp it came with.
pub async fn accept(
    State(app): State<Arc<App>>,
    Path((id, section)): Path<(i64, String)>,
    Extension(who): Extension<Who>,
) -> Result<Redirect, WebError> {
    let back = format!("/card/{id}/section/{section}#q6");
    let work = app.work(move |app| {
        let now = Now::read(app, JobId(id))?;
        let own = now.section(&section)?.clone();
        let plan = now.plan.sections.iter().find(|plan| plan.id == section);
        let found = plan.and_then(|plan| app.planning.warp(JobId(id), &now.card.job, &own, plan));
        let order = match found.as_deref() {
            Some(Ok(found)) => found.order.clone(),
            _ => return Err(Failure::bad_input("the warp of this section is not worked out; work it out first")),
        };
        let mut job = now.card.job.clone();
        for own in job.sections.iter_mut().filter(|own| own.id == section) {
            own.joint.accepted = Some(order.clone());
        }
        app.data.commit(JobId(id), now.card.revision.id, &job, now.card.waits, &who.0)
    });
    work.await?;
    Ok(Redirect::to(&back))
}

/// What stands under question 6: the button, and what was worked out for the section as it is now.
pub fn html(id: JobId, plan: &SectionPlan, found: Option<&WarpFound>, is_pending: bool) -> String {
    let place = format!("/card/{}/section/{}", id.0, escape(&plan.id));
    if is_pending {
        return "<p>The warp is being worked out; how far it is stands at the top, and the result here when the card is loaded again.</p>".into();
    }
    let mut html = format!(
        "<form method=\"post\" action=\"{place}/warp\"><p class=\"actions\"><button class=\"button\">Work out the warp</button></p></form>"
    );
    match found {
        None => html.push_str(
            "<p>How far the panel leaves its shape, and the order that warps it least; nothing has been worked out yet. It takes a minute or two, the heat of the panel with it.</p>",
        ),
        Some(Err(why)) => {
            let _ = write!(html, "<p role=\"alert\">No warp: {}.</p>", escape(why));
        }
        Some(Ok(found)) => {
            let _ = write!(html, "<p>{}.</p>", escape(&found.sentence()));
            let _ = write!(html, "<p>{}</p>", escape(&found.result.oil_canning));
            let _ = write!(html, "<p>{}.</p>", escape(&found.lap_or_butt()));
            html.push_str("<ul class=\"notes\">");
            for taken in found.taken.iter().chain(&found.planish()) {
                let _ = write!(html, "<li>{}</li>", escape(taken));
            }
            for concern in &found.result.concerns {
                let _ = write!(html, "<li>{} {}</li>", escape(&concern.what), escape(&concern.what_to_do));
            }
            html.push_str("</ul>");
            if !found.order.weld.is_empty() {
                let _ = write!(
                    html,
                    "<form method=\"post\" action=\"{place}/warp/order\"><button class=\"button\">Weld in this order</button></form>"
                );
            }
        }
    }
    html
}

/// The orders side by side, for the tables of question 6.
pub fn tables(found: Option<&WarpFound>) -> Vec<Table> {
    let Some(Ok(found)) = found else { return Vec::new() };
    let result = &found.result;
    let rows = [
        ("end to end", &result.end_to_end),
        ("habit of the trade: middle outwards, skip, cool between", &result.habit),
        ("found", &result.found),
    ];
    vec![Table {
        caption: format!("Orders of the welds of {}: {} tried", found.piece, result.orders_tried),
        head: vec!["order", "warp, mm", "buckling margin", "gap out of its limit", "pauses"],
        rows: rows.iter().map(|(name, figures)| row(name, figures)).collect(),
    }]
}

fn row(name: &str, figures: &OrderFigures) -> Vec<Cell> {
    let spread = |range: Range, digits: usize| {
        format!("{:.digits$} ({:.digits$} to {:.digits$})", range.middle, range.low, range.high)
    };
    let pauses = figures.table.pauses_s;
    vec![
        Cell::words(name),
        Cell::number(if figures.settled {
            format!("{:.1}", figures.warp_height_mm)
        } else {
            format!("no resting shape ({:.0} % of the shrinkage applied)", 100.0 * figures.share)
        }),
        Cell::number(figures.margin.map_or_else(|| "nothing pushes".into(), |margin| spread(margin, 1))),
        Cell::number(if figures.score.gap_excess_mm > 0.005 {
            format!("{:.2} mm", figures.score.gap_excess_mm)
        } else {
            "none".into()
        }),
        Cell::number(if pauses < 1.0 { "none".into() } else { format!("{:.0} min", (pauses / 60.0).ceil()) }),
    ]
}

/// Workings of the shrinkage.
pub fn figures(found: Option<&WarpFound>) -> Vec<Figure> {
    let Some(Ok(found)) = found else { return Vec::new() };
    found.result.workings.iter().map(Figure::named).collect()
}
