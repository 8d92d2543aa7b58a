//! Why a ring could not be developed.

use section::SectionError;
use thiserror::Error;

/// A ring that cannot be developed: what, got, what would be accepted.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum RingError {
    /// The ring itself is faulty.
    #[error(transparent)]
    Section(#[from] SectionError),
    /// A rule of the handbook refused its inputs.
    #[error(transparent)]
    Rule(#[from] handbook::RuleError),
    /// The material is not in the handbook.
    #[error("there is no material \"{key}\" in the handbook, so its forming limit is not known")]
    UnknownMaterial {
        /// Its key.
        key: String,
    },
    /// A number is out of its range.
    #[error("{what} is {got}; {accepted} is accepted")]
    OutOfRange {
        /// Which.
        what: &'static str,
        /// Its value.
        got: f64,
        /// What would be accepted.
        accepted: &'static str,
    },
    /// The leg to hold is not flat.
    #[error("leg {got} cannot keep its size: only a flat leg stays as it is between boards; flat legs are {flat}")]
    HeldLeg {
        /// Leg asked for, counted from 1.
        got: usize,
        /// Legs that would be accepted.
        flat: String,
    },
    /// A closed ring is held at its middle.
    #[error("{ring} is closed in the middle, so its middle keeps its size; leave the held leg out")]
    ClosedHeld {
        /// Which ring.
        ring: String,
    },
}

pub(super) fn within(
    what: &'static str,
    got: f64,
    min: f64,
    max: f64,
    accepted: &'static str,
) -> Result<f64, RingError> {
    if (min..=max).contains(&got) { Ok(got) } else { Err(RingError::OutOfRange { what, got, accepted }) }
}
