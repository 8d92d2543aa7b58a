//! Which sides of the curve come near a box.

use glam::DVec2;

/// Cells along the longer side of the curve's box.
const CELLS: f64 = 64.0;

pub(super) struct Grid {
    low: DVec2,
    cell: f64,
    columns: usize,
    rows: usize,
    cells: Vec<Vec<u32>>,
}

impl Grid {
    /// Of the sides of a closed curve, each widened by `margin`.
    pub fn new(curve: &[DVec2], margin: f64) -> Self {
        let low = curve.iter().copied().reduce(DVec2::min).unwrap_or_default() - margin;
        let high = curve.iter().copied().reduce(DVec2::max).unwrap_or_default() + margin;
        let cell = ((high - low).max_element() / CELLS).max(margin);
        let count = |length: f64| (length / cell) as usize + 1;
        let (columns, rows) = (count(high.x - low.x), count(high.y - low.y));
        let mut grid = Self { low, cell, columns, rows, cells: vec![Vec::new(); columns * rows] };
        for side in 0..curve.len() {
            let (a, b) = (curve[side], curve[(side + 1) % curve.len()]);
            grid.each_cell(a.min(b) - margin, a.max(b) + margin, |cells, at| cells[at].push(side as u32));
        }
        grid
    }

    fn each_cell(&mut self, low: DVec2, high: DVec2, mut visit: impl FnMut(&mut Vec<Vec<u32>>, usize)) {
        if let Some([left, bottom, right, top]) = self.range(low, high) {
            for row in bottom..=top {
                for column in left..=right {
                    visit(&mut self.cells, row * self.columns + column);
                }
            }
        }
    }

    fn range(&self, low: DVec2, high: DVec2) -> Option<[usize; 4]> {
        let (low, high) = ((low - self.low) / self.cell, (high - self.low) / self.cell);
        let (columns, rows) = (self.columns as f64, self.rows as f64);
        if high.x < 0.0 || high.y < 0.0 || low.x >= columns || low.y >= rows {
            return None;
        }
        let at = |v: f64, most: usize| (v.max(0.0) as usize).min(most - 1);
        Some([at(low.x, self.columns), at(low.y, self.rows), at(high.x, self.columns), at(high.y, self.rows)])
    }

    /// Sides that may come into the box, in rising order, each once.
    pub fn near(&self, low: DVec2, high: DVec2, found: &mut Vec<u32>) {
        found.clear();
        let Some([left, bottom, right, top]) = self.range(low, high) else { return };
        for row in bottom..=top {
            for cell in &self.cells[row * self.columns + left..=row * self.columns + right] {
                found.extend_from_slice(cell);
            }
        }
        found.sort_unstable();
        found.dedup();
    }
}
