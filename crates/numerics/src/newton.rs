//! Projected Newton: minimises a sum of element energies whose Hessians the caller makes positive semidefinite.
//!
//! Each step solves (H + s·I)·d = −g with a small shift s (a share of the mean diagonal) that removes what the energy leaves
//! free, such as rigid motion; then goes along d as far as the energy falls enough (Armijo), never farther than a share of the
//! [`Objective::largest_step`], beyond which an element would turn over. The energy never rises. No clock, no chance: the
//! same input gives the same bits. A factor is used again for further steps as long as each of them promises far less than the step
//! before brought: near the minimum the Hessian hardly changes, and a factor costs as much as ten solves.
//!
//! Guaranteed: the result has a finite energy whenever the start has. Not guaranteed: the lowest of several minima.

use crate::cholesky::{Cholesky, CholeskyError};
use crate::{Cancel, Progress};

/// What is minimised.
pub trait Objective {
    /// Energy at `x`, 0 or more; infinite where it is not defined.
    fn energy(&self, x: &[f64]) -> f64;

    /// Energy, its gradient and the values of a positive semidefinite Hessian (lower triangle in the order of the pattern); both
    /// slices are overwritten.
    fn derivatives(&self, x: &[f64], gradient: &mut [f64], hessian: &mut [f64]) -> f64;

    /// Energy and its gradient, which is overwritten.
    fn gradient(&self, x: &[f64], gradient: &mut [f64]) -> f64;

    /// Largest multiple of `direction` before the energy stops being defined; infinite when it never does.
    fn largest_step(&self, x: &[f64], direction: &[f64]) -> f64;

    /// How many values the Hessian has.
    fn hessian_values(&self) -> usize;

    /// Positions of the diagonal in the values of the Hessian.
    fn diagonal(&self) -> &[u32];
}

/// When to stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stop {
    /// Converged when a step lowers the energy by less than this share of it.
    pub relative_fall: f64,
    /// Converged when the energy, or the fall a step promises, is below this.
    pub energy: f64,
    /// Most steps.
    pub iterations: usize,
}

/// How a minimisation ended.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum Ending {
    /// The energy no longer falls by more than was asked for.
    Converged,
    /// No step along the last direction lowered the energy; `promised` is the fall it should have given.
    Stalled {
        /// Fall of the energy that the quadratic model promised.
        promised: f64,
    },
    /// The most steps were used up.
    IterationLimit,
    /// Somebody asked to stop; the result is the best so far.
    Cancelled,
}

/// How a minimisation went.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Minimised {
    /// How it ended.
    pub ending: Ending,
    /// Steps taken.
    pub iterations: usize,
    /// Energy at the end.
    pub energy: f64,
    /// Largest component of the last gradient.
    pub gradient: f64,
}

/// Share of the largest step that is tried at most.
const STEP_SHARE: f64 = 0.9;
/// Share of the promised fall that a step must bring.
const ARMIJO: f64 = 1e-4;
/// Shift of the Hessian as a share of its mean diagonal.
const SHIFT: f64 = 1e-10;
/// A factor is used again for a step that promises less than this share of what the last one brought.
const REUSE: f64 = 0.1;
/// Most halvings in one line search.
const HALVINGS: usize = 40;

