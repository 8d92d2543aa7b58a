//! The datum plane in space.

use glam::DVec3;
use numerics::axes::principal_axes;

/// A plane with axes: `along` × `across` = `outward`, all of length 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Where u, v and height are 0, mm.
    pub origin_mm: DVec3,
    /// Direction of u.
    pub along: DVec3,
    /// Direction of v.
    pub across: DVec3,
    /// Direction of height.
    pub outward: DVec3,
}

impl Frame {
    /// The frame of stations: u, v and height are x, y and z.
    pub const STATIONS: Self = Self { origin_mm: DVec3::ZERO, along: DVec3::X, across: DVec3::Y, outward: DVec3::Z };

    /// The point at a place of the plane and a height over it.
    #[must_use]
    pub fn point_mm(&self, u_mm: f64, v_mm: f64, height_mm: f64) -> DVec3 {
        self.origin_mm + self.along * u_mm + self.across * v_mm + self.outward * height_mm
    }

    /// u, v and height of a point, mm.
    #[must_use]
    pub fn place_mm(&self, point_mm: DVec3) -> [f64; 3] {
        let from = point_mm - self.origin_mm;
        [from.dot(self.along), from.dot(self.across), from.dot(self.outward)]
    }

    /// The plane nearest to points in the sum of squares of distances, through their mean; u runs the way they are longest.
    ///
    /// `outward` decides which side is outside. Without it the outside is the side to which the middle of the panel stands
    /// proud of its rim, as a body skin does; where it stands proud of neither, the side of z (then y, then x).
    pub(crate) fn of_points(points_mm: &[DVec3], outward: Option<DVec3>) -> Self {
        let mean = points_mm.iter().sum::<DVec3>() / points_mm.len().max(1) as f64;
        let mut spread = [[0.0; 3]; 3];
        for point in points_mm {
            let d = (*point - mean).to_array();
            (0..3).for_each(|i| (0..3).for_each(|j| spread[i][j] += d[i] * d[j]));
        }
        let [normal, _, longest] = principal_axes(spread).map(DVec3::from_array);
        let normal = normal.normalize_or(DVec3::Z);
        let side = outward.map_or_else(|| proud_side(points_mm, mean, normal), |outward| outward.dot(normal));
        let outward = if side < 0.0 { -normal } else { normal };
        let largest = longest.to_array().into_iter().max_by(|a, b| a.abs().total_cmp(&b.abs())).unwrap_or(1.0);
        let along = (longest - outward * longest.dot(outward)).normalize_or(outward.any_orthonormal_vector());
        let along = if largest < 0.0 { -along } else { along };
        Self { origin_mm: mean, along, across: outward.cross(along), outward }
    }
}

/// More than 0 when the points near the mean lie further along the normal than the others, in all.
fn proud_side(points_mm: &[DVec3], mean: DVec3, normal: DVec3) -> f64 {
    let place = |point: &DVec3| {
        let from = *point - mean;
        let height = from.dot(normal);
        ((from - normal * height).length_squared(), height)
    };
    let places: Vec<(f64, f64)> = points_mm.iter().map(place).collect();
    let middle = places.iter().map(|(far, _)| far).sum::<f64>() / places.len().max(1) as f64;
    // covariance of height and distance²: negative when the middle stands proud
    let proud = -places.iter().map(|(far, height)| (far - middle) * height).sum::<f64>();
    let size = places.iter().map(|(far, height)| (far - middle).abs() * height.abs()).sum::<f64>();
    if proud.abs() > 0.05 * size {
        return proud;
    }
    [normal.z, normal.y, normal.x].into_iter().find(|part| part.abs() > 0.1).unwrap_or(1.0)
}
