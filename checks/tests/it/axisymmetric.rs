//! Least plastic work of a body of revolution by another method: one unknown per radius, minimised over a fine radial grid.
//!
//! Independent of the flattening of triangles in everything but the statement of the problem: rings instead of triangles, the
//! strains straight from radii and meridian lengths, derivatives carried through every operation by second-order numbers
//! instead of formulas, a tridiagonal system instead of a sparse one. Assumes that the blank is a body of revolution too.

/// A number with its two first and three second derivatives by the radii at both ends of a ring.
#[derive(Debug, Clone, Copy)]
struct Jet {
    v: f64,
    g: [f64; 2],
    h: [f64; 3],
}

impl Jet {
    fn constant(v: f64) -> Self {
        Self { v, g: [0.0; 2], h: [0.0; 3] }
    }

    fn unknown(v: f64, which: usize) -> Self {
        let mut g = [0.0; 2];
        g[which] = 1.0;
        Self { v, g, h: [0.0; 3] }
    }

    fn plus(self, o: Self) -> Self {
        let add = |i: usize| self.h[i] + o.h[i];
        Self { v: self.v + o.v, g: [self.g[0] + o.g[0], self.g[1] + o.g[1]], h: [add(0), add(1), add(2)] }
    }

    fn times(self, o: Self) -> Self {
        let ([a, b], [c, d]) = (self.g, o.g);
        let both = [2.0 * a * c, a * d + b * c, 2.0 * b * d];
        let h = std::array::from_fn(|i| self.v * o.h[i] + self.h[i] * o.v + both[i]);
        Self { v: self.v * o.v, g: [self.v * c + o.v * a, self.v * d + o.v * b], h }
    }

    fn scaled(self, by: f64) -> Self {
        self.times(Self::constant(by))
    }

    /// f(self), given f and its derivatives there.
    fn through(self, [f, d, dd]: [f64; 3]) -> Self {
        let [a, b] = self.g;
        let square = [a * a, a * b, b * b];
        Self { v: f, g: [d * a, d * b], h: std::array::from_fn(|i| d * self.h[i] + dd * square[i]) }
    }

    fn ln(self) -> Self {
        self.through([self.v.ln(), 1.0 / self.v, -1.0 / (self.v * self.v)])
    }

    fn exp(self) -> Self {
        self.through([self.v.exp(); 3])
    }

    fn power(self, p: f64) -> Self {
        let v = self.v.powf(p);
        self.through([v, p * v / self.v, p * (p - 1.0) * v / (self.v * self.v)])
    }

    /// max(self, 0).
    fn positive(self) -> Self {
        if self.v > 0.0 { self } else { Self::constant(0.0) }
    }
}

/// What is formed of what.
#[derive(Debug, Clone, Copy)]
pub struct Problem {
    /// Hollomon n.
    pub n: f64,
    /// Extra weight of shrinking.
    pub wheel_out: f64,
    /// Extra weight of stretching.
    pub gather_in: f64,
}

/// The blank of a body of revolution.
#[derive(Debug, Clone)]
pub struct Blank {
    /// Radii in the flat at equal steps of meridian length, from 0 to the rim.
    pub radius: Vec<f64>,
    /// Hoop strain at the rim.
    pub rim_hoop: f64,
    /// ln(t/t0) in the middle and at the rim.
    pub thinning: [f64; 2],
    /// Largest effective strain.
    pub largest: f64,
    /// Work over K and thickness, mm².
    pub work: f64,
}

impl Problem {
    fn hollomon(&self, q: Jet, softening: f64) -> Jet {
        let p = 0.5 * (self.n + 1.0);
        let e0 = softening * softening;
        q.plus(Jet::constant(e0)).power(p).plus(Jet::constant(-e0.powf(p))).scaled(0.5 / p)
    }

