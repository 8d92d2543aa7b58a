//! A figure with its published spread.

use handbook::Working;
use serde::Serialize;

/// Least, middle and most of a figure.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Range {
    /// Least.
    pub low: f64,
    /// Middle.
    pub middle: f64,
    /// Most.
    pub high: f64,
}

impl Range {
    /// The same three ways.
    pub const fn exactly(value: f64) -> Self {
        Self { low: value, middle: value, high: value }
    }

    /// Least, middle and most of three figures in any order.
    pub fn of_three(mut figures: [f64; 3]) -> Self {
        figures.sort_by(f64::total_cmp);
        let [low, middle, high] = figures;
        Self { low, middle, high }
    }

    /// Least and most, with their mean between.
    pub const fn between([low, high]: [f64; 2]) -> Self {
        Self { low, middle: 0.5 * (low + high), high }
    }

    /// Each of the three through a function that keeps their order.
    #[must_use]
    pub fn map(self, f: impl Fn(f64) -> f64) -> Self {
        Self { low: f(self.low), middle: f(self.middle), high: f(self.high) }
    }

    /// Least with least, middle with middle, most with most.
    #[must_use]
    pub fn zip(self, other: Self, f: impl Fn(f64, f64) -> f64) -> Self {
        Self { low: f(self.low, other.low), middle: f(self.middle, other.middle), high: f(self.high, other.high) }
    }

    /// The ± that holds both ends.
    pub fn reach(self) -> f64 {
        (self.high - self.middle).max(self.middle - self.low)
    }

    /// Least, middle, most.
    pub const fn three(self) -> [f64; 3] {
        [self.low, self.middle, self.high]
    }
}

/// A range with the working of what went into it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ranged {
    /// The range.
    pub range: Range,
    /// Its working.
    pub workings: Vec<Working>,
}
