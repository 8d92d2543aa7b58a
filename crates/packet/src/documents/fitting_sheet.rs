//! The fitting sheet: one drawing for each step, in the fitter's units, and first of all the line that nothing is cut yet.

use std::borrow::Cow;

use job::plan::{PiecePlan, SectionPlan};

use super::block::{Block, concern, heading, strong, table, words};
use super::desk::{Desk, PaperDraft};
use super::welding;
use crate::drawings;
use crate::error::PacketError;

/// The first line of every fitting sheet.
pub const NOT_YET: &str = "Do not cut the vehicle yet.";

/// Sets the fitting sheet of a section.
///
/// # Errors
/// As [`crate::pdf::typeset`].
pub fn fitting_sheet(desk: &Desk<'_>, section: &SectionPlan) -> Result<Vec<u8>, PacketError> {
    let mut paper = PaperDraft::default();
    paper.put(Block::Banner {
        title: NOT_YET.to_owned(),
        lines: vec!["Not before the piece is in your hands and has been held against the vehicle, the right way up and on the right side.".to_owned()],
    });
    stops(desk, section, &mut paper);
    super::assembly::for_the_fitter(section, &mut paper)?;
    which_piece(section, &mut paper)?;
    heights(desk, section, &mut paper);
    let reader = desk.fitter();
    let back_reached = desk.section(section).map(|own| own.joint.access_behind);
    welding::joint(reader, section, back_reached, &mut paper);
    welding::settings(section, &mut paper);
    welding::practice(reader, section, &mut paper)?;
    welding::welds(desk, reader, section, &mut paper)?;
    steps(desk, section, &mut paper)?;
    protection(section, &mut paper);
    cautions(desk, section, &mut paper);
    let fitter =
        if desk.job.fitter.name.is_empty() { String::new() } else { format!(" · for the {}", desk.job.fitter.name) };
    desk.set("Fitting sheet", &format!("{}{fitter}", section.title), paper)
}

fn stops(desk: &Desk<'_>, section: &SectionPlan, paper: &mut PaperDraft) {
    for stop in desk.plan.open_stops(section) {
        paper.put(concern(stop));
    }
    for lift in desk.lifts() {
        paper.put(strong(lift));
    }
}

fn which_piece(section: &SectionPlan, paper: &mut PaperDraft) -> Result<(), PacketError> {
    // what arrives as one has its own picture above; beside it only what comes loose
    let joined = section.assembly.as_ref().map_or(0, |own| own.pieces.len());
    let fitted = section.as_fitted();
    for piece in fitted.iter().skip(joined) {
        paper.put(strong(format!("{}: {}", piece.name, piece.placing.hand)));
        let placing = &piece.placing;
        let lines = [&placing.edge_up, &placing.front_end, &placing.curl];
        let line = lines.into_iter().filter(|line| !line.is_empty()).cloned().collect::<Vec<_>>().join(" · ");
        let face = if piece.tube.is_some() { "" } else { "the marked face is the one that goes out · " };
        let line = format!("{face}{line}");
        paper.put(words(line));
        for line in drawings::datum_lines(piece) {
            paper.put(words(line));
        }
        let view = drawings::isometric(piece, section.hand, 170.0, 75.0);
        paper.picture(&view, "", 75.0)?;
    }
    Ok(())
}

/// Piece height, lap and cut height beside each other, before anything else is done with them.
fn heights(desk: &Desk<'_>, section: &SectionPlan, paper: &mut PaperDraft) {
    let Some(cut) = &section.cut else { return };
    let reader = desk.fitter();
    let [cut_height, lap, piece_height] = reader.heights(cut.cut_height_mm, cut.lap_mm);
    let row = vec![piece_height, lap, cut_height];
    let columns = [("piece height", 1.0, false), ("lap", 1.0, false), ("cut height = piece height − lap", 1.4, false)];
    if cut.lap_mm > 0.0 {
        paper.put(table(&columns, vec![row]));
    } else {
        paper.put(table(&[("cut height = piece height", 1.0, false)], vec![vec![reader.write(cut.cut_height_mm)]]));
    }
    paper.put(Block::Small {
        text: "Heights are taped along the outside face, square to the edge, from the lowest outside point of the finished edge.".to_owned(),
    });
}

/// The pieces that a step is drawn on: plates for openings where they are let in; every other piece where lines are marked and cut, otherwise
/// the first.
fn shown<'a>(all: &'a [Cow<'a, PiecePlan>], step_kind: &str) -> &'a [Cow<'a, PiecePlan>] {
    let plates = all.iter().position(|piece| drawings::is_let_in_plate(piece)).unwrap_or(all.len());
    let (pieces, plates) = all.split_at(plates);
    match step_kind {
        "let-in" => plates,
        "scribe" | "cut" => pieces,
        _ => pieces.get(..1).unwrap_or_default(),
    }
}

fn steps(desk: &Desk<'_>, section: &SectionPlan, paper: &mut PaperDraft) -> Result<(), PacketError> {
    paper.put(heading(2, "Steps, in this order"));
    let reader = desk.fitter();
    let fitted = section.as_fitted();
    let whole = drawings::as_one(section).map(Cow::Owned);
    let stopped = desk.plan.joint_stopped(section);
    // by a joint that must not be made nobody tacks or welds
    let steps = section.fitting.iter().filter(|step| !(stopped && matches!(step.kind.as_str(), "tack" | "weld")));
    for step in steps {
        let figures = reader.figures(&step.figures_mm);
        let own = whole.as_ref().filter(|_| step.kind != "let-in");
        let drawings = own
            .map_or_else(|| shown(&fitted, &step.kind), std::slice::from_ref)
            .iter()
            .filter_map(|piece| drawings::fitting_picture(section, piece, step, &figures, 170.0, 78.0));
        let pictures = drawings.map(|drawing| paper.keep(&drawing)).collect::<Result<Vec<String>, PacketError>>()?;
        let figures = figures.into_iter().map(|(name, figure)| [name, figure]).collect();
        paper.put(Block::Step {
            number: step.number,
            title: step.title.clone(),
            cuts: step.cuts_vehicle,
            text: step.text.clone(),
            figures,
            cautions: step.cautions.clone(),
            pictures,
        });
    }
    Ok(())
}

/// Cause, drainage and protection, as lines to tick.
pub fn protection(section: &SectionPlan, paper: &mut PaperDraft) {
    if section.protect.is_empty() {
        return;
    }
    paper.put(heading(2, "So that it does not rust again"));
    let items = section.protect.iter().map(|line| format!("{}: {}", line.stage, line.what)).collect();
    paper.put(Block::Ticks { items });
}

/// Every concern of the section and of the job that is not an open stop, cautions first.
pub fn cautions(desk: &Desk<'_>, section: &SectionPlan, paper: &mut PaperDraft) {
    let mut found: Vec<&handbook::Concern> = section
        .concerns
        .iter()
        .chain(&desk.plan.concerns)
        .filter(|concern| concern.grade != handbook::Grade::Stop)
        .collect();
    found.sort_by_key(|concern| std::cmp::Reverse(concern.grade));
    if found.is_empty() {
        return;
    }
    paper.put(heading(2, "Where it can hurt, or go wrong"));
    for item in found {
        paper.put(concern(item));
    }
    paper.put(Block::Small {
        text: "Local rules and licensed people come first. If anything here does not agree with what you see, stop and ring the shop.".to_owned(),
    });
}
