//! A pattern: a surveyed panel kept for re-use, either hand.

use super::{
    Customer, Damage, Decision, Fitter, FreeEnds, FromPattern, Hand, Job, Joint, JointKind, MakeUpKind, Near, Pair,
    Piece, Placed, Seam, Section, TubeForm, Vehicle,
};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use units::Dimension;

/// A pattern.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pattern {
    /// Id, unique on the shelf ("wren15-wheel-arch").
    pub id: String,
    /// What it is, in the words of the trade.
    pub title: String,
    /// The same in the words of somebody who does not know the trade, for choosing by picture.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub plain_words: String,
    /// Vehicle it was surveyed on.
    pub vehicle: String,
    /// Hand it was surveyed on; absent on the middle line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hand: Option<Hand>,
    /// Unit of a bare number in this pattern.
    pub unit: units::LengthUnit,
    /// Where it came from and when.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub notes: String,
    /// Named switches with what they turn on, off or over.
    #[serde(default, rename = "switch", skip_serializing_if = "Vec::is_empty")]
    pub switches: Vec<Switch>,
    /// Versions; the first is the usual one.
    #[serde(default, rename = "version", skip_serializing_if = "Vec::is_empty")]
    pub versions: Vec<Version>,
    /// Measurements, those that size the piece and at least one check figure.
    #[serde(rename = "measurement")]
    pub measurements: Vec<Measurement>,
    /// Telephone questions, at most four.
    #[serde(default, rename = "question", skip_serializing_if = "Vec::is_empty")]
    pub questions: Vec<Question>,
    /// Shared edge lines of mating flanges.
    #[serde(default, rename = "pair", skip_serializing_if = "Vec::is_empty")]
    pub pairs: Vec<Pair>,
    /// Pieces.
    #[serde(rename = "piece")]
    pub pieces: Vec<Piece>,
    /// Seams between the pieces.
    #[serde(default, rename = "seam", skip_serializing_if = "Vec::is_empty")]
    pub seams: Vec<Seam>,
    /// Where pieces stand that have only their own axes.
    #[serde(default, rename = "place", skip_serializing_if = "Vec::is_empty")]
    pub places: Vec<Placed>,
}

impl Pattern {
    /// The joint that a section made from this pattern starts with: a stepped lap for panels; a skin that curves both ways is butted, because
    /// a step along a crowned edge is let out or gathered with it and no lap lies close (common practice, no source); a length of tube is
    /// butted, a sleeve or patch lies over the old tube, a lap leg under the old skin.
    #[must_use]
    pub fn usual_joint(&self) -> Joint {
        let kind = self.pieces.iter().find_map(|piece| match piece {
            Piece::Tube(tube) if tube.form == TubeForm::Replacement => Some(JointKind::Butt),
            Piece::Tube(_) => Some(JointKind::PlainLap),
            Piece::Skin(_) => Some(JointKind::Butt),
            Piece::Strip(strip) => strip.finished_edge.iter().find_map(|own| match own.what {
                MakeUpKind::Flange { lap_leg: true, .. } => Some(JointKind::PlainLap),
                _ => None,
            }),
            _ => None,
        });
        Joint { kind: kind.unwrap_or(Joint::default().kind), ..Joint::default() }
    }

    /// A job with one section made from this pattern at its own sizes: for its picture. Without a version the usual one.
    #[must_use]
    pub fn alone(&self, version: Option<&str>) -> Job {
        let section = Section {
            id: self.id.clone(),
            title: self.title.clone(),
            hand: self.hand,
            drawn_for: None,
            set: String::new(),
            quantity: 1,
            decision: Decision::default(),
            from_pattern: Some(FromPattern {
                id: self.id.clone(),
                version: version.map(str::to_owned),
                without: Vec::new(),
                for_version: None,
                from: None,
                to: None,
            }),
            measured: BTreeMap::new(),
            said: None,
            damage: Damage::default(),
            joint: self.usual_joint(),
            free_ends: FreeEnds { start: false, end: false },
            try_on_reply: None,
            pairs: Vec::new(),
            pieces: Vec::new(),
            seams: Vec::new(),
            places: Vec::new(),
        };
        Job {
            format: 1,
            number: String::new(),
            title: self.title.clone(),
            unit: self.unit,
            country: String::new(),
            opened: String::new(),
            customer: Customer::default(),
            vehicle: Vehicle::default(),
            fitter: Fitter::default(),
            near: Near::default(),
            alternatives: Vec::new(),
            lifted: Vec::new(),
            photos: Vec::new(),
            sections: vec![section],
            patterns: vec![self.clone()],
        }
    }
}

