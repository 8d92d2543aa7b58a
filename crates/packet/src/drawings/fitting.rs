//! One picture for one step of fitting, drawn from the piece's own cross-section and outline.

use glam::DVec2;
use job::file::Hand;
use job::plan::{FittingStep, PiecePlan, SectionPlan};
use weld::joints::WeldEventKind;

use super::blank::long_edges;
use super::draft::{Draft, beside, length_of, point_at};
use super::elevation::{Elevation, front_arrow};
use super::let_in_fitting::is_let_in_plate;
use super::profile::{Laid, OldPanel, outside_arrow};
use super::weld_symbol::dot;
use super::{bounds_of, picture_scale};
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
    /// The edge that meets the old panel, left to right.
    top: Vec<DVec2>,
    /// The finished edge, left to right.
    lower: Vec<DVec2>,
    /// Where the old panel's edge will lie, seen from outside.
    step: Vec<DVec2>,
    /// 1 where the edge that meets the old panel is the upper one, else −1.
    up: f64,
    lap_mm: f64,
    /// Lap and thickness of the old panel in the cross-section, as enlarged.
    lap_cut_mm: f64,
    old_mm: f64,
    draft: Draft,
}

/// Draws the picture of a step. `figures` are the step's figures as printed. `None` where the piece has no shape to draw.
pub fn fitting_picture(
    section: &SectionPlan,
    piece: &PiecePlan,
    step: &FittingStep,
    figures: &[(String, String)],
    width_mm: f64,
    height_mm: f64,
) -> Option<Drawing> {
    if piece.shape.points_mm.is_empty() {
        return None;
    }
    if piece.tube.is_some() {
        return Some(super::tube::tube_picture(section, piece, step, width_mm, height_mm));
    }
    if let Some(ruled) = piece.ruled.as_deref() {
        return Some(super::ruled_fitting::ruled_picture(section, piece, ruled, step, width_mm, height_mm));
    }
    if piece.kind == "ring" {
        let space = [width_mm, height_mm];
        return Some(super::ring::fitting_picture(section, piece, step, section.hand, space));
    }
    if is_let_in_plate(piece) {
        return Some(super::let_in_fitting::plate_picture(piece, step, figures, width_mm, height_mm));
    }
    if let Some(drawing) = super::joined_fitting::joined_picture(section, piece, step, width_mm, height_mm) {
        return Some(drawing);
    }
    if piece.kind != "strip" {
        return Some(super::tray::tray_picture(section, piece, step, width_mm, height_mm));
    }
    let mut scene = Scene::new(section, piece, step, width_mm, height_mm)?;
    match step.kind.as_str() {
        "hold-up" => scene.hold_up(),
        "brace" => scene.brace(),
        "bolt-up" => scene.bolt_up(),
        "clean-and-probe" => scene.probe(),
        "trim-ends" => scene.trim_ends(),
        "scribe" => scene.scribe(figures),
        "cut" => scene.cut(figures),
        "clamp-and-check" => scene.clamp(),
        "tack" => scene.tack(section),
        "weld" => scene.weld(section),
        "protect" => scene.protect(),
        _ => scene.plain(),
    }
    Some(scene.draft.drawing)
}

impl<'a> Scene<'a> {
    fn new(
        section: &SectionPlan,
        piece: &'a PiecePlan,
        step: &FittingStep,
        width_mm: f64,
        height_mm: f64,
    ) -> Option<Self> {
        let seen = Elevation::of(piece);
        let laid = match piece.cross_sections.get(piece.cross_sections.len() / 2) {
            Some(shape) => Laid::of(piece, shape, section.hand),
            None => Laid { outside: Vec::new(), inside: Vec::new(), wire: None, outward: DVec2::NEG_X },
        };
        let size = seen.bounds.size() + DVec2::new(2.0 * PANEL_MM, PANEL_MM);
        // the figures of the scribing step stand beside the cross-section
        let beside_view = if step.kind == "scribe" { 118.0 } else { 80.0 };
        let scale = picture_scale(size.x, size.y, width_mm - beside_view, height_mm - 34.0);
        let description = format!("Step {}: {}. {}, {}", step.number, step.title, piece.name, piece.placing.hand);
        let draft = Draft::new(format!("step {}", step.number), description, scale);
        let across = bounds_of(laid.outside.iter().chain(&laid.inside).copied());
        let high = across.size().max_element().max(1.0);
        let enlarge = draft.real(height_mm - 46.0) / high;
        let laid = laid.enlarged(enlarge);
        let across = bounds_of(laid.outside.iter().chain(&laid.inside).copied());
        // on a left hand the outside, and what is written there, lies between the two views
        let gap = draft.real(if section.hand == Some(Hand::Right) { 36.0 } else { 52.0 });
        let aside = DVec2::new(seen.bounds.high.x + gap - across.low.x, seen.bounds.low.y - across.low.y);
        let lap_mm = section.cut.as_ref().map_or(0.0, |cut| cut.lap_mm);
        let (lap_cut_mm, old_mm) = (lap_mm * enlarge, piece.blank.thickness_mm * enlarge);
        let (top, lower) = long_sides(piece, &seen);
        let height = |side: &[DVec2]| point_at(side, 0.5 * length_of(side)).map_or(0.0, |point| point.y);
        let up = if height(&top) >= height(&lower) { 1.0 } else { -1.0 };
        let mut step = seen.feature(piece, "step line");
        if step.first().map(|point| point.x) > step.last().map(|point| point.x) {
            step.reverse();
        }
        if step.len() < 2 {
            step = beside(&top, -up * lap_mm);
        }
        Some(Self {
            piece,
            hand: section.hand,
            seen,
            laid,
            aside,
            top,
            lower,
            step,
            up,
            lap_mm,
            lap_cut_mm,
            old_mm,
            draft,
        })
    }

