//! Heat capacity, conduction and loss of a panel, by node.

use super::{HeatError, Panel};
use numerics::cholesky::Cholesky;
use numerics::dissection;
use numerics::sparse::BlockPattern;

/// The matrices of a panel. Unknowns are temperatures over the air.
pub(super) struct Matrices {
    pattern: BlockPattern<1>,
    starts: Vec<u32>,
    rows: Vec<u32>,
    order: Vec<u32>,
    /// Lower triangle of conduction and loss, W/K.
    flow: Vec<f64>,
    /// Heat capacity by node, J/K.
    pub capacity: Vec<f64>,
    /// Loss of both faces by node, W/K.
    pub loss: Vec<f64>,
}

impl Matrices {
    pub(super) fn new(panel: &Panel<'_>) -> Result<Self, HeatError> {
        let skin = panel.skin;
        let nodes = skin.points_mm.len();
        let thickness = panel.thicknesses()?;
        let face_loss = panel.loss.of_one_face(panel.air_c)?.value;
        let pattern = BlockPattern::<1>::new(nodes, skin.triangles.iter().map(<[u32; 3]>::as_slice));
        let places = pattern.places(&skin.triangles);
        let mut flow = vec![0.0; pattern.stored()];
        let (mut capacity, mut loss) = (vec![0.0; nodes], vec![0.0; nodes]);
        for (index, (triangle, t)) in skin.triangles.iter().zip(&thickness).enumerate() {
            let [a, b, c] = skin.corners(index);
            let sides = [c - b, a - c, b - a];
            let double_area = skin.double_area_normal(index).length();
            let factor = panel.metal.conductivity_w_mm_k * t / (2.0 * double_area);
            let local = sides.map(|from| sides.map(|to| factor * from.dot(to)));
            places.add(&pattern, index, &local, &mut flow);
            let third = double_area / 6.0;
            for &node in triangle {
                capacity[node as usize] += panel.metal.heat_capacity_j_mm3_k * t * third;
                loss[node as usize] += 2.0 * face_loss * third;
            }
        }
        for (at, loss) in pattern.diagonals().zip(&loss) {
            flow[at] += loss;
        }
        let points: Vec<[f64; 3]> = skin.points_mm.iter().map(|p| p.to_array()).collect();
        let order = dissection::order(&pattern, &points);
        let (starts, rows) = pattern.columns();
        Ok(Self { pattern, starts, rows, order, flow, capacity, loss })
    }

    /// Factor of capacity + `seconds` · flow.
    pub(super) fn factor(&self, seconds: f64) -> Result<Cholesky, HeatError> {
        let mut values: Vec<f64> = self.flow.iter().map(|value| seconds * value).collect();
        for (at, capacity) in self.pattern.diagonals().zip(&self.capacity) {
            values[at] += capacity;
        }
        let mut factor = Cholesky::analyse_in_order(&self.pattern, &self.order)?;
        factor.factor(&values)?;
        Ok(factor)
    }

    /// Heat flowing out of each node, W.
    pub(super) fn flow_out(&self, over_air_k: &[f64]) -> Vec<f64> {
        let mut out = vec![0.0; over_air_k.len()];
        for column in 0..over_air_k.len() {
            let range = self.starts[column] as usize..self.starts[column + 1] as usize;
            for (&row, &value) in self.rows[range.clone()].iter().zip(&self.flow[range]) {
                let row = row as usize;
                out[row] += value * over_air_k[column];
                if row != column {
                    out[column] += value * over_air_k[row];
                }
            }
        }
        out
    }

    /// Loss of all faces, W.
    pub(super) fn lost_w(&self, over_air_k: &[f64]) -> f64 {
        self.loss.iter().zip(over_air_k).map(|(loss, over)| loss * over).sum()
    }

    /// Heat over the air's temperature, J.
    pub(super) fn stored_j(&self, over_air_k: &[f64]) -> f64 {
        self.capacity.iter().zip(over_air_k).map(|(capacity, over)| capacity * over).sum()
    }
}
