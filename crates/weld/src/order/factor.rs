//! A Cholesky factor that grows by rows: one row for each relative motion that a weld joins.

/// Below this share of its own compliance a motion counts as joined already by the others.
const DEPENDENT: f64 = 1e-13;

/// Lower triangle by rows, row `i` with `i + 1` numbers.
#[derive(Debug, Clone, Default)]
pub(super) struct GrowingFactor {
    rows: usize,
    packed: Vec<f64>,
}

impl GrowingFactor {
    pub fn rows(&self) -> usize {
        self.rows
    }

    fn row(&self, i: usize) -> &[f64] {
        let start = i * (i + 1) / 2;
        &self.packed[start..=start + i]
    }

    /// Adds a row: its couplings with the rows there are, and its own diagonal. False (and nothing added) when it depends on them.
    pub fn add(&mut self, couplings: &mut [f64], diagonal: f64) -> bool {
        self.forward(couplings);
        let left = diagonal - dot(couplings, couplings);
        if left.is_nan() || left <= DEPENDENT * diagonal {
            return false;
        }
        self.packed.extend_from_slice(couplings);
        self.packed.push(left.sqrt());
        self.rows += 1;
        true
    }

    /// Takes the first rows of another factor.
    pub fn copy_first(&mut self, other: &Self, rows: usize) {
        self.packed.clear();
        self.packed.extend_from_slice(&other.packed[..rows * (rows + 1) / 2]);
        self.rows = rows;
    }

    /// Forgets the rows from `rows` on.
    pub fn cut_to(&mut self, rows: usize) {
        self.packed.truncate(rows * (rows + 1) / 2);
        self.rows = rows;
    }

    fn forward(&self, side: &mut [f64]) {
        for i in 0..self.rows {
            let row = self.row(i);
            let (before, rest) = side.split_at_mut(i);
            rest[0] = (rest[0] - dot(&row[..i], before)) / row[i];
        }
    }

    /// Solves in place.
    pub fn solve(&self, side: &mut [f64]) {
        self.forward(side);
        for i in (0..self.rows).rev() {
            let row = self.row(i);
            let (before, rest) = side.split_at_mut(i);
            rest[0] /= row[i];
            add_scaled(before, -rest[0], &row[..i]);
        }
    }
}

/// Sum of products in eight lanes, so that it runs in vector registers with a fixed order of sums.
pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    let mut lanes = [0.0; 8];
    let (chunks_a, chunks_b) = (a.chunks_exact(8), b.chunks_exact(8));
    let rest: f64 = chunks_a.remainder().iter().zip(chunks_b.remainder()).map(|(x, y)| x * y).sum();
    for (x, y) in chunks_a.zip(chunks_b) {
        for ((lane, x), y) in lanes.iter_mut().zip(x).zip(y) {
            *lane += x * y;
        }
    }
    lanes.iter().sum::<f64>() + rest
}

/// `into += factor·from`.
pub(super) fn add_scaled(into: &mut [f64], factor: f64, from: &[f64]) {
    for (into, from) in into.iter_mut().zip(from) {
        *into += factor * from;
    }
}
