//! Where each piece stands: surveyed, placed by the file, or put on by a seam.

use super::PlacedPiece;
use super::edge::{Joined, at};
use super::meet::offsets;
use crate::file::Turns;
use crate::plan::{EdgePoint, Fault, PieceEdge, PiecePlan};
use crate::resolve::{Resolved, ResolvedPiece, ResolvedShape, Stands};
use glam::{DMat3, DVec3};
use serde::{Deserialize, Serialize};

/// An edge that leaves its chord by more than this is curved: both ends and the middle then say how it lies.
const CURVED_FROM_MM: f64 = 2.0;

/// A place and three unit directions: from a piece's own axes to those of its section.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Pose {
    /// Zero of the piece's axes, mm.
    pub at_mm: DVec3,
    /// Its x.
    pub x: DVec3,
    /// Its y.
    pub y: DVec3,
    /// Its z.
    pub z: DVec3,
}

impl Pose {
    /// Where it is.
    pub const SAME: Self = Self { at_mm: DVec3::ZERO, x: DVec3::X, y: DVec3::Y, z: DVec3::Z };

    /// A place of the piece in the section.
    #[must_use]
    pub fn point(&self, own_mm: DVec3) -> DVec3 {
        self.at_mm + self.direction(own_mm)
    }

    /// A direction of the piece in the section.
    #[must_use]
    pub fn direction(&self, own: DVec3) -> DVec3 {
        DMat3::from_cols(self.x, self.y, self.z) * own
    }

    fn standing(stands: &Stands) -> Self {
        Self { at_mm: stands.at_mm, x: stands.x, y: stands.y, z: stands.x.cross(stands.y) }
    }

    fn turned(turn: DMat3, at_mm: DVec3) -> Self {
        Self { at_mm, x: turn.x_axis, y: turn.y_axis, z: turn.z_axis }
    }

    pub(super) fn edge_point(&self, own: &EdgePoint) -> EdgePoint {
        EdgePoint {
            at_mm: self.point(own.at_mm),
            into_sheet: self.direction(own.into_sheet),
            outward: self.direction(own.outward),
        }
    }
}

