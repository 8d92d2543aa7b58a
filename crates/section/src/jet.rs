//! Values with their first and second derivative by arc length.
//!
//! Everything that varies along a strip (frames, cross-sections, offset lines) is computed on jets, so that lengths and
//! geodesic curvatures are exact to rounding instead of resting on finite differences.
//!
//! Rules: product and chain rule to second order. Units: the unit of the value, per mm, per mm².

use glam::DVec3;
use std::ops::{Add, Div, Mul, Neg, Sub};

/// A number with its first two derivatives by arc length.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Jet {
    /// Value.
    pub value: f64,
    /// First derivative, per mm.
    pub first: f64,
    /// Second derivative, per mm².
    pub second: f64,
}

/// A vector with its first two derivatives by arc length.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct JetVector {
    /// Value.
    pub value: DVec3,
    /// First derivative, per mm.
    pub first: DVec3,
    /// Second derivative, per mm².
    pub second: DVec3,
}

impl Jet {
    /// A constant.
    #[must_use]
    pub const fn constant(value: f64) -> Self {
        Self { value, first: 0.0, second: 0.0 }
    }

    /// A value that changes linearly.
    #[must_use]
    pub const fn linear(value: f64, slope_per_mm: f64) -> Self {
        Self { value, first: slope_per_mm, second: 0.0 }
    }

    /// Applies a function given by its value and two derivatives at this value.
    #[must_use]
    pub fn apply(self, f: f64, df: f64, ddf: f64) -> Self {
        Self { value: f, first: df * self.first, second: ddf * self.first * self.first + df * self.second }
    }

    /// Sine.
    #[must_use]
    pub fn sin(self) -> Self {
        let (s, c) = self.value.sin_cos();
        self.apply(s, c, -s)
    }

    /// Cosine.
    #[must_use]
    pub fn cos(self) -> Self {
        let (s, c) = self.value.sin_cos();
        self.apply(c, -s, -c)
    }

    /// Tangent.
    #[must_use]
    pub fn tan(self) -> Self {
        let tan = self.value.tan();
        let slope = 1.0 + tan * tan;
        self.apply(tan, slope, 2.0 * tan * slope)
    }

    /// Square root.
    #[must_use]
    pub fn sqrt(self) -> Self {
        let root = self.value.sqrt();
        self.apply(root, 0.5 / root, -0.25 / (root * self.value))
    }

    /// Magnitude, taking the sign from the value.
    #[must_use]
    pub fn abs(self) -> Self {
        if self.value < 0.0 { -self } else { self }
    }
}

impl JetVector {
    /// A constant vector.
    #[must_use]
    pub const fn constant(value: DVec3) -> Self {
        Self { value, first: DVec3::ZERO, second: DVec3::ZERO }
    }

    /// Scalar product.
    #[must_use]
    pub fn dot(self, other: Self) -> Jet {
        Jet {
            value: self.value.dot(other.value),
            first: self.first.dot(other.value) + self.value.dot(other.first),
            second: self.second.dot(other.value) + 2.0 * self.first.dot(other.first) + self.value.dot(other.second),
        }
    }

    /// Vector product.
    #[must_use]
    pub fn cross(self, other: Self) -> Self {
        Self {
            value: self.value.cross(other.value),
            first: self.first.cross(other.value) + self.value.cross(other.first),
            second: self.second.cross(other.value)
                + 2.0 * self.first.cross(other.first)
                + self.value.cross(other.second),
        }
    }

    /// The vector made unit.
    #[must_use]
    pub fn normalize(self) -> Self {
        self * (Jet::constant(1.0) / self.dot(self).sqrt())
    }
}

impl Add for Jet {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self { value: self.value + other.value, first: self.first + other.first, second: self.second + other.second }
    }
}

impl Sub for Jet {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Neg for Jet {
    type Output = Self;
    fn neg(self) -> Self {
        Self { value: -self.value, first: -self.first, second: -self.second }
    }
}

impl Mul for Jet {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self {
            value: self.value * other.value,
            first: self.first * other.value + self.value * other.first,
            second: self.second * other.value + 2.0 * self.first * other.first + self.value * other.second,
        }
    }
}

impl Div for Jet {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let inverse = 1.0 / other.value;
        self * other.apply(inverse, -inverse * inverse, 2.0 * inverse * inverse * inverse)
    }
}

impl Add<f64> for Jet {
    type Output = Self;
    fn add(self, other: f64) -> Self {
        Self { value: self.value + other, ..self }
    }
}

impl Sub<f64> for Jet {
    type Output = Self;
    fn sub(self, other: f64) -> Self {
        self + -other
    }
}

impl Mul<f64> for Jet {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self { value: self.value * factor, first: self.first * factor, second: self.second * factor }
    }
}

impl Add for JetVector {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self { value: self.value + other.value, first: self.first + other.first, second: self.second + other.second }
    }
}

impl Sub for JetVector {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + other * Jet::constant(-1.0)
    }
}

impl Mul<Jet> for JetVector {
    type Output = Self;
    fn mul(self, factor: Jet) -> Self {
        Self {
            value: self.value * factor.value,
            first: self.first * factor.value + self.value * factor.first,
            second: self.second * factor.value + 2.0 * self.first * factor.first + self.value * factor.second,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Taylor's theorem: value + h·first + h²/2·second differs from the function by O(h³).
    #[test]
    fn jets_agree_with_the_functions_they_differentiate() {
        let f = |x: f64| ((2.0 * x).sin() * x.sqrt() / x.cos()).tan();
        let jet = |x: f64| {
            let x = Jet::linear(x, 1.0);
            ((x * 2.0).sin() * x.sqrt() / x.cos()).tan()
        };
        let (x, h) = (0.4, 1e-4);
        let at = jet(x);
        let taylor = at.value + h * at.first + 0.5 * h * h * at.second;
        assert!((f(x + h) - taylor).abs() < 1e-10, "{} against {taylor}", f(x + h));
        assert!((at.second - (f(x + h) - 2.0 * f(x) + f(x - h)) / (h * h)).abs() < 1e-5);
    }
}
