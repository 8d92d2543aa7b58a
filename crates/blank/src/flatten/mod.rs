//! Flattening of double-curved skins: the flat blank that takes least plastic work to form, or least symmetric Dirichlet energy.
//!
//! Model: the skin is the middle of the sheet; every triangle of it keeps its volume while it is formed from its flat triangle
//! (see [`least_work`] for the work and [`dirichlet`] for the plain energy). Minimised over the flat positions by projected
//! Newton (`numerics::newton`) from the symmetric Dirichlet minimiser, that from a start without triangles turned over (`start`).
//! Holds: no flat triangle is turned over; the same input gives the same bits; a rigid motion of the skin changes the result by
//! rounding only; the other hand gives the mirrored flat. Does not hold: the energy is not convex, so a lower minimum may exist;
//! distant parts of the flat may overlap.
//! Units: mm, N/mm², J; strains are natural logarithms, flat → finished, positive where metal is stretched.

pub mod dirichlet;
pub mod isotropic;
pub mod least_work;
pub mod shop_terms;

mod error;
mod objective;
mod panel;
mod report;
mod rigid;
mod settings;
mod start;

pub use error::FlattenError;
pub use report::{FlatSkin, Iterations, TriangleStrain};
pub use settings::{Energy, FlattenSettings, Flow, ROUTE_WEIGHT, Route, Start};

use dirichlet::SymmetricDirichlet;
use isotropic::Density;
use least_work::{LeastWork, SOFTENING};
use mesh::Skin;
use numerics::cholesky::Cholesky;
use numerics::newton::{Ending, Minimised, Stop, minimise};
use numerics::{Cancel, Progress, dissection, leave};
use objective::{FlatEnergy, Held};
use panel::Panel;
use start::NoStart;

/// Skins of as many triangles are flattened on a thread of their own that is left when cancelled: one factorisation takes a tenth
/// of a second per 100,000 triangles and cannot be asked half way.
const LEFT_WHEN_CANCELLED: usize = 50_000;
/// Energy below which a panel counts as developed: strains of about 1e-14.
const DEVELOPED: f64 = 1e-28;
/// Fall at which the symmetric Dirichlet stage ends when it is only a start.
const START_FALL: f64 = 1e-3;
/// Softenings on the way to the least work, largest first: the work of small strains is nearly sharp at 0.
const SOFTENINGS: [f64; 2] = [0.02, SOFTENING];

