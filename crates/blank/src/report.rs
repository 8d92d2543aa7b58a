//! The report of a development.
//!
//! Frame of the flat: x along the held line from the piece's start end, y from the finished edge towards the cut edge (strip);
//! the base's own x and y (folded). Angles are bend angles turned from flat, rad.

use glam::DVec2;
use handbook::tolerances::{self, ToleranceClass};
use handbook::{Concern, Working};
use section::Side;
use serde::{Deserialize, Serialize};

/// A closed loop in the flat, first point not repeated.
pub type Loop = Vec<DVec2>;

/// A developed piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Blank {
    /// Which piece.
    pub piece: String,
    /// Material key.
    pub material: String,
    /// Sheet.
    pub thickness_mm: f64,
    /// Which face is up in this flat, as printed ("inside face up").
    pub face_up: FaceUp,
    /// Outer outline, anticlockwise, a simple polygon (checked).
    pub outline_mm: Loop,
    /// Openings in the flat.
    pub openings: Vec<FlatOpening>,
    /// Folds, bends and curls, each with its lines.
    pub folds: Vec<FlatFold>,
    /// Lines scribed or marked on the piece: lap line, end lines, witness marks, datum.
    pub marks: Vec<FlatMark>,
    /// Net area of the outline less openings, mm².
    pub area_mm2: f64,
    /// Developed widths at the stations of a strip (empty for a folded piece).
    pub stations: Vec<FlatStation>,
    /// Lengthwise lines with their strain (empty where nothing must be gathered or let out).
    pub lengthwise: Vec<LengthwiseLine>,
    /// Double curvature of a crowned strip.
    pub crown: Option<Crown>,
    /// The wire of a wired edge, a part of its own.
    pub wires: Vec<WirePart>,
    /// Check dimensions of the finished piece.
    pub check_dimensions: Vec<CheckDimension>,
    /// Running dimensions from one datum, along x.
    pub running_x: Vec<RunningDimension>,
    /// Running dimensions from one datum, along y.
    pub running_y: Vec<RunningDimension>,
    /// Trim left on, mm, sized from the reach.
    pub trim_mm: f64,
    /// What to know before cutting.
    pub concerns: Vec<Concern>,
    /// Every figure with its working.
    pub workings: Vec<Working>,
}

impl Blank {
    /// The same flat with its other face up, as the other hand has it: every fold is then seen to turn the other way.
    pub fn turn_over(&mut self) {
        self.face_up = match self.face_up {
            FaceUp::Outside => FaceUp::Inside,
            FaceUp::Inside => FaceUp::Outside,
        };
        self.folds.iter_mut().for_each(|fold| fold.up = !fold.up);
    }
}

/// Which face of the sheet is up in the flat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FaceUp {
    /// The outside of the vehicle.
    Outside,
    /// The inside of the vehicle.
    Inside,
}

/// How a hole is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HoleFinish {
    /// Full size in the flat.
    FullSize,
    /// 3 mm pilot in the flat, opened after fitting.
    Pilot,
    /// Drilled through the mate at fitting.
    ThroughMate,
    /// Its centre is marked in the flat; drilled when that part has its shape.
    AfterForming,
}

/// An opening in the flat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FlatOpening {
    /// Its name.
    pub name: String,
    /// Its place in the flat.
    pub centre_mm: DVec2,
    /// Diameter when round (of the finished hole).
    pub diameter_mm: Option<f64>,
    /// Diameter cut in the flat when round (pilot 3 mm; `None` when drilled through the mate).
    pub cut_diameter_mm: Option<f64>,
    /// Outline in the flat when not round.
    pub outline_mm: Option<Loop>,
    /// How it is made.
    pub finish: HoleFinish,
    /// Why it is made so: reach against half the clearance.
    pub why: String,
    /// Station or x as measured.
    pub along_mm: f64,
    /// Distance as measured.
    pub from_edge_mm: f64,
}

/// What kind of bend a [`FlatFold`] is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FoldKind {
    /// A fold on the folder or brake.
    Fold,
    /// A rolled or gently bent link of the cross-section.
    Rolled,
    /// The curl of a wired edge.
    Curl,
    /// A hem.
    Hem,
    /// One of the two bends of a joggle.
    Joggle,
}

/// One bend in the flat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FlatFold {
    /// "fold 1: flange".
    pub name: String,
    /// Number in the order of working, from 1.
    pub number: usize,
    /// What kind.
    pub kind: FoldKind,
    /// Which way it turns as seen on the face that is up in the flat.
    pub up: bool,
    /// Which way it turns on the vehicle.
    pub turns: Side,
    /// Bend tangent line nearer the held line.
    pub tangent_near_mm: Vec<DVec2>,
    /// Bend tangent line farther from the held line.
    pub tangent_far_mm: Vec<DVec2>,
    /// Middle of the bend.
    pub centre_mm: Vec<DVec2>,
    /// Sight line: one inside radius from the near tangent line (under the nose of the folder; handbook B38). Empty for bends that are
    /// rolled, curled or joggled.
    pub sight_mm: Vec<DVec2>,
    /// Bend angle turned from flat at the start and at the end, rad (equal for a constant fold).
    pub bend_angle_rad: [f64; 2],
    /// Inside radius.
    pub inside_radius_mm: f64,
    /// Bend allowance at the start and at the end.
    pub allowance_mm: [f64; 2],
    /// Setback to the sharp outer corner at the start and at the end.
    pub setback_mm: [f64; 2],
    /// Factor K (neutral line from the inside, over thickness).
    pub k_factor: f64,
    /// Which rule gave it.
    pub rule: String,
    /// Angle to fold to so that it springs back to the bend angle, rad; `None` when it does not set (elastic).
    pub fold_to_rad: Option<[f64; 2]>,
}

