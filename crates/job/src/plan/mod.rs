//! The plan: what the job works out to, every figure with its working.
//!
//! Results only. Nothing here is ever typed by a person; a stop is lifted in the job file.

mod assembly;
mod cache;
mod cautions;
mod compare;
mod edges;
mod fitting;
mod in_place;
mod joint;
mod let_in;
mod let_in_corner;
mod lift;
mod make;
mod order_effect;
mod placing;
mod protect;
pub mod ring;
mod run;
mod seams;
mod section_plan;
mod shapes;
pub mod skin;
mod skin_stations;
mod tube;
mod warp;
mod words;
mod work;

pub use assembly::{Assembly, AssemblyStep, PlacedPiece, Pose, SeamPlan};
pub use edges::{EdgePoint, PieceEdge};
pub use in_place::{InPlace, in_place};
pub use joint::{HeatOfSection, PITCH, heat_of_section};
pub use make::Made;
pub use run::{Planner, plan, promise_from};
pub use seams::{SeamsOfPiece, propose_seams};
pub use tube::TubePlan;
pub use warp::{WarpOfSection, warp_of_section};

use crate::file::{Hand, OrderEffect, Paper};
use blank::Blank;
use handbook::joints::JointForm;
use handbook::welding::INTER_RUN_C;
use handbook::{Concern, Working};
use serde::{Deserialize, Serialize};
use shop::{Operation, Price};
use weld::advice::{Advice, WarpFigure};
use weld::joints::{JointDesign, WeldEvent};
use weld::warp::WarpSettings;

/// A whole plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    /// The job's number.
    pub number: String,
    /// The job's title.
    pub title: String,
    /// Country of the rules used.
    pub country: String,
    /// Paper for 1:1 sheets.
    pub paper: Paper,
    /// Sections in the order of the file.
    pub sections: Vec<SectionPlan>,
    /// Everything together; `None` when nothing is priced.
    pub price: Option<Price>,
    /// Comparison with the alternatives, in sentences.
    pub compared: Vec<String>,
    /// When it could leave the shop, counted from the day the job was opened; [`promise_from`] counts from another day.
    pub promise: Option<Promise>,
    /// Concerns of the whole job (cautions); those of sections stand there.
    pub concerns: Vec<Concern>,
    /// Faults that belong to the job and to no one section.
    #[serde(default)]
    pub faults: Vec<Fault>,
}

impl Plan {
    /// The stops that block the cut files of a section: its own and the job's.
    pub fn open_stops<'a>(&'a self, section: &'a SectionPlan) -> impl Iterator<Item = &'a Concern> {
        self.concerns.iter().chain(&section.concerns).filter(|concern| concern.grade == handbook::Grade::Stop)
    }

    /// The joint of a section is refused, or doubtful, and nobody has lifted that: nothing may be cut or welded by its map.
    pub fn joint_stopped(&self, section: &SectionPlan) -> bool {
        self.open_stops(section).any(|stop| stop.key.starts_with("joint-"))
    }

    /// Every fault, the job's first.
    pub fn all_faults(&self) -> impl Iterator<Item = &Fault> {
        self.faults.iter().chain(self.sections.iter().flat_map(|section| &section.faults))
    }
}

/// Price of one section that was made under an assumption.
pub(crate) fn section_price(
    section: &crate::file::Section,
    made: &Made,
    shop: &shop::ShopSettings,
) -> Result<Price, shop::ShopError> {
    section_plan::price(section, made, shop).1
}

/// A calendar promise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Promise {
    /// Date (YYYY-MM-DD) from which working days are counted: order and measurements are there.
    #[serde(default)]
    pub counted_from: String,
    /// Date (YYYY-MM-DD), likely.
    pub likely: String,
    /// Date that is kept nineteen times in twenty.
    pub latest: String,
    /// How it was found.
    pub working: Working,
}

