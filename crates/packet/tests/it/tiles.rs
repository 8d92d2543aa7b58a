//! Sheets joined by their crosses give the drawing back; everything here is measured in the printed PDF.

use std::collections::BTreeMap;

use glam::DVec2;
use packet::drawing::{Drawing, Layer, Shape};
use packet::page::Paper;
use packet::pdf;
use packet::tiles::{self, TileOptions};

use crate::drawings;
use crate::pdf_reader::{POINTS_PER_MM, PageLines, read};

/// Largest error of a joined outline, mm.
const TOLERANCE_MM: f64 = 0.05;

fn outline(drawing: &Drawing) -> Vec<DVec2> {
    let path = drawing.items.iter().find_map(|item| match &item.shape {
        Shape::Polyline(path) if item.layer == Layer::Cut => Some(path),
        _ => None,
    });
    path.unwrap().flattened(0.001)
}

/// Centres of the printed crosses: a level and an upright line of 8 mm that halve each other, page mm.
fn crosses(page: &PageLines) -> Vec<DVec2> {
    let arms: Vec<[DVec2; 2]> = page
        .chains
        .iter()
        .filter(|chain| chain.len() == 2)
        .map(|chain| [chain[0] / POINTS_PER_MM, chain[1] / POINTS_PER_MM])
        .filter(|[a, b]| ((*b - *a).length() - 8.0).abs() < 1e-3)
        .collect();
    let middle = |[a, b]: &[DVec2; 2]| (*a + *b) / 2.0;
    let level = arms.iter().filter(|[a, b]| (a.y - b.y).abs() < 1e-3);
    level
        .filter(|arm| {
            arms.iter().any(|[a, b]| (a.x - b.x).abs() < 1e-3 && (middle(arm) - middle(&[*a, *b])).length() < 1e-3)
        })
        .map(middle)
        .collect()
}

/// The window: the largest closed rectangle printed on the sheet, page mm.
fn window(page: &PageLines) -> [DVec2; 2] {
    let corners = |chain: &Vec<DVec2>| {
        let low = chain.iter().copied().reduce(DVec2::min).unwrap();
        let high = chain.iter().copied().reduce(DVec2::max).unwrap();
        [low / POINTS_PER_MM, high / POINTS_PER_MM]
    };
    let boxes = page.chains.iter().filter(|chain| chain.len() == 5 && (chain[0] - chain[4]).length() < 1e-6);
    boxes
        .map(corners)
        .max_by(|a, b| (a[1] - a[0]).element_product().total_cmp(&(b[1] - b[0]).element_product()))
        .unwrap()
}

fn distance(point: DVec2, a: DVec2, b: DVec2) -> f64 {
    let way = b - a;
    let t = ((point - a).dot(way) / way.length_squared().max(1e-12)).clamp(0.0, 1.0);
    (a + way * t - point).length()
}

/// Places sheets by their crosses: each sheet is shifted so that a cross it shares with a placed one falls together.
/// Which cross is which follows from its corner of the sheet and the sheet's name.
fn shifts(names: &[String], pages: &[PageLines]) -> Vec<DVec2> {
    let mut placed: BTreeMap<(char, u32), DVec2> = BTreeMap::new();
    let mut shifts = vec![None; names.len()];
    shifts[0] = Some(DVec2::ZERO);
    for _ in 0..names.len() {
        for (index, name) in names.iter().enumerate() {
            let column = name.chars().next().unwrap();
            let row: u32 = name[1..].parse().unwrap();
            let mut found = crosses(&pages[index]);
            assert_eq!(found.len(), 4, "sheet {name}");
            found.sort_by(|a, b| (b.y.round(), a.x).partial_cmp(&(a.y.round(), b.x)).unwrap());
            let next = char::from_u32(column as u32 + 1).unwrap();
            let named: Vec<_> =
                [(column, row), (next, row), (column, row + 1), (next, row + 1)].into_iter().zip(found).collect();
            if shifts[index].is_none() {
                shifts[index] = named.iter().find_map(|(cross, at)| placed.get(cross).map(|there| *there - *at));
            }
            if let Some(shift) = shifts[index] {
                for (cross, at) in named {
                    let there = placed.entry(cross).or_insert(at + shift);
                    assert!((*there - at - shift).length() < TOLERANCE_MM, "cross {cross:?} of {name}");
                }
            }
        }
    }
    shifts.into_iter().map(Option::unwrap).collect()
}

