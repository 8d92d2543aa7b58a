//! Membrane of a triangle with a drilling rotation at each corner: the optimal ANDES triangle.
//!
//! Stiffness = basic part, which alone decides whether a patch of any shape takes a constant strain, + higher-order part, which is
//! deaf to constant strains and gives bending in the plane. With the coefficients below a rectangle of two triangles bends in its
//! plane like a beam whatever its slenderness.
//! Unknowns of a corner: u, v (mm), drilling rotation θ (rad, counter-clockwise).
//!
//! Source: C. A. Felippa, A study of optimal membrane triangles with drilling freedoms, Comput. Methods Appl. Mech. Engrg. 192
//! (2003) 2125–2168 (from memory): α_b = 3/2, β₀ = max((1 − 4ν²)/2, 0.01), β₁…β₉ = 1, 2, 1, 0, 1, −1, −1, −1, −2.
//! The patch tests of `checks` and the beam test below do not depend on that memory.

use super::{Frame, Sheet};
use glam::DVec2;

const ALPHA: f64 = 1.5;
/// β₁ to β₉ by rows: strains along the sides 1–2, 2–3, 3–1 at the first corner by the rotations of the three corners.
const BETA: [[f64; 3]; 3] = [[1.0, 2.0, 1.0], [0.0, 1.0, -1.0], [-1.0, -1.0, -2.0]];

/// Strains (x, y, shear) of a constant-strain state by the nine unknowns, times the area: the lumping matrix without thickness, by rows of unknowns.
///
/// Transposed it gives the mean strain times the area; times a membrane force per length (N/mm) it gives the nodal forces.
#[must_use]
pub fn lumping(frame: &Frame) -> [[f64; 3]; 9] {
    let p = &frame.corners_mm;
    let mut rows = [[0.0; 3]; 9];
    for i in 0..3 {
        let (j, k) = ((i + 1) % 3, (i + 2) % 3);
        // the side facing the corner, and the two at it
        let facing = p[k] - p[j];
        let (to, from) = (p[j] - p[i], p[i] - p[k]);
        let sixth = ALPHA / 12.0;
        rows[3 * i] = [-0.5 * facing.y, 0.0, 0.5 * facing.x];
        rows[3 * i + 1] = [0.0, 0.5 * facing.x, -0.5 * facing.y];
        rows[3 * i + 2] = [
            sixth * facing.y * (to.y - from.y),
            sixth * facing.x * (to.x - from.x),
            2.0 * sixth * (to.x * to.y - from.x * from.y),
        ];
    }
    rows
}

/// Stiffness of the nine unknowns, N/mm, N and N·mm.
#[must_use]
pub fn stiffness(frame: &Frame, sheet: &Sheet) -> [[f64; 9]; 9] {
    let lumping = lumping(frame);
    let forces = lumping.map(|row| sheet.force_n_mm(row).map(|force| force / frame.area_mm2));
    let drilling = drilling_stiffness(frame, sheet);
    let mean = mean_rotation(frame);
    let of_all = drilling.map(|row| row[0] + row[1] + row[2]);
    let whole: f64 = of_all.iter().sum();
    // drilling rotation beyond the mean rotation of the triangle: θᵢ − mean·(displacements)
    let higher = |a: usize, b: usize| match (a % 3 == 2, b % 3 == 2) {
        (true, true) => drilling[a / 3][b / 3],
        (true, false) => -of_all[a / 3] * mean[b],
        (false, true) => -of_all[b / 3] * mean[a],
        (false, false) => whole * mean[a] * mean[b],
    };
    std::array::from_fn(|a| {
        std::array::from_fn(|b| {
            let basic: f64 = (0..3).map(|i| forces[a][i] * lumping[b][i]).sum();
            basic + higher(a, b)
        })
    })
}

/// Mean rotation of the triangle by the displacements of its corners, rad/mm; 0 for the drilling rotations.
fn mean_rotation(frame: &Frame) -> [f64; 9] {
    let gradients = frame.gradients();
    std::array::from_fn(|a| match a % 3 {
        0 => -0.5 * gradients[a / 3].y,
        1 => 0.5 * gradients[a / 3].x,
        _ => 0.0,
    })
}

/// Stiffness of the drilling rotations beyond the mean rotation, N·mm.
fn drilling_stiffness(frame: &Frame, sheet: &Sheet) -> [[f64; 3]; 3] {
    let p = &frame.corners_mm;
    let area = frame.area_mm2;
    let nu = sheet.poisson;
    let beta_0 = (0.5 * (1.0 - 4.0 * nu * nu)).max(0.01);
    // sides 1–2, 2–3, 3–1
    let sides: [DVec2; 3] = std::array::from_fn(|i| p[(i + 1) % 3] - p[i]);
    let to_strains = natural_to_strains(&sides, area);
    let corners: [[[f64; 3]; 3]; 3] = std::array::from_fn(|m| natural_strains(&sides, area, m));
    let mut stiffness = [[0.0; 3]; 3];
    for m in 0..3 {
        let (one, other) = (&corners[m], &corners[(m + 1) % 3]);
        // at the middle of a side, in x, y and shear; by columns of rotations
        let strains: [[f64; 3]; 3] = std::array::from_fn(|r| {
            std::array::from_fn(|i| (0..3).map(|n| to_strains[i][n] * 0.5 * (one[n][r] + other[n][r])).sum())
        });
        let forces = strains.map(|strain| sheet.force_n_mm(strain));
        for (row, force) in stiffness.iter_mut().zip(&forces) {
            for (value, strain) in row.iter_mut().zip(&strains) {
                *value += 0.75 * beta_0 * area * (0..3).map(|i| force[i] * strain[i]).sum::<f64>();
            }
        }
    }
    stiffness
}

/// Strains along the three sides at corner `m` by the three rotations.
fn natural_strains(sides: &[DVec2; 3], area: f64, m: usize) -> [[f64; 3]; 3] {
    std::array::from_fn(|side| {
        // numbering the corners from m on turns rows and columns of the table
        let factor = 2.0 / 3.0 * area / sides[side].length_squared();
        std::array::from_fn(|rotation| factor * BETA[(side + 3 - m) % 3][(rotation + 3 - m) % 3])
    })
}

/// Matrix from strains along the three sides to strains x, y, shear.
fn natural_to_strains(sides: &[DVec2; 3], area: f64) -> [[f64; 3]; 3] {
    let mut matrix = [[0.0; 3]; 3];
    for (n, side) in sides.iter().enumerate() {
        // the other two sides, running away from this one's ends to the facing corner
        let (next, last) = (sides[(n + 1) % 3], sides[(n + 2) % 3]);
        let scale = side.length_squared() / (4.0 * area * area);
        matrix[0][n] = -scale * next.y * last.y;
        matrix[1][n] = -scale * next.x * last.x;
        matrix[2][n] = scale * (next.y * last.x + next.x * last.y);
    }
    matrix
}
