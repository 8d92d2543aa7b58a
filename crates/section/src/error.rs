//! What can be wrong with a designed piece.

use thiserror::Error;

/// A fault in the description of a piece: what, where, what would be accepted.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum SectionError {
    /// A number is not finite or outside its range.
    #[error("{name} is {}; between {} and {} is accepted", got_words(*got, [*min, *max], unit), said(*min, ""), said(*max, unit))]
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
    /// A relief hole would cut through the whole height of a curl, which leaves the wire without metal round it.
    #[error(
        "{place} is {height_mm:.2} mm high laid flat, and the relief hole at its {end} reaches {radius_mm:.2} mm, through its free edge; choose a relief hole under {:.2} mm in diameter or set the {end} of the curl back clear of the hole",
        2.0 * .height_mm
    )]
    ReliefThroughCurl {
        /// Which curl.
        place: String,
        /// "start" or "end" of its edge.
        end: &'static str,
        /// Developed height of the curl.
        height_mm: f64,
        /// Radius of the relief hole.
        radius_mm: f64,
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
    /// A make-up stands where it cannot.
    #[error("make-up {index} of the {edge} edge ({what}) cannot stand there; {accepted}")]
    MakeUpOrder {
        /// "finished" or "cut".
        edge: &'static str,
        /// Counted from 1.
        index: usize,
        /// Which kind.
        what: &'static str,
        /// What would be accepted.
        accepted: &'static str,
    },
    /// A link bends one way at one station and the other way at the next.
    #[error(
        "link {link} of the cross-section bends to one side at station {from_mm:.1} mm and to the other at {to_mm:.1} mm; give the straight place between them a cross-section of its own with angle 0"
    )]
    BendChangesSide {
        /// Counted from 1.
        link: usize,
        /// Station.
        from_mm: f64,
        /// Next station.
        to_mm: f64,
    },
    /// The piece is curved so tightly that the metal would fold through itself along a line.
    #[error(
        "the edge line turns more tightly than the cross-section is deep at station {station_mm:.1} mm; narrow the strip or open the curve there"
    )]
    TooTight {
        /// Where.
        station_mm: f64,
    },
    /// The base outline of a folded piece is not a simple polygon.
    #[error("the base outline {what}; give its corners in order, anticlockwise seen from the face up")]
    BaseOutline {
        /// "crosses itself between corners 2 and 5" …
        what: String,
    },
    /// Two legs of a folded piece, or a leg and the base, would pass through each other.
    #[error(
        "{first} and {second} collide near ({x_mm:.1}, {y_mm:.1}, {z_mm:.1}) mm once folded; shorten one, set an end back or fold it less"
    )]
    LegsCollide {
        /// One of them.
        first: String,
        /// The other.
        second: String,
        /// Where, in the base's frame.
        x_mm: f64,
        /// Where, in the base's frame.
        y_mm: f64,
        /// Where, in the base's frame.
        z_mm: f64,
    },
    /// The two end cuts of a leg meet before its free edge.
    #[error(
        "{place}: the two end cuts cross, {short_by_mm:.1} mm too much is cut away; narrow the flange or cut its ends less"
    )]
    EndCutsCross {
        /// Which leg.
        place: String,
        /// By how much they pass each other.
        short_by_mm: f64,
    },
    /// A make-up follows one that ends the chain.
    #[error("{place} follows a curl or a trim, which ends the edge; leave it out or put it before")]
    AfterTheEnd {
        /// Which make-up.
        place: String,
    },
    /// A make-up that folded pieces do not take.
    #[error(
        "{place}: {what} is not made on a folded piece; use a flange, hem, wired edge, seam or raw edge, or a strip"
    )]
    NotOnFolded {
        /// Which make-up.
        place: String,
        /// What was asked for.
        what: &'static str,
    },
    /// A tube that cannot exist.
    #[error("{place}: {what}; {accepted}")]
    Tube {
        /// Which tube, or which end of it.
        place: String,
        /// What is wrong.
        what: String,
        /// What would be accepted.
        accepted: String,
    },
    /// A rule of the handbook refused its inputs.
    #[error("{place}: {what}")]
    Rule {
        /// Where.
        place: String,
        /// The rule's own words.
        what: String,
    },
    /// A piece bent along rulings that cannot be.
    #[error("{what}; {accepted}")]
    Ruled {
        /// What is wrong, with its figures.
        what: String,
        /// What would be accepted.
        accepted: String,
    },
    /// The sheet of a ring would pass through itself.
    #[error(
        "{place}: its sheet passes through itself at {r_mm:.1} mm from the axis, height {z_mm:.1} mm; move a corner or choose a smaller inside radius"
    )]
    RingCrossesItself {
        /// Which ring.
        place: String,
        /// Distance from the axis.
        r_mm: f64,
        /// Height along the axis.
        z_mm: f64,
    },
    /// The outline of a cut-out crosses itself.
    #[error("{name}: the outline of the cut-out crosses itself; give its corners in order")]
    OpeningCrossesItself {
        /// Which opening.
        name: String,
    },
}

/// A number to a thousandth, with its unit.
fn said(value: f64, unit: &str) -> String {
    let rounded = (value * 1000.0).round() / 1000.0;
    let value = if rounded == 0.0 && value != 0.0 { value } else { rounded };
    match unit {
        "" | "°" => format!("{value}{unit}"),
        _ => format!("{value} {unit}"),
    }
}

/// As [`said`], with all its digits where rounding would bring it inside what is accepted.
fn got_words(got: f64, [min, max]: [f64; 2], unit: &str) -> String {
    let rounded = (got * 1000.0).round() / 1000.0;
    if !(min..=max).contains(&rounded) {
        return said(got, unit);
    }
    let space = if unit.is_empty() || unit == "°" { "" } else { " " };
    format!("{got}{space}{unit}")
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

/// Checks that stations are finite and rise.
pub(crate) fn rising(what: &'static str, stations: impl IntoIterator<Item = f64>) -> Result<(), SectionError> {
    let mut before: Option<f64> = None;
    for (i, station_mm) in stations.into_iter().enumerate() {
        within(format!("the station of {what} {}", i + 1), station_mm, -1e6..=1e6, "mm")?;
        if let Some(before_mm) = before
            && station_mm <= before_mm
        {
            return Err(SectionError::StationOrder { what, index: i + 1, station_mm, before_mm });
        }
        before = Some(station_mm);
    }
    Ok(())
}

/// The error for an empty list of something that is needed.
pub(crate) fn none(what: &str) -> SectionError {
    SectionError::OutOfRange { name: format!("the number of {what}"), got: 0.0, min: 1.0, max: 1e4, unit: "" }
}
