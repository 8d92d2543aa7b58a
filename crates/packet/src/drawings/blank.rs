//! The blank: outline, holes, folds, lines to mark, running dimensions from one datum, bend table, what to gather.

use std::f64::consts::PI;

use blank::skin::{RaiseBand, Work, wheel};
use blank::{
    Blank, FaceUp, FlatFold, FlatMark, FlatOpening, FoldKind, HoleFinish, LengthwiseLine, MarkKind, material_name,
};
use glam::DVec2;
use handbook::Grade;
use job::file::Hand;
use job::plan::PiecePlan;

use super::bands::{self, crosses, overlap, per_cent};
use super::bounds_of;
use super::draft::{Draft, at_x, beside, length_of, point_at, stretch_of};
use super::edge_side::towards_dimension;
use super::hand::placing_block;
use super::table::table;
use crate::drawing::{
    Along, Bounds, Drawing, Horizontal, Label, Layer, Polyline, RunningStation, Scale, Shape, Text, TextHeight,
    Vertical,
};
use crate::font::{self, Weight};
use crate::number::trimmed;

/// Strain below which a line counts as kept, mm per 100 mm: less than the width of a scribed line.
const KEPT_PER_100_MM: f64 = 0.05;

/// Length of a station line's ends for a cutting machine.
const STATION_END_MM: f64 = 5.0;

/// Notes under a flat or a template are broken at this width on paper, mm.
pub(super) const NOTES_WIDE_MM: f64 = 150.0;

/// A table that belongs to a flat.
pub struct FlatList {
    /// Titles of the columns.
    pub head: &'static [&'static str],
    /// Share of the width of each column on a paper; 0 is as wide as its words.
    pub shares: &'static [f64],
    /// Rows.
    pub rows: Vec<Vec<String>>,
}

/// Bends and openings of a flat, each where there are any.
pub fn flat_lists(piece: &PiecePlan) -> Vec<FlatList> {
    let blank = &piece.blank;
    let bends = FlatList {
        head: &["no.", "bend", "way", "bend angle", "opening", "fold to", "inside r, mm", "K", "allowance, mm", "rule"],
        shares: &[0.0, 2.4, 0.0, 1.1, 1.2, 1.2, 1.2, 0.8, 1.6, 2.0],
        rows: blank.folds.iter().map(bend_row).collect(),
    };
    // the datum of the running dimensions: one hole has one pair of figures on a paper
    let datum = bounds_of(blank.outline_mm.iter().copied()).low;
    let openings = FlatList {
        head: &["opening", "x, mm", "y, mm", "cut in the flat", "finished", "why"],
        shares: &[1.8, 0.8, 0.8, 1.2, 1.4, 3.0],
        rows: opening_rows(&blank.openings, datum),
    };
    let bands = FlatList {
        head: &["band", "what", "mean", "area", "wheel to begin with"],
        shares: &[1.4, 1.0, 1.0, 1.0, 2.2],
        rows: piece.skin.iter().flat_map(|skin| &skin.forming.bands).filter_map(band_row).collect(),
    };
    let ends = piece.tube.iter().flat_map(|tube| super::tube::ordinate_lists(tube));
    let rings = super::ring::flat_lists(piece);
    let lists = [bends, openings, bands].into_iter().chain(ends).chain(rings).filter(|list| !list.rows.is_empty());
    lists.chain(super::ruled::lists(piece)).collect()
}

/// Draws the flat with everything that is marked on it. At 1:1 it is the sheet that is laid on the metal.
pub fn blank_drawing(piece: &PiecePlan, hand: Option<Hand>, scale: Scale) -> Drawing {
    let mut draft = flat_draft(piece, scale);
    draft.drawing.begin_words();
    let mut at = below(&mut draft, piece, hand);
    for list in flat_lists(piece) {
        at = table(&mut draft, at, list.head, &list.rows);
        at = draft.moved(at, 0.0, -5.0);
    }
    // a sentence is broken like a table is wide: else it would make the whole picture small
    let broken = |note: &FlatNote| font::wrap(&note.text, Weight::Regular, TextHeight::Mm2_5.mm(), NOTES_WIDE_MM);
    for line in flat_notes(piece).iter().flat_map(broken) {
        draft.words(at, TextHeight::Mm2_5, line);
        at = draft.moved(at, 0.0, -4.6);
    }
    draft.drawing
}

