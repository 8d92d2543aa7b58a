//! Large displacements and rotations of thin sheet.
//!
//! Benchmarks: K. Y. Sze, X. H. Liu, S. H. Lo, Popular benchmark problems for geometric nonlinear analysis of shells, Finite Elem.
//! Anal. Des. 40 (2004) 1551–1569 (data and tables from memory), each with a second route worked out here: the circle of an end
//! moment, the elastica of an end force, a Ritz solution of von Kármán's plate.

use crate::shells::{Cut, Grid, Line, about, along, clamped, grid, model};
use glam::DVec3;
use mesh::Skin;
use numerics::eigen::EigenSettings;
use numerics::{Cancel, Progress};
use std::f64::consts::{PI, TAU};
use weld::shell::large::{self, Bent, Ending, Settings};
use weld::shell::{Hold, InherentStrain, Loads, Sheet, Shell, Supports};

fn bent(skin: &Skin, sheet: Sheet, holds: Vec<Hold>, loads: &Loads, settings: &Settings) -> Bent {
    let shell = Shell { skin: skin.clone(), sheets: vec![sheet], sheet_of: Vec::new() };
    let supports = Supports { holds };
    let bent = large::solve(&shell, &supports, loads, settings, &Progress::silent(), &Cancel::new()).unwrap();
    let (steps, iterations) = (bent.history.len(), bent.history.iter().map(|noted| noted.iterations).sum::<usize>());
    println!("{:?} at share {}: {steps} steps, {iterations} iterations", bent.ending, bent.share);
    bent
}

/// Forces and moments shared by the nodes of a line, half as much at its ends.
fn on_line(nodes: &[u32], force: DVec3, moment: DVec3) -> Loads {
    let last = nodes.len() - 1;
    let part = |i: usize| if i == 0 || i == last { 0.5 } else { 1.0 } / last as f64;
    let at = |(i, &node): (usize, &u32)| (node, force * part(i), moment * part(i));
    Loads { at_nodes: nodes.iter().enumerate().map(at).collect(), ..Loads::default() }
}

fn cantilever(length: f64, width: f64, along: u32, across: u32) -> (Grid, Vec<Hold>) {
    let strip = grid([along, across], Cut::Regular, |s, w| DVec3::new(length * s, width * w, 0.0));
    let holds = strip.line(Line::First).into_iter().flat_map(clamped).collect();
    (strip, holds)
}

/// Sze et al., problem 2: cantilever 12 × 1 × 0.1, E 1.2e6, ν 0, rolled up by an end moment. M = 2πEI/L closes the circle; at a share
/// m of it the tip has moved by L (sin φ/φ − 1) along and L (1 − cos φ)/φ up, φ = 2πm. Within 1 % of L.
///
/// The strip is kept in its plane: out of it a moment of fixed direction has no energy, and a run that looks for rest stalls at 0.87.
#[test]
fn a_cantilever_rolls_up_to_a_circle() {
    let (length, sheet) = (12.0, Sheet { thickness_mm: 0.1, young_n_mm2: 1.2e6, poisson: 0.0 });
    let (strip, mut holds) = cantilever(length, 1.0, 24, 1);
    let nodes = 0..strip.skin.points_mm.len() as u32;
    holds.extend(nodes.flat_map(|node| [along(node, DVec3::Y), about(node, DVec3::X), about(node, DVec3::Z)]));
    let stiffness = sheet.young_n_mm2 * sheet.thickness_mm.powi(3) / 12.0;
    let full = TAU * stiffness / length;
    let tip = strip.node(24, 0);
    // a positive moment about −y lifts the tip
    let loads = on_line(&strip.line(Line::Last), DVec3::ZERO, DVec3::new(0.0, -full, 0.0));
    let shares = vec![0.125, 0.25, 0.5, 0.75, 1.0];
    let settings = Settings { shares: shares.clone(), watched: vec![tip], ..Settings::default() };
    let bent = bent(&strip.skin, sheet, holds, &loads, &settings);
    assert_eq!(bent.ending, Ending::Converged);
    for share in shares {
        let at = bent.history.iter().find(|noted| noted.share >= share).unwrap().watched_mm[0];
        let turn = TAU * share;
        let want = DVec3::new(turn.sin() / turn - 1.0, 0.0, (1.0 - turn.cos()) / turn) * length;
        println!("share {share}: tip moved {at:.4}, circle {want:.4}");
        assert!((at - want).length() < 0.01 * length, "share {share}: {at} for {want}");
        assert!(at.y.abs() < 1e-3 * length);
    }
    assert!(bent.history.iter().all(|noted| noted.stable && !noted.fell));
}

