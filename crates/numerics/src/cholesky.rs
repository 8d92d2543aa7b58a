//! Factor and solve of sparse symmetric positive definite matrices (library `faer`, one thread).
//!
//! The order of elimination and the shape of the factor are found once for a [`BlockPattern`]; the factor is then refilled
//! for new values into the same memory. Minimum degree order of the node graph, widened to the unknowns of each node.

use crate::sparse::BlockPattern;
use faer::dyn_stack::{MemBuffer, MemStack};
use faer::linalg::cholesky::llt::factor::LltRegularization;
use faer::perm::PermRef;
use faer::sparse::linalg::amd;
use faer::sparse::linalg::cholesky::{
    CholeskySymbolicParams, LltRef, SymbolicCholesky, SymmetricOrdering, factorize_symbolic_cholesky,
};
use faer::sparse::{FaerError, SparseColMatRef, SymbolicSparseColMat, SymbolicSparseColMatRef};
use faer::{Conj, MatMut, Par, Side};

/// Why a matrix could not be factored.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum CholeskyError {
    /// A pivot was not positive: the matrix is not positive definite, or holds a value that is not finite.
    #[error("the matrix is not positive definite; a part of the problem is not held, or a value is not finite")]
    NotPositiveDefinite,
    /// The problem is too big for this machine.
    #[error("{unknowns} unknowns are more than the memory of this machine holds; use a coarser mesh")]
    TooBig {
        /// Unknowns.
        unknowns: usize,
    },
    /// An order of elimination that is none.
    #[error("the order of elimination must hold every node once")]
    NoOrder,
    /// Slices of the wrong length.
    #[error("{what} has {got} numbers, {need} are needed")]
    WrongLength {
        /// "values" or "right side".
        what: &'static str,
        /// Given.
        got: usize,
        /// Needed.
        need: usize,
    },
}

/// Most right sides that are solved for at once.
pub const MOST_COLUMNS: usize = 2;

/// A factor that can be refilled.
pub struct Cholesky {
    matrix: SymbolicSparseColMat<u32>,
    symbolic: SymbolicCholesky<u32>,
    factor: Vec<f64>,
    memory: MemBuffer,
}

impl std::fmt::Debug for Cholesky {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Cholesky")
            .field("unknowns", &self.matrix.nrows())
            .field("factor", &self.factor.len())
            .finish_non_exhaustive()
    }
}

impl Cholesky {
    /// Finds the order of elimination and the shape of the factor.
    ///
    /// # Errors
    /// [`CholeskyError::TooBig`].
    pub fn analyse<const D: usize>(pattern: &BlockPattern<D>) -> Result<Self, CholeskyError> {
        let order = minimum_degree(pattern).map_err(|_| CholeskyError::TooBig { unknowns: pattern.unknowns() })?;
        Self::analyse_in_order(pattern, &order)
    }

    /// Finds the shape of the factor for a given order of elimination: all nodes, the first to be eliminated first.
    ///
    /// # Errors
    /// [`CholeskyError::TooBig`], [`CholeskyError::NoOrder`].
    pub fn analyse_in_order<const D: usize>(pattern: &BlockPattern<D>, order: &[u32]) -> Result<Self, CholeskyError> {
        let unknowns = pattern.unknowns();
        let too_big = |_: FaerError| CholeskyError::TooBig { unknowns };
        let (forward, inverse) = widened(order, pattern.nodes(), D).ok_or(CholeskyError::NoOrder)?;
        let (starts, rows) = pattern.columns();
        let matrix = SymbolicSparseColMat::new_checked(unknowns, unknowns, starts, None, rows);
        let symbolic = factorize_symbolic_cholesky(
            matrix.as_ref(),
            Side::Lower,
            SymmetricOrdering::Custom(PermRef::new_checked(&forward, &inverse, unknowns)),
            CholeskySymbolicParams::default(),
        )
        .map_err(too_big)?;
        let scratch = symbolic
            .factorize_numeric_llt_scratch::<f64>(Par::Seq, faer::Spec::default())
            .or(symbolic.solve_in_place_scratch::<f64>(MOST_COLUMNS, Par::Seq));
        let memory = MemBuffer::try_new(scratch).map_err(|_| CholeskyError::TooBig { unknowns })?;
        let mut factor = Vec::new();
        factor.try_reserve_exact(symbolic.len_val()).map_err(|_| CholeskyError::TooBig { unknowns })?;
        factor.resize(symbolic.len_val(), 0.0);
        Ok(Self { matrix, symbolic, factor, memory })
    }

