//! Pieces as a person writes them. `kind` tells which; more kinds join without changing format 1.

use super::{Cone, Ring, Skin, Transition, Tube};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Dimension;

/// A point: x, y, z.
pub type Point = [Dimension; 3];

/// A piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case", tag = "kind")]
#[expect(clippy::large_enum_variant, reason = "a job has few pieces, and every reader matches on them")]
pub enum Piece {
    /// An edge line with cross-sections along it.
    Strip(Strip),
    /// A base outline with folds.
    Folded(Folded),
    /// A double-curved skin.
    Skin(Skin),
    /// A round tube.
    Tube(Tube),
    /// A cone or frustum.
    Cone(Cone),
    /// A transition between two ends or two edge lines.
    Transition(Transition),
    /// A flanged or stepped ring.
    Ring(Ring),
}

/// A strip.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Strip {
    /// Name, unique in its section or pattern.
    pub name: String,
    /// Sheet thickness ("0.9 mm", "20 swg").
    pub thickness: Dimension,
    /// Material key of the handbook.
    pub material: String,
    /// Edge line; absent for a member of a pair.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub edge_line: Option<EdgeLine>,
    /// Stretch of the edge line that is made when nothing else is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stretch: Option<[Dimension; 2]>,
    /// Cross-sections; absent for a member of a pair.
    #[serde(default, rename = "cross_section", skip_serializing_if = "Vec::is_empty")]
    pub cross_sections: Vec<CrossSection>,
    /// Up or down from the edge line.
    #[serde(default)]
    pub runs: Runs,
    /// Make-ups on the finished edge, outward.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub finished_edge: Vec<MakeUp>,
    /// Make-ups on the cut edge before the joint's own.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cut_edge: Vec<MakeUp>,
    /// Make-ups on the end at the start of the edge line, outward: a flange, a hem or a wire round the corner. Such an end is not trimmed to
    /// fit, has no spare length, and its corners with the long edges are mitred or relieved. The edge must be straight seen from outside.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub start_edge: Vec<MakeUp>,
    /// The same at its far end.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub end_edge: Vec<MakeUp>,
    /// Openings.
    #[serde(default, rename = "opening", skip_serializing_if = "Vec::is_empty")]
    pub openings: Vec<Opening>,
    /// This strip as a member of a pair.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_pair: Option<PairSide>,
    /// Line held in the flat: a name as printed in the flat's list of lines; absent takes the one nearest the middle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub held_line: Option<String>,
}

/// An edge line in the file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EdgeLine {
    /// Name of the start end as printed ("front end").
    pub start_name: String,
    /// Name of the far end.
    pub end_name: String,
    /// Start.
    pub start: Point,
    /// Segments.
    pub segments: Vec<Segment>,
    /// Outward vector, or one per station.
    pub outward: Outward,
    /// Face the line lies on.
    #[serde(default)]
    pub face: Face,
}

/// One segment: exactly one of `straight`, `arc` and `through`, with the switches it hangs on. A stretch that runs
/// another way in another version is written twice, once under `when` and once under `unless`.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Segment {
    /// Present only when this switch is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<String>,
    /// Absent when this switch is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unless: Option<String>,
    /// Straight to a point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub straight: Option<Point>,
    /// Arc via a point to a point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub arc: Option<[Point; 2]>,
    /// Smooth through points.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub through: Option<Vec<Point>>,
}

/// Outward: pure numbers, a direction.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Outward {
    /// One vector.
    One([f64; 3]),
    /// One per station.
    PerStation(Vec<OutwardAt>),
}

/// Outward at a station.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OutwardAt {
    /// Station.
    pub station: Dimension,
    /// Vector.
    pub vector: [f64; 3],
}

/// Face of the sheet.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Face {
    /// Outside.
    #[default]
    Outside,
    /// Middle.
    Middle,
    /// Inside.
    Inside,
}

impl Face {
    /// "outside", "middle", "inside".
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Outside => "outside",
            Self::Middle => "middle",
            Self::Inside => "inside",
        }
    }
}

/// Up or down.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Runs {
    /// Up.
    #[default]
    Up,
    /// Down.
    Down,
}

/// Which way something turns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Turns {
    /// Towards the inside of the vehicle; of a folded piece: up, towards the face up.
    Inside,
    /// Towards the outside; of a folded piece: down.
    Outside,
}

