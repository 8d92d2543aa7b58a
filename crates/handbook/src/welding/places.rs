//! Where the outermost welds of an edge stand.

/// The outermost plug or spot stands so many of its diameters in from an open end: nearer, the end burns away. Common practice, no source.
pub const DOT_FROM_END_DIAMETERS: f64 = 2.0;
/// The outermost tack of a butt stands so far in from an open end, mm. Common practice, no source.
pub const TACK_FROM_END_MM: f64 = 5.0;
