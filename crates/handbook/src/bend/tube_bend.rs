//! Walls of a bent tube.

use crate::error::{RuleError, thickness, within};
use crate::working::{Source, Working};

/// Outer and inner wall of a tube bend: `t/(1 + d/2R)` and `t/(1 − d/2R)` (handbook F20).
///
/// Ideal: the round stays round, the neutral line lies at the centre, volume is kept, and all of the change of length goes into the
/// wall; real bends thin a little less and flatten. `outside_diameter_mm` d, `centre_radius_mm` R.
///
/// # Errors
/// [`RuleError::OutOfRange`]; a centre radius that is not larger than half the diameter folds the inside through itself.
pub fn tube_bend_walls(
    thickness_mm: f64,
    outside_diameter_mm: f64,
    centre_radius_mm: f64,
) -> Result<[Working; 2], RuleError> {
    let t = thickness(thickness_mm)?;
    let d = within("outside diameter", outside_diameter_mm, 2.0 * t, 2000.0, "mm")?;
    let r = within("centre radius of the bend", centre_radius_mm, 0.5 * d * (1.0 + 1e-6), 1e6, "mm")?;
    let share = 0.5 * d / r;
    let wall = |name: &'static str, value: f64, formula: &'static str| {
        Working::new(name, value, "mm", formula, Source::geometry("F20"))
            .with("t", "wall of the straight tube", t, "mm")
            .with("d", "outside diameter", d, "mm")
            .with("R", "radius of the bend to the centre line", r, "mm")
    };
    Ok([
        wall("outer wall of the bend", t / (1.0 + share), "t/(1 + d/2R)"),
        wall("inner wall of the bend", t / (1.0 - share), "t/(1 − d/2R)"),
    ])
}
