//! Edges of a folded piece: the rim of each base edge with its legs, and the two ends of its legs.
//!
//! Sizes are over the sharp outer corners, as the piece is described; the rounding of a bend is not followed.

use super::{EdgePoint, PieceEdge};
use glam::DVec3;
use section::folded::{BendKind, EdgeLayout, Layout, LegPoint, Part, layout};
use section::{CornerKind, Folded, On};

/// Name of base edge `edge` where the file gives none.
pub(in crate::plan) fn edge_name(edge: usize) -> String {
    format!("edge {edge}")
}

/// "edge 0" … for the rims; "edge 0 start" and "edge 0 end" for the ends of the legs of an edge.
pub(in crate::plan) fn of_folded(folded: &Folded) -> Result<Vec<PieceEdge>, String> {
    let layout = layout(folded).map_err(|error| error.to_string())?;
    let face = Face { layout: &layout, mirrored: folded.mirrored, up: sizes_over_face_up(&layout) };
    let mut edges = Vec::new();
    for (index, edge) in layout.edges.iter().enumerate() {
        let name = edge_name(index);
        let legs = open_legs(edge);
        edges.extend(face.rim(index, edge, legs).map(|points| PieceEdge::new(name.clone(), points, false)));
        if legs > 0 {
            for (at_start, end) in [(true, "start"), (false, "end")] {
                if welded_to_neighbour(folded, &layout, index, at_start) {
                    continue;
                }
                let points = face.leg_end(index, edge, legs, at_start);
                edges.push(PieceEdge::new(format!("{name} {end}"), points, false));
            }
        }
    }
    Ok(edges)
}

/// Is the end of an edge's legs welded to the legs of the next edge? Then it is no free edge.
fn welded_to_neighbour(folded: &Folded, layout: &Layout, index: usize, at_start: bool) -> bool {
    let count = layout.edges.len().max(1);
    let (neighbour, corner) = if at_start { (index + count - 1, index) } else { (index + 1, index + 1) };
    let legs = layout.edges.get(neighbour % count).map_or(0, open_legs);
    legs > 0 && matches!(folded.corners.get(corner % count), Some(CornerKind::Welded { .. }))
}

/// Do the sizes of a folded piece lie on its face up (every fold turns down), not on its underside?
pub(in crate::plan) fn face_up_carries_sizes(folded: &Folded) -> Result<bool, String> {
    layout(folded).map(|layout| sizes_over_face_up(&layout)).map_err(|error| error.to_string())
}

/// The sharp outer corners lie on the face up where every fold turns down, else on the underside.
fn sizes_over_face_up(layout: &Layout) -> bool {
    let mut turns = layout.edges.iter().flat_map(|edge| &edge.parts).filter_map(|part| part.bend).peekable();
    turns.peek().is_some() && turns.all(|bend| bend.turned_rad < 0.0)
}

/// Legs before a curl or hem, whose raw edge is shut away.
fn open_legs(edge: &EdgeLayout) -> usize {
    let open = |part: &&Part| part.leg.is_some() && part.bend.is_none_or(|bend| bend.kind == BendKind::Fold);
    edge.parts.iter().take_while(open).count()
}

struct Face<'a> {
    layout: &'a Layout,
    mirrored: bool,
    up: bool,
}

impl Face<'_> {
    fn leg(&self, edge: usize, index: usize, x_mm: f64, from_apex_mm: f64) -> Option<LegPoint> {
        self.layout.point_on(On::Fold { edge, index }, x_mm, from_apex_mm, self.mirrored)
    }

    fn point(&self, leg: &LegPoint, into_sheet: DVec3) -> EdgePoint {
        let (at_mm, outward) = if self.up { (leg.face_up_mm, leg.axis) } else { (leg.underside_mm, -leg.axis) };
        EdgePoint { at_mm, into_sheet, outward }
    }

    /// The free edge of the last open leg; of a raw edge the edge itself.
    fn rim(&self, index: usize, edge: &EdgeLayout, legs: usize) -> Option<Vec<EdgePoint>> {
        let Some(last) = legs.checked_sub(1) else { return self.base_edge(edge) };
        let leg = edge.parts.get(last)?.leg.as_ref()?;
        let points = leg.far_side.iter().filter_map(|far| self.leg(index, last, far.x, leg.from_apex_mm + far.y));
        Some(points.map(|point| self.point(&point, -point.away)).collect())
    }

    fn base_edge(&self, edge: &EdgeLayout) -> Option<Vec<EdgePoint>> {
        let flip = |v: DVec3| if self.mirrored { DVec3::new(-v.x, v.y, v.z) } else { v };
        let into = flip(-edge.outward.extend(0.0));
        [0.0, edge.length_mm]
            .map(|x| edge.corner_mm + edge.along * x)
            .map(|place| self.layout.point_on(On::Skin, place.x, place.y, self.mirrored))
            .into_iter()
            .map(|point| point.map(|point| self.point(&point, into)))
            .collect()
    }

    /// From the base out along the cut ends of the legs, corner by corner.
    fn leg_end(&self, index: usize, edge: &EdgeLayout, legs: usize, at_start: bool) -> Vec<EdgePoint> {
        let mut points = Vec::new();
        for (at, part) in edge.parts.iter().enumerate().take(legs) {
            let Some(leg) = &part.leg else { continue };
            let line = if at_start { leg.start } else { leg.end };
            let next = edge.parts.get(at + 1).filter(|_| at + 1 < legs);
            let far = if at_start { leg.far_side.first() } else { leg.far_side.last() };
            let top_mm = match (next.and_then(|part| part.bend), far) {
                (Some(bend), _) => leg.length_mm + bend.setback_mm,
                (None, Some(far)) => far.y,
                (None, None) => leg.length_mm,
            };
            for s_mm in [-leg.from_apex_mm, top_mm] {
                let Some(point) = self.leg(index, at, line.x_mm(s_mm), leg.from_apex_mm + s_mm) else { continue };
                let into = if at_start { point.along } else { -point.along };
                let point = self.point(&point, into);
                if points.last().is_none_or(|last: &EdgePoint| last.at_mm.distance(point.at_mm) > 1e-6) {
                    points.push(point);
                }
            }
        }
        points
    }
}
