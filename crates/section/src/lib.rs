//! The designed piece in space: edge lines, cross-sections, make-ups, folds.
//!
//! A section holds pieces; each piece is a [`Strip`] or a [`Folded`]. This crate turns their description (plain
//! numbers in mm and rad) into points in space and into a tessellated [`mesh::Surface`]. It knows nothing about
//! flats: development is the next room's work.
//!
//! Frames and signs (ARCHITECTURE.md repeats them). Right-handed vehicle axes: x forward, y to the left, z up.
//! An edge line lies on the outside face unless [`Face`] says otherwise. Station = arc length along the edge line.
//! Frame at a station: t tangent, o = `outward` made square to t, u = t × o. A cross-section is a chain in the
//! (o, u) plane starting at the edge line; bend angles are turned from flat, in radians, positive towards the outside.
//! The other hand is the finished geometry reflected (y → −y), never frames built again.

pub mod edge_line;
pub mod folded;
pub mod frame;
pub mod height;
pub mod jet;
pub mod make_up;
pub mod opening;
pub mod pair;
pub mod profile;
pub mod quadrature;
pub mod ring;
pub mod ruled;
pub mod skin;
pub mod strip;
pub mod swept;
pub mod tessellate;
pub mod tube;

mod error;

pub use edge_line::{EdgeLine, Lean, LinePoint, Segment};
pub use error::SectionError;
pub use folded::{Base, CornerKind, EdgeFolds, EndCut, Folded};
pub use frame::FrameJet;
pub use height::cut_to_height;
pub use make_up::{Along, Curl, FlangeRelief, HemKind, MakeUp};
pub use opening::{On, Opening, OpeningShape};
pub use pair::{FlangePair, PairHole, PairMember};
pub use profile::{Node, Part, Profile, ProfileLink, Shape};
pub use ring::{Ring, RingCorner};
pub use strip::{CrossSection, Face, Frame, Link, Makes, Outward, Runs, Strip};
pub use swept::{ChainPoint, Swept};
pub use tessellate::tessellate;
pub use tube::Tube;

use serde::{Deserialize, Serialize};

/// Left or right as seen sitting in the driving seat facing forward, whatever side the wheel is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Hand {
    /// Left, +y side.
    Left,
    /// Right, −y side.
    Right,
}

/// The inside or the outside of the vehicle's skin; also the way a fold or curl turns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// Towards the inside of the vehicle (−o).
    Inside,
    /// Towards the outside of the vehicle (+o).
    Outside,
}

/// Which of the two long edges of a strip.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StripEdge {
    /// The finished edge, at the edge line: wired, hemmed, flanged.
    Finished,
    /// The far edge, where the piece meets the old panel.
    Cut,
}
