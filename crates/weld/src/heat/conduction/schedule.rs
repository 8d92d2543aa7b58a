//! Waits and passes one after the other.

use super::assembly::Matrices;
use super::line::{Line, Sample, samples};
use super::source::Spot;
use super::stepping::{STAGE, Stepper};
use super::{Conducted, HeatError, Panel, Pass, PassLog, Schedule, Wait};
use crate::heat::within;
use crate::weld_line;
use glam::DVec3;
use mesh::nearest::Nearest;
use numerics::{Cancel, Progress};

/// Steps while the arc goes one radius.
const STEPS_A_RADIUS: f64 = 4.0;
/// Least number of steps of a dot.
const STEPS_A_DOT: f64 = 8.0;
/// A step of cooling as a share of the time since the last heat: peaks far away are met within 0.2 %.
const STEP_OF_COOLING: f64 = 0.15;
/// Longest step, times two to this over the step of the passes.
const MOST_DOUBLINGS: i32 = 12;

/// Heats a panel by a schedule.
///
/// Waits are whole numbers of a step no longer than that of the pass before (a fraction of a second). `progress` counts passes.
///
/// # Errors
/// [`HeatError`]: a quantity is none, the mesh is unsound, a weld lies off it by more than the radius of the spot, or somebody asked to stop.
pub fn conduct(
    panel: &Panel<'_>,
    schedule: &Schedule,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<Conducted, HeatError> {
    let nearest = Nearest::new(panel.skin)?;
    let prepared = prepare(panel, schedule, &nearest)?;
    let start = start_temperatures(panel, schedule)?;
    let stepper = Stepper::new(Matrices::new(panel)?, start.iter().map(|at| at - panel.air_c).collect());
    let stored_before = stepper.matrices.stored_j(&stepper.over_air_k);
    let mut course = Course::new(stepper, schedule, panel.air_c, cancel)?;
    let mut logs = Vec::with_capacity(prepared.len());
    for (i, pass) in prepared.iter().enumerate() {
        let share = progress.part(i as f64 / (prepared.len() + 1) as f64, (i + 1) as f64 / (prepared.len() + 1) as f64);
        share.report(0.0, "heat in the panel");
        let (waited_s, cool_enough) = course.wait(pass)?;
        let hottest_before_c = course.hottest_c(&pass.samples);
        let began_s = course.now_s;
        course.heat(pass, &share)?;
        logs.push(PassLog { waited_s, began_s, ended_s: course.now_s, hottest_before_c, cool_enough });
    }
    course.cool(schedule.watch_s)?;
    progress.report(1.0, "heat in the panel");
    Ok(course.done(logs, stored_before))
}

/// A pass that has been checked.
struct Prepared<'a> {
    wait: Wait,
    line: Option<Line>,
    at_mm: DVec3,
    seconds: f64,
    step_s: f64,
    power_w: f64,
    spot: Spot<'a>,
    samples: Vec<Sample>,
}

fn prepare<'a>(panel: &Panel<'a>, schedule: &Schedule, nearest: &'a Nearest) -> Result<Vec<Prepared<'a>>, HeatError> {
    let radius = within("radius of the spot of heat", schedule.radius_mm, [0.2, 30.0], "mm")?;
    let watch = within("time to go on after the last pass", schedule.watch_s, [0.0, 1e5], "s")?;
    for time in &schedule.at_times_s {
        within("time at which temperatures are wanted", *time, [0.0, 1e7], "s")?;
    }
    if schedule.passes.is_empty() && watch <= 0.0 {
        return Err(HeatError::WrongLength {
            what: "the schedule",
            got: 0,
            need: "at least one pass, or a time to cool".into(),
        });
    }
    let prepare = |(wait, pass): &(Wait, Pass)| {
        match *wait {
            Wait::Seconds(seconds) => within("wait", seconds, [0.0, 1e5], "s")?,
            Wait::UntilCool { below_c, at_most_s } => {
                within("temperature that is cool enough", below_c, [panel.air_c, 5000.0], "°C")?;
                within("longest wait", at_most_s, [0.0, 1e5], "s")?
            }
        };
        let power_w = pass.power_w()?;
        let (line, at_mm, seconds, steps, places, what) = match pass {
            Pass::Run { line_mm, travel_mm_s, .. } => {
                let travel = within("travel", *travel_mm_s, [0.01, 1000.0], "mm/s")?;
                let line = Line::new(line_mm)?;
                let length = line.length_mm();
                let sampled = (length / radius).ceil().max(1.0) as u32;
                let places: Vec<DVec3> =
                    (0..=sampled).map(|i| line.at(length * f64::from(i) / f64::from(sampled))).collect();
                let steps = (STEPS_A_RADIUS * length / radius).ceil().max(STEPS_A_RADIUS);
                (Some(line), DVec3::ZERO, length / travel, steps, places, "weld line")
            }
            Pass::Dot { at_mm, seconds, .. } => {
                weld_line::dot(*at_mm)?;
                let seconds = within("time of a dot", *seconds, [0.01, 1000.0], "s")?;
                (None, *at_mm, seconds, STEPS_A_DOT, vec![*at_mm], "dot")
            }
        };
        Ok(Prepared {
            wait: *wait,
            line,
            at_mm,
            seconds,
            step_s: seconds / steps,
            power_w,
            spot: Spot::new(panel.skin, nearest, radius, &places),
            samples: samples(panel.skin, nearest, places.into_iter(), what, radius)?,
        })
    };
    schedule.passes.iter().map(prepare).collect()
}

