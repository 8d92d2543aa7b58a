//! Rings: the section through the axis, the flat with its circles, the boards at 1:1, fitting, where the tape goes.

use blank::ring::{FormSide, RingForm};
use blank::{Blank, FlatFold};
use glam::{DVec2, DVec3};
use job::file::{Hand, Measurement, Role};
use job::plan::{FittingStep, PiecePlan, RingPlan, SectionPlan};
use section::Face;

use super::blank::{FlatList, draw_edges, draw_fold, fold_words, mark_layer};
use super::draft::Draft;
use super::hand::placing_lines;
use super::project::{ViewAxes, visible_lines};
use super::tape::Taped;
use super::{bounds_of, picture_scale};
use crate::drawing::{Along, Drawing, Label, Layer, Scale, Shape, TextHeight};
use crate::number::trimmed;

/// Free paper round a section for its dimensions, mm: left and right, above and below.
const ROUND_MM: DVec2 = DVec2::new(78.0, 74.0);
/// Dimension lines stand so far apart on paper.
const STEP_MM: f64 = 7.0;
/// A board stands out so far beyond the blank that it can be held, mm.
const BOARD_RIM_MM: f64 = 40.0;

/// The section through the axis, dimensioned on the face that was measured; no larger than the space. `None` for another piece.
pub fn ring_section(piece: &PiecePlan, width_mm: f64, height_mm: f64) -> Option<Drawing> {
    let plan = piece.ring.as_ref()?;
    let (mut draft, top) = section_draft(piece, plan, [width_mm, height_mm], "section through the axis", true);
    diameters(&mut draft, plan, top);
    heights(&mut draft, plan);
    legs(&mut draft, plan);
    Some(draft.drawing)
}

/// Both halves of the section with the axis and what is said below it (to the shop more than to a customer with a tape); returns the
/// height of its top as well.
fn section_draft(
    piece: &PiecePlan,
    plan: &RingPlan,
    space_mm: [f64; 2],
    title: &str,
    dimensioned: bool,
) -> (Draft, f64) {
    let all = || plan.outside_mm.iter().chain(&plan.inside_mm).copied();
    let box_ = bounds_of(all());
    let scale = picture_scale(
        2.0 * box_.high.x,
        box_.size().y,
        (space_mm[0] - ROUND_MM.x).max(20.0),
        (space_mm[1] - ROUND_MM.y).max(10.0),
    );
    let name = piece.name_in_job();
    let description = format!("{name}: {title}, {}", plan.way.words());
    let mut draft = Draft::new(format!("{title} {name}"), description, scale);
    for side in [-1.0, 1.0] {
        let lay = |point: &DVec2| DVec2::new(side * point.x, point.y);
        let ring: Vec<DVec2> = plan.outside_mm.iter().map(lay).chain(plan.inside_mm.iter().rev().map(lay)).collect();
        draft.solid(Layer::Outline, &ring);
    }
    // what is seen behind the cut: the far half of every edge and bend lies level
    let seen = plan.ring.corners.iter().map(|corner| (corner.radius_mm, corner.height_mm));
    for (radius, z) in seen.filter(|(radius, _)| *radius > 0.0) {
        draft.line(Layer::Dimension, DVec2::new(-radius, z), DVec2::new(radius, z));
    }
    let axis = |paper: f64| DVec2::new(0.0, paper);
    draft.line(Layer::Centre, axis(box_.low.y - draft.real(6.0)), axis(box_.high.y + draft.real(6.0)));
    let low = DVec2::new(-box_.high.x, box_.low.y);
    let from = draft.moved(low, -14.0, -2.0);
    draft.arrow(Layer::Note, from, draft.moved(from, 0.0, 10.0));
    draft.words(draft.moved(from, -6.0, -3.5), TextHeight::Mm2_5, "outside");
    // below the names of the legs
    let below = if dimensioned { -(10.0 + 5.0 * plan.ring.legs() as f64) } else { -10.0 };
    draft.bold(draft.moved(low, 0.0, below), TextHeight::Mm2_5, format!("{name}, {title}, {}", scale.title()));
    if dimensioned {
        let words = format!("{}; {}", face_words(plan), radii_words(plan));
        draft.words(draft.moved(low, 0.0, below - 4.6), TextHeight::Mm2_5, words);
    }
    (draft, box_.high.y)
}

