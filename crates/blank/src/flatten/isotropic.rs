//! Energies of a flat triangle that depend only on its two principal stretches: value, force and projected Hessian.
//!
//! J maps the panel's triangle (in its own plane) to the flat one; its singular values are σ1 and σ2, the second negative when
//! the flat triangle is turned over. With J = U·diag(σ1, σ2)·Vᵀ the Hessian of ψ(σ1, σ2) over the four entries of J has these
//! eigenvectors: two spanned by U·diag(·)·Vᵀ, with the 2 × 2 Hessian of ψ between them; the twist U·(0 −1; 1 0)·Vᵀ/√2 with
//! (ψ1 + ψ2)/(σ1 + σ2); the flip U·(0 1; 1 0)·Vᵀ/√2 with (ψ1 − ψ2)/(σ1 − σ2). Negative ones are set to 0.
//! Source: differentiation of the singular values (derived; the tests compare with differences of ψ).

/// Derivatives of an energy density by the principal stretches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Derivatives {
    /// ψ.
    pub value: f64,
    /// ∂ψ/∂σ1, ∂ψ/∂σ2.
    pub first: [f64; 2],
    /// ∂²ψ: 11, 12, 22.
    pub second: [f64; 3],
    /// (ψ1 − ψ2)/(σ1 − σ2), or its limit where both are equal.
    pub flip: f64,
}

/// An energy per unit of panel area that depends on the principal stretches panel → flat, symmetric in them, 0 or more.
pub trait Density {
    /// ψ; infinite where a stretch is not positive.
    fn value(&self, stretch: [f64; 2]) -> f64;
    /// ψ with its derivatives; both stretches positive.
    fn derivatives(&self, stretch: [f64; 2]) -> Derivatives;
}

/// Singular values of a 2 × 2 matrix (rows) with their frames: J = U·diag(σ)·Vᵀ, U and V rotations, σ1 ≥ |σ2|.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Singular {
    /// σ1, σ2; σ2 has the sign of the determinant.
    pub stretch: [f64; 2],
    /// U as cosine and sine of its angle.
    pub left: [f64; 2],
    /// V as cosine and sine of its angle.
    pub right: [f64; 2],
}

/// Singular values alone.
#[must_use]
pub fn stretches([[a, b], [c, d]]: [[f64; 2]; 2]) -> [f64; 2] {
    let large = 0.5 * (length(a + d, c - b) + length(a - d, c + b));
    // the small one from the determinant: the difference of the two lengths would cancel
    [large, if large > 0.0 { (a * d - b * c) / large } else { 0.0 }]
}

/// √(x² + y²) for numbers near 1, where the guards of `hypot` against overflow cost more than the root.
fn length(x: f64, y: f64) -> f64 {
    (x * x + y * y).sqrt()
}

impl Singular {
    /// Decomposes a matrix given by rows.
    #[must_use]
    pub fn of(jacobian: [[f64; 2]; 2]) -> Self {
        let [[a, b], [c, d]] = jacobian;
        let sum = (c - b).atan2(a + d);
        let difference = (c + b).atan2(a - d);
        let (left, right) = (0.5 * (sum + difference), 0.5 * (difference - sum));
        Self { stretch: stretches(jacobian), left: [left.cos(), left.sin()], right: [right.cos(), right.sin()] }
    }

    /// U·M·Vᵀ for a matrix M given by rows.
    fn framed(&self, [[a, b], [c, d]]: [[f64; 2]; 2]) -> [[f64; 2]; 2] {
        let ([cu, su], [cv, sv]) = (self.left, self.right);
        let (a, b, c, d) = (cu * a - su * c, cu * b - su * d, su * a + cu * c, su * b + cu * d);
        [[a * cv - b * sv, a * sv + b * cv], [c * cv - d * sv, c * sv + d * cv]]
    }
}

/// Energy of one triangle with its gradient and projected Hessian over the corners' coordinates (x0, y0, x1, y1, x2, y2).
#[derive(Debug, Clone, Copy)]
pub struct Element {
    /// Energy.
    pub energy: f64,
    /// Gradient.
    pub gradient: [f64; 6],
    /// Hessian, positive semidefinite.
    pub hessian: [[f64; 6]; 6],
}

