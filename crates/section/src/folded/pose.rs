//! Where the sheet is in the plane square to an edge: n outward from the edge's apex line, z up from the underside of the base.

use glam::DVec2;

/// A point of the sheet's underside and the direction in which the sheet runs on from it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// (n, z) of the underside, mm.
    pub underside_mm: DVec2,
    /// Direction of the sheet, rad from n towards z.
    pub angle_rad: f64,
}

impl Pose {
    /// The direction in which the sheet runs.
    #[must_use]
    pub fn direction(self) -> DVec2 {
        DVec2::from_angle(self.angle_rad)
    }

    /// Square to the sheet, from its underside to its face up.
    #[must_use]
    pub fn normal(self) -> DVec2 {
        self.direction().perp()
    }

    /// The point `height_mm` above the underside, through the sheet.
    #[must_use]
    pub fn at_height(self, height_mm: f64) -> DVec2 {
        self.underside_mm + self.normal() * height_mm
    }

    /// Straight on by `length_mm`.
    #[must_use]
    pub fn straight(self, length_mm: f64) -> Self {
        Self { underside_mm: self.underside_mm + self.direction() * length_mm, ..self }
    }

    /// Round a bend of `turned_rad` (positive up) with the radius of its inside face.
    #[must_use]
    pub fn bent(self, turned_rad: f64, inside_radius_mm: f64, thickness_mm: f64) -> Self {
        // Distance from the underside to the bend's axis, along the normal.
        let to_axis = if turned_rad >= 0.0 { inside_radius_mm + thickness_mm } else { -inside_radius_mm };
        let axis = self.underside_mm + self.normal() * to_axis;
        let angle_rad = self.angle_rad + turned_rad;
        let turned = Self { underside_mm: axis, angle_rad };
        Self { underside_mm: axis - turned.normal() * to_axis, angle_rad }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A square fold up: the outside of the leg stands over the apex, its tangent r + t above the underside.
    #[test]
    fn a_square_fold_up_ends_over_its_apex() {
        let start = Pose { underside_mm: DVec2::new(-2.4, 0.0), angle_rad: 0.0 };
        let leg = start.bent(std::f64::consts::FRAC_PI_2, 1.5, 0.9);
        assert!(leg.underside_mm.distance(DVec2::new(0.0, 2.4)) < 1e-12);
        assert!(leg.at_height(0.9).distance(DVec2::new(-0.9, 2.4)) < 1e-12);
    }

    #[test]
    fn a_square_fold_down_has_its_face_up_over_the_apex() {
        let start = Pose { underside_mm: DVec2::new(-2.4, 0.0), angle_rad: 0.0 };
        let leg = start.bent(-std::f64::consts::FRAC_PI_2, 1.5, 0.9);
        assert!(leg.at_height(0.9).distance(DVec2::new(0.0, -1.5)) < 1e-12);
    }
}
