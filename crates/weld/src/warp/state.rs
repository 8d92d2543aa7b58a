//! One order at one of its steps, in full: membrane forces on the open sheet, joined as far as it is.

use super::prepare::Prepared;
use super::supports::carried;
use super::{Chosen, WarpError};
use crate::order::{Condensed, Event, ROWS, StepRecord, offset_strains, trail};
use crate::panel::Panel;
use crate::shell::{InherentStrain, LinearModel, Loads, Shell, Supports};
use numerics::eigen::EigenSettings;
use numerics::{Cancel, Progress};

/// Which of the published spread.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Level {
    Low,
    Middle,
    High,
}

/// The sheet after some steps of an order.
pub(super) struct State {
    pub steps: Vec<StepRecord>,
    /// Which pairs are joined.
    pub joined: Vec<bool>,
    /// Membrane forces of every triangle, N/mm.
    pub forces_n_mm: Vec<[f64; 3]>,
    /// Inherent strains and offsets, for the joined mesh.
    pub strains: Vec<InherentStrain>,
}

impl Prepared {
    /// Events of a candidate at a level, and the sheet condensed to them.
    pub(super) fn at_level(
        &mut self,
        candidate: usize,
        level: Level,
        cancel: &Cancel,
    ) -> Result<(Vec<Event>, Condensed), WarpError> {
        let of = self.candidates.get(candidate).ok_or(crate::order::OrderError::NoEvent)?;
        let mut events = of.events.clone();
        let spread = match level {
            Level::Middle => return Ok((events, of.condensed.clone())),
            Level::Low => &of.spread[0],
            Level::High => &of.spread[1],
        };
        for (event, strains) in events.iter_mut().zip(spread) {
            event.inherent.clone_from(strains);
        }
        let condensed = self.condenser.condense(&events, &self.limits, cancel)?;
        Ok((events, condensed))
    }

    /// The sheet after the first `steps` of an order (all: `usize::MAX`).
    pub(super) fn state(
        &mut self,
        (events, condensed): &(Vec<Event>, Condensed),
        order: &[u32],
        steps: usize,
    ) -> Result<State, WarpError> {
        let (records, whole) = trail(condensed, order)?;
        let done = &order[..steps.min(order.len())];
        let mut part = crate::order::Walk::new(condensed);
        let walk = if done.len() == order.len() {
            whole
        } else {
            done.iter().for_each(|event| part.step(*event));
            part
        };
        let shrunk: Vec<&Event> = done.iter().filter_map(|event| events.get(*event as usize)).collect();
        let deflection = self.condenser.deflection(&shrunk, walk.push())?;
        let inherent: Vec<_> = shrunk.iter().flat_map(|event| event.inherent.iter().copied()).collect();
        let loads = Loads { inherent, ..Loads::default() };
        let forces_n_mm = self.condenser.model().assembly().membrane_forces_n_mm(&deflection, &loads)?;
        let joined = walk.is_joined().chunks_exact(ROWS).map(|rows| rows[0]).collect();
        let mut strains = loads.inherent;
        strains.extend(offset_strains(&self.panel, walk.relative(), walk.is_joined()));
        Ok(State { steps: records, joined, forces_n_mm, strains })
    }

    /// The mesh joined as far as a state is, what holds it, and for each of its points the one of the closed mesh.
    pub(super) fn joined_shell(&self, joined: &[bool]) -> (Shell, Supports, Vec<u32>) {
        joined_shell(&self.panel, &self.open, &self.supports, joined)
    }

    /// Least buckling margin of a state, in full; none when nothing pushes.
    pub(super) fn margin(&self, state: &State, cancel: &Cancel) -> Result<Option<f64>, WarpError> {
        let silent = Progress::silent();
        let (shell, held, _) = self.joined_shell(&state.joined);
        let mut model = LinearModel::new(shell, &held, &silent, cancel)?;
        let settings = EigenSettings { tolerance: 1e-3, ..EigenSettings::default() };
        Ok(model.buckling_of_forces(&state.forces_n_mm, &settings, &silent, cancel)?.margin())
    }
}

/// The step, counted from 1, after which the quick margin is least.
pub(super) fn weakest(steps: &[StepRecord]) -> usize {
    let least = steps.iter().enumerate().min_by(|a, b| a.1.margin.total_cmp(&b.1.margin));
    least.map_or(usize::MAX, |(i, _)| i + 1)
}

impl Chosen {
    pub(super) fn order(&self) -> &[u32] {
        &self.ranked.order
    }
}

/// The mesh joined as far as a state is, what holds it, and for each of its points the one of the closed mesh.
pub(super) fn joined_shell(
    panel: &Panel,
    open: &Shell,
    supports: &Supports,
    joined: &[bool],
) -> (Shell, Supports, Vec<u32>) {
    let (skin, of) = panel.joined(joined);
    let mut closed_of = vec![0u32; skin.points_mm.len()];
    let mut piece_of = vec![0u32; skin.points_mm.len()];
    // pieces that a joined pair connects are one
    let mut piece: Vec<u32> = (0..panel.pieces as u32).collect();
    for (pair, _) in panel.pairs().zip(joined).filter(|(_, joined)| **joined) {
        let [a, b] = [pair.left, pair.right].map(|node| piece[panel.piece_of[node as usize] as usize]);
        piece.iter_mut().filter(|p| **p == a.max(b)).for_each(|p| *p = a.min(b));
    }
    for (open, node) in of.iter().enumerate() {
        closed_of[*node as usize] = panel.closed_of[open];
        piece_of[*node as usize] = piece[panel.piece_of[open] as usize];
    }
    let several = piece.iter().any(|p| *p != piece[0]);
    let held = carried(supports, &closed_of, several.then_some(piece_of.as_slice()));
    (Shell { skin, ..open.clone() }, held, closed_of)
}
