//! Weld symbols by ISO 2553, system A (from memory, handbook T16, T17): reference line with its dashed twin, arrow, basic symbol, what
//! stands left and right of it, tail with the process of ISO 4063.

use std::f64::consts::PI;

use glam::DVec2;
use handbook::joints::JointForm;
use handbook::welding::TACK_MM;
use job::plan::{JointPlan, WeldMap, WeldRow};

use super::draft::Draft;
use crate::drawing::{Horizontal, Layer, Shape, Text, TextHeight, Vertical};
use crate::number::trimmed;

/// Lettering of the symbol.
const LETTERS: TextHeight = TextHeight::Mm2_5;
/// Height of a basic symbol on paper.
const HIGH_MM: f64 = 3.5;
/// Room for a basic symbol.
const WIDE_MM: f64 = 4.5;
/// From the reference line to its dashed twin.
const TWIN_MM: f64 = 1.3;

/// A basic symbol.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basic {
    /// Square butt: two uprights.
    SquareButt,
    /// Plug: a box open below.
    Plug,
    /// Resistance spot: a ring on the line.
    Spot,
    /// Fillet: a right triangle.
    Fillet,
}

/// A symbol with its figures.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WeldSymbol {
    /// Basic symbol.
    pub basic: Basic,
    /// Left of it: size.
    pub left: String,
    /// Right of it: n × (e), or n × l (e).
    pub right: String,
    /// Dressed flush.
    pub flush: bool,
    /// In the tail.
    pub tail: String,
}

impl WeldSymbol {
    /// The symbol of a joint along one of its edges; `None` without a weld.
    pub fn of(joint: &JointPlan, map: &WeldMap) -> Option<Self> {
        let form = joint.form?;
        let count = map.events.iter().filter(|event| event.from_mm.total_cmp(&event.to_mm).is_eq()).count();
        let pitch_mm = map.spacing_mm().map_or(map.length_mm, |[least, most]| 0.5 * (least + most));
        let tail = joint.process.map(|number| number.to_string()).unwrap_or_default();
        let spaced = format!("{count} × ({})", trimmed(pitch_mm, 0));
        let nugget_mm = joint.design.as_ref().and_then(|own| own.figures.nugget_mm).map(|[wanted, _]| wanted);
        let (basic, left, right) = match form {
            // edge on face: a fillet no bigger than the sheet (z: its leg), n × l (e)
            _ if map.row == WeldRow::LongSeam => {
                (if map.lap_mm > 0.0 { Basic::Fillet } else { Basic::SquareButt }, String::new(), String::new())
            }
            _ if !map.row.is_own() => {
                let thin_mm = joint.tacked_mm.unwrap_or_default();
                let leg = if thin_mm > 0.0 { format!("z{}", trimmed(thin_mm, 1)) } else { String::new() };
                (Basic::Fillet, leg, format!("{count} × {} ({})", trimmed(TACK_MM, 0), trimmed(pitch_mm, 0)))
            }
            JointForm::Butt => (Basic::SquareButt, String::new(), String::new()),
            form if form.is_plugged() => {
                (Basic::Plug, map.hole_mm.map(|mm| trimmed(mm, 1)).unwrap_or_default(), spaced)
            }
            form if form.is_spotted() => (Basic::Spot, nugget_mm.map(|mm| trimmed(mm, 1)).unwrap_or_default(), spaced),
            _ => return None,
        };
        // what shows is dressed; a spot is left as the tips made it
        Some(Self { basic, left, right, flush: !matches!(basic, Basic::Spot | Basic::Fillet), tail })
    }

    /// In words, for a reader who does not know the symbol.
    pub fn words(&self) -> String {
        let what = match self.basic {
            Basic::SquareButt => "square butt weld",
            Basic::Plug => "plug welds",
            Basic::Spot => "spot welds",
            Basic::Fillet => "fillet weld",
        };
        let size = if self.left.is_empty() { String::new() } else { format!(", {} mm", self.left) };
        let number = match (self.right.is_empty(), self.basic) {
            (true, _) => String::new(),
            (false, Basic::Fillet) => format!(", number × length (pitch) {}", self.right),
            (false, _) => format!(", number × (pitch) {}", self.right),
        };
        let flush = if self.flush { ", dressed flush" } else { "" };
        let tail = if self.tail.is_empty() { String::new() } else { format!(", process {}", self.tail) };
        format!("{what}{size}{number}{flush}{tail}")
    }

