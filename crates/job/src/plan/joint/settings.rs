//! Settings of the fitter's own machine: starting values, heat for each mm, how long to wait.
//!
//! Usual ones for steel only, and only once somebody has tried the metal: aluminium gets the heat of the arc that the fitter says, never settings of steel.

use super::Asked;
use super::advice::{material, new_metal, old_metal};
use super::machine;
use crate::file::{Kit, ShieldingGas};
use crate::plan::{Decides, OrderBy, Setting};
use handbook::joints::{BRIGHT_BACK_MM, JointKind as Book, spot_settings, spot_settings_at_high_force};
use handbook::materials::Material;
use handbook::welding::{
    FILLER_1_6_MM_CURRENT_A, HeatProcess, INTER_RUN_C, MANUAL_TIG_0_9_MM, SurfaceLoss, WIRE_WELD_THIN_SHEET,
    heat_outside_envelope, steel_current, tungsten_for, usual_net_heat_j_mm,
};
use handbook::{Concern, RuleError, Working};
use weld::heat::reach::{Beside, SeamWithPool, clear_distance_mm, harm};
use weld::heat::{
    Arc, DotHeat, MovingSource, Seam, SeamLoss, UsualHeat, heat_of_arc, net_heat, plug_heat, usual_heat,
    usual_heat_from,
};
use weld::heat_map::surface_of;
use weld::metal::{MetalKind, WeldMetal};

/// Temperature of the shop.
const AIR_C: f64 = 20.0;
/// Half the width of a fused line in thin sheet (W12: 3 mm).
const HALF_POOL_MM: f64 = 3.0;

/// What is said about the machine.
#[derive(Default)]
pub(super) struct Set {
    pub(super) settings: Vec<Setting>,
    pub(super) notes: Vec<String>,
    pub(super) workings: Vec<Working>,
    /// The machine cannot go low enough.
    pub(super) too_hot: Option<Concern>,
    /// Whose order the welds have.
    order_by: OrderBy,
}

impl Set {
    fn put(&mut self, what: &str, to: impl Into<String>) {
        self.settings.push(Setting { what: what.into(), to: to.into(), decides: None });
    }

    /// One of the settings to begin with.
    fn put_first(&mut self, decides: Decides, what: &str, to: impl Into<String>) {
        self.settings.push(Setting { what: what.into(), to: to.into(), decides: Some(decides) });
    }
}

/// Number of the welding process (ISO 4063, handbook T16; 114 from memory); `None` without heat or without a welder.
pub(super) fn process(asked: &Asked<'_>) -> Option<u16> {
    if !asked.made.resolved.joint.kind.is_welded() {
        return None;
    }
    match (asked.job.fitter.kit, asked.job.fitter.gas) {
        (Kit::GasShieldedWire, Some(ShieldingGas::None)) => Some(114),
        (Kit::GasShieldedWire, Some(ShieldingGas::Argon)) => Some(131),
        (Kit::GasShieldedWire, _) => Some(135),
        (Kit::Tig, _) => Some(141),
        (Kit::OxyAcetylene, _) => Some(311),
        (Kit::Spot, _) => Some(21),
        (Kit::None, _) => None,
    }
}