/// The same without its tables and notes, for a paper that sets those as its own.
pub fn flat_drawing(piece: &PiecePlan, hand: Option<Hand>, scale: Scale) -> Drawing {
    let mut draft = flat_draft(piece, scale);
    below(&mut draft, piece, hand);
    draft.drawing
}

/// The flat alone with its name and the face that is up, for a page that says the rest in its own letters.
pub fn flat_picture(piece: &PiecePlan, scale: Scale) -> Drawing {
    let mut draft = flat_draft(piece, scale);
    let blank = &piece.blank;
    let low = bounds_of(blank.outline_mm.iter().copied()).low;
    let at = draft.moved(low, 0.0, -30.0);
    let sheet = format!("{}, {} mm {}", piece.name, trimmed(blank.thickness_mm, 3), material_name(&blank.material));
    draft.bold(at, TextHeight::Mm3_5, sheet);
    let words = face_words(blank.face_up).to_owned();
    draft.drawing.add(Layer::Note, Shape::FaceUp { at: draft.moved(at, 0.0, -14.0), words });
    draft.drawing
}

fn flat_draft(piece: &PiecePlan, scale: Scale) -> Draft {
    let blank = &piece.blank;
    let description = format!(
        "Flat of {}, {} mm {}, {}",
        piece.name,
        trimmed(blank.thickness_mm, 3),
        material_name(&blank.material),
        face_words(blank.face_up)
    );
    let mut draft = Draft::new(format!("blank {}", piece.name), description, scale);
    let mut taken = match &piece.skin {
        Some(skin) => bands::labels(&mut draft, &skin.forming, &drawn(blank)),
        None => {
            gather_bands(&mut draft, blank);
            Vec::new()
        }
    };
    draw_edges(&mut draft, blank);
    for fold in &blank.folds {
        draw_fold(&mut draft, fold);
    }
    draw_marks(&mut draft, blank);
    callouts(&mut draft, piece, &mut taken);
    if let Some(skin) = &piece.skin {
        // last, so that the strokes keep clear of all words
        bands::strokes(&mut draft, &skin.forming, &taken);
    }
    running(&mut draft, piece);
    draft
}

/// The same flat for a cutting machine: edges to cut, holes, marks, and nothing else.
pub fn cutter_drawing(piece: &PiecePlan) -> Drawing {
    let description = format!("Edges to cut of {}, {}", piece.name, face_words(piece.blank.face_up));
    let mut draft = Draft::new(format!("cutter {}", piece.name), description, Scale::FULL);
    draw_edges(&mut draft, &piece.blank);
    for mark in piece.blank.marks.iter().filter(|mark| mark_layer(mark.kind) == Layer::Mark) {
        draft.path(Layer::Mark, &mark.line_mm);
    }
    for mark in piece.blank.marks.iter().filter(|mark| mark.kind == MarkKind::Station) {
        station_ends(&mut draft, &mark.line_mm);
    }
    draft.drawing
}

/// Both ends of a station line, short: a machine that takes every line for a cut must not part the sheet.
fn station_ends(draft: &mut Draft, line: &[DVec2]) {
    let length = length_of(line);
    // half of a line stays open, however short it is
    let end = STATION_END_MM.min(0.25 * length);
    for [from, to] in [[0.0, end], [length - end, length]] {
        draft.path(Layer::Station, &stretch_of(line, from, to));
    }
}

fn face_words(face: FaceUp) -> &'static str {
    match face {
        FaceUp::Outside => "outside face up",
        FaceUp::Inside => "inside face up",
    }
}

pub(super) fn draw_edges(draft: &mut Draft, blank: &Blank) {
    draft.drawing.add_named(Layer::Cut, "outline", Polyline::closed(blank.outline_mm.iter().copied()));
    for opening in &blank.openings {
        match (&opening.outline_mm, opening.cut_diameter_mm) {
            (Some(outline), _) => {
                draft.drawing.add_named(Layer::Hole, opening.name.clone(), Polyline::closed(outline.iter().copied()));
            }
            (None, Some(diameter_mm)) => {
                let shape = Shape::Circle { centre: opening.centre_mm, radius_mm: diameter_mm / 2.0 };
                draft.drawing.add_named(Layer::Hole, opening.name.clone(), shape);
            }
            (None, None) => cross(draft, opening.centre_mm),
        }
        if let (Some(finished), Some(cut)) = (opening.diameter_mm, opening.cut_diameter_mm)
            && finished > cut + 1e-6
        {
            draft.drawing.add(Layer::Hidden, Shape::Circle { centre: opening.centre_mm, radius_mm: finished / 2.0 });
        }
    }
}

