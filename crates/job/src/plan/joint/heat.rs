//! Heat of the welds in the order that stands: pauses by the closed form for every plan, and how hot the panel gets as work asked for.

use super::super::make::make;
use super::super::warp::{self, asked};
use super::super::words::Words;
use super::super::{OrderBy, PieceEdge, SectionPlan, WeldMap, WeldPause};
use super::laid_out::{self, LaidOut};
use super::machine;
use crate::file::{Job, Section};
use crate::resolve::Assume;
use glam::DVec3;
use numerics::{Cancel, Cancelled, Progress};
use shop::ShopSettings;
use weld::heat_map::{HeatMap, HeatMapError, RunAdvice, WeldPass, WeldedSheet, heat_map, pauses_s, run_advice};
use weld::joints::{WeldEvent, WeldEventKind};
use weld::order::EventKind;
use weld::warp::{WarpPlan, WarpSettings};

/// More welds than these get no pauses of their own: the closed form grows with the square of their number.
const MOST_PAUSED: usize = 300;
/// A weld of another piece lies farther than this from every weld line of the panel, mm; one in a lap lies the lap away at most.
const ON_PANEL_MM: f64 = 40.0;
/// Points nearer to each other are one, mm.
const SAME_MM: f64 = 1e-3;
/// Places along a run, apart from each other at most, mm.
const STEP_MM: f64 = 8.0;

/// How hot the panel of a section gets.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatOfSection {
    /// Piece.
    pub piece: String,
    /// Whose order was taken.
    pub order_by: OrderBy,
    /// Welds that lie on another piece than this panel, and are not in it.
    pub left_out: usize,
    /// The welds bear the numbers of the plan's list, and wait for its pauses.
    pub as_listed: bool,
    /// Why the panel itself is not modelled: then each weld line is laid out on a sheet of its own.
    pub laid_out: Option<String>,
    /// What was taken as given, a sentence each.
    pub taken: Vec<String>,
    /// The map.
    pub map: HeatMap,
    /// Run lengths along the longest seam, where one is welded edge to edge.
    pub runs: Option<RunAdvice>,
}

/// What the heat of a section is worked out from.
struct Heated {
    piece: String,
    panel: WarpPlan,
    welds: Vec<WeldPass>,
    left_out: usize,
    laid_out: Option<String>,
    taken: Vec<String>,
}

/// Share of the work that the map takes; the rest goes to run lengths.
const MAP_SHARE: f64 = 0.6;

