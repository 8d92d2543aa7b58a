//! The panel as a thin shell of flat triangles with six unknowns at each node.
//!
//! Nodes carry three displacements (mm) and three rotations (rad) in the axes of the mesh, in that order.
//! [`Shell`] is geometry, [`Supports`] what holds it, [`Loads`] what acts on it. Model: Kirchhoff–Love bending (discrete Kirchhoff
//! triangle) and a membrane with drilling rotations; linear elastic, isotropic.

pub mod assemble;
pub mod bending;
pub mod buckling;
pub mod element;
pub mod geometric;
pub mod large;
pub mod membrane;
pub mod recover;
pub mod supports;

mod elastic;
mod frame;
mod loads;
mod parts;
mod solve;
#[cfg(test)]
mod tests;

pub use assemble::Assembly;
pub use buckling::{Buckling, BucklingMode};
pub use frame::Frame;
pub use recover::{AtNode, Resultants};
pub use solve::{Deflection, LinearModel, Reaction};

use glam::DVec3;
use serde::{Deserialize, Serialize};

/// Unknowns at a node: displacement x, y, z, then rotation about x, y, z.
pub const UNKNOWNS: usize = 6;

/// Elastic sheet.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Sheet {
    /// Thickness.
    pub thickness_mm: f64,
    /// Young's modulus E.
    pub young_n_mm2: f64,
    /// Poisson's ratio ν.
    pub poisson: f64,
}

/// A shell: triangles over points, each of one of the sheets.
#[derive(Debug, Clone, PartialEq)]
pub struct Shell {
    /// Middle face and its triangles.
    pub skin: mesh::Skin,
    /// Sheets of the shell.
    pub sheets: Vec<Sheet>,
    /// For each triangle, which sheet; empty: all of the first.
    pub sheet_of: Vec<u16>,
}

/// One unknown of a node that is held, or sprung to the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hold {
    /// Node.
    pub node: u32,
    /// Direction of the displacement, or axis of the rotation, of unit length.
    pub axis: DVec3,
    /// Rotation about the axis instead of displacement along it.
    pub rotation: bool,
    /// Stiffness of the spring, N/mm or N·mm/rad; `None` holds it fast.
    pub spring: Option<f64>,
}

/// Everything that holds the shell.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Supports {
    /// The holds.
    pub holds: Vec<Hold>,
}

/// Strain a triangle would take if it were free, the same over its thickness (what shrinkage leaves behind).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InherentStrain {
    /// Triangle.
    pub triangle: u32,
    /// Direction in space; its part in the triangle's plane counts.
    pub along: DVec3,
    /// Strain along it, along the square to it in the plane, and shear (engineering).
    pub strain: [f64; 3],
}

/// Displacements of a triangle's corners at which it bears no force: a width lost at a weld line, or an offset locked in there.
///
/// Unlike an [`InherentStrain`] it leaves no stress at all where the sheet beside the line follows as a whole: the drilling rotations of the
/// membrane feel the shift too, not its mean strain alone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RestShift {
    /// Triangle.
    pub triangle: u32,
    /// By corner, in the axes of the mesh, mm.
    pub corners_mm: [DVec3; 3],
}

/// What acts on the shell.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Loads {
    /// Force (N) and moment (N·mm) at nodes.
    pub at_nodes: Vec<(u32, DVec3, DVec3)>,
    /// Load per area of triangles, N/mm², in the axes of the mesh.
    pub per_area: Vec<(u32, DVec3)>,
    /// Inherent strains.
    pub inherent: Vec<InherentStrain>,
    /// Where triangles are at rest; several on one triangle add up.
    pub shifts: Vec<RestShift>,
}
