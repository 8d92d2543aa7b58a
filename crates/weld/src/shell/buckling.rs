//! Linear buckling: by how much the loads, all of them together, may grow before a flat or smooth shell leaves its shape.
//!
//! The loads bring the membrane forces N of the linear solution; λ·N takes the stiffness away: `K x = −λ K_g(N) x`. A factor below 1 says
//! that the panel has already buckled under the loads as they are.

use super::{Assembly, Deflection, LinearModel, Loads, UNKNOWNS, element, geometric};
use crate::error::WeldError;
use glam::DVec3;
use numerics::cholesky::{Cholesky, CholeskyError};
use numerics::eigen::{self, EigenSettings};
use numerics::{Cancel, Progress};

/// One way to buckle.
#[derive(Debug, Clone, PartialEq)]
pub struct BucklingMode {
    /// The loads times this factor buckle.
    pub factor: f64,
    /// Shape, its largest displacement 1 mm.
    pub shape: Deflection,
    /// Relative residual; the factor's relative error is about its square.
    pub residual: f64,
}

/// How loads buckle a shell.
#[derive(Debug, Clone, PartialEq)]
pub struct Buckling {
    /// Modes, the least factor first; none when the loads only stretch.
    pub modes: Vec<BucklingMode>,
    /// The first mode of the loads reversed, with a negative factor, when it was met on the way.
    pub reversed: Option<BucklingMode>,
    /// Steps of the search, two solves each.
    pub steps: usize,
    /// All modes asked for reached the tolerance, or there are no more.
    pub converged: bool,
}

impl Buckling {
    /// The least factor: the buckling margin of the loads. None when they only stretch.
    #[must_use]
    pub fn margin(&self) -> Option<f64> {
        self.modes.first().map(|mode| mode.factor)
    }
}

impl Assembly {
    /// Membrane forces (Nx, Ny, Nxy) of every triangle in the axes of its frame, N/mm: mean strain less that at which it bears no force.
    ///
    /// # Errors
    /// Faults of the loads.
    pub fn membrane_forces_n_mm(&self, deflection: &Deflection, loads: &Loads) -> Result<Vec<[f64; 3]>, WeldError> {
        let of_triangle = |(triangle, frame)| {
            let local = element::to_local(frame, &self.of_corners(triangle, &deflection.unknowns));
            self.shell.sheet(triangle).force_n_mm(element::strains(frame, &local).0)
        };
        let mut forces: Vec<[f64; 3]> = self.frames.iter().enumerate().map(of_triangle).collect();
        for (triangle, strain) in self.free_strains(loads)? {
            let less = self.shell.sheet(triangle).force_n_mm(strain);
            forces[triangle].iter_mut().zip(less).for_each(|(force, less)| *force -= less);
        }
        Ok(forces)
    }

    /// Geometric stiffness of membrane forces, values as those of [`Self::elastic`].
    ///
    /// # Errors
    /// [`WeldError::Cancelled`].
    pub fn geometric(&self, forces_n_mm: &[[f64; 3]], cancel: &Cancel) -> Result<Vec<f64>, WeldError> {
        self.matrix(cancel, |triangle| {
            let frame = &self.frames[triangle];
            element::to_mesh(frame, &geometric::local_stiffness(frame, forces_n_mm[triangle]))
        })
    }
}

impl LinearModel {
    /// Least buckling factors of loads (inherent strains among them).
    ///
    /// # Errors
    /// Faults of the loads; [`WeldError::Eigen`]; [`WeldError::Cancelled`].
    pub fn buckling(
        &mut self,
        loads: &Loads,
        settings: &EigenSettings,
        progress: &Progress,
        cancel: &Cancel,
    ) -> Result<Buckling, WeldError> {
        let deflection = self.solve(loads)?;
        cancel.check()?;
        let forces = self.assembly().membrane_forces_n_mm(&deflection, loads)?;
        self.buckling_of_forces(&forces, settings, progress, cancel)
    }

