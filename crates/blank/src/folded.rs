//! Development of folded pieces: trays, boxes, brackets.
//!
//! Model: the base keeps its shape between the near tangent lines of its bends; every bend becomes a band as wide as its
//! allowance by the chosen rule; every leg keeps its shape between tangent lines. End cuts run straight in the flat.
//! Relief holes are cut into the outline, so the flat stays one simple polygon (checked).
//! Frame: the base's own x and y, seen from the face up. The other hand is the same outline turned over: the numbers stay,
//! the other face is up and every fold turns the other way as seen on it.

mod concerns;
mod dimensions;
mod folds;
mod openings;
mod outline;
mod wires;

use crate::{Blank, BlankError, DevelopSettings, FaceUp};
use folds::FlatEdge;
use handbook::{Source, Working};
use mesh::polygon::signed_area_mm2;
use section::Side;
use section::folded::{Folded, Layout, layout};

/// What the parts of a development share.
struct Development<'a> {
    folded: &'a Folded,
    settings: &'a DevelopSettings,
    layout: &'a Layout,
    edges: Vec<FlatEdge<'a>>,
}

/// Develops a folded piece.
///
/// # Errors
/// [`BlankError::Section`] for a piece that cannot exist, [`BlankError::Bend`] where the bend rule refuses a fold,
/// [`BlankError::Overlaps`] naming the two parts whose flats lie over each other.
pub fn develop(folded: &Folded, settings: &DevelopSettings) -> Result<Blank, BlankError> {
    let layout = layout(folded)?;
    let edges = folds::flat_edges(folded, &layout, settings)?;
    let development = Development { folded, settings, layout: &layout, edges };
    let outline_mm = outline::outline(&development)?;
    let openings = openings::openings(&development);
    let area = area(&outline_mm, &openings);
    let (running_x, running_y) = dimensions::running(&development, &outline_mm, &openings);
    let mut workings: Vec<Working> =
        development.edges.iter().flat_map(|edge| &edge.bends).flat_map(|bend| bend.workings.clone()).collect();
    workings.push(area.clone());
    Ok(Blank {
        piece: folded.name.clone(),
        material: folded.material.clone(),
        thickness_mm: folded.thickness_mm,
        face_up: face_up(folded),
        folds: folds::flat_folds(&development),
        marks: outline::marks(&development),
        area_mm2: area.value,
        stations: Vec::new(),
        lengthwise: Vec::new(),
        crown: None,
        wires: wires::all(&development),
        check_dimensions: dimensions::checks(&development),
        running_x,
        running_y,
        trim_mm: layout.edges.iter().map(|edge| edge.trim_mm).fold(0.0, f64::max),
        concerns: concerns::concerns(&development),
        workings,
        outline_mm,
        openings,
    })
}

/// The face up of the base belongs to this side; turned over for the reflected piece.
fn face_up(folded: &Folded) -> FaceUp {
    match (folded.face_up_is, folded.mirrored) {
        (Side::Inside, false) | (Side::Outside, true) => FaceUp::Inside,
        (Side::Outside, false) | (Side::Inside, true) => FaceUp::Outside,
    }
}

/// Net area as cut: openings at the size they have in the flat.
fn area(outline: &crate::Loop, openings: &[crate::FlatOpening]) -> Working {
    let whole = signed_area_mm2(outline);
    let cut: f64 = openings
        .iter()
        .map(|opening| match (opening.cut_diameter_mm, &opening.outline_mm) {
            (Some(diameter), _) => std::f64::consts::FRAC_PI_4 * diameter * diameter,
            (None, Some(outline)) => signed_area_mm2(outline).abs(),
            (None, None) => 0.0,
        })
        .sum();
    Working::new("net area of the flat", whole - cut, "mm²", "A − Σ holes", Source::geometry(""))
        .with("A", "area of the outline", whole, "mm²")
        .with("Σ holes", "area of the openings as cut in the flat", cut, "mm²")
}

#[cfg(test)]
mod tests;
