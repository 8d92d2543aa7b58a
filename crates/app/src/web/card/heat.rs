//! How hot the panel round a section gets: worked out as long work (seconds), shown under question 6 when it is done.

use super::question::drawing_html;
use super::section_work::{self, Asked, Keeper, Name};
use crate::planning::HeatFound;
use crate::web::figures::{Cell, Table, escape};
use crate::web::{App, WebError};
use axum::extract::{Path, State};
use axum::response::Redirect;
use job::plan::{HeatOfSection, SectionPlan, heat_of_section};
use numerics::{Cancel, Cancelled, Progress};
use std::fmt::Write as _;
use std::sync::Arc;
use store::JobId;
use weld::heat_map::{BESIDE_MM, ERROR_BESIDE, HeatMap, LimitReach, RunAdvice, TriedRun};

/// Name of the work, as shown.
pub const WORK: &str = "working out the heat";
/// Size of the picture, mm.
const SIZE_MM: [f64; 2] = [180.0, 120.0];

/// Starts the work; the card tells how far it is.
pub async fn work_out(State(app): State<Arc<App>>, Path(place): Path<(i64, String)>) -> Result<Redirect, WebError> {
    let name = Name { work: WORK, result: "the heat stands under question 6", question: "q6" };
    section_work::submit(app, place, name, |_| Ok(()), find).await
}

/// Works the heat out and keeps it.
pub(super) fn find(keeper: &Keeper, asked: &Asked, progress: &Progress, cancel: &Cancel) -> Result<(), Cancelled> {
    let Asked { id, job, section, plan, shop } = asked;
    let found = heat_of_section(job, section, plan, shop, progress, cancel)?;
    cancel.check()?;
    keeper.keep(asked, |planning| planning.keep_heat(*id, job, section, plan, found));
    Ok(())
}

