//! From the job file to the plain numbers of `section`: pattern, version, switches, measurements, units, gauges, hand.
//!
//! Rules. A measured figure is the mean of its readings; its reach is the larger of the pattern's reach of one reading and
//! the spread of the readings. A bare number takes the job's unit when it was measured for this job and the pattern's unit
//! when it stands in a pattern. Height of cut = measured height, or proven depth + H1; the cut itself must lie in sound
//! metal, so H1 counts to the cut, and a lap stands above it: piece height = cut height + lap. Every fault is collected with
//! the path of its field; geometry is built only when there is none.

mod cut;
mod cut_down;
mod folded;
mod joint;
mod let_in;
mod made_up_ends;
mod make_up;
mod measure;
mod opening;
mod pair;
mod pattern;
mod reader;
mod ring;
mod ruled;
mod seam;
mod skin;
mod split;
mod strip;
mod tube;

pub use cut::{Cut, Height};
pub use joint::JointChoice;
pub use let_in::LetInPlate;
pub use measure::{Value, Values};
pub use pattern::Source;
pub use reader::Reader;
pub(crate) use reader::concern as note;
pub use ring::RingShape;
pub use ruled::RuledShape;
pub(crate) use seam::is_seamed;
pub use seam::{ResolvedPlace, ResolvedSeam, Stands};
pub use skin::{SkinShape, SkinShapeEdge};
pub use split::is_welded_on;
pub use tube::TubeShape;

use crate::file::{Hand, Job, Piece, Section};
use crate::plan::{Fault, MeasuredPlan};
use handbook::Concern;
use shop::ShopSettings;

/// Which corner of what was said on the telephone is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Corner {
    /// The middle of every range.
    #[default]
    Middle,
    /// The smallest of every range.
    Low,
    /// The largest of every range.
    High,
}

/// What a section is resolved under.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Assume {
    /// Corner of what was said.
    pub corner: Corner,
    /// Take the second, larger height of rust that is only seen.
    pub second_height: bool,
}

/// A piece in the plain numbers of `section`.
#[derive(Debug, Clone)]
pub struct ResolvedPiece {
    /// The piece.
    pub shape: ResolvedShape,
    /// What its wire stands out at start and end, where it was said.
    pub wire_stands_out_mm: Option<[f64; 2]>,
    /// Line held in the flat.
    pub held_line: Option<String>,
    /// Names of the two ends of the edge line; empty for a folded piece.
    pub end_names: [String; 2],
    /// Piece that it is bolted to.
    pub mate: Option<String>,
    /// How x and y lie on the vehicle; empty for a strip.
    pub directions: String,
}

/// A piece by its kind.
#[derive(Debug, Clone)]
pub enum ResolvedShape {
    /// A strip.
    Strip(Box<section::Strip>),
    /// A folded piece.
    Folded(Box<section::Folded>),
    /// A double-curved skin.
    Skin(Box<SkinShape>),
    /// A round tube.
    Tube(Box<TubeShape>),
    /// A piece bent along rulings.
    Ruled(Box<RuledShape>),
    /// A flanged or stepped ring.
    Ring(Box<RingShape>),
}

