//! Nodal forces of loads.

use super::assemble::Assembly;
use super::{Frame, InherentStrain, Loads, RestShift, UNKNOWNS, element};
use crate::error::WeldError;
use glam::DVec3;

impl Assembly {
    /// Forces (N) and moments (N·mm) at all nodes, held ones among them.
    ///
    /// # Errors
    /// Loads that are not finite or act on what is not there.
    pub fn forces(&self, loads: &Loads) -> Result<Vec<f64>, WeldError> {
        let mut forces = vec![0.0; self.unknowns()];
        for (index, &(node, force, moment)) in loads.at_nodes.iter().enumerate() {
            let count = self.pattern.nodes();
            if node as usize >= count {
                return Err(WeldError::NoSuch { what: "the loaded point", got: node as usize, count });
            }
            if !force.is_finite() || !moment.is_finite() {
                return Err(WeldError::NotFinite { what: "load at a point, number", index });
            }
            let at = UNKNOWNS * node as usize;
            let six = force.to_array().into_iter().chain(moment.to_array());
            forces[at..at + UNKNOWNS].iter_mut().zip(six).for_each(|(sum, value)| *sum += value);
        }
        for (index, &(triangle, per_area)) in loads.per_area.iter().enumerate() {
            let frame = self.frame(triangle)?;
            if !per_area.is_finite() {
                return Err(WeldError::NotFinite { what: "load per area, number", index });
            }
            self.add_forces(triangle as usize, &area_forces(frame, per_area), &mut forces);
        }
        for (triangle, strain) in self.inherent(loads)? {
            let frame = &self.frames[triangle];
            let local = element::inherent_forces(frame, self.shell.sheet(triangle), strain);
            self.add_forces(triangle, &element::from_local(frame, &local), &mut forces);
        }
        for (triangle, at_rest) in self.shifted(loads)? {
            let frame = &self.frames[triangle];
            let stiffness = element::local_stiffness(frame, self.shell.sheet(triangle));
            let local = stiffness.map(|row| row.iter().zip(&at_rest).map(|(k, u)| k * u).sum());
            self.add_forces(triangle, &element::from_local(frame, &local), &mut forces);
        }
        Ok(forces)
    }

    /// Displacements at which triangles are at rest, 18 numbers in the axes of their frames.
    ///
    /// # Errors
    /// Shifts that are not finite or act on what is not there.
    pub fn shifted(&self, loads: &Loads) -> Result<Vec<(usize, [f64; 18])>, WeldError> {
        let in_frame = |(index, shift): (usize, &RestShift)| {
            let frame = self.frame(shift.triangle)?;
            if shift.corners_mm.iter().any(|corner| !corner.is_finite()) {
                return Err(WeldError::NotFinite { what: "shift of a triangle at rest, number", index });
            }
            let mut local = [0.0; 18];
            for (six, corner) in local.chunks_exact_mut(UNKNOWNS).zip(shift.corners_mm) {
                six[..3].copy_from_slice(&frame.to_local(corner).to_array());
            }
            Ok((shift.triangle as usize, local))
        };
        loads.shifts.iter().enumerate().map(in_frame).collect()
    }

    /// Mean membrane strains (x, y, engineering shear) at which triangles bear no force: inherent strains, and those of shifts.
    ///
    /// # Errors
    /// As [`Self::inherent`] and [`Self::shifted`].
    pub fn free_strains(&self, loads: &Loads) -> Result<Vec<(usize, [f64; 3])>, WeldError> {
        let mut free = self.inherent(loads)?;
        let shifted = self.shifted(loads)?.into_iter();
        free.extend(shifted.map(|(triangle, local)| (triangle, element::strains(&self.frames[triangle], &local).0)));
        Ok(free)
    }

    /// Inherent strains as they stand in the frames: triangle, and strain x, y, engineering shear.
    ///
    /// # Errors
    /// Strains that are not finite, have no direction in the sheet or act on what is not there.
    pub fn inherent(&self, loads: &Loads) -> Result<Vec<(usize, [f64; 3])>, WeldError> {
        let in_frame = |(index, inherent): (usize, &InherentStrain)| {
            let frame = self.frame(inherent.triangle)?;
            if inherent.strain.iter().any(|strain| !strain.is_finite()) {
                return Err(WeldError::NotFinite { what: "inherent strain, number", index });
            }
            let along = frame.to_local(inherent.along).truncate();
            let off = along.length() < 1e-6 * inherent.along.length();
            let fault = WeldError::NoDirection { what: "direction of inherent strain", index };
            let along = along.try_normalize().filter(|_| !off).ok_or(fault)?;
            Ok((inherent.triangle as usize, turned(inherent.strain, along.x, along.y)))
        };
        loads.inherent.iter().enumerate().map(in_frame).collect()
    }

    fn frame(&self, triangle: u32) -> Result<&Frame, WeldError> {
        let count = self.frames.len();
        let missing = WeldError::NoSuch { what: "the loaded triangle", got: triangle as usize, count };
        self.frames.get(triangle as usize).ok_or(missing)
    }
}

/// Strain given along and across the direction (c, s), seen along x and y.
fn turned([along, across, shear]: [f64; 3], c: f64, s: f64) -> [f64; 3] {
    [
        c * c * along + s * s * across - c * s * shear,
        s * s * along + c * c * across + c * s * shear,
        2.0 * c * s * (along - across) + (c * c - s * s) * shear,
    ]
}

/// A load spread evenly over a triangle: a third of it at each corner. Moments that a cubic deflection would add cancel between
/// neighbours and change the deflection of a plate by less than the mesh does (N1, N3: within 0.2 % at 32 × 32).
fn area_forces(frame: &Frame, per_area: DVec3) -> [f64; 18] {
    let third = per_area * frame.area_mm2 / 3.0;
    let mut forces = [0.0; 18];
    for corner in forces.chunks_exact_mut(UNKNOWNS) {
        corner[..3].copy_from_slice(&third.to_array());
    }
    forces
}