pub(super) fn of(asked: &Asked<'_>, order_by: OrderBy) -> Set {
    let mut set = Set { order_by, ..Set::default() };
    if !asked.made.resolved.joint.kind.is_welded() {
        return set;
    }
    let old = old_metal(asked.section).unwrap_or_default();
    let Some(old) = old else {
        set.notes.push("settings are given when it is known what the old panel is: try a magnet on bare metal".into());
        return set;
    };
    let metal = machine::metal(asked.section, asked.made);
    match metal {
        Some(metal) if metal.kind == MetalKind::Aluminium => {
            aluminium(asked, &metal, &mut set);
            return set;
        }
        Some(_) => {}
        None => {
            let new_is_steel = new_metal(asked.made).is_steel();
            set.notes.push(if old.is_steel() && !new_is_steel {
                "not computed for this metal: the new sheet is not plain or zinc-coated steel".into()
            } else {
                "not computed for this metal".into()
            });
            return set;
        }
    }
    if asked.section.joint.zinc_coated.is_none() {
        set.notes.push("nobody has said whether the old panel is zinc coated: treat it as coated, strip it bright, open air or extraction; zinc fume brings fever hours later (C7)".into());
    }
    let joint = &asked.made.resolved.joint;
    let thin_mm = joint.old_thickness_mm.min(joint.new_thickness_mm);
    // a flame has no current to go below
    let process = asked.job.fitter.kit.process().filter(|process| *process != HeatProcess::OxyAcetylene);
    set.too_hot = process.and_then(|process| least_heat(asked, process, thin_mm).ok().flatten());
    // a rule that does not hold for this sheet leaves its line out; the rest stands
    let said = match asked.job.fitter.kit {
        Kit::Tig => tig(asked, thin_mm, &mut set),
        Kit::GasShieldedWire => wire(asked, thin_mm, &mut set),
        Kit::OxyAcetylene => flame(asked, thin_mm, &mut set),
        Kit::Spot => spot(thin_mm, &mut set),
        Kit::None => {
            set.notes.push(
                "there is no welder in this kit: let a welder join it, or ask us for a joint without heat where no load is carried".into(),
            );
            Ok(())
        }
    };
    if let Err(error) = said {
        set.notes.push(format!("no starting values for {} sheet: {error}", asked.words.small(thin_mm)));
    }
    set
}

fn tig(asked: &Asked<'_>, thin_mm: f64, set: &mut Set) -> Result<(), RuleError> {
    let machine = machine::machine(&asked.job.fitter);
    if let Some(arc) = &machine.arc {
        set.put_first(
            Decides::Heat,
            "current",
            format!("{:.0} A, electrode negative, as the fitter says", arc.current_a),
        );
        if let Some(tungsten) = tungsten_for(arc.current_a)? {
            set.put("tungsten", format!("{:.1} mm, ground to a point along its length", tungsten.diameter_mm));
        }
        set.put("gas", ARGON);
        own_travel(asked, arc, set);
        // an arc that melts nothing has no pauses: say why
        if let Some(Err(why)) = machine::metal(asked.section, asked.made)
            .map(|metal| machine::heat(&asked.job.fitter, &asked.made.resolved.joint, &metal))
        {
            set.notes.push(why);
        }
        return weld_heat(asked, HeatProcess::Tig, thin_mm, heat_of_arc(HeatProcess::Tig, arc)?, set);
    }
    let usual = usual_heat_from(HeatProcess::Tig, thin_mm, machine.least_current_a)?;
    if let Some(current) = &usual.current {
        set.put_first(Decides::Heat, "current", format!("{:.0} A, electrode negative, to start with", current.value));
        if let Some(tungsten) = tungsten_for(current.value)? {
            set.put("tungsten", format!("{:.1} mm, ground to a point along its length", tungsten.diameter_mm));
        }
        let [low, _] = FILLER_1_6_MM_CURRENT_A;
        let rod = if current.value < low { "1.0 mm" } else { "1.0 to 1.6 mm" };
        // a plug is filled; edges that meet melt together
        let where_used = if plug_mm(asked).is_some() {
            "fed until the hole is level"
        } else {
            "none where the edges meet without a gap"
        };
        set.put("filler rod", format!("{rod}, steel, clean; {where_used}"));
        machine_goes_low_enough(asked, steel_current(thin_mm)?.value, set);
        set.workings.push(current.clone());
    }
    set.put("gas", ARGON);
    if plug_mm(asked).is_none() {
        set.put_first(Decides::Rhythm, "travel", format!("about {:.0} mm in ten seconds", 10.0 * usual.travel_mm_s));
    }
    weld_heat(asked, HeatProcess::Tig, thin_mm, usual, set)
}

/// Gas of a tungsten arc.
const ARGON: &str = "argon, 5 to 8 L/min; let it run on until the tungsten is dark (common practice, no source)";

