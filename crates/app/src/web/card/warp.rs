//! Warp of the panel round a section: worked out as long work, shown under question 6 when it is done.

use super::question::drawing_html;
use super::section_work::{self, Asked, Keeper, Name};
use super::{Now, heat};
use crate::failure::Failure;
use crate::planning::WarpFound;
use crate::web::figures::{Cell, Figure, Table, escape};
use crate::web::guard::Who;
use crate::web::{App, WebError};
use axum::extract::{Extension, Path, State};
use axum::response::Redirect;
use job::plan::{SectionPlan, warp_of_section};
use numerics::{Cancel, Cancelled, Progress};
use packet::documents::Reader;
use std::fmt::Write as _;
use std::sync::Arc;
use store::JobId;
use weld::shrinkage::Range;
use weld::warp::shape_map::ShapeMap;
use weld::warp::{OrderFigures, WarpSettings};

/// Name of the work, as shown.
pub const WORK: &str = "working out the warp";

/// Starts the work; the card tells how far it is.
pub async fn work_out(State(app): State<Arc<App>>, Path(place): Path<(i64, String)>) -> Result<Redirect, WebError> {
    let name = Name { work: WORK, result: "the warp stands under question 6", question: "q6" };
    section_work::submit(app, place, name, |_| Ok(()), find).await
}

fn find(keeper: &Keeper, asked: &Asked, progress: &Progress, cancel: &Cancel) -> Result<(), Cancelled> {
    // the heat first, where it does not stand yet: it takes seconds, and stands even when the warp is stopped
    if !keeper.has_heat(asked) {
        heat::find(keeper, asked, &progress.part(0.0, 0.08), cancel)?;
    }
    let Asked { id, job, section, plan, shop } = asked;
    let found = warp_of_section(job, section, shop, &WarpSettings::default(), &progress.part(0.08, 1.0), cancel)?;
    cancel.check()?;
    keeper.keep(asked, |planning| planning.keep_warp(*id, job, section, plan, found));
    Ok(())
}

/// Takes the order that was found into the job, with the warp it came with.
pub async fn accept(
    State(app): State<Arc<App>>,
    Path((id, section)): Path<(i64, String)>,
    Extension(who): Extension<Who>,
) -> Result<Redirect, WebError> {
    let back = format!("{}#q6", section_work::page_of(JobId(id), &section));
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
pub fn html(id: JobId, plan: &SectionPlan, reader: Reader, found: Option<&WarpFound>, is_pending: bool) -> String {
    let place = escape(&section_work::page_of(id, &plan.id));
    let mut html = String::new();
    if is_pending {
        html.push_str("<p>The warp is being worked out; how far it is stands at the top, and the result here when the card is loaded again.</p>");
    } else {
        let _ = write!(
            html,
            "<form method=\"post\" action=\"{place}/warp\"><p class=\"actions\"><button class=\"button\">Work out the warp</button></p></form>"
        );
    }
    // what was accepted outlasts what is kept of the work
    let accepted = plan.joint.effect.as_ref().filter(|_| !matches!(found, Some(Ok(_))));
    if let Some((effect, map)) = accepted.zip(plan.joint.maps.first()) {
        html += &picture((plan, reader), &map.piece, effect.shape.as_ref(), "in the order that was accepted");
    }
    match found {
        None if is_pending => {}
        None => html.push_str(
            "<p>How far the panel leaves its shape, and the order that warps it least; nothing has been worked out yet. It takes a minute or two, the heat of the panel with it.</p>",
        ),
        Some(Err(why)) => {
            let _ = write!(html, "<p role=\"alert\">No warp: {}.</p>", escape(why));
        }
        Some(Ok(found)) => {
            let _ = write!(html, "<p>{}.</p>", escape(&found.sentence()));
            let effect = found.order.effect.as_ref();
            let shape = effect.and_then(|effect| effect.shape.as_ref());
            html += &picture((plan, reader), &found.piece, shape, "in the order found");
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
            html += &picture((plan, reader), &found.piece, found.habit_shape.as_ref(), "by the habit of the trade, to compare");
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

/// Size of the picture, mm.
const SIZE_MM: [f64; 2] = [180.0, 125.0];

/// The panel as it comes to rest; nothing where no shape is known.
fn picture((plan, reader): (&SectionPlan, Reader), piece: &str, map: Option<&ShapeMap>, order: &str) -> String {
    let own = plan.pieces.iter().find(|own| own.name == piece || own.name_in_job() == piece);
    let Some((own, map)) = own.zip(map) else { return String::new() };
    let reader = reader.lengths();
    let view = packet::drawings::warp_shape_view(own, map, plan.hand, reader, SIZE_MM);
    // the figures beside the drawing are off the side of a phone
    let far = packet::drawings::warp_shape_words(map, reader);
    drawing_html(&view, format!("{piece}: how it lies once it is welded {order}; {far}"))
}

/// The orders side by side, for the tables of question 6.
pub fn tables(found: Option<&WarpFound>) -> Vec<Table> {
    let Some(Ok(found)) = found else { return Vec::new() };
    let result = &found.result;
    let rows = [
        ("end to end, in one go without a pause", &result.end_to_end),
        ("habit of the trade, divided anew: middle outwards, skip, cool between", &result.habit),
        ("found", &result.found),
    ];
    vec![Table {
        caption: format!(
            "Orders of the welds of {}: {} tried. The habit here is divided as its row says, with the pauses of this panel: not the list of welds above, whose pauses are for wide sheet",
            found.piece, result.orders_tried
        ),
        head: vec!["order", "warp, mm", "buckling margin", "gap out of its limit", "pitch, mm", "pauses"],
        rows: rows.iter().map(|(name, figures)| row(name, figures)).collect(),
    }]
}

fn row(name: &str, figures: &OrderFigures) -> Vec<Cell> {
    let spread = |range: Range, digits: usize| {
        format!("{:.digits$} ({:.digits$} to {:.digits$})", range.middle, range.low, range.high)
    };
    let pauses = figures.table.pauses_s;
    // the habit of the map on the papers may be divided otherwise: said, so that the two are not taken for one
    let pitch = figures.run_mm.map_or_else(
        || format!("{:.0}", figures.pitch_mm),
        |run_mm| format!("tacks {:.0}, runs to {run_mm:.0}", figures.pitch_mm),
    );
    vec![
        Cell::words(name),
        Cell::number(
            figures.warp_height_mm.map_or_else(|| figures.no_rest_words(), |height_mm| format!("{height_mm:.1}")),
        ),
        Cell::number(figures.margin.map_or_else(|| "nothing pushes".into(), |margin| spread(margin, 2))),
        Cell::number(if figures.score.gap_excess_mm > 0.005 {
            let first =
                figures.gap_out.map_or_else(String::new, |out| format!(", first after weld {}", out.after_weld));
            format!("{:.2} mm{first}", figures.score.gap_excess_mm)
        } else {
            "none".into()
        }),
        Cell::number(pitch),
        Cell::number(if pauses < 1.0 { "none".into() } else { format!("{:.0} min", (pauses / 60.0).ceil()) }),
    ]
}

/// Workings of the shrinkage.
pub fn figures(found: Option<&WarpFound>) -> Vec<Figure> {
    let Some(Ok(found)) = found else { return Vec::new() };
    found.result.workings.iter().map(Figure::named).collect()
}
