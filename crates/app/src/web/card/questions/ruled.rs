//! Cones and transitions on the card: their sizes as fields, the lines of their flats as a table.

use super::mm;
use crate::web::card::fields::Field;
use crate::web::figures::{Cell, Table};
use blank::ruled::{RollLine, RollLineKind};
use job::file::{End, Piece};
use job::plan::PiecePlan;
use units::Dimension;

/// Sizes of a piece that the section itself describes; a pattern's are measured.
pub(super) fn fields(prefix: &str, piece: &Piece) -> Vec<Field> {
    if !prefix.starts_with("section.") {
        return Vec::new();
    }
    let size = |path: String, label: String, value: &Dimension| Field::text(path, label, value.written());
    match piece {
        Piece::Cone(cone) => {
            let path = format!("{prefix}.piece.{}", cone.name);
            let top = cone.top.as_ref().map_or_else(String::new, |top| top.written().to_owned());
            vec![
                size(format!("{path}.bottom"), format!("Bottom diameter of {}", cone.name), &cone.bottom),
                Field::text(format!("{path}.top"), format!("Top diameter of {}", cone.name), top)
                    .hint("empty for a cone to a point"),
                size(format!("{path}.height"), format!("Height of {}", cone.name), &cone.height),
            ]
        }
        Piece::Transition(transition) => {
            let path = format!("{prefix}.piece.{}", transition.name);
            let ends = [("bottom", &transition.bottom), ("top", &transition.top)];
            let ends = ends.into_iter().filter_map(|(name, end)| end.as_ref().map(|end| (name, end)));
            let mut list: Vec<Field> = ends.flat_map(|(name, end)| end_fields(&path, name, end)).collect();
            list.extend(
                transition
                    .height
                    .as_ref()
                    .map(|height| size(format!("{path}.height"), format!("Height of {}", transition.name), height)),
            );
            list
        }
        _ => Vec::new(),
    }
}

fn end_fields(path: &str, name: &str, end: &End) -> Vec<Field> {
    let capital = if name == "bottom" { "Bottom" } else { "Top" };
    let one = |what: &str, label: &str, value: &Dimension| {
        Field::text(format!("{path}.{name}.{what}"), format!("{capital} {label}"), value.written())
    };
    let two = |what: &str, [x, y]: &[Dimension; 2]| {
        [one(&format!("{what}.0"), "along x", x), one(&format!("{what}.1"), "along y", y)]
    };
    let round = end.round.iter().map(|own| one("round", "diameter", own));
    let rectangle = end.rectangle.iter().flat_map(|own| two("rectangle", own));
    let oval = end.oval.iter().flat_map(|own| two("oval", own));
    round.chain(rectangle).chain(oval).collect()
}

/// The lines to bend along, with what lays them off.
pub(super) fn tables(piece: &PiecePlan) -> Vec<Table> {
    let Some(layout) = piece.ruled.as_ref().map(|ruled| &ruled.layout) else { return Vec::new() };
    let row = |line: &RollLine| {
        let limit = line.kind == RollLineKind::Limit;
        let what = match line.kind {
            RollLineKind::Roll => "bend along it",
            RollLineKind::Limit => "limit of a flat part",
            RollLineKind::Fold => "sharp fold",
        };
        let bend = format!("{:.1}° {}", line.bend_rad.to_degrees().abs(), if line.up { "up" } else { "down" });
        vec![
            Cell::number(if limit { "–".into() } else { line.number.to_string() }),
            Cell::words(if limit { what.to_owned() } else { format!("{what}, {bend}") }),
            Cell::number(line.along_mm.map(mm).join(" · ")),
            Cell::number(mm(line.length_mm)),
        ]
    };
    let [a, b] = &layout.edges;
    vec![Table {
        caption: format!(
            "Lines of {}: A is the {} (below in the flat), B the {}; distances run from the right-hand end",
            piece.name, a.name, b.name
        ),
        // four columns stay a table on a phone, where thirty lines would else be pages long
        head: vec!["no.", "what", "along A · B", "length"],
        rows: layout.lines.iter().map(row).collect(),
    }]
}
