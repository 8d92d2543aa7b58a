//! DXF read back by the library's reader and line by line.

use ::dxf::entities::EntityType;
use packet::dxf;

use crate::drawings;
use crate::golden::check_golden;

fn read(text: &str) -> ::dxf::Drawing {
    ::dxf::Drawing::load(&mut text.as_bytes()).unwrap()
}

#[test]
fn the_tray_for_cutting_is_as_reviewed() {
    check_golden("tray-cutting.dxf", &dxf::for_cutting(&drawings::tray()).unwrap());
}

#[test]
fn bytes_are_stable_and_carry_no_clock() {
    let first = dxf::to_string(&drawings::tray()).unwrap();
    std::thread::sleep(std::time::Duration::from_millis(1100));
    assert_eq!(first, dxf::to_string(&drawings::tray()).unwrap());
}

#[test]
fn units_are_millimetres_and_the_release_is_2000() {
    let file = read(&dxf::to_string(&drawings::tray()).unwrap());
    assert_eq!(file.header.default_drawing_units, ::dxf::enums::Units::Millimeters);
    assert_eq!(file.header.version, ::dxf::enums::AcadVersion::R2000);
}

/// Area by the DXF meaning of a bulge (tangent of a quarter of the angle), written out here apart from the model.
#[test]
fn the_closed_outline_keeps_its_area_to_a_millionth() {
    let file = read(&dxf::for_cutting(&drawings::tray()).unwrap());
    let outline = file
        .entities()
        .find_map(|entity| match &entity.specific {
            EntityType::LwPolyline(path) if entity.common.layer == "cut" => Some(path),
            _ => None,
        })
        .unwrap();
    assert!(outline.is_closed());
    let count = outline.vertices.len();
    let area: f64 = (0..count)
        .map(|i| {
            let (a, b) = (&outline.vertices[i], &outline.vertices[(i + 1) % count]);
            let chord = (b.x - a.x).hypot(b.y - a.y);
            let angle = 4.0 * a.bulge.atan();
            let segment = if a.bulge == 0.0 {
                0.0
            } else {
                let radius = chord / 2.0 / (angle / 2.0).sin();
                radius * radius * (angle - angle.sin()) / 2.0
            };
            (a.x * b.y - b.x * a.y) / 2.0 + segment
        })
        .sum();
    let want = 360.0 * 260.0 - 4.0 * 1600.0 - 8.0 * (1.0 - std::f64::consts::FRAC_PI_4) * 25.0;
    assert!((area / want - 1.0).abs() < 1e-6, "{area} against {want}");
}

#[test]
fn the_cutting_file_holds_only_what_is_cut_or_marked() {
    let file = read(&dxf::for_cutting(&drawings::tray()).unwrap());
    let layers: std::collections::BTreeSet<_> = file.entities().map(|entity| entity.common.layer.clone()).collect();
    assert_eq!(layers.into_iter().collect::<Vec<_>>(), ["cut", "hole", "mark"]);
    let nothing_to_cut = drawings::tray().only(&[packet::drawing::Layer::Hole]);
    let message = dxf::for_cutting(&nothing_to_cut).unwrap_err().to_string();
    assert!(message.contains("no edge on the layer cut"), "{message}");
}

#[test]
fn every_layer_stands_in_the_tables_with_line_type_and_weight() {
    let file = read(&dxf::to_string(&drawings::tray()).unwrap());
    let types: Vec<_> = file.line_types().map(|entry| entry.name.to_uppercase()).collect();
    for entity in file.entities() {
        let layer = file.layers().find(|layer| layer.name == entity.common.layer).unwrap();
        assert!(types.contains(&layer.line_type_name.to_uppercase()), "{}", layer.line_type_name);
        assert!([25, 50].contains(&layer.line_weight.raw_value()), "{} {}", layer.name, layer.line_weight.raw_value());
    }
}

#[test]
fn signs_outside_ascii_survive() {
    let text = dxf::to_string(&drawings::tray()).unwrap();
    assert!(text.is_ascii());
    let file = read(&text);
    let words: Vec<_> = file
        .entities()
        .filter_map(|entity| match &entity.specific {
            EntityType::Text(text) => Some(text.value.clone()),
            _ => None,
        })
        .collect();
    assert!(words.iter().any(|word| word == "⌀25" || word == "\\U+230025"), "{words:?}");
}
