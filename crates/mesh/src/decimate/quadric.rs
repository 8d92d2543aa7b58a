//! Sum of squared distances to planes as a quadratic form of the place.

use glam::{DMat3, DVec3};

/// pᵀ·A·p − 2·b·p + c, weighted by area; `weight` is the sum of the areas.
#[derive(Debug, Clone, Copy)]
pub(super) struct Quadric {
    a: DMat3,
    b: DVec3,
    c: f64,
    weight: f64,
}

impl Quadric {
    /// Of no plane.
    pub const NONE: Self = Self { a: DMat3::ZERO, b: DVec3::ZERO, c: 0.0, weight: 0.0 };

    /// Squared distance to the plane through `point` square to the unit `normal`.
    pub fn plane(point: DVec3, normal: DVec3, weight: f64) -> Self {
        let away = normal.dot(point);
        let a = DMat3::from_cols(normal * normal.x, normal * normal.y, normal * normal.z);
        Self { a: a * weight, b: normal * (away * weight), c: away * away * weight, weight }
    }

    /// Of both.
    pub fn and(self, other: Self) -> Self {
        Self { a: self.a + other.a, b: self.b + other.b, c: self.c + other.c, weight: self.weight + other.weight }
    }

    /// Mean squared distance of a place, mm².
    pub fn mean(&self, at: DVec3) -> f64 {
        let sum = at.dot(self.a * at) - 2.0 * self.b.dot(at) + self.c;
        if self.weight > 0.0 { (sum / self.weight).max(0.0) } else { 0.0 }
    }

    /// The place of the least sum; where the planes leave it open (flat, or along a fold) the one nearest to `near`.
    pub fn least(&self, near: DVec3) -> DVec3 {
        // a little of the distance to `near` keeps the system solvable
        let ridge = 1e-4 * self.weight;
        let matrix = self.a + DMat3::from_diagonal(DVec3::splat(ridge));
        let move_by = matrix.inverse() * (self.b - self.a * near);
        if move_by.is_finite() { near + move_by } else { near }
    }
}
