//! Geometric stiffness of a triangle: what membrane forces do to a sheet that turns.
//!
//! Energy `½ ∫ N : (∇u ⊗ ∇u + ∇v ⊗ ∇v + ∇w ⊗ ∇w)` with the membrane forces N of the triangle. The slopes of w are those of the bending
//! triangle (`∇w = −β`, quadratic, see [`super::bending`]), so a buckle a few triangles wide is met as well as its bending energy; u and
//! v are linear. A rigid rotation of the triangle is met exactly.

use super::element::{MEMBRANE, PLATE, Stiffness, row_of};
use super::{Frame, bending};

/// Points and weights that integrate quartics over a triangle: the first coordinate, the other two being equal, and the weight.
/// D. A. Dunavant, Int. J. Numer. Methods Eng. 21 (1985) 1129–1148 (from memory; the test integrates every monomial).
const POINTS: [(f64, f64); 2] =
    [(0.108_103_018_168_070, 0.223_381_589_678_011), (0.816_847_572_980_459, 0.109_951_743_655_322)];

/// The six points (area coordinates) and their shares of the area.
pub(super) fn quartic_points() -> impl Iterator<Item = ([f64; 3], f64)> {
    POINTS.into_iter().flat_map(|(one, weight)| {
        let other = 0.5 * (1.0 - one);
        (0..3).map(move |corner| {
            let mut at = [other; 3];
            at[corner] = one;
            (at, weight)
        })
    })
}

/// Geometric stiffness of the membrane forces (Nx, Ny, Nxy), N/mm, in the axes of the frame; N/mm, N, N·mm.
#[must_use]
pub fn local_stiffness(frame: &Frame, force_n_mm: [f64; 3]) -> Stiffness {
    let [nx, ny, nxy] = force_n_mm;
    let mut local = [[0.0; 18]; 18];
    for (at, share) in quartic_points() {
        let [x, y] = bending::turning(frame, at);
        let area = frame.area_mm2 * share;
        for a in 0..9 {
            let pull = [area * (nx * x[a] + nxy * y[a]), area * (nxy * x[a] + ny * y[a])];
            let row = &mut local[row_of(PLATE, a)];
            for b in 0..9 {
                row[row_of(PLATE, b)] += pull[0] * x[b] + pull[1] * y[b];
            }
        }
    }
    let gradients = frame.gradients();
    for (p, one) in gradients.iter().enumerate() {
        for (q, other) in gradients.iter().enumerate() {
            let value = nx * one.x * other.x + ny * one.y * other.y + nxy * (one.x * other.y + one.y * other.x);
            for unknown in &MEMBRANE[..2] {
                local[6 * p + unknown][6 * q + unknown] += frame.area_mm2 * value;
            }
        }
    }
    local
}

#[cfg(test)]
mod tests {
    use super::*;
    use glam::DVec3;

    /// ∫ λ₁ᵃ λ₂ᵇ λ₃ᶜ over the triangle is 2·area·a!·b!·c!/(a + b + c + 2)!.
    #[test]
    fn the_points_integrate_quartics() {
        let factorial = |n: i32| f64::from((1..=n).product::<i32>());
        for a in 0..=4 {
            for b in 0..=4 - a {
                for c in 0..=4 - a - b {
                    let sum: f64 =
                        quartic_points().map(|(l, weight)| weight * l[0].powi(a) * l[1].powi(b) * l[2].powi(c)).sum();
                    let exact = 2.0 * factorial(a) * factorial(b) * factorial(c) / factorial(a + b + c + 2);
                    assert!((sum - exact).abs() < 1e-14, "{a} {b} {c}: {sum} for {exact}");
                }
            }
        }
    }

    /// A triangle turned as a whole: energy ½·area·N : (ω⊗ω) about the axes in its plane, and both in-plane rows about its normal.
    #[test]
    fn a_rigid_rotation_is_met_exactly() {
        let corners = [DVec3::new(1.0, 2.0, 0.0), DVec3::new(7.0, 1.0, 0.0), DVec3::new(3.0, 6.0, 0.0)];
        let frame = Frame::of(corners).unwrap();
        let [nx, ny, nxy] = [3.0, -2.0, 1.5];
        let local = local_stiffness(&frame, [nx, ny, nxy]);
        for about in [DVec3::X, DVec3::Y, DVec3::Z, DVec3::new(0.3, -0.8, 0.5)] {
            let mut motion = [0.0; 18];
            for (corner, six) in frame.corners_mm.iter().zip(motion.chunks_exact_mut(6)) {
                six[..3].copy_from_slice(&about.cross(corner.extend(0.0)).to_array());
                six[3..].copy_from_slice(&about.to_array());
            }
            let energy: f64 = (0..18).map(|a| motion[a] * (0..18).map(|b| local[a][b] * motion[b]).sum::<f64>()).sum();
            // ∇u = (0, −ωz), ∇v = (ωz, 0), ∇w = (−ωy, ωx)
            let (wx, wy, wz) = (about.x, about.y, about.z);
            let exact = frame.area_mm2 * (nx * (wy * wy + wz * wz) + ny * (wx * wx + wz * wz) - 2.0 * nxy * wx * wy);
            assert!((energy - exact).abs() < 1e-11 * frame.area_mm2, "{about}: {energy} for {exact}");
        }
        assert!((0..18).all(|a| (0..18).all(|b| (local[a][b] - local[b][a]).abs() < 1e-12)));
    }
}