/// Works out how hot the panel round a section gets in the order that stands in its plan: the accepted one, else the trade's habit; where no panel is
/// modelled, along its weld lines laid out. Inner error: why it cannot be, in words.
///
/// # Errors
/// [`Cancelled`].
pub fn heat_of_section(
    job: &Job,
    section: &Section,
    plan: &SectionPlan,
    shop: &ShopSettings,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<Result<HeatOfSection, String>, Cancelled> {
    progress.report(0.0, "the panel round the piece");
    let heated = match heated(job, section, plan, shop) {
        Ok(heated) => heated,
        Err(why) => return Ok(Err(why)),
    };
    let Heated { piece, panel, welds, left_out, laid_out, mut taken } = heated;
    let map = match heat_map(&panel, &welds, &progress.part(0.0, MAP_SHARE), cancel) {
        Ok(map) => map,
        Err(HeatMapError::Cancelled(stopped)) => return Err(stopped),
        Err(error) => return Ok(Err(error.to_string())),
    };
    // the map and its distances stand without them
    let runs = match run_advice(&panel, &progress.part(MAP_SHARE, 1.0), cancel) {
        Ok(runs) => runs,
        Err(HeatMapError::Cancelled(stopped)) => return Err(stopped),
        Err(error) => {
            taken.push(format!("run lengths are not worked out: {error}"));
            None
        }
    };
    let (order_by, as_listed) = (plan.joint.order_by, laid_out::numbered(&plan.joint.maps));
    Ok(Ok(HeatOfSection { piece, order_by, left_out, as_listed, laid_out, taken, map, runs }))
}

/// The panel with its welds; where none is modelled, the weld lines laid out.
fn heated(job: &Job, section: &Section, plan: &SectionPlan, shop: &ShopSettings) -> Result<Heated, String> {
    let paused = |weld: WeldPass| {
        let pause = plan.joint.pauses.iter().find(|own| own.number == weld.number);
        WeldPass { pause_s: pause.map(|own| own.seconds), ..weld }
    };
    let mut heated = match asked(job, section, shop, &WarpSettings::default()) {
        Ok(asked) => on_its_panel(asked, plan)?,
        Err(why) => {
            let made = make(job, section, shop, Assume::default());
            if !made.faults.is_empty() {
                return Err(why);
            }
            let words = Words::of(&job.fitter);
            let laid_out =
                laid_out::of(&super::Asked { job, section, made: &made, words: &words, shop }, &plan.joint.maps)?;
            let LaidOut { piece, plan: panel, welds, taken } = laid_out;
            Heated { piece, panel, welds, left_out: 0, laid_out: Some(why), taken }
        }
    };
    // plugs that are made in the flat have no number in the plan, so none of its pauses
    if laid_out::numbered(&plan.joint.maps) {
        heated.welds = heated.welds.into_iter().map(paused).collect();
    }
    if heated.welds.is_empty() {
        return Err("no weld of this section lies on the panel that is worked out".into());
    }
    if plan.joint.pauses.is_empty() || !laid_out::numbered(&plan.joint.maps) {
        let told = "no pauses are worked out for this order: before each weld a hand can lie on its place";
        heated.taken.push(told.into());
    }
    Ok(heated)
}

fn on_its_panel(asked: warp::Asked, plan: &SectionPlan) -> Result<Heated, String> {
    let warp::Asked { piece, plan: panel, taken, .. } = asked;
    let dot_mm = panel.seams.iter().find_map(|seam| seam.joint.dot_mm());
    let all = welds(&plan.joint.maps, dot_mm, |map| {
        let own = plan.pieces.iter().find(|own| own.name == map.piece || own.name_in_job() == map.piece)?;
        own.weld_edge(&map.edge)
    })?;
    let count = all.len();
    let welds: Vec<WeldPass> =
        all.into_iter().filter_map(|weld| Some(WeldPass { line_mm: on_panel(&panel, &weld)?, ..weld })).collect();
    Ok(Heated { piece, panel, left_out: count - welds.len(), welds, laid_out: None, taken })
}

/// The line of a weld on the weld lines of the panel: the panel knows no lap, its line runs where the outer sheet ends. `None` for a weld of
/// another piece, and for a run of which only a point lies on the panel.
fn on_panel(panel: &WarpPlan, weld: &WeldPass) -> Option<Vec<DVec3>> {
    let nearest = |point: &DVec3| {
        let feet = panel.seams.iter().filter_map(|seam| seam.line.nearest(*point));
        let foot = feet.min_by(|a, b| a.distance_squared(*point).total_cmp(&b.distance_squared(*point)))?;
        (foot.distance(*point) < ON_PANEL_MM).then_some(foot)
    };
    let mut line_mm = weld.line_mm.iter().map(nearest).collect::<Option<Vec<DVec3>>>()?;
    line_mm.dedup_by(|a, b| a.distance(*b) < SAME_MM);
    (weld.kind != EventKind::Run || line_mm.len() > 1).then_some(line_mm)
}

/// The welds of some maps in their order, without pauses. Error: a map names an edge or a place that is not there.
fn welds<'e>(
    maps: &[WeldMap],
    dot_mm: Option<f64>,
    edge_of: impl Fn(&WeldMap) -> Option<&'e PieceEdge>,
) -> Result<Vec<WeldPass>, String> {
    let mut all: Vec<WeldPass> = Vec::new();
    for map in maps {
        let edge = edge_of(map).ok_or_else(|| format!("{} has no edge named {}", map.piece, map.edge))?;
        for event in &map.events {
            let number = event.number;
            let line_mm = line(edge, event).ok_or_else(|| format!("weld {number} lies beyond {}", map.edge))?;
            let kind = match event.kind {
                WeldEventKind::Tack => EventKind::Tack,
                WeldEventKind::Plug | WeldEventKind::Spot => EventKind::Plug,
                WeldEventKind::Run => EventKind::Run,
            };
            all.push(WeldPass { kind, line_mm, number, pause_s: None, dot_mm });
        }
    }
    all.sort_by_key(|weld| weld.number);
    Ok(all)
}

fn line(edge: &PieceEdge, event: &WeldEvent) -> Option<Vec<DVec3>> {
    let at = |along_mm: f64| edge.at(along_mm).map(|point| point.at_mm);
    if event.kind != WeldEventKind::Run {
        return Some(vec![at(event.from_mm)?]);
    }
    let steps = ((event.to_mm - event.from_mm).abs() / STEP_MM).ceil().max(1.0);
    let mut points: Vec<DVec3> = Vec::new();
    for i in 0..=steps as usize {
        let point = at(event.from_mm + (event.to_mm - event.from_mm) * i as f64 / steps)?;
        if points.last().is_none_or(|last| last.distance(point) > SAME_MM) {
            points.push(point);
        }
    }
    Some(points)
}

/// Pause before each weld; empty where the metal or the heat is not known.
pub(super) fn pauses(asked: &super::Asked<'_>, maps: &[WeldMap]) -> Vec<WeldPause> {
    let Some(metal) = machine::metal(asked.section, asked.made) else { return Vec::new() };
    let joint = &asked.made.resolved.joint;
    let thin_mm = joint.old_thickness_mm.min(joint.new_thickness_mm);
    let Ok(heat) = machine::heat(&asked.job.fitter, joint, &metal) else { return Vec::new() };
    let dot_mm = joint.figures.as_ref().and_then(|own| own.hole_mm).unwrap_or(heat.tack_mm);
    let welds = welds(maps, Some(dot_mm), |map| {
        let own = asked.made.pieces.iter().find(|piece| piece.name_in_job() == map.piece || piece.name == map.piece);
        own.and_then(|piece| piece.weld_edge(&map.edge))
    });
    let Ok(welds) = welds else { return Vec::new() };
    if welds.is_empty() || welds.len() > MOST_PAUSED {
        return Vec::new();
    }
    let sheet = WeldedSheet { metal: &metal, thickness_mm: thin_mm, heat: &heat };
    let found = pauses_s(&sheet, &welds, &WarpSettings::default()).unwrap_or_default();
    welds.iter().zip(found).map(|(weld, seconds)| WeldPause { number: weld.number, seconds }).collect()
}
