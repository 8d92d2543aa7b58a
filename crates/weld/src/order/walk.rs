//! One order walked through, event by event.

use super::factor::{GrowingFactor, add_scaled};
use super::{Condensed, OrderError, Score};
use serde::Serialize;

/// The state after some events of an order.
#[derive(Debug, Clone)]
pub struct Walk<'a> {
    model: &'a Condensed,
    factor: GrowingFactor,
    /// Rows in the order of the factor.
    joined: Vec<u32>,
    is_joined: Vec<bool>,
    /// Relative motion of each row.
    relative: Vec<f64>,
    /// Force or moment with which the joined rows pull the sides together.
    push: Vec<f64>,
    /// Projected geometric stiffness of the shrinkage so far.
    projected: Vec<f64>,
    score: Score,
    /// Sum of squares, and number, of gap changes before joining.
    locked: (f64, u32),
    side: Vec<f64>,
    /// How many times its shrinkage each event counts; once beyond the end.
    counts: Vec<f64>,
}

/// A state to which a walk can return.
#[derive(Debug, Clone)]
pub(super) struct Mark {
    joined: usize,
    relative: Vec<f64>,
    push: Vec<f64>,
    projected: Vec<f64>,
    score: Score,
    locked: (f64, u32),
}

/// What one step of an order did.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StepRecord {
    /// Which event.
    pub event: u32,
    /// Least and most change of the watched gaps just before it joined, mm; `None` when all its pairs were joined already.
    pub gap_change_mm: Option<[f64; 2]>,
    /// How far the worst of them lay outside its limit, mm.
    pub gap_excess_mm: f64,
    /// Estimate of the buckling margin after it.
    pub margin: f64,
}

impl<'a> Walk<'a> {
    /// Nothing done yet.
    #[must_use]
    pub fn new(model: &'a Condensed) -> Self {
        let packed = model.projection.as_ref().map_or(0, super::Projection::packed);
        Self {
            model,
            factor: GrowingFactor::default(),
            joined: Vec::new(),
            is_joined: vec![false; model.rows],
            relative: vec![0.0; model.rows],
            push: vec![0.0; model.rows],
            projected: vec![0.0; packed],
            score: Score::START,
            locked: (0.0, 0),
            side: Vec::new(),
            counts: Vec::new(),
        }
    }

    /// The same where events count more than once their shrinkage, by event, because the sheet is warm where they start ([`super::cooling::Timing::counts`]).
    /// Events beyond the end of `counts` count once.
    #[must_use]
    pub fn warmed(model: &'a Condensed, counts: &[f64]) -> Self {
        Self { counts: counts.to_vec(), ..Self::new(model) }
    }

    /// Relative motion of each row.
    #[must_use]
    pub fn relative(&self) -> &[f64] {
        &self.relative
    }

    /// Forces (N) and moments (N·mm) with which the joined rows hold the sides together: the sheet is that of all shrinkages so far,
    /// unjoined, less these.
    #[must_use]
    pub fn push(&self) -> &[f64] {
        &self.push
    }

    /// Which rows are joined.
    #[must_use]
    pub fn is_joined(&self) -> &[bool] {
        &self.is_joined
    }

    /// Score so far.
    #[must_use]
    pub fn score(&self) -> Score {
        self.score
    }

    /// One event: joins, then shrinks. Its number must be one of the model's.
    pub fn step(&mut self, event: u32) {
        self.recorded_step(event);
    }

    pub(super) fn recorded_step(&mut self, event: u32) -> StepRecord {
        let model = self.model;
        let this = &model.events[event as usize];
        let (mut gap_change_mm, mut excess): (Option<[f64; 2]>, f64) = (None, 0.0);
        for watch in this.watches.iter().filter(|watch| !self.is_joined[watch.row as usize]) {
            let change = self.relative[watch.row as usize];
            excess = excess.max(watch.limit.excess_mm(change));
            gap_change_mm = Some(gap_change_mm.map_or([change; 2], |[low, high]| [low.min(change), high.max(change)]));
            self.locked = (self.locked.0 + change * change, self.locked.1 + 1);
        }
        self.join(&this.rows);
        let counts = self.counts.get(event as usize).copied().unwrap_or(1.0);
        self.shrink(&this.free, counts);
        let mut margin = f64::INFINITY;
        if let Some(projection) = &model.projection {
            add_scaled(&mut self.projected, counts, &projection.of_events[event as usize]);
            let mut state = self.projected.clone();
            for &row in &self.joined {
                add_scaled(&mut state, -self.push[row as usize], &projection.of_rows[row as usize]);
            }
            margin = projection.margin(&state);
        }
        self.score.gap_excess_mm = self.score.gap_excess_mm.max(excess);
        self.score.least_margin = self.score.least_margin.min(margin);
        self.score.locked_in_mm = (self.locked.0 / f64::from(self.locked.1.max(1))).sqrt();
        StepRecord { event, gap_change_mm, gap_excess_mm: excess, margin }
    }

