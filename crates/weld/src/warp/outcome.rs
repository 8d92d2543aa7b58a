//! What comes out.

use super::Heights;
use crate::order::{EventKind, Score};
use crate::shrinkage::Range;
use handbook::{Concern, Working};
use mesh::Skin;
use serde::Serialize;

/// One tack, plug or run in its turn.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StepRow {
    /// When, counted from 1.
    pub number: usize,
    /// What.
    pub kind: EventKind,
    /// Weld line, counted from 1.
    pub seam: usize,
    /// Where it starts and ends along the line; the same for a dot.
    pub stations_mm: [f64; 2],
    /// Place of its middle.
    pub at_mm: [f64; 3],
    /// Pause before it, beyond moving there.
    pub pause_s: f64,
    /// Temperature of the sheet where it starts, after the pause.
    pub start_c: f64,
    /// The same without the pause.
    pub without_pause_c: f64,
    /// Least and most change of the gap at its place just before it joins.
    pub gap_change_mm: Option<[f64; 2]>,
    /// Estimate of the buckling margin after it; none when nothing pushes.
    pub margin: Option<f64>,
}

/// The steps of an order.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OrderTable {
    /// In their turn.
    pub steps: Vec<StepRow>,
    /// Arc and moving, s.
    pub work_s: f64,
    /// Pauses in all, s.
    pub pauses_s: f64,
    /// Warmest start when nobody waits, °C.
    pub warmest_without_pauses_c: f64,
}

/// Where a gap first leaves its joint's limits in an order, before it is joined.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct GapOut {
    /// After so many welds.
    pub after_weld: usize,
    /// Weld line, counted from 1.
    pub seam: usize,
    /// Place along it.
    pub station_mm: f64,
    /// Butt: the gap there, below 0 by how far the edges would lie over each other. Lap: how far one sheet stands off the other.
    pub gap_mm: f64,
    /// A butt, edge to edge; else a lap.
    pub butt: bool,
}

impl GapOut {
    /// What happens in the shop.
    #[must_use]
    pub fn words(&self) -> String {
        let Self { after_weld, seam, station_mm, gap_mm, butt } = *self;
        let welds = if after_weld == 1 { "weld" } else { "welds" };
        if !butt {
            return format!(
                "after {after_weld} {welds} the sheets of the lap stand {:.1} mm off each other at {station_mm:.0} mm of weld line {seam}: stop and clamp them down there",
                gap_mm.abs()
            );
        }
        if gap_mm < 0.0 {
            format!(
                "after {after_weld} {welds} the edges meet at {station_mm:.0} mm of weld line {seam} and press on each other or ride over: open the gap there before the next weld"
            )
        } else {
            format!(
                "after {after_weld} {welds} the gap stands {gap_mm:.1} mm open at {station_mm:.0} mm of weld line {seam}, more than the joint takes: stop and close it there"
            )
        }
    }
}

/// Heights that differ by less than this share are as good as one.
const WORTH_TELLING: f64 = 0.02;

/// What an order leaves.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OrderFigures {
    /// Pitch of tacks, plugs or spots.
    pub pitch_mm: f64,
    /// Length of runs at most; none without a butt.
    pub run_mm: Option<f64>,
    /// The figures that orders are ranked by; the margin is the quick estimate.
    pub score: Score,
    /// The first gap that leaves its limits while it is still open, when one does.
    pub gap_out: Option<GapOut>,
    /// Buckling margin at the step where the estimate is least, computed in full; none when nothing pushes.
    pub least_margin: Option<f64>,
    /// Buckling margin when all is welded, its middle for the middle of the shrinkage; none when nothing pushes.
    pub margin: Option<Range>,
    /// Highest to lowest place out of the surface when all is welded and the sheet may buckle, middle of the spread.
    /// None when no shape was found in which the panel rests.
    pub warp_height_mm: Option<f64>,
    /// Root mean square of the deflection out of the surface, middle of the spread; none as for the height.
    pub rms_mm: Option<f64>,
    /// Share of the shrinkage up to which a resting shape was found; 0 when none was looked for, because those before found none.
    pub share: f64,
    /// Heat, J.
    pub heat_j: f64,
    /// The steps.
    pub table: OrderTable,
}

