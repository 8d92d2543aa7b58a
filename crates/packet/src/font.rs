//! The vendored typeface: its bytes, its capital height and the width of a text.
//!
//! Width is the sum of the glyphs' advance widths; kerning and ligatures are switched off in every renderer, so the
//! sum is what is printed. Heights of lettering are heights of the capitals, as ISO 3098 counts them.

use std::sync::OnceLock;

/// Family name as the font files state it, for style sheets.
pub const FAMILY: &str = "DejaVu Sans Condensed";

/// Family name as the typesetter knows it (it treats "Condensed" as a width of the family).
pub const TYPESETTER_FAMILY: &str = "DejaVu Sans";

/// What a browser falls back to when the vendored face is not loaded.
pub const FALLBACK: &str = "'DejaVu Sans Condensed', 'DejaVu Sans', Arial, sans-serif";

/// Regular weight, TrueType.
pub const REGULAR_TTF: &[u8] = include_bytes!("../assets/fonts/DejaVuSansCondensed.ttf");

/// Bold weight, TrueType.
pub const BOLD_TTF: &[u8] = include_bytes!("../assets/fonts/DejaVuSansCondensed-Bold.ttf");

/// Regular weight for the web, WOFF2, Latin, Greek and workshop signs.
pub const REGULAR_WOFF2: &[u8] = include_bytes!("../assets/fonts/DejaVuSansCondensed.subset.woff2");

/// Bold weight for the web, WOFF2, Latin, Greek and workshop signs.
pub const BOLD_WOFF2: &[u8] = include_bytes!("../assets/fonts/DejaVuSansCondensed-Bold.subset.woff2");

/// Weight of a lettering.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, PartialOrd, Ord)]
pub enum Weight {
    /// Normal strokes.
    #[default]
    Regular,
    /// Heavy strokes.
    Bold,
}

struct Face {
    parsed: ttf_parser::Face<'static>,
    em: f64,
    capital: f64,
}

impl Face {
    fn read(bytes: &'static [u8]) -> Option<Self> {
        let parsed = ttf_parser::Face::parse(bytes, 0).ok()?;
        let capital = f64::from(parsed.glyph_bounding_box(parsed.glyph_index('H')?)?.y_max);
        let em = f64::from(parsed.units_per_em());
        Some(Self { parsed, em, capital })
    }

    fn advance(&self, character: char) -> f64 {
        let glyph = self.parsed.glyph_index(character).unwrap_or(ttf_parser::GlyphId(0));
        f64::from(self.parsed.glyph_hor_advance(glyph).unwrap_or_default())
    }
}

fn face(weight: Weight) -> Option<&'static Face> {
    static REGULAR: OnceLock<Option<Face>> = OnceLock::new();
    static BOLD: OnceLock<Option<Face>> = OnceLock::new();
    match weight {
        Weight::Regular => REGULAR.get_or_init(|| Face::read(REGULAR_TTF)).as_ref(),
        Weight::Bold => BOLD.get_or_init(|| Face::read(BOLD_TTF)).as_ref(),
    }
}

/// Returns the font size in mm whose capitals are `capital_height_mm` high.
pub fn font_size_mm(capital_height_mm: f64) -> f64 {
    face(Weight::Regular).map_or(capital_height_mm, |face| capital_height_mm * face.em / face.capital)
}

/// Returns the width in mm of one line of text whose capitals are `capital_height_mm` high.
///
/// A character that the face lacks counts with the width of its replacement box, which is what gets printed.
pub fn text_width_mm(text: &str, weight: Weight, capital_height_mm: f64) -> f64 {
    let Some(face) = face(weight) else { return 0.0 };
    let units: f64 = text.chars().map(|character| face.advance(character)).sum();
    units / face.capital * capital_height_mm
}

/// Says whether the face holds a glyph for every character of `text`.
pub fn covers(text: &str, weight: Weight) -> bool {
    face(weight).is_some_and(|face| text.chars().all(|character| face.parsed.glyph_index(character).is_some()))
}

/// Breaks `text` into lines no wider than `width_mm`, at plain spaces; a no-break space holds a figure to its unit, and
/// a single longer word keeps a line of its own.
pub fn wrap(text: &str, weight: Weight, capital_height_mm: f64, width_mm: f64) -> Vec<String> {
    let mut lines = Vec::new();
    for paragraph in text.lines() {
        let mut line = String::new();
        for word in paragraph.split([' ', '\t']).filter(|word| !word.is_empty()) {
            let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
            if line.is_empty() || text_width_mm(&longer, weight, capital_height_mm) <= width_mm {
                line = longer;
            } else {
                lines.push(std::mem::replace(&mut line, word.to_owned()));
            }
        }
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Read from the font file with fontTools 4.68.0: 'H' is 1493 of 2048 units high and advances 1386, '0' advances 1172.
    #[test]
    fn extents_agree_with_an_independent_font_reader() {
        assert!((font_size_mm(1493.0) - 2048.0).abs() < 1e-9);
        assert!((text_width_mm("H", Weight::Regular, 1493.0) - 1386.0).abs() < 1e-9);
        assert!((text_width_mm("0H0", Weight::Regular, 1493.0) - (1386.0 + 2.0 * 1172.0)).abs() < 1e-9);
    }

    #[test]
    fn the_face_holds_every_sign_a_workshop_drawing_needs() {
        let signs = "⌀°±×½¼¾⅛⅜⅝⅞→↑←↓−–—≤≥≈□′″€£µ²·";
        for weight in [Weight::Regular, Weight::Bold] {
            for sign in signs.chars() {
                assert!(covers(&sign.to_string(), weight), "{sign} is missing in {weight:?}");
            }
        }
        assert!(!covers("\u{10FFFF}", Weight::Regular));
    }

    #[test]
    fn wrapped_lines_fit_and_lose_no_word() {
        let text = "do not cut the vehicle before the piece is in your hands";
        let lines = wrap(text, Weight::Regular, 3.5, 40.0);
        assert!(lines.len() > 1);
        assert!(lines.iter().all(|line| text_width_mm(line, Weight::Regular, 3.5) <= 40.0));
        assert_eq!(lines.join(" "), text);
    }
}
