//! DXF, release 2000, in millimetres at real size whatever the drawing's scale on paper.
//!
//! Closed outlines leave as closed light polylines with their arcs as bulges, circles and arcs as such, lettering as
//! TEXT, arrowheads as SOLID, dimensions and hatching as the lines and texts they consist of. Every layer stands in the
//! tables with its line type and line weight. Colours are left to the reader except white/black (7).
//! **Stable bytes:** fixed dates, no random identifiers, handles counted from one.

mod finish;
mod tables;

use dxf::entities::{Arc, Circle, Entity, EntityType, LwPolyline, Solid, Text};
use dxf::enums::{AcadVersion, DrawingUnits, HorizontalTextJustification, Units};
use dxf::{LwPolylineVertex, Point};
use glam::DVec2;

use crate::drawing::{ArcForm, Drawing, Horizontal, Layer, Mark, Polyline, Stroke, TextRun};
use crate::error::PacketError;

/// Returns the whole drawing as a DXF text.
///
/// # Errors
/// As [`Drawing::strokes`]; [`PacketError::Empty`] when nothing is drawn; [`PacketError::Dxf`] when the writer refuses.
pub fn to_string(drawing: &Drawing) -> Result<String, PacketError> {
    let strokes = drawing.strokes()?;
    if strokes.is_empty() {
        return Err(PacketError::Empty { drawing: drawing.name.clone(), detail: "" });
    }
    let mut file = dxf::Drawing::new();
    header(&mut file);
    tables::fill(&mut file, drawing)?;
    for stroke in &strokes {
        let mut entity = Entity::new(entity(&stroke.mark, drawing.scale.ratio()));
        attributes(&mut entity, stroke, drawing);
        file.add_entity(entity);
    }
    let mut bytes = Vec::new();
    file.save(&mut bytes).map_err(|error| refused(drawing, &error.to_string()))?;
    let text = String::from_utf8(bytes).map_err(|error| refused(drawing, &error.to_string()))?;
    Ok(finish::finish(&text))
}

/// Returns what a cutting machine needs and nothing else: the layers cut, hole and mark.
///
/// # Errors
/// As [`to_string`]; [`PacketError::Empty`] also when there is no edge to cut.
pub fn for_cutting(drawing: &Drawing) -> Result<String, PacketError> {
    let blank = drawing.only(&Layer::FOR_CUTTING);
    if !blank.items.iter().any(|item| item.layer == Layer::Cut) {
        return Err(PacketError::Empty { drawing: drawing.name.clone(), detail: ": no edge on the layer cut" });
    }
    to_string(&blank)
}

fn refused(drawing: &Drawing, reason: &str) -> PacketError {
    PacketError::Dxf { drawing: drawing.name.clone(), reason: reason.to_owned() }
}

fn header(file: &mut dxf::Drawing) {
    file.header.version = AcadVersion::R2000;
    file.header.default_drawing_units = Units::Millimeters;
    file.header.drawing_units = DrawingUnits::Metric;
    file.header.fingerprint_guid = Default::default();
    file.header.version_guid = Default::default();
    file.header.creation_date_universal = Default::default();
    file.header.update_date_universal = Default::default();
    "packet".clone_into(&mut file.header.last_saved_by);
}

fn attributes(entity: &mut Entity, stroke: &Stroke<'_>, drawing: &Drawing) {
    stroke.layer.name().clone_into(&mut entity.common.layer);
    "BYLAYER".clone_into(&mut entity.common.line_type_name);
    entity.common.lineweight_enum_value = tables::line_weight_code(stroke.layer, drawing.width_group);
}

fn entity(mark: &Mark, ratio: f64) -> EntityType {
    match mark {
        Mark::Path(path) => EntityType::LwPolyline(light_polyline(path)),
        Mark::Circle { centre, radius_mm } => EntityType::Circle(Circle::new(point(*centre), *radius_mm)),
        Mark::Arc(arc) => EntityType::Arc(arc_entity(arc)),
        Mark::Filled(corners) => filled(corners),
        Mark::Text(run) => EntityType::Text(text(run, ratio)),
    }
}

fn light_polyline(path: &Polyline) -> LwPolyline {
    let vertices = path
        .vertices
        .iter()
        .map(|v| LwPolylineVertex { x: v.at.x, y: v.at.y, bulge: v.bulge, ..LwPolylineVertex::default() })
        .collect();
    let mut entity = LwPolyline { vertices, ..LwPolyline::default() };
    entity.set_is_closed(path.closed);
    entity
}

/// DXF arcs run anticlockwise.
fn arc_entity(arc: &ArcForm) -> Arc {
    let end_rad = arc.start_rad + arc.sweep_rad;
    let (from, to) = if arc.sweep_rad < 0.0 { (end_rad, arc.start_rad) } else { (arc.start_rad, end_rad) };
    Arc::new(point(arc.centre), arc.radius_mm, from.to_degrees(), to.to_degrees())
}

/// SOLID holds three or four corners, the last two crossed over; a larger area leaves as its closed outline.
fn filled(corners: &[DVec2]) -> EntityType {
    match corners {
        [a, b, c] => EntityType::Solid(Solid::new(point(*a), point(*b), point(*c), point(*c))),
        [a, b, c, d] => EntityType::Solid(Solid::new(point(*a), point(*b), point(*d), point(*c))),
        _ => EntityType::LwPolyline(light_polyline(&Polyline::closed(corners.iter().copied()))),
    }
}

fn text(run: &TextRun, ratio: f64) -> Text {
    let justification = match run.horizontal {
        Horizontal::Left => HorizontalTextJustification::Left,
        Horizontal::Middle => HorizontalTextJustification::Center,
        Horizontal::Right => HorizontalTextJustification::Right,
    };
    Text {
        location: point(run.at),
        second_alignment_point: point(run.at),
        text_height: run.height_paper_mm / ratio,
        value: plain(&run.content),
        rotation: run.angle_rad.to_degrees(),
        horizontal_text_justification: justification,
        text_style_name: tables::style_name(run.weight).to_owned(),
        ..Text::default()
    }
}

/// Takes away the meaning that DXF text gives to `%%`, `^` and `\U+`, and control characters.
fn plain(content: &str) -> String {
    let spaced: String = content.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    spaced.replace("%%", "% %").replace('^', "^ ").replace('\\', "/")
}

fn point(at: DVec2) -> Point {
    Point::new(at.x, at.y, 0.0)
}
