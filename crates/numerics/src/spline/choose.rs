//! Choosing λ.

use super::problem::Problem;
use super::{Smoothing, SplineError};
use crate::{Cancel, Progress};

/// How often a fitted unknown counts in cross-validation (Kim & Gu 2004).
pub(super) const COUNTED: f64 = 1.4;
/// Powers of ten of λ over the balance of both parts, from nearly through every reading to nearly a plane.
const POWERS: [f64; 2] = [-6.0, 9.0];
const STEPS: usize = 15;
/// Halvings of the bracket in each search.
const NARROWINGS: usize = 12;
/// A score that is rounding alone: readings missed by a billionth of their σ.
const NOTHING: f64 = 1e-18;

pub(super) fn smoothing(
    problem: &mut Problem<'_>,
    smoothing: Smoothing,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<f64, SplineError> {
    match smoothing {
        Smoothing::Given(lambda) if lambda.is_finite() && lambda > 0.0 => Ok(lambda),
        Smoothing::Given(got) => Err(SplineError::BadSmoothing { got }),
        Smoothing::CrossValidation => cross_validation(problem, progress, cancel),
        Smoothing::Discrepancy => discrepancy(problem, progress, cancel),
    }
}

fn lambda(problem: &Problem<'_>, power: f64) -> f64 {
    problem.balance * 10f64.powf(power)
}

fn power_at(step: usize) -> f64 {
    POWERS[0] + (POWERS[1] - POWERS[0]) * step as f64 / STEPS as f64
}

/// N·Σ((z − z_i)/σ)² / (N − 1.4·tr H)²; infinite where the fit uses up the readings or cannot be solved.
fn score(problem: &mut Problem<'_>, power: f64) -> Result<f64, SplineError> {
    let n = problem.data.len() as f64;
    let trial = match problem.trial(lambda(problem, power)) {
        Err(SplineError::Solve(crate::cholesky::CholeskyError::NotPositiveDefinite)) => return Ok(f64::INFINITY),
        trial => trial?,
    };
    let free = n - COUNTED * problem.trace()?;
    Ok(if free > 0.0 { n * trial.misfit / (free * free) } else { f64::INFINITY })
}

/// All powers first, for the score may have several valleys; then the best valley by golden section.
fn cross_validation(problem: &mut Problem<'_>, progress: &Progress, cancel: &Cancel) -> Result<f64, SplineError> {
    let (mut best, mut best_score) = (STEPS, f64::INFINITY);
    for step in (0..=STEPS).rev() {
        cancel.check()?;
        progress.report((STEPS - step) as f64 / (STEPS + NARROWINGS) as f64, "how much to smooth");
        let score = score(problem, power_at(step))?;
        // of equal scores the smoothest
        if score < 0.999_999 * best_score {
            (best, best_score) = (step, score);
        }
        if score <= NOTHING {
            return Ok(lambda(problem, power_at(step)));
        }
    }
    if best_score.is_infinite() {
        return Ok(lambda(problem, POWERS[1])); // too few readings for more than a plane
    }
    let golden = 0.5 * (5f64.sqrt() - 1.0);
    let (mut low, mut high) = (power_at(best.saturating_sub(1)), power_at((best + 1).min(STEPS)));
    let mut inner = [high - golden * (high - low), low + golden * (high - low)];
    let mut scores = [score(problem, inner[0])?, score(problem, inner[1])?];
    for narrowing in 0..NARROWINGS {
        cancel.check()?;
        progress.report((STEPS + narrowing) as f64 / (STEPS + NARROWINGS) as f64, "how much to smooth");
        if scores[0] < scores[1] {
            high = inner[1];
            inner = [high - golden * (high - low), inner[0]];
            scores = [score(problem, inner[0])?, scores[0]];
        } else {
            low = inner[0];
            inner = [inner[1], low + golden * (high - low)];
            scores = [scores[1], score(problem, inner[1])?];
        }
    }
    Ok(lambda(problem, 0.5 * (low + high)))
}

/// The largest λ whose misfit is no more than the number of readings; misfit grows with λ.
fn discrepancy(problem: &mut Problem<'_>, progress: &Progress, cancel: &Cancel) -> Result<f64, SplineError> {
    let n = problem.data.len() as f64;
    let [mut low, mut high] = POWERS;
    let rounds = 2 * NARROWINGS;
    for round in 0..rounds {
        cancel.check()?;
        progress.report(round as f64 / rounds as f64, "how much to smooth");
        // the ends first: a plane may do, or nothing may
        let power = match round {
            0 => high,
            1 => low,
            _ => 0.5 * (low + high),
        };
        let near = problem.trial(lambda(problem, power))?.misfit <= n;
        match (round, near) {
            (0, true) => return Ok(lambda(problem, high)),
            (1, false) => return Ok(lambda(problem, low)),
            (0 | 1, _) => {}
            (_, true) => low = power,
            (_, false) => high = power,
        }
    }
    Ok(lambda(problem, low))
}
