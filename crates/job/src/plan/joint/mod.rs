//! How a section goes in: form and figures of the joint, advice, settings of the fitter's machine, the map of its welds, notes.
//!
//! The joint is an input of the job; the advice is an output that a person accepts. So is the order of least warp
//! ([`super::warp_of_section`]): accepted, it stands in the job and takes the place of the habit of the trade.

mod advice;
mod concerns;
pub(super) mod form;
mod heat;
mod laid_out;
pub(super) mod machine;
mod map;
mod notes;
mod practice;
mod settings;

pub(super) use concerns::concerns;
pub use heat::{HeatOfSection, heat_of_section};

use super::tube::plugs;
use super::words::Words;
use super::{JointPlan, OrderBy, WeldMap, WeldPause, WeldRow};
use crate::file::{AcceptedOrder, Job, JointKind, Section};
use crate::resolve::JointChoice;
use handbook::joints::{JointForm, JointKind as Book, Sheets};
use handbook::{Source, Working};
use shop::ShopSettings;
use weld::advice::{Advice, WarpFigure};
use weld::joints::{JointDesign, WeldEventKind};

use super::make::Made;

/// Name of the working of the pitch.
pub const PITCH: &str = "pitch along the run";

/// Sheets whose thickness differs by less are the same to an accepted order, mm.
const SAME_SHEET_MM: f64 = 0.01;

/// The length joined changes by less of itself when another joint is taken: the cut moves by the lap.
const SAME_PLACE: f64 = 0.1;

/// Heats of a run that differ by less of themselves are the same to an accepted order.
const SAME_HEAT: f64 = 0.01;

/// What a joint is planned from.
#[derive(Clone, Copy)]
pub(super) struct Asked<'a> {
    pub(super) job: &'a Job,
    pub(super) section: &'a Section,
    pub(super) made: &'a Made,
    pub(super) words: &'a Words,
    pub(super) shop: &'a ShopSettings,
}

pub(super) fn plan(asked: &Asked<'_>) -> JointPlan {
    let Asked { job, section, made, words, .. } = *asked;
    let joint = &made.resolved.joint;
    let form = form::of(section, made);
    let design = form.and_then(|form| as_chosen(form, asked));
    let edges = form::edges(section, made);
    let run_mm: f64 = edges.iter().map(|(_, edge)| edge.length_mm).sum();
    let mut workings = joint.figures.as_ref().map(|figures| figures.workings.clone()).unwrap_or_default();
    if joint.lap_mm > 0.0 {
        workings.push(lap_working(section, joint));
    }
    workings.extend(design.iter().flat_map(|design| design.workings.iter().cloned()));
    // plug holes that are made in the flat are their own map
    let openings = made.pieces.iter().flat_map(|piece| &piece.blank.openings);
    let made_holes = openings.filter(|opening| opening.name == plugs::NAME).count();
    let habit = match &design {
        Some(design) if made_holes > 0 => map::long_seams(made, design, 0),
        design => map::by_habit(section, made, design.as_ref()),
    };
    let thin_mm = joint.old_thickness_mm.min(joint.new_thickness_mm);
    // the warp of an order is that of its place, for a lap and for a butt: it counts whichever of them the joint is now
    let of_place = section.joint.accepted.as_ref().filter(|own| {
        let same_sheet = own.thickness_mm.is_some_and(|own_mm| (own_mm - thin_mm).abs() < SAME_SHEET_MM);
        let same_length = (own.length_mm - run_mm).abs() < SAME_PLACE * run_mm;
        own.kit == Some(job.fitter.kit) && same_sheet && same_length && same_heat(own, asked)
    });
    let accepted = of_place.filter(|own| Some(own.form) == form);
    let (maps, order_by) = match accepted.and_then(|own| map::accepted(own, &habit, run_mm)) {
        Some(maps) if accepted.is_some_and(|own| own.is_habit) => (maps, OrderBy::ComputedHabit),
        Some(maps) => (maps, OrderBy::Computed),
        None => (habit, OrderBy::TradeHabit),
    };
    let accepted = accepted.filter(|_| order_by.is_computed());
    // an accepted order brings the pauses of its own panel, edges and all
    let computed_pauses = accepted.and_then(map::accepted_pauses);
    let mut effect = accepted.and_then(|own| own.effect.clone());
    if let Some(effect) = effect.as_mut().filter(|_| !section.joint.access_behind) {
        // no dolly behind: nothing is planished
        effect.planish.clear();
    }
    let (counted, pitch) = pitch(joint, run_mm, made, &maps);
    let pitch_mm = pitch.as_ref().map_or(0.0, |pitch| pitch.value);
    workings.extend(pitch);
    let warp: &[WarpFigure] = of_place.map_or(&[], |own| &own.warp);
    let own_row = maps.iter().any(|map| map.row.is_own());
    let single = maps.iter().filter(|map| map.row.is_own()).flat_map(|map| &map.events);
    let single = single.filter(|event| event.kind != WeldEventKind::Run).count();
    let count = match (made_holes, own_row) {
        (0, false) => counted,
        (0, true) => single,
        (made_holes, _) => made_holes,
    };
    let tacks = maps
        .iter()
        .filter(|map| matches!(map.row, WeldRow::OldEdge | WeldRow::EdgeBehind))
        .map(|map| map.events.len())
        .sum::<usize>();
    let hole = joint.figures.as_ref().and_then(|figures| figures.hole_mm);
    let advice = advice::of(asked, warp);
    let set = settings::of(asked, order_by);
    workings.extend(set.workings);
    JointPlan {
        sentence: sentence(section, joint, words, order_by, (count, tacks, pitch_mm, hole)),
        notes: notes::of(asked, design.as_ref(), effect.as_ref(), set.notes),
        workings,
        count,
        form,
        practice: practice::strip(asked, design.as_ref()),
        design,
        advice,
        settings: set.settings,
        too_hot: set.too_hot,
        pauses: pauses(computed_pauses, || heat::pauses(asked, &maps)),
        maps,
        order_by,
        tacked_mm: (tacks > 0).then_some(thin_mm),
        process: settings::process(asked),
        warp: warp.to_vec(),
        effect,
    }
}