/// One section worked out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SectionPlan {
    /// Id in the job.
    pub id: String,
    /// Title.
    pub title: String,
    /// Hand.
    pub hand: Option<Hand>,
    /// How many.
    pub quantity: u32,
    /// What is done.
    pub decision: crate::file::Decision,
    /// Pattern and version used, in words.
    pub pattern: String,
    /// How far it has gone, in one sentence ("38.0 mm proven", "rust seen to 40 mm, not proven").
    pub damage: String,
    /// Where to cut; `None` where nothing is cut (tray bolted in).
    pub cut: Option<CutPlan>,
    /// Measurements used, with reach, and check figures compared.
    pub measured: Vec<MeasuredPlan>,
    /// Pieces.
    pub pieces: Vec<PiecePlan>,
    /// How its pieces are made into one, where seams join them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub assembly: Option<Assembly>,
    /// How it goes in.
    pub joint: JointPlan,
    /// Cause, drainage and protection lines, in order.
    pub protect: Vec<ProtectLine>,
    /// Fitting steps in order, for the person with the grinder; figures already in the fitter's unit.
    pub fitting: Vec<FittingStep>,
    /// Operations in order.
    pub operations: Vec<Operation>,
    /// Price; `None` when declined, stopped without figures, or no rate.
    pub price: Option<Price>,
    /// Price at the second height, when rust is only seen: the quote carries both.
    #[serde(default)]
    pub second_price: Option<Price>,
    /// The written reply when the shop declines; empty otherwise.
    #[serde(default)]
    pub reply: String,
    /// Concerns. An open stop blocks the cut files.
    pub concerns: Vec<Concern>,
    /// Figures that belong to the section as a whole.
    pub workings: Vec<Working>,
    /// The faults that kept this section from being worked out: one clear line each, with the field they belong to.
    pub faults: Vec<Fault>,
}

/// A fault in the job, at its field.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Fault {
    /// Path of the field ("section.arch.measured.height_of_cut").
    pub field: String,
    /// What is wrong and what would be accepted.
    pub message: String,
}

/// Where to cut.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CutPlan {
    /// Height of the cut in the old panel, along the outside face from the lowest outside point of the finished edge.
    pub cut_height_mm: f64,
    /// Height of the piece.
    pub piece_height_mm: f64,
    /// Their difference.
    pub lap_mm: f64,
    /// Second height when rust is only seen, not proven: the quote carries both.
    pub second_cut_height_mm: Option<f64>,
    /// Reach of the height.
    pub reach_mm: f64,
    /// From and to along the edge line, without spare.
    pub from_mm: f64,
    /// To.
    pub to_mm: f64,
    /// Names of the two ends.
    pub end_names: [String; 2],
    /// The old flange is cut off on its bend; the lap leg goes under the old skin.
    #[serde(default)]
    pub on_the_bend: bool,
    /// In one sentence.
    pub sentence: String,
    /// Working.
    pub workings: Vec<Working>,
}

/// A measurement as used.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct MeasuredPlan {
    /// Id.
    pub id: String,
    /// Title.
    pub title: String,
    /// Value used (mean of the readings), mm.
    pub value_mm: f64,
    /// Reach.
    pub reach_mm: f64,
    /// Expected, for a check figure.
    pub expected_mm: Option<f64>,
    /// True for a check figure that agrees; `None` for one that sizes.
    pub agrees: Option<bool>,
    /// Where it came from: measured, said on the phone, nominal of the pattern.
    pub origin: Origin,
    /// Likely reasons when a check figure is off, most likely first.
    pub likely_reasons: Vec<String>,
}

/// Where a figure came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// Measured.
    Measured,
    /// Said on the phone, not measured.
    SaidOnThePhone,
    /// The pattern's own.
    PatternNominal,
}

/// One piece worked out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PiecePlan {
    /// Name.
    pub name: String,
    /// "strip", "folded", "skin", "tube", "cone", "transition" or "ring".
    pub kind: String,
    /// Which face is out, which edge is up, which end is front, hand in full: printed on piece and drawing.
    pub placing: Placing,
    /// Reach of the piece's sizes.
    pub reach_mm: f64,
    /// Finished shape, already of the right hand, vehicle axes (folded: base axes).
    pub shape: mesh::Surface,
    /// Flat.
    pub blank: Blank,
    /// Cross-sections of the finished shape for templates and try-on: name, station, outside-face and inside-face polylines in the section's plane, mm.
    pub cross_sections: Vec<SectionShape>,
    /// Edge-line template: the finished edge laid in its best plane, mm (strip only).
    pub edge_template_mm: Vec<glam::DVec2>,
    /// Named edges of the finished piece, where another can be joined.
    #[serde(default)]
    pub edges: Vec<PieceEdge>,
    /// Mates with this piece (bolted pair).
    pub mates_with: Option<String>,
    /// What only a double-curved skin has.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub skin: Option<Box<SkinPlan>>,
    /// What only a tube has.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tube: Option<Box<TubePlan>>,
    /// What only a piece bent along rulings has.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ruled: Option<Box<RuledPlan>>,
    /// What only a ring has; of a ring that is built up, its first part carries it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ring: Option<Box<RingPlan>>,
    /// The piece of the job that this is a part of, where a ring is built up from several; empty otherwise.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub part_of: String,
}

