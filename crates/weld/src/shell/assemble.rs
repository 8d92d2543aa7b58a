//! The matrices of a shell: what goes where, what is held, and in which order it is eliminated.
//!
//! A held direction `a` of a node is taken out exactly: with the projection `P` on what is free, `K` becomes `P·K·P` and the
//! direction gets a stiffness of its own, coupled to nothing. Sums run in the order of the triangles.

use super::element::{self, Stiffness};
use super::supports::Held;
use super::{Frame, Shell, Supports, UNKNOWNS};
use crate::error::WeldError;
use glam::{DMat3, DVec3};
use numerics::Cancel;
use numerics::cholesky::Cholesky;
use numerics::dissection;
use numerics::sparse::{BlockPattern, Places};

/// Triangles between two looks at the flag.
const LOOK_EVERY: usize = 4096;

/// A shell made ready to be assembled.
#[derive(Debug, Clone)]
pub struct Assembly {
    /// Shell.
    pub shell: Shell,
    /// Frame of each triangle.
    pub frames: Vec<Frame>,
    /// What is held.
    pub held: Held,
    /// Which nodes are coupled.
    pub pattern: BlockPattern<UNKNOWNS>,
    places: Places<3, UNKNOWNS>,
}

impl Assembly {
    /// Makes a shell and its supports ready.
    ///
    /// # Errors
    /// The first fault of the shell or its supports.
    pub fn new(shell: Shell, supports: &Supports) -> Result<Self, WeldError> {
        let frames = shell.validate()?;
        let held = Held::new(&shell, supports)?;
        let triangles = &shell.skin.triangles;
        let pattern = BlockPattern::new(shell.skin.points_mm.len(), triangles.iter().map(<[u32; 3]>::as_slice));
        let places = pattern.places(triangles);
        Ok(Self { shell, frames, held, pattern, places })
    }

    /// Number of unknowns, held ones among them.
    #[must_use]
    pub fn unknowns(&self) -> usize {
        self.pattern.unknowns()
    }

    /// Room for the factor of any matrix of this assembly.
    ///
    /// # Errors
    /// [`WeldError::Stiffness`] when it is too big.
    pub fn analyse(&self) -> Result<Cholesky, WeldError> {
        let places: Vec<[f64; 3]> = self.shell.skin.points_mm.iter().map(DVec3::to_array).collect();
        Ok(Cholesky::analyse_in_order(&self.pattern, &dissection::order(&self.pattern, &places))?)
    }

    /// Sum of matrices of the triangles, in the axes of the mesh, with what is held taken out (rows and columns of nought).
    ///
    /// # Errors
    /// [`WeldError::Cancelled`].
    pub fn matrix(
        &self,
        cancel: &Cancel,
        mut of_triangle: impl FnMut(usize) -> Stiffness,
    ) -> Result<Vec<f64>, WeldError> {
        let mut values = vec![0.0; self.pattern.stored()];
        for (triangle, nodes) in self.shell.skin.triangles.iter().enumerate() {
            if triangle % LOOK_EVERY == 0 {
                cancel.check()?;
            }
            let mut local = of_triangle(triangle);
            for (corner, &node) in nodes.iter().enumerate() {
                if let Some(free) = self.held.projection(node) {
                    project(&mut local, corner, free);
                }
            }
            self.places.add(&self.pattern, triangle, &local, &mut values);
        }
        Ok(values)
    }

    /// Elastic stiffness of the flat triangles where they lie, without springs and without what is held.
    ///
    /// # Errors
    /// [`WeldError::Cancelled`].
    pub fn elastic(&self, cancel: &Cancel) -> Result<Vec<f64>, WeldError> {
        self.matrix(cancel, |triangle| self.stiffness_of(triangle))
    }

