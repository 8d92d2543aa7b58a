//! Which metal a sheet is, as far as joining goes.

use crate::materials::Material;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A metal as far as joining goes. Asked before any heat is reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Metal {
    /// Plain low-carbon steel: a magnet holds, the file mark is bright and grey.
    Steel,
    /// The same with a zinc coat: a magnet holds; the file goes through a soft, paler skin first.
    ZincCoatedSteel,
    /// Aluminium: no magnet holds, the file mark is white and soft, and the piece is light.
    Aluminium,
    /// Anything else (stainless, brass, copper, cast metal): no joint of heat is worked out for it.
    Other,
}

impl Metal {
    /// Name as printed.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Steel => "steel",
            Self::ZincCoatedSteel => "zinc-coated steel",
            Self::Aluminium => "aluminium",
            Self::Other => "another metal",
        }
    }

    /// Of a stock material.
    pub const fn of(material: Material) -> Self {
        match material {
            Material::ZincCoatedSteel => Self::ZincCoatedSteel,
            Material::Stainless18_8 => Self::Other,
            Material::Aluminium1050aO
            | Material::Aluminium1050aH14
            | Material::Aluminium3003O
            | Material::Aluminium5251O => Self::Aluminium,
            _ => Self::Steel,
        }
    }

    /// Steel, with or without zinc.
    pub const fn is_steel(self) -> bool {
        matches!(self, Self::Steel | Self::ZincCoatedSteel)
    }

    /// Steel beside aluminium: no arc joins the two, and where they touch wet the aluminium is eaten away (common practice, no source).
    #[must_use]
    pub const fn is_steel_beside_aluminium(self, other: Self) -> bool {
        (self.is_steel() && matches!(other, Self::Aluminium)) || (matches!(self, Self::Aluminium) && other.is_steel())
    }
}
