//! What can be wrong with a seam on a panel.

use glam::DVec3;
use mesh::MeshError;
use thiserror::Error;

/// A seam that cannot be cut into a panel.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum PanelError {
    /// The mesh cannot be worked on, or somebody asked to stop.
    #[error(transparent)]
    Mesh(#[from] MeshError),
    /// A setting beyond its range.
    #[error("the {name} is {got} mm; {need}")]
    Setting {
        /// What is set.
        name: &'static str,
        /// What was given.
        got: f64,
        /// What would be accepted.
        need: &'static str,
    },
    /// No seam at all.
    #[error("no weld line is given; give one with at least two points on the mesh")]
    NoSeam,
    /// A line without length.
    #[error(
        "weld line {seam} has {points} usable points over {length_mm:.1} mm; give a line of at least {least_mm:.1} mm"
    )]
    TooShort {
        /// Counted from 1.
        seam: usize,
        /// Points that differ.
        points: usize,
        /// Its length.
        length_mm: f64,
        /// Least length.
        least_mm: f64,
    },
    /// A point is not finite.
    #[error("point {point} of weld line {seam} is not finite; give three finite coordinates in mm")]
    NotFinite {
        /// Counted from 1.
        seam: usize,
        /// Counted from 1.
        point: usize,
    },
    /// The line leaves the mesh.
    #[error(
        "weld line {seam} lies {distance_mm:.1} mm off the mesh at station {station_mm:.1} mm {}; at most {limit_mm:.1} mm is taken: give points on the surface, in mm", place(*.at_mm)
    )]
    OffMesh {
        /// Counted from 1.
        seam: usize,
        /// Where along the line.
        station_mm: f64,
        /// How far off.
        distance_mm: f64,
        /// Farthest taken.
        limit_mm: f64,
        /// Where in space.
        at_mm: DVec3,
    },
    /// The line crosses itself, turns too sharply, or runs back beside itself.
    #[error(
        "weld line {seam} cannot be followed on the mesh {}: it crosses or touches itself or the mesh is too coarse there; give a simple line, or a shorter edge of the mesh", place(*.at_mm)
    )]
    Unclear {
        /// Counted from 1.
        seam: usize,
        /// Near where.
        at_mm: DVec3,
    },
    /// Two seams share a place.
    #[error("weld lines {one} and {other} meet {}; end one of them at least {least_mm:.0} mm before the other", place(*.at_mm))]
    SeamsMeet {
        /// Counted from 1.
        one: usize,
        /// Counted from 1.
        other: usize,
        /// Where.
        at_mm: DVec3,
        /// Room that is wanted.
        least_mm: f64,
    },
}

fn place(at: DVec3) -> String {
    format!("at ({:.1}, {:.1}, {:.1})", at.x, at.y, at.z)
}
