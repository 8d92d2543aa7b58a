//! The order that warps least: every order when there are few, otherwise a beam and local search.
//!
//! Up to 7 events (5040 orders) every order is tried. Beyond, the search starts from the orders it is given (end to end and the
//! trade habit among them, so that it is never worse than either), from a beam search that keeps the best beginnings, and from shuffled
//! orders; each start is bettered by swapping two events, moving one, or reversing a stretch, as long as that helps. Moves keep the
//! phases apart. Same seed, same answer.

use super::walk::Mark;
use super::{Condensed, OrderError, Score, Walk};
use numerics::{Cancel, Progress};

/// How much is tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SearchSettings {
    /// Every order is tried when there are at most so many.
    pub exhaustive_up_to: usize,
    /// Orders tried at most by the local search, those given up half way because they were worse already among them.
    pub most_orders: usize,
    /// Shuffled starts.
    pub restarts: u32,
    /// Beginnings that the beam keeps; 0 leaves the beam out.
    pub beam: usize,
    /// Best orders that are kept.
    pub keep: usize,
    /// Seed of shuffles and of the order of moves.
    pub seed: u64,
}

impl Default for SearchSettings {
    /// 7! orders, then 2400 by local search from 2 shuffles and a beam of 3, the best ten kept.
    fn default() -> Self {
        Self { exhaustive_up_to: 5040, most_orders: 2400, restarts: 2, beam: 3, keep: 10, seed: 1 }
    }
}

/// An order and its score.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranked {
    /// Events in order.
    pub order: Vec<u32>,
    /// Its score.
    pub score: Score,
}

/// What a search found.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The best orders, the best first.
    pub best: Vec<Ranked>,
    /// Orders that were tried, those given up half way because they were worse already among them.
    pub tried: usize,
    /// Every order was tried.
    pub exhaustive: bool,
}

/// Searches the order with the best [`Score`].
///
/// # Errors
/// [`OrderError::NoOrder`] when a start is no order of the events; [`OrderError::Cancelled`].
pub fn search(
    model: &Condensed,
    starts: &[Vec<u32>],
    settings: &SearchSettings,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<Found, OrderError> {
    starts.iter().try_for_each(|start| model.check_order(start))?;
    let mut search = Search { model, settings, cancel, found: Vec::new(), tried: 0 };
    if orders(model) <= settings.exhaustive_up_to as f64 {
        search.all(progress)?;
        return Ok(Found { best: search.found, tried: search.tried, exhaustive: true });
    }
    search.local(starts, progress)?;
    Ok(Found { best: search.found, tried: search.tried, exhaustive: false })
}

/// Number of orders that keep the phases apart.
fn orders(model: &Condensed) -> f64 {
    phases(model).iter().map(|phase| (1..=phase.len()).map(|i| i as f64).product::<f64>()).product()
}

/// Events by phase.
fn phases(model: &Condensed) -> Vec<Vec<u32>> {
    let mut numbers: Vec<u8> = model.events.iter().map(|event| event.phase).collect();
    numbers.sort_unstable();
    numbers.dedup();
    let of = |phase: u8| (0..model.events.len() as u32).filter(move |e| model.events[*e as usize].phase == phase);
    numbers.into_iter().map(|phase| of(phase).collect()).collect()
}

struct Search<'a> {
    model: &'a Condensed,
    settings: &'a SearchSettings,
    cancel: &'a Cancel,
    found: Vec<Ranked>,
    tried: usize,
}

/// An order with its states, so that one like it is walked from where the two part.
struct Current<'a> {
    order: Vec<u32>,
    walk: Walk<'a>,
    /// State before each event.
    marks: Vec<Mark>,
    score: Score,
}

