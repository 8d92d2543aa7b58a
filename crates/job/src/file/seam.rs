//! Seams between the pieces of one section, and where a piece stands among the others.

use super::{Fixing, Point, Towards, Turns};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Dimension;

/// A seam: an edge of one piece joined to an edge of another, or to a line on its face.
///
/// Edges are written by their names: of a strip "finished edge", "cut edge" and its two ends by name; of a folded piece the
/// names of its edges ("edge 0" where none is given), with " start" and " end" for the ends of its legs; of a skin its own names.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Seam {
    /// What it is called on paper; absent takes both pieces' names.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// The piece that is put on.
    pub piece: String,
    /// Its edge.
    pub edge: String,
    /// What it is put on.
    pub to: SeamTo,
    /// How they are joined.
    #[serde(default)]
    pub joint: SeamJoint,
    /// Lap; absent takes the handbook's overlap. Only for a lap.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lap: Option<Dimension>,
    /// How a lap or two flanges are held.
    #[serde(default = "plug")]
    pub fixing: Fixing,
    /// Angle between the two sheets, as an opening angle (180° straight on, 90° square, 0° face to face); absent takes 180° for
    /// a butt or lap, 0° for flange to flange, 90° for an edge on a face.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stands: Option<Dimension>,
    /// Which side of the other's sheet the piece turns to: of a folded piece inside is the side away from the face that its
    /// sizes are over.
    #[serde(default = "inside")]
    pub turns: Turns,
    /// The edge runs against the other one: start lies on end.
    #[serde(default)]
    pub reversed: bool,
    /// Number of the sub-assembly that it is welded in; absent follows the order of the file.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step: Option<u32>,
    /// Welded or dressed from inside, so it must be done before a box is shut.
    #[serde(default)]
    pub from_inside: bool,
}

fn plug() -> Fixing {
    Fixing::Plug
}

fn inside() -> Turns {
    Turns::Inside
}

/// What a piece is put on: exactly one of `edge`, `line` and `round`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SeamTo {
    /// The other piece.
    pub piece: String,
    /// Its edge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub edge: Option<String>,
    /// Stretch of that edge, from its start; absent takes all of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stretch: Option<[Dimension; 2]>,
    /// A straight line on its face: two places, each along and from the edge as an opening's. On the wall of a tube: station, and
    /// the place round the girth as an angle or as a length along the outside; the same for both ends of a straight edge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line: Option<[[Dimension; 2]; 2]>,
    /// A round on its face: place (along, from the edge) and diameter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub round: Option<[Dimension; 3]>,
    /// Which leg the line or round lies on, as for an opening; absent is the base or skin.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub on: String,
}

/// How two pieces of a section are joined.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SeamJoint {
    /// Edge to edge, welded and dressed; also a corner whose outer edges meet.
    #[default]
    Butt,
    /// The piece laps under the other: behind its sheet.
    LapUnder,
    /// The piece laps over the other: on the face of its sheet.
    LapOver,
    /// Two flanges face to face, rims flush.
    Flange,
    /// The edge stands on the face of the other.
    EdgeToFace,
}

impl SeamJoint {
    /// Is sheet laid on sheet?
    #[must_use]
    pub const fn is_lap(self) -> bool {
        matches!(self, Self::LapUnder | Self::LapOver)
    }
}

/// Where a piece that has only its own axes stands: its base frame on the vehicle, or among the other pieces.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Placed {
    /// The piece.
    pub piece: String,
    /// Where the zero of its own axes lies.
    pub at: Point,
    /// Which way its x runs.
    pub x_runs: Towards,
    /// Which way its y runs.
    pub y_runs: Towards,
}

/// An edge that goes in with the section's joint.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct JoinedEdge {
    /// The piece.
    pub piece: String,
    /// Its edge.
    pub edge: String,
}
