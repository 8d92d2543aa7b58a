//! What the shop is asked to make: the flats of a section with its steps, legs and corners.

use super::PiecePlan;
use super::make::Made;
use super::tube::TubePlan;
use crate::file::Section;
use crate::resolve::{Resolved, ResolvedShape, SkinShape};
use section::{FlangeRelief, MakeUp, Makes};
use shop::{PieceShape, PieceWork, SectionWork, StepWork, TubeWork};

pub(super) fn work<'a>(section: &Section, made: &'a Made) -> SectionWork<'a> {
    let resolved_of = |plan: &'a PiecePlan| {
        let resolved = made.resolved.pieces.iter().find(|piece| piece.shape.name() == plan.name_in_job())?;
        Some((plan, resolved))
    };
    let pieces = made.pieces.iter().filter_map(resolved_of).map(|(plan, resolved)| {
        let (shape, steps, legs, corners) = match &resolved.shape {
            ResolvedShape::Strip(strip) => {
                (PieceShape::Strip, steps(strip), legs(&strip.finished_edge, strip), strip_seams(strip, &plan.blank))
            }
            ResolvedShape::Folded(folded) => {
                (PieceShape::Folded, Vec::new(), folded_legs(folded), welded_corners(folded))
            }
            ResolvedShape::Skin(skin) => (PieceShape::Skin, skin_steps(skin, plan), skin_legs(skin), Vec::new()),
            ResolvedShape::Tube(_) => (PieceShape::Tube, Vec::new(), Vec::new(), Vec::new()),
            ResolvedShape::Ruled(_) => (PieceShape::Ruled, Vec::new(), Vec::new(), Vec::new()),
            ResolvedShape::Ring(_) => (PieceShape::Ring, Vec::new(), Vec::new(), Vec::new()),
        };
        PieceWork {
            blank: &plan.blank,
            shape,
            ruled: plan.ruled.as_ref().map(|ruled| &ruled.layout),
            ring: super::ring::work(plan, &made.pieces),
            forming: plan.skin.as_ref().map(|skin| &skin.forming),
            tube: plan.tube.as_deref().map(tube_work),
            buck_slices: plan.skin.iter().filter_map(|skin| skin.buck.as_ref()).map(|buck| buck.slices.len()).sum(),
            hand: hand(&made.resolved),
            steps,
            welded_corners_mm: corners,
            legs,
            mate: plan.mates_with.clone(),
            templates: plan.cross_sections.len()
                + usize::from(!plan.edge_template_mm.is_empty())
                + plan.skin.as_ref().map_or(0, |skin| skin.templates.len())
                + plan.tube.as_ref().map_or(0, |tube| tube.wraps.len())
                + plan.ruled.as_ref().filter(|ruled| ruled.layout.own_seam).map_or(0, |_| 2),
        }
    });
    SectionWork {
        title: section.title.clone(),
        pieces: pieces.collect(),
        sub_assemblies: super::assembly::work(made),
        quantity: section.quantity,
        kept_pattern: section.from_pattern.is_some(),
        said_on_the_phone: made.resolved.said_on_the_phone,
    }
}

fn tube_work(tube: &TubePlan) -> TubeWork {
    TubeWork {
        outside_diameter_mm: tube.outside_diameter_mm,
        inside_radius_mm: tube.inside_radius_mm,
        girth_deg: tube.girth_deg,
        seam: tube.seam.clone(),
        seam_length_mm: tube.seam_length_mm,
        flattened: tube.flattened.clone(),
    }
}

fn hand(resolved: &Resolved) -> String {
    match resolved.hand {
        Some(crate::file::Hand::Left) => "left hand".into(),
        Some(crate::file::Hand::Right) => "right hand".into(),
        None => String::new(),
    }
}

fn stepped(make_ups: &[MakeUp], length_mm: f64) -> impl Iterator<Item = StepWork> {
    make_ups.iter().filter_map(move |make_up| match make_up {
        MakeUp::Joggle { depth_mm, lap_mm, .. } => Some(StepWork { depth_mm: *depth_mm, lap_mm: *lap_mm, length_mm }),
        _ => None,
    })
}

