//! How hot the panel round a section gets: worked out as long work (seconds), shown under question 6 when it is done.

use super::Now;
use crate::failure::Failure;
use crate::planning::HeatFound;
use crate::web::figures::{Cell, Table, escape};
use crate::web::{App, WebError};
use axum::extract::{Path, State};
use axum::response::Redirect;
use job::plan::{HeatOfSection, SectionPlan, heat_of_section};
use std::fmt::Write as _;
use std::sync::Arc;
use store::JobId;
use weld::heat_map::{BESIDE_MM, ERROR_BESIDE, HeatMap};

/// Name of the work, as shown.
pub const WORK: &str = "working out the heat";
/// Size of the picture, mm.
const SIZE_MM: [f64; 2] = [180.0, 120.0];

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
    let search = app.long_work.submit(WORK, "the heat stands under question 6", move |progress, cancel| {
        let found = heat_of_section(&job, &own, &plan, &settings, progress, cancel)?;
        cancel.check()?;
        keeper.planning.keep_heat(JobId(id), &job, &own, &plan, found);
        Ok(())
    });
    Ok(Redirect::to(&app.long_work.wait_a_little(search, &page, "q6").await))
}

/// What stands under question 6: the button, and what was worked out for the section and the order as they are now.
pub fn html(id: JobId, plan: &SectionPlan, found: Option<&HeatFound>, is_pending: bool) -> String {
    if is_pending {
        return "<p>The heat is being worked out; how far it is stands at the top, and the result here when the card is loaded again.</p>".into();
    }
    let place = format!("/card/{}/section/{}", id.0, escape(&plan.id));
    let mut html = format!(
        "<form method=\"post\" action=\"{place}/heat\"><p class=\"actions\"><button class=\"button\">Work out the heat</button></p></form>"
    );
    match found {
        None => html.push_str(
            "<p>How hot each place of the panel gets while it is welded in the order that stands, and how far from the weld paint, sealer, adhesive, lead and glass suffer. It takes some seconds.</p>",
        ),
        Some(Err(why)) => {
            let _ = write!(html, "<p role=\"alert\">No heat: {}.</p>", escape(why));
        }
        Some(Ok(found)) => of_section(&mut html, plan, found),
    }
    html
}

fn of_section(html: &mut String, plan: &SectionPlan, found: &HeatOfSection) {
    let map = &found.map;
    let _ = write!(html, "<p><strong>{}</strong></p>", escape(&sentence(map)));
    let piece = plan.pieces.iter().find(|piece| piece.name == found.piece || piece.name_in_job() == found.piece);
    if let Some(piece) = piece {
        let [width, height] = SIZE_MM;
        let view = packet::drawings::heat_map_view(piece, map, plan.hand, width, height);
        figure(html, &view, &format!("{}: how hot it gets, lettered as in the list", found.piece));
    }
    figure(html, &packet::drawings::heat_rule(map), "How far from the weld each thing suffers");
    html.push_str(&table(map).html());
    html.push_str("<ul class=\"notes\">");
    for line in notes(plan, found) {
        let _ = write!(html, "<li>{}</li>", escape(&line));
    }
    html.push_str("</ul>");
}

/// The answer in one sentence.
fn sentence(map: &HeatMap) -> String {
    let reach = |key: &str| map.limits.iter().find(|own| own.key == key).map_or(0.0, |own| own.farthest_mm);
    let start = map
        .hottest_start
        .map_or_else(String::new, |own| format!("; the warmest start is weld {} at {:.0} °C", own.number, own.at_c));
    format!(
        "Paint burns within {:.0} mm of the weld and marks to {:.0} mm; wax and what melts suffer to {:.0} mm{start}.",
        reach("paint-burns"),
        reach("paint-marks"),
        reach("wax")
    )
}

fn table(map: &HeatMap) -> Table {
    let row = |limit: &weld::heat_map::LimitReach| {
        let more = if limit.to_the_end { " and on" } else { "" };
        vec![
            Cell::words(packet::drawings::heat_mark(map, limit.from_c)),
            Cell::words(limit.name),
            Cell::number(format!("{:.0}", limit.from_c)),
            Cell::number(format!("{:.0} mm{more}", limit.farthest_mm)),
            Cell::words(limit.what_happens),
            Cell::words(limit.what_to_do),
        ]
    };
    Table {
        caption: "What suffers, and how far from the weld line (along the sheet, on either side)".into(),
        head: vec!["line", "what", "from °C", "nothing nearer than", "what happens", "what to do"],
        rows: map.limits.iter().map(row).collect(),
    }
}

fn notes(plan: &SectionPlan, found: &HeatOfSection) -> Vec<String> {
    let map = &found.map;
    let mut notes = vec![
        format!("welded in the order that stands ({}), with the pauses of its list", packet::drawings::order_words(found.order_by, &plan.joint.maps)),
        format!(
            "faces taken as {} (emissivity {}, textbook value from memory): it loses least, so that temperatures and distances come out large rather than small; painted sheet cools quicker",
            map.surface.name(),
            map.emissivity
        ),
        format!(
            "mesh of {} points, {:.1} mm beside the weld, up to {:.0} mm away; within {:.0} % of the closed form (thin plate, W12) from {:.0} mm beside a run on; in the weld itself it says molten, no more",
            map.mesh.points,
            map.mesh.beside_mm,
            map.mesh.far_mm,
            100.0 * ERROR_BESIDE,
            BESIDE_MM
        ),
        "the settings above give the distances of one long run on wide sheet (W8), an upper bound; these are of this panel and its welds".into(),
    ];
    if !map.mesh.fine_enough {
        notes.push("the mesh is too coarse beside the weld: there it gives only the order of size".into());
    }
    if found.left_out > 0 {
        notes.push(format!("{} welds lie on another piece and are not in this panel", found.left_out));
    }
    notes.extend(map.concerns.iter().map(|concern| format!("{} {}", concern.what, concern.what_to_do)));
    notes.extend(found.taken.iter().cloned());
    notes
}

fn figure(html: &mut String, drawing: &packet::Drawing, caption: &str) {
    let svg = packet::svg::drawing(drawing, 3.0).unwrap_or_default();
    let svg = svg.split_once("<svg").map_or_else(String::new, |(_, rest)| format!("<svg{rest}"));
    let caption = escape(caption);
    let _ = write!(
        html,
        "<figure><div class=\"drawing-frame\" tabindex=\"0\" role=\"group\" aria-label=\"{caption}\">{svg}</div><figcaption>{caption}</figcaption></figure>"
    );
}
