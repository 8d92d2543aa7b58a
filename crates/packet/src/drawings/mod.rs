//! Drawings made from a plan: the blank, views of the finished piece, pictures of fitting, templates, where the tape goes.
//!
//! Each function takes the plan of a piece and gives one [`crate::Drawing`]; papers, files and pages choose scale and place.
//!
//! **Invariant:** shapes come from the plan's own geometry (flat, surface, cross-sections), never from numbers typed here.
//! **Invariant:** every view says the hand in full; curl and seam are stated wherever there is a curl.

mod assembly;
mod bands;
mod blank;
mod draft;
mod edge_side;
mod elevation;
mod end_template;
mod fitting;
mod flat_skin;
mod hand;
mod heat_map;
mod isometric;
mod joined_fitting;
mod let_in_fitting;
mod practice;
mod profile;
mod project;
mod radius_template;
mod ring;
mod ruled;
mod ruled_fitting;
mod ruled_tape;
mod seams;
mod shape_map;
mod skin_templates;
mod table;
mod tape;
mod template;
mod tray;
mod tube;
mod weld_map;
mod weld_numbers;
mod weld_symbol;
mod wrap;

pub use assembly::{Shown, as_one, assembly};
pub use blank::{
    FlatList, FlatNote, NoteAbout, blank_drawing, cutter_drawing, flat_drawing, flat_lists, flat_notes, flat_picture,
    gravest_first,
};
pub use elevation::elevation;
pub use end_template::{end_template_names, end_templates};
pub use fitting::fitting_picture;
pub use flat_skin::flat_skin_drawing;
pub use hand::{datum_lines, placing_lines};
pub use heat_map::{heat_map_view, heat_mark, heat_rule};
pub use isometric::isometric;
pub use let_in_fitting::is_let_in_plate;
pub use practice::{practice_outcomes, practice_strip};
pub use profile::{cross_section_view, working_section};
pub use radius_template::{radius_template_names, radius_templates};
pub use ring::{ring_flat_drawing, ring_section};
pub use ruled::ruled_flat_drawing;
pub use seams::{seam_parts_drawing, seams_drawing};
pub use shape_map::{warp_shape_of_skin, warp_shape_view, warp_shape_words};
pub use skin_templates::{BUCK, skin_template_drawings, skin_template_names};
pub use tape::{Taped, tape_picture};
pub use template::{cross_section_template, edge_template};
pub use tube::{tube_notes, wrap_drawings};
pub use weld_map::{maps_of, order_line, order_words, weld_map_templates, weld_map_view};
pub use weld_symbol::{Basic, WeldSymbol};
pub use wrap::wrap_drawing;

use crate::drawing::Bounds;
use crate::drawing::Scale;

/// Returns the largest scale of ISO 5455 at which `bounds` (real mm) goes into `space_mm` on paper, 1:1 at most.
pub fn fitting_scale(width_mm: f64, height_mm: f64, space_width_mm: f64, space_height_mm: f64) -> Scale {
    let fits =
        |scale: &Scale| width_mm * scale.ratio() <= space_width_mm && height_mm * scale.ratio() <= space_height_mm;
    let [.., last] = Scale::SERIES;
    Scale::SERIES.into_iter().filter(|scale| scale.ratio() <= 1.0).find(fits).unwrap_or(last)
}

/// Scale at which a flat goes into the space: one of the series of ISO 5455, or for a skin, whose map is read and not measured, any 1:n.
pub fn flat_scale(piece: &job::plan::PiecePlan, space_width_mm: f64, space_height_mm: f64) -> Scale {
    let size = bounds_of(piece.blank.outline_mm.iter().copied()).size();
    let choose = if piece.skin.is_some() { picture_scale } else { fitting_scale };
    choose(size.x, size.y, space_width_mm, space_height_mm)
}

/// Returns the largest scale 1:n, n whole, at which a picture that nobody measures from goes into the space, 1:1 at most.
pub fn picture_scale(width_mm: f64, height_mm: f64, space_width_mm: f64, space_height_mm: f64) -> Scale {
    let needed = (width_mm / space_width_mm.max(1.0)).max(height_mm / space_height_mm.max(1.0));
    Scale { paper: 1.0, real: needed.ceil().clamp(1.0, 1000.0) }
}

/// Box around points; a box of nothing at the origin without points.
fn bounds_of(points: impl IntoIterator<Item = glam::DVec2>) -> Bounds {
    Bounds::around(points).unwrap_or(Bounds { low: glam::DVec2::ZERO, high: glam::DVec2::ZERO })
}