    /// Stiffness of one triangle in the axes of the mesh.
    #[must_use]
    pub fn stiffness_of(&self, triangle: usize) -> Stiffness {
        let frame = &self.frames[triangle];
        element::to_mesh(frame, &element::local_stiffness(frame, self.shell.sheet(triangle)))
    }

    /// Adds the springs, and gives what is held a stiffness of the common size, so that the matrix can be factored.
    pub fn support(&self, values: &mut [f64]) {
        let nodes: Vec<[u32; 1]> = (0..self.pattern.nodes() as u32).map(|node| [node]).collect();
        let places = self.pattern.places(&nodes);
        let mut common = [0.0; 2];
        for (unknown, at) in self.pattern.diagonals().enumerate() {
            common[unknown % UNKNOWNS / 3] += values[at] / (3.0 * nodes.len() as f64);
        }
        // where everything is held any stiffness will do
        common = common.map(|mean| if mean > 0.0 { mean } else { 1.0 });
        for spring in &self.held.springs {
            let free =
                self.held.projection(spring.node).map_or(DMat3::IDENTITY, |free| free[usize::from(spring.rotation)]);
            let axis = free * spring.axis;
            let mut block = [DMat3::ZERO; 2];
            block[usize::from(spring.rotation)] =
                DMat3::from_cols(axis * axis.x, axis * axis.y, axis * axis.z) * spring.stiffness;
            places.add(&self.pattern, spring.node as usize, &node_block(&block), values);
        }
        for node in self.held.nodes() {
            let Some(free) = self.held.projection(node) else { continue };
            let block = [0, 1].map(|i| (DMat3::IDENTITY - free[i]) * common[i]);
            places.add(&self.pattern, node as usize, &node_block(&block), values);
        }
    }

    /// The 18 unknowns of a triangle's corners.
    #[must_use]
    pub fn of_corners(&self, triangle: usize, unknowns: &[f64]) -> [f64; 18] {
        let mut of_corners = [0.0; 18];
        for (node, six) in self.shell.skin.triangles[triangle].iter().zip(of_corners.chunks_exact_mut(UNKNOWNS)) {
            let at = UNKNOWNS * *node as usize;
            six.copy_from_slice(&unknowns[at..at + UNKNOWNS]);
        }
        of_corners
    }

    /// Adds forces of a triangle's corners, in the axes of the mesh, to those of all nodes.
    pub fn add_forces(&self, triangle: usize, of_corners: &[f64; 18], forces: &mut [f64]) {
        for (node, six) in self.shell.skin.triangles[triangle].iter().zip(of_corners.chunks_exact(UNKNOWNS)) {
            let at = UNKNOWNS * *node as usize;
            forces[at..at + UNKNOWNS].iter_mut().zip(six).for_each(|(sum, force)| *sum += force);
        }
    }
}

/// Six by six block of a node from those of its displacements and rotations.
fn node_block(blocks: &[DMat3; 2]) -> [[f64; UNKNOWNS]; UNKNOWNS] {
    let mut whole = [[0.0; UNKNOWNS]; UNKNOWNS];
    for (i, block) in blocks.iter().enumerate() {
        for row in 0..3 {
            whole[3 * i + row][3 * i..3 * i + 3].copy_from_slice(&block.row(row).to_array());
        }
    }
    whole
}

/// Takes what is held at a corner out of a triangle's matrix.
fn project(local: &mut Stiffness, corner: usize, free: &[DMat3; 2]) {
    for (half, free) in free.iter().enumerate() {
        let at = UNKNOWNS * corner + 3 * half;
        for row in local.iter_mut() {
            let three = *free * DVec3::from_slice(&row[at..at + 3]);
            row[at..at + 3].copy_from_slice(&three.to_array());
        }
        if let [x, y, z] = &mut local[at..at + 3] {
            for ((x, y), z) in x.iter_mut().zip(y).zip(z) {
                let three = *free * DVec3::new(*x, *y, *z);
                (*x, *y, *z) = three.into();
            }
        }
    }
}
