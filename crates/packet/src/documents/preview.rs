//! Pictures for the page: SVG of the same drawings that stand in the papers.

use job::plan::{PiecePlan, SectionPlan};

use super::desk::Reader;
use crate::drawings;
use crate::error::PacketError;
use crate::svg;

/// White round a picture, mm.
const MARGIN_MM: f64 = 2.0;
/// Size a picture may take, mm.
const SIZE_MM: [f64; 2] = [180.0, 100.0];

/// The finished piece in an isometric view.
///
/// # Errors
/// As [`svg::drawing`].
pub fn finished_piece(section: &SectionPlan, piece: &PiecePlan) -> Result<String, PacketError> {
    svg::drawing(&drawings::isometric(piece, section.hand, SIZE_MM[0], SIZE_MM[1]), MARGIN_MM)
}

/// The pieces of a section as one, together or apart; `None` where no seams join them.
///
/// # Errors
/// As [`svg::drawing`].
pub fn assembly(section: &SectionPlan, shown: drawings::Shown) -> Result<Option<String>, PacketError> {
    let drawing = drawings::assembly(section, shown, SIZE_MM[0], SIZE_MM[1] + 20.0);
    drawing.map(|drawing| svg::drawing(&drawing, MARGIN_MM)).transpose()
}

/// The flat, reduced to fit; of a skin without tables and notes, which stand beside it on the page in letters of their own.
///
/// # Errors
/// As [`svg::drawing`].
pub fn blank(section: &SectionPlan, piece: &PiecePlan) -> Result<String, PacketError> {
    let scale = drawings::flat_scale(piece, SIZE_MM[0], SIZE_MM[1]);
    let drawing = match &piece.skin {
        Some(_) => drawings::flat_picture(piece, scale),
        None => drawings::blank_drawing(piece, section.hand, scale),
    };
    svg::drawing(&drawing, MARGIN_MM)
}

/// One step of the fitting sheet; `None` where the section has no piece to draw.
///
/// # Errors
/// As [`svg::drawing`].
pub fn fitting_step(section: &SectionPlan, step_number: usize, reader: Reader) -> Result<Option<String>, PacketError> {
    let step = section.fitting.iter().find(|step| step.number == step_number);
    let fitted = section.as_fitted();
    let (Some(step), Some(piece)) = (step, fitted.first()) else { return Ok(None) };
    let figures = reader.figures(&step.figures_mm);
    let whole = drawings::as_one(section);
    let piece = whole.as_ref().unwrap_or(piece);
    let drawing = drawings::fitting_picture(section, piece, step, &figures, SIZE_MM[0], SIZE_MM[1]);
    drawing.map(|drawing| svg::drawing(&drawing, MARGIN_MM)).transpose()
}

/// The map of the welds of each piece, with the piece's name.
///
/// # Errors
/// As [`svg::drawing`].
pub fn weld_maps(section: &SectionPlan) -> Result<Vec<(String, String)>, PacketError> {
    let fitted = section.as_fitted();
    let views = fitted.iter().filter_map(|piece| {
        let view = drawings::weld_map_view(section, piece, section.hand, SIZE_MM[0], SIZE_MM[1])?;
        Some(svg::drawing(&view, MARGIN_MM).map(|svg| (piece.name.clone(), svg)))
    });
    views.collect()
}

/// A cross-section of the finished piece at full size; of a ring its section through the axis, reduced to fit.
///
/// # Errors
/// As [`svg::drawing`].
pub fn cross_section(section: &SectionPlan, piece: &PiecePlan, index: usize) -> Result<Option<String>, PacketError> {
    if let Some(drawing) = drawings::ring_section(piece, SIZE_MM[0], SIZE_MM[1]) {
        return svg::drawing(&drawing, MARGIN_MM).map(Some);
    }
    let Some(shape) = piece.cross_sections.get(index) else { return Ok(None) };
    let drawing = drawings::cross_section_view(piece, shape, section.hand, crate::drawing::Scale::FULL);
    svg::drawing(&drawing, MARGIN_MM).map(Some)
}
