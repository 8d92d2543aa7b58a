//! Steps of time: trapezoid over the first part, backward difference over the whole (TR-BDF2).
//!
//! With γ = 2 − √2 both stages have the same matrix, capacity + γ/2·Δt·flow. As a sum over the stages at 0, γΔt and Δt the rule has the
//! weights √2/4, √2/4, γ/2, by which given and lost heat are summed, so that the balance closes to rounding.

use super::assembly::Matrices;
use super::{Energy, HeatError};
use numerics::cholesky::Cholesky;
use std::f64::consts::SQRT_2;

/// Where the middle stage lies, as a share of the step.
pub(super) const STAGE: f64 = 2.0 - SQRT_2;
/// Factors kept at one time.
const KEPT: usize = 24;

/// Heat into nodes, W.
pub(super) type Heating = Vec<(u32, f64)>;

/// A panel that goes through time.
pub(super) struct Stepper {
    pub matrices: Matrices,
    /// Temperatures over the air.
    pub over_air_k: Vec<f64>,
    /// Given and lost so far; stored is filled in at the end.
    pub energy: Energy,
    pub factorisations: usize,
    pub steps: usize,
    factors: Vec<(u64, Cholesky)>,
}

impl Stepper {
    pub(super) fn new(matrices: Matrices, over_air_k: Vec<f64>) -> Self {
        let energy = Energy::default();
        Self { matrices, over_air_k, energy, factorisations: 0, steps: 0, factors: Vec::new() }
    }

    /// One step with the heating at its start, its middle stage and its end.
    pub(super) fn step(&mut self, seconds: f64, heating: [&[(u32, f64)]; 3]) -> Result<(), HeatError> {
        let part = 0.5 * STAGE * seconds;
        self.make_factor(seconds, part)?;
        let Some((_, factor)) = self.factors.last_mut() else { return Ok(()) };
        let [at_start, at_stage, at_end] = heating;

        let out = self.matrices.flow_out(&self.over_air_k);
        let capacity = &self.matrices.capacity;
        let start = &self.over_air_k;
        let mut stage: Vec<f64> =
            capacity.iter().zip(start).zip(&out).map(|((capacity, over), out)| capacity * over - part * out).collect();
        add(&mut stage, at_start, part);
        add(&mut stage, at_stage, part);
        factor.solve(&mut stage)?;

        let weight = 1.0 / (STAGE * (2.0 - STAGE));
        let mut end: Vec<f64> = capacity
            .iter()
            .zip(start)
            .zip(&stage)
            .map(|((capacity, start), stage)| capacity * (weight * stage - (weight - 1.0) * start))
            .collect();
        add(&mut end, at_end, part);
        factor.solve(&mut end)?;

        let weights = [SQRT_2 / 4.0, SQRT_2 / 4.0, 0.5 * STAGE];
        let given = heating.map(|heat| heat.iter().map(|(_, power)| power).sum::<f64>());
        let lost = [start, &stage, &end].map(|over| self.matrices.lost_w(over));
        for ((weight, given), lost) in weights.into_iter().zip(given).zip(lost) {
            self.energy.given_j += seconds * weight * given;
            self.energy.lost_j += seconds * weight * lost;
        }
        self.over_air_k = end;
        self.steps += 1;
        Ok(())
    }

    /// Brings the factor for a length of step to the end of the list.
    fn make_factor(&mut self, seconds: f64, part: f64) -> Result<(), HeatError> {
        let key = seconds.to_bits();
        let found = match self.factors.iter().position(|(kept, _)| *kept == key) {
            Some(at) => self.factors.remove(at),
            None => {
                self.factorisations += 1;
                (key, self.matrices.factor(part)?)
            }
        };
        if self.factors.len() >= KEPT {
            self.factors.remove(0);
        }
        self.factors.push(found);
        Ok(())
    }
}

fn add(right_side: &mut [f64], heating: &[(u32, f64)], seconds: f64) {
    for &(node, power) in heating {
        right_side[node as usize] += seconds * power;
    }
}
