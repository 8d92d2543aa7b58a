//! The words that stand below a drawing, on sheets of their own: whole sentences and tables, never cut by a seam.

use std::sync::Arc;

use glam::DVec2;

use super::TileOptions;
use super::dressing::{Footer, strip};
use super::grid::Grid;
use super::ink::Ink;
use crate::drawing::{Bounds, Drawing, Item};
use crate::error::PacketError;
use crate::page::{Orientation, Page, View};

/// A sheet of words.
pub struct Sheet {
    grid: Grid,
    words: Drawing,
    /// Where the drawing's origin lies on the sheet.
    origin_mm: DVec2,
}

/// Lays the words on as many sheets as they need, upright ones if those are wide enough, broken between rows; none where a row or a table
/// is larger than a sheet.
pub fn sheets(words: &Drawing, options: TileOptions) -> Result<Option<Vec<Sheet>>, PacketError> {
    let ratio = words.scale.ratio();
    let Some(bounds) = words.bounds().ok().map(|own| on_paper(own, ratio)) else { return Ok(None) };
    let ways = [Orientation::Portrait, Orientation::Landscape].map(|way| Grid::one(options, way));
    let Some(grid) = ways.into_iter().find(|grid| bounds.size().x <= grid.window.size().x) else { return Ok(None) };
    let space = grid.window.size();
    let rows = rows(words, &Ink::of(words)?, ratio);
    if rows.iter().any(|row| row.high - row.low > space.y) {
        return Ok(None);
    }
    let mut sheets: Vec<(f64, Vec<Item>)> = Vec::new();
    for row in rows {
        match sheets.last_mut() {
            Some((top, items)) if *top - row.low <= space.y => items.extend(row.items),
            _ => sheets.push((row.high, row.items)),
        }
    }
    let sheet = |(top, items)| Sheet {
        grid: grid.clone(),
        words: Drawing { items, ..words.clone_empty() },
        origin_mm: DVec2::new(grid.window.low.x - bounds.low.x, grid.window.high.y - top),
    };
    Ok(Some(sheets.into_iter().map(sheet).collect()))
}

impl Sheet {
    /// The sheet with its strip at the foot.
    pub fn page(self, footer: &Footer<'_>) -> Page {
        let mut dressing = Drawing::new(format!("sheet {}", footer.name), "");
        strip(&mut dressing, &self.grid, footer);
        Page {
            name: format!("{} {}", footer.drawing.name, footer.name),
            description: format!("Notes of {}: {}", footer.drawing.name, footer.drawing.description),
            size_mm: self.grid.sheet_mm,
            views: vec![View {
                drawing: Arc::new(self.words),
                origin_mm: self.origin_mm,
                window: Some(self.grid.window),
            }],
            dressing,
        }
    }
}

/// Items that share heights on the paper.
struct Row {
    low: f64,
    high: f64,
    items: Vec<Item>,
}

/// The items in rows from the top; a table is one row, for its upright lines reach over it.
fn rows(words: &Drawing, ink: &Ink, ratio: f64) -> Vec<Row> {
    let boxes = words.items.iter().zip(ink.boxes());
    let mut all: Vec<(Bounds, &Item)> =
        boxes.filter_map(|(item, own)| Some((on_paper((*own)?, ratio), item))).collect();
    // items of one row keep their order: a stable sort
    all.sort_by(|a, b| b.0.high.y.total_cmp(&a.0.high.y));
    let mut rows: Vec<Row> = Vec::new();
    for (own, item) in all {
        match rows.last_mut() {
            Some(row) if own.high.y > row.low => {
                row.low = row.low.min(own.low.y);
                row.items.push(item.clone());
            }
            _ => rows.push(Row { low: own.low.y, high: own.high.y, items: vec![item.clone()] }),
        }
    }
    rows
}

fn on_paper(own: Bounds, ratio: f64) -> Bounds {
    Bounds { low: own.low * ratio, high: own.high * ratio }
}
