//! What is said when a dimension cannot be read.

use crate::quantity::ACCEPTED;

/// Why a dimension, gauge or angle was refused; each message says what was read and what would be accepted.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum UnitError {
    /// Nothing was written.
    #[error("the dimension is empty; write for example {ACCEPTED}")]
    Empty,
    /// The text follows none of the accepted forms.
    #[error("\"{read}\" is not a dimension: {why}; write for example {ACCEPTED}")]
    NotUnderstood {
        /// What was written (shortened when very long).
        read: String,
        /// Which part was not understood.
        why: String,
    },
    /// The text has more than one meaning.
    #[error("\"{read}\" could mean {}; write {write}", readings.join(" or "))]
    Ambiguous {
        /// What was written.
        read: String,
        /// Every meaning it could have.
        readings: Vec<String>,
        /// How to write it without doubt.
        write: String,
    },
    /// NaN or infinity.
    #[error("\"{read}\" is not a finite number; write for example {ACCEPTED}")]
    NotFinite {
        /// What was written.
        read: String,
    },
    /// A size below zero, or zero where there must be something.
    #[error("\"{read}\" is {what}; a size of {need} is accepted")]
    NotPositive {
        /// What was written.
        read: String,
        /// "negative" or "zero".
        what: &'static str,
        /// What is accepted.
        need: &'static str,
    },
    /// Larger than anything a shop handles.
    #[error("\"{read}\" is beyond {limit}; check the unit")]
    TooLarge {
        /// What was written.
        read: String,
        /// The limit, with its unit.
        limit: &'static str,
    },
    /// A gauge number that the table does not have.
    #[error("\"{read}\": {table} has no number {number}; {first} to {last} are accepted")]
    UnknownGauge {
        /// What was written.
        read: String,
        /// Name of the table.
        table: &'static str,
        /// The number asked for.
        number: u32,
        /// First number of the table.
        first: u32,
        /// Last number of the table.
        last: u32,
    },
    /// A quantity of another kind than the place asks for.
    #[error("\"{read}\" is {found}, but {wanted} is needed here; write for example {example}")]
    WrongKind {
        /// What was written.
        read: String,
        /// What it is.
        found: &'static str,
        /// What is needed.
        wanted: &'static str,
        /// How that would be written.
        example: &'static str,
    },
}

/// Shortens what was written so that a message stays one line.
pub(crate) fn quoted(text: &str) -> String {
    const LONGEST: usize = 40;
    let mut shown: String = text.chars().take(LONGEST).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.chars().count() > LONGEST {
        shown.push('…');
    }
    shown
}