/// What only a piece bent along rulings has: how it is set out and bent, and with which ends it joins.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RuledPlan {
    /// Lines, edges, radii.
    pub layout: blank::ruled::RuledLayout,
    /// Edge A and edge B: joined to the vehicle.
    pub joined: [bool; 2],
}

impl SectionPlan {
    /// The pieces as the fitter gets them: the parts of a built-up ring as the one ring they have become.
    #[must_use]
    pub fn as_fitted(&self) -> Vec<std::borrow::Cow<'_, PiecePlan>> {
        fitted(&self.pieces)
    }
}

/// Pieces as they are once the parts of every built-up ring are joined.
fn fitted(pieces: &[PiecePlan]) -> Vec<std::borrow::Cow<'_, PiecePlan>> {
    use std::borrow::Cow;
    let whole = |piece: &PiecePlan| -> Option<PiecePlan> {
        let whole = piece.ring.as_ref()?.whole.clone()?;
        Some(PiecePlan { name: piece.part_of.clone(), shape: whole, part_of: String::new(), ..piece.clone() })
    };
    pieces
        .iter()
        .filter(|piece| piece.part_of.is_empty() || piece.ring.is_some())
        .map(|piece| whole(piece).map_or(Cow::Borrowed(piece), Cow::Owned))
        .collect()
}

impl PiecePlan {
    /// The edge along which a map of welds runs: one of the piece's own, or the long seam of a sleeve.
    #[must_use]
    pub fn weld_edge(&self, name: &str) -> Option<&PieceEdge> {
        let seam = self.tube.as_ref().and_then(|tube| tube.seam_edge.as_ref());
        self.edges.iter().chain(seam).find(|edge| edge.name == name)
    }

    /// A piece named as its flat, with nothing but what every kind has.
    #[must_use]
    pub fn new(kind: &str, placing: Placing, reach_mm: f64, shape: mesh::Surface, blank: Blank) -> Self {
        Self {
            name: blank.piece.clone(),
            kind: kind.into(),
            placing,
            reach_mm,
            shape,
            blank,
            cross_sections: Vec::new(),
            edge_template_mm: Vec::new(),
            edges: Vec::new(),
            mates_with: None,
            skin: None,
            tube: None,
            ruled: None,
            ring: None,
            part_of: String::new(),
        }
    }

    /// Name of the piece in the job.
    #[must_use]
    pub fn name_in_job(&self) -> &str {
        if self.part_of.is_empty() { &self.name } else { &self.part_of }
    }
}

/// Which way a ring is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum RingWay {
    /// Formed from one flat blank.
    OneBlank,
    /// Built up from a part for each leg, with seams.
    BuiltUp,
}

impl RingWay {
    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::OneBlank => "one formed blank",
            Self::BuiltUp => "built up with seams",
        }
    }
}

/// One way of making a ring, judged and priced.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RingWayPlan {
    /// Which.
    pub way: RingWay,
    /// Can it be made?
    pub feasible: bool,
    /// What stops it, with what would be accepted instead.
    pub stopped_by: Vec<String>,
    /// Price of the whole lot, middle of the range, before tax; `None` where the shop has no rate for it.
    pub net: Option<units::Money>,
    /// Minutes of the lot.
    pub minutes: Option<f64>,
}