fn start_temperatures(panel: &Panel<'_>, schedule: &Schedule) -> Result<Vec<f64>, HeatError> {
    let nodes = panel.skin.points_mm.len();
    let checked = |at: &f64| crate::heat::start_c(*at, 5000.0);
    match schedule.start_c.as_slice() {
        [one] => Ok(vec![checked(one)?; nodes]),
        each if each.len() == nodes => Ok(each.iter().map(checked).collect::<Result<_, _>>()?),
        other => Err(HeatError::WrongLength {
            what: "temperature of the panel before",
            got: other.len(),
            need: format!("one, or one for each of {nodes} nodes"),
        }),
    }
}

/// A panel on its way through a schedule.
struct Course<'a> {
    stepper: Stepper,
    air_c: f64,
    now_s: f64,
    /// When heat last went in.
    heated_s: f64,
    /// Shortest step of cooling: at most that of the last pass.
    step_s: f64,
    peak_k: Vec<f64>,
    wanted_s: Vec<f64>,
    at_times: Vec<(f64, Vec<f64>)>,
    cancel: &'a Cancel,
}

impl<'a> Course<'a> {
    fn new(stepper: Stepper, schedule: &Schedule, air_c: f64, cancel: &'a Cancel) -> Result<Self, HeatError> {
        let mut wanted_s = schedule.at_times_s.clone();
        wanted_s.sort_by(f64::total_cmp);
        wanted_s.reverse();
        let peak_k = stepper.over_air_k.clone();
        /// Step of a cooling before any pass.
        const STEP_S: f64 = 0.25;
        let (now_s, heated_s) = (0.0, 0.0);
        let mut course =
            Self { stepper, air_c, now_s, heated_s, step_s: STEP_S, peak_k, wanted_s, at_times: Vec::new(), cancel };
        let start = course.stepper.over_air_k.clone();
        course.take_wanted(0.0, &start);
        Ok(course)
    }

    /// Hottest of some places now, °C.
    fn hottest_c(&self, samples: &[Sample]) -> f64 {
        let at =
            |sample: &Sample| sample.iter().map(|&(node, share)| share * self.stepper.over_air_k[node as usize]).sum();
        self.air_c + samples.iter().map(at).fold(f64::NEG_INFINITY, f64::max)
    }

    fn step(&mut self, seconds: f64, heating: [&[(u32, f64)]; 3]) -> Result<Vec<f64>, HeatError> {
        self.cancel.check()?;
        let before = self.stepper.over_air_k.clone();
        self.stepper.step(seconds, heating)?;
        Ok(before)
    }

    /// Notes peaks and wanted temperatures after a step that counts.
    fn note(&mut self, seconds: f64, before: &[f64]) {
        for (peak, over) in self.peak_k.iter_mut().zip(&self.stepper.over_air_k) {
            *peak = peak.max(*over);
        }
        self.now_s += seconds;
        self.take_wanted(seconds, before);
    }

    /// Temperatures wanted within the last step, in proportion between its ends.
    fn take_wanted(&mut self, seconds: f64, before: &[f64]) {
        while let Some(&time) = self.wanted_s.last().filter(|time| **time <= self.now_s + 1e-9) {
            self.wanted_s.pop();
            let share = if seconds > 0.0 { (1.0 - (self.now_s - time) / seconds).clamp(0.0, 1.0) } else { 1.0 };
            let between = before.iter().zip(&self.stepper.over_air_k);
            let at = between.map(|(from, to)| self.air_c + from + share * (to - from)).collect();
            self.at_times.push((time, at));
        }
    }

