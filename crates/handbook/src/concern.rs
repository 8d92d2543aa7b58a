//! Concerns: what the reader must know before cutting metal.

use serde::{Deserialize, Serialize};

/// How grave a [`Concern`] is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Grade {
    /// Worth knowing.
    Note,
    /// Work on with care; the piece may not come out as drawn, or somebody may be hurt.
    Caution,
    /// Do not make this: blocks the cut files until it is lifted.
    Stop,
}

/// Who may lift a [`Grade::Stop`] concern.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LiftedBy {
    /// The shop, by name: fit, cost, a doubtful measurement.
    Shop,
    /// A competent person with name, trade, date and reason; never from the quick path.
    CompetentPerson,
}

/// Something the reader must know before cutting metal: what, why, what to do.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Concern {
    /// Stable key, unique within a plan together with `place` ("flange-too-short", "C14").
    pub key: String,
    /// How grave.
    pub grade: Grade,
    /// What the matter concerns, as a person would say it ("wheel-arch edge, station 120 mm").
    pub place: String,
    /// What is the matter, with its figures.
    pub what: String,
    /// Why it matters.
    pub why: String,
    /// What to do.
    pub what_to_do: String,
    /// Who may lift it, for a stop.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lifted_by: Option<LiftedBy>,
    /// Handbook id or source, where there is one.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub source: String,
}
