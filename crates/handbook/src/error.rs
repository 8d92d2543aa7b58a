//! What is said when a rule does not hold for the numbers it was given.

/// Why a rule gave no figure.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum RuleError {
    /// An input outside the range for which the rule holds; NaN and infinities are always outside.
    #[error("{name} is {got} {unit}; this rule holds from {min} to {max} {unit}")]
    OutOfRange {
        /// Which input.
        name: &'static str,
        /// Its value.
        got: f64,
        /// Smallest value accepted.
        min: f64,
        /// Largest value accepted.
        max: f64,
        /// Unit of the three.
        unit: &'static str,
    },
    /// A leg shorter than what its bends take from it.
    #[error(
        "leg {number} is {got_mm:.2} mm long, but the bends beside it take {need_mm:.2} mm; lengthen the leg or choose a smaller inside radius"
    )]
    LegTooShort {
        /// Which leg, counted from 1.
        number: usize,
        /// Its length.
        got_mm: f64,
        /// What its bends take.
        need_mm: f64,
    },
    /// Two inputs that do not go together.
    #[error("{what}; {need}")]
    DoesNotFit {
        /// What does not fit, with its figures.
        what: String,
        /// What would be accepted.
        need: String,
    },
}

/// Passes `value` when it lies in `min..=max`; NaN never passes.
pub(crate) fn within(name: &'static str, value: f64, min: f64, max: f64, unit: &'static str) -> Result<f64, RuleError> {
    if (min..=max).contains(&value) {
        return Ok(value);
    }
    Err(RuleError::OutOfRange { name, got: value, min, max, unit })
}

/// A sheet thickness in mm, as rules for thin sheet accept it.
pub(crate) fn thickness(value_mm: f64) -> Result<f64, RuleError> {
    within("thickness", value_mm, 0.1, 12.0, "mm")
}

/// A size in mm, zero or more.
pub(crate) fn size(name: &'static str, value_mm: f64) -> Result<f64, RuleError> {
    within(name, value_mm, 0.0, 100_000.0, "mm")
}

/// A size in mm, more than nothing.
pub(crate) fn positive_size(name: &'static str, value_mm: f64) -> Result<f64, RuleError> {
    within(name, value_mm, 0.01, 100_000.0, "mm")
}
