//! A pair of mating bolted flanges: two strips that share one edge line.
//!
//! The pair's edge line is where the contact plane (middle of the spacer) meets the outside skins. Each flange's face
//! stands off half the spacer. Holes are station and distance from the edge line in the contact plane, axis square to it.

use crate::{Along, EdgeLine, Link, Outward, Runs};
use serde::{Deserialize, Serialize};

/// One hole through both flanges.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PairHole {
    /// Name printed beside it.
    pub name: String,
    /// Arc length along the shared edge line.
    pub station_mm: f64,
    /// Distance from the edge line in the contact plane.
    pub distance_mm: f64,
    /// Diameter.
    pub diameter_mm: f64,
    /// Reach of its place.
    pub reach_mm: f64,
    /// Half the play the bolt has (ISO 273 clearance / 2).
    pub half_clearance_mm: f64,
}

/// One of the two strips.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PairMember {
    /// "upper flange".
    pub name: String,
    /// Up: skin leaves the edge line along +u; down: along −u.
    pub runs: Runs,
    /// Opening angle between skin and flange, rad, along the stations (acute and obtuse both normal).
    pub opening_angle_rad: Along,
    /// Inside radius of the fold.
    pub inside_radius_mm: f64,
    /// Flange width in the contact plane, from the edge line.
    pub flange_width_mm: Along,
    /// Skin links above the fold (the first link starts at the edge line).
    pub skin: Vec<Link>,
    /// Sheet.
    pub thickness_mm: f64,
    /// Material key in the handbook.
    pub material: String,
}

/// The pair.
#[derive(Debug, Clone)]
pub struct FlangePair {
    /// Shared edge line.
    pub edge_line: EdgeLine,
    /// Outward vector(s).
    pub outward: Outward,
    /// Direction of the contact plane away from the edge line, as an angle in the (o, u) plane measured from −o
    /// (straight into the vehicle) towards +u, rad.
    pub contact_angle_rad: Along,
    /// Spacer thickness between the flange faces.
    pub spacer_mm: f64,
    /// Holes through both.
    pub holes: Vec<PairHole>,
    /// First and second member.
    pub members: [PairMember; 2],
}
