//! SVG: one user unit is one millimetre on paper, width and height in mm, y turned downwards.
//!
//! Every layer is a group with the classes `layer` and its name; line type and width are presentation attributes and
//! ink is `currentColor`, so a style sheet can restyle a drawing and none is needed to print it. An item's id is its
//! `data-id`. Coordinates carry six decimals: the area of an outline of 10 mm × 10 mm read back agrees within 1e-6.

mod write;

use glam::DVec2;

use crate::drawing::{Bounds, Drawing};
use crate::error::PacketError;
use crate::page::{Page, View};
pub(crate) use write::escape;
use write::{Canvas, Curves, slug};

/// Returns the drawing as an SVG text cut to the drawing's box with `margin_mm` on paper around it.
///
/// # Errors
/// As [`Drawing::bounds`].
pub fn drawing(drawing: &Drawing, margin_mm: f64) -> Result<String, PacketError> {
    render_drawing(drawing, margin_mm, Curves::Arcs)
}

/// Returns the page as an SVG text of the sheet's exact size.
///
/// # Errors
/// The first drawing on it that cannot be drawn.
pub fn page(page: &Page) -> Result<String, PacketError> {
    render_page(page, Curves::Arcs)
}

/// As [`drawing`], with arcs as cubics, for the typesetter.
pub(crate) fn drawing_for_print(drawing: &Drawing, margin_mm: f64) -> Result<String, PacketError> {
    render_drawing(drawing, margin_mm, Curves::Cubics)
}

/// As [`page`], with arcs as cubics, for the typesetter.
pub(crate) fn page_for_print(page: &Page) -> Result<String, PacketError> {
    render_page(page, Curves::Cubics)
}

fn render_drawing(drawing: &Drawing, margin_mm: f64, curves: Curves) -> Result<String, PacketError> {
    let ratio = drawing.scale.ratio();
    let bounds = drawing.bounds()?;
    let paper = Bounds { low: bounds.low * ratio, high: bounds.high * ratio }.grown(margin_mm);
    let mut canvas = Canvas::new(paper, slug(&drawing.name), curves);
    canvas.strokes(drawing, DVec2::ZERO)?;
    Ok(document(&drawing.name, &drawing.description, &canvas))
}

fn render_page(page: &Page, curves: Curves) -> Result<String, PacketError> {
    let sheet = Bounds { low: DVec2::ZERO, high: page.size_mm };
    let mut canvas = Canvas::new(sheet, slug(&page.name), curves);
    for view in &page.views {
        placed(&mut canvas, view)?;
    }
    canvas.dressing(&page.dressing)?;
    Ok(document(&page.name, &page.description, &canvas))
}

fn placed(canvas: &mut Canvas, view: &View) -> Result<(), PacketError> {
    canvas.open_view(view.window);
    let done = canvas.strokes(&view.drawing, view.origin_mm);
    canvas.close_view();
    done
}

fn document(title: &str, description: &str, canvas: &Canvas) -> String {
    let size = canvas.size_mm();
    let (width, height) = (write::number(size.x), write::number(size.y));
    let (title, description, id) = (escape(title), escape(description), canvas.prefix());
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} {height}\" \
         role=\"img\" aria-labelledby=\"{id}-title {id}-desc\" class=\"drawing\">\n\
         <title id=\"{id}-title\">{title}</title>\n<desc id=\"{id}-desc\">{description}</desc>\n{}</svg>\n",
        canvas.body()
    )
}
