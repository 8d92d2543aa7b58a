//! Let-in plates in the plan: the opening marked on the plate, and what the fitter does with it.

use super::PiecePlan;
use crate::resolve::LetInPlate;
use blank::{CheckDimension, DevelopSettings, FlatMark, MarkKind, RunningDimension};
use handbook::Concern;

/// Marks the opening on its plate, and drops the edges of its rounded corners: it is let in all round.
pub(super) fn mark(plan: &mut PiecePlan, plates: &[LetInPlate]) {
    let Some(plate) = plates.iter().find(|plate| plate.plate == plan.name) else { return };
    let mut line_mm = plate.outline_mm.clone();
    line_mm.extend(plate.outline_mm.first().copied());
    plan.blank.marks.push(FlatMark {
        kind: MarkKind::Opening,
        line_mm,
        label: format!("{}: opened after it is let in", plate.opening),
    });
    plan.edges.clear();
    let [x_mm, y_mm] = plate.size_mm;
    let class = DevelopSettings::default().tolerance_class;
    let size = |(name, nominal_mm): (&str, f64)| CheckDimension::linear(name.into(), nominal_mm, class, None);
    plan.blank.check_dimensions =
        [("length over its lap", x_mm), ("width over its lap", y_mm)].into_iter().filter_map(size).collect();
    let low = plan.blank.outline_mm.iter().copied().reduce(glam::DVec2::min).unwrap_or_default();
    let running = |name: &str, from_datum_mm: f64, at: glam::DVec2| RunningDimension {
        name: name.into(),
        from_datum_mm,
        at_mm: low + at,
    };
    plan.blank.running_x = vec![running("far end", x_mm, glam::DVec2::new(x_mm, 0.0))];
    plan.blank.running_y = vec![running("far side", y_mm, glam::DVec2::new(0.0, y_mm))];
}

/// A flat plate on curved metal is dressed to it.
pub(super) fn concerns(plates: &[LetInPlate], title: &str) -> Vec<Concern> {
    let curved = plates.iter().filter(|plate| plate.curved);
    curved
        .map(|plate| {
            crate::resolve::note(
                "let-in-plate-is-flat",
                handbook::Grade::Caution,
                title,
                [
                    format!("the {} is flat and the metal it goes into is curved", plate.plate),
                    "a flat plate in a curved panel shows as a flat".into(),
                    "roll or planish it to the panel before its edge is scribed".into(),
                ],
            )
        })
        .collect()
}