fn face_words(plan: &RingPlan) -> String {
    let face = match plan.ring.face {
        Face::Outside => "on the outside face",
        Face::Middle => "in the middle of the sheet",
        Face::Inside => "on the inside face",
    };
    format!("sizes in mm {face}, sharp corners; sheet {} mm", trimmed(plan.ring.thickness_mm, 2))
}

fn radii_words(plan: &RingPlan) -> String {
    if plan.way == job::plan::RingWay::BuiltUp {
        return "corners welded, inside edges touching".to_owned();
    }
    let last = plan.ring.corners.len().saturating_sub(1);
    let mut radii: Vec<String> = plan
        .ring
        .corners
        .iter()
        .enumerate()
        .filter(|(i, _)| *i > 0 && *i < last)
        .map(|(_, corner)| format!("R{}", trimmed(corner.inside_radius_mm, 1)))
        .collect();
    radii.dedup();
    format!("inside radii {}", radii.join(", "))
}

/// Diameters above the section, the smallest nearest.
fn diameters(draft: &mut Draft, plan: &RingPlan, top: f64) {
    let mut corners: Vec<DVec2> = plan.ring.corners.iter().map(section::RingCorner::at_mm).collect();
    corners.retain(|corner| corner.x > 0.0);
    corners.sort_by(|a, b| a.x.total_cmp(&b.x).then(b.y.total_cmp(&a.y)));
    corners.dedup_by(|a, b| (a.x - b.x).abs() < 1e-6);
    for (i, corner) in corners.iter().enumerate() {
        diameter(draft, *corner, top, i as f64, None);
    }
}

fn diameter(draft: &mut Draft, corner: DVec2, top: f64, row: f64, title: Option<&str>) {
    let ratio = draft.drawing.scale.ratio();
    let said = title.map_or_else(|| format!("⌀{}", trimmed(2.0 * corner.x, 1)), str::to_owned);
    draft.drawing.add(
        Layer::Dimension,
        Shape::LinearDimension {
            from: DVec2::new(-corner.x, corner.y),
            to: corner,
            along: Along::Horizontal,
            offset_paper_mm: (top - corner.y) * ratio + 9.0 + STEP_MM * row,
            label: Label::Text(said),
        },
    );
}

/// Heights right of the section.
fn heights(draft: &mut Draft, plan: &RingPlan) {
    let mut row = 0.0;
    for leg in 0..plan.ring.legs() {
        if height(draft, plan, leg, row, None) {
            row += 1.0;
        }
    }
}

fn height(draft: &mut Draft, plan: &RingPlan, leg: usize, row: f64, title: Option<&str>) -> bool {
    let Some((a, b)) = plan.ring.corners.get(leg).zip(plan.ring.corners.get(leg + 1)) else { return false };
    let rise = (b.height_mm - a.height_mm).abs();
    if rise < 1e-9 {
        return false;
    }
    let [low, high] = if a.height_mm < b.height_mm { [a, b] } else { [b, a] };
    let right = plan.ring.outer_radius_mm();
    let far = low.radius_mm.max(high.radius_mm);
    let ratio = draft.drawing.scale.ratio();
    draft.drawing.add(
        Layer::Dimension,
        Shape::LinearDimension {
            from: low.at_mm(),
            to: high.at_mm(),
            along: Along::Vertical,
            offset_paper_mm: (right - far) * ratio + 10.0 + STEP_MM * row,
            label: title.map_or_else(|| Label::Text(trimmed(rise, 1)), |title| Label::Text(title.to_owned())),
        },
    );
    true
}

