//! Linear static solve: factored once, then any number of loads.

use super::assemble::Assembly;
use super::{Loads, Shell, Supports, UNKNOWNS, element};
use crate::error::WeldError;
use glam::DVec3;
use handbook::Concern;
use numerics::cholesky::Cholesky;
use numerics::{Cancel, Progress};

/// A held shell whose stiffness is factored.
#[derive(Debug)]
pub struct LinearModel {
    assembly: Assembly,
    factor: Cholesky,
}

/// How the shell moves under a load.
#[derive(Debug, Clone, PartialEq)]
pub struct Deflection {
    /// Six numbers a node: displacement (mm) and rotation (rad) in the axes of the mesh.
    pub unknowns: Vec<f64>,
}

impl Deflection {
    /// Displacement of a node.
    #[must_use]
    pub fn displacement_mm(&self, node: usize) -> DVec3 {
        DVec3::from_slice(&self.unknowns[UNKNOWNS * node..])
    }

    /// Rotation of a node.
    #[must_use]
    pub fn rotation_rad(&self, node: usize) -> DVec3 {
        DVec3::from_slice(&self.unknowns[UNKNOWNS * node + 3..])
    }
}

/// What the ground does to a held or sprung node.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reaction {
    /// Node.
    pub node: u32,
    /// Force.
    pub force_n: DVec3,
    /// Moment.
    pub moment_n_mm: DVec3,
}

impl LinearModel {
    /// Assembles and factors the stiffness. Looks at the flag between its steps, the longest of which is the factorisation.
    ///
    /// # Errors
    /// Faults of the shell and its supports; [`WeldError::Stiffness`]; [`WeldError::Cancelled`].
    pub fn new(shell: Shell, supports: &Supports, progress: &Progress, cancel: &Cancel) -> Result<Self, WeldError> {
        progress.report(0.0, "shell: supports");
        let assembly = Assembly::new(shell, supports)?;
        cancel.check()?;
        progress.report(0.1, "shell: order of elimination");
        let mut factor = assembly.analyse()?;
        progress.report(0.4, "shell: stiffness");
        let mut values = assembly.elastic(cancel)?;
        assembly.support(&mut values);
        cancel.check()?;
        progress.report(0.5, "shell: factor");
        factor.factor(&values)?;
        cancel.check()?;
        progress.report(1.0, "shell: ready");
        Ok(Self { assembly, factor })
    }

    /// Shell, frames and supports.
    #[must_use]
    pub fn assembly(&self) -> &Assembly {
        &self.assembly
    }

    /// The assembly and the factor of its stiffness.
    pub(super) fn split(&mut self) -> (&Assembly, &mut Cholesky) {
        (&self.assembly, &mut self.factor)
    }

    /// What the reader must know: a panel that nothing holds.
    #[must_use]
    pub fn concerns(&self) -> &[Concern] {
        &self.assembly.held.concerns
    }

    /// Deflection under loads.
    ///
    /// # Errors
    /// Faults of the loads.
    pub fn solve(&mut self, loads: &Loads) -> Result<Deflection, WeldError> {
        let mut unknowns = self.assembly.forces(loads)?;
        self.solve_forces(&mut unknowns)?;
        Ok(Deflection { unknowns })
    }

    /// Turns forces and moments, six numbers a node, into displacements and rotations; several cases may follow one another.
    ///
    /// # Errors
    /// [`WeldError::Stiffness`] when there is not a whole number of cases.
    pub fn solve_forces(&mut self, forces: &mut [f64]) -> Result<(), WeldError> {
        for case in forces.chunks_mut(self.assembly.unknowns()) {
            if case.len() == self.assembly.unknowns() {
                self.assembly.held.project(case);
            }
        }
        Ok(self.factor.solve_several(forces)?)
    }

    /// What the ground does to the held and sprung nodes, those held only to keep the panel from floating among them.
    ///
    /// # Errors
    /// Faults of the loads.
    pub fn reactions(&self, deflection: &Deflection, loads: &Loads) -> Result<Vec<Reaction>, WeldError> {
        let assembly = &self.assembly;
        let mut nodes: Vec<u32> = assembly.held.nodes().chain(assembly.held.springs.iter().map(|s| s.node)).collect();
        nodes.sort_unstable();
        nodes.dedup();
        let mut forces = assembly.forces(loads)?;
        forces.iter_mut().for_each(|force| *force = -*force);
        for (triangle, corners) in assembly.shell.skin.triangles.iter().enumerate() {
            if !corners.iter().any(|node| nodes.binary_search(node).is_ok()) {
                continue;
            }
            let frame = &assembly.frames[triangle];
            let local = element::to_local(frame, &assembly.of_corners(triangle, &deflection.unknowns));
            let stiffness = element::local_stiffness(frame, assembly.shell.sheet(triangle));
            let inner = stiffness.map(|row| row.iter().zip(&local).map(|(k, u)| k * u).sum());
            assembly.add_forces(triangle, &element::from_local(frame, &inner), &mut forces);
        }
        let six = |node: u32| &forces[UNKNOWNS * node as usize..];
        let reaction = |node| Reaction {
            node,
            force_n: DVec3::from_slice(six(node)),
            moment_n_mm: DVec3::from_slice(&six(node)[3..]),
        };
        Ok(nodes.into_iter().map(reaction).collect())
    }
}
