//! Several pieces made into one, on paper: pictures, pieces, seams, sub-assemblies.

use blank::material_name;
use job::plan::{Assembly, SectionPlan};

use super::block::{Block, heading, strong, table, words};
use super::desk::PaperDraft;
use crate::drawings::{self, Shown};
use crate::error::PacketError;
use crate::number::trimmed;

/// For the shop: apart and together, the list of pieces, the table of seams, what is done in which order.
///
/// # Errors
/// As [`crate::drawing::Drawing::bounds`].
pub fn for_the_shop(section: &SectionPlan, paper: &mut PaperDraft) -> Result<(), PacketError> {
    let Some(plan) = &section.assembly else { return Ok(()) };
    paper.put(heading(2, "Made into one"));
    pictures(section, paper)?;
    pieces(section, plan, paper);
    seams(plan, paper);
    for step in &plan.steps {
        paper.put(strong(format!("Sub-assembly {}", step.number)));
        paper.put(Block::Ticks { items: step.text.clone() });
    }
    Ok(())
}

/// For the fitter: what arrives as one, and what it was made of.
///
/// # Errors
/// As [`crate::drawing::Drawing::bounds`].
pub fn for_the_fitter(section: &SectionPlan, paper: &mut PaperDraft) -> Result<(), PacketError> {
    let Some(plan) = &section.assembly else { return Ok(()) };
    paper.put(words(format!(
        "It comes as one: {} pieces joined by {} in the shop. Nothing of it is to be taken apart.",
        plan.pieces.len(),
        if plan.seams.len() == 1 { "1 seam".to_owned() } else { format!("{} seams", plan.seams.len()) }
    )));
    if let Some(drawing) = drawings::assembly(section, Shown::Together, 170.0, 90.0) {
        paper.picture(&drawing, "", 90.0)?;
    }
    Ok(())
}

fn pictures(section: &SectionPlan, paper: &mut PaperDraft) -> Result<(), PacketError> {
    for shown in [Shown::Apart, Shown::Together] {
        if let Some(drawing) = drawings::assembly(section, shown, 170.0, 110.0) {
            paper.picture(&drawing, "", 110.0)?;
        }
    }
    Ok(())
}

fn pieces(section: &SectionPlan, plan: &Assembly, paper: &mut PaperDraft) {
    let rows = plan
        .pieces
        .iter()
        .zip(section.as_fitted())
        .map(|(placed, piece)| {
            vec![
                placed.number.to_string(),
                placed.piece.clone(),
                format!("{} mm {}", trimmed(piece.blank.thickness_mm, 3), material_name(&piece.blank.material)),
                placed.how.clone(),
            ]
        })
        .collect();
    let columns = [("No.", 0.5, true), ("Piece", 2.2, false), ("Sheet", 1.8, false), ("Stands", 2.4, false)];
    paper.put(table(&columns, rows));
}

fn seams(plan: &Assembly, paper: &mut PaperDraft) {
    let rows = plan
        .seams
        .iter()
        .map(|seam| {
            let [first, second] = &seam.pieces;
            let [edge, other] = &seam.edges;
            let [own_mm, other_mm] = seam.lengths_mm;
            vec![
                seam.letter.clone(),
                format!("{first}, {edge}\non {second}, {other}"),
                format!("{} mm", trimmed(own_mm, 1)),
                format!("{} mm", trimmed(other_mm, 1)),
                format!("± {} mm", trimmed(seam.accepted_mm, 1)),
                seam.words.clone(),
                seam.step.to_string(),
            ]
        })
        .collect();
    let columns = [
        ("Seam", 0.6, false),
        ("Edges", 2.6, false),
        ("Length", 0.9, true),
        ("of the other", 0.9, true),
        ("accepted", 0.9, true),
        ("Joint", 2.6, false),
        ("Step", 0.5, true),
    ];
    paper.put(table(&columns, rows));
}
