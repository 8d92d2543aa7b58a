//! The costly stage of a section: resolve it, develop every piece, give it its shape in space.

use super::{Fault, PieceEdge, PiecePlan, Placing, RuledPlan, assembly, edges, let_in, placing, shapes};
use crate::file::{Job, Section};
use crate::resolve::{Assume, Resolved, ResolvedPiece, ResolvedShape, resolve};
use blank::{Blank, DevelopSettings};
use handbook::shop_rules::WireEnd;
use shop::ShopSettings;

/// Chords of the finished shape stay this near to it.
pub(super) const SHAPE_TOLERANCE_MM: f64 = 0.1;

/// A section with its flats and shapes.
#[derive(Debug, Clone)]
pub struct Made {
    /// Resolved; its pieces stay in the order of `pieces`, found by [`PiecePlan::name_in_job`].
    pub resolved: Resolved,
    /// Pieces worked out.
    pub pieces: Vec<PiecePlan>,
    /// How its pieces are made into one, where seams join them.
    pub assembly: Option<super::Assembly>,
    /// Concerns of joining them.
    pub assembly_concerns: Vec<handbook::Concern>,
    /// Faults of resolving and developing.
    pub faults: Vec<Fault>,
}

/// Makes a section.
#[must_use]
pub fn make(job: &Job, section: &Section, shop: &ShopSettings, assume: Assume) -> Made {
    let resolved = resolve(job, section, shop, assume);
    let mut faults = resolved.faults.clone();
    let mut pieces = Vec::new();
    for piece in &resolved.pieces {
        let made = match &piece.shape {
            ResolvedShape::Ring(ring) => super::ring::make(ring, piece, &resolved, section, shop),
            _ => one(piece, &resolved, shop).map(|mut plan| {
                edges::rename(&mut plan, &resolved.edge_names);
                let_in::mark(&mut plan, &resolved.plates);
                vec![plan]
            }),
        };
        match made {
            Ok(plans) => pieces.extend(plans),
            Err(message) => {
                faults.push(Fault { field: format!("section.{}.piece.{}", section.id, piece.shape.name()), message });
            }
        }
    }
    let mut joined = assembly::Found::default();
    if faults.is_empty() {
        faults.extend(edges::check_along(section, &pieces));
        joined = assembly::of(&resolved, &pieces, section, shop);
        faults.append(&mut joined.faults);
    }
    if !faults.is_empty() {
        pieces.clear();
    }
    Made { resolved, pieces, assembly: joined.assembly, assembly_concerns: joined.concerns, faults }
}

