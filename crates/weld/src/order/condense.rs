//! From the open panel as a shell to its condensed form: one factor, then one solve for each relative motion and each event.
//!
//! The inner estimate of the buckling margin: a few modes of the joined sheet (its buckling modes when all has shrunk), scaled to unit
//! elastic energy; on them the geometric stiffness of any step is a sum of small matrices, because the membrane forces are linear in the
//! shrinkage and in the forces at the joins. It counts the slope of the deflection out of the sheet only, and holds the modes of
//! the joined sheet for sheet that is not yet joined all along: it ranks orders, the margins that are told are computed in full.

use super::{Condensed, CondensedEvent, Event, EventKind, GapLimit, OrderError, Projection, ROWS, Row, Watch};
use crate::WeldError;
use crate::panel::{Pair, Panel};
use crate::shell::element::{from_local, strains, to_local};
use crate::shell::{Assembly, Deflection, LinearModel, Loads, Shell, Supports, UNKNOWNS};
use faer::{Mat, Side};
use glam::{DVec2, DVec3};
use numerics::{Cancel, Progress};
use std::sync::Arc;

/// Right sides solved at once.
const AT_ONCE: usize = 16;

/// The open panel, factored, with the compliance of its pairs.
#[derive(Debug)]
pub struct Condenser {
    model: LinearModel,
    pairs: Vec<Pair>,
    compliance: Arc<Vec<f64>>,
    basis: Option<ModeBasis>,
    of_rows: Vec<Vec<f64>>,
}

/// Modes of the joined sheet, as slopes of the triangles.
#[derive(Debug, Clone)]
pub struct ModeBasis {
    /// By triangle and mode: slope of the deflection out of the triangle, in its frame.
    slopes: Vec<Vec<DVec2>>,
    modes: usize,
}

impl ModeBasis {
    /// Scales modes (six numbers a node of the joined shell) to unit elastic energy. Those that depend on the others are left out.
    ///
    /// # Errors
    /// [`OrderError::WrongLength`] when a mode does not fit the shell.
    pub fn new(joined: &Assembly, modes: &[Vec<f64>]) -> Result<Self, OrderError> {
        let need = joined.unknowns();
        if let Some(wrong) = modes.iter().find(|mode| mode.len() != need) {
            return Err(OrderError::WrongLength { what: "a mode", got: wrong.len(), need });
        }
        let energy = energies(joined, modes);
        let eigen = energy.self_adjoint_eigen(Side::Lower).map_err(|_| OrderError::NotFinite { what: "a mode" })?;
        let values: Vec<f64> = eigen.S().column_vector().iter().copied().collect();
        let largest = values.last().copied().unwrap_or(0.0);
        let kept: Vec<usize> = (0..values.len()).filter(|i| values[*i] > 1e-9 * largest && values[*i] > 0.0).collect();
        let slopes = (0..joined.frames.len()).map(|triangle| {
            let frame = &joined.frames[triangle];
            let gradients = frame.gradients();
            let raw: Vec<DVec2> = modes
                .iter()
                .map(|mode| {
                    let corners = joined.shell.skin.triangles[triangle].iter().zip(gradients);
                    corners.map(|(node, gradient)| gradient * at(mode, *node, 0).dot(frame.axes[2])).sum()
                })
                .collect();
            let mixed = |k: &usize| {
                raw.iter().enumerate().map(|(i, slope)| *slope * eigen.U()[(i, *k)]).sum::<DVec2>() / values[*k].sqrt()
            };
            kept.iter().map(mixed).collect()
        });
        Ok(Self { slopes: slopes.collect(), modes: kept.len() })
    }

    /// Adds `factor` times the geometric stiffness of membrane forces (x, y, shear; N/mm) of a triangle.
    fn add(&self, triangle: usize, area_mm2: f64, [nx, ny, nxy]: [f64; 3], packed: &mut [f64]) {
        let slopes = &self.slopes[triangle];
        let mut into = packed.iter_mut();
        for (i, a) in slopes.iter().enumerate() {
            let pulled = area_mm2 * DVec2::new(nx * a.x + nxy * a.y, nxy * a.x + ny * a.y);
            for (b, value) in slopes[..=i].iter().zip(&mut into) {
                *value += pulled.dot(*b);
            }
        }
    }
}

/// Elastic energies ×2 of modes with each other, springs among them.
fn energies(assembly: &Assembly, modes: &[Vec<f64>]) -> Mat<f64> {
    let mut energy = Mat::<f64>::zeros(modes.len(), modes.len());
    for triangle in 0..assembly.frames.len() {
        let stiffness = assembly.stiffness_of(triangle);
        let corners: Vec<[f64; 18]> = modes.iter().map(|mode| assembly.of_corners(triangle, mode)).collect();
        for (j, right) in corners.iter().enumerate() {
            let forces = stiffness.map(|row| row.iter().zip(right).map(|(k, u)| k * u).sum::<f64>());
            for (i, left) in corners.iter().enumerate().skip(j) {
                energy[(i, j)] += left.iter().zip(&forces).map(|(u, f)| u * f).sum::<f64>();
            }
        }
    }
    for spring in &assembly.held.springs {
        let along = |mode: &Vec<f64>| at(mode, spring.node, usize::from(spring.rotation)).dot(spring.axis);
        for (j, right) in modes.iter().enumerate() {
            for (i, left) in modes.iter().enumerate().skip(j) {
                energy[(i, j)] += spring.stiffness * along(left) * along(right);
            }
        }
    }
    energy
}

