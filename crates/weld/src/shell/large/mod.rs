//! Large displacements and rotations: where a shell comes to rest under loads that warp it for good.
//!
//! Every triangle is carried along by a frame of its own; in it the linear triangle works with small strains. The loads
//! grow from nothing in steps; each step is solved by Newton's method ([`Settings`]). Forces and moments keep their direction and
//! size, loads per area act on the area the panel had at first. A held rotation allows no turning about its axis in space at any time; a spring
//! against rotation works on the rotation vector of its node, so up to half a turn.
//!
//! A panel that loses its hold on a shape (oil-canning) jumps to the next one it can rest in: the step is then solved by going downhill
//! in energy, and the history says so ([`Noted::fell`]). A perfectly flat panel does not leave its plane by itself: give it the shape
//! of a buckling mode first, [`with_imperfection`].

mod path;
mod rotation;
mod solve;
mod triangle;

pub use solve::{Led, Place, solve};

use super::{Deflection, Shell};
use glam::{DQuat, DVec3};

/// How the loads are brought on.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Shares of the loads at which the state is wanted, ascending, above 0; the last is where it ends.
    pub shares: Vec<f64>,
    /// Share of the loads in the first step, as a part of the last of `shares`; steps grow and shrink by themselves.
    pub first_step: f64,
    /// Force out of balance over the forces in the triangles that counts as balance.
    pub tolerance: f64,
    /// Most steps, failed ones among them.
    pub most_steps: usize,
    /// Most Newton iterations in all.
    pub most_iterations: usize,
    /// Nodes whose displacement is noted at each step.
    pub watched: Vec<u32>,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            shares: vec![1.0],
            first_step: 0.1,
            tolerance: 1e-6,
            most_steps: 400,
            most_iterations: 10_000,
            watched: Vec::new(),
        }
    }
}

/// A state of balance on the way.
#[derive(Debug, Clone, PartialEq)]
pub struct Noted {
    /// Share of the loads.
    pub share: f64,
    /// Largest displacement.
    pub most_mm: f64,
    /// Displacements of the watched nodes.
    pub watched_mm: Vec<DVec3>,
    /// Newton steps it took.
    pub iterations: usize,
    /// The shell let go of its shape and fell into the next one.
    pub fell: bool,
    /// The state is one it would stay in if touched.
    pub stable: bool,
}

/// How a run ended.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum Ending {
    /// All shares were reached.
    Converged,
    /// No balance was found beyond the last state noted.
    Stalled,
    /// As many steps as allowed were taken.
    StepLimit,
}

/// A shell at rest after large displacements.
#[derive(Debug, Clone, PartialEq)]
pub struct Bent {
    /// Displacement of every node.
    pub displacement_mm: Vec<DVec3>,
    /// Rotation of every node.
    pub rotation: Vec<DQuat>,
    /// Membrane forces (x, y, shear) of every triangle, N/mm, in the axes of its frame carried along.
    pub membrane_n_mm: Vec<[f64; 3]>,
    /// Share of the loads it bears.
    pub share: f64,
    /// How the run ended.
    pub ending: Ending,
    /// States on the way, the last being this one.
    pub history: Vec<Noted>,
}

/// The shell with another shape to begin with: its points moved by `height_mm` times a mode shape whose largest displacement is 1 mm.
#[must_use]
pub fn with_imperfection(shell: &Shell, shape: &Deflection, height_mm: f64) -> Shell {
    let mut shell = shell.clone();
    for (node, point) in shell.skin.points_mm.iter_mut().enumerate() {
        *point += height_mm * shape.displacement_mm(node);
    }
    shell
}

#[cfg(test)]
mod tests;