fn cross(draft: &mut Draft, at: DVec2) {
    for arm in [DVec2::new(3.0, 0.0), DVec2::new(0.0, 3.0)] {
        draft.line(Layer::Mark, at - arm, at + arm);
    }
}

pub(super) fn draw_fold(draft: &mut Draft, fold: &FlatFold) {
    let layer = if fold.up { Layer::FoldUp } else { Layer::FoldDown };
    // the two bends of a step lie so close that only the middle of each is drawn
    if fold.kind != FoldKind::Joggle {
        draft.path(Layer::Note, &fold.tangent_near_mm);
        draft.path(Layer::Note, &fold.tangent_far_mm);
    }
    if fold.kind == FoldKind::Fold {
        draft.path(Layer::Sight, &fold.sight_mm);
    }
    draft.path(layer, &fold.centre_mm);
}

pub(super) fn draw_marks(draft: &mut Draft, blank: &Blank) {
    for mark in &blank.marks {
        draft.path(mark_layer(mark.kind), &mark.line_mm);
    }
}

pub(super) fn mark_layer(kind: MarkKind) -> Layer {
    match kind {
        MarkKind::LapLine => Layer::Lap,
        MarkKind::HeldLine => Layer::Centre,
        MarkKind::TrimLine => Layer::Trim,
        MarkKind::Station => Layer::Station,
        _ => Layer::Mark,
    }
}

/// What stands beside a line: fold number with its way and angles, or the mark's own words.
pub(super) fn fold_words(fold: &FlatFold) -> String {
    let way = if fold.up { "up" } else { "down" };
    format!("{} {} {way}", fold.number, kind_words(fold.kind))
}

fn kind_words(kind: FoldKind) -> &'static str {
    match kind {
        FoldKind::Fold => "fold",
        FoldKind::Rolled => "roll",
        FoldKind::Curl => "curl",
        FoldKind::Hem => "hem",
        FoldKind::Joggle => "step",
    }
}

/// Words for every line: above a strip's flat with a leader each, along the line itself on a folded piece's.
fn callouts(draft: &mut Draft, piece: &PiecePlan, taken: &mut Vec<Bounds>) {
    let blank = &piece.blank;
    if piece.kind == "ring" {
        super::ring::flat_callouts(draft, blank);
        return;
    }
    let mut lines: Vec<(&[DVec2], String)> =
        blank.folds.iter().map(|fold| (fold.centre_mm.as_slice(), fold_words(fold))).collect();
    lines.extend(
        blank.marks.iter().filter(|mark| named(piece, mark)).map(|mark| (mark.line_mm.as_slice(), mark.label.clone())),
    );
    if piece.kind == "strip" {
        above(draft, bounds_of(blank.outline_mm.iter().copied()), &lines);
    } else {
        // holes of a tube stand on its middle and on its quarters: words keep clear of both
        let share = |line: &[DVec2]| match &piece.tube {
            Some(_) if runs_along(line) => 0.72,
            Some(_) => 0.36,
            None => 0.5,
        };
        let drawn = drawn(blank);
        lines.iter().for_each(|(line, words)| inline(draft, (line, words), share(line), taken, &drawn));
    }
    for mark in blank.marks.iter().filter(|mark| mark.kind == MarkKind::Ruling) {
        numbered(draft, mark);
    }
    for (opening, count) in alike(&blank.openings) {
        let at = draft.moved(opening.centre_mm, 2.2, 2.6);
        let at = at + DVec2::splat(0.35 * opening.cut_diameter_mm.or(opening.diameter_mm).unwrap_or(0.0));
        draft.words(at, TextHeight::Mm2_5, numbered_name(opening, count));
    }
}

