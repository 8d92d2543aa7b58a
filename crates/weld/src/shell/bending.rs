//! Bending of a triangle without shear: the discrete Kirchhoff triangle.
//!
//! The normal turns by `β` = (βx, βy), linear between the corners plus one bubble at each side, `β = Σ λᵢ βᵢ + Σ 4 λᵢ λⱼ Δᵢⱼ tᵢⱼ`.
//! At the corners `β = −∇w`; along a side the deflection is a cubic, and asking `β = −∂w/∂s` at its middle gives
//! `Δᵢⱼ = 3 (wᵢ − wⱼ)/(2 l) − ¾ t·(βᵢ + βⱼ)`. Curvatures κ = (βx,x, βy,y, βx,y + βy,x) are linear in the triangle.
//! Unknowns of a corner: w (mm), rotations about x and y (rad), so βx = θy and βy = −θx. At z the strain is z·κ.
//!
//! Source: J.-L. Batoz, K.-J. Bathe, L.-W. Ho, A study of three-node triangular plate bending elements, Int. J. Numer. Methods
//! Eng. 15 (1980) 1771–1812 (from memory); written here in the hierarchic form above, which is the same element.

use super::{Frame, Sheet};
use glam::DVec2;

/// Curvatures by the nine unknowns.
pub type Curvature = [[f64; 9]; 3];

/// Curvatures at the three corners, 1/mm; in between they vary linearly.
#[must_use]
pub fn curvatures(frame: &Frame) -> [Curvature; 3] {
    let gradients = frame.gradients();
    let mut linear = [[0.0; 9]; 3];
    for (i, g) in gradients.iter().enumerate() {
        let (about_x, about_y) = (3 * i + 1, 3 * i + 2);
        linear[0][about_y] = g.x;
        linear[1][about_x] = -g.y;
        linear[2][about_y] = g.y;
        linear[2][about_x] = -g.x;
    }
    let mut corners = [linear; 3];
    for i in 0..3 {
        let j = (i + 1) % 3;
        let (t, bubble) = bubble(frame, i);
        for (corner, other) in [(i, j), (j, i)] {
            let g = 4.0 * gradients[other];
            let rise = [t.x * g.x, t.y * g.y, t.x * g.y + t.y * g.x];
            for (row, rise) in corners[corner].iter_mut().zip(rise) {
                for (value, bubble) in row.iter_mut().zip(&bubble) {
                    *value += rise * bubble;
                }
            }
        }
    }
    corners
}

/// Turning β of the normal (βx, βy) at a point given by its area coordinates, by the nine unknowns; the slopes of w are −β.
#[must_use]
pub fn turning(frame: &Frame, at: [f64; 3]) -> [[f64; 9]; 2] {
    let mut beta = [[0.0; 9]; 2];
    for (i, share) in at.into_iter().enumerate() {
        beta[0][3 * i + 2] += share;
        beta[1][3 * i + 1] -= share;
    }
    for i in 0..3 {
        let j = (i + 1) % 3;
        let (t, bubble) = bubble(frame, i);
        let height = 4.0 * at[i] * at[j];
        for (beta, t) in beta.iter_mut().zip(t.to_array()) {
            beta.iter_mut().zip(bubble).for_each(|(beta, bubble)| *beta += height * t * bubble);
        }
    }
    beta
}

/// Direction of side `i` to `i + 1`, and the height of its bubble by the nine unknowns.
fn bubble(frame: &Frame, i: usize) -> (DVec2, [f64; 9]) {
    let j = (i + 1) % 3;
    let side = frame.corners_mm[j] - frame.corners_mm[i];
    let length = side.length();
    let t = side / length;
    let mut bubble = [0.0; 9];
    bubble[3 * i] = 1.5 / length;
    bubble[3 * j] = -1.5 / length;
    for corner in [i, j] {
        bubble[3 * corner + 1] = 0.75 * t.y;
        bubble[3 * corner + 2] = -0.75 * t.x;
    }
    (t, bubble)
}

/// Stiffness of the nine unknowns, N/mm, N and N·mm; exact for the linear curvatures.
#[must_use]
pub fn stiffness(frame: &Frame, sheet: &Sheet) -> [[f64; 9]; 9] {
    let corners = curvatures(frame);
    let mut stiffness = [[0.0; 9]; 9];
    for i in 0..3 {
        let (one, other) = (&corners[i], &corners[(i + 1) % 3]);
        // three points at the middles of the sides integrate squares exactly
        let mut middle = [[0.0; 3]; 9];
        let mut moments = [[0.0; 3]; 9];
        for a in 0..9 {
            middle[a] = std::array::from_fn(|k| 0.5 * (one[k][a] + other[k][a]));
            moments[a] = sheet.moment_n(middle[a]).map(|moment| moment * frame.area_mm2 / 3.0);
        }
        for a in 0..9 {
            for b in 0..9 {
                stiffness[a][b] +=
                    moments[a][0] * middle[b][0] + moments[a][1] * middle[b][1] + moments[a][2] * middle[b][2];
            }
        }
    }
    stiffness
}
