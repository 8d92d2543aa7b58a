//! Net heat that is usual, and the caution when a heat is not (W34, H14).

use crate::concern::{Concern, Grade};
use crate::error::{RuleError, thickness, within};
use crate::shop_rules::HeatProcess;
use serde::Serialize;

/// Sheet for which the envelope is given.
pub const ENVELOPE_SHEET_MM: f64 = 0.9;

/// What manual TIG on 0.9 mm steel usually runs at.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ManualTig {
    /// Current.
    pub current_a: [f64; 2],
    /// Voltage.
    pub voltage_v: [f64; 2],
    /// Travel.
    pub travel_mm_s: [f64; 2],
}

/// W34 (from memory; policy): 25 to 45 A, 9 to 12 V, 1.5 to 3 mm/s.
pub const MANUAL_TIG_0_9_MM: ManualTig =
    ManualTig { current_a: [25.0, 45.0], voltage_v: [9.0, 12.0], travel_mm_s: [1.5, 3.0] };

impl HeatProcess {
    /// Name as printed.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Tig => "TIG",
            Self::WireInDots => "gas-shielded wire in dots",
            Self::OxyAcetylene => "oxy-acetylene",
        }
    }
}

/// Usual net heat on steel of a thickness, J/mm: H14 times t/0.9, because the heat that melts a line of one width through the
/// sheet is in proportion to the thickness (W8).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn usual_net_heat_j_mm(process: HeatProcess, thickness_mm: f64) -> Result<[f64; 2], RuleError> {
    let t = thickness(thickness_mm)?;
    Ok(process.usual_net_j_mm().map(|heat| heat * t / ENVELOPE_SHEET_MM))
}

/// The caution for a net heat outside what is usual on steel; none inside. Never a refusal.
///
/// # Errors
/// [`RuleError::OutOfRange`] when the heat or the thickness is no quantity (NaN, zero, negative).
pub fn heat_outside_envelope(
    process: HeatProcess,
    thickness_mm: f64,
    net_j_mm: f64,
) -> Result<Option<Concern>, RuleError> {
    let heat = within("net heat input", net_j_mm, f64::MIN_POSITIVE, 1e6, "J/mm")?;
    let [low, high] = usual_net_heat_j_mm(process, thickness_mm)?;
    if (low..=high).contains(&heat) {
        return Ok(None);
    }
    let (why, what_to_do) = if heat < low {
        ("so little heat does not melt through: the weld lies on top of the sheet", "check current, voltage and travel")
    } else {
        (
            "so much heat burns through thin sheet and warps it in proportion",
            "check current, voltage and travel; less current, quicker travel, shorter runs",
        )
    };
    Ok(Some(Concern {
        key: "heat-outside-usual".to_owned(),
        grade: Grade::Caution,
        place: "the weld".to_owned(),
        what: format!(
            "{heat:.0} J/mm net; {} on {} mm steel usually takes {low:.0} to {high:.0} J/mm",
            process.name(),
            // a gauge in mm has digits that nobody typed
            (thickness_mm * 1e4).round() / 1e4
        ),
        why: why.to_owned(),
        what_to_do: what_to_do.to_owned(),
        lifted_by: None,
        source: "H14: common practice, no source; in proportion to the thickness".to_owned(),
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn outside_is_a_caution_and_no_quantity_is_refused() {
        let ask = |heat| heat_outside_envelope(HeatProcess::Tig, 0.9, heat);
        assert_eq!(ask(100.0), Ok(None));
        for heat in [10.0, 400.0] {
            assert_eq!(ask(heat).unwrap().unwrap().grade, Grade::Caution);
        }
        for heat in [0.0, -5.0, f64::NAN, f64::INFINITY] {
            assert!(ask(heat).is_err(), "{heat}");
        }
        assert!(heat_outside_envelope(HeatProcess::Tig, 0.0, 100.0).is_err());
    }

    #[test]
    fn the_envelope_follows_the_thickness() {
        assert_eq!(usual_net_heat_j_mm(HeatProcess::Tig, 1.8).unwrap(), [100.0, 300.0]);
    }
}