/// How a ring is made, and what its section looks like.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RingPlan {
    /// The way taken.
    pub way: RingWay,
    /// Why, in one sentence.
    pub because: String,
    /// Both ways.
    pub ways: Vec<RingWayPlan>,
    /// The finished ring in its own axes.
    pub ring: section::Ring,
    /// Outside face of its section, (r, z), from the innermost edge outwards; bends rounded for one blank, sharp when built up.
    pub outside_mm: Vec<glam::DVec2>,
    /// Inside face.
    pub inside_mm: Vec<glam::DVec2>,
    /// Seams, when built up.
    pub seams: Vec<blank::ring::RingSeam>,
    /// Boards, for one blank.
    pub forms: Vec<blank::ring::RingForm>,
    /// Circles with their size in the flat and finished, for one blank.
    pub circles: Vec<blank::ring::RingCircle>,
    /// How the thickness was reckoned and what keeps its size, in words; empty when built up.
    pub formed_words: String,
    /// Thinnest and thickest place after forming, mm.
    pub thickness_mm: [f64; 2],
    /// The whole finished ring in vehicle axes, where it is built up (each part has its own shape); `None` for one blank.
    pub whole: Option<mesh::Surface>,
    /// Radius to which each part is rolled, middle of the sheet, by part; `None` for a flat one.
    pub rolled_mm: Vec<Option<f64>>,
}

/// How a double-curved skin is formed, and what it is checked against.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SkinPlan {
    /// Bands, edges, thickness, limit.
    pub forming: blank::skin::SkinForming,
    /// Reading furthest from the fitted surface, mm.
    pub largest_residual_mm: f64,
    /// Root mean square of the readings' distances, mm.
    pub rms_residual_mm: f64,
    /// Names of the edges that take the section's joint.
    #[serde(default)]
    pub joined_edges: Vec<String>,
    /// Where its stations count from, and which way x and y run on the finished piece.
    #[serde(default)]
    pub datum: [String; 2],
    /// Checking templates, outside face.
    pub templates: Vec<blank::templates::CheckingTemplate>,
    /// Buck under the inside face.
    pub buck: Option<blank::templates::buck::Buck>,
    /// Where each slice of the buck stands, in its order: "x = 60.0 mm".
    #[serde(default)]
    pub slice_stations: Vec<String>,
    /// Hammerforms of its folded edges.
    pub hammerforms: Vec<blank::templates::Hammerform>,
}

impl Placing {
    /// What `front_end` tells.
    #[must_use]
    pub const fn front_label(&self) -> &'static str {
        if self.names_front { "Front end" } else { "It lies" }
    }
}

impl SkinPlan {
    /// The sentences of [`Self::datum`] that say something.
    pub fn datum_words(&self) -> impl Iterator<Item = &str> {
        self.datum.iter().map(String::as_str).filter(|words| !words.is_empty())
    }

    /// Where a slice of the buck stands, counted from 0, in words.
    #[must_use]
    pub fn slice_station(&self, index: usize) -> &str {
        self.slice_stations.get(index).map_or("a place that this plan does not tell: work it out again", String::as_str)
    }
}

/// How a piece is placed, in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Placing {
    /// "right hand (driver's right, facing forward)".
    pub hand: String,
    /// "this face out" side of the flat.
    pub face_out: String,
    /// Which edge is up.
    pub edge_up: String,
    /// Which end is front, or else how it lies.
    pub front_end: String,
    /// True when `front_end` names a front end.
    #[serde(default)]
    pub names_front: bool,
    /// How the curl or hem turns and where its seam lies; empty when there is none.
    pub curl: String,
}

/// A cross-section of the finished piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SectionShape {
    /// "cross-section at 120 mm".
    pub name: String,
    /// Station.
    pub station_mm: f64,
    /// Outside face, (o, u) plane, mm.
    pub outside_mm: Vec<glam::DVec2>,
    /// Inside face.
    pub inside_mm: Vec<glam::DVec2>,
    /// Wire: centre and diameter.
    pub wire: Option<(glam::DVec2, f64)>,
}