    /// Number of unknowns.
    #[must_use]
    pub fn unknowns(&self) -> usize {
        self.matrix.nrows()
    }

    /// Number of values in the factor.
    #[must_use]
    pub fn factor_values(&self) -> usize {
        self.factor.len()
    }

    /// Factors the matrix with these values of the lower triangle, in the order of the pattern.
    ///
    /// # Errors
    /// [`CholeskyError::NotPositiveDefinite`], [`CholeskyError::WrongLength`].
    pub fn factor(&mut self, values: &[f64]) -> Result<(), CholeskyError> {
        let need = self.matrix.row_idx().len();
        if values.len() != need {
            return Err(CholeskyError::WrongLength { what: "values", got: values.len(), need });
        }
        self.symbolic
            .factorize_numeric_llt(
                &mut self.factor,
                SparseColMatRef::new(self.matrix.as_ref(), values),
                Side::Lower,
                LltRegularization::default(),
                Par::Seq,
                MemStack::new(&mut self.memory),
                faer::Spec::default(),
            )
            .map(|_| ())
            .map_err(|_| CholeskyError::NotPositiveDefinite)
    }

    /// Solves with the last factor, in place.
    ///
    /// # Errors
    /// [`CholeskyError::WrongLength`].
    pub fn solve(&mut self, right_side: &mut [f64]) -> Result<(), CholeskyError> {
        self.solve_columns(right_side, 1)
    }

    /// Solves for several right sides, one after the other in `right_side` (at most [`MOST_COLUMNS`]), in place: cheaper than one by one.
    ///
    /// # Errors
    /// [`CholeskyError::WrongLength`].
    pub fn solve_columns(&mut self, right_side: &mut [f64], columns: usize) -> Result<(), CholeskyError> {
        let columns = columns.clamp(1, MOST_COLUMNS);
        let rows = self.matrix.nrows();
        let need = columns * rows;
        if right_side.len() != need {
            return Err(CholeskyError::WrongLength { what: "right side", got: right_side.len(), need });
        }
        LltRef::new(&self.symbolic, &self.factor).solve_in_place_with_conj(
            Conj::No,
            MatMut::from_column_major_slice_mut(right_side, rows, columns),
            Par::Seq,
            MemStack::new(&mut self.memory),
        );
        Ok(())
    }

    /// Solves for several right sides, one after the other in the slice, with the last factor, in place; quicker than each alone.
    ///
    /// # Errors
    /// [`CholeskyError::WrongLength`] when the slice is no whole number of right sides, [`CholeskyError::TooBig`].
    pub fn solve_several(&mut self, right_sides: &mut [f64]) -> Result<(), CholeskyError> {
        let unknowns = self.matrix.nrows();
        let count = right_sides.len() / unknowns.max(1);
        if right_sides.len() != count * unknowns {
            let need = count * unknowns;
            return Err(CholeskyError::WrongLength { what: "right sides", got: right_sides.len(), need });
        }
        let scratch = self.symbolic.solve_in_place_scratch::<f64>(count, Par::Seq);
        let mut memory = MemBuffer::try_new(scratch).map_err(|_| CholeskyError::TooBig { unknowns })?;
        LltRef::new(&self.symbolic, &self.factor).solve_in_place_with_conj(
            Conj::No,
            MatMut::from_column_major_slice_mut(right_sides, unknowns, count),
            Par::Seq,
            MemStack::new(&mut memory),
        );
        Ok(())
    }
}

