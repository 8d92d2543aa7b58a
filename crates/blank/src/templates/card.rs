//! A flat body behind a working edge: sides, straight back, hand hole.

use super::{CardSettings, TemplateError};
use glam::DVec2;
use mesh::polygon::{check_simple, distance_to_sides_mm};
use mesh::sections::{ArcChain, ArcVertex};
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// A hand hole is 90 × 30 with round ends (common practice, no source).
const HAND_HOLE_MM: [f64; 2] = [90.0, 30.0];
/// Least material round a hand hole, mm (common practice, no source).
const WEB_MM: f64 = 15.0;
/// Chords that stand for arcs where outlines are tested, mm.
pub(super) const TEST_DEVIATION_MM: f64 = 0.005;

/// What a mark on a card shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum MarkKind {
    /// The station: the point through which the plane was laid.
    Station,
    /// Down to a datum point.
    Datum,
    /// Where the sheet ends.
    SectionEnd,
    /// Edge of a hole of the sheet.
    HoleEdge,
    /// Where another slice crosses.
    Crossing,
}

/// A line drawn on a card, from the working edge into the card.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct CardMark {
    /// What it shows.
    pub kind: MarkKind,
    /// Words beside it.
    pub name: String,
    /// The line, in the frame of the plane, mm; it begins at the working edge.
    pub line_mm: [DVec2; 2],
}

/// A card behind a working edge.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Card {
    pub outline: ArcChain,
    pub hand_hole: Option<ArcChain>,
    /// From above the end of the working edge to above its start.
    pub back_mm: [DVec2; 2],
    /// The working edge with overruns and bridges, as chords.
    working_mm: Vec<DVec2>,
    start_mm: DVec2,
    end_mm: DVec2,
    along: DVec2,
    back_height_mm: f64,
}

impl Card {
    /// Builds the body to the left of the pieces of a working edge, which follow one another along it.
    pub fn behind(pieces: &[ArcChain], settings: &CardSettings, place: &str) -> Result<Self, TemplateError> {
        let crosses = |at_mm: DVec2| TemplateError::Crosses {
            place: place.to_owned(),
            at_mm,
            accepted: "give a shorter section or less overrun".to_owned(),
        };
        let working = working_edge(pieces, settings);
        let chords = working.flattened_mm(TEST_DEVIATION_MM);
        let ends = |chain: &ArcChain| Some((chain.vertices.first()?.at_mm, chain.vertices.last()?.at_mm));
        let (Some((first, last)), Some((start_mm, _)), Some((_, end_mm))) =
            (ends(&working), pieces.first().and_then(ends), pieces.last().and_then(ends))
        else {
            return Err(crosses(DVec2::ZERO));
        };
        let along = (last - first).try_normalize().ok_or_else(|| crosses(first))?;
        let height = |point: DVec2| along.perp_dot(point - first);
        let highest = chords.iter().map(|point| height(*point)).fold(0.0, f64::max);
        let back_height_mm = highest + settings.depth_mm;
        let outline = closed_body(&working, along, back_height_mm, settings);
        let tested = outline.flattened_mm(TEST_DEVIATION_MM);
        check_simple(&tested).map_err(|clash| crosses(clash.at_mm))?;
        let across = along.perp();
        let back = |point: DVec2| point + across * (back_height_mm - height(point));
        let mut card = Self {
            outline,
            hand_hole: None,
            back_mm: [back(last), back(first)],
            working_mm: chords,
            start_mm,
            end_mm,
            along,
            back_height_mm,
        };
        card.hand_hole = card.hand_hole_with_room(&tested);
        Ok(card)
    }

    /// Position along the back, from where the section starts, mm.
    pub fn along_mm(&self, point: DVec2) -> f64 {
        (point - self.start_mm).dot(self.along)
    }

    /// Length of the section along the back, mm.
    pub fn length_mm(&self) -> f64 {
        self.along_mm(self.end_mm)
    }

    /// Distance of a point behind another, square to the back, mm.
    pub fn behind_mm(&self, point: DVec2, than: DVec2) -> f64 {
        self.along.perp_dot(point - than)
    }

