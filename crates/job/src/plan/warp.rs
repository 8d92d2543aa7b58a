//! What the joint of a section does to the panel round it: long work, asked for by a person.
//!
//! The panel is the finished piece with a band of the old sheet beyond its cut line ([`super::in_place`]): folded, wired and hemmed edges stay
//! on the surface, the far edge of the band too, for there the panel goes on to its next fold or frame. Ends of the band are free.

use super::PieceEdge;
use super::in_place::{InPlace, of_made};
use super::joint::{form, machine};
use super::make::make;
use crate::file::{AcceptedOrder, Fitter, Job, OrderedWeld, Section};
use crate::resolve::{Assume, JointChoice};
use glam::DVec3;
use handbook::joints::{JointForm, JointKind as Book};
use numerics::{Cancel, Cancelled, Progress};
use shop::ShopSettings;
use units::format_mm;
use weld::advice::WarpFigure;
use weld::joints::WeldEventKind;
use weld::metal::{FoundBy, MetalTrials, WeldMetal};
use weld::order::EventKind;
use weld::panel::SeamLine;
use weld::shrinkage::Range;
use weld::warp::shape_map::ShapeMap;
use weld::warp::{
    Comparison, EdgeKind, Heights, OrderFigures, PanelSupport, PlannedSeam, Prepared, SeamJoint, StepRow, WarpError,
    WarpPlan, WarpResult, WarpSettings,
};

/// How far the panel goes on beyond the cut when nobody has said, mm.
const PANEL_BEYOND_MM: f64 = 150.0;
/// Rows of the band before it is meshed evenly, mm.
const ROW_MM: f64 = 15.0;

/// What was worked out for a section.
#[derive(Debug, Clone, PartialEq)]
pub struct WarpOfSection {
    /// Piece.
    pub piece: String,
    /// What was taken as given, a sentence each.
    pub taken: Vec<String>,
    /// For the joint of the section.
    pub result: WarpResult,
    /// A lap and a butt on the same lines with the same heat.
    pub compared: Comparison,
    /// The order found, as the job takes it when a person accepts it.
    pub order: AcceptedOrder,
    /// The shape that the habit of the trade leaves; none where it is the order found, or has no resting shape.
    pub habit_shape: Option<ShapeMap>,
}

