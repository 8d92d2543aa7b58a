//! Learning from the shop's own times.

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// One operation as it was estimated and as it came out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ActualTime {
    /// Kind of operation.
    pub kind: String,
    /// Minutes that were estimated with a factor of 1.
    pub estimated_minutes: f64,
    /// Minutes that it took.
    pub actual_minutes: f64,
}

/// How many jobs the default is worth against the shop's own times.
pub const DEFAULT_WEIGHT: f64 = 4.0;

/// Factors by kind of operation: (w + Σ actual/estimated)/(w + n), the mean ratio drawn towards 1 by `w` =
/// [`DEFAULT_WEIGHT`] imagined jobs, so that one bad day does not move a price by much. Times that are not finite or not
/// above zero are left out; a ratio counts as at most 10 and at least 0.1.
#[must_use]
pub fn learn(times: &[ActualTime]) -> BTreeMap<String, f64> {
    let mut sums: BTreeMap<&str, (f64, f64)> = BTreeMap::new();
    for time in times {
        let ratio = time.actual_minutes / time.estimated_minutes;
        let usable = time.estimated_minutes > 0.0 && time.actual_minutes > 0.0 && ratio.is_finite();
        if usable {
            let sum = sums.entry(&time.kind).or_default();
            sum.0 += ratio.clamp(0.1, 10.0);
            sum.1 += 1.0;
        }
    }
    sums.into_iter().map(|(kind, (sum, n))| (kind.to_owned(), (DEFAULT_WEIGHT + sum) / (DEFAULT_WEIGHT + n))).collect()
}
