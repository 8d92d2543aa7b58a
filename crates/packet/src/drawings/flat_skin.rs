//! The flat of a bare skin, as it comes from a mesh: outline and holes to cut, axes of its figures.

use blank::flatten::FlatSkin;
use blank::skin::SkinForming;
use glam::DVec2;

use super::bands::bands;
use super::draft::Draft;
use crate::drawing::{Drawing, Layer, Polyline, Scale, TextHeight};

/// Half the arms of the cross at the origin, mm on paper.
const CROSS_MM: f64 = 5.0;

/// Draws a flat skin at 1:1 with its map of raising, where there is one.
pub fn flat_skin_drawing(flat: &FlatSkin, forming: Option<&SkinForming>) -> Drawing {
    let mut draft = Draft::new("flat", "Flat of a skin, outside face up", Scale::FULL);
    if let Some(forming) = forming {
        bands(&mut draft, forming);
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
    draft.words(DVec2::new(1.5, 1.5), TextHeight::Mm2_5, "outside face up");
    draft.drawing
}
