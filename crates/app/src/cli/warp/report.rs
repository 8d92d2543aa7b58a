//! What `soundmetal warp` prints.

use super::Comparison;
use handbook::Grade;
use serde::Serialize;
use std::fmt::Write as _;
use weld::heat_map::{HeatMap, RunAdvice};
use weld::shrinkage::Range;
use weld::warp::{OrderFigures, SeamJoint, WarpPlan, WarpResult};

/// The answer.
#[derive(Debug, Serialize)]
pub struct Report<'a> {
    name: &'a str,
    thickness_mm: f64,
    metal: &'static str,
    joints: Vec<SeamJoint>,
    run_j_mm: f64,
    dot_j: f64,
    fused_width_mm: f64,
    search_seconds: f64,
    orders_a_minute: f64,
    #[serde(flatten)]
    result: &'a WarpResult,
    #[serde(skip_serializing_if = "Option::is_none")]
    lap_against_butt: Option<Comparison>,
    /// None where it could not be told.
    heat: Option<&'a HeatMap>,
    /// Run lengths, where a map of the heat was asked for and a seam is a butt.
    #[serde(skip_serializing_if = "Option::is_none")]
    run_lengths: Option<&'a RunAdvice>,
}

impl<'a> Report<'a> {
    /// `seconds`: how long the search of the order took.
    pub fn new(
        name: &'a str,
        plan: &WarpPlan,
        result: &'a WarpResult,
        seconds: f64,
        lap_against_butt: Option<Comparison>,
        heat: Option<&'a HeatMap>,
        run_lengths: Option<&'a RunAdvice>,
    ) -> Self {
        Self {
            name,
            thickness_mm: plan.thickness_mm,
            metal: plan.metal.material.properties().name,
            joints: plan.seams.iter().map(|seam| seam.joint).collect(),
            run_j_mm: plan.heat.run_j_mm,
            dot_j: plan.heat.dot_j,
            fused_width_mm: plan.heat.fused_width_mm,
            search_seconds: seconds,
            orders_a_minute: 60.0 * result.orders_tried as f64 / seconds.max(1e-9),
            result,
            lap_against_butt,
            heat,
            run_lengths,
        }
    }

    /// A short table for people.
    pub fn text(&self) -> String {
        let result = self.result;
        let name = if self.name.is_empty() { String::new() } else { format!("{}: ", self.name) };
        let joints: Vec<&str> = self.joints.iter().map(SeamJoint::name).collect();
        let mut text = format!("{name}{:.2} mm {}, {}", self.thickness_mm, self.metal, joints.join(", "));
        if result.run_force_n.is_some() {
            let _ = write!(text, "; runs {:.0} J/mm net, {:.1} mm wide", self.run_j_mm, self.fused_width_mm);
        }
        let _ = writeln!(text, "; dots {:.0} J", self.dot_j);
        if let (Some(force), Some(across)) = (result.run_force_n, result.run_across_mm) {
            text += &range("shrinkage force of a run", force, 0, "N");
            text += &range("lost across a run", across, 2, "mm");
        }
        text += &self.orders();
        text += &said("warp height of the order found", &result.warp_height_mm.words(2));
        let _ = writeln!(text, "oil-canning: {}; {}", if result.oil_cans { "yes" } else { "no" }, result.oil_canning);
        for strip in &result.planish {
            let [from, to] = strip.stations_mm;
            let (width, stretch) = (strip.width_mm, 100.0 * strip.stretch.value);
            let _ = writeln!(
                text,
                "planish weld line {}, {from:.0} to {to:.0} mm, {width:.0} mm wide: {stretch:.2} % along it",
                strip.seam
            );
        }
        if let Some(comparison) = &self.lap_against_butt {
            text += &compared(comparison);
        }
        // before the long lists, where they would be passed over
        for concern in &result.concerns {
            let grade = match concern.grade {
                Grade::Note => "note",
                Grade::Caution => "caution",
                Grade::Stop => "stop",
            };
            let _ =
                writeln!(text, "{grade}: {}: {} {} {}", concern.place, concern.what, concern.why, concern.what_to_do);
        }
        text += &self.heat.map_or_else(String::new, super::heat::text);
        text += &self.run_lengths.map_or_else(String::new, super::heat::runs_text);
        text += &steps(&result.found);
        text
    }

