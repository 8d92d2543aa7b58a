//! Root of a function that falls all the way.

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
