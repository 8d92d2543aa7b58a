//! Notes for the fitter: how to practise, weld, planish, fill.

use super::Asked;
use crate::file::{Kit, OrderEffect, Skill};
use crate::resolve::ResolvedShape;
use handbook::joints::{JointForm, JointKind as Book};
use weld::joints::JointDesign;

pub(super) fn of(
    asked: &Asked<'_>,
    design: Option<&JointDesign>,
    effect: Option<&OrderEffect>,
    machine: Vec<String>,
) -> Vec<String> {
    let Asked { job, section, made, words, .. } = *asked;
    let joint = &made.resolved.joint;
    let mut notes = machine;
    if joint.kind.is_welded() {
        if joint.kind == Book::Butt && job.fitter.kit == Kit::Tig && section.joint.access_behind {
            notes.push("TIG: short runs, and planish while it cools".into());
        }
        if job.fitter.skill != Skill::Trade && job.fitter.kit != Kit::None {
            notes.push("practise on the strip that comes with the piece before the vehicle is touched; if a hole blows, stop and let it cool".into());
        }
        if !section.joint.access_behind {
            // what may carry load, and a closed wall, is never cooled by force
            let by_itself = section.joint.load_bearing != Some(false)
                || made.resolved.pieces.iter().any(|piece| matches!(piece.shape, ResolvedShape::Tube(_)));
            let cool = if by_itself { "let it cool by itself" } else { "cool it with an air line" };
            notes.push(format!(
                "the back cannot be reached: no dolly, so keep each dot or run short and {cool} before the next"
            ));
        }
    }
    if matches!(joint.kind, Book::SteppedLapPlug | Book::PlainLap) {
        notes.push("the arc starts on the sheet behind and fills the hole outwards; clamp tight at every plug".into());
    }
    let Some(design) = design else { return notes };
    notes.extend(hammer(asked, design.form).map(str::to_owned));
    let strips = effect.filter(|_| section.joint.access_behind).into_iter().flat_map(|own| &own.planish);
    notes.extend(strips.map(|strip| {
        format!(
            "hammer and dolly: planish along {}, from {} to {}: a strip {} wide with the weld in its middle, stretched by {:.2} % along it and no more (computed, W30)",
            strip.edge,
            words.length(strip.from_mm),
            words.length(strip.to_mm),
            words.length(strip.width_mm),
            strip.stretch_percent
        )
    }));
    let [outside, inside] = design.filler_mm;
    let flush = |mm: f64, face: &str| {
        (mm > 0.0).then(|| format!("filler {face}, over primer, no deeper than {}", words.small(mm)))
    };
    notes.extend([flush(outside, "outside"), flush(inside, "inside")].into_iter().flatten());
    notes
}

/// Hammer and dolly, by form and access.
fn hammer(asked: &Asked<'_>, form: JointForm) -> Option<&'static str> {
    let reached = asked.section.joint.access_behind;
    match form {
        JointForm::Butt if reached => Some(
            "hammer and dolly: dolly behind, light blows on the bead and a finger's width beside it while the run is still warm; stop as soon as the sheet lies flat, for every further blow stretches it",
        ),
        form if (form.is_plugged() || form.is_spotted()) && reached => Some(
            "hammer and dolly: nothing between the welds; a low spot round one is raised from behind with the dolly beside it, not under it, once all is cold",
        ),
        _ => None,
    }
}
