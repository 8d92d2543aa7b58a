//! The pieces of a section as one: where each stands, what its seams measure, in which order they are joined.
//!
//! Strips and skins lie in vehicle axes and stand where they were surveyed. A piece with only its own axes stands where the
//! file places it, else where its first seam puts it; when no piece has vehicle axes the first piece is the ground for the rest.
//! Two lengths of one seam must agree within the shop's allowance and the reach of both pieces; where both pieces stand already, their
//! edges must lie on one another within the same.

mod edge;
mod meet;
mod order;
mod pose;
mod shut;

pub use pose::Pose;

use super::{Fault, PiecePlan};
use crate::file::{Fixing, JoinedEdge, SeamJoint, Section};
use crate::resolve::Resolved;
use glam::DVec3;
use handbook::{Concern, Working};
use serde::{Deserialize, Serialize};
use shop::{SeamHeld, SeamWork, ShopSettings, SubAssembly};

/// Pieces joined by seams.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Assembly {
    /// One per piece of the section, in the same order.
    pub pieces: Vec<PlacedPiece>,
    /// Seams in the order in which they are made.
    pub seams: Vec<SeamPlan>,
    /// Sub-assemblies in the order of working.
    pub steps: Vec<AssemblyStep>,
    /// Number of the sub-assembly that shuts a box, where one does.
    pub shuts_at: Option<usize>,
    /// A box is shut when the section goes in.
    #[serde(default)]
    pub shut_by_fitter: bool,
    /// Pieces of that box.
    pub box_of: Vec<String>,
    /// Edges that go in with the section's joint, in the section's axes, mm.
    #[serde(default)]
    pub joined_mm: Vec<Vec<DVec3>>,
}

/// A piece with its number and where it stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PlacedPiece {
    /// Number from 1, as on the assembly drawing.
    pub number: usize,
    /// Name.
    pub piece: String,
    /// From the piece's own axes to those of the section.
    pub pose: Pose,
    /// How that was found, in words.
    pub how: String,
}

/// One seam worked out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SeamPlan {
    /// Letter by which drawing and table call it: "A", "B" …
    pub letter: String,
    /// Name.
    pub name: String,
    /// Piece that is put on, and the one that it is put on.
    pub pieces: [String; 2],
    /// Their edges.
    pub edges: [String; 2],
    /// How they are joined.
    pub joint: SeamJoint,
    /// How a lap is held.
    pub fixing: Fixing,
    /// In one line: "lap 12.0 mm under, 4 plugs in 6.0 mm holes".
    pub words: String,
    /// Length of both edges, mm.
    pub lengths_mm: [f64; 2],
    /// Difference that is accepted, mm.
    pub accepted_mm: f64,
    /// Furthest that one edge lies off the other as they stand, mm.
    pub off_mm: f64,
    /// Lap, 0 without one.
    pub lap_mm: f64,
    /// Plugs, spots or bolts; tacks of a fusion weld.
    pub count: usize,
    /// Plug or bolt hole.
    pub hole_mm: Option<f64>,
    /// Number of the sub-assembly.
    pub step: usize,
    /// Made from inside.
    pub from_inside: bool,
    /// Along the seam in the section's axes, mm.
    pub points_mm: Vec<DVec3>,
    /// Joins up with itself.
    pub closed: bool,
    /// How the figures were found.
    pub workings: Vec<Working>,
}

/// One sub-assembly.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AssemblyStep {
    /// Number from 1.
    pub number: usize,
    /// What is brought together: each a piece or what was joined before.
    pub groups: Vec<Vec<String>>,
    /// Letters of its seams.
    pub seams: Vec<String>,
    /// What to do, in order.
    pub text: Vec<String>,
    /// A box is shut here.
    pub shuts: bool,
}

/// What assembling found.
#[derive(Default)]
pub(super) struct Found {
    pub(super) assembly: Option<Assembly>,
    pub(super) concerns: Vec<Concern>,
    pub(super) faults: Vec<Fault>,
}