/// A cross-section.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CrossSection {
    /// Present only when this switch is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<String>,
    /// Absent when this switch is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unless: Option<String>,
    /// Station.
    pub station: Dimension,
    /// Direction of the first link from straight up, positive towards the outside ("0°").
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub start_angle: Option<Dimension>,
    /// Links.
    pub links: Vec<Link>,
}

/// A link of a cross-section.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Link {
    /// Straight of a length.
    Straight(Dimension),
    /// Arc: inside radius and bend angle turned from flat, positive towards the outside.
    Arc {
        /// Inside radius.
        radius: Dimension,
        /// Bend angle.
        bend: Dimension,
    },
}

/// A value that may change along the edge.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Along {
    /// The same everywhere.
    One(Dimension),
    /// Station and value pairs.
    At(Vec<[Dimension; 2]>),
}

/// A make-up, with the switches it hangs on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MakeUp {
    /// Present only when this switch is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<String>,
    /// Absent when this switch is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unless: Option<String>,
    /// What it is.
    #[serde(flatten)]
    pub what: MakeUpKind,
}

/// Kinds of make-up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case", tag = "make", deny_unknown_fields)]
pub enum MakeUpKind {
    /// Plain edge with something to trim.
    Raw {
        /// Extra.
        trim: Dimension,
    },
    /// Step and lap.
    Joggle {
        /// Depth; absent takes the old panel's thickness.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        depth: Option<Dimension>,
        /// Lap from the step line.
        lap: Dimension,
    },
    /// A fold with a leg.
    Flange {
        /// Opening angle between the faces (90° square, below acute).
        opening: Along,
        /// Inside radius.
        radius: Dimension,
        /// Width from the sharp outer corner.
        width: Along,
        /// Which way it turns.
        turns: Turns,
        /// What is done where its free edge, on a curved line, is worked past the metal's limit.
        #[serde(default, skip_serializing_if = "FlangeRelief::is_none")]
        relief: FlangeRelief,
        /// Split flange: from the sharp outer corner to the seam; absent takes the widest that needs no relief.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        split_at: Option<Dimension>,
        /// The first flange of a strip's finished edge, renewed by cutting on the bend: its other leg is a lap under the old skin, as long
        /// as the section's joint says.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        lap_leg: bool,
    },
    /// Wrapped round a wire.
    Wired {
        /// Wire: diameter or gauge; absent until the old curl is measured.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        wire: Option<Dimension>,
        /// Which way the curl turns.
        turns: Turns,
        /// What stands out at start and end ("flush" is 0, negative is short).
        #[serde(default, skip_serializing_if = "Option::is_none")]
        stands_out: Option<[Dimension; 2]>,
    },
    /// Folded back on itself.
    Hem {
        /// Width of the folded-back leg.
        width: Dimension,
        /// Inside radius; absent = half the thickness.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        radius: Option<Dimension>,
        /// Left open to drain.
        #[serde(default)]
        open: bool,
        /// Which way it folds.
        turns: Turns,
    },
    /// Leg for a seam.
    Seam {
        /// Width.
        width: Dimension,
    },
}

/// What is done about a flange on a curved line whose free edge would be worked past the metal's limit.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FlangeRelief {
    /// Nothing: past the limit it is not made.
    #[default]
    None,
    /// V notches in an edge that is gathered, closed and welded when it is folded.
    Notches,
    /// Scallops with a round foot in an edge that is let out.
    Scallops,
    /// Folded as far as a seam; the rest is a piece of its own, welded on.
    Split,
}

impl FlangeRelief {
    fn is_none(&self) -> bool {
        *self == Self::None
    }
}

/// An opening.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Opening {
    /// Name.
    pub name: String,
    /// Where: "skin" (default), "finished 0", "cut 0" on a strip; "base" (default), "fold 2" or "fold 2.1" on a folded piece.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub on: String,
    /// Station, or x.
    pub along: Dimension,
    /// Distance from the edge, or y.
    pub from_edge: Dimension,
    /// Round: diameter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub diameter: Option<Dimension>,
    /// Round: bolt that goes through ("M6"), diameter by ISO 273 medium.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bolt: Option<String>,
    /// Slot: length over the ends and width.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slot: Option<[Dimension; 2]>,
    /// Rectangle: length along the edge and width.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rectangle: Option<[Dimension; 2]>,
    /// Rectangle: radius of its corners; absent takes 3 mm, never sharp.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corner_radius: Option<Dimension>,
    /// Not made in the piece: a let-in plate is supplied for the fitter to open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub let_in: Option<LetIn>,
    /// Slot or rectangle: turned from the edge direction.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turned: Option<Dimension>,
    /// Cut-out: corners about its place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corners: Option<Vec<[Dimension; 2]>>,
    /// ± of its place; absent takes the shop's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reach: Option<Dimension>,
    /// Present only when this switch is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<String>,
    /// Absent when this switch is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unless: Option<String>,
}

