//! Pieces that seams make into one: pictures, seams, order of work. Part of question 4.

use super::mm;
use crate::web::card::question::Picture;
use crate::web::figures::{Cell, Table};
use handbook::Working;
use job::plan::{SeamPlan, SectionPlan};
use packet::documents::preview;
use packet::drawings::Shown;

/// The section as one, and drawn apart with the numbers of its pieces.
pub fn pictures(plan: &SectionPlan) -> Vec<Picture> {
    let pieces = plan.assembly.iter().flat_map(|own| &own.pieces);
    let named: Vec<String> = pieces.map(|placed| format!("{} {}", placed.number, placed.piece)).collect();
    let picture = |shown: Shown, caption: String| {
        let svg = preview::assembly(plan, shown).ok().flatten()?;
        Some(Picture { svg, caption, shape: None, small: false })
    };
    let together = picture(Shown::Together, format!("{} as one, its seams by letter", plan.title));
    let apart = picture(Shown::Apart, format!("drawn apart: {}", named.join(", ")));
    together.into_iter().chain(apart).collect()
}

/// Seams with both lengths, and what is brought together in which order.
pub fn tables(plan: &SectionPlan) -> Vec<Table> {
    let Some(own) = &plan.assembly else { return Vec::new() };
    let seam = |seam: &SeamPlan| {
        let ([piece, other], [edge, to], [own_mm, other_mm]) = (&seam.pieces, &seam.edges, seam.lengths_mm);
        vec![
            Cell::words(&seam.letter),
            Cell::words(format!("{edge} of {piece} on {to} of {other}")),
            Cell::number(mm(own_mm)),
            Cell::number(mm(other_mm)),
            Cell::number(format!("± {}", mm(seam.accepted_mm))),
            Cell::words(&seam.words),
        ]
    };
    let step = |step: &job::plan::AssemblyStep| {
        let groups: Vec<String> = step.groups.iter().map(|group| group.join(" + ")).collect();
        vec![
            Cell::number(step.number.to_string()),
            Cell::words(groups.join(" with ")),
            Cell::words(step.seams.join(", ")),
            Cell::words(if step.shuts { "shuts the box: prime inside first" } else { "" }),
        ]
    };
    vec![
        Table {
            caption: "Seams between the pieces".into(),
            head: vec!["seam", "edges", "length", "of the other", "accepted", "joint"],
            rows: own.seams.iter().map(seam).collect(),
        },
        Table {
            caption: "Sub-assemblies in order".into(),
            head: vec!["step", "brings together", "seams", "mind"],
            rows: own.steps.iter().map(step).collect(),
        },
    ]
}

/// How the lengths of the seams were found.
pub fn workings(plan: &SectionPlan) -> impl Iterator<Item = &Working> {
    plan.assembly.iter().flat_map(|own| own.seams.iter().filter_map(|seam| seam.workings.first()))
}
