//! Axis-parallel bounding boxes, mm.

use glam::DVec2;

/// A bounding box; `low` is left and bottom, `high` is right and top.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Left and bottom, mm.
    pub low: DVec2,
    /// Right and top, mm.
    pub high: DVec2,
}

impl Bounds {
    /// Returns the box around the points; `None` without points.
    pub fn around(points: impl IntoIterator<Item = DVec2>) -> Option<Self> {
        let mut points = points.into_iter();
        let first = points.next()?;
        let mut bounds = Self { low: first, high: first };
        points.for_each(|point| bounds.include(point));
        Some(bounds)
    }

    /// Grows the box to hold `point`.
    pub fn include(&mut self, point: DVec2) {
        self.low = self.low.min(point);
        self.high = self.high.max(point);
    }

    /// Returns the box around both.
    pub fn union(self, other: Self) -> Self {
        Self { low: self.low.min(other.low), high: self.high.max(other.high) }
    }

    /// Returns the box grown by `margin_mm` on every side.
    pub fn grown(self, margin_mm: f64) -> Self {
        Self { low: self.low - DVec2::splat(margin_mm), high: self.high + DVec2::splat(margin_mm) }
    }

    /// Returns width and height, mm.
    pub fn size(self) -> DVec2 {
        self.high - self.low
    }

    /// Returns the middle.
    pub fn middle(self) -> DVec2 {
        (self.low + self.high) * 0.5
    }

    /// Says whether the boxes share a point.
    pub fn meets(self, other: Self) -> bool {
        self.low.cmple(other.high).all() && other.low.cmple(self.high).all()
    }

    /// Says whether `point` lies in the box, its edge included.
    pub fn holds(self, point: DVec2) -> bool {
        self.low.cmple(point).all() && point.cmple(self.high).all()
    }
}
