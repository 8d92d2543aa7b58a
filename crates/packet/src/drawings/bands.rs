//! The map of raising and gathering of a skin: hatched bands with their per cent, for a mono print as well as a screen.
//!
//! Stretch: wide-spaced strokes. Shrink: close strokes. Both along the direction in which the metal moves most.

use blank::skin::{BandArea, RaiseBand, SkinForming, Work};
use glam::DVec2;

use super::bounds_of;
use super::draft::Draft;
use crate::drawing::{Layer, Polyline, Shape, TextHeight};
use crate::font::{self, Weight};
use crate::number::trimmed;

/// Distance between strokes where metal is raised, mm on paper.
const STRETCH_PITCH_MM: f64 = 3.2;
/// Distance between strokes where it is gathered.
const SHRINK_PITCH_MM: f64 = 1.6;
/// Room left free round a label.
const ROOM_MM: f64 = 0.8;

/// Draws the bands that are worked on.
pub(super) fn bands(draft: &mut Draft, forming: &SkinForming) {
    for band in &forming.bands {
        let (layer, pitch_mm) = match band.work {
            Work::Stretch => (Layer::Stretch, STRETCH_PITCH_MM),
            Work::Shrink => (Layer::Shrink, SHRINK_PITCH_MM),
            Work::Leave => continue,
        };
        for area in &band.areas {
            one(draft, band, area, layer, pitch_mm);
        }
    }
}

/// "2 to 3 %".
pub(super) fn per_cent(band: &RaiseBand) -> String {
    let [from, to] = band.raise.map(|share| 100.0 * share.abs());
    format!("{} to {} %", trimmed(from.min(to), 2), trimmed(from.max(to), 2))
}

fn one(draft: &mut Draft, band: &RaiseBand, area: &BandArea, layer: Layer, pitch_mm: f64) {
    let mut holes: Vec<Polyline> = area.inner_mm.iter().map(|ring| Polyline::closed(ring.iter().copied())).collect();
    let words = label(draft, band, area);
    if let Some((_, half)) = &words {
        holes.push(Polyline::rectangle(area.label_mm - *half, area.label_mm + *half));
    }
    draft.ring(layer, &area.outer_mm);
    area.inner_mm.iter().for_each(|ring| draft.ring(layer, ring));
    let outline = Polyline::closed(area.outer_mm.iter().copied());
    let hatch = Shape::Hatch { outline, holes, angle_rad: area.hatch.to_angle(), spacing_paper_mm: pitch_mm };
    draft.drawing.add(layer, hatch);
    if let Some((words, _)) = words {
        draft.centred(area.label_mm, TextHeight::Mm2_5, words);
    }
}

/// The longest words that go into the area, with half the box they need; none where not even the figures fit.
fn label(draft: &Draft, band: &RaiseBand, area: &BandArea) -> Option<(String, DVec2)> {
    let height = TextHeight::Mm2_5.mm();
    let space = bounds_of(area.outer_mm.iter().copied()).size();
    let with_box = |words: String| {
        let width = font::text_width_mm(&words, Weight::Regular, height);
        let half = DVec2::new(draft.real(0.5 * width + ROOM_MM), draft.real(0.5 * height + ROOM_MM));
        (words, half)
    };
    let fits = |(_, half): &(String, DVec2)| 2.4 * half.x < space.x && 2.4 * half.y < space.y;
    [band.label.clone(), per_cent(band)].into_iter().map(with_box).find(fits)
}
