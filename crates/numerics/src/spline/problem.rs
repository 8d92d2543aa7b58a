//! The normal equations of a fit, set up once and factored for one λ after the other.

use super::grid::CORNERS;
use super::{Datum, Grid, SplineError};
use crate::cholesky::Cholesky;
use crate::sparse::BlockPattern;

/// Up to so many readings the trace of H is summed exactly; beyond, it is estimated.
const EXACT_TRACE: usize = 150;
/// Random signs for the estimate: its spread is below √(2·trace/48), 0.2 √trace.
const PROBES: usize = 48;

/// A plane z = height + slope · (at − centre).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Plane {
    centre: [f64; 2],
    height: f64,
    slope: [f64; 2],
}

impl Plane {
    pub fn value(&self, at: [f64; 2]) -> f64 {
        self.height + self.slope[0] * (at[0] - self.centre[0]) + self.slope[1] * (at[1] - self.centre[1])
    }

    pub fn slope(&self) -> [f64; 2] {
        self.slope
    }

    /// Weighted least squares about the weighted centre.
    fn of(data: &[Datum]) -> Result<Self, SplineError> {
        let weight = |datum: &Datum| datum.sigma.powi(-2);
        let total: f64 = data.iter().map(weight).sum();
        let mean = |of: &dyn Fn(&Datum) -> f64| data.iter().map(|datum| weight(datum) * of(datum)).sum::<f64>() / total;
        let centre = [mean(&|datum| datum.at[0]), mean(&|datum| datum.at[1])];
        let height = mean(&|datum| datum.value);
        let [du, dv] = [0, 1].map(|axis: usize| move |datum: &Datum| datum.at[axis] - centre[axis]);
        let dz = |datum: &Datum| datum.value - height;
        let (uu, uv, vv) = (mean(&|d| du(d) * du(d)), mean(&|d| du(d) * dv(d)), mean(&|d| dv(d) * dv(d)));
        let (uz, vz) = (mean(&|d| du(d) * dz(d)), mean(&|d| dv(d) * dz(d)));
        let det = uu * vv - uv * uv;
        // det over the square of the trace is the ratio of the narrow to the wide spread of the places
        let narrow = det <= 1e-9 * (uu + vv) * (uu + vv);
        if det.is_nan() || narrow {
            return Err(SplineError::OnOneLine { got: data.len() });
        }
        Ok(Self { centre, height, slope: [(uz * vv - vz * uv) / det, (vz * uu - uz * uv) / det] })
    }
}

/// Readings, grid and equations.
pub(super) struct Problem<'a> {
    pub data: &'a [Datum],
    pub grid: Grid,
    pub plane: Plane,
    solver: Cholesky,
    /// Column starts and rows of the lower triangle.
    columns: (Vec<u32>, Vec<u32>),
    /// BᵀWB, lower triangle.
    fitted: Vec<f64>,
    /// P, lower triangle.
    roughness: Vec<f64>,
    /// BᵀWz, the plane taken off.
    right: Vec<f64>,
    /// zᵀWz, the plane taken off.
    total: f64,
    /// Vectors BᵀW^½e, one after the other, whose energies under the inverse, times `probe_share`, add up to the trace of H.
    probes: Vec<f64>,
    probe_share: f64,
    /// λ at which both parts weigh the same on the diagonal.
    pub balance: f64,
}

/// What a λ gives.
pub(super) struct Trial {
    /// Coefficients, the plane taken off.
    pub coefficients: Vec<f64>,
    /// Σ ((z_i − z)/σ_i)².
    pub misfit: f64,
}

impl<'a> Problem<'a> {
    pub fn new(data: &'a [Datum], grid: Grid) -> Result<Self, SplineError> {
        check(data)?;
        let plane = Plane::of(data)?;
        let elements = grid.elements();
        let pattern = BlockPattern::<1>::new(grid.unknowns(), elements.iter().map(<[u32; CORNERS]>::as_slice));
        let places = pattern.places(&elements);
        let solver = Cholesky::analyse(&pattern)?;
        let mut roughness = vec![0.0; pattern.stored()];
        let cell_roughness = grid.roughness();
        (0..elements.len()).for_each(|cell| places.add(&pattern, cell, &cell_roughness, &mut roughness));
        let mut fitted = vec![0.0; pattern.stored()];
        let mut right = vec![0.0; grid.unknowns()];
        let cell_of = |datum: &Datum| grid.cell_number(grid.row(datum.at, [0, 0]).cell) as u32;
        let mut order: Vec<(u32, u32)> = data.iter().enumerate().map(|(i, datum)| (cell_of(datum), i as u32)).collect();
        order.sort_unstable();
        for chunk in order.chunk_by(|a, b| a.0 == b.0) {
            let mut local = [[0.0; CORNERS]; CORNERS];
            for &(_, index) in chunk {
                let datum = &data[index as usize];
                let row = grid.row(datum.at, [0, 0]);
                let weight = datum.sigma.powi(-2);
                let pull = weight * (datum.value - plane.value(datum.at));
                for (p, node) in grid.nodes(row.cell).into_iter().enumerate() {
                    right[node] += pull * row.weights[p];
                    let scaled = weight * row.weights[p];
                    local[p].iter_mut().zip(row.weights).for_each(|(entry, other)| *entry += scaled * other);
                }
            }
            places.add(&pattern, chunk[0].0 as usize, &local, &mut fitted);
        }
        let diagonal = |values: &[f64]| pattern.diagonals().map(|at| values[at]).sum::<f64>();
        let balance = diagonal(&fitted) / diagonal(&roughness);
        let (probes, probe_share) = probes(data, &grid);
        let total = data.iter().map(|datum| ((datum.value - plane.value(datum.at)) / datum.sigma).powi(2)).sum();
        let columns = pattern.columns();
        Ok(Self { data, grid, plane, solver, columns, fitted, roughness, right, total, probes, probe_share, balance })
    }

