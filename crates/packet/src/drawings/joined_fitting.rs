//! Pictures of fitting for what goes in by edges that are known: pieces that were joined into one in the shop, and flat panels. The whole in
//! its view, the joint with the vehicle as a heavy line, dashed where metal lies in front of it.

use glam::{DVec2, DVec3};
use job::plan::{FittingStep, PiecePlan, SectionPlan};

use super::assembly::view_of;
use super::draft::{Draft, length_of, point_at};
use super::project::{Sight, ViewAxes, visible_lines};
use super::weld_map::order_on_picture;
use super::{bounds_of, picture_scale};
use crate::drawing::{Bounds, Drawing, Layer, Shape, TextHeight};

/// Edges of the section's joint end to end, as the fitter meets them.
struct Joint {
    /// On paper, hidden or not.
    lines: Vec<Vec<DVec2>>,
    seen: Vec<Vec<DVec2>>,
    hidden: Vec<Vec<DVec2>>,
}

impl Joint {
    fn of(edges_mm: &[Vec<DVec3>], whole: &PiecePlan, view: &ViewAxes) -> Self {
        let sight = Sight::of(&whole.shape, view);
        let flat = |line: &Vec<DVec3>| -> Vec<DVec2> { line.iter().map(|point| view.flat(*point)).collect() };
        let parts = |seen: bool| -> Vec<Vec<DVec2>> {
            edges_mm
                .iter()
                .flat_map(|line| sight.as_ref().map_or_else(Vec::new, |sight| sight.parts(line, seen)))
                .collect()
        };
        Self { lines: edges_mm.iter().map(flat).collect(), seen: parts(true), hidden: parts(false) }
    }

    fn draw(&self, draft: &mut Draft, layer: Layer) {
        self.hidden.iter().for_each(|line| draft.path(Layer::Hidden, line));
        self.seen.iter().for_each(|line| draft.path(layer, line));
    }

    /// Middle of the longest part that is seen, or of the longest edge.
    fn tip(&self) -> Option<DVec2> {
        let longest = |lines: &[Vec<DVec2>]| {
            let line = lines.iter().max_by(|a, b| length_of(a).total_cmp(&length_of(b)))?;
            point_at(line, 0.5 * length_of(line))
        };
        longest(&self.seen).or_else(|| longest(&self.lines))
    }

    /// Places spread evenly over all edges.
    fn spread(&self, count: usize) -> Vec<DVec2> {
        let whole: f64 = self.lines.iter().map(|line| length_of(line)).sum();
        let of_line = |line: &Vec<DVec2>| {
            let length = length_of(line);
            let own = ((count as f64 * length / whole.max(1e-9)).round() as usize).max(1);
            (0..own).filter_map(|i| point_at(line, length * (i as f64 + 0.5) / own as f64)).collect::<Vec<_>>()
        };
        self.lines.iter().flat_map(of_line).collect()
    }
}

/// The edges that go in with the joint, as the fitter meets them: of pieces that are one, or of a flat panel, whose edges lie in its
/// plane. None for a tray, which goes in by its rim.
fn edges_mm(section: &SectionPlan, piece: &PiecePlan) -> Vec<Vec<DVec3>> {
    if piece.kind == "as one" {
        return section.assembly.as_ref().map(|plan| plan.joined_mm.clone()).unwrap_or_default();
    }
    let own = section.joint.maps.iter().filter(|map| map.piece == piece.name);
    let edges = own.filter_map(|map| piece.edges.iter().find(|edge| edge.name == map.edge));
    let lines: Vec<Vec<DVec3>> = edges
        .map(|edge| edge.points.iter().map(|point| point.at_mm).collect())
        .filter(|line: &Vec<_>| line.len() > 1)
        .collect();
    let flat = lines.iter().flatten().all(|point| point.z.abs() <= 2.0 * piece.blank.thickness_mm);
    if piece.kind == "folded" && flat { lines } else { Vec::new() }
}

/// Draws one step; no larger than the space. `None` where no edge is known that goes in with the joint.
pub(super) fn joined_picture(
    section: &SectionPlan,
    whole: &PiecePlan,
    step: &FittingStep,
    width_mm: f64,
    height_mm: f64,
) -> Option<Drawing> {
    let edges_mm = edges_mm(section, whole);
    if edges_mm.is_empty() {
        return None;
    }
    let view = view_of(section);
    let lines = visible_lines(&whole.shape, &view);
    let box_ = bounds_of(lines.iter().flat_map(|(_, points)| points.iter().copied()));
    let scale = picture_scale(box_.size().x, box_.size().y, width_mm - 80.0, height_mm - 30.0);
    let description = format!("Step {}: {}. {}, {}", step.number, step.title, whole.name, whole.placing.hand);
    let mut draft = Draft::new(format!("step {}", step.number), description, scale);
    lines.iter().for_each(|(_, points)| draft.path(Layer::Outline, points));
    let foot = draft.moved(box_.low, 0.0, -7.0);
    draft.words(foot, TextHeight::Mm2_5, format!("{} · {}", whole.name, whole.placing.hand));
    let joint = Joint::of(&edges_mm, whole, &view);
    joint.draw(&mut draft, if step.cuts_vehicle { Layer::VehicleCut } else { Layer::Weld });
    if matches!(step.kind.as_str(), "tack" | "weld") {
        let count = section.joint.count.max(joint.lines.len());
        ring(&mut draft, &joint.spread(count));
    }
    if let (Some(words), Some(tip)) = (words(section, &step.kind), joint.tip()) {
        note(&mut draft, tip, box_, &words);
    }
    Some(draft.drawing)
}

/// What is done along the heavy line; dashed it runs on behind.
fn words(section: &SectionPlan, kind: &str) -> Option<String> {
    let lapped = section.joint.sentence.contains(": lap ");
    Some(match kind {
        "hold-up" => "heavy line: where it meets the old metal.\nHold it up: does it lie close all along?".into(),
        "brace" => "brace across what this opens,\nmeasure both diagonals, write them down".into(),
        "bolt-up" => "every bolt in by hand before any is tightened".into(),
        "clean-and-probe" => "clean and probe the old metal along this line,\nboth sides: bright, no give".into(),
        "scribe" if lapped => "scribe along this edge; the cut line lies\none lap inside it".into(),
        "scribe" => "scribe along this edge on the old metal:\nthat is the cut line".into(),
        "cut" => "cut inside the scribed line and file to it".into(),
        "clamp-and-check" => "clamp along this line, corners first;\nmeasure both diagonals".into(),
        "tack" => order_on_picture(section, "tacks, the next always far from the last"),
        "weld" => order_on_picture(section, "short runs from tack to tack,\nthe next always far from the last"),
        "protect" => "sealer along this joint, outside and, where\nit can be reached, inside; wax last".into(),
        _ => return None,
    })
}

fn ring(draft: &mut Draft, places: &[DVec2]) {
    for place in places {
        draft.drawing.add(Layer::Weld, Shape::Circle { centre: *place, radius_mm: draft.real(1.2) });
    }
}

fn note(draft: &mut Draft, tip: DVec2, box_: Bounds, words: &str) {
    let elbow = DVec2::new(box_.high.x + draft.real(6.0), box_.high.y.min(tip.y + draft.real(14.0)));
    draft.callout(tip, elbow, words);
}
