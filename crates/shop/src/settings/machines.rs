//! Machines with their limits. A machine that is absent is not in the shop.

use serde::{Deserialize, Serialize};

/// The shop's machines.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Machines {
    /// Folder or brake.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub folder: Option<Folder>,
    /// Rolls that press a step into an edge.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub joggle_roller: Option<JoggleRoller>,
    /// Shear.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shear: Option<Shear>,
    /// Wheeling machine.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wheel: Option<Wheel>,
    /// Bending rolls.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rolls: Option<Rolls>,
    /// Shrinker and stretcher.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shrinker: Option<Shrinker>,
    /// Test strip of the shop's welder.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weld_strip: Option<super::WeldStrip>,
}

/// A folder or brake.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Folder {
    /// Longest fold.
    pub length_mm: f64,
    /// Thickest steel over that length.
    pub thickest_mm: f64,
    /// Smallest inside radius its nose gives.
    pub smallest_inside_radius_mm: f64,
    /// Shortest leg it can hold.
    pub smallest_leg_mm: f64,
    /// Largest bend angle turned from flat, degrees.
    pub largest_bend_angle_deg: f64,
}

/// Rolls for a stepped lap.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JoggleRoller {
    /// From the edge of the sheet to the frame.
    pub throat_mm: f64,
    /// Deepest step.
    pub deepest_mm: f64,
    /// Thickest steel.
    pub thickest_mm: f64,
}

/// A shear.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Shear {
    /// Longest cut.
    pub length_mm: f64,
    /// Thickest steel.
    pub thickest_mm: f64,
}

/// A wheeling machine.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wheel {
    /// From the wheel to the frame.
    pub throat_mm: f64,
    /// Thickest steel.
    pub thickest_mm: f64,
}

/// Bending rolls.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rolls {
    /// Widest sheet.
    pub width_mm: f64,
    /// Smallest inside radius.
    pub smallest_inside_radius_mm: f64,
}

/// Shrinker and stretcher jaws.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Shrinker {
    /// Reach of the jaws from the edge.
    pub throat_mm: f64,
    /// Thickest steel.
    pub thickest_mm: f64,
}
