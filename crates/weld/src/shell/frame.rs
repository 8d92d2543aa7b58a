//! A triangle in its own plane.

use glam::{DVec2, DVec3};

/// Twice the area over the square of the longest side below which a triangle counts as one without area.
const LEAST_SHAPE: f64 = 1e-6;

/// Plane of a triangle: x along its first side, z along its normal, origin at the middle of its corners.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Middle of the corners, mm.
    pub origin_mm: DVec3,
    /// Unit vectors x, y, z in the axes of the mesh.
    pub axes: [DVec3; 3],
    /// Corners in the plane, mm, counter-clockwise.
    pub corners_mm: [DVec2; 3],
    /// Area.
    pub area_mm2: f64,
}

impl Frame {
    /// The frame of a triangle; none when it has no area to speak of or a corner is not finite.
    #[must_use]
    pub fn of(corners_mm: [DVec3; 3]) -> Option<Self> {
        let [a, b, c] = corners_mm;
        let (along, across) = (b - a, c - a);
        let double_area = along.cross(across);
        let longest = along.length_squared().max(across.length_squared()).max((c - b).length_squared());
        let enough = double_area.length() > LEAST_SHAPE * longest;
        if !enough || !longest.is_finite() {
            return None;
        }
        let (x, z) = (along.normalize(), double_area.normalize());
        let y = z.cross(x);
        let origin_mm = (a + b + c) / 3.0;
        let flat = |p: DVec3| DVec2::new((p - origin_mm).dot(x), (p - origin_mm).dot(y));
        Some(Self {
            origin_mm,
            axes: [x, y, z],
            corners_mm: corners_mm.map(flat),
            area_mm2: 0.5 * double_area.length(),
        })
    }

    /// A vector of the mesh in the axes of the triangle.
    #[must_use]
    pub fn to_local(&self, vector: DVec3) -> DVec3 {
        DVec3::from_array(self.axes.map(|axis| axis.dot(vector)))
    }

    /// A vector of the triangle in the axes of the mesh.
    #[must_use]
    pub fn to_mesh(&self, vector: DVec3) -> DVec3 {
        self.axes[0] * vector.x + self.axes[1] * vector.y + self.axes[2] * vector.z
    }

    /// Gradients of the three area coordinates in the plane, 1/mm.
    #[must_use]
    pub fn gradients(&self) -> [DVec2; 3] {
        let p = &self.corners_mm;
        std::array::from_fn(|i| {
            let side = p[(i + 2) % 3] - p[(i + 1) % 3];
            DVec2::new(-side.y, side.x) / (2.0 * self.area_mm2)
        })
    }
}
