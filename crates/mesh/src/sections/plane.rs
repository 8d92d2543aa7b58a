//! The plane of a section, with the frame in which its curves are given.

use super::SectionError;
use glam::{DVec2, DVec3};
use serde::{Deserialize, Serialize};

/// A plane with a frame: x runs along, y up, and along × up is the normal, towards the reader.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SectionPlane {
    origin_mm: DVec3,
    along: DVec3,
    up: DVec3,
}

/// Sine of the least angle between the two directions: 1°.
const LEAST_SINE: f64 = 0.0174;

impl SectionPlane {
    /// The plane through a point, along a direction; `up` is made square to `along`.
    ///
    /// # Errors
    /// [`SectionError::NotFinite`], [`SectionError::NoDirection`], [`SectionError::Parallel`].
    pub fn new(origin_mm: DVec3, along: DVec3, up: DVec3) -> Result<Self, SectionError> {
        let given = [
            (origin_mm, "the point of the plane"),
            (along, "the direction along the plane"),
            (up, "the direction up the plane"),
        ];
        if let Some((_, what)) = given.into_iter().find(|(vector, _)| !vector.is_finite()) {
            return Err(SectionError::NotFinite { what });
        }
        let unit = |vector: DVec3, what| vector.try_normalize().ok_or(SectionError::NoDirection { what });
        let along = unit(along, given[1].1)?;
        let up = unit(up, given[2].1)?;
        let square = up - along * up.dot(along);
        if square.length() < LEAST_SINE {
            return Err(SectionError::Parallel);
        }
        Ok(Self { origin_mm, along, up: square.normalize() })
    }

    /// The point where x and y are 0, mm.
    #[must_use]
    pub fn origin_mm(&self) -> DVec3 {
        self.origin_mm
    }

    /// Direction of x; unit length.
    #[must_use]
    pub fn along(&self) -> DVec3 {
        self.along
    }

    /// Direction of y; unit length, square to [`Self::along`].
    #[must_use]
    pub fn up(&self) -> DVec3 {
        self.up
    }

    /// along × up.
    #[must_use]
    pub fn normal(&self) -> DVec3 {
        self.along.cross(self.up)
    }

    /// Distance of a point from the plane, mm; positive on the side of the normal.
    #[must_use]
    pub fn height_mm(&self, point_mm: DVec3) -> f64 {
        (point_mm - self.origin_mm).dot(self.normal())
    }

    /// A point in the frame of the plane, its height dropped; mm.
    #[must_use]
    pub fn to_plane(&self, point_mm: DVec3) -> DVec2 {
        let from_origin = point_mm - self.origin_mm;
        DVec2::new(from_origin.dot(self.along), from_origin.dot(self.up))
    }

    /// A point of the plane in space; mm.
    #[must_use]
    pub fn to_space(&self, plane_mm: DVec2) -> DVec3 {
        self.origin_mm + self.along * plane_mm.x + self.up * plane_mm.y
    }

    /// A direction in the frame of the plane, its part along the normal dropped.
    #[must_use]
    pub fn direction(&self, vector: DVec3) -> DVec2 {
        DVec2::new(vector.dot(self.along), vector.dot(self.up))
    }

    /// The plane moved along its normal.
    #[must_use]
    pub fn moved(&self, distance_mm: f64) -> Self {
        Self { origin_mm: self.origin_mm + self.normal() * distance_mm, ..*self }
    }
}
