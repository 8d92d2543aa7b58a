//! The two edges of every seam, found by their names or laid on a face.

use crate::file::{SeamJoint, Turns};
use crate::plan::{EdgePoint, Fault, PieceEdge, PiecePlan, edges};
use crate::read::unknown;
use crate::resolve::{Resolved, ResolvedPiece, ResolvedPlace, ResolvedSeam, ResolvedShape};
use glam::{DVec2, DVec3};
use mesh::Skin;
use mesh::nearest::Nearest;
use section::tube::Wall;
use section::{Lean, On, Swept};

/// An edge bowed by less than this more than the line under it still touches it all along, mm.
const STRAIGHT_WITHIN_MM: f64 = 0.2;
/// Steps of a round laid on a face.
const ROUND_STEPS: u32 = 96;

/// A seam with the edges of both pieces, each in its piece's own axes.
pub(super) struct Joined<'a> {
    pub(super) seam: &'a ResolvedSeam,
    pub(super) pieces: [usize; 2],
    pub(super) edges: [PieceEdge; 2],
    /// Sheets, mm.
    pub(super) thickness_mm: [f64; 2],
    /// Reaches of both pieces together, mm.
    pub(super) reach_mm: f64,
    /// The other edge is a place on a face.
    pub(super) on_face: bool,
}

/// Finds both edges of every seam.
pub(super) fn all<'a>(resolved: &'a Resolved, pieces: &[PiecePlan]) -> Result<Vec<Joined<'a>>, Vec<Fault>> {
    let mut faults = Vec::new();
    let mut out = Vec::new();
    for seam in &resolved.seams {
        match one(resolved, pieces, seam) {
            Ok(joined) => out.push(joined),
            Err(fault) => faults.push(fault),
        }
    }
    if faults.is_empty() { Ok(out) } else { Err(faults) }
}

fn one<'a>(resolved: &Resolved, pieces: &[PiecePlan], seam: &'a ResolvedSeam) -> Result<Joined<'a>, Fault> {
    let field = |path: &str| format!("{}.{path}", seam.field);
    let find = |name: &str, path: &str| {
        let missing = || Fault {
            field: field(path),
            message: unknown("piece", name, pieces.iter().map(|piece| piece.name.as_str())),
        };
        let index = pieces.iter().position(|piece| piece.name == name).ok_or_else(missing)?;
        let piece = pieces.get(index).ok_or_else(missing)?;
        Ok((index, piece, resolved.pieces.get(index).ok_or_else(missing)?))
    };
    let (first, piece, _) = find(&seam.piece, "piece")?;
    let (second, other, other_shape) = find(&seam.to_piece, "to.piece")?;
    let own = named(piece, &seam.edge).map_err(|message| Fault { field: field("edge"), message })?;
    let on_face = !matches!(seam.to, ResolvedPlace::Edge { .. });
    let to = match &seam.to {
        ResolvedPlace::Edge { edge, stretch_mm } => {
            let whole = named(other, edge).map_err(|message| Fault { field: field("to.edge"), message })?;
            match stretch_mm {
                None => whole,
                Some(stretch) => {
                    stretch_of(&whole, *stretch).map_err(|message| Fault { field: field("to.stretch"), message })?
                }
            }
        }
        place => on_the_face(other_shape, other, place, &seam.name)
            .map_err(|message| Fault { field: field("to"), message })?,
    };
    if on_face && matches!(other_shape.shape, ResolvedShape::Tube(_)) {
        stands_on_a_tube(seam, &own, &to).map_err(|(path, message)| Fault { field: field(path), message })?;
    }
    Ok(Joined {
        seam,
        pieces: [first, second],
        edges: [own, to],
        thickness_mm: [piece.blank.thickness_mm, other.blank.thickness_mm],
        reach_mm: piece.reach_mm + other.reach_mm,
        on_face,
    })
}

