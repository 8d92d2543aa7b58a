//! Operations in order, with machine settings and minutes.

use handbook::Working;
use serde::{Deserialize, Serialize};

/// Three-point estimate of minutes (PERT, handbook E10).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Minutes {
    /// If all goes well.
    pub low: f64,
    /// Likely.
    pub likely: f64,
    /// If it fights back.
    pub high: f64,
}

impl Minutes {
    /// Mean (a + 4m + b) / 6.
    #[must_use]
    pub fn mean(&self) -> f64 {
        (self.low + 4.0 * self.likely + self.high) / 6.0
    }
    /// Standard deviation (b − a) / 6.
    #[must_use]
    pub fn deviation(&self) -> f64 {
        (self.high - self.low) / 6.0
    }
}

/// One operation of the traveller.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Operation {
    /// Number in order, from 1, within its section.
    pub number: usize,
    /// Stable kind ("cut-blank", "fold", "wire-edge"), under which the shop's actual times are learned.
    pub kind: String,
    /// Which piece; empty for the whole section.
    pub piece: String,
    /// What to do, in a sentence.
    pub what: String,
    /// Machine and settings ("folder: 90.4° bend angle, nose 1.5 mm").
    pub settings: Vec<String>,
    /// Which template or check goes with it.
    pub checks: Vec<String>,
    /// Minutes for one.
    pub minutes: Minutes,
    /// How they were found.
    pub working: Working,
}
