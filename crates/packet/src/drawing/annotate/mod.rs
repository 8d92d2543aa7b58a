//! Breaks shapes down to marks. Sizes below are millimetres on paper.

mod dimension;
mod running;
mod sign;

use glam::DVec2;

use super::polyline::{ArcForm, Polyline};
use super::shape::{Anchor, Horizontal, Label, Shape, Text, TextHeight, Vertical};
use super::stroke::{Mark, Stroke, TextRun};
use super::{Drawing, Item, LengthFormat, hatch};
use crate::font::{self, Weight};

/// Length of a solid arrowhead.
const HEAD_LENGTH: f64 = 3.0;
/// Width of a solid arrowhead at its back (about 20° between its sides).
const HEAD_WIDTH: f64 = 1.05;
/// Lettering of dimensions.
const DIMENSION_TEXT: TextHeight = TextHeight::Mm3_5;
/// From a dimension line to the foot of its figures.
const TEXT_GAP: f64 = 0.9;
/// From one baseline to the next, in heights of the lettering.
const LINE_PITCH: f64 = 1.7;

/// Appends the marks of one item.
pub fn break_down<'a>(drawing: &Drawing, item: &'a Item, strokes: &mut Vec<Stroke<'a>>) {
    let mut pen = Pen { ratio: drawing.scale.ratio(), lengths: drawing.lengths, item, strokes };
    pen.shape(&item.shape);
}

/// Draws on one layer for one item; `paper` turns paper millimetres into real ones.
struct Pen<'a, 's> {
    ratio: f64,
    lengths: LengthFormat,
    item: &'a Item,
    strokes: &'s mut Vec<Stroke<'a>>,
}

impl Pen<'_, '_> {
    fn shape(&mut self, shape: &Shape) {
        match shape {
            Shape::Polyline(path) => self.mark(Mark::Path(path.clone())),
            Shape::Line { from, to } => self.line(*from, *to),
            Shape::Circle { centre, radius_mm } => self.circle(*centre, *radius_mm),
            Shape::Arc { centre, radius_mm, start_rad, sweep_rad } => self.mark(Mark::Arc(ArcForm {
                centre: *centre,
                radius_mm: *radius_mm,
                start_rad: *start_rad,
                sweep_rad: *sweep_rad,
            })),
            Shape::Text(text) => self.text(text),
            Shape::Hatch { outline, holes, angle_rad, spacing_paper_mm } => {
                for [from, to] in hatch::hatch_lines(outline, holes, *angle_rad, self.paper(*spacing_paper_mm)) {
                    self.line(from, to);
                }
            }
            Shape::Filled(path) => self.mark(Mark::Filled(open_ring(path.flattened(0.005), path.closed))),
            Shape::Arrow { from, to } => self.arrow(*from, *to),
            Shape::Leader { points, note, height } => self.leader(points, note, *height),
            Shape::LinearDimension { from, to, along, offset_paper_mm, label } => {
                self.linear_dimension([*from, *to], *along, *offset_paper_mm, label);
            }
            Shape::RunningDimensions { datum, along, stations, offset_paper_mm } => {
                self.running_dimensions(*datum, *along, stations, *offset_paper_mm);
            }
            Shape::RadiusDimension { centre, radius_mm, angle_rad, label } => {
                let words = format!("R{}", self.words(label, *radius_mm));
                self.round_dimension(*centre, *radius_mm, *angle_rad, &words);
            }
            Shape::DiameterDimension { centre, diameter_mm, angle_rad, label } => {
                let words = format!("⌀{}", self.words(label, *diameter_mm));
                self.round_dimension(*centre, diameter_mm / 2.0, *angle_rad, &words);
            }
            Shape::AngleDimension { apex, from_rad, sweep_rad, radius_paper_mm, label } => {
                self.angle_dimension(*apex, *from_rad, *sweep_rad, *radius_paper_mm, label);
            }
            Shape::FaceUp { at, words } => self.face_up(*at, words),
        }
    }

    fn paper(&self, paper_mm: f64) -> f64 {
        paper_mm / self.ratio
    }

