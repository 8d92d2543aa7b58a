//! Geometry of a joint at the cut line.

use handbook::joints::{JointFigures, JointForm, Sheets, filler_depth, joint};
use handbook::shop_rules::ShopRules;
use handbook::{RuleError, Source, Working};
use serde::{Deserialize, Serialize};

/// A joint at its cut line, all lengths along the outside face, square to the edge.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JointDesign {
    /// Form.
    pub form: JointForm,
    /// Figures of the handbook: pitch, hole, nugget, gap.
    pub figures: JointFigures,
    /// The old sheet ends so far short of the edge of the piece; 0 edge to edge.
    pub lap_mm: f64,
    /// Part of the lap where sheet lies on sheet.
    pub overlap_mm: f64,
    /// Depth of the step; 0 without one.
    pub step_mm: f64,
    /// Run of the step's ramp; 0 without one.
    pub ramp_mm: f64,
    /// Middle of a hole, spot or bolt from the edge of the piece, in the middle of what lies sheet on sheet.
    pub hole_from_edge_mm: Option<f64>,
    /// The same from the edge of the old sheet: a step's ramp lies between.
    pub hole_from_old_edge_mm: Option<f64>,
    /// Depth of filler that makes it flush, outside and inside.
    pub filler_mm: [f64; 2],
    /// Filler rod for TIG or gas, thinnest and thickest; none where none is used.
    pub rod_mm: Option<[f64; 2]>,
    /// Workings of what is not in `figures`.
    pub workings: Vec<Working>,
}

/// Works a form of joint out. `front` of the sheets is the old one, `back` the new piece.
///
/// # Errors
/// As [`handbook::joints::joint`].
pub fn design(form: JointForm, sheets: Sheets, rules: &ShopRules) -> Result<JointDesign, RuleError> {
    let mut figures = joint(form.kind(), sheets, rules)?;
    let mut workings = Vec::new();
    if form == JointForm::SheetToTube {
        figures.overlap_mm = rules.tube_patch_lap_mm;
        figures.workings.retain(|working| working.name != "overlap");
        let source = Source::common_practice("H8");
        workings.push(Working::new(
            "lap",
            rules.tube_patch_lap_mm,
            "mm",
            "old wall left under the patch, 6 to 12 mm",
            source,
        ));
    }
    if form == JointForm::BoltedFlange {
        figures.gap_mm = Some([rules.spacer_mm, rules.spacer_mm]);
        let source = Source::common_practice("H7");
        workings.push(Working::new("spacer", rules.spacer_mm, "mm", "a little over 1.6 mm", source));
    }
    let stepped = form.kind().is_stepped();
    let step = rules.step_depth(sheets.front_mm)?;
    let ramp_mm = if stepped { rules.joggle_run_over_depth * sheets.front_mm } else { 0.0 };
    let step_mm = if stepped { step.value } else { 0.0 };
    if stepped {
        workings.push(step);
    }
    let overlap_mm = if form.kind().is_lap() { figures.overlap_mm } else { 0.0 };
    let filler = filler_depth(form, sheets)?;
    let filler_mm = [filler[0].value, filler[1].value];
    workings.extend(filler);
    let held = form.is_plugged() || form.is_spotted() || form == JointForm::BoltedFlange;
    // edge to edge takes the rod of W7; a hole is filled with the same
    let rod_mm = (form == JointForm::Butt || form.is_plugged()).then_some([1.0, 1.6]);
    Ok(JointDesign {
        form,
        lap_mm: ramp_mm + overlap_mm,
        overlap_mm,
        step_mm,
        ramp_mm,
        hole_from_edge_mm: held.then_some(0.5 * figures.overlap_mm),
        hole_from_old_edge_mm: held.then_some(ramp_mm + 0.5 * figures.overlap_mm),
        filler_mm,
        rod_mm,
        workings,
        figures,
    })
}

impl JointDesign {
    /// The same with a lap that the job says, its ramp included.
    #[must_use]
    pub fn with_lap(mut self, lap_mm: f64, ramp_mm: f64) -> Self {
        let overlap_mm = (lap_mm - ramp_mm).max(0.0);
        (self.lap_mm, self.ramp_mm, self.overlap_mm) = (lap_mm, ramp_mm, overlap_mm);
        self.hole_from_edge_mm = self.hole_from_edge_mm.map(|_| 0.5 * overlap_mm);
        self.hole_from_old_edge_mm = self.hole_from_old_edge_mm.map(|_| ramp_mm + 0.5 * overlap_mm);
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SKIN: Sheets = Sheets { front_mm: 0.9, back_mm: 0.9, load_bearing: false };

    #[test]
    fn the_lap_is_ramp_and_overlap_and_the_hole_stands_in_the_middle_of_the_overlap() {
        let rules = ShopRules::default();
        for form in JointForm::ALL {
            let own = design(form, SKIN, &rules).unwrap();
            assert!((own.lap_mm - own.ramp_mm - own.overlap_mm).abs() < 1e-12, "{form:?}");
            assert_eq!(own.lap_mm > 0.0, form.kind().is_lap(), "{form:?}");
            assert_eq!(own.step_mm > 0.0, form.kind().is_stepped(), "{form:?}");
            let radius = 0.5 * own.figures.hole_mm.unwrap_or(0.0);
            assert!(own.hole_from_edge_mm.is_none_or(|mm| mm > radius), "{form:?}");
            // the hole stands clear of the ramp, where the sheets do not touch
            assert!(own.hole_from_old_edge_mm.is_none_or(|mm| mm - radius > own.ramp_mm), "{form:?}");
        }
    }

    /// H4: a step leaves one thickness inside and nothing outside. The others by where the faces lie (geometry): what ends on the other's face
    /// stands proud of it by its own thickness; edge to edge and flange on flange nothing does. Old sheet 0.9 mm, new one 1.2 mm.
    #[test]
    fn filler_of_every_form_is_the_step_that_is_left_on_each_face() {
        const OLD_MM: f64 = 0.9;
        const NEW_MM: f64 = 1.2;
        let sheets = Sheets { front_mm: OLD_MM, back_mm: NEW_MM, load_bearing: false };
        let rules = ShopRules::default();
        for (form, filler_mm) in [
            (JointForm::Butt, [0.0, 0.0]),
            (JointForm::SteppedLapPlug, [0.0, OLD_MM]),
            (JointForm::SteppedLapSpot, [0.0, OLD_MM]),
            (JointForm::DoublerPlug, [OLD_MM, NEW_MM]),
            (JointForm::DoublerSpot, [OLD_MM, NEW_MM]),
            (JointForm::BondedLap, [OLD_MM, NEW_MM]),
            (JointForm::FlangeUnderSkin, [OLD_MM, NEW_MM]),
            (JointForm::BondedFlange, [OLD_MM, NEW_MM]),
            (JointForm::SheetToTube, [NEW_MM, 0.0]),
            (JointForm::BoltedFlange, [0.0, 0.0]),
        ] {
            assert_eq!(design(form, sheets, &rules).unwrap().filler_mm, filler_mm, "{form:?}");
        }
        assert_eq!(JointForm::ALL.len(), 10);
    }

    #[test]
    fn a_tube_takes_the_lap_of_its_own_rule() {
        let rules = ShopRules { tube_patch_lap_mm: 11.0, ..ShopRules::default() };
        assert_eq!(design(JointForm::SheetToTube, SKIN, &rules).unwrap().lap_mm, 11.0);
    }
}
