//! A skin in even triangles of a wanted edge.
//!
//! Method: M. Botsch, L. Kobbelt, "A remeshing approach to multiresolution modeling", Eurographics Symposium on Geometry Processing
//! 2004, section 4 (from memory): edges longer than 4/3 of the target are cut, those shorter than 4/5 drawn together, edges turned
//! towards six triangles at a point (four at a free edge), points moved along the surface to the middle of their triangles and put
//! back on the skin given. Here free edges and folds are lines of their own: their points stay on them, and corners stay where they are.
//!
//! Holds: a manifold stays one, with the same pieces and openings; no triangle is turned over that was not; same bits every time.
//! Does not hold for: gaps and folds closer together than the target (triangles there are as thin as the gap; see
//! [`Remeshed::smallest_angle_rad`]).

mod lines;
mod pass;

use crate::deviation::one_way;
use crate::nearest::Nearest;
use crate::skin::MOST_TRIANGLES;
use crate::{MeshError, Skin};
use numerics::{Cancel, Progress};
use pass::Remesher;

/// What is wanted of a remeshing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RemeshSettings {
    /// Wanted edge, mm.
    pub target_edge_mm: f64,
    /// Edges whose faces turn by more than this are folds and stay, rad; those that hang together over less than three target edges,
    /// and single triangles turned over, are taken as roughness.
    pub fold_angle_rad: f64,
    /// Where a line turns by more than this it has a corner, which stays, rad.
    pub corner_angle_rad: f64,
    /// How often all steps are done.
    pub rounds: u32,
}

impl RemeshSettings {
    /// Folds from 40°, corners from 40°, six rounds.
    #[must_use]
    pub fn to_edge_mm(target_edge_mm: f64) -> Self {
        let angle = 40f64.to_radians();
        Self { target_edge_mm, fold_angle_rad: angle, corner_angle_rad: angle, rounds: 6 }
    }

    fn check(&self, skin: &Skin) -> Result<(), MeshError> {
        let setting = |name, got, need| Err(MeshError::Setting { name, got, need });
        let edge = self.target_edge_mm;
        if !(edge.is_finite() && edge > 0.0) {
            return setting("target edge", edge, "give a length above 0 mm");
        }
        // an equilateral triangle of edge e has the area √3/4·e²
        let triangles = skin.area_mm2() / (0.25 * 3f64.sqrt() * edge * edge);
        if triangles.is_nan() || triangles > 0.5 * MOST_TRIANGLES as f64 {
            return setting("target edge", edge, "that makes more than a million triangles: give a longer one");
        }
        for (name, angle) in [("fold angle", self.fold_angle_rad), ("corner angle", self.corner_angle_rad)] {
            if !(angle > 0.0 && angle <= std::f64::consts::PI) {
                return setting(name, angle, "give an angle above 0 and up to π rad");
            }
        }
        if self.rounds == 0 || self.rounds > 100 {
            return setting("number of rounds", self.rounds.into(), "give 1 to 100");
        }
        Ok(())
    }
}

/// A skin in even triangles.
#[derive(Debug, Clone, PartialEq)]
pub struct Remeshed {
    /// The triangles.
    pub skin: Skin,
    /// How many of them look away from the skin under them; more than 0 only where the skin given is folded over itself.
    pub turned_over: usize,
    /// Smallest angle of any of them, rad.
    pub smallest_angle_rad: f64,
    /// Largest distance between the two skins, mm, both ways, at points, middles of sides and centres.
    pub deviation_mm: f64,
}

impl Skin {
    /// The skin in even triangles of a wanted edge.
    ///
    /// # Errors
    /// [`MeshError::Unsound`] for a skin that is no manifold; [`MeshError::Setting`]; [`MeshError::Cancelled`].
    pub fn remeshed(
        &self,
        settings: &RemeshSettings,
        progress: &Progress,
        cancel: &Cancel,
    ) -> Result<Remeshed, MeshError> {
        self.check_manifold()?;
        settings.check(self)?;
        let original = Nearest::new(self)?;
        let mut remesher = Remesher::new(self, &original, settings, cancel);
        remesher.untangle()?;
        for round in 0..settings.rounds {
            progress.report(0.05 + 0.7 * f64::from(round) / f64::from(settings.rounds), "even triangles");
            remesher.split()?;
            remesher.collapse()?;
            remesher.tidy();
            remesher.flip(round + 2 >= settings.rounds)?;
            remesher.relax()?;
        }
        for _ in 0..2 {
            progress.report(0.75, "mending thin triangles");
            remesher.mend()?;
            remesher.flip(true)?;
            remesher.relax()?;
        }
        remesher.flip(true)?;
        let skin = remesher.skin();
        skin.check_manifold()?;
        progress.report(0.85, "comparing");
        let there = one_way(&skin, &original, cancel)?;
        let deviation_mm = there.max(one_way(self, &Nearest::new(&skin)?, cancel)?);
        let turned_over = remesher.turned_over();
        progress.report(1.0, "even triangles");
        Ok(Remeshed { turned_over, smallest_angle_rad: skin.smallest_angle_rad(), deviation_mm, skin })
    }
}

#[cfg(test)]
mod tests;
