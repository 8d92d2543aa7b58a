//! The panel as the energies see it: every triangle in its own plane, and where its unknowns stand in the sparse matrix.

use glam::{DVec2, DVec3};
use numerics::sparse::{BlockPattern, Places};

/// Geometry and numbering of the triangles; unknown 2·point is x, 2·point + 1 is y of the flat.
pub(super) struct Panel {
    pub triangles: Vec<[u32; 3]>,
    /// Gradients of the corners' hat functions in the triangle's plane, 1/mm.
    pub slopes: Vec<[[f64; 2]; 3]>,
    pub area_mm2: Vec<f64>,
    pub total_area_mm2: f64,
    pub pattern: BlockPattern<2>,
    pub places: Places<3, 2>,
    pub diagonal: Vec<u32>,
}

impl Panel {
    pub(super) fn new(points_mm: &[DVec3], triangles: &[[u32; 3]]) -> Self {
        let mut slopes = Vec::with_capacity(triangles.len());
        let mut area_mm2 = Vec::with_capacity(triangles.len());
        for &[a, b, c] in triangles {
            let [a, b, c] = [a, b, c].map(|i| points_mm[i as usize]);
            let (e, f) = (b - a, c - a);
            let base = e.length();
            let along = e.dot(f) / base;
            let height = e.cross(f).length() / base;
            let (gb, gc) = ([1.0 / base, -along / (base * height)], [0.0, 1.0 / height]);
            slopes.push([[-gb[0] - gc[0], -gb[1] - gc[1]], gb, gc]);
            area_mm2.push(0.5 * base * height);
        }
        let pattern = BlockPattern::new(points_mm.len(), triangles.iter().map(<[u32; 3]>::as_slice));
        let places = pattern.places(triangles);
        let diagonal = pattern.diagonals().map(|at| at as u32).collect();
        let total_area_mm2 = area_mm2.iter().sum();
        Self { triangles: triangles.to_vec(), slopes, area_mm2, total_area_mm2, pattern, places, diagonal }
    }

    /// J of a triangle, panel → flat, by rows.
    pub(super) fn jacobian(&self, triangle: usize, flat: &[f64]) -> [[f64; 2]; 2] {
        let [e, f] = self.flat_edges(triangle, flat);
        let [_, gb, gc] = self.slopes[triangle];
        [
            [e[0] * gb[0] + f[0] * gc[0], e[0] * gb[1] + f[0] * gc[1]],
            [e[1] * gb[0] + f[1] * gc[0], e[1] * gb[1] + f[1] * gc[1]],
        ]
    }

    /// Edges from the first corner of a triangle in the flat, or changes of them.
    pub(super) fn flat_edges(&self, triangle: usize, flat: &[f64]) -> [[f64; 2]; 2] {
        let [a, b, c] = self.triangles[triangle].map(|i| 2 * i as usize);
        [[flat[b] - flat[a], flat[b + 1] - flat[a + 1]], [flat[c] - flat[a], flat[c + 1] - flat[a + 1]]]
    }

    /// Twice the signed area of a triangle in the flat, mm².
    pub(super) fn double_area(&self, triangle: usize, flat: &[f64]) -> f64 {
        let [e, f] = self.flat_edges(triangle, flat);
        e[0] * f[1] - e[1] * f[0]
    }

    /// Number of triangles that are turned over or without area in the flat.
    pub(super) fn turned_over(&self, flat: &[f64]) -> usize {
        (0..self.triangles.len())
            .map(|t| self.double_area(t, flat))
            .filter(|area| area.is_nan() || *area <= 0.0)
            .count()
    }
}

/// Unknowns from points.
pub(super) fn unknowns(points: &[DVec2]) -> Vec<f64> {
    points.iter().flat_map(|p| [p.x, p.y]).collect()
}

/// Points from unknowns.
pub(super) fn points(unknowns: &[f64]) -> Vec<DVec2> {
    unknowns.chunks_exact(2).map(|p| DVec2::new(p[0], p[1])).collect()
}
