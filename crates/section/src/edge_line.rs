//! Edge lines: points, arcs and straights in space, measured by arc length.

use crate::SectionError;
use glam::DVec3;
use serde::{Deserialize, Serialize};

/// One segment of an edge line; it starts where the one before ended.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "segment")]
pub enum Segment {
    /// Straight to a point.
    Straight {
        /// End.
        to_mm: DVec3,
    },
    /// Circular arc through a point to a point.
    Arc {
        /// A point on the arc between the ends.
        via_mm: DVec3,
        /// End.
        to_mm: DVec3,
    },
    /// Smooth curve through measured points, the last of which ends it.
    Through {
        /// Points in order.
        points_mm: Vec<DVec3>,
    },
}

/// An edge line, checked: finite, smooth (no kink above 2°), not doubling back.
#[derive(Debug, Clone)]
pub struct EdgeLine {}

/// A point of an edge line with its derivatives by arc length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LinePoint {
    /// Position.
    pub position_mm: DVec3,
    /// Unit tangent.
    pub tangent: DVec3,
    /// Curvature vector (derivative of the tangent), 1/mm.
    pub curvature_per_mm: DVec3,
}

impl EdgeLine {
    /// Builds an edge line from its start and segments.
    ///
    /// # Errors
    /// [`SectionError::EdgeLine`] or [`SectionError::OutOfRange`] names the segment's fault and its station.
    pub fn new(_start_mm: DVec3, _segments: &[Segment]) -> Result<Self, SectionError> {
        Err(SectionError::EdgeLine {
            what: "has no length".into(),
            station_mm: 0.0,
            accepted: "give at least one segment",
        })
    }
}
