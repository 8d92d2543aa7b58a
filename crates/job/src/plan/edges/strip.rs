//! Edges of a strip: along its edge line, and across its two ends.

use super::{EdgePoint, PieceEdge, reflected_y};
use glam::DVec3;
use section::{Lean, Node, Strip, StripEdge, Swept};

/// Longest step along an edge, mm, and fewest steps between two breaks.
const STEP_MM: f64 = 5.0;
const FEWEST_STEPS: usize = 8;

/// "finished edge", "cut edge", and the two ends by their names.
pub(in crate::plan) fn of_strip(strip: &Strip, end_names: &[String; 2]) -> Result<Vec<PieceEdge>, String> {
    let swept = Swept::new(strip).map_err(|error| error.to_string())?;
    let [start, end] = end_names;
    let edges = [
        lengthwise(&swept, "finished edge", StripEdge::Finished),
        lengthwise(&swept, "cut edge", StripEdge::Cut),
        across(&swept, start.clone(), strip.from_mm, 1.0),
        across(&swept, end.clone(), strip.to_mm, -1.0),
    ];
    Ok(edges.into_iter().map(|edge| if strip.mirrored { reflected_y(edge) } else { edge }).collect())
}

fn lengthwise(swept: &Swept<'_>, name: &str, edge: StripEdge) -> PieceEdge {
    let strip = swept.strip();
    let mut stations = vec![strip.from_mm];
    let inner = swept.breaks_mm().iter().copied().filter(|s| *s > strip.from_mm && *s < strip.to_mm);
    for to in inner.chain([strip.to_mm]) {
        let from = stations.last().copied().unwrap_or(strip.from_mm);
        let steps = (((to - from) / STEP_MM).ceil() as usize).max(FEWEST_STEPS);
        stations.extend((1..=steps).map(|k| from + (to - from) * k as f64 / steps as f64));
    }
    let into = if edge == StripEdge::Finished { 1.0 } else { -1.0 };
    let at = |station_mm: f64| {
        let frame = swept.frame_jet(station_mm, Lean::After);
        let node = swept.free_node(&swept.profile(station_mm, Lean::After), edge)?;
        let across = frame.direction(node.direction()).value * into;
        // into the sheet lies square to the edge itself, which need not run along the tangent of the edge line
        let along = swept.point(&frame, &node, 0.0).first.normalize_or_zero();
        Some(EdgePoint {
            at_mm: swept.point(&frame, &node, 0.0).value,
            into_sheet: (across - along * across.dot(along)).normalize_or_zero(),
            outward: outward(swept, station_mm, &node),
        })
    };
    PieceEdge::new(name, stations.into_iter().filter_map(at).collect(), false)
}

fn outward(swept: &Swept<'_>, station_mm: f64, node: &Node) -> DVec3 {
    swept.frame_jet(station_mm, Lean::After).direction(node.normal).value.normalize_or_zero()
}

/// The outline of an end on the outside face, from the finished edge to the cut edge.
fn across(swept: &Swept<'_>, name: String, station_mm: f64, into: f64) -> PieceEdge {
    let frame = swept.frame_jet(station_mm, Lean::After);
    let profile = swept.profile(station_mm, Lean::After);
    let first = swept.free_node(&profile, StripEdge::Finished);
    let last = swept.free_node(&profile, StripEdge::Cut);
    let place = |wanted: Option<Node>| wanted.and_then(|own| profile.nodes.iter().position(|node| *node == own));
    let (from, to) = (place(first).unwrap_or(0), place(last).unwrap_or(profile.nodes.len().saturating_sub(1)));
    let point = |node: &Node| EdgePoint {
        at_mm: swept.point(&frame, node, 0.0).value,
        into_sheet: frame.t.value * into,
        outward: frame.direction(node.normal).value.normalize_or_zero(),
    };
    let mut points: Vec<EdgePoint> = profile.nodes.get(from).map(point).into_iter().collect();
    let mut length_mm = 0.0;
    for link in from..to {
        let Some(own) = profile.links.get(link) else { continue };
        length_mm += own.shape.outside_length_mm(profile.thickness_mm).value;
        let steps = match own.shape {
            section::Shape::Straight { .. } => 1,
            section::Shape::Arc { bend_rad, .. } => ((bend_rad.value.abs() / 0.035).ceil() as usize).clamp(1, 360),
        };
        points
            .extend((1..=steps).filter_map(|k| profile.inside_link(link, k as f64 / steps as f64)).map(|n| point(&n)));
    }
    PieceEdge::new(name, points, false).with_length(length_mm)
}