impl<'a> Search<'a> {
    fn keep(&mut self, order: &[u32], score: Score) {
        self.tried += 1;
        let place = self.found.partition_point(|known| !score.beats(&known.score));
        if place >= self.settings.keep.max(1) || self.found.iter().any(|known| known.order == order) {
            return;
        }
        self.found.insert(place, Ranked { order: order.to_vec(), score });
        self.found.truncate(self.settings.keep.max(1));
    }

    fn all(&mut self, progress: &Progress) -> Result<(), OrderError> {
        let mut walk = Walk::new(self.model);
        let mut left = phases(self.model);
        let mut order = Vec::new();
        let whole = orders(self.model);
        self.every(&mut walk, &mut left, &mut order, &|tried| progress.report(tried as f64 / whole, "every order"))
    }

    fn every(
        &mut self,
        walk: &mut Walk<'a>,
        left: &mut Vec<Vec<u32>>,
        order: &mut Vec<u32>,
        report: &dyn Fn(usize),
    ) -> Result<(), OrderError> {
        let Some(phase) = left.iter().position(|phase| !phase.is_empty()) else {
            self.cancel.check()?;
            self.keep(order, walk.score());
            report(self.tried);
            return Ok(());
        };
        let mark = walk.mark();
        for i in 0..left[phase].len() {
            let event = left[phase].remove(i);
            order.push(event);
            walk.step(event);
            self.every(walk, left, order, report)?;
            walk.return_to(&mark, None);
            order.pop();
            left[phase].insert(i, event);
        }
        Ok(())
    }

    fn local(&mut self, starts: &[Vec<u32>], progress: &Progress) -> Result<(), OrderError> {
        let mut random = fastrand::Rng::with_seed(self.settings.seed);
        let mut starts: Vec<Vec<u32>> = starts.to_vec();
        for start in &starts.clone() {
            let current = self.walked(start.clone())?;
            self.keep(start, current.score);
        }
        if self.settings.beam > 0 {
            progress.report(0.0, "best beginnings");
            starts.insert(0, self.beam()?);
        }
        for _ in 0..self.settings.restarts.max(u32::from(starts.is_empty())) {
            let mut shuffled = phases(self.model);
            shuffled.iter_mut().for_each(|phase| random.shuffle(phase));
            starts.push(shuffled.concat());
        }
        let most = self.settings.most_orders;
        let each = (most / starts.len().max(1)).max(1);
        for start in starts {
            self.better(start, each, &mut random, progress)?;
        }
        // what is left goes to starts near the best, and to shuffled ones in turn
        let mut round = 0u32;
        while self.tried < most {
            let mut parts = phases(self.model);
            match self.found.first().filter(|_| round.is_multiple_of(2)) {
                Some(best) => {
                    let best = best.order.clone();
                    let in_order = |event: &u32| best.iter().position(|other| other == event);
                    for phase in &mut parts {
                        phase.sort_by_key(in_order);
                        let (from, to) = (random.usize(0..phase.len()), random.usize(0..phase.len()));
                        random.shuffle(&mut phase[from.min(to)..=from.max(to)]);
                    }
                }
                None => parts.iter_mut().for_each(|phase| random.shuffle(phase)),
            }
            round += 1;
            self.better(parts.concat(), (most - self.tried).max(1), &mut random, progress)?;
        }
        progress.report(1.0, "orders of tacks and runs");
        Ok(())
    }

