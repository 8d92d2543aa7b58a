//! A sheet of paper with drawings placed on it: what the SVG and PDF renderers print at exact size.

use std::sync::Arc;

use glam::DVec2;

use crate::drawing::{Bounds, Drawing};

/// A trimmed sheet of paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Paper {
    /// Name as printed: `A4`.
    pub name: &'static str,
    /// Shorter side, mm.
    pub short_mm: f64,
    /// Longer side, mm.
    pub long_mm: f64,
}

impl Paper {
    /// ISO 216 (handbook T12).
    pub const A4: Self = Self { name: "A4", short_mm: 210.0, long_mm: 297.0 };
    /// ISO 216 (handbook T12).
    pub const A3: Self = Self { name: "A3", short_mm: 297.0, long_mm: 420.0 };
    /// ISO 216 (handbook T12).
    pub const A2: Self = Self { name: "A2", short_mm: 420.0, long_mm: 594.0 };
    /// ISO 216 (handbook T12).
    pub const A1: Self = Self { name: "A1", short_mm: 594.0, long_mm: 841.0 };
    /// ISO 216 (handbook T12).
    pub const A0: Self = Self { name: "A0", short_mm: 841.0, long_mm: 1189.0 };
    /// North American letter, 8½ × 11 in.
    pub const LETTER: Self = Self { name: "Letter", short_mm: 215.9, long_mm: 279.4 };

    /// Returns width and height in mm.
    pub fn size_mm(self, orientation: Orientation) -> DVec2 {
        match orientation {
            Orientation::Portrait => DVec2::new(self.short_mm, self.long_mm),
            Orientation::Landscape => DVec2::new(self.long_mm, self.short_mm),
        }
    }
}

/// Which way a sheet is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Orientation {
    /// Upright.
    Portrait,
    /// On its long side.
    Landscape,
}

/// A drawing placed on a page.
#[derive(Debug, Clone)]
pub struct View {
    /// The drawing; it brings its own scale.
    pub drawing: Arc<Drawing>,
    /// Where the drawing's origin lies on the page: mm from the page's lower left corner, y up.
    pub origin_mm: DVec2,
    /// The part of the page the drawing may mark, page mm; all of it when absent.
    pub window: Option<Bounds>,
}

/// One sheet: views first, the dressing (frame, title block, marks) on top.
///
/// Page frame: mm from the lower left corner of the sheet, y up.
#[derive(Debug, Clone)]
pub struct Page {
    /// Short name, also the title of the SVG.
    pub name: String,
    /// One sentence for a reader who cannot see the page.
    pub description: String,
    /// Width and height of the sheet, mm.
    pub size_mm: DVec2,
    /// Placed drawings.
    pub views: Vec<View>,
    /// Frame, title block, marks, at full size in page coordinates.
    pub dressing: Drawing,
}

impl View {
    /// Returns the page point of a drawing point.
    pub fn on_page(&self, point: DVec2) -> DVec2 {
        self.origin_mm + point * self.drawing.scale.ratio()
    }
}