    fn join(&mut self, rows: &[u32]) {
        for &row in rows {
            if self.is_joined[row as usize] {
                continue;
            }
            let compliance = self.model.compliance_row(row);
            self.side.clear();
            self.side.extend(self.joined.iter().map(|other| compliance[*other as usize]));
            if self.factor.add(&mut self.side, compliance[row as usize]) {
                self.joined.push(row);
                self.is_joined[row as usize] = true;
            }
        }
    }

    /// The sheet shrinks: the joined rows keep their offset.
    fn shrink(&mut self, free: &[f64], counts: f64) {
        self.side.clear();
        self.side.extend(self.joined.iter().map(|row| counts * free[*row as usize]));
        self.factor.solve(&mut self.side);
        let kept: Vec<f64> = self.joined.iter().map(|row| self.relative[*row as usize]).collect();
        add_scaled(&mut self.relative, counts, free);
        for (&row, &force) in self.joined.iter().zip(&self.side) {
            add_scaled(&mut self.relative, -force, self.model.compliance_row(row));
            self.push[row as usize] += force;
        }
        // exact, not to rounding
        for (&row, kept) in self.joined.iter().zip(kept) {
            self.relative[row as usize] = kept;
        }
    }

    pub(super) fn mark(&self) -> Mark {
        Mark {
            joined: self.joined.len(),
            relative: self.relative.clone(),
            push: self.push.clone(),
            projected: self.projected.clone(),
            score: self.score,
            locked: self.locked,
        }
    }

    /// Back to a mark of this walk, or of another that shares its events up to the mark.
    pub(super) fn return_to(&mut self, mark: &Mark, other: Option<&Self>) {
        match other {
            Some(other) => {
                self.factor.copy_first(&other.factor, mark.joined);
                self.joined.clear();
                self.joined.extend_from_slice(&other.joined[..mark.joined]);
                self.is_joined.fill(false);
                self.joined.iter().for_each(|row| self.is_joined[*row as usize] = true);
            }
            None => {
                self.factor.cut_to(mark.joined);
                self.joined[mark.joined..].iter().for_each(|row| self.is_joined[*row as usize] = false);
                self.joined.truncate(mark.joined);
            }
        }
        debug_assert_eq!(self.factor.rows(), self.joined.len());
        self.relative.copy_from_slice(&mark.relative);
        self.push.copy_from_slice(&mark.push);
        self.projected.copy_from_slice(&mark.projected);
        (self.score, self.locked) = (mark.score, mark.locked);
    }
}

/// An order step by step, and where it ends. `counts`: as of [`Walk::warmed`].
///
/// # Errors
/// [`OrderError::NoOrder`].
pub fn trail<'a>(
    model: &'a Condensed,
    order: &[u32],
    counts: &[f64],
) -> Result<(Vec<StepRecord>, Walk<'a>), OrderError> {
    model.check_order(order)?;
    let mut walk = Walk::warmed(model, counts);
    let steps = order.iter().map(|event| walk.recorded_step(*event)).collect();
    Ok((steps, walk))
}

/// A gap farther outside its limit than this is out of it, mm: the thinnest leaf of a feeler gauge.
const FEELER_MM: f64 = 0.05;

/// A gap that has left its limits before it was joined.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GapLeft {
    /// After so many events.
    pub after: usize,
    /// Row of the gap.
    pub row: u32,
    /// The gap there, mm; below 0 the edges have met and lie over each other.
    pub gap_mm: f64,
}

/// The first time in an order that a gap which is still open lies outside its limits, and where it does most; none when all keep to them.
/// `counts`: as of [`Walk::warmed`].
///
/// # Errors
/// [`OrderError::NoOrder`].
pub fn first_gap_left(model: &Condensed, order: &[u32], counts: &[f64]) -> Result<Option<GapLeft>, OrderError> {
    model.check_order(order)?;
    let mut walk = Walk::warmed(model, counts);
    for (done, event) in order.iter().enumerate() {
        walk.step(*event);
        let open = model.events.iter().flat_map(|event| &event.watches).filter(|own| !walk.is_joined[own.row as usize]);
        let out = open.map(|own| (own, own.limit.excess_mm(walk.relative[own.row as usize])));
        let worst = out.filter(|(_, excess)| *excess > FEELER_MM).max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((own, _)) = worst {
            let gap_mm = own.limit.set_up_mm + walk.relative[own.row as usize];
            return Ok(Some(GapLeft { after: done + 1, row: own.row, gap_mm }));
        }
    }
    Ok(None)
}

#[cfg(test)]
pub(in crate::order) mod tests;
