//! Smoothing spline surfaces: z(u, v) through scattered readings, each weighted by how far it reaches.
//!
//! Model: a tensor product of cubic B-splines on a uniform [`Grid`] over a rectangle. Minimised is
//! Σ ((z_i − z(u_i, v_i))/σ_i)² + λ R, the roughness R being ∫∫ S (z_uuu² + 3 z_uuv² + 3 z_uvv² + z_vvv²) + ¼ (z_uu² + 2 z_uv² +
//! z_vv²) du dv over the rectangle of area S, exactly span by span. The least-squares plane of the readings is taken off first and
//! put back: a plane is met to the last digits.
//!
//! Why not the thin plate alone (the second bracket): it holds a crown to be rough and wants the curvature to vanish at the rim,
//! where a panel is as round as in its middle and where it will be joined. Seen on domes, tori and saddles from 7 × 9 and 9 × 13
//! readings: it misses two to twelve times as far, worst at the rim. Change of curvature alone leaves six unknowns to
//! few readings; the quarter of curvature (from the same trials) keeps places without readings quiet.
//! Outside the rectangle the surface goes on straight, z(u, v) being linear along each of u and v there.
//!
//! Reach: readings with independent errors σ_i and the roughness as prior make the coefficients normal with covariance
//! (BᵀWB + λP)⁻¹ (Wahba, J. R. Statist. Soc. B 45 (1983) 133–150; Silverman, J. R. Statist. Soc. B 47 (1985) 1–52); σ of the
//! surface at any place follows, and grows away from readings. When the readings scatter more than their σ say, it grows by that too.
//!
//! Does not hold for: a surface that folds back over the plane of u and v; errors that hang together (a whole profile read
//! from a wrong datum), which no fit can tell from shape.
//! Units: u, v, z and σ in one unit of length; λ then has none, whatever the unit.
//! Symbols: u, v place; z height; σ standard deviation; w = 1/σ²; λ smoothing; H the matrix that turns readings into fitted heights.

mod choose;
mod grid;
mod problem;
mod surface;

pub use grid::Grid;
pub use surface::SplineSurface;

use crate::cholesky::CholeskyError;
use crate::{Cancel, Cancelled, Progress};

/// One reading of height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Datum {
    /// Place u, v.
    pub at: [f64; 2],
    /// Height z.
    pub value: f64,
    /// Standard deviation of the height, more than 0.
    pub sigma: f64,
}

/// How much is smoothed.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Smoothing {
    /// By generalised cross-validation (Craven & Wahba, Numer. Math. 31 (1979) 377–403): the λ under which each reading is
    /// foretold best by the others, a fitted unknown counted 1.4 times so that few readings are not followed too closely
    /// (Kim & Gu, J. R. Statist. Soc. B 66 (2004) 337–356; both from memory).
    ///
    /// The default, because it asks only how the σ compare with one another: a modest person who writes twice the true reach
    /// does not get a flattened dome, and a hopeful one does not get the tremor of the hand.
    #[default]
    CrossValidation,
    /// As smooth as the stated σ allow: Σ ((z_i − z)/σ_i)² equals the number of readings (Reinsch, Numer. Math. 10 (1967)
    /// 177–183; from memory). Right where σ is known well, from a machine's certificate.
    Discrepancy,
    /// λ itself, more than 0: small follows the readings, large ends in a plane.
    Given(f64),
}

/// Why no surface could be fitted.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SplineError {
    /// Not enough readings.
    #[error("{got} readings are not enough for a surface; give 3 or more, not on one line")]
    TooFew {
        /// Given.
        got: usize,
    },
    /// All readings lie on one line: the surface could turn about it.
    #[error("all {got} readings lie on one line; give some beside it")]
    OnOneLine {
        /// Given.
        got: usize,
    },
    /// A number that is not finite, or a σ that is not more than 0.
    #[error("{what} of reading {index} is {got}; a finite number{} is accepted", if *.positive { " more than 0" } else { "" })]
    BadDatum {
        /// "u", "v", "height" or "standard deviation".
        what: &'static str,
        /// Counted from 0.
        index: usize,
        /// Given.
        got: f64,
        /// Whether it must be more than 0.
        positive: bool,
    },
    /// A grid without extent or spans, or with more than the limit.
    #[error(
        "a grid of {spans:?} spans from {low:?} to {high:?} cannot be used; it needs extent both ways and 1 to {} spans",
        Grid::MOST_SPANS
    )]
    BadGrid {
        /// Lower corner.
        low: [f64; 2],
        /// Upper corner.
        high: [f64; 2],
        /// Spans along u and v.
        spans: [usize; 2],
    },
    /// A λ that cannot be used.
    #[error("the smoothing is {got}; a finite number more than 0 is accepted")]
    BadSmoothing {
        /// Given.
        got: f64,
    },
    /// The equations could not be solved.
    #[error("the surface cannot be solved for: {0}")]
    Solve(#[from] CholeskyError),
    /// Stopped by a person.
    #[error(transparent)]
    Cancelled(#[from] Cancelled),
}

/// Fits a smoothing spline surface.
///
/// `data` in any order, doubled places allowed; `grid` should cover them. The same input gives the same bits.
///
/// # Errors
/// [`SplineError`].
pub fn fit(
    data: &[Datum],
    grid: Grid,
    smoothing: Smoothing,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<SplineSurface, SplineError> {
    progress.report(0.0, "setting up the surface");
    let mut problem = problem::Problem::new(data, grid)?;
    let lambda = choose::smoothing(&mut problem, smoothing, &progress.part(0.05, 0.6), cancel)?;
    surface::solve(&mut problem, lambda, &progress.part(0.6, 1.0), cancel)
}

#[cfg(test)]
mod tests;
