//! Shapes that carry meaning: geometry, lettering, and dimensions as ISO 129-1 arranges them (rules from memory,
//! handbook T14 and T15).

use glam::DVec2;

use super::polyline::Polyline;
use crate::font::Weight;

/// Height of capitals in mm on paper, of the ISO 3098 series (handbook T15).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum TextHeight {
    /// 1.8 mm: only for keys and title block captions.
    Mm1_8,
    /// 2.5 mm: notes.
    Mm2_5,
    /// 3.5 mm: dimensions.
    #[default]
    Mm3_5,
    /// 5 mm: titles.
    Mm5,
    /// 7 mm: names of pieces and sheets.
    Mm7,
    /// 10 mm: what must be seen from across the bench.
    Mm10,
}

impl TextHeight {
    /// Returns the height in mm.
    pub fn mm(self) -> f64 {
        match self {
            Self::Mm1_8 => 1.8,
            Self::Mm2_5 => 2.5,
            Self::Mm3_5 => 3.5,
            Self::Mm5 => 5.0,
            Self::Mm7 => 7.0,
            Self::Mm10 => 10.0,
        }
    }
}

/// Which part of a text sits at its point, sideways.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Horizontal {
    /// The left end.
    #[default]
    Left,
    /// The middle.
    Middle,
    /// The right end.
    Right,
}

/// Which part of a text sits at its point, upwards.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Vertical {
    /// The foot of the capitals of the last line.
    #[default]
    Baseline,
    /// The middle between the foot of the last line and the top of the first.
    Middle,
    /// The top of the capitals of the first line.
    Top,
}

/// Which part of a text sits at its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Anchor {
    /// Sideways.
    pub horizontal: Horizontal,
    /// Upwards.
    pub vertical: Vertical,
}

impl Anchor {
    /// Centred both ways.
    pub const CENTRE: Self = Self { horizontal: Horizontal::Middle, vertical: Vertical::Middle };
}

/// Lettering; `content` may hold several lines.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// The point that the anchor refers to, mm.
    pub at: DVec2,
    /// Which part of the text sits there.
    pub anchor: Anchor,
    /// Height of capitals on paper.
    pub height: TextHeight,
    /// Direction of reading, radians anticlockwise from +x.
    pub angle_rad: f64,
    /// Weight.
    pub weight: Weight,
    /// The words.
    pub content: String,
}

impl Text {
    /// Makes level text that starts at `at` on its baseline.
    pub fn new(at: DVec2, height: TextHeight, content: impl Into<String>) -> Self {
        let (anchor, weight) = (Anchor::default(), Weight::Regular);
        Self { at, anchor, height, angle_rad: 0.0, weight, content: content.into() }
    }

    /// Sets the anchor.
    pub fn anchored(mut self, horizontal: Horizontal, vertical: Vertical) -> Self {
        self.anchor = Anchor { horizontal, vertical };
        self
    }

    /// Sets the direction of reading.
    pub fn turned(mut self, angle_rad: f64) -> Self {
        self.angle_rad = angle_rad;
        self
    }

    /// Makes it bold.
    pub fn bold(mut self) -> Self {
        self.weight = Weight::Bold;
        self
    }
}

/// What a dimension says.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Label {
    /// The length measured from the drawing, as the drawing writes lengths.
    #[default]
    Measured,
    /// The measured length between two texts, for example `(` and `)` for a reference dimension, or `± 0.5` behind.
    MeasuredWith {
        /// Written before, without a space.
        prefix: String,
        /// Written behind, without a space.
        suffix: String,
    },
    /// These words instead.
    Text(String),
}

impl Label {
    /// Returns a label with a tolerance or other words behind the measured length.
    pub fn with_suffix(suffix: impl Into<String>) -> Self {
        Self::MeasuredWith { prefix: String::new(), suffix: suffix.into() }
    }
}

/// The direction a linear dimension measures in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Along {
    /// Along x. The dimension line lies above both points for a positive offset, below them for a negative one.
    Horizontal,
    /// Along y. The dimension line lies right of both points for a positive offset, left of them for a negative one.
    Vertical,
    /// From point to point. The dimension line lies to the left of the way from first to second for a positive offset.
    Aligned,
}

/// One value of a set of running dimensions.
#[derive(Debug, Clone, PartialEq)]
pub struct RunningStation {
    /// The point that is measured, mm.
    pub at: DVec2,
    /// What is written; measured from the datum by default.
    pub label: Label,
}