/// Leaders from evenly spread places along the lengthwise lines and from the upper ends of the others.
fn above(draft: &mut Draft, box_: Bounds, lines: &[(&[DVec2], String)]) {
    let along = lines.iter().filter(|(line, _)| runs_along(line)).count().max(1) as f64;
    let mut index = 0.0;
    let mut tips: Vec<(DVec2, String)> = lines
        .iter()
        .filter_map(|(line, words)| {
            let tip = if runs_along(line) {
                index += 1.0;
                let span = bounds_of(line.iter().copied());
                let x = box_.low.x + box_.size().x * (0.12 + 0.72 * (index - 0.5) / along);
                at_x(line, x.clamp(span.low.x, span.high.x))?
            } else {
                line.iter().copied().max_by(|a, b| a.y.total_cmp(&b.y))?
            };
            Some((tip, words.clone()))
        })
        .collect();
    tips.sort_by(|(a, _), (b, _)| a.x.total_cmp(&b.x));
    // each note takes the lowest row that is free where it starts
    let mut row_ends: Vec<f64> = Vec::new();
    for (tip, words) in tips {
        let x = tip.x + draft.real(4.0);
        let row = row_ends.iter().position(|end| *end < x).unwrap_or(row_ends.len());
        let end = x + draft.real(9.0 + font::text_width_mm(&words, Weight::Regular, TextHeight::Mm2_5.mm()));
        match row_ends.get_mut(row) {
            Some(taken) => *taken = end,
            None => row_ends.push(end),
        }
        let elbow = DVec2::new(x, box_.high.y + draft.real(6.0 + 5.5 * row as f64));
        draft.callout(tip, elbow, words);
    }
}

/// Relief lines repeat one label many times; the note below says it once. A skin's corners are marked by their crosses alone.
fn named(piece: &PiecePlan, mark: &FlatMark) -> bool {
    !mark.label.is_empty()
        && mark.kind != MarkKind::Relief
        && mark.kind != MarkKind::Ruling
        && !(piece.skin.is_some() && mark.kind == MarkKind::EndLine)
}

fn runs_along(line: &[DVec2]) -> bool {
    let size = bounds_of(line.iter().copied()).size();
    size.x >= size.y
}

/// The number of a line to bend along, level beside it and towards its upper end, where such lines lie apart: 6 and 9 stay apart.
pub(super) fn numbered(draft: &mut Draft, mark: &FlatMark) {
    let (Some(a), Some(b)) = (mark.line_mm.first(), mark.line_mm.last()) else { return };
    let at = a.lerp(*b, 0.8) + DVec2::X * draft.real(0.8);
    draft.words(at, TextHeight::Mm2_5, mark.label.clone());
}

/// Where words are tried along a line, as shares of its length, after the place that is wished.
const TRIED: [f64; 7] = [0.5, 0.35, 0.65, 0.22, 0.78, 0.42, 0.58];

/// Words along the line, just beside it: at a share of its length, or at the first place where no other words stand.
/// Where that is possible they lie on none of the lines drawn.
pub(super) fn inline(
    draft: &mut Draft,
    (line, words): (&[DVec2], &str),
    wished: f64,
    taken: &mut Vec<Bounds>,
    drawn: &[[DVec2; 2]],
) {
    let length = length_of(line);
    let height = TextHeight::Mm2_5.mm();
    let half_width = draft.real(0.5 * font::text_width_mm(words, Weight::Regular, height));
    let at_share = |share: f64, side: f64| {
        let (a, b) = (point_at(line, share * length)?, point_at(line, (share + 0.05).min(1.0) * length)?);
        let mut angle = (b - a).to_angle();
        if angle > PI / 2.0 + 1e-6 || angle <= -PI / 2.0 + 1e-6 {
            angle += PI;
        }
        let way = DVec2::from_angle(angle);
        // the baseline stands a little above the line, or a letter below it
        let at = a + way.perp() * draft.real(if side > 0.0 { 1.0 } else { -1.0 - height });
        Some((at, angle, strip_of_boxes(at, way, half_width, draft.real(height))))
    };
    let tried = std::iter::once(&wished).chain(&TRIED).flat_map(|share| [1.0, -1.0].map(|side| (*share, side)));
    let clear = |boxes: &[Bounds]| boxes.iter().all(|own| taken.iter().all(|other| !overlap(own, other)));
    let free = |boxes: &[Bounds]| boxes.iter().all(|own| drawn.iter().all(|line| !crosses(line, own)));
    let places = tried.filter_map(|(share, side)| at_share(share, side));
    let places: Vec<_> = places.filter(|(_, _, boxes)| clear(boxes)).collect();
    let best = places.iter().find(|(_, _, boxes)| free(boxes)).or(places.first()).cloned();
    let Some((at, angle, boxes)) = best.or_else(|| at_share(wished, 1.0)) else { return };
    taken.extend(boxes);
    let text = Text::new(at, TextHeight::Mm2_5, words).turned(angle).anchored(Horizontal::Middle, Vertical::Baseline);
    draft.drawing.add(Layer::Note, text);
}

