//! The grid of sheets over a drawing, in millimetres on paper.

use glam::DVec2;

use super::TileOptions;
use crate::drawing::Bounds;
use crate::page::Orientation;

/// Height of the strip below the window for bars, name and words, mm.
pub const FOOTER_MM: f64 = 24.0;
/// White kept round the drawing, so that its outermost lines do not run along the edge of a window, mm.
const ROUND_THE_DRAWING_MM: f64 = 2.0;

/// Column and row of a sheet, counted from the left and from the top.
pub type Place = (usize, usize);

/// The grid of sheets.
#[derive(Debug, Clone)]
pub struct Grid {
    /// Which way the sheets are held.
    pub orientation: Orientation,
    /// Columns.
    pub columns: usize,
    /// Rows.
    pub rows: usize,
    /// Size of a sheet, mm.
    pub sheet_mm: DVec2,
    /// The part of a sheet that shows the drawing, mm from the sheet's lower left corner.
    pub window: Bounds,
    /// Band that neighbours share, mm.
    pub overlap_mm: f64,
    /// Top left corner of the grid in paper millimetres of the drawing.
    top_left: DVec2,
}

/// Returns the name of a sheet: A1 is the top left one.
pub fn tile_name((column, row): Place) -> String {
    let mut letters = String::new();
    let mut rest = column;
    loop {
        letters.insert(0, char::from(b'A' + (rest % 26) as u8));
        if rest < 26 {
            break;
        }
        rest = rest / 26 - 1;
    }
    format!("{letters}{}", row + 1)
}

impl Grid {
    /// Lays the grid with the fewest sheets; upright when both ways take the same number.
    pub fn fewest_sheets(bounds: Bounds, ratio: f64, options: TileOptions) -> Self {
        let upright = Self::lay(bounds, ratio, options, Orientation::Portrait);
        let lying = Self::lay(bounds, ratio, options, Orientation::Landscape);
        if lying.columns * lying.rows < upright.columns * upright.rows { lying } else { upright }
    }

    /// A grid of one sheet, for what is not joined.
    pub fn one(options: TileOptions, orientation: Orientation) -> Self {
        let dot = Bounds { low: DVec2::ZERO, high: DVec2::ZERO };
        Self::lay(dot, 1.0, options, orientation)
    }

    fn lay(bounds: Bounds, ratio: f64, options: TileOptions, orientation: Orientation) -> Self {
        let sheet_mm = options.paper.size_mm(orientation);
        let margin = options.margin_mm;
        let low = DVec2::new(margin, margin + FOOTER_MM);
        let window = Bounds { low, high: sheet_mm - DVec2::splat(margin) };
        let paper = Bounds { low: bounds.low * ratio, high: bounds.high * ratio }.grown(ROUND_THE_DRAWING_MM);
        let overlap_mm = options.overlap_mm;
        let count = |length: f64, span: f64| ((length - overlap_mm) / (span - overlap_mm)).ceil().max(1.0) as usize;
        let columns = count(paper.size().x, window.size().x);
        let rows = count(paper.size().y, window.size().y);
        let counts = DVec2::new(columns as f64, rows as f64);
        let covered = (window.size() - DVec2::splat(overlap_mm)) * counts + DVec2::splat(overlap_mm);
        let middle = paper.middle();
        let top_left = DVec2::new(middle.x - covered.x / 2.0, middle.y + covered.y / 2.0);
        Self { orientation, columns, rows, sheet_mm, window, overlap_mm, top_left }
    }

    /// Iterates over all sheets, row by row.
    pub fn places(&self) -> impl Iterator<Item = Place> + '_ {
        (0..self.rows).flat_map(|row| (0..self.columns).map(move |column| (column, row)))
    }

    /// From one sheet to the next, mm.
    pub fn step(&self) -> DVec2 {
        self.window.size() - DVec2::splat(self.overlap_mm)
    }

    /// Returns what a sheet shows, in paper millimetres of the drawing.
    pub fn paper_window(&self, (column, row): Place) -> Bounds {
        let step = self.step();
        let left = self.top_left.x + step.x * column as f64;
        let top = self.top_left.y - step.y * row as f64;
        let size = self.window.size();
        Bounds { low: DVec2::new(left, top - size.y), high: DVec2::new(left + size.x, top) }
    }

    /// Returns where the drawing's origin lies on a sheet.
    pub fn origin_on(&self, place: Place) -> DVec2 {
        self.window.low - self.paper_window(place).low
    }

    /// Returns name and place on the sheet of the four crosses round a sheet.
    pub fn crosses(&self, (column, row): Place) -> [(String, DVec2); 4] {
        let inset = self.overlap_mm / 2.0;
        let near = self.window.grown(-inset);
        let named = |right: usize, down: usize| {
            let x = if right == 0 { near.low.x } else { near.high.x };
            let y = if down == 0 { near.high.y } else { near.low.y };
            (tile_name((column + right, row + down)).to_lowercase(), DVec2::new(x, y))
        };
        [named(0, 0), named(1, 0), named(0, 1), named(1, 1)]
    }
}

#[cfg(test)]
mod tests {
    use super::tile_name;

    #[test]
    fn sheets_are_named_like_squares_on_a_map() {
        assert_eq!(tile_name((0, 0)), "A1");
        assert_eq!(tile_name((2, 11)), "C12");
        assert_eq!(tile_name((26, 0)), "AA1");
        assert_eq!(tile_name((51, 0)), "AZ1");
        assert_eq!(tile_name((52, 0)), "BA1");
    }
}