/// A shape. Lengths in real mm unless the name says `paper`.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Shape {
    /// A chain of straights and arcs.
    Polyline(Polyline),
    /// A straight line.
    Line {
        /// Start.
        from: DVec2,
        /// End.
        to: DVec2,
    },
    /// A full circle.
    Circle {
        /// Centre.
        centre: DVec2,
        /// Radius.
        radius_mm: f64,
    },
    /// Part of a circle.
    Arc {
        /// Centre.
        centre: DVec2,
        /// Radius.
        radius_mm: f64,
        /// Angle of the start from +x.
        start_rad: f64,
        /// Angle turned through, positive anticlockwise, at most one turn.
        sweep_rad: f64,
    },
    /// Lettering.
    Text(Text),
    /// Parallel lines inside an outline and outside its holes.
    Hatch {
        /// The hatched area.
        outline: Polyline,
        /// What is left free inside.
        holes: Vec<Polyline>,
        /// Direction of the lines.
        angle_rad: f64,
        /// Distance between lines, on paper.
        spacing_paper_mm: f64,
    },
    /// A solid area.
    Filled(Polyline),
    /// A line with a solid arrowhead at its end.
    Arrow {
        /// Tail.
        from: DVec2,
        /// Tip.
        to: DVec2,
    },
    /// An arrow from a note to what it speaks of.
    Leader {
        /// Tip first; the note hangs at the last point.
        points: Vec<DVec2>,
        /// The words, may hold several lines.
        note: String,
        /// Height of the words.
        height: TextHeight,
    },
    /// A length between two points.
    LinearDimension {
        /// First point.
        from: DVec2,
        /// Second point.
        to: DVec2,
        /// Direction measured in.
        along: Along,
        /// Distance of the dimension line from the points, on paper; its sign as in [`Along`].
        offset_paper_mm: f64,
        /// What is written.
        label: Label,
    },
    /// Lengths from one datum, all on one line (superimposed running dimensioning).
    RunningDimensions {
        /// The common zero.
        datum: DVec2,
        /// [`Along::Horizontal`] or [`Along::Vertical`]; [`Along::Aligned`] counts as horizontal.
        along: Along,
        /// The measured points, any order.
        stations: Vec<RunningStation>,
        /// Distance of the dimension line from the outermost point, on paper; its sign as in [`Along`].
        offset_paper_mm: f64,
    },
    /// A radius, written with R.
    RadiusDimension {
        /// Centre of the arc.
        centre: DVec2,
        /// Radius.
        radius_mm: f64,
        /// Where on the arc the arrow stands.
        angle_rad: f64,
        /// What is written behind R.
        label: Label,
    },
    /// A diameter, written with ⌀.
    DiameterDimension {
        /// Centre of the circle.
        centre: DVec2,
        /// Diameter.
        diameter_mm: f64,
        /// Where on the circle the arrow stands.
        angle_rad: f64,
        /// What is written behind ⌀.
        label: Label,
    },
    /// An angle, written in degrees.
    AngleDimension {
        /// Where the legs meet.
        apex: DVec2,
        /// Direction of the first leg.
        from_rad: f64,
        /// Angle turned through to the second leg, positive anticlockwise.
        sweep_rad: f64,
        /// Radius of the dimension arc, on paper.
        radius_paper_mm: f64,
        /// What is written; measured means degrees with one decimal at most.
        label: Label,
    },
    /// The sign for the face that lies up: the edge of the sheet with an arrow rising from it, and words beside it.
    FaceUp {
        /// Left end of the sheet edge.
        at: DVec2,
        /// Which face, in words: `outside face up`.
        words: String,
    },
}

impl From<Polyline> for Shape {
    fn from(polyline: Polyline) -> Self {
        Self::Polyline(polyline)
    }
}

impl From<Text> for Shape {
    fn from(text: Text) -> Self {
        Self::Text(text)
    }
}

impl Shape {
    /// Returns the kind of shape in words, for messages.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Polyline(_) => "polyline",
            Self::Line { .. } => "line",
            Self::Circle { .. } => "circle",
            Self::Arc { .. } => "arc",
            Self::Text(_) => "text",
            Self::Hatch { .. } => "hatching",
            Self::Filled(_) => "filled area",
            Self::Arrow { .. } => "arrow",
            Self::Leader { .. } => "leader",
            Self::LinearDimension { .. } => "linear dimension",
            Self::RunningDimensions { .. } => "running dimensions",
            Self::RadiusDimension { .. } => "radius dimension",
            Self::DiameterDimension { .. } => "diameter dimension",
            Self::AngleDimension { .. } => "angle dimension",
            Self::FaceUp { .. } => "face-up sign",
        }
    }
}
