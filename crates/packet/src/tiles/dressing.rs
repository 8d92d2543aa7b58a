//! What is printed on every sheet besides the drawing: window, joining crosses, words at the seams, bars, name.

use glam::DVec2;

use super::grid::{Grid, Place, tile_name};
use crate::drawing::{Drawing, Horizontal, Layer, Polyline, Shape, Text, TextHeight, Vertical};

/// Half the length of a joining cross, mm.
const CROSS_ARM_MM: f64 = 4.0;
/// Radius of the ring of a joining cross, mm.
const CROSS_RING_MM: f64 = 1.5;
/// One inch, mm.
const INCH_MM: f64 = 25.4;

/// Words for the strip at the foot.
pub struct Footer<'a> {
    /// Name of the sheet, or `MAP`.
    pub name: String,
    /// Number of this page …
    pub number: usize,
    /// … of so many.
    pub total: usize,
    /// The drawing.
    pub drawing: &'a Drawing,
}

/// Dresses a sheet of the drawing.
pub fn tile(grid: &Grid, place: Place, printed: &[Place], footer: &Footer<'_>) -> Drawing {
    let mut dress = Drawing::new(format!("sheet {}", footer.name), "");
    dress.add_named(Layer::Tile, "window", Polyline::rectangle(grid.window.low, grid.window.high));
    for (name, at) in grid.crosses(place) {
        cross(&mut dress, &name, at, at.x > grid.window.middle().x);
    }
    seams(&mut dress, grid, place, printed);
    strip(&mut dress, grid, footer);
    dress
}

/// Writes bars, name and words into the strip at the foot.
pub fn strip(dress: &mut Drawing, grid: &Grid, footer: &Footer<'_>) {
    let left = grid.window.low.x;
    let foot = grid.window.low.y - super::grid::FOOTER_MM;
    bar(dress, "bar-100-mm", DVec2::new(left, foot + 12.0), 10, 10.0, "100 mm");
    bar(dress, "bar-4-in", DVec2::new(left, foot + 3.0), 4, INCH_MM, "4 in");
    let right = grid.window.high.x;
    let name = Text::new(DVec2::new(right, foot + 13.4), TextHeight::Mm10, footer.name.as_str())
        .anchored(Horizontal::Right, Vertical::Baseline)
        .bold();
    dress.add(Layer::Tile, name);
    let words = |y: f64, words: String| {
        Text::new(DVec2::new(right, foot + y), TextHeight::Mm2_5, words).anchored(Horizontal::Right, Vertical::Baseline)
    };
    let room = right - left - 4.0 * INCH_MM - 22.0;
    let page = format!("page {} of {}, {}", footer.number, footer.total, footer.drawing.name);
    dress.add(Layer::Tile, words(9.2, clipped(&page, room)));
    dress.add(Layer::Tile, words(5.0, clipped(&footer.drawing.description, room)));
    dress.add(Layer::Tile, words(0.8, "print at 100 %; lay a rule on each check bar".to_owned()));
    let up = DVec2::new(left + 4.0 * INCH_MM + 17.0, foot + 10.0);
    dress.add(Layer::Tile, Shape::Arrow { from: up, to: up + DVec2::new(0.0, 8.0) });
    let top = Text::new(up + DVec2::new(2.0, 3.0), TextHeight::Mm2_5, "top");
    dress.add(Layer::Tile, top);
}

fn clipped(words: &str, room_mm: f64) -> String {
    let width = |text: &str| crate::font::text_width_mm(text, crate::font::Weight::Regular, TextHeight::Mm2_5.mm());
    if width(words) <= room_mm {
        return words.to_owned();
    }
    let mut short: String = words.to_owned();
    while !short.is_empty() && width(&format!("{short}…")) > room_mm {
        short.pop();
    }
    format!("{}…", short.trim_end())
}

/// A bar with a tick at every part and longer ticks at its ends.
fn bar(dress: &mut Drawing, id: &str, from: DVec2, parts: i32, part_mm: f64, label: &str) {
    let length = f64::from(parts) * part_mm;
    dress.add_named(Layer::Tile, id, Shape::Line { from, to: from + DVec2::X * length });
    for i in 0..=parts {
        let tall = if i == 0 || i == parts { 5.0 } else { 2.0 };
        let at = from + DVec2::X * (f64::from(i) * part_mm);
        dress.add(Layer::Tile, Shape::Line { from: at, to: at + DVec2::Y * tall });
    }
    let beside = from + DVec2::new(length + 1.5, 0.8);
    dress.add(Layer::Tile, Text::new(beside, TextHeight::Mm2_5, label));
}

/// Near the right edge the name stands on the left of the cross.
fn cross(dress: &mut Drawing, name: &str, at: DVec2, at_right_edge: bool) {
    let id = format!("cross-{name}");
    for arm in [DVec2::X, DVec2::Y] {
        let (from, to) = (at - arm * CROSS_ARM_MM, at + arm * CROSS_ARM_MM);
        dress.add_named(Layer::Tile, id.as_str(), Shape::Line { from, to });
    }
    dress.add(Layer::Tile, Shape::Circle { centre: at, radius_mm: CROSS_RING_MM });
    let (side, horizontal) = if at_right_edge { (-1.9, Horizontal::Right) } else { (1.9, Horizontal::Left) };
    let beside = Text::new(at + DVec2::new(side, 1.3), TextHeight::Mm2_5, name);
    dress.add(Layer::Tile, beside.anchored(horizontal, Vertical::Baseline));
}

/// Says at each seam which sheet joins, outside the window.
fn seams(dress: &mut Drawing, grid: &Grid, (column, row): Place, printed: &[Place]) {
    let window = grid.window;
    let middle = window.middle();
    let quarter = std::f64::consts::FRAC_PI_2;
    let neighbours = [
        (
            column.checked_sub(1).map(|c| (c, row)),
            DVec2::new(window.low.x - 1.5, middle.y),
            quarter,
            Vertical::Baseline,
        ),
        (Some((column + 1, row)), DVec2::new(window.high.x + 1.5, middle.y), quarter, Vertical::Top),
        (row.checked_sub(1).map(|r| (column, r)), DVec2::new(middle.x, window.high.y + 1.5), 0.0, Vertical::Baseline),
        (Some((column, row + 1)), DVec2::new(middle.x, window.low.y - 1.5), 0.0, Vertical::Top),
    ];
    for (place, at, angle_rad, vertical) in neighbours {
        if let Some(place) = place.filter(|place| printed.contains(place)) {
            let words = format!("joins {}", tile_name(place));
            let text = Text::new(at, TextHeight::Mm2_5, words).anchored(Horizontal::Middle, vertical).turned(angle_rad);
            dress.add(Layer::Tile, text);
        }
    }
}