/// What can be joined to a line on the wall of a tube: the field at fault and why.
fn stands_on_a_tube(seam: &ResolvedSeam, own: &PieceEdge, to: &PieceEdge) -> Result<(), (&'static str, String)> {
    if seam.joint != SeamJoint::EdgeToFace {
        let accepted = "write joint = \"edge_to_face\"";
        return Err((
            "joint",
            format!("cannot be made along a line of a round wall, where only an edge stands; {accepted}"),
        ));
    }
    if seam.turns == Turns::Inside {
        return Err(("turns", format!("puts {} inside the tube; write turns = \"outside\"", seam.piece)));
    }
    let [own_sagitta_mm, sagitta_mm] = [own, to].map(super::pose::sagitta_mm);
    if sagitta_mm > own_sagitta_mm + STRAIGHT_WITHIN_MM {
        let what =
            format!("runs round the tube and rises {sagitta_mm:.1} mm over its chord; \"{}\" is straight", own.name);
        let accepted = "give both ends of the line the same angle, so that it runs along the tube; across a tube a plate needs a curved \
                        foot, which a straight edge is not";
        return Err(("to.line", format!("{what}; {accepted}")));
    }
    Ok(())
}

fn named(piece: &PiecePlan, name: &str) -> Result<PieceEdge, String> {
    let found = piece.edges.iter().find(|edge| edge.name == name);
    found.cloned().ok_or_else(|| {
        unknown(&format!("edge of {}", piece.name), name, piece.edges.iter().map(|edge| edge.name.as_str()))
    })
}

/// Part of an edge from its start, mm along it.
fn stretch_of(edge: &PieceEdge, [from_mm, to_mm]: [f64; 2]) -> Result<PieceEdge, String> {
    if to_mm > edge.length_mm + 1e-6 {
        return Err(format!("ends at {to_mm:.1} mm; \"{}\" is {:.1} mm long", edge.name, edge.length_mm));
    }
    let mut points = vec![at(edge, from_mm / edge.length_mm)];
    points.extend(stations(edge).into_iter().filter(|(s, _)| *s > from_mm && *s < to_mm).map(|(_, point)| Some(point)));
    points.push(at(edge, to_mm / edge.length_mm));
    let points: Vec<EdgePoint> = points.into_iter().flatten().collect();
    Ok(PieceEdge::new(edge.name.clone(), points, false).with_length(to_mm - from_mm))
}

/// Points of an edge with the length up to each, mm, scaled to the length of the edge.
fn stations(edge: &PieceEdge) -> Vec<(f64, EdgePoint)> {
    let mut along = 0.0;
    let mut last: Option<EdgePoint> = None;
    let mut out = Vec::with_capacity(edge.points.len() + 1);
    for point in edge.points.iter().chain(edge.points.first().filter(|_| edge.closed)) {
        along += last.map_or(0.0, |last| last.at_mm.distance(point.at_mm));
        out.push((along, *point));
        last = Some(*point);
    }
    let scale = if along > 0.0 { edge.length_mm / along } else { 1.0 };
    out.iter_mut().for_each(|(s, _)| *s *= scale);
    out
}

/// The point at a fraction of an edge's length; directions between two points are mixed.
pub(super) fn at(edge: &PieceEdge, fraction: f64) -> Option<EdgePoint> {
    let stations = stations(edge);
    let wanted = fraction.clamp(0.0, 1.0) * edge.length_mm;
    let after = stations.partition_point(|(s, _)| *s < wanted).max(1);
    let ((s0, a), (s1, b)) = (stations.get(after - 1).copied()?, stations.get(after).or(stations.last()).copied()?);
    let f = if s1 > s0 { ((wanted - s0) / (s1 - s0)).clamp(0.0, 1.0) } else { 0.0 };
    let turn = |a: DVec3, b: DVec3| a.lerp(b, f).try_normalize().unwrap_or(a);
    Some(EdgePoint {
        at_mm: a.at_mm.lerp(b.at_mm, f),
        into_sheet: turn(a.into_sheet, b.into_sheet),
        outward: turn(a.outward, b.outward),
    })
}

