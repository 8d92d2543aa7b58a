//! Plastic work of forming a flat triangle to its place in the panel, per unit of panel area and thickness and of K.
//!
//! Symbols: ε_i = −ln σ_i log principal strains flat → finished (σ panel → flat); ε̄² = 4/3·(ε1² + ε1·ε2 + ε2²), the effective
//! strain at constant volume; A0/A = σ1·σ2, flat over panel area, because the work is done on the volume of the blank.
//! w = [(ε̄² + ε0²)^((n+1)/2) − ε0^(n+1)]/(n+1): Hollomon hardening σ = K·εⁿ (handbook S32) integrated, softened at ε0 so that
//! flat metal costs nothing. Past ε̄c it goes on as w(ε̄c)·exp(k(ε̄ − ε̄c)), k = w′/w there: else the work of a triangle would fall to
//! nothing with its blank area and the blank would collapse. A route adds c·[(p1² + p2² + ε0²)^((n+1)/2) − ε0^(n+1)]/(n+1).

use super::isotropic::{Density, Derivatives};
use super::settings::{Flow, Route};

/// ε0: strain below which the metal counts as elastic; softens the work at 0.
pub const SOFTENING: f64 = 0.001;
/// ε̄c: effective strain beyond which no sheet can go; the work grows exponentially from there.
pub const BEYOND_ANY_SHEET: f64 = 0.5;

/// Plastic work divided by K.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeastWork {
    /// (n + 1)/2.
    power: f64,
    softening: f64,
    /// Sign of the strains that the route makes dear and the weight c; weight 0 for none.
    dear_sign: f64,
    weight: f64,
    /// w at ε̄c and k.
    beyond: [f64; 2],
}

/// f(q) with its first and second derivative.
type Jet = [f64; 3];

impl LeastWork {
    /// Work of a metal along a route; `softening` is ε0 ([`SOFTENING`], larger on the way to a solution).
    #[must_use]
    pub fn new(flow: Flow, route: Route, softening: f64) -> Self {
        let (dear_sign, weight) = match route {
            Route::LeastWork => (0.0, 0.0),
            Route::WheelOut { weight } => (-1.0, weight),
            Route::GatherIn { weight } => (1.0, weight),
        };
        let mut work =
            Self { power: 0.5 * (flow.hardening_exponent + 1.0), softening, dear_sign, weight, beyond: [0.0; 2] };
        let [value, slope, _] = work.hollomon(BEYOND_ANY_SHEET * BEYOND_ANY_SHEET);
        work.beyond = [value, 2.0 * BEYOND_ANY_SHEET * slope / value];
        work
    }

    /// w as a function of q = ε̄².
    fn hollomon(&self, q: f64) -> Jet {
        let e0 = self.softening * self.softening;
        let m = self.power;
        // (q + e0)^m − e0^m without cancelling
        let value = e0.powf(m) * (m * (q / e0).ln_1p()).exp_m1() / (2.0 * m);
        let slope = 0.5 * (q + e0).powf(m - 1.0);
        [value, slope, slope * (m - 1.0) / (q + e0)]
    }

    fn of_effective_strain(&self, q: f64) -> Jet {
        if q <= BEYOND_ANY_SHEET * BEYOND_ANY_SHEET {
            return self.hollomon(q);
        }
        let [start, k] = self.beyond;
        let strain = q.sqrt();
        let value = start * (k * (strain - BEYOND_ANY_SHEET)).exp();
        let slope = k * value / (2.0 * strain);
        [value, slope, (k * k * value - k * value / strain) / (4.0 * q)]
    }

    /// W and its derivatives by ε1, ε2: value; 1, 2; 11, 12, 22.
    fn by_strain(&self, [a, b]: [f64; 2]) -> (f64, [f64; 2], [f64; 3]) {
        let c = 4.0 / 3.0;
        let [mut value, slope, bend] = self.of_effective_strain(c * (a * a + a * b + b * b));
        let (qa, qb) = (c * (2.0 * a + b), c * (a + 2.0 * b));
        let mut first = [slope * qa, slope * qb];
        let mut second =
            [bend * qa * qa + 2.0 * c * slope, bend * qa * qb + c * slope, bend * qb * qb + 2.0 * c * slope];
        if self.weight > 0.0 {
            let dear = [a, b].map(|e| if e * self.dear_sign > 0.0 { e } else { 0.0 });
            let on = dear.map(|e| if e == 0.0 { 0.0 } else { 2.0 });
            let [v, s, t] = self.hollomon(dear[0] * dear[0] + dear[1] * dear[1]).map(|x| self.weight * x);
            value += v;
            first[0] += 2.0 * s * dear[0];
            first[1] += 2.0 * s * dear[1];
            second[0] += 4.0 * t * dear[0] * dear[0] + s * on[0];
            second[1] += 4.0 * t * dear[0] * dear[1];
            second[2] += 4.0 * t * dear[1] * dear[1] + s * on[1];
        }
        (value, first, second)
    }
}

impl Density for LeastWork {
    fn value(&self, stretch: [f64; 2]) -> f64 {
        if stretch.iter().any(|s| *s <= 0.0) {
            return f64::INFINITY;
        }
        stretch[0] * stretch[1] * self.by_strain(stretch.map(|s| -s.ln())).0
    }

    fn derivatives(&self, stretch: [f64; 2]) -> Derivatives {
        let [s, t] = stretch;
        let (w, [wa, wb], [waa, wab, wbb]) = self.by_strain(stretch.map(|s| -s.ln()));
        // ψ = exp(−ε1 − ε2)·W; ∂/∂σ = −(1/σ)·∂/∂ε
        let (pa, pb) = (wa - w, wb - w);
        let (paa, pab, pbb) = (waa - 2.0 * wa + w, wab - wa - wb + w, wbb - 2.0 * wb + w);
        let first = [-t * pa, -s * pb];
        let second = [(paa + pa) * t / s, pab, (pbb + pb) * s / t];
        let flip = if (s - t).abs() > 1e-6 * (s + t) {
            (first[0] - first[1]) / (s - t)
        } else {
            0.5 * (second[0] + second[2]) - second[1]
        };
        Derivatives { value: s * t * w, first, second, flip }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flatten::isotropic::tests::check_derivatives;

    #[test]
    fn derivatives_agree_with_differences() {
        let flow = Flow { strength_n_mm2: 550.0, hardening_exponent: 0.21 };
        for route in [Route::LeastWork, Route::WheelOut { weight: 10.0 }, Route::GatherIn { weight: 10.0 }] {
            for stretch in [[1.02, 0.97], [1.3, 0.8], [0.9, 0.9], [1.1, 1.1], [2.0, 0.3], [0.5, 0.4], [1.05, 1.02]] {
                check_derivatives(&LeastWork::new(flow, route, SOFTENING), stretch);
            }
        }
    }

    /// 5 % stretch of a DC04-like strip held to width (plane strain): ε̄ = 2/√3·ε1; the integral of K·εⁿ done by hand.
    #[test]
    fn plane_strain_work_is_the_hollomon_integral() {
        let work =
            LeastWork::new(Flow { strength_n_mm2: 550.0, hardening_exponent: 0.21 }, Route::LeastWork, SOFTENING);
        let strain: f64 = 0.05;
        let effective = 2.0 / 3f64.sqrt() * strain;
        let by_hand = (-strain).exp() * effective.powf(1.21) / 1.21;
        let got = work.value([(-strain).exp(), 1.0]);
        assert!((got / by_hand - 1.0).abs() < 0.01, "{got} {by_hand}: only the softening differs");
    }
}