/// Evaluates `weight`·ψ(J), J = Σ corner ⊗ `slopes`; `slopes` are the gradients of the corners' hat functions in the panel's triangle.
#[must_use]
pub fn element(density: &impl Density, jacobian: [[f64; 2]; 2], slopes: &[[f64; 2]; 3], weight: f64) -> Element {
    let frame = Singular::of(jacobian);
    let [s1, s2] = frame.stretch;
    let at = density.derivatives(frame.stretch);
    let [p1, p2] = at.first;
    let mut hessian = [[0.0; 6]; 6];
    let mut add = |eigenvalue: f64, direction: [[f64; 2]; 2]| {
        if eigenvalue > 0.0 {
            let row = spread(frame.framed(direction), slopes);
            for i in 0..6 {
                let scaled = weight * eigenvalue * row[i];
                for j in i..6 {
                    hessian[i][j] += scaled * row[j];
                }
            }
        }
    };
    for (eigenvalue, [x, y]) in eigen(at.second) {
        add(eigenvalue, [[x, 0.0], [0.0, y]]);
    }
    let half = std::f64::consts::FRAC_1_SQRT_2;
    add((p1 + p2) / (s1 + s2), [[0.0, -half], [half, 0.0]]);
    add(at.flip, [[0.0, half], [half, 0.0]]);
    for i in 1..6 {
        let (above, below) = hessian.split_at_mut(i);
        if let Some(line) = below.first_mut() {
            line.iter_mut().zip(above.iter()).for_each(|(entry, upper)| *entry = upper[i]);
        }
    }
    let gradient = spread(frame.framed([[p1, 0.0], [0.0, p2]]), slopes).map(|g| weight * g);
    Element { energy: weight * at.value, gradient, hessian }
}

/// Energy and gradient alone, those of [`element`].
///
/// J = ½(u + v), u a turn times σ1 + σ2, v a reflection times σ1 − σ2; so the force is ½·[(ψ1 + ψ2)/(σ1 + σ2)·u + flip·v].
#[must_use]
pub fn slope(
    density: &impl Density,
    [[a, b], [c, d]]: [[f64; 2]; 2],
    slopes: &[[f64; 2]; 3],
    weight: f64,
) -> (f64, [f64; 6]) {
    let stretch = stretches([[a, b], [c, d]]);
    let at = density.derivatives(stretch);
    let turn = 0.5 * weight * (at.first[0] + at.first[1]) / (stretch[0] + stretch[1]);
    let flip = 0.5 * weight * at.flip;
    let [along, side] = [a + d, c - b].map(|x| turn * x);
    let [mirror, cross] = [a - d, c + b].map(|x| flip * x);
    (weight * at.value, spread([[along + mirror, cross - side], [cross + side, along - mirror]], slopes))
}

/// Moves a change of J to the corners.
fn spread(change: [[f64; 2]; 2], slopes: &[[f64; 2]; 3]) -> [f64; 6] {
    let mut out = [0.0; 6];
    for (corner, [gx, gy]) in slopes.iter().enumerate() {
        for (i, row) in change.iter().enumerate() {
            out[2 * corner + i] = row[0] * gx + row[1] * gy;
        }
    }
    out
}