impl ResolvedShape {
    /// Name of the piece.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Self::Strip(strip) => &strip.name,
            Self::Folded(folded) => &folded.name,
            Self::Skin(skin) => &skin.name,
            Self::Tube(tube) => &tube.tube.name,
            Self::Ruled(ruled) => &ruled.piece.name,
            Self::Ring(shape) => &shape.ring.name,
        }
    }

    /// Sheet thickness, mm.
    #[must_use]
    pub fn thickness_mm(&self) -> f64 {
        match self {
            Self::Strip(strip) => strip.thickness_mm,
            Self::Folded(folded) => folded.thickness_mm,
            Self::Skin(skin) => skin.thickness_mm,
            Self::Tube(tube) => tube.tube.thickness_mm,
            Self::Ruled(ruled) => ruled.piece.thickness_mm,
            Self::Ring(shape) => shape.ring.thickness_mm,
        }
    }

    /// Material key.
    #[must_use]
    pub fn material(&self) -> &str {
        match self {
            Self::Strip(strip) => &strip.material,
            Self::Folded(folded) => &folded.material,
            Self::Skin(skin) => &skin.material,
            Self::Tube(tube) => &tube.tube.material,
            Self::Ruled(ruled) => &ruled.piece.material,
            Self::Ring(shape) => &shape.ring.material,
        }
    }

    /// Make-ups of all edges but the cut edge of a strip.
    pub fn make_ups(&self) -> Box<dyn Iterator<Item = &section::MakeUp> + '_> {
        match self {
            Self::Strip(strip) => Box::new(strip.finished_edge.iter()),
            Self::Folded(folded) => Box::new(folded.edges.iter().flat_map(|edge| &edge.make_ups)),
            Self::Skin(skin) => Box::new(skin.edges.iter().flat_map(|edge| &edge.make_ups)),
            Self::Tube(_) => Box::new(std::iter::empty()),
            Self::Ruled(_) => Box::new(std::iter::empty()),
            Self::Ring(_) => Box::new(std::iter::empty()),
        }
    }

    /// Openings.
    #[must_use]
    pub fn openings(&self) -> &[section::Opening] {
        match self {
            Self::Strip(strip) => &strip.openings,
            Self::Folded(folded) => &folded.openings,
            Self::Skin(skin) => &skin.openings,
            Self::Tube(tube) => &tube.tube.openings,
            Self::Ruled(_) => &[],
            Self::Ring(shape) => &shape.ring.holes,
        }
    }

    /// Reach of its sizes, mm.
    #[must_use]
    pub fn reach_mm(&self) -> f64 {
        match self {
            Self::Strip(strip) => strip.reach_mm,
            Self::Folded(folded) => folded.reach_mm,
            Self::Skin(skin) => skin.reach_mm(),
            Self::Tube(tube) => tube.tube.reach_mm,
            Self::Ruled(ruled) => ruled.piece.reach_mm,
            Self::Ring(shape) => shape.ring.reach_mm,
        }
    }
}

/// One section resolved.
#[derive(Debug, Clone)]
pub struct Resolved {
    /// Pattern and version, in words; empty for a piece described directly.
    pub pattern_words: String,
    /// Hand of the finished pieces.
    pub hand: Option<Hand>,
    /// Pieces; empty when there are faults.
    pub pieces: Vec<ResolvedPiece>,
    /// Seams between the pieces.
    pub seams: Vec<ResolvedSeam>,
    /// Where pieces stand that have only their own axes.
    pub stands: Vec<Stands>,
    /// Names that the file gives to edges of folded pieces: piece, number of the edge, name.
    pub edge_names: Vec<(String, usize, String)>,
    /// Let-in plates; each is a piece of its own too.
    pub plates: Vec<LetInPlate>,
    /// Figures of a piece that is cut down for another version.
    pub workings: Vec<handbook::Working>,
    /// Where to cut.
    pub cut: Option<Cut>,
    /// How it goes in.
    pub joint: JointChoice,
    /// Measurements as used.
    pub measured: Vec<MeasuredPlan>,
    /// Something of it was only said on the telephone.
    pub said_on_the_phone: bool,
    /// Doubts found on the way.
    pub concerns: Vec<Concern>,
    /// Faults.
    pub faults: Vec<Fault>,
}

/// Key of the stop for a hand that nobody has said.
pub(crate) const HAND_NOT_SAID: &str = "hand-not-said";

/// Resolves one section.
#[must_use]
pub fn resolve(job: &Job, section: &Section, shop: &ShopSettings, assume: Assume) -> Resolved {
    let mut reader = Reader::new(job, section);
    let source = Source::find(job, section, &mut reader);
    let values = measure::values(job, section, &source, assume.corner, &mut reader);
    let hand = section.hand.or(source.said_hand).or(values.said_hand);
    let hand = hand.or_else(|| hand_not_said(section, &source, &mut reader));
    let mirrored = mirrored(section, &source, hand, &mut reader);
    let build =
        Build { section, source: &source, values: &values, shop, placed: Placed { hand: plain_hand(hand), mirrored } };
    let mut shapes = pieces(&build, &mut reader);
    let seams = seam::all(&build, &mut reader);
    let stands = seam::stands(&build, &mut reader);
    let edge_names = seam::folded_edge_names(&build);
    seam::without_spare(&seams, &mut shapes);
    let (plates, flats): (Vec<_>, Vec<_>) = let_in::all(&build, &mut reader).into_iter().unzip();
    shapes.extend(flats);
    let as_made = cut_down::as_made(&source, &shapes);
    let mut joint = JointChoice::of(section, &shapes, shop, &mut reader);
    skin::join(section, &joint, shop, &mut shapes);
    tube::join(section, &mut joint, shop, &mut shapes, &mut reader);
    ring::join(section, &joint, &mut shapes, &mut reader);
    skin::note_unjoined(section, &seams, &shapes, &mut reader);
    let cut = cut::apply(
        &cut::Asked { section, source: &source, values: &values, seams: &seams, shop, assume },
        &joint,
        &mut shapes,
        &mut reader,
    );
    let cut_down = cut_down::compare(&source, &as_made, &shapes, &joint, &section.title);
    made_up_ends::apply(&build, &seams, &mut shapes, &mut reader);
    split::apply(&build, &mut shapes, &mut reader);
    let mut concerns = values.concerns;
    concerns.extend(cut_down.concerns);
    concerns.append(&mut reader.concerns);
    let faults = reader.into_faults();
    Resolved {
        pattern_words: source.words() + &cut_down.words,
        hand,
        pieces: if faults.is_empty() { shapes } else { Vec::new() },
        plates,
        workings: cut_down.workings,
        seams,
        stands,
        edge_names,
        cut: if faults.is_empty() { cut } else { None },
        joint,
        measured: values.plan,
        said_on_the_phone: values.said,
        concerns,
        faults,
    }
}

