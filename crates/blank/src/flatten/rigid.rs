//! The flat in which every triangle is as rigid as it can be: least Σ A·|J − R|², R a rotation of each triangle.
//!
//! Rounds of two steps: R from J, then the points from R (one sparse solve; the matrix stays). The first R comes from a flat, or
//! from the panel itself: its triangles unfolded one beside the other from the middle outward, which is exact on a panel that can be
//! developed and near enough on others.

use super::panel::Panel;
use super::start::NoStart;
use numerics::Cancel;
use numerics::cholesky::Cholesky;
use numerics::sparse::HELD;

/// Most rounds.
const ROUNDS: usize = 8;
/// The rounds end when one lowers the energy by less than this share of it.
const LEAST_FALL: f64 = 0.03;

/// Mean of |J − R|² below which a flat is good enough to start from: strains of a thousandth, which Newton squares.
const GOOD_ENOUGH: f64 = 1e-6;

/// A rotation as cosine and sine.
type Turn = [f64; 2];

/// The matrix of the points, factored.
pub(super) struct Rigid<'a> {
    panel: &'a Panel,
    solver: Cholesky,
}

impl<'a> Rigid<'a> {
    pub(super) fn new(panel: &'a Panel, order: &[u32]) -> Result<Self, NoStart> {
        let pattern = panel.pattern.with_unknowns::<1>();
        let places = panel.places.with_unknowns::<1>();
        let mut values = vec![0.0; pattern.stored()];
        for (t, slopes) in panel.slopes.iter().enumerate() {
            let dot = |a: [f64; 2], b: [f64; 2]| panel.area_mm2[t] * (a[0] * b[0] + a[1] * b[1]);
            let local: [[f64; 3]; 3] = std::array::from_fn(|i| std::array::from_fn(|j| dot(slopes[i], slopes[j])));
            places.add(&pattern, t, &local, &mut values);
        }
        // holds the first point: what is asked of the points does not say where they are
        if let Some(first) = pattern.diagonals().next() {
            values[first] *= 2.0;
        }
        let mut solver = Cholesky::analyse_in_order(&pattern, order)?;
        solver.factor(&values)?;
        Ok(Self { panel, solver })
    }

    /// Rounds from first rotations, as long as they lower the energy.
    pub(super) fn rounds(&mut self, mut turns: Vec<Turn>, cancel: &Cancel) -> Result<Vec<f64>, NoStart> {
        let mut flat = self.points(&turns)?;
        let mut energy = f64::INFINITY;
        for _ in 1..ROUNDS {
            cancel.check()?;
            let before = std::mem::replace(&mut energy, nearest_turns(self.panel, &flat, &mut turns));
            if energy > (1.0 - LEAST_FALL) * before || energy < GOOD_ENOUGH * self.panel.total_area_mm2 {
                break;
            }
            flat = self.points(&turns)?;
        }
        Ok(flat)
    }

    /// The points nearest to given rotations.
    fn points(&mut self, turns: &[Turn]) -> Result<Vec<f64>, NoStart> {
        let n = self.panel.pattern.nodes();
        let mut sides = vec![0.0; 2 * n];
        for ((triangle, slopes), (area, [cos, sin])) in
            self.panel.triangles.iter().zip(&self.panel.slopes).zip(self.panel.area_mm2.iter().zip(turns))
        {
            for (point, [gx, gy]) in triangle.iter().zip(slopes) {
                sides[*point as usize] += area * (cos * gx - sin * gy);
                sides[n + *point as usize] += area * (sin * gx + cos * gy);
            }
        }
        self.solver.solve_columns(&mut sides, 2)?;
        let (x, y) = sides.split_at(n);
        Ok(x.iter().zip(y).flat_map(|(x, y)| [*x, *y]).collect())
    }
}

/// The rotation nearest to each J, into `turns`; returns Σ A·|J − R|².
pub(super) fn nearest_turns(panel: &Panel, flat: &[f64], turns: &mut Vec<Turn>) -> f64 {
    turns.resize(panel.triangles.len(), [1.0, 0.0]);
    let mut energy = 0.0;
    for (t, turn) in turns.iter_mut().enumerate() {
        let [[a, b], [c, d]] = panel.jacobian(t, flat);
        let (x, y) = (a + d, c - b);
        let length = (x * x + y * y).sqrt();
        if length > 0.0 {
            *turn = [x / length, y / length];
        }
        let [cos, sin] = *turn;
        energy += panel.area_mm2[t] * ((a - cos).powi(2) + (b + sin).powi(2) + (c - sin).powi(2) + (d - cos).powi(2));
    }
    energy
}