/// Minimum degree order of the nodes.
fn minimum_degree<const D: usize>(pattern: &BlockPattern<D>) -> Result<Vec<u32>, FaerError> {
    let nodes = pattern.nodes();
    let (starts, rows) = pattern.node_graph();
    let graph = SymbolicSparseColMatRef::new_checked(nodes, nodes, &starts, None, &rows);
    let mut forward = vec![0u32; nodes];
    let mut inverse = vec![0u32; nodes];
    let mut memory = MemBuffer::try_new(amd::order_maybe_unsorted_scratch::<u32>(nodes, rows.len()))
        .map_err(|_| FaerError::OutOfMemory)?;
    amd::order_maybe_unsorted(&mut forward, &mut inverse, graph, amd::Control::default(), MemStack::new(&mut memory))?;
    Ok(forward)
}

/// An order of the nodes widened to their unknowns, forward and inverse; none when it does not hold every node once.
fn widened(order: &[u32], nodes: usize, unknowns_each: usize) -> Option<(Vec<u32>, Vec<u32>)> {
    let mut place = vec![u32::MAX; nodes];
    for (i, &node) in order.iter().enumerate() {
        let slot = place.get_mut(node as usize)?;
        if std::mem::replace(slot, i as u32) != u32::MAX {
            return None;
        }
    }
    let widen = |order: &[u32]| {
        let each = unknowns_each as u32;
        order.iter().flat_map(|&node| (0..each).map(move |i| each * node + i)).collect::<Vec<u32>>()
    };
    (order.len() == nodes).then(|| (widen(order), widen(&place)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A row of springs held at one end: pulled with 1 at the other, every spring of stiffness k lengthens by 1/k.
    #[test]
    fn a_row_of_springs() {
        let elements: Vec<[u32; 2]> = (0..40).map(|i| [i, i + 1]).collect();
        let pattern = BlockPattern::<1>::new(40, elements.iter().map(<[u32; 2]>::as_slice));
        let places = pattern.places(&elements);
        let mut solver = Cholesky::analyse(&pattern).unwrap();
        for stiffness in [2.0, 5.0] {
            let mut values = vec![0.0; pattern.stored()];
            for e in 0..elements.len() {
                places.add(&pattern, e, &[[stiffness, -stiffness], [-stiffness, stiffness]], &mut values);
            }
            solver.factor(&values).unwrap();
            let mut x = vec![0.0; 40];
            x[0] = 1.0;
            solver.solve(&mut x).unwrap();
            for (i, x) in x.iter().enumerate() {
                assert!((x - (40 - i) as f64 / stiffness).abs() < 1e-11, "{i}: {x}");
            }
            let mut several = vec![0.0; 80];
            (several[0], several[40]) = (1.0, -3.0);
            solver.solve_several(&mut several).unwrap();
            assert!((0..40).all(|i| (several[i] - x[i]).abs() < 1e-11 && (several[40 + i] + 3.0 * x[i]).abs() < 1e-11));
        }
    }

    #[test]
    fn what_is_not_positive_or_not_long_enough_is_named() {
        let pattern = BlockPattern::<1>::new(2, [[0u32, 1]].iter().map(<[u32; 2]>::as_slice));
        let mut solver = Cholesky::analyse(&pattern).unwrap();
        assert_eq!(solver.factor(&[1.0, 2.0, 1.0]), Err(CholeskyError::NotPositiveDefinite));
        assert_eq!(solver.factor(&[f64::NAN, 0.0, 1.0]), Err(CholeskyError::NotPositiveDefinite));
        assert!(matches!(solver.factor(&[1.0]), Err(CholeskyError::WrongLength { need: 3, .. })));
        assert!(matches!(solver.solve_several(&mut [1.0; 3]), Err(CholeskyError::WrongLength { need: 2, .. })));
        assert!(matches!(solver.solve(&mut [1.0]), Err(CholeskyError::WrongLength { need: 2, .. })));
    }
}
