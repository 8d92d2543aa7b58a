//! The fitting sheet: one step after another for the person with the grinder.
//!
//! The order is fixed: hold it up before anything is cut; brace; bolt up; clean and probe; trim the ends; scribe; cut; fit,
//! clamp, tack; weld; protect; send back. Steps that do not apply to a piece are left out, never moved.
//! Printed figures are rounded so that they add up on paper: piece height = cut height + lap in the printed figures too.

mod cutting;
mod joining;
mod ring;
mod ruled;
mod tube;

use super::make::Made;
use super::words::Words;
use super::{CutPlan, FittingStep, JointPlan, ProtectLine};
use crate::file::{Job, Section};
use crate::resolve::{ResolvedShape, is_welded_on};

/// What the steps are written from.
#[derive(Clone, Copy)]
pub(super) struct Sheet<'a> {
    pub(super) job: &'a Job,
    pub(super) section: &'a Section,
    pub(super) made: &'a Made,
    pub(super) cut: Option<&'a CutPlan>,
    pub(super) joint: &'a JointPlan,
    pub(super) protect: &'a [ProtectLine],
    pub(super) words: &'a Words,
}

impl Sheet<'_> {
    fn is_folded(&self) -> bool {
        self.made.resolved.pieces.iter().all(|piece| matches!(piece.shape, ResolvedShape::Folded(_)))
    }

    /// Cones and transitions: they join with their ends, all round.
    fn is_ruled(&self) -> bool {
        let pieces = &self.made.resolved.pieces;
        !pieces.is_empty() && pieces.iter().all(|piece| matches!(piece.shape, ResolvedShape::Ruled(_)))
    }

    fn is_ring(&self) -> bool {
        self.made.resolved.pieces.iter().all(|piece| matches!(piece.shape, ResolvedShape::Ring(_)))
    }

    /// The welds go in an order that was computed and accepted: the numbers on the map say it, not the habit of the trade.
    fn by_number(&self) -> bool {
        self.joint.order_by.is_computed()
    }

    fn has_mate(&self) -> bool {
        self.made.resolved.pieces.iter().any(|piece| piece.mate.is_some())
    }

    fn names(&self) -> String {
        // what the shop welds on is no piece of its own to the fitter
        let pieces = self.made.resolved.pieces.iter().filter(|piece| !is_welded_on(piece));
        let names: Vec<&str> = pieces.map(|piece| piece.shape.name()).collect();
        names.join(" and ")
    }
}

/// A step before it is numbered.
#[derive(Default)]
pub(super) struct Draft {
    kind: &'static str,
    title: &'static str,
    text: Vec<String>,
    figures_mm: Vec<(String, f64)>,
    cuts_vehicle: bool,
    cautions: Vec<&'static str>,
}

/// The steps in order, numbered from 1.
pub(super) fn steps(sheet: &Sheet<'_>) -> Vec<FittingStep> {
    let drafts = match tube::of(sheet) {
        Some(tube) => tube::drafts(sheet, tube),
        None => drafts(sheet),
    };
    drafts
        .into_iter()
        .flatten()
        .enumerate()
        .map(|(i, draft)| FittingStep {
            number: i + 1,
            kind: draft.kind.into(),
            title: draft.title.into(),
            text: draft.text,
            figures_mm: draft.figures_mm,
            cuts_vehicle: draft.cuts_vehicle,
            cautions: draft.cautions.into_iter().map(str::to_owned).collect(),
        })
        .collect()
}

fn drafts(sheet: &Sheet<'_>) -> Vec<Option<Draft>> {
    let ruled = sheet.is_ruled();
    vec![
        Some(if ruled { ruled::hold_up(sheet) } else { cutting::hold_up(sheet) }),
        if ruled { Some(ruled::brace(sheet)) } else { cutting::brace(sheet) },
        cutting::bolt_up(sheet),
        Some(cutting::probe(sheet)),
        cutting::trim_ends(sheet),
        Some(if ruled { ruled::scribe(sheet) } else { cutting::scribe(sheet) }),
        Some(cutting::cut(sheet)),
        Some(if ruled { ruled::clamp(sheet) } else { joining::clamp(sheet) }),
        joining::tack(sheet),
        Some(joining::join(sheet)),
        joining::let_in(sheet),
        Some(joining::protect(sheet)),
        Some(joining::send_back(sheet)),
    ]
}
