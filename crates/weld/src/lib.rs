#![cfg_attr(test, allow(clippy::unwrap_used))]
//! How a section goes in: what heat does to thin sheet, and in which order to tack and weld.
//!
//! [`shell`] is the panel around the repair as a thin shell of triangles: deflections, least buckling loads, large rotations.
//! [`heat`] gives temperatures round a moving arc, [`shrinkage`] the strain that stays behind it, [`order`] the order of tacks
//! and runs that warps least. [`joints`] works a joint out at its cut line, [`advice`] ranks the joints that a place and its fitter
//! allow; [`surround`] lays the old panel round a piece. Units: mm, N, N/mm², J, s, °C, rad. No files, no clock, no printing; the same input gives the same
//! numbers on one machine.

pub mod advice;
pub mod error;
pub mod heat;
pub mod heat_map;
pub mod joints;
pub mod metal;
pub mod order;
pub mod panel;
#[cfg(test)]
mod shapes;
pub mod shell;
pub mod shrinkage;
pub mod surround;
pub mod warp;
pub mod weld_line;

pub use error::WeldError;
