//! Lines along which is welded: what is no line, and what lies off its panel.

use glam::DVec3;

/// Points nearer to each other than this are one, mm.
const SAME_MM: f64 = 1e-6;

/// A weld that does not fit its panel, or is none.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum WeldLineError {
    /// A weld that does not lie on the panel.
    #[error(
        "the {what} lies {distance_mm:.1} mm off the mesh at ({:.1}, {:.1}, {:.1}); it may lie at most {most_mm:.1} mm off",
        at_mm.x, at_mm.y, at_mm.z
    )]
    OffMesh {
        /// "weld line" or "dot".
        what: &'static str,
        /// How far.
        distance_mm: f64,
        /// How far it may lie.
        most_mm: f64,
        /// Where.
        at_mm: DVec3,
    },
    /// A weld line that is none.
    #[error("{what}; give a line of two points or more, all finite and each away from the one before")]
    NoLine {
        /// What is the matter.
        what: String,
    },
}

/// Length of a line of two points or more, mm, each finite and away from the one before.
///
/// # Errors
/// [`WeldLineError::NoLine`].
pub(crate) fn length_mm(points_mm: &[DVec3]) -> Result<f64, WeldLineError> {
    let no_line = |what: String| WeldLineError::NoLine { what };
    if points_mm.len() < 2 {
        return Err(no_line(format!("the weld line has {} points", points_mm.len())));
    }
    if let Some(at) = points_mm.iter().position(|point| !point.is_finite()) {
        return Err(no_line(format!("point {} of the weld line is not finite", at + 1)));
    }
    let sides = || points_mm.windows(2).map(|ends| ends[0].distance(ends[1]));
    if let Some(at) = sides().position(|side| side < SAME_MM) {
        return Err(no_line(format!("points {} and {} of the weld line are one", at + 1, at + 2)));
    }
    Ok(sides().sum())
}

/// The place of a dot, finite.
///
/// # Errors
/// [`WeldLineError::NoLine`].
pub(crate) fn dot(at_mm: DVec3) -> Result<DVec3, WeldLineError> {
    if at_mm.is_finite() {
        return Ok(at_mm);
    }
    Err(WeldLineError::NoLine { what: "the place of a dot is not finite".to_owned() })
}
