//! One picture for one step of fitting, drawn from the piece's own cross-section and outline.

use glam::DVec2;
use job::file::Hand;
use job::plan::{FittingStep, PiecePlan, SectionPlan};

use super::draft::{Draft, beside, length_of, point_at, stretch_of};
use super::elevation::{Elevation, front_arrow};
use super::profile::{Laid, outside_arrow};
use super::{bounds_of, fitting_scale};
use crate::drawing::{Along, Drawing, Horizontal, Label, Layer, Polyline, Shape, Text, TextHeight, Vertical};

/// Old panel drawn above and around the piece, real mm.
const PANEL_MM: f64 = 45.0;

/// A picture in the making: the piece twice, square from outside on the left, cut through on the right.
struct Scene<'a> {
    piece: &'a PiecePlan,
    hand: Option<Hand>,
    seen: Elevation,
    laid: Laid,
    /// Moves the cross-section to its place right of the view from outside.
    aside: DVec2,
    top: Vec<DVec2>,
    lap_mm: f64,
    old_mm: f64,
    draft: Draft,
}

/// Draws the picture of a step. Lengths are written by `write` in the fitter's unit. `None` where the piece has no shape to draw.
pub fn fitting_picture(
    section: &SectionPlan,
    piece: &PiecePlan,
    step: &FittingStep,
    write: &dyn Fn(f64) -> String,
    width_mm: f64,
    height_mm: f64,
) -> Option<Drawing> {
    if piece.shape.points_mm.is_empty() {
        return None;
    }
    let mut scene = Scene::new(section, piece, step, width_mm, height_mm)?;
    match step.kind.as_str() {
        "hold-up" => scene.hold_up(),
        "brace" => scene.brace(),
        "bolt-up" => scene.bolt_up(),
        "clean-and-probe" => scene.probe(),
        "trim-ends" => scene.trim_ends(),
        "scribe" => scene.scribe(step, write),
        "cut" => scene.cut(step, write),
        "clamp-and-check" => scene.clamp(),
        "tack" => scene.tack(),
        "weld" => scene.weld(section),
        "protect" => scene.protect(),
        _ => scene.plain(),
    }
    Some(scene.draft.drawing)
}

impl<'a> Scene<'a> {
    fn new(section: &SectionPlan, piece: &'a PiecePlan, step: &FittingStep, width_mm: f64, height_mm: f64) -> Option<Self> {
        let seen = Elevation::of(piece);
        let laid = match piece.cross_sections.get(piece.cross_sections.len() / 2) {
            Some(shape) => Laid::of(piece, shape, section.hand),
            None => Laid { outside: Vec::new(), inside: Vec::new(), wire: None, outward: DVec2::NEG_X },
        };
        let across = bounds_of(laid.outside.iter().chain(&laid.inside).copied());
        let size = seen.bounds.size() + DVec2::new(PANEL_MM + across.size().x + 30.0, PANEL_MM);
        let scale = fitting_scale(size.x, size.y, width_mm - 75.0, height_mm - 24.0);
        let description = format!("Step {}: {}. {}, {}", step.number, step.title, piece.name, piece.placing.hand);
        let draft = Draft::new(format!("step {}", step.number), description, scale);
        let gap = draft.real(42.0);
        let aside = DVec2::new(seen.bounds.high.x + gap - across.low.x, seen.bounds.low.y - across.low.y);
        let lap_mm = section.cut.as_ref().map_or(0.0, |cut| cut.lap_mm);
        let old_mm = piece.blank.thickness_mm;
        let top = top_edge(&seen);
        Some(Self { piece, hand: section.hand, seen, laid, aside, top, lap_mm, old_mm, draft })
    }

    fn has_section(&self) -> bool {
        self.laid.outside.len() > 1
    }

