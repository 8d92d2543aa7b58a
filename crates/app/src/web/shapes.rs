//! Shapes for the view in space: the finished surface, or the flat, as compact JSON.

use super::card::Now;
use super::{App, WebError};
use crate::failure::Failure;
use axum::Json;
use axum::extract::{Path, Query, State};
use job::plan::PiecePlan;
use serde::{Deserialize, Serialize};
use std::sync::Arc;
use store::JobId;

/// A shape for the view in space. Lists of points are flat: x, y, z, x, y, z …
#[derive(Debug, Clone, Serialize)]
pub struct ShapeAnswer {
    /// What it is.
    pub name: String,
    /// Points, mm.
    pub points_mm: Vec<f64>,
    /// Three points each, by number.
    pub triangles: Vec<u32>,
    /// One per triangle: 0 outside, 1 inside, 2 cut edge.
    pub faces: Vec<u8>,
    /// Lines to draw.
    pub lines: Vec<ShapeLine>,
    /// The flat instead of a surface: its outline, x, y, x, y …; empty for a finished piece.
    pub outline_mm: Vec<f64>,
    /// Openings of the flat, each as its outline.
    pub openings_mm: Vec<Vec<f64>>,
}

/// A line of a shape.
#[derive(Debug, Clone, Serialize)]
pub struct ShapeLine {
    /// What it is.
    pub name: String,
    /// Points, mm.
    pub points_mm: Vec<f64>,
}

/// Which piece, and whether its flat.
#[derive(Debug, Deserialize)]
pub struct Which {
    piece: String,
    #[serde(default)]
    flat: u8,
}

/// One piece of a section.
pub async fn piece(
    State(app): State<Arc<App>>,
    Path((id, section)): Path<(i64, String)>,
    Query(which): Query<Which>,
) -> Result<Json<ShapeAnswer>, WebError> {
    let shape = app.work(move |app| {
        let now = Now::read(app, JobId(id))?;
        let plan = now.plan.sections.iter().find(|plan| plan.id == section);
        let piece = plan.and_then(|plan| plan.pieces.iter().find(|piece| part_name(&piece.name) == which.piece));
        let missing = || Failure::not_found(format!("piece {:?} of {section:?} is not worked out", which.piece));
        let piece = piece.ok_or_else(missing)?;
        Ok(if which.flat == 1 { flat(piece) } else { finished(piece) })
    });
    Ok(Json(shape.await?))
}

/// A name as part of an address: letters, digits and hyphens.
pub fn part_name(name: &str) -> String {
    name.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' }).collect()
}

/// A hundredth of a millimetre is finer than any screen shows.
fn rounded(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

fn finished(piece: &PiecePlan) -> ShapeAnswer {
    let shape = &piece.shape;
    let face = |tag: &u16| match shape.tags.get(usize::from(*tag)).map(|tag| tag.face) {
        Some(mesh::SheetFace::Outside) => 0,
        Some(mesh::SheetFace::Inside) => 1,
        _ => 2,
    };
    let flat = |points: &[glam::DVec3]| points.iter().flat_map(|p| p.to_array().map(rounded)).collect::<Vec<f64>>();
    let line = |line: &mesh::FeatureLine| {
        let mut points = line.points_mm.clone();
        if line.closed {
            points.extend(line.points_mm.first());
        }
        ShapeLine { name: line.name.clone(), points_mm: flat(&points) }
    };
    ShapeAnswer {
        name: piece.name.clone(),
        points_mm: flat(&shape.points_mm),
        triangles: shape.triangles.iter().flatten().map(|point| point.0).collect(),
        faces: shape.tag_of.iter().map(face).collect(),
        lines: shape.lines.iter().map(line).collect(),
        outline_mm: Vec::new(),
        openings_mm: Vec::new(),
    }
}

fn flat(piece: &PiecePlan) -> ShapeAnswer {
    let blank = &piece.blank;
    let plane =
        |points: &[glam::DVec2]| points.iter().flat_map(|p| [rounded(p.x), rounded(p.y), 0.0]).collect::<Vec<f64>>();
    let pairs = |points: &[glam::DVec2]| points.iter().flat_map(|p| p.to_array().map(rounded)).collect::<Vec<f64>>();
    let folds = blank.folds.iter().map(|fold| ShapeLine { name: fold.name.clone(), points_mm: plane(&fold.centre_mm) });
    let marks = blank.marks.iter().map(|mark| ShapeLine { name: mark.label.clone(), points_mm: plane(&mark.line_mm) });
    ShapeAnswer {
        name: format!("flat of {}", piece.name),
        points_mm: Vec::new(),
        triangles: Vec::new(),
        faces: Vec::new(),
        lines: folds.chain(marks).collect(),
        outline_mm: pairs(&blank.outline_mm),
        openings_mm: blank.openings.iter().filter_map(opening_outline).map(|outline| pairs(&outline)).collect(),
    }
}

/// The outline of an opening as it is cut in the flat; nothing when it is drilled later.
fn opening_outline(opening: &blank::FlatOpening) -> Option<Vec<glam::DVec2>> {
    if let Some(outline) = &opening.outline_mm {
        return Some(outline.clone());
    }
    let radius_mm = opening.cut_diameter_mm? / 2.0;
    let corner = |index: u32| {
        opening.centre_mm + glam::DVec2::from_angle(std::f64::consts::TAU * f64::from(index) / 32.0) * radius_mm
    };
    Some((0..32).map(corner).collect())
}
