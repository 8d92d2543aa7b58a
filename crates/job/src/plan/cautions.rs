//! Cautions of the whole job, from what stands near the work and how it is done.

use super::SectionPlan;
use crate::file::{Decision, Job, Kit, Section};
use handbook::cautions::{Circumstance, cautions_for};
use handbook::{Concern, Grade, LiftedBy};
use std::collections::BTreeSet;

/// Cautions and stops of the job, gravest first.
pub(super) fn of_job(job: &Job, sections: &[SectionPlan]) -> Vec<Concern> {
    let made: Vec<(&Section, &SectionPlan)> =
        job.sections.iter().zip(sections).filter(|(section, _)| section.decision == Decision::Make).collect();
    if made.is_empty() {
        return Vec::new();
    }
    let mut concerns = cautions_for(&circumstances(job, &made));
    for concern in concerns.iter_mut().filter(|concern| concern.key == "C14-near") {
        // A tank or line within reach of heat or sparks: the file says it is near, so a competent person decides.
        concern.grade = Grade::Stop;
        concern.lifted_by = Some(LiftedBy::CompetentPerson);
    }
    concerns.sort_by_key(|concern| std::cmp::Reverse(concern.grade));
    concerns
}

fn circumstances(job: &Job, made: &[(&Section, &SectionPlan)]) -> BTreeSet<Circumstance> {
    use Circumstance as On;
    let near = &job.near;
    // the joint decides: without a welder in the fitter's kit somebody else welds it
    let welded = made.iter().any(|(section, _)| is_welded(section));
    let open_arc = made.iter().any(|(section, _)| has_open_arc(job.fitter.kit, section));
    let cut = made.iter().any(|(_, plan)| plan.cut.is_some() || !plan.pieces.is_empty());
    let tubes = made.iter().any(|(_, plan)| plan.pieces.iter().any(|piece| piece.tube.is_some()));
    let materials: BTreeSet<&str> =
        made.iter().flat_map(|(_, plan)| plan.pieces.iter().map(|piece| piece.blank.material.as_str())).collect();
    let bonded = made.iter().any(|(section, _)| {
        section.joint.kind == crate::file::JointKind::BondedLap || section.joint.fixing == crate::file::Fixing::Bond
    });
    let old_zinc = made.iter().any(|(section, _)| section.joint.zinc_coated == Some(true));
    let carries = made
        .iter()
        .any(|(section, _)| section.joint.near_mounting == Some(true) || section.joint.load_bearing == Some(true));
    let shuts_a_box = made
        .iter()
        .any(|(_, plan)| plan.assembly.as_ref().is_some_and(|own| own.shuts_at.is_some() || own.shut_by_fitter));
    [
        (On::RawEdges, true),
        (On::Grinding, cut),
        (On::Welding, welded),
        (On::OpenArc, open_arc),
        (On::ZincCoated, materials.contains("zinc_coated_steel") || old_zinc),
        (On::Stainless, materials.contains("stainless18_8")),
        // what is welded is degreased first, and the wrong cleaner near an arc kills
        (On::ChlorinatedSolvent, welded),
        (On::FuelNear, near.fuel),
        (On::Battery, near.battery),
        (On::ClosedSection, near.closed_section || tubes || shuts_a_box),
        (On::OldPaint, near.old_paint),
        (On::OldSealer, near.old_paint || near.trim_behind),
        (On::BondedJoint, bonded),
        (On::TwoPackPaint, true), // epoxy primer goes on every piece
        (On::Unbolting, near.carries_load),
        (On::NearMounting, near.safety_mounting || carries),
        (On::BondedGlass, near.bonded_glass),
    ]
    .into_iter()
    .filter_map(|(circumstance, holds)| holds.then_some(circumstance))
    .collect()
}

/// Does an arc burn when this section goes in? A welder who is called in for a fitter without one comes with an arc, except for spots.
pub(super) fn has_open_arc(kit: Kit, section: &Section) -> bool {
    is_welded(section)
        && match kit {
            Kit::GasShieldedWire | Kit::Tig => true,
            Kit::None => {
                section.joint.kind == crate::file::JointKind::Butt || section.joint.fixing != crate::file::Fixing::Spot
            }
            Kit::OxyAcetylene | Kit::Spot => false,
        }
}

/// Is something welded when this section goes in?
pub(super) fn is_welded(section: &Section) -> bool {
    use crate::file::{Fixing, JointKind};
    match section.joint.kind {
        JointKind::Butt => true,
        JointKind::SteppedLap | JointKind::PlainLap => matches!(section.joint.fixing, Fixing::Plug | Fixing::Spot),
        JointKind::Bolted | JointKind::BondedLap => false,
    }
}
