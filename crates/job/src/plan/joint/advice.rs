//! The advice on the joint of a section.

use super::{Asked, form};
use crate::file::Section;
use crate::plan::make::Made;
use handbook::joints::Metal;
use handbook::materials::Material;
use weld::advice::{self, Advice, Situation, WarpFigure};
use weld::metal::{MetalError, MetalKind, MetalTrials};

/// What is advised here.
pub(super) fn of(asked: &Asked<'_>, warp: &[WarpFigure]) -> Advice {
    let Asked { job, section, made, shop, .. } = *asked;
    let joint = &made.resolved.joint;
    let own = &section.joint;
    let situation = Situation {
        place: form::place(made),
        flanged: form::flanged(section, made),
        old_mm: joint.old_thickness_mm,
        new_mm: joint.new_thickness_mm,
        old_metal: old_metal(section).unwrap_or_default(),
        new_metal: new_metal(made),
        skill: job.fitter.skill,
        kit: job.fitter.kit,
        access_behind: own.access_behind,
        visible: own.visible,
        load_bearing: own.load_bearing,
        near_mounting: own.near_mounting.or(job.near.safety_mounting.then_some(true)),
        was_spot_welded: own.was_spot_welded,
        whole_panel: own.whole_panel,
        country: job.country.clone(),
        warp: warp.to_vec(),
    };
    let mut advice = advice::advise(&situation, &shop.rules);
    // a form that does not belong to the place may be chosen all the same: what refuses it is said
    if let Some(chosen) = form::of(section, made) {
        let known = advice.ranked.iter().any(|own| own.form == chosen) || advice.refusal(chosen).is_some();
        if !known {
            advice.refused.extend(advice::refusal(chosen, &situation, &shop.rules));
        }
    }
    advice
}

/// Metal of the old panel by the trials on it; `Ok(None)` when nobody has tried.
///
/// # Errors
/// Trials that contradict one another.
pub(super) fn old_metal(section: &Section) -> Result<Option<Metal>, MetalError> {
    let own = &section.joint;
    if own.magnet.is_none() && own.file_mark.is_none() {
        return Ok(None);
    }
    match (MetalTrials { magnet: own.magnet, file_mark: own.file_mark }).kind() {
        Ok(MetalKind::Steel) if own.zinc_coated == Some(true) => Ok(Some(Metal::ZincCoatedSteel)),
        Ok(MetalKind::Steel) => Ok(Some(Metal::Steel)),
        Ok(MetalKind::Aluminium) => Ok(Some(Metal::Aluminium)),
        Err(MetalError::NotComputed { .. }) => Ok(Some(Metal::Other)),
        Err(MetalError::NotAsked { .. }) => Ok(None),
        Err(error) => Err(error),
    }
}

/// Material of the first piece's sheet.
pub(super) fn material(made: &Made) -> Option<Material> {
    let name = made.pieces.first()?.blank.material.clone();
    serde_json::from_value(serde_json::Value::String(name)).ok()
}

/// Metal of the first piece's sheet, as far as joining goes.
pub(super) fn new_metal(made: &Made) -> Metal {
    material(made).map_or(Metal::Other, Metal::of)
}