/// Assembles the pieces of a section; nothing without seams.
pub(super) fn of(resolved: &Resolved, pieces: &[PiecePlan], section: &Section, shop: &ShopSettings) -> Found {
    let (title, along) = (section.title.as_str(), section.joint.along.as_slice());
    let mut found = Found::default();
    // let-in plates, which come last, belong to the fitter
    let count = pieces.len().saturating_sub(resolved.plates.len());
    let pieces = pieces.get(..count).unwrap_or_default();
    if resolved.seams.is_empty() || pieces.is_empty() {
        return found;
    }
    // a ring that is built up is the one ring it has become before another piece is joined to it
    let fitted: Vec<PiecePlan>;
    let pieces = if pieces.iter().any(|piece| !piece.part_of.is_empty()) {
        fitted = super::fitted(pieces).into_iter().map(std::borrow::Cow::into_owned).collect();
        fitted.as_slice()
    } else {
        pieces
    };
    let joined = match edge::all(resolved, pieces) {
        Ok(joined) => joined,
        Err(faults) => {
            found.faults = faults;
            return found;
        }
    };
    let placed = match pose::all(resolved, pieces, &joined) {
        Ok(placed) => placed,
        Err(faults) => {
            found.faults = faults;
            return found;
        }
    };
    let (steps, step_of) = order::steps(&resolved.seams, pieces);
    let mut seams = Vec::new();
    for (joined, step) in joined.iter().zip(step_of) {
        match meet::seam(joined, &placed, step, title, shop, &mut found.concerns) {
            Ok(seam) => seams.push(seam),
            Err(message) => found.faults.push(Fault { field: joined.seam.field.clone(), message }),
        }
    }
    seams.sort_by_key(|seam| seam.step);
    for (i, seam) in seams.iter_mut().enumerate() {
        seam.letter = letter(i);
    }
    let joined_mm = joined_mm(along, pieces, &placed);
    let mut assembly =
        Assembly { pieces: placed, seams, steps, shuts_at: None, shut_by_fitter: false, box_of: Vec::new(), joined_mm };
    found.concerns.extend(shut::find(&mut assembly, pieces, along, title));
    order::write(&mut assembly);
    found.assembly = Some(assembly);
    found
}

/// Where the edges lie that go in with the section's joint.
fn joined_mm(along: &[JoinedEdge], pieces: &[PiecePlan], placed: &[PlacedPiece]) -> Vec<Vec<DVec3>> {
    let line = |own: &JoinedEdge| {
        let (piece, placed) = pieces.iter().zip(placed).find(|(piece, _)| piece.name == own.piece)?;
        let edge = piece.edges.iter().find(|edge| edge.name == own.edge)?;
        let round = edge.points.first().filter(|_| edge.closed);
        Some(edge.points.iter().chain(round).map(|point| placed.pose.point(point.at_mm)).collect())
    };
    along.iter().filter_map(line).collect()
}

/// What the shop does to join them.
pub(super) fn work(made: &super::Made) -> Vec<SubAssembly> {
    let Some(assembly) = &made.assembly else { return Vec::new() };
    let in_box = |piece: &&PiecePlan| assembly.box_of.iter().any(|name| name == piece.name_in_job());
    let inside_m2: f64 = made.pieces.iter().filter(in_box).map(|piece| piece.blank.area_mm2 / 1e6).sum();
    let step = |step: &AssemblyStep| SubAssembly {
        number: step.number,
        what: step.groups.iter().map(|group| group.join(" + ")).collect::<Vec<_>>().join(" with "),
        seams: assembly.seams.iter().filter(|seam| seam.step == step.number).map(seam_work).collect(),
        shuts: step.shuts,
        inside_m2: if step.shuts { inside_m2 } else { 0.0 },
    };
    assembly.steps.iter().map(step).collect()
}

fn seam_work(seam: &SeamPlan) -> SeamWork {
    let held = match (seam.joint, seam.fixing) {
        (SeamJoint::Butt | SeamJoint::EdgeToFace, _) => SeamHeld::Welded { tacks: seam.count },
        (_, Fixing::Plug) => SeamHeld::Plugs { count: seam.count },
        (_, Fixing::Spot) => SeamHeld::Spots { count: seam.count },
        (_, Fixing::Bolt) => SeamHeld::Bolted,
        (_, Fixing::Bond) => SeamHeld::Bonded,
    };
    SeamWork { letter: seam.letter.clone(), words: seam.words.clone(), length_mm: seam.lengths_mm[0], held }
}

/// "A" to "Z", then "AA" and on.
fn letter(index: usize) -> String {
    let of = |i: usize| char::from(b'A' + u8::try_from(i % 26).unwrap_or(0));
    match (index / 26).checked_sub(1) {
        None => of(index).to_string(),
        Some(first) => format!("{}{}", of(first), of(index)),
    }
}