    /// Solves for one λ; the factor stays for [`Problem::trace`] and [`Problem::inverse`].
    pub fn trial(&mut self, lambda: f64) -> Result<Trial, SplineError> {
        let values: Vec<f64> =
            self.fitted.iter().zip(&self.roughness).map(|(fitted, roughness)| fitted + lambda * roughness).collect();
        self.solver.factor(&values)?;
        let mut coefficients = self.right.clone();
        self.solver.solve(&mut coefficients)?;
        let misfit = self.misfit(&coefficients);
        Ok(Trial { coefficients, misfit })
    }

    /// From the sums where they leave enough digits, else reading by reading.
    fn misfit(&self, coefficients: &[f64]) -> f64 {
        let pull: f64 = self.right.iter().zip(coefficients).map(|(right, c)| right * c).sum();
        let misfit = self.total - 2.0 * pull + self.energy(&self.fitted, coefficients);
        if misfit > 1e-6 * self.total {
            return misfit;
        }
        self.data.iter().map(|datum| (self.residual(datum, coefficients) / datum.sigma).powi(2)).sum()
    }

    /// Energy of the coefficients under a symmetric matrix given by its lower triangle.
    fn energy(&self, values: &[f64], coefficients: &[f64]) -> f64 {
        let (starts, rows) = &self.columns;
        let mut sum = 0.0;
        for (column, ends) in starts.windows(2).enumerate() {
            for at in ends[0] as usize..ends[1] as usize {
                let row = rows[at] as usize;
                let twice = if row == column { 1.0 } else { 2.0 };
                sum += twice * values[at] * coefficients[row] * coefficients[column];
            }
        }
        sum
    }

    /// Reading less surface.
    pub fn residual(&self, datum: &Datum, coefficients: &[f64]) -> f64 {
        let row = self.grid.row(datum.at, [0, 0]);
        let nodes = self.grid.nodes(row.cell);
        let spline: f64 = nodes.iter().zip(row.weights).map(|(&node, weight)| weight * coefficients[node]).sum();
        datum.value - self.plane.value(datum.at) - spline
    }

    /// Trace of H under the last factor: the number of unknowns that the readings really fix.
    pub fn trace(&mut self) -> Result<f64, SplineError> {
        let mut solved = self.probes.clone();
        self.solver.solve_several(&mut solved)?;
        Ok(self.probe_share * self.probes.iter().zip(&solved).map(|(a, b)| a * b).sum::<f64>())
    }

    /// Columns of the inverse under the last factor, one after the other.
    pub fn inverse(&mut self, nodes: std::ops::Range<usize>) -> Result<Vec<f64>, SplineError> {
        let unknowns = self.grid.unknowns();
        let mut columns = vec![0.0; unknowns * nodes.len()];
        for (column, node) in columns.chunks_exact_mut(unknowns).zip(nodes) {
            column[node] = 1.0;
        }
        self.solver.solve_several(&mut columns)?;
        Ok(columns)
    }
}

/// Vectors for the trace of H: one for each reading, or random signs over all of them (Hutchinson, Commun. Statist. Simul.
/// Comput. 19 (1990) 433–450; from memory), always the same ones.
fn probes(data: &[Datum], grid: &Grid) -> (Vec<f64>, f64) {
    let exact = data.len() <= EXACT_TRACE;
    let count = if exact { data.len() } else { PROBES };
    let unknowns = grid.unknowns();
    let mut probes = vec![0.0; unknowns * count];
    let mut random = fastrand::Rng::with_seed(1);
    for (index, datum) in data.iter().enumerate() {
        let row = grid.row(datum.at, [0, 0]);
        let nodes = grid.nodes(row.cell);
        let add = |probe: &mut [f64], sign: f64| {
            nodes.iter().zip(row.weights).for_each(|(&node, weight)| probe[node] += sign * weight / datum.sigma);
        };
        if exact {
            add(&mut probes[unknowns * index..unknowns * (index + 1)], 1.0);
        } else {
            probes.chunks_exact_mut(unknowns).for_each(|probe| add(probe, if random.bool() { 1.0 } else { -1.0 }));
        }
    }
    (probes, if exact { 1.0 } else { 1.0 / PROBES as f64 })
}

fn check(data: &[Datum]) -> Result<(), SplineError> {
    for (index, datum) in data.iter().enumerate() {
        let bad = |what, got, positive| Err(SplineError::BadDatum { what, index, got, positive });
        match datum {
            Datum { at: [u, _], .. } if !u.is_finite() => return bad("u", *u, false),
            Datum { at: [_, v], .. } if !v.is_finite() => return bad("v", *v, false),
            Datum { value, .. } if !value.is_finite() => return bad("height", *value, false),
            Datum { sigma, .. } if !(sigma.is_finite() && *sigma > 0.0) => {
                return bad("standard deviation", *sigma, true);
            }
            _ => {}
        }
    }
    if data.len() < 3 { Err(SplineError::TooFew { got: data.len() }) } else { Ok(()) }
}