/// Tip of an elastica of length 1 clamped level, α = P L²/EI at its end square to the clamp: moved along (backwards) and up.
/// θ″ = −α cos θ, θ(0) = 0, θ′(1) = 0: shooting with a fourth-order Runge–Kutta.
fn elastica(alpha: f64) -> [f64; 2] {
    let steps = 4000;
    let h = 1.0 / f64::from(steps);
    let end = |curvature: f64| {
        let rate = |[angle, curvature, _, _]: [f64; 4]| [curvature, -alpha * angle.cos(), angle.cos(), angle.sin()];
        let mut at = [0.0, curvature, 0.0, 0.0];
        for _ in 0..steps {
            let off = |by: [f64; 4], h: f64| std::array::from_fn(|i| at[i] + h * by[i]);
            let one = rate(at);
            let two = rate(off(one, 0.5 * h));
            let three = rate(off(two, 0.5 * h));
            let four = rate(off(three, h));
            at = std::array::from_fn(|i| at[i] + h / 6.0 * (one[i] + 2.0 * two[i] + 2.0 * three[i] + four[i]));
        }
        at
    };
    let (mut low, mut high) = (0.0, alpha);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if end(middle)[1] > 0.0 { high = middle } else { low = middle }
    }
    let at = end(low);
    [1.0 - at[2], at[3]]
}

/// Sze et al., problem 1, table 1 (from memory): cantilever 10 × 1 × 0.1, E 1.2e6, ν 0, end force up to 4: share, tip back, tip up.
/// Within 0.5 % of the length of the printed figures and of the elastica.
#[test]
fn a_cantilever_under_an_end_force() {
    const TABLE: [[f64; 3]; 6] = [
        [0.05, 0.026, 0.663],
        [0.1, 0.103, 1.309],
        [0.2, 0.381, 2.493],
        [0.4, 1.184, 4.292],
        [0.7, 2.370, 5.855],
        [1.0, 3.286, 6.698],
    ];
    let sheet = Sheet { thickness_mm: 0.1, young_n_mm2: 1.2e6, poisson: 0.0 };
    let (strip, holds) = cantilever(10.0, 1.0, 20, 1);
    let loads = on_line(&strip.line(Line::Last), DVec3::new(0.0, 0.0, 4.0), DVec3::ZERO);
    let shares = TABLE.map(|row| row[0]).to_vec();
    let settings = Settings { shares, watched: vec![strip.node(20, 0)], ..Settings::default() };
    let bent = bent(&strip.skin, sheet, holds, &loads, &settings);
    assert_eq!(bent.ending, Ending::Converged);
    for [share, back, up] in TABLE {
        let at = bent.history.iter().find(|noted| noted.share >= share).unwrap().watched_mm[0];
        let second = elastica(4.0 * share).map(|v| 10.0 * v);
        println!("share {share}: back {:.3}, up {:.3}; table {back}, {up}; elastica {second:.3?}", -at.x, at.z);
        for want in [[back, up], second] {
            assert!(
                (-at.x - want[0]).abs() < 0.05 && (at.z - want[1]).abs() < 0.05,
                "share {share}: {at} for {want:?}"
            );
        }
    }
}

/// Sze et al., problem 3 (from memory): annular plate slit along a radius, radii 6 and 10, thickness 0.03, E 21e6, ν 0, one lip clamped, the
/// other lifted by 0.8 per length: inner corner 13.891, outer corner 17.528. Within 1.5 %.
#[test]
fn a_slit_ring_is_lifted() {
    let sheet = Sheet { thickness_mm: 0.03, young_n_mm2: 21e6, poisson: 0.0 };
    let ring = grid([80, 10], Cut::Regular, |s, w| {
        let (radius, angle) = (6.0 + 4.0 * w, TAU * s);
        DVec3::new(radius * angle.cos(), radius * angle.sin(), 0.0)
    });
    let holds: Vec<Hold> = ring.line(Line::First).into_iter().flat_map(clamped).collect();
    let loads = on_line(&ring.line(Line::Last), DVec3::new(0.0, 0.0, 0.8 * 4.0), DVec3::ZERO);
    let watched = vec![ring.node(80, 0), ring.node(80, 10)];
    let settings = Settings { watched, first_step: 0.05, ..Settings::default() };
    let bent = bent(&ring.skin, sheet, holds, &loads, &settings);
    assert_eq!(bent.ending, Ending::Converged);
    let up: Vec<f64> = bent.history.last().unwrap().watched_mm.iter().map(|u| u.z).collect();
    println!("inner {:.3}, outer {:.3}; 13.891, 17.528", up[0], up[1]);
    assert!((up[0] / 13.891 - 1.0).abs() < 0.015 && (up[1] / 17.528 - 1.0).abs() < 0.015, "{up:?}");
}