/// A named switch. Parts of the geometry (openings, make-ups, holes of a pair, cross-sections, stretches of an edge line) carry
/// `when` or `unless` with its id.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Switch {
    /// Id.
    pub id: String,
    /// What it is ("cut-out for the step lamp").
    pub title: String,
    /// May be left out on request (a piece made without its cut-out).
    #[serde(default)]
    pub may_be_left_out: bool,
}

/// A version of a pattern.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Version {
    /// Id.
    pub id: String,
    /// Years or serials, free text.
    pub title: String,
    /// How to tell, in words.
    pub how_to_tell: String,
    /// Switches that are on.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on: Vec<String>,
}

/// A measurement the pattern names, with how the tape goes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Measurement {
    /// Id.
    pub id: String,
    /// What it is called.
    pub title: String,
    /// Where the tape goes, in a sentence for somebody who does not know the trade.
    pub how: String,
    /// Along the skin, straight, or with a calliper.
    pub tape: Tape,
    /// From which face.
    #[serde(default)]
    pub face: TapeFace,
    /// What it sizes, or what it checks.
    pub role: Role,
    /// Its value on the surveyed vehicle.
    pub nominal: Dimension,
    /// Values accepted without a question: smallest and largest.
    pub between: [Dimension; 2],
    /// ± of one reading.
    pub reach: Dimension,
    /// How many readings to ask for.
    #[serde(default = "one_reading")]
    pub readings: u32,
    /// Nominal in other versions, by version id (for a check figure that tells versions apart).
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub nominal_in: BTreeMap<String, Dimension>,
    /// A check figure that depends on a size: it is held against that size as measured, not against the pattern's alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub follows: Option<Follows>,
}

impl Measurement {
    /// Nominal in a version, mm; a bare number takes the unit of the pattern. `None` when it cannot be read.
    #[must_use]
    pub fn nominal_mm(&self, unit: units::LengthUnit, version: Option<&str>) -> Option<f64> {
        let nominal = version.and_then(|id| self.nominal_in.get(id)).unwrap_or(&self.nominal);
        nominal.length_mm(&units::Reading { bare_unit: unit, ..units::Reading::default() }).ok()
    }

    /// The smallest and largest value that is accepted without a question, mm, read as [`Measurement::nominal_mm`].
    #[must_use]
    pub fn between_mm(&self, unit: units::LengthUnit) -> Option<[f64; 2]> {
        let reading = units::Reading { bare_unit: unit, ..units::Reading::default() };
        let [low, high] = &self.between;
        Some([low.length_mm(&reading).ok()?, high.length_mm(&reading).ok()?])
    }
}

/// How a check figure depends on a measurement that sizes the piece.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Follows {
    /// Id of that measurement; it stands before the check figure.
    pub measurement: String,
    /// In which way.
    #[serde(rename = "as")]
    pub way: FollowsAs,
}

/// In which way a check figure follows a size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FollowsAs {
    /// Once round what the size goes across: π times as much.
    Girth,
    /// Longer by as much.
    Length,
}

impl FollowsAs {
    /// Millimetres of the check figure per millimetre of the size.
    #[must_use]
    pub const fn per_mm(self) -> f64 {
        match self {
            Self::Girth => std::f64::consts::PI,
            Self::Length => 1.0,
        }
    }
}

fn one_reading() -> u32 {
    1
}

/// How the tape goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Tape {
    /// Laid along the skin.
    AlongSkin,
    /// Straight, point to point.
    Straight,
    /// Calliper over.
    Calliper,
}

