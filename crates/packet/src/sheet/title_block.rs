//! The title block: 180 mm wide, lower right, three rows of captioned fields.

use glam::DVec2;

use crate::drawing::{Bounds, Drawing, Horizontal, Layer, Polyline, Text, TextHeight, Vertical};
use crate::font::{self, Weight};

/// Width, mm (handbook T13).
pub const WIDTH_MM: f64 = 180.0;
/// Height of each row, mm.
const ROW_MM: f64 = 11.0;
/// Height, mm.
pub const HEIGHT_MM: f64 = 3.0 * ROW_MM;

/// What the title block says. The scale comes from the drawing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TitleBlock {
    /// The shop.
    pub shop: String,
    /// Job name or number.
    pub job: String,
    /// The piece.
    pub piece: String,
    /// What the sheet shows: `blank`, `template 2`.
    pub shows: String,
    /// Left or right as seen from the driving seat facing forward, or `either`.
    pub hand: String,
    /// Which face is up, in words.
    pub face_up: String,
    /// Material and thickness.
    pub material: String,
    /// Rule the bends are developed by (handbook T18).
    pub bend_rule: String,
    /// Units of the dimensions.
    pub units: String,
    /// Date.
    pub date: String,
    /// Revision.
    pub revision: String,
    /// Sheet number, `1 of 3`.
    pub sheet: String,
}

/// Draws the title block into the lower right corner of the frame.
pub fn draw(dress: &mut Drawing, title: &TitleBlock, drawing: &Drawing, frame: Bounds) {
    let scale = drawing.scale.title();
    let rows: [&[(&str, &str, f64)]; 3] = [
        &[
            ("piece", &title.piece, 62.0),
            ("shows", &title.shows, 34.0),
            ("job", &title.job, 44.0),
            ("shop", &title.shop, 40.0),
        ],
        &[
            ("hand", &title.hand, 50.0),
            ("face up", &title.face_up, 60.0),
            ("material, thickness", &title.material, 70.0),
        ],
        &[
            ("bend rule", &title.bend_rule, 56.0),
            ("scale", &scale, 18.0),
            ("units", &title.units, 30.0),
            ("date", &title.date, 30.0),
            ("revision", &title.revision, 22.0),
            ("sheet", &title.sheet, 24.0),
        ],
    ];
    let left = frame.high.x - WIDTH_MM;
    let corner = DVec2::new(left, frame.low.y);
    dress.add(Layer::Frame, Polyline::rectangle(corner, corner + DVec2::new(WIDTH_MM, HEIGHT_MM)));
    for (index, row) in rows.into_iter().enumerate() {
        let foot = frame.low.y + HEIGHT_MM - (index + 1) as f64 * ROW_MM;
        let mut x = left;
        for (caption, words, width) in row {
            field(
                dress,
                Bounds { low: DVec2::new(x, foot), high: DVec2::new(x + width, foot + ROW_MM) },
                caption,
                words,
            );
            x += width;
        }
    }
}

fn field(dress: &mut Drawing, cell: Bounds, caption: &str, words: &str) {
    dress.add(Layer::Note, Polyline::rectangle(cell.low, cell.high));
    let at = DVec2::new(cell.low.x + 1.2, cell.high.y - 1.0);
    let small = TextHeight::Mm1_8;
    dress.add(Layer::Note, Text::new(at, small, caption).anchored(Horizontal::Left, Vertical::Top));
    let (height, lines) = fitted(words, cell.size().x - 2.4);
    let below = DVec2::new(cell.low.x + 1.2, cell.low.y + 1.5);
    dress.add(Layer::Note, Text::new(below, height, lines.join("\n")).bold());
}

/// Returns the largest lettering with which the words fit: one line of 3.5 or 2.5 mm, else two lines of 1.8 mm.
///
/// What is still too long ends in an ellipsis; the full words stand in the packet's documents.
fn fitted(words: &str, width_mm: f64) -> (TextHeight, Vec<String>) {
    for height in [TextHeight::Mm3_5, TextHeight::Mm2_5] {
        if font::text_width_mm(words, Weight::Bold, height.mm()) <= width_mm {
            return (height, vec![words.replace('\n', " ")]);
        }
    }
    let height = TextHeight::Mm1_8;
    let wrapped = font::wrap(words, Weight::Bold, height.mm(), width_mm);
    let more = wrapped.len() > 2;
    let mut lines: Vec<String> = wrapped.into_iter().take(2).collect();
    for (index, line) in lines.iter_mut().enumerate() {
        shorten(line, more && index == 1, height, width_mm);
    }
    (height, lines)
}

fn shorten(line: &mut String, more_follows: bool, height: TextHeight, width_mm: f64) {
    let width = |text: &str| font::text_width_mm(text, Weight::Bold, height.mm());
    if !more_follows && width(line) <= width_mm {
        return;
    }
    while !line.is_empty() && width(&format!("{line}…")) > width_mm {
        line.pop();
    }
    line.push('…');
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_never_leave_their_field() {
        let long =
            "Rear step-well tray, left hand, with the drain hole moved to the lowest corner and a doubler behind it";
        for words in ["A", "Wheel-arch strip", long, "Unbreakablewordlongerthananyfieldinthewholeofthetitleblock", ""] {
            for width in [16.0, 30.0, 62.0] {
                let (height, lines) = fitted(words, width);
                assert!(lines.len() <= 2);
                for line in &lines {
                    assert!(font::text_width_mm(line, Weight::Bold, height.mm()) <= width + 1e-9, "{line}");
                }
            }
        }
        assert!(fitted(long, 30.0).1[1].ends_with('…'));
    }
}
