//! Checks and measures of a surface.

use crate::{FeatureLine, MeshError, PointId, Surface, Tag};
use glam::DVec3;
use std::collections::BTreeMap;

impl Surface {
    /// Checks that points are finite, triangles name three different points and a tag, and neighbours face the same way.
    ///
    /// # Errors
    /// The first [`MeshError`] found.
    pub fn validate(&self) -> Result<(), MeshError> {
        if let Some(index) = self.points_mm.iter().position(|point| !point.is_finite()) {
            return Err(MeshError::NotFinite { index });
        }
        for (index, [a, b, c]) in self.triangles.iter().enumerate() {
            let known = [a, b, c].iter().all(|id| (id.0 as usize) < self.points_mm.len());
            if !known || a == b || b == c || c == a {
                return Err(MeshError::BadTriangle { index, points: self.points_mm.len() });
            }
            let tagged = self.tag_of.get(index).is_some_and(|tag| usize::from(*tag) < self.tags.len());
            if !tagged {
                return Err(MeshError::NoTag { index, tags: self.tags.len() });
            }
        }
        match self.directed_edges().into_iter().find(|(_, uses)| *uses > 1) {
            Some(((from, to), _)) => Err(MeshError::Inconsistent { from: from.0, to: to.0 }),
            None => Ok(()),
        }
    }

    /// True when every edge is used once in each direction: the surface has no free edge.
    #[must_use]
    pub fn is_closed(&self) -> bool {
        let edges = self.directed_edges();
        edges.iter().all(|((from, to), uses)| *uses == 1 && edges.get(&(*to, *from)) == Some(&1))
    }

    fn directed_edges(&self) -> BTreeMap<(PointId, PointId), u32> {
        let mut edges = BTreeMap::new();
        for &[a, b, c] in &self.triangles {
            for edge in [(a, b), (b, c), (c, a)] {
                *edges.entry(edge).or_insert(0) += 1;
            }
        }
        edges
    }

    /// Corners of a triangle; `None` when it names a point that is not there.
    #[must_use]
    pub fn corners(&self, triangle: usize) -> Option<[DVec3; 3]> {
        let [a, b, c] = *self.triangles.get(triangle)?;
        let at = |id: PointId| self.points_mm.get(id.0 as usize).copied();
        Some([at(a)?, at(b)?, at(c)?])
    }

    /// Lowest and highest corner of the box around all points, mm; `None` without points.
    #[must_use]
    pub fn bounds_mm(&self) -> Option<[DVec3; 2]> {
        let first = *self.points_mm.first()?;
        Some(self.points_mm.iter().fold([first; 2], |[low, high], point| [low.min(*point), high.max(*point)]))
    }

    /// Area of the triangles whose tag is wanted, mm².
    #[must_use]
    pub fn area_mm2(&self, wanted: impl Fn(&Tag) -> bool) -> f64 {
        (0..self.triangles.len())
            .filter(|i| self.tag_of.get(*i).and_then(|tag| self.tags.get(usize::from(*tag))).is_some_and(&wanted))
            .filter_map(|i| self.corners(i))
            .map(|[a, b, c]| 0.5 * (b - a).cross(c - a).length())
            .sum()
    }

    /// Volume enclosed, mm³; positive when triangles face outward. Means something only for a closed surface.
    #[must_use]
    pub fn volume_mm3(&self) -> f64 {
        (0..self.triangles.len()).filter_map(|i| self.corners(i)).map(|[a, b, c]| a.dot(b.cross(c)) / 6.0).sum()
    }

    /// The surface reflected (y → −y), triangles turned over so that they still show the same side.
    #[must_use]
    pub fn reflected_y(&self) -> Self {
        let turn = |point: &DVec3| DVec3::new(point.x, -point.y, point.z);
        Self {
            points_mm: self.points_mm.iter().map(turn).collect(),
            triangles: self.triangles.iter().map(|&[a, b, c]| [a, c, b]).collect(),
            tag_of: self.tag_of.clone(),
            tags: self.tags.clone(),
            lines: self
                .lines
                .iter()
                .map(|line| FeatureLine { points_mm: line.points_mm.iter().map(turn).collect(), ..line.clone() })
                .collect(),
        }
    }

    /// Index of a tag, added when it is new.
    pub fn tag(&mut self, tag: Tag) -> u16 {
        let index = self.tags.iter().position(|known| *known == tag).unwrap_or_else(|| {
            self.tags.push(tag);
            self.tags.len() - 1
        });
        u16::try_from(index).unwrap_or(u16::MAX)
    }

    /// Adds a point.
    pub fn push_point(&mut self, point_mm: DVec3) -> PointId {
        self.points_mm.push(point_mm);
        PointId(u32::try_from(self.points_mm.len() - 1).unwrap_or(u32::MAX))
    }

    /// Adds a triangle.
    pub fn push_triangle(&mut self, corners: [PointId; 3], tag: u16) {
        self.triangles.push(corners);
        self.tag_of.push(tag);
    }
}
