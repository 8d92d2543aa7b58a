//! How hot a panel gets while it is welded: the highest temperature of every point over the whole job, and how far from the weld it does harm.
//!
//! Model: conduction with loss from both faces ([`crate::heat::conduction`]) on the panel of the warp, meshed finer beside the weld lines;
//! welds in their order with their pauses, so that the heat of one adds to that of the next. Where two sheets lap they count as one
//! of twice the thickness. The faces count as bright bare metal, which loses least: temperatures come out high rather than low.
//! Error (tests of this module): beside a long run within [`ERROR_BESIDE`] of the closed form W12 with loss, from [`BESIDE_MM`] outwards. Nothing melts and nothing flows in the pool: there it says "molten", no more. Wind, damp, wax behind and what is
//! bolted to the panel are not in it.

mod away;
mod isotherms;
mod pauses;
mod reach;
mod runs;

pub use isotherms::PeakIsotherm;
pub use pauses::{WeldedSheet, pauses_s};
pub use reach::LimitReach;
pub use runs::{CLOSED_FORM_BAND, RunAdvice, TriedRun, run_advice};

use crate::heat::HeatError;
use crate::heat::conduction::{ARC_RADIUS_MM, Conducted, Panel as Heated, Pass, Schedule, Wait, conduct};
use crate::metal::{MetalKind, WeldMetal};
use crate::order::EventKind;
use crate::order::cooling::LONGEST_PAUSE_S;
use crate::panel::{Panel, PanelError, PanelSettings, SeamLine};
use crate::warp::{PlannedHeat, PlannedSeam, SeamJoint, StepRow, WarpPlan};
use glam::DVec3;
use handbook::welding::{START_TOLD_K, SheetSurface, SurfaceLoss};
use handbook::{Concern, Grade};
use isotherms::Peaks;
use mesh::sections::{SectionCutter, SectionError};
use mesh::{MeshError, Skin};
use numerics::{Cancel, Cancelled, Progress};
use serde::Serialize;

/// Wanted edge beside the weld lines over the radius of the spot of heat: refined so, and the lines put in, no edge within two radii comes out
/// longer than a spot needs.
const EDGE_R: f64 = 0.7;
/// Wanted edge elsewhere at most, mm: peaks of 60 °C lie up to 100 mm away and vary slowly there.
const FAR_EDGE_MM: f64 = 12.0;
/// How long the panel is watched after the last weld, s: peaks far away come late.
const WATCH_S: f64 = 420.0;
/// From here outwards the error holds, mm from the middle of the weld: nearer, the heat of a spot is spread wider than that of a point.
pub const BESIDE_MM: f64 = 8.0;
/// Error of the rise of the peak beside a run, as a share.
pub const ERROR_BESIDE: f64 = 0.06;
/// Longest edge beside the weld over the radius of the spot: peaks from 1.6 radii outwards then come within 1 % of a mesh four times as fine
/// (checks: `weld_conduction`).
const NEED_R: f64 = 1.15;

/// One weld in its turn.
#[derive(Debug, Clone, PartialEq)]
pub struct WeldPass {
    /// What.
    pub kind: EventKind,
    /// Its line in the direction of welding; one point for a dot.
    pub line_mm: Vec<DVec3>,
    /// Its number in the order, from 1.
    pub number: usize,
    /// Pause before it, beyond moving there, s; none waits until its place is cool enough for a hand.
    pub pause_s: Option<f64>,
    /// Diameter, for a plug or spot of a lap.
    pub dot_mm: Option<f64>,
}

/// The warmest place at which a weld was begun.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HottestStart {
    /// Which weld, from 1.
    pub number: usize,
    /// Temperature of its place just before.
    pub at_c: f64,
}

/// How fine the mesh is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MapMesh {
    /// Longest edge of the triangles within two radii of the spot of heat.
    pub beside_mm: f64,
    /// Wanted edge elsewhere.
    pub far_mm: f64,
    /// Points.
    pub points: usize,
    /// Fine enough beside the weld for the error told.
    pub fine_enough: bool,
}

