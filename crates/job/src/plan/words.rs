//! Lengths in the fitter's unit.

use crate::file::Fitter;
use units::{Denominator, Shown, format_mm};

/// Prints lengths for the person who fits the piece.
#[derive(Debug, Clone, Copy)]
pub(super) struct Words {
    shown: Shown,
}

impl Words {
    pub(super) fn of(fitter: &Fitter) -> Self {
        let denominator = match fitter.inch_denominator {
            0..=16 => Denominator::Sixteenths,
            17..=32 => Denominator::ThirtySeconds,
            _ => Denominator::SixtyFourths,
        };
        let shown =
            if fitter.unit.is_metric() { Shown::Millimetres { decimals: 1 } } else { Shown::Inches { denominator } };
        Self { shown }
    }

    /// For the job card: the shop's unit, millimetres for every metric one.
    pub(super) fn of_card(unit: units::LengthUnit) -> Self {
        Self::of(&Fitter { unit, ..Fitter::default() })
    }

    /// A length in the fitter's unit.
    pub(super) fn length(&self, mm: f64) -> String {
        self.shown.length(mm)
    }

    /// Thickness or hole: mm, which drills and sheet are sold by, with thousandths of an inch where the fitter measures in inches: a fraction would be off by
    /// half of it.
    pub(super) fn small(&self, mm: f64) -> String {
        match self.shown {
            Shown::Millimetres { .. } => format_mm(mm, 1),
            _ => format!("{} ({:.3} in)", format_mm(mm, 1), mm / units::gauge::MM_PER_INCH),
        }
    }

    /// A length rounded to what is printed, mm: sums of printed figures then agree on paper.
    pub(super) fn rounded_mm(&self, mm: f64) -> f64 {
        let step = 2.0 * self.shown.rounding_mm();
        (mm / step).round() * step
    }
}
