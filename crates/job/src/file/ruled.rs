//! Pieces bent along straight lines as a person writes them: cones, and transitions between two ends or two edge lines.

use super::{Face, Segment};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Dimension;

/// A cone: to a point, cut off square or aslant, upright or leaning.
///
/// The bottom circle lies in z = 0 about the origin; x, y and z of the piece are told in `directions`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Cone {
    /// Name, unique in its section or pattern.
    pub name: String,
    /// Sheet thickness.
    pub thickness: Dimension,
    /// Material key.
    pub material: String,
    /// Face over which the sizes are given.
    #[serde(default)]
    pub face: Face,
    /// How the piece stands on the vehicle ("large end up, seam to the rear").
    pub directions: String,
    /// Diameter of the bottom circle.
    pub bottom: Dimension,
    /// Diameter of the top circle; absent for a cone to a point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub top: Option<Dimension>,
    /// Height from the bottom to the middle of the top.
    pub height: Dimension,
    /// How far the middle of the top stands off the bottom's axis, x and y.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub offset: Option<[Dimension; 2]>,
    /// The top is cut by a plane that rises towards +x by this angle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tilt: Option<Dimension>,
    /// How it is seamed and bent.
    #[serde(default)]
    pub seam: GirthSeam,
    /// Which ends are joined to the vehicle.
    #[serde(default)]
    pub joins: Joins,
}

/// A transition: between two ends (square to round, oval to round, hopper), or between two edge lines in space.
///
/// Give `bottom`, `top` and `height`, or two `edges`. The bottom end lies in z = 0 with its middle at the origin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Transition {
    /// Name, unique in its section or pattern.
    pub name: String,
    /// Sheet thickness.
    pub thickness: Dimension,
    /// Material key.
    pub material: String,
    /// Face over which the sizes are given, or on which the edge lines lie.
    #[serde(default)]
    pub face: Face,
    /// How the piece stands on the vehicle ("round end up, x to the front").
    pub directions: String,
    /// Bottom end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bottom: Option<End>,
    /// Top end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub top: Option<End>,
    /// Height between the middles of the ends.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<Dimension>,
    /// How far the middle of the top stands off the axis, x and y.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub offset: Option<[Dimension; 2]>,
    /// The plane of the top rises by these angles towards +x and towards +y.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tilt: Option<[Dimension; 2]>,
    /// Two edge lines in space instead of two ends, run through the same way.
    #[serde(default, rename = "edge", skip_serializing_if = "Vec::is_empty")]
    pub edges: Vec<SpaceEdge>,
    /// Direction that points to the outside near the middle of an open piece; needed with open edges.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outward: Option<[f64; 3]>,
    /// How it is seamed and bent.
    #[serde(default)]
    pub seam: GirthSeam,
    /// Which ends are joined to the vehicle.
    #[serde(default)]
    pub joins: Joins,
}

/// An end of a transition: exactly one of `rectangle`, `round` and `oval`.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct End {
    /// Along x and along y.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rectangle: Option<[Dimension; 2]>,
    /// Corner radius of the rectangle; absent folds its corners sharp.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corner_radius: Option<Dimension>,
    /// Diameter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub round: Option<Dimension>,
    /// Two half circles joined by straights: along x and along y over all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub oval: Option<[Dimension; 2]>,
    /// Turned about the axis, anticlockwise seen from above.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turned: Option<Dimension>,
}

/// An edge line in space; corners are accepted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SpaceEdge {
    /// Name as printed ("lower edge").
    pub name: String,
    /// Start.
    pub start: super::Point,
    /// Segments; the line is closed when the last ends at the start.
    pub segments: Vec<Segment>,
}

/// How a piece is seamed, shared out and bent.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct GirthSeam {
    /// Where it lies.
    pub at: SeamAt,
    /// Lap left on at the seam; absent welds it edge to edge.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lap: Option<Dimension>,
    /// Made in so many pieces round the girth.
    pub pieces: u32,
    /// This is the one of that number, from 1.
    pub piece: u32,
    /// Largest bend at one marked line; absent takes 15°.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub step: Option<Dimension>,
    /// Inside radius of sharp folds; absent takes the thickness.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fold_radius: Option<Dimension>,
}

impl Default for GirthSeam {
    fn default() -> Self {
        Self { at: SeamAt::Short, lap: None, pieces: 1, piece: 1, step: None, fold_radius: None }
    }
}

/// Where the seam lies.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SeamAt {
    /// Along the shortest line between the two ends: the least welding.
    #[default]
    Short,
    /// Through a corner, counted from 1.
    Corner(usize),
    /// From the middle of a straight side, counted from 1.
    MidSide(usize),
    /// At a share of the girth of the bottom from its start, 0 to 1.
    Share(f64),
}

/// Which ends are joined to the vehicle.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Joins {
    /// The bottom, or the first edge.
    #[default]
    Bottom,
    /// The top, or the second edge.
    Top,
    /// Both.
    Both,
}