fn own_travel(asked: &Asked<'_>, arc: &Arc, set: &mut Set) {
    if plug_mm(asked).is_none() {
        set.put_first(
            Decides::Rhythm,
            "travel",
            format!("about {:.0} mm in ten seconds, as the fitter says", 10.0 * arc.travel_mm_s),
        );
    }
}

/// Aluminium: the heat of the arc that the fitter says, and what to type where he has not.
fn aluminium(asked: &Asked<'_>, metal: &WeldMetal, set: &mut Set) {
    let joint = &asked.made.resolved.joint;
    let heat = match machine::heat(&asked.job.fitter, joint, metal) {
        Ok(heat) => heat,
        Err(why) => return set.notes.push(why),
    };
    let (Some(process), Some(arc)) = (heat.process, machine::machine(&asked.job.fitter).arc) else { return };
    set.put_first(Decides::Heat, "current", format!("{:.0} A, alternating, as the fitter says", arc.current_a));
    set.put("gas", ARGON);
    set.put(
        "filler rod",
        "of the same alloy or as its maker says, 1.6 mm or thinner, brushed and degreased (common practice, no source)",
    );
    own_travel(asked, &arc, set);
    set.notes.push("aluminium: brush with a stainless brush kept for it, degrease, weld the same hour; it shows no colour before it drops through (common practice, no source)".into());
    let thin_mm = joint.old_thickness_mm.min(joint.new_thickness_mm);
    let said = heat_of_arc(process, &arc).and_then(|heat| weld_heat(asked, process, thin_mm, heat, set));
    if let Err(error) = said {
        set.notes.push(format!("no heat for {} sheet: {error}", asked.words.small(thin_mm)));
    }
}

fn wire(asked: &Asked<'_>, thin_mm: f64, set: &mut Set) -> Result<(), RuleError> {
    let usual = WIRE_WELD_THIN_SHEET;
    let fitter = &asked.job.fitter;
    let span = |[low, high]: [f64; 2], unit: &str| format!("{low} to {high} {unit}");
    if !(0.75..=1.05).contains(&thin_mm) {
        set.notes.push(format!(
            "the starting values are for 0.8 to 1.0 mm; {} wants {}",
            asked.words.small(thin_mm),
            if thin_mm < 0.75 { "less of everything: shorter dots first" } else { "a step more" }
        ));
    }
    let cored = fitter.gas == Some(ShieldingGas::None);
    let heat = usual_heat_from(HeatProcess::WireInDots, thin_mm, machine::machine(fitter).least_current_a)?;
    let current = match heat.current_a.unwrap_or(usual.current_a) {
        [low, high] if high > low => span([low, high], "A"),
        [least, _] => format!("{least} A, the least that this machine gives"),
    };
    if !cored {
        set.put("wire", format!("{} mm", usual.wire_mm));
    }
    let gas = match fitter.gas {
        Some(ShieldingGas::CarbonDioxide) => {
            "carbon dioxide: hotter and rougher; one step lower than with an argon mix"
        }
        Some(ShieldingGas::Argon) => {
            "argon and carbon dioxide is wanted; pure argon leaves a cold, narrow bead on steel"
        }
        Some(ShieldingGas::None) => "none: flux-cored wire",
        Some(ShieldingGas::ArgonMix) | None => "argon and carbon dioxide",
    };
    set.put("gas", if cored { gas.to_owned() } else { format!("{gas}, {}", span(usual.gas_l_min, "L/min")) });
    if fitter.meter == Some(true) {
        set.put_first(Decides::Heat, "current", current);
        set.put("voltage", span(usual.voltage_v, "V"));
    } else {
        set.put_first(
            Decides::Heat,
            "step",
            "machine without a meter: the lowest or the second; try on an offcut of the same sheet",
        );
        set.put("which is about", format!("{current}, {}", span(usual.voltage_v, "V")));
    }
    if asked.made.resolved.joint.kind.is_lap() {
        set.notes.push("each weld goes through two sheets: the upper end of these values, up to a step more than for a butt; a trial on two offcuts decides".into());
    }
    let next = match set.order_by {
        OrderBy::Computed | OrderBy::ComputedHabit => "in the order of the numbers on the map",
        OrderBy::TradeHabit => "the next one far from the last",
    };
    if plug_mm(asked).is_none() {
        set.put_first(Decides::Rhythm, "dots", format!("{} each, {next}", span(usual.dot_s, "s")));
    }
    if cored {
        set.notes.push("flux-cored wire runs hotter: avoid it below 1.2 mm; borrow a gas bottle, or ask us".into());
    }
    if let Some(own_mm) = fitter.wire_mm().filter(|own_mm| !cored && *own_mm > usual.wire_mm + 0.05) {
        set.notes.push(format!(
            "the wire at hand is {own_mm} mm: it wants more current than this sheet takes; get {} mm",
            usual.wire_mm
        ));
    }
    machine_goes_low_enough(asked, usual.current_a[1], set);
    if plug_mm(asked).is_none() {
        set.put("heat of a dot", format!("about {:.0} ± {:.0} J", heat.dot.value, heat.dot.reach.unwrap_or(0.0)));
    }
    weld_heat(asked, HeatProcess::WireInDots, thin_mm, heat, set)
}