/// A line or round on a face. `into_sheet` lies in the face, to the left of the line seen from outside; of a round, outward
/// from its middle.
fn on_the_face(
    shape: &ResolvedPiece,
    plan: &PiecePlan,
    place: &ResolvedPlace,
    name: &str,
) -> Result<PieceEdge, String> {
    let face = Face::of(shape, plan)?;
    match place {
        ResolvedPlace::Line { on, ends_mm, turned_rad } => {
            let [from, to] = face.ends_mm(*ends_mm, *turned_rad);
            let steps: u32 = if face.is_straight_along(from, to) { 1 } else { 32 };
            let points: Result<Vec<EdgePoint>, String> = (0..=steps)
                .map(|i| {
                    let place = from.lerp(to, f64::from(i) / f64::from(steps));
                    face.point(*on, place, (to - from).perp())
                })
                .collect();
            Ok(PieceEdge::new(format!("line of {name}"), points?, false))
        }
        ResolvedPlace::Round { .. } if matches!(face, Face::Tube(_)) => Err(
            "is a round on the wall of a tube, which is the foot of another tube: give that tube a section of its own with a \
             saddle at its end, or name a line along the tube"
                .into(),
        ),
        ResolvedPlace::Round { on, at_mm, diameter_mm } => {
            let points: Result<Vec<EdgePoint>, String> = (0..ROUND_STEPS)
                .map(|i| {
                    let out = DVec2::from_angle(std::f64::consts::TAU * f64::from(i) / f64::from(ROUND_STEPS));
                    face.point(*on, *at_mm + out * (0.5 * diameter_mm), out)
                })
                .collect();
            let edge = PieceEdge::new(format!("round of {name}"), points?, true);
            let length_mm = std::f64::consts::PI * diameter_mm;
            Ok(if face.is_flat() { edge.with_length(length_mm) } else { edge })
        }
        ResolvedPlace::Edge { .. } => Err("is an edge".into()),
    }
}

