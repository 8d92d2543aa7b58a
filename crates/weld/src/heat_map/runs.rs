//! How long the runs of a seam may be on this panel, and how long to wait before each, so that its place is cool enough.
//!
//! Conduction in the panel with loss from both faces, as the map has it, on a coarser mesh: what is asked is the temperature of a place seconds
//! to minutes after an arc, when its heat has spread over centimetres, so the heat of the arc is laid wider and the mesh beside it coarser. Runs go in the
//! habit of the trade; the tacks are cold. On wide flat sheet the longest pause agrees with the closed form of [`super::pauses_s`] within
//! [`CLOSED_FORM_BAND`] (test of this module); on a panel the two differ, because the panel knows where it ends.

use super::{EDGE_R, HeatMapError, WeldPass, WeldedSheet, pauses_s, surface_of, thicknesses};
use crate::heat::conduction::{Panel as Heated, RunOrder, RunTrials, run_lengths, split};
use crate::heat::within;
use crate::order::EventKind;
use crate::order::cooling::LONGEST_PAUSE_S;
use crate::panel::{Panel, PanelSettings, SeamLine};
use crate::warp::{SeamJoint, WarpPlan, WarpSettings};
use glam::DVec3;
use handbook::Working;
use handbook::joints::tack_pitch;
use handbook::welding::SurfaceLoss;
use numerics::{Cancel, Progress};
use serde::Serialize;

/// Largest difference of the longest pause from that of the closed form on wide flat sheet, as a share.
pub const CLOSED_FORM_BAND: f64 = 0.2;
/// Radius over which the heat of the arc is laid, mm.
const SPOT_MM: f64 = 8.0;
/// Wanted edge of the mesh away from the weld, mm.
const FAR_EDGE_MM: f64 = 25.0;
/// Lengths of runs that are tried beside the tack pitch and the whole seam, mm (common practice, no source).
const LENGTHS_MM: [f64; 3] = [25.0, 50.0, 100.0];
/// Lengths that differ by less than this share are one.
const SAME: f64 = 0.15;

/// One run length that was tried.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TriedRun {
    /// Length of each run.
    pub length_mm: f64,
    /// Number of runs.
    pub runs: usize,
    /// Longest pause before a run, moving there in it.
    pub longest_pause_s: f64,
    /// Time for the whole seam.
    pub total_s: f64,
    /// Hottest place of a coming run just before it began.
    pub hottest_before_c: f64,
    /// Whether every run found its place cool enough.
    pub cool_enough: bool,
    /// The longest pause by the closed form, on wide sheet whose edges are far.
    pub wide_sheet_pause_s: f64,
}

/// Run lengths along the longest butt seam of a panel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RunAdvice {
    /// Which weld line, from 1.
    pub seam: usize,
    /// How many butt seams there are.
    pub of_seams: usize,
    /// Length of it.
    pub seam_mm: f64,
    /// A place is cool enough below this.
    pub cool_c: f64,
    /// What was tried, the shortest runs first.
    pub tried: Vec<TriedRun>,
    /// The one whose seam is done soonest among those that stay cool; none when none does. Never the whole seam in one run.
    pub best: Option<usize>,
    /// Working of its longest pause.
    pub working: Option<Working>,
    /// Points of the mesh.
    pub points: usize,
}

impl RunAdvice {
    /// The run length to take.
    #[must_use]
    pub fn best(&self) -> Option<&TriedRun> {
        self.tried.get(self.best?)
    }
}