fn flame(asked: &Asked<'_>, thin_mm: f64, set: &mut Set) -> Result<(), RuleError> {
    set.put_first(Decides::Heat, "nozzle", "the smallest in the set; neutral flame, small enough not to blow the pool");
    let rod = "copper-coated steel, 1.0 to 1.6 mm";
    if plug_mm(asked).is_some() {
        set.put("filler rod", rod);
    } else {
        set.put_first(Decides::Rhythm, "filler rod", rod);
    }
    if asked.made.resolved.joint.kind == Book::Butt {
        set.put("mind", "three times the heat of TIG: short runs, planished hot");
    }
    weld_heat(asked, HeatProcess::OxyAcetylene, thin_mm, usual_heat(HeatProcess::OxyAcetylene, thin_mm)?, set)
}

fn spot(thin_mm: f64, set: &mut Set) -> Result<(), RuleError> {
    let own = spot_settings(thin_mm)?;
    set.put("tips", format!("{} mm", own.tip_mm));
    set.put_first(Decides::Hold, "force", format!("{:.0} to {:.0} N", own.force_n[0], own.force_n[1]));
    set.put_first(
        Decides::Rhythm,
        "time",
        format!("{:.0} to {:.0} cycles of 50 Hz", own.cycles_50_hz[0], own.cycles_50_hz[1]),
    );
    set.put_first(Decides::Heat, "current", format!("{:.0} to {:.0} kA", own.current_ka[0], own.current_ka[1]));
    // a gun that presses harder takes a shorter, hotter weld
    if let Ok(hard) = spot_settings_at_high_force(thin_mm) {
        let span = |[least, most]: [f64; 2]| format!("{least:.0} to {most:.0}");
        set.put(
            "where the gun presses harder",
            format!(
                "{} N, {} cycles of 50 Hz, {} kA",
                span(hard.force_n),
                span(hard.cycles_50_hz),
                span(hard.current_ka)
            ),
        );
    }
    set.notes.push("spot welder: try on two offcuts and tear them apart; a full button must pull out".into());
    Ok(())
}

