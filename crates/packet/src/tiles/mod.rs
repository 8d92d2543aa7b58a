//! A full-size drawing on sheets of office paper: A4 or Letter, with overlap, joining crosses, check bars and a map.
//!
//! The sheets form a grid, columns A, B, C … from the left, rows 1, 2, 3 … from the top; a sheet without a line on it
//! is not printed. Neighbours share a band of `overlap_mm`. A joining cross stands in the middle of the band at every
//! corner of the grid and carries one name on all sheets that show it: laid on each other, like names give the drawing
//! back. Words that stand below the drawing get a sheet of their own where one sheet does not hold everything. Every sheet has the 100 mm bar and the 4 in bar to be checked with a rule before anything is measured from it.

mod dressing;
mod grid;
mod ink;
mod map;
mod notes;

use std::sync::Arc;

use crate::drawing::Drawing;
use crate::error::PacketError;
use crate::page::{Orientation, Page, Paper, View};
use dressing::Footer;
use grid::Grid;

pub use grid::tile_name;

/// Most sheets that one drawing may take.
pub const MOST_SHEETS: usize = 60;

/// How a drawing is split.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TileOptions {
    /// The paper.
    pub paper: Paper,
    /// Border that the printer leaves white, mm; 5 to 25.
    pub margin_mm: f64,
    /// Band that neighbouring sheets share, mm; 5 to 30.
    pub overlap_mm: f64,
}

impl TileOptions {
    /// Returns the usual split: 10 mm border, 10 mm overlap.
    pub fn on(paper: Paper) -> Self {
        Self { paper, margin_mm: 10.0, overlap_mm: 10.0 }
    }
}

/// A split drawing.
#[derive(Debug, Clone)]
pub struct Tiling {
    /// Which way the sheets are held.
    pub orientation: Orientation,
    /// Columns of the grid.
    pub columns: usize,
    /// Rows of the grid.
    pub rows: usize,
    /// Names of the printed sheets, in order.
    pub names: Vec<String>,
    /// The map first, then the sheets in the order of `names`, last the words of the drawing where they stand apart.
    pub pages: Vec<Page>,
}

/// Splits a drawing over sheets at the drawing's own scale, which should be 1:1 for templates.
///
/// # Errors
/// As [`Drawing::bounds`]; [`PacketError::OutOfRange`] for a border or overlap outside its range;
/// [`PacketError::TooManySheets`] beyond [`MOST_SHEETS`].
pub fn split(drawing: &Drawing, options: TileOptions) -> Result<Tiling, PacketError> {
    check(drawing, "border, mm", options.margin_mm, 5.0, 25.0, "5 to 25 mm")?;
    check(drawing, "overlap, mm", options.overlap_mm, 5.0, 30.0, "5 to 30 mm")?;
    let laid = |drawing: &Drawing| Ok(Grid::fewest_sheets(drawing.bounds()?, drawing.scale.ratio(), options));
    let whole = laid(drawing)?;
    let apart = if whole.columns * whole.rows > 1 { drawing.without_words() } else { None };
    let apart = match apart {
        Some((lines, words)) => notes::sheets(&words, options)?.map(|sheets| (lines, sheets)),
        None => None,
    };
    let (lines, notes) = apart.map_or((None, Vec::new()), |(lines, sheets)| (Some(lines), sheets));
    let drawing = lines.as_ref().unwrap_or(drawing);
    let grid = if lines.is_some() { laid(drawing)? } else { whole };
    let sheets = grid.columns.saturating_mul(grid.rows);
    if sheets > MOST_SHEETS {
        let (drawing, paper) = (drawing.name.clone(), options.paper.name);
        return Err(PacketError::TooManySheets { drawing, sheets, most: MOST_SHEETS, paper });
    }
    let ink = ink::Ink::of(drawing)?;
    let printed: Vec<(usize, usize)> =
        grid.places().filter(|place| ink.touches(grid.paper_window(*place), drawing.scale.ratio())).collect();
    let total = printed.len() + notes.len() + 1;
    let footer = |name: String, number| Footer { name, number, total, drawing };
    let mut pages = vec![map::page(drawing, &grid, (&printed, notes.len()), &footer("MAP".to_owned(), 1))?];
    for (index, place) in printed.iter().enumerate() {
        let name = tile_name(*place);
        let part = Arc::new(ink.part(drawing, grid.paper_window(*place)));
        let view = View { drawing: part, origin_mm: grid.origin_on(*place), window: Some(grid.window) };
        pages.push(Page {
            name: format!("{} {name}", drawing.name),
            description: format!("Sheet {name} of {}: {}", drawing.name, drawing.description),
            size_mm: grid.sheet_mm,
            views: vec![view],
            dressing: dressing::tile(&grid, *place, &printed, &footer(name, index + 2)),
        });
    }
    let before = pages.len();
    let notes = notes.into_iter().enumerate();
    pages.extend(notes.map(|(index, sheet)| sheet.page(&footer("NOTES".to_owned(), before + index + 1))));
    let names = printed.iter().map(|place| tile_name(*place)).collect();
    Ok(Tiling { orientation: grid.orientation, columns: grid.columns, rows: grid.rows, names, pages })
}

fn check(
    drawing: &Drawing,
    what: &'static str,
    got: f64,
    least: f64,
    most: f64,
    accepted: &'static str,
) -> Result<(), PacketError> {
    if (least..=most).contains(&got) {
        return Ok(());
    }
    Err(PacketError::OutOfRange {
        drawing: drawing.name.clone(),
        item: "sheets of paper".to_owned(),
        what,
        got,
        accepted,
    })
}