/// Turned words as a row of upright boxes about as long as they are high.
fn strip_of_boxes(at: DVec2, way: DVec2, half_width: f64, height: f64) -> Vec<Bounds> {
    let count = (2.0 * half_width / height).ceil().max(1.0) as u32;
    let box_ = |i: u32| {
        let along = half_width * (2.0 * (f64::from(i) + 0.5) / f64::from(count) - 1.0);
        let middle = at + way * along + way.perp() * (0.5 * height);
        let half = DVec2::splat(0.6 * height);
        Bounds { low: middle - half, high: middle + half }
    };
    (0..count).map(box_).collect()
}

/// Sides of everything that is drawn of a flat as a line.
pub(super) fn drawn(blank: &Blank) -> Vec<[DVec2; 2]> {
    let folds = blank.folds.iter();
    let lines = folds
        .flat_map(|fold| [&fold.tangent_near_mm, &fold.tangent_far_mm, &fold.sight_mm, &fold.centre_mm])
        .chain(blank.marks.iter().map(|mark| &mark.line_mm));
    let closing = blank.outline_mm.last().copied().zip(blank.outline_mm.first().copied());
    let of = |line: &Vec<DVec2>| -> Vec<[DVec2; 2]> {
        line.iter().copied().zip(line.iter().copied().skip(1)).map(|(from, to)| [from, to]).collect()
    };
    lines.chain([&blank.outline_mm]).flat_map(of).chain(closing.map(|(from, to)| [from, to])).collect()
}

fn running(draft: &mut Draft, piece: &PiecePlan) {
    let blank = &piece.blank;
    let box_ = bounds_of(blank.outline_mm.iter().copied());
    let from = |at: DVec2, along: Along| match &piece.skin {
        Some(_) => towards_dimension(&blank.outline_mm, at, along),
        None => at,
    };
    let stations = |list: &[blank::RunningDimension], along: Along| -> Vec<RunningStation> {
        let mut seen: Vec<f64> = vec![0.0];
        let mut out = Vec::new();
        for dimension in list {
            // figures closer than a tenth say the same
            if seen.iter().all(|other| (other - dimension.from_datum_mm).abs() > 0.05) {
                seen.push(dimension.from_datum_mm);
                out.push(RunningStation {
                    at: from(dimension.at_mm, along),
                    label: Label::Text(trimmed(dimension.from_datum_mm, 1)),
                });
            }
        }
        out
    };
    let x = stations(&blank.running_x, Along::Horizontal);
    let y = stations(&blank.running_y, Along::Vertical);
    for (along, stations) in [(Along::Horizontal, x), (Along::Vertical, y)] {
        if !stations.is_empty() {
            draft.drawing.add(
                Layer::Dimension,
                Shape::RunningDimensions { datum: box_.low, along, stations, offset_paper_mm: -9.0 },
            );
        }
    }
}

/// Chains of the outline between its sharp corners, longest first.
pub(super) fn long_edges(outline: &[DVec2]) -> Vec<Vec<DVec2>> {
    let count = outline.len();
    let at = |index: usize| outline.get(index % count.max(1)).copied().unwrap_or_default();
    let sharp = |index: usize| {
        let (a, b) = (at(index) - at(index + count - 1), at(index + 1) - at(index));
        a.angle_to(b).abs() > 0.8
    };
    let corners: Vec<usize> = (0..count).filter(|index| sharp(*index)).collect();
    let mut chains: Vec<Vec<DVec2>> = corners
        .iter()
        .enumerate()
        .map(|(index, from)| {
            let to = corners.get(index + 1).copied().unwrap_or_else(|| corners.first().copied().unwrap_or(0) + count);
            (*from..=to).map(at).collect()
        })
        .collect();
    chains.sort_by(|a, b| length_of(b).total_cmp(&length_of(a)));
    chains
}

/// Hatches a band along each free edge that is gathered or let out: two directions of hatching, the figure in words.
fn gather_bands(draft: &mut Draft, blank: &Blank) {
    let (Some(first), Some(last)) = (blank.lengthwise.first(), blank.lengthwise.last()) else { return };
    // an edge cut up by reliefs is no one edge to hatch; its words stand in the notes
    if blank.concerns.iter().any(|concern| concern.key == "flange-reliefs") {
        return;
    }
    let edges = long_edges(&blank.outline_mm);
    let mut edges: Vec<&Vec<DVec2>> = edges.iter().take(2).collect();
    let middle = |edge: &[DVec2]| point_at(edge, 0.5 * length_of(edge)).map_or(0.0, |point| point.y);
    edges.sort_by(|a, b| middle(a).total_cmp(&middle(b)));
    for (edge, line) in edges.into_iter().zip([first, last]) {
        if line.mm_per_100_mm.abs() < KEPT_PER_100_MM {
            continue;
        }
        let (layer, step, lean) =
            if line.mm_per_100_mm < 0.0 { (Layer::Shrink, 1.2, 3.5) } else { (Layer::Stretch, 2.8, -3.5) };
        slanted(draft, layer, edge, step, lean);
    }
}

