//! A skin cut along a closed curve: the part inside, or what is left around it.
//!
//! The curve is a polygon in a plane; it cuts along the plane's normal, through everything that lies under it (several layers as
//! well). Triangles are cut along it (to rounding; in a sharp corner of the curve within
//! [`SNAP_MM`]) and share the new points, so a manifold stays one; openings stay openings, and where the curve
//! runs beyond the skin the skin's own edge bounds the part. Points of the skin closer to the curve than [`SNAP_MM`] are moved on to it
//! instead of leaving a sliver beside it. Where parts would hang together by one point, each gets its own.

mod cut;
mod grid;
mod part;

use crate::polygon::{check_simple, contains};
use crate::{MeshError, Skin};
use cut::Cutter;
use glam::{DVec2, DVec3};

/// Points closer to the curve than this are moved on to it, and corners of the curve closer than four times this are one, mm.
pub const SNAP_MM: f64 = 0.01;

/// Farthest that anything may lie from the origin, mm: beyond, the coordinates are too coarse for [`SNAP_MM`].
const FARTHEST_MM: f64 = 1e7;

/// A plane with its own two axes, seen against its normal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurvePlane {
    origin_mm: DVec3,
    right: DVec3,
    up: DVec3,
}

impl CurvePlane {
    /// Through a point, by its first axis and its normal; the axis is made square to the normal. `right`, second axis, normal are right-handed.
    ///
    /// # Errors
    /// [`MeshError::Place`] when something is not finite, the normal has no length, or the axis runs along it.
    pub fn new(origin_mm: DVec3, right: DVec3, normal: DVec3) -> Result<Self, MeshError> {
        let refused = |name, at: DVec3, need| MeshError::Place { name, x: at.x, y: at.y, z: at.z, need };
        if !(origin_mm.is_finite() && origin_mm.abs().max_element() < FARTHEST_MM) {
            return Err(refused("point", origin_mm, "give a finite point within 10 km"));
        }
        let unit = normal.try_normalize();
        let normal = unit.ok_or_else(|| refused("normal", normal, "give a finite direction of some length"))?;
        let square = right.try_normalize().map(|r| r.reject_from_normalized(normal)).filter(|r| r.length() > 1e-6);
        let need = "give a finite direction that does not run along the normal";
        let right = square.ok_or_else(|| refused("axis", right, need))?.normalize();
        Ok(Self { origin_mm, right, up: normal.cross(right) })
    }

    /// Where a point lies in the plane, seen along the normal, mm.
    #[must_use]
    pub fn flat_mm(&self, point_mm: DVec3) -> DVec2 {
        let from = point_mm - self.origin_mm;
        DVec2::new(from.dot(self.right), from.dot(self.up))
    }

    /// A point of the plane in space, mm.
    #[must_use]
    pub fn in_space_mm(&self, flat_mm: DVec2) -> DVec3 {
        self.origin_mm + self.right * flat_mm.x + self.up * flat_mm.y
    }

    /// Direction of the cut, unit.
    #[must_use]
    pub fn normal(&self) -> DVec3 {
        self.right.cross(self.up)
    }
}

/// Which side of the curve stays.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Keep {
    /// What the curve encloses.
    Inside,
    /// What lies around it.
    Outside,
}

/// A part of a skin.
#[derive(Debug, Clone, PartialEq)]
pub struct Cropped {
    /// The part: a manifold, maybe of several pieces.
    pub skin: Skin,
    /// How many pieces it has.
    pub pieces: usize,
    /// Length of the new edge, mm.
    pub cut_mm: f64,
    /// Corners of the curve under which there is no skin: more than 0 where the skin's own edge bounds the part.
    pub corners_off_skin: usize,
}

impl Skin {
    /// Cuts the skin along a closed curve and keeps one side.
    ///
    /// `curve_mm`: corners in the plane, either way round, the first not repeated.
    ///
    /// # Errors
    /// [`MeshError::Unsound`] for a skin that is no manifold, [`MeshError::CurveCrosses`], [`MeshError::CurveMissesSkin`],
    /// [`MeshError::NothingLeft`], [`MeshError::Setting`] for a skin or curve too far from the origin.
    pub fn cropped(&self, plane: &CurvePlane, curve_mm: &[DVec2], keep: Keep) -> Result<Cropped, MeshError> {
        self.check_manifold()?;
        let curve = checked_curve(curve_mm)?;
        let far = self.points_mm.iter().map(|p| p.abs().max_element());
        let far = far.chain(curve.iter().map(|p| p.abs().max_element())).fold(0.0, f64::max);
        if far > FARTHEST_MM {
            return Err(MeshError::Setting { name: "farthest coordinate", got: far, need: "give places within 10 km" });
        }
        let mut cutter = Cutter::new(self, plane, &curve);
        cutter.snap_points();
        cutter.insert_corners();
        cutter.cut_edges();
        cutter.mend();
        let inside = cutter.sides(|at| contains(&curve, at));
        if !inside.contains(&Some(true)) {
            return Err(MeshError::CurveMissesSkin);
        }
        if keep == Keep::Outside && !inside.contains(&Some(false)) {
            return Err(MeshError::NothingLeft);
        }
        let wanted = Some(keep == Keep::Inside);
        let kept: Vec<bool> = inside.iter().map(|side| *side == wanted).collect();
        let part = part::of(&cutter.mesh, &kept);
        part.skin.check_manifold()?;
        let found = cutter.found.iter().filter(|found| !**found).count();
        Ok(Cropped { skin: part.skin, pieces: part.pieces, cut_mm: part.cut_mm, corners_off_skin: found })
    }
}

/// The curve with corners that lie on each other taken once.
fn checked_curve(curve_mm: &[DVec2]) -> Result<Vec<DVec2>, MeshError> {
    let crosses = |at: DVec2| MeshError::CurveCrosses { x_mm: at.x, y_mm: at.y };
    if let Some(at) = curve_mm.iter().find(|p| !p.is_finite()) {
        return Err(MeshError::Place {
            name: "corner of the curve",
            x: at.x,
            y: at.y,
            z: 0.0,
            need: "give finite corners",
        });
    }
    let mut curve: Vec<DVec2> = Vec::with_capacity(curve_mm.len());
    for &corner in curve_mm {
        if curve.last().is_none_or(|last| last.distance(corner) >= 4.0 * SNAP_MM) {
            curve.push(corner);
        }
    }
    while curve.len() > 1 && curve[0].distance(curve[curve.len() - 1]) < 4.0 * SNAP_MM {
        curve.pop();
    }
    check_simple(&curve).map_err(|clash| crosses(clash.at_mm))?;
    Ok(curve)
}

#[cfg(test)]
mod tests;
