//! Dressing a joint flush: depth of filler on each face, filler rod.

use super::{JointForm, Sheets};
use crate::error::{RuleError, thickness};
use crate::working::{Source, Working};

/// Depth of filler over primer that makes the outside and the inside flush (H4): a step puts the whole thickness of the old
/// sheet inside, a doubler leaves it outside, a butt needs none.
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn filler_depth(form: JointForm, sheets: Sheets) -> Result<[Working; 2], RuleError> {
    let (old, new) = (thickness(sheets.front_mm)?, thickness(sheets.back_mm)?);
    let [outside, inside] = match form {
        JointForm::Butt | JointForm::BoltedFlange => [0.0, 0.0],
        JointForm::SteppedLapPlug | JointForm::SteppedLapSpot => [0.0, old],
        // the patch lies on the tube, outside
        JointForm::SheetToTube => [new, 0.0],
        JointForm::DoublerPlug
        | JointForm::DoublerSpot
        | JointForm::BondedLap
        | JointForm::FlangeUnderSkin
        | JointForm::BondedFlange => [old, new],
    };
    let made = |name: &'static str, value: f64| {
        Working::new(name, value, "mm", "the step that is left on this face", Source::common_practice("H4"))
            .with("t₁", "old sheet", old, "mm")
            .with("t₂", "new sheet", new, "mm")
    };
    Ok([made("filler outside", outside), made("filler inside", inside)])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_leaves_one_thickness_inside_and_nothing_outside() {
        let sheets = Sheets { front_mm: 0.914, back_mm: 1.2, load_bearing: false };
        let depth = |form| filler_depth(form, sheets).unwrap().map(|working| working.value);
        assert_eq!(depth(JointForm::SteppedLapPlug), [0.0, 0.914]);
        assert_eq!(depth(JointForm::DoublerPlug), [0.914, 1.2]);
        assert_eq!(depth(JointForm::Butt), [0.0, 0.0]);
    }
}
