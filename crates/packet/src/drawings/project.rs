//! Lines of a surface as a viewer sees them: parallel projection, hidden parts dropped by a depth raster.

use std::collections::BTreeMap;

use glam::{DVec2, DVec3};
use mesh::Surface;

/// Cells of the depth raster along the longer side.
const CELLS: f64 = 900.0;
/// Two neighbouring triangles that meet at more than this show their edge (cosine of 35°).
const CREASE_COSINE: f64 = 0.819;
/// Above this two triangles lie in one plane, which shows no outline of its own when seen edge on. It is close to 1 because the
/// two halves of a slightly twisted facet may carry the outline between them.
const FLAT_COSINE: f64 = 1.0 - 1e-9;

/// A parallel view: `right` and `up` span the paper, `towards` points at the viewer. All unit and square to each other.
#[derive(Debug, Clone, Copy)]
pub struct ViewAxes {
    /// Right on paper.
    pub right: DVec3,
    /// Up on paper.
    pub up: DVec3,
    /// To the viewer.
    pub towards: DVec3,
}

impl ViewAxes {
    /// Axes for a viewer in the direction `towards`, with `up` as near to upright as that allows.
    pub fn seen_from(towards: DVec3, up: DVec3) -> Self {
        let towards = towards.normalize_or(DVec3::Z);
        let right = up.cross(towards).try_normalize().unwrap_or_else(|| towards.any_orthonormal_vector());
        Self { right, up: towards.cross(right), towards }
    }

    /// A point on paper.
    pub fn flat(&self, point: DVec3) -> DVec2 {
        DVec2::new(point.dot(self.right), point.dot(self.up))
    }

    fn depth(&self, point: DVec3) -> f64 {
        point.dot(self.towards)
    }
}

/// Visible lines on paper, each with the name of the feature line it came from ("edge" for creases and silhouettes).
pub fn visible_lines(surface: &Surface, view: &ViewAxes) -> Vec<(String, Vec<DVec2>)> {
    let Some(raster) = Raster::of(surface, view) else { return Vec::new() };
    let mut out = Vec::new();
    for line in &surface.lines {
        let mut points = line.points_mm.clone();
        if line.closed {
            points.extend(line.points_mm.first().copied());
        }
        out.extend(raster.visible(&points).into_iter().map(|run| (line.name.clone(), run)));
    }
    let edges = shape_edges(surface, view).into_iter().flat_map(|[a, b]| raster.visible(&[a, b])).collect();
    out.extend(joined(edges).into_iter().map(|run| ("edge".to_owned(), run)));
    out
}

/// Tells which places of a surface a viewer sees.
pub struct Sight<'a>(Raster<'a>);

impl<'a> Sight<'a> {
    /// Looks at a surface; `None` when it is empty.
    pub fn of(surface: &Surface, view: &'a ViewAxes) -> Option<Self> {
        Raster::of(surface, view).map(Self)
    }

    /// Is nothing in front of the point?
    pub fn sees(&self, point: DVec3) -> bool {
        self.0.sees(point)
    }

    /// The parts of a line that are seen, or those that something lies in front of, on paper.
    pub fn parts(&self, points: &[DVec3], seen: bool) -> Vec<Vec<DVec2>> {
        self.0.parts(points, seen)
    }
}

/// Joins runs that end where another starts, so that a line is drawn in one stroke.
fn joined(runs: Vec<Vec<DVec2>>) -> Vec<Vec<DVec2>> {
    let key = |point: &DVec2| ((point.x * 1e3).round() as i64, (point.y * 1e3).round() as i64);
    let mut ends: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
    for (index, run) in runs.iter().enumerate() {
        for end in run.first().into_iter().chain(run.last()) {
            ends.entry(key(end)).or_default().push(index);
        }
    }
    let mut used = vec![false; runs.len()];
    let next = |used: &mut Vec<bool>, at: DVec2| -> Option<Vec<DVec2>> {
        let index = ends.get(&key(&at))?.iter().copied().find(|index| used.get(*index) == Some(&false))?;
        *used.get_mut(index)? = true;
        let mut run = runs.get(index)?.clone();
        if run.first().map(key) != Some(key(&at)) {
            run.reverse();
        }
        Some(run)
    };
    let mut out = Vec::new();
    for (index, run) in runs.iter().enumerate() {
        if used.get_mut(index).is_none_or(|used| std::mem::replace(used, true)) {
            continue;
        }
        let mut line = run.clone();
        for _ in 0..2 {
            while let Some(more) = line.last().copied().and_then(|last| next(&mut used, last)) {
                line.extend(more.into_iter().skip(1));
            }
            line.reverse();
        }
        out.push(straightened(&line));
    }
    out.retain(|run| run.len() > 1);
    out
}

