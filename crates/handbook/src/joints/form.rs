//! The forms a joint of body sheet takes at the cut line, one finer than [`JointKind`]: what lies on what, and how it is held.

use super::JointKind;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A joint as the fitter makes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum JointForm {
    /// Edge to edge: fusion weld, planished.
    Butt,
    /// The piece is stepped behind the old sheet; plug welds.
    SteppedLapPlug,
    /// The piece is stepped behind the old sheet; resistance spots.
    SteppedLapSpot,
    /// The piece lies behind the old sheet without a step; plug welds, both edges tacked.
    DoublerPlug,
    /// The piece lies behind the old sheet without a step; resistance spots.
    DoublerSpot,
    /// Sheet on sheet, held by adhesive alone.
    BondedLap,
    /// Flange on flange with a spacer between, bolted.
    BoltedFlange,
    /// A sheet or sleeve over the wall of a tube: plugs in the lap, the long seam in short runs.
    SheetToTube,
    /// A flange renewed: its lap leg goes under the old skin; plug welds.
    FlangeUnderSkin,
    /// A flange renewed: its lap leg is bonded under the old skin.
    BondedFlange,
}

impl JointForm {
    /// Every form, in the order in which they are listed where nothing speaks for one before another.
    pub const ALL: [Self; 10] = [
        Self::SteppedLapPlug,
        Self::Butt,
        Self::SteppedLapSpot,
        Self::DoublerPlug,
        Self::DoublerSpot,
        Self::FlangeUnderSkin,
        Self::SheetToTube,
        Self::BoltedFlange,
        Self::BondedFlange,
        Self::BondedLap,
    ];

    /// The kind whose figures it takes.
    pub const fn kind(self) -> JointKind {
        match self {
            Self::Butt => JointKind::Butt,
            Self::SteppedLapPlug => JointKind::SteppedLapPlug,
            Self::SteppedLapSpot => JointKind::SteppedLapSpot,
            Self::DoublerPlug | Self::SheetToTube | Self::FlangeUnderSkin => JointKind::PlainLap,
            Self::DoublerSpot => JointKind::PlainLapSpot,
            Self::BondedLap | Self::BondedFlange => JointKind::BondedLap,
            Self::BoltedFlange => JointKind::BoltedFlange,
        }
    }

    /// Name as printed.
    pub const fn name(self) -> &'static str {
        match self {
            Self::DoublerPlug => "plain lap, doubler behind, plug welded and both edges tacked",
            Self::DoublerSpot => "plain lap, doubler behind, spot welded",
            Self::SheetToTube => "lap on the tube, plug welded, long seam in short runs",
            Self::FlangeUnderSkin => "flange renewed, lap leg under the skin, plug welded",
            Self::BondedFlange => "flange renewed, lap leg bonded under the skin",
            _ => self.kind().name(),
        }
    }

    /// Held by an arc through holes in the sheet nearest the torch.
    pub const fn is_plugged(self) -> bool {
        matches!(self.kind(), JointKind::SteppedLapPlug | JointKind::PlainLap)
    }

    /// Held by resistance spots.
    pub const fn is_spotted(self) -> bool {
        matches!(self.kind(), JointKind::SteppedLapSpot | JointKind::PlainLapSpot)
    }

    /// Held by adhesive.
    pub const fn is_bonded(self) -> bool {
        matches!(self.kind(), JointKind::BondedLap)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_stands_in_the_list_once_with_a_name_of_its_own() {
        let mut names: Vec<_> = JointForm::ALL.iter().map(|form| form.name()).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), JointForm::ALL.len());
        for form in JointForm::ALL {
            assert_eq!(form.kind().is_welded(), form == JointForm::Butt || form.is_plugged() || form.is_spotted());
        }
    }
}
