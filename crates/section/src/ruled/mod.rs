//! Pieces bent along straight rulings between two edge curves in space: cones, tapers, transitions.
//!
//! Model: a sheet without stretch, joined to two edge curves A and B. Every ruling runs straight from a point of A to a point of
//! B and the sheet has one tangent plane along it, so its flat is exact and the sheet a thickness away has the same rulings.
//! Frame: e along the ruling from A to B, m along the sheet square to it in the sense in which A is run through, N = e × m.
//! For an edge A run through anticlockwise seen from B, N points to the inside.
//! Holds: cones to a point, frustums, oblique cones, tapers between any two closed or open edges that have such rulings.
//! Does not hold for: edges that can only be joined with stretch; their residual twist is measured, see [`Ruled::twist`].
//! Units: mm and rad.

mod cone;
mod curve;
mod element;
mod girth;
mod pairing;
mod ruling;
mod tessellate;
mod transition;

pub use cone::{Cone, RightCone};
pub use curve::Curve;
pub use element::{Element, Site};
pub use girth::{Girth, SeamPlace};
pub use pairing::{Span, find, same};
pub use ruling::{Ruling, Twist};
pub use tessellate::{rulings, tessellate};
pub use transition::{Between, End, Transition, TransitionEnd};

use crate::quadrature::GaussLegendre;
use crate::{Face, Hand, SectionError};
use std::sync::LazyLock;

/// One of the two edges of a ruled piece.
#[derive(Debug, Clone)]
pub struct RuledEdge {
    /// Name as printed ("large end", "square end").
    pub name: String,
    /// The curve.
    pub curve: Curve,
}

/// A piece bent along rulings, ready to be developed.
#[derive(Debug, Clone)]
pub struct Ruled {
    /// Name.
    pub name: String,
    /// Hand of the finished piece.
    pub hand: Hand,
    /// The finished piece is the reflection (y → −y) of this geometry.
    pub mirrored: bool,
    /// Edge A and edge B.
    pub edges: [RuledEdge; 2],
    /// The pairing from the seam (or the start end) to the seam (or the far end).
    pub spans: Vec<Span>,
    /// The edges are closed: the whole girth, however many pieces it is made in.
    pub closed: bool,
    /// The two ends of this piece are joined to each other by its seam.
    pub own_seam: bool,
    /// +1 where e × m points to the outside, −1 where it points to the inside.
    pub outside: f64,
    /// Face of the sheet on which the edge curves lie.
    pub face: Face,
    /// Face over which the sizes were given.
    pub given: Face,
    /// How the sizes were brought to the middle of the sheet, in words.
    pub offset_words: String,
    /// Sizes of the finished piece to check: name and mm.
    pub sizes_mm: Vec<(String, f64)>,
    /// Radii and height where the whole girth is a right cone.
    pub right_cone: Option<RightCone>,
    /// Sheet.
    pub thickness_mm: f64,
    /// Material key.
    pub material: String,
    /// Lap left on at the far end of the flat.
    pub lap_mm: f64,
    /// Inside radius of sharp folds between flat parts.
    pub fold_radius_mm: f64,
    /// Largest bend at one marked line, rad.
    pub step_rad: f64,
    /// Reach of the sizes.
    pub reach_mm: f64,
}

/// What every form of ruled piece is told beside its shape.
#[derive(Debug, Clone)]
pub struct Make {
    /// Name.
    pub name: String,
    /// Hand of the finished piece.
    pub hand: Hand,
    /// The finished piece is the reflection of this geometry.
    pub mirrored: bool,
    /// Face over which the sizes are given.
    pub given: Face,
    /// Sheet.
    pub thickness_mm: f64,
    /// Material key.
    pub material: String,
    /// Seam and share of the girth.
    pub girth: Girth,
    /// Lap left on at the seam.
    pub lap_mm: f64,
    /// Inside radius of sharp folds.
    pub fold_radius_mm: f64,
    /// Largest bend at one marked line, rad.
    pub step_rad: f64,
    /// Reach of the sizes.
    pub reach_mm: f64,
}

impl Ruled {
    /// How far the middle of the sheet lies from the face that carries the edge curves, along e × m, mm.
    #[must_use]
    pub fn to_middle_mm(&self) -> f64 {
        let towards_outside = match self.face {
            Face::Outside => -0.5,
            Face::Middle => 0.0,
            Face::Inside => 0.5,
        };
        towards_outside * self.thickness_mm * self.outside
    }
}

impl Make {
    fn check(&self) -> Result<(), SectionError> {
        for (name, got, range) in [
            ("the sheet thickness", self.thickness_mm, 0.1..=12.0),
            ("the lap on the seam", self.lap_mm, 0.0..=200.0),
            ("the inside radius of folds", self.fold_radius_mm, 0.0..=100.0),
            ("the reach", self.reach_mm, 0.0..=100.0),
        ] {
            crate::error::within(format!("{name} of {}", self.name), got, range, "mm")?;
        }
        let step = self.step_rad.to_degrees();
        crate::error::within(format!("the bend at one line of {}", self.name), step, 1.0..=90.0, "°").map(|_| ())
    }
}

fn fault(what: impl Into<String>, accepted: impl Into<String>) -> SectionError {
    SectionError::Ruled { what: what.into(), accepted: accepted.into() }
}

/// Five-point rule used along spans: exact to the tenth power of parts that turn at most 10°.
#[must_use]
pub fn gauss() -> &'static GaussLegendre<5> {
    static RULE: LazyLock<GaussLegendre<5>> = LazyLock::new(GaussLegendre::new);
    &RULE
}
