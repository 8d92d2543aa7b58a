//! The piece as seen square from outside: what the person with the scriber sees.

use glam::{DVec2, DVec3};
use job::file::Hand;
use job::plan::PiecePlan;
use mesh::SheetFace;

use super::bounds_of;
use super::draft::Draft;
use super::project::{ViewAxes, visible_lines};
use crate::drawing::{Bounds, Drawing, Layer, Scale, TextHeight};

/// Lines of the piece on paper, seen square from outside.
pub struct Elevation {
    /// Named lines.
    pub lines: Vec<(String, Vec<DVec2>)>,
    /// Box round them.
    pub bounds: Bounds,
    /// The axes of the view.
    pub view: ViewAxes,
}

impl Elevation {
    /// Looks at the piece against the mean direction of its outside face.
    pub fn of(piece: &PiecePlan) -> Self {
        let view = ViewAxes::seen_from(mean_outward(piece), up_of(piece));
        let lines = visible_lines(&piece.shape, &view);
        let bounds = bounds_of(lines.iter().flat_map(|(_, points)| points.iter().copied()));
        Self { lines, bounds, view }
    }

    /// A feature line of the piece by the end of its name, whether or not it is hidden from here.
    pub fn feature(&self, piece: &PiecePlan, name_ends_with: &str) -> Vec<DVec2> {
        let line = piece.shape.lines.iter().find(|line| line.name.ends_with(name_ends_with));
        line.map(|line| line.points_mm.iter().map(|point| self.view.flat(*point)).collect()).unwrap_or_default()
    }

    /// Draws the piece.
    pub fn draw(&self, draft: &mut Draft) {
        for (name, points) in &self.lines {
            match name.as_str() {
                "outline" | "edge" | "hole" => draft.path(Layer::Outline, points),
                "end line" => draft.path(Layer::Mark, points),
                _ => {}
            }
        }
    }

    /// Draws where the piece will go, dashed.
    pub fn draw_place(&self, draft: &mut Draft) {
        for (_, points) in self.lines.iter().filter(|(name, _)| name == "outline") {
            draft.path(Layer::Hidden, points);
        }
    }
}

fn mean_outward(piece: &PiecePlan) -> DVec3 {
    let surface = &piece.shape;
    let mut sum = DVec3::ZERO;
    for (index, tag) in surface.tag_of.iter().enumerate() {
        let outside = surface
            .tags
            .get(usize::from(*tag))
            .is_some_and(|tag| tag.face == SheetFace::Outside && tag.part.starts_with("skin"));
        if let (true, Some([a, b, c])) = (outside, surface.corners(index)) {
            sum += (b - a).cross(c - a);
        }
    }
    sum.normalize_or(DVec3::Y)
}

/// Upright of the vehicle where the piece stands; for a piece that lies flat, away from its finished edge.
fn up_of(piece: &PiecePlan) -> DVec3 {
    if mean_outward(piece).z.abs() < 0.9 { DVec3::Z } else { DVec3::X }
}

/// Draws the piece as seen from outside with its name and hand.
pub fn elevation(piece: &PiecePlan, hand: Option<Hand>, scale: Scale) -> Drawing {
    let seen = Elevation::of(piece);
    let description = format!("{}: seen square from outside, {}", piece.name, piece.placing.hand);
    let mut draft = Draft::new(format!("elevation {}", piece.name), description, scale);
    seen.draw(&mut draft);
    front_arrow(&mut draft, &seen, hand);
    draft.drawing
}

/// An arrow to the front below the view of a piece that has a hand.
pub fn front_arrow(draft: &mut Draft, seen: &Elevation, hand: Option<Hand>) {
    let way = seen.view.flat(DVec3::X);
    if hand.is_none() || way.length() < 0.3 {
        return;
    }
    let way = way.normalize_or_zero();
    let middle = DVec2::new(seen.bounds.middle().x, seen.bounds.low.y);
    let from = draft.moved(middle, 0.0, -7.0) - way * draft.real(10.0);
    let to = draft.moved(middle, 0.0, -7.0) + way * draft.real(10.0);
    draft.arrow(Layer::Note, from, to);
    draft.centred(to + way * draft.real(7.0), TextHeight::Mm2_5, "front");
}
