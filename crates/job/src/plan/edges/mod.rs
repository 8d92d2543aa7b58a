//! Named edges of a finished piece: where another piece can be joined to it.
//!
//! Names a person can write. Strip: "finished edge", "cut edge" and its two ends by the names of its edge line ("front end").
//! Folded: "edge 0" to the last (its rim when it has legs), "edge 0 start" and "edge 0 end" for the ends of its legs; a name
//! given in the file takes the place of "edge 0". Skin: the names of its edges.
//! Tube: its two ends by their names; a patch also its two sides ("side at 30°").
//! Cones and transitions: their two ends ("large end", "round end"), and "first end" and "other end" of a sheet that does not close on itself. Every kind lists its own.
//!
//! Lengths are those of the finished piece on the face that its sizes are over: the outside face of strip, skin and tube; of a
//! folded piece the face its sharp outer corners lie on. Spare at a free end is not in them.

mod folded;
mod ring;
mod ruled;
mod strip;
mod tube;

use super::{Fault, PiecePlan};
use crate::file::Section;
use crate::resolve::{ResolvedPiece, ResolvedShape};
use glam::DVec3;
use serde::{Deserialize, Serialize};

pub(super) use folded::{edge_name as folded_edge_name, face_up_carries_sizes, of_folded};
pub(super) use ring::of_ring;
pub(super) use ruled::of_ruled;
pub(super) use strip::of_strip;
pub(super) use tube::long_seam;

/// One edge of a finished piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PieceEdge {
    /// Name, unique in its piece.
    pub name: String,
    /// Length of the finished edge, mm.
    pub length_mm: f64,
    /// True when the last point joins the first (the end of a tube).
    pub closed: bool,
    /// Points in order along the edge, in the piece's own axes (those of its `shape`); straights by their two ends.
    pub points: Vec<EdgePoint>,
}

/// A point of an edge.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct EdgePoint {
    /// Place, mm.
    pub at_mm: DVec3,
    /// Square to the edge, along the sheet, into the metal; unit length.
    pub into_sheet: DVec3,
    /// Square to the sheet, away from it on the face that the point lies on; unit length.
    pub outward: DVec3,
}

impl PieceEdge {
    /// An edge as long as its polyline.
    #[must_use]
    pub fn new(name: impl Into<String>, points: Vec<EdgePoint>, closed: bool) -> Self {
        let length_mm = polyline_mm(&points, closed);
        Self { name: name.into(), length_mm, closed, points }
    }

    /// The same with a length known more exactly than its polyline's.
    #[must_use]
    pub fn with_length(self, length_mm: f64) -> Self {
        Self { length_mm, ..self }
    }

    /// Point at a length along the edge, 0 to its length; its ends beyond them. `None` without points.
    #[must_use]
    pub fn at(&self, along_mm: f64) -> Option<EdgePoint> {
        let drawn_mm = polyline_mm(&self.points, self.closed);
        let mut left_mm = if self.length_mm > 0.0 { along_mm.max(0.0) * drawn_mm / self.length_mm } else { 0.0 };
        let next = self.points.iter().skip(1).chain(self.points.first().filter(|_| self.closed));
        for (from, to) in self.points.iter().zip(next) {
            let step_mm = from.at_mm.distance(to.at_mm);
            if left_mm <= step_mm && step_mm > 0.0 {
                return Some(EdgePoint {
                    at_mm: from.at_mm.lerp(to.at_mm, left_mm / step_mm),
                    into_sheet: from.into_sheet.lerp(to.into_sheet, left_mm / step_mm).normalize_or_zero(),
                    outward: from.outward.lerp(to.outward, left_mm / step_mm).normalize_or_zero(),
                });
            }
            left_mm -= step_mm;
        }
        if self.closed { self.points.first() } else { self.points.last() }.copied()
    }

    /// How far along the edge the place nearest a point lies, mm, and how far the point is from it, mm.
    #[must_use]
    pub fn nearest(&self, point_mm: DVec3) -> Option<[f64; 2]> {
        let drawn_mm = polyline_mm(&self.points, self.closed);
        let next = self.points.iter().skip(1).chain(self.points.first().filter(|_| self.closed));
        let mut before_mm = 0.0;
        let mut best: Option<[f64; 2]> = None;
        for (from, to) in self.points.iter().zip(next) {
            let along = to.at_mm - from.at_mm;
            let step_mm = along.length();
            if step_mm > 0.0 {
                let share = ((point_mm - from.at_mm).dot(along) / (step_mm * step_mm)).clamp(0.0, 1.0);
                let distance_mm = point_mm.distance(from.at_mm.lerp(to.at_mm, share));
                if best.is_none_or(|[_, least_mm]| distance_mm < least_mm) {
                    best = Some([(before_mm + share * step_mm) * self.length_mm / drawn_mm, distance_mm]);
                }
            }
            before_mm += step_mm;
        }
        best
    }

