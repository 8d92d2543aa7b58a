//! Symmetric sparse matrices of finite elements, kept as their lower triangle by columns.
//!
//! Every node carries `D` unknowns, numbered `D·node + i`. A [`BlockPattern`] knows which nodes share an element; [`Places`]
//! remembers where the blocks of each element go, so that a matrix is filled again and again without searching.
//! Nodes given as [`HELD`] have no unknowns: their rows and columns are left out.
//! Rows ascend within a column, and sums run in the order of the elements: the same input gives the same bits.

/// In an element: a node that is held and has no unknowns.
pub const HELD: u32 = u32::MAX;

/// Which nodes share an element.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BlockPattern<const D: usize> {
    /// Node → first entry of `neighbour`; one more than there are nodes.
    start: Vec<u32>,
    /// Neighbours with a higher number, ascending.
    neighbour: Vec<u32>,
}

impl<const D: usize> BlockPattern<D> {
    /// Pattern over `nodes` nodes in which two nodes are coupled when an element holds both.
    ///
    /// Elements of different kinds follow one another in the iterator. Node numbers at or above `nodes` count as held.
    #[must_use]
    pub fn new<'a>(nodes: usize, elements: impl Iterator<Item = &'a [u32]>) -> Self {
        let mut pairs = Vec::new();
        for element in elements {
            for (i, &a) in element.iter().enumerate() {
                for &b in &element[i + 1..] {
                    if (a as usize) < nodes && (b as usize) < nodes && a != b {
                        pairs.push((u64::from(a.min(b)) << 32) | u64::from(a.max(b)));
                    }
                }
            }
        }
        pairs.sort_unstable();
        pairs.dedup();
        let mut start = vec![0u32; nodes + 1];
        for pair in &pairs {
            start[(pair >> 32) as usize + 1] += 1;
        }
        for node in 0..nodes {
            start[node + 1] += start[node];
        }
        let neighbour = pairs.iter().map(|pair| (pair & u64::from(u32::MAX)) as u32).collect();
        Self { start, neighbour }
    }

    /// Number of nodes.
    #[must_use]
    pub fn nodes(&self) -> usize {
        self.start.len() - 1
    }

    /// Number of unknowns.
    #[must_use]
    pub fn unknowns(&self) -> usize {
        D * self.nodes()
    }

    /// Number of stored values.
    #[must_use]
    pub fn stored(&self) -> usize {
        D * (D + 1) / 2 * self.nodes() + D * D * self.neighbour.len()
    }

    /// Node graph by columns, lower triangle with the diagonal: column starts and rows.
    #[must_use]
    pub fn node_graph(&self) -> (Vec<u32>, Vec<u32>) {
        self.with_unknowns::<1>().columns()
    }

    /// Column starts and rows of the lower triangle over all unknowns.
    #[must_use]
    pub fn columns(&self) -> (Vec<u32>, Vec<u32>) {
        let mut starts = Vec::with_capacity(self.unknowns() + 1);
        let mut rows = Vec::with_capacity(self.stored());
        for node in 0..self.nodes() {
            for i in 0..D {
                starts.push(rows.len() as u32);
                rows.extend((i..D).map(|j| (D * node + j) as u32));
                for &other in self.neighbours(node) {
                    rows.extend((0..D as u32).map(|j| D as u32 * other + j));
                }
            }
        }
        starts.push(rows.len() as u32);
        (starts, rows)
    }

    /// The same pattern with another number of unknowns at each node.
    #[must_use]
    pub fn with_unknowns<const E: usize>(&self) -> BlockPattern<E> {
        BlockPattern { start: self.start.clone(), neighbour: self.neighbour.clone() }
    }

    /// Number of pairs of coupled nodes.
    #[must_use]
    pub fn pairs(&self) -> usize {
        self.neighbour.len()
    }

    /// Both directions of the node graph without its diagonal: starts and neighbours of every node.
    pub(crate) fn graph(&self) -> (Vec<u32>, Vec<u32>) {
        let nodes = self.nodes();
        let mut start = vec![0u32; nodes + 1];
        for node in 0..nodes {
            start[node + 1] += self.neighbours(node).len() as u32;
            self.neighbours(node).iter().for_each(|&other| start[other as usize + 1] += 1);
        }
        for node in 0..nodes {
            start[node + 1] += start[node];
        }
        let mut next = start.clone();
        let mut neighbour = vec![0u32; start[nodes] as usize];
        for node in 0..nodes {
            for &other in self.neighbours(node) {
                for (from, to) in [(node, other), (other as usize, node as u32)] {
                    neighbour[next[from] as usize] = to;
                    next[from] += 1;
                }
            }
        }
        (start, neighbour)
    }

    fn neighbours(&self, node: usize) -> &[u32] {
        &self.neighbour[self.start[node] as usize..self.start[node + 1] as usize]
    }

    /// Position of the diagonal value of unknown `i` of a node.
    fn diagonal(&self, node: usize, i: usize) -> usize {
        let degree = self.neighbours(node).len();
        let base = D * (D + 1) / 2 * node + D * D * self.start[node] as usize;
        base + (0..i).map(|before| D - before + D * degree).sum::<usize>()
    }

    /// Positions of all diagonal values, in the order of the unknowns.
    pub fn diagonals(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.nodes()).flat_map(move |node| (0..D).map(move |i| self.diagonal(node, i)))
    }

    /// y = A x, A being the whole symmetric matrix whose lower triangle has these values.
    pub fn multiply(&self, values: &[f64], x: &[f64], y: &mut [f64]) {
        y.fill(0.0);
        let mut at = 0;
        for node in 0..self.nodes() {
            let neighbours = self.neighbours(node);
            for i in 0..D {
                let column = D * node + i;
                let factor = x[column];
                let mut sum = values[at] * factor;
                for j in i + 1..D {
                    let value = values[at + j - i];
                    y[D * node + j] += value * factor;
                    sum += value * x[D * node + j];
                }
                at += D - i;
                for &other in neighbours {
                    let rows = D * other as usize..D * (other as usize + 1);
                    let block = &values[at..at + D];
                    for ((value, x), y) in block.iter().zip(&x[rows.clone()]).zip(&mut y[rows]) {
                        *y += value * factor;
                        sum += value * x;
                    }
                    at += D;
                }
                y[column] += sum;
            }
        }
    }

    /// Where the blocks of `elements` go.
    #[must_use]
    pub fn places<const N: usize>(&self, elements: &[[u32; N]]) -> Places<N, D> {
        let held = |node: u32| node as usize >= self.nodes();
        let mut entry = Vec::with_capacity(elements.len() * N * N.saturating_sub(1) / 2);
        for element in elements {
            for p in 0..N {
                for q in p + 1..N {
                    let (low, high) = (element[p].min(element[q]), element[p].max(element[q]));
                    let found = if held(high) { None } else { self.neighbours(low as usize).binary_search(&high).ok() };
                    entry.push(found.map_or(HELD, |k| k as u32));
                }
            }
        }
        let elements =
            elements.iter().map(|element| element.map(|node| if held(node) { HELD } else { node })).collect();
        Places { elements, entry }
    }
}

