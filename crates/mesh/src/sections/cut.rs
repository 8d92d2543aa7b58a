//! Cutting a skin with a plane.

use super::link::{Segment, Segments};
use super::{Fit, FitSettings, SectionError, SectionPlane};
use crate::Skin;
use glam::{DVec2, DVec3};
use std::collections::BTreeMap;

/// A point of the skin nearer to the plane than this lies in it, mm: above the rounding of coordinates, far below any cut.
pub const ON_PLANE_MM: f64 = 1e-9;

/// Where on the mesh a point of a section lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Place {
    /// At a point of the skin.
    Point(u32),
    /// On an edge, at a share of the way from its lower to its higher numbered point.
    Edge {
        /// Lower numbered point.
        low: u32,
        /// Higher numbered point.
        high: u32,
        /// 0 at `low`, 1 at `high`.
        share: f64,
    },
}

/// A point of a section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SectionPoint {
    /// In space, mm.
    pub at_mm: DVec3,
    /// In the frame of the plane, mm.
    pub plane_mm: DVec2,
    /// On the mesh.
    pub place: Place,
}

/// One line of a section. The outside of the sheet is to its left, seen against the plane's normal.
#[derive(Debug, Clone, PartialEq)]
pub struct SectionLine {
    /// In order; a closed line does not repeat the first.
    pub points: Vec<SectionPoint>,
    /// Whether the last point joins the first.
    pub closed: bool,
}

impl SectionLine {
    /// The points in the frame of the plane, mm.
    #[must_use]
    pub fn plane_points_mm(&self) -> Vec<DVec2> {
        self.points.iter().map(|point| point.plane_mm).collect()
    }

    /// Length along the chords, mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        let open: f64 = self.points.windows(2).map(|pair| pair[0].plane_mm.distance(pair[1].plane_mm)).sum();
        let closing = match (self.closed, self.points.first(), self.points.last()) {
            (true, Some(first), Some(last)) => last.plane_mm.distance(first.plane_mm),
            _ => 0.0,
        };
        open + closing
    }

    /// The line as few straights and arcs, in the frame of the plane.
    ///
    /// # Errors
    /// As [`super::Fit::through`].
    pub fn fitted(&self, settings: &FitSettings) -> Result<Fit, SectionError> {
        Fit::through(&self.plane_points_mm(), self.closed, settings)
    }
}

/// A line along which a height, given at the points of the skin, is 0.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelLine {
    /// In order, without doubles; a closed line does not repeat the first.
    pub places: Vec<Place>,
    /// Whether the last place joins the first.
    pub closed: bool,
}

/// A skin that has been found sound, ready to be cut any number of times.
#[derive(Debug, Clone, Copy)]
pub struct SectionCutter<'a> {
    skin: &'a Skin,
}

impl<'a> SectionCutter<'a> {
    /// Checks the skin: finite points, triangles with an area, at most two at an edge, facing the same way. It may be closed
    /// and may have several pieces.
    ///
    /// # Errors
    /// [`SectionError::Skin`].
    pub fn new(skin: &'a Skin) -> Result<Self, SectionError> {
        skin.check_sheet()?;
        Ok(Self { skin })
    }

    /// The lines in which the plane cuts the skin, the longest first; at least one.
    ///
    /// # Errors
    /// [`SectionError::Misses`], [`SectionError::FlatInPlane`].
    pub fn cut(&self, plane: &SectionPlane) -> Result<Vec<SectionLine>, SectionError> {
        let heights: Vec<f64> = self.skin.points_mm.iter().map(|p| snapped(plane.height_mm(*p))).collect();
        let levels = self.level_lines(&heights)?;
        let mut lines: Vec<SectionLine> = levels.iter().filter_map(|level| self.line(plane, level)).collect();
        if lines.is_empty() {
            let lowest_mm = heights.iter().copied().fold(f64::INFINITY, f64::min);
            let highest_mm = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            return Err(SectionError::Misses { lowest_mm, highest_mm });
        }
        lines.sort_by(|a, b| b.length_mm().total_cmp(&a.length_mm()));
        Ok(lines)
    }