/// A let-in plate that is supplied in place of an opening.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LetIn {
    /// Sound metal left all round the opening.
    pub margin: Dimension,
    /// Lap beyond it that goes behind the panel; 0 for edge to edge.
    #[serde(default = "Dimension::zero")]
    pub lap: Dimension,
    /// Radius of the plate's corners; never sharp.
    pub corner_radius: Dimension,
}

/// Shared edge line of mating flanges.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pair {
    /// Name.
    pub name: String,
    /// Edge line: where the contact plane (middle of the spacer) meets the outside skins.
    pub edge_line: EdgeLine,
    /// Stretch made when nothing else is said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stretch: Option<[Dimension; 2]>,
    /// Contact plane: angle from straight into the vehicle, positive upward.
    pub contact_angle: Along,
    /// Spacer.
    pub spacer: Dimension,
    /// Holes through both.
    #[serde(default, rename = "hole", skip_serializing_if = "Vec::is_empty")]
    pub holes: Vec<PairHole>,
}

/// A hole through both flanges.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PairHole {
    /// Name.
    pub name: String,
    /// Station.
    pub station: Dimension,
    /// Distance from the edge line in the contact plane.
    pub distance: Dimension,
    /// Bolt ("M6"), clearance by ISO 273 medium.
    pub bolt: String,
    /// ± of its place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reach: Option<Dimension>,
    /// Present only when this switch is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<String>,
    /// Absent when this switch is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unless: Option<String>,
}

/// A strip as one member of a pair.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PairSide {
    /// Name of the pair.
    pub pair: String,
    /// Opening angle between its skin and its flange.
    pub opening: Along,
    /// Inside radius.
    pub radius: Dimension,
    /// Flange width in the contact plane from the edge line.
    pub width: Along,
    /// Skin links from the edge line.
    pub skin: Vec<Link>,
}

/// A folded piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Folded {
    /// Name.
    pub name: String,
    /// Sheet thickness.
    pub thickness: Dimension,
    /// Material key.
    pub material: String,
    /// Which side of the vehicle the face up is: "outside" or "inside".
    pub face_up_is: Turns,
    /// What the x and y directions of the base are on the vehicle ("x runs rearward, y to the left").
    pub directions: String,
    /// Base corners over the outside, anticlockwise seen from the face up.
    pub base: Vec<[Dimension; 2]>,
    /// One per edge, in order; missing ones are raw.
    #[serde(default, rename = "edge", skip_serializing_if = "Vec::is_empty")]
    pub edges: Vec<FoldedEdge>,
    /// Corners: welded unless listed here as open.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub open_corners: Vec<usize>,
    /// Relief hole diameter; absent takes the handbook's rule.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub relief: Option<Dimension>,
    /// Openings.
    #[serde(default, rename = "opening", skip_serializing_if = "Vec::is_empty")]
    pub openings: Vec<Opening>,
}

/// One edge of a folded piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FoldedEdge {
    /// Which base edge: from this corner to the next.
    pub edge: usize,
    /// Name by which a seam calls it ("front leg"); absent is "edge 0" and so on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Make-ups outward; a raw edge that only has a name has none.
    #[serde(default)]
    pub make_ups: Vec<MakeUp>,
    /// Cut at the first corner.
    #[serde(default)]
    pub start_cut: EndCut,
    /// Cut at the last corner.
    #[serde(default)]
    pub end_cut: EndCut,
}

/// End cut of a leg.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum EndCut {
    /// Meets its neighbour with a gap.
    Meet(Dimension),
    /// Set back from the corner.
    SetBack(Dimension),
    /// At an angle from square.
    Angle(Dimension),
}

impl Default for EndCut {
    fn default() -> Self {
        Self::Meet(Dimension::zero())
    }
}