/// The caution when the least that this machine gives, judged at the travel and voltage that are usual for the process, or the arc that the fitter says,
/// is more than the sheet usually takes (H14: of steel alone).
fn least_heat(asked: &Asked<'_>, process: HeatProcess, thin_mm: f64) -> Result<Option<Concern>, RuleError> {
    let machine = machine::machine(&asked.job.fitter);
    let (arc, whose) = match (machine.arc, machine.least_current_a) {
        (Some(arc), _) if material(asked.made).is_some_and(Material::is_steel) => {
            (arc, format!("the arc that the fitter says, {:.0} A,", arc.current_a))
        }
        (None, Some(current_a)) => {
            let [low_v, high_v] = match process {
                HeatProcess::Tig => MANUAL_TIG_0_9_MM.voltage_v,
                _ => WIRE_WELD_THIN_SHEET.voltage_v,
            };
            let travel_mm_s = usual_heat(process, thin_mm)?.travel_mm_s;
            let arc = Arc { current_a, voltage_v: 0.5 * (low_v + high_v), travel_mm_s };
            (arc, format!("the least this machine gives, {current_a:.0} A,"))
        }
        _ => return Ok(None),
    };
    let heat = net_heat(&arc, process)?;
    let [_, most] = usual_net_heat_j_mm(process, thin_mm)?;
    if heat.value <= most {
        return Ok(None);
    }
    let outside = heat_outside_envelope(process, thin_mm, heat.value)?;
    Ok(outside.map(|outside| Concern {
        place: asked.section.title.clone(),
        what: format!("{whose} brings {}", outside.what),
        what_to_do: "less current or quicker travel where the machine gives it; else another machine, or somebody whose machine goes lower; else the shortest dots, copper behind, and trials on offcuts first".into(),
        ..outside
    }))
}

fn machine_goes_low_enough(asked: &Asked<'_>, wanted_a: f64, set: &mut Set) {
    if let Some(least) = asked.job.fitter.least_current_a.filter(|least| *least > wanted_a) {
        set.notes.push(format!(
            "this machine does not go below {least:.0} A, and the sheet takes about {wanted_a:.0} A: it will burn through; copper behind and the shortest dots, or another machine"
        ));
    }
}

/// Diameter of the plugs of a lap; none of a joint without plugs.
fn plug_mm(asked: &Asked<'_>) -> Option<f64> {
    let joint = &asked.made.resolved.joint;
    joint.figures.as_ref().filter(|_| joint.kind.is_lap()).and_then(|figures| figures.hole_mm)
}

/// Heat of the welds, how far it harms, and how long to wait.
fn weld_heat(
    asked: &Asked<'_>,
    process: HeatProcess,
    thin_mm: f64,
    usual: UsualHeat,
    set: &mut Set,
) -> Result<(), RuleError> {
    let Some(metal) = material(asked.made).and_then(|own| WeldMetal::of(own).ok()) else { return Ok(()) };
    let loss = SeamLoss { surface: SurfaceLoss::of(surface_of(&metal)), air_c: AIR_C };
    let own_arc = usual.raised || machine::machine(&asked.job.fitter).arc.is_some();
    let (is_steel, metal) = (metal.kind == MetalKind::Steel, metal.thermal);
    if let Some(plug_mm) = plug_mm(asked) {
        let joint = &asked.made.resolved.joint;
        // a plug takes what a dot of this arc brings, and what melts it through at the least
        let melts = plug_heat(&metal, plug_mm, joint.old_thickness_mm + joint.new_thickness_mm)?;
        let heat = if melts.value > usual.dot.value { melts } else { usual.dot.clone() };
        let seconds = heat.value * usual.dot_s / usual.dot.value;
        set.put_first(
            Decides::Rhythm,
            "each plug",
            if process == HeatProcess::OxyAcetylene {
                format!(
                    "until it is molten through to the sheet behind and level in front, about {:.0} ± {:.0} J (estimate); trials on two offcuts decide",
                    heat.value,
                    heat.reach.unwrap_or(0.0)
                )
            } else {
                format!(
                    "about {seconds:.1} s of arc at these settings, {:.0} ± {:.0} J (estimate), until it is through to the sheet behind and level in front; trials on two offcuts decide",
                    heat.value,
                    heat.reach.unwrap_or(0.0)
                )
            },
        );
        // plugs near it have warmed the sheet as far as a hand can bear
        let dot = DotHeat::new(&metal, thin_mm, heat.value, INTER_RUN_C)?;
        let pause = DotHeat::new(&metal, thin_mm, heat.value, AIR_C)?.pause_s(INTER_RUN_C, &loss)?;
        set.workings.extend([usual.dot, heat]);
        let wait = format!("about {} after a single plug, longer near others", minutes(pause.value));
        return harm_and_wait(asked, &dot, (pause, wait), set);
    }
    let heat = usual.run;
    set.put("heat", format!("about {:.0} ± {:.0} J/mm net (estimate)", heat.value, heat.reach.unwrap_or(0.0)));
    if let Some(outside) = is_steel.then(|| heat_outside_envelope(process, thin_mm, heat.value)).transpose()?.flatten()
    {
        set.notes.push(outside.what);
    }
    // a heat of one's own has a pool of its own
    let half_width_mm = if own_arc {
        let power_w = heat.value * usual.travel_mm_s;
        MovingSource::new(&metal, thin_mm, power_w, usual.travel_mm_s, AIR_C)?
            .pool_half_width_mm()?
            .value
            .max(HALF_POOL_MM)
    } else {
        HALF_POOL_MM
    };
    let seam = Seam::new(&metal, thin_mm, heat.value, AIR_C)?;
    set.workings.extend([usual.dot, heat]);
    let pause = seam.pause_s(INTER_RUN_C, &loss)?;
    if asked.made.resolved.joint.kind == Book::Butt {
        set.put("run", "from one tack to the next, no longer");
    }
    let wait = format!("up to {} at one place", minutes(pause.value));
    harm_and_wait(asked, &SeamWithPool { seam: &seam, half_width_mm }, (pause, wait), set)
}

