//! A section where it goes in: the finished piece with the old panel round it, as one skin, for heat and warp.
//!
//! The piece is taken to its cut line: what lies under the old sheet (a lap) and what is rolled up at its edge (a wire, a hem) is left out
//! of the skin; such an edge is held instead. Flanges of a strip are kept as they are; a folded edge of a double-curved skin is held.

use crate::resolve::{ResolvedPiece, ResolvedShape, SkinShape};
use glam::DVec3;
use mesh::{SheetFace, Skin, Surface};
use section::{MakeUp, Strip};
use weld::surround::{EdgePlace, Surround, surround};

use super::joint::form;
use super::make::{Made, SHAPE_TOLERANCE_MM, make};
use super::{PieceEdge, edges};
use crate::file::{Job, Section};
use crate::resolve::Assume;
use shop::ShopSettings;

/// A piece in its panel.
#[derive(Debug, Clone, PartialEq)]
pub struct InPlace {
    /// Name of the piece.
    pub piece: String,
    /// Piece and panel, and the lines at which they join.
    pub around: Surround,
    /// Edges of the piece that a fold, a wire or a hem keeps from leaving their shape, as polylines.
    pub stiff_edges: Vec<Vec<DVec3>>,
    /// Sheet of the piece, mm.
    pub thickness_mm: f64,
    /// Its material, as in the handbook.
    pub material: String,
}

/// Lays a band of the old panel, so wide, round the first piece of a section that is joined to the vehicle.
///
/// # Errors
/// In words: a kind of piece for which this is not worked out (folded pieces, tubes, cones, rings: their folds and closed walls hold
/// them), or an edge round which no band can be laid.
pub fn in_place(
    job: &Job,
    section: &Section,
    shop: &ShopSettings,
    band_mm: f64,
    row_mm: f64,
) -> Result<InPlace, String> {
    let made = make(job, section, shop, Assume::default());
    match made.faults.first() {
        Some(fault) => Err(format!("{}: {}", fault.field, fault.message)),
        None => of_made(section, &made, band_mm, row_mm),
    }
}

/// The same for a section that has been made.
pub(super) fn of_made(section: &Section, made: &Made, band_mm: f64, row_mm: f64) -> Result<InPlace, String> {
    let joined: Vec<&str> = form::edges(section, made).into_iter().map(|(_, edge)| edge.name.as_str()).collect();
    let sheet = made.resolved.pieces.iter().find(|piece| match &piece.shape {
        ResolvedShape::Strip(strip) => strip.makes == section::Makes::Body,
        ResolvedShape::Skin(skin) => skin.edges.iter().any(|edge| edge.joins),
        _ => false,
    });
    let Some(piece) = sheet else {
        return Err(
            "warp is worked out for strips and skins; folds and closed walls hold a tray, a tube or a ring".into()
        );
    };
    match &piece.shape {
        ResolvedShape::Strip(strip) => of_strip(piece, strip, &joined, band_mm, row_mm),
        ResolvedShape::Skin(skin) => of_skin(made, skin, &joined, band_mm, row_mm),
        _ => Err("warp is worked out for strips and skins".into()),
    }
}

fn of_strip(
    piece: &ResolvedPiece,
    strip: &Strip,
    joined: &[&str],
    band_mm: f64,
    row_mm: f64,
) -> Result<InPlace, String> {
    let is_flange = |make_up: &&MakeUp| matches!(make_up, MakeUp::Flange { .. });
    let rolled = strip.finished_edge.iter().any(|own| matches!(own, MakeUp::Wired { .. } | MakeUp::Hem { .. }));
    let bare = Strip {
        finished_edge: strip.finished_edge.iter().take_while(is_flange).cloned().collect(),
        cut_edge: Vec::new(),
        openings: Vec::new(),
        spare_from_mm: 0.0,
        spare_to_mm: 0.0,
        ..strip.clone()
    };
    let surface = section::tessellate(&bare, SHAPE_TOLERANCE_MM).map_err(|error| error.to_string())?;
    let edges = edges::of_strip(&bare, &piece.end_names)?;
    let joined = |edge: &&PieceEdge| joined.contains(&edge.name.as_str());
    let places: Vec<_> = edges.iter().filter(joined).map(places).collect();
    let around =
        surround(&outside(&surface, |part| part == "skin" || part.contains("flange")), &places, band_mm, row_mm)
            .map_err(|error| error.to_string())?;
    let stiff = edges.iter().filter(|edge| rolled && edge.name == "finished edge");
    Ok(InPlace {
        piece: strip.name.clone(),
        around,
        stiff_edges: stiff.map(|edge| edge.points.iter().map(|point| point.at_mm).collect()).collect(),
        thickness_mm: strip.thickness_mm,
        material: strip.material.clone(),
    })
}

fn of_skin(made: &Made, skin: &SkinShape, joined: &[&str], band_mm: f64, row_mm: f64) -> Result<InPlace, String> {
    let plan = made.pieces.iter().find(|plan| plan.name == skin.name).ok_or("the skin was not worked out")?;
    let edge_named = |name: &str| plan.edges.iter().find(|edge| edge.name == name);
    let joined = joined.iter().filter_map(|name| edge_named(name));
    let places: Vec<_> = joined.map(places).collect();
    let around = surround(&outside(&plan.shape, |part| part == "skin"), &places, band_mm, row_mm)
        .map_err(|error| error.to_string())?;
    let turned = |own: &MakeUp| matches!(own, MakeUp::Flange { .. } | MakeUp::Wired { .. } | MakeUp::Hem { .. });
    let stiff =
        skin.edges.iter().filter(|edge| edge.make_ups.iter().any(turned)).filter_map(|edge| edge_named(&edge.name));
    Ok(InPlace {
        piece: skin.name.clone(),
        around,
        stiff_edges: stiff.map(|edge| edge.points.iter().map(|point| point.at_mm).collect()).collect(),
        thickness_mm: skin.thickness_mm,
        material: skin.material.clone(),
    })
}

fn places(edge: &PieceEdge) -> Vec<EdgePlace> {
    edge.points.iter().map(|point| EdgePlace { at_mm: point.at_mm, away: -point.into_sheet }).collect()
}

/// The outside face of some parts of a finished piece.
fn outside(surface: &Surface, wanted: impl Fn(&str) -> bool) -> Skin {
    let wanted: Vec<bool> =
        surface.tags.iter().map(|tag| tag.face == SheetFace::Outside && wanted(&tag.part)).collect();
    let mut number = vec![u32::MAX; surface.points_mm.len()];
    let mut skin = Skin::default();
    for (triangle, tag) in surface.triangles.iter().zip(&surface.tag_of) {
        if !wanted.get(usize::from(*tag)).copied().unwrap_or(false) {
            continue;
        }
        let corners = triangle.map(|point| {
            let own = &mut number[point.0 as usize];
            if *own == u32::MAX {
                *own = skin.points_mm.len() as u32;
                skin.points_mm.push(surface.points_mm[point.0 as usize]);
            }
            *own
        });
        skin.triangles.push(corners);
    }
    skin
}
