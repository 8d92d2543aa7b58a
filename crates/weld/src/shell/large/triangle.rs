//! The shell triangle carried along by a frame of its own: large displacements and rotations, small strains.
//!
//! The frame lies in the plane of the moved corners and is turned in that plane so that it fits the unmoved triangle best
//! (`Σ Xᵢ × xᵢ = 0`), which does not depend on the numbering. What is left between the frame and the corners are small displacements and
//! rotations; on them works the linear triangle of [`element`], whatever it is made of. Forces are the exact derivative of its
//! energy; the tangent leaves out what a moment out of balance within the triangle would add, and is made symmetric, which Newton's
//! method does not mind (B. Nour-Omid, C. C. Rankin, Comput. Methods Appl. Mech. Engrg. 93 (1991) 353–384, from memory).

use super::rotation::{moment_by_spin, skew, vector_by_spin, vector_of};
use crate::shell::element::{self, Stiffness};
use crate::shell::{Frame, Sheet};
use glam::{DMat3, DVec2, DVec3};

/// Six numbers at each of three corners.
pub type Eighteen = [f64; 18];

/// A triangle before it moves.
#[derive(Debug, Clone)]
pub struct Still {
    frame: Frame,
    sheet: Sheet,
    /// Linear stiffness in the axes of the frame.
    stiffness: Stiffness,
    /// Inherent strain, in the axes of the frame.
    strain: [f64; 3],
    /// Forces of that strain.
    inherent: Eighteen,
}

/// A triangle that has moved.
#[derive(Debug, Clone)]
pub struct Moved {
    /// Its frame: plane of the moved corners, turned to fit.
    pub frame: Frame,
    /// Displacements and rotations of the corners seen from the frame.
    pub left: Eighteen,
    /// Spin of the frame by displacements of the corners.
    spin: [DMat3; 3],
    /// H of each corner.
    by_spin: [DMat3; 3],
}

impl Still {
    /// A triangle at rest, and its inherent strain (x, y, engineering shear in the axes of its frame).
    pub fn new(frame: &Frame, sheet: &Sheet, strain: [f64; 3]) -> Self {
        let inherent = element::inherent_forces(frame, sheet, strain);
        Self { frame: *frame, sheet: *sheet, stiffness: element::local_stiffness(frame, sheet), strain, inherent }
    }

    /// The same triangle with another inherent strain.
    pub fn strain_to(&mut self, strain: [f64; 3]) {
        self.strain = strain;
        self.inherent = element::inherent_forces(&self.frame, &self.sheet, strain);
    }

    /// Forces on what is left, in the axes of the frame.
    pub fn forces(&self, left: &Eighteen) -> Eighteen {
        let of_row = |a: usize| self.stiffness[a].iter().zip(left).map(|(k, u)| k * u).sum::<f64>();
        std::array::from_fn(|a| of_row(a) - self.inherent[a])
    }

    /// Membrane forces (x, y, shear) in the axes of the frame, N/mm.
    pub fn membrane_force_n_mm(&self, left: &Eighteen) -> [f64; 3] {
        let strain = element::strains(&self.frame, left).0;
        self.sheet.force_n_mm(std::array::from_fn(|i| strain[i] - self.strain[i]))
    }

    /// The triangle with its corners moved and its nodes turned; none when it has lost its area.
    pub fn moved(&self, corners_mm: [DVec3; 3], nodes: [DMat3; 3]) -> Option<Moved> {
        let along_side = Frame::of(corners_mm)?;
        let (here, there) = (along_side.corners_mm, self.frame.corners_mm);
        // turned in the plane until Σ X × x is nought
        let dot: f64 = here.iter().zip(there).map(|(to, from)| from.dot(*to)).sum();
        let cross: f64 = here.iter().zip(there).map(|(to, from)| from.perp_dot(*to)).sum();
        let size = dot.hypot(cross);
        if size == 0.0 {
            return None;
        }
        let (c, s) = (dot / size, cross / size);
        let [x, y, z] = along_side.axes;
        let axes = [x * c + y * s, y * c - x * s, z];
        let turned = |p: DVec2| DVec2::new(c * p.x + s * p.y, c * p.y - s * p.x);
        let frame = Frame { axes, corners_mm: here.map(turned), ..along_side };
        let gradients = frame.gradients();
        let spin = std::array::from_fn(|i| {
            let (g, at) = (gradients[i], there[i] / size);
            // rows: about x, y by the tilt of the plane, about z by the fit
            DMat3::from_cols(DVec3::new(0.0, 0.0, -at.y), DVec3::new(0.0, 0.0, at.x), DVec3::new(g.y, -g.x, 0.0))
        });
        let [e, e0] = [&frame, &self.frame].map(|of| DMat3::from_cols(of.axes[0], of.axes[1], of.axes[2]));
        let mut left = [0.0; 18];
        let mut by_spin = [DMat3::IDENTITY; 3];
        for i in 0..3 {
            let vector = vector_of(e.transpose() * nodes[i] * e0);
            by_spin[i] = vector_by_spin(vector);
            let off = frame.corners_mm[i] - there[i];
            left[6 * i..6 * i + 2].copy_from_slice(&off.to_array());
            left[6 * i + 3..6 * i + 6].copy_from_slice(&vector.to_array());
        }
        Some(Moved { frame, left, spin, by_spin })
    }
}

fn three(of: &Eighteen, at: usize) -> DVec3 {
    DVec3::from_slice(&of[3 * at..3 * at + 3])
}

impl Moved {
    fn corner(&self, i: usize) -> DVec3 {
        self.frame.corners_mm[i].extend(0.0)
    }

