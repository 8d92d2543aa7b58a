//! Pictures of fitting for a folded piece: the piece in its isometric view with what is done at which place.

use glam::{DVec2, DVec3};
use job::plan::{FittingStep, PiecePlan, SectionPlan};

use super::draft::{Draft, length_of, point_at};
use super::isometric::view_of;
use super::project::{ViewAxes, visible_lines};
use super::weld_map::order_on_picture;
use super::{bounds_of, picture_scale};
use crate::drawing::{Drawing, Layer, Shape, TextHeight};

/// Draws one step on a folded piece; no larger than the space.
pub fn tray_picture(
    section: &SectionPlan,
    piece: &PiecePlan,
    step: &FittingStep,
    width_mm: f64,
    height_mm: f64,
) -> Drawing {
    // a skin stands in vehicle axes and is seen as in the view of the piece
    let view = if piece.skin.is_some() {
        view_of(piece, section.hand)
    } else {
        ViewAxes::seen_from(DVec3::new(-1.0, -1.0, 1.0), DVec3::Z)
    };
    let lines = visible_lines(&piece.shape, &view);
    let box_ = bounds_of(lines.iter().flat_map(|(_, points)| points.iter().copied()));
    let scale = picture_scale(box_.size().x, box_.size().y, width_mm - 60.0, height_mm - 30.0);
    let description = format!("Step {}: {}. {}, {}", step.number, step.title, piece.name, piece.placing.hand);
    let mut draft = Draft::new(format!("step {}", step.number), description, scale);
    for (_, points) in &lines {
        draft.path(Layer::Outline, points);
    }
    let foot = draft.moved(box_.low, 0.0, -7.0);
    draft.words(foot, TextHeight::Mm2_5, format!("{} · {}", piece.name, piece.placing.hand));
    let joint = joint_lines(piece, &view);
    let rim = if piece.skin.is_some() {
        joint.iter().filter_map(|line| half_way(line)).collect()
    } else {
        corners(piece, &view)
    };
    let [rim_holes, floor_holes] = holes(piece, &view);
    match step.kind.as_str() {
        "hold-up" => {
            // a tray is pushed up from below; a skin is laid on
            if piece.skin.is_none() {
                let middle = box_.middle();
                draft.arrow(Layer::Note, draft.moved(middle, -6.0, -26.0), draft.moved(middle, -6.0, -14.0));
            }
            note(&mut draft, rim.last(), box_.high, "hold it up in its place: does the rim lie close all round?");
        }
        "brace" if piece.skin.is_some() => {
            braces(&joint).iter().for_each(|[from, to]| draft.line(Layer::Weld, *from, *to));
            note(
                &mut draft,
                rim.last(),
                box_.high,
                "brace across the opening along these lines, measure each, write it down",
            );
        }
        "brace" => {
            if let [a, b, c, d] = rim.as_slice() {
                draft.line(Layer::Weld, *a, *b);
                draft.line(Layer::Weld, *c, *d);
            }
            note(
                &mut draft,
                rim.last(),
                box_.high,
                "brace across the opening, measure both diagonals, write them down",
            );
        }
        "bolt-up" => {
            note(
                &mut draft,
                rim_holes.last(),
                box_.high,
                "every bolt in by hand before any is tightened,\nwith its packer",
            );
            ring(&mut draft, &rim_holes);
        }
        "clean-and-probe" if piece.skin.is_some() => note(
            &mut draft,
            rim.last(),
            box_.high,
            "clean and probe the old metal along the joint,\nboth sides: bright, no give",
        ),
        "clean-and-probe" => note(
            &mut draft,
            rim.last(),
            box_.high,
            "clean and probe the metal that the rim will lie on,\nboth sides: bright, no give",
        ),
        "scribe" if piece.skin.is_some() => {
            note(&mut draft, rim.last(), box_.high, "scribe along every edge that is let in, on the old metal");
        }
        "scribe" => note(&mut draft, rim.last(), box_.high, "scribe round the rim on the old metal"),
        "cut" => note(&mut draft, rim.last(), box_.high, "inside the scribed line only"),
        "clamp-and-check" => {
            note(&mut draft, rim.last(), box_.high, "clamp at the corners first; measure both diagonals")
        }
        "tack" | "weld" if piece.skin.is_some() => {
            joint.iter().for_each(|line| draft.path(Layer::Weld, line));
            let count = section.joint.count.max(5 * joint.len());
            ring(&mut draft, &spread(&joint, count));
            let words = if step.kind == "tack" {
                order_on_picture(section, "tacks on the joint, the next always far from the last")
            } else {
                order_on_picture(section, "short runs from tack to tack, the next always far from the last")
            };
            note(&mut draft, rim.last(), box_.high, &words);
        }
        "tack" | "weld" => {
            let places = if section.joint.count == rim_holes.len() { &rim_holes } else { &rim };
            ring(&mut draft, places);
            let words = if section.joint.count > 0 {
                let habit = format!("{} places, the next always far from the last", section.joint.count);
                order_on_picture(section, habit)
            } else {
                "corner by corner, crosswise".to_owned()
            };
            note(&mut draft, rim.last(), box_.high, &words);
        }
        "protect" if piece.skin.is_some() => {
            note(&mut draft, rim.last(), box_.high, "clean, prime and seal the joint, both faces; wax behind");
        }
        "protect" => note(
            &mut draft,
            floor_holes.first().or(rim.first()),
            box_.high,
            "keep the drain open; sealer under the rim, wax in the corners",
        ),
        _ => {}
    }
    draft.drawing
}