    /// The same by another name.
    #[must_use]
    pub fn named(self, name: impl Into<String>) -> Self {
        Self { name: name.into(), ..self }
    }
}

fn polyline_mm(points: &[EdgePoint], closed: bool) -> f64 {
    let open: f64 = points.iter().zip(points.iter().skip(1)).map(|(a, b)| a.at_mm.distance(b.at_mm)).sum();
    match (closed, points.first(), points.last()) {
        (true, Some(first), Some(last)) => open + last.at_mm.distance(first.at_mm),
        _ => open,
    }
}

/// Edges of a piece that are known from its description alone; a skin's come with its surface.
pub(super) fn of(piece: &ResolvedPiece) -> Result<Vec<PieceEdge>, String> {
    match &piece.shape {
        ResolvedShape::Strip(strip) => of_strip(strip, &[0, 1].map(|end| crate::resolve::end_name(piece, end))),
        ResolvedShape::Folded(folded) => of_folded(folded),
        ResolvedShape::Skin(_) => Ok(Vec::new()),
        ResolvedShape::Tube(tube) => tube::of_tube(&tube.tube),
        ResolvedShape::Ruled(ruled) => Ok(of_ruled(&ruled.piece)),
        ResolvedShape::Ring(ring) => of_ring(ring),
    }
}

/// Gives the edges of a folded piece the names that the file has for them.
pub(super) fn rename(plan: &mut PiecePlan, names: &[(String, usize, String)]) {
    for (_, number, name) in names.iter().filter(|(piece, _, _)| *piece == plan.name) {
        let plain = folded::edge_name(*number);
        for edge in &mut plan.edges {
            let renamed = match edge.name.strip_prefix(&plain) {
                Some("") => name.clone(),
                Some(end @ (" start" | " end")) => format!("{name}{end}"),
                _ => continue,
            };
            edge.name = renamed;
        }
    }
}

/// Faults of the edges that go in with the section's joint: each must be there.
pub(super) fn check_along(section: &Section, pieces: &[PiecePlan]) -> Vec<Fault> {
    let mut faults = Vec::new();
    for (i, own) in section.joint.along.iter().enumerate() {
        let field = format!("section.{}.joint.along.{i}", section.id);
        // the parts of a built-up ring are the one ring that goes in
        let whole = pieces.iter().filter(|piece| piece.part_of.is_empty() || piece.ring.is_some());
        let Some(piece) = whole.clone().find(|piece| piece.name_in_job() == own.piece) else {
            let known = whole.map(PiecePlan::name_in_job);
            let message = crate::read::unknown("piece", &own.piece, known);
            faults.push(Fault { field: format!("{field}.piece"), message });
            continue;
        };
        if !piece.edges.iter().any(|edge| edge.name == own.edge) {
            let known = piece.edges.iter().map(|edge| edge.name.as_str());
            let message = crate::read::unknown(&format!("edge of {}", piece.name_in_job()), &own.edge, known);
            faults.push(Fault { field: format!("{field}.edge"), message });
        }
    }
    faults
}

/// Reflects an edge (y → −y).
fn reflected_y(edge: PieceEdge) -> PieceEdge {
    let flip = |v: DVec3| DVec3::new(v.x, -v.y, v.z);
    let point =
        |p: EdgePoint| EdgePoint { at_mm: flip(p.at_mm), into_sheet: flip(p.into_sheet), outward: flip(p.outward) };
    PieceEdge { points: edge.points.into_iter().map(point).collect(), ..edge }
}

/// Edges of a skin in space, of the finished hand.
pub(super) fn of_skin(
    middle: &mesh::Skin,
    thickness_mm: f64,
    edges: &[section::skin::SkinEdge<'_>],
    mirrored: bool,
) -> Result<Vec<PieceEdge>, section::SectionError> {
    edges
        .iter()
        .map(|edge| {
            let points = section::skin::free_edge(middle, thickness_mm, edge)?;
            let points =
                points.into_iter().map(|p| EdgePoint { at_mm: p.at_mm, into_sheet: p.into_sheet, outward: p.outward });
            let edge = PieceEdge::new(edge.name, points.collect(), false);
            Ok(if mirrored { reflected_y(edge) } else { edge })
        })
        .collect()
}
