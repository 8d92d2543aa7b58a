//! Development of a strip.
//!
//! Model: one lengthwise line is held. In the flat it keeps its arc length and its geodesic curvature, both taken on the middle
//! surface of the skin (t/2 below the outside face). The cross-section is laid off from it at its developed
//! width, at the angle that it makes with the held line on the piece: a right angle wherever the held line keeps its
//! distance from the edge line, because cross-sections stand square to the edge line. Every other lengthwise line
//! comes out longer or shorter than on the piece; that ratio is its strain.
//!
//! Exact (to rounding) for: a straight edge line with constant cross-section; a circular-arc edge line with a straight
//! cross-section, whose flat is a sector of a cone or an annulus. Curved parts are integrated by Gauss–Legendre between the places
//! where a derivative jumps, on derivatives that are analytic.
//! Does not hold for: thickness change; double curvature, which is reported (`crown`) and not flattened.
//! Units: mm, rad. Flat: x along the chord of the held line, y towards the cut edge, lowest corner of the upright box at 0.

use crate::{Blank, BlankError, DevelopSettings, FaceUp};
use glam::DVec3;
use section::{ChainPoint, FlangeRelief, Lean, MakeUp, Runs, Strip, Swept};

mod checks;
mod concerns;
mod crown;
mod edge;
mod flat;
mod folds;
mod held;
mod marks;
mod openings;
mod relief;
mod running;
mod settings;
mod stations;
mod strain;
mod widths;
mod wires;

pub(crate) use edge::{EdgeWidths, Rung};
pub(crate) use running::sorted;
pub use settings::{Held, StripSettings, Trim};

use flat::Flat;

/// Develops a strip.
///
/// The other hand (`strip.mirrored`) has the same flat with the other face up.
///
/// # Errors
/// [`BlankError::Section`] for a faulty piece; [`BlankError::Bend`] when a bend rule refuses its inputs or settings are out of range;
/// [`BlankError::Overlaps`] when the flat is no simple polygon.
pub fn develop(strip: &Strip, settings: &DevelopSettings) -> Result<Blank, BlankError> {
    settings.strip.check(settings)?;
    let swept = Swept::new(strip)?;
    let flat = Flat::new(&swept, settings)?;
    let outline_mm = flat.outline(&strip.name)?;
    let face_up = face_up(strip);
    let openings = openings::all(&flat);
    let lengthwise = strain::lines(&flat);
    let crown = crown::of(&flat)?;
    let folds = folds::all(&flat, face_up)?;
    let (wires, wire_workings) = wires::all(&flat)?;
    let concerns = concerns::all(&flat, crown.as_ref(), &folds);
    let area_mm2 = mesh::polygon::signed_area_mm2(&outline_mm) - openings.iter().map(openings::area_mm2).sum::<f64>();
    let mut workings = stations::workings(&flat)?;
    workings.extend(wire_workings);
    workings.extend(flat.edges.iter().flat_map(|edge| edge.workings()));
    if let Some(crown) = &crown {
        workings.push(crown.working.clone());
    }
    let (running_x, running_y) = running::dimensions(&flat, &outline_mm, &openings);
    Ok(Blank {
        piece: strip.name.clone(),
        material: strip.material.clone(),
        thickness_mm: strip.thickness_mm,
        face_up,
        stations: stations::table(&flat),
        check_dimensions: checks::dimensions(&flat),
        marks: marks::all(&flat),
        outline_mm,
        openings,
        folds,
        area_mm2,
        lengthwise: strain::worth_showing(lengthwise),
        crown,
        wires,
        running_x,
        running_y,
        trim_mm: flat.trim_mm[1],
        concerns,
        workings,
    })
}

/// The notches and scallops of a strip where they lie on its finished shape, each as a line on the outside face, mm; of the other hand reflected.
///
/// # Errors
/// As [`develop`].
pub fn reliefs_in_space(strip: &Strip, settings: &DevelopSettings) -> Result<Vec<Vec<DVec3>>, BlankError> {
    let relieved = strip
        .finished_edge
        .iter()
        .chain(&strip.cut_edge)
        .any(|own| matches!(own, MakeUp::Flange { relief: FlangeRelief::Notches | FlangeRelief::Scallops, .. }));
    if !relieved {
        return Ok(Vec::new());
    }
    settings.strip.check(settings)?;
    let swept = Swept::new(strip)?;
    let flat = Flat::new(&swept, settings)?;
    let place = |(station_mm, at): &(f64, ChainPoint)| {
        let node = swept.profile(*station_mm, Lean::After).inside_link(at.link, at.fraction)?;
        let point = swept.point(&swept.frame_jet(*station_mm, Lean::After), &node, 0.0).value;
        Some(if strip.mirrored { DVec3::new(point.x, -point.y, point.z) } else { point })
    };
    let lines = flat.edges.iter().flat_map(|edge| edge.places(&flat));
    Ok(lines.map(|line| line.iter().filter_map(place).collect()).collect())
}

/// Widest flange on one long edge, from its apex, that needs no relief by the limits of the settings; `None` where it needs none as it is, or
/// where that edge does not end in a flange.
///
/// # Errors
/// As [`develop`]; [`BlankError::Bend`] where not even the fold keeps within the limits.
pub fn widest_unrelieved_mm(
    strip: &Strip,
    edge: section::StripEdge,
    settings: &DevelopSettings,
) -> Result<Option<f64>, BlankError> {
    settings.strip.check(settings)?;
    let swept = Swept::new(strip)?;
    let flat = Flat::new(&swept, settings)?;
    let worked = flat.edges.iter().find(|own| own.edge == edge);
    worked.map_or(Ok(None), relief::WorkedEdge::widest_unrelieved_mm)
}

/// x along the edge line and y along the cross-section show −(t × o …): the inside where the strip runs up.
fn face_up(strip: &Strip) -> FaceUp {
    if (strip.runs == Runs::Up) != strip.mirrored { FaceUp::Inside } else { FaceUp::Outside }
}