/// The edges of a skin that take the joint, on paper.
fn joint_lines(piece: &PiecePlan, view: &ViewAxes) -> Vec<Vec<DVec2>> {
    let Some(skin) = &piece.skin else { return Vec::new() };
    let joined = piece.edges.iter().filter(|edge| skin.joined_edges.contains(&edge.name));
    joined.map(|edge| edge.points.iter().map(|point| view.flat(point.at_mm)).collect()).collect()
}

/// Lines over the opening of a skin: between the middles of edges that face one another, and between the ends that lie furthest apart.
fn braces(joint: &[Vec<DVec2>]) -> Vec<[DVec2; 2]> {
    let middles: Vec<DVec2> = joint.iter().filter_map(|line| half_way(line)).collect();
    let across = middles.iter().zip(middles.iter().skip(middles.len().div_ceil(2))).map(|(from, to)| [*from, *to]);
    let ends: Vec<DVec2> = joint.iter().flat_map(|line| [line.first(), line.last()]).flatten().copied().collect();
    let pairs =
        ends.iter().enumerate().flat_map(|(index, from)| ends.iter().skip(index + 1).map(move |to| [*from, *to]));
    let furthest = pairs.max_by(|[a, b], [c, d]| a.distance(*b).total_cmp(&c.distance(*d)));
    across.chain(furthest).collect()
}

fn half_way(line: &[DVec2]) -> Option<DVec2> {
    point_at(line, 0.5 * length_of(line))
}

/// Places spread evenly over lines, clear of their ends.
fn spread(lines: &[Vec<DVec2>], count: usize) -> Vec<DVec2> {
    let whole: f64 = lines.iter().map(|line| length_of(line)).sum();
    let of_line = |line: &Vec<DVec2>| {
        let length = length_of(line);
        let own = ((count as f64 * length / whole.max(1e-9)).round() as usize).max(2);
        (0..own).filter_map(|i| point_at(line, length * (i as f64 + 0.5) / own as f64)).collect::<Vec<_>>()
    };
    lines.iter().flat_map(of_line).collect()
}

fn note(draft: &mut Draft, tip: Option<&DVec2>, high: DVec2, words: &str) {
    if let Some(tip) = tip {
        let elbow = DVec2::new(tip.x + draft.real(5.0), high.y + draft.real(8.0));
        draft.callout(*tip, elbow, words);
    }
}

fn ring(draft: &mut Draft, places: &[DVec2]) {
    for place in places {
        draft.drawing.add(Layer::Weld, Shape::Circle { centre: *place, radius_mm: draft.real(2.0) });
    }
}

/// Middles of the openings on paper, each once: those up at the rim, which take bolts, and those down at the floor.
fn holes(piece: &PiecePlan, view: &ViewAxes) -> [Vec<DVec2>; 2] {
    let half_way = piece.shape.bounds_mm().map_or(0.0, |[low, high]| low.midpoint(high).z);
    let mut found = [Vec::new(), Vec::new()];
    for line in piece.shape.lines.iter().filter(|line| line.name == "hole") {
        let Some(sum) = line.points_mm.iter().copied().reduce(|a, b| a + b) else { continue };
        let middle = sum / line.points_mm.len() as f64;
        let [rim, floor] = &mut found;
        let side = if middle.z > half_way { rim } else { floor };
        let middle = view.flat(middle);
        if side.iter().all(|other: &DVec2| other.distance(middle) > 5.0) {
            side.push(middle);
        }
    }
    found
}

/// The four corners of the box round the piece at its rim, on paper.
fn corners(piece: &PiecePlan, view: &ViewAxes) -> Vec<DVec2> {
    let Some([low, high]) = piece.shape.bounds_mm() else { return Vec::new() };
    [(low.x, low.y), (high.x, low.y), (low.x, high.y), (high.x, high.y)]
        .into_iter()
        .map(|(x, y)| nearest(piece, DVec3::new(x, y, high.z)))
        .map(|point| view.flat(point))
        .collect()
}

fn nearest(piece: &PiecePlan, wanted: DVec3) -> DVec3 {
    let points = piece.shape.points_mm.iter().copied();
    points.min_by(|a, b| a.distance_squared(wanted).total_cmp(&b.distance_squared(wanted))).unwrap_or(wanted)
}
