//! Boxes that a seam shuts: what must be done inside before, and where the air goes.
//!
//! A set of pieces is a box when every named edge of each is joined to another of them: pieces with a free edge are taken out one after
//! another, and what is left is shut. Edges that go in with the section's joint shut it when it is fitted, not in the shop.

use super::Assembly;
use crate::file::JoinedEdge;
use crate::plan::PiecePlan;
use handbook::{Concern, Grade};
use std::collections::BTreeSet;

/// What is joined when a set of pieces is looked at.
struct Joints<'a> {
    assembly: &'a Assembly,
    /// Seams up to this sub-assembly.
    up_to: usize,
    /// Edges that the fitter has joined.
    along: &'a [JoinedEdge],
}

/// Finds the sub-assembly that shuts a box, or the fitting that does, and says what follows from it.
pub(super) fn find(assembly: &mut Assembly, pieces: &[PiecePlan], along: &[JoinedEdge], title: &str) -> Vec<Concern> {
    let last = assembly.steps.len();
    let shut = |up_to: usize, along: &[JoinedEdge]| Joints { assembly, up_to, along }.shut(pieces);
    let at = assembly.steps.iter().map(|step| step.number).find(|number| !shut(*number, &[]).is_empty());
    let inside = match at {
        Some(number) => shut(number, &[]),
        None => shut(last, along),
    };
    if inside.is_empty() {
        return Vec::new();
    }
    let in_box = |piece: &&PiecePlan| inside.contains(piece.name.as_str());
    let names: Vec<String> = pieces.iter().filter(in_box).map(|piece| piece.name.clone()).collect();
    let has_opening = pieces.iter().filter(in_box).any(|piece| !piece.blank.openings.is_empty());
    drop(inside);
    for step in assembly.steps.iter_mut().filter(|step| Some(step.number) == at) {
        step.shuts = true;
    }
    (assembly.shuts_at, assembly.shut_by_fitter) = (at, at.is_none());
    assembly.box_of.clone_from(&names);
    let mut concerns = vec![shut_concern(at, &names, title)];
    concerns.extend(at.into_iter().flat_map(|number| shut_in(assembly, number, title)));
    if !has_opening {
        concerns.push(no_vent(&names, title));
    }
    concerns
}

/// Seams made from inside once the box is shut.
fn shut_in(assembly: &Assembly, number: usize, title: &str) -> Vec<Concern> {
    let in_box = |name: &String| assembly.box_of.contains(name);
    let too_late =
        assembly.seams.iter().filter(|seam| seam.from_inside && seam.step >= number && seam.pieces.iter().all(in_box));
    too_late
        .map(|seam| {
            let name = &seam.name;
            let what_to_do = if number == 1 {
                "give the seams made from inside an earlier step than the one that shuts the box".to_owned()
            } else {
                format!("give it a step before {number}, or make it from outside")
            };
            crate::resolve::note(
                "seam-shut-in",
                Grade::Stop,
                title,
                [
                    format!("the seam {name} is made from inside, and sub-assembly {number} shuts the box"),
                    "nobody can reach it once the box is shut".into(),
                    what_to_do,
                ],
            )
        })
        .collect()
}

fn shut_concern(at: Option<usize>, names: &[String], title: &str) -> Concern {
    let when =
        at.map_or_else(|| "when the section is welded in".to_owned(), |number| format!("in sub-assembly {number}"));
    crate::resolve::note(
        "box-shut",
        Grade::Caution,
        title,
        [
            format!("{} are shut into a box {when}", names.join(", ")),
            "its inside can never be cleaned, primed or seen again, and what was wet in it stays wet (C21)".into(),
            "prime and seal inside before that, let it dry fully, wax through a hole after painting".into(),
        ],
    )
}

fn no_vent(names: &[String], title: &str) -> Concern {
    crate::resolve::note(
        "box-without-vent",
        Grade::Stop,
        title,
        [
            format!("the box of {} has no opening at all", names.join(", ")),
            "heat drives air and vapour out of a shut box with force, and water that gets in stays (C21)".into(),
            "give one of its pieces a vent and drain hole at its lowest place, before it is welded shut".into(),
        ],
    )
}

impl Joints<'_> {
    /// Pieces that are shut into a box.
    fn shut<'p>(&self, pieces: &'p [PiecePlan]) -> BTreeSet<&'p str> {
        let mut left: BTreeSet<&str> = pieces.iter().map(|piece| piece.name.as_str()).collect();
        loop {
            let free = |piece: &&PiecePlan| {
                left.contains(piece.name.as_str())
                    && (piece.edges.is_empty() || piece.edges.iter().any(|edge| !self.joins(piece, &edge.name, &left)))
            };
            match pieces.iter().find(free) {
                Some(piece) => left.remove(piece.name.as_str()),
                None => return left,
            };
        }
    }

    fn joins(&self, piece: &PiecePlan, edge: &str, among: &BTreeSet<&str>) -> bool {
        let fitted = self.along.iter().any(|own| own.piece == piece.name && own.edge == edge);
        fitted
            || self.assembly.seams.iter().filter(|seam| seam.step <= self.up_to).any(|seam| {
                let [first, second] = &seam.pieces;
                let [own, other] = &seam.edges;
                among.contains(first.as_str())
                    && among.contains(second.as_str())
                    && ((*first == piece.name && own == edge) || (*second == piece.name && other == edge))
            })
    }
}