/// Places every piece.
pub(super) fn all(
    resolved: &Resolved,
    pieces: &[PiecePlan],
    joined: &[Joined<'_>],
) -> Result<Vec<PlacedPiece>, Vec<Fault>> {
    let mut known: Vec<Option<(Pose, String)>> =
        resolved.pieces.iter().take(pieces.len()).map(|piece| surveyed(resolved, piece)).collect();
    if known.iter().all(Option::is_none)
        && let Some(first) = known.first_mut()
    {
        *first = Some((Pose::SAME, "the others are put on it".into()));
    }
    while let Some((index, pose)) = next(&known, joined) {
        if let Some(place) = known.get_mut(index) {
            *place = Some(pose);
        }
    }
    let mut faults = Vec::new();
    let mut out = Vec::new();
    for (i, (piece, place)) in pieces.iter().zip(known).enumerate() {
        match place {
            Some((pose, how)) => out.push(PlacedPiece { number: i + 1, piece: piece.name.clone(), pose, how }),
            None => faults.push(unplaced(piece, joined)),
        }
    }
    if faults.is_empty() { Ok(out) } else { Err(faults) }
}

fn surveyed(resolved: &Resolved, piece: &ResolvedPiece) -> Option<(Pose, String)> {
    let stands = resolved.stands.iter().find(|stands| stands.piece == piece.shape.name());
    let flip = |v: DVec3| DVec3::new(v.x, -v.y, v.z);
    let pose = match &piece.shape {
        ResolvedShape::Strip(_) | ResolvedShape::Skin(_) => {
            return Some((Pose::SAME, "where it was surveyed".into()));
        }
        // the finished piece is its own reflection (x → −x), the section's is y → −y
        ResolvedShape::Folded(folded) if folded.mirrored => {
            let pose = Pose::standing(stands?);
            Pose { at_mm: flip(pose.at_mm), x: -flip(pose.x), y: flip(pose.y), z: flip(pose.z) }
        }
        // both reflected alike: y → −y
        ResolvedShape::Tube(tube) if tube.tube.mirrored => {
            let pose = Pose::standing(stands?);
            Pose { at_mm: flip(pose.at_mm), x: flip(pose.x), y: -flip(pose.y), z: flip(pose.z) }
        }
        // cones and rings stand in axes of their own, the same for both hands
        ResolvedShape::Folded(_) | ResolvedShape::Tube(_) | ResolvedShape::Ruled(_) | ResolvedShape::Ring(_) => {
            Pose::standing(stands?)
        }
    };
    Some((pose, "where the job places it".into()))
}

/// The next piece that a seam puts on one that stands.
fn next(known: &[Option<(Pose, String)>], joined: &[Joined<'_>]) -> Option<(usize, (Pose, String))> {
    joined.iter().find_map(|joined| {
        let [own, other] = joined.pieces;
        let (pose, _) = known.get(other)?.as_ref()?;
        if known.get(own)?.is_some() {
            return None;
        }
        Some((own, (put_on(joined, pose)?, format!("put on by the seam {}", joined.seam.name))))
    })
}

fn unplaced(piece: &PiecePlan, joined: &[Joined<'_>]) -> Fault {
    let other_way = joined.iter().find(|joined| joined.seam.to_piece == piece.name);
    match other_way {
        Some(joined) => Fault {
            field: format!("{}.piece", joined.seam.field),
            message: format!(
                "nothing says where {} stands: write the seam the other way round (piece = \"{}\", to = {}), or give {} a place",
                piece.name, piece.name, joined.seam.piece, piece.name
            ),
        },
        None => Fault {
            field: format!("piece.{}", piece.name),
            message: format!(
                "no seam joins {} to the others; give it a seam, a place, or a section of its own",
                piece.name
            ),
        },
    }
}

/// Puts the first edge of a seam on the second, whose piece stands at `pose`.
fn put_on(joined: &Joined<'_>, pose: &Pose) -> Option<Pose> {
    let [own, to] = &joined.edges;
    let on = |fraction: f64| {
        let fraction = if joined.seam.reversed { 1.0 - fraction } else { fraction };
        at(to, fraction).map(|point| pose.edge_point(&point))
    };
    if is_curved(own) && is_curved(to) {
        return by_three_points(joined, own, on);
    }
    let (start, end, middle) = (on(0.0)?, on(1.0)?, on(0.5)?);
    let along = (end.at_mm - start.at_mm).try_normalize()?;
    let into = square(middle.into_sheet, along)?;
    let out = square(square(middle.outward, along)?, into)?;
    let side = match joined.seam.turns {
        Turns::Inside => -1.0,
        Turns::Outside => 1.0,
    };
    let (sin, cos) = joined.seam.stands_rad.sin_cos();
    let wanted = frame(along, into * cos + out * (side * sin));
    let (own_start, own_end, own_middle) = (at(own, 0.0)?, at(own, 1.0)?, at(own, 0.5)?);
    let own_along = (own_end.at_mm - own_start.at_mm).try_normalize()?;
    let turn = wanted * frame(own_along, square(own_middle.into_sheet, own_along)?).transpose();
    let flipped = (turn * own_middle.outward).dot(out) < 0.0;
    let foot = offsets(joined, flipped).first().copied()?;
    let lap_mm = super::meet::lap_mm(joined);
    let target = start.at_mm.midpoint(end.at_mm) + into * lap_mm + out * foot;
    Some(Pose::turned(turn, target - turn * own_start.at_mm.midpoint(own_end.at_mm)))
}

/// Curved edges: start, middle and end of the one on those of the other.
fn by_three_points(joined: &Joined<'_>, own: &PieceEdge, on: impl Fn(f64) -> Option<EdgePoint>) -> Option<Pose> {
    let lap_mm = super::meet::lap_mm(joined);
    let fractions = if own.closed { [0.0, 1.0 / 3.0, 2.0 / 3.0] } else { [0.0, 0.5, 1.0] };
    let place = |foot: f64| {
        let mut to = [DVec3::ZERO; 3];
        let mut from = [DVec3::ZERO; 3];
        for ((to, from), fraction) in to.iter_mut().zip(&mut from).zip(fractions) {
            let point = on(fraction)?;
            *to = point.at_mm + point.into_sheet * lap_mm + point.outward * foot;
            *from = at(own, fraction)?.at_mm;
        }
        let turn = triangle(to)? * triangle(from)?.transpose();
        let middle = |of: [DVec3; 3]| of.iter().sum::<DVec3>() / 3.0;
        Some(Pose::turned(turn, middle(to) - turn * middle(from)))
    };
    let first = place(offsets(joined, false).first().copied()?)?;
    let flipped = first.direction(at(own, 0.5)?.outward).dot(on(0.5)?.outward) < 0.0;
    if flipped { place(offsets(joined, true).first().copied()?) } else { Some(first) }
}

/// Directions of a triangle: along its long side, towards its third point, square to both.
fn triangle([a, b, c]: [DVec3; 3]) -> Option<DMat3> {
    let along = (c - a).try_normalize()?;
    Some(frame(along, square(b - a, along)?))
}

fn frame(along: DVec3, into: DVec3) -> DMat3 {
    DMat3::from_cols(along, into, along.cross(into))
}

fn square(direction: DVec3, to: DVec3) -> Option<DVec3> {
    (direction - to * direction.dot(to)).try_normalize()
}

/// Is the edge bowed enough to say how its piece stands?
pub(super) fn is_curved(edge: &PieceEdge) -> bool {
    sagitta_mm(edge) > CURVED_FROM_MM
}

/// Furthest that an edge leaves its chord, mm; of one that closes, its diameter.
pub(super) fn sagitta_mm(edge: &PieceEdge) -> f64 {
    if edge.closed {
        return edge.length_mm / std::f64::consts::PI;
    }
    let (Some(first), Some(last)) = (edge.points.first(), edge.points.last()) else { return 0.0 };
    let Some(along) = (last.at_mm - first.at_mm).try_normalize() else { return 0.0 };
    edge.points
        .iter()
        .map(|point| {
            let off = point.at_mm - first.at_mm;
            (off - along * off.dot(along)).length()
        })
        .fold(0.0, f64::max)
}
