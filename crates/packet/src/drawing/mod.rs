//! The one drawing model: built once, rendered as SVG, DXF and PDF by modules that do not know each other.
//!
//! Frame: millimetres at real size, x to the right, **y up**, angles in radians anticlockwise from +x. Sizes of
//! lettering, arrows, offsets of dimension lines and hatch spacing are millimetres **on paper**; the drawing's
//! [`Scale`] joins the two, so that a 3.5 mm letter is 3.5 mm high at any scale.
//!
//! A drawing is a list of [`Item`]s: a [`Shape`] on a [`Layer`], with an optional id by which a page can point at it.
//! [`Drawing::strokes`] breaks shapes that carry meaning (dimensions, leaders, hatching) down to polylines, circles,
//! arcs, filled polygons and texts: that is all a renderer sees.

mod annotate;
mod bounds;
mod check;
mod dodge;
pub(crate) mod hatch;
mod layer;
mod polyline;
mod shape;
mod stroke;

pub use bounds::Bounds;
pub use layer::{Layer, LineType, LineWidth, WidthGroup};
pub use polyline::{ArcForm, Polyline, Step, Vertex};
pub use shape::{Along, Anchor, Horizontal, Label, RunningStation, Shape, Text, TextHeight, Vertical};
pub use stroke::{Mark, Stroke, TextRun, arc_path};

use glam::DVec2;

use crate::error::PacketError;

/// Drawing scale, paper : real, for example 1:5.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Millimetres on paper …
    pub paper: f64,
    /// … for so many in reality.
    pub real: f64,
}

impl Scale {
    /// Real size.
    pub const FULL: Self = Self { paper: 1.0, real: 1.0 };

    /// The reducing and full scales of ISO 5455 (from memory), largest first.
    pub const SERIES: [Self; 9] = [
        Self { paper: 2.0, real: 1.0 },
        Self::FULL,
        Self { paper: 1.0, real: 2.0 },
        Self { paper: 1.0, real: 5.0 },
        Self { paper: 1.0, real: 10.0 },
        Self { paper: 1.0, real: 20.0 },
        Self { paper: 1.0, real: 50.0 },
        Self { paper: 1.0, real: 100.0 },
        Self { paper: 1.0, real: 200.0 },
    ];

    /// Returns millimetres on paper for each real millimetre.
    pub fn ratio(self) -> f64 {
        self.paper / self.real
    }

    /// Returns the scale as drawings state it: `1:5`.
    pub fn title(self) -> String {
        format!("{}:{}", self.paper, self.real)
    }
}

/// How a measured length is written when its [`Label`] does not say otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LengthFormat {
    /// Millimetres with at most so many decimals, trailing zeros and the unit dropped (it stands once on the sheet, T14).
    Millimetres {
        /// Most decimals written.
        decimals: u8,
    },
    /// Inches and fractions.
    Inches {
        /// Finest fraction.
        denominator: units::Denominator,
    },
    /// Millimetres, then inches in brackets.
    Both {
        /// Most decimals of the millimetres.
        decimals: u8,
        /// Finest fraction of the inches.
        denominator: units::Denominator,
    },
}

impl LengthFormat {
    /// Writes a length given in mm.
    pub fn write(self, length_mm: f64) -> String {
        let millimetres = |decimals: u8| crate::number::trimmed(length_mm, usize::from(decimals));
        match self {
            Self::Millimetres { decimals } => millimetres(decimals),
            Self::Inches { denominator } => units::format_inch(length_mm, denominator),
            Self::Both { decimals, denominator } => {
                format!("{} ({})", millimetres(decimals), units::format_inch(length_mm, denominator))
            }
        }
    }
}

impl From<units::Shown> for LengthFormat {
    fn from(shown: units::Shown) -> Self {
        match shown {
            units::Shown::Millimetres { decimals } => Self::Millimetres { decimals },
            units::Shown::Inches { denominator } => Self::Inches { denominator },
            units::Shown::Both { decimals, denominator } => Self::Both { decimals, denominator },
        }
    }
}

/// A shape on its layer.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// What the line stands for.
    pub layer: Layer,
    /// Name by which a page can point at the item (SVG `data-id`).
    pub id: Option<String>,
    /// The shape.
    pub shape: Shape,
}

/// A drawing: a name, a scale and items in the order they were added.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Short name; file name and title of the SVG.
    pub name: String,
    /// One sentence for a reader who cannot see the drawing.
    pub description: String,
    /// Paper to real.
    pub scale: Scale,
    /// Line widths.
    pub width_group: WidthGroup,
    /// How measured lengths are written.
    pub lengths: LengthFormat,
    /// The items.
    pub items: Vec<Item>,
    /// Items from here on are the block of words that stands below: a print over several sheets gives it a sheet of its own, so that
    /// no seam cuts a sentence.
    pub words_from: Option<usize>,
}

