//! What the advice is asked about.

use handbook::joints::{JointForm, Metal};
use handbook::welding::HeatProcess;
use serde::{Deserialize, Serialize};

/// Practice of the fitter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Skill {
    /// Little practice, or none.
    Volunteer,
    /// Regular practice, not a trade.
    Handy,
    /// A trade.
    Trade,
}

/// Welding kit of the fitter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Kit {
    /// None: rivets, bolts or bonding.
    None,
    /// Gas-shielded wire.
    GasShieldedWire,
    /// TIG.
    Tig,
    /// Oxy-acetylene.
    OxyAcetylene,
    /// Spot welder.
    Spot,
}

impl Kit {
    /// Process by which its heat is worked out; none without an arc or a flame.
    #[must_use]
    pub const fn process(self) -> Option<HeatProcess> {
        match self {
            Self::GasShieldedWire => Some(HeatProcess::WireInDots),
            Self::Tig => Some(HeatProcess::Tig),
            Self::OxyAcetylene => Some(HeatProcess::OxyAcetylene),
            Self::None | Self::Spot => None,
        }
    }
}

/// Where the joint runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// Along a cut in a panel.
    Panel,
    /// Along the bend of a flange that is renewed, with a lap leg under the skin.
    RenewedFlange,
    /// Round a tube, end to end.
    TubeEnd,
    /// On the wall of a tube: patch or sleeve.
    TubeWall,
    /// Round an edge on which no step can be pressed (ring, cone).
    RoundEdge,
}

impl Place {
    /// Forms that can be made there (a bolted flange where there are flanges to bolt), in the order of [`JointForm::ALL`].
    pub const fn forms(self) -> &'static [JointForm] {
        use JointForm as F;
        match self {
            Self::Panel => &[
                F::SteppedLapPlug,
                F::Butt,
                F::SteppedLapSpot,
                F::DoublerPlug,
                F::DoublerSpot,
                F::BoltedFlange,
                F::BondedLap,
            ],
            Self::RenewedFlange => &[F::DoublerSpot, F::FlangeUnderSkin, F::BondedFlange],
            Self::TubeEnd => &[F::Butt],
            Self::TubeWall => &[F::SheetToTube, F::BondedLap],
            Self::RoundEdge => &[F::Butt, F::DoublerPlug, F::DoublerSpot, F::BoltedFlange, F::BondedLap],
        }
    }
}

/// Warp that was computed for one form of joint.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
pub struct WarpFigure {
    /// Form.
    pub form: JointForm,
    /// Largest height out of the panel's own shape; none where no resting shape was found for the whole spread of the shrinkage.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_mm: Option<f64>,
    /// Reach of the height.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reach_mm: Option<f64>,
    /// The panel buckles (its margin is below one).
    pub buckles: bool,
}

/// Everything that the advice weighs.
#[derive(Debug, Clone, PartialEq)]
pub struct Situation {
    /// Where.
    pub place: Place,
    /// There are flanges to bolt.
    pub flanged: bool,
    /// Old sheet.
    pub old_mm: f64,
    /// New sheet.
    pub new_mm: f64,
    /// Metal of the old panel; `None` when nobody has tried it.
    pub old_metal: Option<Metal>,
    /// Metal of the new piece.
    pub new_metal: Metal,
    /// Practice.
    pub skill: Skill,
    /// Kit.
    pub kit: Kit,
    /// The back can be reached, now and afterwards.
    pub access_behind: bool,
    /// The outside shows; `None` when not said.
    pub visible: Option<bool>,
    /// It bears load beyond its own panel; `None` when not said.
    pub load_bearing: Option<bool>,
    /// Within 300 mm of a mounting (C5); `None` when not said.
    pub near_mounting: Option<bool>,
    /// The old joint there was spot welded; `None` when not said.
    pub was_spot_welded: Option<bool>,
    /// The panel or its section comes out whole, to its own seams; `None` when not said.
    pub whole_panel: Option<bool>,
    /// Country whose rules apply, two letters; empty when not said.
    pub country: String,
    /// Computed warp by form, where it has been computed.
    pub warp: Vec<WarpFigure>,
}

impl Situation {
    /// Whether rules for load-bearing structure apply: it bears load, or a mounting is near. `None` when neither is known.
    pub fn carries(&self) -> Option<bool> {
        match (self.load_bearing, self.near_mounting) {
            (Some(true), _) | (_, Some(true)) => Some(true),
            (Some(false), Some(false)) => Some(false),
            _ => None,
        }
    }

    pub(super) fn not_said(&self) -> Vec<String> {
        let asked = [
            (self.old_metal.is_none(), "which metal the old panel is (magnet, file mark)"),
            (self.load_bearing.is_none(), "whether it bears load beyond its own panel"),
            (
                self.near_mounting.is_none(),
                "whether a mounting of brakes, steering, suspension, seat or belt is within 300 mm",
            ),
            (self.visible.is_none(), "whether the joint shows"),
            (
                self.carries() == Some(true) && (self.was_spot_welded.is_none() || self.whole_panel.is_none()),
                "whether the old joint was spot welded and the whole panel comes out",
            ),
        ];
        asked.into_iter().filter(|(missing, _)| *missing).map(|(_, words)| words.to_owned()).collect()
    }

    pub(super) fn thin_mm(&self) -> f64 {
        self.old_mm.min(self.new_mm)
    }
}
