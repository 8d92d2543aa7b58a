//! The best orders computed in full, beside the trade habit and end to end.

use super::outcome::{GapOut, OrderFigures, OrderTable, PlanishStrip, StepRow, WarpResult, WarpShape};
use super::plan::SeamJoint;
use super::prepare::Prepared;
use super::search::{Chosen, OrdersFound};
use super::state::{Level, Pauses, State, weakest};
use super::{Heights, WarpError, large};
use crate::order::{ENOUGH_MARGIN, Event, ROWS, first_gap_left, trail};
use crate::shrinkage::buckling::planishing_stretch;
use crate::shrinkage::rules::{ButtSection, tendon_force, transverse};
use crate::shrinkage::{Dot, Range};
use numerics::{Cancel, Progress};

/// A margin of at least this share of the best is as good as it, and the deflection decides: the spread of the shrinkage is several times
/// wider. Policy, no source.
const AS_GOOD_A_MARGIN: f64 = 0.85;
/// Two margins closer than this are the same: that is about how far the search for a mode may leave them.
const SAME_MARGIN: f64 = 0.995;
/// Gaps within a tenth of a millimetre are the same: nobody sets edges up closer than a feeler goes. Policy, no source.
const SAME_GAP_MM: f64 = 0.1;

/// One order, middle of the spread, with its margins in full.
struct Full {
    pauses: Pauses,
    counts: Vec<f64>,
    least_margin: Option<f64>,
    margin: Option<f64>,
    end: State,
}

impl Prepared {
    /// Computes the best orders, the trade habit and end to end in full, and picks.
    ///
    /// # Errors
    /// [`WarpError`].
    pub fn finish(
        &mut self,
        found: &OrdersFound,
        progress: &Progress,
        cancel: &Cancel,
    ) -> Result<WarpResult, WarpError> {
        // the habit stands among the finalists, so that what is picked is never worse than it in the full figures either
        let mut finalists: Vec<&Chosen> = found.best.iter().collect();
        if !finalists.contains(&&found.habit) {
            finalists.push(&found.habit);
        }
        let mut full = Vec::with_capacity(finalists.len());
        for (i, chosen) in finalists.iter().enumerate() {
            progress.report(0.1 * i as f64 / finalists.len() as f64, "buckling margins of the best orders");
            full.push(self.full(chosen, Pauses::Taken, cancel)?);
        }
        let mut shapes: Vec<Option<large::Settled>> = vec![None; finalists.len()];
        let habit_at = finalists.iter().position(|chosen| *chosen == &found.habit).unwrap_or(0);
        let standing = |own: &Full| (own.end.score.gap_excess_mm, own.least_margin);
        let tied = tied(&full.iter().map(standing).collect::<Vec<_>>(), habit_at);
        let best = self.least_deflection(&tied, habit_at, &full, &mut shapes, &progress.part(0.1, 0.6), cancel)?;
        // welded end to end nobody waits: that is what it is set against
        finalists.push(&found.end_to_end);
        full.push(self.full(&found.end_to_end, Pauses::NotTaken, cancel)?);
        shapes.push(None);
        let mut figures = Vec::with_capacity(3);
        for (k, at) in [best, habit_at, full.len() - 1].into_iter().enumerate() {
            let part = progress.part(0.6 + 0.07 * k as f64, 0.67 + 0.07 * k as f64);
            let shape = match &shapes[at] {
                Some(shape) => shape.clone(),
                None => self.settled(&full[at].end, &part, cancel)?,
            };
            figures.push(self.figures(finalists[at], &full[at], &shape, cancel)?);
            shapes[at] = Some(shape);
        }
        let (Some(end_to_end), Some(habit), Some(own)) = (figures.pop(), figures.pop(), figures.pop()) else {
            return Err(crate::order::OrderError::NoEvent.into());
        };
        let habit_shape = shapes.get(habit_at).and_then(Clone::clone).and_then(|shape| self.drawn(shape, [None; 3]));
        let mut shape = shapes.swap_remove(best).unwrap_or_default();
        self.other_side(&full[best].end, &mut shape, &progress.part(0.8, 0.87), cancel)?;
        let mut heights = [None, Some(shape.height_mm).filter(|_| shape.settled), None];
        let mut extremes = [None, shape.extremes_mm(), None];
        for (k, level) in [(0, Level::Low), (2, Level::High)] {
            let part = progress.part(0.87 + 0.03 * k as f64, 0.93 + 0.03 * k as f64);
            let at = self.at_level(finalists[best].candidate, level, cancel)?;
            let state = self.state(&at, finalists[best].order(), &full[best].counts, usize::MAX)?;
            let at_level = self.settled(&state, &part, cancel)?;
            heights[k] = Some(at_level.height_mm).filter(|_| at_level.settled);
            extremes[k] = at_level.extremes_mm();
        }
        let result = self.result(found, [own, habit, end_to_end], &shape, heights)?;
        Ok(WarpResult { shape: self.drawn(shape, extremes), habit_shape, ..result })
    }