impl Drawing {
    /// Makes an empty drawing at full size, wide lines 0.5 mm, lengths in mm with one decimal.
    pub fn new(name: impl Into<String>, description: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            description: description.into(),
            scale: Scale::FULL,
            width_group: WidthGroup::default(),
            lengths: LengthFormat::Millimetres { decimals: 1 },
            items: Vec::new(),
            words_from: None,
        }
    }

    /// What is added from here on is the block of words that stands below.
    pub fn begin_words(&mut self) {
        self.words_from = Some(self.items.len());
    }

    /// The drawing without its block of words, and the block; none where it has none.
    pub fn without_words(&self) -> Option<(Self, Self)> {
        let (lines, words) = self.items.split_at_checked(self.words_from?)?;
        let of = |items: &[Item]| Self { items: items.to_vec(), ..self.clone_empty() };
        (!lines.is_empty() && !words.is_empty()).then(|| (of(lines), of(words)))
    }

    /// Sets the scale.
    pub fn at_scale(mut self, scale: Scale) -> Self {
        self.scale = scale;
        self
    }

    /// Sets how measured lengths are written.
    pub fn in_units(mut self, lengths: impl Into<LengthFormat>) -> Self {
        self.lengths = lengths.into();
        self
    }

    /// Adds a shape.
    pub fn add(&mut self, layer: Layer, shape: impl Into<Shape>) -> &mut Self {
        self.items.push(Item { layer, id: None, shape: shape.into() });
        self
    }

    /// Adds a shape that a page can point at.
    pub fn add_named(&mut self, layer: Layer, id: impl Into<String>, shape: impl Into<Shape>) -> &mut Self {
        self.items.push(Item { layer, id: Some(id.into()), shape: shape.into() });
        self
    }

    /// Adds one line of text.
    pub fn text(&mut self, layer: Layer, at: DVec2, height: TextHeight, content: impl Into<String>) -> &mut Self {
        self.add(layer, Shape::Text(Text::new(at, height, content)))
    }

    /// Returns a copy without items.
    pub(crate) fn clone_empty(&self) -> Self {
        Self {
            name: self.name.clone(),
            description: self.description.clone(),
            scale: self.scale,
            width_group: self.width_group,
            lengths: self.lengths,
            items: Vec::new(),
            words_from: None,
        }
    }

    /// Returns a copy with the items of `layers` alone.
    pub fn only(&self, layers: &[Layer]) -> Self {
        let items = self.items.iter().filter(|item| layers.contains(&item.layer)).cloned().collect();
        Self { items, ..self.clone_empty() }
    }

    /// Returns the layers that hold something, in drawing order.
    pub fn layers(&self) -> Vec<Layer> {
        Layer::ALL.into_iter().filter(|layer| self.items.iter().any(|item| item.layer == *layer)).collect()
    }

    /// Returns every item broken down to what a renderer draws, in drawing order of the layers.
    ///
    /// Coordinates are real millimetres; text heights are millimetres on paper.
    ///
    /// # Errors
    /// The first value that is not finite or out of range, with the item it belongs to.
    pub fn strokes(&self) -> Result<Vec<Stroke<'_>>, PacketError> {
        check::check(self)?;
        let mut strokes = Vec::with_capacity(self.items.len());
        for layer in Layer::ALL {
            for item in self.items.iter().filter(|item| item.layer == layer) {
                annotate::break_down(self, item, &mut strokes);
            }
        }
        Ok(strokes)
    }

    /// Returns the box round everything drawn, in real millimetres, lettering included as measured from the typeface.
    ///
    /// # Errors
    /// As [`Drawing::strokes`]; [`PacketError::Empty`] when nothing is drawn.
    pub fn bounds(&self) -> Result<Bounds, PacketError> {
        let ratio = self.scale.ratio();
        let boxes = self.strokes()?;
        boxes
            .iter()
            .filter_map(|stroke| stroke.mark.bounds(ratio))
            .reduce(Bounds::union)
            .ok_or_else(|| PacketError::Empty { drawing: self.name.clone(), detail: "" })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1 5/8 in is 41.275 mm by the definition of the inch as 25.4 mm.
    #[test]
    fn lengths_are_written_in_the_readers_units() {
        let denominator = units::Denominator::Sixteenths;
        assert_eq!(LengthFormat::Millimetres { decimals: 1 }.write(40.0), "40");
        assert_eq!(LengthFormat::Inches { denominator }.write(41.275), "1 5/8\"");
        assert_eq!(LengthFormat::from(units::Shown::Both { decimals: 1, denominator }).write(41.275), "41.3 (1 5/8\")");
    }

    /// Width by the advances of the typeface: two letters 'H' of 1386 units beside a capital height of 1493 (fontTools).
    #[test]
    fn the_box_of_a_text_comes_from_the_typeface_and_keeps_its_size_on_paper() {
        for scale in [Scale::FULL, Scale { paper: 1.0, real: 5.0 }] {
            let mut drawing = Drawing::new("words", "").at_scale(scale);
            drawing.text(Layer::Note, DVec2::new(10.0, 20.0), TextHeight::Mm7, "HH");
            let width_on_paper = drawing.bounds().map(|bounds| bounds.size().x * scale.ratio());
            assert!((width_on_paper.unwrap_or_default() - 7.0 * 2.0 * 1386.0 / 1493.0).abs() < 1e-9);
        }
    }
}