/// Short strokes inward from an edge, all leaning the same way against it.
fn slanted(draft: &mut Draft, layer: Layer, edge: &[DVec2], step_paper_mm: f64, lean_paper_mm: f64) {
    let inner = beside(edge, draft.real(3.5));
    let (length, inner_length) = (length_of(edge), length_of(&inner));
    let step = draft.real(step_paper_mm).max(length / 2000.0);
    let lean = draft.real(lean_paper_mm);
    let count = (length / step) as usize;
    for index in 1..count {
        let at = step * index as f64;
        let (Some(from), Some(to)) = (point_at(edge, at), point_at(&inner, at / length * inner_length + lean)) else {
            continue;
        };
        draft.line(layer, from, to);
    }
}

fn gather_words(line: &LengthwiseLine) -> String {
    let [least, most] = line.strain_percent;
    let (what, per_cent) =
        if line.mm_per_100_mm < 0.0 { ("gather (shrink)", least) } else { ("let out (stretch)", most) };
    format!(
        "{}: {what} {} mm per 100 mm, up to {} %",
        line.name,
        trimmed(line.mm_per_100_mm.abs(), 2),
        trimmed(per_cent.abs(), 2)
    )
}

/// What stands below the flat: title, face up, hand. Returns where the next thing may stand.
fn below(draft: &mut Draft, piece: &PiecePlan, hand: Option<Hand>) -> DVec2 {
    let blank = &piece.blank;
    let low = bounds_of(blank.outline_mm.iter().copied()).low;
    let at = draft.moved(low, 0.0, -30.0);
    draft.bold(at, TextHeight::Mm5, piece.name.clone());
    let sheet = format!("{} mm {}", trimmed(blank.thickness_mm, 3), material_name(&blank.material));
    draft.words(draft.moved(at, 0.0, -7.0), TextHeight::Mm3_5, sheet);
    let datum = "dimensions in mm from the lower left corner of the box round the flat";
    draft.words(draft.moved(at, 0.0, -12.5), TextHeight::Mm2_5, datum);
    let words = face_words(blank.face_up).to_owned();
    draft.drawing.add(Layer::Note, Shape::FaceUp { at: draft.moved(at, 110.0, -9.0), words });
    let at = draft.moved(at, 0.0, -17.0);
    placing_block(draft, at, hand, piece)
}

/// What a note of a flat is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum NoteAbout {
    /// A named edge of a skin, by its place in the order round the piece.
    Edge(usize),
    /// A lengthwise line that is gathered or let out.
    Line,
    /// The whole flat.
    Whole,
    /// What one of the blank's concerns says.
    Concern,
}

/// One sentence that stands below a flat.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FlatNote {
    /// What it is about.
    pub about: NoteAbout,
    /// Gravest concern about the same.
    pub grade: Option<Grade>,
    /// The sentence.
    pub text: String,
}

impl FlatNote {
    fn whole(text: impl Into<String>) -> Self {
        Self { about: NoteAbout::Whole, grade: None, text: text.into() }
    }
}

/// The gravest first; of equal gravity in their order round the piece, what is about the whole last.
pub fn gravest_first(notes: &mut [FlatNote]) {
    notes.sort_by_key(|note| (std::cmp::Reverse(note.grade), note.about));
}