    /// Draws the symbol with its arrow at `tip`. The reference line starts at `elbow`, and runs to the right, or to the left.
    pub fn draw(&self, draft: &mut Draft, tip: DVec2, elbow: DVec2, leftwards: bool) {
        let wide = |text: &str| 1.75 * text.chars().count() as f64;
        let (left_mm, right_mm) = (wide(&self.left) + 2.0, wide(&self.right) + 2.0);
        let length_mm = left_mm + WIDE_MM + right_mm + 2.0;
        draft.arrow(Layer::Note, elbow, tip);
        let start = if leftwards { draft.moved(elbow, -length_mm, 0.0) } else { elbow };
        let end = draft.moved(start, length_mm, 0.0);
        draft.line(Layer::Note, start, end);
        let [twin_from, twin_to] = [start, end].map(|at| draft.moved(at, 0.0, -TWIN_MM));
        draft.line(Layer::Hidden, twin_from, twin_to);
        let foot = draft.moved(start, left_mm, 0.0);
        self.basic(draft, foot);
        let text = |draft: &mut Draft, at: DVec2, side: Horizontal, words: &str| {
            if !words.is_empty() {
                draft.drawing.add(Layer::Note, Text::new(at, LETTERS, words).anchored(side, Vertical::Middle));
            }
        };
        let (size, number) = (draft.moved(start, left_mm - 0.6, 2.2), draft.moved(start, left_mm + WIDE_MM + 0.8, 2.2));
        text(draft, size, Horizontal::Right, &self.left);
        text(draft, number, Horizontal::Left, &self.right);
        if !self.tail.is_empty() {
            let (far, way, side) =
                if leftwards { (start, -1.0, Horizontal::Right) } else { (end, 1.0, Horizontal::Left) };
            for y in [2.6, -2.6] {
                let prong = draft.moved(far, way * 2.6, y);
                draft.line(Layer::Note, far, prong);
            }
            let at = draft.moved(far, way * 3.6, 0.0);
            text(draft, at, side, &self.tail);
        }
    }

    fn basic(&self, draft: &mut Draft, foot: DVec2) {
        let at = |draft: &Draft, x: f64, y: f64| draft.moved(foot, x, y);
        let wide = WIDE_MM - 0.5;
        let top = match self.basic {
            Basic::SquareButt => {
                for x in [0.35 * wide, 0.65 * wide] {
                    let (low, high) = (at(draft, x, 0.0), at(draft, x, HIGH_MM));
                    draft.line(Layer::Outline, low, high);
                }
                HIGH_MM
            }
            Basic::Plug => {
                let high = 0.75 * HIGH_MM;
                let corners = [(0.0, 0.0), (0.0, high), (wide, high), (wide, 0.0)].map(|(x, y)| at(draft, x, y));
                draft.path(Layer::Outline, &corners);
                high
            }
            Basic::Spot => {
                let radius_mm = draft.real(0.5 * HIGH_MM);
                let centre = at(draft, 0.5 * wide, 0.0);
                draft.drawing.add(Layer::Outline, Shape::Circle { centre, radius_mm });
                0.5 * HIGH_MM
            }
            Basic::Fillet => {
                let corners = [(0.0, 0.0), (0.0, HIGH_MM), (HIGH_MM, 0.0)].map(|(x, y)| at(draft, x, y));
                draft.path(Layer::Outline, &corners);
                HIGH_MM
            }
        };
        if self.flush {
            let (from, to) = (at(draft, 0.0, top + 0.9), at(draft, wide, top + 0.9));
            draft.line(Layer::Outline, from, to);
        }
    }
}

/// A small filled disc.
pub fn dot(draft: &mut Draft, centre: DVec2, radius_paper_mm: f64) {
    let radius = draft.real(radius_paper_mm);
    let ring: Vec<DVec2> = (0..16).map(|i| centre + DVec2::from_angle(f64::from(i) * PI / 8.0) * radius).collect();
    draft.solid(Layer::Weld, &ring);
}