/// Places on the face of a piece.
enum Face<'a> {
    Folded(&'a section::Folded, bool),
    Strip(Box<Swept<'a>>),
    /// Station, and arc along the outside from the zero line.
    Tube(&'a section::Tube),
    /// Seen square to its datum.
    Skin {
        shape: &'a crate::resolve::SkinShape,
        surface: Box<Nearest>,
        reach_mm: f64,
    },
}

impl<'a> Face<'a> {
    fn of(piece: &'a ResolvedPiece, plan: &PiecePlan) -> Result<Self, String> {
        match &piece.shape {
            ResolvedShape::Folded(folded) => Ok(Self::Folded(folded, edges::face_up_carries_sizes(folded)?)),
            ResolvedShape::Strip(strip) => {
                Swept::new(strip).map(|swept| Self::Strip(Box::new(swept))).map_err(|error| error.to_string())
            }
            ResolvedShape::Skin(shape) => {
                let triangles = plan.shape.triangles.iter().map(|corners| corners.map(|id| id.0)).collect();
                let skin = Skin { points_mm: plan.shape.points_mm.clone(), triangles };
                let surface = Box::new(Nearest::new(&skin).map_err(|error| error.to_string())?);
                Ok(Self::Skin { shape, surface, reach_mm: 4.0 * skin.size_mm() })
            }
            ResolvedShape::Tube(shape) => Ok(Self::Tube(&shape.tube)),
            ResolvedShape::Ruled(_) | ResolvedShape::Ring(_) => Err(
                "is a place on a bent piece or a ring; name one of its edges, or put it on a flat of the other piece"
                    .into(),
            ),
        }
    }

    fn is_flat(&self) -> bool {
        matches!(self, Self::Folded(..))
    }

    /// Is the line between two places straight in space?
    fn is_straight_along(&self, from: DVec2, to: DVec2) -> bool {
        self.is_flat() || (matches!(self, Self::Tube(_)) && (to.y - from.y).abs() < 1e-9)
    }

    /// Places of a line; of a tube an angle is turned into the arc along the outside.
    fn ends_mm(&self, ends_mm: [DVec2; 2], turned_rad: [Option<f64>; 2]) -> [DVec2; 2] {
        let Self::Tube(tube) = self else { return ends_mm };
        let radius_mm = tube.radius_mm(Wall::Outside);
        let [a, b] = ends_mm;
        let [a_rad, b_rad] = turned_rad;
        [(a, a_rad), (b, b_rad)]
            .map(|(end, turned)| DVec2::new(end.x, turned.map_or(end.y, |turned| turned * radius_mm)))
    }

    /// The point at a place, with `across` of its plane as the way into the sheet.
    fn point(&self, on: On, place: DVec2, across: DVec2) -> Result<EdgePoint, String> {
        let off = || format!("lies off {:.1}, {:.1} mm of the piece; keep the line on its metal", place.x, place.y);
        let made = |at_mm: DVec3, along: DVec3, away: DVec3, outward: DVec3| EdgePoint {
            at_mm,
            into_sheet: (along * across.x + away * across.y).normalize_or_zero(),
            outward,
        };
        match self {
            Self::Folded(folded, face_up) => {
                let point = folded.point_on(on, place.x, place.y).map_err(|error| error.to_string())?;
                let (at_mm, outward) =
                    if *face_up { (point.face_up_mm, point.axis) } else { (point.underside_mm, -point.axis) };
                Ok(made(at_mm, point.along, point.away, outward))
            }
            Self::Strip(swept) => {
                let frame = swept.frame_jet(place.x, Lean::After);
                let profile = swept.profile(place.x, Lean::After);
                let chain = swept.on_chain(&profile, on, place.x, place.y).ok_or_else(off)?;
                let node = profile.inside_link(chain.link, chain.fraction).ok_or_else(off)?;
                let flip = |v: DVec3| if swept.strip().mirrored { DVec3::new(v.x, -v.y, v.z) } else { v };
                Ok(made(
                    flip(swept.point(&frame, &node, 0.0).value),
                    flip(frame.t.value),
                    flip(frame.direction(node.direction()).value),
                    flip(frame.direction(node.normal).value.normalize_or_zero()),
                ))
            }
            Self::Tube(tube) => {
                let angle_rad = place.y / tube.radius_mm(Wall::Outside);
                let point = tube.wall_point(place.x, angle_rad).map_err(|error| error.to_string())?;
                Ok(made(point.at_mm, point.along, point.round, point.outward))
            }
            Self::Skin { shape, surface, reach_mm } => {
                let flip = |v: DVec3| if shape.mirrored { DVec3::new(v.x, -v.y, v.z) } else { v };
                let [x, y, z] = [DVec3::X, DVec3::Y, DVec3::Z].map(|axis| flip(shape.to_vehicle * axis));
                let over = flip(shape.to_vehicle * DVec3::new(place.x, place.y, 0.0)) + z * (0.5 * reach_mm);
                let hit = surface.ray(over, -z, *reach_mm).map_err(|error| error.to_string())?.ok_or_else(off)?;
                // the tangent plane from two neighbours of the place
                let beside = |step: DVec3| {
                    let beside = surface.ray(over + step, -z, *reach_mm).ok().flatten();
                    beside.map(|beside| (beside.at_mm - hit.at_mm).normalize_or_zero())
                };
                let (along, away) = (beside(x).unwrap_or(x), beside(y).unwrap_or(y));
                let outward = along.cross(away).normalize_or_zero();
                let outward = if outward.dot(z) < 0.0 { -outward } else { outward };
                Ok(made(hit.at_mm, along, away, outward))
            }
        }
    }
}