/// How hot a panel gets.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeatMap {
    /// The panel, middle face.
    #[serde(skip)]
    pub skin: Skin,
    /// Highest temperature of each of its points over the whole job, °C; melting stands for all that is molten.
    #[serde(skip)]
    pub peak_c: Vec<f64>,
    /// How far each thing suffers, hottest first.
    pub limits: Vec<LimitReach>,
    /// Lines of one temperature, for the temperatures of the limits.
    #[serde(skip)]
    pub isotherms: Vec<PeakIsotherm>,
    /// The warmest start; none without a weld.
    pub hottest_start: Option<HottestStart>,
    /// Temperature at which a weld was wanted to begin at most.
    pub start_limit_c: f64,
    /// From the first weld to the end of the last, s.
    pub total_s: f64,
    /// Pauses in all, s.
    pub pauses_s: f64,
    /// Heat given, J.
    pub given_j: f64,
    /// What the faces count as.
    pub surface: SheetSurface,
    /// The mesh.
    pub mesh: MapMesh,
    /// What the reader must know.
    pub concerns: Vec<Concern>,
}

/// Why there is no map.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum HeatMapError {
    /// The weld lines do not fit the panel.
    #[error(transparent)]
    Panel(PanelError),
    /// Temperatures could not be worked out.
    #[error(transparent)]
    Heat(HeatError),
    /// The lines of one temperature could not be drawn on the panel.
    #[error(transparent)]
    Lines(#[from] SectionError),
    /// There is no weld.
    #[error("there is no weld in this order; give one at least")]
    NoWeld,
    /// A step of an order lies on no weld line of the plan.
    #[error(
        "weld {number} runs from {:.1} to {:.1} mm on weld line {seam}, which the plan does not have; give the order of this plan",
        .stations_mm[0], .stations_mm[1]
    )]
    NoLine {
        /// Which step, from 1.
        number: usize,
        /// Weld line that it names, from 1.
        seam: usize,
        /// Its stations on it.
        stations_mm: [f64; 2],
    },
    /// Somebody asked to stop.
    #[error(transparent)]
    Cancelled(#[from] Cancelled),
}

impl From<PanelError> for HeatMapError {
    fn from(error: PanelError) -> Self {
        match error {
            PanelError::Mesh(MeshError::Cancelled(stopped)) => Self::Cancelled(stopped),
            other => Self::Panel(other),
        }
    }
}

impl From<HeatError> for HeatMapError {
    fn from(error: HeatError) -> Self {
        match error {
            HeatError::Cancelled(stopped) | HeatError::Mesh(MeshError::Cancelled(stopped)) => Self::Cancelled(stopped),
            other => Self::Heat(other),
        }
    }
}

/// The steps of an order as welds along the lines of a plan.
///
/// # Errors
/// [`HeatMapError::NoLine`] for the first step that lies on none of them: an order of another plan.
pub fn passes_of(plan: &WarpPlan, steps: &[StepRow]) -> Result<Vec<WeldPass>, HeatMapError> {
    let pass = |step: &StepRow| {
        let PlannedSeam { line, joint } = plan.seams.get(step.seam.checked_sub(1)?)?;
        let [from, to] = step.stations_mm;
        let line_mm =
            if step.kind == EventKind::Run { part_of(line, from, to) } else { vec![DVec3::from_array(step.at_mm)] };
        let (number, pause_s, dot_mm) = (step.number, Some(step.pause_s), joint.dot_mm());
        (!line_mm.is_empty()).then_some(WeldPass { kind: step.kind, line_mm, number, pause_s, dot_mm })
    };
    let no_line = |step: &StepRow| {
        let &StepRow { number, seam, stations_mm, .. } = step;
        HeatMapError::NoLine { number, seam, stations_mm }
    };
    steps.iter().map(|step| pass(step).ok_or_else(|| no_line(step))).collect()
}