    fn has_section(&self) -> bool {
        self.laid.outside.len() > 1
    }

    /// The piece from outside, and cut through; both named.
    fn piece_twice(&mut self, shift: DVec2) {
        self.seen.draw(&mut self.draft);
        front_arrow(&mut self.draft, &self.seen, self.hand);
        let low = self.seen.bounds.low;
        let at = self.draft.moved(low, 0.0, -18.0);
        self.draft.words(
            at,
            TextHeight::Mm2_5,
            format!("{} seen from outside · {}", self.piece.name, self.piece.placing.hand),
        );
        if self.has_section() {
            let aside = self.aside;
            self.laid.draw(&mut self.draft, aside + shift);
            let at = self.section_foot();
            outside_arrow(&mut self.draft, &self.laid, at);
            let words = self.draft.moved(at, 0.0, -13.0);
            self.draft.centred(words, TextHeight::Mm2_5, "cut through, enlarged");
        }
    }

    /// From the lowest point of the finished edge to the cut edge, along the outside face.
    fn face_mm(&self) -> f64 {
        let face = &self.laid.outside;
        let bottom = self.laid.foot(face);
        length_of(face.get(bottom..).unwrap_or_default())
    }

    fn section_foot(&self) -> DVec2 {
        let box_ = bounds_of(self.laid.outside.iter().chain(&self.laid.inside).copied());
        DVec2::new(box_.middle().x, box_.low.y) + self.aside
    }

    /// The old panel round the piece from outside, and in the cut: behind the piece while that is only held up, past its cut
    /// edge once it is fitted.
    fn old_panel(&mut self, fitted: bool, shift: DVec2) {
        let above = self.draft.real(9.0).max(12.0);
        let mut panel = beside(&self.top, self.up * above);
        // the old panel goes on beside the piece, to the level of its finished edge
        if let (Some(first), Some(last)) = (panel.first().copied(), panel.last().copied()) {
            let foot =
                |y: f64| if self.up > 0.0 { self.seen.bounds.low.y.min(y) } else { self.seen.bounds.high.y.max(y) };
            panel.insert(0, DVec2::new(first.x - above, foot(first.y)));
            panel.push(DVec2::new(last.x + above, foot(last.y)));
        }
        self.draft.path(Layer::Adjacent, &panel);
        if let Some(first) = self.top.first() {
            let words = self.draft.moved(*first, -14.0, 22.0 * self.up);
            self.draft.centred(words, TextHeight::Mm2_5, "old panel");
        }
        if self.has_section() {
            let panel = OldPanel {
                from_top_mm: if fitted { self.lap_cut_mm } else { self.face_mm() },
                above_mm: self.draft.real(14.0),
                thickness_mm: self.old_mm,
                in_front: fitted && self.lap_mm > 0.0,
                shift: self.aside + shift,
            };
            self.laid.old_panel(&mut self.draft, &panel);
        }
    }

    fn note(&mut self, tip: DVec2, x_paper_mm: f64, y_paper_mm: f64, words: &str) {
        let elbow = self.draft.moved(tip, x_paper_mm, y_paper_mm);
        self.draft.callout(tip, elbow, words);
    }

