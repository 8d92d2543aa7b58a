//! A section of a job: what is measured, damaged, joined, said.

use super::{JoinedEdge, Pair, Piece, Placed, Seam};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use units::Dimension;

/// Which hand, as the file writes it. Near side and off side are read with the country, and kept as left or right
/// ([`crate::hand_from_words`]).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Hand {
    /// Left as seen sitting in the driving seat facing forward.
    Left,
    /// Right.
    Right,
}

/// One repair section: one or more pieces that go in together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Section {
    /// Short id, unique in the job.
    pub id: String,
    /// What it is.
    pub title: String,
    /// Hand of the vehicle it goes on; absent for a piece on the middle line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hand: Option<Hand>,
    /// Hand that pieces described here directly are drawn for, where the section goes on the other one; a pattern says its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drawn_for: Option<Hand>,
    /// Sections of one set are made together: set out once, machines set once.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub set: String,
    /// How many.
    #[serde(default = "one")]
    pub quantity: u32,
    /// What the shop does about it.
    #[serde(default)]
    pub decision: Decision,
    /// The pattern it is made from; absent when `piece` describes it directly.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_pattern: Option<FromPattern>,
    /// Measured figures by the pattern's measurement id.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub measured: BTreeMap<String, Measured>,
    /// What was said on the telephone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub said: Option<Said>,
    /// Damage.
    #[serde(default)]
    pub damage: Damage,
    /// How it goes in.
    #[serde(default)]
    pub joint: Joint,
    /// Free ends that get spare length (handbook H2).
    #[serde(default)]
    pub free_ends: FreeEnds,
    /// The customer's reply to the try-on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub try_on_reply: Option<TryOnReply>,
    /// Shared edge lines of mating flanges.
    #[serde(default, rename = "pair", skip_serializing_if = "Vec::is_empty")]
    pub pairs: Vec<Pair>,
    /// Pieces described directly.
    #[serde(default, rename = "piece", skip_serializing_if = "Vec::is_empty")]
    pub pieces: Vec<Piece>,
    /// Seams between the pieces.
    #[serde(default, rename = "seam", skip_serializing_if = "Vec::is_empty")]
    pub seams: Vec<Seam>,
    /// Where pieces stand that have only their own axes; those not named here are placed by their first seam.
    #[serde(default, rename = "place", skip_serializing_if = "Vec::is_empty")]
    pub places: Vec<Placed>,
}

fn one() -> u32 {
    1
}

/// What the shop does about a section.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case", tag = "do")]
pub enum Decision {
    /// Make a repair section.
    #[default]
    Make,
    /// Leave and treat.
    LeaveAndTreat {
        /// Why it may be left.
        reason: String,
    },
    /// Decline, with what to do instead.
    Decline {
        /// Why.
        reason: String,
        /// What to do instead.
        instead: String,
    },
}

/// A stretch of a pattern.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FromPattern {
    /// Pattern id.
    pub id: String,
    /// Version id; absent takes the one that an answer says, else the pattern's first, with a caution where there are others.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub version: Option<String>,
    /// Switches turned off for this piece although the version has them (made without its cut-out).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub without: Vec<String>,
    /// The version of the vehicle that it is to repair, where it is the piece of another version cut down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub for_version: Option<String>,
    /// Start of the stretch along the edge line; absent takes the pattern's own stretch or the measured one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<Dimension>,
    /// End of the stretch.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<Dimension>,
}

/// A measured figure: one to three readings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// Readings as written.
    pub readings: Vec<Dimension>,
    /// Who measured.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub by: String,
}

/// Answers given on the telephone: at most four a piece. Marked "said on the phone, not measured" wherever they lead.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct Said {
    /// Answer id by question id of the pattern.
    pub answers: BTreeMap<String, String>,
}

/// What is damaged and why.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct Damage {
    /// Depth of bad metal, taped along the outside face, square to the edge, from the lowest outside point of the finished edge.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub depth: Option<Dimension>,
    /// Proven means cleaned and probed from both sides; otherwise it is only rust seen.
    pub proven: bool,
    /// Cause.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cause: Option<handbook::rust::Cause>,
    /// What can be seen, in words.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub notes: String,
}

/// How the section goes in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct Joint {
    /// Kind of joint along the cut edge.
    pub kind: JointKind,
    /// Lap of a stepped or plain lap; absent takes the handbook's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lap: Option<Dimension>,
    /// Thickness of the old panel; absent takes the piece's own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub old_thickness: Option<Dimension>,
    /// How a lap is held.
    pub fixing: Fixing,
    /// Can both sides of the lap be reached afterwards?
    pub access_behind: bool,
    /// Edges that go in with this joint, of a section whose pieces are joined by seams; absent takes every cut edge of a
    /// strip and every edge of a skin that joins.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub along: Vec<JoinedEdge>,
    /// Does the outside of the joint show? Absent: not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub visible: Option<bool>,
    /// Does it bear load beyond its own panel? Absent: not said. Such metal is for a competent person.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub load_bearing: Option<bool>,
    /// Within 300 mm of a mounting of brakes, steering, suspension, seat or belt? Absent takes `near.safety_mounting` when that
    /// is true, else it is not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub near_mounting: Option<bool>,
    /// Was the old joint spot welded? Absent: not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub was_spot_welded: Option<bool>,
    /// Does the whole panel, or its section, come out to its own seams? Absent: not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub whole_panel: Option<bool>,
    /// What a magnet does on bare metal of the old panel. Absent: not tried; then nothing is said of heat.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub magnet: Option<weld::metal::Magnet>,
    /// What a stroke with a fine file shows on an edge of the old panel; wanted where no magnet sticks.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub file_mark: Option<weld::metal::FileMark>,
    /// Is the old panel zinc coated? Absent: not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub zinc_coated: Option<bool>,
    /// How far the flat of the old panel goes on beyond the cut, to its next fold, frame or edge; for the warp. Absent: not said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub panel_beyond: Option<Dimension>,
    /// The order of the welds that was worked out and accepted; absent keeps the habit of the trade.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accepted: Option<AcceptedOrder>,
    /// Stepped lap of a strip: the step runs out to nothing over so much at the start of the piece, spare included.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub runs_out_start: Option<Dimension>,
    /// The same at the end of the piece.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub runs_out_end: Option<Dimension>,
}