    /// Least buckling factors of membrane forces (Nx, Ny, Nxy) of every triangle in the axes of its frame, N/mm, wherever they came from.
    ///
    /// # Errors
    /// [`WeldError::WrongLength`], [`WeldError::Eigen`], [`WeldError::Cancelled`].
    pub fn buckling_of_forces(
        &mut self,
        forces_n_mm: &[[f64; 3]],
        settings: &EigenSettings,
        progress: &Progress,
        cancel: &Cancel,
    ) -> Result<Buckling, WeldError> {
        let (assembly, factor) = self.split();
        search(assembly, factor, forces_n_mm, settings, progress, cancel)
    }

    /// Least factors by which the forces `growing` may grow while `standing` ones stay as they are; both as in [`Self::buckling_of_forces`].
    ///
    /// None when the standing forces alone buckle the shell. Costs a factorisation.
    ///
    /// # Errors
    /// [`WeldError::WrongLength`], [`WeldError::Stiffness`], [`WeldError::Eigen`], [`WeldError::Cancelled`].
    pub fn buckling_beyond(
        &self,
        standing_n_mm: &[[f64; 3]],
        growing_n_mm: &[[f64; 3]],
        settings: &EigenSettings,
        progress: &Progress,
        cancel: &Cancel,
    ) -> Result<Option<Buckling>, WeldError> {
        let assembly = self.assembly();
        one_for_each(assembly, standing_n_mm)?;
        let mut values = assembly.elastic(cancel)?;
        for (value, more) in values.iter_mut().zip(assembly.geometric(standing_n_mm, cancel)?) {
            *value += more;
        }
        assembly.support(&mut values);
        let mut factor = assembly.analyse()?;
        cancel.check()?;
        match factor.factor(&values) {
            Err(CholeskyError::NotPositiveDefinite) => Ok(None),
            Err(other) => Err(other.into()),
            Ok(()) => search(assembly, &mut factor, growing_n_mm, settings, progress, cancel).map(Some),
        }
    }
}

fn one_for_each(assembly: &Assembly, forces_n_mm: &[[f64; 3]]) -> Result<(), WeldError> {
    let (got, need) = (forces_n_mm.len(), assembly.frames.len());
    if let Some(index) = forces_n_mm.iter().position(|force| force.iter().any(|value| !value.is_finite())) {
        return Err(WeldError::NotFinite { what: "membrane force of triangle", index });
    }
    if got == need { Ok(()) } else { Err(WeldError::WrongLength { what: "the list of membrane forces", got, need }) }
}

fn search(
    assembly: &Assembly,
    factor: &mut Cholesky,
    forces_n_mm: &[[f64; 3]],
    settings: &EigenSettings,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<Buckling, WeldError> {
    one_for_each(assembly, forces_n_mm)?;
    progress.report(0.0, "geometric stiffness");
    let mut values = assembly.geometric(forces_n_mm, cancel)?;
    values.iter_mut().for_each(|value| *value = -*value);
    let apply = |x: &[f64], y: &mut [f64]| assembly.pattern.multiply(&values, x, y);
    let modes = eigen::least_factors(factor, apply, settings, &progress.part(0.1, 1.0), cancel)?;
    let (steps, converged) = (modes.steps, modes.converged);
    let reversed = modes.negative.map(of_unit_height);
    Ok(Buckling { modes: modes.positive.into_iter().map(of_unit_height).collect(), reversed, steps, converged })
}

/// A mode whose largest displacement is 1 mm.
fn of_unit_height(mode: eigen::Mode) -> BucklingMode {
    let mut unknowns = mode.shape;
    let length = |six: &[f64]| DVec3::from_slice(six).length();
    let most =
        unknowns.chunks_exact(UNKNOWNS).map(length).fold(0.0, |most: f64, here| if here > most { here } else { most });
    if most > 0.0 {
        unknowns.iter_mut().for_each(|value| *value /= most);
    }
    BucklingMode { factor: mode.factor, shape: Deflection { unknowns }, residual: mode.residual }
}
