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
use mesh::polygon::{contains, distance_to_sides_mm};

/// Distance between strokes where metal is raised, mm on paper.
const STRETCH_PITCH_MM: f64 = 3.2;
/// Distance between strokes where it is gathered.
const SHRINK_PITCH_MM: f64 = 1.6;
/// Room left free round a label.
const ROOM_MM: f64 = 0.8;

/// Where leaders of small areas are tried: so far off, mm on paper …
const LEADERS_MM: [f64; 6] = [6.0, 9.0, 13.0, 18.0, 25.0, 34.0];
/// … in so many directions.
const LEADER_WAYS: u32 = 16;

/// Names every area that is worked on: inside where the words go in, otherwise by a leader, whose words stand on none of the lines `drawn` where
/// that is possible.
///
/// Returns the boxes of the words, of which strokes and other words keep clear.
pub(super) fn labels(draft: &mut Draft, forming: &SkinForming, drawn: &[[DVec2; 2]]) -> Vec<Bounds> {
    let mut boxes = Vec::new();
    let mut small = Vec::new();
    for (band, area, _) in worked(forming) {
        match label(draft, band, area) {
            Some((words, half)) => {
                boxes.push(Bounds { low: area.label_mm - half, high: area.label_mm + half });
                draft.centred(area.label_mm, TextHeight::Mm2_5, words);
            }
            None => small.push((band, area)),
        }
    }
    for (band, area) in small {
        let words = figures(band);
        let (elbow, own) = leader(draft, forming, (area.label_mm, &words), &boxes, drawn);
        boxes.push(own);
        draft.callout(area.label_mm, elbow, words);
    }
    boxes
}

/// Draws the areas that are worked on, clear of all boxes.
pub(super) fn strokes(draft: &mut Draft, forming: &SkinForming, boxes: &[Bounds]) {
    for (_, area, (layer, pitch_mm)) in worked(forming) {
        strokes_of(draft, area, layer, pitch_mm, boxes);
    }
}

/// The areas that are worked on, each with its band and how it is drawn.
fn worked(forming: &SkinForming) -> impl Iterator<Item = (&RaiseBand, &BandArea, (Layer, f64))> {
    let bands = forming.bands.iter().filter_map(|band| Some((band, stroke(band.work)?)));
    bands.flat_map(|(band, way)| band.areas.iter().map(move |area| (band, area, way)))
}

/// Elbow of a leader, and the box of its words: on metal that is left as it is where there is room, clear of other words.
fn leader(
    draft: &Draft,
    forming: &SkinForming,
    (tip, words): (DVec2, &str),
    boxes: &[Bounds],
    drawn: &[[DVec2; 2]],
) -> (DVec2, Bounds) {
    let height = TextHeight::Mm2_5.mm();
    let width = draft.real(font::text_width_mm(words, Weight::Regular, height) + ROOM_MM);
    let half_height = draft.real(0.5 * height + ROOM_MM);
    let at = |far_mm: f64, way: u32| {
        // steep ways first: the words then stand beside what they name
        let angle = std::f64::consts::TAU * (f64::from(way) + 0.5) / f64::from(LEADER_WAYS);
        let elbow = tip + DVec2::from_angle(angle) * draft.real(far_mm);
        // a leader has a shoulder of 3 mm and its words 1 mm behind
        let start = draft.real(3.5);
        let [low, high] = if elbow.x >= tip.x { [start, start + width] } else { [-start - width, -start] };
        (elbow, Bounds { low: elbow + DVec2::new(low, -half_height), high: elbow + DVec2::new(high, half_height) })
    };
    let tried = LEADERS_MM.iter().flat_map(|far| (0..LEADER_WAYS).map(|way| at(*far, way)));
    let clear: Vec<(DVec2, Bounds)> = tried
        .filter(|(elbow, own)| boxes.iter().all(|other| !overlap(own, other) && !crosses(&[tip, *elbow], other)))
        .collect();
    let left = |own: &Bounds| {
        let corners = [own.low, own.high, DVec2::new(own.low.x, own.high.y), DVec2::new(own.high.x, own.low.y)];
        let areas = || forming.bands.iter().filter(|band| band.work == Work::Leave).flat_map(|band| &band.areas);
        corners.iter().all(|corner| areas().any(|area| holds(area, *corner)))
    };
    let free = |own: &Bounds| drawn.iter().all(|line| !crosses(line, own));
    let best = clear.iter().find(|(_, own)| left(own) && free(own));
    best.or_else(|| clear.iter().find(|(_, own)| left(own)))
        .or(clear.first())
        .copied()
        .unwrap_or_else(|| at(LEADERS_MM[0], 1))
}

