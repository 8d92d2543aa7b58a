//! How long a run may be, and how long to wait, so that the place of the next run is cool enough.

use super::schedule::conduct;
use super::{HeatError, Panel, Pass, Schedule, Wait, split};
use crate::heat::within;
use crate::joints::habit;
use glam::DVec3;
use handbook::{Source, Working};
use numerics::{Cancel, Progress};
use serde::Serialize;

/// In which order the runs of a seam are tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RunOrder {
    /// One after the other from the start: each beside the last, the longest pauses.
    EndToEnd,
    /// From the middle outwards, to either side in turn (W31).
    MiddleOutwards,
    /// The habit of the trade as [`crate::joints::habit`] has it: the middle, then always far from the last and from all done.
    Habit,
}

impl RunOrder {
    /// Numbers of `count` runs along the seam in this order.
    pub fn of(self, count: usize) -> Vec<usize> {
        match self {
            Self::EndToEnd => (0..count).collect(),
            Self::Habit => {
                let places: Vec<DVec3> = (0..count).map(|i| DVec3::X * i as f64).collect();
                habit(&places, count.saturating_sub(1) / 2)
            }
            Self::MiddleOutwards => {
                let middle = count.saturating_sub(1) / 2;
                let upwards = (middle + 1..count).map(Some).chain(std::iter::repeat(None));
                let downwards = (0..middle).rev().map(Some).chain(std::iter::repeat(None));
                let sides = upwards.zip(downwards).take(count).flat_map(|(up, down)| [up, down]).flatten();
                (count > 0).then_some(middle).into_iter().chain(sides).collect()
            }
        }
    }
}

impl RunOrder {
    /// Numbers of some runs in this order; the habit goes by where they lie, whichever way the seam bends.
    pub(crate) fn of_runs(self, runs: &[Vec<DVec3>]) -> Vec<usize> {
        match self {
            Self::Habit => {
                let middle = |run: &Vec<DVec3>| {
                    let ends = run.first().zip(run.last());
                    ends.map(|(from, to)| from.midpoint(*to)).unwrap_or_default()
                };
                let places: Vec<DVec3> = runs.iter().map(middle).collect();
                habit(&places, runs.len().saturating_sub(1) / 2)
            }
            other => other.of(runs.len()),
        }
    }
}

/// A seam for which run lengths are tried.
#[derive(Debug, Clone, PartialEq)]
pub struct RunTrials<'a> {
    /// The whole seam.
    pub line_mm: &'a [DVec3],
    /// Travel.
    pub travel_mm_s: f64,
    /// Net power.
    pub power_w: f64,
    /// Radius of the spot of heat.
    pub radius_mm: f64,
    /// Order of the runs.
    pub order: RunOrder,
    /// Run lengths to try.
    pub lengths_mm: &'a [f64],
    /// Cool enough for the next run (`handbook::welding::INTER_RUN_C` unless the shop says else).
    pub cool_c: f64,
    /// Longest pause that is acceptable.
    pub longest_pause_s: f64,
    /// Temperature of the panel before.
    pub start_c: f64,
}

/// What one run length needs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RunLength {
    /// Length of each run.
    pub length_mm: f64,
    /// Number of runs.
    pub runs: usize,
    /// Longest pause between two runs.
    pub longest_pause_s: f64,
    /// Time for the whole seam.
    pub total_s: f64,
    /// Hottest place of a coming run just before it began.
    pub hottest_before_c: f64,
    /// Whether every run found its place cool enough within the longest pause.
    pub cool_enough: bool,
}

/// All run lengths that were tried, in the order given, and which to take.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RunLengths {
    /// What each needs.
    pub tried: Vec<RunLength>,
    /// The one whose seam is done soonest among those that stay cool; none when none does. The whole seam in one run is tried but never
    /// the best: it has no pause, and warps most.
    pub best: Option<usize>,
    /// Working of its longest pause.
    pub working: Option<Working>,
}

