//! Survey: what was measured on a panel → its surface, with a reach at every point.
//!
//! Two sources so far: [`stations`], profiles taken with a contour gauge across a straight datum line, and [`points`], scattered
//! points of a tape, an arm or a scan. Both end as [`Measured`]: heights over a datum plane. [`fit()`] lays a smoothing spline
//! surface through them ([`SurfaceFit`]), hides no residual, and says which reading is likely a misreading; [`SurfaceFit::skin`]
//! cuts the surface into triangles.
//!
//! Axes. Datum plane: u along, v across, height towards the outside; right-handed (u × v = outside), so triangles are
//! anticlockwise seen from the outside. For stations: x = u along the datum line from its zero, y = v across, positive to the left
//! when looking along, z = height. For points: the file's own axes; the datum plane is their least-squares plane.
//!
//! Does not hold for: a surface that is steeper than about 60° to its datum plane, or folds back over it; turn the datum.
//! Units: mm. Reach = two standard deviations, of the height over the datum plane.

pub mod points;
pub mod stations;

mod concerns;
mod doubt;
mod error;
mod fit;
mod frame;
mod measured;
mod skin;

pub use error::{Fault, SurveyError};
pub use fit::{FitSettings, SurfaceFit, SurfacePoint, fit};
pub use frame::Frame;
pub use measured::{DEFAULT_REACH_MM, Face, MOST_READINGS, Measured, Origin, Reading};
pub use skin::{SkinSettings, SurfaceSkin};
