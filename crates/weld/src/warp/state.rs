//! One order at one of its steps, in full: membrane forces on the open sheet, joined as far as it is.

use super::large::Settler;
use super::prepare::Prepared;
use super::supports::{Hung, carried};
use super::{Chosen, WarpError};
use crate::order::condense::loads;
use crate::order::{Condensed, Event, ROWS, Score, StepRecord, offset_shifts, trail};
use crate::panel::Panel;
use crate::shell::{BucklingMode, LinearModel, Loads, Shell, Supports};
use handbook::{Concern, Grade};
use numerics::eigen::EigenSettings;
use numerics::{Cancel, Progress};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Which of the published spread.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Level {
    Low,
    Middle,
    High,
}

/// Whether the fitter waits between events until their places are cool enough.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Pauses {
    Taken,
    /// In one go.
    NotTaken,
}

/// The sheet after some steps of an order.
pub(super) struct State {
    /// Of the whole order.
    pub steps: Vec<StepRecord>,
    /// Of the whole order.
    pub score: Score,
    /// Which pairs are joined.
    pub joined: Vec<bool>,
    /// Membrane forces of every triangle, N/mm.
    pub forces_n_mm: Vec<[f64; 3]>,
    /// Shrinkage and offsets, for the joined mesh.
    pub loads: Loads,
}

/// Events of a candidate at a level, and the sheet condensed to them.
pub(super) type AtLevel = (Vec<Event>, Condensed);

/// What was worked out on the way and serves again.
#[derive(Debug, Default)]
pub(super) struct Kept {
    levels: BTreeMap<(usize, Level), Arc<AtLevel>>,
    /// Which pairs are joined, and the joined panel factored.
    models: Vec<(Vec<bool>, LinearModel)>,
    pub settlers: Vec<Settler>,
}

/// Factored panels that are kept.
const MOST_MODELS: usize = 3;
/// Tries at a least margin: vectors kept and steps; the second when the first did not settle.
const TRIES: [(usize, usize); 2] = [(60, 300), (160, 900)];
/// Relative residual of a mode at which the margin is good enough: its error is about the square.
const MODE_TOLERANCE: f64 = 1e-3;

impl Prepared {
    /// Events of a candidate at a level, and the sheet condensed to them.
    pub(super) fn at_level(
        &mut self,
        candidate: usize,
        level: Level,
        cancel: &Cancel,
    ) -> Result<Arc<AtLevel>, WarpError> {
        if let Some(known) = self.kept.levels.get(&(candidate, level)) {
            return Ok(Arc::clone(known));
        }
        let of = self.candidates.get(candidate).ok_or(crate::order::OrderError::NoEvent)?;
        let mut events = of.events.clone();
        let spread = match level {
            Level::Middle => None,
            Level::Low => Some(&of.spread[0]),
            Level::High => Some(&of.spread[1]),
        };
        let condensed = if let Some(spread) = spread {
            events.iter_mut().zip(spread).for_each(|(event, left)| left.on(event));
            self.condenser.condense(&events, &self.limits, cancel)?
        } else {
            of.condensed.clone()
        };
        let made = Arc::new((events, condensed));
        self.kept.levels.insert((candidate, level), Arc::clone(&made));
        Ok(made)
    }

    /// How many times its shrinkage each event counts in an order, for the heat that is left where it starts ([`crate::order::cooling::Timing::counts`]).
    pub(super) fn counts(&self, candidate: usize, order: &[u32], pauses: Pauses) -> Vec<f64> {
        let Some(of) = self.candidates.get(candidate) else { return Vec::new() };
        let mut counts = vec![1.0; of.events.len()];
        for timing in self.cooling.timings(&of.events, order, pauses == Pauses::Taken) {
            if let Some(counts) = counts.get_mut(timing.event as usize) {
                *counts = timing.counts;
            }
        }
        counts
    }

