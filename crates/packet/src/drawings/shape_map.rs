//! How the panel lies once it is welded: lines of one deflection on the piece in its panel, strokes where it lies out or in, its highest and lowest
//! place, and where to planish.
//!
//! Out: continuous lines, +, wide strokes. In: dashed lines, −, close strokes that slant the other way. Nothing is told by colour.

use glam::{DVec2, DVec3};
use job::file::Hand;
use job::plan::PiecePlan;
use mesh::{Skin, Surface};
use weld::warp::shape_map::{Chain, FarPlace, ShapeMap};

use super::bands;
use super::draft::{Draft, length_of};
use super::heat_map::{letter, surface};
use super::isometric::{finished_lines, view_of};
use super::project::{Sight, ViewAxes};
use super::{bounds_of, picture_scale};
use crate::drawing::{Bounds, Drawing, Layer, LengthFormat, Shape, TextHeight};
use crate::number::trimmed;

/// Words beside the view and below it, mm on paper.
const BESIDE_PAPER_MM: f64 = 62.0;
const BELOW_PAPER_MM: f64 = 34.0;
/// From a line of words to the next.
const WORDS_PAPER_MM: f64 = 4.6;
/// Parts of a line that are shorter get no figure, mm on paper.
const LEAST_NAMED_PAPER_MM: f64 = 9.0;
/// A figure this near a fraction of an inch is that fraction, mm.
const FRACTION_WITHIN_MM: f64 = 0.005;
/// A place that lies off its shape by less than this share of a step is not named.
const WORTH_TELLING: f64 = 0.1;
/// Mark of a strip that is planished.
const PLANISH: &str = "P";

/// What is told of a shape, in the reader's unit.
struct Told<'a> {
    map: &'a ShapeMap,
    reader: LengthFormat,
}

/// A view of the warped panel.
struct View<'a> {
    title: String,
    told: Told<'a>,
    axes: ViewAxes,
    /// What may hide lines of the map.
    hides: Surface,
    /// Edges of the piece itself.
    lines: Vec<(Layer, Vec<DVec2>)>,
}

/// The piece in its panel with the shape in which it comes to rest, as the shop sees it.
#[must_use]
pub fn warp_shape_view(
    piece: &PiecePlan,
    map: &ShapeMap,
    hand: Option<Hand>,
    reader: LengthFormat,
    size_mm: [f64; 2],
) -> Drawing {
    let axes = view_of(piece, hand);
    let mut lines = finished_lines(piece, &axes);
    lines.retain(|(layer, _)| matches!(layer, Layer::Outline | Layer::Mark));
    let title = format!("{} in its panel, {}", piece.name, piece.placing.hand);
    View { title, told: Told { map, reader }, axes, hides: piece.shape.clone(), lines }.draw(size_mm)
}

/// A panel by itself, seen from its outside.
#[must_use]
pub fn warp_shape_of_skin(
    title: &str,
    skin: &Skin,
    map: &ShapeMap,
    reader: LengthFormat,
    size_mm: [f64; 2],
) -> Drawing {
    let normal: DVec3 = (0..skin.triangles.len()).map(|triangle| skin.double_area_normal(triangle)).sum();
    let normal = normal.try_normalize().unwrap_or(DVec3::Z);
    // a little from the side and from above, so that a crown shows
    let side = DVec3::Z.cross(normal).try_normalize().unwrap_or(DVec3::X);
    let towards = normal + 0.4 * side + 0.4 * normal.cross(side);
    let up = if normal.dot(DVec3::Z).abs() > 0.9 { DVec3::Y } else { DVec3::Z };
    let axes = ViewAxes::seen_from(towards, up);
    View { title: title.to_owned(), told: Told { map, reader }, axes, hides: surface(skin), lines: Vec::new() }
        .draw(size_mm)
}

/// The highest and the lowest place of a shape in words, each with its range.
#[must_use]
pub fn warp_shape_words(map: &ShapeMap, reader: LengthFormat) -> String {
    Told { map, reader }.far_words().join("; ")
}

