//! What a process usually brings into thin steel sheet, for a fitter who has not said his settings.
//!
//! One place for papers and warp: TIG by its current (W6) and the middle of W34; wire in dots by H13 and H14; gas by H14. Estimates all.

use super::{Arc, net_heat, within};
use handbook::welding::{
    FLAME_TRAVEL_MM_S, HeatProcess, MANUAL_TIG_0_9_MM, TACK_S, TIG_LITERATURE, WIRE_WELD_THIN_SHEET, steel_current,
    usual_net_heat_j_mm,
};
use handbook::{RuleError, Source, Working};

/// Usual heat of a process.
#[derive(Debug, Clone, PartialEq)]
pub struct UsualHeat {
    /// Current, where the sheet decides it (TIG), or the least of the machine where that is more.
    pub current: Option<Working>,
    /// Currents to try, least and most; none of a flame.
    pub current_a: Option<[f64; 2]>,
    /// The machine brings more than is usual, because it does not go lower.
    pub raised: bool,
    /// Net heat of a run, J/mm.
    pub run: Working,
    /// Travel along a run, mm/s.
    pub travel_mm_s: f64,
    /// Net heat of a dot, J.
    pub dot: Working,
    /// How long the dot takes, s.
    pub dot_s: f64,
}

const fn middle([low, high]: [f64; 2]) -> f64 {
    0.5 * (low + high)
}

/// Usual heat of a process on steel sheet.
///
/// # Errors
/// [`RuleError`]: a thickness for which the rules say nothing.
pub fn usual_heat(process: HeatProcess, thickness_mm: f64) -> Result<UsualHeat, RuleError> {
    usual_heat_from(process, thickness_mm, None)
}

/// Usual heat of a process on steel sheet from a machine that goes no lower than a current: what is usual below that is out of its reach, and the heat
/// grows in proportion.
///
/// # Errors
/// As [`usual_heat`]; a least current that is none.
pub fn usual_heat_from(
    process: HeatProcess,
    thickness_mm: f64,
    least_current_a: Option<f64>,
) -> Result<UsualHeat, RuleError> {
    let least_a =
        least_current_a.map_or(Ok(0.0), |least| within("least current of the machine", least, [1.0, 2000.0], "A"))?;
    match process {
        HeatProcess::Tig => {
            let wanted = steel_current(thickness_mm)?;
            let usual = MANUAL_TIG_0_9_MM;
            let travel_mm_s = middle(usual.travel_mm_s);
            let raised = least_a > wanted.value;
            let times = if raised { least_a / wanted.value } else { 1.0 };
            let current = if raised { least_current(least_a, &wanted) } else { wanted };
            let arc = Arc { current_a: current.value, voltage_v: middle(usual.voltage_v), travel_mm_s };
            // the current is known and the efficiency nearly; how fast a hand goes is not
            let [low, high] = usual_net_heat_j_mm(process, thickness_mm)?;
            let run = net_heat(&arc, process)?.reach(0.5 * (high - low) * times);
            let dot = dot_of_run(&run, travel_mm_s);
            let current_a = Some([current.value; 2]);
            Ok(UsualHeat { current: Some(current), current_a, raised, run, travel_mm_s, dot, dot_s: TACK_S })
        }
        HeatProcess::WireInDots => {
            let usual = WIRE_WELD_THIN_SHEET;
            let (usual_a, voltage_v, dot_s) = (middle(usual.current_a), middle(usual.voltage_v), middle(usual.dot_s));
            let raised = least_a > usual.current_a[0];
            let span_a = usual.current_a.map(|end| if raised && end < least_a { least_a } else { end });
            let current_a = middle(span_a);
            let mut run = middle_of_usual(process, thickness_mm, "averaged over the seam, ")?;
            if raised {
                run = at_current(run, current_a, usual_a);
            }
            let dot = dot_heat(process, span_a, voltage_v, dot_s);
            // so fast that dot after dot brings the heat of the seam
            let travel_mm_s = dot.value / dot_s / run.value;
            Ok(UsualHeat { current: None, current_a: Some(span_a), raised, run, travel_mm_s, dot, dot_s })
        }
        HeatProcess::OxyAcetylene => {
            let run = middle_of_usual(process, thickness_mm, "")?;
            let dot = dot_of_run(&run, FLAME_TRAVEL_MM_S);
            let travel_mm_s = FLAME_TRAVEL_MM_S;
            Ok(UsualHeat { current: None, current_a: None, raised: false, run, travel_mm_s, dot, dot_s: TACK_S })
        }
    }
}

