//! The held line laid into the plane: arc length and geodesic curvature kept.

use glam::{DVec2, DVec3};
use section::quadrature::GaussLegendre;
use section::{Lean, Swept};

/// Nodes of each integration step.
const N: usize = 6;
/// Longest step and largest turn of a step: the error of six nodes is then below 1e-12 of the length.
const STEP_MM: f64 = 25.0;
const STEP_TURN_RAD: f64 = 0.1;

/// The held line at a station, on the piece: its velocity and the direction of the cross-section, with what follows from them.
struct Local {
    /// Millimetres along the held line per millimetre of station.
    speed: f64,
    /// Geodesic turning per millimetre of station.
    turning: f64,
    /// Angle from the held line to the cross-section, and its rate.
    across: f64,
    across_rate: f64,
}

/// The held line in the flat.
#[derive(Debug)]
pub(super) struct HeldLine {
    /// Node of the cross-section that is held.
    pub(super) node: usize,
    steps: Vec<Step>,
    rule: GaussLegendre<N>,
}

#[derive(Debug)]
struct Step {
    from: f64,
    to: f64,
    start: DVec2,
    /// Direction of the held line at the start of the step.
    angle: f64,
    turning: [f64; N],
    velocity: [DVec2; N],
}

/// The held line at a station in the flat.
#[derive(Debug, Clone, Copy)]
pub(super) struct InFlat {
    pub(super) point: DVec2,
    /// Velocity by station.
    pub(super) velocity: DVec2,
    /// Direction in which the cross-section is laid off, and its turning by station.
    pub(super) across: DVec2,
    pub(super) across_turning: f64,
}

impl HeldLine {
    pub(super) fn new(swept: &Swept<'_>, node: usize) -> Self {
        let rule = GaussLegendre::<N>::new();
        let table: [[f64; N]; N] = rule.nodes.map(|node| rule.weights_up_to(node));
        let mut steps: Vec<Step> = Vec::new();
        let (mut point, mut across_angle) = (DVec2::ZERO, std::f64::consts::FRAC_PI_2);
        for pair in swept.breaks_mm().windows(2) {
            let (from, to) = (pair[0], pair[1]);
            // The cross-section's direction runs on over a break; the held line may turn against it there.
            let mut angle = across_angle - local(swept, node, from, Lean::After).across;
            let count = steps_for(swept, node, from, to);
            for i in 0..count {
                let a = from + (to - from) * i as f64 / count as f64;
                let b = if i + 1 == count { to } else { from + (to - from) * (i + 1) as f64 / count as f64 };
                let h = b - a;
                let locals = rule.nodes.map(|x| local(swept, node, a + h * x, Lean::After));
                let turning = std::array::from_fn(|k| locals[k].turning);
                let velocity = std::array::from_fn(|k| {
                    let turned: f64 = table[k].iter().zip(&turning).map(|(w, g): (&f64, &f64)| w * g).sum();
                    DVec2::from_angle(angle + h * turned) * locals[k].speed
                });
                let step = Step { from: a, to: b, start: point, angle, turning, velocity };
                point += rule.weights.iter().zip(&velocity).map(|(w, v)| *v * *w).sum::<DVec2>() * h;
                angle += rule.weights.iter().zip(&turning).map(|(w, g)| w * g).sum::<f64>() * h;
                steps.push(step);
            }
            across_angle = angle + local(swept, node, to, Lean::Before).across;
        }
        Self { node, steps, rule }
    }

    /// The held line at a station.
    pub(super) fn at(&self, swept: &Swept<'_>, station_mm: f64, lean: Lean) -> InFlat {
        let after = match lean {
            Lean::After => self.steps.partition_point(|step| step.from <= station_mm),
            Lean::Before => self.steps.partition_point(|step| step.from < station_mm),
        };
        let Some(step) = self.steps.get(after.saturating_sub(1)) else {
            return InFlat { point: DVec2::NAN, velocity: DVec2::NAN, across: DVec2::NAN, across_turning: f64::NAN };
        };
        let h = step.to - step.from;
        let weights = self.rule.weights_up_to((station_mm - step.from) / h);
        let angle = step.angle + h * weights.iter().zip(&step.turning).map(|(w, g)| w * g).sum::<f64>();
        let point = step.start + weights.iter().zip(&step.velocity).map(|(w, v)| *v * *w).sum::<DVec2>() * h;
        let local = local(swept, self.node, station_mm, lean);
        InFlat {
            point,
            velocity: DVec2::from_angle(angle) * local.speed,
            across: DVec2::from_angle(angle + local.across),
            across_turning: local.turning + local.across_rate,
        }
    }

    /// Integrates along the strip, on the steps of the held line.
    pub(super) fn integrate(&self, mut f: impl FnMut(f64) -> f64) -> f64 {
        self.weighted_stations().map(|(station, weight)| weight * f(station)).sum()
    }

    /// Stations inside the smooth stretches with their weights for integration, mm of station.
    pub(super) fn weighted_stations(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.steps.iter().flat_map(move |step| {
            let h = step.to - step.from;
            (0..N).map(move |k| (step.from + h * self.rule.nodes[k], h * self.rule.weights[k]))
        })
    }
}

/// Geodesic turning of a curve on a surface: (T × T′)·n per unit of station, n = curve × cross-section (the face that is up).
fn local(swept: &Swept<'_>, node: usize, station_mm: f64, lean: Lean) -> Local {
    let frame = swept.frame_jet(station_mm, lean);
    let profile = swept.profile(station_mm, lean);
    let Some(at) = profile.nodes.get(node) else {
        return Local { speed: f64::NAN, turning: f64::NAN, across: f64::NAN, across_rate: f64::NAN };
    };
    let curve = swept.point(&frame, at, 0.5 * profile.thickness_mm);
    let across = frame.direction(at.direction());
    let (velocity, change) = (curve.first, curve.second);
    let normal: DVec3 = velocity.cross(across.value);
    let (sine, cosine) = (normal.length(), velocity.dot(across.value));
    let n = normal / sine;
    let sine_rate = (change.cross(across.value) + velocity.cross(across.first)).dot(n);
    let cosine_rate = change.dot(across.value) + velocity.dot(across.first);
    Local {
        speed: velocity.length(),
        turning: velocity.cross(change).dot(n) / velocity.length_squared(),
        across: sine.atan2(cosine),
        across_rate: (sine_rate * cosine - sine * cosine_rate) / (sine * sine + cosine * cosine),
    }
}

fn steps_for(swept: &Swept<'_>, node: usize, from: f64, to: f64) -> usize {
    let probe = |f: f64| {
        let local = local(swept, node, from + (to - from) * f, Lean::After);
        local.turning.abs() + local.across_rate.abs()
    };
    let turning = [0.05, 0.25, 0.5, 0.75, 0.95].map(probe).into_iter().fold(0.0, f64::max) * (to - from);
    let curvature = swept.frame_jet(0.5 * (from + to), Lean::After).t.first.length() * (to - from);
    let count = ((to - from) / STEP_MM).max(turning / STEP_TURN_RAD).max(curvature / STEP_TURN_RAD).ceil();
    (count as usize).clamp(1, 4000)
}
