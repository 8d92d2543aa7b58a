//! Development of round tubes: the flat to cut, the table to set it out by hand, and the papers that wrap round a tube.
//!
//! Model: the sheet is cut square to its face and rolled about its middle; the flat is exact at the middle of the wall (handbook D1),
//! end cuts are exact at the wall that touches (D6–D13, see [`section::tube`]). A flattened end keeps its girth; what its lengthwise
//! lines take up on the way from round to flat is added to the length.
//! Holds: the outline is a simple polygon within the sampling tolerance of the exact cut; the same input gives the same bits.
//! Does not hold for: bevelled edges; stretch of the wall in rolling (none for a bend about the middle); the gap that a square
//! edge leaves at the other wall, which is reported.
//! Frame of the flat: x along the axis from the tip of the start end, y round the girth from where the piece starts; the inside of the
//! tube is up, so that it is rolled towards you. The other hand is the same outline with the outside up.

pub mod elbow;
pub mod wrap;

mod concerns;
mod dimensions;
mod figures;
mod openings;
mod ordinates;

pub use ordinates::{EndOrdinates, Ordinate};
pub use wrap::{WrapSettings, WrapTemplate};

use crate::{Blank, BlankError, DevelopSettings, FaceUp, FlatMark, MarkKind};
use glam::DVec2;
use section::Tube;
use section::tube::{FlattenedShape, TubeCut, TubeOutline, flattened_shape, outline};
use std::f64::consts::FRAC_PI_2;

/// A developed tube.
#[derive(Debug, Clone, PartialEq)]
pub struct DevelopedTube {
    /// The flat as every other piece has it.
    pub blank: Blank,
    /// Edges of the flat in order: first side, far end, second side, start end.
    pub edges: Vec<TubeEdge>,
    /// Depths of both ends at equal parts of the girth, for setting out by hand.
    pub ordinates: [EndOrdinates; 2],
    /// What a flattened end comes out at, start and far end.
    pub flattened: [Option<FlattenedShape>; 2],
    /// Station of the flat's x = 0, from the datum of the start end.
    pub datum_mm: f64,
}

/// One edge of the flat.
#[derive(Debug, Clone, PartialEq)]
pub struct TubeEdge {
    /// "long seam, first side", "foot" …
    pub name: String,
    /// Its points in the flat, in the order of the outline.
    pub points_mm: Vec<DVec2>,
}

impl TubeEdge {
    /// Length, mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        self.points_mm.windows(2).map(|pair| pair.first().zip(pair.last()).map_or(0.0, |(a, b)| a.distance(*b))).sum()
    }
}

/// What the parts of a development share.
struct Development<'a> {
    tube: &'a Tube,
    settings: &'a DevelopSettings,
    datum_mm: f64,
    /// Longest and shortest lengthwise line, mm.
    length_mm: f64,
}

/// Develops a tube.
///
/// # Errors
/// [`BlankError::Section`] for a tube that cannot exist, each fault named with what would be accepted.
pub fn develop(tube: &Tube, settings: &DevelopSettings) -> Result<DevelopedTube, BlankError> {
    let TubeOutline { points_mm, edges } = outline(tube, settings.sampling_tolerance_mm)?;
    let low = points_mm.iter().map(|point| point.x).fold(f64::INFINITY, f64::min);
    let high = points_mm.iter().map(|point| point.x).fold(f64::NEG_INFINITY, f64::max);
    let outline_mm: Vec<DVec2> = points_mm.iter().map(|point| *point - DVec2::new(low, 0.0)).collect();
    let development = Development { tube, settings, datum_mm: low, length_mm: high - low };
    let openings = openings::openings(&development);
    let area = figures::area(&outline_mm, &openings);
    let ordinates = [0, 1].map(|end| ordinates::of_end(&development, end));
    let (running_x, running_y) = dimensions::running(&development, &openings);
    let edges = edges
        .into_iter()
        .map(|edge| TubeEdge {
            name: edge.name,
            points_mm: edge.points.iter().filter_map(|i| outline_mm.get(*i).copied()).collect(),
        })
        .collect();
    let flattened = [0, 1].map(|end| match tube.ends.get(end)?.cut {
        TubeCut::Flattened { transition_mm, .. } => Some(flattened_shape(tube, transition_mm)),
        _ => None,
    });
    let blank = Blank {
        piece: tube.name.clone(),
        material: tube.material.clone(),
        thickness_mm: tube.thickness_mm,
        face_up: if tube.mirrored { FaceUp::Outside } else { FaceUp::Inside },
        folds: Vec::new(),
        marks: marks(&development),
        area_mm2: area.value,
        stations: Vec::new(),
        lengthwise: Vec::new(),
        crown: None,
        wires: Vec::new(),
        check_dimensions: dimensions::checks(&development),
        running_x,
        running_y,
        trim_mm: flattened.iter().flatten().map(|shape| shape.folds_stand_out_mm).fold(0.0, f64::max),
        concerns: concerns::concerns(&development),
        workings: figures::workings(&development, area),
        outline_mm,
        openings,
    };
    Ok(DevelopedTube { blank, edges, ordinates, flattened, datum_mm: low })
}

impl Development<'_> {
    /// A point of the flat from a station and a place across.
    fn flat(&self, station_mm: f64, across_mm: f64) -> DVec2 {
        DVec2::new(station_mm - self.datum_mm, across_mm)
    }

    /// Quarters of the girth that are on the piece: angle in degrees and place across; the start again after a whole turn is left out.
    fn quarters(&self) -> Vec<(u32, f64)> {
        let width = self.tube.width_mm() - self.tube.seam_lap_mm();
        let at = |quarter: u32| (90 * quarter, self.tube.across_mm(f64::from(quarter) * FRAC_PI_2));
        (0..4).map(at).filter(|(_, y)| *y < width).collect()
    }
}

/// Lengthwise lines at the quarters of the girth, the lap of the long seam, where a flattened end begins and ends, and its hole.
fn marks(development: &Development<'_>) -> Vec<FlatMark> {
    let tube = development.tube;
    let along =
        |y: f64| vec![development.flat(tube.edge_station_mm(0, y), y), development.flat(tube.edge_station_mm(1, y), y)];
    let quarter = |(degrees, y): (u32, f64)| FlatMark {
        kind: MarkKind::GirthLine,
        line_mm: along(y),
        label: if degrees == 0 { "zero line, 0°".to_owned() } else { format!("{degrees}°") },
    };
    let mut out: Vec<FlatMark> = development.quarters().into_iter().map(quarter).collect();
    let lap = tube.seam_lap_mm();
    if lap > 0.0 {
        let y = tube.width_mm() - lap;
        out.push(FlatMark { kind: MarkKind::LapLine, line_mm: along(y), label: "lap of the long seam".to_owned() });
    }
    for (i, end) in tube.ends.iter().enumerate() {
        let TubeCut::Flattened { flat_mm, transition_mm, .. } = end.cut else { continue };
        let tip = tube.cut_station_mm(i, 0.0);
        let inward = if i == 0 { 1.0 } else { -1.0 };
        let taken = flattened_shape(tube, transition_mm).taken_up_mm;
        for (from_tip, label) in [
            (flat_mm, format!("{}: flat", end.name)),
            (flat_mm + transition_mm + taken, format!("{}: round", end.name)),
        ] {
            let x = tip + inward * from_tip;
            let line_mm = vec![development.flat(x, 0.0), development.flat(x, tube.width_mm())];
            out.push(FlatMark { kind: MarkKind::TangentLine, line_mm, label });
        }
    }
    out
}