/// Names of the legs under the left half, each with a leader.
fn legs(draft: &mut Draft, plan: &RingPlan) {
    let ring = &plan.ring;
    let low = bounds_of(plan.outside_mm.iter().chain(&plan.inside_mm).copied()).low.y;
    let count = ring.legs();
    for leg in 0..count {
        let Some((a, b)) = ring.corners.get(leg).zip(ring.corners.get(leg + 1)) else { continue };
        let middle = a.at_mm().midpoint(b.at_mm());
        let tip = DVec2::new(middle.x, middle.y);
        // the outermost name stands furthest right and highest
        let elbow = DVec2::new(middle.x + draft.real(5.0), low - draft.real(8.0 + 5.0 * (count - 1 - leg) as f64));
        draft.callout(tip, elbow, ring.leg_name(leg));
    }
}

/// Words for the circles of a flat: leaders to the right, evenly one below the other.
pub(super) fn flat_callouts(draft: &mut Draft, blank: &Blank) {
    let box_ = bounds_of(blank.outline_mm.iter().copied());
    let mut lines: Vec<(&[DVec2], String)> =
        blank.folds.iter().map(|fold| (fold.centre_mm.as_slice(), fold_words(fold))).collect();
    lines.extend(blank.marks.iter().map(|mark| (mark.line_mm.as_slice(), mark.label.clone())));
    let closed =
        |line: &[DVec2]| line.len() > 3 && line.first().zip(line.last()).is_some_and(|(a, b)| a.distance(*b) < 1e-6);
    let (round, straight): (Vec<_>, Vec<_>) = lines.into_iter().partition(|(line, _)| closed(line));
    for (index, (line, words)) in round.iter().enumerate() {
        // tips spread over the upper right quarter, highest first
        let angle = (65.0 - 18.0 * index as f64).to_radians();
        let middle = box_.middle();
        let radius = line.first().map_or(0.0, |point| point.distance(middle));
        let tip = middle + DVec2::from_angle(angle) * radius;
        let elbow = DVec2::new(box_.high.x + draft.real(8.0), box_.high.y - draft.real(2.0 + 6.0 * index as f64));
        draft.callout(tip, elbow, words.clone());
    }
    let (mut taken, drawn) = (Vec::new(), super::blank::drawn(blank));
    for (line, words) in &straight {
        super::blank::inline(draft, (line, words), 0.5, &mut taken, &drawn);
    }
    let centre = box_.middle();
    let round_flat = blank.outline_mm.iter().all(|point| (point.distance(centre) - 0.5 * box_.size().x).abs() < 0.05);
    if round_flat {
        let arm = 0.5 * box_.size().x + draft.real(4.0);
        for way in [DVec2::X, DVec2::Y] {
            draft.line(Layer::Centre, centre - way * arm, centre + way * arm);
        }
        let mut dimension = |diameter_mm: f64, degrees: f64| {
            let (centre, angle_rad) = (centre, degrees.to_radians());
            let label = Label::Text(trimmed(diameter_mm, 1));
            draft.drawing.add(Layer::Dimension, Shape::DiameterDimension { centre, diameter_mm, angle_rad, label });
        };
        dimension(box_.size().x, -38.0);
        for opening in blank.openings.iter().filter(|own| own.centre_mm.distance(centre) < 1e-6) {
            if let Some(diameter) = opening.cut_diameter_mm {
                dimension(diameter, -12.0);
            }
        }
    }
    // holes of a circle share their words: only the first is named in the flat
    let mut named: Vec<&str> = Vec::new();
    for opening in blank.openings.iter().filter(|own| own.centre_mm.distance(centre) > 1e-6 || !round_flat) {
        let stem = opening.name.trim_end_matches(|c: char| c.is_ascii_digit() || c == ' ');
        let number = opening.name.get(stem.len()..).unwrap_or_default().trim();
        // towards the middle, clear of the edge
        let half = 0.5 * opening.cut_diameter_mm.or(opening.diameter_mm).unwrap_or(0.0);
        let at = opening.centre_mm + (centre - opening.centre_mm).normalize_or_zero() * (half + draft.real(3.0));
        let words = if named.contains(&stem) && !number.is_empty() { number } else { opening.name.as_str() };
        draft.centred(at, TextHeight::Mm2_5, words);
        named.push(stem);
    }
}

