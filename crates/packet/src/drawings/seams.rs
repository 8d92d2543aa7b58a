//! Seams proposed for a skin, in the flat of the whole and as the flats of the parts.

use blank::Blank;
use blank::skin::seams::SeamProposal;
use glam::DVec2;

use super::bounds_of;
use super::draft::{Draft, length_of, point_at};
use super::picture_scale;
use crate::drawing::{Drawing, Layer, Polyline, TextHeight};

/// The outline of the whole with every seam, numbered as they are listed.
pub fn seams_drawing(whole: &Blank, proposals: &[SeamProposal], width_mm: f64, height_mm: f64) -> Drawing {
    let size = bounds_of(whole.outline_mm.iter().copied()).size();
    let scale = picture_scale(size.x, size.y, width_mm - 10.0, height_mm - 10.0);
    let description = format!("Seams proposed for {}, in its flat", whole.piece);
    let mut draft = Draft::new(format!("seams {}", whole.piece), description, scale);
    draft.ring(Layer::Outline, &whole.outline_mm);
    for (index, proposal) in proposals.iter().enumerate() {
        draft.path(Layer::Weld, &proposal.flat_mm);
        // each number a little further along its own line, so that they stand apart where the lines cross
        let share = 0.3 + 0.08 * index as f64;
        if let Some(at) = point_at(&proposal.flat_mm, share * length_of(&proposal.flat_mm)) {
            draft.bold(draft.moved(at, 1.5, 1.5), TextHeight::Mm5, (index + 1).to_string());
        }
    }
    draft.drawing
}

/// The flats of the two parts of one seam side by side, the seam's edge among them.
pub fn seam_parts_drawing(proposal: &SeamProposal, width_mm: f64, height_mm: f64) -> Drawing {
    let blanks = proposal.parts.each_ref().map(|part| &part.blank);
    let boxes = blanks.map(|blank| bounds_of(blank.outline_mm.iter().copied()));
    let gap_mm = 0.1 * (boxes[0].size().x + boxes[1].size().x);
    let whole = DVec2::new(boxes[0].size().x + gap_mm + boxes[1].size().x, boxes[0].size().y.max(boxes[1].size().y));
    let scale = picture_scale(whole.x, whole.y, width_mm - 10.0, height_mm - 16.0);
    let mut draft = Draft::new("seam parts", "Flats of the two parts", scale);
    let mut left_mm = 0.0;
    for (index, (blank, own)) in blanks.into_iter().zip(boxes).enumerate() {
        let shift = DVec2::new(left_mm, 0.0) - own.low;
        let ring = Polyline::closed(blank.outline_mm.iter().map(|point| *point + shift));
        draft.drawing.add(Layer::Cut, ring);
        let at = DVec2::new(left_mm, 0.0);
        let words = format!("part {}: {:.0} × {:.0} mm", index + 1, own.size().x, own.size().y);
        draft.words(draft.moved(at, 0.0, -6.0), TextHeight::Mm2_5, words);
        left_mm += own.size().x + gap_mm;
    }
    draft.drawing
}
