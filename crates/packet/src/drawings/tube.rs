//! Tubes: pictures of fitting, the table by which an end is set out by hand, the papers that are wrapped round.

use glam::{DVec2, DVec3};
use job::file::Hand;
use job::plan::{FittingStep, PiecePlan, SectionPlan, TubePlan};

use super::blank::FlatList;
use super::draft::{Draft, length_of, point_at};
use super::hand::placing_lines;
use super::project::{ViewAxes, visible_lines};
use super::wrap::wrap_drawing;
use super::{bounds_of, picture_scale};
use crate::drawing::{Bounds, Drawing, Layer, Shape, TextHeight};
use crate::number::trimmed;

/// Papers to wrap round a tube; none for another piece.
pub fn wrap_drawings(piece: &PiecePlan) -> Vec<Drawing> {
    let Some(tube) = &piece.tube else { return Vec::new() };
    let placing = placing_lines(&piece.placing);
    let placing: Vec<String> = placing.into_iter().filter(|line| !line.starts_with("Face out")).collect();
    tube.wraps.iter().map(|wrap| wrap_drawing(&piece.name, wrap, &placing)).collect()
}

/// How both ends are cut, and how the long seam is made, one sentence each.
pub fn tube_notes(tube: &TubePlan) -> Vec<String> {
    let mut out = vec![format!(
        "{} of {} mm outside, rolled to an inside radius of {} mm",
        tube.form,
        trimmed(tube.outside_diameter_mm, 2),
        trimmed(tube.inside_radius_mm, 2)
    )];
    if !tube.seam.is_empty() {
        out.push(format!("long seam {}", tube.seam));
    }
    if tube.lap_mm > 0.0 {
        out.push(format!("the old wall is cut {} mm short of every edge of the piece", trimmed(tube.lap_mm, 1)));
    }
    out.extend(tube.ends.iter().cloned());
    out.push(format!(
        "angles are counted from the zero line, {} as seen from the start looking along the tube",
        tube.turns
    ));
    out
}

/// Depths of every shaped end, for setting out by hand.
pub(super) fn ordinate_lists(tube: &TubePlan) -> Vec<FlatList> {
    tube.ordinates
        .iter()
        .zip(tube.shaped)
        .filter(|(_, shaped)| *shaped)
        .map(|(end, _)| FlatList {
            head: &[
                "end",
                "round from the zero line",
                "across the flat, mm",
                "depth from the longest tip, mm",
                "x in the flat, mm",
            ],
            shares: &[1.2, 1.2, 1.2, 1.6, 1.2],
            rows: end
                .rows
                .iter()
                .map(|row| {
                    vec![
                        end.end.clone(),
                        format!("{}°", trimmed(row.angle_rad.to_degrees(), 1)),
                        trimmed(row.across_mm, 1),
                        trimmed(row.depth_mm, 1),
                        trimmed(row.x_mm, 1),
                    ]
                })
                .collect(),
        })
        .collect()
}

/// Where a viewer of a tube stands: above, on the side of its hand, in front of it; where its zero line looks away from there, on
/// the side that it looks to.
pub(super) fn viewer(piece: &PiecePlan, hand: Option<Hand>) -> DVec3 {
    let usual = match hand {
        Some(Hand::Right) => DVec3::new(0.8, -1.2, 0.8),
        _ => DVec3::new(0.8, 1.2, 0.8),
    };
    let zero = piece.tube.as_ref().map_or(DVec3::ZERO, |tube| tube.zero);
    const LOOKS: f64 = 0.5;
    let to_zero = |usual: f64, zero: f64| if zero.abs() > LOOKS { usual.abs() * zero.signum() } else { usual };
    DVec3::new(to_zero(usual.x, zero.x), to_zero(usual.y, zero.y), usual.z)
}

