//! The strip on which a fitter below trade practises: two offcuts of the same sheets, joined as the piece will be.

use super::Asked;
use crate::file::{Kit, Skill};
use crate::plan::PracticeStrip;
use handbook::joints::JointForm;
use weld::joints::JointDesign;

/// Length of each offcut: three welds at the joint's own pitch, and a hand's grip.
const LENGTH_MM: f64 = 120.0;
/// Width of each offcut beyond the lap.
const WIDTH_MM: f64 = 26.0;

pub(super) fn strip(asked: &Asked<'_>, design: Option<&JointDesign>) -> Option<PracticeStrip> {
    let design = design.filter(|own| own.form.kind().is_welded())?;
    // who has no welder does not weld it
    if asked.job.fitter.skill == Skill::Trade || asked.job.fitter.kit == Kit::None {
        return None;
    }
    let joint = &asked.made.resolved.joint;
    let [least, most] = design.figures.pitch_mm;
    let nugget_mm = design.figures.nugget_mm.map_or(0.0, |[wanted, _]| wanted);
    let hole_mm = if design.form == JointForm::Butt { 0.0 } else { design.figures.hole_mm.unwrap_or(nugget_mm) };
    Some(PracticeStrip {
        form: design.form,
        thickness_mm: [joint.old_thickness_mm, joint.new_thickness_mm],
        size_mm: [LENGTH_MM, WIDTH_MM + design.lap_mm],
        overlap_mm: design.overlap_mm,
        step_mm: [design.step_mm, design.ramp_mm],
        hole_mm,
        pitch_mm: (0.5 * (least + most)).min(0.33 * LENGTH_MM).round(),
    })
}
