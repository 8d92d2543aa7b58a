//! What can be wrong with a designed piece.

use thiserror::Error;

/// A fault in the description of a piece: what, where, what would be accepted.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum SectionError {
    /// A number is not finite or outside its range.
    #[error("{name} is {got} {unit}; between {min} and {max} {unit} is accepted")]
    OutOfRange {
        /// What it is, with its place.
        name: String,
        /// The value given.
        got: f64,
        /// Smallest accepted.
        min: f64,
        /// Largest accepted.
        max: f64,
        /// Unit of the three.
        unit: &'static str,
    },
    /// The edge line turns back on itself or has a kink.
    #[error("the edge line {what} at station {station_mm:.1} mm; {accepted}")]
    EdgeLine {
        /// "doubles back", "has a kink of 24°", "has no length" …
        what: String,
        /// Where.
        station_mm: f64,
        /// What would be accepted.
        accepted: &'static str,
    },
    /// The edge line runs parallel to the outward vector.
    #[error(
        "the edge line runs parallel to 'outward' at station {station_mm:.1} mm; give an outward vector square to the panel there"
    )]
    ParallelToOutward {
        /// Where.
        station_mm: f64,
    },
    /// Stations are not in rising order.
    #[error("{what} {index} is at station {station_mm:.1} mm, after {before_mm:.1} mm; stations must rise")]
    StationOrder {
        /// "cross-section", "flange angle" …
        what: &'static str,
        /// Counted from 1.
        index: usize,
        /// Its station.
        station_mm: f64,
        /// The station before it.
        before_mm: f64,
    },
    /// Two cross-sections have different chains.
    #[error(
        "cross-section {index} has {got} links where the first has {need} of the same kinds; give a link of length 0 where one is missing"
    )]
    ChainsDiffer {
        /// Counted from 1.
        index: usize,
        /// Links found.
        got: usize,
        /// Links needed.
        need: usize,
    },
    /// A cross-section crosses itself.
    #[error("the cross-section at station {station_mm:.1} mm crosses itself; check its bend angles and lengths")]
    CrossesItself {
        /// Where.
        station_mm: f64,
    },
    /// A flange is shorter than its bend takes.
    #[error(
        "{place}: {got_mm:.2} mm is shorter than the {need_mm:.2} mm its bend takes; widen it, open the angle or choose a smaller inside radius"
    )]
    ShorterThanBend {
        /// Which leg.
        place: String,
        /// Length given.
        got_mm: f64,
        /// Length the bend takes.
        need_mm: f64,
    },
    /// The wire is thinner than the sheet.
    #[error(
        "wire of {wire_mm:.2} mm is thinner than the sheet of {thickness_mm:.2} mm; check the curl measurement (d = measured − 2t)"
    )]
    WireThinnerThanSheet {
        /// Wire diameter.
        wire_mm: f64,
        /// Sheet thickness.
        thickness_mm: f64,
    },
    /// The finished edge is taller than the strip.
    #[error("{what} takes {need_mm:.2} mm of height but the strip is {height_mm:.2} mm high; raise the cut")]
    TallerThanStrip {
        /// "the curl", "the hem" …
        what: &'static str,
        /// Height it takes.
        need_mm: f64,
        /// Height there is.
        height_mm: f64,
    },
    /// The lap is wider than the piece is high.
    #[error(
        "a lap of {lap_mm:.2} mm is wider than the piece is high ({height_mm:.2} mm); raise the cut or narrow the lap"
    )]
    LapWiderThanPiece {
        /// Lap.
        lap_mm: f64,
        /// Height of the piece.
        height_mm: f64,
    },
    /// The cross-section ends below the height asked for.
    #[error(
        "the pattern's cross-section at station {station_mm:.1} mm is {have_mm:.1} mm high; {need_mm:.1} mm is asked for"
    )]
    HigherThanPattern {
        /// Where.
        station_mm: f64,
        /// Height of the pattern.
        have_mm: f64,
        /// Height asked for.
        need_mm: f64,
    },
    /// A hole or cut-out is off the metal.
    #[error(
        "{name} at station {station_mm:.1} mm, {distance_mm:.1} mm from the edge line, is off the metal; {accepted}"
    )]
    OffTheMetal {
        /// Which opening.
        name: String,
        /// Its station.
        station_mm: f64,
        /// Its distance.
        distance_mm: f64,
        /// What would be accepted.
        accepted: String,
    },
    /// The base outline of a folded piece is not a simple polygon.
    #[error("the base outline {what}; give its corners in order, anticlockwise seen from the face up")]
    BaseOutline {
        /// "crosses itself between corners 2 and 5" …
        what: String,
    },
}

/// Lets a number through when it is finite and inside the range.
///
/// # Errors
/// [`SectionError::OutOfRange`] names it; NaN never passes.
pub(crate) fn within(
    name: impl Into<String>,
    got: f64,
    range: std::ops::RangeInclusive<f64>,
    unit: &'static str,
) -> Result<f64, SectionError> {
    if range.contains(&got) {
        return Ok(got);
    }
    Err(SectionError::OutOfRange { name: name.into(), got, min: *range.start(), max: *range.end(), unit })
}
