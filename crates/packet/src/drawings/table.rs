//! A small table inside a drawing: columns as wide as their words.

use glam::DVec2;

use super::draft::Draft;
use crate::drawing::{Layer, TextHeight};
use crate::font::{self, Weight};

/// Height of a row on paper.
const ROW: f64 = 4.6;
/// Space on both sides of a cell on paper.
const SIDE: f64 = 1.2;

/// Draws a table whose upper left corner is `at`; returns its lower left corner.
pub fn table(draft: &mut Draft, at: DVec2, head: &[&str], rows: &[Vec<String>]) -> DVec2 {
    let height = TextHeight::Mm2_5;
    let widths: Vec<f64> = head
        .iter()
        .enumerate()
        .map(|(column, title)| {
            let cells = rows.iter().filter_map(|row| row.get(column)).map(|cell| (cell.as_str(), Weight::Regular));
            let all = cells.chain([(*title, Weight::Bold)]);
            all.map(|(cell, weight)| font::text_width_mm(cell, weight, height.mm())).fold(0.0, f64::max) + 2.0 * SIDE
        })
        .collect();
    let total: f64 = widths.iter().sum();
    let bottom = -(ROW * (rows.len() + 1) as f64);
    for row in 0..=rows.len() + 1 {
        let y = -(ROW * row as f64);
        let (from, to) = (draft.moved(at, 0.0, y), draft.moved(at, total, y));
        draft.line(Layer::Note, from, to);
    }
    let mut x = 0.0;
    for (column, width) in widths.iter().enumerate() {
        let (from, to) = (draft.moved(at, x, 0.0), draft.moved(at, x, bottom));
        draft.line(Layer::Note, from, to);
        let middle = |row: usize| -(ROW * (row as f64 + 0.5));
        if let Some(title) = head.get(column) {
            draft.bold(draft.moved(at, x + SIDE, middle(0)), height, *title);
        }
        for (index, row) in rows.iter().enumerate() {
            if let Some(cell) = row.get(column).filter(|cell| !cell.is_empty()) {
                draft.words(draft.moved(at, x + SIDE, middle(index + 1)), height, cell.clone());
            }
        }
        x += width;
    }
    let (from, to) = (draft.moved(at, x, 0.0), draft.moved(at, x, bottom));
    draft.line(Layer::Note, from, to);
    draft.moved(at, 0.0, bottom)
}
