//! Which form of joint a section has, and along which edges.

use crate::file::{Fixing, JointKind, RingEdge, Section, TubeForm};
use crate::plan::edges::folded_edge_name;
use crate::plan::make::Made;
use crate::plan::{PieceEdge, PiecePlan};
use crate::resolve::{ResolvedPiece, ResolvedShape, is_seamed};
use handbook::joints::JointForm;
use weld::advice::Place;

/// Where the joint runs, as the advice sees it.
pub(super) fn place(made: &Made) -> Place {
    let pieces = &made.resolved.pieces;
    if made.resolved.cut.as_ref().is_some_and(|cut| cut.on_the_bend) {
        return Place::RenewedFlange;
    }
    let first = pieces.first().map(|piece| &piece.shape);
    match first {
        Some(ResolvedShape::Tube(tube)) if tube.form == TubeForm::Replacement => Place::TubeEnd,
        Some(ResolvedShape::Tube(_)) => Place::TubeWall,
        Some(ResolvedShape::Ring(_) | ResolvedShape::Ruled(_)) => Place::RoundEdge,
        _ => Place::Panel,
    }
}

/// Flanges to bolt: the section is bolted, or its pieces mate.
pub(super) fn flanged(section: &Section, made: &Made) -> bool {
    section.joint.kind == JointKind::Bolted || made.resolved.pieces.iter().any(|piece| piece.mate.is_some())
}

/// The form that the job chooses; `None` while the section has no piece.
pub(in crate::plan) fn of(section: &Section, made: &Made) -> Option<JointForm> {
    if made.resolved.pieces.is_empty() {
        return None;
    }
    let place = place(made);
    Some(match (section.joint.kind, section.joint.fixing, place) {
        (JointKind::Butt, ..) => JointForm::Butt,
        (JointKind::Bolted, ..) | (JointKind::SteppedLap | JointKind::PlainLap, Fixing::Bolt, _) => {
            JointForm::BoltedFlange
        }
        (JointKind::BondedLap, _, Place::RenewedFlange) | (_, Fixing::Bond, Place::RenewedFlange) => {
            JointForm::BondedFlange
        }
        (JointKind::BondedLap, ..) | (_, Fixing::Bond, _) => JointForm::BondedLap,
        (JointKind::SteppedLap, Fixing::Plug, _) => JointForm::SteppedLapPlug,
        (JointKind::SteppedLap, Fixing::Spot, _) => JointForm::SteppedLapSpot,
        (JointKind::PlainLap, Fixing::Plug, Place::TubeWall) => JointForm::SheetToTube,
        (JointKind::PlainLap, Fixing::Plug, Place::RenewedFlange) => JointForm::FlangeUnderSkin,
        (JointKind::PlainLap, Fixing::Plug, _) => JointForm::DoublerPlug,
        (JointKind::PlainLap, Fixing::Spot, _) => JointForm::DoublerSpot,
    })
}

/// The edges that go in with the section's joint.
pub(in crate::plan) fn edges<'m>(section: &Section, made: &'m Made) -> Vec<(&'m PiecePlan, &'m PieceEdge)> {
    let edge = |piece: &str, name: &str| {
        let plan = made.pieces.iter().find(|plan| plan.name_in_job() == piece || plan.name == piece)?;
        plan.edges.iter().find(|edge| edge.name == name).map(|edge| (plan, edge))
    };
    if !section.joint.along.is_empty() {
        return section.joint.along.iter().filter_map(|own| edge(&own.piece, &own.edge)).collect();
    }
    let pieces = made.resolved.pieces.iter();
    pieces
        .filter(|piece| !is_seamed(&made.resolved.seams, piece.shape.name(), "cut edge"))
        .flat_map(|piece| names(piece, made).into_iter().filter_map(|name| edge(piece.shape.name(), &name)))
        .collect()
}

fn names(piece: &ResolvedPiece, made: &Made) -> Vec<String> {
    match &piece.shape {
        // what is welded on in the shop is not joined on the vehicle
        ResolvedShape::Strip(strip) if strip.makes != section::Makes::Body => Vec::new(),
        ResolvedShape::Strip(_) => vec!["cut edge".into()],
        ResolvedShape::Folded(folded) => {
            let joined = folded.edges.iter().enumerate().filter(|(_, edge)| !edge.make_ups.is_empty());
            joined.map(|(index, _)| folded_name(&folded.name, index, made)).collect()
        }
        ResolvedShape::Skin(skin) => {
            skin.edges.iter().filter(|edge| edge.joins).map(|edge| edge.name.clone()).collect()
        }
        ResolvedShape::Tube(tube) => match tube.form {
            TubeForm::Replacement => {
                let ends = tube.tube.ends.iter().zip(tube.joins).filter(|(_, joins)| *joins);
                ends.map(|(end, _)| end.name.clone()).collect()
            }
            TubeForm::Sleeve | TubeForm::Patch => {
                let plan = made.pieces.iter().find(|plan| plan.name == piece.shape.name());
                plan.iter().flat_map(|plan| &plan.edges).map(|edge| edge.name.clone()).collect()
            }
        },
        ResolvedShape::Ruled(ruled) => {
            let ends = ruled.piece.edges.iter().zip(ruled.joins).filter(|(_, joins)| *joins);
            ends.map(|(end, _)| end.name.clone()).collect()
        }
        ResolvedShape::Ring(ring) => match ring.joins {
            Some(RingEdge::Inner) => vec!["inner edge".into()],
            Some(RingEdge::Outer) => vec!["outer edge".into()],
            None => Vec::new(),
        },
    }
}

fn folded_name(piece: &str, index: usize, made: &Made) -> String {
    let given = made.resolved.edge_names.iter().find(|(own, number, _)| own == piece && *number == index);
    given.map_or_else(|| folded_edge_name(index), |(_, _, name)| name.clone())
}
