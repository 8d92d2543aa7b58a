//! Key of the lines a drawing uses: a sample of each with its meaning.

use glam::DVec2;

use super::title_block;
use crate::drawing::{Bounds, Drawing, Horizontal, Layer, Shape, Text, TextHeight, Vertical};

/// Height of one row, mm: seven rows stand beside the title block.
const ROW_MM: f64 = 4.7;
/// Width of one column, mm; three fit the narrowest frame.
const COLUMN_MM: f64 = 60.0;
/// Length of a sample, mm: a whole pattern of the longest line type.
const SAMPLE_MM: f64 = 15.0;

/// Where the key goes: beside the title block when the frame is wide enough, else in rows above it.
struct Layout {
    columns: usize,
    height_mm: f64,
    beside: bool,
}

fn layout(lines: usize, frame_width_mm: f64) -> Layout {
    let rows_beside = (title_block::HEIGHT_MM / ROW_MM) as usize;
    let columns_beside = ((frame_width_mm - title_block::WIDTH_MM) / COLUMN_MM).max(0.0) as usize;
    let beside = lines <= rows_beside * columns_beside;
    let columns = if beside { columns_beside.max(1) } else { (frame_width_mm / COLUMN_MM).max(1.0) as usize };
    Layout { columns, height_mm: lines.div_ceil(columns) as f64 * ROW_MM, beside }
}

/// Returns the height that the key takes above the title block, mm; 0 when it stands beside it.
pub fn height_above_mm(drawing: &Drawing, frame: Bounds) -> f64 {
    let layout = layout(explained(drawing).len(), frame.size().x);
    if layout.beside { 0.0 } else { layout.height_mm }
}

/// Draws the key. The samples lie on the layers that they explain.
pub fn draw(dress: &mut Drawing, drawing: &Drawing, frame: Bounds) {
    dress.width_group = drawing.width_group;
    let lines = explained(drawing);
    let layout = layout(lines.len(), frame.size().x);
    let foot = if layout.beside { 0.0 } else { title_block::HEIGHT_MM };
    let top_left = frame.low + DVec2::Y * (foot + layout.height_mm);
    for (index, layer) in lines.into_iter().enumerate() {
        let (row, column) = (index / layout.columns, index % layout.columns);
        let from = top_left + DVec2::new(column as f64 * COLUMN_MM + 3.0, -(row as f64 + 0.5) * ROW_MM);
        dress.add(layer, Shape::Line { from, to: from + DVec2::X * SAMPLE_MM });
        let words = Text::new(from + DVec2::X * (SAMPLE_MM + 2.0), TextHeight::Mm1_8, layer.meaning());
        dress.add(Layer::Note, words.anchored(Horizontal::Left, Vertical::Middle));
    }
}

fn explained(drawing: &Drawing) -> Vec<Layer> {
    let plain = [Layer::Dimension, Layer::Note, Layer::Frame, Layer::Tile, Layer::Hatch];
    drawing.layers().into_iter().filter(|layer| !plain.contains(layer)).collect()
}