/// The fitter's machine brings the heat that an order was worked out with, as far as both are known.
fn same_heat(order: &AcceptedOrder, asked: &Asked<'_>) -> bool {
    let heat = machine::metal(asked.section, asked.made)
        .and_then(|metal| machine::heat(&asked.job.fitter, &asked.made.resolved.joint, &metal).ok());
    let Some(heat) = heat else { return true };
    let same = |own: Option<f64>, now: f64| own.is_none_or(|own| (own - now).abs() <= SAME_HEAT * now);
    same(order.run_j_mm, heat.run_j_mm) && same(order.dot_j, heat.dot_j)
}

/// The pauses of an accepted order, and by the closed form those of the welds that come after it; of the habit all by the closed form.
fn pauses(accepted: Option<Vec<WeldPause>>, closed_form: impl Fn() -> Vec<WeldPause>) -> Vec<WeldPause> {
    let Some(mut own) = accepted else { return closed_form() };
    let ordered = own.len();
    own.extend(closed_form().into_iter().filter(|pause| pause.number > ordered));
    own
}

/// The advice on the joint with the warp that was worked out for its place.
pub(super) fn advise(asked: &Asked<'_>, warp: &[WarpFigure]) -> Advice {
    advice::of(asked, warp)
}

/// The form worked out for the sheets of this section, with the lap that the job has.
fn as_chosen(form: JointForm, asked: &Asked<'_>) -> Option<JointDesign> {
    let joint = &asked.made.resolved.joint;
    let load_bearing = asked.section.joint.load_bearing == Some(true);
    let sheets = Sheets { front_mm: joint.old_thickness_mm, back_mm: joint.new_thickness_mm, load_bearing };
    let design = weld::joints::design(form, sheets, &asked.shop.rules).ok()?;
    let design = if joint.lap_mm > 0.0 { design.with_lap(joint.lap_mm, joint.ramp_mm) } else { design };
    Some(design)
}

