//! Why a template, a buck or a form cannot be made.

use glam::{DVec2, DVec3};
use mesh::sections::SectionError;

/// A template that cannot be made: what, where, what would be accepted.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum TemplateError {
    /// The plane or the skin refused.
    #[error("{place}: {fault}")]
    Section {
        /// Which template or slice.
        place: String,
        /// The fault.
        fault: SectionError,
    },
    /// A number is out of its range; NaN never passes.
    #[error("{name} is {got}; {accepted} is accepted")]
    OutOfRange {
        /// Which.
        name: String,
        /// Given.
        got: f64,
        /// What would be accepted.
        accepted: String,
    },
    /// A point or a direction is not finite or has no length.
    #[error("{name} is not a usable point or direction; give finite numbers in mm")]
    NotUsable {
        /// Which.
        name: String,
    },
    /// Moving the skin to the other face turned triangles over.
    #[error(
        "moved by {distance_mm:.2} mm the skin turns over itself at {}; it is curved more tightly there than the distance: \
         give it at the face that is touched, or leave less between", place(*.at_mm)
    )]
    TurnsOver {
        /// Distance moved, positive towards the outside.
        distance_mm: f64,
        /// Where.
        at_mm: DVec3,
    },
    /// The section near the station closes on itself.
    #[error(
        "{place}: the section closes on itself; a card has an open edge: choose a plane that leaves the skin at its edges"
    )]
    Closes {
        /// Which template.
        place: String,
    },
    /// A point that is to be marked lies beyond the section.
    #[error(
        "{place}: {name} lies at {at_mm:.1} mm along the card, beyond the section, which runs from 0 to {length_mm:.1} mm; give one between"
    )]
    Beyond {
        /// Which template.
        place: String,
        /// What is to be marked.
        name: String,
        /// Where it would lie, along the back from the first end.
        at_mm: f64,
        /// Length of the section along the back.
        length_mm: f64,
    },
    /// An outline would cross itself.
    #[error("{place}: the outline crosses or touches itself near ({:.1}, {:.1}) mm; {accepted}", .at_mm.x, .at_mm.y)]
    Crosses {
        /// Which outline.
        place: String,
        /// Where, in its own frame.
        at_mm: DVec2,
        /// What would be accepted.
        accepted: String,
    },
    /// The board does not go between two slices.
    #[error(
        "slices {first} and {second} are {apart_mm:.2} mm apart; {need_mm:.2} mm or more is needed for a board and as much again between"
    )]
    TooClose {
        /// Slice.
        first: String,
        /// Slice.
        second: String,
        /// Given.
        apart_mm: f64,
        /// Needed.
        need_mm: f64,
    },
    /// A slice would lie beside the skin.
    #[error(
        "slice {name} at {at_mm:.1} mm lies beyond the skin; from {least_mm:.1} to {most_mm:.1} mm is accepted for the whole board"
    )]
    SliceBeyond {
        /// Slice.
        name: String,
        /// Given.
        at_mm: f64,
        /// Least.
        least_mm: f64,
        /// Most.
        most_mm: f64,
    },
    /// The surface overhangs the base or lies in two layers over it.
    #[error(
        "slice {name}: the surface overhangs or lies in two layers at {at_mm:.1} mm along the slice; turn the base or split the buck there"
    )]
    Overhangs {
        /// Slice.
        name: String,
        /// Along the slice.
        at_mm: f64,
    },
    /// The base lies on the wrong side of the sheet.
    #[error(
        "the base lies on the {base_side} of the sheet, but the buck is to touch its {touches}; turn the base over or choose the other face"
    )]
    WrongSide {
        /// Side the base lies on.
        base_side: &'static str,
        /// Face chosen.
        touches: &'static str,
    },
    /// The base is too near to the surface.
    #[error(
        "slice {name} is {height_mm:.1} mm high at {at_mm:.1} mm along it; {need_mm:.1} mm is needed: lower the base by {lower_mm:.1} mm or more"
    )]
    TooLow {
        /// Slice.
        name: String,
        /// Along the slice.
        at_mm: f64,
        /// Height there.
        height_mm: f64,
        /// Needed.
        need_mm: f64,
        /// How much lower the base must lie.
        lower_mm: f64,
    },
    /// A slice that no other holds.
    #[error("slice {name} crosses no other in full; move it, or bring the slices across closer together")]
    NotHeld {
        /// Slice.
        name: String,
    },
    /// The points given are not a chain along the skin's boundary.
    #[error(
        "points {from} and {to} are not beside each other on the boundary of the skin; give the points of one edge in order"
    )]
    NotAnEdge {
        /// Point.
        from: u32,
        /// Point.
        to: u32,
    },
    /// The edge is not flat enough for a flat form.
    #[error(
        "the edge lies {off_mm:.1} mm out of the plane of the form {along_mm:.0} mm along it from its start, of {length_mm:.0} mm; \
         {accepted_mm:.1} mm is accepted: split the edge there, or form it over a buck"
    )]
    OutOfPlane {
        /// Worst distance.
        off_mm: f64,
        /// Where, along the edge from its start.
        along_mm: f64,
        /// Length of the edge.
        length_mm: f64,
        /// Most accepted.
        accepted_mm: f64,
    },
}

fn place(at: DVec3) -> String {
    format!("({:.1}, {:.1}, {:.1})", at.x, at.y, at.z)
}

impl TemplateError {
    pub(super) fn at(place: &str) -> impl Fn(SectionError) -> Self + '_ {
        move |fault| Self::Section { place: place.to_owned(), fault }
    }

    /// Passes a number inside its range.
    pub(super) fn range(name: &str, got: f64, range: std::ops::RangeInclusive<f64>, unit: &str) -> Result<f64, Self> {
        if range.contains(&got) {
            return Ok(got);
        }
        let accepted = format!("{} to {} {unit}", range.start(), range.end());
        Err(Self::OutOfRange { name: name.to_owned(), got, accepted })
    }
}
