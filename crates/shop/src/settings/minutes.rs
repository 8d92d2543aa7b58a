//! The minutes model: what one operation takes, by its kind.
//!
//! Minutes for one = factor × (setup/quantity + each·n + per metre·L + per square metre·A); low and high are shares of
//! that. The factor is 1 until the shop has learned its own ([`crate::learn()`]). The defaults were set by judgement, with
//! no source; a shop's own times replace them.

use serde::{Deserialize, Serialize};

/// Minutes of one kind of operation.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct MinutesModel {
    /// Once for the lot.
    pub setup: f64,
    /// For each (fold, hole, corner …).
    pub each: f64,
    /// For each metre.
    pub per_metre: f64,
    /// For each square metre.
    pub per_square_metre: f64,
    /// Low estimate as a share of the likely one.
    pub low: f64,
    /// High estimate as a share of the likely one.
    pub high: f64,
}

impl Default for MinutesModel {
    fn default() -> Self {
        Self { setup: 0.0, each: 0.0, per_metre: 0.0, per_square_metre: 0.0, low: 0.8, high: 1.6 }
    }
}

/// Kinds of operation with the program's defaults: key, setup, each, per metre, per square metre, low, high.
const DEFAULTS: [(&str, [f64; 6]); 46] = [
    ("survey", [30.0, 45.0, 0.0, 0.0, 0.7, 2.0]),
    ("set-out", [20.0, 70.0, 0.0, 0.0, 0.7, 2.0]),
    ("set-out-from-pattern", [2.0, 7.0, 0.0, 0.0, 0.8, 2.0]),
    ("make-templates", [5.0, 8.0, 0.0, 0.0, 0.8, 1.5]),
    ("cut-blank", [6.0, 0.0, 2.5, 0.0, 0.8, 1.5]),
    ("deburr", [1.0, 0.0, 1.2, 0.0, 0.8, 1.4]),
    ("mark-out", [5.0, 0.6, 0.0, 0.0, 0.8, 1.5]),
    ("drill", [3.0, 0.8, 0.0, 0.0, 0.8, 1.5]),
    ("wheel", [10.0, 0.0, 40.0, 0.0, 0.7, 2.5]),
    ("make-buck", [15.0, 9.0, 0.0, 0.0, 0.8, 1.6]),
    ("raise-skin", [15.0, 0.0, 0.0, 150.0, 0.6, 2.5]),
    ("gather-skin", [8.0, 0.0, 45.0, 0.0, 0.7, 2.5]),
    ("make-forms", [10.0, 14.0, 0.0, 0.0, 0.8, 1.6]),
    ("dress-down", [10.0, 6.0, 30.0, 0.0, 0.7, 2.2]),
    ("shrink-ring", [6.0, 0.0, 25.0, 0.0, 0.7, 2.5]),
    ("stretch-ring", [6.0, 0.0, 18.0, 0.0, 0.7, 2.2]),
    ("trim-ring", [4.0, 0.0, 6.0, 0.0, 0.8, 1.6]),
    ("roll-ring", [8.0, 6.0, 0.0, 0.0, 0.8, 1.8]),
    ("weld-closing", [4.0, 4.0, 25.0, 0.0, 0.8, 1.8]),
    ("weld-ring", [12.0, 10.0, 45.0, 0.0, 0.7, 2.2]),
    ("joggle", [8.0, 0.0, 4.0, 0.0, 0.8, 1.6]),
    ("fold", [6.0, 3.0, 0.0, 0.0, 0.8, 1.6]),
    ("fold-curved", [8.0, 2.0, 25.0, 0.0, 0.7, 2.0]),
    ("roll", [8.0, 4.0, 0.0, 0.0, 0.8, 1.6]),
    ("roll-tube", [10.0, 4.0, 6.0, 0.0, 0.8, 1.7]),
    ("weld-seam", [8.0, 0.0, 30.0, 0.0, 0.8, 1.8]),
    ("flatten-end", [6.0, 6.0, 0.0, 0.0, 0.8, 1.6]),
    ("drill-formed", [3.0, 2.0, 0.0, 0.0, 0.8, 1.5]),
    ("gather", [5.0, 0.0, 20.0, 0.0, 0.7, 2.2]),
    ("pre-bend-wire", [6.0, 0.0, 8.0, 0.0, 0.8, 1.6]),
    ("wire-edge", [8.0, 0.0, 22.0, 0.0, 0.7, 2.0]),
    ("hem", [6.0, 0.0, 8.0, 0.0, 0.8, 1.7]),
    ("bend-along-lines", [10.0, 0.8, 0.0, 0.0, 0.7, 2.0]),
    ("weld-corners", [8.0, 6.0, 25.0, 0.0, 0.8, 1.8]),
    ("dress", [3.0, 0.0, 15.0, 0.0, 0.7, 1.8]),
    ("trim", [3.0, 0.0, 12.0, 0.0, 0.8, 1.6]),
    ("check", [4.0, 3.0, 0.0, 0.0, 0.8, 2.0]),
    ("pair-check", [10.0, 1.5, 0.0, 0.0, 0.8, 1.8]),
    ("mark-piece", [2.0, 4.0, 0.0, 0.0, 0.8, 1.3]),
    ("prime-inside", [6.0, 0.0, 0.0, 25.0, 0.8, 1.5]),
    ("fit-up", [5.0, 4.0, 8.0, 0.0, 0.7, 2.2]),
    ("tack-seam", [4.0, 0.6, 0.0, 0.0, 0.8, 1.6]),
    ("plug-seam", [5.0, 0.7, 0.0, 0.0, 0.8, 1.6]),
    ("close-seam", [5.0, 4.0, 15.0, 0.0, 0.8, 1.8]),
    ("prime", [8.0, 0.0, 0.0, 20.0, 0.8, 1.4]),
    ("pack", [4.0, 10.0, 0.0, 0.0, 0.8, 1.5]),
];

/// The program's default for a kind; nothing for a kind it does not know.
#[must_use]
pub fn default_minutes(kind: &str) -> Option<MinutesModel> {
    let (_, row) = DEFAULTS.iter().find(|(key, _)| *key == kind)?;
    let [setup, each, per_metre, per_square_metre, low, high] = *row;
    Some(MinutesModel { setup, each, per_metre, per_square_metre, low, high })
}

/// Every kind of operation the program knows, in the order of working.
pub fn operation_kinds() -> impl Iterator<Item = &'static str> {
    DEFAULTS.iter().map(|(key, _)| *key)
}