    /// Change of what is left by a small motion of the corners, both in the axes of the frame; common translations are left in.
    pub fn change(&self, motion: &Eighteen) -> Eighteen {
        let spin = (0..3).map(|i| self.spin[i] * three(motion, 2 * i)).sum::<DVec3>();
        let mut change = [0.0; 18];
        for i in 0..3 {
            let move_by = three(motion, 2 * i) - spin.cross(self.corner(i));
            let turn_by = self.by_spin[i] * (three(motion, 2 * i + 1) - spin);
            change[6 * i..6 * i + 3].copy_from_slice(&move_by.to_array());
            change[6 * i + 3..6 * i + 6].copy_from_slice(&turn_by.to_array());
        }
        change
    }

    /// Forces on the corners in the axes of the frame that do the work of forces on what is left: the transpose of [`Self::change`].
    pub fn forces_on_corners(&self, on_left: &Eighteen) -> Eighteen {
        let mut on_corners = [0.0; 18];
        let mut moment = DVec3::ZERO;
        for i in 0..3 {
            let (force, couple) = (three(on_left, 2 * i), self.by_spin[i].transpose() * three(on_left, 2 * i + 1));
            moment += self.corner(i).cross(force) + couple;
            on_corners[6 * i + 3..6 * i + 6].copy_from_slice(&couple.to_array());
        }
        for i in 0..3 {
            let force = three(on_left, 2 * i) - self.spin[i].transpose() * moment;
            on_corners[6 * i..6 * i + 3].copy_from_slice(&force.to_array());
        }
        on_corners
    }

    /// Tangent in the axes of the frame, not made symmetric: linear stiffness carried along, and what `on_left` does when the triangle turns.
    pub fn tangent(&self, still: &Still, on_left: &Eighteen) -> Stiffness {
        let projector = self.rows(false);
        let mut tangent = carried(&self.rows(true), &still.stiffness);
        let on_corners = self.forces_on_corners(on_left);
        for i in 0..3 {
            // moments turn with their own corner
            let vector = three(&self.left, 2 * i + 1);
            let turning = moment_by_spin(vector, three(on_left, 2 * i + 1));
            add_product(&mut tangent, &projector, 6 * i + 3, turning);
            // forces and moments turn with the frame
            for half in 0..2 {
                let turned = skew(three(&on_corners, 2 * i + half));
                for j in 0..3 {
                    add(&mut tangent, 6 * i + 3 * half, 6 * j, -(turned * self.spin[j]));
                }
            }
            // and their arms change
            let force = skew(three(on_left, 2 * i));
            for j in 0..3 {
                let by = self.spin[j].transpose() * force;
                for column in 0..18 {
                    let arm = by * DVec3::from_array(std::array::from_fn(|k| projector[6 * i + k][column]));
                    (0..3).for_each(|k| tangent[6 * j + k][column] += arm[k]);
                }
            }
        }
        tangent
    }

    /// [`Self::change`] as a matrix, with or without the step from spins to rotation vectors.
    fn rows(&self, to_vectors: bool) -> Stiffness {
        let mut rows = [[0.0; 18]; 18];
        for i in 0..3 {
            let by_spin = if to_vectors { self.by_spin[i] } else { DMat3::IDENTITY };
            let arm = skew(self.corner(i));
            add(&mut rows, 6 * i, 6 * i, DMat3::IDENTITY);
            add(&mut rows, 6 * i + 3, 6 * i + 3, by_spin);
            for j in 0..3 {
                // −ω × x = x × ω
                add(&mut rows, 6 * i, 6 * j, arm * self.spin[j]);
                add(&mut rows, 6 * i + 3, 6 * j, -(by_spin * self.spin[j]));
            }
        }
        rows
    }
}

/// Adds a block of three rows and columns.
fn add(to: &mut Stiffness, row: usize, column: usize, block: DMat3) {
    for (i, values) in block.transpose().to_cols_array_2d().iter().enumerate() {
        (0..3).for_each(|j| to[row + i][column + j] += values[j]);
    }
}

/// Adds `Pᵀ · block · P`, the block standing at rows and columns `at` of P's rows.
fn add_product(to: &mut Stiffness, projector: &Stiffness, at: usize, block: DMat3) {
    let column = |c: usize| DVec3::new(projector[at][c], projector[at + 1][c], projector[at + 2][c]);
    let right: [DVec3; 18] = std::array::from_fn(|c| block * column(c));
    for (row, values) in to.iter_mut().enumerate() {
        let left = column(row);
        values.iter_mut().zip(&right).for_each(|(value, right)| *value += left.dot(*right));
    }
}

/// `Jᵀ K J`.
fn carried(change: &Stiffness, stiffness: &Stiffness) -> Stiffness {
    let mut half = [[0.0; 18]; 18];
    for (row, out) in stiffness.iter().zip(half.iter_mut()) {
        for (k, from) in row.iter().zip(change) {
            // membrane and plate do not meet in the plane: half of the stiffness is nought
            if *k != 0.0 {
                out.iter_mut().zip(from).for_each(|(out, from)| *out += k * from);
            }
        }
    }
    let mut whole = [[0.0; 18]; 18];
    for (from, through) in change.iter().zip(&half) {
        for (a, out) in whole.iter_mut().enumerate() {
            let share = from[a];
            if share != 0.0 {
                out.iter_mut().zip(through).for_each(|(out, through)| *out += share * through);
            }
        }
    }
    whole
}

/// Makes a matrix symmetric.
pub fn symmetric(mut matrix: Stiffness) -> Stiffness {
    let turned = matrix;
    for (a, row) in matrix.iter_mut().enumerate() {
        row.iter_mut().zip(turned).for_each(|(value, other)| *value = 0.5 * (*value + other[a]));
    }
    matrix
}

#[cfg(test)]
mod tests;
