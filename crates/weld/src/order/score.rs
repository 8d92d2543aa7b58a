//! How good an order is.

use serde::Serialize;
use std::cmp::Ordering;

/// Gaps that differ by less are the same, mm.
const SAME_GAP_MM: f64 = 1e-6;

/// A margin from which nobody need fear buckling: it covers the spread of the shrinkage (the most is about twice the middle) with room.
/// Above it orders are the same in this, and what they lock in or deflect decides. Policy, no source.
pub const ENOUGH_MARGIN: f64 = 3.0;
/// The quick estimate may be twice too high.
const ENOUGH_ESTIMATE: f64 = 2.0 * ENOUGH_MARGIN;

/// How good an order is, the weightiest figure first.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Score {
    /// How far the worst gap lies outside its joint's limit just before it is joined, mm; 0 when all are inside.
    pub gap_excess_mm: f64,
    /// Least buckling margin over all steps (estimate); infinite when nothing pushes.
    pub least_margin: f64,
    /// Root mean square of the change of the gaps before they are joined, mm: what is locked in.
    pub locked_in_mm: f64,
}

impl Score {
    /// Nothing done yet.
    pub const START: Self = Self { gap_excess_mm: 0.0, least_margin: f64::INFINITY, locked_in_mm: 0.0 };

    /// Better is less: smaller excess, then larger margin (as far as it matters), then less locked in.
    #[must_use]
    pub fn compare(&self, other: &Self) -> Ordering {
        let gap = |score: &Self| (score.gap_excess_mm / SAME_GAP_MM).round();
        let margin = |score: &Self| score.least_margin.min(ENOUGH_ESTIMATE);
        gap(self)
            .total_cmp(&gap(other))
            .then(margin(other).total_cmp(&margin(self)))
            .then(self.locked_in_mm.total_cmp(&other.locked_in_mm))
    }

    /// True when this is better than the other.
    #[must_use]
    pub fn beats(&self, other: &Self) -> bool {
        self.compare(other) == Ordering::Less
    }
}
