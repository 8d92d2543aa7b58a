//! Forces and moments in the sheet, in each triangle and smoothed at the nodes.
//!
//! A triangle's membrane forces are constant and its moments linear. At its centre both are more accurate than elsewhere, so the
//! value at a node is that of the polynomial of first degree (of second degree at an edge of the sheet, where the node lies beyond
//! all centres) which fits the centres around it best, the triangles being laid down into the node's tangent plane.
//! Source: O. C. Zienkiewicz, J. Z. Zhu, The superconvergent patch recovery and a posteriori error estimates, Int. J. Numer. Methods
//! Eng. 33 (1992) 1331–1364 (from memory; the plates of `checks` do not depend on it).

use super::assemble::Assembly;
use super::{Deflection, Frame, LinearModel, Loads, Sheet, element};
use crate::error::WeldError;
use glam::{DMat3, DQuat, DVec2, DVec3};

/// Triangles that face further apart than this lie on both sides of a fold: nothing is smoothed across it.
const FOLD_RAD: f64 = 0.6;
/// Centres needed for a polynomial of second degree, beyond its six coefficients.
const ENOUGH: usize = 9;

/// Forces and moments per length in a triangle, in the axes of its [`Frame`]: x, y and shear or twist.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resultants {
    /// Membrane forces, tension positive, N/mm.
    pub membrane_n_mm: [f64; 3],
    /// Moments at the corners, N·mm/mm; positive where they stretch the face the frame's z points to.
    pub moment_n: [[f64; 3]; 3],
}

impl Resultants {
    /// Moments at the centre, N·mm/mm.
    #[must_use]
    pub fn moment_at_centre_n(&self) -> [f64; 3] {
        std::array::from_fn(|i| self.moment_n.iter().map(|corner| corner[i]).sum::<f64>() / 3.0)
    }

    /// Stresses at the centre of the triangle on the face its z points to, and on the other, N/mm².
    #[must_use]
    pub fn face_stress_n_mm2(&self, sheet: &Sheet) -> [[f64; 3]; 2] {
        let (t, moment) = (sheet.thickness_mm, self.moment_at_centre_n());
        [6.0, -6.0].map(|six| std::array::from_fn(|i| self.membrane_n_mm[i] / t + six * moment[i] / (t * t)))
    }
}

/// Smoothed forces and moments at a node, as tensors in the axes of the mesh that lie in the tangent plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtNode {
    /// Normal of the sheet.
    pub normal: DVec3,
    /// Membrane forces, N/mm.
    pub membrane_n_mm: DMat3,
    /// Moments, N·mm/mm; positive where they stretch the face the normal points to.
    pub moment_n: DMat3,
}

/// A component of a tensor: that of direction `a` on a cut square to `b`; both of unit length.
#[must_use]
pub fn component(tensor: &DMat3, a: DVec3, b: DVec3) -> f64 {
    a.dot(*tensor * b)
}

impl LinearModel {
    /// Forces and moments in each triangle.
    ///
    /// # Errors
    /// Faults of the loads.
    pub fn resultants(&self, deflection: &Deflection, loads: &Loads) -> Result<Vec<Resultants>, WeldError> {
        self.assembly().resultants(&deflection.unknowns, loads)
    }
}