fn one(piece: &ResolvedPiece, resolved: &Resolved, shop: &ShopSettings) -> Result<PiecePlan, String> {
    let settings = develop_settings(piece, shop);
    let words = |error: &dyn std::fmt::Display| error.to_string();
    let mut places = None;
    let mut surface_edges: Option<Vec<PieceEdge>> = None;
    let mut tube_plan = None;
    let mut ruled = None;
    let (blank, shape, reach_mm, skin) = match &piece.shape {
        ResolvedShape::Strip(strip) => {
            let develop = || blank::strip::develop(strip, &settings).map_err(|error| words(&error));
            let (blank, mut shape) =
                both(develop, || section::tessellate(strip, SHAPE_TOLERANCE_MM).map_err(|error| words(&error)))?;
            let reliefs = blank::strip::reliefs_in_space(strip, &settings).map_err(|error| words(&error))?;
            let line = |points_mm| mesh::FeatureLine { name: "relief".into(), points_mm, closed: false };
            shape.lines.extend(reliefs.into_iter().map(line));
            (blank, shape, strip.reach_mm, None)
        }
        ResolvedShape::Folded(folded) => {
            let develop = || blank::folded::develop(folded, &settings).map_err(|error| words(&error));
            let (blank, shape) = both(develop, || {
                section::folded::tessellate(folded, SHAPE_TOLERANCE_MM).map_err(|error| words(&error))
            })?;
            (blank, shape, folded.reach_mm, None)
        }
        ResolvedShape::Skin(skin) => {
            let made = super::skin::make(skin, &settings, &shop.skins)?;
            places = Some(made.places);
            surface_edges = Some(made.edges);
            (made.blank, made.shape, made.reach_mm, Some(Box::new(made.plan)))
        }
        ResolvedShape::Tube(tube) => {
            let alone = resolved.pieces.len() == 1;
            let made = super::tube::make(tube, &resolved.joint, alone, &settings)?;
            places = Some(made.places);
            tube_plan = Some(Box::new(made.plan));
            (made.blank, made.shape, tube.tube.reach_mm, None)
        }
        ResolvedShape::Ruled(own) => {
            let made = blank::ruled::develop(&own.piece, &settings).map_err(|error| words(&error))?;
            let shape = section::ruled::tessellate(&own.piece, SHAPE_TOLERANCE_MM).map_err(|error| words(&error))?;
            ruled = Some(Box::new(RuledPlan { layout: made.layout, joined: own.joins }));
            (made.blank, shape, own.piece.reach_mm, None)
        }
        // a ring may come in several parts: `ring::make`
        ResolvedShape::Ring(ring) => return Err(format!("{} is made as a ring", ring.ring.name)),
    };
    if let Some(held) = &piece.held_line {
        check_held(held, &blank)?;
    }
    let edges = match surface_edges {
        Some(edges) => edges,
        None => edges::of(piece)?,
    };
    let shapes = shapes::of(piece)?;
    let mut placing = placing::of(piece, resolved.hand, &blank, &shapes);
    if let Some([edge_up, front_end]) = places {
        let names_front = matches!(piece.shape, ResolvedShape::Skin(_)) && !front_end.is_empty();
        placing = Placing { edge_up, front_end, names_front, ..placing };
    }
    let kind = match &piece.shape {
        ResolvedShape::Strip(_) => "strip",
        ResolvedShape::Folded(_) => "folded",
        ResolvedShape::Skin(_) => "skin",
        ResolvedShape::Tube(_) => "tube",
        ResolvedShape::Ruled(own) => own.kind,
        ResolvedShape::Ring(_) => "ring",
    };
    Ok(PiecePlan {
        cross_sections: shapes.cross_sections,
        edge_template_mm: shapes.edge_template_mm,
        edges,
        mates_with: piece.mate.clone(),
        skin,
        tube: tube_plan,
        ruled,
        ..PiecePlan::new(kind, placing, reach_mm, shape, blank)
    })
}

/// Flat and shape do not know each other: each has a thread, and the result is the same as one after the other.
fn both(
    develop: impl FnOnce() -> Result<Blank, String>,
    in_space: impl FnOnce() -> Result<mesh::Surface, String> + Send,
) -> Result<(Blank, mesh::Surface), String> {
    let (blank, shape) = std::thread::scope(|threads| {
        let shape = threads.spawn(in_space);
        (develop(), shape.join())
    });
    Ok((blank?, shape.unwrap_or_else(|panic| std::panic::resume_unwind(panic))?))
}

fn check_held(held: &str, blank: &Blank) -> Result<(), String> {
    let names: Vec<&str> =
        blank.stations.iter().flat_map(|station| station.lines.iter().map(|(name, _)| name.as_str())).collect();
    if names.contains(&held) {
        return Ok(());
    }
    let mut known: Vec<&str> = Vec::new();
    for name in names {
        if !known.contains(&name) {
            known.push(name);
        }
    }
    Err(crate::read::unknown("lengthwise line", held, known.into_iter()))
}

/// How a piece is developed in this shop.
pub(super) fn develop_settings(piece: &ResolvedPiece, shop: &ShopSettings) -> DevelopSettings {
    let mut strip = blank::strip::StripSettings::from_rules(&shop.rules);
    strip.gather = shop.skins.gather;
    if let Some(held) = &piece.held_line {
        strip.held = blank::strip::Held::Line(held.clone());
    }
    if let Some(ends) = piece.wire_stands_out_mm {
        strip.wire_ends = ends.map(wire_end);
    }
    if matches!(&piece.shape, ResolvedShape::Skin(skin) if skin.computed_reach_mm.is_some()) {
        strip.trim = blank::strip::Trim::AsGiven;
    }
    DevelopSettings {
        bend_rule: shop.bend,
        pilot_hole_mm: shop.rules.pilot_hole_mm,
        strip,
        ..DevelopSettings::default()
    }
}

fn wire_end(stands_out_mm: f64) -> WireEnd {
    if stands_out_mm > 0.0 {
        WireEnd::StandsOut { length_mm: stands_out_mm }
    } else if stands_out_mm < 0.0 {
        WireEnd::Short { length_mm: -stands_out_mm }
    } else {
        WireEnd::Flush
    }
}