/// Displacement (half 0) or rotation (half 1) of a node.
fn at(unknowns: &[f64], node: u32, half: usize) -> DVec3 {
    DVec3::from_slice(&unknowns[UNKNOWNS * node as usize + 3 * half..])
}

/// Axes of the six rows of a pair: three of displacement, three of rotation.
fn axes(pair: &Pair) -> [DVec3; ROWS] {
    [pair.across, pair.along, pair.normal, pair.along, pair.across, pair.normal]
}

/// Relative motions of all pairs, left minus right.
fn relative(pairs: &[Pair], unknowns: &[f64]) -> Vec<f64> {
    let of = |pair: &Pair| {
        let axes = axes(pair);
        std::array::from_fn::<f64, ROWS, _>(|row| {
            let half = row / 3;
            (at(unknowns, pair.left, half) - at(unknowns, pair.right, half)).dot(axes[row])
        })
    };
    pairs.iter().flat_map(of).collect()
}

/// Adds the force pair of a row.
fn pull(pair: &Pair, row: usize, factor: f64, forces: &mut [f64]) {
    let axis = axes(pair)[row] * factor;
    for (node, axis) in [(pair.left, axis), (pair.right, -axis)] {
        let at = UNKNOWNS * node as usize + 3 * (row / 3);
        forces[at..at + 3].iter_mut().zip(axis.to_array()).for_each(|(sum, value)| *sum += value);
    }
}

impl Condenser {
    /// Factors the open panel and finds the compliance of its pairs.
    ///
    /// `open`: a shell over [`Panel::open`], held so that no piece floats. `basis`: modes of the joined shell, for the margin.
    ///
    /// # Errors
    /// [`OrderError::Shell`], [`OrderError::Cancelled`].
    pub fn new(
        panel: &Panel,
        open: Shell,
        supports: &Supports,
        basis: Option<ModeBasis>,
        progress: &Progress,
        cancel: &Cancel,
    ) -> Result<Self, OrderError> {
        let model = LinearModel::new(open, supports, &progress.part(0.0, 0.2), cancel)?;
        let pairs: Vec<Pair> = panel.pairs().copied().collect();
        let mut this = Self { model, pairs, compliance: Arc::new(Vec::new()), basis, of_rows: Vec::new() };
        let rows = ROWS * this.pairs.len();
        let unknowns = this.model.assembly().unknowns();
        let mut compliance = Vec::with_capacity(rows * rows);
        for first in (0..rows).step_by(AT_ONCE) {
            cancel.check()?;
            progress.report(0.2 + 0.8 * first as f64 / rows as f64, "how the open seam gives");
            let count = AT_ONCE.min(rows - first);
            let mut sides = vec![0.0; count * unknowns];
            for (row, side) in (first..first + count).zip(sides.chunks_exact_mut(unknowns)) {
                pull(&this.pairs[row / ROWS], row % ROWS, 1.0, side);
            }
            this.model.solve_forces(&mut sides)?;
            for motion in sides.chunks_exact(unknowns) {
                compliance.extend(relative(&this.pairs, motion));
                if let Some(basis) = &this.basis {
                    this.of_rows.push(projected(this.model.assembly(), basis, motion, &[]));
                }
            }
        }
        // symmetric by Maxwell and Betti; made so to the last bit
        for i in 0..rows {
            for j in 0..i {
                let mean = 0.5 * (compliance[i * rows + j] + compliance[j * rows + i]);
                (compliance[i * rows + j], compliance[j * rows + i]) = (mean, mean);
            }
        }
        this.compliance = Arc::new(compliance);
        Ok(this)
    }

    /// The pairs, as the rows number them.
    #[must_use]
    pub fn pairs(&self) -> &[Pair] {
        &self.pairs
    }

    /// The open shell.
    #[must_use]
    pub fn model(&self) -> &LinearModel {
        &self.model
    }

