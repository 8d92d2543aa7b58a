//! The symmetric Dirichlet energy above its least value: Σ (σ − 1/σ)², which is |J|² + |J⁻¹|² − 4.
//!
//! Written without the subtraction of 4, so that a developable panel reaches 0 and not the rounding of 4.

use super::isotropic::{Density, Derivatives};

/// |J|² + |J⁻¹|² − 4.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SymmetricDirichlet;

impl Density for SymmetricDirichlet {
    fn value(&self, stretch: [f64; 2]) -> f64 {
        if stretch.iter().any(|s| *s <= 0.0) {
            return f64::INFINITY;
        }
        stretch.iter().map(|s| (s - 1.0 / s).powi(2)).sum()
    }

    fn derivatives(&self, stretch: [f64; 2]) -> Derivatives {
        let [s, t] = stretch;
        let first = stretch.map(|s| 2.0 * (s - 1.0 / s) * (1.0 + 1.0 / (s * s)));
        let second = stretch.map(|s| 2.0 + 6.0 / s.powi(4));
        // ψ1 − ψ2 = 2(s − t) − 2(s⁻³ − t⁻³), divided by s − t
        let flip = 2.0 + 2.0 * (s * s + s * t + t * t) / (s * t).powi(3);
        Derivatives { value: self.value(stretch), first, second: [second[0], 0.0, second[1]], flip }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flatten::isotropic::tests::check_derivatives;

    #[test]
    fn derivatives_agree_with_differences() {
        for stretch in [[1.0, 1.0], [1.3, 0.8], [0.4, 0.4], [2.0, 0.3]] {
            check_derivatives(&SymmetricDirichlet, stretch);
        }
        assert_eq!(SymmetricDirichlet.value([1.0, 1.0]), 0.0);
        assert_eq!(SymmetricDirichlet.value([1.0, -1.0]), f64::INFINITY);
    }
}
