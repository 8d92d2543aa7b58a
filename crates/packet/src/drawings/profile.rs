//! Cross-sections of the finished piece, as cut through, with the old panel beside it where one is wanted.

use std::f64::consts::PI;

use glam::DVec2;
use job::file::Hand;
use job::plan::{PiecePlan, SectionPlan, SectionShape};

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

    /// 1 where the cut edge is up on paper, −1 where it is down.
    pub fn up(&self) -> f64 {
        if self.end_way().y >= 0.0 { 1.0 } else { -1.0 }
    }

    /// Outermost point of the finished edge, over the wire or the fold: the lowest where the cut edge is up.
    pub fn lowest(&self) -> DVec2 {
        let up = self.up();
        let points = self.outside.iter().chain(&self.inside).copied();
        points.min_by(|a, b| (up * a.y).total_cmp(&(up * b.y))).unwrap_or_default()
    }

    /// Index of the outermost point on one face.
    pub fn foot(&self, face: &[DVec2]) -> usize {
        let up = self.up();
        face.iter().enumerate().min_by(|a, b| (up * a.1.y).total_cmp(&(up * b.1.y))).map_or(0, |(index, _)| index)
    }

    /// Point on the outside face at a taped distance below the cut edge.
    pub fn below_top(&self, distance_mm: f64) -> DVec2 {
        let length = length_of(&self.outside);
        point_at(&self.outside, length - distance_mm).unwrap_or_default()
    }

    /// The old panel: from `from_top_mm` below the cut edge, along the outside face, up to `above_mm` past it. It lies behind that
    /// face, or in front of it where the piece's lap has gone behind it.
    pub fn old_panel(&self, draft: &mut Draft, panel: &OldPanel) {
        let length = length_of(&self.outside);
        let mut face = stretch_of(&self.outside, (length - panel.from_top_mm).max(0.0), length);
        let way = match face.as_slice() {
            [.., before, last] if *before != *last => (*last - *before).normalize_or_zero(),
            _ => self.end_way(),
        };
        face.extend(face.last().map(|last| *last + way * panel.above_mm));
        let side = if panel.in_front { 1.0 } else { -1.0 };
        // two lines closer than this would run into one
        if panel.thickness_mm < draft.real(1.5) {
            let middle = self.outward * (0.5 * side * panel.thickness_mm) + panel.shift;
            let line: Vec<DVec2> = face.iter().map(|point| *point + middle).collect();
            draft.path(Layer::Adjacent, &line);
            return;
        }
        let back = face.iter().map(|point| *point + self.outward * (side * panel.thickness_mm));
        let ring: Vec<DVec2> = face.iter().copied().chain(back.rev()).map(|point| point + panel.shift).collect();
        draft.ring(Layer::Adjacent, &ring);
    }

    /// Direction of the outside face at the cut edge.
    fn end_way(&self) -> DVec2 {
        match self.outside.as_slice() {
            [.., before, last] => (*last - *before).normalize_or_zero(),
            _ => DVec2::Y,
        }
    }
}

/// Where the old panel is drawn beside a cross-section.
pub struct OldPanel {
    /// Starts so far below the cut edge.
    pub from_top_mm: f64,
    /// Ends so far above it.
    pub above_mm: f64,
    /// Thickness.
    pub thickness_mm: f64,
    /// In front of the outside face it follows, not behind.
    pub in_front: bool,
    /// Moved by so much.
    pub shift: DVec2,
}

/// The plane's own up points down on the vehicle where the edge line runs rearward on the left: the surface says which way the
/// metal climbs towards its cut edge.
fn stands_on_its_head(piece: &PiecePlan, shape: &SectionShape) -> bool {
    let [.., before, last] = shape.outside_mm.as_slice() else { return false };
    let drawn = last.y - before.y;
    climbs_mm(piece).is_some_and(|climb| climb.abs() > 1.0 && drawn.abs() > 1e-6 && (climb > 0.0) != (drawn > 0.0))
}

/// How far the cut edge lies above the next lengthwise line at the middle of a strip, mm.
///
/// The outline runs along the finished edge, across, back along the cut edge and across; it has a point for every point of a
/// lengthwise line.
fn climbs_mm(piece: &PiecePlan) -> Option<f64> {
    let lines = &piece.shape.lines;
    let outline = &lines.iter().find(|line| line.name == "outline")?.points_mm;
    let inner = &lines.iter().rfind(|line| !line.closed && line.name != "end line")?.points_mm;
    let across = (outline.len() + 4).checked_sub(2 * inner.len())? / 2;
    let middle = inner.len() / 2;
    let cut = outline.get((inner.len() + across).checked_sub(2)? + (inner.len() - 1 - middle))?;
    Some(cut.z - inner.get(middle)?.z)
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

/// The same as the shop works by: with the weld symbol at the joint, where the piece's cut edge is welded.
pub fn working_section(section: &SectionPlan, piece: &PiecePlan, shape: &SectionShape, scale: Scale) -> Drawing {
    let drawing = cross_section_view(piece, shape, section.hand, scale);
    let own = super::maps_of(section, piece);
    let map = own.iter().map(|(map, _)| *map).find(|map| map.edge == "cut edge");
    let Some((symbol, map)) = map.and_then(|map| Some((super::WeldSymbol::of(&section.joint, map)?, map))) else {
        return drawing;
    };
    let mut draft = Draft { drawing };
    let laid = Laid::of(piece, shape, section.hand);
    let tip = laid.below_top(map.into_mm);
    // the arrow comes from outside, where the torch is
    let elbow = draft.moved(tip, laid.outward.x * 10.0, 9.0);
    symbol.draw(&mut draft, tip, elbow, laid.outward.x < 0.0);
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
