//! Development of pieces bent along rulings: cones, frustums, transitions, sheets between two edge curves.
//!
//! Model: the middle of the sheet keeps its lengths. Along the pairing the flat ruling turns by ω = (b − a)/L, a and b being the speeds of
//! its two ends square to it and L its length, and its end on edge A moves as it does in space; both are integrated by a five-point
//! Gauss rule over parts that turn at most 10°. Ruling lengths are therefore exact, edge lengths and area to rounding.
//! The middle of the sheet lies half a thickness from a measured face along the sheet's normal; its rulings are the same, its ends
//! move slower or faster by the distance times the rate of the normal.
//! A sharp fold (corner against corner) takes its allowance by the chosen bend rule, less the setback to the middle of the sheet.
//! Frame of the flat: lowest and leftmost point at 0, edge A below. Seen with e × m up, edge A runs from right to left.
//! Source: geodesic curvature is kept by bending (do Carmo, §4-4, from memory); the trade's radial-line method and triangulation
//! (handbook D17) are its samplings.

mod concerns;
mod dimensions;
mod layout;
mod lines;
mod outline;
mod unroll;

pub use layout::{ChordOffset, RollLine, RollLineKind, RuledEdgeLayout, RuledLayout, Sector};

use crate::{Blank, BlankError, DevelopSettings, FaceUp};
use handbook::{Source, Working};
use section::ruled::Ruled;
use unroll::Unrolled;

/// A developed ruled piece.
#[derive(Debug, Clone, PartialEq)]
pub struct DevelopedRuled {
    /// The flat.
    pub blank: Blank,
    /// What a person needs to set it out by hand and to roll it: lines, chords, radii.
    pub layout: RuledLayout,
}

/// What the parts of a development share.
struct Development<'a> {
    piece: &'a Ruled,
    settings: &'a DevelopSettings,
    flat: Unrolled,
}

/// Develops a ruled piece at the middle of its sheet.
///
/// # Errors
/// [`BlankError::Section`] where rulings cross inside the sheet, [`BlankError::Bend`] where the bend rule refuses a sharp fold,
/// [`BlankError::Overlaps`] where the flat lies over itself.
pub fn develop(piece: &Ruled, settings: &DevelopSettings) -> Result<DevelopedRuled, BlankError> {
    let folds = lines::fold_figures(piece, settings)?;
    let twist = concerns::joined(piece)?;
    let flat = unroll::unroll(piece, &folds, settings.sampling_tolerance_mm)?;
    let development = Development { piece, settings, flat };
    let outline = outline::outline(&development, &folds)?;
    let roll = lines::lines(&development, &folds);
    let layout = layout::layout(&development, roll, &twist);
    let workings = workings(&development, &layout, &folds);
    let (running_x, running_y) = dimensions::running(&development, &layout);
    let blank = Blank {
        piece: piece.name.clone(),
        material: piece.material.clone(),
        thickness_mm: piece.thickness_mm,
        face_up: face_up(piece),
        outline_mm: outline.points_mm,
        openings: Vec::new(),
        folds: lines::flat_folds(&development, &folds),
        marks: outline.marks.into_iter().chain(lines::marks(&layout)).collect(),
        area_mm2: outline.area_mm2,
        stations: Vec::new(),
        lengthwise: Vec::new(),
        crown: None,
        wires: Vec::new(),
        check_dimensions: dimensions::checks(&development, &layout),
        running_x,
        running_y,
        trim_mm: 0.0,
        concerns: concerns::concerns(&development, &layout, &twist),
        workings,
    };
    Ok(DevelopedRuled { blank, layout })
}

fn face_up(piece: &Ruled) -> FaceUp {
    if (piece.outside > 0.0) == piece.mirrored { FaceUp::Inside } else { FaceUp::Outside }
}

fn workings(development: &Development<'_>, layout: &RuledLayout, folds: &[lines::FoldFigures]) -> Vec<Working> {
    let piece = development.piece;
    let whole = development.flat.area_mm2;
    let mut list = vec![
        Working::new("area of the sheet without lap", whole, "mm²", "∫ L·(a + b)/2", Source::geometry("D16")).with(
            "t",
            "thickness",
            piece.thickness_mm,
            "mm",
        ),
    ];
    if let Some(sector) = &layout.sector {
        list.extend(sector.workings.iter().cloned());
    }
    for edge in &layout.edges {
        list.push(
            Working::new(
                format!("length of the {} in the flat", edge.name),
                edge.length_mm,
                "mm",
                "∫ |rate of the edge at the middle of the sheet|",
                Source::geometry("D16"),
            )
            .with("off", "middle of the sheet from the measured face", piece.to_middle_mm().abs(), "mm"),
        );
    }
    list.extend(folds.iter().flat_map(|fold| fold.workings.clone()));
    list
}