/// How it goes in.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct JointPlan {
    /// In one sentence.
    pub sentence: String,
    /// Hole size, pitch, overlap and the like, each with working.
    pub workings: Vec<Working>,
    /// Notes for the fitter.
    pub notes: Vec<String>,
    /// Number of plugs, spots, bolts or tacks.
    pub count: usize,
    /// Form of the joint, as the fitter makes it.
    #[serde(default)]
    pub form: Option<JointForm>,
    /// Its geometry at the cut line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub design: Option<JointDesign>,
    /// Joints that this place and fitter allow, best first, and those refused. Advice only: the joint itself is an input.
    #[serde(default)]
    pub advice: Advice,
    /// Settings of the fitter's machine, starting values.
    #[serde(default)]
    pub settings: Vec<Setting>,
    /// The least heat of the fitter's machine is more than the sheet usually takes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub too_hot: Option<Concern>,
    /// Welds in their order, edge by edge.
    #[serde(default)]
    pub maps: Vec<WeldMap>,
    /// Where the order of the maps is from.
    #[serde(default)]
    pub order_by: OrderBy,
    /// How long to wait before each weld of the maps; empty where the metal or the heat is not known.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pauses: Vec<WeldPause>,
    /// Thinner sheet of a doubler whose edges are tacked, mm: the leg of the tacks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tacked_mm: Option<f64>,
    /// Number of the welding process, ISO 4063.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub process: Option<u16>,
    /// Warp, where it has been computed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub warp: Vec<WarpFigure>,
    /// What the order that was computed and accepted does to the panel; none of the habit of the trade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub effect: Option<OrderEffect>,
    /// The strip on which the fitter practises; none for a trade welder or a joint without heat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub practice: Option<PracticeStrip>,
}

impl JointPlan {
    /// How long to wait before a weld of the maps, in words.
    #[must_use]
    pub fn pause_words(&self, number: usize) -> String {
        let found = self.pauses.iter().find(|own| own.number == number);
        match found {
            _ if number == 1 => "none".into(),
            Some(own) => own.words(),
            None => "until a hand can lie on it".into(),
        }
    }

    /// What the pauses are for, and what they hold for.
    #[must_use]
    pub fn pause_rule(&self) -> String {
        let worked_out = match self.order_by {
            OrderBy::Computed | OrderBy::ComputedHabit if self.tacked_mm.is_some() => {
                "worked out for this panel, those of the tacks along the edges for wide sheet. The hand decides"
            }
            OrderBy::Computed | OrderBy::ComputedHabit => "worked out for this panel. The hand decides",
            OrderBy::TradeHabit => {
                "worked out for wide sheet, faces bright. Near an edge it takes longer: the hand decides"
            }
        };
        let whole_s: f64 = self.pauses.iter().filter(|own| own.number > 1).map(|own| own.seconds).sum();
        let whole = match self.order_by {
            OrderBy::TradeHabit if !self.pauses.is_empty() => {
                format!(" In all {:.0} min.", (whole_s / 60.0 - 1e-3).ceil().max(0.0))
            }
            _ => String::new(),
        };
        let move_s = WarpSettings::default().move_s;
        format!(
            "Pauses beyond {move_s:.0} s for moving there, until a hand can lie on the place ({INTER_RUN_C:.0} °C): {worked_out}.{whole}"
        )
    }
}

impl WeldPause {
    /// In words, rounded up: to 5 s, from a minute and a half to whole minutes.
    #[must_use]
    pub fn words(&self) -> String {
        match self.seconds {
            s if s < 0.5 => "none".into(),
            s if s < 90.0 => format!("{:.0} s", (s / 5.0).ceil() * 5.0),
            s => format!("{:.0} min", (s / 60.0).ceil()),
        }
    }
}

/// The pause before one weld.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct WeldPause {
    /// Which weld, as the maps number it.
    pub number: usize,
    /// How long, beyond moving there, s.
    pub seconds: f64,
}

/// One setting or starting value.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Setting {
    /// What is set ("current").
    pub what: String,
    /// To what, in words.
    pub to: String,
    /// What it decides, where it is one of the settings to begin with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub decides: Option<Decides>,
}

/// What one of the settings to begin with decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Decides {
    /// How hot.
    Heat,
    /// In what rhythm.
    Rhythm,
    /// How long to wait before the next weld; of a spot welder, how hard it presses.
    Hold,
}

impl Decides {
    /// In the order in which they are set.
    pub const ALL: [Self; 3] = [Self::Heat, Self::Rhythm, Self::Hold];
}