fn joins(drawing: &Drawing, paper: Paper) {
    let tiling = tiles::split(drawing, TileOptions::on(paper)).unwrap();
    let pages: Vec<PageLines> = read(&pdf::pages("join", None, &tiling.pages).unwrap()).into_iter().skip(1).collect();
    let shifts = shifts(&tiling.names, &pages);
    // the printed lines, each cut to the window of its sheet, in the frame of the first sheet
    let mut printed: Vec<[DVec2; 2]> = vec![];
    let mut windows = vec![];
    for (page, shift) in pages.iter().zip(&shifts) {
        let [low, high] = window(page);
        windows.push([low + *shift, high + *shift]);
        let segments = page.chains.iter().flat_map(|chain| chain.windows(2));
        let inside = segments
            .map(|pair| [pair[0] / POINTS_PER_MM, pair[1] / POINTS_PER_MM])
            .filter_map(|pair| clip(pair, low, high));
        printed.extend(inside.map(|[a, b]| [a + *shift, b + *shift]));
    }
    // the drawing's place in that frame is known from the grid only through the paper; find it by the first sheet
    let view = &tiling.pages[1].views[0];
    let outline: Vec<DVec2> = outline(drawing).into_iter().map(|point| view.on_page(point)).collect();
    let mut worst = 0.0_f64;
    for pair in outline.windows(2) {
        let pieces = ((pair[1] - pair[0]).length() / 2.0).ceil().max(1.0) as usize;
        for i in 0..=pieces {
            let point = pair[0].lerp(pair[1], i as f64 / pieces as f64);
            let nearest = printed.iter().map(|[a, b]| distance(point, *a, *b)).fold(f64::INFINITY, f64::min);
            assert!(windows.iter().any(|[low, high]| low.cmple(point).all() && point.cmple(*high).all()));
            worst = worst.max(nearest);
        }
    }
    assert!(worst < TOLERANCE_MM, "worst {worst} mm");
}

fn clip([a, b]: [DVec2; 2], low: DVec2, high: DVec2) -> Option<[DVec2; 2]> {
    let way = b - a;
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for (delta, near, far) in [(way.x, low.x - a.x, high.x - a.x), (way.y, low.y - a.y, high.y - a.y)] {
        if delta.abs() < 1e-12 {
            if near > 0.0 || far < 0.0 {
                return None;
            }
        } else {
            enter = enter.max((near / delta).min(far / delta));
            leave = leave.min((near / delta).max(far / delta));
        }
    }
    (enter <= leave).then(|| [a + way * enter, a + way * leave])
}

#[test]
fn sheets_joined_by_their_crosses_give_the_outline_back() {
    for paper in [Paper::A4, Paper::LETTER] {
        joins(&drawings::long_strip(), paper);
        joins(&drawings::tray(), paper);
    }
}

#[test]
fn sheets_without_a_line_are_not_printed() {
    let mut frame = Drawing::new("ring", "a square outline with nothing inside");
    let corner = DVec2::splat(900.0);
    frame.add(Layer::Cut, packet::drawing::Polyline::rectangle(DVec2::ZERO, corner));
    let tiling = tiles::split(&frame, TileOptions::on(Paper::A4)).unwrap();
    assert!(tiling.names.len() < tiling.columns * tiling.rows);
    assert_eq!(tiling.pages.len(), tiling.names.len() + 1);
}

#[test]
fn too_many_sheets_and_odd_options_are_refused() {
    let mut wide = Drawing::new("wide", "");
    wide.add(Layer::Cut, packet::drawing::Polyline::rectangle(DVec2::ZERO, DVec2::splat(9000.0)));
    let message = tiles::split(&wide, TileOptions::on(Paper::A4)).unwrap_err().to_string();
    assert!(message.contains("at most 60 are accepted"), "{message}");
    let options = TileOptions { overlap_mm: f64::NAN, ..TileOptions::on(Paper::A4) };
    assert!(tiles::split(&drawings::tray(), options).unwrap_err().to_string().contains("overlap, mm is NaN"));
}