/// Creases, free edges and edges between a face turned to the viewer and one turned away.
fn shape_edges(surface: &Surface, view: &ViewAxes) -> Vec<[DVec3; 2]> {
    let place = |point: DVec3| (point * 1e4).round().to_array().map(|value| value as i64);
    // parts that meet without sharing points count as joined
    type EdgeFaces = ([DVec3; 2], Vec<DVec3>);
    let mut normals: BTreeMap<[[i64; 3]; 2], EdgeFaces> = BTreeMap::new();
    for index in 0..surface.triangles.len() {
        let Some([a, b, c]) = surface.corners(index) else { continue };
        let Some(normal) = (b - a).cross(c - a).try_normalize() else { continue };
        for (from, to) in [(a, b), (b, c), (c, a)] {
            let (p, q) = (place(from), place(to));
            normals.entry([p.min(q), p.max(q)]).or_insert(([from, to], Vec::new())).1.push(normal);
        }
    }
    normals
        .into_values()
        .filter(|(_, normals)| match normals.as_slice() {
            [a, b] => {
                let turns_away = (a.dot(view.towards) > 0.0) != (b.dot(view.towards) > 0.0);
                a.dot(*b) < CREASE_COSINE || (turns_away && a.dot(*b) < FLAT_COSINE)
            }
            _ => true,
        })
        .map(|(ends, _)| ends)
        .collect()
}

/// Depth of the nearest surface in every cell.
struct Raster<'a> {
    view: &'a ViewAxes,
    low: DVec2,
    cell_mm: f64,
    columns: usize,
    rows: usize,
    depth: Vec<f64>,
}

impl<'a> Raster<'a> {
    fn of(surface: &Surface, view: &'a ViewAxes) -> Option<Self> {
        let flat = |point: &DVec3| view.flat(*point);
        let bounds = crate::drawing::Bounds::around(surface.points_mm.iter().map(flat))?;
        let size = bounds.size();
        let cell_mm = (size.max_element() / CELLS).max(1e-6);
        let cells = |length: f64| (length / cell_mm).ceil() as usize + 3;
        let (columns, rows) = (cells(size.x), cells(size.y));
        let low = bounds.low - DVec2::splat(cell_mm);
        let depth = vec![f64::NEG_INFINITY; columns * rows];
        let mut raster = Self { view, low, cell_mm, columns, rows, depth };
        (0..surface.triangles.len())
            .filter_map(|index| surface.corners(index))
            .for_each(|corners| raster.fill(corners));
        Some(raster)
    }

    fn fill(&mut self, corners: [DVec3; 3]) {
        let [a, b, c] = corners.map(|corner| (self.view.flat(corner) - self.low) / self.cell_mm);
        let [da, db, dc] = corners.map(|corner| self.view.depth(corner));
        let area = (b - a).perp_dot(c - a);
        if area.abs() < 1e-12 {
            return;
        }
        let (low, high) = (a.min(b).min(c), a.max(b).max(c));
        let range =
            |low: f64, high: f64, most: usize| (low.floor().max(0.0) as usize)..((high.ceil() as usize + 1).min(most));
        for row in range(low.y, high.y, self.rows) {
            let Some([from, to]) = width_at([a, b, c], row as f64 + 0.5) else { continue };
            // a cell more on either side, so that rounding drops none that the test below would take
            for column in range(from - 1.0, to + 1.0, self.columns) {
                let centre = DVec2::new(column as f64 + 0.5, row as f64 + 0.5);
                let wb = (centre - a).perp_dot(c - a) / area;
                let wc = (b - a).perp_dot(centre - a) / area;
                if wb < 0.0 || wc < 0.0 || wb + wc > 1.0 {
                    continue;
                }
                let depth = da + wb * (db - da) + wc * (dc - da);
                if let Some(cell) = self.depth.get_mut(row * self.columns + column) {
                    *cell = cell.max(depth);
                }
            }
        }
    }

