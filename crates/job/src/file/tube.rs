//! A round tube as a person writes it: diameter, wall, length, what sits at each end, and how it stands on the vehicle.

use super::{Opening, Towards};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Dimension;

/// A round tube, a sleeve over one, or a patch on one.
///
/// Its axis runs from the start to the far end. Angles are counted round it from the zero line, clockwise as seen from the start looking
/// along the tube; on the other hand, anticlockwise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tube {
    /// Name, unique in its section or pattern.
    pub name: String,
    /// Outside diameter of the tube on the vehicle.
    pub diameter: Dimension,
    /// Wall of the new piece.
    pub thickness: Dimension,
    /// Material key.
    pub material: String,
    /// Length that replaces the old one, sleeve over it, or patch on it.
    #[serde(default)]
    pub form: TubeForm,
    /// Length.
    pub length: Dimension,
    /// Between what the length is measured.
    #[serde(default)]
    pub length_is: TubeLength,
    /// Which way the axis runs on the vehicle, from the start to the far end.
    #[serde(default = "up")]
    pub axis_runs: Towards,
    /// Which way the zero line looks.
    #[serde(default = "front")]
    pub zero_faces: Towards,
    /// The long seam of a whole tube.
    #[serde(default)]
    pub seam: LongSeam,
    /// Where the long seam stands round the girth; absent is 180°.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seam_at: Option<Dimension>,
    /// Patch: where it begins round the girth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<Dimension>,
    /// Patch: how far it goes round.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub girth: Option<Dimension>,
    /// Patch: radius of its corners; absent is 8 mm between square ends, otherwise none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corner: Option<Dimension>,
    /// Sleeve or patch: clearance over the old tube on the diameter; absent is none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clearance: Option<Dimension>,
    /// ± of its sizes.
    #[serde(default = "Dimension::zero")]
    pub reach: Dimension,
    /// What sits at the start; with switches, one of them must be on.
    #[serde(rename = "start")]
    pub starts: Vec<TubeEnd>,
    /// What sits at the far end.
    #[serde(rename = "far")]
    pub fars: Vec<TubeEnd>,
    /// Openings: `along` is the station from the start, `from_edge` the place round the outside from the zero line, as a length or an
    /// angle.
    #[serde(default, rename = "opening", skip_serializing_if = "Vec::is_empty")]
    pub openings: Vec<Opening>,
}

fn up() -> Towards {
    Towards::Up
}

fn front() -> Towards {
    Towards::Front
}

/// How the piece stands to the old tube.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum TubeForm {
    /// Takes the place of a length of the old tube.
    #[default]
    Replacement,
    /// Goes all round over the old tube.
    Sleeve,
    /// Lies over part of the old tube's girth.
    Patch,
}

/// Between what the length is measured.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum TubeLength {
    /// Between two squares laid to the tips of both ends.
    #[default]
    TipToTip,
    /// Along the axis: to where a slanted cut meets it, to the other tube's axis, to the tip of a flattened end.
    OnAxis,
}

/// How the long seam is made.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LongSeam {
    /// Edge to edge.
    #[default]
    Butt,
    /// One edge over the other by this much.
    Lap(Dimension),
}

/// One end of a tube.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TubeEnd {
    /// Present only when this switch is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<String>,
    /// Absent when this switch is on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unless: Option<String>,
    /// Name as printed ("foot").
    pub name: String,
    /// What is done there.
    #[serde(default)]
    pub cut: TubeCut,
    /// Which wall touches what the end is cut to; absent is the inside for a saddle, the middle otherwise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub touches: Option<TubeWall>,
    /// This end is welded to the old tube or to the tube that it meets.
    #[serde(default)]
    pub joins: bool,
}

/// A wall of a tube.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum TubeWall {
    /// Outside.
    Outside,
    /// Middle.
    Middle,
    /// Inside.
    Inside,
}

/// What is done at an end.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum TubeCut {
    /// Cut square.
    #[default]
    Square,
    /// A slanted cut.
    Mitre {
        /// From square.
        angle: Dimension,
        /// Where the tube stays longest, round the girth.
        longest: Dimension,
    },
    /// Sits on another tube.
    Saddle {
        /// Outside diameter of the other tube.
        main: Dimension,
        /// Between the two tubes; absent is square.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        angle: Option<Dimension>,
        /// Where, round the girth, the side lies on which the tubes make that angle; of a square saddle, where the other tube runs.
        closed: Dimension,
        /// How far this tube's middle passes beside the other's, towards `closed` + 90°.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        offset: Option<Dimension>,
    },
    /// Pressed flat.
    Flattened {
        /// Flat length from the tip.
        flat: Dimension,
        /// From round to flat; absent is one and a half diameters.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        way: Option<Dimension>,
        /// Where one of its faces looks, round the girth.
        face: Dimension,
        /// Hole through both thicknesses: diameter.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        hole: Option<Dimension>,
        /// Middle of the hole from the tip; absent is half the flat.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        hole_from_tip: Option<Dimension>,
    },
}