    /// A shape as it is given out; none of one that does not rest.
    fn drawn(&self, shape: large::Settled, extremes_mm: [Option<[f64; 2]>; 3]) -> Option<WarpShape> {
        let skin = || self.panel.closed.clone();
        shape.settled.then(|| WarpShape { skin: skin(), normal_mm: shape.normal_mm, extremes_mm })
    }

    fn full(&mut self, chosen: &Chosen, pauses: Pauses, cancel: &Cancel) -> Result<Full, WarpError> {
        let middle = self.at_level(chosen.candidate, Level::Middle, cancel)?;
        let counts = self.counts(chosen.candidate, chosen.order(), pauses);
        let end = self.state(&middle, chosen.order(), &counts, usize::MAX)?;
        let margin = self.margin(&end, cancel)?;
        let step = weakest(&end.steps);
        let at_weakest = if step >= chosen.order().len() {
            margin
        } else {
            let state = self.state(&middle, chosen.order(), &counts, step)?;
            self.margin(&state, cancel)?
        };
        let least_margin = [margin, at_weakest].into_iter().flatten().reduce(f64::min);
        Ok(Full { pauses, counts, least_margin, margin, end })
    }

    /// Of orders that are as good, the one that deflects least; the habit among them, one that is not higher than it either.
    fn least_deflection(
        &mut self,
        tied: &[usize],
        habit: usize,
        full: &[Full],
        shapes: &mut [Option<large::Settled>],
        progress: &Progress,
        cancel: &Cancel,
    ) -> Result<usize, WarpError> {
        let first = tied.first().copied().unwrap_or(0);
        if tied.len() < 2 {
            return Ok(first);
        }
        for (k, &i) in tied.iter().enumerate() {
            let part = progress.part(k as f64 / tied.len() as f64, (k + 1) as f64 / tied.len() as f64);
            shapes[i] = Some(self.settled(&full[i].end, &part, cancel)?);
        }
        // an order without a resting shape wins against none that has one: what it deflects under a part of the shrinkage says nothing
        let rests = |i: usize| shapes.get(i).and_then(Option::as_ref).filter(|shape| shape.settled);
        let most_mm = rests(habit).filter(|_| tied.contains(&habit)).map_or(f64::INFINITY, |shape| shape.height_mm);
        let lower = tied.iter().filter_map(|i| Some((*i, rests(*i)?))).filter(|(_, shape)| shape.height_mm <= most_mm);
        Ok(lower.min_by(|a, b| a.1.rms_mm.total_cmp(&b.1.rms_mm)).map_or(first, |(i, _)| i))
    }

    fn figures(
        &mut self,
        chosen: &Chosen,
        full: &Full,
        shape: &large::Settled,
        cancel: &Cancel,
    ) -> Result<OrderFigures, WarpError> {
        let mut margins = [None, full.margin, None];
        for (k, level) in [(0, Level::Low), (2, Level::High)] {
            let at = self.at_level(chosen.candidate, level, cancel)?;
            let state = self.state(&at, chosen.order(), &full.counts, usize::MAX)?;
            margins[k] = self.margin(&state, cancel)?;
        }
        let margin = margin_range(margins);
        let of = self.candidates.get(chosen.candidate).ok_or(crate::order::OrderError::NoEvent)?;
        Ok(OrderFigures {
            pitch_mm: of.pitch_mm,
            run_mm: of.run_mm,
            score: full.end.score,
            gap_out: self.gap_out(chosen, full)?,
            least_margin: full.least_margin,
            margin,
            warp_height_mm: shape.settled.then_some(shape.height_mm),
            rms_mm: shape.settled.then_some(shape.rms_mm),
            share: shape.share,
            heat_j: of.events.iter().map(|event| event.heat_j).sum(),
            table: self.table(chosen, full)?,
        })
    }

    /// The first gap that leaves its limits in an order.
    fn gap_out(&self, chosen: &Chosen, full: &Full) -> Result<Option<GapOut>, WarpError> {
        let of = self.candidates.get(chosen.candidate).ok_or(crate::order::OrderError::NoEvent)?;
        let Some(left) = first_gap_left(&of.condensed, chosen.order(), &full.counts)? else { return Ok(None) };
        let numbered = self.panel.seams.iter().enumerate();
        let mut pairs = numbered.flat_map(|(seam, own)| own.pairs.iter().map(move |pair| (seam + 1, pair.station_mm)));
        let found = pairs.nth(left.row as usize / ROWS);
        Ok(found.map(|(seam, station_mm)| GapOut {
            after_weld: left.after,
            seam,
            station_mm,
            gap_mm: left.gap_mm,
            butt: self.plan.seams.get(seam - 1).is_some_and(|own| matches!(own.joint, SeamJoint::Butt { .. })),
        }))
    }