/// Which face the tape touches.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum TapeFace {
    /// Outside face.
    #[default]
    Outside,
    /// Inside face.
    Inside,
}

/// What a measurement is for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case", tag = "is")]
pub enum Role {
    /// Height of cut of every strip of the section.
    CutHeight,
    /// Depth of bad metal; height of cut = proven depth + handbook H1.
    RustDepth,
    /// Length of the stretch from its start.
    RunLength,
    /// Where the stretch starts along the edge line.
    RunStart,
    /// Calliper over the old curl (H11): wire = measured − 2t.
    OldCurl,
    /// Everything of a folded piece beyond a line across x moves by measured − nominal.
    LengthenAlongX {
        /// Piece name.
        piece: String,
        /// The line, mm of the base plane.
        beyond: Dimension,
        /// Other pieces that are lengthened alike, at the same line of their own base (the lid of a box).
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        also: Vec<String>,
    },
    /// The same across y.
    LengthenAlongY {
        /// Piece name.
        piece: String,
        /// The line.
        beyond: Dimension,
        /// Other pieces that are lengthened alike.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        also: Vec<String>,
    },
    /// Width of a make-up: of fold `edge` of a folded piece, or of the finished edge of a strip (edge 0).
    LegWidth {
        /// Piece name.
        piece: String,
        /// Which edge, counted from 0.
        edge: usize,
    },
    /// Outside diameter of the tube that a tube, sleeve or patch belongs to.
    TubeDiameter {
        /// Piece name.
        piece: String,
    },
    /// Length of a tube, as its piece says it is measured.
    TubeLength {
        /// Piece name.
        piece: String,
    },
    /// A size of a cone or transition.
    RuledSize {
        /// Piece name.
        piece: String,
        /// Which size.
        size: RuledSize,
    },
    /// A diameter of a ring: all its diameters move by measured − nominal.
    RingDiameter {
        /// Piece name.
        piece: String,
    },
    /// Height of a leg of a ring; everything beyond it moves by measured − nominal.
    RingHeight {
        /// Piece name.
        piece: String,
        /// Which leg, counted from 0 at the innermost edge.
        leg: usize,
    },
    /// Sizes nothing; proves that the pattern applies. Compared with `nominal` (or `nominal_in` the version).
    Check,
}

/// A size of a cone or transition that can be measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum RuledSize {
    /// Bottom: its diameter, or its size along x.
    Bottom,
    /// Bottom of a rectangle or oval: its size along y.
    BottomAlongY,
    /// Top: its diameter, or its size along x.
    Top,
    /// Top of a rectangle or oval: its size along y.
    TopAlongY,
    /// Height between the ends.
    Height,
}

impl Role {
    /// Pieces that it sizes by name.
    pub fn pieces(&self) -> impl Iterator<Item = &str> {
        let (piece, also): (Option<&String>, &[String]) = match self {
            Self::LengthenAlongX { piece, also, .. } | Self::LengthenAlongY { piece, also, .. } => (Some(piece), also),
            Self::LegWidth { piece, .. }
            | Self::TubeDiameter { piece }
            | Self::TubeLength { piece }
            | Self::RuledSize { piece, .. }
            | Self::RingDiameter { piece }
            | Self::RingHeight { piece, .. } => (Some(piece), &[]),
            _ => (None, &[]),
        };
        piece.into_iter().chain(also).map(String::as_str)
    }
}

/// A telephone question with its answers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Question {
    /// Id.
    pub id: String,
    /// The question as asked.
    pub ask: String,
    /// Answers to choose from.
    #[serde(rename = "answer")]
    pub answers: Vec<Answer>,
}

/// One answer, with what it lets us assume.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Answer {
    /// Id.
    pub id: String,
    /// In words ("about a hand's width").
    pub words: String,
    /// Range of a measurement that it stands for: measurement id → smallest and largest.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub means: BTreeMap<String, [Dimension; 2]>,
    /// Hand it says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hand: Option<Hand>,
    /// Version it says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub version: Option<String>,
    /// The shop would decline with this answer: why, and what to do instead.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub decline: Option<[String; 2]>,
}