fn steps(strip: &section::Strip) -> Vec<StepWork> {
    stepped(&strip.cut_edge, strip.to_mm + strip.spare_to_mm - strip.from_mm + strip.spare_from_mm).collect()
}

/// The steps along the edges of a skin. Edges that are rolled with one setting are one step, as long as they are together.
fn skin_steps(skin: &SkinShape, plan: &PiecePlan) -> Vec<StepWork> {
    const SAME_MM: f64 = 1e-6;
    let mut out: Vec<StepWork> = Vec::new();
    let mut left: Vec<_> = skin.edges.iter().collect();
    for edge in &plan.edges {
        // two edges may have one name: each is taken once
        let Some(at) = left.iter().position(|own| own.name == edge.name) else { continue };
        for step in stepped(&left.remove(at).make_ups, edge.length_mm) {
            let alike = |other: &&mut StepWork| {
                (other.depth_mm - step.depth_mm).abs() < SAME_MM && (other.lap_mm - step.lap_mm).abs() < SAME_MM
            };
            match out.iter_mut().find(alike) {
                Some(other) => other.length_mm += step.length_mm,
                None => out.push(step),
            }
        }
    }
    out
}

/// Welds that close a strip in the shop: the seam of a split flange, and the notches of a gathered one.
fn strip_seams(strip: &section::Strip, blank: &blank::Blank) -> Vec<f64> {
    if strip.makes != Makes::Body {
        return Vec::new();
    }
    let length_mm = strip.to_mm + strip.spare_to_mm - strip.from_mm + strip.spare_from_mm;
    let mut out = Vec::new();
    for make_up in strip.finished_edge.iter().chain(&strip.cut_edge) {
        match make_up {
            MakeUp::Flange { relief: FlangeRelief::Split { .. }, .. } => out.push(length_mm),
            MakeUp::Flange { relief: FlangeRelief::Notches, .. } => {
                let figure =
                    |ending: &str| blank.workings.iter().find(|own| own.name.ends_with(ending)).map(|own| own.value);
                if let (Some(count), Some(deep)) = (figure("number of V notches"), figure("depth of the V notches")) {
                    out.extend(std::iter::repeat_n(deep, count.max(0.0) as usize));
                }
            }
            _ => {}
        }
    }
    out
}

fn legs(chain: &[MakeUp], strip: &section::Strip) -> Vec<(String, f64)> {
    let width = |make_up: &MakeUp| match make_up {
        MakeUp::Flange { width_mm, .. } => Some(width_mm.at(strip.from_mm).min(width_mm.at(strip.to_mm))),
        _ => None,
    };
    chain.iter().filter_map(|make_up| Some((make_up.kind_name().to_owned(), width(make_up)?))).collect()
}

fn folded_legs(folded: &section::Folded) -> Vec<(String, f64)> {
    let flanges = folded.edges.iter().enumerate().flat_map(|(edge, chain)| {
        chain.make_ups.iter().filter_map(move |make_up| match make_up {
            MakeUp::Flange { width_mm, .. } => Some((format!("leg of edge {edge}"), width_mm.at(0.0))),
            _ => None,
        })
    });
    flanges.collect()
}

fn skin_legs(skin: &SkinShape) -> Vec<(String, f64)> {
    let flanges = skin.edges.iter().flat_map(|edge| {
        edge.make_ups.iter().filter_map(move |make_up| match make_up {
            MakeUp::Flange { width_mm, .. } => Some((edge.name.clone(), width_mm.at(0.0))),
            _ => None,
        })
    });
    flanges.collect()
}

/// Length of the seam at each welded corner between two folded edges: the narrower of the two first legs.
fn welded_corners(folded: &section::Folded) -> Vec<f64> {
    let count = folded.edges.len();
    let width = |edge: usize| match folded.edges.get(edge)?.make_ups.first()? {
        MakeUp::Flange { width_mm, .. } => Some(width_mm.at(0.0)),
        _ => None,
    };
    folded
        .corners
        .iter()
        .enumerate()
        .filter(|(_, corner)| matches!(corner, section::CornerKind::Welded { .. }))
        .filter_map(|(i, _)| Some(width((i + count.max(1) - 1) % count.max(1))?.min(width(i)?)))
        .collect()
}