/// What to gather and let out, and what repeats along the flat, one sentence each.
pub fn flat_notes(piece: &PiecePlan) -> Vec<FlatNote> {
    let blank = &piece.blank;
    let reliefs = blank.marks.iter().filter(|mark| mark.kind == MarkKind::Relief);
    let mut notes: Vec<FlatNote> = held_notes(piece);
    // what the skin's own edges do stands with its bands
    let is_skin_edge = |line: &&LengthwiseLine| {
        piece.skin.iter().flat_map(|skin| &skin.forming.edges).any(|edge| edge.name == line.name)
    };
    let lines: Vec<FlatNote> = blank
        .lengthwise
        .iter()
        .filter(|line| !line.held && line.mm_per_100_mm.abs() >= KEPT_PER_100_MM && !is_skin_edge(line))
        .map(|line| FlatNote { about: NoteAbout::Line, grade: None, text: gather_words(line) })
        .collect();
    let worked = !lines.is_empty();
    notes.extend(lines);
    if let Some(skin) = &piece.skin {
        let edges = skin.forming.edges.iter().zip(&skin.forming.edge_words).enumerate();
        notes.extend(edges.map(|(index, (edge, words))| edge_note(piece, index, &edge.name, words.clone())));
        let [thin, thick] = skin.forming.thickness;
        notes.push(FlatNote::whole(format!(
            "Thickness after forming: {} to {} mm",
            trimmed(thin.thickness_mm, 2),
            trimmed(thick.thickness_mm, 2)
        )));
        if blank.marks.iter().any(|mark| mark.kind == MarkKind::Station) {
            let how = match blank.face_up {
                FaceUp::Outside => "mark them on the outside face before forming",
                FaceUp::Inside => "punch their ends through and join them on the outside face before forming",
            };
            notes.push(FlatNote::whole(format!(
                "Dotted lines: {how}; each carries the template of its name, held square to the sheet."
            )));
        }
        notes.push(FlatNote::whole(
            "Wide strokes: raise. Close strokes: gather. Strokes run the way the metal moves most.",
        ));
    } else if worked {
        notes
            .push(FlatNote::whole("Close strokes along an edge: gather. Wide strokes leaning the other way: let out."));
    }
    notes.extend(piece.tube.iter().flat_map(|tube| super::tube::tube_notes(tube)).map(FlatNote::whole));
    notes.extend(piece.ruled.iter().flat_map(|ruled| super::ruled::notes(&ruled.layout)).map(FlatNote::whole));
    notes.extend(super::ring::flat_notes(piece).into_iter().map(FlatNote::whole));
    let reliefs: Vec<&FlatMark> = reliefs.collect();
    if let Some(first) = reliefs.first() {
        notes.push(FlatNote::whole(format!("{} reliefs: each a {}", reliefs.len(), first.label)));
    }
    let of_flanges = blank.concerns.iter().filter(|concern| concern.grade == Grade::Note);
    let of_flanges = of_flanges.filter(|concern| matches!(concern.key.as_str(), "flange-reliefs" | "flange-tipping"));
    notes.extend(of_flanges.map(|concern| FlatNote {
        about: NoteAbout::Concern,
        grade: Some(concern.grade),
        text: format!("{}: {}. {}.", concern.place, concern.what, capital(&concern.what_to_do)),
    }));
    notes
}

/// Every line or edge that keeps its length; of a skin's edges with how well it does.
fn held_notes(piece: &PiecePlan) -> Vec<FlatNote> {
    if let Some(skin) = &piece.skin {
        let forming = &skin.forming;
        let place = |name: &str| forming.edges.iter().position(|edge| edge.name == name).unwrap_or(forming.edges.len());
        let one = |held: &blank::skin::HeldEdge| {
            edge_note(piece, place(&held.name), &held.name, format!("Held to its length: {}", held.words()))
        };
        return forming.held.iter().map(one).collect();
    }
    let held = piece.blank.lengthwise.iter().filter(|line| line.held);
    held.map(|line| FlatNote::whole(format!("Held line (same length in flat and piece): {}", line.name))).collect()
}