    fn table(&self, chosen: &Chosen, full: &Full) -> Result<OrderTable, WarpError> {
        let of = self.candidates.get(chosen.candidate).ok_or(crate::order::OrderError::NoEvent)?;
        let (records, _) = trail(&of.condensed, chosen.order(), &full.counts)?;
        let timings = self.cooling.timings(&of.events, chosen.order(), full.pauses == Pauses::Taken);
        let hurried = self.cooling.timings(&of.events, chosen.order(), false);
        let warmest = hurried.iter().map(|timing| timing.start_c).fold(self.plan.settings.air_c, f64::max);
        let row = |(i, (record, timing)): (usize, (&crate::order::StepRecord, &crate::order::cooling::Timing))| {
            let event: &Event = of.events.get(record.event as usize)?;
            let middle = event.places_mm.get(event.places_mm.len() / 2).copied().unwrap_or_default();
            Some(StepRow {
                number: i + 1,
                kind: event.kind,
                seam: event.seam + 1,
                stations_mm: event.stations_mm,
                at_mm: middle.to_array(),
                pause_s: timing.pause_s,
                start_c: timing.start_c,
                without_pause_c: timing.without_pause_c,
                gap_change_mm: record.gap_change_mm,
                margin: Some(record.margin).filter(|margin| margin.is_finite()),
            })
        };
        let steps: Vec<StepRow> = records.iter().zip(&timings).enumerate().filter_map(row).collect();
        let pauses_s = timings.iter().map(|timing| timing.pause_s).sum();
        let arc: f64 = of.events.iter().map(|event| event.seconds).sum();
        let work_s = arc + self.cooling.move_s * (of.events.len().saturating_sub(1)) as f64;
        Ok(OrderTable { steps, work_s, pauses_s, warmest_without_pauses_c: warmest })
    }

    fn result(
        &self,
        found: &OrdersFound,
        [own, habit, end_to_end]: [OrderFigures; 3],
        shape: &large::Settled,
        heights: [Option<f64>; 3],
    ) -> Result<WarpResult, WarpError> {
        let (plan, heat) = (&self.plan, &self.plan.heat);
        let butt = plan.seams.iter().find_map(|seam| match seam.joint {
            SeamJoint::Butt { gap_mm } => Some(gap_mm),
            SeamJoint::Lap { .. } => None,
        });
        let mut workings = Vec::new();
        let (mut run_force_n, mut run_across_mm) = (None, None);
        if let Some(gap_mm) = butt {
            let force = plan.shop.force(tendon_force(&plan.metal, heat.run_j_mm)?);
            let section = ButtSection { thickness_mm: plan.thickness_mm, fused_width_mm: heat.fused_width_mm, gap_mm };
            let lost = plan.shop.transverse(transverse(&plan.metal, section, heat.run_j_mm)?);
            (run_force_n, run_across_mm) = (Some(force.range), Some(lost.range));
            workings.extend(force.workings);
            workings.extend(lost.workings);
        }
        let dot_mm = plan.seams.iter().find_map(|seam| seam.joint.dot_mm());
        // a plug takes what melts it, a tack what the dot of the machine brings
        let dot_j = dot_mm.map_or(heat.dot_j, |dot_mm| heat.plug_j(&plan.metal, plan.thickness_mm, dot_mm));
        let dot = Dot { at_mm: glam::DVec3::ZERO, diameter_mm: dot_mm.unwrap_or(heat.tack_mm), heat_j: dot_j };
        let sheets = if dot_mm.is_some() { 2.0 } else { 1.0 };
        let dot_strain = dot.strain(&plan.metal, sheets * plan.thickness_mm)?;
        workings.extend(dot.amount(&plan.metal)?.workings);
        let (oil_cans, oil_canning) = verdict(&own, shape, plan.thickness_mm);
        Ok(WarpResult {
            run_force_n,
            run_across_mm,
            dot_strain: Some(dot_strain),
            planish: self.planish(run_force_n)?,
            warp_height_mm: Heights::of(heights),
            found: own,
            habit,
            end_to_end,
            orders_tried: found.tried,
            exhaustive: found.exhaustive,
            oil_cans,
            oil_canning,
            concerns: self.concerns.clone(),
            unknowns: self.condenser.model().assembly().unknowns(),
            shape: None,
            habit_shape: None,
            workings,
        })
    }