    /// A line across the card, square to its back, from the working edge at a position along the back.
    pub fn line_across(&self, along_mm: f64) -> Option<[DVec2; 2]> {
        let position = |point: DVec2| self.along_mm(point) - along_mm;
        let crossings = self.working_mm.windows(2).filter_map(|pair| {
            let (a, b) = (position(pair[0]), position(pair[1]));
            let meets = (a <= 0.0) != (b <= 0.0) || a == 0.0 || b == 0.0;
            let share = if a == b { 0.0 } else { a / (a - b) };
            meets.then(|| pair[0].lerp(pair[1], share))
        });
        let first = *self.working_mm.first()?;
        let height = |point: &DVec2| self.behind_mm(*point, first);
        let foot = crossings.max_by(|p, q| height(p).total_cmp(&height(q)))?;
        Some([foot, foot + self.along.perp() * (self.back_height_mm - self.behind_mm(foot, first))])
    }

    /// A short line into the card at a point of the working edge.
    pub fn tick(&self, at: DVec2, length_mm: f64) -> [DVec2; 2] {
        [at, at + self.along.perp() * length_mm]
    }

    /// A slot in the middle of the back, where there is room all round.
    fn hand_hole_with_room(&self, outline: &[DVec2]) -> Option<ArcChain> {
        let [length, width] = HAND_HOLE_MM;
        let radius = 0.5 * width;
        let centre = self.back_mm[0].midpoint(self.back_mm[1]) - self.along.perp() * (WEB_MM + radius);
        let (half, across) = (self.along * (0.5 * length - radius), self.along.perp() * radius);
        let corner = |at_mm, bulge| ArcVertex { at_mm, bulge };
        let vertices = vec![
            corner(centre - half - across, 0.0),
            corner(centre + half - across, 1.0),
            corner(centre + half + across, 0.0),
            corner(centre - half + across, 1.0),
        ];
        let hole = ArcChain { vertices, closed: true };
        let room = hole.flattened_mm(0.1).iter().all(|point| {
            mesh::polygon::contains(outline, *point) && distance_to_sides_mm(outline, *point) >= WEB_MM - 0.1
        });
        room.then_some(hole)
    }
}

/// The pieces with a straight past each end and a step back over each hole.
fn working_edge(pieces: &[ArcChain], settings: &CardSettings) -> ArcChain {
    let mut vertices: Vec<ArcVertex> = Vec::new();
    for piece in pieces {
        let Some(&next) = piece.vertices.first() else { continue };
        if let Some(last) = vertices.last_mut() {
            last.bulge = 0.0;
            let from = last.at_mm;
            let aside = (next.at_mm - from).normalize_or_zero().perp() * settings.relief_mm;
            vertices.push(ArcVertex::straight(from + aside));
            vertices.push(ArcVertex::straight(next.at_mm + aside));
        }
        vertices.extend(&piece.vertices);
    }
    let mut working = ArcChain { vertices, closed: false };
    if settings.overrun_mm > 0.0 {
        let steps: Vec<_> = working.steps().collect();
        if let (Some(first), Some(last)) = (steps.first(), steps.last()) {
            let before = first.from_mm - tangent(first.from_mm, first.to_mm, -first.bulge) * settings.overrun_mm;
            let after = last.to_mm + tangent(last.from_mm, last.to_mm, last.bulge) * settings.overrun_mm;
            working.vertices.insert(0, ArcVertex::straight(before));
            working.vertices.push(ArcVertex::straight(after));
        }
    }
    working
}

/// Direction at the end of a step; at its start with the bulge turned round.
fn tangent(from: DVec2, to: DVec2, bulge: f64) -> DVec2 {
    DVec2::from_angle(2.0 * bulge.atan()).rotate((to - from).normalize_or_zero())
}

/// Working edge, side, back with its corners, side; anticlockwise.
fn closed_body(working: &ArcChain, along: DVec2, back_height_mm: f64, settings: &CardSettings) -> ArcChain {
    let mut vertices = working.vertices.clone();
    let (Some(&first), Some(&last)) = (working.vertices.first(), working.vertices.last()) else {
        return ArcChain::default();
    };
    let across = along.perp();
    let lift = |point: DVec2| point + across * (back_height_mm - along.perp_dot(point - first.at_mm));
    let radius = settings.corner_radius_mm.min(0.25 * last.at_mm.distance(first.at_mm));
    let bulge = (PI / 8.0).tan();
    let (right, left) = (lift(last.at_mm), lift(first.at_mm));
    if radius > 0.0 {
        vertices.push(ArcVertex { at_mm: right - across * radius, bulge });
        vertices.push(ArcVertex::straight(right - along * radius));
        vertices.push(ArcVertex { at_mm: left + along * radius, bulge });
        vertices.push(ArcVertex::straight(left - across * radius));
    } else {
        vertices.extend([right, left].map(ArcVertex::straight));
    }
    ArcChain { vertices, closed: true }
}
