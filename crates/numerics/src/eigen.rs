//! Least factors λ of K x = λ B x, K sparse symmetric positive definite and factored, B symmetric and only known by what it does
//! to a vector.
//!
//! For buckling K is the stiffness and B minus the geometric stiffness of the load: the load times λ buckles in the shape x.
//! B is indefinite, so both signs of λ occur: a negative one belongs to the load reversed.
//!
//! Block Lanczos on K⁻¹B in the inner product of K, where the operator is symmetric, two vectors at a time so that a double mode (a
//! square plate) is found twice, every vector made square to all before it twice over, thick restart when the basis is full (Wu
//! and Simon, SIAM J. Matrix Anal. Appl. 22 (2000) 602–616, from memory). The library's own partial solver takes the largest values
//! of either sign, always fills its basis, and cannot be stopped. The start is drawn from a stored seed: the same bits every time.

use crate::cholesky::{Cholesky, CholeskyError, MOST_COLUMNS};
use crate::{Cancel, Cancelled, Progress};
use faer::linalg::matmul::matmul;
use faer::{Accum, Mat, MatMut, MatRef, Par, Side};

/// Vectors added in one step.
const BLOCK: usize = MOST_COLUMNS;
/// Seed of the start.
const SEED: u64 = 20_260_207;
/// A vector that shrinks by this much when made square to the others was one of them.
const SAME: f64 = 1e-10;
/// A positive 1/λ below this share of the largest of either sign counts as none.
const NOTHING: f64 = 1e-9;

/// What is wanted, and how hard to try.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EigenSettings {
    /// How many positive factors, the least first.
    pub modes: usize,
    /// Relative residual of a mode that is good enough; the factor's own relative error is about its square.
    pub tolerance: f64,
    /// Most vectors kept at once.
    pub basis: usize,
    /// Most steps of two vectors.
    pub steps: usize,
}

impl Default for EigenSettings {
    fn default() -> Self {
        Self { modes: 1, tolerance: 1e-5, basis: 60, steps: 300 }
    }
}