/// Circles with their sizes in the flat and finished; seams where it is built up.
pub(super) fn flat_lists(piece: &PiecePlan) -> Vec<FlatList> {
    let Some(plan) = &piece.ring else { return Vec::new() };
    let circles = FlatList {
        head: &["circle, middle of the sheet", "⌀ in the flat, mm", "⌀ finished, mm", "what to do"],
        shares: &[2.0, 1.2, 1.2, 2.2],
        rows: plan.circles.iter().map(circle_row).collect(),
    };
    let seams = FlatList {
        head: &["seam", "length, mm", "touching at ⌀, mm"],
        shares: &[2.4, 1.0, 1.2],
        rows: plan
            .seams
            .iter()
            .map(|seam| {
                let touching = seam.diameter_mm.map_or_else(|| "–".to_owned(), |mm| trimmed(mm, 1));
                vec![seam.name.clone(), trimmed(seam.length_mm, 1), touching]
            })
            .collect(),
    };
    vec![circles, seams]
}

fn circle_row(circle: &blank::ring::RingCircle) -> Vec<String> {
    let share = 100.0 * circle.strain;
    let what = match share {
        share if share < -0.05 => format!("gather {} mm per 100 mm", trimmed(-share, 1)),
        share if share > 0.05 => format!("let out {} mm per 100 mm", trimmed(share, 1)),
        _ => "keeps its size".to_owned(),
    };
    vec![circle.name.clone(), trimmed(circle.flat_diameter_mm, 1), trimmed(circle.finished_diameter_mm, 1), what]
}

/// What is said below the flat of a ring.
pub(super) fn flat_notes(piece: &PiecePlan) -> Vec<String> {
    let Some(plan) = &piece.ring else { return Vec::new() };
    let mut notes = vec![format!("How it is made: {}", plan.because)];
    if !plan.formed_words.is_empty() {
        notes.push(format!("How the flat was reckoned: {}", plan.formed_words));
        let [thin, thick] = plan.thickness_mm;
        notes.push(format!("Thickness after forming: {} to {} mm", trimmed(thin, 2), trimmed(thick, 2)));
    }
    if piece.blank.trim_mm > 0.0 {
        notes.push(
            "The trim lines are where the edge comes to lie, about: trim by height and width after forming.".into(),
        );
    }
    notes
}

/// A flat by itself, for the command line: edges, bends, marks, with their words.
pub fn ring_flat_drawing(blank: &Blank) -> Drawing {
    let description = format!("Flat of {}, outside face up", blank.piece);
    let mut draft = Draft::new(format!("flat {}", blank.piece), description, Scale::FULL);
    draw_edges(&mut draft, blank);
    blank.folds.iter().for_each(|fold: &FlatFold| draw_fold(&mut draft, fold));
    for mark in &blank.marks {
        draft.path(mark_layer(mark.kind), &mark.line_mm);
    }
    flat_callouts(&mut draft, blank);
    let low = bounds_of(blank.outline_mm.iter().copied()).low;
    draft.words(draft.moved(low, 0.0, -12.0), TextHeight::Mm2_5, format!("{}, outside face up", blank.piece));
    draft.drawing
}

/// Boards of a formed ring at 1:1.
pub(super) fn form_drawings(piece: &PiecePlan) -> Vec<Drawing> {
    let Some(plan) = &piece.ring else { return Vec::new() };
    plan.forms.iter().map(|form| form_drawing(piece, form)).collect()
}