impl Assembly {
    /// Forces and moments in each triangle by the unknowns of the nodes, small rotations; inherent strains take no stress.
    ///
    /// # Errors
    /// Faults of the loads.
    pub fn resultants(&self, unknowns: &[f64], loads: &Loads) -> Result<Vec<Resultants>, WeldError> {
        let mut free = vec![[0.0; 3]; self.frames.len()];
        for (triangle, strain) in self.inherent(loads)? {
            free[triangle].iter_mut().zip(strain).for_each(|(sum, strain)| *sum += strain);
        }
        let in_frame = |(triangle, frame)| element::to_local(frame, &self.of_corners(triangle, unknowns));
        let mut felt: Vec<[f64; 18]> = self.frames.iter().enumerate().map(in_frame).collect();
        for (triangle, at_rest) in self.shifted(loads)? {
            felt[triangle].iter_mut().zip(at_rest).for_each(|(own, rest)| *own -= rest);
        }
        let of_triangle = |(triangle, frame): (usize, &Frame)| {
            let (strain, curvatures) = element::strains(frame, &felt[triangle]);
            let sheet = self.shell.sheet(triangle);
            Resultants {
                membrane_n_mm: sheet.force_n_mm(std::array::from_fn(|i| strain[i] - free[triangle][i])),
                moment_n: curvatures.map(|curvature| sheet.moment_n(curvature)),
            }
        };
        Ok(self.frames.iter().enumerate().map(of_triangle).collect())
    }

    /// Forces and moments at the nodes; none at a fold and at a node of no triangle.
    #[must_use]
    pub fn smoothed(&self, resultants: &[Resultants]) -> Vec<Option<AtNode>> {
        let around = Around::new(&self.shell.skin.triangles, self.pattern.nodes());
        (0..self.pattern.nodes() as u32).map(|node| self.at_node(node, &around, resultants)).collect()
    }

    fn at_node(&self, node: u32, around: &Around, resultants: &[Resultants]) -> Option<AtNode> {
        let ring = around.of(node);
        let first = self.frames.get(*ring.first()? as usize)?.axes[2];
        let facing = |triangle: u32, way: DVec3| {
            let z = self.frames[triangle as usize].axes[2];
            if z.dot(way) < 0.0 { -z } else { z }
        };
        let weighted = |&triangle: &u32| facing(triangle, first) * self.frames[triangle as usize].area_mm2;
        let normal = ring.iter().map(weighted).sum::<DVec3>().try_normalize()?;
        let flat_enough = |triangle: u32| facing(triangle, normal).dot(normal) > FOLD_RAD.cos();
        if !ring.iter().all(|&triangle| flat_enough(triangle)) {
            return None;
        }
        let beside_edge = around.is_at_edge(node, &self.shell.skin.triangles);
        let patch = if beside_edge { around.wider(node, &self.shell.skin.triangles) } else { ring.to_vec() };
        let (t1, t2) = normal.any_orthonormal_pair();
        let origin = self.shell.skin.points_mm[node as usize];
        let mut samples = Vec::with_capacity(patch.len());
        for triangle in patch.into_iter().filter(|&triangle| flat_enough(triangle)) {
            let frame = &self.frames[triangle as usize];
            let away = frame.origin_mm - origin;
            let of = &resultants[triangle as usize];
            let turned_over = if frame.axes[2].dot(normal) < 0.0 { -1.0 } else { 1.0 };
            let lay = DQuat::from_rotation_arc(frame.axes[2] * turned_over, normal);
            let (x, y) = (lay * frame.axes[0], lay * frame.axes[1]);
            let seen = |[xx, yy, xy]: [f64; 3]| {
                let part = |a: DVec3, b: DVec3| {
                    xx * a.dot(x) * b.dot(x)
                        + yy * a.dot(y) * b.dot(y)
                        + xy * (a.dot(x) * b.dot(y) + a.dot(y) * b.dot(x))
                };
                [part(t1, t1), part(t2, t2), part(t1, t2)]
            };
            let (membrane, moment) = (seen(of.membrane_n_mm), seen(of.moment_at_centre_n()).map(|m| turned_over * m));
            let values = std::array::from_fn(|i| if i < 3 { membrane[i] } else { moment[i - 3] });
            samples.push((DVec2::new(away.dot(t1), away.dot(t2)), values));
        }
        let value = fitted(&samples, beside_edge);
        let tensor = |[a, b, c]: [f64; 3]| {
            let outer = |p: DVec3, q: DVec3| DMat3::from_cols(p * q.x, p * q.y, p * q.z);
            outer(t1, t1) * a + outer(t2, t2) * b + (outer(t1, t2) + outer(t2, t1)) * c
        };
        let [a, b, c, d, e, f] = value;
        Some(AtNode { normal, membrane_n_mm: tensor([a, b, c]), moment_n: tensor([d, e, f]) })
    }
}