/// Sze et al., problem 7 (from memory): hinged cylindrical roof, radius 2540, half length and half width 254, thickness 12.7, E 3102.75, ν 0.3, force
/// in the middle. The limit is at about 2.2 kN, where the middle has gone down by about 12 mm; under 3 kN it rests turned inside out.
#[test]
fn a_shallow_roof_snaps_through() {
    let sheet = Sheet { thickness_mm: 12.7, young_n_mm2: 3102.75, poisson: 0.3 };
    let roof = grid([12, 12], Cut::Regular, |s, w| {
        let angle = 0.1 * w;
        DVec3::new(254.0 * s, 2540.0 * angle.sin(), 2540.0 * (angle.cos() - 1.0))
    });
    // a quarter: symmetric at s = 0 and w = 0, free at s = 1, hinged at w = 1
    let mut holds: Vec<Hold> =
        roof.line(Line::First).into_iter().flat_map(|n| crate::shells::symmetric(n, DVec3::X)).collect();
    holds.extend(roof.line(Line::Bottom).into_iter().flat_map(|n| crate::shells::symmetric(n, DVec3::Y)));
    holds.extend(roof.line(Line::Top).into_iter().flat_map(|n| DVec3::AXES.map(|axis| along(n, axis))));
    let middle = roof.node(0, 0);
    let loads =
        Loads { at_nodes: vec![(middle, DVec3::new(0.0, 0.0, -3000.0 / 4.0), DVec3::ZERO)], ..Loads::default() };
    let mut ends = Vec::new();
    for first_step in [0.02, 0.1] {
        let settings = Settings { watched: vec![middle], first_step, ..Settings::default() };
        let bent = bent(&roof.skin, sheet, holds.clone(), &loads, &settings);
        assert_eq!(bent.ending, Ending::Converged);
        let fell = bent.history.iter().position(|noted| noted.fell).unwrap();
        let (before, after) = (&bent.history[fell - 1], &bent.history[fell]);
        println!(
            "lets go after {:.0} N at {:.2} mm, rests at {:.2} mm",
            3000.0 * before.share,
            before.most_mm,
            after.most_mm
        );
        assert!((3000.0 * before.share / 2200.0 - 1.0).abs() < 0.03 && after.most_mm > 1.7 * before.most_mm);
        assert!(bent.history.iter().all(|noted| noted.stable));
        ends.push(bent.history.last().unwrap().watched_mm[0].z);
    }
    assert!((ends[0] - ends[1]).abs() < 1e-4 * ends[0].abs(), "whatever the steps, the same rest: {ends:?}");
}

/// Von Kármán's plate by Ritz: square of side 1, all sides simply supported, held square to themselves in the plane and free along; a strain
/// e hindered along x. In units of the thickness t: w = t·W, energy over E t⁵/a². Sine series up to `order` half waves.
struct Ritz {
    poisson: f64,
    /// Half waves of w along both axes, and waves (sine along the first, cosine along the second) of u and v.
    bend: Vec<[f64; 2]>,
    plane: Vec<[f64; 2]>,
    points: usize,
}

impl Ritz {
    fn new(poisson: f64, order: u32) -> Self {
        let odd = || (0..order).map(|i| f64::from(2 * i + 1));
        let bend = odd().flat_map(|m| odd().map(move |n| [m, n])).collect();
        let even = |from: u32| (from..=2 * order).map(|i| f64::from(2 * i));
        let plane = even(1).flat_map(|m| even(0).map(move |n| [m, n])).collect();
        Self { poisson, bend, plane, points: 6 * order as usize }
    }