/// Their names.
pub(super) fn form_names(piece: &PiecePlan) -> Vec<String> {
    piece.ring.iter().flat_map(|plan| &plan.forms).map(|form| format!("{}, {}", piece.name, form.name)).collect()
}

fn form_drawing(piece: &PiecePlan, form: &RingForm) -> Drawing {
    let title = format!("{}, {}", piece.name, form.name);
    let mut draft = Draft::new(format!("form {title}"), format!("1:1 boards, {title}"), Scale::FULL);
    let circle = |diameter_mm: f64| Shape::Circle { centre: DVec2::ZERO, radius_mm: 0.5 * diameter_mm };
    let board = match form.side {
        FormSide::HoleInBoard => "hole in the forming board",
        FormSide::Disc => "forming board",
    };
    draft.drawing.add_named(Layer::Template, board, circle(form.board_diameter_mm));
    draft.drawing.add_named(Layer::Template, "clamping board", circle(form.clamp_diameter_mm));
    for arm in [DVec2::X, DVec2::Y] {
        draft.line(Layer::Centre, -arm * 12.0, arm * 12.0);
    }
    let clamp = match form.side {
        FormSide::HoleInBoard => "hole in the clamping board",
        FormSide::Disc => "clamping board",
    };
    let words = [(form.board_diameter_mm, 40.0, board), (form.clamp_diameter_mm, 20.0, clamp)];
    let high = 0.5 * form.board_diameter_mm.max(form.clamp_diameter_mm);
    for (index, (diameter, degrees, what)) in words.into_iter().enumerate() {
        let tip = DVec2::from_angle(f64::to_radians(degrees)) * (0.5 * diameter);
        let elbow = DVec2::new(0.18 * high, 0.28 * high - 9.0 * index as f64);
        draft.callout(tip, elbow, format!("{what} ⌀{}", trimmed(diameter, 1)));
    }
    let face = if form.outside_face_down { "outside" } else { "inside" };
    let outer = match form.side {
        FormSide::HoleInBoard => {
            format!(
                "both boards stand out at least {} mm beyond the blank; bolt them together outside it",
                trimmed(BOARD_RIM_MM, 0)
            )
        }
        FormSide::Disc => "bolt or clamp the two boards together through the middle".to_owned(),
    };
    let side = if form.side_rad.abs() > 0.01 {
        format!(", its side filed {}° off square", trimmed(form.side_rad.abs().to_degrees(), 1))
    } else {
        String::new()
    };
    let lines = [
        title,
        piece.placing.hand.clone(),
        format!(
            "the sheet lies on the forming board with its {face} face; {} is clamped, {} goes over the edge",
            form.clamped, form.beaten
        ),
        format!(
            "forming board {} mm thick or more, upper edge rounded to R{}{side}",
            trimmed(form.least_thickness_mm.max(6.0).ceil(), 0),
            trimmed(form.edge_radius_mm, 1)
        ),
        outer,
    ];
    let foot = DVec2::new(-0.62 * high, -0.25 * high);
    for (index, line) in lines.into_iter().enumerate() {
        let place = foot - DVec2::Y * (4.8 * index as f64);
        if index == 0 {
            draft.bold(place, TextHeight::Mm2_5, line)
        } else {
            draft.words(place, TextHeight::Mm2_5, line)
        }
    }
    draft.drawing
}