fn holds(area: &BandArea, point: DVec2) -> bool {
    contains(&area.outer_mm, point) && !area.inner_mm.iter().any(|ring| contains(ring, point))
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
fn strokes_of(draft: &mut Draft, area: &BandArea, layer: Layer, pitch_mm: f64, boxes: &[Bounds]) {
    std::iter::once(&area.outer_mm).chain(&area.inner_mm).for_each(|ring| border(draft, layer, ring, boxes));
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

/// A closed line, open where words stand on it.
fn border(draft: &mut Draft, layer: Layer, ring: &[DVec2], boxes: &[Bounds]) {
    let sides = || ring.iter().copied().zip(ring.iter().copied().cycle().skip(1)).map(|(from, to)| [from, to]);
    if !sides().any(|side| boxes.iter().any(|own| crosses(&side, own))) {
        return draft.ring(layer, ring);
    }
    let mut chains: Vec<Vec<DVec2>> = Vec::new();
    for side in sides() {
        let parts =
            boxes.iter().fold(vec![side], |lines, own| lines.iter().flat_map(|line| outside(*line, own)).collect());
        for [from, to] in parts {
            match chains.last_mut() {
                Some(chain) if chain.last().is_some_and(|end| end.distance(from) < 1e-9) => chain.push(to),
                _ => chains.push(vec![from, to]),
            }
        }
    }
    chains.iter().for_each(|chain| draft.path(layer, chain));
}

pub(super) fn overlap(a: &Bounds, b: &Bounds) -> bool {
    a.low.x < b.high.x && b.low.x < a.high.x && a.low.y < b.high.y && b.low.y < a.high.y
}

/// Whether a line passes through a box.
pub(super) fn crosses([from, to]: &[DVec2; 2], own: &Bounds) -> bool {
    let (low, high) = (from.min(*to), from.max(*to));
    if !(low.cmplt(own.high).all() && own.low.cmplt(high).all()) {
        return false;
    }
    // of a box that the line does not pass, all corners lie on one side of it
    let way = *to - *from;
    let corners = [own.low, own.high, DVec2::new(own.low.x, own.high.y), DVec2::new(own.high.x, own.low.y)];
    let sides = corners.map(|corner| way.perp_dot(corner - *from));
    sides.iter().any(|side| *side > 0.0) && sides.iter().any(|side| *side < 0.0)
}

/// The parts of a line outside a box (Liang and Barsky, ACM Trans. Graphics 3 (1984) 1–22, from memory).
pub(super) fn outside([from, to]: [DVec2; 2], own: &Bounds) -> Vec<[DVec2; 2]> {
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

/// The longest words that go into the area, with half the box they need; none where not even the figures fit, or where it is narrower than a letter.
fn label(draft: &Draft, band: &RaiseBand, area: &BandArea) -> Option<(String, DVec2)> {
    let height = TextHeight::Mm2_5.mm();
    let space = bounds_of(area.outer_mm.iter().copied()).size();
    let with_box = |words: String| {
        let width = font::text_width_mm(&words, Weight::Regular, height);
        let half = DVec2::new(draft.real(0.5 * width + ROOM_MM), draft.real(0.5 * height + ROOM_MM));
        (words, half)
    };
    let sides = std::iter::once(&area.outer_mm).chain(&area.inner_mm);
    let room = sides.map(|ring| distance_to_sides_mm(ring, area.label_mm)).fold(f64::INFINITY, f64::min);
    let fits = |(_, half): &(String, DVec2)| {
        2.4 * half.x < space.x && 2.4 * half.y < space.y && room > draft.real(0.5 * height)
    };
    [band.label.clone(), figures(band)].into_iter().map(with_box).find(fits)
}

/// "raise 1 to 1.5 %".
fn figures(band: &RaiseBand) -> String {
    match band.work {
        Work::Stretch => format!("raise {}", per_cent(band)),
        Work::Shrink => format!("gather {}", per_cent(band)),
        Work::Leave => per_cent(band),
    }
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

    #[test]
    fn a_line_crosses_a_box_or_passes_its_corner() {
        let own = Bounds { low: DVec2::new(4.0, -1.0), high: DVec2::new(6.0, 1.0) };
        assert!(crosses(&[DVec2::ZERO, DVec2::new(10.0, 0.0)], &own));
        assert!(crosses(&[DVec2::new(4.5, 0.0), DVec2::new(5.5, 0.5)], &own));
        // past the upper left corner, though the boxes of both overlap
        assert!(!crosses(&[DVec2::new(3.0, -0.5), DVec2::new(4.5, 2.5)], &own));
        assert!(!crosses(&[DVec2::new(0.0, 2.0), DVec2::new(10.0, 2.0)], &own));
    }
}