/// Works out warp, margin and order for the joint of a section. Inner error: why it cannot be, in words.
///
/// # Errors
/// [`Cancelled`].
pub fn warp_of_section(
    job: &Job,
    section: &Section,
    shop: &ShopSettings,
    settings: &WarpSettings,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<Result<WarpOfSection, String>, Cancelled> {
    progress.report(0.0, "the panel round the piece");
    let asked = match asked(job, section, shop, settings) {
        Ok(asked) => asked,
        Err(why) => return Ok(Err(why)),
    };
    let Asked { piece, plan, lap, butt, taken, edges, form } = asked;
    let worked_out = || -> Result<(WarpResult, Comparison), WarpError> {
        let mut prepared = Prepared::new(plan.clone(), &progress.part(0.0, 0.15), cancel)?;
        let found = prepared.search(&progress.part(0.15, 0.3), cancel)?;
        let mut result = prepared.finish(&found, &progress.part(0.3, 0.7), cancel)?;
        let compared = prepared.lap_against_butt(lap, butt, &progress.part(0.7, 1.0), cancel)?;
        result.concerns.extend(compared.concerns.iter().cloned());
        Ok((result, compared))
    };
    match worked_out() {
        Ok((result, compared)) => {
            let order = order(&result, &compared, &plan, &edges, (form, &job.fitter));
            // drawn beside the order found, where they differ
            let habit = result.habit_shape.as_ref().filter(|_| result.found.table != result.habit.table);
            let habit_shape = habit.and_then(|shape| ShapeMap::of(shape, &plan.seams, job.fitter.unit));
            Ok(Ok(WarpOfSection { piece, taken, result, compared, order, habit_shape }))
        }
        Err(WarpError::Cancelled(stopped)) => Err(stopped),
        Err(error) => Ok(Err(error.to_string())),
    }
}

/// A section as the warp computes it.
pub(super) struct Asked {
    pub(super) piece: String,
    pub(super) plan: WarpPlan,
    lap: SeamJoint,
    butt: SeamJoint,
    pub(super) taken: Vec<String>,
    /// Piece and edge along which it is welded.
    edges: Vec<(String, PieceEdge)>,
    form: JointForm,
}

pub(super) fn asked(
    job: &Job,
    section: &Section,
    shop: &ShopSettings,
    settings: &WarpSettings,
) -> Result<Asked, String> {
    let made = make(job, section, shop, Assume::default());
    if let Some(fault) = made.faults.first() {
        return Err(format!("{}: {}", fault.field, fault.message));
    }
    let joint = &made.resolved.joint;
    if !joint.kind.is_welded() {
        return Err(format!("a {} puts no heat into the panel", joint.kind.name()));
    }
    let beyond_mm = beyond_mm(job, section);
    let placed = of_made(section, &made, beyond_mm.unwrap_or(PANEL_BEYOND_MM), ROW_MM)?;
    let metal = metal(section, &placed)?;
    // the thinner sheet stands for both: it buckles first
    let thin_mm = joint.old_thickness_mm.min(joint.new_thickness_mm);
    let heat = machine::heat(&job.fitter, joint, &metal)?;
    let (lap, butt) = joints(joint, thin_mm, shop)?;
    let own = if joint.kind == Book::Butt { butt } else { lap };
    let mut taken = vec![
        machine::taken(&job.fitter, &heat, &metal, thin_mm, own.dot_mm()),
        "turned, wired and hemmed edges stay on the surface; the ends of the panel are free".into(),
        "both sheets count with the thinner one's thickness; a lap carries as two sheets that slide on each other between the plugs".into(),
    ];
    taken.push(match beyond_mm {
        Some(given) => format!("the panel goes on {} beyond the cut, to where it is held", format_mm(given, 0)),
        None => format!(
            "nobody has said how far the panel goes on beyond the cut: {} is taken, held there, straight from the cut on",
            format_mm(PANEL_BEYOND_MM, 0)
        ),
    });
    let plan = WarpPlan {
        thickness_mm: thin_mm,
        shop: shop.machines.weld_strip.as_ref().map(|strip| strip.factors_for(&metal)).unwrap_or_default(),
        metal,
        seams: seams(&placed, own),
        heat,
        supports: supports(&placed),
        settings: WarpSettings { pitches_mm: pitches(settings, own, shop), ..settings.clone() },
        skin: placed.around.skin,
    };
    let edges = form::edges(section, &made);
    let edges = edges.into_iter().map(|(piece, edge)| (piece.name_in_job().to_owned(), edge.clone())).collect();
    let form = form::of(section, &made).ok_or("this section has no piece")?;
    Ok(Asked { piece: placed.piece, plan, lap, butt, taken, edges, form })
}

/// The order found, with its welds by edge and the warp of both joints.
fn order(
    result: &WarpResult,
    compared: &Comparison,
    plan: &WarpPlan,
    edges: &[(String, PieceEdge)],
    (form, fitter): (JointForm, &Fitter),
) -> AcceptedOrder {
    let weld = |step: &StepRow| {
        let line = plan.seams.get(step.seam.checked_sub(1)?)?;
        let nearest = |point: DVec3, among: &dyn Fn(usize) -> bool| {
            let all = edges.iter().enumerate().filter(|(i, _)| among(*i));
            let near = all.filter_map(|(i, (_, edge))| edge.nearest(point).map(|[along, off]| (i, along, off)));
            near.min_by(|a, b| a.2.total_cmp(&b.2)).map(|(i, along, _)| (i, along))
        };
        let (own, middle_mm) = nearest(DVec3::from_array(step.at_mm), &|_| true)?;
        let (piece, edge) = edges.get(own)?;
        let end = |station_mm: f64| {
            let point = along(&line.line, station_mm)?;
            nearest(point, &|i| i == own).map(|(_, at_mm)| at_mm)
        };
        let is_run = step.kind == EventKind::Run;
        let [from_mm, to_mm] =
            if is_run { [end(step.stations_mm[0])?, end(step.stations_mm[1])?] } else { [middle_mm; 2] };
        let kind = match step.kind {
            EventKind::Tack => WeldEventKind::Tack,
            EventKind::Plug if form.is_spotted() => WeldEventKind::Spot,
            EventKind::Plug => WeldEventKind::Plug,
            EventKind::Run => WeldEventKind::Run,
        };
        let (piece, edge) = (piece.clone(), edge.name.clone());
        Some(OrderedWeld { piece, edge, kind, from_mm, to_mm, pause_s: Some(step.pause_s) })
    };
    let figure = |form: JointForm, heights: Heights, margin: Option<Range>| WarpFigure {
        form,
        height_mm: heights.all().map(|height| height.middle),
        reach_mm: heights.all().map(Range::reach),
        buckles: margin.is_some_and(|margin| margin.low < 1.0),
    };
    let mut welds = result.found.table.steps.iter().map(weld).collect::<Option<Vec<_>>>().unwrap_or_default();
    runs_to_the_ends(&mut welds, edges);
    let lap = if form == JointForm::Butt { JointForm::SteppedLapPlug } else { form };
    AcceptedOrder {
        form,
        thickness_mm: Some(plan.thickness_mm),
        kit: Some(fitter.kit),
        run_j_mm: Some(plan.heat.run_j_mm),
        dot_j: Some(plan.heat.dot_j),
        length_mm: edges.iter().map(|(_, edge)| edge.length_mm).sum(),
        warp: vec![
            figure(lap, compared.lap_height_mm, compared.lap_margin),
            figure(JointForm::Butt, compared.butt_height_mm, compared.butt_margin),
        ],
        is_habit: result.found.table == result.habit.table,
        effect: Some(super::order_effect::of(result, plan, edges, fitter.unit)),
        weld: welds,
    }
}

/// The line on the middle face and the edge of the piece are not quite as long: runs nearer to an end than this go on to it, mm.
const RUN_TO_END_MM: f64 = 15.0;

/// Lets the outermost runs of every open edge close it: a seam that stops short of a corner leaks.
fn runs_to_the_ends(welds: &mut [OrderedWeld], edges: &[(String, PieceEdge)]) {
    for (piece, edge) in edges.iter().filter(|(_, edge)| !edge.closed) {
        let of_edge =
            |weld: &&mut OrderedWeld| weld.kind == WeldEventKind::Run && weld.piece == *piece && weld.edge == edge.name;
        let mut ends: Vec<&mut f64> =
            welds.iter_mut().filter(of_edge).flat_map(|w| [&mut w.from_mm, &mut w.to_mm]).collect();
        ends.sort_by(|a, b| a.total_cmp(b));
        if let Some(first) = ends.first_mut().filter(|at| ***at < RUN_TO_END_MM) {
            **first = 0.0;
        }
        if let Some(last) = ends.last_mut().filter(|at| edge.length_mm - ***at < RUN_TO_END_MM) {
            **last = edge.length_mm;
        }
    }
}

/// The point at a station of a line.
pub(super) fn along(line: &SeamLine, station_mm: f64) -> Option<DVec3> {
    let mut left_mm = station_mm.max(0.0);
    for (from, to) in line.sides() {
        let step_mm = from.distance(to);
        if left_mm <= step_mm && step_mm > 0.0 {
            return Some(from.lerp(to, left_mm / step_mm));
        }
        left_mm -= step_mm;
    }
    if line.closed { line.points_mm.first() } else { line.points_mm.last() }.copied()
}

fn beyond_mm(job: &Job, section: &Section) -> Option<f64> {
    let reading = units::Reading { bare_unit: job.unit, ..units::Reading::default() };
    section.joint.panel_beyond.as_ref()?.length_mm(&reading).ok().filter(|beyond| *beyond > 0.0)
}

/// The metal as the trials on the old panel found it; the new sheet must be of the same kind to be welded to it.
fn metal(section: &Section, placed: &InPlace) -> Result<WeldMetal, String> {
    let material = serde_json::from_value(serde_json::Value::String(placed.material.clone()))
        .map_err(|_| format!("not computed for this metal ({})", placed.material))?;
    let trials = MetalTrials { magnet: section.joint.magnet, file_mark: section.joint.file_mark };
    WeldMetal::found(material, FoundBy::Trials(trials)).map_err(|error| error.to_string())
}

/// The lap and the butt that are compared, the section's own among them.
fn joints(joint: &JointChoice, thin_mm: f64, shop: &ShopSettings) -> Result<(SeamJoint, SeamJoint), String> {
    let [usual_overlap_mm, usual_dot_mm] =
        SeamJoint::usual_lap_mm(thin_mm, &shop.rules).map_err(|error| error.to_string())?;
    let own_mm = joint.lap_mm - joint.ramp_mm;
    let overlap_mm = if own_mm > 0.0 { own_mm } else { usual_overlap_mm };
    let dot_mm = joint.figures.as_ref().and_then(|own| own.hole_mm).unwrap_or(usual_dot_mm);
    Ok((SeamJoint::Lap { overlap_mm, dot_mm }, SeamJoint::usual_butt(thin_mm)))
}

/// Pitches that are tried: those asked for, else the shop's own for plugs; tacks keep the rule.
fn pitches(settings: &WarpSettings, joint: SeamJoint, shop: &ShopSettings) -> Vec<f64> {
    match joint {
        SeamJoint::Lap { .. } if settings.pitches_mm.is_empty() => shop.rules.plug_pitch_mm.to_vec(),
        _ => settings.pitches_mm.clone(),
    }
}

fn seams(placed: &InPlace, joint: SeamJoint) -> Vec<PlannedSeam> {
    let lines = placed.around.seams.iter().zip(&placed.around.closed);
    lines
        .map(|(points, closed)| {
            let mut points_mm = points.clone();
            if *closed {
                points_mm.pop();
            }
            PlannedSeam { line: SeamLine { points_mm, closed: *closed }, joint }
        })
        .collect()
}

fn supports(placed: &InPlace) -> Vec<PanelSupport> {
    let edge = |kind| move |line: &Vec<DVec3>| PanelSupport::Edge { kind, points_mm: line.clone() };
    let stiff = placed.stiff_edges.iter().map(edge(EdgeKind::Wired));
    stiff.chain(placed.around.far_edges.iter().map(edge(EdgeKind::Flange))).collect()
}

/// A gap beyond its limit by less is not worth a word, mm.
const WORTH_SAYING_MM: f64 = 0.5;

/// Warp height of an order in words.
fn height(of: &OrderFigures) -> String {
    let rests = of.warp_height_mm.map_or_else(|| of.no_rest_words(), |height_mm| format!("{height_mm:.1} mm"));
    within_its_gap(of, rests)
}

fn within_its_gap(of: &OrderFigures, rests: String) -> String {
    let gap_mm = of.score.gap_excess_mm;
    if gap_mm < WORTH_SAYING_MM {
        return rests;
    }
    let first = of.gap_out.map_or_else(String::new, |out| format!("; {}", out.words()));
    format!("{rests} (if it could be welded so: an edge runs {gap_mm:.1} mm out of its gap before it is joined{first})")
}

impl WarpOfSection {
    /// The answer in one sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        let found = &self.result.found;
        let least = |end: Option<f64>| end.into_iter().chain(found.least_margin).reduce(f64::min);
        let buckles = match (least(found.margin.map(|margin| margin.low)), found.margin.map(|margin| margin.high)) {
            (Some(least), Some(most)) if most < 1.0 => {
                format!("; it buckles, whatever the shrinkage within its spread (margin {least:.2} to {most:.2})")
            }
            (Some(least), _) if least < 1.0 => {
                format!("; it may buckle (margin down to {least:.2}, on the way or at the end)")
            }
            (Some(least), _) => format!("; it does not buckle (margin at least {least:.1})"),
            (None, _) => String::new(),
        };
        let rests = found.warp_height_mm.map_or_else(|| found.no_rest_words(), |_| self.result.warp_height_mm.words(1));
        let own = within_its_gap(found, rests);
        let end_to_end = height(&self.result.end_to_end);
        if found.table == self.result.habit.table {
            return format!(
                "no order was found that is better than the habit of the trade: the panel leaves its shape by {own}; end to end without a pause {end_to_end}{buckles}"
            );
        }
        let given_up = found.given_up_against(&self.result.habit).map_or_else(String::new, |own| format!("; {own}"));
        format!(
            "in the order found the panel leaves its shape by {own}; by the habit of the trade {}, end to end without a pause {}{buckles}{given_up}",
            height(&self.result.habit),
            end_to_end
        )
    }

    /// Lap beside butt, each over the spread of its own shrinkage, and at one share of the heat kept as shrinkage, in one sentence.
    #[must_use]
    pub fn lap_or_butt(&self) -> String {
        let compared = &self.compared;
        let verdict = match compared.height_difference_mm {
            None => {
                let margin = |of: Option<Range>| of.map_or_else(|| "none".to_owned(), |of| format!("{:.2}", of.low));
                let (butt, lap) = (margin(compared.butt_margin), margin(compared.lap_margin));
                format!(
                    "their heights cannot be set against each other; buckling margin of the butt down to {butt}, of the lap down to {lap}"
                )
            }
            Some(less) => {
                let difference = format!("difference {:.1} mm, {:.1} to {:.1}", less.middle, less.low, less.high);
                if less.low > 0.0 {
                    format!("the lap warps less, whatever the shrinkage within its spread ({difference})")
                } else if less.high < 0.0 {
                    format!("the butt warps less, whatever the shrinkage within its spread ({difference})")
                } else {
                    format!("within the spread of the shrinkage neither is the better ({difference})")
                }
            }
        };
        let same = compared.at_one_share.map_or_else(String::new, |same| {
            let mm = |height: Option<f64>| {
                height.map_or_else(|| "no resting shape found".to_owned(), |mm| format!("{mm:.1} mm"))
            };
            format!(
                "; with {:.3} of the heat kept in the plugs too, the share that a run has along itself (W24, the least of W35): butt {}, lap {}",
                same.share,
                mm(same.butt_mm),
                mm(same.lap_mm)
            )
        });
        format!(
            "by the habit of the trade a butt leaves {} and {:.1} kJ of heat, a lap with plugs {} and {:.1} kJ: {verdict}{same}",
            compared.butt_height_mm.words(1),
            compared.butt_heat_j / 1000.0,
            compared.lap_height_mm.words(1),
            compared.lap_heat_j / 1000.0,
        )
    }

    /// Where to planish, a sentence for each strip.
    #[must_use]
    pub fn planish(&self) -> Vec<String> {
        let one = |strip: &weld::warp::PlanishStrip| {
            format!(
                "planish a strip {:.0} mm wide along the weld, from {:.0} to {:.0} mm: {:.2} % along it, no more (W30)",
                strip.width_mm,
                strip.stations_mm[0],
                strip.stations_mm[1],
                100.0 * strip.stretch.value
            )
        };
        self.result.planish.iter().map(one).collect()
    }
}
