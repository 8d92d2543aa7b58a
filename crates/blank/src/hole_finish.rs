//! How a hole is made: full size in the flat, a pilot, or drilled through its mate.
//!
//! A hole may be off by half the play its bolt has (handbook F19). Where its place is not known as well as that, a pilot
//! is cut that the finished hole still swallows wherever it turns out to lie; where even that may miss, the hole is
//! drilled through the mate at fitting.

use crate::HoleFinish;

/// The finish of a hole of `diameter_mm` (`None` when not round) and the reason in words.
#[must_use]
pub fn hole_finish(
    reach_mm: f64,
    half_clearance_mm: Option<f64>,
    diameter_mm: Option<f64>,
    pilot_mm: f64,
) -> (HoleFinish, String) {
    let Some(half) = half_clearance_mm else {
        return (HoleFinish::FullSize, "nothing bolts through it, so it is cut full size".to_owned());
    };
    if reach_mm <= half {
        let why = format!("its place is known to ±{reach_mm:.2} mm and the bolt has ±{half:.2} mm of play: full size");
        return (HoleFinish::FullSize, why);
    }
    let short = format!("its place is known to ±{reach_mm:.2} mm only and the bolt has ±{half:.2} mm of play");
    match diameter_mm {
        Some(diameter) if reach_mm + pilot_mm / 2.0 <= diameter / 2.0 => {
            (HoleFinish::Pilot, format!("{short}: {pilot_mm} mm pilot, opened after the piece has been held in place"))
        }
        _ => {
            (HoleFinish::ThroughMate, format!("{short}, and a pilot could miss it: drill through the mate at fitting"))
        }
    }
}

impl HoleFinish {
    /// Diameter that is cut in the flat of a hole whose finished diameter is given (`None` when it is not round).
    pub(crate) fn cut_diameter_mm(self, diameter_mm: Option<f64>, pilot_mm: f64) -> Option<f64> {
        match self {
            Self::FullSize => diameter_mm,
            Self::Pilot => diameter_mm.map(|_| pilot_mm),
            Self::ThroughMate | Self::AfterForming => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// M6 in a medium 6.6 mm hole (ISO 273, handbook F19): 0.3 mm to each side.
    #[test]
    fn reach_against_half_the_clearance_decides() {
        assert_eq!(hole_finish(0.3, Some(0.3), Some(6.6), 3.0).0, HoleFinish::FullSize);
        assert_eq!(hole_finish(0.5, Some(0.3), Some(6.6), 3.0).0, HoleFinish::Pilot);
        assert_eq!(hole_finish(1.8, Some(0.3), Some(6.6), 3.0).0, HoleFinish::Pilot);
        assert_eq!(hole_finish(1.9, Some(0.3), Some(6.6), 3.0).0, HoleFinish::ThroughMate);
        assert_eq!(hole_finish(5.0, None, Some(20.0), 3.0).0, HoleFinish::FullSize);
        assert_eq!(hole_finish(0.5, Some(0.3), None, 3.0).0, HoleFinish::ThroughMate);
    }
}