    fn hold_up(&mut self) {
        let away = self.laid.outward * self.draft.real(9.0);
        self.piece_twice(away);
        let height = self.face_mm();
        self.old_panel(false, DVec2::ZERO);
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
            self.note(tip, 8.0, 14.0, if index == 0 { "gap here?" } else { "and here?" });
        }
    }

    fn quarter_points(&self) -> Vec<DVec2> {
        let length = length_of(&self.top);
        [0.15, 0.8].into_iter().filter_map(|share| point_at(&self.top, share * length)).collect()
    }

    fn brace(&mut self) {
        self.seen.draw_place(&mut self.draft);
        self.old_panel(false, DVec2::ZERO);
        let box_ = self.seen.bounds;
        let reach = self.draft.real(4.0);
        let level =
            if self.up > 0.0 { box_.high.y + self.draft.real(13.0) } else { box_.low.y - self.draft.real(13.0) };
        let (a, b) = (DVec2::new(box_.low.x - reach, level), DVec2::new(box_.high.x + reach, level));
        let lift = DVec2::Y * self.draft.real(1.5);
        self.draft.drawing.add(Layer::Weld, Polyline::rectangle(a - lift, b + lift));
        self.note(a.lerp(b, 0.7) + lift, 6.0, 8.0, "straight bar, clamped on past the cut");
        let (from, to) = (box_.low, DVec2::new(box_.high.x, box_.low.y));
        let label = Label::Text("measure across, write it down".to_owned());
        let shape = Shape::LinearDimension { from, to, along: Along::Horizontal, offset_paper_mm: -17.0, label };
        self.draft.drawing.add(Layer::Dimension, shape);
        self.seen_words(-24.0);
        self.panel_words();
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
        self.old_panel(false, DVec2::ZERO);
        self.seen.draw_place(&mut self.draft);
        let length = length_of(&self.top);
        for share in [0.05, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95] {
            if let Some(at) = point_at(&self.top, share * length) {
                self.draft.drawing.add(Layer::Weld, Shape::Circle { centre: at, radius_mm: self.draft.real(1.2) });
            }
        }
        if let Some(at) = point_at(&self.top, 0.4 * length) {
            self.note_at(
                at,
                self.seen.bounds.high.y,
                20.0,
                "clean and probe along this line and above it,\nboth sides: bright metal, no give",
            );
        }
        self.seen_words(-18.0);
        self.panel_words();
    }

    /// What the view shows and its hand, so far below it on paper.
    fn seen_words(&mut self, y_paper_mm: f64) {
        front_arrow(&mut self.draft, &self.seen, self.hand);
        let at = self.draft.moved(self.seen.bounds.low, 0.0, y_paper_mm);
        self.draft.words(
            at,
            TextHeight::Mm2_5,
            format!("{} seen from outside · {}", self.piece.name, self.piece.placing.hand),
        );
    }

    /// Names the old panel where it stands alone in the cut.
    fn panel_words(&mut self) {
        if self.has_section() {
            let at = self.section_foot();
            outside_arrow(&mut self.draft, &self.laid, at);
            let words = self.draft.moved(at, 0.0, -13.0);
            self.draft.centred(words, TextHeight::Mm2_5, "old panel, cut through");
        }
    }

    fn trim_ends(&mut self) {
        self.seen.draw(&mut self.draft);
        let ends: Vec<Vec<DVec2>> = self
            .seen
            .lines
            .iter()
            .filter(|(name, points)| name == "end line" && points.len() > 1)
            .map(|(_, points)| points.clone())
            .collect();
        for line in &ends {
            self.draft.path(Layer::VehicleCut, line);
        }
        let box_ = self.seen.bounds;
        for line in ends {
            let Some(tip) = line.iter().copied().max_by(|a, b| a.y.total_cmp(&b.y)) else { continue };
            let way = if tip.x < box_.middle().x { -1.0 } else { 1.0 };
            self.note(tip, way * 6.0, 10.0, "end line: trim the spare here");
        }
        self.seen_words(-18.0);
    }

    /// The one picture that must not be misread: scribed line, cut line one lap lower, and the three figures.
    fn scribe(&mut self, figures: &[(String, String)]) {
        self.piece_twice(DVec2::ZERO);
        self.old_panel(false, -self.laid.outward * self.old_mm * 1.5);
        let (top, cut) = (self.top.clone(), self.step.clone());
        self.draft.path(Layer::Scribe, &top);
        let crown = self.seen.bounds.high.y;
        if self.lap_mm > 0.0 {
            self.draft.path(Layer::VehicleCut, &cut);
            if let Some(tip) = point_at(&cut, 0.4 * length_of(&cut)) {
                let way = if self.up > 0.0 { "LOWER" } else { "HIGHER" };
                self.note_at(tip, crown, 20.0, &format!("2 take the piece away,\nmark the cut line\none lap {way}"));
            }
        }
        if let Some(tip) = point_at(&top, 0.15 * length_of(&top)) {
            let words = if self.lap_mm > 0.0 {
                "1 scribe along the\nedge of the piece"
            } else {
                "scribe along the edge of the piece:\nthat is the cut line"
            };
            self.note_at(tip, crown, 34.0, words);
        }
        if self.has_section() {
            self.three_figures(figures);
        }
    }

    fn note_at(&mut self, tip: DVec2, level: f64, y_paper_mm: f64, words: &str) {
        let elbow = DVec2::new(tip.x + self.draft.real(5.0), level + self.draft.real(y_paper_mm));
        self.draft.callout(tip, elbow, words);
    }

    fn three_figures(&mut self, figures: &[(String, String)]) {
        let figure =
            |name: &str| named_figure(figures, name).map(|figure| format!("{name} {figure}")).unwrap_or_default();
        let low = self.laid.lowest() + self.aside;
        let top = self.laid.below_top(0.0) + self.aside;
        let cut = self.laid.below_top(self.lap_cut_mm) + self.aside;
        // always on the right, where nothing else stands
        let out = DVec2::X;
        let edge = low.x.max(top.x);
        let column = |draft: &Draft, paper_mm: f64| edge + out.x * draft.real(paper_mm);
        let inner = column(&self.draft, -5.0);
        let lines = [(top.y, Layer::Scribe, 30.0), (cut.y, Layer::VehicleCut, 30.0), (low.y, Layer::Dimension, 30.0)];
        for (y, layer, reach) in lines {
            let far = column(&self.draft, reach);
            self.draft.line(layer, DVec2::new(inner, y), DVec2::new(far, y));
        }
        let rows: Vec<(f64, f64, String)> = if self.lap_mm > 0.0 {
            vec![
                (cut.y, top.y, figure("lap")),
                (low.y, top.y, figure("piece height")),
                (low.y, cut.y, figure("cut height")),
            ]
        } else {
            vec![(low.y, top.y, figure("cut height"))]
        };
        let mut last_y = f64::INFINITY;
        for (index, (from, to, words)) in rows.into_iter().enumerate() {
            let x = column(&self.draft, 10.0 + 8.0 * index as f64);
            let middle = DVec2::new(x, 0.5 * (from + to));
            self.draft.arrow(Layer::Dimension, middle, DVec2::new(x, from));
            self.draft.arrow(Layer::Dimension, middle, DVec2::new(x, to));
            let y = middle.y.min(last_y - self.draft.real(7.0));
            last_y = y;
            let elbow = DVec2::new(column(&self.draft, 34.0), y);
            self.draft.line(Layer::Dimension, middle, elbow);
            let side = if out.x > 0.0 { Horizontal::Left } else { Horizontal::Right };
            let at = elbow + out * self.draft.real(1.0);
            let text = Text::new(at, TextHeight::Mm3_5, words).anchored(side, Vertical::Middle);
            self.draft.drawing.add(Layer::Dimension, text);
        }
    }

    fn cut(&mut self, figures: &[(String, String)]) {
        self.old_panel(false, DVec2::ZERO);
        let cut = self.step.clone();
        self.draft.path(Layer::VehicleCut, &cut);
        let saw = beside(&cut, -self.up * self.draft.real(1.5));
        self.draft.path(Layer::Weld, &saw);
        let waste: Vec<DVec2> = saw.iter().copied().chain(self.lower.iter().rev().copied()).collect();
        if waste.len() > 3 {
            let outline = Polyline::closed(waste);
            let shape = Shape::Hatch {
                outline,
                holes: Vec::new(),
                angle_rad: std::f64::consts::FRAC_PI_2,
                spacing_paper_mm: 2.0,
            };
            self.draft.drawing.add(Layer::Hatch, shape);
        }
        let crown = self.seen.bounds.high.y;
        let height = named_figure(figures, "cut height");
        if let Some(tip) = point_at(&cut, 0.6 * length_of(&cut)) {
            let height = height.map(|height| format!(" at {height}")).unwrap_or_default();
            self.note_at(tip, crown, 16.0, &format!("cut line{height}"));
        }
        if let Some(tip) = point_at(&saw, 0.3 * length_of(&saw)) {
            self.note_at(
                tip,
                crown,
                26.0,
                "saw here, inside the line, then file up to the line;\nhatched: the bad metal that comes away",
            );
        }
        self.seen_words(-18.0);
        self.panel_words();
    }

    fn clamp(&mut self) {
        self.piece_twice(DVec2::ZERO);
        self.old_panel(true, DVec2::ZERO);
        let length = length_of(&self.top);
        for (index, share) in [0.5, 0.05, 0.95, 0.27, 0.73].into_iter().enumerate() {
            if let Some(at) = point_at(&self.top, share * length) {
                let centre = at - DVec2::Y * self.up * self.lap_mm * 0.5;
                self.draft.drawing.add(Layer::Weld, Shape::Circle { centre, radius_mm: self.draft.real(2.4) });
                self.draft.centred(centre, TextHeight::Mm2_5, (index + 1).to_string());
            }
        }
        self.note_last("clamp in this order, lap tight at each clamp");
    }

    fn note_last(&mut self, words: &str) {
        let length = length_of(&self.top);
        if let Some(at) = point_at(&self.top, 0.45 * length) {
            self.note_at(at, self.seen.bounds.high.y, 16.0, words);
        }
    }

    /// The first welds of the map: they hold the piece.
    fn tack(&mut self, section: &SectionPlan) {
        const TACKS: usize = 9;
        self.piece_twice(DVec2::ZERO);
        self.old_panel(true, DVec2::ZERO);
        self.numbered(section, TACKS);
        self.note_last("tack in this order, let it cool between");
    }

    fn weld(&mut self, section: &SectionPlan) {
        self.piece_twice(DVec2::ZERO);
        self.old_panel(true, DVec2::ZERO);
        self.numbered(section, usize::MAX);
        let count = section.joint.count;
        self.note_last(&format!("{count} welds, in the order of their numbers"));
    }

    /// Welds of this piece up to a number, each where the map has it.
    fn numbered(&mut self, section: &SectionPlan, up_to: usize) {
        for (map, edge) in super::maps_of(section, self.piece) {
            let mut along: Vec<f64> = map.events.iter().map(|event| event.from_mm).collect();
            along.sort_by(f64::total_cmp);
            for event in map.events.iter().filter(|event| event.number <= up_to && event.kind != WeldEventKind::Run) {
                let Some(point) = edge.at(event.from_mm) else { continue };
                let centre = self.seen.view.flat(point.at_mm + point.into_sheet * map.into_mm);
                dot(&mut self.draft, centre, 0.8);
                let place = along.iter().position(|at| at.total_cmp(&event.from_mm).is_eq()).unwrap_or(0);
                let row = if up_to > map.events.len() && place % 2 == 1 { 5.4 } else { 2.8 };
                let at = centre + DVec2::Y * self.up * self.draft.real(row);
                let text = Text::new(at, TextHeight::Mm1_8, event.number.to_string())
                    .anchored(Horizontal::Middle, Vertical::Middle);
                self.draft.drawing.add(Layer::Note, text);
            }
        }
    }

    fn protect(&mut self) {
        self.piece_twice(DVec2::ZERO);
        self.old_panel(true, DVec2::ZERO);
        if self.has_section() {
            let lap = self.laid.below_top(0.5 * self.lap_cut_mm) + self.aside;
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

fn named_figure<'f>(figures: &'f [(String, String)], name: &str) -> Option<&'f str> {
    figures.iter().find(|(known, _)| known == name).map(|(_, figure)| figure.as_str())
}

/// The edge that meets the old panel and the finished edge, as seen from outside, both left to right.
///
/// The surface's outline starts along the finished edge.
fn long_sides(piece: &PiecePlan, seen: &Elevation) -> (Vec<DVec2>, Vec<DVec2>) {
    let outline = seen.feature(piece, "outline");
    let starts_it = |side: &[DVec2]| {
        side.windows(2).any(|pair| matches!((pair, outline.as_slice()), ([a, b], [p, q, ..]) if a == p && b == q))
    };
    let mut sides: Vec<Vec<DVec2>> = long_edges(&outline).into_iter().take(2).collect();
    sides.sort_by_key(|side| starts_it(side));
    for side in &mut sides {
        if side.first().map(|point| point.x) > side.last().map(|point| point.x) {
            side.reverse();
        }
    }
    let (low, high) = (seen.bounds.low, seen.bounds.high);
    let mut sides = sides.into_iter();
    let top = sides.next().unwrap_or_else(|| vec![DVec2::new(low.x, high.y), high]);
    let lower = sides.next().unwrap_or_else(|| vec![low, DVec2::new(high.x, low.y)]);
    (top, lower)
}