/// Draws one step on a tube; no larger than the space.
pub(super) fn tube_picture(
    section: &SectionPlan,
    piece: &PiecePlan,
    step: &FittingStep,
    width_mm: f64,
    height_mm: f64,
) -> Drawing {
    let view = ViewAxes::seen_from(viewer(piece, section.hand), DVec3::Z);
    let lines = visible_lines(&piece.shape, &view);
    let box_ = bounds_of(lines.iter().flat_map(|(_, points)| points.iter().copied()));
    let scale = picture_scale(box_.size().x, box_.size().y, width_mm - 90.0, height_mm - 26.0);
    let description = format!("Step {}: {}. {}, {}", step.number, step.title, piece.name, piece.placing.hand);
    let mut draft = Draft::new(format!("step {}", step.number), description, scale);
    for (name, points) in &lines {
        draft.path(line_layer(name), points);
    }
    let foot = draft.moved(box_.low, 0.0, -7.0);
    draft.words(foot, TextHeight::Mm2_5, format!("{} · {}", piece.name, piece.placing.hand));
    let at = |name: &str| seen(&lines, name);
    let ends = piece.tube.as_ref().map(|tube| old_tube(&mut draft, tube, &view)).unwrap_or_default();
    let edge = ends.first().copied().or_else(|| at("outline"));
    match step.kind.as_str() {
        "hold-up" => {
            let zero = zero_words(piece);
            let held = "hold it against the old tube: same length, same cuts";
            two_notes(&mut draft, box_, [(at("zero line"), &zero), (edge, held)]);
        }
        "brace" => {
            note(&mut draft, edge, box_, 0, "a straight bar clamped along the old tube, both sides of the place")
        }
        "vent" => {
            note(&mut draft, edge, box_, 0, "the old tube is drilled 3 mm at its lowest point\nand at its far end")
        }
        "bolt-up" => {
            let holes = holes(&lines);
            let words = "every bolt in by hand before any is tightened,\nwith its packer";
            note(&mut draft, holes.last().copied().or(edge), box_, 0, words);
            for hole in holes {
                draft.drawing.add(Layer::Weld, Shape::Circle { centre: hole, radius_mm: draft.real(2.0) });
            }
        }
        "clean-and-probe" => note(&mut draft, edge, box_, 0, "bright metal all round, beyond the edge of the piece"),
        "scribe" => {
            let zero = "the zero line of the paper lies where this one lies";
            two_notes(&mut draft, box_, [(at("zero line"), zero), (edge, "wrap the paper here, printed face out")]);
        }
        "cut" => note(&mut draft, edge, box_, 0, "cut the old tube to its scribed line, deburr inside and out"),
        "clamp-and-check" => note(&mut draft, edge, box_, 0, "flush all round; light shows nowhere"),
        "tack" => note(&mut draft, edge, box_, 0, "one tack, its opposite, then the two between"),
        "weld" => {
            note(&mut draft, edge, box_, 0, "short runs across from one another, cool between;\nthe vents stay open")
        }
        "protect" => note(
            &mut draft,
            edge,
            box_,
            0,
            "wax inside through the vents, last of all;\nleave the lowest one open to drain",
        ),
        _ => {}
    }
    draft.drawing
}

/// How far the old tube is drawn beyond the piece, in its own diameters.
const OLD_TUBE_DIAMETERS: f64 = 2.0;

/// Draws the old tube where it goes on from the joined ends, or through under a sleeve or patch; returns the middles of those ends.
fn old_tube(draft: &mut Draft, tube: &TubePlan, view: &ViewAxes) -> Vec<DVec2> {
    let [start, far] = tube.axis_mm;
    let axis = (far - start).normalize_or_zero();
    let along = view.flat(axis);
    let aside = along.perp().normalize_or_zero() * (0.5 * tube.outside_diameter_mm);
    let beyond = along * (OLD_TUBE_DIAMETERS * tube.outside_diameter_mm);
    let mut middles = Vec::new();
    for (end, way, joins) in [(start, -1.0, tube.joins[0]), (far, 1.0, tube.joins[1])] {
        if !joins {
            continue;
        }
        let middle = view.flat(end);
        for side in [-1.0, 1.0] {
            draft.line(Layer::Adjacent, middle + aside * side, middle + aside * side + beyond * way);
        }
        middles.push(middle);
    }
    middles
}

/// Which line a feature of a tube is drawn with.
pub(super) fn line_layer(name: &str) -> Layer {
    match name {
        "zero line" => Layer::Mark,
        _ if name.starts_with("line at ") => Layer::Centre,
        _ => Layer::Outline,
    }
}

/// Words for the zero line: where it looks.
pub(super) fn zero_words(piece: &PiecePlan) -> String {
    let whole = &piece.placing.front_end;
    whole.split(';').next().unwrap_or(whole).to_owned()
}

/// Middle of the longest visible run of a feature line.
pub(super) fn seen(lines: &[(String, Vec<DVec2>)], name: &str) -> Option<DVec2> {
    let runs = lines.iter().filter(|(own, _)| own == name).map(|(_, points)| points);
    let longest = runs.max_by(|a, b| length_of(a).total_cmp(&length_of(b)))?;
    point_at(longest, 0.5 * length_of(longest))
}

/// Middles of the holes that are seen, the highest last.
fn holes(lines: &[(String, Vec<DVec2>)]) -> Vec<DVec2> {
    let holes = lines.iter().filter(|(name, points)| name.contains("hole") && !points.is_empty());
    let mut middles: Vec<DVec2> = holes.map(|(_, points)| points.iter().sum::<DVec2>() / points.len() as f64).collect();
    middles.sort_by(|a, b| a.y.total_cmp(&b.y));
    middles
}

/// Two notes, that of the higher place above, so that their leaders do not cross.
fn two_notes(draft: &mut Draft, box_: Bounds, notes: [(Option<DVec2>, &str); 2]) {
    let height = |tip: Option<DVec2>| tip.map_or(f64::NEG_INFINITY, |tip| tip.y);
    let [a, b] = notes;
    let rows = if height(a.0) < height(b.0) { [b, a] } else { [a, b] };
    for ((tip, words), row) in rows.into_iter().zip(0..) {
        note(draft, tip, box_, row, words);
    }
}

/// A note to the right of the picture, `row` from the top.
fn note(draft: &mut Draft, tip: Option<DVec2>, box_: Bounds, row: u32, words: &str) {
    let Some(tip) = tip else { return };
    let elbow =
        DVec2::new(box_.high.x, box_.high.y) + DVec2::new(draft.real(7.0), -draft.real(2.0 + 14.0 * f64::from(row)));
    draft.callout(tip, elbow, words);
}
