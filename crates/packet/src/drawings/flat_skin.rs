//! The flat of a bare skin, as it comes from a mesh: outline and holes to cut, axes of its figures.

use blank::flatten::FlatSkin;
use blank::skin::SkinForming;
use blank::skin::seams::SeamProposal;
use glam::DVec2;

use super::bands;
use super::bounds_of;
use super::draft::{Draft, length_of, point_at};
use crate::drawing::{Drawing, Layer, Polyline, Scale, TextHeight};

/// Half the arms of the cross at the origin, mm on paper.
const CROSS_MM: f64 = 5.0;

/// Length of the bar by which a print is checked, mm.
const CHECK_BAR_MM: f64 = 100.0;

/// Draws a flat skin at 1:1 with its map of raising and the seams proposed, where there are any; below it what it is cut from, its
/// size, and a check bar.
pub fn flat_skin_drawing(
    flat: &FlatSkin,
    forming: Option<&SkinForming>,
    sheet: &str,
    seams: &[SeamProposal],
) -> Drawing {
    let mut draft = Draft::new("flat", "Flat of a skin, outside face up", Scale::FULL);
    if let Some(forming) = forming {
        let boxes = bands::labels(&mut draft, forming, &[]);
        bands::strokes(&mut draft, forming, &boxes);
    }
    for (index, boundary) in flat.boundaries.iter().enumerate() {
        let ring = Polyline::closed(boundary.iter().filter_map(|point| flat.points_mm.get(*point as usize).copied()));
        if index == 0 {
            draft.drawing.add_named(Layer::Cut, "outline", ring);
        } else {
            draft.drawing.add_named(Layer::Hole, format!("hole {index}"), ring);
        }
    }
    for arm in [DVec2::X, DVec2::Y] {
        draft.line(Layer::Mark, -arm * CROSS_MM, arm * CROSS_MM);
    }
    for (index, seam) in seams.iter().enumerate() {
        draft.path(Layer::Weld, &seam.flat_mm);
        let share = 0.3 + 0.08 * index as f64;
        if let Some(at) = point_at(&seam.flat_mm, share * length_of(&seam.flat_mm)) {
            draft.bold(draft.moved(at, 1.5, 1.5), TextHeight::Mm5, format!("seam {}", index + 1));
        }
    }
    let box_ = bounds_of(flat.points_mm.iter().copied());
    let size = box_.size();
    let below = |down_mm: f64| DVec2::new(box_.low.x, box_.low.y - down_mm);
    draft.bold(below(12.0), TextHeight::Mm3_5, format!("outside face up · {sheet}"));
    draft.words(
        below(18.0),
        TextHeight::Mm2_5,
        format!("{:.1} × {:.1} mm; the cross is 0, 0 of the flat mesh", size.x, size.y),
    );
    let (from, to) = (below(26.0), below(26.0) + DVec2::X * CHECK_BAR_MM);
    draft.line(Layer::Tile, from, to);
    for end in [from, to] {
        draft.line(Layer::Tile, end - DVec2::Y * 2.0, end + DVec2::Y * 2.0);
    }
    draft.words(below(31.0), TextHeight::Mm2_5, "check bar: 100 mm; print at 100 %");
    draft.drawing
}
