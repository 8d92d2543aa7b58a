//! Cause, drains and protection, in the order of the work.

use super::ProtectLine;
use super::make::Made;
use crate::file::Section;
use handbook::Concern;
use handbook::rust::{COAT_CLOSED_EDGE, Protect, When, protection_lines, unsealed_lap};
use section::MakeUp;

pub(super) fn lines(section: &Section, made: Option<&Made>) -> Vec<ProtectLine> {
    let mut lines = Vec::new();
    if let Some(cause) = section.damage.cause {
        let advice = cause.advice();
        lines.push(line("cause", format!("{}: {}", advice.name, advice.signs)));
        let closed = made.is_none_or(has_closed_edge);
        let apply = advice.changes.iter().filter(|change| closed || **change != COAT_CLOSED_EDGE);
        lines.extend(apply.map(|change| line("change", (*change).to_owned())));
    } else {
        lines.push(line(
            "cause",
            "not known yet: ask where water came from before the piece goes in, or it will rust again".into(),
        ));
    }
    let Some(made) = made else {
        lines.extend(treat());
        return lines;
    };
    lines.extend(drains(made));
    lines.extend(inside_a_box(made));
    lines.extend(protection_lines(protect(section, made)).into_iter().map(|line| ProtectLine {
        stage: stage(line.when).into(),
        what: if line.wait.is_empty() {
            format!("{}: {}", line.place, line.what)
        } else {
            format!("{}: {}; {}", line.place, line.what, line.wait)
        },
    }));
    lines
}

/// Caution for a lap that cannot be sealed on both sides.
pub(super) fn concern(section: &Section, made: &Made) -> Option<Concern> {
    unsealed_lap(protect(section, made), &section.title)
}

/// A place that is left: what is done instead of cutting.
fn treat() -> Vec<ProtectLine> {
    [
        ("clean", "take paint and loose rust off to bright metal with a hand wire brush; degrease"),
        ("treat", "phosphoric rust treatment only where pits stay dark; rinse, dry the same day"),
        ("protect", "epoxy primer the same day, let it dry as its data sheet says; paint; wax behind"),
        ("watch", "photograph it, and look again in twelve months"),
    ]
    .into_iter()
    .map(|(stage, what)| line(stage, what.into()))
    .collect()
}

fn protect(section: &Section, made: &Made) -> Protect {
    Protect {
        joint: made.resolved.joint.kind,
        back_reachable: section.joint.access_behind,
        closed_edge: has_closed_edge(made),
        sealed_both_sides: section.joint.access_behind,
    }
}

fn has_closed_edge(made: &Made) -> bool {
    made.resolved.pieces.iter().any(|piece| {
        let closed = |make_up: &MakeUp| matches!(make_up, MakeUp::Wired { .. } | MakeUp::Hem { .. });
        piece.shape.make_ups().any(closed)
    })
}

fn drains(made: &Made) -> Vec<ProtectLine> {
    let named =
        made.pieces.iter().flat_map(|piece| &piece.blank.openings).filter(|opening| opening.name.contains("drain"));
    named
        .map(|opening| {
            let size = opening.diameter_mm.map_or_else(|| "slot as drawn".into(), |mm| format!("{mm:.1} mm"));
            line(
                "drain",
                format!(
                    "{}, {size}: lies at the lowest place; keep it open through primer, sealer and wax",
                    opening.name
                ),
            )
        })
        .collect()
}

/// A box that is shut by its seams or when it goes in: what goes on inside before.
fn inside_a_box(made: &Made) -> Option<ProtectLine> {
    let assembly = made.assembly.as_ref().filter(|own| !own.box_of.is_empty())?;
    let names = assembly.box_of.join(", ");
    Some(match assembly.shuts_at {
        Some(number) => line(
            "in the shop",
            format!(
                "inside the box of {names}: primed and sealed before sub-assembly {number} shut it; wax through its hole after painting"
            ),
        ),
        None => line(
            "before assembly",
            format!(
                "inside the box of {names}: epoxy primer all over but a finger's width along the weld, dry, before it is welded in; wax through its hole after painting"
            ),
        ),
    })
}

fn stage(when: When) -> &'static str {
    match when {
        When::BeforeAssembly => "before assembly",
        When::DuringAssembly => "during assembly",
        When::AfterJoining => "after joining",
        When::AfterPaint => "after paint",
    }
}

fn line(stage: &str, what: String) -> ProtectLine {
    ProtectLine { stage: stage.into(), what }
}
