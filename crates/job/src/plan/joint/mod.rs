//! How a section goes in: form and figures of the joint, advice, settings of the fitter's machine, the map of its welds, notes.
//!
//! The joint is an input of the job; the advice is an output that a person accepts. What another room computes later (warp, an
//! order of least warp) comes in through [`Computed`] and takes the place of the habit of the trade.

mod advice;
mod concerns;
mod form;
mod map;
mod notes;
mod practice;
mod settings;

pub(super) use concerns::concerns;

use super::words::Words;
use super::{JointPlan, OrderBy, WeldMap};
use crate::file::{Job, JointKind, Section};
use crate::resolve::JointChoice;
use handbook::joints::{JointForm, JointKind as Book, Sheets};
use handbook::{Source, Working};
use shop::ShopSettings;
use weld::advice::WarpFigure;
use weld::joints::{JointDesign, WeldEventKind};

use super::make::Made;

/// What a joint is planned from.
#[derive(Clone, Copy)]
pub(super) struct Asked<'a> {
    pub(super) job: &'a Job,
    pub(super) section: &'a Section,
    pub(super) made: &'a Made,
    pub(super) words: &'a Words,
    pub(super) shop: &'a ShopSettings,
}

/// What was computed about heat and warp, where it was.
#[derive(Debug, Clone, Default)]
pub(super) struct Computed {
    /// Warp by form of joint; the advice weighs it.
    pub(super) warp: Vec<WarpFigure>,
    /// Welds in the order of least warp; takes the place of the trade's habit.
    pub(super) maps: Option<Vec<WeldMap>>,
}

pub(super) fn plan(asked: &Asked<'_>, computed: &Computed) -> JointPlan {
    let Asked { section, made, words, .. } = *asked;
    let joint = &made.resolved.joint;
    let form = form::of(section, made);
    let design = form.and_then(|form| as_chosen(form, asked));
    let edges = form::edges(section, made);
    let run_mm = edges.iter().map(|(_, edge)| edge.length_mm).sum();
    let mut workings = joint.figures.as_ref().map(|figures| figures.workings.clone()).unwrap_or_default();
    if joint.lap_mm > 0.0 {
        workings.push(lap_working(section, joint));
    }
    workings.extend(design.iter().flat_map(|design| design.workings.iter().cloned()));
    let (counted, pitch_mm, pitch) = pitch(joint, run_mm, made);
    workings.extend(pitch);
    let (maps, order_by) = match &computed.maps {
        Some(maps) => (maps.clone(), OrderBy::Computed),
        None => (map::by_habit(section, made, design.as_ref()), OrderBy::TradeHabit),
    };
    let single = maps.iter().flat_map(|map| &map.events).filter(|event| event.kind != WeldEventKind::Run).count();
    let count = if maps.is_empty() { counted } else { single };
    let hole = joint.figures.as_ref().and_then(|figures| figures.hole_mm);
    let advice = advice::of(asked, &computed.warp);
    let set = settings::of(asked);
    workings.extend(set.workings);
    JointPlan {
        sentence: sentence(section, joint, words, count, pitch_mm, hole),
        notes: notes::of(asked, design.as_ref(), set.notes),
        workings,
        count,
        form,
        practice: practice::strip(asked, design.as_ref()),
        design,
        advice,
        settings: set.settings,
        maps,
        order_by,
        process: settings::process(asked),
        warp: computed.warp.clone(),
    }
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

fn pitch(joint: &JointChoice, run_mm: f64, made: &Made) -> (usize, f64, Option<Working>) {
    let bolts = made
        .resolved
        .pieces
        .iter()
        .map(|piece| piece.shape.openings().iter().filter(|opening| opening.half_clearance_mm.is_some()).count())
        .max()
        .unwrap_or(0);
    let Some(figures) = &joint.figures else { return (bolts, 0.0, None) };
    if joint.kind == Book::BoltedFlange {
        return (bolts, 0.0, None);
    }
    let [least, most] = figures.pitch_mm;
    let usual = 0.5 * (least + most);
    if usual <= 0.0 || run_mm <= 0.0 {
        return (0, 0.0, None);
    }
    let gaps = (run_mm / usual).ceil().max(1.0);
    let pitch_mm = run_mm / gaps;
    let working = Working::new(
        "pitch along the run",
        pitch_mm,
        "mm",
        "run/⌈run/((least + most)/2)⌉",
        Source::common_practice("H9, W31, W41"),
    )
    .with("run", "length joined, without spare", run_mm, "mm")
    .with("least", "least pitch", least, "mm")
    .with("most", "most pitch", most, "mm");
    (gaps as usize + 1, pitch_mm, Some(working))
}

fn sentence(
    section: &Section,
    joint: &JointChoice,
    words: &Words,
    count: usize,
    pitch_mm: f64,
    hole_mm: Option<f64>,
) -> String {
    let name = joint.kind.name();
    let hole = hole_mm.map(|hole_mm| words.small(hole_mm)).unwrap_or_default();
    match section.joint.kind {
        JointKind::Butt => format!(
            "{name}: {count} tacks about {} apart, closed from the middle outwards, gap none to half the thickness",
            words.length(pitch_mm)
        ),
        JointKind::SteppedLap | JointKind::PlainLap if hole_mm.is_some() && pitch_mm > 0.0 => format!(
            "{name}: lap {}, {count} plugs in {hole} holes about {} apart, in the sheet nearest the torch",
            words.length(joint.lap_mm),
            words.length(pitch_mm)
        ),
        JointKind::SteppedLap | JointKind::PlainLap if pitch_mm > 0.0 => {
            format!("{name}: lap {}, {count} spots about {} apart", words.length(joint.lap_mm), words.length(pitch_mm))
        }
        JointKind::Bolted => format!("{name}: {count} bolts, faces painted before they meet"),
        _ => format!("{name}: lap {}", words.length(joint.lap_mm)),
    }
}