/// Rotations of the triangles, each unfolded beside a neighbour, from triangle `first` outward in rings.
pub(super) fn unfolded(panel: &Panel, first: usize) -> Vec<Turn> {
    let mut beside = vec![[HELD; 2]; panel.pattern.pairs()];
    let mut sides = vec![[0; 3]; panel.triangles.len()];
    for (t, sides) in sides.iter_mut().enumerate() {
        for (side, pair) in sides.iter_mut().zip(panel.places.pairs_of(&panel.pattern, t)) {
            *side = pair as usize;
            let both = &mut beside[*side];
            both[usize::from(both[0] != HELD)] = t as u32;
        }
    }
    let mut turns = vec![[0.0; 2]; panel.triangles.len()];
    turns[first] = [1.0, 0.0];
    let mut queue = vec![first];
    let mut next = 0;
    while let Some(&t) = queue.get(next) {
        next += 1;
        for (side, pair) in sides[t].into_iter().enumerate() {
            let Some(other) = beside[pair].into_iter().find(|o| *o != HELD && *o as usize != t) else {
                continue;
            };
            let other = other as usize;
            if turns[other] != [0.0; 2] {
                continue;
            }
            let place = sides[other].iter().position(|p| *p == pair).unwrap_or_default();
            turns[other] = beside_turn(turns[t], ascending_edge(panel, t, side), ascending_edge(panel, other, place));
            queue.push(other);
        }
    }
    turns
}

/// An edge of a triangle in its own plane, from the lower numbered point to the higher; edges (0, 1), (0, 2), (1, 2).
fn ascending_edge(panel: &Panel, triangle: usize, side: usize) -> [f64; 2] {
    let [_, gb, gc] = panel.slopes[triangle];
    // corners at (0, 0), (base, 0), (along, height)
    let (base, height) = (1.0 / gb[0], 1.0 / gc[1]);
    let along = -gb[1] * base * height;
    let (edge, [from, to]) = match side {
        0 => ([base, 0.0], [0, 1]),
        1 => ([along, height], [0, 2]),
        _ => ([along - base, height], [1, 2]),
    };
    let corners = panel.triangles[triangle];
    if corners[from] < corners[to] { edge } else { edge.map(|x| -x) }
}

/// The turn of a triangle in which an edge lies as `edge` does in its neighbour turned by `turn`.
fn beside_turn([c, s]: Turn, [x, y]: [f64; 2], [p, q]: [f64; 2]) -> Turn {
    let (u, v) = (c * x - s * y, s * x + c * y);
    let (cos, sin) = (u * p + v * q, v * p - u * q);
    let length = (cos * cos + sin * sin).sqrt();
    [cos / length, sin / length]
}

#[cfg(test)]
mod tests {
    use super::*;
    use glam::DVec3;

    /// A folded strip unfolds to a straight one: every turn is exact, and so are the points.
    #[test]
    fn a_folded_strip_unfolds() {
        let bend = [[0.0, 0.0], [1.0, 0.0], [1.5, 0.8], [1.2, 1.7], [2.0, 2.5]];
        let points: Vec<DVec3> = bend.iter().flat_map(|[x, z]| [0.0, 0.7].map(|y| DVec3::new(*x, y, *z))).collect();
        let triangles: Vec<[u32; 3]> =
            (0..4).flat_map(|i| [[2 * i, 2 * i + 2, 2 * i + 3], [2 * i + 3, 2 * i + 1, 2 * i]]).collect();
        let panel = Panel::new(&points, &triangles);
        let order: Vec<u32> = (0..10).collect();
        let Ok(mut rigid) = Rigid::new(&panel, &order) else { panic!("no factor") };
        let mut turns = unfolded(&panel, 3);
        let Ok(flat) = rigid.rounds(turns.clone(), &Cancel::new()) else { panic!("stopped") };
        assert!(nearest_turns(&panel, &flat, &mut turns) < 1e-24);
        let length: f64 = bend.windows(2).map(|w| (w[1][0] - w[0][0]).hypot(w[1][1] - w[0][1])).sum();
        assert!(((flat[16] - flat[0]).hypot(flat[17] - flat[1]) - length).abs() < 1e-12);
    }
}
