//! Where a skin's stations count from, in words and as lines on its flat: so that a template can be held where it belongs.

use crate::resolve::SkinShape;
use blank::flatten::FlatSkin;
use blank::skin::{StationError, corner_of, station_lines};
use blank::{FlatMark, MarkKind};
use glam::{DVec2, DVec3};
use handbook::{Concern, Grade};
use mesh::Skin;
use mesh::sections::SectionPlane;
use units::format_mm;

/// Two sentences: which corner of the piece has which x and y, and which way the two run on the finished piece.
pub(super) fn datum_words(shape: &SkinShape) -> [String; 2] {
    let ways = shape.ways();
    let corners: Vec<(usize, &DVec2)> = shape.outline_mm.iter().enumerate().collect();
    let zero = corners.iter().min_by(|a, b| a.1.length_squared().total_cmp(&b.1.length_squared()));
    let Some((index, at)) = zero else { return [String::new(), ways] };
    let name = |i: usize| shape.edges.get(i % shape.edges.len().max(1)).map_or("", |edge| edge.name.as_str());
    let corner = format!("the {}", corner_of(name(index + shape.edges.len().saturating_sub(1)), name(*index)));
    let [x, y] = [at.x, at.y].map(|own| format_mm(own, 1));
    let place = if at.length() < 0.05 {
        format!("x = 0 and y = 0 are at {corner}")
    } else {
        format!("{corner} is at x = {x}, y = {y}")
    };
    [place, ways]
}

/// A line on the flat for each template: where the plane of its station cuts the outside face. A station without one is told.
///
/// `outside` is the outside face as surveyed, in vehicle axes, with the points of the flat in their order.
pub(super) fn marks(
    shape: &SkinShape,
    outside: &Skin,
    flat: &FlatSkin,
    stations_mm: &[f64],
    concerns: &mut Vec<Concern>,
) -> Vec<FlatMark> {
    let [x, y, z] = [DVec3::X, DVec3::Y, DVec3::Z].map(|axis| shape.to_vehicle * axis);
    let lines = |station_mm: f64| {
        let plane = SectionPlane::new(x * station_mm, y, z).map_err(StationError::from)?;
        station_lines(outside, flat, &plane)
    };
    let mut marks = Vec::new();
    for station_mm in stations_mm {
        let label = format!("template x = {}", format_mm(*station_mm, 0));
        let told = |why: String| {
            let what = format!("{label}: its line is not on the flat");
            let what_to_do = "mark on the finished piece where that template is held".into();
            crate::resolve::note("no-station-line", Grade::Note, &shape.name, [what, why, what_to_do])
        };
        match lines(*station_mm) {
            Ok(found) if found.is_empty() => concerns.push(told("the station meets no metal of the flat".into())),
            Ok(found) => {
                let mark = |line_mm| FlatMark { kind: MarkKind::Station, line_mm, label: label.clone() };
                marks.extend(found.into_iter().map(mark));
            }
            Err(error) => concerns.push(told(error.to_string())),
        }
    }
    marks
}