/// Tries run lengths along the longest butt seam of a plan; `None` where nothing is welded edge to edge.
///
/// # Errors
/// [`HeatMapError`].
pub fn run_advice(plan: &WarpPlan, progress: &Progress, cancel: &Cancel) -> Result<Option<RunAdvice>, HeatMapError> {
    let butts = || plan.seams.iter().enumerate().filter(|(_, seam)| matches!(seam.joint, SeamJoint::Butt { .. }));
    let length = |line: &SeamLine| line.sides().map(|(a, b)| a.distance(b)).sum::<f64>();
    let longest = butts().max_by(|a, b| length(&a.1.line).total_cmp(&length(&b.1.line)).then(b.0.cmp(&a.0)));
    let Some((number, seam)) = longest else { return Ok(None) };
    let (line_mm, seam_mm) = (seam.line.whole_mm(), length(&seam.line));
    let lengths_mm = lengths_mm(plan, seam_mm)?;
    progress.report(0.0, "run lengths: the panel, meshed");
    let settings =
        PanelSettings { edge_mm: EDGE_R * SPOT_MM, far_edge_mm: Some(plan.settings.far_edge_mm.min(FAR_EDGE_MM)) };
    let lines: Vec<SeamLine> = plan.seams.iter().map(|seam| seam.line.clone()).collect();
    let skin = Panel::cut(&plan.skin, &lines, &settings, &progress.part(0.0, 0.1), cancel)?.closed;
    let thickness_mm = thicknesses(plan, &skin);
    let heated = Heated {
        skin: &skin,
        thickness_mm: &thickness_mm,
        metal: &plan.metal.thermal,
        loss: SurfaceLoss::of(surface_of(&plan.metal)),
        air_c: plan.settings.air_c,
    };
    let trials = RunTrials {
        line_mm: &line_mm,
        travel_mm_s: plan.heat.travel_mm_s,
        power_w: plan.heat.run_j_mm * plan.heat.travel_mm_s,
        radius_mm: SPOT_MM,
        order: RunOrder::Habit,
        lengths_mm: &lengths_mm,
        cool_c: plan.settings.start_limit_c,
        longest_pause_s: LONGEST_PAUSE_S,
        start_c: plan.settings.air_c,
    };
    let found = run_lengths(&heated, &trials, &progress.part(0.1, 1.0), cancel)?;
    let tried = found.tried.iter().zip(&lengths_mm).map(|(own, wanted_mm)| {
        Ok(TriedRun {
            length_mm: own.length_mm,
            runs: own.runs,
            longest_pause_s: own.longest_pause_s,
            total_s: own.total_s,
            hottest_before_c: own.hottest_before_c,
            cool_enough: own.cool_enough,
            wide_sheet_pause_s: on_wide_sheet(plan, &line_mm, *wanted_mm)?,
        })
    });
    let tried = tried.collect::<Result<_, HeatMapError>>()?;
    let (of_seams, cool_c, points) = (butts().count(), plan.settings.start_limit_c, skin.points_mm.len());
    let (best, working) = (found.best, found.working);
    Ok(Some(RunAdvice { seam: number + 1, of_seams, seam_mm, cool_c, tried, best, working, points }))
}

/// The tack pitch, what is usual, and the whole seam, the shortest first.
fn lengths_mm(plan: &WarpPlan, seam_mm: f64) -> Result<Vec<f64>, HeatMapError> {
    let ([least, most], _) = tack_pitch(plan.thickness_mm).map_err(crate::heat::HeatError::Rule)?;
    let pitch_mm = plan.settings.pitches_mm.first().copied().unwrap_or(0.5 * (least + most));
    let seam_mm = within("length of the seam", seam_mm, [1.0, 1e5], "mm").map_err(crate::heat::HeatError::Rule)?;
    let mut lengths = vec![pitch_mm];
    let apart = |a: f64, b: f64| (a - b).abs() > SAME * a.max(b);
    lengths.extend(LENGTHS_MM.iter().filter(|own| apart(**own, pitch_mm)));
    lengths.retain(|own| *own < (1.0 - SAME) * seam_mm);
    lengths.sort_by(f64::total_cmp);
    lengths.push(seam_mm);
    Ok(lengths)
}

