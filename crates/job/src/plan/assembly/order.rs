//! Which seams are made together, and what is brought together for them.

use super::{Assembly, AssemblyStep};
use crate::file::{Fixing, SeamJoint};
use crate::plan::PiecePlan;
use crate::resolve::ResolvedSeam;
use std::collections::BTreeSet;

/// The steps without their words, and the number of the step of each seam (in the order of the seams).
///
/// A seam without a number goes with the one before it unless it brings a piece that is not there yet.
pub(super) fn steps(seams: &[ResolvedSeam], pieces: &[PiecePlan]) -> (Vec<AssemblyStep>, Vec<usize>) {
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    let mut asked: Vec<u32> = Vec::new();
    let mut last = 0;
    for seam in seams {
        let brings_new = [&seam.piece, &seam.to_piece].into_iter().any(|name| !seen.contains(name.as_str()));
        seen.extend([seam.piece.as_str(), seam.to_piece.as_str()]);
        last = seam.step.unwrap_or(if brings_new || last == 0 { last + 1 } else { last });
        asked.push(last);
    }
    let numbers: BTreeSet<u32> = asked.iter().copied().collect();
    let number_of = |own: u32| numbers.iter().position(|number| *number == own).map_or(1, |at| at + 1);
    let step_of: Vec<usize> = asked.into_iter().map(number_of).collect();
    let mut groups: Vec<Vec<String>> = pieces.iter().map(|piece| vec![piece.name.clone()]).collect();
    let mut steps = Vec::new();
    for number in 1..=numbers.len() {
        let own = seams.iter().zip(&step_of).filter(|(_, step)| **step == number).map(|(seam, _)| seam);
        let pairs: Vec<[&str; 2]> = own.map(|seam| [seam.piece.as_str(), seam.to_piece.as_str()]).collect();
        let touched =
            |group: &Vec<String>| group.iter().any(|name| pairs.iter().any(|pair| pair.contains(&name.as_str())));
        let brought: Vec<Vec<String>> = groups.iter().filter(|group| touched(group)).cloned().collect();
        for [a, b] in &pairs {
            merge(&mut groups, a, b);
        }
        steps.push(AssemblyStep { number, groups: brought, seams: Vec::new(), text: Vec::new(), shuts: false });
    }
    (steps, step_of)
}

fn merge(groups: &mut Vec<Vec<String>>, a: &str, b: &str) {
    let place = |groups: &Vec<Vec<String>>, name: &str| groups.iter().position(|group| group.iter().any(|n| n == name));
    let (Some(first), Some(second)) = (place(groups, a), place(groups, b)) else { return };
    if first == second {
        return;
    }
    let (low, high) = (first.min(second), first.max(second));
    let moved = groups.remove(high);
    if let Some(group) = groups.get_mut(low) {
        group.extend(moved);
    }
}

/// Writes what to do at every step.
pub(super) fn write(assembly: &mut Assembly) {
    let seams = &assembly.seams;
    for step in &mut assembly.steps {
        let own: Vec<_> = seams.iter().filter(|seam| seam.step == step.number).collect();
        step.seams = own.iter().map(|seam| seam.letter.clone()).collect();
        let names: Vec<String> = step.groups.iter().map(|group| group.join(" + ")).collect();
        let mut text = Vec::new();
        if step.shuts {
            text.push(
                "Before anything is tacked: prime and seal inside, weldable primer on the faces that meet; it can never be reached again"
                    .to_owned(),
            );
        }
        text.push(match names.as_slice() {
            [only] => format!("{only}: bring the edges of the next seams together"),
            _ => format!("Fit up {}", names.join(" with ")),
        });
        for seam in &own {
            let inside = if seam.from_inside { "; from inside" } else { "" };
            let [edge, to] = &seam.edges;
            let [piece, other] = &seam.pieces;
            text.push(format!(
                "Seam {}, {:.1} mm: {edge} of {piece} on {to} of {other}; {}{inside}",
                seam.letter, seam.lengths_mm[0], seam.words
            ));
        }
        let fused = own.iter().any(|seam| matches!(seam.joint, SeamJoint::Butt | SeamJoint::EdgeToFace));
        let held = own.iter().any(|seam| seam.joint.is_lap() || seam.joint == SeamJoint::Flange);
        if fused {
            text.push(
                "Tack from the middle outwards, square and diagonals checked, then short runs far from one another; dress outside"
                    .to_owned(),
            );
        }
        if held && own.iter().any(|seam| matches!(seam.fixing, Fixing::Plug | Fixing::Spot)) {
            text.push("Clamp tight at every plug or spot; the next one far from the last".to_owned());
        }
        step.text = text;
    }
}