/// Value at the origin of the polynomial that fits best; the mean where there are too few samples.
fn fitted(samples: &[(DVec2, [f64; 6])], second_degree: bool) -> [f64; 6] {
    let size = samples.iter().map(|(at, _)| at.length()).fold(f64::MIN_POSITIVE, f64::max);
    let terms = |at: DVec2| [1.0, at.x, at.y, at.x * at.x, at.x * at.y, at.y * at.y];
    let wanted = if second_degree && samples.len() >= ENOUGH { 6 } else { 3 };
    for count in [wanted, 3] {
        let mut normal = [[0.0; 12]; 6];
        for (at, values) in samples {
            let terms = terms(*at / size);
            for (row, a) in normal.iter_mut().zip(terms).take(count) {
                row[..6].iter_mut().zip(terms).take(count).for_each(|(sum, b)| *sum += a * b);
                row[6..].iter_mut().zip(values).for_each(|(sum, value)| *sum += a * value);
            }
        }
        if samples.len() > count && eliminate(&mut normal, count) {
            return std::array::from_fn(|i| normal[0][6 + i] / normal[0][0]);
        }
    }
    std::array::from_fn(|i| samples.iter().map(|(_, values)| values[i]).sum::<f64>() / samples.len() as f64)
}

/// Eliminates the first `count` rows of a symmetric positive system with right sides, the last unknown first; false when it is singular.
fn eliminate(rows: &mut [[f64; 12]; 6], count: usize) -> bool {
    for pivot in (0..count).rev() {
        let of_pivot = rows[pivot];
        if of_pivot[pivot] < 1e-8 * count as f64 {
            return false;
        }
        for row in rows.iter_mut().take(pivot) {
            let share = row[pivot] / of_pivot[pivot];
            row.iter_mut().zip(of_pivot).for_each(|(value, of_pivot)| *value -= share * of_pivot);
        }
    }
    true
}

/// Triangles around each node.
struct Around {
    start: Vec<u32>,
    triangle: Vec<u32>,
}

impl Around {
    fn new(triangles: &[[u32; 3]], nodes: usize) -> Self {
        let mut start = vec![0u32; nodes + 1];
        triangles.iter().flatten().for_each(|&node| start[node as usize + 1] += 1);
        for node in 0..nodes {
            start[node + 1] += start[node];
        }
        let mut next = start.clone();
        let mut triangle = vec![0; 3 * triangles.len()];
        for (number, corners) in triangles.iter().enumerate() {
            for &node in corners {
                triangle[next[node as usize] as usize] = number as u32;
                next[node as usize] += 1;
            }
        }
        Self { start, triangle }
    }

    fn of(&self, node: u32) -> &[u32] {
        &self.triangle[self.start[node as usize] as usize..self.start[node as usize + 1] as usize]
    }

    /// Is a side at the node that of one triangle only?
    fn is_at_edge(&self, node: u32, triangles: &[[u32; 3]]) -> bool {
        let mut others: Vec<u32> =
            self.of(node).iter().flat_map(|&t| triangles[t as usize]).filter(|&other| other != node).collect();
        others.sort_unstable();
        others.chunk_by(|a, b| a == b).any(|same| same.len() == 1)
    }

    /// Triangles around a node and around its neighbours.
    fn wider(&self, node: u32, triangles: &[[u32; 3]]) -> Vec<u32> {
        let corners = self.of(node).iter().flat_map(|&t| triangles[t as usize]);
        let mut wider: Vec<u32> = corners.flat_map(|corner| self.of(corner)).copied().collect();
        wider.sort_unstable();
        wider.dedup();
        wider
    }
}