    /// Work of one ring between flat radii `a` and `b`; `ds` its meridian length, `middle` its finished radius.
    fn ring(&self, a: Jet, b: Jet, ds: f64, middle: f64, softening: f64) -> Jet {
        let wide = b.plus(a.scaled(-1.0));
        let mean = a.plus(b).scaled(0.5);
        let meridian = wide.ln().scaled(-1.0).plus(Jet::constant(ds.ln()));
        let hoop = mean.ln().scaled(-1.0).plus(Jet::constant(middle.ln()));
        let q = meridian.times(meridian).plus(meridian.times(hoop)).plus(hoop.times(hoop)).scaled(4.0 / 3.0);
        let mut w = if q.v <= 0.25 {
            self.hollomon(q, softening)
        } else {
            let end = self.hollomon(Jet::unknown(0.25, 0), softening);
            let k = end.g[0] / end.v; // dw/dε̄ = 2·ε̄·dw/dq, and 2·0.5 = 1
            q.power(0.5).plus(Jet::constant(-0.5)).scaled(k).exp().scaled(end.v)
        };
        for (weight, sign) in [(self.wheel_out, -1.0), (self.gather_in, 1.0)] {
            if weight > 0.0 {
                let [p, r] = [meridian, hoop].map(|e| e.scaled(sign).positive());
                w = w.plus(self.hollomon(p.times(p).plus(r.times(r)), softening).scaled(weight));
            }
        }
        w.times(mean).times(wide).scaled(std::f64::consts::TAU)
    }

    /// Minimises over `rings` rings for a meridian of length `length` whose distance from the axis is `finished`(s).
    pub fn solve(&self, length: f64, rings: usize, finished: impl Fn(f64) -> f64) -> Blank {
        let ds = length / rings as f64;
        let middles: Vec<f64> = (0..rings).map(|i| finished((i as f64 + 0.5) * ds)).collect();
        let mut radius: Vec<f64> = (0..=rings).map(|i| i as f64 * ds).collect();
        // the softening falls step by step, so that each minimum starts the next
        for softening in [0.1, 0.03, 0.01, 0.003, 0.001] {
            self.minimise(&mut radius, ds, &middles, softening);
        }
        self.report(radius, ds, &middles)
    }

    fn rings<'a>(
        &'a self,
        radius: &'a [f64],
        ds: f64,
        middles: &'a [f64],
        softening: f64,
    ) -> impl Iterator<Item = Jet> + 'a {
        middles.iter().enumerate().map(move |(i, middle)| {
            // the middle is no unknown: its radius is 0
            let a = if i == 0 { Jet::constant(0.0) } else { Jet::unknown(radius[i], 0) };
            self.ring(a, Jet::unknown(radius[i + 1], 1), ds, *middle, softening)
        })
    }

    fn minimise(&self, radius: &mut Vec<f64>, ds: f64, middles: &[f64], softening: f64) {
        let rings = middles.len();
        let total = |r: &[f64]| -> f64 {
            if r.windows(2).any(|w| w[1] <= w[0]) {
                return f64::INFINITY;
            }
            self.rings(r, ds, middles, softening).map(|j| j.v).sum()
        };
        let mut now = total(radius);
        let mut shift = 1e-12;
        for _ in 0..100_000 {
            let mut gradient = vec![0.0; rings + 1];
            let mut diagonal = vec![0.0; rings + 1];
            let mut beside = vec![0.0; rings + 1];
            for (i, ring) in self.rings(radius, ds, middles, softening).enumerate() {
                gradient[i] += ring.g[0];
                gradient[i + 1] += ring.g[1];
                diagonal[i] += ring.h[0];
                diagonal[i + 1] += ring.h[2];
                beside[i] += ring.h[1];
            }
            // raise the shift until the tridiagonal matrix is positive and the step lowers the work
            let scale = diagonal.iter().fold(0.0, |m: f64, d| m.max(d.abs()));
            let next = loop {
                if shift > 1e6 {
                    return;
                }
                let step = tridiagonal(&diagonal, &beside, &gradient, shift * scale);
                let tried = step.and_then(|step| {
                    let next: Vec<f64> = radius.iter().zip(&step).map(|(r, s)| r - s).collect();
                    let reached = total(&next);
                    (reached < now).then_some((next, reached))
                });
                match tried {
                    Some(found) => break found,
                    None => shift *= 4.0,
                }
            };
            shift = (shift * 0.1).max(1e-15);
            let fall = now - next.1;
            (*radius, now) = next;
            if fall <= 1e-13 * now {
                return;
            }
        }
        panic!("the radial minimisation has not ended");
    }

    fn report(&self, radius: Vec<f64>, ds: f64, middles: &[f64]) -> Blank {
        let strains: Vec<[f64; 2]> = radius
            .windows(2)
            .zip(middles)
            .map(|(r, middle)| [(ds / (r[1] - r[0])).ln(), (middle / (0.5 * (r[0] + r[1]))).ln()])
            .collect();
        let thinning = |[m, h]: [f64; 2]| -(m + h);
        let effective = |[m, h]: &[f64; 2]| (4.0 / 3.0 * (m * m + m * h + h * h)).sqrt();
        let n = strains.len();
        // from the mids of the last two rings to the rim
        let to_rim = |value: fn([f64; 2]) -> f64| 1.5 * value(strains[n - 1]) - 0.5 * value(strains[n - 2]);
        Blank {
            rim_hoop: to_rim(|s| s[1]),
            thinning: [thinning(strains[0]), to_rim(|s| -(s[0] + s[1]))],
            largest: strains.iter().map(effective).fold(0.0, f64::max),
            work: self.rings(&radius, ds, middles, 0.001).map(|j| j.v).sum(),
            radius,
        }
    }
}

