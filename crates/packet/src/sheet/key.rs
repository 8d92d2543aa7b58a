//! Key of the lines a drawing uses: a sample of each with its meaning.

use glam::DVec2;

use crate::drawing::{Drawing, Horizontal, Layer, Shape, Text, TextHeight, Vertical};

/// Height of one row, mm.
const ROW_MM: f64 = 5.0;
/// Width of one column, mm; three fit the narrowest frame.
const COLUMN_MM: f64 = 60.0;
const COLUMNS: usize = 3;
/// Length of a sample, mm: a whole pattern of the longest line type.
const SAMPLE_MM: f64 = 15.0;

/// Returns the height of the key above the title block, mm.
pub fn height_mm(drawing: &Drawing) -> f64 {
    explained(drawing).len().div_ceil(COLUMNS) as f64 * ROW_MM
}

/// Draws the key with its lower left corner at `corner`. The samples lie on the layers that they explain.
pub fn draw(dress: &mut Drawing, drawing: &Drawing, corner: DVec2) {
    dress.width_group = drawing.width_group;
    let top = height_mm(drawing);
    for (index, layer) in explained(drawing).into_iter().enumerate() {
        let (row, column) = (index / COLUMNS, index % COLUMNS);
        let middle = top - (row as f64 + 0.5) * ROW_MM;
        let from = corner + DVec2::new(column as f64 * COLUMN_MM + 3.0, middle);
        dress.add(layer, Shape::Line { from, to: from + DVec2::X * SAMPLE_MM });
        let words = Text::new(from + DVec2::X * (SAMPLE_MM + 2.0), TextHeight::Mm1_8, layer.meaning());
        dress.add(Layer::Note, words.anchored(Horizontal::Left, Vertical::Middle));
    }
}

fn explained(drawing: &Drawing) -> Vec<Layer> {
    let plain = [Layer::Dimension, Layer::Note, Layer::Frame, Layer::Tile, Layer::Hatch];
    drawing.layers().into_iter().filter(|layer| !plain.contains(layer)).collect()
}
