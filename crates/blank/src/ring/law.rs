//! How thickness follows the hoop strain while a flat annulus is formed to a ring.

use serde::{Deserialize, Serialize};

/// A thickness law: the meridian strain is −p times the hoop strain, the rest goes into the thickness (constant volume).
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ThicknessLaw {
    /// p = 0: the meridian keeps its length, all hoop strain goes into the thickness. What F7 and F8 assume, and the careful choice
    /// for stretching.
    #[default]
    MeridianKept,
    /// p = 1/2: hoop stress alone, as at a narrow free flange: width and thickness share the strain alike (isotropic sheet).
    FreeEdge,
    /// p = 1: every ring keeps its area and so its thickness. What the blank rules S1–S8 assume.
    AreaKept,
}

impl ThicknessLaw {
    /// Every law.
    pub const ALL: [Self; 3] = [Self::MeridianKept, Self::FreeEdge, Self::AreaKept];

    /// The p of the law.
    #[must_use]
    pub const fn exponent(self) -> f64 {
        match self {
            Self::MeridianKept => 0.0,
            Self::FreeEdge => 0.5,
            Self::AreaKept => 1.0,
        }
    }

    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::MeridianKept => "the meridian keeps its length (F7)",
            Self::FreeEdge => "hoop stress alone, as at a free edge",
            Self::AreaKept => "area and thickness kept (S1–S8)",
        }
    }
}
