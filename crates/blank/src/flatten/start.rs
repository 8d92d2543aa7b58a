//! First flat positions.
//!
//! From the panel: its triangles unfolded from the middle outward, then a few rounds of [`rigid`](super::rigid). Where that turns a
//! triangle over, the same from the least-squares conformal map (free boundary, two points held), scaled to the panel's area, or
//! that map itself. Where that fails too, the convex map: the longest boundary on a circle by arc length, every other point the
//! mean of its neighbours, holes filled with a point of their own. By Tutte's theorem (How to draw a graph, 1963) that map turns
//! nothing over.

use super::panel::{Panel, points, unknowns};
use super::rigid::{Rigid, nearest_turns, unfolded};
use glam::{DVec2, DVec3};
use numerics::cholesky::{Cholesky, CholeskyError};
use numerics::sparse::{BlockPattern, HELD};
use numerics::{Cancel, Cancelled};

/// Share of the mean diagonal times this holds a point where it is put.
const HOLD: f64 = 1e8;

/// Why no start was made.
pub(super) enum NoStart {
    Cancelled,
    Solver(CholeskyError),
}

impl From<Cancelled> for NoStart {
    fn from(_: Cancelled) -> Self {
        Self::Cancelled
    }
}

impl From<CholeskyError> for NoStart {
    fn from(fault: CholeskyError) -> Self {
        Self::Solver(fault)
    }
}

/// From the panel, without triangles turned over. `order` is that of elimination of the points.
pub(super) fn automatic(
    panel: &Panel,
    points_mm: &[DVec3],
    boundaries: &[Vec<u32>],
    order: &[u32],
    solver: &mut Cholesky,
    cancel: &Cancel,
) -> Result<Vec<f64>, NoStart> {
    let mut rigid = Rigid::new(panel, order)?;
    let unfolded = rigid.rounds(unfolded(panel, middle(panel, points_mm)), cancel)?;
    if panel.turned_over(&unfolded) == 0 {
        return Ok(unfolded);
    }
    cancel.check()?;
    let flat = conformal(panel, points_mm, &boundaries[0], solver)?;
    let mut turns = Vec::new();
    nearest_turns(panel, &flat, &mut turns);
    let again = rigid.rounds(turns, cancel)?;
    if panel.turned_over(&again) == 0 {
        return Ok(again);
    }
    if panel.turned_over(&flat) == 0 {
        return Ok(flat);
    }
    cancel.check()?;
    Ok(convex(panel, points_mm, boundaries)?)
}

/// The triangle nearest to the mean of the points.
fn middle(panel: &Panel, points_mm: &[DVec3]) -> usize {
    let mean = points_mm.iter().sum::<DVec3>() / points_mm.len() as f64;
    let away =
        |triangle: &[u32; 3]| (triangle.iter().map(|i| points_mm[*i as usize]).sum::<DVec3>() / 3.0).distance(mean);
    let away = panel.triangles.iter().map(away).enumerate();
    away.fold((0, f64::INFINITY), |best, (t, away)| if away < best.1 { (t, away) } else { best }).0
}

/// Two points far apart on a boundary: its first, and the one farthest from it.
pub(super) fn far_apart(points_mm: &[DVec3], boundary: &[u32]) -> [u32; 2] {
    let first = boundary[0];
    let away = |i: u32| points_mm[i as usize].distance_squared(points_mm[first as usize]);
    let far = boundary.iter().copied().fold(first, |best, i| if away(i) > away(best) { i } else { best });
    [first, far]
}

/// Least Σ A·|J − its own rotation and scale|², two far points held at their distance.
fn conformal(
    panel: &Panel,
    points_mm: &[DVec3],
    boundary: &[u32],
    solver: &mut Cholesky,
) -> Result<Vec<f64>, CholeskyError> {
    let mut values = vec![0.0; panel.pattern.stored()];
    for (t, slopes) in panel.slopes.iter().enumerate() {
        // J11 − J22 and J12 + J21 as rows over the corners' coordinates
        let mut rows = [[0.0; 6]; 2];
        for (v, [gx, gy]) in slopes.iter().enumerate() {
            (rows[0][2 * v], rows[0][2 * v + 1]) = (*gx, -gy);
            (rows[1][2 * v], rows[1][2 * v + 1]) = (*gy, *gx);
        }
        let mut local = [[0.0; 6]; 6];
        for row in &rows {
            for i in 0..6 {
                for j in 0..6 {
                    local[i][j] += panel.area_mm2[t] * row[i] * row[j];
                }
            }
        }
        panel.places.add(&panel.pattern, t, &local, &mut values);
    }
    let [a, b] = far_apart(points_mm, boundary);
    let hold = HOLD * panel.diagonal.iter().map(|&at| values[at as usize]).sum::<f64>() / panel.diagonal.len() as f64;
    let mut flat = vec![0.0; panel.pattern.unknowns()];
    for i in [a, b].into_iter().flat_map(|p| [2 * p as usize, 2 * p as usize + 1]) {
        values[panel.diagonal[i] as usize] += hold;
    }
    flat[2 * b as usize] = hold * points_mm[a as usize].distance(points_mm[b as usize]);
    solver.factor(&values)?;
    solver.solve(&mut flat)?;
    scale_to_area(panel, &mut flat);
    Ok(flat)
}

