//! A ring as a person writes it: sharp corners of its meridian by diameter and height, taped or callipered on one face.

use super::{Face, Opening, Towards};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Dimension;

/// A flanged or stepped ring, open in the middle or closed (pan, cup, seat).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Ring {
    /// Name, unique in its section or pattern.
    pub name: String,
    /// Sheet thickness.
    pub thickness: Dimension,
    /// Material key.
    pub material: String,
    /// Which way its axis points on the vehicle, out of it.
    #[serde(default = "up")]
    pub axis: Towards,
    /// Which way x points, from which holes are counted.
    #[serde(default = "front")]
    pub x_runs: Towards,
    /// Face that diameters and heights were measured on.
    #[serde(default)]
    pub face: Face,
    /// Inside radius of every bend that has none of its own.
    pub bend_radius: Dimension,
    /// Sharp corners from the innermost edge outwards; the first has diameter 0 where the ring is closed in the middle.
    #[serde(rename = "corner")]
    pub corners: Vec<RingCorner>,
    /// How it is to be made.
    #[serde(default)]
    pub make: RingMake,
    /// How thickness follows the stretch of a formed blank.
    #[serde(default)]
    pub law: RingLaw,
    /// Name of the flat leg that keeps its size while the ring is formed; absent takes what strains the sheet least.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub held: Option<String>,
    /// Which edge goes in with the section's joint.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub joins: Option<RingEdge>,
    /// ± of its sizes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reach: Option<Dimension>,
    /// Circles of bolt holes in flat legs.
    #[serde(default, rename = "bolt_circle", skip_serializing_if = "Vec::is_empty")]
    pub bolt_circles: Vec<BoltCircle>,
    /// Single round holes in flat legs: `along` is x, `from_edge` is y from the axis.
    #[serde(default, rename = "opening", skip_serializing_if = "Vec::is_empty")]
    pub openings: Vec<Opening>,
}

fn up() -> Towards {
    Towards::Up
}

fn front() -> Towards {
    Towards::Front
}

/// A sharp corner of the meridian.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RingCorner {
    /// Diameter.
    pub diameter: Dimension,
    /// Height along the axis, positive out of the vehicle.
    pub height: Dimension,
    /// Inside radius of the bend there; absent takes `bend_radius`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub radius: Option<Dimension>,
    /// Name of the leg that ends here ("seat", "wall", "flange"); absent names it by what it is.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub leg: String,
}

/// How a ring is to be made.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum RingMake {
    /// Whichever can be made, and of both the cheaper.
    #[default]
    Either,
    /// Formed from one flat blank.
    OneBlank,
    /// Built up from a part for each leg, with seams.
    BuiltUp,
}

/// How thickness follows the stretch of a formed blank.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum RingLaw {
    /// The way down the section keeps its length.
    #[default]
    MeridianKept,
    /// Width and thickness give way alike, as at a narrow free edge.
    FreeEdge,
    /// Area and thickness are kept.
    AreaKept,
}

/// An edge of a ring.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum RingEdge {
    /// The innermost edge.
    Inner,
    /// The outermost edge.
    Outer,
}

/// Holes on a circle about the axis.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoltCircle {
    /// "bolt hole".
    pub name: String,
    /// How many.
    pub count: u32,
    /// Diameter of the circle through their middles.
    pub circle: Dimension,
    /// Bolt that goes through ("M6"), hole by ISO 273 medium.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bolt: Option<String>,
    /// Diameter of the hole, where no bolt is named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hole: Option<Dimension>,
    /// Angle of the first hole from x, anticlockwise seen from outside; absent is 0°.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub first: Option<Dimension>,
    /// ± of the places; absent takes the shop's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reach: Option<Dimension>,
    /// Present only when this switch is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<String>,
    /// Absent when this switch is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unless: Option<String>,
}
