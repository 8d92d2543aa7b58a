//! What the shop is asked to make: blanks with what is known beside them.

use blank::Blank;
use blank::ring::{RingCircle, RingForm, RingSeam};
use blank::ruled::RuledLayout;
use blank::skin::SkinForming;

/// One piece to make.
#[derive(Debug, Clone)]
pub struct PieceWork<'a> {
    /// Its flat.
    pub blank: &'a Blank,
    /// Strip or folded.
    pub shape: PieceShape,
    /// "right hand", printed in the marking operation; empty on the middle line.
    pub hand: String,
    /// How a double-curved skin is formed.
    pub forming: Option<&'a SkinForming>,
    /// What is done to a round tube.
    pub tube: Option<TubeWork>,
    /// Lines of a piece bent along rulings.
    pub ruled: Option<&'a RuledLayout>,
    /// How a ring, or a part of one, is made.
    pub ring: Option<RingWork<'a>>,
    /// Slices of a buck that is made for it.
    pub buck_slices: usize,
    /// Stepped laps of its edges, one for each setting of the rolls.
    pub steps: Vec<StepWork>,
    /// Welded corners: length of each seam, mm.
    pub welded_corners_mm: Vec<f64>,
    /// Legs beyond a fold: name and width, for the folder's smallest leg.
    pub legs: Vec<(String, f64)>,
    /// Piece that it is bolted to for a check.
    pub mate: Option<String>,
    /// Templates to make (cross-sections, edge).
    pub templates: usize,
}

/// What kind of piece it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PieceShape {
    /// An edge line with cross-sections along it.
    Strip,
    /// A base with folds.
    Folded,
    /// A double-curved skin.
    Skin,
    /// A cone, a transition: bent along rulings.
    Ruled,
    /// A flanged or stepped ring, or a part of one.
    Ring,
    /// A round tube.
    Tube,
}

/// A round tube, or a patch of one.
#[derive(Debug, Clone, PartialEq)]
pub struct TubeWork {
    /// Outside diameter.
    pub outside_diameter_mm: f64,
    /// Inside radius that it is rolled to.
    pub inside_radius_mm: f64,
    /// Degrees of its girth.
    pub girth_deg: f64,
    /// How the long seam is made; empty for a patch.
    pub seam: String,
    /// Length of the long seam.
    pub seam_length_mm: f64,
    /// Flattened ends: name and width of the flat.
    pub flattened: Vec<(String, f64)>,
}

/// How a ring is made.
#[derive(Debug, Clone, Copy)]
pub enum RingWork<'a> {
    /// Formed from one flat blank over boards.
    Formed {
        /// The boards.
        forms: &'a [RingForm],
        /// Circles with their size in the flat and finished.
        circles: &'a [RingCircle],
        /// What keeps its size and how thickness was reckoned.
        words: &'a str,
        /// Thinnest and thickest place after forming, mm.
        thickness_mm: [f64; 2],
    },
    /// A part of a ring that is built up.
    Part {
        /// Mean radius to which it is rolled, mm; `None` for a flat part.
        rolled_mm: Option<f64>,
        /// Seams to weld once this part is made: all of them on the last part, none on the others.
        seams: &'a [RingSeam],
    },
}

impl RingWork<'_> {
    /// True for a part that other parts of the same ring follow: the last one carries what is done to the whole.
    pub(crate) const fn is_followed(&self) -> bool {
        matches!(self, Self::Part { seams: [], .. })
    }
}

/// A stepped lap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepWork {
    /// Depth.
    pub depth_mm: f64,
    /// Lap, ramp included.
    pub lap_mm: f64,
    /// Length along the edge, or along all edges that are pressed with this setting.
    pub length_mm: f64,
}

/// How a seam between two pieces is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SeamHeld {
    /// Tacked and welded along its length.
    Welded {
        /// Tacks.
        tacks: usize,
    },
    /// Plug welds.
    Plugs {
        /// How many.
        count: usize,
    },
    /// Spot welds.
    Spots {
        /// How many.
        count: usize,
    },
    /// Bolts.
    Bolted,
    /// Adhesive.
    Bonded,
}

/// One seam between two pieces.
#[derive(Debug, Clone, PartialEq)]
pub struct SeamWork {
    /// Letter on the drawing.
    pub letter: String,
    /// How it is joined, in one line.
    pub words: String,
    /// Length, mm.
    pub length_mm: f64,
    /// How it is held.
    pub held: SeamHeld,
}

/// Pieces brought together, with the seams made then.
#[derive(Debug, Clone, PartialEq)]
pub struct SubAssembly {
    /// Number from 1.
    pub number: usize,
    /// What is brought together, in words.
    pub what: String,
    /// Its seams.
    pub seams: Vec<SeamWork>,
    /// It shuts a box.
    pub shuts: bool,
    /// Area inside that box, m².
    pub inside_m2: f64,
}

/// One section to make.
#[derive(Debug, Clone)]
pub struct SectionWork<'a> {
    /// Title.
    pub title: String,
    /// Pieces.
    pub pieces: Vec<PieceWork<'a>>,
    /// Sub-assemblies in order; empty when no pieces are joined.
    pub sub_assemblies: Vec<SubAssembly>,
    /// How many of the whole section.
    pub quantity: u32,
    /// Made from a kept pattern: nothing is surveyed and the set-out is a tenth.
    pub kept_pattern: bool,
    /// Said on the telephone, not measured.
    pub said_on_the_phone: bool,
}

impl SectionWork<'_> {
    /// Length of the seams that are welded, of one section, m.
    pub(crate) fn welded_seams_m(&self) -> f64 {
        let seams = self.sub_assemblies.iter().flat_map(|step| &step.seams);
        seams.filter(|seam| matches!(seam.held, SeamHeld::Welded { .. })).map(|seam| seam.length_mm / 1000.0).sum()
    }

    /// Quantity, at least one, as a number.
    pub(crate) fn count(&self) -> f64 {
        f64::from(self.quantity.max(1))
    }
}

/// Size of a flat: largest minus smallest x and y, mm.
#[must_use]
pub fn bounds_mm(blank: &Blank) -> [f64; 2] {
    let fold = |pick: fn(&glam::DVec2) -> f64| {
        let (low, high) = blank
            .outline_mm
            .iter()
            .map(pick)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)));
        if high >= low { high - low } else { 0.0 }
    };
    [fold(|p| p.x), fold(|p| p.y)]
}

/// Length of the outline, mm.
#[must_use]
pub fn outline_length_mm(blank: &Blank) -> f64 {
    let next = blank.outline_mm.iter().cycle().skip(1);
    blank.outline_mm.iter().zip(next).map(|(a, b)| a.distance(*b)).sum()
}

/// Length of a polyline, mm.
#[must_use]
pub fn line_length_mm(line: &[glam::DVec2]) -> f64 {
    line.windows(2).map(|pair| pair.first().zip(pair.last()).map_or(0.0, |(a, b)| a.distance(*b))).sum()
}