    /// The piece from outside, and cut through; both named.
    fn piece_twice(&mut self, shift: DVec2) {
        self.seen.draw(&mut self.draft);
        front_arrow(&mut self.draft, &self.seen, self.hand);
        let low = self.seen.bounds.low;
        let at = self.draft.moved(low, 0.0, -13.0);
        self.draft.words(at, TextHeight::Mm2_5, format!("seen from outside · {}", self.piece.placing.hand));
        if self.has_section() {
            let aside = self.aside;
            self.laid.draw(&mut self.draft, aside + shift);
            let at = self.section_foot();
            outside_arrow(&mut self.draft, &self.laid, at);
            let words = self.draft.moved(at, -12.0, -13.0);
            self.draft.words(words, TextHeight::Mm2_5, "cut through at the middle");
        }
    }

    fn section_foot(&self) -> DVec2 {
        let box_ = bounds_of(self.laid.outside.iter().chain(&self.laid.inside).copied());
        DVec2::new(box_.middle().x, box_.low.y) + self.aside
    }

    /// The old panel round the piece from outside, and behind it in the cut.
    fn old_panel(&mut self, from_top_mm: f64, shift: DVec2) {
        let box_ = self.seen.bounds.grown(0.0);
        let above = self.draft.real(9.0).max(12.0);
        let [left, right] = [box_.low.x - above, box_.high.x + above];
        let upper = beside(&self.top, above);
        let ring: Vec<DVec2> = upper;
        self.draft.path(Layer::Adjacent, &ring);
        for x in [left, right] {
            let y = if x < box_.middle().x { self.top.first() } else { self.top.last() };
            let y = y.map_or(box_.high.y, |point| point.y);
            self.draft.line(Layer::Adjacent, DVec2::new(x, box_.low.y.min(y - above)), DVec2::new(x, y + above));
        }
        let at = self.top.get(self.top.len() / 2).copied().unwrap_or(box_.high);
        let words = at + DVec2::Y * (above + self.draft.real(3.0));
        self.draft.centred(words, TextHeight::Mm2_5, "old panel");
        if self.has_section() {
            let aside = self.aside;
            let above = self.draft.real(14.0).max(20.0);
            self.laid.old_panel(&mut self.draft, from_top_mm, above, self.old_mm, aside + shift);
        }
    }

    fn note(&mut self, tip: DVec2, x_paper_mm: f64, y_paper_mm: f64, words: &str) {
        let elbow = self.draft.moved(tip, x_paper_mm, y_paper_mm);
        self.draft.callout(tip, elbow, words);
    }

    fn hold_up(&mut self) {
        let away = self.laid.outward * self.draft.real(9.0);
        self.piece_twice(away);
        let height = length_of(&self.laid.outside);
        self.old_panel(height, DVec2::ZERO);
        if self.has_section() {
            let tip = self.laid.below_top(0.5 * height) + self.aside;
            let out = self.laid.outward;
            let from = tip + away + out * self.draft.real(12.0);
            self.draft.arrow(Layer::Note, from, tip + away + out * self.draft.real(2.0));
            let words = from + out * self.draft.real(2.0);
            let side = if out.x > 0.0 { Horizontal::Left } else { Horizontal::Right };
            let text = Text::new(words, TextHeight::Mm2_5, "hold it up").anchored(side, Vertical::Middle);
            self.draft.drawing.add(Layer::Note, text);
        }
        for (index, tip) in self.quarter_points().into_iter().enumerate() {
            self.note(tip, 8.0, 12.0, if index == 0 { "gap here?" } else { "and here?" });
        }
    }

    fn quarter_points(&self) -> Vec<DVec2> {
        let length = length_of(&self.top);
        [0.15, 0.8].into_iter().filter_map(|share| point_at(&self.top, share * length)).collect()
    }

