//! What is printed on every sheet besides the drawing: window, joining crosses, words at the seams, bars, name.

use glam::DVec2;

use super::grid::{Grid, Place, tile_name};
use crate::drawing::{Drawing, Horizontal, Layer, Polyline, Shape, Text, TextHeight, Vertical};
use crate::font::{self, Weight};

/// Half the length of a joining cross, mm.
const CROSS_ARM_MM: f64 = 4.0;
/// Radius of the ring of a joining cross, mm.
const CROSS_RING_MM: f64 = 1.5;
/// One inch, mm.
const INCH_MM: f64 = 25.4;
/// How a sheet must be printed.
const PRINT_WORDS: &str = "print at 100 %; lay a rule on each check bar";
/// Line to line at the foot, in heights of the letters.
const PITCH: f64 = 1.3;
/// Lowest and highest line at the foot, and the sheet's name above them: baselines over the foot, mm.
const LOWEST_MM: f64 = 0.8;
const HIGHEST_MM: f64 = 11.2;
const NAME_MM: f64 = 13.4;

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
    let name = Text::new(DVec2::new(right, foot + NAME_MM), TextHeight::Mm10, footer.name.as_str())
        .anchored(Horizontal::Right, Vertical::Baseline)
        .bold();
    dress.add(Layer::Tile, name);
    let room_mm = right - left - 4.0 * INCH_MM - 22.0;
    let page = format!("page {} of {}, {}", footer.number, footer.total, footer.drawing.name);
    let (height, lines) = foot_lines(&[page.as_str(), footer.drawing.description.as_str(), PRINT_WORDS], room_mm);
    let pitch_mm = PITCH * height.mm();
    for (line, up) in lines.into_iter().rev().zip(0_u32..) {
        let at = DVec2::new(right, foot + LOWEST_MM + f64::from(up) * pitch_mm);
        dress.add(Layer::Tile, Text::new(at, height, line).anchored(Horizontal::Right, Vertical::Baseline));
    }
    let up = DVec2::new(left + 4.0 * INCH_MM + 17.0, foot + 10.0);
    dress.add(Layer::Tile, Shape::Arrow { from: up, to: up + DVec2::new(0.0, 8.0) });
    let top = Text::new(up + DVec2::new(2.0, 3.0), TextHeight::Mm2_5, "top");
    dress.add(Layer::Tile, top);
}

/// Sentences of the foot broken into lines that fit beside the bars and below the sheet's name; smaller where they would be too many. Only
/// what does not fit then either is cut, with a mark.
fn foot_lines(sentences: &[&str], room_mm: f64) -> (TextHeight, Vec<String>) {
    let broken = |height: TextHeight| -> Vec<String> {
        sentences.iter().flat_map(|own| font::wrap(own, Weight::Regular, height.mm(), room_mm)).collect()
    };
    let most = |height: TextHeight| ((HIGHEST_MM - LOWEST_MM) / (PITCH * height.mm())).floor() as usize + 1;
    let height = TextHeight::Mm2_5;
    let lines = broken(height);
    if lines.len() <= most(height) {
        return (height, lines);
    }
    let (height, mut lines) = (TextHeight::Mm1_8, broken(TextHeight::Mm1_8));
    if let Some(over) = lines.len().checked_sub(most(height)).filter(|over| *over > 0) {
        // how it must be printed stands last and stays
        let last = lines.len() - 1;
        lines.drain(last - over..last);
        if let Some(cut) = lines.len().checked_sub(2).and_then(|at| lines.get_mut(at)) {
            cut.push('…');
        }
    }
    (height, lines)
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

#[cfg(test)]
mod tests {
    use super::*;

    /// On A4 there are 66 mm beside the bars: a long name and what a long drawing shows are broken, not cut, and stay within the room.
    #[test]
    fn no_word_of_the_foot_is_cut() {
        let room_mm = 66.4;
        let page = "page 12 of 16, template x = 210 mm, front dome corner of the roof";
        let description = "Flat of front dome corner of the roof, 0.9 mm mild steel (taken as DC01), outside face up";
        for sentences in [["page 1 of 2, blank patch", "Flat of patch", PRINT_WORDS], [page, description, PRINT_WORDS]]
        {
            let (height, lines) = foot_lines(&sentences, room_mm);
            let words = |text: &str| text.split(' ').map(str::to_owned).collect::<Vec<_>>();
            assert_eq!(words(&lines.join(" ")), words(&sentences.join(" ")));
            for line in &lines {
                let wide = font::text_width_mm(line, Weight::Regular, height.mm());
                assert!(wide <= room_mm, "{line}: {wide}");
            }
            let top = LOWEST_MM + (lines.len() - 1) as f64 * PITCH * height.mm() + height.mm();
            assert!(top <= NAME_MM, "{top}: {lines:?}");
        }
        let endless = "one word after another ".repeat(30);
        let (_, lines) = foot_lines(&[page, &endless, PRINT_WORDS], room_mm);
        assert!(lines.iter().any(|line| line.ends_with('…')), "{lines:?}");
        assert_eq!(lines.last().map(String::as_str), Some(PRINT_WORDS));
    }
}
