//! What a renderer sees: five kinds of mark, each on its layer.

use glam::DVec2;

use super::bounds::Bounds;
use super::layer::Layer;
use super::polyline::Polyline;
use super::shape::Horizontal;
use crate::font::{self, Weight};

/// One line of lettering on its baseline.
#[derive(Debug, Clone, PartialEq)]
pub struct TextRun {
    /// Point on the baseline, real mm.
    pub at: DVec2,
    /// Which part of the line sits at the point.
    pub horizontal: Horizontal,
    /// Height of capitals, mm **on paper**.
    pub height_paper_mm: f64,
    /// Direction of reading, radians.
    pub angle_rad: f64,
    /// Weight.
    pub weight: Weight,
    /// The words.
    pub content: String,
}

impl TextRun {
    /// Returns the corners of the text's box in real mm, descenders included; `ratio` is paper to real.
    pub fn corners(&self, ratio: f64) -> [DVec2; 4] {
        let width = font::text_width_mm(&self.content, self.weight, self.height_paper_mm) / ratio;
        let height = self.height_paper_mm / ratio;
        let start = match self.horizontal {
            Horizontal::Left => 0.0,
            Horizontal::Middle => -width / 2.0,
            Horizontal::Right => -width,
        };
        let (along, up) = (DVec2::from_angle(self.angle_rad), DVec2::from_angle(self.angle_rad).perp());
        let corner = |x: f64, y: f64| self.at + along * x + up * y;
        let (low, high) = (-0.32 * height, 1.05 * height);
        [corner(start, low), corner(start + width, low), corner(start + width, high), corner(start, high)]
    }
}

/// A mark on paper. Coordinates in real mm.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// A chain of straights and arcs.
    Path(Polyline),
    /// A full circle.
    Circle {
        /// Centre.
        centre: DVec2,
        /// Radius, mm.
        radius_mm: f64,
    },
    /// Part of a circle.
    Arc(super::polyline::ArcForm),
    /// A solid area without arcs.
    Filled(Vec<DVec2>),
    /// A line of lettering.
    Text(TextRun),
}

impl Mark {
    /// Returns the box round the mark in real mm; `ratio` is paper to real (for lettering).
    pub fn bounds(&self, ratio: f64) -> Option<Bounds> {
        match self {
            Self::Path(path) => path.bounds(),
            Self::Circle { centre, radius_mm } => Some(Bounds { low: *centre, high: *centre }.grown(*radius_mm)),
            Self::Arc(arc) => arc_path(arc).bounds(),
            Self::Filled(points) => Bounds::around(points.iter().copied()),
            Self::Text(run) => Bounds::around(run.corners(ratio)),
        }
    }
}

/// Returns the arc as a polyline of at most two steps, each below a full turn.
pub fn arc_path(arc: &super::polyline::ArcForm) -> Polyline {
    let bulge = (arc.sweep_rad / 8.0).tan();
    let vertex = |t, bulge| super::polyline::Vertex { at: arc.point(t), bulge };
    Polyline { vertices: vec![vertex(0.0, bulge), vertex(0.5, bulge), vertex(1.0, 0.0)], closed: false }
}

/// A mark with its layer and the id of the item it came from.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke<'a> {
    /// What it stands for.
    pub layer: Layer,
    /// Id of the item.
    pub id: Option<&'a str>,
    /// The mark.
    pub mark: Mark,
}