/// Flattens a skin.
///
/// # Errors
/// [`FlattenError`]: a faulty skin, settings out of range, a given start with triangles turned over, or too big a problem.
/// Being cancelled while the work falls is no error: the report's ending says so and holds the best flat so far. Where that would
/// take longer than a fifth of a second, or there is none yet, it is [`FlattenError::Cancelled`].
pub fn flatten(
    skin: &Skin,
    settings: &FlattenSettings,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<FlatSkin, FlattenError> {
    settings.check()?;
    if skin.triangles.len() < LEFT_WHEN_CANCELLED {
        return flatten_here(skin, settings, progress, cancel);
    }
    let (skin, settings, inner) = (skin.clone(), settings.clone(), cancel.clone());
    let progress = leave::until_cancelled(progress, cancel);
    leave::or_leave(cancel, move || flatten_here(&skin, &settings, &progress, &inner))
        .unwrap_or(Err(FlattenError::Cancelled))
}

fn flatten_here(
    skin: &Skin,
    settings: &FlattenSettings,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<FlatSkin, FlattenError> {
    let topology = skin.topology()?;
    let panel = Panel::new(&skin.points_mm, &skin.triangles);
    let held = held_edges(skin, &panel, settings, &topology.boundaries)?;
    let places: Vec<[f64; 3]> = skin.points_mm.iter().map(|p| p.to_array()).collect();
    let order = dissection::order(&panel.pattern, &places);
    let mut solver = Cholesky::analyse_in_order(&panel.pattern, &order)?;
    let mut flat = match begin(skin, &panel, settings, &topology.boundaries, &order, &mut solver, cancel) {
        Ok(flat) => flat,
        Err(Begin::Cancelled) => return Err(FlattenError::Cancelled),
        Err(Begin::Fault(fault)) => return Err(fault),
    };
    progress.report(0.1, "first flat");
    let mut run = Run { panel: &panel, held: held.as_ref(), solver: &mut solver, settings, cancel };
    let mut iterations = Iterations::default();
    let done = match settings.energy {
        Energy::SymmetricDirichlet => {
            let done = run.stage(SymmetricDirichlet, settings.relative_fall, &mut flat, &progress.part(0.1, 1.0))?;
            iterations.symmetric_dirichlet = done.iterations;
            done
        }
        Energy::LeastWork { flow, route } => {
            // a given start is taken as it is
            if !matches!(settings.start, Start::Given(_)) {
                let first = run.stage(SymmetricDirichlet, START_FALL, &mut flat, &progress.part(0.1, 0.3))?;
                iterations.symmetric_dirichlet = first.iterations;
            }
            run.least_work(flow, route, &mut flat, &mut iterations, progress)?
        }
    };
    let far = start::far_apart(&skin.points_mm, &topology.boundaries[0]);
    Ok(report::report(&panel, settings, &flat, far, topology.boundaries, done, iterations, held.as_ref()))
}

/// One minimisation after another over the same unknowns.
struct Run<'a> {
    panel: &'a Panel,
    held: Option<&'a Held>,
    solver: &'a mut Cholesky,
    settings: &'a FlattenSettings,
    cancel: &'a Cancel,
}

impl Run<'_> {
    fn stage(
        &mut self,
        density: impl Density,
        relative_fall: f64,
        flat: &mut [f64],
        progress: &Progress,
    ) -> Result<Minimised, FlattenError> {
        let stop = Stop { relative_fall, energy: DEVELOPED, iterations: self.settings.iterations };
        let energy = FlatEnergy { panel: self.panel, density, held: self.held };
        Ok(minimise(&energy, self.solver, flat, stop, progress, self.cancel)?)
    }

    /// Least work through falling softenings.
    fn least_work(
        &mut self,
        flow: Flow,
        route: Route,
        flat: &mut [f64],
        iterations: &mut Iterations,
        progress: &Progress,
    ) -> Result<Minimised, FlattenError> {
        let mut from = 0.3;
        let mut last = None;
        for (i, softening) in SOFTENINGS.into_iter().enumerate() {
            let to = if i + 1 == SOFTENINGS.len() { 1.0 } else { 0.6 };
            let fall = if i + 1 == SOFTENINGS.len() { self.settings.relative_fall } else { START_FALL };
            let done = self.stage(LeastWork::new(flow, route, softening), fall, flat, &progress.part(from, to))?;
            iterations.least_work += done.iterations;
            from = to;
            last = Some(done);
            if done.ending == Ending::Cancelled {
                break;
            }
        }
        last.ok_or(FlattenError::Cancelled)
    }
}

enum Begin {
    Cancelled,
    Fault(FlattenError),
}

impl From<NoStart> for Begin {
    fn from(fault: NoStart) -> Self {
        match fault {
            NoStart::Cancelled => Self::Cancelled,
            NoStart::Solver(fault) => Self::Fault(fault.into()),
        }
    }
}

fn begin(
    skin: &Skin,
    panel: &Panel,
    settings: &FlattenSettings,
    boundaries: &[Vec<u32>],
    order: &[u32],
    solver: &mut Cholesky,
    cancel: &Cancel,
) -> Result<Vec<f64>, Begin> {
    let flat = match &settings.start {
        Start::Automatic => start::automatic(panel, &skin.points_mm, boundaries, order, solver, cancel)?,
        Start::Convex => start::convex(panel, &skin.points_mm, boundaries).map_err(NoStart::from)?,
        Start::Given(points) if points.len() != skin.points_mm.len() => {
            let (got, need) = (points.len(), skin.points_mm.len());
            return Err(Begin::Fault(FlattenError::StartLength { got, need }));
        }
        Start::Given(points) => panel::unknowns(points),
    };
    match panel.turned_over(&flat) {
        0 => Ok(flat),
        triangles => Err(Begin::Fault(FlattenError::StartTurnedOver { triangles })),
    }
}

fn held_edges(
    skin: &Skin,
    panel: &Panel,
    settings: &FlattenSettings,
    boundaries: &[Vec<u32>],
) -> Result<Option<Held>, FlattenError> {
    if settings.held_edges.is_empty() {
        return Ok(None);
    }
    let mut free: Vec<[u32; 2]> = boundaries
        .iter()
        .flat_map(|b| (0..b.len()).map(move |i| [b[i], b[(i + 1) % b.len()]]))
        .map(|[a, b]| [a.min(b), a.max(b)])
        .collect();
    free.sort_unstable();
    for &[from, to] in &settings.held_edges {
        if free.binary_search(&[from.min(to), from.max(to)]).is_err() {
            return Err(FlattenError::NotABoundaryEdge { from, to });
        }
    }
    let length = |[a, b]: &[u32; 2]| skin.points_mm[*a as usize].distance(skin.points_mm[*b as usize]);
    let lengths = settings.held_edges.iter().map(length).collect();
    Ok(Some(Held::new(panel, &settings.held_edges, lengths)))
}
