//! Holes for bolts and rivets: clearance, distance from the edge, pitch.

use crate::error::{RuleError, positive_size};
use crate::working::{Source, Working};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A metric bolt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[non_exhaustive]
pub enum Bolt {
    /// M5.
    M5,
    /// M6.
    M6,
    /// M8.
    M8,
    /// M10.
    M10,
}

/// Fit of a clearance hole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Fit {
    /// Fine.
    Fine,
    /// Medium.
    #[default]
    Medium,
    /// Coarse.
    Coarse,
}

impl Bolt {
    /// Nominal diameter.
    pub const fn diameter_mm(self) -> f64 {
        match self {
            Self::M5 => 5.0,
            Self::M6 => 6.0,
            Self::M8 => 8.0,
            Self::M10 => 10.0,
        }
    }

    /// Clearance hole by ISO 273 (F19, from memory).
    pub fn clearance_hole(self, fit: Fit) -> Working {
        let [fine, medium, coarse] = match self {
            Self::M5 => [5.3, 5.5, 5.8],
            Self::M6 => [6.4, 6.6, 7.0],
            Self::M8 => [8.4, 9.0, 10.0],
            Self::M10 => [10.5, 11.0, 12.0],
        };
        let (hole_mm, row) = match fit {
            Fit::Fine => (fine, "fine series"),
            Fit::Medium => (medium, "medium series"),
            Fit::Coarse => (coarse, "coarse series"),
        };
        Working::new("clearance hole", hole_mm, "mm", row, Source::standard("ISO 273 (from memory)", "F19")).with(
            "D",
            "bolt",
            self.diameter_mm(),
            "mm",
        )
    }
}

/// Least distance of a bolt's or rivet's centre from the edge: 2·D (F18).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn least_edge_distance(diameter_mm: f64) -> Result<Working, RuleError> {
    times("least edge distance", diameter_mm, 2.0, "2·D")
}

/// Least pitch of bolts or rivets: 3·D (F18).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn least_pitch(diameter_mm: f64) -> Result<Working, RuleError> {
    times("least pitch", diameter_mm, 3.0, "3·D")
}

fn times(name: &'static str, diameter_mm: f64, factor: f64, formula: &'static str) -> Result<Working, RuleError> {
    let d = positive_size("bolt or rivet diameter", diameter_mm)?;
    let source = Source::text("FAA AC 43.13-1B sec. 4, FAA-H-8083-31 (from memory)", "F18");
    Ok(Working::new(name, factor * d, "mm", formula, source).with("D", "diameter", d, "mm"))
}

/// Half of the clearance: how far a hole may be off before the bolt no longer goes in.
///
/// # Errors
/// [`RuleError::OutOfRange`]; [`RuleError::DoesNotFit`] for a hole not larger than its bolt.
pub fn half_clearance(hole_mm: f64, bolt_mm: f64) -> Result<Working, RuleError> {
    let (hole, bolt) = (positive_size("hole", hole_mm)?, positive_size("bolt", bolt_mm)?);
    if hole <= bolt {
        return Err(RuleError::DoesNotFit {
            what: format!("a bolt of {bolt} mm does not go through a hole of {hole} mm"),
            need: "make the hole larger than the bolt".to_owned(),
        });
    }
    Ok(Working::new("half the clearance", (hole - bolt) / 2.0, "mm", "(hole − D)/2", Source::geometry("F19"))
        .with("hole", "hole", hole, "mm")
        .with("D", "bolt", bolt, "mm"))
}