/// The heat of an arc that the fitter said, on whatever metal; its reach is the spread of the literature on how much of an arc enters the work.
///
/// # Errors
/// [`RuleError::OutOfRange`] names the first quantity that is none.
pub fn heat_of_arc(process: HeatProcess, arc: &Arc) -> Result<UsualHeat, RuleError> {
    let run = net_heat(arc, process)?;
    let k = process.heat_flow_efficiency().value;
    let [low, high] = TIG_LITERATURE;
    let reach = 0.5 * (high - low) / k * run.value;
    let run = run.reach(reach);
    let dot = dot_of_run(&run, arc.travel_mm_s);
    let current_a = Some([arc.current_a; 2]);
    Ok(UsualHeat { current: None, current_a, raised: false, run, travel_mm_s: arc.travel_mm_s, dot, dot_s: TACK_S })
}

fn least_current(least_a: f64, wanted: &Working) -> Working {
    let source = Source::measured("said of this machine");
    Working::new("starting current", least_a, "A", "the least that this machine gives", source).with(
        "I0",
        "current that the sheet takes (W6)",
        wanted.value,
        "A",
    )
}

/// Heat in proportion to a current that is more than the usual.
fn at_current(run: Working, current_a: f64, usual_a: f64) -> Working {
    let times = current_a / usual_a;
    let (value, reach) = (run.value * times, run.reach.unwrap_or(0.0) * times);
    let formula = format!("{}, times I/I0: the machine goes no lower", run.formula);
    Working { value, formula: formula.into(), ..run }
        .with("I", "middle of the currents it can be set to", current_a, "A")
        .with("I0", "middle of the usual currents", usual_a, "A")
        .reach(reach)
}

fn middle_of_usual(process: HeatProcess, thickness_mm: f64, how: &str) -> Result<Working, RuleError> {
    let [low, high] = usual_net_heat_j_mm(process, thickness_mm)?;
    let formula = format!("middle of what is usual, {how}in proportion to the thickness");
    let heat = Working::new("net heat input", middle([low, high]), "J/mm", formula, Source::common_practice("H14"));
    Ok(heat.with("t", "thickness", thickness_mm, "mm").reach(0.5 * (high - low)))
}

fn dot_of_run(run: &Working, travel_mm_s: f64) -> Working {
    let source = Source::common_practice("H13");
    Working::new("heat of one tack", run.value * travel_mm_s * TACK_S, "J", "q·v·τ", source)
        .with("q", "heat of a run", run.value, "J/mm")
        .with("v", "travel", travel_mm_s, "mm/s")
        .with("τ", "length of the tack", TACK_S, "s")
}

/// A dot at the middle of the settings that are usual (H13); its reach is half the spread between the least and the most of all of them.
fn dot_heat(process: HeatProcess, span_a: [f64; 2], voltage_v: f64, dot_s: f64) -> Working {
    let efficiency = process.heat_flow_efficiency();
    let current_a = middle(span_a);
    let value = efficiency.value * current_a * voltage_v * dot_s;
    let usual = WIRE_WELD_THIN_SHEET;
    let at = |end: usize| efficiency.range[end] * span_a[end] * usual.voltage_v[end] * usual.dot_s[end];
    let reach = 0.5 * (at(1) - at(0));
    Working::new("heat of one dot", value, "J", "k·U·I·τ", efficiency.source)
        .with("k", "share of the power that enters the work", efficiency.value, "")
        .with("U", "voltage", voltage_v, "V")
        .with("I", "current", current_a, "A")
        .with("τ", "length of the dot", dot_s, "s")
        .reach(reach)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// H13: 30 to 50 A, 14 to 17 V, dots of 0.5 to 1 s at 0.80 to 0.88 of the power (by hand: 168 to 748 J).
    #[test]
    fn a_dot_of_wire_lies_between_the_ends_of_its_settings() {
        let dot = usual_heat(HeatProcess::WireInDots, 0.9).unwrap().dot;
        assert!((dot.value - 391.0).abs() < 1.0 && (dot.reach.unwrap() - 290.0).abs() < 5.0, "{dot:?}");
    }

    /// H14: TIG 50 to 150 J/mm, wire in dots 60 to 160, gas 150 to 400 on 0.9 mm (estimates).
    #[test]
    fn the_usual_heat_lies_in_the_usual_range() {
        for process in [HeatProcess::Tig, HeatProcess::WireInDots, HeatProcess::OxyAcetylene] {
            let usual = usual_heat(process, 0.9).unwrap();
            let [low, high] = usual_net_heat_j_mm(process, 0.9).unwrap();
            assert!((low..=high).contains(&usual.run.value), "{process:?}: {}", usual.run.value);
            let power_w = usual.dot.value / usual.dot_s;
            let reach = usual.run.reach.unwrap();
            assert!(reach > 0.3 * usual.run.value, "{process:?}: nobody knows it closer than that, {reach}");
            assert!((power_w - usual.run.value * usual.travel_mm_s).abs() < 1e-9, "a dot and a run burn alike");
        }
    }
}