impl OrderFigures {
    /// What this order gives up against the habit of the trade, where it lies higher than it: gaps come first in the search, and a person chooses.
    #[must_use]
    pub fn given_up_against(&self, habit: &Self) -> Option<String> {
        let (own_mm, habit_mm) = (self.warp_height_mm?, habit.warp_height_mm?);
        let [own_gap_mm, habit_gap_mm] = [self, habit].map(|of| of.score.gap_excess_mm);
        (own_mm > (1.0 + WORTH_TELLING) * habit_mm && own_gap_mm < habit_gap_mm).then(|| {
            format!(
                "the order found keeps the gaps better ({own_gap_mm:.2} against {habit_gap_mm:.2} mm out of their limit) and leaves the panel higher than the habit ({own_mm:.1} against {habit_mm:.1} mm): where the gaps are opened or clamped on the way, take the habit"
            )
        })
    }

    /// What stands in place of a height when there is none: never one from under a part of the shrinkage, which would look like little warp.
    #[must_use]
    pub fn no_rest_words(&self) -> String {
        if self.share < 0.005 {
            return "no resting shape found".to_owned();
        }
        format!("no resting shape found ({:.0} % of the shrinkage applied)", 100.0 * self.share)
    }
}

/// Shape after an order, middle of the spread.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WarpShape {
    /// Middle face, all joined.
    pub skin: Skin,
    /// Deflection of each point along its outward normal, mm.
    pub normal_mm: Vec<f64>,
    /// Lowest and highest deflection for the least, the middle and the most of the shrinkage, mm; none where no resting shape is known.
    pub extremes_mm: [Option<[f64; 2]>; 3],
}

/// A strip to be planished.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlanishStrip {
    /// Weld line, counted from 1.
    pub seam: usize,
    /// From station to station.
    pub stations_mm: [f64; 2],
    /// Width, middle on the line.
    pub width_mm: f64,
    /// Stretch along the line that gives back what was lost (W30).
    pub stretch: Working,
}

/// What the plan does to the panel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WarpResult {
    /// Shrinkage force of a run, N; none without runs.
    pub run_force_n: Option<Range>,
    /// Shrinkage across a run, mm.
    pub run_across_mm: Option<Range>,
    /// Strain of the disc of a dot.
    pub dot_strain: Option<Range>,
    /// Warp height of the order that was found, for the least, the middle and the most of the shrinkage.
    pub warp_height_mm: Heights,
    /// The order that was found.
    pub found: OrderFigures,
    /// The trade habit.
    pub habit: OrderFigures,
    /// End to end, in one go: nobody waits.
    pub end_to_end: OrderFigures,
    /// Orders tried, those given up half way because they were worse already among them.
    pub orders_tried: usize,
    /// Every order was tried.
    pub exhaustive: bool,
    /// The panel can be pushed through and stays there, or has already buckled.
    pub oil_cans: bool,
    /// Why.
    pub oil_canning: String,
    /// Where to planish; nothing for dots alone.
    pub planish: Vec<PlanishStrip>,
    /// What the reader must know.
    pub concerns: Vec<Concern>,
    /// Unknowns of the shell.
    pub unknowns: usize,
    /// The shape; none where no resting one was found.
    #[serde(skip)]
    pub shape: Option<WarpShape>,
    /// The shape that the trade habit leaves, middle of the spread alone; none where no resting one was found.
    #[serde(skip)]
    pub habit_shape: Option<WarpShape>,
    /// Workings of the shrinkage.
    pub workings: Vec<Working>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_happens_in_the_shop_is_said_for_edges_that_meet_that_gape_and_for_a_lap() {
        let out = GapOut { after_weld: 6, seam: 2, station_mm: 322.4, gap_mm: -1.2, butt: true };
        let met = out.words();
        assert!(met.starts_with("after 6 welds the edges meet at 322 mm of weld line 2"), "{met}");
        assert!(met.ends_with("open the gap there before the next weld"), "{met}");
        let gapes = GapOut { after_weld: 1, gap_mm: 1.26, ..out }.words();
        assert!(gapes.starts_with("after 1 weld the gap stands 1.3 mm open"), "{gapes}");
        let lap = GapOut { butt: false, ..out }.words();
        assert!(lap.contains("stand 1.2 mm off each other") && lap.ends_with("clamp them down there"), "{lap}");
    }
}