impl View<'_> {
    fn draw(&self, [width_mm, height_mm]: [f64; 2]) -> Drawing {
        let edges = self.told.map.edges.iter().flat_map(|edge| &edge.points_mm).map(|point| self.axes.flat(*point));
        let box_ = bounds_of(self.lines.iter().flat_map(|(_, points)| points.iter().copied()).chain(edges));
        let size = box_.size();
        let scale = picture_scale(size.x, size.y, width_mm - BESIDE_PAPER_MM, height_mm - BELOW_PAPER_MM);
        let description =
            format!("{}: how it lies once it is welded. {}", self.title, self.told.far_words().join(". "));
        let mut draft = Draft::new(format!("warp {}", self.title), description, scale);
        let sight = Sight::of(&self.hides, &self.axes);
        let seen = |chain: &Chain| sight.as_ref().map_or_else(Vec::new, |sight| sight.parts(&chain.points_mm, true));
        for part in self.told.map.edges.iter().flat_map(seen) {
            draft.path(Layer::Adjacent, &part);
        }
        for (layer, points) in &self.lines {
            draft.path(*layer, points);
        }
        let mut boxes: Vec<Bounds> = Vec::new();
        for part in self.told.map.planish.iter().flat_map(seen) {
            let part = fine(&draft, &part);
            letter(&mut draft, &part, (PLANISH, 0), &mut boxes);
        }
        self.lines_of_one_deflection(&mut draft, &seen, &mut boxes);
        for part in self.told.map.seams.iter().flat_map(seen) {
            clear(&mut draft, Layer::Weld, &part, &boxes);
        }
        for (layer, strokes) in [(Layer::Out, &self.told.map.strokes_out), (Layer::In, &self.told.map.strokes_in)] {
            strokes.iter().flat_map(seen).for_each(|part| clear(&mut draft, layer, &part, &boxes));
        }
        self.far_places(&mut draft, box_);
        self.words(&mut draft, box_.low, scale.title());
        draft.drawing
    }

    fn lines_of_one_deflection(
        &self,
        draft: &mut Draft,
        seen: &impl Fn(&Chain) -> Vec<Vec<DVec2>>,
        boxes: &mut Vec<Bounds>,
    ) {
        let mut drawn: Vec<(Layer, Vec<DVec2>)> = Vec::new();
        for line in &self.told.map.line {
            let layer = if line.at_mm > 0.0 { Layer::Out } else { Layer::In };
            let turn = (line.at_mm / self.told.map.step_mm).round().abs() as usize;
            for part in seen(&line.points) {
                if length_of(&part) > draft.real(LEAST_NAMED_PAPER_MM) {
                    let steps = fine(draft, &part);
                    letter(draft, &steps, (&self.told.signed(line.at_mm), turn), boxes);
                }
                drawn.push((layer, part));
            }
        }
        drawn.iter().for_each(|(layer, part)| clear(draft, *layer, part, boxes));
    }

    /// Marks and names the highest and the lowest place, one beside the upper corner, one beside the lower.
    fn far_places(&self, draft: &mut Draft, box_: Bounds) {
        let beside = box_.high.x + draft.real(4.0);
        for (far, level) in self.told.worth_telling().into_iter().zip([box_.high.y, box_.low.y]) {
            let Some(far) = far else { continue };
            let tip = self.axes.flat(DVec3::from_array(far.place_mm));
            let radius_mm = draft.real(1.2);
            draft.drawing.add(Layer::Note, Shape::Circle { centre: tip, radius_mm });
            for way in [DVec2::X, DVec2::Y] {
                draft.line(Layer::Note, tip - 1.8 * radius_mm * way, tip + 1.8 * radius_mm * way);
            }
            draft.callout(tip, DVec2::new(beside, level), self.told.far_word(far));
        }
    }

    fn words(&self, draft: &mut Draft, low: DVec2, scale: String) {
        let step = self.told.length(self.told.map.step_mm);
        let mut lines = vec![
            format!("+ out, towards the outside face: continuous lines, wide strokes; from line to line {step}"),
            format!(
                "− in, towards the inside: broken lines, close strokes; without strokes: less than {step} off its shape"
            ),
            "middle of the shrinkage; beside a place in brackets: least to most of it".to_owned(),
        ];
        if !self.told.map.planish.is_empty() {
            lines.push(format!("{PLANISH}: planish along the weld there, as far as the list says and no more"));
        }
        lines.push(format!("isometric, about {scale}"));
        let at = |draft: &Draft, row: usize| draft.moved(low, 0.0, -7.0 - WORDS_PAPER_MM * row as f64);
        draft.bold(at(draft, 0), TextHeight::Mm2_5, self.title.clone());
        for (row, line) in lines.into_iter().enumerate() {
            draft.words(at(draft, row + 1), TextHeight::Mm2_5, line);
        }
    }
}