fn scale_to_area(panel: &Panel, flat: &mut [f64]) {
    let area: f64 = (0..panel.triangles.len()).map(|t| 0.5 * panel.double_area(t, flat)).sum();
    let factor = (panel.total_area_mm2 / area.abs().max(f64::MIN_POSITIVE)).sqrt();
    flat.iter_mut().for_each(|x| *x *= factor);
}

/// The longest boundary on a circle, every other point the mean of its neighbours; scaled to the panel's area.
pub(super) fn convex(panel: &Panel, points_mm: &[DVec3], boundaries: &[Vec<u32>]) -> Result<Vec<f64>, CholeskyError> {
    let n = points_mm.len();
    let circle = on_circle(points_mm, &boundaries[0]);
    // holes are filled: one more point each, joined to all of its edge
    let mut triangles = panel.triangles.clone();
    for (hole, boundary) in boundaries[1..].iter().enumerate() {
        for (i, &from) in boundary.iter().enumerate() {
            triangles.push([boundary[(i + 1) % boundary.len()], from, (n + hole) as u32]);
        }
    }
    let points_all = n + boundaries.len() - 1;
    let mut number = vec![0u32; points_all];
    boundaries[0].iter().for_each(|&p| number[p as usize] = HELD);
    let mut free = 0;
    for slot in number.iter_mut().filter(|slot| **slot != HELD) {
        *slot = free;
        free += 1;
    }
    // every edge once: as the pair of ascending points
    let mut edges: Vec<[u32; 2]> =
        triangles.iter().flat_map(|&[a, b, c]| [[a, b], [b, c], [c, a]]).map(|[a, b]| [a.min(b), a.max(b)]).collect();
    edges.sort_unstable();
    edges.dedup();
    let numbered: Vec<[u32; 2]> = edges.iter().map(|edge| edge.map(|p| number[p as usize])).collect();
    let pattern = BlockPattern::<1>::new(free as usize, numbered.iter().map(<[u32; 2]>::as_slice));
    let places = pattern.places(&numbered);
    let mut values = vec![0.0; pattern.stored()];
    let mut place = vec![DVec2::ZERO; points_all];
    circle.iter().zip(&boundaries[0]).for_each(|(at, &p)| place[p as usize] = *at);
    let mut sides = [vec![0.0; free as usize], vec![0.0; free as usize]];
    for (e, edge) in edges.iter().enumerate() {
        places.add(&pattern, e, &[[1.0, -1.0], [-1.0, 1.0]], &mut values);
        for (from, to) in [(edge[0], edge[1]), (edge[1], edge[0])] {
            let (row, known) = (number[from as usize], number[to as usize]);
            if row != HELD && known == HELD {
                sides[0][row as usize] += place[to as usize].x;
                sides[1][row as usize] += place[to as usize].y;
            }
        }
    }
    if free > 0 {
        let mut solver = Cholesky::analyse(&pattern)?;
        solver.factor(&values)?;
        for side in &mut sides {
            solver.solve(side)?;
        }
    }
    for (point, &row) in number.iter().enumerate().filter(|(_, row)| **row != HELD) {
        place[point] = DVec2::new(sides[0][row as usize], sides[1][row as usize]);
    }
    let mut flat = unknowns(&place[..n]);
    scale_to_area(panel, &mut flat);
    Ok(flat)
}

/// Unit circle, anticlockwise, angles in proportion to arc length.
fn on_circle(points_mm: &[DVec3], boundary: &[u32]) -> Vec<DVec2> {
    let at = |i: usize| points_mm[boundary[i % boundary.len()] as usize];
    let lengths: Vec<f64> = (0..boundary.len()).map(|i| at(i).distance(at(i + 1))).collect();
    let total: f64 = lengths.iter().sum();
    let mut along = 0.0;
    lengths
        .iter()
        .map(|length| {
            let point = DVec2::from_angle(std::f64::consts::TAU * along / total);
            along += length;
            point
        })
        .collect()
}

/// Turns and shifts a flat: centre of its points at the origin, the second far point straight to the right of the first.
pub(super) fn put_upright(flat: &[f64], far: [u32; 2]) -> Vec<DVec2> {
    let mut placed = points(flat);
    let centre = placed.iter().sum::<DVec2>() / placed.len().max(1) as f64;
    let [a, b] = far.map(|i| placed[i as usize]);
    let back = (b - a).normalize_or(DVec2::X);
    let turn = DVec2::new(back.x, -back.y);
    placed.iter_mut().for_each(|p| *p = turn.rotate(*p - centre));
    placed
}