    /// The lines along which a height is 0, straight between the points of the skin; none where it is above or below everywhere.
    ///
    /// `heights`: one for each point, in any unit. Exactly 0 lies on the line, as a point of a plane does ([`super`]).
    ///
    /// # Errors
    /// [`SectionError::NotFinite`], [`SectionError::OutOfRange`] for another number of heights, [`SectionError::FlatInPlane`].
    pub fn level_lines(&self, heights: &[f64]) -> Result<Vec<LevelLine>, SectionError> {
        if heights.len() != self.skin.points_mm.len() {
            let (name, accepted) = ("the number of heights", "one for each point of the skin");
            return Err(SectionError::OutOfRange { name, got: heights.len() as f64, accepted });
        }
        if !heights.iter().all(|height| height.is_finite()) {
            return Err(SectionError::NotFinite { what: "a height" });
        }
        let level = |(mut places, closed): (Vec<Place>, bool)| {
            places.dedup();
            if closed && places.len() > 1 && places.first() == places.last() {
                places.pop();
            }
            (places.len() >= if closed { 3 } else { 2 }).then_some(LevelLine { places, closed })
        };
        Ok(self.segments(heights)?.lines().into_iter().filter_map(level).collect())
    }

    fn segments(&self, heights: &[f64]) -> Result<Segments, SectionError> {
        let mut segments = Segments::default();
        let mut level: BTreeMap<(u32, u32), LevelEdge> = BTreeMap::new();
        for (index, triangle) in self.skin.triangles.iter().enumerate() {
            let height = triangle.map(|point| heights[point as usize]);
            let in_plane = height.map(|h| h == 0.0);
            if in_plane == [true; 3] {
                let at_mm = self.skin.corners(index).iter().sum::<DVec3>() / 3.0;
                return Err(SectionError::FlatInPlane { triangle: index, at_mm });
            }
            let segment = crossing(triangle, height).map(|segment| segments.push(segment));
            for i in 0..3 {
                let (from, to, apex) = (triangle[i], triangle[(i + 1) % 3], height[(i + 2) % 3]);
                if in_plane[i] && in_plane[(i + 1) % 3] {
                    let edge = level.entry((from.min(to), from.max(to))).or_default();
                    match segment {
                        Some(segment) if apex < 0.0 => edge.below.push(segment),
                        _ => edge.above.push((from, to)),
                    }
                }
            }
        }
        segments.link();
        for edge in level.values() {
            match (&edge.below[..], &edge.above[..]) {
                (&[one, other], _) => segments.part(one, other),
                ([], &[(from, to)]) => segments.push_edge(to, from),
                _ => {}
            }
        }
        segments.join_ends();
        Ok(segments)
    }

    fn line(&self, plane: &SectionPlane, LevelLine { places, closed }: &LevelLine) -> Option<SectionLine> {
        let closed = *closed;
        let mut points: Vec<SectionPoint> = Vec::with_capacity(places.len());
        for &place in places {
            let at_mm = self.at_mm(place);
            if points.last().is_none_or(|last| last.at_mm.distance(at_mm) > ON_PLANE_MM) {
                points.push(SectionPoint { at_mm, plane_mm: plane.to_plane(at_mm), place });
            }
        }
        while closed && points.len() > 1 && points[0].at_mm.distance(points[points.len() - 1].at_mm) <= ON_PLANE_MM {
            points.pop();
        }
        (points.len() >= if closed { 3 } else { 2 }).then_some(SectionLine { points, closed })
    }

    fn at_mm(&self, place: Place) -> DVec3 {
        let point = |index: u32| self.skin.points_mm[index as usize];
        match place {
            Place::Point(index) => point(index),
            Place::Edge { low, high, share } => point(low).lerp(point(high), share),
        }
    }
}

/// Triangles at an edge that lies in the plane: segments of those below, directed edges of those above.
#[derive(Default)]
struct LevelEdge {
    below: Vec<usize>,
    above: Vec<(u32, u32)>,
}

fn snapped(height_mm: f64) -> f64 {
    if height_mm.abs() <= ON_PLANE_MM { 0.0 } else { height_mm }
}

/// The segment in a triangle with points above and below: in where its edges rise, out where they fall, outside to the left.
fn crossing(triangle: &[u32; 3], height: [f64; 3]) -> Option<Segment> {
    let above = height.map(|h| h >= 0.0);
    let step = |from_above: bool| {
        let i = (0..3).find(|&i| above[i] == from_above && above[(i + 1) % 3] != from_above)?;
        let j = (i + 1) % 3;
        let (low, high) = if triangle[i] < triangle[j] { (i, j) } else { (j, i) };
        let share = height[low] / (height[low] - height[high]);
        let (low, high) = (triangle[low], triangle[high]);
        let upper = if from_above { i } else { j };
        let place = if height[upper] == 0.0 { Place::Point(triangle[upper]) } else { Place::Edge { low, high, share } };
        Some(((low, high), place))
    };
    let ((from_edge, from), (to_edge, to)) = (step(false)?, step(true)?);
    Some(Segment { from, to, from_edge: Some(from_edge), to_edge: Some(to_edge) })
}
