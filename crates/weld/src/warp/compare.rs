//! Lap against butt: the figures behind the advice.

use super::plan::{SeamJoint, WarpPlan};
use super::prepare::Prepared;
use super::state::{Level, Pauses};
use super::{Chosen, Heights, WarpError};
use crate::order::search::Ranked;
use crate::shrinkage::Range;
use handbook::Concern;
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
    pub butt_height_mm: Heights,
    /// Of the lap.
    pub lap_height_mm: Heights,
    /// Height of the butt less that of the lap, both at the least, the middle and the most of their shrinkage; none where they cannot be set
    /// against each other.
    pub height_difference_mm: Option<Range>,
    /// Both where plugs keep the share of their heat that a run keeps along itself.
    pub at_one_share: Option<AtOneShare>,
    /// Heat of the butt, J.
    pub butt_heat_j: f64,
    /// Of the lap.
    pub lap_heat_j: f64,
    /// What the reader must know about these figures.
    pub concerns: Vec<Concern>,
}

/// Warp heights where dots keep the same share φ of their heat as runs do along themselves: W24 is φ = 0.335, which is the least that W35 has for a dot.
/// What a run loses across is that of W20 to W22 in any case.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AtOneShare {
    /// The share φ.
    pub share: f64,
    /// Of the butt, mm; none where no resting shape was found.
    pub butt_mm: Option<f64>,
    /// Of the lap, mm.
    pub lap_mm: Option<f64>,
}

/// Figures of one joint at the three levels.
struct OneJoint {
    margins: [Option<f64>; 3],
    heights: Heights,
    heat_j: f64,
}

impl Prepared {
    /// Compares a lap with a butt on the weld lines of this plan. Where one of them is the plan's own joint, what was worked out for it serves again.
    ///
    /// # Errors
    /// [`WarpError`].
    pub fn lap_against_butt(
        &mut self,
        lap: SeamJoint,
        butt: SeamJoint,
        progress: &Progress,
        cancel: &Cancel,
    ) -> Result<Comparison, WarpError> {
        let mut concerns = Vec::new();
        let mut of = |joint: SeamJoint, progress: Progress| -> Result<OneJoint, WarpError> {
            if self.plan.seams.iter().all(|seam| seam.joint == joint) {
                return self.by_habit(&progress, cancel);
            }
            let mut other = Self::new(with(&self.plan, joint), &progress.part(0.0, 0.4), cancel)?;
            let figures = other.by_habit(&progress.part(0.4, 1.0), cancel)?;
            concerns.extend(other.concerns.into_iter().filter(|concern| !self.concerns.contains(concern)));
            Ok(figures)
        };
        let b = of(butt, progress.part(0.0, 0.5))?;
        let l = of(lap, progress.part(0.5, 1.0))?;
        let margin = super::finish::margin_range;
        Ok(Comparison {
            butt_margin: margin(b.margins),
            lap_margin: margin(l.margins),
            butt_height_mm: b.heights,
            lap_height_mm: l.heights,
            height_difference_mm: b.heights.above(l.heights),
            at_one_share: self.plan.shop.force.is_none().then_some(AtOneShare {
                share: handbook::welding::TENDON_COEFFICIENT,
                butt_mm: b.heights.middle,
                lap_mm: l.heights.low,
            }),
            butt_heat_j: b.heat_j,
            lap_heat_j: l.heat_j,
            concerns,
        })
    }

    /// The trade habit in the division that suits it best.
    fn by_habit(&mut self, progress: &Progress, cancel: &Cancel) -> Result<OneJoint, WarpError> {
        let mut best: Option<Chosen> = None;
        for (number, candidate) in self.candidates.iter().enumerate() {
            let ranked = Ranked { order: candidate.habit.clone(), score: candidate.condensed.score(&candidate.habit)? };
            if best.as_ref().is_none_or(|best| ranked.score.beats(&best.ranked.score)) {
                best = Some(Chosen { candidate: number, ranked });
            }
        }
        let chosen = best.ok_or(crate::order::OrderError::NoEvent)?;
        let counts = self.counts(chosen.candidate, chosen.order(), Pauses::Taken);
        let (mut margins, mut heights) = ([None; 3], [None; 3]);
        // from the middle the other two are near
        for (turn, (k, level)) in [(1, Level::Middle), (0, Level::Low), (2, Level::High)].into_iter().enumerate() {
            let part = progress.part(turn as f64 / 3.0, (turn + 1) as f64 / 3.0);
            let at = self.at_level(chosen.candidate, level, cancel)?;
            let state = self.state(&at, chosen.order(), &counts, usize::MAX)?;
            margins[k] = self.margin(&state, cancel)?;
            let shape = self.settled(&state, &part, cancel)?;
            heights[k] = Some(shape.height_mm).filter(|_| shape.settled);
        }
        let heat_j = self.candidates.get(chosen.candidate).map_or(0.0, |c| c.events.iter().map(|e| e.heat_j).sum());
        Ok(OneJoint { margins, heights: Heights::of(heights), heat_j })
    }
}

fn with(plan: &WarpPlan, joint: SeamJoint) -> WarpPlan {
    let mut plan = plan.clone();
    plan.seams.iter_mut().for_each(|seam| seam.joint = joint);
    plan
}
