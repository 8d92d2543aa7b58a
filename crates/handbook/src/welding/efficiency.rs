//! How much of an arc's power enters the work.
//!
//! Two numbers exist for one arc (X9): the convention by which procedures are written, and what is measured. Heat flow and
//! shrinkage want the measured one; a welding procedure is compared by the convention.

use crate::shop_rules::HeatProcess;
use crate::working::Source;
use serde::{Deserialize, Serialize};

/// Arc welding process.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ArcProcess {
    /// Submerged arc.
    SubmergedArc,
    /// Covered electrode by hand.
    ManualMetalArc,
    /// Gas-shielded solid wire, inert or active gas.
    GasShieldedWire,
    /// Flux-cored wire.
    FluxCoredWire,
    /// Tungsten inert gas.
    Tig,
    /// Plasma.
    Plasma,
}

/// Share of a tungsten arc's power as the literature has it, all of it (W3).
pub const TIG_LITERATURE: [f64; 2] = [0.36, 0.90];

/// Share of the power that enters the work.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Efficiency {
    /// The value used.
    pub value: f64,
    /// Least and most.
    pub range: [f64; 2],
    /// Where it is from.
    pub source: Source,
}

impl ArcProcess {
    /// Thermal efficiency by which procedures are written (W2).
    pub const fn by_convention(self) -> f64 {
        match self {
            Self::SubmergedArc => 1.0,
            Self::ManualMetalArc | Self::GasShieldedWire | Self::FluxCoredWire => 0.8,
            Self::Tig | Self::Plasma => 0.6,
        }
    }

    /// [`ArcProcess::by_convention`] with its source.
    pub const fn convention(self) -> Efficiency {
        let value = self.by_convention();
        let source = Source::standard("EN 1011-1, as TWI and a steelmaker give it", "W2");
        Efficiency { value, range: [value, value], source }
    }

    /// What is measured (W3): tungsten arc 0.78 (0.73 to 0.82), consumable wire 0.84; none where nothing was read.
    pub const fn measured(self) -> Option<Efficiency> {
        match self {
            Self::Tig => Some(Efficiency {
                value: 0.78,
                range: [0.73, 0.82],
                source: Source::text(
                    "IIW XII-2070-12 (Stenbacka and others), electrode negative; literature 0.36 to 0.90",
                    "W3",
                ),
            }),
            Self::GasShieldedWire => Some(Efficiency {
                value: 0.84,
                range: [0.80, 0.88], // ± 5 %, as the spread of the tungsten arc: the paper's own spread was not read
                source: Source::text(
                    "DuPont and Marder 1995, consumable electrode; spread taken from the tungsten arc",
                    "W3",
                ),
            }),
            _ => None,
        }
    }
}

impl HeatProcess {
    /// Share of the power that enters the work, as heat flow wants it: measured (W3), and for a flame the middle of its
    /// range (W5, from memory).
    pub fn heat_flow_efficiency(self) -> Efficiency {
        let measured = match self {
            Self::Tig => ArcProcess::Tig.measured(),
            Self::WireInDots => ArcProcess::GasShieldedWire.measured(),
            Self::OxyAcetylene => None,
        };
        measured.unwrap_or(Efficiency {
            value: 0.525,
            range: [0.25, 0.8],
            source: Source::text("welding textbooks, oxy-fuel 0.25 to 0.8 (from memory)", "W5"),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_value_lies_in_its_range_and_measured_is_not_the_convention() {
        for process in [HeatProcess::Tig, HeatProcess::WireInDots, HeatProcess::OxyAcetylene] {
            let Efficiency { value, range: [low, high], .. } = process.heat_flow_efficiency();
            assert!(low < value && value < high && high < 1.0, "{process:?}");
        }
        let tig = ArcProcess::Tig.measured().unwrap();
        assert!(tig.range[0] > ArcProcess::Tig.by_convention(), "X9: 0.6 is a convention");
        assert_eq!(ArcProcess::Plasma.measured(), None);
    }
}
