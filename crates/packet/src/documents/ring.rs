//! What the traveller says of a ring beyond its flat: its section, both ways of making it with their prices.

use job::plan::{PiecePlan, RingWayPlan};

use super::block::{table, words};
use super::desk::PaperDraft;
use crate::drawings;
use crate::error::PacketError;

/// Height of the section on a paper, mm.
const SECTION_MM: f64 = 95.0;

/// Section and ways of a ring; nothing for another piece.
pub(super) fn of_ring(piece: &PiecePlan, paper: &mut PaperDraft) -> Result<(), PacketError> {
    let Some(plan) = &piece.ring else { return Ok(()) };
    if let Some(drawing) = drawings::ring_section(piece, 170.0, SECTION_MM) {
        paper.picture(&drawing, "", SECTION_MM)?;
    }
    paper.put(words(format!("{}.", capital(&plan.because))));
    let columns = [("way", 1.2, false), ("can be made", 2.8, false), ("minutes", 0.8, true), ("before tax", 1.0, true)];
    paper.put(table(&columns, plan.ways.iter().map(row).collect()));
    Ok(())
}

fn row(way: &RingWayPlan) -> Vec<String> {
    let stopped = if way.feasible { "yes".to_owned() } else { format!("no: {}", way.stopped_by.join(". ")) };
    let minutes = way.minutes.map_or_else(|| "–".to_owned(), |minutes| format!("{minutes:.0}"));
    let net = way.net.map_or_else(|| "–".to_owned(), |net| net.to_string());
    vec![way.way.words().to_owned(), stopped, minutes, net]
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
