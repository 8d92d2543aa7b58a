//! A uniform grid of spans, its cubic B-splines, and their roughness.

use super::SplineError;

/// Uniform spans over a rectangle, `spans + 3` B-splines each way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grid {
    low: [f64; 2],
    high: [f64; 2],
    spans: [usize; 2],
}

/// Share of curvature itself in the roughness, beside its change over the size of the grid.
const CURVATURE_SHARE: f64 = 0.25;

/// B-splines that meet a cell: `4·i + j`, i along u, j along v.
pub(super) const CORNERS: usize = 16;

/// A linear form over the coefficients of one cell.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row {
    /// The cell, along u and v.
    pub cell: [usize; 2],
    /// One weight for each B-spline of the cell.
    pub weights: [f64; CORNERS],
}

/// Abscissae and weights of four-point Gauss–Legendre quadrature on 0 to 1: exact for polynomials to degree 7
/// (Abramowitz & Stegun, Table 25.4; from memory). Products of cubics have degree 6.
const GAUSS: [[f64; 2]; 4] = [
    [0.069_431_844_202_973_71, 0.173_927_422_568_726_93],
    [0.330_009_478_207_571_87, 0.326_072_577_431_273_07],
    [0.669_990_521_792_428_1, 0.326_072_577_431_273_07],
    [0.930_568_155_797_026_3, 0.173_927_422_568_726_93],
];

/// The four cubic B-splines of a span at t from 0 to 1, or their derivatives by t.
fn basis(t: f64, order: usize) -> [f64; 4] {
    let s = 1.0 - t;
    match order {
        0 => [
            s * s * s / 6.0,
            (3.0 * t * t * t - 6.0 * t * t + 4.0) / 6.0,
            (3.0 * s * s * s - 6.0 * s * s + 4.0) / 6.0,
            t * t * t / 6.0,
        ],
        1 => [-s * s / 2.0, (3.0 * t * t - 4.0 * t) / 2.0, (4.0 * s - 3.0 * s * s) / 2.0, t * t / 2.0],
        2 => [s, 3.0 * t - 2.0, 3.0 * s - 2.0, t],
        _ => [-1.0, 3.0, -3.0, 1.0],
    }
}

impl Grid {
    /// Most spans along u or v.
    pub const MOST_SPANS: usize = 96;

    /// A grid over the rectangle from `low` to `high`, with so many spans along u and v.
    ///
    /// # Errors
    /// [`SplineError::BadGrid`].
    pub fn new(low: [f64; 2], high: [f64; 2], spans: [usize; 2]) -> Result<Self, SplineError> {
        let extent = (0..2).all(|axis| low[axis].is_finite() && high[axis].is_finite() && high[axis] > low[axis]);
        let counted = spans.iter().all(|n| (1..=Self::MOST_SPANS).contains(n));
        if extent && counted { Ok(Self { low, high, spans }) } else { Err(SplineError::BadGrid { low, high, spans }) }
    }

    /// Number of spans along u and v.
    #[must_use]
    pub fn spans(&self) -> [usize; 2] {
        self.spans
    }

    /// Number of coefficients.
    #[must_use]
    pub fn unknowns(&self) -> usize {
        (self.spans[0] + 3) * (self.spans[1] + 3)
    }

    fn span_length(&self, axis: usize) -> f64 {
        (self.high[axis] - self.low[axis]) / self.spans[axis] as f64
    }

    /// Number of a coefficient.
    pub(super) fn node(&self, i: usize, j: usize) -> usize {
        i * (self.spans[1] + 3) + j
    }

    /// Position of a coefficient along u and v.
    pub(super) fn position(&self, node: usize) -> [usize; 2] {
        [node / (self.spans[1] + 3), node % (self.spans[1] + 3)]
    }

    /// Number of a cell.
    pub(super) fn cell_number(&self, cell: [usize; 2]) -> usize {
        cell[0] * self.spans[1] + cell[1]
    }

    /// Coefficients of a cell.
    pub(super) fn nodes(&self, cell: [usize; 2]) -> [usize; CORNERS] {
        std::array::from_fn(|p| self.node(cell[0] + p / 4, cell[1] + p % 4))
    }

    /// Coefficients of all cells, in the order of their numbers.
    pub(super) fn elements(&self) -> Vec<[u32; CORNERS]> {
        let cells = (0..self.spans[0]).flat_map(|i| (0..self.spans[1]).map(move |j| [i, j]));
        cells.map(|cell| self.nodes(cell).map(|node| node as u32)).collect()
    }

    /// Span and B-splines along one axis, derived `order` times; straight beyond the ends.
    fn along(&self, axis: usize, x: f64, order: usize) -> (usize, [f64; 4]) {
        let h = self.span_length(axis);
        let inside = x.clamp(self.low[axis], self.high[axis]);
        let t = (inside - self.low[axis]) / h;
        let span = (t.floor() as usize).min(self.spans[axis] - 1);
        let (t, beyond) = (t - span as f64, (x - inside) / h);
        let mut values = basis(t, order).map(|value| value / h.powi(order as i32));
        if beyond != 0.0 && order == 0 {
            values.iter_mut().zip(basis(t, 1)).for_each(|(value, slope)| *value += beyond * slope);
        } else if beyond != 0.0 && order == 2 {
            values = [0.0; 4];
        }
        (span, values)
    }

    /// The surface at a place, derived so many times along u and v, as weights of the coefficients.
    pub(super) fn row(&self, at: [f64; 2], orders: [usize; 2]) -> Row {
        let (i, u) = self.along(0, at[0], orders[0]);
        let (j, v) = self.along(1, at[1], orders[1]);
        Row { cell: [i, j], weights: std::array::from_fn(|p| u[p / 4] * v[p % 4]) }
    }

    /// ∫ of the products of the B-splines of a span, derived `order` times.
    fn products(&self, axis: usize, order: usize) -> [[f64; 4]; 4] {
        let h = self.span_length(axis);
        let scale = h.powi(1 - 2 * order as i32);
        let mut sum = [[0.0; 4]; 4];
        for [t, weight] in GAUSS {
            let values = basis(t, order);
            for (row, a) in sum.iter_mut().zip(values) {
                row.iter_mut().zip(values).for_each(|(entry, b)| *entry += scale * weight * a * b);
            }
        }
        sum
    }

    /// The roughness of one cell as a quadratic form of its coefficients; the same for every cell.
    pub(super) fn roughness(&self) -> [[f64; CORNERS]; CORNERS] {
        let u: [_; 4] = std::array::from_fn(|order| self.products(0, order));
        let v: [_; 4] = std::array::from_fn(|order| self.products(1, order));
        let [width, length] = [0, 1].map(|axis| self.high[axis] - self.low[axis]);
        let area = width * length;
        std::array::from_fn(|p| {
            std::array::from_fn(|q| {
                let (i, j, k, l) = (p / 4, p % 4, q / 4, q % 4);
                let of = |along: usize, across: usize| u[along][i][k] * v[across][j][l];
                let curvature = of(2, 0) + 2.0 * of(1, 1) + of(0, 2);
                let its_change = of(3, 0) + 3.0 * of(2, 1) + 3.0 * of(1, 2) + of(0, 3);
                area * its_change + CURVATURE_SHARE * curvature
            })
        })
    }
}