impl Default for Joint {
    fn default() -> Self {
        Self {
            kind: JointKind::SteppedLap,
            lap: None,
            old_thickness: None,
            fixing: Fixing::Plug,
            access_behind: true,
            along: Vec::new(),
            visible: None,
            load_bearing: None,
            near_mounting: None,
            was_spot_welded: None,
            whole_panel: None,
            magnet: None,
            file_mark: None,
            zinc_coated: None,
            panel_beyond: None,
            accepted: None,
            runs_out_start: None,
            runs_out_end: None,
        }
    }
}

impl Joint {
    /// The same without what its shape and figures do not depend on.
    pub(crate) fn shaping(&self) -> Self {
        let Self { kind, fixing, access_behind, load_bearing, .. } = *self;
        Self {
            kind,
            fixing,
            access_behind,
            load_bearing,
            lap: self.lap.clone(),
            old_thickness: self.old_thickness.clone(),
            along: self.along.clone(),
            runs_out_start: self.runs_out_start.clone(),
            runs_out_end: self.runs_out_end.clone(),
            ..Self::default()
        }
    }
}

/// An order of welds as it was worked out, with the warp it came with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AcceptedOrder {
    /// Form of joint that it is for.
    pub form: handbook::joints::JointForm,
    /// Length joined that it is for, mm; when the piece has another, the order is not used.
    pub length_mm: f64,
    /// Thinner sheet that it is for, mm; without it the order is not used.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thickness_mm: Option<f64>,
    /// Welding kit that it is for; without it the order is not used.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kit: Option<super::Kit>,
    /// Heat of a run that it was worked out with, J/mm: when the fitter's machine brings another, the order is not used. Absent in older orders.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub run_j_mm: Option<f64>,
    /// Heat of a dot that it was worked out with, J; as above.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dot_j: Option<f64>,
    /// Warp of the forms that were compared.
    #[serde(default)]
    pub warp: Vec<weld::advice::WarpFigure>,
    /// What this order was computed to do to the panel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub effect: Option<OrderEffect>,
    /// The search found the habit of the trade itself to be as good as any other order.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub is_habit: bool,
    /// Welds in their order.
    pub weld: Vec<OrderedWeld>,
}

/// What an order of welds was computed to do to the panel.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct OrderEffect {
    /// Can the panel be pushed through and stays there, or has it buckled?
    pub oil_cans: bool,
    /// Why, in words.
    pub oil_canning: String,
    /// Largest height out of the panel's own shape, for the least, the middle and the most of the shrinkage.
    pub height: WarpHeights,
    /// Buckling margin at the end, least, middle and most; absent when nothing pushes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margin: Option<[f64; 3]>,
    /// Strips to planish.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub planish: Vec<PlanishedEdge>,
    /// The shape that it leaves, to be drawn; absent where none was found or the order is older than its drawing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shape: Option<weld::warp::shape_map::ShapeMap>,
}

/// Warp heights over the spread of the shrinkage; absent where no shape was found in which the panel rests.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct WarpHeights {
    /// At its least, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub low_mm: Option<f64>,
    /// At its middle, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub middle_mm: Option<f64>,
    /// At its most, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub high_mm: Option<f64>,
}

/// A strip along a weld that is to be planished.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlanishedEdge {
    /// Piece.
    pub piece: String,
    /// Its edge.
    pub edge: String,
    /// From so far along the edge.
    pub from_mm: f64,
    /// To so far along the edge.
    pub to_mm: f64,
    /// Width, its middle on the weld.
    pub width_mm: f64,
    /// Stretch along it that gives back what the weld took, %.
    pub stretch_percent: f64,
}

/// A weld in its turn.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OrderedWeld {
    /// Piece.
    pub piece: String,
    /// Its edge.
    pub edge: String,
    /// Tack, plug, spot or run.
    pub kind: weld::joints::WeldEventKind,
    /// From so far along the edge.
    pub from_mm: f64,
    /// To so far along the edge; the same for a tack, plug or spot.
    pub to_mm: f64,
    /// Pause before it that the order was worked out with, beyond moving there, s.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pause_s: Option<f64>,
}

/// Kind of joint.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum JointKind {
    /// Butt: fusion weld and planish.
    Butt,
    /// Stepped lap.
    SteppedLap,
    /// Plain lap, doubler behind.
    PlainLap,
    /// Bolted.
    Bolted,
    /// Bonded lap.
    BondedLap,
}

/// How a lap is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Fixing {
    /// Plug welds.
    Plug,
    /// Spot welds.
    Spot,
    /// Bolts.
    Bolt,
    /// Adhesive.
    Bond,
}

/// Which ends are free and get spare length.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct FreeEnds {
    /// At the start of the stretch.
    pub start: bool,
    /// At the end of the stretch.
    pub end: bool,
}

impl Default for FreeEnds {
    fn default() -> Self {
        Self { start: true, end: true }
    }
}

/// The reply to a try-on: the card shows it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TryOnReply {
    /// Date (YYYY-MM-DD).
    pub date: String,
    /// Length of the check bar as printed there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub check_bar: Option<Dimension>,
    /// Did it sit?
    pub sits: bool,
    /// Gap seen and where.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}
