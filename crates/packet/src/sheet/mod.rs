//! A drawing sheet: trimmed paper, frame, title block and key of lines.
//!
//! Frame after ISO 5457 (20 mm filing margin on the left, 10 mm elsewhere, centring marks), title block 180 mm wide at
//! the lower right after ISO 7200 with fields of our own (handbook T12, T13; T13 from memory).

mod key;
mod title_block;

use std::sync::Arc;

use glam::DVec2;

use crate::drawing::{Bounds, Drawing, Layer, Polyline, Scale, Shape};
use crate::error::PacketError;
use crate::page::{Orientation, Page, Paper, View};

pub use title_block::TitleBlock;

/// Filing margin on the left, mm (T13).
const FILING_MARGIN_MM: f64 = 20.0;
/// Other margins, mm (T13).
const MARGIN_MM: f64 = 10.0;
/// White between the drawing and frame, key or title block, mm.
const CLEAR_MM: f64 = 4.0;
/// Length of the centring marks outside the frame, mm.
const CENTRING_MARK_MM: f64 = 5.0;

/// Returns the frame of a sheet, mm from its lower left corner.
pub fn frame(paper: Paper, orientation: Orientation) -> Bounds {
    let size = paper.size_mm(orientation);
    Bounds { low: DVec2::new(FILING_MARGIN_MM, MARGIN_MM), high: size - DVec2::splat(MARGIN_MM) }
}

/// Puts a drawing at its scale on a sheet.
///
/// # Errors
/// As [`Drawing::bounds`]; [`PacketError::DoesNotFit`] when the drawing is larger than the space above the title block.
pub fn compose(
    drawing: &Drawing,
    title: &TitleBlock,
    paper: Paper,
    orientation: Orientation,
) -> Result<Page, PacketError> {
    let frame = frame(paper, orientation);
    let ratio = drawing.scale.ratio();
    let bounds = drawing.bounds()?;
    let space = space(drawing, frame);
    let (need, room) = (bounds.size() * ratio, space.size());
    if need.x > room.x || need.y > room.y {
        return Err(PacketError::DoesNotFit {
            drawing: drawing.name.clone(),
            width_mm: need.x,
            height_mm: need.y,
            paper: paper.name,
            space_width_mm: room.x,
            space_height_mm: room.y,
        });
    }
    let view =
        View { drawing: Arc::new(drawing.clone()), origin_mm: space.middle() - bounds.middle() * ratio, window: None };
    Ok(Page {
        name: drawing.name.clone(),
        description: drawing.description.clone(),
        size_mm: paper.size_mm(orientation),
        views: vec![view],
        dressing: dressing(drawing, title, frame, paper.size_mm(orientation)),
    })
}

/// Puts a drawing on a sheet at the largest scale of [`Scale::SERIES`] that fits, 1:1 at most.
///
/// # Errors
/// As [`compose`] when even the smallest scale is too large.
pub fn compose_to_fit(
    drawing: &Drawing,
    title: &TitleBlock,
    paper: Paper,
    orientation: Orientation,
) -> Result<Page, PacketError> {
    let reducing = Scale::SERIES.into_iter().filter(|scale| scale.ratio() <= 1.0);
    let mut last = None;
    for scale in reducing {
        match compose(&drawing.clone().at_scale(scale), title, paper, orientation) {
            Err(error @ PacketError::DoesNotFit { .. }) => last = Some(error),
            done => return done,
        }
    }
    Err(last.unwrap_or_else(|| PacketError::Empty { drawing: drawing.name.clone(), detail: "" }))
}

fn space(drawing: &Drawing, frame: Bounds) -> Bounds {
    let foot = frame.low.y + title_block::HEIGHT_MM + key::height_above_mm(drawing, frame);
    Bounds { low: DVec2::new(frame.low.x, foot), high: frame.high }.grown(-CLEAR_MM)
}

fn dressing(drawing: &Drawing, title: &TitleBlock, frame: Bounds, sheet_mm: DVec2) -> Drawing {
    let mut dress = Drawing::new("frame", "");
    dress.add(Layer::Frame, Polyline::rectangle(frame.low, frame.high));
    let middle = sheet_mm / 2.0;
    for (from, way) in [
        (DVec2::new(middle.x, frame.low.y), -DVec2::Y),
        (DVec2::new(middle.x, frame.high.y), DVec2::Y),
        (DVec2::new(frame.low.x, middle.y), -DVec2::X),
        (DVec2::new(frame.high.x, middle.y), DVec2::X),
    ] {
        dress.add(Layer::Frame, Shape::Line { from, to: from + way * CENTRING_MARK_MM });
    }
    title_block::draw(&mut dress, title, drawing, frame);
    key::draw(&mut dress, drawing, frame);
    dress
}
