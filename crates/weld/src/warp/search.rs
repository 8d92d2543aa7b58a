//! The orders compared.

use super::WarpError;
use super::prepare::{Candidate, Prepared};
use crate::order::Score;
use crate::order::search::{Ranked, SearchSettings, search};
use numerics::{Cancel, Progress};

/// An order of one of the candidates.
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    /// Which candidate.
    pub candidate: usize,
    /// Its events in order, with the score.
    pub ranked: Ranked,
}

/// What the search found.
#[derive(Debug, Clone, PartialEq)]
pub struct OrdersFound {
    /// The best, the best first; at most as many as are solved in full.
    pub best: Vec<Chosen>,
    /// The best trade habit over all candidates.
    pub habit: Chosen,
    /// End to end with the division of the best.
    pub end_to_end: Chosen,
    /// Orders tried, those given up half way because they were worse already among them.
    pub tried: usize,
    /// All orders of every division were tried.
    pub exhaustive: bool,
}

/// Divisions of the seams whose orders are searched: those with the best habit. Of the others habit and end to end are tried.
const SEARCHED: usize = 2;
/// Numbers that the search may touch in all: an order touches the square of the rows for each of its events, so long seams get fewer orders.
const MOST_NUMBERS: f64 = 4e9;
/// So many orders of each division are tried all the same.
const LEAST_ORDERS: usize = 150;

impl Prepared {
    /// The divisions that are searched.
    fn searched(&self) -> Result<Vec<usize>, WarpError> {
        let mut habits = Vec::with_capacity(self.candidates.len());
        for (number, candidate) in self.candidates.iter().enumerate() {
            habits.push((number, candidate.condensed.score(&candidate.habit)?));
        }
        habits.sort_by(|a, b| a.1.compare(&b.1).then(a.0.cmp(&b.0)));
        Ok(habits.into_iter().take(SEARCHED).map(|(number, _)| number).collect())
    }

    /// Searches the order, the run length and the pitch.
    ///
    /// # Errors
    /// [`WarpError::Cancelled`].
    pub fn search(&self, progress: &Progress, cancel: &Cancel) -> Result<OrdersFound, WarpError> {
        let (settings, count) = (self.plan.settings.search, self.candidates.len().max(1));
        let searched = self.searched()?;
        let share = searched.len().max(1);
        let (mut best, mut tried, mut exhaustive): (Vec<Chosen>, usize, bool) = (Vec::new(), 0, true);
        for (number, candidate) in self.candidates.iter().enumerate() {
            let part = progress.part(number as f64 / count as f64, (number + 1) as f64 / count as f64);
            let starts = [candidate.end_to_end.clone(), candidate.habit.clone()];
            if !searched.contains(&number) {
                for order in starts {
                    let score = candidate.condensed.score(&order)?;
                    best.push(Chosen { candidate: number, ranked: Ranked { order, score } });
                }
                (tried, exhaustive) = (tried + 2, false);
                continue;
            }
            let each_numbers = (candidate.condensed.rows() as f64).powi(2) * candidate.events.len() as f64;
            let affordable = (MOST_NUMBERS / share as f64 / each_numbers) as usize;
            let each = SearchSettings {
                most_orders: settings.most_orders.div_ceil(share).min(affordable.max(LEAST_ORDERS)),
                keep: self.plan.settings.finalists.max(1),
                ..settings
            };
            let found = search(&candidate.condensed, &starts, &each, &part, cancel)?;
            tried += found.tried;
            exhaustive &= found.exhaustive;
            best.extend(found.best.into_iter().map(|ranked| Chosen { candidate: number, ranked }));
        }
        best.sort_by(|a, b| {
            a.ranked
                .score
                .compare(&b.ranked.score)
                .then(a.candidate.cmp(&b.candidate))
                .then(a.ranked.order.cmp(&b.ranked.order))
        });
        best.truncate(self.plan.settings.finalists.max(1));
        let first = best.first().map_or(0, |chosen| chosen.candidate);
        let scored = |candidate: usize, order: fn(&Candidate) -> &Vec<u32>| -> Result<Chosen, WarpError> {
            let of = self.candidates.get(candidate).ok_or(crate::order::OrderError::NoEvent)?;
            let order = order(of).clone();
            let score: Score = of.condensed.score(&order)?;
            Ok(Chosen { candidate, ranked: Ranked { order, score } })
        };
        let mut habit = scored(first, |candidate| &candidate.habit)?;
        for candidate in 0..self.candidates.len() {
            let other = scored(candidate, |candidate| &candidate.habit)?;
            if other.ranked.score.beats(&habit.ranked.score) {
                habit = other;
            }
        }
        let end_to_end = scored(first, |candidate| &candidate.end_to_end)?;
        Ok(OrdersFound { best, habit, end_to_end, tried, exhaustive })
    }
}
