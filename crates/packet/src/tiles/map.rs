//! The map of the sheets: the drawing made small, the grid over it, and how to join.

use std::sync::Arc;

use glam::DVec2;

use super::dressing::{Footer, strip};
use super::grid::{Grid, Place, tile_name};
use crate::drawing::{Anchor, Bounds, Drawing, Horizontal, Layer, Polyline, Scale, Text, TextHeight, Vertical};
use crate::error::PacketError;
use crate::font::{self, Weight};
use crate::page::{Page, View};

/// Height of the words above the map, mm.
const WORDS_MM: f64 = 52.0;

/// Draws the map.
///
/// `printed` are the sheets of the drawing, and how many sheets of words follow them.
pub fn page(
    drawing: &Drawing,
    grid: &Grid,
    (printed, notes): (&[Place], usize),
    footer: &Footer<'_>,
) -> Result<Page, PacketError> {
    let mut space = grid.window;
    space.high.y -= WORDS_MM;
    let whole = whole(grid);
    let fit = (space.size() / whole.size()).min_element();
    let small =
        Arc::new(edges_only(drawing).at_scale(Scale { paper: drawing.scale.paper * fit, real: drawing.scale.real }));
    let origin_mm = space.middle() - whole.middle() * fit;
    let mut dressing = Drawing::new("map", "");
    for place in grid.places().filter(|place| printed.contains(place)) {
        let window = grid.paper_window(place);
        let onto = |point: DVec2| origin_mm + point * fit;
        dressing.add_named(Layer::Tile, tile_name(place), Polyline::rectangle(onto(window.low), onto(window.high)));
        let name =
            Text { anchor: Anchor::CENTRE, ..Text::new(onto(window.middle()), TextHeight::Mm5, tile_name(place)) };
        dressing.add(Layer::Tile, name.bold());
    }
    words(&mut dressing, grid, (printed.len(), notes), drawing);
    strip(&mut dressing, grid, footer);
    Ok(Page {
        name: format!("{} map", drawing.name),
        description: format!("Map of the {} sheets of {}", printed.len(), drawing.name),
        size_mm: grid.sheet_mm,
        views: vec![View { drawing: small, origin_mm, window: Some(space) }],
        dressing,
    })
}

fn whole(grid: &Grid) -> Bounds {
    grid.places().map(|place| grid.paper_window(place)).reduce(Bounds::union).unwrap_or(grid.window)
}

/// Lettering and dimensions would crowd a map.
fn edges_only(drawing: &Drawing) -> Drawing {
    let crowding = [Layer::Dimension, Layer::Note, Layer::Hatch, Layer::Centre, Layer::Sight];
    let kept: Vec<Layer> = Layer::ALL.into_iter().filter(|layer| !crowding.contains(layer)).collect();
    let mut edges = drawing.only(&kept);
    edges.items.retain(|item| !matches!(item.shape, crate::drawing::Shape::Text(_)));
    edges
}

/// The name on one line, as large as it goes; cut off only where it does not go at all.
fn title(name: &str, width_mm: f64) -> (TextHeight, String) {
    let heights = [TextHeight::Mm7, TextHeight::Mm5, TextHeight::Mm3_5];
    let goes = |height: &TextHeight| font::text_width_mm(name, Weight::Bold, height.mm()) <= width_mm;
    match heights.into_iter().find(goes) {
        Some(height) => (height, name.to_owned()),
        None => {
            let lines = font::wrap(name, Weight::Bold, TextHeight::Mm3_5.mm(), width_mm);
            (TextHeight::Mm3_5, lines.into_iter().next().unwrap_or_default())
        }
    }
}

fn words(dressing: &mut Drawing, grid: &Grid, (sheets, notes): (usize, usize), drawing: &Drawing) {
    let at = |down: f64| DVec2::new(grid.window.low.x, grid.window.high.y - down);
    let width = grid.window.size().x;
    let (title_height, title) = title(&drawing.name, width);
    let top =
        |down, height, words: String| Text::new(at(down), height, words).anchored(Horizontal::Left, Vertical::Top);
    dressing.add(Layer::Tile, top(0.0, title_height, title).bold());
    let mut count = if sheets == 1 { "one sheet".to_owned() } else { format!("{sheets} sheets") };
    if notes > 0 {
        count += ", then its notes";
    }
    let how = format!(
        "Scale {}, {count}. Print at 100\u{a0}%, no fitting to the page. Lay a steel rule on the 100\u{a0}mm bar and the \
         4\u{a0}in bar of every sheet: if one is wrong, the print is scrap. Lay crosses of the same name on each other (a2 on a2), check with the \
         rule across the seam, tape down. Work in one go: paper grows in damp air.",
        drawing.scale.title()
    );
    let lines = font::wrap(&how, Weight::Regular, TextHeight::Mm3_5.mm(), width);
    dressing.add(Layer::Tile, top(12.0, TextHeight::Mm3_5, lines.join("\n")));
}