/// A note of a skin's edge, with the gravest concern whose place is that edge.
fn edge_note(piece: &PiecePlan, index: usize, name: &str, text: String) -> FlatNote {
    let here =
        |place: &str| place.strip_prefix(name).is_some_and(|rest| rest.is_empty() || rest.starts_with([',', ':']));
    let grade = piece.blank.concerns.iter().filter(|own| here(&own.place)).map(|own| own.grade).max();
    FlatNote { about: NoteAbout::Edge(index), grade, text }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn range(values: [f64; 2], decimals: usize, unit: &str) -> String {
    let [from, to] = values.map(|value| trimmed(value, decimals));
    if from == to { format!("{from}{unit}") } else { format!("{from} to {to}{unit}") }
}

fn bend_row(fold: &FlatFold) -> Vec<String> {
    let bend = fold.bend_angle_rad.map(f64::to_degrees);
    let turned = bend.map(f64::abs);
    let way = if fold.up { "up" } else { "down" };
    vec![
        fold.number.to_string(),
        fold.name.clone(),
        way.to_owned(),
        range(turned, 1, "°"),
        if turned.iter().any(|angle| *angle > 180.0) {
            "–".to_owned()
        } else {
            range(turned.map(|angle| 180.0 - angle), 1, "°")
        },
        fold.fold_to_rad.map_or_else(|| "–".to_owned(), |to| range(to.map(|angle| angle.to_degrees().abs()), 1, "°")),
        trimmed(fold.inside_radius_mm, 2),
        trimmed(fold.k_factor, 3),
        range(fold.allowance_mm, 2, ""),
        fold.rule.clone(),
    ]
}

fn band_row(band: &RaiseBand) -> Option<Vec<String>> {
    let what = match band.work {
        Work::Stretch => "raise",
        Work::Shrink => "gather",
        Work::Leave => return None,
    };
    let passes = band.passes.as_ref().map_or_else(|| "–".to_owned(), |own| wheel::counted(own.value));
    Some(vec![
        per_cent(band),
        what.to_owned(),
        format!("{} %", trimmed(100.0 * band.mean_raise.abs(), 2)),
        format!("{:.0} cm²", band.flat_area_mm2 / 100.0),
        passes,
    ])
}

/// Openings of one name stand for the first of them, with how many they are.
fn alike(openings: &[FlatOpening]) -> Vec<(&FlatOpening, usize)> {
    let mut out: Vec<(&FlatOpening, usize)> = Vec::new();
    for opening in openings {
        match out.iter_mut().find(|(first, _)| first.name == opening.name) {
            Some((_, count)) => *count += 1,
            None => out.push((opening, 1)),
        }
    }
    out
}

fn numbered_name(opening: &FlatOpening, count: usize) -> String {
    if count > 1 { format!("{count} × {}", opening.name) } else { opening.name.clone() }
}

fn opening_rows(openings: &[FlatOpening], datum: DVec2) -> Vec<Vec<String>> {
    let row = |(opening, count): (&FlatOpening, usize)| {
        let mut row = opening_row(opening, datum);
        if count > 1 {
            let spread = [numbered_name(opening, count), "as drawn".to_owned(), "as drawn".to_owned()];
            row.splice(0..3, spread);
        }
        row
    };
    alike(openings).into_iter().map(row).collect()
}

fn opening_row(opening: &FlatOpening, datum: DVec2) -> Vec<String> {
    let size = |diameter: Option<f64>| diameter.map(|mm| format!("⌀{} mm", trimmed(mm, 2)));
    let cut = match (opening.finish, &opening.outline_mm) {
        (_, Some(_)) => "outline".to_owned(),
        (HoleFinish::ThroughMate | HoleFinish::AfterForming, None) => "centre mark only".to_owned(),
        _ => size(opening.cut_diameter_mm).unwrap_or_default(),
    };
    let finished = match opening.finish {
        HoleFinish::FullSize => size(opening.diameter_mm).unwrap_or_else(|| "as cut".to_owned()),
        HoleFinish::Pilot => format!("{} after fitting", size(opening.diameter_mm).unwrap_or_default()),
        HoleFinish::ThroughMate => {
            format!("{} drilled through the mate", size(opening.diameter_mm).unwrap_or_default())
        }
        HoleFinish::AfterForming => format!("{} drilled after forming", size(opening.diameter_mm).unwrap_or_default()),
    };
    vec![
        opening.name.clone(),
        trimmed(opening.centre_mm.x - datum.x, 1),
        trimmed(opening.centre_mm.y - datum.y, 1),
        cut,
        finished,
        opening.why.clone(),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A long line keeps 5 mm at either end, one of 8 mm a quarter at either end: never the whole of it.
    #[test]
    fn both_ends_of_a_station_are_marked_however_short_it_is() {
        for (length_mm, end_mm) in [(100.0, 5.0), (20.0, 5.0), (8.0, 2.0)] {
            let mut draft = Draft::new("ends", "", Scale::FULL);
            station_ends(&mut draft, &[DVec2::ZERO, DVec2::X * 3.0, DVec2::X * length_mm]);
            let ends: Vec<Bounds> = draft
                .drawing
                .items
                .iter()
                .filter_map(|item| match &item.shape {
                    Shape::Polyline(line) => Some(bounds_of(line.vertices.iter().map(|vertex| vertex.at))),
                    _ => None,
                })
                .collect();
            let [first, last] = ends.as_slice() else { panic!("{} ends of {length_mm}", ends.len()) };
            assert!(first.low.x.abs() < 1e-9 && (first.high.x - end_mm).abs() < 1e-9, "{first:?}");
            assert!(
                (last.low.x - length_mm + end_mm).abs() < 1e-9 && (last.high.x - length_mm).abs() < 1e-9,
                "{last:?}"
            );
        }
    }
}