    fn mark(&mut self, mark: Mark) {
        self.strokes.push(Stroke { layer: self.item.layer, id: self.item.id.as_deref(), mark });
    }

    fn line(&mut self, from: DVec2, to: DVec2) {
        self.mark(Mark::Path(Polyline::open([from, to])));
    }

    fn circle(&mut self, centre: DVec2, radius_mm: f64) {
        self.mark(Mark::Circle { centre, radius_mm });
    }

    fn head(&mut self, tip: DVec2, direction: DVec2) {
        let back = tip - direction * self.paper(HEAD_LENGTH);
        let side = direction.perp() * self.paper(HEAD_WIDTH / 2.0);
        self.mark(Mark::Filled(vec![tip, back + side, back - side]));
    }

    fn arrow(&mut self, from: DVec2, to: DVec2) {
        let direction = (to - from).normalize_or_zero();
        if direction == DVec2::ZERO {
            return;
        }
        self.line(from, to - direction * self.paper(HEAD_LENGTH / 2.0));
        self.head(to, direction);
    }

    fn text(&mut self, text: &Text) {
        let height = self.paper(text.height.mm());
        let pitch = height * LINE_PITCH;
        let lines: Vec<&str> = text.content.lines().collect();
        let block = height + pitch * lines.len().saturating_sub(1) as f64;
        let last = match text.anchor.vertical {
            Vertical::Baseline => 0.0,
            Vertical::Middle => -block / 2.0,
            Vertical::Top => -block,
        };
        let up = DVec2::from_angle(text.angle_rad).perp();
        for (index, line) in lines.iter().rev().enumerate() {
            self.mark(Mark::Text(TextRun {
                at: text.at + up * (last + pitch * index as f64),
                horizontal: text.anchor.horizontal,
                height_paper_mm: text.height.mm(),
                angle_rad: text.angle_rad,
                weight: text.weight,
                content: (*line).to_owned(),
            }));
        }
    }

    /// Writes dimension figures at `at`, turned so that they read from below or from the right.
    fn figures(&mut self, words: &str, at: DVec2, angle_rad: f64, anchor: Anchor) {
        let text = Text { anchor, ..Text::new(at, DIMENSION_TEXT, words).turned(angle_rad) };
        self.text(&text);
    }

    fn words(&self, label: &Label, length_mm: f64) -> String {
        match label {
            Label::Measured => self.lengths.write(length_mm),
            Label::MeasuredWith { prefix, suffix } => format!("{prefix}{}{suffix}", self.lengths.write(length_mm)),
            Label::Text(words) => words.clone(),
        }
    }

    fn width(&self, words: &str) -> f64 {
        font::text_width_mm(words, Weight::Regular, DIMENSION_TEXT.mm())
    }
}

fn open_ring(mut points: Vec<DVec2>, closed: bool) -> Vec<DVec2> {
    if closed {
        points.pop();
    }
    points
}

/// Turns a direction so that lettering along it reads from below or from the right: -90° excluded to 90° included.
fn readable(angle_rad: f64) -> f64 {
    let (sine, cosine) = angle_rad.sin_cos();
    if cosine > 1e-9 || (cosine.abs() <= 1e-9 && sine > 0.0) { sine.atan2(cosine) } else { (-sine).atan2(-cosine) }
}

const fn anchor(horizontal: Horizontal, vertical: Vertical) -> Anchor {
    Anchor { horizontal, vertical }
}

#[cfg(test)]
mod tests {
    use super::readable;
    use std::f64::consts::{FRAC_PI_2, PI};

    #[test]
    fn lettering_reads_from_below_or_from_the_right() {
        assert!((readable(FRAC_PI_2) - FRAC_PI_2).abs() < 1e-12);
        assert!((readable(-FRAC_PI_2) - FRAC_PI_2).abs() < 1e-12);
        assert!(readable(PI).abs() < 1e-12);
        assert!((readable(0.3 + PI) - 0.3).abs() < 1e-12);
        assert!((readable(-0.3) + 0.3).abs() < 1e-12);
    }
}
