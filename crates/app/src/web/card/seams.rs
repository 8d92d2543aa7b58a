//! Seams for a skin: looked for as long work, shown under question 5 when found.

use super::question::drawing_html;
use super::section_work::{self, Asked, Keeper, Name};
use crate::failure::Failure;
use crate::planning::SeamsFound;
use crate::web::figures::{Cell, Table, escape};
use crate::web::{App, WebError};
use axum::extract::{Path, State};
use axum::response::Redirect;
use blank::skin::seams::{SeamProposal, SkinFigures};
use job::plan::{SeamsOfPiece, SectionPlan, propose_seams};
use numerics::{Cancel, Cancelled, Progress};
use std::fmt::Write as _;
use std::sync::Arc;
use store::JobId;

/// Name of the work, as shown.
const WORK: &str = "looking for seams";
/// Size of the pictures, mm.
const SIZE_MM: [f64; 2] = [150.0, 110.0];

/// Starts the search; the card tells how far it is.
pub async fn look(State(app): State<Arc<App>>, Path(place): Path<(i64, String)>) -> Result<Redirect, WebError> {
    let name = Name { work: WORK, result: "the seams stand under question 5", question: "q5" };
    section_work::submit(app, place, name, has_a_skin, find).await
}

fn has_a_skin(asked: &Asked) -> Result<(), Failure> {
    if asked.plan.pieces.iter().any(|piece| piece.skin.is_some()) {
        return Ok(());
    }
    Err(Failure::bad_input(format!("{} has no double-curved skin that could be parted", asked.section.title)))
}

fn find(keeper: &Keeper, asked: &Asked, progress: &Progress, cancel: &Cancel) -> Result<(), Cancelled> {
    let found = propose_seams(&asked.job, &asked.section, &asked.shop, progress, cancel)?;
    cancel.check()?;
    keeper.keep(asked, |planning| planning.keep_seams(asked.id, asked.plan.clone(), found));
    Ok(())
}

/// What stands under question 5: the button, and what was found for the piece as it is now.
pub fn html(id: JobId, plan: &SectionPlan, found: Option<&SeamsFound>) -> String {
    if plan.pieces.iter().all(|piece| piece.skin.is_none()) {
        return String::new();
    }
    let mut html = format!(
        "<h3>Seams</h3><form method=\"post\" action=\"{}/seams\"><button class=\"button\">Look for seams</button></form>",
        escape(&section_work::page_of(id, &plan.id))
    );
    match found {
        None => html.push_str("<p>Two parts may be made with less work than one; nothing has been looked for yet.</p>"),
        Some(Err(why)) => {
            let _ = write!(html, "<p role=\"alert\">No seams: {}</p>", escape(why));
        }
        Some(Ok(pieces)) => pieces.iter().for_each(|piece| of_piece(&mut html, piece)),
    }
    html
}

fn of_piece(html: &mut String, found: &SeamsOfPiece) {
    if found.proposals.is_empty() {
        let _ = write!(
            html,
            "<p>{}: no seam is proposed: no line through the most strained place keeps clear of corners and holes, can be welded, and saves enough.</p>",
            escape(&found.piece)
        );
        return;
    }
    let [width, height] = SIZE_MM;
    let whole = packet::drawings::seams_drawing(&found.whole.blank, &found.proposals, width, height);
    html.push_str(&drawing_html(&whole, format!("{}: seams in its flat, best first", found.piece)));
    for (index, proposal) in found.proposals.iter().enumerate() {
        let parts = packet::drawings::seam_parts_drawing(proposal, width, height);
        html.push_str(&drawing_html(&parts, format!("seam {}: the two flats", index + 1)));
    }
}

/// What each seam of a piece saves, for the tables of question 5.
pub fn tables(found: Option<&SeamsFound>) -> Vec<Table> {
    let pieces = found.and_then(|found| found.as_ref().ok());
    let one = |found: &SeamsOfPiece| {
        let before = &found.proposals.first()?.before;
        let proposals = found.proposals.iter().enumerate();
        let seams = proposals.map(|(i, own)| row(&format!("seam {}", i + 1), Some(own), &own.after));
        Some(Table {
            caption: format!("What each seam of {} saves", found.piece),
            head: vec![
                "cut",
                "seam",
                "least radius",
                "most raised",
                "most gathered",
                "worst gather of an edge",
                "least margin under the forming limit, true strain",
                "largest effective true strain",
                "work",
                "stops",
            ],
            rows: std::iter::once(row("one blank", None, before)).chain(seams).collect(),
        })
    };
    pieces.into_iter().flatten().filter_map(one).collect()
}

fn row(name: &str, seam: Option<&SeamProposal>, figures: &SkinFigures) -> Vec<Cell> {
    let radius = |mm: f64| if mm.is_finite() && mm < 10_000.0 { format!("{mm:.0} mm") } else { "straight".into() };
    vec![
        Cell::words(name),
        Cell::number(seam.map_or_else(|| "–".into(), |seam| format!("{:.0} mm", seam.length_mm))),
        Cell::number(seam.map_or_else(|| "–".into(), |seam| radius(seam.least_radius_mm))),
        Cell::number(format!("{:.1} %", 100.0 * figures.most_raised)),
        Cell::number(format!("{:.1} %", 100.0 * figures.most_gathered)),
        Cell::number(format!("{:.1} mm per 100 mm", figures.worst_gather_mm_per_100_mm)),
        Cell::number(format!("{:.1} %", 100.0 * figures.limit_margin)),
        Cell::number(format!("{:.2} %", 100.0 * figures.largest_strain)),
        Cell::number(format!("{:.0} J", figures.work_j)),
        Cell::number(figures.stops.to_string()),
    ]
}
