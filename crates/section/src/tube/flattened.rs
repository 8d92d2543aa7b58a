//! A flattened end: width and what its metal takes up on the way from round to flat.

use super::{Tube, Wall};
use std::f64::consts::PI;

/// Figures of a flattened end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlattenedShape {
    /// Over its two folds.
    pub width_mm: f64,
    /// Two thicknesses.
    pub height_mm: f64,
    /// A line in the middle of a face is longer than the transition by this: it runs from the round wall down to the middle.
    pub taken_up_mm: f64,
    /// The folds run outward less than the faces run inward, so they stand out beyond the faces by this: trimmed square afterwards.
    pub folds_stand_out_mm: f64,
}

/// Flattens a tube to two thicknesses: the girth stays, the middle of the wall runs along two straights and two half circles of the
/// thickness's half (geometry). Lengthwise lines keep their length and run straight through the transition.
#[must_use]
pub fn flattened_shape(tube: &Tube, transition_mm: f64) -> FlattenedShape {
    let middle = tube.radius_mm(Wall::Middle);
    let t = tube.thickness_mm;
    let straight = PI * middle - 0.5 * PI * t;
    let width_mm = straight + 2.0 * t;
    let inward = middle - 0.5 * t;
    let outward = 0.5 * (straight + t) - middle;
    let longer = |across: f64| transition_mm.hypot(across) - transition_mm;
    let taken_up_mm = longer(inward);
    FlattenedShape { width_mm, height_mm: 2.0 * t, taken_up_mm, folds_stand_out_mm: taken_up_mm - longer(outward) }
}
