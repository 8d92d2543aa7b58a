//! How hot the panel gets while it is welded: lines of one highest temperature on the piece in its panel, and how far each thing suffers.
//!
//! Each temperature has a letter, hottest first; the same letter stands in the list. Nothing is told by colour.

use glam::{DVec2, DVec3};
use job::file::Hand;
use job::plan::PiecePlan;
use mesh::{PointId, SheetFace, Skin, Surface, Tag};
use weld::heat_map::{HeatMap, LimitReach, PeakIsotherm};

use super::draft::{Draft, length_of, point_at};
use super::isometric::{finished_lines, view_of};
use super::project::Sight;
use super::{bounds_of, picture_scale};
use crate::drawing::{Bounds, Drawing, Layer, Polyline, Scale, Shape, TextHeight};
use crate::font::{self, Weight};
use crate::number::trimmed;

/// Least distance between two lines of temperature that are both drawn, mm on paper.
const APART_PAPER_MM: f64 = 2.4;
/// Distance between letters along a line, mm on paper.
const LETTERS_PAPER_MM: f64 = 45.0;
/// How far letters of one line stand aside of those of the next, as a share of their distance: the golden section, so that none come to stand
/// above one another soon.
const ASIDE: f64 = 0.618;
/// Distance between letters that stand outside, one above the other, mm on paper.
const LEADER_PAPER_MM: f64 = 4.0;
/// Room round a letter, mm on paper.
const ROOM_PAPER_MM: f64 = 0.5;
/// Height of a bar of the rule.
const BAR_MM: f64 = 5.0;
/// Longest bar of the rule on paper.
const LONGEST_BAR_MM: f64 = 95.0;

/// The letter of a temperature of a map: A is the hottest; none for a temperature that the map has no line of.
#[must_use]
pub fn heat_mark(map: &HeatMap, from_c: f64) -> Option<String> {
    let place = map.isotherms.iter().position(|own| (own.at_c - from_c).abs() < 0.01)?;
    u8::try_from(place).ok().filter(|place| *place < 26).map(|place| char::from(b'A' + place).to_string())
}

/// The piece in its panel with lines of one highest temperature, as the shop sees it.
#[must_use]
pub fn heat_map_view(piece: &PiecePlan, map: &HeatMap, hand: Option<Hand>, width_mm: f64, height_mm: f64) -> Drawing {
    let view = view_of(piece, hand);
    let panel = surface(&map.skin);
    let sight = Sight::of(&panel, &view);
    let lines = finished_lines(piece, &view);
    let corners = map.skin.points_mm.iter().map(|point| view.flat(*point));
    let box_ = bounds_of(lines.iter().flat_map(|(_, points)| points.iter().copied()).chain(corners));
    let scale = picture_scale(box_.size().x, box_.size().y, width_mm - 14.0, height_mm - 30.0);
    let description =
        format!("{}: highest temperatures while it is welded, isometric, {}", piece.name, piece.placing.hand);
    let mut draft = Draft::new(format!("heat map {}", piece.name), description, scale);
    for edge in map.skin.rims_mm() {
        let seen = sight.as_ref().map_or_else(Vec::new, |sight| sight.parts(&edge, true));
        seen.iter().for_each(|part| draft.path(Layer::Adjacent, part));
    }
    for (layer, points) in lines.iter().filter(|(layer, _)| matches!(layer, Layer::Outline | Layer::Mark)) {
        draft.path(*layer, points);
    }
    let mut letters: Vec<Bounds> = Vec::new();
    for (turn, own) in drawn(map, scale).into_iter().enumerate() {
        let Some(mark) = heat_mark(map, own.at_c) else { continue };
        let layer = if own.at_c >= map.isotherms.first().map_or(f64::INFINITY, |hottest| hottest.at_c) {
            Layer::Weld
        } else {
            Layer::Heat
        };
        let seen = |line: &Vec<DVec3>| sight.as_ref().map_or_else(Vec::new, |sight| sight.parts(line, true));
        let parts: Vec<Vec<DVec2>> = own.lines_mm.iter().flat_map(seen).collect();
        let before = letters.len();
        for part in &parts {
            if layer == Layer::Heat {
                letter(&mut draft, part, (&mark, turn), &mut letters);
            }
            outside(part, &letters).iter().for_each(|part| draft.path(layer, part));
        }
        // rings round single dots have no room for a letter: one of them is named from outside
        if layer == Layer::Heat && letters.len() == before {
            let longest = parts.iter().max_by(|a, b| length_of(a).total_cmp(&length_of(b)));
            let tip = longest.and_then(|part| point_at(part, 0.5 * length_of(part)));
            let elbow = DVec2::new(box_.high.x, box_.high.y + draft.real(3.0 + LEADER_PAPER_MM * turn as f64));
            tip.into_iter().for_each(|tip| draft.callout(tip, elbow, mark.clone()));
        }
    }
    let place = draft.moved(box_.low, 0.0, -6.0);
    draft.bold(place, TextHeight::Mm2_5, format!("{} in its panel, {}", piece.name, piece.placing.hand));
    let place = draft.moved(box_.low, 0.0, -10.6);
    draft.words(
        place,
        TextHeight::Mm2_5,
        "each lettered line: so hot at the hottest moment, and hotter towards the weld",
    );
    let place = draft.moved(box_.low, 0.0, -15.2);
    draft.words(
        place,
        TextHeight::Mm2_5,
        format!("isometric, about {}; letters without a line here stand in the list", scale.title()),
    );
    draft.drawing
}

