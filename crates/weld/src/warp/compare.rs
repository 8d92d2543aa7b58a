//! Lap against butt: the figures behind the advice.

use super::plan::{SeamJoint, WarpPlan};
use super::prepare::Prepared;
use super::state::Level;
use super::{Chosen, WarpError};
use crate::order::search::Ranked;
use crate::shrinkage::Range;
use numerics::{Cancel, Progress};
use serde::Serialize;

/// Two joints on the same weld lines, each welded by the trade habit: runs shrink by W24 and W20 to W22, dots by W35, both at the least, the
/// middle and the most of their spread together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Comparison {
    /// Buckling margin of the butt; none when nothing pushes.
    pub butt_margin: Option<Range>,
    /// Of the lap.
    pub lap_margin: Option<Range>,
    /// Warp height of the butt.
    pub butt_height_mm: Range,
    /// Of the lap.
    pub lap_height_mm: Range,
    /// Height of the butt less that of the lap, both at the least, the middle and the most of their shrinkage.
    pub height_difference_mm: Range,
    /// Heat of the butt, J.
    pub butt_heat_j: f64,
    /// Of the lap.
    pub lap_heat_j: f64,
}

/// Figures of one joint at the three levels.
struct OneJoint {
    margins: [Option<f64>; 3],
    heights: [f64; 3],
    heat_j: f64,
}

/// Compares a lap with a butt on the weld lines of a plan; its own joints are not used.
///
/// # Errors
/// [`WarpError`].
pub fn lap_against_butt(
    plan: &WarpPlan,
    lap: SeamJoint,
    butt: SeamJoint,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<Comparison, WarpError> {
    let with = |joint: SeamJoint| {
        let mut plan = plan.clone();
        plan.seams.iter_mut().for_each(|seam| seam.joint = joint);
        plan
    };
    let b = one(with(butt), &progress.part(0.0, 0.5), cancel)?;
    let l = one(with(lap), &progress.part(0.5, 1.0), cancel)?;
    let margin = super::finish::margin_range;
    let difference = std::array::from_fn(|i| b.heights[i] - l.heights[i]);
    Ok(Comparison {
        butt_margin: margin(b.margins),
        lap_margin: margin(l.margins),
        butt_height_mm: Range::of_three(b.heights),
        lap_height_mm: Range::of_three(l.heights),
        height_difference_mm: Range::of_three(difference),
        butt_heat_j: b.heat_j,
        lap_heat_j: l.heat_j,
    })
}

fn one(plan: WarpPlan, progress: &Progress, cancel: &Cancel) -> Result<OneJoint, WarpError> {
    let mut prepared = Prepared::new(plan, &progress.part(0.0, 0.3), cancel)?;
    // the division with the best habit
    let mut best: Option<Chosen> = None;
    for (number, candidate) in prepared.candidates.iter().enumerate() {
        let ranked = Ranked { order: candidate.habit.clone(), score: candidate.condensed.score(&candidate.habit)? };
        if best.as_ref().is_none_or(|best| ranked.score.beats(&best.ranked.score)) {
            best = Some(Chosen { candidate: number, ranked });
        }
    }
    let chosen = best.ok_or(crate::order::OrderError::NoEvent)?;
    let (mut margins, mut heights) = ([None; 3], [0.0; 3]);
    for (k, level) in [Level::Low, Level::Middle, Level::High].into_iter().enumerate() {
        let part = progress.part(0.3 + 0.7 * k as f64 / 3.0, 0.3 + 0.7 * (k + 1) as f64 / 3.0);
        let at = prepared.at_level(chosen.candidate, level, cancel)?;
        let state = prepared.state(&at, chosen.order(), usize::MAX)?;
        margins[k] = prepared.margin(&state, cancel)?;
        heights[k] = prepared.settled(&state, 1.0, &part, cancel)?.height_mm;
    }
    let heat_j = prepared.candidates.get(chosen.candidate).map_or(0.0, |c| c.events.iter().map(|e| e.heat_j).sum());
    Ok(OneJoint { margins, heights, heat_j })
}