    fn brace(&mut self) {
        self.piece_twice(DVec2::ZERO);
        self.old_panel(length_of(&self.laid.outside), DVec2::ZERO);
        let box_ = self.seen.bounds;
        let reach = self.draft.real(12.0).max(14.0);
        let (a, b) = (box_.low - DVec2::X * reach, DVec2::new(box_.high.x + reach, box_.low.y));
        let lift = DVec2::Y * self.draft.real(2.0);
        let bar = Polyline::rectangle(a - lift, b + lift);
        self.draft.drawing.add(Layer::Weld, bar);
        self.note(a.lerp(b, 0.3) + lift, 6.0, 8.0, "brace across the opening");
        let label = Label::Text("measure before you cut, note it here".to_owned());
        let shape = Shape::LinearDimension { from: a, to: b, along: Along::Horizontal, offset_paper_mm: -18.0, label };
        self.draft.drawing.add(Layer::Dimension, shape);
    }

    fn bolt_up(&mut self) {
        self.piece_twice(DVec2::ZERO);
        let holes: Vec<DVec2> = self
            .piece
            .shape
            .lines
            .iter()
            .filter(|line| line.closed && line.name != "outline")
            .filter_map(|line| {
                let points: Vec<DVec2> = line.points_mm.iter().map(|point| self.seen.view.flat(*point)).collect();
                (!points.is_empty()).then(|| points.iter().copied().sum::<DVec2>() / points.len() as f64)
            })
            .collect();
        if let (Some(first), Some(last)) = (holes.first(), holes.last()) {
            self.note(*first, 8.0, 14.0, "1 bolt here first, with its packer");
            self.note(*last, 8.0, 8.0, "2 then the far end");
        }
    }

    fn probe(&mut self) {
        self.old_panel(length_of(&self.laid.outside), DVec2::ZERO);
        self.seen.draw(&mut self.draft);
        let length = length_of(&self.top);
        for share in [0.05, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95] {
            if let Some(at) = point_at(&self.top, share * length) {
                self.draft.drawing.add(Layer::Weld, Shape::Circle { centre: at, radius_mm: self.draft.real(1.2) });
            }
        }
        if let Some(at) = point_at(&self.top, 0.65 * length) {
            self.note(at, 8.0, 12.0, "clean and probe along this line and above it,\nboth sides: bright metal, no give");
        }
        self.seen_words();
    }

    fn seen_words(&mut self) {
        front_arrow(&mut self.draft, &self.seen, self.hand);
        let at = self.draft.moved(self.seen.bounds.low, 0.0, -13.0);
        self.draft.words(at, TextHeight::Mm2_5, format!("seen from outside · {}", self.piece.placing.hand));
    }

    fn trim_ends(&mut self) {
        self.seen.draw(&mut self.draft);
        let ends: Vec<Vec<DVec2>> =
            self.seen.lines.iter().filter(|(name, points)| name == "end line" && points.len() > 1).map(|(_, points)| points.clone()).collect();
        for line in &ends {
            self.draft.path(Layer::VehicleCut, line);
        }
        let box_ = self.seen.bounds;
        for line in ends {
            let Some(tip) = line.iter().copied().max_by(|a, b| a.y.total_cmp(&b.y)) else { continue };
            let way = if tip.x < box_.middle().x { -1.0 } else { 1.0 };
            self.note(tip, way * 6.0, 10.0, "end line: trim the spare here");
        }
        self.seen_words();
    }

    /// The one picture that must not be misread: scribed line, cut line one lap lower, and the three figures.
    fn scribe(&mut self, step: &FittingStep, write: &dyn Fn(f64) -> String) {
        self.piece_twice(DVec2::ZERO);
        self.old_panel(length_of(&self.laid.outside), -self.laid.outward * self.old_mm * 1.5);
        self.line_on_panel(0.0, Layer::Scribe);
        self.line_on_panel(self.lap_mm, Layer::VehicleCut);
        let length = length_of(&self.top);
        if let Some(tip) = point_at(&self.top, 0.12 * length) {
            self.note(tip, 6.0, 14.0, "1 scribe along the top of the piece");
        }
        let lower = self.parallel(self.lap_mm);
        if let Some(tip) = point_at(&lower, 0.3 * length_of(&lower)) {
            self.note(tip, 6.0, 8.0 + 12.0, "2 take the piece away, mark the cut line one lap LOWER");
        }
        if self.has_section() {
            self.three_figures(step, write);
        }
    }

