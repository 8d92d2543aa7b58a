//! The heat of runs and dots: what is given, and what is usual.

use super::WarpError;
use crate::heat::{Machine, MovingSource, melts_plug_j};
use crate::metal::WeldMetal;
use crate::order::EventKind;
use handbook::welding::{HeatProcess, LEAST_HALF_POOL_T, TACK_MM, TACK_S};

/// The panel before it is welded, °C.
const START_C: f64 = 20.0;

/// The heat of runs and dots, net (in the sheet).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlannedHeat {
    /// Process; `None` when only the heat was measured.
    pub process: Option<HeatProcess>,
    /// Of a run.
    pub run_j_mm: f64,
    /// Travel along a run.
    pub travel_mm_s: f64,
    /// Width of the fused strip of a run.
    pub fused_width_mm: f64,
    /// Of a tack; of a plug or spot too, where it was given.
    pub dot_j: f64,
    /// The heat of a dot was given: a plug takes as much. Else a plug takes at least what melts it ([`Self::plug_j`]).
    pub dot_given: bool,
    /// How long a dot takes.
    pub dot_s: f64,
    /// Diameter of a tack.
    pub tack_mm: f64,
    /// Both sheets of a plug together, where they differ; else twice the thickness.
    pub sheets_mm: Option<f64>,
}

impl PlannedHeat {
    /// The heat of a run at a travel, with the width of its pool (W12) as fused strip, and dots of a second with the same arc.
    ///
    /// # Errors
    /// [`WarpError::Rule`] for figures out of range.
    pub fn of_run(
        process: HeatProcess,
        run_j_mm: f64,
        travel_mm_s: f64,
        metal: &WeldMetal,
        thickness_mm: f64,
    ) -> Result<Self, WarpError> {
        let source = MovingSource::new(&metal.thermal, thickness_mm, run_j_mm * travel_mm_s, travel_mm_s, START_C)?;
        let half_width_mm = source.pool_half_width_mm()?.value;
        if half_width_mm < LEAST_HALF_POOL_T * thickness_mm {
            let need = "this does not melt the sheet through: give more current or less travel";
            return Err(WarpError::Setting { name: "heat of a run in J/mm", got: run_j_mm, need });
        }
        Ok(Self {
            process: Some(process),
            run_j_mm,
            travel_mm_s,
            fused_width_mm: 2.0 * half_width_mm,
            dot_j: run_j_mm * travel_mm_s * TACK_S,
            dot_given: false,
            dot_s: TACK_S,
            tack_mm: TACK_MM,
            sheets_mm: None,
        })
    }

    /// What is usual for a process on this sheet ([`usual_heat`](crate::heat::usual_heat)): known for steel alone.
    ///
    /// # Errors
    /// [`MetalError::NotComputed`](crate::metal::MetalError::NotComputed) for another metal, never steel's figures; [`WarpError::Rule`] for a thickness out of range.
    pub fn usual(process: HeatProcess, metal: &WeldMetal, thickness_mm: f64) -> Result<Self, WarpError> {
        Self::of_machine(process, &Machine::default(), metal, thickness_mm)
    }

    /// Heat of a plug or spot through two sheets, J: as given; else the heat of a dot, or what melts a disc of its diameter through both, with
    /// what flows away meanwhile, whichever is more.
    #[must_use]
    pub fn plug_j(&self, metal: &WeldMetal, thickness_mm: f64, dot_mm: f64) -> f64 {
        if self.dot_given {
            return self.dot_j;
        }
        self.dot_j.max(melts_plug_j(&metal.thermal, dot_mm, self.sheets_mm.unwrap_or(2.0 * thickness_mm)))
    }

    /// Heat of one weld, J, and how long its arc burns, s: of a run of a length, a tack, or a plug of a diameter through its two sheets. A plug that
    /// takes more heat than a dot takes longer with the same arc.
    #[must_use]
    pub fn of_weld(&self, kind: EventKind, length_mm: f64, dot_mm: Option<f64>, sheet: (&WeldMetal, f64)) -> [f64; 2] {
        let (metal, thickness_mm) = sheet;
        match (kind, dot_mm) {
            (EventKind::Run, _) => [self.run_j_mm * length_mm, length_mm / self.travel_mm_s],
            (EventKind::Plug, Some(dot_mm)) => {
                let heat_j = self.plug_j(metal, thickness_mm, dot_mm);
                [heat_j, heat_j * self.dot_s / self.dot_j]
            }
            (EventKind::Tack | EventKind::Plug, _) => [self.dot_j, self.dot_s],
        }
    }
}