/// Welds along one edge.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WeldMap {
    /// Piece.
    pub piece: String,
    /// Its edge.
    pub edge: String,
    /// Length of the edge.
    pub length_mm: f64,
    /// The edge closes on itself.
    pub closed: bool,
    /// Which welds of the edge these are.
    #[serde(default, skip_serializing_if = "WeldRow::is_own")]
    pub row: WeldRow,
    /// The welds lie so far from the edge of the piece, into its sheet.
    pub into_mm: f64,
    /// So does the edge of the old sheet.
    pub lap_mm: f64,
    /// Hole of a plug.
    pub hole_mm: Option<f64>,
    /// Welds by their place along the edge; their numbers run over all edges of the section.
    pub events: Vec<WeldEvent>,
}

/// A row of welds along an edge.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum WeldRow {
    /// The welds that the joint is named by.
    #[default]
    Own,
    /// Tacks of a doubler along the old edge, outside.
    OldEdge,
    /// Tacks of a doubler along its own edge, from behind.
    EdgeBehind,
    /// The long seam of a sleeve: tacks and short runs.
    LongSeam,
}

impl WeldRow {
    /// The row that the joint is named by.
    #[must_use]
    pub const fn is_own(&self) -> bool {
        matches!(self, Self::Own)
    }

    /// What is added to the name of the edge, where anything is.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Own | Self::LongSeam => "",
            Self::OldEdge => ", tacks along the old edge",
            Self::EdgeBehind => ", tacks along the edge behind",
        }
    }
}

impl WeldMap {
    /// Least and most from one tack, plug or spot to the next along the edge, mm; none for a single one.
    #[must_use]
    pub fn spacing_mm(&self) -> Option<[f64; 2]> {
        let dots = self.events.iter().filter(|event| event.kind != weld::joints::WeldEventKind::Run);
        let mut at_mm: Vec<f64> = dots.map(|event| event.from_mm).collect();
        at_mm.sort_by(f64::total_cmp);
        if self.closed {
            at_mm.extend(at_mm.first().map(|first| first + self.length_mm));
        }
        let gaps = at_mm.windows(2).map(|pair| pair[1] - pair[0]);
        let [least, most] = gaps.fold([f64::INFINITY, 0.0], |[least, most], gap| [gap.min(least), gap.max(most)]);
        (most > 0.0).then_some([least, most])
    }
}

/// Where an order of welds is from.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum OrderBy {
    /// The habit of the trade: middle outwards, skip, cool between.
    #[default]
    TradeHabit,
    /// Computed for least warp.
    Computed,
    /// Computed, with the habit of the trade found as good as any: its tacks and runs are those of the computation, by the numbers.
    ComputedHabit,
}

impl OrderBy {
    /// Was it computed and accepted, so that the numbers decide and not the rule of thumb?
    #[must_use]
    pub const fn is_computed(self) -> bool {
        matches!(self, Self::Computed | Self::ComputedHabit)
    }
}

/// Offcuts for practice: the joint in small.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PracticeStrip {
    /// Form that is practised.
    pub form: JointForm,
    /// Thickness of the upper and the lower offcut.
    pub thickness_mm: [f64; 2],
    /// Length and width of each offcut.
    pub size_mm: [f64; 2],
    /// Sheet on sheet, beyond the ramp.
    pub overlap_mm: f64,
    /// Depth and run of the step; 0 without one.
    pub step_mm: [f64; 2],
    /// Hole of a plug, nugget of a spot; 0 for a butt.
    pub hole_mm: f64,
    /// From one weld to the next; three of them, the middle one in the middle.
    pub pitch_mm: f64,
}

/// One line of protection.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ProtectLine {
    /// Cause, drain, before assembly, after assembly.
    pub stage: String,
    /// What to do.
    pub what: String,
}

/// One step of the fitting sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FittingStep {
    /// Number from 1.
    pub number: usize,
    /// Stable kind, picks the drawing ("hold-up", "brace", "clean-and-probe", "trim-ends", "scribe", "cut", "clamp-and-check", "tack", "weld", "let-in", "protect", "send-back").
    pub kind: String,
    /// Headline.
    pub title: String,
    /// Sentences.
    pub text: Vec<String>,
    /// Figures of the step in mm: name and value ("piece height", "lap", "cut height").
    pub figures_mm: Vec<(String, f64)>,
    /// Does this step cut the vehicle?
    pub cuts_vehicle: bool,
    /// Cautions of the step.
    pub cautions: Vec<String>,
}