fn harm_and_wait(
    asked: &Asked<'_>,
    weld: &dyn Beside,
    (pause, wait): (Working, String),
    set: &mut Set,
) -> Result<(), RuleError> {
    let meanwhile = match set.order_by {
        OrderBy::Computed | OrderBy::ComputedHabit => "the order has its own pauses",
        OrderBy::TradeHabit => "so work elsewhere meanwhile",
    };
    set.put_first(Decides::Hold, "wait", format!("until a hand can lie on it: {wait}, {meanwhile}"));
    let clear = clear_distance_mm(weld)?;
    let harmed = harm(weld, asked.section.joint.zinc_coated == Some(true))?;
    // nothing on the same paper may be told to suffer farther out than what is cleared
    let clear_mm = harmed.iter().map(|own| own.distance.value).fold(clear.value, f64::max);
    set.put(
        "clear behind",
        format!("{} each side of the weld: wiring, foam, wax, trim, sealer", asked.words.length(clear_mm)),
    );
    let others = harmed.iter().filter(|own| own.harmed.key != "paint-marks");
    let others: Vec<String> =
        others.map(|own| format!("{} {}", own.harmed.name, asked.words.length(own.distance.value))).collect();
    if !others.is_empty() {
        set.put("also suffer, at most to", others.join("; "));
    }
    if let Some(paint) = harmed.iter().find(|own| own.harmed.key == "paint-marks") {
        set.put("paint marks", format!("out to about {} from the weld", asked.words.length(paint.distance.value)));
        set.put("what each distance is for", distances(asked, paint.distance.value, clear_mm));
        let name = "paint marks out to";
        set.workings.push(Working { name: name.into(), ..paint.distance.clone() });
    }
    set.workings.extend([pause, clear]);
    Ok(())
}

/// Three distances that stand on one paper, and what each is for.
fn distances(asked: &Asked<'_>, paint_mm: f64, clear_mm: f64) -> String {
    let write = |mm: f64| asked.words.length(mm);
    format!(
        "bright metal {} back, so that nothing burns into the weld; paint spoils out to {}, so expect to paint that far; nothing that burns or melts behind it within {}",
        write(BRIGHT_BACK_MM),
        write(paint_mm.max(BRIGHT_BACK_MM)),
        write(clear_mm)
    )
}

fn minutes(seconds: f64) -> String {
    if seconds < 90.0 {
        format!("{:.0} s", (seconds / 10.0).ceil() * 10.0)
    } else {
        format!("{:.0} min", (seconds / 60.0).ceil())
    }
}
