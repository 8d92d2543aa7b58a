//! What the fitter's machine brings, and what is still to be said before its heat is known.

use super::advice::{material, old_metal};
use crate::file::{Fitter, Kit, Section};
use crate::plan::make::Made;
use crate::resolve::JointChoice;
use handbook::joints::Metal;
use handbook::welding::{PLUG_KEEPS, PLUG_KEEPS_RANGE};
use weld::heat::{Arc, Machine};
use weld::metal::WeldMetal;
use weld::warp::PlannedHeat;

/// The machine as the heat sees it.
pub(in crate::plan) fn machine(fitter: &Fitter) -> Machine {
    let said = (fitter.current_a, fitter.voltage_v, fitter.travel_mm_s);
    let arc = match said {
        (Some(current_a), Some(voltage_v), Some(travel_mm_s)) if fitter.kit == Kit::Tig => {
            Some(Arc { current_a, voltage_v, travel_mm_s })
        }
        _ => None,
    };
    // a flame has no current to go below
    let least = fitter.least_current_a.filter(|least| fitter.kit != Kit::OxyAcetylene && *least >= 1.0);
    Machine { least_current_a: least, arc }
}

/// Heat of the fitter's machine on a metal, with both sheets of the joint. Error: what to say first, in words.
pub(in crate::plan) fn heat(fitter: &Fitter, joint: &JointChoice, metal: &WeldMetal) -> Result<PlannedHeat, String> {
    let process = fitter.kit.process().ok_or_else(|| match fitter.kit {
        Kit::Spot => "the heat of resistance spots is not worked out here; they warp least of all".to_owned(),
        _ => "there is no welder in this fitter's kit".to_owned(),
    })?;
    let machine = machine(fitter);
    if machine.arc.is_none() && !metal.material.is_steel() {
        return Err(unsaid(fitter));
    }
    let thin_mm = joint.old_thickness_mm.min(joint.new_thickness_mm);
    let heat = PlannedHeat::of_machine(process, &machine, metal, thin_mm).map_err(|error| error.to_string())?;
    Ok(PlannedHeat { sheets_mm: Some(joint.old_thickness_mm + joint.new_thickness_mm), ..heat })
}

/// The heat that is taken, in one sentence.
pub(in crate::plan) fn taken(
    fitter: &Fitter,
    heat: &PlannedHeat,
    metal: &WeldMetal,
    thin_mm: f64,
    plug_mm: Option<f64>,
) -> String {
    let machine = machine(fitter);
    let name = heat.process.map_or("the process", handbook::welding::HeatProcess::name);
    let whose = match (machine.arc, machine.least_current_a) {
        (Some(arc), _) => {
            let Arc { current_a, voltage_v, travel_mm_s } = arc;
            format!("heat of the arc that is said ({current_a} A, {voltage_v} V, {travel_mm_s} mm/s)")
        }
        (None, Some(least_a)) => {
            format!("heat as is usual for {name}, from a machine that goes no lower than {least_a} A")
        }
        (None, None) => format!("heat as is usual for {name}"),
    };
    match plug_mm {
        Some(dot_mm) if heat.plug_j(metal, thin_mm, dot_mm) <= heat.dot_j => {
            format!("{whose}: {:.0} J in a plug of {dot_mm} mm, as in any dot (an estimate)", heat.dot_j)
        }
        Some(dot_mm) => {
            let (heat_j, [low, high]) = (heat.plug_j(metal, thin_mm, dot_mm), PLUG_KEEPS_RANGE);
            format!(
                "{whose}: {heat_j:.0} J in a plug of {dot_mm} mm (an estimate: {:.0} to {:.0} J, by what stays in the plug)",
                heat_j * PLUG_KEEPS / high,
                heat_j * PLUG_KEEPS / low
            )
        }
        None => {
            format!("{whose}: {:.0} J/mm in a run, {:.0} J in a tack (H14, H13, estimates)", heat.run_j_mm, heat.dot_j)
        }
    }
}

/// What to type before the heat on aluminium is known.
pub(super) fn unsaid(fitter: &Fitter) -> String {
    if fitter.kit != Kit::Tig {
        return "aluminium: heat is worked out for TIG alone; choose TIG as the fitter's kit".to_owned();
    }
    let missing: Vec<&str> =
        [(fitter.current_a, "current"), (fitter.voltage_v, "voltage"), (fitter.travel_mm_s, "travel")]
            .into_iter()
            .filter_map(|(value, name)| value.is_none().then_some(name))
            .collect();
    format!(
        "aluminium has no usual heat: type {} of the TIG machine under \"How does it go in?\" (from a trial on an offcut), and heat, distances and pauses are worked out",
        missing.join(", ")
    )
}

/// The metal of a joint for its heat: that of the new sheet, once trials have shown the old one to be of the same kind.
pub(super) fn metal(section: &Section, made: &Made) -> Option<WeldMetal> {
    let old = old_metal(section).ok().flatten()?;
    let new = material(made)?;
    let alike = if new.is_steel() { old.is_steel() } else { old == Metal::Aluminium };
    WeldMetal::of(new).ok().filter(|_| alike)
}