    /// A point is seen when one of the cells around it is no nearer to the viewer than the point.
    fn sees(&self, point: DVec3) -> bool {
        let place = (self.view.flat(point) - self.low) / self.cell_mm;
        let depth = self.view.depth(point) + 1.2 * self.cell_mm + 0.3;
        let cells = [(0.0, 0.0), (1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)];
        cells.into_iter().any(|(x, y)| {
            let (column, row) = ((place.x + x) as usize, (place.y + y) as usize);
            let cell = self.depth.get(row.min(self.rows - 1) * self.columns + column.min(self.columns - 1));
            cell.is_none_or(|nearest| *nearest <= depth)
        })
    }

    fn visible(&self, points: &[DVec3]) -> Vec<Vec<DVec2>> {
        self.parts(points, true)
    }

    fn parts(&self, points: &[DVec3], seen: bool) -> Vec<Vec<DVec2>> {
        let mut runs: Vec<Vec<DVec2>> = Vec::new();
        let mut run: Vec<DVec2> = Vec::new();
        for pair in points.windows(2) {
            let [from, to] = pair else { continue };
            let length = (self.view.flat(*to) - self.view.flat(*from)).length();
            let steps = (length / (3.0 * self.cell_mm)).ceil().clamp(1.0, 4000.0) as usize;
            for step in 0..steps {
                let [t0, t1] = [step, step + 1].map(|i| i as f64 / steps as f64);
                if self.sees(from.lerp(*to, 0.5 * (t0 + t1))) == seen {
                    if run.is_empty() {
                        run.push(self.view.flat(from.lerp(*to, t0)));
                    }
                    run.push(self.view.flat(from.lerp(*to, t1)));
                } else if !run.is_empty() {
                    runs.push(straightened(&std::mem::take(&mut run)));
                }
            }
        }
        if !run.is_empty() {
            runs.push(straightened(&run));
        }
        runs.retain(|run| run.len() > 1);
        runs
    }
}

/// From where to where a triangle reaches at height `y`; `None` above and below it. Long thin triangles that run aslant fill
/// little of the box around them, so that only this part of each row is looked at.
fn width_at([a, b, c]: [DVec2; 3], y: f64) -> Option<[f64; 2]> {
    let mut width: Option<[f64; 2]> = None;
    for (from, to) in [(a, b), (b, c), (c, a)] {
        if y < from.y.min(to.y) || y > from.y.max(to.y) || from.y == to.y {
            continue;
        }
        let x = from.x + ((y - from.y) / (to.y - from.y)).clamp(0.0, 1.0) * (to.x - from.x);
        width = Some(width.map_or([x, x], |[low, high]| [low.min(x), high.max(x)]));
    }
    width
}

/// Drops points that lie on the way between their neighbours, and points that lie on each other.
fn straightened(points: &[DVec2]) -> Vec<DVec2> {
    let mut out: Vec<DVec2> = Vec::with_capacity(points.len());
    for point in points {
        if out.last().is_some_and(|last| last.distance(*point) < 1e-6) {
            continue;
        }
        if let [.., before, last] = out.as_slice() {
            let (a, b) = (*last - *before, *point - *last);
            if a.perp_dot(b).abs() < 1e-6 * a.length() * b.length() && a.dot(b) > 0.0 {
                out.pop();
            }
        }
        out.push(*point);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the triangle's own definition: a point that three weights of 0 to 1 make lies in it, at its own height.
    #[test]
    fn the_width_of_a_row_holds_every_point_of_the_triangle_and_little_else() {
        let [a, b, c] = [DVec2::new(0.0, 0.0), DVec2::new(900.0, 895.0), DVec2::new(897.0, 900.0)];
        for step in 0..=20_u32 {
            for other in 0..=(20 - step) {
                let [wb, wc] = [step, other].map(|weight| f64::from(weight) / 20.0);
                let point = a + wb * (b - a) + wc * (c - a);
                let [low, high] = width_at([a, b, c], point.y).unwrap_or([f64::NAN; 2]);
                assert!(low - 1e-9 <= point.x && point.x <= high + 1e-9, "{point} is outside {low} to {high}");
                assert!(high - low < 8.0, "a sliver is narrow in every row, not {low} to {high}");
            }
        }
        assert_eq!(width_at([a, b, c], -0.5), None);
        assert_eq!(width_at([a, b, c], 900.5), None);
    }
}