    fn unknowns(&self) -> usize {
        self.bend.len() + 2 * self.plane.len()
    }

    /// Gradient and Hessian at `c` for the strain e in units of (t/a)².
    fn equations(&self, c: &[f64], e: f64) -> (Vec<f64>, Vec<Vec<f64>>) {
        let (n, nb, np) = (self.unknowns(), self.bend.len(), self.plane.len());
        let nu = self.poisson;
        let mut gradient = vec![0.0; n];
        let mut hessian = vec![vec![0.0; n]; n];
        let membrane = 1.0 / (1.0 - nu * nu);
        let weight = 1.0 / (self.points * self.points) as f64;
        for point in 0..self.points * self.points {
            // a quarter stands for the whole
            let at = |i: usize| 0.5 * (i as f64 + 0.5) / self.points as f64;
            let (x, y) = (at(point % self.points), at(point / self.points));
            let slope: Vec<[f64; 2]> = self
                .bend
                .iter()
                .map(|[m, k]| {
                    [m * PI * (m * PI * x).cos() * (k * PI * y).sin(), k * PI * (m * PI * x).sin() * (k * PI * y).cos()]
                })
                .collect();
            let [wx, wy] = (0..nb).fold([0.0; 2], |sum, i| [sum[0] + c[i] * slope[i][0], sum[1] + c[i] * slope[i][1]]);
            // strains by each unknown
            let mut by = vec![[0.0; 3]; n];
            for i in 0..nb {
                by[i] = [wx * slope[i][0], wy * slope[i][1], wx * slope[i][1] + wy * slope[i][0]];
            }
            for (i, [m, k]) in self.plane.iter().enumerate() {
                let (m, k) = (m * PI, k * PI);
                by[nb + i] = [m * (m * x).cos() * (k * y).cos(), 0.0, -k * (m * x).sin() * (k * y).sin()];
                by[nb + np + i] = [0.0, m * (m * y).cos() * (k * x).cos(), -k * (m * y).sin() * (k * x).sin()];
            }
            let mut strain = [0.5 * wx * wx - e, 0.5 * wy * wy, wx * wy];
            for i in nb..n {
                (0..3).for_each(|a| strain[a] += c[i] * by[i][a]);
            }
            let law = |s: [f64; 3]| {
                [membrane * (s[0] + nu * s[1]), membrane * (s[1] + nu * s[0]), membrane * 0.5 * (1.0 - nu) * s[2]]
            };
            let force = law(strain);
            for i in 0..n {
                let pull = law(by[i]);
                gradient[i] += weight * (0..3).map(|a| force[a] * by[i][a]).sum::<f64>();
                for j in 0..=i {
                    let mut value: f64 = (0..3).map(|a| pull[a] * by[j][a]).sum();
                    if i < nb {
                        let (p, q) = (slope[i], slope[j]);
                        value +=
                            force[0] * p[0] * q[0] + force[1] * p[1] * q[1] + force[2] * (p[0] * q[1] + p[1] * q[0]);
                    }
                    hessian[i][j] += weight * value;
                }
            }
        }
        for (i, [m, k]) in self.bend.iter().enumerate() {
            // ¼ ∫ of squares of sines; D/(E t³) = 1/(12(1 − ν²))
            let bending = membrane / 12.0 * 0.25 * ((m * m + k * k) * PI * PI).powi(2);
            gradient[i] += bending * c[i];
            hessian[i][i] += bending;
        }
        (gradient, hessian)
    }

    /// Deflection of the middle over t at strain e (t/a)², by Newton from a guess of it.
    fn middle(&self, e: f64, guess: f64) -> f64 {
        let mut c = vec![0.0; self.unknowns()];
        c[0] = guess;
        for _ in 0..60 {
            let (gradient, hessian) = self.equations(&c, e);
            let step = solved(hessian, gradient);
            let most = step.iter().fold(0.0f64, |most, s| most.max(s.abs()));
            let length = (0.3 / most).min(1.0);
            c.iter_mut().zip(&step).for_each(|(c, s)| *c -= length * s);
            if most < 1e-10 {
                return self
                    .bend
                    .iter()
                    .zip(&c)
                    .map(|([m, k], c)| c * (m * PI / 2.0).sin() * (k * PI / 2.0).sin())
                    .sum();
            }
        }
        panic!("no balance of the plate at {e}");
    }
}