    fn orders(&self) -> String {
        let result = self.result;
        let of = [&result.end_to_end, &result.habit, &result.found];
        let mut text = format!("{:<34} {:>12} {:>12} {:>12}\n", "", "end to end", "habit", "found");
        let mut line = |name: &str, value: &dyn Fn(&OrderFigures) -> String| {
            let [a, b, c] = of.map(value);
            let _ = writeln!(text, "{name:<34} {a:>12} {b:>12} {c:>12}");
        };
        let margin = |value: Option<f64>| value.map_or_else(|| "no push".to_owned(), |value| format!("{value:.2}"));
        line("gap beyond its limit, mm", &|f| format!("{:.2}", f.score.gap_excess_mm));
        line("least buckling margin on the way", &|f| margin(f.least_margin));
        line("buckling margin at the end", &|f| margin(f.margin.map(|m| m.middle)));
        let rests = |value: Option<f64>| value.map_or_else(|| "no rest".to_owned(), |value| format!("{value:.2}"));
        line("warp height, mm", &|f| rests(f.warp_height_mm));
        line("deflection, root mean square, mm", &|f| rests(f.rms_mm));
        line("pitch of dots, mm", &|f| format!("{:.0}", f.pitch_mm));
        line("longest run, mm", &|f| f.run_mm.map_or_else(|| "none".to_owned(), |run| format!("{run:.0}")));
        line("heat, kJ", &|f| format!("{:.1}", f.heat_j / 1000.0));
        line("arc and moving, min", &|f| format!("{:.1}", f.table.work_s / 60.0));
        line("pauses, min", &|f| format!("{:.1}", f.table.pauses_s / 60.0));
        line("warmest start without pauses, °C", &|f| format!("{:.0}", f.table.warmest_without_pauses_c));
        text += "end to end is in one go, nobody waits; in the others each waits until its place is cool enough for a hand\n";
        for (name, f) in ["end to end", "habit", "found"].into_iter().zip(of) {
            if f.warp_height_mm.is_none() {
                let _ = writeln!(text, "{name}: {}", f.no_rest_words());
            }
        }
        for (name, f) in ["end to end", "habit", "found"].into_iter().zip(of) {
            if let Some(out) = f.gap_out {
                let _ = writeln!(text, "{name}: {}", out.words());
            }
        }
        if let Some(given_up) = result.found.given_up_against(&result.habit) {
            let _ = writeln!(text, "{given_up}");
        }
        let every = if result.exhaustive { ", all there are" } else { "" };
        let _ =
            writeln!(text, "orders tried {}{every}; {:.0} orders a minute", result.orders_tried, self.orders_a_minute);
        text
    }
}

fn range(name: &str, of: Range, decimals: usize, unit: &str) -> String {
    let Range { low, middle, high } = of;
    format!("{name:<34} {middle:>12.decimals$} {unit} ({low:.decimals$} to {high:.decimals$})\n")
}

fn said(name: &str, words: &str) -> String {
    format!("{name:<34} {words}\n")
}

fn compared(comparison: &Comparison) -> String {
    let mut text = said("warp height, butt", &comparison.butt_height_mm.words(2));
    text += &said("warp height, lap", &comparison.lap_height_mm.words(2));
    let name = "butt less lap, both by the habit";
    text += &match comparison.height_difference_mm {
        Some(less) => range(name, less, 2, "mm"),
        None => said(name, "cannot be told: one of them has no resting shape for part of the spread"),
    };
    if let Some(same) = comparison.at_one_share {
        let mm = |height: Option<f64>| height.map_or_else(|| "no rest".to_owned(), |mm| format!("{mm:.2} mm"));
        let words = format!("butt {}, lap {}", mm(same.butt_mm), mm(same.lap_mm));
        text += &said(&format!("plugs at a run's share, {:.3}", same.share), &words);
    }
    for (name, heat_j) in [("heat, butt", comparison.butt_heat_j), ("heat, lap, in dots", comparison.lap_heat_j)] {
        let _ = writeln!(text, "{name:<34} {:>12.1} kJ", heat_j / 1000.0);
    }
    text
}

fn steps(found: &OrderFigures) -> String {
    let mut text =
        String::from("order found: what, weld line, from, to (mm), pause (s), start (°C), gap change before (mm)\n");
    for step in &found.table.steps {
        let [from, to] = step.stations_mm;
        let gap = step.gap_change_mm.map_or_else(|| "joined".to_owned(), |[low, high]| format!("{low:+.2} {high:+.2}"));
        let (number, kind, seam) = (step.number, step.kind.name(), step.seam);
        let _ = writeln!(
            text,
            "{number:>4} {kind:<5} {seam:>2} {from:>8.1} {to:>8.1} {:>6.0} {:>6.0}  {gap}",
            step.pause_s, step.start_c
        );
    }
    text
}
