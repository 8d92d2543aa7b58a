//! The tables of a DXF file: line types, layers with line weights, text styles.

use std::collections::BTreeSet;

use dxf::tables::{Layer as LayerEntry, LineType as LineTypeEntry, Style};
use dxf::{Color, LineWeight};

use super::refused;
use crate::drawing::{Drawing, Layer, LineType, LineWidth, WidthGroup};
use crate::error::PacketError;
use crate::font::Weight;

/// Adds the line types, layers and styles that the drawing uses.
pub fn fill(file: &mut dxf::Drawing, drawing: &Drawing) -> Result<(), PacketError> {
    let layers = drawing.layers();
    let types: BTreeSet<_> = layers.iter().map(|layer| (layer.line_type(), layer.line_width())).collect();
    for (line_type, width) in types.into_iter().filter(|(line_type, _)| *line_type != LineType::Continuous) {
        file.add_line_type(line_type_entry(line_type, width, drawing));
    }
    for layer in layers {
        file.add_layer(layer_entry(layer, drawing)?);
    }
    for weight in [Weight::Regular, Weight::Bold] {
        file.add_style(style_entry(weight));
    }
    Ok(())
}

/// Returns the line weight of a layer as DXF codes it: hundredths of a millimetre.
pub fn line_weight_code(layer: Layer, group: WidthGroup) -> i16 {
    (group.width_mm(layer.line_width()) * 100.0).round() as i16
}

/// Returns the name of the text style.
pub fn style_name(weight: Weight) -> &'static str {
    match weight {
        Weight::Regular => "LETTERING",
        Weight::Bold => "LETTERING-BOLD",
    }
}

fn style_entry(weight: Weight) -> Style {
    let file = match weight {
        Weight::Regular => "DejaVuSansCondensed.ttf",
        Weight::Bold => "DejaVuSansCondensed-Bold.ttf",
    };
    Style { name: style_name(weight).to_owned(), primary_font_file_name: file.to_owned(), ..Style::default() }
}

fn line_type_name(line_type: LineType, width: LineWidth) -> String {
    let words = line_type.title().get(3..).unwrap_or_default().replace(' ', "-").to_uppercase();
    match (line_type, width) {
        (LineType::Continuous, _) => "CONTINUOUS".to_owned(),
        (_, LineWidth::Narrow) => words,
        (_, LineWidth::Wide) => format!("{words}-WIDE"),
    }
}

fn line_type_entry(line_type: LineType, width: LineWidth, drawing: &Drawing) -> LineTypeEntry {
    let unit_mm = drawing.width_group.width_mm(width) / drawing.scale.ratio();
    // dashes positive, gaps negative
    let signs = [1.0, -1.0].into_iter().cycle();
    let lengths: Vec<f64> = line_type.pattern().iter().zip(signs).map(|(part, sign)| part * unit_mm * sign).collect();
    LineTypeEntry {
        name: line_type_name(line_type, width),
        description: format!("ISO 128-2 {}", line_type.title()),
        element_count: lengths.len() as i32,
        total_pattern_length: lengths.iter().map(|length| length.abs()).sum(),
        dash_dot_space_lengths: lengths,
        ..LineTypeEntry::default()
    }
}

fn layer_entry(layer: Layer, drawing: &Drawing) -> Result<LayerEntry, PacketError> {
    Ok(LayerEntry {
        name: layer.name().to_owned(),
        line_type_name: line_type_name(layer.line_type(), layer.line_width()),
        color: Color::from_index(7),
        line_weight: line_weight(line_weight_code(layer, drawing.width_group))
            .ok_or_else(|| refused(drawing, "the writer takes no line weights"))?,
        ..LayerEntry::default()
    })
}

/// The library makes line weights only by reading them, so one is read from the shortest file that holds it.
fn line_weight(code: i16) -> Option<LineWeight> {
    let file = format!(
        "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1015\n0\nENDSEC\n0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLAYER\n\
         0\nLAYER\n2\nweighed\n370\n{code}\n0\nENDTAB\n0\nENDSEC\n0\nEOF\n"
    );
    let read = dxf::Drawing::load(&mut file.as_bytes()).ok()?;
    read.layers().find(|layer| layer.name == "weighed").map(|layer| layer.line_weight.clone())
}
