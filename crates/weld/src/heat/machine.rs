//! The heat of a fitter's own machine: its usual heat, that of the least it gives, or that of the arc he said.

use super::{Arc, net_heat, usual_heat_from};
use crate::metal::{MetalError, MetalKind, WeldMetal};
use crate::warp::{PlannedHeat, WarpError};
use handbook::welding::HeatProcess;

/// What is said about a machine.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Machine {
    /// The least current that it holds: where that is more than the sheet usually takes, the weld gets it.
    pub least_current_a: Option<f64>,
    /// Current, voltage and travel that the fitter welds such sheet with: they go before anything usual.
    pub arc: Option<Arc>,
}

impl PlannedHeat {
    /// The heat of a fitter's machine on this sheet: of the arc that is said, else what is usual with no less than the least current. What is
    /// usual is known for steel alone.
    ///
    /// # Errors
    /// [`MetalError::NotComputed`] for another metal without an arc, never steel's figures; [`WarpError::Rule`] for figures out of range;
    /// [`WarpError::Setting`] for an arc that does not melt the sheet through.
    pub fn of_machine(
        process: HeatProcess,
        machine: &Machine,
        metal: &WeldMetal,
        thickness_mm: f64,
    ) -> Result<Self, WarpError> {
        if let Some(arc) = &machine.arc {
            let run_j_mm = net_heat(arc, process)?.value;
            return Self::of_run(process, run_j_mm, arc.travel_mm_s, metal, thickness_mm);
        }
        if metal.kind != MetalKind::Steel {
            let metal = format!("the usual heat of {}: give current, voltage and travel", metal.thermal.name);
            return Err(MetalError::NotComputed { metal }.into());
        }
        let usual = usual_heat_from(process, thickness_mm, machine.least_current_a)?;
        let heat = Self::of_run(process, usual.run.value, usual.travel_mm_s, metal, thickness_mm)?;
        Ok(Self { dot_j: usual.dot.value, dot_s: usual.dot_s, ..heat })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use handbook::materials::Material;

    fn of(machine: &Machine, process: HeatProcess, material: Material) -> Result<PlannedHeat, WarpError> {
        PlannedHeat::of_machine(process, machine, &WeldMetal::of(material).unwrap(), 0.9)
    }

    /// By hand: wire at 90 A in place of the middle of 30 to 50 A brings 90/40 of the heat, in a run (110 J/mm) as in a dot; a machine that goes
    /// down to 20 A changes nothing. TIG on 0.9 mm wants 35.4 A (W6); one that stops at 60 A brings 60/35.4 of it.
    #[test]
    fn a_machine_that_stops_higher_brings_its_own_heat() {
        let wire = |least: Option<f64>| {
            let machine = Machine { least_current_a: least, arc: None };
            of(&machine, HeatProcess::WireInDots, Material::Dc01).unwrap()
        };
        let (usual, hot) = (wire(None), wire(Some(90.0)));
        assert!((hot.run_j_mm / usual.run_j_mm - 90.0 / 40.0).abs() < 1e-9, "{hot:?}");
        assert!((hot.run_j_mm - 247.5).abs() < 0.5 && (hot.dot_j / usual.dot_j - 2.25).abs() < 1e-9, "{hot:?}");
        assert!(hot.fused_width_mm > usual.fused_width_mm);
        assert_eq!(wire(Some(20.0)), usual);
        // between the ends of what is usual the lower end moves up: 40 to 50 A, 45 in the middle
        assert!((wire(Some(40.0)).run_j_mm / usual.run_j_mm - 45.0 / 40.0).abs() < 1e-9);
        let tig = |least: Option<f64>| {
            let machine = Machine { least_current_a: least, arc: None };
            of(&machine, HeatProcess::Tig, Material::Dc01).unwrap()
        };
        assert!((tig(Some(60.0)).run_j_mm / tig(None).run_j_mm - 60.0 * 0.0254 / 0.9).abs() < 1e-9);
        assert_eq!(tig(Some(35.0)), tig(None));
    }

    /// By hand: 0.78·70 A·13 V/4 mm/s = 177.45 J/mm. Aluminium gets it only when the three are said; too little does not melt it.
    #[test]
    fn aluminium_gets_the_heat_of_the_arc_that_is_said_and_no_other() {
        let arc = Arc { current_a: 70.0, voltage_v: 13.0, travel_mm_s: 4.0 };
        let said = Machine { least_current_a: None, arc: Some(arc) };
        let heat = of(&said, HeatProcess::Tig, Material::Aluminium1050aO).unwrap();
        assert!((heat.run_j_mm - 177.45).abs() < 0.01 && (heat.travel_mm_s - 4.0).abs() < 1e-12, "{heat:?}");
        let unsaid = of(&Machine::default(), HeatProcess::Tig, Material::Aluminium1050aO).unwrap_err();
        assert!(unsaid.to_string().contains("give current, voltage and travel"), "{unsaid}");
        let weak = Machine { arc: Some(Arc { current_a: 15.0, ..arc }), ..said };
        assert!(of(&weak, HeatProcess::Tig, Material::Aluminium1050aO).is_err());
    }
}