    /// The strip along every butt; dots shrink too little metal to be planished as a strip.
    fn planish(&self, force_n: Option<Range>) -> Result<Vec<PlanishStrip>, WarpError> {
        let mut strips = Vec::new();
        let Some(force) = force_n else { return Ok(strips) };
        let width_mm = self.plan.settings.planished_mm;
        for (number, (seam, pairs)) in self.plan.seams.iter().zip(&self.panel.seams).enumerate() {
            if matches!(seam.joint, SeamJoint::Butt { .. }) {
                let strip = width_mm * self.plan.thickness_mm;
                let stretch = planishing_stretch(&self.plan.metal, force.middle, strip)?;
                strips.push(PlanishStrip { seam: number + 1, stations_mm: [0.0, pairs.length_mm], width_mm, stretch });
            }
        }
        Ok(strips)
    }
}

/// Orders (gap beyond its limit, least margin) that are as good as the best by gap and margin, and not worse than the habit in either; the best first.
fn tied(orders: &[(f64, Option<f64>)], habit: usize) -> Vec<usize> {
    let gap = |i: usize| orders[i].0;
    let margin = |i: usize| orders[i].1.map_or(ENOUGH_MARGIN, |margin| margin.min(ENOUGH_MARGIN));
    let least_gap = (0..orders.len()).map(gap).fold(f64::INFINITY, f64::min);
    let mut places: Vec<usize> = (0..orders.len()).filter(|i| gap(*i) <= least_gap + SAME_GAP_MM).collect();
    places.sort_by(|a, b| margin(*b).total_cmp(&margin(*a)));
    let Some(&first) = places.first() else { return places };
    let mut least = AS_GOOD_A_MARGIN * margin(first);
    if places.contains(&habit) {
        least = least.max(SAME_MARGIN * margin(habit));
    }
    places.retain(|i| margin(*i) >= least);
    places
}

/// Least, middle and most of three margins; a level at which no mode was found counts as the largest that was.
pub(super) fn margin_range(margins: [Option<f64>; 3]) -> Option<Range> {
    let most = margins.iter().flatten().copied().reduce(f64::max)?;
    Some(Range::of_three(margins.map(|margin| margin.unwrap_or(most))))
}

/// Oil-canning: the panel has buckled when the margin is below 1; or the two shapes it can be pushed into differ and both stay.
fn verdict(own: &OrderFigures, shape: &large::Settled, thickness_mm: f64) -> (bool, String) {
    // the worst of the spread decides: a panel that may buckle is told as one that does
    let margin = own.margin.map_or(f64::INFINITY, |margin| margin.low);
    let other = shape.other_side_mm.unwrap_or(0.0);
    if margin < 1.0 {
        let sides = if other > thickness_mm {
            format!("; pushed to the other side it stays there, up to {other:.1} mm away")
        } else {
            "; it stays on the side to which it has gone".to_owned()
        };
        return (
            true,
            format!(
                "at the most of its spread the shrinkage is {:.1} times what buckles the panel{sides}",
                1.0 / margin
            ),
        );
    }
    if other > thickness_mm {
        return (
            true,
            format!(
                "pushed to the other side it stays there, up to {other:.1} mm away, though its margin is {margin:.1}"
            ),
        );
    }
    if margin.is_finite() {
        (false, format!("the shrinkage could be {margin:.1} times as much before the panel buckles"))
    } else {
        (false, "the shrinkage pushes nothing together far enough to buckle it".to_owned())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_ties_is_never_worse_than_the_habit() {
        // the habit is number 0: 0.41 of margin; of the others one has less, one more, one far more, one a gap
        let orders = [(0.0, Some(0.41)), (0.0, Some(0.40)), (0.0, Some(0.43)), (0.3, Some(0.9))];
        assert_eq!(tied(&orders, 0), [2, 0]);
        // a habit that is far behind is none of them, and bars none
        let orders = [(0.0, Some(0.2)), (0.0, Some(0.8)), (0.0, Some(0.7)), (0.0, Some(0.5))];
        assert_eq!(tied(&orders, 0), [1, 2]);
        // gaps within a feeler are one gap; a habit with a worse one bars none
        let orders = [(0.5, Some(0.9)), (0.1, Some(0.3)), (0.15, Some(0.4))];
        assert_eq!(tied(&orders, 0), [2]);
        // from a margin of 3 on all are alike, and what nothing pushes is
        let orders = [(0.0, Some(3.2)), (0.0, None), (0.0, Some(5.0))];
        assert_eq!(tied(&orders, 0).len(), 3);
    }
}