/// Which mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MarkKind {
    /// End of the piece without spare.
    EndLine,
    /// Step line: where the old panel's edge will lie.
    LapLine,
    /// The held line.
    HeldLine,
    /// Line a wrap is laid off from.
    TangentLine,
    /// Trim line.
    TrimLine,
    /// Notch or scallop proposed.
    Relief,
    /// A line to roll or fold a little along.
    Ruling,
    /// A quarter of a tube's girth.
    GirthLine,
    /// Opening that the fitter makes: marked, not cut.
    Opening,
    /// Where a template is held on the finished piece.
    Station,
}

/// A marked line with its words.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FlatMark {
    /// Which mark.
    pub kind: MarkKind,
    /// The line.
    pub line_mm: Vec<DVec2>,
    /// Words beside it.
    pub label: String,
}

/// Developed width at one station of a strip.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FlatStation {
    /// Arc length along the edge line.
    pub station_mm: f64,
    /// Whole developed width.
    pub width_mm: f64,
    /// x of the station on the held line in the flat.
    pub along_flat_mm: f64,
    /// y of each line between links, from the finished edge, mm, with its name.
    pub lines: Vec<(String, f64)>,
}

/// A lengthwise line with its length in piece and flat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LengthwiseLine {
    /// "free edge of the flange".
    pub name: String,
    /// Length in the finished piece, neutral surface.
    pub in_piece_mm: f64,
    /// Length in the flat.
    pub in_flat_mm: f64,
    /// Largest and smallest local strain, per cent: piece over flat − 1. Negative: gather (shrink). Positive: let out (stretch).
    pub strain_percent: [f64; 2],
    /// Overall, mm per 100 mm of the flat line: negative gather, positive let out.
    pub mm_per_100_mm: f64,
    /// True for the held line itself.
    pub held: bool,
}

/// Double curvature of a crowned strip (handbook S24 from its own stations).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Crown {
    /// Largest strain over the stations, per cent.
    pub strain_percent: f64,
    /// Station where it is.
    pub station_mm: f64,
    /// Verdict.
    pub verdict: CrownVerdict,
    /// Highest strip that stays below 1 %, mm.
    pub highest_strip_mm: Option<f64>,
    /// Working.
    pub working: Working,
}

/// What a crowned strip needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CrownVerdict {
    /// Under 0.1 %: springs to shape.
    SpringsToShape,
    /// 0.1 to 1 %: wheel or shrinker.
    Wheel,
    /// Above 1 %: needs a wheeled skin.
    WheeledSkin,
}

/// The wire of a wired edge.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WirePart {
    /// Name.
    pub name: String,
    /// Diameter.
    pub diameter_mm: f64,
    /// Length along its own centre line with what stands out.
    pub cut_length_mm: f64,
    /// What stands out at start and end (negative: short of the sheet).
    pub stands_out_mm: [f64; 2],
    /// Pre-bend radius of its centre line at the ends and the middle of the piece; `None` where straight.
    pub bend_radius_mm: Vec<(f64, Option<f64>)>,
    /// Working.
    pub workings: Vec<Working>,
}

/// A dimension of the finished piece to check.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CheckDimension {
    /// What and where.
    pub name: String,
    /// Nominal, mm or degrees.
    pub nominal: f64,
    /// "mm" or "°".
    pub unit: String,
    /// ± allowed.
    pub tolerance: f64,
    /// Which rule gave the tolerance.
    pub rule: String,
    /// Reach of the figure itself, when measured.
    pub reach: Option<f64>,
}

impl CheckDimension {
    /// A length with its general tolerance by ISO 2768-1 (handbook T1). A length too small for that table gets ±0.1 mm (common practice,
    /// no source); one too long for it is left out, for nothing says how true it must be.
    #[must_use]
    pub fn linear(name: String, nominal_mm: f64, class: ToleranceClass, reach: Option<f64>) -> Option<Self> {
        const TOO_SMALL_FOR_THE_TABLE_MM: f64 = 3.0;
        let (tolerance, rule) = match tolerances::linear(nominal_mm, class) {
            Ok(working) => (working.value, format!("ISO 2768-1 {}", class.letter())),
            Err(_) if nominal_mm < TOO_SMALL_FOR_THE_TABLE_MM => (0.1, "outside ISO 2768-1".to_owned()),
            Err(_) => return None,
        };
        Some(Self { name, nominal: nominal_mm, unit: "mm".into(), tolerance, rule, reach })
    }
}

/// One running dimension from the datum.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RunningDimension {
    /// What is there.
    pub name: String,
    /// Distance from the datum.
    pub from_datum_mm: f64,
    /// Its place in the flat.
    pub at_mm: DVec2,
}