/// What stands under question 6: the button, and what was worked out for the section and the order as they are now.
pub fn html(id: JobId, plan: &SectionPlan, found: Option<&HeatFound>, is_pending: bool) -> String {
    let mut html = String::new();
    if is_pending {
        html.push_str("<p>The heat is being worked out; how far it is stands at the top, and the result here when the card is loaded again.</p>");
    } else {
        let place = escape(&section_work::page_of(id, &plan.id));
        let _ = write!(
            html,
            "<form method=\"post\" action=\"{place}/heat\"><p class=\"actions\"><button class=\"button\">Work out the heat</button></p></form>"
        );
    }
    match found {
        None if is_pending => {}
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
    let _ = write!(html, "<p><strong>{}</strong></p>", escape(&sentence(found)));
    let piece = plan.pieces.iter().find(|piece| piece.name == found.piece || piece.name_in_job() == found.piece);
    // weld lines laid out lie nowhere on the piece
    if let Some(piece) = piece.filter(|_| found.laid_out.is_none()) {
        let [width, height] = SIZE_MM;
        let view = packet::drawings::heat_map_view(piece, map, plan.hand, width, height);
        html.push_str(&drawing_html(&view, format!("{}: how hot it gets, lettered as in the list", found.piece)));
    }
    let rule = packet::drawings::heat_rule(map);
    html.push_str(&drawing_html(&rule, "How far from the weld each thing suffers".into()));
    html.push_str(&table(map).html());
    if let Some(runs) = &found.runs {
        let _ = write!(html, "<p>{}</p>", escape(&runs_sentence(runs)));
        html.push_str(&runs_table(runs, found.laid_out.is_some()).html());
    }
    html.push_str("<ul class=\"notes\">");
    for line in notes(plan, found) {
        let _ = write!(html, "<li>{}</li>", escape(&line));
    }
    html.push_str("</ul>");
}

/// How far a thing suffers, in words; none when it is nowhere hot enough for that.
fn far(limit: &LimitReach) -> Option<String> {
    let more = if limit.to_the_end { " and on, beyond the panel" } else { "" };
    (limit.farthest_mm > 0.0).then(|| format!("{:.0} mm{more}", limit.farthest_mm))
}

/// The answer in one sentence.
fn sentence(found: &HeatOfSection) -> String {
    let map = &found.map;
    let of = |key: &str, words: &str| {
        let limit = map.limits.iter().find(|own| own.key == key)?;
        far(limit).map(|far| format!("{words} {far}"))
    };
    let named = [
        of("paint-burns", "paint burns within"),
        of("paint-marks", "paint is marked to"),
        of("wax", "cavity wax suffers to"),
        // welds that are not in the plan's list have no number there
        map.hottest_start.map(|own| match found.as_listed {
            true => format!("the warmest start is weld {} at {:.0} °C", own.number, own.at_c),
            false => format!("the warmest start is at {:.0} °C", own.at_c),
        }),
    ];
    let named: Vec<String> = named.into_iter().flatten().collect();
    format!("From the weld outwards: {}.", named.join("; "))
}

fn table(map: &HeatMap) -> Table {
    let row = |limit: &LimitReach| {
        vec![
            Cell::words(packet::drawings::heat_mark(map, limit.from_c).unwrap_or_else(|| "–".into())),
            Cell::words(limit.name),
            Cell::number(format!("{:.0}", limit.from_c)),
            Cell::number(far(limit).unwrap_or_else(|| "nowhere so hot".into())),
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

/// Run length and pause in one sentence.
fn runs_sentence(runs: &RunAdvice) -> String {
    let whose =
        if runs.of_seams > 1 { format!(" (the longest of {} weld lines)", runs.of_seams) } else { String::new() };
    match runs.best() {
        Some(best) => format!(
            "By heat alone, runs of {:.0} mm with pauses up to {} keep the next place below {:.0} °C: {:.0} mm of seam{whose} are done in {}, the soonest of the lengths tried. Longer runs pull more at once: where the list goes from tack to tack, the list stands.",
            best.length_mm,
            minutes(best.longest_pause_s),
            runs.cool_c,
            runs.seam_mm,
            minutes(best.total_s)
        ),
        None if runs.tried.len() == 1 => {
            format!("The weld line of {:.0} mm is so short that it is one run{whose}.", runs.seam_mm)
        }
        None => format!(
            "No run length that was tried keeps the next place below {:.0} °C{whose}: wait until a hand can lie on it, however long that is.",
            runs.cool_c
        ),
    }
}

fn minutes(seconds: f64) -> String {
    if seconds < 90.0 { format!("{seconds:.0} s") } else { format!("{:.0} min", (seconds / 60.0).ceil()) }
}

const RUNS_ON_PANEL: &str = "Run lengths on this panel: runs in the habit of the trade, tacks cold, moving there in the pause. The whole seam in one run warps most. The last column is the closed form, for wide sheet: where the two differ, this panel's edges do it and this panel's pause goes first";
const RUNS_LAID_OUT: &str = "Run lengths on the sheet that is laid out: runs in the habit of the trade, tacks cold, moving there in the pause. The whole seam in one run warps most. The last column is the closed form, for sheet without an end";

fn runs_table(runs: &RunAdvice, laid_out: bool) -> Table {
    let row = |own: &TriedRun| {
        let pause = if own.runs == 1 { "none".into() } else { minutes(own.longest_pause_s) };
        let wide = if own.runs == 1 { "none".into() } else { minutes(own.wide_sheet_pause_s) };
        vec![
            Cell::number(format!("{:.0}", own.length_mm)),
            Cell::number(own.runs.to_string()),
            Cell::number(if own.cool_enough { pause } else { "never cool".into() }),
            Cell::number(minutes(own.total_s)),
            Cell::number(wide),
        ]
    };
    Table {
        caption: if laid_out { RUNS_LAID_OUT } else { RUNS_ON_PANEL }.into(),
        head: vec!["run, mm", "runs", "longest pause", "whole seam", "longest pause on wide sheet"],
        rows: runs.tried.iter().map(row).collect(),
    }
}

fn notes(plan: &SectionPlan, found: &HeatOfSection) -> Vec<String> {
    let map = &found.map;
    let mut notes = vec![
        format!(
            "welded in the order that stands ({}){}",
            packet::drawings::order_words(found.order_by, &plan.joint.maps),
            if found.as_listed && !plan.joint.pauses.is_empty() { ", with the pauses of its list" } else { "" }
        ),
        format!(
            "faces taken as {} (emissivity {}, textbook value from memory): it loses least, so that temperatures and distances come out large rather than small; painted sheet cools quicker",
            map.surface.name(),
            map.surface.emissivity()
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
    if let Some(why) = &found.laid_out {
        notes.push(format!("the panel itself is not modelled ({why}); the heat is that of its weld lines, laid out"));
    }
    if found.left_out > 0 {
        notes.push(format!("{} welds lie on another piece and are not in this panel", found.left_out));
    }
    notes.extend(map.concerns.iter().map(|concern| format!("{} {}", concern.what, concern.what_to_do)));
    notes.extend(found.taken.iter().cloned());
    notes
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tried(runs: usize, pause_s: f64, wide_s: f64) -> TriedRun {
        TriedRun {
            length_mm: 400.0 / runs as f64,
            runs,
            longest_pause_s: pause_s,
            total_s: 180.0 + pause_s * (runs as f64 - 1.0),
            hottest_before_c: 49.0,
            cool_enough: true,
            wide_sheet_pause_s: wide_s,
        }
    }

    /// Run length, pause and time are told in one sentence, and the table says which pause is the panel's and which that of wide sheet.
    #[test]
    fn the_run_length_is_told_with_its_pause() {
        let runs = RunAdvice {
            seam: 1,
            of_seams: 2,
            seam_mm: 400.0,
            cool_c: 50.0,
            tried: vec![tried(8, 100.0, 80.0), tried(4, 130.0, 85.0), tried(1, 0.0, 0.0)],
            best: Some(1),
            working: None,
            points: 100,
        };
        let said = runs_sentence(&runs);
        assert!(said.contains("runs of 100 mm with pauses up to 3 min keep the next place below 50 °C"), "{said}");
        assert!(said.contains("the longest of 2 weld lines") && said.contains("done in 10 min"), "{said}");
        let table = runs_table(&runs, false).html();
        assert!(table.contains("this panel's pause goes first") || table.contains("this panel&#39;s pause goes first"));
        assert!(table.contains("85 s"), "{table}");
        let none = RunAdvice { best: None, ..runs };
        assert!(runs_sentence(&none).contains("No run length"));
    }
}
