//! Newton's method on the loads in steps.
//!
//! The forces that make the geometric part of the tangent are those the last step foresaw, not those of the state it led to: a thin sheet
//! is so much stiffer in its plane than in bending that the latter are far off, and the steps would have to be ten times smaller
//! (D. Magisano, L. Leonetti, G. Garcea, Int. J. Numer. Methods Eng. 110 (2017), mixed integration points, from memory). Balance itself is
//! that of the state.

use super::path::Brought;
use super::rotation::{turn, vector_of_node};
use super::triangle::{Eighteen, Moved, Still, symmetric};
use super::{Bent, Ending, Noted, Settings};
use crate::error::WeldError;
use crate::shell::{Assembly, Loads, Shell, Supports, UNKNOWNS, element};
use glam::{DMat3, DQuat, DVec3};
use numerics::cholesky::{Cholesky, CholeskyError};
use numerics::{Cancel, Progress};

/// Newton steps before a load step is halved.
const MOST_ITERATIONS: usize = 16;
/// Steps downhill before the search for the next shape is given up.
const MOST_DOWNHILL: usize = 250;
/// Part of the first load step below which it is not halved any more.
const SMALLEST: f64 = 1.0 / 64.0;
/// A larger first step does not make that part larger.
const LARGEST_FIRST: f64 = 0.2;
/// Most a node turns in one Newton step, rad.
const MOST_TURN_RAD: f64 = 0.6;
/// Shares of the geometric part that are tried downhill.
const SHARES: [f64; 8] = [1.0, 0.8, 0.6, 0.4, 0.2, 0.1, 0.03, 0.0];
/// Force of rounding over machine precision, stiffness and size.
const NOISE: f64 = 8.0;
/// Correction over the thickness, and over the largest displacement, that counts as none.
const NO_CORRECTION: [f64; 2] = [1e-3, 1e-6];

