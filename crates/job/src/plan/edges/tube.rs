//! Edges of a tube: its two ends, and the two sides of a patch. A long seam closes on itself and is no edge.

use super::{EdgePoint, PieceEdge};
use glam::DVec2;
use section::Tube;
use section::tube::outline;

/// Chords stay this near to the cut they stand for, mm.
const CHORD_MM: f64 = 0.005;
/// Step by which directions on the wall are found, mm.
const STEP_MM: f64 = 1e-4;

/// The ends by their names; of a patch also "side at 30°".
pub(in crate::plan) fn of_tube(tube: &Tube) -> Result<Vec<PieceEdge>, String> {
    let outline = outline(tube, CHORD_MM).map_err(|error| error.to_string())?;
    let flat = |index: &usize| outline.points_mm.get(*index).copied();
    let mut out = Vec::new();
    for (number, edge) in outline.edges.iter().enumerate() {
        let is_side = number % 2 == 0;
        if is_side && tube.is_whole() {
            continue;
        }
        let mut chain: Vec<DVec2> = edge.points.iter().filter_map(flat).collect();
        if !is_side {
            chain = divided(tube, number, &chain);
        }
        let closed = !is_side && tube.is_whole();
        if closed {
            // a lap lies over the start, and the last point is the first one
            chain.retain(|point| point.y < tube.width_mm() - tube.seam_lap_mm() - 1e-9);
        }
        out.push(PieceEdge::new(edge.name.clone(), points(tube, &chain, closed), closed));
    }
    Ok(out)
}

/// Name of the long seam where it is welded on the vehicle.
pub(in crate::plan) const LONG_SEAM: &str = "long seam";

/// Where the long seam of a whole tube runs; none of a patch. It closes on itself and is no edge of the piece, but it is welded.
pub(in crate::plan) fn long_seam(tube: &Tube) -> Option<PieceEdge> {
    let outline = tube.is_whole().then(|| outline(tube, CHORD_MM).ok()).flatten()?;
    let chain: Vec<DVec2> =
        outline.edges.first()?.points.iter().filter_map(|index| outline.points_mm.get(*index).copied()).collect();
    Some(PieceEdge::new(LONG_SEAM, points(tube, &chain, false), false))
}

/// An end's chain in steps that are short round the girth, however straight it is in the flat.
fn divided(tube: &Tube, number: usize, chain: &[DVec2]) -> Vec<DVec2> {
    const STEP_RAD: f64 = 0.035;
    let step_mm = STEP_RAD * tube.radius_mm(section::tube::Wall::Middle);
    // edges of the outline in order: first side, far end, second side, start end
    let end = usize::from(number == 1);
    let mut out: Vec<DVec2> = chain.first().copied().into_iter().collect();
    for (from, to) in chain.iter().zip(chain.iter().skip(1)) {
        let steps = ((to.y - from.y).abs() / step_mm).ceil().max(1.0);
        for k in 1..steps as usize {
            let y = from.y + (to.y - from.y) * k as f64 / steps;
            out.push(DVec2::new(tube.edge_station_mm(end, y), y));
        }
        out.push(*to);
    }
    out
}

fn points(tube: &Tube, chain: &[DVec2], closed: bool) -> Vec<EdgePoint> {
    let last = chain.len().saturating_sub(1);
    let at = |index: usize| chain.get(index.min(last)).copied().unwrap_or_default();
    let place = |flat: DVec2| tube.point_mm(flat, 0.0);
    (0..chain.len())
        .map(|index| {
            let here = at(index);
            // the outline runs anticlockwise, so the metal lies to the left
            let along = match (closed, index) {
                (true, 0) => at(1) - here,
                (true, _) if index == last => here - at(index - 1),
                _ => at(index + 1) - at(index.saturating_sub(1)),
            }
            .normalize_or_zero();
            let step = |way: DVec2| (place(here + way * STEP_MM) - place(here)) / STEP_MM;
            let (tangent, inward) = (step(along).normalize_or_zero(), step(along.perp()));
            EdgePoint {
                at_mm: place(here),
                into_sheet: (inward - tangent * inward.dot(tangent)).normalize_or_zero(),
                outward: (place(here) - tube.point_mm(here, tube.thickness_mm)).normalize_or_zero(),
            }
        })
        .collect()
}
