//! Loads on the way from those that act to those that are wanted.

use super::triangle::Still;
use crate::error::WeldError;
use crate::shell::{Assembly, Frame, Loads, Sheet};
use glam::{DMat3, DVec3};

/// Least and most area of a triangle at rest over that of the mesh, and least cosine between their normals: beyond, the shift is no width lost.
const AREAS: [f64; 2] = [0.2, 5.0];
const LEAST_COSINE: f64 = 0.5;

/// Loads as each triangle and node takes them.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Brought {
    /// Inherent strain of each triangle, in the axes of the mesh.
    strains: Vec<DMat3>,
    /// Shift of the corners of each triangle at rest, mm.
    shifts: Vec<[DVec3; 3]>,
    /// Forces and moments at the nodes.
    pub dead: Vec<f64>,
}

impl Brought {
    /// Nothing acts.
    pub fn nothing(assembly: &Assembly) -> Self {
        let triangles = assembly.frames.len();
        let dead = vec![0.0; assembly.unknowns()];
        Self { strains: vec![DMat3::ZERO; triangles], shifts: vec![[DVec3::ZERO; 3]; triangles], dead }
    }

    pub fn of(assembly: &Assembly, loads: &Loads) -> Result<Self, WeldError> {
        let mut own = Self::nothing(assembly);
        for (triangle, [x, y, shear]) in assembly.inherent(loads)? {
            let [a, b, _] = assembly.frames[triangle].axes;
            let product = |p: DVec3, q: DVec3| DMat3::from_cols(p * q.x, p * q.y, p * q.z);
            own.strains[triangle] +=
                product(a, a) * x + product(b, b) * y + (product(a, b) + product(b, a)) * (0.5 * shear);
        }
        assembly.shifted(loads)?;
        for shift in &loads.shifts {
            own.shifts[shift.triangle as usize].iter_mut().zip(shift.corners_mm).for_each(|(sum, by)| *sum += by);
        }
        own.dead = assembly.forces(&Loads { inherent: Vec::new(), shifts: Vec::new(), ..loads.clone() })?;
        Ok(own)
    }

    /// A share of the way from one to another.
    pub fn between(from: &Self, to: &Self, share: f64) -> Self {
        let rest = 1.0 - share;
        let strains = from.strains.iter().zip(&to.strains).map(|(a, b)| *a * rest + *b * share).collect();
        let corners = |(a, b): (&[DVec3; 3], &[DVec3; 3])| std::array::from_fn(|i| a[i] * rest + b[i] * share);
        let shifts = from.shifts.iter().zip(&to.shifts).map(corners).collect();
        let dead = from.dead.iter().zip(&to.dead).map(|(a, b)| a * rest + b * share).collect();
        Self { strains, shifts, dead }
    }

    /// Where each triangle is at rest; none when one of them would be turned over or lose its area.
    pub fn frames(&self, assembly: &Assembly) -> Option<Vec<Frame>> {
        let of = |(triangle, (own, shift)): (usize, (&Frame, &[DVec3; 3]))| {
            if shift.iter().all(|by| *by == DVec3::ZERO) {
                return Some(*own);
            }
            let corners = assembly.shell.skin.corners(triangle);
            let frame = Frame::of(std::array::from_fn(|i| corners[i] + shift[i]))?;
            let area = frame.area_mm2 / own.area_mm2;
            let fits = (AREAS[0]..=AREAS[1]).contains(&area) && frame.axes[2].dot(own.axes[2]) >= LEAST_COSINE;
            fits.then_some(frame)
        };
        assembly.frames.iter().zip(&self.shifts).enumerate().map(of).collect()
    }

    /// A triangle at rest in a frame of [`Self::frames`].
    pub fn still(&self, triangle: usize, frame: &Frame, sheet: &Sheet) -> Still {
        Still::new(frame, sheet, self.strain_in(triangle, frame))
    }

    /// Strain x, y and engineering shear in the axes of a frame.
    pub fn strain_in(&self, triangle: usize, frame: &Frame) -> [f64; 3] {
        let strain = &self.strains[triangle];
        let [x, y, _] = frame.axes;
        [x.dot(*strain * x), y.dot(*strain * y), 2.0 * x.dot(*strain * y)]
    }

    /// The triangle is at rest where it is at rest under other loads.
    pub fn same_rest(&self, other: &Self, triangle: usize) -> bool {
        self.shifts[triangle] == other.shifts[triangle]
    }
}
