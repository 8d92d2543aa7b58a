//! Hem: the edge folded back on itself, closed, or open round a small radius.
//!
//! Model: one bend of π by the chosen bend rule; the hem width is measured over all, from the outermost point of the
//! fold to the cut edge. A double hem is two such folds and is left to a chain of make-ups.
//! Symbols: W hem width over all, r inside radius of the fold, t thickness, BA allowance.

use crate::bend::{Bend, LegsTo, Rule, allowance, deduction};
use crate::error::{RuleError, positive_size};
use crate::working::{Source, Working};
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// A hem.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Hem {
    /// Width over all, from the outermost point of the fold.
    pub width_mm: f64,
    /// Inside radius of the fold: 0 to about t/2 for a closed hem, more for an open one.
    pub inside_radius_mm: f64,
    /// Sheet thickness.
    pub thickness_mm: f64,
}

/// All figures of a hem.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HemFigures {
    /// What the hem adds to the flat, beyond the finished edge: W − v.
    pub added_mm: f64,
    /// Length of the neutral line over the fold.
    pub allowance_mm: f64,
    /// Straight part of the hem, from the bend line to the cut edge.
    pub straight_mm: f64,
    /// Gap between the two sheets, 2r.
    pub gap_mm: f64,
    /// What the trade rule adds (F10): the width itself.
    pub trade_rule_mm: f64,
    /// The working of the added width, then of the bend.
    pub workings: Vec<Working>,
}

impl Hem {
    /// What the hem takes from the flat.
    ///
    /// # Errors
    /// [`RuleError`] as the bend rule; [`RuleError::LegTooShort`] for a hem narrower than its fold.
    pub fn figures(&self, rule: &Rule) -> Result<HemFigures, RuleError> {
        let width_mm = positive_size("hem width", self.width_mm)?;
        let fold =
            Bend { thickness_mm: self.thickness_mm, inside_radius_mm: self.inside_radius_mm, bend_angle_rad: PI };
        let figures = allowance(&fold, rule)?;
        let v_mm = deduction(&fold, rule, LegsTo::Tangent)?.deduction_mm;
        let outside_mm = self.inside_radius_mm + self.thickness_mm;
        if width_mm < outside_mm {
            return Err(RuleError::LegTooShort { number: 2, got_mm: width_mm, need_mm: outside_mm });
        }
        let added_mm = width_mm - v_mm;
        let mut workings = vec![
            Working::new("hem adds", added_mm, "mm", "W − v, v = 2·(r + t) − BA", rule.source())
                .with("W", "hem width over all", width_mm, "mm")
                .with("v", "deduction", v_mm, "mm"),
            Working::new("hem adds, trade rule", width_mm, "mm", "W", trade_source()).with(
                "W",
                "hem width over all",
                width_mm,
                "mm",
            ),
        ];
        workings.extend(figures.workings);
        Ok(HemFigures {
            added_mm,
            allowance_mm: figures.allowance_mm,
            straight_mm: width_mm - outside_mm,
            gap_mm: 2.0 * self.inside_radius_mm,
            trade_rule_mm: width_mm,
            workings,
        })
    }
}

/// What folded edges of width W take in all by the trade rules (F10).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TradeFold {
    /// Single hem: W.
    SingleHem,
    /// Double hem: 2W.
    DoubleHem,
    /// Grooved lock seam: 3W over both sheets.
    GroovedSeam,
}

impl TradeFold {
    /// Allowance in mm for a fold of width `width_mm`.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`].
    pub fn allowance(self, width_mm: f64) -> Result<Working, RuleError> {
        let width_mm = positive_size("fold width", width_mm)?;
        let (times, formula) = match self {
            Self::SingleHem => (1.0, "W"),
            Self::DoubleHem => (2.0, "2·W"),
            Self::GroovedSeam => (3.0, "3·W"),
        };
        Ok(Working::new("fold allowance", times * width_mm, "mm", formula, trade_source()).with(
            "W",
            "fold width",
            width_mm,
            "mm",
        ))
    }
}

fn trade_source() -> Source {
    Source::text("sheet-metal trade manuals, hems and seams (from memory)", "F10")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hem_narrower_than_its_fold_is_refused() {
        let hem = Hem { width_mm: 1.0, inside_radius_mm: 0.5, thickness_mm: 0.9 };
        assert!(matches!(hem.figures(&Rule::Din6935), Err(RuleError::LegTooShort { .. })));
    }

    #[test]
    fn straight_and_arc_make_up_the_hem() {
        let hem = Hem { width_mm: 8.0, inside_radius_mm: 0.5, thickness_mm: 0.9 };
        let figures = hem.figures(&Rule::Din6935).unwrap();
        // finished edge to bend line is r + t; arc and straight follow
        let laid_out = -1.4 + figures.allowance_mm + figures.straight_mm;
        assert!((laid_out - figures.added_mm).abs() < 1e-12);
    }
}