    fn parallel(&self, below_mm: f64) -> Vec<DVec2> {
        beside(&self.top, -below_mm)
    }

    fn line_on_panel(&mut self, below_mm: f64, layer: Layer) {
        let line = self.parallel(below_mm);
        self.draft.path(layer, &line);
    }

    fn three_figures(&mut self, step: &FittingStep, write: &dyn Fn(f64) -> String) {
        let figure = |name: &str| step.figures_mm.iter().find(|(known, _)| known.contains(name)).map(|(_, mm)| *mm);
        let low = self.laid.lowest() + self.aside;
        let top = self.laid.below_top(0.0) + self.aside;
        let cut = self.laid.below_top(self.lap_mm) + self.aside;
        let out = self.laid.outward;
        let tail = out * self.draft.real(20.0);
        self.draft.line(Layer::Scribe, top - tail * 0.4, top + tail);
        self.draft.line(Layer::VehicleCut, cut - tail * 0.4, cut + tail);
        let right = out.x > 0.0;
        let edge = if right { low.x.max(top.x) } else { low.x.min(top.x) };
        let column = |x_paper: f64| edge + out.x * self.draft.real(x_paper);
        let rows = [
            (low, top, figure("piece height"), 12.0, "piece "),
            (low, cut, figure("cut height"), 20.0, "cut "),
            (cut, top, figure("lap"), 28.0, "lap "),
        ];
        let shapes: Vec<Shape> = rows
            .into_iter()
            .filter_map(|(from, to, value, offset, prefix)| {
                let x = column(0.0);
                Some(Shape::LinearDimension {
                    from: DVec2::new(x, from.y),
                    to: DVec2::new(x, to.y),
                    along: Along::Vertical,
                    offset_paper_mm: if right { offset } else { -offset },
                    label: Label::Text(format!("{prefix}{}", write(value?))),
                })
            })
            .collect();
        for shape in shapes {
            self.draft.drawing.add(Layer::Dimension, shape);
        }
    }

    fn cut(&mut self, step: &FittingStep, write: &dyn Fn(f64) -> String) {
        self.old_panel(length_of(&self.laid.outside), DVec2::ZERO);
        self.line_on_panel(self.lap_mm, Layer::VehicleCut);
        let lower = self.parallel(self.lap_mm);
        let waste = self.parallel(self.lap_mm + self.draft.real(5.0));
        let ring: Vec<DVec2> = lower.iter().copied().chain(waste.iter().rev().copied()).collect();
        if ring.len() > 3 {
            let outline = Polyline::closed(ring);
            let shape = Shape::Hatch { outline, holes: Vec::new(), angle_rad: 0.8, spacing_paper_mm: 1.6 };
            self.draft.drawing.add(Layer::Hatch, shape);
        }
        let saw = self.parallel(self.lap_mm + self.draft.real(1.5));
        self.draft.path(Layer::Weld, &saw);
        let height = step.figures_mm.iter().find(|(name, _)| name.contains("cut height")).map(|(_, mm)| write(*mm));
        if let Some(tip) = point_at(&lower, 0.6 * length_of(&lower)) {
            let height = height.map(|height| format!(" at {height}")).unwrap_or_default();
            self.note(tip, 6.0, 16.0, &format!("cut line{height}"));
        }
        if let Some(tip) = point_at(&saw, 0.25 * length_of(&saw)) {
            self.note(tip, 8.0, -12.0, "saw here, inside the line (waste side),\nthen file up to the line");
        }
        self.seen_words();
    }

