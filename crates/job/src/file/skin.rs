//! A double-curved skin as a person writes it: profiles taken with a contour gauge over one flat datum.

use super::{Face, MakeUp, Opening};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Dimension;

/// A double-curved skin.
///
/// Datum: a plane laid over the panel (a board, a table). x runs along it from profile to profile, y across it along each
/// profile, z from it away from the vehicle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Skin {
    /// Name, unique in its section or pattern.
    pub name: String,
    /// Sheet thickness.
    pub thickness: Dimension,
    /// Material key.
    pub material: String,
    /// Which way x of the datum runs on the vehicle.
    #[serde(default = "Towards::front")]
    pub x_runs: Towards,
    /// Which way y runs.
    #[serde(default = "Towards::left")]
    pub y_runs: Towards,
    /// Which way heights run, away from the vehicle. Absent takes the third of right-handed axes, x × y; where that points down or into the
    /// vehicle it must be said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heights_run: Option<Towards>,
    /// Face that the gauge touched.
    #[serde(default)]
    pub face: Face,
    /// How the blank is to be formed.
    #[serde(default)]
    pub route: Route,
    /// ± of one reading of the gauge.
    pub reach: Dimension,
    /// Mesh file of the panel; its heights over the datum become the profiles when the job file is read, where it has none yet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mesh: Option<SkinMesh>,
    /// Profiles in the order of their stations, at least three.
    #[serde(default, rename = "profile")]
    pub profiles: Vec<SkinProfile>,
    /// Corners of the piece in the datum plane, one after another round it; absent takes the largest four-cornered patch
    /// that every profile covers.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub outline: Vec<[Dimension; 2]>,
    /// Edges with a name, a make-up or a length to keep; the others are raw.
    #[serde(default, rename = "edge", skip_serializing_if = "Vec::is_empty")]
    pub edges: Vec<SkinEdge>,
    /// Holes: `along` is x, `from_edge` is y of the datum.
    #[serde(default, rename = "opening", skip_serializing_if = "Vec::is_empty")]
    pub openings: Vec<Opening>,
    /// Stations at which checking templates are wanted; absent takes the middle and both ends.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub templates_at: Vec<Dimension>,
    /// Board that a buck is cut from; absent makes no buck.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub buck_board: Option<Dimension>,
}

/// A mesh file (a scan) of the panel in the axes of the datum: x along, y across, z away from the vehicle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SkinMesh {
    /// Name, counted from the job file; ends in .ply, .stl or .obj.
    pub file: String,
    /// Unit of its numbers; absent takes mm, and a size that is no panel's is refused.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<MeshUnit>,
    /// How far apart profiles and their points are taken; absent takes a twenty-fourth of the outline's longer side.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub every: Option<Dimension>,
    /// Face of the sheet that the file says of itself; written when the file is read.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub says_face: Option<Face>,
}

/// Unit of the numbers of a mesh file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum MeshUnit {
    /// Millimetres.
    Mm,
    /// Centimetres.
    Cm,
    /// Metres.
    M,
    /// Inches.
    In,
}

impl MeshUnit {
    /// One of it, mm.
    #[must_use]
    pub const fn mm(self) -> f64 {
        match self {
            Self::Mm => 1.0,
            Self::Cm => 10.0,
            Self::M => 1000.0,
            Self::In => 25.4,
        }
    }
}

/// One profile: the panel's height over the datum across it, at one station.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SkinProfile {
    /// x.
    pub station: Dimension,
    /// y and z of each point, in the order of y.
    pub points: Vec<[Dimension; 2]>,
    /// ± of this profile where it differs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reach: Option<Dimension>,
}

/// One edge of a skin, between two neighbouring corners of its outline.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SkinEdge {
    /// Which edge: from this corner of the outline to the next, counted from 0.
    pub edge: usize,
    /// Name as printed ("drip edge").
    pub name: String,
    /// Make-ups outward.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub make_ups: Vec<MakeUp>,
    /// Goes in with the section's joint: takes its lap.
    #[serde(default)]
    pub joins: bool,
    /// Keeps its length: neither gathered nor let out.
    #[serde(default)]
    pub held: bool,
}

/// A direction on the vehicle; left and right as seen sitting in the driving seat facing forward.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Towards {
    /// To the front.
    Front,
    /// To the rear.
    Rear,
    /// To the driver's left.
    Left,
    /// To the driver's right.
    Right,
    /// Up.
    Up,
    /// Down.
    Down,
}

impl Towards {
    const fn front() -> Self {
        Self::Front
    }

    const fn left() -> Self {
        Self::Left
    }

    /// Unit vector in vehicle axes: x forward, y left, z up.
    #[must_use]
    pub const fn vector(self) -> glam::DVec3 {
        use glam::DVec3;
        match self {
            Self::Front => DVec3::X,
            Self::Rear => DVec3::NEG_X,
            Self::Left => DVec3::Y,
            Self::Right => DVec3::NEG_Y,
            Self::Up => DVec3::Z,
            Self::Down => DVec3::NEG_Z,
        }
    }

    /// The direction in which a vector points most, in vehicle axes.
    #[must_use]
    pub fn nearest(vector: glam::DVec3) -> Self {
        const ALL: [Towards; 6] =
            [Towards::Front, Towards::Rear, Towards::Left, Towards::Right, Towards::Up, Towards::Down];
        let order = |a: &Self, b: &Self| vector.dot(a.vector()).total_cmp(&vector.dot(b.vector()));
        ALL.into_iter().max_by(order).unwrap_or(Self::Up)
    }

    /// The word of the job file: "up".
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Front => "front",
            Self::Rear => "rear",
            Self::Left => "left",
            Self::Right => "right",
            Self::Up => "up",
            Self::Down => "down",
        }
    }

    /// "to the front".
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Front => "to the front",
            Self::Rear => "to the rear",
            Self::Left => "to the driver's left",
            Self::Right => "to the driver's right",
            Self::Up => "up",
            Self::Down => "down",
        }
    }
}

/// How a double-curved blank is to be formed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Route {
    /// Whatever takes least plastic work.
    #[default]
    LeastWork,
    /// Mostly stretched on the wheel.
    WheelOut,
    /// Mostly gathered at the edge.
    GatherIn,
}
