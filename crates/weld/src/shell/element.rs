//! The shell triangle: membrane with drilling rotations and Kirchhoff bending, uncoupled in the triangle's plane.
//!
//! Six unknowns a corner in the order of [`super::UNKNOWNS`]; 18 rows numbered `6·corner + unknown`. Units: N/mm, N, N·mm.
//! [`local_stiffness`] is in the axes of the [`Frame`], [`stiffness`] in those of the mesh.

use super::{Frame, Sheet, bending, membrane};
use glam::DVec3;

/// Stiffness of a triangle.
pub type Stiffness = [[f64; 18]; 18];

/// Where the membrane's unknowns u, v, θ stand at a corner.
pub const MEMBRANE: [usize; 3] = [0, 1, 5];
/// Where the plate's unknowns w, θx, θy stand at a corner.
pub const PLATE: [usize; 3] = [2, 3, 4];

/// Row of the 18 of unknown `a` of the nine of membrane or plate.
#[must_use]
pub const fn row_of(of_corner: [usize; 3], a: usize) -> usize {
    6 * (a / 3) + of_corner[a % 3]
}

/// Stiffness in the axes of the frame.
#[must_use]
pub fn local_stiffness(frame: &Frame, sheet: &Sheet) -> Stiffness {
    let mut local = [[0.0; 18]; 18];
    for (of_corner, part) in [(MEMBRANE, membrane::stiffness(frame, sheet)), (PLATE, bending::stiffness(frame, sheet))]
    {
        for (a, row) in part.iter().enumerate() {
            for (b, value) in row.iter().enumerate() {
                local[row_of(of_corner, a)][row_of(of_corner, b)] = *value;
            }
        }
    }
    local
}

/// Turns a matrix of a triangle from the axes of its frame to those of the mesh.
#[must_use]
pub fn to_mesh(frame: &Frame, local: &Stiffness) -> Stiffness {
    let axes = frame.axes.map(|axis| axis.to_array());
    let mut turned = [[0.0; 18]; 18];
    // blocks of three rows and columns: Rᵀ · block · R, the rows of R being the axes
    for p in 0..6 {
        for q in 0..6 {
            let mut half = [[0.0; 3]; 3];
            for i in 0..3 {
                for j in 0..3 {
                    half[i][j] = (0..3).map(|k| local[3 * p + i][3 * q + k] * axes[k][j]).sum();
                }
            }
            for i in 0..3 {
                for j in 0..3 {
                    turned[3 * p + i][3 * q + j] = (0..3).map(|k| axes[k][i] * half[k][j]).sum();
                }
            }
        }
    }
    turned
}

/// Stiffness in the axes of the mesh; none when the triangle has no area to speak of.
#[must_use]
pub fn stiffness(corners_mm: [DVec3; 3], sheet: &Sheet) -> Option<Stiffness> {
    let frame = Frame::of(corners_mm)?;
    Some(to_mesh(&frame, &local_stiffness(&frame, sheet)))
}

/// Displacements of the three corners, 18 numbers in the axes of the mesh, in those of the frame; forces likewise.
#[must_use]
pub fn to_local(frame: &Frame, of_corners: &[f64; 18]) -> [f64; 18] {
    turned(of_corners, |vector| frame.to_local(vector))
}

/// Forces of the three corners, 18 numbers in the axes of the frame, in those of the mesh; displacements likewise.
#[must_use]
pub fn from_local(frame: &Frame, of_corners: &[f64; 18]) -> [f64; 18] {
    turned(of_corners, |vector| frame.to_mesh(vector))
}

fn turned(of_corners: &[f64; 18], turn: impl Fn(DVec3) -> DVec3) -> [f64; 18] {
    let mut result = [0.0; 18];
    for (from, to) in of_corners.chunks_exact(3).zip(result.chunks_exact_mut(3)) {
        to.copy_from_slice(&turn(DVec3::from_slice(from)).to_array());
    }
    result
}

/// Nodal forces, in the axes of the frame, of an inherent membrane strain (x, y, engineering shear) that is hindered everywhere.
///
/// The same lumping as the basic stiffness: a sheet of any mesh that is free takes a uniform inherent strain without stress.
#[must_use]
pub fn inherent_forces(frame: &Frame, sheet: &Sheet, strain: [f64; 3]) -> [f64; 18] {
    let force = sheet.force_n_mm(strain);
    let mut nodal = [0.0; 18];
    for (a, row) in membrane::lumping(frame).iter().enumerate() {
        nodal[row_of(MEMBRANE, a)] = (0..3).map(|i| row[i] * force[i]).sum();
    }
    nodal
}

/// Mean membrane strain (x, y, engineering shear) and curvatures at the corners (1/mm) of 18 displacements in the axes of the frame.
#[must_use]
pub fn strains(frame: &Frame, local: &[f64; 18]) -> ([f64; 3], [[f64; 3]; 3]) {
    let mut strain = [0.0; 3];
    for (a, row) in membrane::lumping(frame).iter().enumerate() {
        for (strain, value) in strain.iter_mut().zip(row) {
            *strain += value * local[row_of(MEMBRANE, a)] / frame.area_mm2;
        }
    }
    let at_corners =
        bending::curvatures(frame).map(|rows| rows.map(|row| (0..9).map(|a| row[a] * local[row_of(PLATE, a)]).sum()));
    (strain, at_corners)
}