/// Where a shell comes to rest under loads, with large displacements and rotations and small strains.
///
/// # Errors
/// Faults of shell, supports, loads and settings; [`WeldError::Cancelled`]. A run that found no balance is no error: see [`Bent::ending`].
pub fn solve(
    shell: &Shell,
    supports: &Supports,
    loads: &Loads,
    settings: &Settings,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<Bent, WeldError> {
    checked(settings, shell.skin.points_mm.len())?;
    Led::new(shell, supports, cancel)?.lead(loads, settings, progress, cancel)
}

/// A shell that is led from loads to other loads, each time from the shape in which it rests: loads that differ little cost a few steps.
#[derive(Debug)]
pub struct Led {
    problem: Problem,
    state: State,
}

/// A shape at rest to which a shell that is led can return, with its loads.
#[derive(Debug, Clone)]
pub struct Place {
    state: State,
    loads: Brought,
}

impl Led {
    /// A shell on which nothing acts.
    ///
    /// # Errors
    /// Faults of shell and supports; [`WeldError::Cancelled`].
    pub fn new(shell: &Shell, supports: &Supports, cancel: &Cancel) -> Result<Self, WeldError> {
        let problem = Problem::new(shell, supports, cancel)?;
        let state = State::at_rest(shell.skin.points_mm.len(), problem.still.len());
        Ok(Self { problem, state })
    }

    /// Where it is.
    #[must_use]
    pub fn place(&self) -> Place {
        Place { state: self.state.clone(), loads: self.problem.at.clone() }
    }

    /// Back to a place of this shell.
    pub fn return_to(&mut self, place: &Place) {
        self.state.clone_from(&place.state);
        self.problem.bring(place.loads.clone());
    }

    /// Leads it to loads; shares run from those that act (0) to these (1). Where no balance is found it stays at the last share that was.
    ///
    /// # Errors
    /// Faults of loads and settings; [`WeldError::Cancelled`].
    pub fn lead(
        &mut self,
        loads: &Loads,
        settings: &Settings,
        progress: &Progress,
        cancel: &Cancel,
    ) -> Result<Bent, WeldError> {
        let problem = &mut self.problem;
        let last = checked(settings, problem.assembly.shell.skin.points_mm.len())?;
        problem.tolerance = settings.tolerance;
        problem.left = settings.most_iterations;
        let (from, wanted) = (problem.at.clone(), Brought::of(&problem.assembly, loads)?);
        let (mut share, mut history) = (0.0, Vec::new());
        let first = settings.first_step * last;
        let least = SMALLEST * first.min(LARGEST_FIRST);
        let mut step = first;
        let mut ending = Ending::StepLimit;
        for _ in 0..settings.most_steps {
            if problem.left == 0 {
                break;
            }
            let Some(&next) = settings.shares.iter().find(|&&wanted| wanted > share) else {
                ending = Ending::Converged;
                break;
            };
            // no sliver is left before a wanted share
            let to = if share + 1.01 * step >= next { next } else { share + step };
            let downhill = step <= least;
            let reached = if problem.bring(Brought::between(&from, &wanted, to)) {
                problem.balance(&self.state, downhill, cancel)?
            } else {
                None
            };
            match reached {
                Some(reached) => {
                    self.state = reached.state;
                    share = to;
                    history.push(Noted {
                        share,
                        most_mm: self.state.most_mm(),
                        watched_mm: settings.watched.iter().map(|&node| self.state.moved[node as usize]).collect(),
                        iterations: reached.iterations,
                        fell: reached.fell,
                        stable: reached.stable,
                    });
                    let way = 100.0 * share / last;
                    progress.report(share / last, &format!("large displacements, {way:.0} % of the way"));
                    step = match reached.iterations {
                        _ if reached.fell => 0.25 * first,
                        0..=6 => 1.7 * step,
                        7..=10 => 1.3 * step,
                        11..=13 => step,
                        // a step that is as small as it gets and was slow downhill is not made smaller: it would never arrive
                        _ => (0.7 * step).max(least),
                    };
                }
                None if downhill && problem.left > 0 => {
                    ending = Ending::Stalled;
                    break;
                }
                None => step = 0.4 * step.min(to - share),
            }
        }
        if settings.shares.iter().all(|&wanted| wanted <= share) {
            ending = Ending::Converged;
        }
        problem.bring(Brought::between(&from, &wanted, share));
        let moved = problem.moved(&self.state).unwrap_or_default();
        let membrane_n_mm =
            problem.still.iter().zip(&moved).map(|(still, moved)| still.membrane_force_n_mm(&moved.left)).collect();
        let State { moved: displacement_mm, turned: rotation, .. } = self.state.clone();
        Ok(Bent { displacement_mm, rotation, membrane_n_mm, share, ending, history })
    }
}

/// The last share, once the settings make sense.
fn checked(settings: &Settings, points: usize) -> Result<f64, WeldError> {
    let range = |name, got, need| WeldError::OutOfRange { name, got, need };
    let mut before = 0.0;
    for &share in &settings.shares {
        if !(share > before && share.is_finite()) {
            return Err(range("share of the loads", share, "shares must ascend from above 0"));
        }
        before = share;
    }
    if settings.shares.is_empty() {
        return Err(range("number of shares of the loads", 0.0, "give at least one, usually 1"));
    }
    for (name, value) in [("first step", settings.first_step), ("tolerance of balance", settings.tolerance)] {
        if !(value > 0.0 && value <= 1.0) {
            return Err(range(name, value, "it must lie above 0, up to 1"));
        }
    }
    match settings.watched.iter().find(|&&node| node as usize >= points) {
        Some(&got) => Err(WeldError::NoSuch { what: "the watched point", got: got as usize, count: points }),
        None => Ok(before),
    }
}

/// Displacement and rotation of all nodes, and the forces in the triangles when it was last in balance.
#[derive(Debug, Clone)]
struct State {
    moved: Vec<DVec3>,
    turned: Vec<DQuat>,
    forces: Vec<Eighteen>,
}

impl State {
    fn at_rest(nodes: usize, triangles: usize) -> Self {
        let forces = vec![[0.0; 18]; triangles];
        Self { moved: vec![DVec3::ZERO; nodes], turned: vec![DQuat::IDENTITY; nodes], forces }
    }

    fn most_mm(&self) -> f64 {
        self.moved.iter().map(|u| u.length()).fold(0.0, |most: f64, here| if here > most { here } else { most })
    }

    /// Moved on by a share of a step, six numbers a node.
    fn moved_on(&self, step: &[f64], share: f64) -> Self {
        let three = |at: usize| share * DVec3::from_slice(&step[at..at + 3]);
        let moved = self.moved.iter().enumerate().map(|(node, u)| *u + three(UNKNOWNS * node)).collect();
        let turned =
            self.turned.iter().enumerate().map(|(node, q)| (turn(three(UNKNOWNS * node + 3)) * *q).normalize());
        Self { moved, turned: turned.collect(), forces: Vec::new() }
    }
}

/// A state of balance.
struct Reached {
    state: State,
    iterations: usize,
    fell: bool,
    stable: bool,
}

/// Forces out of balance in a state.
struct Balance {
    moved: Vec<Moved>,
    residual: Vec<f64>,
    /// Forces in the triangles, N.
    size_n: f64,
}

#[derive(Debug)]
struct Problem {
    assembly: Assembly,
    /// Loads that act.
    at: Brought,
    /// Triangles at rest under them.
    still: Vec<Still>,
    factor: Cholesky,
    /// A length of the mesh, which makes forces of moments.
    length_mm: f64,
    thickness_mm: f64,
    tolerance: f64,
    /// Iterations that may still be taken.
    left: usize,
    /// Force that the rounding of places makes.
    noise_n: f64,
}

impl Problem {
    fn new(shell: &Shell, supports: &Supports, cancel: &Cancel) -> Result<Self, WeldError> {
        let assembly = Assembly::new(shell.clone(), supports)?;
        let at = Brought::nothing(&assembly);
        let of_triangle = |(triangle, frame)| at.still(triangle, frame, shell.sheet(triangle));
        let still: Vec<Still> = assembly.frames.iter().enumerate().map(of_triangle).collect();
        cancel.check()?;
        let area: f64 = assembly.frames.iter().map(|frame| frame.area_mm2).sum();
        let length_mm = (area / still.len() as f64).sqrt();
        let thinnest = |least: f64, sheet: &crate::shell::Sheet| least.min(sheet.thickness_mm);
        let thickness_mm = shell.sheets.iter().fold(f64::INFINITY, thinnest);
        let larger = |most: f64, here: f64| if here > most { here } else { most };
        let stiffest = shell.sheets.iter().map(|sheet| sheet.young_n_mm2 * sheet.thickness_mm).fold(0.0, larger);
        let farthest = shell.skin.points_mm.iter().map(|point| point.length()).fold(0.0, larger);
        let noise_n = NOISE * f64::EPSILON * stiffest * farthest * (shell.skin.points_mm.len() as f64).sqrt();
        let tolerance = Settings::default().tolerance;
        let factor = assembly.analyse()?;
        cancel.check()?;
        Ok(Self { assembly, at, still, factor, length_mm, thickness_mm, tolerance, left: 0, noise_n })
    }

    /// Brings loads on. False, and nothing changed, when a triangle would lose its area or be turned over at rest.
    fn bring(&mut self, loads: Brought) -> bool {
        let Some(frames) = loads.frames(&self.assembly) else { return false };
        for (triangle, (still, frame)) in self.still.iter_mut().zip(&frames).enumerate() {
            if loads.same_rest(&self.at, triangle) {
                still.strain_to(loads.strain_in(triangle, frame));
            } else {
                *still = loads.still(triangle, frame, self.assembly.shell.sheet(triangle));
            }
        }
        self.at = loads;
        true
    }

    /// The triangles in a state; none when one of them has lost its area.
    fn moved(&self, state: &State) -> Option<Vec<Moved>> {
        let points = &self.assembly.shell.skin.points_mm;
        let matrices: Vec<DMat3> = state.turned.iter().map(|q| DMat3::from_quat(*q)).collect();
        let of_triangle = |(still, nodes): (&Still, &[u32; 3])| {
            let at = nodes.map(|node| node as usize);
            still.moved(at.map(|node| points[node] + state.moved[node]), at.map(|node| matrices[node]))
        };
        self.still.iter().zip(&self.assembly.shell.skin.triangles).map(of_triangle).collect()
    }

    fn out_of_balance(&self, state: &State) -> Option<Balance> {
        let moved = self.moved(state)?;
        let mut residual = self.at.dead.clone();
        let mut square = residual.chunks_exact(UNKNOWNS).map(|six| self.square_n(six)).sum::<f64>();
        for (triangle, (still, here)) in self.still.iter().zip(&moved).enumerate() {
            let on_corners = here.forces_on_corners(&still.forces(&here.left));
            square += on_corners.chunks_exact(UNKNOWNS).map(|six| self.square_n(six)).sum::<f64>();
            let against = element::from_local(&here.frame, &on_corners).map(|force| -force);
            self.assembly.add_forces(triangle, &against, &mut residual);
        }
        for spring in &self.assembly.held.springs {
            let node = spring.node as usize;
            let (by, at) = if spring.rotation {
                (vector_of_node(state.turned[node]), UNKNOWNS * node + 3)
            } else {
                (state.moved[node], UNKNOWNS * node)
            };
            let force = -spring.stiffness * spring.axis.dot(by) * spring.axis;
            residual[at..at + 3].iter_mut().zip(force.to_array()).for_each(|(sum, force)| *sum += force);
        }
        self.assembly.held.project(&mut residual);
        Some(Balance { moved, residual, size_n: square.sqrt() })
    }

    /// Square of the force of a node, its moment taken over the length of the mesh.
    fn square_n(&self, six: &[f64]) -> f64 {
        let [force, moment] = [DVec3::from_slice(six), DVec3::from_slice(&six[3..]) / self.length_mm];
        force.length_squared() + moment.length_squared()
    }

    fn norm_n(&self, forces: &[f64]) -> f64 {
        forces.chunks_exact(UNKNOWNS).map(|six| self.square_n(six)).sum::<f64>().sqrt()
    }

    /// Factors the tangent with these forces in the triangles, `part` of them counting. False when it is not positive.
    fn factor(&mut self, moved: &[Moved], on_left: &[Eighteen], part: f64, cancel: &Cancel) -> Result<bool, WeldError> {
        let still = &self.still;
        let mut values = self.assembly.matrix(cancel, |triangle| {
            let (here, forces) = (&moved[triangle], on_left[triangle].map(|force| part * force));
            element::to_mesh(&here.frame, &symmetric(here.tangent(&still[triangle], &forces)))
        })?;
        self.assembly.support(&mut values);
        match self.factor.factor(&values) {
            Ok(()) => Ok(true),
            Err(CholeskyError::NotPositiveDefinite) => Ok(false),
            Err(other) => Err(other.into()),
        }
    }

    /// Balance under the loads that act, from a state near it. None when it was not found; `downhill` looks for it farther away.
    fn balance(&mut self, from: &State, downhill: bool, cancel: &Cancel) -> Result<Option<Reached>, WeldError> {
        let mut state = from.clone();
        let Some(mut here) = self.out_of_balance(&state) else { return Ok(None) };
        // the forces in balance before: those of this state under the new loads are far off until the sheet has moved
        let mut foreseen: Vec<Eighteen> = from.forces.clone();
        let (mut fell, mut start, mut smallest) = (false, 0, f64::INFINITY);
        for iterations in 1..=if downhill { MOST_DOWNHILL } else { MOST_ITERATIONS } {
            cancel.check()?;
            if self.left == 0 {
                return Ok(None);
            }
            self.left -= 1;
            let first = if downhill { start } else { 0 };
            let mut positive = None;
            for (i, &part) in SHARES.iter().enumerate().skip(first) {
                if self.factor(&here.moved, &foreseen, part, cancel)? {
                    positive = Some(i);
                    break;
                }
                if !downhill {
                    return Ok(None);
                }
            }
            let Some(at) = positive else { return Ok(None) };
            // next time a little more of the geometric part is tried again
            start = at.saturating_sub(1);
            fell |= at > 0;
            let mut step = here.residual.clone();
            self.factor.solve(&mut step)?;
            let (most_mm, most_rad) = largest(&step);
            if !(most_mm.is_finite() && most_rad.is_finite()) {
                return Ok(None);
            }
            let mut length = if most_rad > MOST_TURN_RAD { MOST_TURN_RAD / most_rad } else { 1.0 };
            let searched = downhill && at > 0;
            let Some(next) = self.walked(&state, &here, &step, &mut length, searched) else { return Ok(None) };
            foreseen = self.foreseen(&here.moved, &step, length);
            state = state.moved_on(&step, length);
            here = next;
            let off = self.norm_n(&here.residual) / (here.size_n + self.noise_n / self.tolerance);
            let little = NO_CORRECTION[0] * self.thickness_mm + NO_CORRECTION[1] * state.most_mm();
            if !off.is_finite() || (!downhill && off > 1e4 * smallest) {
                return Ok(None);
            }
            smallest = smallest.min(off);
            if off <= self.tolerance && most_mm <= little && length >= 1.0 {
                state.forces = self.forces(&here.moved);
                let stable = self.factor(&here.moved, &state.forces, 1.0, cancel)?;
                return Ok(Some(Reached { state, iterations, fell, stable }));
            }
        }
        Ok(None)
    }

    /// The state after a step. When searched for, the step is shortened until the work left to be done along it is no longer far below nothing.
    fn walked(&self, state: &State, here: &Balance, step: &[f64], length: &mut f64, searched: bool) -> Option<Balance> {
        let work = |balance: &Balance| balance.residual.iter().zip(step).map(|(r, p)| r * p).sum::<f64>();
        let before = work(here);
        for _ in 0..8 {
            let next = self.out_of_balance(&state.moved_on(step, *length));
            let after = next.as_ref().map_or(f64::NEG_INFINITY, work);
            if !searched || after >= -0.5 * before {
                return next;
            }
            // where the work left would be nought if it fell evenly
            *length *= (before / (before - after)).clamp(0.1, 0.7);
        }
        None
    }

    fn forces(&self, moved: &[Moved]) -> Vec<Eighteen> {
        self.still.iter().zip(moved).map(|(still, here)| still.forces(&here.left)).collect()
    }

    /// Forces in the triangles after a part of a step, if what is left of them changed evenly.
    fn foreseen(&self, moved: &[Moved], step: &[f64], length: f64) -> Vec<Eighteen> {
        let of_triangle = |(triangle, (still, here)): (usize, (&Still, &Moved))| {
            let motion = element::to_local(&here.frame, &self.assembly.of_corners(triangle, step));
            let change = here.change(&motion);
            still.forces(&std::array::from_fn(|a| here.left[a] + length * change[a]))
        };
        self.still.iter().zip(moved).enumerate().map(of_triangle).collect()
    }
}

/// Largest displacement and rotation of a step.
fn largest(step: &[f64]) -> (f64, f64) {
    let mut most = [0.0; 2];
    for six in step.chunks_exact(UNKNOWNS) {
        for (most, three) in most.iter_mut().zip(six.chunks_exact(3)) {
            let here = DVec3::from_slice(three).length();
            // NaN is kept, so that it is seen
            if here > *most || here.is_nan() {
                *most = here;
            }
        }
    }
    most.into()
}
