//! SVG read back by a general XML reader.

use std::collections::BTreeSet;

use glam::DVec2;
use packet::drawing::{Drawing, Layer, Polyline, Shape, Text, TextHeight};
use packet::svg;

use crate::drawings;
use crate::golden::check_golden;

#[test]
fn the_tray_looks_as_reviewed() {
    check_golden("tray.svg", &svg::drawing(&drawings::tray(), 5.0).unwrap());
}

#[test]
fn two_renderings_are_the_same_bytes() {
    assert_eq!(svg::drawing(&drawings::tray(), 5.0).unwrap(), svg::drawing(&drawings::tray(), 5.0).unwrap());
}

/// Area of a closed path of M, L and A commands, by chords of arcs sampled from the SVG arc formulas (W3C SVG 1.1,
/// appendix F.6.5, for circles), independent of the drawing model.
pub fn path_area(d: &str) -> f64 {
    let spaced: String =
        d.chars().flat_map(|c| if c.is_ascii_alphabetic() { vec![' ', c, ' '] } else { vec![c] }).collect();
    let mut words = spaced.split_whitespace();
    let mut points: Vec<DVec2> = Vec::new();
    let mut arcs_area = 0.0;
    while let Some(command) = words.next() {
        let mut number = || words.next().unwrap().parse::<f64>().unwrap();
        match command {
            "M" | "L" => points.push(DVec2::new(number(), number())),
            "A" => {
                let (radius, _, _) = (number(), number(), number());
                let (large, sweep) = (number() == 1.0, number() == 1.0);
                let to = DVec2::new(number(), number());
                let chord = (to - *points.last().unwrap()).length();
                let small_angle = 2.0 * (chord / 2.0 / radius).clamp(-1.0, 1.0).asin();
                let angle = if large { std::f64::consts::TAU - small_angle } else { small_angle };
                let segment = 0.5 * radius * radius * (angle - angle.sin());
                arcs_area += if sweep { segment } else { -segment };
                points.push(to);
            }
            "Z" => {}
            other => panic!("unexpected path command {other}"),
        }
    }
    let chords: f64 = (0..points.len()).map(|i| points[i].perp_dot(points[(i + 1) % points.len()]) / 2.0).sum();
    (chords + arcs_area).abs()
}

fn outline_of(drawing: &Drawing) -> &Polyline {
    drawing
        .items
        .iter()
        .find_map(|item| match &item.shape {
            Shape::Polyline(path) if item.layer == Layer::Cut => Some(path),
            _ => None,
        })
        .unwrap()
}

#[test]
fn area_read_back_agrees_to_a_millionth() {
    for drawing in [drawings::tray(), drawings::long_strip()] {
        let text = svg::drawing(&drawing, 3.0).unwrap();
        let tree = roxmltree::Document::parse(&text).unwrap();
        let node = tree.descendants().find(|node| node.attribute("data-id") == Some("outline")).unwrap();
        let area = path_area(node.attribute("d").unwrap());
        let want = outline_of(&drawing).signed_area_mm2().abs();
        assert!((area / want - 1.0).abs() < 1e-6, "{area} against {want}");
    }
}

/// Independent area of the tray: 360 x 260 less four corners of 40 x 40, less eight roundings of (1 - pi/4) 5 mm squared.
#[test]
fn area_of_the_tray_is_the_closed_form() {
    let want = 360.0 * 260.0 - 4.0 * 1600.0 - 8.0 * (1.0 - std::f64::consts::FRAC_PI_4) * 25.0;
    assert!((outline_of(&drawings::tray()).signed_area_mm2() - want).abs() < 1e-6);
}

#[test]
fn one_user_unit_is_a_millimetre_and_everything_lies_inside() {
    let text = svg::drawing(&drawings::tray(), 5.0).unwrap();
    let tree = roxmltree::Document::parse(&text).unwrap();
    let root = tree.root_element();
    let view: Vec<f64> = root.attribute("viewBox").unwrap().split(' ').map(|n| n.parse().unwrap()).collect();
    assert_eq!(root.attribute("width").unwrap(), format!("{}mm", view[2]));
    assert_eq!(root.attribute("height").unwrap(), format!("{}mm", view[3]));
    for node in tree.descendants().filter(|node| node.has_tag_name("circle")) {
        let value = |name| node.attribute(name).unwrap().parse::<f64>().unwrap();
        assert!(value("cx") - value("r") >= 5.0 - 1e-6 && value("cx") + value("r") <= view[2] - 5.0 + 1e-6);
    }
}

#[test]
fn words_cannot_become_markup_and_ids_are_unique() {
    let mut drawing = drawings::tray();
    drawing.name = "</title><script>alert(1)</script>".into();
    drawing.add_named(Layer::Note, "\" onload=\"x", Text::new(DVec2::ZERO, TextHeight::Mm2_5, "<b>&\u{7}'\""));
    let text = svg::drawing(&drawing, 5.0).unwrap();
    let tree = roxmltree::Document::parse(&text).unwrap();
    assert!(tree.descendants().all(|node| !node.has_tag_name("script") && !node.has_tag_name("b")));
    assert!(tree.descendants().all(|node| node.attribute("onload").is_none()));
    let ids: Vec<_> = tree.descendants().filter_map(|node| node.attribute("id")).collect();
    assert_eq!(ids.iter().collect::<BTreeSet<_>>().len(), ids.len());
}

/// A scale changes the geometry on paper and leaves the lettering as high as it was.
#[test]
fn lettering_keeps_its_height_at_every_scale() {
    let full = drawings::tray();
    let small = drawings::tray().at_scale(packet::drawing::Scale { paper: 1.0, real: 5.0 });
    let sizes = |drawing: &Drawing| -> BTreeSet<String> {
        let text = svg::drawing(drawing, 5.0).unwrap();
        let tree = roxmltree::Document::parse(&text).unwrap();
        tree.descendants().filter_map(|node| node.attribute("font-size").map(str::to_owned)).collect()
    };
    assert_eq!(sizes(&full), sizes(&small));
    // 3.5 mm capitals of a face whose 'H' is 1493 of 2048 units (fontTools): 4.801072 mm
    assert!(sizes(&full).contains("4.801072"), "{:?}", sizes(&full));
    assert!((small.bounds().unwrap().size().x / 5.0) < full.bounds().unwrap().size().x);
}
