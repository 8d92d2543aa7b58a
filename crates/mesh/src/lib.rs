//! Triangle surfaces in space: the finished shape as points, triangles and tags.
//!
//! A [`Surface`] is what `section` tessellates into and what the 3D view, the templates and (later) the flattening of
//! double-curved skins read. Lengths in mm. It holds no topology; build that from it where needed.
//!
//! A [`Skin`] is one sheet as a scan or a fit gives it. What can be asked of it: [`topology`], [`curvature`], [`nearest`] (closest point
//! and ray), [`deviation_mm`] from another, plane [`sections`]; what can be made of it: [`remesh`], [`decimate`], [`crop`].

pub mod crop;
pub mod curvature;
pub mod decimate;
pub mod export;
pub mod import;
pub mod nearest;
pub mod notes;
pub mod planar;
pub mod polygon;
pub mod remesh;
pub mod sections;
pub mod skin;
pub mod thin;
pub mod topology;

mod deviation;
mod edit;
mod error;
#[cfg(test)]
mod shapes;
mod surface;

pub use deviation::deviation_mm;
pub use error::MeshError;
pub use skin::Skin;

use glam::DVec3;
use serde::{Deserialize, Serialize};

/// Index of a point in a [`Surface`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct PointId(pub u32);

/// What a triangle belongs to.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Tag {
    /// Part of the piece: "skin", "flange", "curl", "wire", "lap", "base", "fold 2" …
    pub part: String,
    /// Which face of the sheet.
    pub face: SheetFace,
}

/// Face of the sheet a triangle shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SheetFace {
    /// Towards the outside of the vehicle.
    Outside,
    /// Towards the inside of the vehicle.
    Inside,
    /// The cut thickness.
    Edge,
}

/// A triangle surface with tags. Triangles are anticlockwise seen from the side they show.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Surface {
    /// Points, mm.
    pub points_mm: Vec<DVec3>,
    /// Triangles by point.
    pub triangles: Vec<[PointId; 3]>,
    /// One per triangle: index into `tags`.
    pub tag_of: Vec<u16>,
    /// The tags.
    pub tags: Vec<Tag>,
    /// Feature lines to draw: outline edges, fold tangents, lap line; polylines of points with a name.
    pub lines: Vec<FeatureLine>,
}

/// A line on the surface that a drawing shows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FeatureLine {
    /// "free edge", "fold tangent", "lap line", "hole".
    pub name: String,
    /// Points, mm.
    pub points_mm: Vec<DVec3>,
    /// Closed when the last point joins the first.
    pub closed: bool,
}