/// The part of a line between two stations, in that direction.
fn part_of(line: &SeamLine, from_mm: f64, to_mm: f64) -> Vec<DVec3> {
    let mut before_mm = 0.0;
    let mut part: Vec<DVec3> = Vec::new();
    for (a, b) in line.sides() {
        let side_mm = a.distance(b);
        let clip = |station_mm: f64| ((station_mm - before_mm) / side_mm.max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
        if from_mm < before_mm + side_mm && to_mm > before_mm {
            for at in [clip(from_mm), clip(to_mm)].map(|share| a.lerp(b, share)) {
                if part.last().is_none_or(|last| last.distance(at) > 1e-3) {
                    part.push(at);
                }
            }
        }
        before_mm += side_mm;
    }
    part
}

/// Works out how hot the panel of a plan gets when it is welded in an order.
///
/// # Errors
/// [`HeatMapError`].
pub fn heat_map(
    plan: &WarpPlan,
    welds: &[WeldPass],
    progress: &Progress,
    cancel: &Cancel,
) -> Result<HeatMap, HeatMapError> {
    if welds.is_empty() {
        return Err(HeatMapError::NoWeld);
    }
    progress.report(0.0, "the panel, meshed for heat");
    let far_mm = plan.settings.far_edge_mm.min(FAR_EDGE_MM);
    let schedule = schedule(plan, welds);
    let settings = PanelSettings { edge_mm: EDGE_R * schedule.radius_mm, far_edge_mm: Some(far_mm) };
    let lines: Vec<SeamLine> = plan.seams.iter().map(|seam| seam.line.clone()).collect();
    let skin = Panel::cut(&plan.skin, &lines, &settings, &progress.part(0.0, 0.15), cancel)?.closed;
    let away_mm = away::from_lines(&skin, &lines);
    let surface = surface_of(&plan.metal);
    let thickness_mm = thicknesses(plan, &skin);
    let heated = Heated {
        skin: &skin,
        thickness_mm: &thickness_mm,
        metal: &plan.metal.thermal,
        loss: SurfaceLoss::of(surface),
        air_c: plan.settings.air_c,
    };
    let done = conduct(&heated, &schedule, &progress.part(0.15, 0.95), cancel)?;
    let beside_mm = longest_edge_mm(&skin, &away_mm, 2.0 * schedule.radius_mm);
    let fine_enough = beside_mm <= NEED_R * schedule.radius_mm;
    let fine = MapMesh { beside_mm, far_mm, points: skin.points_mm.len(), fine_enough };
    progress.report(0.95, "how far the heat harms");
    told(plan, welds, skin, &away_mm, &done, surface, fine)
}

/// Longest edge of the triangles that reach within a distance of the weld lines, mm.
fn longest_edge_mm(skin: &Skin, away_mm: &[f64], within_mm: f64) -> f64 {
    let mut longest: f64 = 0.0;
    for (triangle, corners) in skin.triangles.iter().enumerate() {
        if corners.iter().any(|corner| away_mm[*corner as usize] <= within_mm) {
            let [a, b, c] = skin.corners(triangle);
            longest = longest.max(a.distance(b)).max(b.distance(c)).max(c.distance(a));
        }
    }
    longest
}

fn told(
    plan: &WarpPlan,
    welds: &[WeldPass],
    skin: Skin,
    away_mm: &[f64],
    done: &Conducted,
    surface: SheetSurface,
    mesh: MapMesh,
) -> Result<HeatMap, HeatMapError> {
    let metal = &plan.metal.thermal;
    let air_c = plan.settings.air_c;
    let wanted = reach::wanted(metal, air_c, plan.metal.zinc_coated);
    let peaks = Peaks { skin: &skin, peak_c: &done.peak_c, away_mm, air_c };
    let cutter = SectionCutter::new(&skin)?;
    let isotherms: Vec<PeakIsotherm> =
        reach::temperatures(&wanted).into_iter().map(|at_c| peaks.isotherm(&cutter, at_c)).collect::<Result<_, _>>()?;
    let ends = reach::far_ends(&skin, away_mm);
    let limits = reach::limits(wanted, &isotherms, &done.peak_c, away_mm, &ends);
    let starts = welds.iter().zip(&done.passes);
    let hottest = starts.max_by(|a, b| a.1.hottest_before_c.total_cmp(&b.1.hottest_before_c));
    let hottest_start = hottest.map(|(weld, log)| HottestStart { number: weld.number, at_c: log.hottest_before_c });
    let start_limit_c = plan.settings.start_limit_c;
    let concerns =
        hottest_start.filter(|own| own.at_c > start_limit_c + START_TOLD_K).map(|own| warm_start(own, start_limit_c));
    Ok(HeatMap {
        peak_c: done.peak_c.iter().map(|peak| peak.min(metal.melting_c)).collect(),
        skin,
        limits,
        isotherms,
        hottest_start,
        start_limit_c,
        total_s: done.passes.last().map_or(0.0, |log| log.ended_s),
        pauses_s: done.passes.iter().map(|log| log.waited_s).sum(),
        given_j: done.energy.given_j,
        surface,
        mesh,
        concerns: concerns.into_iter().collect(),
    })
}

fn warm_start(own: HottestStart, limit_c: f64) -> Concern {
    Concern {
        key: "start-too-warm".into(),
        grade: Grade::Caution,
        place: format!("weld {}", own.number),
        what: format!("With these pauses the sheet is still {:.0} °C where weld {} begins.", own.at_c, own.number),
        why: "Near a free edge the heat comes back; a warm start burns through and warps more.".into(),
        what_to_do: format!("Wait until a hand can lie on it ({limit_c:.0} °C), whatever the clock says."),
        lifted_by: None,
        source: "conduction in the panel; limit common practice, no source".into(),
    }
}

/// Twice the sheet where two lap.
fn thicknesses(plan: &WarpPlan, skin: &Skin) -> Vec<f64> {
    let mut thickness_mm = vec![plan.thickness_mm; skin.triangles.len()];
    for seam in &plan.seams {
        let SeamJoint::Lap { overlap_mm, .. } = seam.joint else { continue };
        let away_mm = away::from_lines(skin, std::slice::from_ref(&seam.line));
        let away = |corners: &[u32; 3]| {
            corners.iter().map(|p| away_mm.get(*p as usize).copied().unwrap_or(f64::INFINITY)).sum::<f64>() / 3.0
        };
        for (thickness_mm, corners) in thickness_mm.iter_mut().zip(&skin.triangles) {
            if away(corners) < 0.5 * overlap_mm {
                *thickness_mm = 2.0 * plan.thickness_mm;
            }
        }
    }
    thickness_mm
}

fn schedule(plan: &WarpPlan, welds: &[WeldPass]) -> Schedule {
    let heat: &PlannedHeat = &plan.heat;
    let pass = |(i, weld): (usize, &WeldPass)| {
        let move_s = if i == 0 { 0.0 } else { plan.settings.move_s };
        let first = weld.line_mm.first().copied().unwrap_or_default();
        let pass = match weld.kind {
            EventKind::Run if weld.line_mm.len() > 1 => Pass::Run {
                line_mm: weld.line_mm.clone(),
                travel_mm_s: heat.travel_mm_s,
                power_w: heat.run_j_mm * heat.travel_mm_s,
            },
            kind => {
                // a run of a single place is a tack
                let kind = if kind == EventKind::Run { EventKind::Tack } else { kind };
                let [heat_j, seconds] = heat.of_weld(kind, 0.0, weld.dot_mm, (&plan.metal, plan.thickness_mm));
                Pass::Dot { at_mm: first, seconds, power_w: heat_j / seconds }
            }
        };
        let until_cool = Wait::UntilCool { below_c: plan.settings.start_limit_c, at_most_s: LONGEST_PAUSE_S };
        (weld.pause_s.map_or(until_cool, |pause_s| Wait::Seconds(move_s + pause_s.max(0.0))), pass)
    };
    Schedule {
        passes: welds.iter().enumerate().map(pass).collect(),
        radius_mm: welds
            .iter()
            .filter_map(|weld| weld.dot_mm)
            .fold(ARC_RADIUS_MM, |radius, dot_mm| radius.max(0.5 * dot_mm)),
        start_c: vec![plan.settings.air_c],
        watch_s: WATCH_S,
        at_times_s: Vec::new(),
    }
}

/// What the faces of a metal count as while it is welded.
#[must_use]
pub const fn surface_of(metal: &WeldMetal) -> SheetSurface {
    match metal.kind {
        MetalKind::Steel => SheetSurface::BrightSteel,
        MetalKind::Aluminium => SheetSurface::BrightAluminium,
    }
}

#[cfg(test)]
mod tests;