/// One factor and its shape.
#[derive(Debug, Clone, PartialEq)]
pub struct Mode {
    /// λ.
    pub factor: f64,
    /// x, with xᵀ K x = 1 and its largest entry positive.
    pub shape: Vec<f64>,
    /// Length of λ K⁻¹B x − x over the length of x, both in the norm of K.
    pub residual: f64,
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Modes {
    /// Positive factors, the least first; fewer than asked for when there are no more.
    pub positive: Vec<Mode>,
    /// The negative factor nearest to 0, when its residual is within 1 %.
    pub negative: Option<Mode>,
    /// Steps taken, two solves each.
    pub steps: usize,
    /// All that were asked for reached the tolerance (or there are no more).
    pub converged: bool,
}

/// Why there are no modes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum EigenError {
    /// Asked to stop.
    #[error(transparent)]
    Cancelled(#[from] Cancelled),
    /// A solve failed.
    #[error(transparent)]
    Cholesky(#[from] CholeskyError),
    /// A product was not finite.
    #[error("a product with the matrix on the right holds a value that is not finite")]
    NotFinite,
    /// More vectors than memory.
    #[error("no modes asked for, or a basis of {got} vectors is too small for them; at least {need} are needed")]
    SmallBasis {
        /// Given.
        got: usize,
        /// Needed.
        need: usize,
    },
}

/// Least positive factors of K x = λ B x. `stiffness` holds the factor of K; `apply(x, y)` writes B x to y.
///
/// # Errors
/// [`EigenError`]. A search that ran out of steps is no error: see [`Modes::converged`].
pub fn least_factors(
    stiffness: &mut Cholesky,
    mut apply: impl FnMut(&[f64], &mut [f64]),
    settings: &EigenSettings,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<Modes, EigenError> {
    let unknowns = stiffness.unknowns();
    let need = settings.modes + 4 * BLOCK;
    if settings.modes == 0 || settings.basis < need {
        return Err(EigenError::SmallBasis { got: settings.basis, need });
    }
    let capacity = settings.basis.min(unknowns);
    let mut space = Space::new(unknowns, capacity);
    let mut block = Block::start(stiffness, &mut apply)?;
    let mut steps = 0;
    loop {
        cancel.check()?;
        let added = space.append(&mut block);
        if added == 0 {
            return Ok(space.modes(&space.ritz([[0.0; BLOCK]; BLOCK], 0), settings, steps, true));
        }
        block.advance(&space, added, stiffness, &mut apply)?;
        steps += 1;
        space.project(&mut block);
        let ritz = space.ritz(block.gram(), added);
        let wanted = ritz.wanted(settings);
        progress.report(wanted.share, "least buckling factor");
        if wanted.done || steps >= settings.steps {
            return Ok(space.modes(&ritz, settings, steps, wanted.done));
        }
        if space.used + BLOCK > capacity {
            if capacity == unknowns {
                // every direction that is left fits in what remains of the basis, or the space is whole
                block.keep(capacity - space.used);
            } else {
                space.restart(&ritz, settings.modes);
            }
        }
    }
}

/// Vectors next to join the basis: `vector` and K times it.
struct Block {
    rows: usize,
    columns: usize,
    vector: Vec<f64>,
    image: Vec<f64>,
    /// Lengths before they were made square to the basis.
    before: [f64; BLOCK],
}

impl Block {
    fn start(stiffness: &mut Cholesky, apply: &mut impl FnMut(&[f64], &mut [f64])) -> Result<Self, EigenError> {
        let rows = stiffness.unknowns();
        let mut random = fastrand::Rng::with_seed(SEED);
        let mut vector: Vec<f64> = (0..rows * BLOCK).map(|_| random.f64() - 0.5).collect();
        stiffness.solve_columns(&mut vector, BLOCK)?;
        let image = vec![0.0; rows * BLOCK];
        let mut block = Self { rows, columns: BLOCK, vector, image, before: [0.0; BLOCK] };
        block.multiply(stiffness, apply)?;
        Ok(block)
    }

    /// image = B vector, vector = K⁻¹ image.
    fn multiply(
        &mut self,
        stiffness: &mut Cholesky,
        apply: &mut impl FnMut(&[f64], &mut [f64]),
    ) -> Result<(), EigenError> {
        let size = self.rows * self.columns;
        for column in 0..self.columns {
            let range = column * self.rows..(column + 1) * self.rows;
            apply(&self.vector[range.clone()], &mut self.image[range]);
        }
        if self.image[..size].iter().any(|v| !v.is_finite()) {
            return Err(EigenError::NotFinite);
        }
        let (vector, image) = (&mut self.vector[..size], &self.image[..size]);
        vector.copy_from_slice(image);
        stiffness.solve_columns(vector, self.columns)?;
        for column in 0..self.columns {
            self.before[column] = self.inner(column, column).max(0.0).sqrt();
        }
        Ok(())
    }

    /// The operator applied to the last vectors of the basis.
    fn advance(
        &mut self,
        space: &Space,
        added: usize,
        stiffness: &mut Cholesky,
        apply: &mut impl FnMut(&[f64], &mut [f64]),
    ) -> Result<(), EigenError> {
        self.columns = added;
        for column in 0..added {
            let from = space.vector.col(space.used - added + column);
            let into = &mut self.vector[column * self.rows..(column + 1) * self.rows];
            into.iter_mut().zip(from.iter()).for_each(|(into, from)| *into = *from);
        }
        self.multiply(stiffness, apply)
    }

    fn inner(&self, a: usize, b: usize) -> f64 {
        let column = |of: usize| of * self.rows..(of + 1) * self.rows;
        dot(&self.vector[column(a)], &self.image[column(b)])
    }

    /// Inner products of the vectors in the block.
    fn gram(&self) -> [[f64; BLOCK]; BLOCK] {
        let mut gram = [[0.0; BLOCK]; BLOCK];
        for (a, row) in gram.iter_mut().enumerate().take(self.columns) {
            for (b, value) in row.iter_mut().enumerate().take(self.columns) {
                *value = self.inner(a, b);
            }
        }
        gram
    }

    fn keep(&mut self, columns: usize) {
        self.columns = self.columns.min(columns);
    }
}

/// The basis, its images under K, and B seen in it.
struct Space {
    vector: Mat<f64>,
    image: Mat<f64>,
    seen: Mat<f64>,
    used: usize,
}

/// Eigenpairs of B seen in the basis, the largest 1/λ first.
struct Ritz {
    inverse: Vec<f64>,
    residual: Vec<f64>,
    coefficients: Mat<f64>,
}

struct Wanted {
    done: bool,
    share: f64,
}

impl Space {
    fn new(rows: usize, capacity: usize) -> Self {
        let of = |rows: usize| Mat::zeros(rows, capacity);
        Self { vector: of(rows), image: of(rows), seen: of(capacity), used: 0 }
    }

    /// Makes the block square to the basis and notes what it had in common with it: B seen in the basis.
    fn project(&mut self, block: &mut Block) {
        let (used, columns) = (self.used, block.columns);
        let size = block.rows * columns;
        let mut common = Mat::<f64>::zeros(used, columns);
        for pass in 0..2 {
            let image = MatRef::from_column_major_slice(&block.image[..size], block.rows, columns);
            let basis = self.vector.get(.., ..used);
            matmul(common.as_mut(), Accum::Replace, basis.transpose(), image, 1.0, Par::Seq);
            for (basis, of) in [(&self.vector, &mut block.vector), (&self.image, &mut block.image)] {
                let of = MatMut::from_column_major_slice_mut(&mut of[..size], block.rows, columns);
                matmul(of, Accum::Add, basis.get(.., ..used), common.as_ref(), -1.0, Par::Seq);
            }
            if pass == 0 {
                for column in 0..columns {
                    let at = used - columns + column;
                    for row in 0..used {
                        self.seen[(row, at)] = common[(row, column)];
                        self.seen[(at, row)] = common[(row, column)];
                    }
                }
            }
        }
    }

    /// Adds the vectors of the block that are new, at unit length. Returns how many were.
    fn append(&mut self, block: &mut Block) -> usize {
        let (rows, from) = (block.rows, self.used);
        for column in 0..block.columns {
            let range = column * rows..(column + 1) * rows;
            let (vector, image) = (&mut block.vector[range.clone()], &mut block.image[range]);
            for _ in 0..2 {
                for of in from..self.used {
                    let common: f64 = self.vector.col(of).iter().zip(&*image).map(|(a, b)| a * b).sum();
                    for (basis, into) in [(&self.vector, &mut *vector), (&self.image, &mut *image)] {
                        into.iter_mut().zip(basis.col(of).iter()).for_each(|(into, basis)| *into -= common * basis);
                    }
                }
            }
            let length = dot(vector, image).max(0.0).sqrt();
            if length > SAME * block.before[column] && length > 0.0 && self.used < self.vector.ncols() {
                for (values, into) in [(&*vector, &mut self.vector), (&*image, &mut self.image)] {
                    into.col_mut(self.used).iter_mut().zip(values).for_each(|(into, value)| *into = value / length);
                }
                self.used += 1;
            }
        }
        self.used - from
    }

    /// Eigenpairs seen in the basis; `left` are the inner products of what is left of the last `columns` vectors' products.
    fn ritz(&self, left: [[f64; BLOCK]; BLOCK], columns: usize) -> Ritz {
        let used = self.used;
        let empty = || Ritz { inverse: Vec::new(), residual: Vec::new(), coefficients: Mat::zeros(used, 0) };
        if used == 0 {
            return empty();
        }
        let Ok(decomposition) = self.seen.get(..used, ..used).self_adjoint_eigen(Side::Lower) else {
            return empty();
        };
        let (values, vectors) = (decomposition.S().column_vector(), decomposition.U());
        // the library sorts ascending
        let coefficients = Mat::from_fn(used, used, |row, column| vectors[(row, used - 1 - column)]);
        let inverse: Vec<f64> = (0..used).map(|i| values[used - 1 - i]).collect();
        let residual = (0..used)
            .map(|mode| {
                let last = |i: usize| coefficients[(used - columns + i, mode)];
                let mut square = 0.0;
                for (a, row) in left.iter().enumerate().take(columns) {
                    for (b, value) in row.iter().enumerate().take(columns) {
                        square += last(a) * value * last(b);
                    }
                }
                square.max(0.0).sqrt() / inverse[mode].abs().max(f64::MIN_POSITIVE)
            })
            .collect();
        Ritz { inverse, residual, coefficients }
    }

    /// Keeps the best shapes and forgets the rest; the block that comes next carries on.
    fn restart(&mut self, ritz: &Ritz, modes: usize) {
        let top = (modes + 2 * BLOCK).max(self.used / 3).min(self.used - 2 * BLOCK);
        let bottom = (self.used / 8).clamp(1, self.used - top);
        let kept: Vec<usize> = (0..top).chain(self.used - bottom..self.used).collect();
        let coefficients = Mat::from_fn(self.used, kept.len(), |row, column| ritz.coefficients[(row, kept[column])]);
        let mut mixed = Mat::<f64>::zeros(self.vector.nrows(), kept.len());
        for basis in [&mut self.vector, &mut self.image] {
            matmul(mixed.as_mut(), Accum::Replace, basis.get(.., ..self.used), coefficients.as_ref(), 1.0, Par::Seq);
            basis.get_mut(.., ..kept.len()).copy_from(&mixed);
        }
        self.seen.fill(0.0);
        for (at, &mode) in kept.iter().enumerate() {
            self.seen[(at, at)] = ritz.inverse[mode];
        }
        self.used = kept.len();
    }

    fn modes(&self, ritz: &Ritz, settings: &EigenSettings, steps: usize, converged: bool) -> Modes {
        let positive = (0..ritz.positive()).take(settings.modes).map(|mode| self.mode(ritz, mode)).collect();
        let last = ritz.inverse.len().wrapping_sub(1);
        let is_one = ritz.inverse.last().is_some_and(|&v| v < -NOTHING * ritz.largest()) && ritz.residual[last] < 0.01;
        let negative = is_one.then(|| self.mode(ritz, last));
        Modes { positive, negative, steps, converged }
    }

    fn mode(&self, ritz: &Ritz, mode: usize) -> Mode {
        let mut shape = vec![0.0; self.vector.nrows()];
        let rows = shape.len();
        matmul(
            MatMut::from_column_major_slice_mut(&mut shape, rows, 1),
            Accum::Replace,
            self.vector.get(.., ..self.used),
            ritz.coefficients.get(.., mode..mode + 1),
            1.0,
            Par::Seq,
        );
        let largest = shape.iter().fold(0.0f64, |most, &v| if v.abs() > most.abs() { v } else { most });
        if largest < 0.0 {
            shape.iter_mut().for_each(|v| *v = -*v);
        }
        Mode { factor: 1.0 / ritz.inverse[mode], shape, residual: ritz.residual[mode] }
    }
}

impl Ritz {
    fn largest(&self) -> f64 {
        self.inverse.iter().fold(0.0, |most, v| most.max(v.abs()))
    }

    /// How many are positive.
    fn positive(&self) -> usize {
        let least = NOTHING * self.largest();
        self.inverse.iter().take_while(|&&v| v > least).count()
    }

    fn wanted(&self, settings: &EigenSettings) -> Wanted {
        let found = self.positive();
        let share = |residual: f64| (residual.max(1e-300).ln() / settings.tolerance.ln()).clamp(0.0, 1.0);
        let good = self.residual.iter().take(found.min(settings.modes));
        let sum: f64 = good.clone().map(|&r| share(r)).sum();
        let all = found >= settings.modes && good.clone().all(|&r| r <= settings.tolerance);
        // only the reversed load buckles: its factor is known and nothing positive has shown itself
        let none = found == 0
            && self.inverse.len() >= settings.basis / 2
            && self.residual.last().is_some_and(|&r| r <= settings.tolerance);
        Wanted { done: all || none, share: sum / settings.modes as f64 }
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests;