    /// The sheet after the first `steps` of an order (all: `usize::MAX`). `counts`: as of [`Self::counts`], by event.
    pub(super) fn state(
        &mut self,
        (events, condensed): &AtLevel,
        order: &[u32],
        counts: &[f64],
        steps: usize,
    ) -> Result<State, WarpError> {
        let (steps_of_all, whole) = trail(condensed, order, counts)?;
        let score = whole.score();
        let done = &order[..steps.min(order.len())];
        let mut part = crate::order::Walk::warmed(condensed, counts);
        let walk = if done.len() == order.len() {
            whole
        } else {
            done.iter().for_each(|event| part.step(*event));
            part
        };
        let counting = |number: &u32| {
            let counts = counts.get(*number as usize).copied().unwrap_or(1.0);
            events.get(*number as usize).map(|event| event.counting(counts))
        };
        let counted: Vec<Event> = done.iter().filter_map(counting).collect();
        let shrunk: Vec<&Event> = counted.iter().collect();
        let deflection = self.condenser.deflection(&shrunk, walk.push())?;
        let mut loads = loads(shrunk.iter().copied());
        let forces_n_mm = self.condenser.model().assembly().membrane_forces_n_mm(&deflection, &loads)?;
        let joined = walk.is_joined().chunks_exact(ROWS).map(|rows| rows[0]).collect();
        loads.shifts.extend(offset_shifts(&self.panel, walk.relative(), walk.is_joined()));
        Ok(State { steps: steps_of_all, score, joined, forces_n_mm, loads })
    }

    /// The mesh joined as far as a state is, what holds it, and for each of its points the one of the closed mesh.
    pub(super) fn joined_shell(&self, joined: &[bool]) -> (Shell, Supports, Vec<u32>) {
        joined_shell(&self.panel, &self.open, &self.supports, joined)
    }

    /// The lowest mode of a state and its factor, the buckling margin; none when nothing pushes.
    pub(super) fn lowest(&mut self, state: &State, cancel: &Cancel) -> Result<Option<BucklingMode>, WarpError> {
        let silent = Progress::silent();
        let known = self.kept.models.iter().position(|(joined, _)| *joined == state.joined);
        let (joined, mut model) = match known {
            Some(at) => self.kept.models.remove(at),
            None => {
                let (shell, held, _) = self.joined_shell(&state.joined);
                (state.joined.clone(), LinearModel::new(shell, &held, &silent, cancel)?)
            }
        };
        let mut found = None;
        for (basis, steps) in TRIES {
            let settings = EigenSettings { modes: 1, tolerance: MODE_TOLERANCE, basis, steps };
            let buckling = model.buckling_of_forces(&state.forces_n_mm, &settings, &silent, cancel)?;
            let done = buckling.converged;
            found = Some(buckling);
            if done {
                break;
            }
        }
        self.kept.models.insert(0, (joined, model));
        self.kept.models.truncate(MOST_MODELS);
        let Some(found) = found else { return Ok(None) };
        if !found.converged {
            let concern = not_settled("a buckling margin", &found.modes);
            if self.concerns.iter().all(|known| known.what != concern.what) {
                self.concerns.push(concern);
            }
        }
        Ok(found.modes.into_iter().next())
    }

    /// Least buckling margin of a state, in full; none when nothing pushes.
    pub(super) fn margin(&mut self, state: &State, cancel: &Cancel) -> Result<Option<f64>, WarpError> {
        Ok(self.lowest(state, cancel)?.map(|mode| mode.factor))
    }
}

/// Said of a search for buckling modes that ran out of steps.
pub(super) fn not_settled(what: &str, modes: &[BucklingMode]) -> Concern {
    let residual = modes.iter().map(|mode| mode.residual).fold(0.0, f64::max);
    let off = if modes.is_empty() {
        "no mode was found, and there may be one".to_owned()
    } else {
        format!("what was found may be off by {:.1} %", 100.0 * residual * residual)
    };
    Concern {
        key: "buckling-search-not-settled".into(),
        grade: Grade::Caution,
        place: "buckling".into(),
        what: format!("The search for {what} did not settle: {off}."),
        why: "Very uneven triangles or a panel that many shapes buckle at nearly the same load make it slow; a lower margin may have been missed.".into(),
        what_to_do: "Take the margin as a guess; give a coarser or a more even mesh along the weld.".into(),
        lifted_by: None,
        source: String::new(),
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
    let normals = skin.point_normals();
    // what holds an edge on its surface lets the whole slide along it, without end when it bends as well
    let hung =
        if several || supports.holds.is_empty() { Hung::Floating(&piece_of) } else { Hung::InTheSurface(&normals) };
    let held = carried(supports, &closed_of, &hung);
    (Shell { skin, ..open.clone() }, held, closed_of)
}
