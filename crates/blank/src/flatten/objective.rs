//! The energy of a whole flat: triangles, and edges that keep their length.

use super::isotropic::{Density, element, slope, stretches};
use super::panel::Panel;
use numerics::newton::Objective;
use numerics::sparse::Places;

/// How much dearer a held edge is than the triangles beside it.
const HELD_WEIGHT: f64 = 1e4;

/// Edges that keep their length.
pub(super) struct Held {
    ends: Vec<[u32; 2]>,
    length_mm: Vec<f64>,
    places: Places<2, 2>,
    weight: f64,
}

impl Held {
    /// `edges` with their lengths in the panel.
    pub(super) fn new(panel: &Panel, edges: &[[u32; 2]], length_mm: Vec<f64>) -> Self {
        let places = panel.pattern.places(edges);
        let weight = HELD_WEIGHT / length_mm.iter().sum::<f64>().max(f64::MIN_POSITIVE);
        Self { ends: edges.to_vec(), length_mm, places, weight }
    }

    fn edge(&self, i: usize, flat: &[f64]) -> [f64; 2] {
        let [a, b] = self.ends[i].map(|p| 2 * p as usize);
        [flat[b] - flat[a], flat[b + 1] - flat[a + 1]]
    }

    /// Share by which edge `i` is too long in the flat.
    fn excess(&self, i: usize, flat: &[f64]) -> f64 {
        let [x, y] = self.edge(i, flat);
        x.hypot(y) / self.length_mm[i] - 1.0
    }

    /// Largest share by which a held edge misses its length.
    pub(super) fn largest_error(&self, flat: &[f64]) -> f64 {
        (0..self.ends.len()).map(|i| self.excess(i, flat).abs()).fold(0.0, f64::max)
    }

    fn energy(&self, flat: &[f64]) -> f64 {
        (0..self.ends.len()).map(|i| 0.5 * self.weight * self.length_mm[i] * self.excess(i, flat).powi(2)).sum()
    }

    fn add_gradient(&self, flat: &[f64], gradient: &mut [f64]) {
        for (i, ends) in self.ends.iter().enumerate() {
            let edge = self.edge(i, flat);
            let force = self.weight * self.excess(i, flat) / edge[0].hypot(edge[1]);
            for r in 0..2 {
                gradient[2 * ends[0] as usize + r] -= force * edge[r];
                gradient[2 * ends[1] as usize + r] += force * edge[r];
            }
        }
    }

    fn add_hessian(&self, panel: &Panel, flat: &[f64], hessian: &mut [f64]) {
        for i in 0..self.ends.len() {
            let [x, y] = self.edge(i, flat);
            let length = x.hypot(y);
            let along = [x / length, y / length];
            let force = self.weight * self.excess(i, flat);
            // along the edge weight/l0; across it the pull of a stretched edge, left out where it is negative
            let stiff = self.weight / self.length_mm[i];
            let across = (force / length).max(0.0);
            let mut local = [[0.0; 4]; 4];
            for r in 0..2 {
                for c in 0..2 {
                    let both = along[r] * along[c];
                    let k = stiff * both + across * (f64::from(u8::from(r == c)) - both);
                    local[r][c] = k;
                    local[r + 2][c + 2] = k;
                    local[r][c + 2] = -k;
                    local[r + 2][c] = -k;
                }
            }
            self.places.add(&panel.pattern, i, &local, hessian);
        }
    }
}

/// Mean of the density over the panel's area, plus held edges.
pub(super) struct FlatEnergy<'a, D> {
    pub panel: &'a Panel,
    pub density: D,
    pub held: Option<&'a Held>,
}

impl<D: Density> FlatEnergy<'_, D> {
    /// Mean density over the triangles alone.
    pub(super) fn of_triangles(&self, flat: &[f64]) -> f64 {
        let panel = self.panel;
        let sum: f64 = (0..panel.triangles.len())
            .map(|t| panel.area_mm2[t] * self.density.value(stretches(panel.jacobian(t, flat))))
            .sum();
        sum / panel.total_area_mm2
    }
}