    /// Longest step of cooling now, as doublings of the step of the passes.
    fn doublings(&self) -> i32 {
        let longest = STEP_OF_COOLING * (self.now_s - self.heated_s) / self.step_s;
        if longest < 2.0 { 0 } else { (longest.log2().floor() as i32).min(MOST_DOUBLINGS) }
    }

    fn wait(&mut self, pass: &Prepared<'_>) -> Result<(f64, bool), HeatError> {
        match pass.wait {
            Wait::Seconds(seconds) => Ok((self.cool(seconds)?, true)),
            Wait::UntilCool { below_c, at_most_s } => self.until_cool(&pass.samples, below_c, at_most_s),
        }
    }

    /// Cools for a time, up to a step of the passes more; how long it was.
    fn cool(&mut self, seconds: f64) -> Result<f64, HeatError> {
        let mut left = (seconds / self.step_s - 1e-9).ceil().max(0.0);
        let total = left * self.step_s;
        while left >= 0.5 {
            let doublings = self.doublings().min(left.log2().floor() as i32);
            let steps = f64::from(doublings).exp2();
            let length = steps * self.step_s;
            let before = self.step(length, [&[]; 3])?;
            self.note(length, &before);
            left -= steps;
        }
        Ok(total)
    }

    fn until_cool(&mut self, samples: &[Sample], below_c: f64, at_most_s: f64) -> Result<(f64, bool), HeatError> {
        let begun = self.now_s;
        let mut most_doublings = MOST_DOUBLINGS;
        while self.hottest_c(samples) > below_c {
            let left = at_most_s - (self.now_s - begun);
            if left < 0.5 * self.step_s {
                return Ok((self.now_s - begun, false));
            }
            let fits = (left / self.step_s).max(1.0).log2().floor() as i32;
            let doublings = self.doublings().min(most_doublings).min(fits);
            let length = f64::from(doublings).exp2() * self.step_s;
            let energy = self.stepper.energy;
            let before = self.step(length, [&[]; 3])?;
            if doublings > 0 && self.hottest_c(samples) <= below_c {
                // cooled somewhere within a long step: go back and come nearer with shorter ones
                self.stepper.over_air_k = before;
                self.stepper.energy = energy;
                most_doublings = doublings - 1;
                continue;
            }
            self.note(length, &before);
        }
        Ok((self.now_s - begun, true))
    }

    fn heat(&mut self, pass: &Prepared<'_>, progress: &Progress) -> Result<(), HeatError> {
        let steps = (pass.seconds / pass.step_s).round();
        // a power of two: passes of different lengths then share the factors of their cooling
        self.step_s = pass.step_s.log2().floor().exp2();
        let place = |time: f64| match &pass.line {
            Some(line) => line.at(line.length_mm() * time / pass.seconds),
            None => pass.at_mm,
        };
        let mut at_start = pass.spot.heating(place(0.0), pass.power_w)?;
        for i in 0..steps as u32 {
            let from = f64::from(i) * pass.step_s;
            let at_stage = pass.spot.heating(place(from + STAGE * pass.step_s), pass.power_w)?;
            let at_end = pass.spot.heating(place(from + pass.step_s), pass.power_w)?;
            let before = self.step(pass.step_s, [&at_start, &at_stage, &at_end])?;
            self.heated_s = self.now_s + pass.step_s;
            self.note(pass.step_s, &before);
            at_start = at_end;
            if i % 16 == 0 {
                progress.report(f64::from(i) / steps, "heat in the panel");
            }
        }
        Ok(())
    }

    fn done(self, passes: Vec<PassLog>, stored_before: f64) -> Conducted {
        let air_c = self.air_c;
        let mut energy = self.stepper.energy;
        energy.stored_j = self.stepper.matrices.stored_j(&self.stepper.over_air_k) - stored_before;
        Conducted {
            peak_c: self.peak_k.into_iter().map(|over| air_c + over).collect(),
            at_times: self.at_times,
            end_c: self.stepper.over_air_k.iter().map(|over| air_c + over).collect(),
            end_s: self.now_s,
            passes,
            energy,
            steps: self.stepper.steps,
            factorisations: self.stepper.factorisations,
        }
    }
}