/// Where only answers are known and none says the hand, the surveyed one is priced: both cost the same, and nothing is cut.
fn hand_not_said(section: &Section, source: &Source<'_>, reader: &mut Reader) -> Option<Hand> {
    let surveyed = source.pattern?.hand?;
    if section.said.is_none() || !section.measured.is_empty() {
        return None;
    }
    reader.stop(
        HAND_NOT_SAID,
        [
            "the hand was not said".into(),
            "left and right are not the same piece; the price is the same for both".into(),
            "ask: left or right, as seen sitting in the driving seat facing forward".into(),
        ],
    );
    Some(surveyed)
}

fn mirrored(section: &Section, source: &Source<'_>, hand: Option<Hand>, reader: &mut Reader) -> bool {
    let surveyed = source.pattern.map_or(section.drawn_for, |pattern| pattern.hand);
    match (surveyed, hand) {
        (Some(_), None) => {
            reader.fault(
                format!("section.{}.hand", section.id),
                "is missing; write left or right, as seen sitting in the driving seat facing forward",
            );
            false
        }
        (Some(surveyed), Some(wanted)) => surveyed != wanted,
        (None, _) => false,
    }
}

fn pieces(build: &Build<'_>, reader: &mut Reader) -> Vec<ResolvedPiece> {
    let (section, source) = (build.section, build.source);
    let mut pieces = pair::pieces(build, reader);
    for piece in source.pieces {
        match piece {
            Piece::Strip(strip) if strip.in_pair.is_some() => {}
            Piece::Strip(strip) => pieces.extend(strip::piece(build, strip, reader)),
            Piece::Folded(folded) => pieces.extend(folded::piece(build, folded, reader)),
            Piece::Skin(skin) => pieces.extend(skin::piece(build, skin, reader)),
            Piece::Tube(tube) => pieces.extend(tube::piece(build, tube, reader)),
            Piece::Cone(cone) => pieces.extend(ruled::cone(build, cone, reader)),
            Piece::Transition(transition) => pieces.extend(ruled::transition(build, transition, reader)),
            Piece::Ring(ring) => pieces.extend(ring::piece(build, ring, reader)),
        }
    }
    let order = |name: &str| source.pieces.iter().position(|piece| crate::read::piece_name(piece) == name);
    pieces.sort_by_key(|piece| order(piece.shape.name()));
    if source.pieces.is_empty() && source.known {
        reader.fault(
            format!("section.{}.piece", section.id),
            "there is nothing to make; name a pattern in from_pattern or describe a piece",
        );
    }
    pieces
}

/// Name of an end of a strip (0 its start, 1 its far end), as its edges are called.
pub(crate) fn end_name(piece: &ResolvedPiece, end: usize) -> String {
    match piece.end_names.get(end).map(|name| name.trim()) {
        Some(name) if !name.is_empty() => name.to_owned(),
        _ if end == 0 => "start end".into(),
        _ => "far end".into(),
    }
}

/// What building one piece reads.
#[derive(Clone, Copy)]
struct Build<'a> {
    section: &'a Section,
    source: &'a Source<'a>,
    values: &'a Values,
    shop: &'a ShopSettings,
    placed: Placed,
}

/// Hand of the finished piece and whether it is the reflection of what was surveyed.
#[derive(Debug, Clone, Copy)]
struct Placed {
    hand: section::Hand,
    mirrored: bool,
}

fn plain_hand(hand: Option<Hand>) -> section::Hand {
    match hand {
        Some(Hand::Right) => section::Hand::Right,
        Some(Hand::Left) | None => section::Hand::Left,
    }
}
