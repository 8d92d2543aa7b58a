//! What is wrong with a survey.

use mesh::MeshError;
use numerics::Cancelled;
use numerics::spline::SplineError;

/// One fault of what was measured, at its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Where: "profile 3 (station 120 mm), point 4", "line 17".
    pub place: String,
    /// What is the matter, with the value and what would be accepted.
    pub message: String,
}

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}: {}", self.place, self.message)
    }
}

/// Most faults that are listed.
pub(crate) const MOST_FAULTS: usize = 20;

/// Why there is no surface.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SurveyError {
    /// The survey cannot be used; every fault found, to a limit.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))]
    Faults(Vec<Fault>),
    /// No surface can be fitted.
    #[error(transparent)]
    Fit(SplineError),
    /// The outline cannot be filled with triangles.
    #[error(transparent)]
    Mesh(#[from] MeshError),
    /// A setting that cannot be used.
    #[error("{name} is {got}; {need} is accepted")]
    Setting {
        /// Which.
        name: &'static str,
        /// Given.
        got: f64,
        /// What would be accepted.
        need: &'static str,
    },
    /// More triangles than a mesh may have.
    #[error(
        "an edge of {edge_mm} mm and a tolerance of {tolerance_mm} mm make more than {most} triangles; give larger ones"
    )]
    TooManyTriangles {
        /// Target edge.
        edge_mm: f64,
        /// Chord error.
        tolerance_mm: f64,
        /// The limit.
        most: usize,
    },
    /// Stopped by a person.
    #[error(transparent)]
    Cancelled(#[from] Cancelled),
}

impl From<SplineError> for SurveyError {
    fn from(error: SplineError) -> Self {
        match error {
            SplineError::Cancelled(cancelled) => Self::Cancelled(cancelled),
            error => Self::Fit(error),
        }
    }
}

impl SurveyError {
    /// One fault.
    pub(crate) fn fault(place: impl Into<String>, message: impl Into<String>) -> Self {
        Self::Faults(vec![Fault { place: place.into(), message: message.into() }])
    }
}
