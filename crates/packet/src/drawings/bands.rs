//! The map of raising and gathering of a skin: hatched bands with their per cent, for a mono print as well as a screen.
//!
//! Stretch: wide-spaced strokes. Shrink: close strokes. Both along the direction in which the metal moves most.

use blank::skin::{BandArea, RaiseBand, SkinForming, Work};
use glam::DVec2;

use super::bounds_of;
use super::draft::Draft;
use crate::drawing::hatch::hatch_lines;
use crate::drawing::{Bounds, Layer, Polyline, TextHeight};
use crate::font::{self, Weight};
use crate::number::trimmed;

/// Distance between strokes where metal is raised, mm on paper.
const STRETCH_PITCH_MM: f64 = 3.2;
/// Distance between strokes where it is gathered.
const SHRINK_PITCH_MM: f64 = 1.6;
/// Room left free round a label.
const ROOM_MM: f64 = 0.8;

/// Draws the bands that are worked on.
///
/// Returns the boxes of their labels.
pub(super) fn bands(draft: &mut Draft, forming: &SkinForming) -> Vec<Bounds> {
    let mut boxes = Vec::new();
    let worked = forming.bands.iter().filter_map(|band| Some((band, stroke(band.work)?)));
    let areas: Vec<_> = worked.flat_map(|(band, way)| band.areas.iter().map(move |area| (band, area, way))).collect();
    for (band, area, _) in &areas {
        if let Some((words, half)) = label(draft, band, area) {
            boxes.push(Bounds { low: area.label_mm - half, high: area.label_mm + half });
            draft.centred(area.label_mm, TextHeight::Mm2_5, words);
        }
    }
    for (_, area, (layer, pitch_mm)) in areas {
        strokes(draft, area, layer, pitch_mm, &boxes);
    }
    boxes
}

fn stroke(work: Work) -> Option<(Layer, f64)> {
    match work {
        Work::Stretch => Some((Layer::Stretch, STRETCH_PITCH_MM)),
        Work::Shrink => Some((Layer::Shrink, SHRINK_PITCH_MM)),
        Work::Leave => None,
    }
}

/// "2 to 3 %".
pub(super) fn per_cent(band: &RaiseBand) -> String {
    let [from, to] = band.raise.map(|share| 100.0 * share.abs());
    format!("{} to {} %", trimmed(from.min(to), 2), trimmed(from.max(to), 2))
}

/// The border of an area and its strokes, kept clear of every label.
fn strokes(draft: &mut Draft, area: &BandArea, layer: Layer, pitch_mm: f64, boxes: &[Bounds]) {
    draft.ring(layer, &area.outer_mm);
    area.inner_mm.iter().for_each(|ring| draft.ring(layer, ring));
    let outline = Polyline::closed(area.outer_mm.iter().copied());
    let holes: Vec<Polyline> = area.inner_mm.iter().map(|ring| Polyline::closed(ring.iter().copied())).collect();
    for line in hatch_lines(&outline, &holes, area.hatch.to_angle(), draft.real(pitch_mm)) {
        for [from, to] in
            boxes.iter().fold(vec![line], |lines, own| lines.iter().flat_map(|line| outside(*line, own)).collect())
        {
            draft.line(layer, from, to);
        }
    }
}

/// The parts of a line outside a box (Liang and Barsky, ACM Trans. Graphics 3 (1984) 1–22, from memory).
fn outside([from, to]: [DVec2; 2], own: &Bounds) -> Vec<[DVec2; 2]> {
    let way = to - from;
    let (mut enters, mut leaves) = (0.0f64, 1.0f64);
    for axis in 0..2 {
        if way[axis] == 0.0 {
            if from[axis] <= own.low[axis] || from[axis] >= own.high[axis] {
                return vec![[from, to]];
            }
            continue;
        }
        let ends = [own.low[axis], own.high[axis]].map(|side| (side - from[axis]) / way[axis]);
        enters = enters.max(ends[0].min(ends[1]));
        leaves = leaves.min(ends[0].max(ends[1]));
    }
    if enters >= leaves {
        return vec![[from, to]];
    }
    let parts = [[from, from + way * enters], [from + way * leaves, to]];
    parts.into_iter().filter(|[a, b]| a.distance(*b) > 1e-6).collect()
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
    let figures = match band.work {
        Work::Stretch => format!("raise {}", per_cent(band)),
        Work::Shrink => format!("shrink {}", per_cent(band)),
        Work::Leave => per_cent(band),
    };
    [band.label.clone(), figures].into_iter().map(with_box).find(fits)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stroke_stops_at_a_label_and_goes_on_behind_it() {
        let own = Bounds { low: DVec2::new(4.0, -1.0), high: DVec2::new(6.0, 1.0) };
        let line = [DVec2::ZERO, DVec2::new(10.0, 0.0)];
        assert_eq!(outside(line, &own), [[DVec2::ZERO, DVec2::new(4.0, 0.0)], [DVec2::new(6.0, 0.0), line[1]]]);
        let beside = [DVec2::new(0.0, 2.0), DVec2::new(10.0, 2.0)];
        assert_eq!(outside(beside, &own), [beside]);
        assert!(outside([DVec2::new(4.5, 0.0), DVec2::new(5.5, 0.5)], &own).is_empty());
    }
}