/// Where the blocks of elements of `N` nodes with `D` unknowns each go.
#[derive(Debug, Clone)]
pub struct Places<const N: usize, const D: usize> {
    elements: Vec<[u32; N]>,
    entry: Vec<u32>,
}

impl<const N: usize, const D: usize> Places<N, D> {
    /// Number of elements.
    #[must_use]
    pub fn len(&self) -> usize {
        self.elements.len()
    }

    /// True without elements.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.elements.is_empty()
    }

    /// The same places for another number of unknowns at each node.
    #[must_use]
    pub fn with_unknowns<const E: usize>(&self) -> Places<N, E> {
        Places { elements: self.elements.clone(), entry: self.entry.clone() }
    }

    /// Numbers of an element's pairs of nodes (0, 1), (0, 2) … (1, 2) … among the [`BlockPattern::pairs`] of `pattern`, which made the
    /// places; [`HELD`] where a node is held.
    pub fn pairs_of(&self, pattern: &BlockPattern<D>, element: usize) -> impl Iterator<Item = u32> {
        let nodes = self.elements[element];
        let entries = element * N * N.saturating_sub(1) / 2;
        let pairs = (0..N).flat_map(move |p| (p + 1..N).map(move |q| nodes[p].min(nodes[q])));
        pairs.enumerate().map(move |(i, low)| match self.entry[entries + i] {
            HELD => HELD,
            k => pattern.start[low as usize] + k,
        })
    }

    /// Adds the symmetric matrix of one element, `M` = `N·D` rows numbered `D·corner + i`; `pattern` is the one that made the places.
    pub fn add<const M: usize>(
        &self,
        pattern: &BlockPattern<D>,
        element: usize,
        local: &[[f64; M]; M],
        values: &mut [f64],
    ) {
        let nodes = &self.elements[element];
        let pairs = N * N.saturating_sub(1) / 2;
        let mut entry = self.entry[element * pairs..(element + 1) * pairs].iter();
        for p in 0..N {
            if nodes[p] != HELD {
                let mut at = pattern.diagonal(nodes[p] as usize, 0);
                let degree = pattern.neighbours(nodes[p] as usize).len();
                for i in 0..D {
                    for j in i..D {
                        values[at + j - i] += local[D * p + i][D * p + j];
                    }
                    at += D - i + D * degree;
                }
            }
            for q in p + 1..N {
                let Some(&k) = entry.next() else { continue };
                if k == HELD {
                    continue;
                }
                let (low, high) = if nodes[p] < nodes[q] { (p, q) } else { (q, p) };
                let node = nodes[low] as usize;
                let degree = pattern.neighbours(node).len();
                let mut column = pattern.diagonal(node, 0);
                for i in 0..D {
                    let at = column + D - i + D * k as usize;
                    for j in 0..D {
                        values[at + j] += local[D * low + i][D * high + j];
                    }
                    column += D - i + D * degree;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two triangles with a common edge, two unknowns a node, against the same sum in a full matrix.
    #[test]
    fn the_lower_triangle_is_the_sum_of_the_elements() {
        let elements = [[0u32, 2, 1], [3, 1, 2], [HELD, 3, 0]];
        let pattern = BlockPattern::<2>::new(4, elements.iter().map(<[u32; 3]>::as_slice));
        let places = pattern.places(&elements);
        let mut values = vec![0.0; pattern.stored()];
        let mut full = [[0.0; 8]; 8];
        for (e, element) in elements.iter().enumerate() {
            let mut local = [[0.0; 6]; 6];
            for (a, row) in local.iter_mut().enumerate() {
                for (b, value) in row.iter_mut().enumerate() {
                    *value = (10 * a.min(b) + a.max(b)) as f64 + 100.0 * e as f64;
                }
            }
            places.add(&pattern, e, &local, &mut values);
            for a in 0..6 {
                for b in 0..6 {
                    if element[a / 2] != HELD && element[b / 2] != HELD {
                        full[2 * element[a / 2] as usize + a % 2][2 * element[b / 2] as usize + b % 2] += local[a][b];
                    }
                }
            }
        }
        let (starts, rows) = pattern.columns();
        let mut seen = 0;
        for column in 0..8 {
            for at in starts[column] as usize..starts[column + 1] as usize {
                assert_eq!(values[at], full[rows[at] as usize][column], "row {} column {column}", rows[at]);
                seen += 1;
            }
        }
        let stored = (0..8).flat_map(|c| (c..8).map(move |r| (r, c))).filter(|&(r, c)| full[r][c] != 0.0).count();
        assert_eq!(seen, stored, "nothing outside the pattern");
        let x: [f64; 8] = std::array::from_fn(|i| (i as f64 - 3.5) * 0.7);
        let mut product = [f64::NAN; 8];
        pattern.multiply(&values, &x, &mut product);
        for (row, product) in full.iter().zip(product) {
            let want: f64 = row.iter().zip(x).map(|(a, x)| a * x).sum();
            assert!((product - want).abs() < 1e-9 * want.abs(), "{product} for {want}");
        }
        // all six pairs of four nodes: 0–1, 0–2, 0–3, 1–2, 1–3, 2–3
        let numbers = |e| places.pairs_of(&pattern, e).collect::<Vec<_>>();
        assert_eq!([numbers(0), numbers(1), numbers(2)], [[1, 0, 3], [4, 5, 3], [HELD, HELD, 2]]);
        let diagonal: Vec<f64> = pattern.diagonals().map(|at| values[at]).collect();
        assert_eq!(diagonal, (0..8).map(|i| full[i][i]).collect::<Vec<_>>());
    }
}