    /// The condensed sheet with events. `limits`: for each weld line, which motion is its gap and what it must keep to.
    ///
    /// # Errors
    /// [`OrderError`]: events that name what is not there; [`OrderError::Cancelled`].
    pub fn condense(
        &mut self,
        events: &[Event],
        limits: &[(Row, GapLimit)],
        cancel: &Cancel,
    ) -> Result<Condensed, OrderError> {
        let mut condensed = Vec::with_capacity(events.len());
        let mut of_events = Vec::new();
        let pairs = self.pairs.len();
        for event in events {
            cancel.check()?;
            if let Some(got) = event.pairs.iter().map(|pair| *pair as usize).find(|pair| *pair >= pairs) {
                return Err(OrderError::NoSuch { what: "pair", got, count: pairs });
            }
            let count = limits.len();
            let limit =
                limits.get(event.seam).ok_or(OrderError::NoSuch { what: "weld line", got: event.seam, count })?;
            let motion = self.free_motion(event)?;
            if let Some(basis) = &self.basis {
                let assembly = self.model.assembly();
                let strains = assembly.free_strains(&loads(std::iter::once(event))).map_err(OrderError::Shell)?;
                of_events.push(projected(assembly, basis, &motion, &strains));
            }
            let row_of = |pair: &u32, row: usize| pair * ROWS as u32 + row as u32;
            condensed.push(CondensedEvent {
                rows: event.pairs.iter().flat_map(|p| (0..event.kind.rows()).map(move |row| row_of(p, row))).collect(),
                watches: event
                    .pairs
                    .iter()
                    .map(|p| Watch { row: row_of(p, limit.0 as usize), limit: limit.1 })
                    .collect(),
                free: relative(&self.pairs, &motion),
                phase: event.phase,
            });
        }
        let projection = self.basis.as_ref().filter(|basis| basis.modes > 0).map(|basis| Projection {
            modes: basis.modes,
            of_rows: self.of_rows.clone(),
            of_events,
        });
        Condensed::new(ROWS * pairs, Arc::clone(&self.compliance), condensed, projection)
    }

    fn free_motion(&mut self, event: &Event) -> Result<Vec<f64>, OrderError> {
        let all = loads(std::iter::once(event));
        let mut motion = self.model.assembly().forces(&all).map_err(OrderError::Shell)?;
        self.model.solve_forces(&mut motion)?;
        Ok(motion)
    }

    /// Deflection of the open mesh when the events have shrunk and the joins hold with `push` (see [`super::Walk::push`]).
    ///
    /// # Errors
    /// [`OrderError::WrongLength`], [`OrderError::Shell`].
    pub fn deflection(&mut self, events: &[&Event], push: &[f64]) -> Result<Deflection, OrderError> {
        let need = ROWS * self.pairs.len();
        if push.len() != need {
            return Err(OrderError::WrongLength { what: "the push", got: push.len(), need });
        }
        let all = loads(events.iter().copied());
        let mut unknowns = self.model.assembly().forces(&all).map_err(OrderError::Shell)?;
        for (row, force) in push.iter().enumerate() {
            pull(&self.pairs[row / ROWS], row % ROWS, -force, &mut unknowns);
        }
        self.model.solve_forces(&mut unknowns)?;
        Ok(Deflection { unknowns })
    }
}

/// What some events leave in the sheet.
pub(crate) fn loads<'a>(events: impl Iterator<Item = &'a Event>) -> Loads {
    let mut all = Loads::default();
    for event in events {
        all.inherent.extend_from_slice(&event.inherent);
        all.shifts.extend_from_slice(&event.shifts);
    }
    all
}

/// Geometric stiffness, on the modes, of the membrane forces of a motion less the strains that are free of force.
fn projected(assembly: &Assembly, basis: &ModeBasis, motion: &[f64], free: &[(usize, [f64; 3])]) -> Vec<f64> {
    let mut packed = vec![0.0; basis.modes * (basis.modes + 1) / 2];
    let mut own = vec![[0.0; 3]; if free.is_empty() { 0 } else { assembly.frames.len() }];
    for (triangle, strain) in free {
        own[*triangle].iter_mut().zip(strain).for_each(|(sum, value)| *sum += value);
    }
    for (triangle, frame) in assembly.frames.iter().enumerate() {
        let (mut strain, _) = strains(frame, &to_local(frame, &assembly.of_corners(triangle, motion)));
        if let Some(own) = own.get(triangle) {
            strain.iter_mut().zip(own).for_each(|(strain, own)| *strain -= own);
        }
        let force = assembly.shell.sheet(triangle).force_n_mm(strain);
        basis.add(triangle, frame.area_mm2, force, &mut packed);
    }
    packed
}

/// Forces that a state of the open shell leaves at its nodes: nought but for rounding when it is in equilibrium (for checks).
///
/// # Errors
/// Faults of the loads.
pub fn out_of_balance(model: &LinearModel, deflection: &Deflection, loads: &Loads) -> Result<Vec<f64>, WeldError> {
    let assembly = model.assembly();
    let mut forces = assembly.forces(loads)?;
    forces.iter_mut().for_each(|force| *force = -*force);
    for (triangle, frame) in assembly.frames.iter().enumerate() {
        let local = to_local(frame, &assembly.of_corners(triangle, &deflection.unknowns));
        let stiffness = crate::shell::element::local_stiffness(frame, assembly.shell.sheet(triangle));
        let inner = stiffness.map(|row| row.iter().zip(&local).map(|(k, u)| k * u).sum());
        assembly.add_forces(triangle, &from_local(frame, &inner), &mut forces);
    }
    Ok(forces)
}

/// The events that dots and runs of one kind are.
pub(crate) const fn phase_of(kind: EventKind) -> u8 {
    match kind {
        EventKind::Tack => 0,
        EventKind::Plug | EventKind::Run => 1,
    }
}
