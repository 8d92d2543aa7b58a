//! How far two skins lie apart, and how thin triangles are.

use crate::nearest::Nearest;
use crate::{MeshError, Skin};
use glam::DVec3;
use numerics::Cancel;

/// Largest distance between two skins, mm, taken both ways at points, middles of sides and centres of triangles.
///
/// Distance to a free edge counts: where one skin ends before the other, the figure is how far.
///
/// # Errors
/// [`MeshError::Unsound`] when points or triangles of either are faulty.
pub fn deviation_mm(one: &Skin, other: &Skin) -> Result<f64, MeshError> {
    let never = Cancel::new();
    let there = one_way(one, &Nearest::new(other)?, &never)?;
    Ok(there.max(one_way(other, &Nearest::new(one)?, &never)?))
}

/// Largest distance of a skin's points, middles of sides and centres from another.
pub(crate) fn one_way(skin: &Skin, other: &Nearest, cancel: &Cancel) -> Result<f64, MeshError> {
    let mut largest: f64 = 0.0;
    let mut see = |at: DVec3| -> Result<(), MeshError> {
        cancel.check()?;
        largest = largest.max(other.closest(at)?.signed_distance_mm.abs());
        Ok(())
    };
    for point in &skin.points_mm {
        see(*point)?;
    }
    for (t, &corners) in skin.triangles.iter().enumerate() {
        let at = skin.corners(t);
        see(at.iter().sum::<DVec3>() / 3.0)?;
        for i in 0..3 {
            // a side is met from both triangles: once is enough, and both ways at a free edge
            if corners[i] < corners[(i + 1) % 3] {
                see(at[i].midpoint(at[(i + 1) % 3]))?;
            }
        }
    }
    Ok(largest)
}

/// Smallest angle of a triangle, rad.
pub(crate) fn smallest_angle_rad([a, b, c]: [DVec3; 3]) -> f64 {
    let at = |p: DVec3, q: DVec3, r: DVec3| (q - p).cross(r - p).length().atan2((q - p).dot(r - p));
    at(a, b, c).min(at(b, c, a)).min(at(c, a, b))
}

/// 1 for an equilateral triangle, 0 for one without area, −1 times that when it faces away from `out`.
///
/// 4√3·area/(sum of squared sides).
pub(crate) fn shape([a, b, c]: [DVec3; 3], out: DVec3) -> f64 {
    let normal = (b - a).cross(c - a);
    let squares = (b - a).length_squared() + (c - b).length_squared() + (a - c).length_squared();
    let size = 2.0 * 3f64.sqrt() * normal.length() / squares;
    if normal.dot(out) > 0.0 { size } else { -size }
}

impl Skin {
    /// Smallest angle of all triangles, rad; 60° without triangles.
    #[must_use]
    pub fn smallest_angle_rad(&self) -> f64 {
        let angles = (0..self.triangles.len()).map(|t| smallest_angle_rad(self.corners(t)));
        angles.fold(std::f64::consts::FRAC_PI_3, f64::min)
    }
}
