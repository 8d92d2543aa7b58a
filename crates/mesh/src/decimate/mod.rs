//! A skin in as few triangles as a tolerance allows.
//!
//! Method: edges are drawn together in the order of their quadric error: M. Garland, P. S. Heckbert, "Surface simplification using quadric
//! error metrics", SIGGRAPH 1997 (from memory). The quadrics give order and place only; what decides is the distance itself, checked both ways
//! before each step: every point, middle of a side and centre of the skin given stays within the tolerance of the triangles that
//! replace its own (R. Klein, G. Liebich, W. Straßer, "Mesh reduction with error control", Visualization 1996, from memory), and those of the new triangles
//! lie within it of the skin given. Points of free edges are a choice of the edge's own, and each chord stays within the tolerance of
//! what it spans, so that an opening keeps its shape as well as the skin.
//!
//! Holds: a manifold stays one, with the same pieces and openings; no triangle is turned over; [`Decimated::deviation_mm`] is at most 0.8
//! of the tolerance, which leaves room for what lies between the places looked at; same bits every time. Does not hold: the fewest triangles possible.

mod quadric;
mod rim;
mod step;

use crate::deviation::one_way;
use crate::nearest::Nearest;
use crate::{MeshError, Skin};
use numerics::{Cancel, Progress};
use step::Decimator;

/// Share of the tolerance that the places looked at may use: the rest is room for what lies between them.
const SHARE: f64 = 0.8;

/// A skin in fewer triangles.
#[derive(Debug, Clone, PartialEq)]
pub struct Decimated {
    /// The triangles.
    pub skin: Skin,
    /// Largest distance between the two skins, mm, both ways, at points, middles of sides and centres.
    pub deviation_mm: f64,
}

impl Skin {
    /// The skin in fewer triangles, within a tolerance of itself.
    ///
    /// # Errors
    /// [`MeshError::Unsound`] for a skin that is no manifold; [`MeshError::Setting`] for a tolerance that is not a length above 0;
    /// [`MeshError::Cancelled`].
    pub fn decimated(&self, tolerance_mm: f64, progress: &Progress, cancel: &Cancel) -> Result<Decimated, MeshError> {
        self.check_manifold()?;
        if !(tolerance_mm.is_finite() && tolerance_mm > 0.0) {
            return Err(MeshError::Setting { name: "tolerance", got: tolerance_mm, need: "give a length above 0 mm" });
        }
        let original = Nearest::new(self)?;
        let mut decimator = Decimator::new(self, &original, SHARE * tolerance_mm);
        decimator.run(&progress.part(0.05, 0.9), cancel)?;
        let skin = decimator.skin();
        skin.check_manifold()?;
        progress.report(0.9, "comparing");
        let there = one_way(&skin, &original, cancel)?;
        let deviation_mm = there.max(one_way(self, &Nearest::new(&skin)?, cancel)?);
        progress.report(1.0, "fewer triangles");
        Ok(Decimated { skin, deviation_mm })
    }
}

#[cfg(test)]
mod tests;
