//! What the shop or the job chooses for the development of strips.

use crate::flatten::shop_terms::GatherLimits;
use crate::{BlankError, DevelopSettings};
use handbook::crown::CrownLimits;
use handbook::shop_rules::{ShopRules, WireEnd};
use serde::{Deserialize, Serialize};

/// Which lengthwise line is held.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Held {
    /// The fold or edge line nearest the middle of the developed width.
    #[default]
    NearestMiddle,
    /// The line of that name, as the blank's stations list them.
    Line(String),
}

/// What is left on along a raw edge.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Trim {
    /// The larger of the make-up's own trim and the reach of the height, rounded up to half a millimetre.
    #[default]
    FromReach,
    /// The make-up's own trim only.
    AsGiven,
}

/// Settings for strips.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct StripSettings {
    /// Which line is held.
    pub held: Held,
    /// Trim along a raw cut edge.
    pub trim: Trim,
    /// How the wire of a wired edge ends, at the start and at the end of the piece.
    pub wire_ends: [WireEnd; 2],
    /// What stands out of a wire whose ends nobody has said yet (handbook H10).
    pub wire_stands_out_mm: f64,
    /// Crown strain up to which a strip springs to shape (handbook H3).
    pub springs_to_shape_strain: f64,
    /// Crown strain from which a strip wants a wheeled skin (handbook S24).
    pub wants_a_skin_strain: f64,
    /// Stretch of a free edge from which reliefs are proposed; `None` takes half the uniform strain of the material (handbook S32).
    pub stretch_limit: Option<f64>,
    /// Gathering of a free edge from which reliefs are proposed, and past which it is not made without (shop settings, no source).
    pub gather: GatherLimits,
}

impl Default for StripSettings {
    fn default() -> Self {
        Self::from_rules(&ShopRules::default())
    }
}

impl StripSettings {
    /// Settings as the shop's rules give them.
    #[must_use]
    pub fn from_rules(rules: &ShopRules) -> Self {
        Self {
            held: Held::default(),
            trim: Trim::default(),
            wire_ends: [rules.wire_end; 2],
            wire_stands_out_mm: rules.wire_stands_out_mm,
            springs_to_shape_strain: rules.springs_to_shape_strain,
            wants_a_skin_strain: rules.wants_a_skin_strain,
            stretch_limit: None,
            gather: GatherLimits::default(),
        }
    }

    /// Limits between the grades of a crowned strip.
    #[must_use]
    pub const fn crown_limits(&self) -> CrownLimits {
        CrownLimits { springs_to_shape: self.springs_to_shape_strain, wants_a_skin: self.wants_a_skin_strain }
    }

    pub(super) fn check(&self, settings: &DevelopSettings) -> Result<(), BlankError> {
        let within = |what: &str, got: f64, min: f64, max: f64, unit: &str| {
            if (min..=max).contains(&got) {
                return Ok(());
            }
            let what = format!("{what} is {got} {unit}; between {min} and {max} {unit} is accepted");
            Err(BlankError::Bend { place: "settings".into(), what })
        };
        within("the sampling tolerance", settings.sampling_tolerance_mm, 1e-7, 1.0, "mm")?;
        within("the pilot hole", settings.pilot_hole_mm, 0.5, 20.0, "mm")?;
        within("what a wire stands out", self.wire_stands_out_mm, -500.0, 500.0, "mm")?;
        within("the stretch limit", self.stretch_limit.unwrap_or(0.1), 0.0, 1.0, "")?;
        within("the gathering that is warned of", self.gather.caution, 0.0, 1.0, "")?;
        within("the gathering that stops", self.gather.stop, self.gather.caution, 1.0, "")
    }
}