/// The longest pause of the same runs in the same order by the closed form, s; moving there is in it, as in the trials.
fn on_wide_sheet(plan: &WarpPlan, line_mm: &[DVec3], longest_mm: f64) -> Result<f64, HeatMapError> {
    let runs = split(line_mm, longest_mm)?;
    let pass = |at: usize| WeldPass {
        kind: EventKind::Run,
        line_mm: runs.get(at).cloned().unwrap_or_default(),
        number: at + 1,
        pause_s: None,
        dot_mm: None,
    };
    let welds: Vec<WeldPass> = RunOrder::Habit.of_runs(&runs).into_iter().map(pass).collect();
    let sheet = WeldedSheet { metal: &plan.metal, thickness_mm: plan.thickness_mm, heat: &plan.heat };
    let settings = WarpSettings { move_s: 0.0, ..plan.settings.clone() };
    let pauses = pauses_s(&sheet, &welds, &settings).map_err(crate::heat::HeatError::Rule)?;
    Ok(pauses.into_iter().fold(0.0, f64::max))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::metal::WeldMetal;
    use crate::shrinkage::ShopFactors;
    use crate::warp::{PlannedHeat, PlannedSeam};
    use handbook::materials::Material;
    use handbook::welding::HeatProcess;

    /// A butt of 200 mm in the middle of flat sheet of 0.9 mm.
    fn butt(sheet_mm: [f64; 2]) -> WarpPlan {
        let metal = WeldMetal::of(Material::MildSteel).unwrap();
        let heat = PlannedHeat::of_run(HeatProcess::Tig, 105.0, 2.0, &metal, 0.9).unwrap();
        let [long, wide] = sheet_mm;
        let ends = [0.5 * long - 100.0, 0.5 * long + 100.0];
        let points_mm = ends.map(|x| DVec3::new(x, 0.5 * wide, 0.0)).to_vec();
        let joint = SeamJoint::Butt { gap_mm: 0.2 };
        WarpPlan {
            skin: crate::shapes::sheet(long, wide, 0.0),
            thickness_mm: 0.9,
            metal,
            seams: vec![PlannedSeam { line: SeamLine { points_mm, closed: false }, joint }],
            heat,
            shop: ShopFactors::default(),
            supports: Vec::new(),
            settings: WarpSettings::default(),
        }
    }

    fn of(plan: &WarpPlan) -> RunAdvice {
        run_advice(plan, &Progress::silent(), &Cancel::new()).unwrap().unwrap()
    }

    /// On wide sheet conduction in the mesh and the instant line sources of the closed form (Carslaw and Jaeger) say the same pause; where the sheet ends
    /// 30 mm beside the seam the heat comes back, and the panel wants longer than the closed form knows.
    #[test]
    fn on_wide_sheet_the_pause_is_that_of_the_closed_form_and_on_a_strip_it_is_longer() {
        let wide = of(&butt([700.0, 500.0]));
        assert_eq!(wide.tried.iter().map(|own| own.runs).collect::<Vec<_>>(), [8, 4, 2, 1]);
        for own in wide.tried.iter().filter(|own| own.runs > 1) {
            let off = own.longest_pause_s / own.wide_sheet_pause_s - 1.0;
            assert!(off.abs() < CLOSED_FORM_BAND && own.wide_sheet_pause_s > 20.0, "{off}: {own:?}");
            assert!(own.cool_enough && own.hottest_before_c <= wide.cool_c + 1e-9);
        }
        let best = wide.best().unwrap();
        assert!(best.runs > 1 && wide.working.as_ref().unwrap().value == best.longest_pause_s);
        let strip = of(&butt([700.0, 60.0]));
        for own in strip.tried.iter().filter(|own| own.runs > 1) {
            assert!(own.longest_pause_s > 1.4 * own.wide_sheet_pause_s, "{own:?}");
        }
    }

    #[test]
    fn a_lap_has_no_runs_and_a_stop_is_heard() {
        let mut plan = butt([300.0, 200.0]);
        let cancel = Cancel::new();
        cancel.cancel();
        assert!(matches!(run_advice(&plan, &Progress::silent(), &cancel), Err(HeatMapError::Cancelled(_))));
        plan.seams[0].joint = SeamJoint::Lap { overlap_mm: 14.0, dot_mm: 5.5 };
        assert_eq!(run_advice(&plan, &Progress::silent(), &Cancel::new()).unwrap(), None);
    }
}
