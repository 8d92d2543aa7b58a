//! The fitted surface.

use super::choose::COUNTED;
use super::grid::Row;
use super::problem::{Plane, Problem};
use super::{Grid, SplineError};
use crate::{Cancel, Progress};

/// Coefficients share a cell when they are at most 3 apart each way: 7 × 7 around each.
const ACROSS: usize = 7;
const NEAR: usize = ACROSS * ACROSS;
/// Columns of the covariance worked out at once.
const AT_ONCE: usize = 64;

/// A smoothing spline surface with its standard deviation everywhere.
#[derive(Debug, Clone, PartialEq)]
pub struct SplineSurface {
    grid: Grid,
    plane: Plane,
    coefficients: Vec<f64>,
    /// Covariance of each coefficient with those it shares a cell with, without `spread`.
    covariance: Vec<[f64; NEAR]>,
    /// Factor on the covariance where the readings scatter more than told, at least 1.
    spread: f64,
    smoothing: f64,
    residuals: Vec<f64>,
    leverages: Vec<f64>,
    scatter: f64,
    roughness: f64,
}

pub(super) fn solve(
    problem: &mut Problem<'_>,
    lambda: f64,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<SplineSurface, SplineError> {
    let trial = problem.trial(lambda)?;
    let grid = problem.grid;
    let mut covariance = Vec::with_capacity(grid.unknowns());
    for first in (0..grid.unknowns()).step_by(AT_ONCE) {
        cancel.check()?;
        progress.report(first as f64 / grid.unknowns() as f64, "how far the surface is known");
        let nodes = first..(first + AT_ONCE).min(grid.unknowns());
        let columns = problem.inverse(nodes.clone())?;
        covariance
            .extend(nodes.zip(columns.chunks_exact(grid.unknowns())).map(|(node, column)| near(&grid, node, column)));
    }
    let residuals = problem.data.iter().map(|datum| problem.residual(datum, &trial.coefficients)).collect();
    let mut surface = SplineSurface {
        grid,
        plane: problem.plane,
        coefficients: trial.coefficients,
        covariance,
        spread: 1.0,
        smoothing: lambda,
        residuals,
        leverages: Vec::new(),
        scatter: 1.0,
        roughness: 0.0,
    };
    let leverage = |datum: &super::Datum| (surface.sigma(datum.at) / datum.sigma).powi(2).min(1.0);
    surface.leverages = problem.data.iter().map(leverage).collect();
    surface.roughness = surface.roughness_of();
    let free = problem.data.len() as f64 - surface.effective_unknowns();
    if free >= 1.0 {
        surface.scatter = (trial.misfit / free).sqrt();
        // λ came from the same readings: unknowns count here as they did in its choice
        let sure = problem.data.len() as f64 - COUNTED * surface.effective_unknowns();
        surface.spread = (trial.misfit / sure.max(0.1 * free)).max(1.0);
    }
    Ok(surface)
}

/// The entries of a column of the inverse that share a cell with its coefficient; 0 beyond the grid.
fn near(grid: &Grid, node: usize, column: &[f64]) -> [f64; NEAR] {
    let [i, j] = grid.position(node);
    let [rows, columns] = grid.spans().map(|spans| spans + 3);
    std::array::from_fn(|k| {
        let (a, b) = (i + k / ACROSS, j + k % ACROSS);
        let inside = (3..rows + 3).contains(&a) && (3..columns + 3).contains(&b);
        if inside { column[grid.node(a - 3, b - 3)] } else { 0.0 }
    })
}

impl SplineSurface {
    fn applied(&self, row: &Row) -> f64 {
        let nodes = self.grid.nodes(row.cell);
        nodes.iter().zip(row.weights).map(|(&node, weight)| weight * self.coefficients[node]).sum()
    }

    /// Height at a place; straight beyond the grid.
    #[must_use]
    pub fn value(&self, at: [f64; 2]) -> f64 {
        self.plane.value(at) + self.applied(&self.grid.row(at, [0, 0]))
    }

    /// Slopes z_u and z_v at a place.
    #[must_use]
    pub fn gradient(&self, at: [f64; 2]) -> [f64; 2] {
        let [u, v] = self.plane.slope();
        [u + self.applied(&self.grid.row(at, [1, 0])), v + self.applied(&self.grid.row(at, [0, 1]))]
    }

    /// Second derivatives z_uu, z_uv, z_vv at a place.
    #[must_use]
    pub fn second(&self, at: [f64; 2]) -> [f64; 3] {
        [[2, 0], [1, 1], [0, 2]].map(|orders| self.applied(&self.grid.row(at, orders)))
    }

    /// Standard deviation of the height at a place, in the unit of the height.
    #[must_use]
    pub fn sigma(&self, at: [f64; 2]) -> f64 {
        let row = self.grid.row(at, [0, 0]);
        let nodes = self.grid.nodes(row.cell);
        let mut variance = 0.0;
        for (p, &node) in nodes.iter().enumerate() {
            for (q, weight) in row.weights.iter().enumerate() {
                let near = ACROSS * (3 + q / 4 - p / 4) + (3 + q % 4 - p % 4);
                variance += row.weights[p] * weight * self.covariance[node][near];
            }
        }
        (self.spread * variance.max(0.0)).sqrt()
    }

    /// The grid it stands on.
    #[must_use]
    pub fn grid(&self) -> &Grid {
        &self.grid
    }

    /// λ that was given or chosen.
    #[must_use]
    pub fn smoothing(&self) -> f64 {
        self.smoothing
    }

    /// Reading less surface, in the order of the readings.
    #[must_use]
    pub fn residuals(&self) -> &[f64] {
        &self.residuals
    }

    /// Share of each reading in its own fitted height, 0 to 1 (diagonal of H), in the order of the readings.
    ///
    /// Left out of the fit at the same λ, a reading would miss the surface by residual/(1 − leverage).
    #[must_use]
    pub fn leverages(&self) -> &[f64] {
        &self.leverages
    }

    /// How many unknowns the readings really fix: 3 for a plane, up to one for each reading (trace of H).
    #[must_use]
    pub fn effective_unknowns(&self) -> f64 {
        self.leverages.iter().sum()
    }

    /// How the readings scatter about the surface, over what their σ say: 1 is as stated.
    #[must_use]
    pub fn scatter(&self) -> f64 {
        self.scatter
    }

    /// Roughness of the surface over the grid (see the module), without unit.
    #[must_use]
    pub fn roughness(&self) -> f64 {
        self.roughness
    }

    fn roughness_of(&self) -> f64 {
        let cell_roughness = self.grid.roughness();
        let of_cell = |nodes: [u32; 16]| {
            let c = nodes.map(|node| self.coefficients[node as usize]);
            let rows = cell_roughness.iter().zip(c);
            rows.map(|(row, a)| a * row.iter().zip(c).map(|(entry, b)| entry * b).sum::<f64>()).sum::<f64>()
        };
        self.grid.elements().into_iter().map(of_cell).sum()
    }
}