impl<D: Density> Objective for FlatEnergy<'_, D> {
    fn energy(&self, flat: &[f64]) -> f64 {
        self.of_triangles(flat) + self.held.map_or(0.0, |held| held.energy(flat))
    }

    fn derivatives(&self, flat: &[f64], gradient: &mut [f64], hessian: &mut [f64]) -> f64 {
        gradient.fill(0.0);
        hessian.fill(0.0);
        let panel = self.panel;
        let mut energy = 0.0;
        for (t, triangle) in panel.triangles.iter().enumerate() {
            let weight = panel.area_mm2[t] / panel.total_area_mm2;
            let at = element(&self.density, panel.jacobian(t, flat), &panel.slopes[t], weight);
            energy += at.energy;
            for (corner, point) in triangle.iter().enumerate() {
                for i in 0..2 {
                    gradient[2 * *point as usize + i] += at.gradient[2 * corner + i];
                }
            }
            panel.places.add(&panel.pattern, t, &at.hessian, hessian);
        }
        if let Some(held) = self.held {
            held.add_gradient(flat, gradient);
            held.add_hessian(panel, flat, hessian);
            energy += held.energy(flat);
        }
        energy
    }

    fn gradient(&self, flat: &[f64], gradient: &mut [f64]) -> f64 {
        gradient.fill(0.0);
        let panel = self.panel;
        let mut energy = 0.0;
        for (t, triangle) in panel.triangles.iter().enumerate() {
            let weight = panel.area_mm2[t] / panel.total_area_mm2;
            let (value, corners) = slope(&self.density, panel.jacobian(t, flat), &panel.slopes[t], weight);
            energy += value;
            for (corner, point) in triangle.iter().enumerate() {
                for i in 0..2 {
                    gradient[2 * *point as usize + i] += corners[2 * corner + i];
                }
            }
        }
        if let Some(held) = self.held {
            held.add_gradient(flat, gradient);
            energy += held.energy(flat);
        }
        energy
    }

    /// First multiple of the direction at which the signed area of a triangle falls to zero.
    fn largest_step(&self, flat: &[f64], direction: &[f64]) -> f64 {
        let panel = self.panel;
        let step = |t: usize| {
            let ([e, f], [de, df]) = (panel.flat_edges(t, flat), panel.flat_edges(t, direction));
            let area = e[0] * f[1] - e[1] * f[0];
            let slope = e[0] * df[1] - e[1] * df[0] + de[0] * f[1] - de[1] * f[0];
            first_root(area, slope, de[0] * df[1] - de[1] * df[0])
        };
        (0..panel.triangles.len()).map(step).fold(f64::INFINITY, f64::min)
    }

    fn hessian_values(&self) -> usize {
        self.panel.pattern.stored()
    }

    fn diagonal(&self) -> &[u32] {
        &self.panel.diagonal
    }
}

/// Smallest positive root of c + b·s + a·s² for c > 0; infinite when there is none.
fn first_root(c: f64, b: f64, a: f64) -> f64 {
    let discriminant = b * b - 4.0 * a * c;
    if discriminant < 0.0 || (b >= 0.0 && a >= 0.0) {
        return f64::INFINITY;
    }
    // for b ≥ 0 (then a < 0) the positive root is (−b − √)/(2a); for b < 0 the smaller one is 2c/(−b + √), without cancelling
    let root = discriminant.sqrt();
    if b >= 0.0 { (-b - root) / (2.0 * a) } else { 2.0 * c / (root - b) }
}

#[cfg(test)]
mod tests {
    use super::first_root;

    #[test]
    fn the_first_root_is_where_the_area_falls_to_zero() {
        assert!((first_root(2.0, -3.0, 1.0) - 1.0).abs() < 1e-15);
        assert!((first_root(2.0, -1.0, 0.0) - 2.0).abs() < 1e-15);
        assert!((first_root(1.0, 0.0, -4.0) - 0.5).abs() < 1e-15);
        assert!((first_root(3.0, 2.0, -1.0) - 3.0).abs() < 1e-15);
        assert_eq!(first_root(1.0, 1.0, 1.0), f64::INFINITY);
        assert_eq!(first_root(1.0, -1.0, 1.0), f64::INFINITY);
    }
}
