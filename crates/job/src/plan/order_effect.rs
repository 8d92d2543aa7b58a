//! What an order of welds does to its panel, as the job keeps it with the order.

use super::PieceEdge;
use crate::file::{OrderEffect, PlanishedEdge, WarpHeights};
use glam::DVec3;
use units::LengthUnit;
use weld::panel::SeamLine;
use weld::warp::shape_map::ShapeMap;
use weld::warp::{PlanishStrip, WarpPlan, WarpResult};

/// Places along a strip at which its edge is looked for.
const STEPS: usize = 200;
/// An edge that a strip only touches is none of its own, mm.
const LEAST_MM: f64 = 5.0;

/// The figures of the order that was found, its strips by piece and edge, its shape in steps of the reader's unit.
pub(super) fn of(
    result: &WarpResult,
    plan: &WarpPlan,
    edges: &[(String, PieceEdge)],
    reads_in: LengthUnit,
) -> OrderEffect {
    let heights = result.warp_height_mm;
    let line = |strip: &PlanishStrip| plan.seams.get(strip.seam.checked_sub(1)?).map(|seam| &seam.line);
    let strips = result.planish.iter().filter_map(|strip| Some((strip, line(strip)?)));
    OrderEffect {
        oil_cans: result.oil_cans,
        oil_canning: result.oil_canning.clone(),
        height: WarpHeights { low_mm: heights.low, middle_mm: heights.middle, high_mm: heights.high },
        margin: result.found.margin.map(weld::shrinkage::Range::three),
        planish: strips.flat_map(|(strip, line)| along_edges(strip, line, edges)).collect(),
        shape: ShapeMap::found(result, &plan.seams, reads_in),
    }
}

/// A strip along a weld line, edge by edge.
fn along_edges(strip: &PlanishStrip, line: &SeamLine, edges: &[(String, PieceEdge)]) -> Vec<PlanishedEdge> {
    let [from_mm, to_mm] = strip.stations_mm;
    let step_mm = (to_mm - from_mm) / STEPS as f64;
    let mut reached: Vec<Option<[f64; 2]>> = vec![None; edges.len()];
    for step in 0..=STEPS {
        let share = step as f64 / STEPS as f64;
        let Some((own, at_mm)) =
            super::warp::along(line, from_mm + share * (to_mm - from_mm)).and_then(|point| nearest(point, edges))
        else {
            continue;
        };
        if let Some(reached) = reached.get_mut(own) {
            *reached = Some(reached.map_or([at_mm; 2], |[low, high]| [low.min(at_mm), high.max(at_mm)]));
        }
    }
    let along = edges.iter().zip(reached).filter_map(|((piece, edge), reached)| {
        let [low, high] = reached?;
        // a line that closes on itself is strip all round; an end within a step is the end
        let from_mm = if edge.closed || low < 1.5 * step_mm { 0.0 } else { low };
        let to_mm = if edge.closed || high > edge.length_mm - 1.5 * step_mm { edge.length_mm } else { high };
        (to_mm - from_mm > LEAST_MM).then(|| PlanishedEdge {
            piece: piece.clone(),
            edge: edge.name.clone(),
            from_mm,
            to_mm,
            width_mm: strip.width_mm,
            stretch_percent: 100.0 * strip.stretch.value,
        })
    });
    along.collect()
}

/// The edge that lies nearest to a point, and how far along it.
fn nearest(point: DVec3, edges: &[(String, PieceEdge)]) -> Option<(usize, f64)> {
    let near =
        edges.iter().enumerate().filter_map(|(i, (_, edge))| edge.nearest(point).map(|[along, off]| (i, along, off)));
    near.min_by(|a, b| a.2.total_cmp(&b.2)).map(|(i, along, _)| (i, along))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::EdgePoint;
    use handbook::{Source, Working};

    fn edge(name: &str, points_mm: &[[f64; 2]]) -> (String, PieceEdge) {
        let point = |at: &[f64; 2]| EdgePoint {
            at_mm: DVec3::new(at[0], at[1], 0.0),
            into_sheet: DVec3::NEG_Y,
            outward: DVec3::Z,
        };
        ("corner".to_owned(), PieceEdge::new(name, points_mm.iter().map(point).collect(), false))
    }

    /// A weld line round a corner, 300 and 400 mm, the second edge counted against it: each edge has its own part of the strip, from its own start.
    #[test]
    fn a_strip_round_a_corner_is_told_edge_by_edge() {
        let edges = [edge("inner", &[[0.0, 0.0], [300.0, 0.0]]), edge("rear", &[[300.0, 400.0], [300.0, 0.0]])];
        let corner = [[0.0, 0.0], [300.0, 0.0], [300.0, 400.0]].map(|[x, y]| DVec3::new(x, y, 0.0));
        let line = SeamLine { points_mm: corner.to_vec(), closed: false };
        let stretch = Working::new("stretch", 0.0006, "", "F/(E·A)", Source::text("", "W30"));
        let strip = |stations_mm| PlanishStrip { seam: 1, stations_mm, width_mm: 20.0, stretch: stretch.clone() };
        let whole = along_edges(&strip([0.0, 700.0]), &line, &edges);
        let told: Vec<_> = whole.iter().map(|own| (own.edge.as_str(), own.from_mm, own.to_mm)).collect();
        assert_eq!(told, [("inner", 0.0, 300.0), ("rear", 0.0, 400.0)]);
        assert!((whole[0].stretch_percent - 0.06).abs() < 1e-12);
        // the last 250 mm of the line are the first 250 mm of the second edge
        let [end] = along_edges(&strip([450.0, 700.0]), &line, &edges).try_into().unwrap();
        assert_eq!((end.edge.as_str(), end.from_mm), ("rear", 0.0));
        assert!((end.to_mm - 250.0).abs() < 2.0, "{end:?}");
    }
}