/// The isotherms that are drawn, hottest first: the hottest and the coldest always, and of those between what has room.
fn drawn(map: &HeatMap, scale: Scale) -> Vec<&PeakIsotherm> {
    let all: Vec<&PeakIsotherm> = map.isotherms.iter().filter(|own| !own.lines_mm.is_empty()).collect();
    let usual_mm = |own: &PeakIsotherm| own.usual_mm.unwrap_or(0.0);
    let Some((hottest, colder)) = all.split_first() else { return Vec::new() };
    let mut kept: Vec<&PeakIsotherm> = Vec::new();
    for own in colder.iter().rev() {
        let apart = |other: &PeakIsotherm| (usual_mm(other) - usual_mm(own)) * scale.ratio() >= APART_PAPER_MM;
        let has_room = kept
            .last()
            .is_none_or(|outer| apart(outer) && (usual_mm(own) - usual_mm(hottest)) * scale.ratio() >= APART_PAPER_MM);
        if has_room {
            kept.push(own);
        }
    }
    kept.push(hottest);
    kept.reverse();
    kept
}

/// Letters along a line, none on another letter; on neighbouring lines they stand aside of one another.
pub(super) fn letter(draft: &mut Draft, line: &[DVec2], (mark, turn): (&str, usize), letters: &mut Vec<Bounds>) {
    let height = TextHeight::Mm1_8.mm();
    let half_mm = DVec2::new(0.5 * font::text_width_mm(mark, Weight::Bold, height), 0.5 * height) + ROOM_PAPER_MM;
    let half = DVec2::new(draft.real(half_mm.x), draft.real(half_mm.y));
    let length = length_of(line);
    let step = draft.real(LETTERS_PAPER_MM);
    let count = (length / step).ceil().max(1.0) as usize;
    for i in 0..count {
        let share = (i as f64 + (0.5 + ASIDE * turn as f64).fract()) / count as f64;
        let Some(at) = point_at(line, length * share) else { continue };
        let own = Bounds { low: at - half, high: at + half };
        if length < draft.real(6.0) || letters.iter().any(|other| other.meets(own)) {
            continue;
        }
        letters.push(own);
        draft.centred(at, TextHeight::Mm1_8, mark);
    }
}

/// The parts of a line of short steps that no letter stands on.
fn outside(line: &[DVec2], letters: &[Bounds]) -> Vec<Vec<DVec2>> {
    let covered = |point: &DVec2| letters.iter().any(|own| own.holds(*point));
    line.split(covered).filter(|part| part.len() > 1).map(<[DVec2]>::to_vec).collect()
}

pub(super) fn surface(skin: &Skin) -> Surface {
    Surface {
        points_mm: skin.points_mm.clone(),
        triangles: skin.triangles.iter().map(|corners| corners.map(PointId)).collect(),
        tag_of: vec![0; skin.triangles.len()],
        tags: vec![Tag { part: "panel".into(), face: SheetFace::Outside }],
        lines: Vec::new(),
    }
}

/// How far from the weld each thing suffers, as bars from the weld outwards.
#[must_use]
pub fn heat_rule(map: &HeatMap) -> Drawing {
    let shown: Vec<&LimitReach> = map.limits.iter().filter(|limit| limit.farthest_mm > 0.0).collect();
    let longest_mm = shown.iter().map(|limit| limit.farthest_mm).fold(10.0, f64::max);
    let scale = picture_scale(longest_mm, 1.0, LONGEST_BAR_MM, 100.0);
    let description = "How far from the weld each thing suffers, measured along the sheet from the weld line";
    let mut draft = Draft::new("heat rule", description, scale);
    let bar = draft.real(BAR_MM);
    for (row, limit) in shown.iter().enumerate() {
        let top = -bar * 1.35 * row as f64;
        let (low, high) = (DVec2::new(0.0, top - bar), DVec2::new(limit.farthest_mm, top));
        let outline = Polyline::rectangle(low, high);
        draft.drawing.add(Layer::Outline, outline.clone());
        // the hotter, the closer
        let spacing_paper_mm = 0.9 + 0.35 * row as f64;
        let angle_rad = if row % 2 == 0 { 0.8 } else { -0.8 };
        draft.drawing.add(Layer::Hatch, Shape::Hatch { outline, holes: Vec::new(), angle_rad, spacing_paper_mm });
        let place = DVec2::new(high.x + draft.real(2.0), low.y + 0.5 * (bar - draft.real(2.5)));
        draft.words(place, TextHeight::Mm2_5, rule_words(map, limit));
    }
    let foot = -bar * 1.35 * shown.len() as f64;
    draft.line(Layer::Dimension, DVec2::new(0.0, foot), DVec2::new(longest_mm, foot));
    let mut at_mm = 0.0;
    while at_mm <= longest_mm + 1e-9 {
        let at = DVec2::new(at_mm, foot);
        draft.line(Layer::Dimension, at, at + DVec2::Y * draft.real(1.6));
        draft.centred(at - DVec2::Y * draft.real(2.4), TextHeight::Mm1_8, trimmed(at_mm, 0));
        at_mm += if longest_mm > 60.0 { 20.0 } else { 10.0 };
    }
    let place = DVec2::new(0.0, foot - draft.real(8.0));
    draft.words(place, TextHeight::Mm2_5, "mm from the weld line, along the sheet, on either side");
    draft.drawing
}

fn rule_words(map: &HeatMap, limit: &LimitReach) -> String {
    let more = if limit.to_the_end { "and on, " } else { "" };
    let mark = heat_mark(map, limit.from_c).unwrap_or_default();
    // the same thing may suffer twice: then what happens tells them apart
    let twice = map.limits.iter().filter(|own| own.name == limit.name).count() > 1;
    let what = if twice { format!("{} {}", limit.name, limit.what_happens) } else { limit.name.to_owned() };
    format!("{mark}  {} mm {more}{} °C: {what}", trimmed(limit.farthest_mm, 0), trimmed(limit.from_c, 0))
}