    fn walked(&self, order: Vec<u32>) -> Result<Current<'a>, OrderError> {
        let mut walk = Walk::new(self.model);
        let mut marks = Vec::with_capacity(order.len());
        for &event in &order {
            self.cancel.check()?;
            marks.push(walk.mark());
            walk.step(event);
        }
        let score = walk.score();
        Ok(Current { order, walk, marks, score })
    }

    /// Betters an order by moves until none helps or enough have been tried.
    fn better(
        &mut self,
        start: Vec<u32>,
        most: usize,
        random: &mut fastrand::Rng,
        progress: &Progress,
    ) -> Result<(), OrderError> {
        progress.report(self.tried as f64 / self.settings.most_orders.max(1) as f64, "orders of tacks and runs");
        let mut current = self.walked(start)?;
        self.keep(&current.order, current.score);
        let mut moves = moves(self.model, &current.order);
        let (mut trial, mut tried) = (Walk::new(self.model), 0);
        'again: loop {
            random.shuffle(&mut moves);
            for change in &moves {
                if tried >= most {
                    return Ok(());
                }
                let order = change.of(&current.order);
                let same = order.iter().zip(&current.order).take_while(|(a, b)| a == b).count();
                let Some(mark) = current.marks.get(same) else { continue };
                trial.return_to(mark, Some(&current.walk));
                let mut marks = Vec::with_capacity(order.len() - same);
                for &event in &order[same..] {
                    self.cancel.check()?;
                    marks.push(trial.mark());
                    trial.step(event);
                    // what is worse half way stays worse
                    if current.score.gap_excess_mm + 1e-6 < trial.score().gap_excess_mm {
                        break;
                    }
                }
                tried += 1;
                if marks.len() < order.len() - same {
                    self.tried += 1;
                    continue;
                }
                self.keep(&order, trial.score());
                if trial.score().beats(&current.score) {
                    current.marks.truncate(same);
                    current.marks.extend(marks);
                    current.score = trial.score();
                    current.order = order;
                    std::mem::swap(&mut current.walk, &mut trial);
                    continue 'again;
                }
            }
            return Ok(());
        }
    }

    /// The best order whose beginnings were among the best of their length.
    fn beam(&mut self) -> Result<Vec<u32>, OrderError> {
        let all = phases(self.model);
        let mut beam = vec![(Vec::<u32>::new(), Walk::new(self.model))];
        for phase in &all {
            for _ in 0..phase.len() {
                let mut next: Vec<(Score, usize, u32)> = Vec::new();
                for (i, (order, walk)) in beam.iter_mut().enumerate() {
                    let mark = walk.mark();
                    for &event in phase.iter().filter(|event| !order.contains(event)) {
                        self.cancel.check()?;
                        walk.step(event);
                        next.push((walk.score(), i, event));
                        walk.return_to(&mark, None);
                    }
                }
                next.sort_by(|a, b| a.0.compare(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
                next.truncate(self.settings.beam);
                let step = |(_, i, event): (Score, usize, u32)| {
                    let (mut order, mut walk): (Vec<u32>, Walk<'_>) = beam[i].clone();
                    order.push(event);
                    walk.step(event);
                    (order, walk)
                };
                beam = next.into_iter().map(step).collect();
            }
        }
        for (order, walk) in &beam {
            self.keep(order, walk.score());
        }
        Ok(beam.into_iter().next().map(|(order, _)| order).unwrap_or_default())
    }
}

/// A change of an order.
#[derive(Debug, Clone, Copy)]
enum Change {
    Swap(usize, usize),
    Move(usize, usize),
    Reverse(usize, usize),
}

impl Change {
    fn of(self, order: &[u32]) -> Vec<u32> {
        let mut order = order.to_vec();
        match self {
            Self::Swap(i, j) => order.swap(i, j),
            Self::Move(i, j) => {
                let event = order.remove(i);
                order.insert(j, event);
            }
            Self::Reverse(i, j) => order[i..=j].reverse(),
        }
        order
    }
}

/// All changes that keep the phases apart.
fn moves(model: &Condensed, order: &[u32]) -> Vec<Change> {
    let phase = |i: usize| model.events[order[i] as usize].phase;
    let mut moves = Vec::new();
    for i in 0..order.len() {
        for j in (i + 1..order.len()).take_while(|j| phase(*j) == phase(i)) {
            moves.push(Change::Swap(i, j));
            if j > i + 1 {
                moves.extend([Change::Move(i, j), Change::Move(j, i), Change::Reverse(i, j)]);
            }
        }
    }
    moves
}

#[cfg(test)]
mod tests;