    fn clamp(&mut self) {
        self.piece_twice(DVec2::ZERO);
        self.old_panel(self.lap_mm, DVec2::ZERO);
        let length = length_of(&self.top);
        for (index, share) in [0.5, 0.05, 0.95, 0.27, 0.73].into_iter().enumerate() {
            if let Some(at) = point_at(&self.top, share * length) {
                let centre = at - DVec2::Y * self.lap_mm * 0.5;
                self.draft.drawing.add(Layer::Weld, Shape::Circle { centre, radius_mm: self.draft.real(2.4) });
                self.draft.centred(centre, TextHeight::Mm2_5, (index + 1).to_string());
            }
        }
        self.note_last("clamp in this order, lap tight at each clamp");
    }

    fn note_last(&mut self, words: &str) {
        let length = length_of(&self.top);
        if let Some(at) = point_at(&self.top, 0.6 * length) {
            self.note(at, 6.0, 15.0, words);
        }
    }

    /// Tacks from the middle outwards, each as far from the last as can be.
    fn tack(&mut self) {
        self.piece_twice(DVec2::ZERO);
        self.old_panel(self.lap_mm, DVec2::ZERO);
        let length = length_of(&self.top);
        for (index, share) in [0.5, 0.03, 0.97, 0.25, 0.75, 0.13, 0.87, 0.38, 0.62].into_iter().enumerate() {
            if let Some(at) = point_at(&self.top, share * length) {
                let centre = at - DVec2::Y * self.lap_mm * 0.5;
                let dot = (0..12).map(|i| centre + DVec2::from_angle(f64::from(i) * 0.5236) * self.draft.real(0.9));
                let dot: Vec<DVec2> = dot.collect();
                self.draft.solid(Layer::Weld, &dot);
                let words = centre + DVec2::Y * self.draft.real(3.2);
                self.draft.centred(words, TextHeight::Mm2_5, (index + 1).to_string());
            }
        }
        self.note_last("tack in this order, let it cool between");
    }

    fn weld(&mut self, section: &SectionPlan) {
        self.piece_twice(DVec2::ZERO);
        self.old_panel(self.lap_mm, DVec2::ZERO);
        let count = section.joint.count.clamp(2, 60);
        let inner = stretch_of(&self.parallel(self.lap_mm * 0.5), 0.0, f64::INFINITY);
        let length = length_of(&inner);
        for index in 0..count {
            let share = (index as f64 + 0.5) / count as f64;
            if let Some(centre) = point_at(&inner, share * length) {
                self.draft.drawing.add(Layer::Weld, Shape::Circle { centre, radius_mm: self.draft.real(0.9) });
            }
        }
        self.note_last(&format!("{count} welds along the lap, the next always far from the last"));
    }

    fn protect(&mut self) {
        self.piece_twice(DVec2::ZERO);
        self.old_panel(self.lap_mm, DVec2::ZERO);
        if self.has_section() {
            let lap = self.laid.below_top(0.5 * self.lap_mm) + self.aside;
            let low = self.laid.lowest() + self.aside;
            let out = self.laid.outward.x;
            self.note(lap, out * 8.0, 9.0, "primer between the lap,\nsealer over both edges");
            self.note(low, out * 10.0, 6.0, "wax into the edge last");
        }
    }

    fn plain(&mut self) {
        self.piece_twice(DVec2::ZERO);
    }
}

/// The upper side of the view from outside, left to right.
fn top_edge(seen: &Elevation) -> Vec<DVec2> {
    let box_ = seen.bounds;
    let points: Vec<DVec2> = seen.lines.iter().filter(|(name, _)| matches!(name.as_str(), "outline" | "edge")).flat_map(|(_, line)| line.clone()).collect();
    let steps = 48;
    let width = box_.size().x.max(1e-6);
    let mut out: Vec<DVec2> = Vec::new();
    for step in 0..=steps {
        let x = box_.low.x + width * f64::from(step) / f64::from(steps);
        let near = points.iter().filter(|point| (point.x - x).abs() <= 0.6 * width / f64::from(steps));
        if let Some(top) = near.copied().max_by(|a, b| a.y.total_cmp(&b.y)) {
            out.push(DVec2::new(x, top.y));
        }
    }
    out
}
