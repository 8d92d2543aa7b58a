//! Root of a function that falls all the way, and the pause until a place has cooled.

use super::within;
use handbook::RuleError;

/// The argument at which `falling` comes down to `level`, by bisection on the logarithm between two positive bounds; none when it
/// does not pass the level between them.
pub(super) fn where_it_falls_to(level: f64, [low, high]: [f64; 2], falling: impl Fn(f64) -> f64) -> Option<f64> {
    if !(falling(low) >= level && falling(high) <= level) {
        return None;
    }
    let (mut low, mut high) = (low.ln(), high.ln());
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if falling(middle.exp()) >= level { low = middle } else { high = middle }
    }
    Some((0.5 * (low + high)).exp())
}

/// Nobody waits longer, s.
const DAY_S: f64 = 86_400.0;

/// How long until a place has cooled to `cool_c`, s, where its rise over the start falls with time. Temperatures in °C.
///
/// # Errors
/// [`RuleError::OutOfRange`] unless `cool_c` lies above the start and at or below melting, and when it is not reached within a day.
pub(super) fn pause_until_s(
    cool_c: f64,
    [start_c, melting_c]: [f64; 2],
    rise_k: impl Fn(f64) -> f64,
) -> Result<f64, RuleError> {
    let cool = within("temperature to cool to", cool_c, [start_c + 1.0, melting_c], "°C")?;
    where_it_falls_to(cool - start_c, [1e-9, DAY_S], rise_k).ok_or(RuleError::OutOfRange {
        name: "pause until cool",
        got: f64::INFINITY,
        min: 0.0,
        max: DAY_S,
        unit: "s",
    })
}