/// Solves the shifted tridiagonal system over the entries from 1 (entry 0 stays); none when it is not positive.
fn tridiagonal(diagonal: &[f64], beside: &[f64], right: &[f64], shift: f64) -> Option<Vec<f64>> {
    let n = diagonal.len();
    let mut pivot = vec![0.0; n];
    let mut x = right.to_vec();
    x[0] = 0.0;
    for i in 1..n {
        let ratio = if i == 1 { 0.0 } else { beside[i - 1] / pivot[i - 1] };
        pivot[i] = diagonal[i] + shift - if i == 1 { 0.0 } else { ratio * beside[i - 1] };
        if pivot[i].is_nan() || pivot[i] <= 0.0 {
            return None;
        }
        x[i] -= ratio * x[i - 1];
    }
    for i in (1..n).rev() {
        let after = if i + 1 < n { beside[i] * x[i + 1] } else { 0.0 };
        x[i] = (x[i] - after) / pivot[i];
    }
    Some(x)
}

/// The blank of a spherical cap.
pub fn cap(problem: Problem, radius_mm: f64, half_angle: f64, rings: usize) -> Blank {
    problem.solve(radius_mm * half_angle, rings, |s| radius_mm * (s / radius_mm).sin())
}

/// A cone is developable: its blank is its own meridian, and forming it costs nothing beyond the grid's rounding. The middle is
/// left out by starting at a cone of almost no angle: a flat disc.
#[test]
fn a_flat_disc_costs_nothing() {
    let problem = Problem { n: 0.21, wheel_out: 0.0, gather_in: 0.0 };
    let blank = problem.solve(200.0, 400, |s| s);
    assert!((blank.radius[400] - 200.0).abs() < 1e-6, "{}", blank.radius[400]);
    assert!(blank.largest < 1e-8, "{}", blank.largest);
}

/// Finer rings change the blank of a cap by less than the checks of flattening allow, and the first variation is spent: any
/// smooth change of the radii costs work.
#[test]
fn the_radial_minimum_is_a_minimum_and_converged() {
    let problem = Problem { n: 0.21, wheel_out: 0.0, gather_in: 0.0 };
    let angle = 60f64.to_radians();
    let (coarse, fine) = (cap(problem, 200.0, angle, 500), cap(problem, 200.0, angle, 2000));
    let rim = |blank: &Blank| blank.radius[blank.radius.len() - 1];
    assert!((rim(&coarse) / rim(&fine) - 1.0).abs() < 2e-5, "{} {}", rim(&coarse), rim(&fine));
    let n = fine.radius.len() - 1;
    let ds = 200.0 * angle / n as f64;
    let middles: Vec<f64> = (0..n).map(|i| 200.0 * ((i as f64 + 0.5) * ds / 200.0).sin()).collect();
    for mode in 1..=6 {
        for sign in [-1.0, 1.0] {
            let moved: Vec<f64> = fine
                .radius
                .iter()
                .enumerate()
                .map(|(i, r)| r * (1.0 + sign * 1e-4 * (f64::from(mode) * i as f64 / n as f64).cos()))
                .collect();
            let work: f64 = problem.rings(&moved, ds, &middles, 0.001).map(|j| j.v).sum();
            assert!(work > fine.work, "mode {mode}: {work} {}", fine.work);
        }
    }
}