/// Solution of a symmetric system given by its lower triangle (Gauss, pivots on the diagonal).
fn solved(lower: Vec<Vec<f64>>, mut right: Vec<f64>) -> Vec<f64> {
    let n = right.len();
    let mut full: Vec<Vec<f64>> =
        (0..n).map(|i| (0..n).map(|j| if j <= i { lower[i][j] } else { lower[j][i] }).collect()).collect();
    for k in 0..n {
        let row = full[k].clone();
        for i in k + 1..n {
            let factor = full[i][k] / row[k];
            if factor != 0.0 {
                (k..n).for_each(|j| full[i][j] -= factor * row[j]);
                right[i] -= factor * right[k];
            }
        }
    }
    for k in (0..n).rev() {
        right[k] = (right[k] - (k + 1..n).map(|j| full[k][j] * right[j]).sum::<f64>()) / full[k][k];
    }
    right
}

/// A square plate, sides held square to themselves and free along, hindered from growing along x: 2 and 8 times the strain that buckles it.
/// Against von Kármán's equations by Ritz, 25 and 36 terms apart by less than 0.1 %; 24 × 24 within 1 %.
#[test]
fn a_buckled_plate_rests_where_von_karman_says() {
    let (side, sheet) = (300.0, Sheet { thickness_mm: 0.9, young_n_mm2: 210e3, poisson: 0.3 });
    let plate = grid([24; 2], Cut::Regular, |s, w| DVec3::new(side * s, side * w, 0.0));
    let mut holds = Vec::new();
    for line in [Line::First, Line::Last, Line::Bottom, Line::Top] {
        let normal = if matches!(line, Line::First | Line::Last) { DVec3::X } else { DVec3::Y };
        let of = |node| [along(node, DVec3::Z), along(node, normal), about(node, normal)];
        holds.extend(plate.line(line).into_iter().flat_map(of));
    }
    // hindered: Nx = −E t e/(1 − ν²), Ny = ν Nx; one half wave each way buckles at e = π²/(3 (1 + ν)) (t/a)²
    let nu: f64 = sheet.poisson;
    let unit = (sheet.thickness_mm / side).powi(2);
    let critical = PI * PI / (3.0 * (1.0 + nu));
    let of = |e: f64| {
        let hindered = |triangle| InherentStrain { triangle, along: DVec3::X, strain: [e * unit, 0.0, 0.0] };
        Loads { inherent: (0..plate.skin.triangles.len() as u32).map(hindered).collect(), ..Loads::default() }
    };
    let mut linear = model(&plate.skin, sheet, holds.clone());
    let buckling =
        linear.buckling(&of(critical), &EigenSettings::default(), &Progress::silent(), &Cancel::new()).unwrap();
    assert!((buckling.margin().unwrap() - 1.0).abs() < 0.01, "{:?}", buckling.margin());
    let shell = Shell { skin: plate.skin.clone(), sheets: vec![sheet], sheet_of: Vec::new() };
    let start = large::with_imperfection(&shell, &buckling.modes[0].shape, 0.002 * sheet.thickness_mm);
    let middle = plate.node(12, 12);
    let settings = Settings { shares: vec![0.25, 1.0], watched: vec![middle], ..Settings::default() };
    let bent = bent(&start.skin, sheet, holds, &of(8.0 * critical), &settings);
    assert_eq!(bent.ending, Ending::Converged);
    assert!(bent.history.iter().all(|noted| noted.stable && !noted.fell));
    let (coarse, fine) = (Ritz::new(nu, 3), Ritz::new(nu, 4));
    for (share, guess) in [(0.25, 1.0), (1.0, 2.5)] {
        let at = bent.history.iter().find(|noted| noted.share >= share).unwrap().watched_mm[0].z / sheet.thickness_mm;
        let e = 8.0 * share * critical;
        let [few, many] = [coarse.middle(e, guess), fine.middle(e, guess)];
        println!("{} times critical: middle {:.4} t; Ritz {few:.4}, {many:.4}", 8.0 * share, at.abs());
        assert!((few / many - 1.0).abs() < 1e-3, "the Ritz solution has settled");
        assert!((at.abs() / many - 1.0).abs() < 0.01, "{at} for {many}");
    }
}