fn lap_working(section: &Section, joint: &JointChoice) -> Working {
    let overlap_mm = joint.lap_mm - joint.ramp_mm;
    let (formula, source) = if section.joint.lap.is_some() {
        ("as written in the job", Source::measured("said for this job"))
    } else {
        ("ramp + overlap", Source::common_practice("H4, W41"))
    };
    Working::new("lap", joint.lap_mm, "mm", formula, source).with("ramp", "run of the step", joint.ramp_mm, "mm").with(
        "overlap",
        "sheet on sheet",
        overlap_mm,
        "mm",
    )
}

/// How many bolts, or welds by the usual pitch where no map places them; and the pitch: that of the maps where there are any.
fn pitch(joint: &JointChoice, run_mm: f64, made: &Made, maps: &[WeldMap]) -> (usize, Option<Working>) {
    let bolts = made
        .resolved
        .pieces
        .iter()
        .map(|piece| piece.shape.openings().iter().filter(|opening| opening.half_clearance_mm.is_some()).count())
        .max()
        .unwrap_or(0);
    let Some(figures) = joint.figures.as_ref().filter(|_| joint.kind != Book::BoltedFlange) else {
        return (bolts, None);
    };
    let [least, most] = figures.pitch_mm;
    let usual = 0.5 * (least + most);
    if usual <= 0.0 || run_mm <= 0.0 {
        return (0, None);
    }
    let gaps = (run_mm / usual).ceil().max(1.0);
    let source = Source::common_practice("H9, W31, W41");
    let spacing = maps.iter().filter(|map| map.row.is_own()).filter_map(WeldMap::spacing_mm);
    let of_maps = spacing.reduce(|[least, most], own| [least.min(own[0]), most.max(own[1])]);
    let working = match of_maps {
        Some([nearest, farthest]) => {
            let formula = "as the map has it: each edge by itself, evenly between its outermost welds";
            Working::new(PITCH, 0.5 * (nearest + farthest), "mm", formula, source).reach(0.5 * (farthest - nearest))
        }
        None => Working::new(PITCH, run_mm / gaps, "mm", "run/⌈run/((least + most)/2)⌉", source),
    };
    let working = working
        .with("run", "length joined, without spare", run_mm, "mm")
        .with("least", "least pitch", least, "mm")
        .with("most", "most pitch", most, "mm");
    (gaps as usize + 1, Some(working))
}

fn sentence(
    section: &Section,
    joint: &JointChoice,
    words: &Words,
    order_by: OrderBy,
    (count, tacks, pitch_mm, hole_mm): (usize, usize, f64, Option<f64>),
) -> String {
    // what no dolly reaches is not planished
    let name = match joint.kind {
        Book::Butt if !section.joint.access_behind => "butt, fusion welded",
        kind => kind.name(),
    };
    let hole = hole_mm.map(|hole_mm| words.small(hole_mm)).unwrap_or_default();
    match section.joint.kind {
        JointKind::Butt => format!(
            "{name}: {count} tacks about {} apart, closed {}, gap none to half the thickness",
            words.length(pitch_mm),
            match order_by {
                OrderBy::Computed | OrderBy::ComputedHabit => "in the order of the numbers on the map",
                OrderBy::TradeHabit => "from the middle outwards",
            }
        ),
        JointKind::PlainLap if tacks > 0 => format!(
            "{name}: lap {}, {count} plugs in {hole} holes about {} apart, in the sheet nearest the torch; then {tacks} tacks between them along {}",
            words.length(joint.lap_mm),
            words.length(pitch_mm),
            if section.joint.access_behind { "both edges" } else { "the old edge" }
        ),
        JointKind::SteppedLap | JointKind::PlainLap if hole_mm.is_some() && pitch_mm > 0.0 => format!(
            "{name}: lap {}, {count} plugs in {hole} holes about {} apart, in the sheet nearest the torch",
            words.length(joint.lap_mm),
            words.length(pitch_mm)
        ),
        JointKind::SteppedLap | JointKind::PlainLap if pitch_mm > 0.0 => {
            format!("{name}: lap {}, {count} spots about {} apart", words.length(joint.lap_mm), words.length(pitch_mm))
        }
        JointKind::Bolted if count == 0 => format!("{name}: no hole for a bolt is in the piece"),
        JointKind::Bolted => format!("{name}: {count} bolts, faces painted before they meet"),
        _ => format!("{name}: lap {}", words.length(joint.lap_mm)),
    }
}
