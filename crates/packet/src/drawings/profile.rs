//! Cross-sections of the finished piece, as cut through, with the old panel beside it where one is wanted.

use std::f64::consts::PI;

use glam::DVec2;
use job::file::Hand;
use job::plan::{PiecePlan, SectionShape};

use super::bounds_of;
use super::draft::{Draft, length_of, point_at, stretch_of};
use crate::drawing::{Drawing, Layer, Polyline, Scale, Shape, TextHeight};

/// A cross-section laid on paper: outside to the left for a left hand, to the right for a right hand, up is up.
#[derive(Debug, Clone)]
pub struct Laid {
    /// Outside face from the finished edge to the cut edge.
    pub outside: Vec<DVec2>,
    /// Inside face the same way.
    pub inside: Vec<DVec2>,
    /// Wire: centre and diameter.
    pub wire: Option<(DVec2, f64)>,
    /// Unit vector towards the outside of the vehicle on paper.
    pub outward: DVec2,
}

impl Laid {
    /// Lays a cross-section of a piece on paper.
    pub fn of(piece: &PiecePlan, shape: &SectionShape, hand: Option<Hand>) -> Self {
        let side = if hand == Some(Hand::Right) { 1.0 } else { -1.0 };
        let upright = if stands_on_its_head(piece, shape) { -1.0 } else { 1.0 };
        let lay = |point: &DVec2| DVec2::new(side * point.x, upright * point.y);
        Self {
            outside: shape.outside_mm.iter().map(lay).collect(),
            inside: shape.inside_mm.iter().map(lay).collect(),
            wire: shape.wire.map(|(centre, diameter)| (lay(&centre), diameter)),
            outward: DVec2::new(side, 0.0),
        }
    }

    /// The same, enlarged: for a picture beside a view that is reduced.
    pub fn enlarged(&self, factor: f64) -> Self {
        Self {
            outside: self.outside.iter().map(|point| *point * factor).collect(),
            inside: self.inside.iter().map(|point| *point * factor).collect(),
            wire: self.wire.map(|(centre, diameter)| (centre * factor, diameter * factor)),
            outward: self.outward,
        }
    }

    /// Draws the cut metal solid and the wire as a circle with its hatching.
    pub fn draw(&self, draft: &mut Draft, shift: DVec2) {
        let ring: Vec<DVec2> =
            self.outside.iter().copied().chain(self.inside.iter().rev().copied()).map(|point| point + shift).collect();
        draft.solid(Layer::Outline, &ring);
        if let Some((centre, diameter)) = self.wire {
            let radius_mm = diameter / 2.0;
            draft.drawing.add(Layer::Outline, Shape::Circle { centre: centre + shift, radius_mm });
            let round = (0..24).map(|i| centre + shift + DVec2::from_angle(PI * f64::from(i) / 12.0) * radius_mm);
            let outline = Polyline::closed(round);
            let hatch = Shape::Hatch { outline, holes: Vec::new(), angle_rad: PI / 4.0, spacing_paper_mm: 1.0 };
            draft.drawing.add(Layer::Hatch, hatch);
        }
    }

    /// Lowest point of the outside of the finished edge, over the wire or the fold.
    pub fn lowest(&self) -> DVec2 {
        let points = self.outside.iter().chain(&self.inside).copied();
        points.min_by(|a, b| a.y.total_cmp(&b.y)).unwrap_or_default()
    }

    /// Point on the outside face at a taped distance below the cut edge.
    pub fn below_top(&self, distance_mm: f64) -> DVec2 {
        let length = length_of(&self.outside);
        point_at(&self.outside, length - distance_mm).unwrap_or_default()
    }

    /// The old panel behind the piece: its faces from `from_top_mm` below the cut edge up to `above_mm` past it.
    pub fn old_panel(&self, draft: &mut Draft, from_top_mm: f64, above_mm: f64, thickness_mm: f64, shift: DVec2) {
        let length = length_of(&self.outside);
        let mut face = stretch_of(&self.outside, (length - from_top_mm).max(0.0), length);
        let way = match face.as_slice() {
            [.., before, last] => (*last - *before).normalize_or_zero(),
            _ => DVec2::Y,
        };
        face.extend(face.last().map(|last| *last + way * above_mm));
        let back: Vec<DVec2> = face.iter().map(|point| *point - self.outward * thickness_mm).collect();
        let ring: Vec<DVec2> = face.into_iter().chain(back.into_iter().rev()).map(|point| point + shift).collect();
        draft.ring(Layer::Adjacent, &ring);
    }
}

/// The plane's own up may point down on the vehicle; the surface says which: its cut edge against its finished edge.
fn stands_on_its_head(piece: &PiecePlan, shape: &SectionShape) -> bool {
    let (Some(first), Some(last)) = (shape.outside_mm.first(), shape.outside_mm.last()) else { return false };
    let mean = |wanted: &dyn Fn(&str) -> bool| {
        let points: Vec<f64> = piece
            .shape
            .lines
            .iter()
            .filter(|line| wanted(&line.name))
            .flat_map(|line| line.points_mm.iter().map(|point| point.z))
            .collect();
        (!points.is_empty()).then(|| points.iter().sum::<f64>() / points.len() as f64)
    };
    let names: Vec<&str> = piece
        .shape
        .lines
        .iter()
        .map(|line| line.name.as_str())
        .filter(|name| !matches!(*name, "outline" | "end line"))
        .collect();
    let (Some(low), Some(high)) = (names.first(), names.last()) else { return false };
    if low == high {
        return false;
    }
    match (mean(&|name| name == *low), mean(&|name| name == *high)) {
        (Some(low), Some(high)) if (high - low).abs() > 1.0 => (high > low) != (last.y > first.y),
        _ => false,
    }
}

/// Draws one cross-section with its name, the hand and the curl.
pub fn cross_section_view(piece: &PiecePlan, shape: &SectionShape, hand: Option<Hand>, scale: Scale) -> Drawing {
    let laid = Laid::of(piece, shape, hand);
    let description = format!("{}, {}: {}", piece.name, shape.name, piece.placing.hand);
    let mut draft = Draft::new(format!("{} {}", piece.name, shape.name), description, scale);
    laid.draw(&mut draft, DVec2::ZERO);
    let box_ = bounds_of(laid.outside.iter().chain(&laid.inside).copied());
    outside_arrow(&mut draft, &laid, box_.low);
    let at = DVec2::new(box_.low.x, box_.low.y);
    draft.bold(draft.moved(at, 0.0, -12.0), TextHeight::Mm2_5, format!("{}, {}", piece.name, shape.name));
    draft.words(draft.moved(at, 0.0, -16.6), TextHeight::Mm2_5, piece.placing.hand.clone());
    if !piece.placing.curl.is_empty() {
        draft.words(draft.moved(at, 0.0, -21.2), TextHeight::Mm2_5, piece.placing.curl.clone());
    }
    draft.drawing
}

/// An arrow with the word outside, below the view.
pub fn outside_arrow(draft: &mut Draft, laid: &Laid, low: DVec2) {
    let from = draft.moved(low, 0.0, -6.0);
    let to = from + laid.outward * draft.real(10.0);
    draft.arrow(Layer::Note, from, to);
    let words = to + laid.outward * draft.real(9.0);
    draft.centred(words, TextHeight::Mm2_5, "outside");
}