/// Minimises from `x` (which must have a finite energy), writing the result back into `x`.
///
/// # Errors
/// [`CholeskyError`] when the Hessian cannot be factored even with a larger shift.
pub fn minimise(
    objective: &impl Objective,
    solver: &mut Cholesky,
    x: &mut [f64],
    stop: Stop,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<Minimised, CholeskyError> {
    let mut gradient = vec![0.0; x.len()];
    let mut hessian = vec![0.0; objective.hessian_values()];
    let mut trial = vec![0.0; x.len()];
    let mut state = Minimised { ending: Ending::IterationLimit, iterations: 0, energy: f64::INFINITY, gradient: 0.0 };
    let mut shift = SHIFT;
    loop {
        state.energy = objective.derivatives(x, &mut gradient, &mut hessian);
        if let Some(ending) = ended(&mut state, &gradient, stop, cancel) {
            state.ending = ending;
            return Ok(state);
        }
        shift = factor_shifted(objective, solver, &mut hessian, shift)?;
        let mut brought = f64::INFINITY;
        // steps with this factor
        loop {
            let mut direction: Vec<f64> = gradient.iter().map(|g| -g).collect();
            solver.solve(&mut direction)?;
            let slope: f64 = gradient.iter().zip(&direction).map(|(g, d)| g * d).sum();
            let again = brought.is_finite();
            if again && -0.5 * slope > REUSE * brought {
                break;
            }
            if -slope <= 2.0 * stop.energy {
                state.ending = Ending::Converged;
                return Ok(state);
            }
            let Some(energy) = line_search(objective, x, &direction, state.energy, slope, &mut trial) else {
                // what is promised is below the rounding of the sum: nothing more can be gained
                let rounding = -slope <= 1e-11 * state.energy;
                if again && !rounding {
                    break;
                }
                state.ending = if rounding { Ending::Converged } else { Ending::Stalled { promised: -0.5 * slope } };
                return Ok(state);
            };
            x.copy_from_slice(&trial);
            state.iterations += 1;
            brought = state.energy - energy;
            progress.report(state.iterations as f64 / stop.iterations.max(1) as f64, "minimising");
            state.energy = energy;
            if brought <= stop.relative_fall * energy {
                state.ending = Ending::Converged;
                return Ok(state);
            }
            state.energy = objective.gradient(x, &mut gradient);
            if let Some(ending) = ended(&mut state, &gradient, stop, cancel) {
                state.ending = ending;
                return Ok(state);
            }
        }
    }
}

/// Whether there is nothing more to do, or no more may be done.
fn ended(state: &mut Minimised, gradient: &[f64], stop: Stop, cancel: &Cancel) -> Option<Ending> {
    state.gradient = gradient.iter().fold(0.0, |most: f64, g| most.max(g.abs()));
    if state.energy <= stop.energy {
        Some(Ending::Converged)
    } else if state.iterations >= stop.iterations {
        Some(Ending::IterationLimit)
    } else if cancel.is_asked() {
        Some(Ending::Cancelled)
    } else {
        None
    }
}

/// Adds the shift and factors; a larger shift when that fails. Returns the shift that worked.
fn factor_shifted(
    objective: &impl Objective,
    solver: &mut Cholesky,
    hessian: &mut [f64],
    shift: f64,
) -> Result<f64, CholeskyError> {
    let diagonal = objective.diagonal();
    let mean = diagonal.iter().map(|&at| hessian[at as usize]).sum::<f64>() / diagonal.len().max(1) as f64;
    let mut added = 0.0;
    let mut shift = (shift * 0.1).max(SHIFT);
    loop {
        for &at in diagonal {
            hessian[at as usize] += (shift - added) * mean;
        }
        added = shift;
        match solver.factor(hessian) {
            Err(CholeskyError::NotPositiveDefinite) if shift < 1e-3 => shift *= 100.0,
            other => return other.map(|()| shift),
        }
    }
}

/// Steps along `direction` until the energy falls enough; leaves the point in `trial` and returns its energy.
fn line_search(
    objective: &impl Objective,
    x: &[f64],
    direction: &[f64],
    energy: f64,
    slope: f64,
    trial: &mut [f64],
) -> Option<f64> {
    let mut step = (STEP_SHARE * objective.largest_step(x, direction)).min(1.0);
    for _ in 0..HALVINGS {
        for ((t, x), d) in trial.iter_mut().zip(x).zip(direction) {
            *t = x + step * d;
        }
        let reached = objective.energy(trial);
        if reached.is_finite() && reached <= energy + ARMIJO * step * slope {
            return Some(reached);
        }
        // the parabola through energy, slope and the energy reached, held between a tenth and a half of the step
        let parabola = -0.5 * slope * step * step / (reached - energy - slope * step);
        step = if parabola.is_finite() { parabola.clamp(0.1 * step, 0.5 * step) } else { 0.5 * step };
    }
    None
}
