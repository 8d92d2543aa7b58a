//! What the shop allows for: trim, reach, tolerance on stock. The trade's own rules (H1 to H14) are
//! [`handbook::ShopRules`]; these are the shop's habits beside them, common practice, no source.

use serde::{Deserialize, Serialize};

/// The shop's allowances.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Allowances {
    /// Trial strips of wired edges.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub wire_trials: Vec<WireTrial>,
    /// A stock wire this near to the measured curl is taken without a question.
    pub wire_within_mm: f64,
    /// A stock sheet this near to the thickness asked for is taken (EN 10131 normal tolerance of 0.9 mm sheet).
    pub sheet_within_mm: f64,
    /// Reach of a hole's place when the pattern says none.
    pub hole_reach_mm: f64,
    /// Least extra left on an edge to trim.
    pub least_trim_mm: f64,
    /// Extra to trim in multiples of the reach of the size.
    pub trim_in_reaches: f64,
    /// Rust that is only seen, not proven: the second height lies this much above the first (absent: one lap).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unproven_extra_mm: Option<f64>,
    /// Inside radius of a closed hem over the thickness.
    pub hem_radius_per_thickness: f64,
    /// Two edges of one seam may differ by so much beyond their reach before it is dressed to fit.
    pub seam_within_mm: f64,
    /// Space kept between blanks on a sheet (J4).
    pub blank_gap_mm: f64,
    /// Border kept on a sheet (J4).
    pub sheet_border_mm: f64,
}

impl Default for Allowances {
    fn default() -> Self {
        Self {
            wire_trials: Vec::new(),
            wire_within_mm: 0.2,
            sheet_within_mm: 0.06,
            hole_reach_mm: 0.5,
            least_trim_mm: 1.0,
            trim_in_reaches: 1.0,
            unproven_extra_mm: None,
            hem_radius_per_thickness: 0.5,
            seam_within_mm: 0.5,
            blank_gap_mm: 5.0,
            sheet_border_mm: 10.0,
        }
    }
}

/// A trial strip of a wired edge, rolled by the shop.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WireTrial {
    /// Wire diameter.
    pub wire_mm: f64,
    /// Sheet.
    pub thickness_mm: f64,
    /// Developed width found, from the tangent where the wrap starts.
    pub allowance_mm: f64,
}