/// Tries run lengths along a seam, each run waiting until its own place is cool.
///
/// # Errors
/// As [`conduct`]; [`HeatError::Rule`] for a run length that is none.
pub fn run_lengths(
    panel: &Panel<'_>,
    trials: &RunTrials<'_>,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<RunLengths, HeatError> {
    let mut tried = Vec::with_capacity(trials.lengths_mm.len());
    let count = trials.lengths_mm.len().max(1) as f64;
    for (i, &longest_mm) in trials.lengths_mm.iter().enumerate() {
        let share = progress.part(i as f64 / count, (i + 1) as f64 / count);
        tried.push(try_length(panel, trials, longest_mm, &share, cancel)?);
    }
    let cool = tried.iter().enumerate().filter(|(_, one)| one.cool_enough && one.runs > 1);
    let best = cool.min_by(|(_, a), (_, b)| a.total_s.total_cmp(&b.total_s)).map(|(at, _)| at);
    let working = best.and_then(|at| tried.get(at)).map(|best| working(panel, trials, best));
    Ok(RunLengths { tried, best, working })
}

fn try_length(
    panel: &Panel<'_>,
    trials: &RunTrials<'_>,
    longest_mm: f64,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<RunLength, HeatError> {
    let at_most_s = within("longest pause", trials.longest_pause_s, [0.0, 1e5], "s")?;
    let runs = split(trials.line_mm, longest_mm)?;
    let wait = Wait::UntilCool { below_c: trials.cool_c, at_most_s };
    let pass = |at: usize| {
        let line_mm = runs.get(at).cloned().unwrap_or_default();
        (wait, Pass::Run { line_mm, travel_mm_s: trials.travel_mm_s, power_w: trials.power_w })
    };
    let schedule = Schedule {
        passes: trials.order.of_runs(&runs).into_iter().map(pass).collect(),
        radius_mm: trials.radius_mm,
        start_c: vec![trials.start_c],
        watch_s: 0.0,
        at_times_s: Vec::new(),
    };
    let done = conduct(panel, &schedule, progress, cancel)?;
    let most = |of: fn(&super::PassLog) -> f64| done.passes.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
    let length_mm: f64 = trials.line_mm.windows(2).map(|ends| ends[0].distance(ends[1])).sum();
    Ok(RunLength {
        length_mm: length_mm / runs.len() as f64,
        runs: runs.len(),
        longest_pause_s: most(|log| log.waited_s),
        total_s: done.end_s,
        hottest_before_c: most(|log| log.hottest_before_c),
        cool_enough: done.passes.iter().all(|log| log.cool_enough),
    })
}

fn working(panel: &Panel<'_>, trials: &RunTrials<'_>, best: &RunLength) -> Working {
    let formula = "conduction in the panel's mesh; each run waits until its place is cool";
    let source = Source::text("heat conduction with surface loss, worked out on the panel", "");
    Working::new("longest pause between runs", best.longest_pause_s, "s", formula, source)
        .with("L", "length of a run", best.length_mm, "mm")
        .with("n", "runs", best.runs as f64, "")
        .with("q", "net power", trials.power_w, "W")
        .with("v", "travel", trials.travel_mm_s, "mm/s")
        .with("T", "cool enough", trials.cool_c, "°C")
        .with("Ta", "air", panel.air_c, "°C")
}

#[cfg(test)]
mod tests {
    use super::RunOrder;

    #[test]
    fn every_run_once_and_the_middle_first() {
        assert_eq!(RunOrder::MiddleOutwards.of(5), [2, 3, 1, 4, 0]);
        assert_eq!(RunOrder::MiddleOutwards.of(4), [1, 2, 0, 3]);
        assert_eq!(RunOrder::MiddleOutwards.of(1), [0]);
        assert_eq!(RunOrder::MiddleOutwards.of(0), [0usize; 0]);
        assert_eq!(RunOrder::EndToEnd.of(3), [0, 1, 2]);
        assert_eq!(RunOrder::Habit.of(5).get(..3), Some(&[2, 0, 4][..]));
        assert_eq!(RunOrder::Habit.of(0), [0usize; 0]);
    }
}