/// Eigenvalues and unit eigenvectors of a symmetric 2 × 2 matrix (11, 12, 22).
fn eigen([a, b, d]: [f64; 3]) -> [(f64, [f64; 2]); 2] {
    let angle = 0.5 * (2.0 * b).atan2(a - d);
    let (s, c) = angle.sin_cos();
    let (middle, spread) = (0.5 * (a + d), (0.5 * (a - d)).hypot(b));
    [(middle + spread, [c, s]), (middle - spread, [-s, c])]
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// Derivatives by the stretches against central differences.
    pub(crate) fn check_derivatives(density: &impl Density, stretch: [f64; 2]) {
        let h = 1e-6;
        let at = density.derivatives(stretch);
        assert!((at.value - density.value(stretch)).abs() <= 1e-13 * (1.0 + at.value), "{stretch:?}");
        let moved = |i: usize, by: f64| {
            let mut moved = stretch;
            moved[i] += by;
            moved
        };
        for i in 0..2 {
            let slope = (density.value(moved(i, h)) - density.value(moved(i, -h))) / (2.0 * h);
            assert!(
                (slope - at.first[i]).abs() < 1e-6 * (1.0 + slope.abs()),
                "first {i} at {stretch:?}: {slope} {at:?}"
            );
            let (up, down) = (density.derivatives(moved(i, h)), density.derivatives(moved(i, -h)));
            for j in 0..2 {
                let bend = (up.first[j] - down.first[j]) / (2.0 * h);
                let got = at.second[i + j];
                assert!((bend - got).abs() < 1e-4 * (1.0 + bend.abs()), "second {i}{j} at {stretch:?}: {bend} {got}");
            }
        }
        let flip = if stretch[0] == stretch[1] {
            at.second[0] - at.second[1]
        } else {
            (at.first[0] - at.first[1]) / (stretch[0] - stretch[1])
        };
        assert!((flip - at.flip).abs() < 1e-6 * (1.0 + flip.abs()), "flip at {stretch:?}: {flip} {}", at.flip);
    }

    #[test]
    fn the_frames_put_the_matrix_together_again() {
        for j in
            [[[1.0, 0.2], [-0.3, 0.8]], [[2.0, 0.0], [0.0, 2.0]], [[0.0, 1.5], [-1.0, 0.0]], [[1.0, 3.0], [0.5, -1.0]]]
        {
            let s = Singular::of(j);
            let again = s.framed([[s.stretch[0], 0.0], [0.0, s.stretch[1]]]);
            for i in 0..2 {
                for k in 0..2 {
                    assert!((again[i][k] - j[i][k]).abs() < 1e-14, "{j:?} {again:?}");
                }
            }
        }
    }

    /// A density whose Hessian is positive everywhere near: the projected Hessian is then the exact one.
    #[test]
    fn gradient_and_hessian_agree_with_differences() {
        let density = crate::flatten::dirichlet::SymmetricDirichlet;
        let slopes = [[-0.9, -0.4], [0.7, -0.2], [0.2, 0.6]];
        // stretched both ways, so that no eigenvalue is negative
        let corners = [0.1, 0.05, 2.6, 0.2, 0.6, 3.1];
        let jacobian = |c: &[f64; 6]| {
            let mut j = [[0.0; 2]; 2];
            for v in 0..3 {
                for r in 0..2 {
                    for k in 0..2 {
                        j[r][k] += c[2 * v + r] * slopes[v][k];
                    }
                }
            }
            j
        };
        let at = element(&density, jacobian(&corners), &slopes, 2.5);
        let (energy, gradient) = slope(&density, jacobian(&corners), &slopes, 2.5);
        assert!((energy - at.energy).abs() < 1e-13 * energy);
        assert!(gradient.iter().zip(&at.gradient).all(|(a, b)| (a - b).abs() < 1e-12), "{gradient:?} {at:?}");
        let h = 1e-6;
        for i in 0..6 {
            let moved = |by: f64| {
                let mut moved = corners;
                moved[i] += by;
                element(&density, jacobian(&moved), &slopes, 2.5)
            };
            let (up, down) = (moved(h), moved(-h));
            let slope = (up.energy - down.energy) / (2.0 * h);
            assert!((slope - at.gradient[i]).abs() < 1e-7 * (1.0 + slope.abs()), "{i}: {slope} {}", at.gradient[i]);
            for j in 0..6 {
                let bend = (up.gradient[j] - down.gradient[j]) / (2.0 * h);
                assert!(
                    (bend - at.hessian[i][j]).abs() < 1e-6 * (1.0 + bend.abs()),
                    "{i}{j}: {bend} {}",
                    at.hessian[i][j]
                );
            }
        }
    }
}