/// A step of fitting on the finished ring.
pub(super) fn fitting_picture(
    section: &SectionPlan,
    piece: &PiecePlan,
    step: &FittingStep,
    hand: Option<Hand>,
    [width_mm, height_mm]: [f64; 2],
) -> Drawing {
    let view = super::isometric::view_of(piece, hand);
    let lines = visible_lines(&piece.shape, &view);
    let box_ = bounds_of(lines.iter().flat_map(|(_, points)| points.iter().copied()));
    let scale = picture_scale(box_.size().x, box_.size().y, width_mm - 70.0, height_mm - 32.0);
    let placing = placing_lines(&piece.placing).join(". ");
    let description = format!("Step {}: {}. {}. {placing}", step.number, step.title, piece.name);
    let mut draft = Draft::new(format!("step {}", step.number), description, scale);
    for (name, points) in &lines {
        let layer = if name == "bend" { Layer::Dimension } else { Layer::Outline };
        draft.path(layer, points);
    }
    let foot = draft.moved(box_.low, 0.0, -7.0);
    draft.words(foot, TextHeight::Mm2_5, format!("{} · {}", piece.name, piece.placing.edge_up));
    let bolts = bolts(piece, &view);
    let rim = lines.iter().flat_map(|(_, points)| points).copied().max_by(|a, b| (a.x + a.y).total_cmp(&(b.x + b.y)));
    let words = match step.kind.as_str() {
        "hold-up" => "hold it in its place: does it lie close all round,\nand does its opening stand over the old one?",
        "brace" => "measure the opening in two directions, write it down",
        "bolt-up" => "every bolt in by hand before any is tightened",
        "clean-and-probe" => "bright metal all round, both sides, as wide as the flange: no give",
        "scribe" => "scribe round the edge and through the holes",
        "cut" => "inside the scribed line only",
        "clamp-and-check" => "sealer under the flange, four clamps or bolts crosswise first",
        "tack" | "weld" if section.joint.order_by.is_computed() => "in the order of the numbers on the map",
        "tack" => "tack crosswise: the next always opposite the last",
        "weld" if section.joint.count > 0 => "crosswise, in turns: the next always opposite the last",
        "weld" => "short runs, the next always opposite the last",
        "protect" => "sealer right round under the flange: water stands in a step",
        _ => "",
    };
    if matches!(step.kind.as_str(), "bolt-up" | "weld" | "tack") {
        for place in &bolts {
            draft.drawing.add(Layer::Weld, Shape::Circle { centre: *place, radius_mm: draft.real(2.0) });
        }
    }
    if let (Some(tip), false) = (rim, words.is_empty()) {
        let elbow = DVec2::new(tip.x + draft.real(5.0), box_.high.y + draft.real(8.0));
        draft.callout(tip, elbow, words);
    }
    draft.drawing
}

/// Middles of the holes on paper, each once.
fn bolts(piece: &PiecePlan, view: &ViewAxes) -> Vec<DVec2> {
    let mut out: Vec<DVec2> = Vec::new();
    for line in piece.shape.lines.iter().filter(|line| line.name == "hole") {
        let count = line.points_mm.len().max(1) as f64;
        let middle = view.flat(line.points_mm.iter().sum::<DVec3>() / count);
        if out.iter().all(|other| other.distance(middle) > 3.0) {
            out.push(middle);
        }
    }
    out
}

/// Where the tape goes on a ring: across a diameter or up a step, in the section.
pub(super) fn tape(taped: &Taped<'_>) -> Option<Drawing> {
    let plan = taped.piece.ring.as_ref()?;
    let (mut draft, top) = section_draft(taped.piece, plan, taped.space_mm, "where the tape goes", false);
    let Measurement { role, title, .. } = taped.measurement;
    if let Role::RingHeight { leg, .. } = role {
        height(&mut draft, plan, *leg, 0.0, Some(title));
        return Some(draft.drawing);
    }
    let nominal = taped.nominal_mm.unwrap_or(0.0);
    let off = |corner: &&section::RingCorner| (2.0 * corner.radius_mm - nominal).abs();
    let nearest = plan.ring.corners.iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
    if off(&nearest) < 0.01 * nominal.max(1.0) {
        diameter(&mut draft, nearest.at_mm(), top, 0.0, Some(title));
    } else {
        // a size that is no diameter of the section: over the holes, or elsewhere; said in words
        let half = DVec2::new(0.5 * nominal, top);
        diameter(&mut draft, half, top, 0.0, Some(title));
    }
    Some(draft.drawing)
}
