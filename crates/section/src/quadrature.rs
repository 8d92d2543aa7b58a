//! Gauss–Legendre integration on an interval, with the integral up to any point inside it.
//!
//! Source: classical; nodes are the roots of the Legendre polynomial, found by Newton's method from the usual cosine start
//! (Abramowitz & Stegun 25.4.29, from memory).

/// Nodes and weights on 0..1 for `N` points.
#[derive(Debug, Clone)]
pub struct GaussLegendre<const N: usize> {
    /// Nodes, rising.
    pub nodes: [f64; N],
    /// Weights; they add up to 1.
    pub weights: [f64; N],
    /// 1 / ∏ (node − other nodes): the constant factor of each Lagrange polynomial.
    lagrange: [f64; N],
}

impl<const N: usize> Default for GaussLegendre<N> {
    fn default() -> Self {
        Self::new()
    }
}

impl<const N: usize> GaussLegendre<N> {
    /// Computes the rule.
    #[must_use]
    pub fn new() -> Self {
        let mut nodes = [0.0; N];
        let mut weights = [0.0; N];
        for (i, (node, weight)) in nodes.iter_mut().zip(&mut weights).enumerate() {
            let mut x = -(std::f64::consts::PI * (i as f64 + 0.75) / (N as f64 + 0.5)).cos();
            let mut slope = 1.0;
            for _ in 0..50 {
                let (value, derivative) = legendre(N, x);
                slope = derivative;
                let step = value / derivative;
                x -= step;
                if step.abs() < 1e-16 {
                    break;
                }
            }
            *node = 0.5 * (1.0 + x);
            *weight = 1.0 / ((1.0 - x * x) * slope * slope);
        }
        let lagrange = std::array::from_fn(|j| {
            let own = nodes[j];
            nodes.iter().enumerate().filter(|(k, _)| *k != j).map(|(_, other)| 1.0 / (own - other)).product()
        });
        Self { nodes, weights, lagrange }
    }

    /// Integrates a function from `from` to `to`.
    pub fn integrate(&self, from: f64, to: f64, mut f: impl FnMut(f64) -> f64) -> f64 {
        let span = to - from;
        self.nodes.iter().zip(&self.weights).map(|(node, weight)| weight * f(from + span * node)).sum::<f64>() * span
    }

    /// Weights for the integral from 0 to `upper` (a fraction of the interval) of the polynomial through the values at the nodes.
    #[must_use]
    pub fn weights_up_to(&self, upper: f64) -> [f64; N] {
        let mut out = [0.0; N];
        for (j, out) in out.iter_mut().enumerate() {
            *out = self.lagrange[j]
                * self.integrate(0.0, upper, |x| {
                    self.nodes.iter().enumerate().filter(|(k, _)| *k != j).map(|(_, node)| x - node).product()
                });
        }
        out
    }
}

/// Legendre polynomial of degree n and its derivative.
fn legendre(n: usize, x: f64) -> (f64, f64) {
    let (mut before, mut value) = (1.0, x);
    for k in 2..=n {
        let k = k as f64;
        (before, value) = (value, ((2.0 * k - 1.0) * x * value - (k - 1.0) * before) / k);
    }
    (value, n as f64 * (x * value - before) / (x * x - 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn integrates_polynomials_of_degree_2n_minus_1_exactly() {
        let rule = GaussLegendre::<5>::new();
        let got = rule.integrate(0.5, 2.0, |x| x.powi(9));
        assert!((got / ((2f64.powi(10) - 0.5f64.powi(10)) / 10.0) - 1.0).abs() < 1e-14);
    }

    #[test]
    fn partial_weights_integrate_polynomials_of_degree_n_minus_1_exactly() {
        let rule = GaussLegendre::<5>::new();
        let got: f64 = rule.weights_up_to(0.3).iter().zip(&rule.nodes).map(|(w, x)| w * x.powi(4)).sum();
        assert!((got - 0.3f64.powi(5) / 5.0).abs() < 1e-15);
    }
}