impl Told<'_> {
    fn far_words(&self) -> Vec<String> {
        self.worth_telling().into_iter().flatten().map(|far| self.far_word(far)).collect()
    }

    /// "highest: 5.2 mm out (3.1 to 8)".
    fn far_word(&self, far: &FarPlace) -> String {
        let (name, way) = if far.at_mm > 0.0 { ("highest", "out") } else { ("lowest", "in") };
        let spread = far.spread_mm.map_or_else(String::new, |[low, _, high]| {
            let (a, b) = (low.abs().min(high.abs()), low.abs().max(high.abs()));
            if low < 0.0 && high > 0.0 {
                return format!(" ({} to {})", self.signed(low), self.signed(high));
            }
            format!(" ({} to {})", self.figure(a), self.figure(b))
        });
        format!("{name}: {} {way}{spread}", self.length(far.at_mm.abs()))
    }

    /// With its sign, without a unit.
    fn signed(&self, mm: f64) -> String {
        format!("{}{}", if mm < 0.0 { "−" } else { "+" }, self.figure(mm.abs()))
    }

    /// Without a unit.
    fn figure(&self, mm: f64) -> String {
        match self.reader {
            LengthFormat::Millimetres { .. } => {
                let finer = if self.map.step_mm < 0.05 { 2 } else { usize::from(self.map.step_mm < 0.5) };
                trimmed(mm, 1 + finer)
            }
            LengthFormat::Inches { .. } | LengthFormat::Both { .. } => {
                let finest = units::Denominator::SixtyFourths;
                let sixty_fourth_mm = units::gauge::MM_PER_INCH / 64.0;
                let off_mm = mm - (mm / sixty_fourth_mm).round() * sixty_fourth_mm;
                if off_mm.abs() < FRACTION_WITHIN_MM {
                    units::format_inch(mm, finest).trim_end_matches('"').to_owned()
                } else {
                    trimmed(mm / units::gauge::MM_PER_INCH, 3)
                }
            }
        }
    }

    fn length(&self, mm: f64) -> String {
        let figure = self.figure(mm);
        match self.reader {
            LengthFormat::Millimetres { .. } => format!("{figure} mm"),
            LengthFormat::Inches { .. } | LengthFormat::Both { .. } => format!("{figure}\""),
        }
    }

    /// The highest and the lowest place, unless it is as good as where it was.
    fn worth_telling(&self) -> [Option<&FarPlace>; 2] {
        let told = |far: &&FarPlace| far.at_mm.abs() > WORTH_TELLING * self.map.step_mm;
        [&self.map.highest, &self.map.lowest].map(|far| far.as_ref().filter(told))
    }
}

/// The same line with points half a millimetre on paper apart, as the room round letters wants it.
fn fine(draft: &Draft, line: &[DVec2]) -> Vec<DVec2> {
    let step = draft.real(0.5);
    let count = (length_of(line) / step).ceil().max(1.0) as usize;
    (0..=count).filter_map(|i| super::draft::point_at(line, length_of(line) * i as f64 / count as f64)).collect()
}

/// A line, open where words stand on it.
fn clear(draft: &mut Draft, layer: Layer, line: &[DVec2], boxes: &[Bounds]) {
    let mut chains: Vec<Vec<DVec2>> = Vec::new();
    for side in line.windows(2) {
        let [from, to] = side else { continue };
        let parts = boxes.iter().fold(vec![[*from, *to]], |parts, own| {
            parts.into_iter().flat_map(|part| bands::outside(part, own)).collect()
        });
        for [from, to] in parts {
            match chains.last_mut() {
                Some(chain) if chain.last().is_some_and(|end| end.distance(from) < 1e-9) => chain.push(to),
                _ => chains.push(vec![from, to]),
            }
        }
    }
    chains.iter().for_each(|chain| draft.path(layer, chain));
}
