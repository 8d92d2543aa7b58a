//! A tube worked out: its flat, its shape, the papers that wrap round it, and how it stands on the vehicle.

pub(super) mod plugs;

use crate::file::TubeForm;
use crate::resolve::{JointChoice, TubeShape};
use blank::tube::wrap::{self, WrapSettings, WrapTemplate};
use blank::tube::{DevelopedTube, EndOrdinates, develop};
use blank::{Blank, DevelopSettings};
use glam::DVec3;
use mesh::Surface;
use section::tube::{Cover, LongSeam, TubeCut, Wall};
use serde::{Deserialize, Serialize};

/// Chords of the finished shape stay this near to it.
const SHAPE_TOLERANCE_MM: f64 = 0.05;

/// What only a tube has.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TubePlan {
    /// "replacement length", "sleeve", "patch".
    pub form: String,
    /// Outside diameter of the finished piece.
    pub outside_diameter_mm: f64,
    /// Inside radius that it is rolled to.
    pub inside_radius_mm: f64,
    /// Degrees of its girth.
    pub girth_deg: f64,
    /// How the long seam is made and where it stands, in words; empty for a patch.
    pub seam: String,
    /// Length of the long seam along the middle of the wall; 0 without one.
    pub seam_length_mm: f64,
    /// Where the long seam of a sleeve runs, which is welded once it lies round the old tube; none of a replacement length, whose seam the shop makes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seam_edge: Option<super::PieceEdge>,
    /// Lap of that seam; 0 where it is butted.
    #[serde(default)]
    pub seam_lap_mm: f64,
    /// What is done at the start and at the far end, in words, with the wall that touches.
    pub ends: [String; 2],
    /// Where the axis meets the two ends of the finished piece, vehicle axes.
    pub axis_mm: [DVec3; 2],
    /// Which way the zero line looks, vehicle axes.
    pub zero: DVec3,
    /// Ends from which the old tube goes on: those that are joined; both of a sleeve or a patch. A saddle has another tube there.
    pub joins: [bool; 2],
    /// Depths of both ends at equal parts of the girth.
    pub ordinates: [EndOrdinates; 2],
    /// Ends that are neither square nor flattened: their table is worth printing.
    pub shaped: [bool; 2],
    /// Flattened ends: name and width of the flat.
    pub flattened: Vec<(String, f64)>,
    /// Papers to wrap round the old tube, or round a bought one.
    pub wraps: Vec<WrapTemplate>,
    /// Lap over the old tube; 0 for a replacement length.
    pub lap_mm: f64,
    /// Which way angles run, seen from the start looking along the tube.
    pub turns: String,
}

pub(super) struct MadeTube {
    pub(super) blank: Blank,
    pub(super) shape: Surface,
    pub(super) plan: TubePlan,
    /// Which end is up and where the zero line looks, in words.
    pub(super) places: [String; 2],
}

/// Works a tube out.
pub(super) fn make(
    shape: &TubeShape,
    joint: &JointChoice,
    alone: bool,
    settings: &DevelopSettings,
) -> Result<MadeTube, String> {
    let tube = &shape.tube;
    let mut developed = develop(tube, settings).map_err(|error| error.to_string())?;
    if alone {
        plugs::add(shape, joint, &mut developed.blank);
    }
    let surface = section::tube::tessellate(tube, SHAPE_TOLERANCE_MM).map_err(|error| error.to_string())?;
    let wraps = wraps(shape)?;
    let plan = plan(shape, &developed, wraps);
    Ok(MadeTube { shape: surface, plan, places: places(shape), blank: developed.blank })
}

/// A paper for every shaped end and for every end that meets the old tube; for a sleeve or patch, one for the old tube under it.
fn wraps(shape: &TubeShape) -> Result<Vec<WrapTemplate>, String> {
    let tube = &shape.tube;
    let settings = WrapSettings::default();
    let words = |error: blank::BlankError| error.to_string();
    if shape.form != TubeForm::Replacement {
        return Ok(wrap::of_window(tube, &settings).map_err(words)?.into_iter().collect());
    }
    let mut out = Vec::new();
    for (i, (end, joins)) in tube.ends.iter().zip(shape.joins).enumerate() {
        let shaped = matches!(end.cut, TubeCut::Mitre { .. } | TubeCut::Saddle(_));
        if shaped || (joins && end.cut == TubeCut::Square) {
            out.push(wrap::of_end(tube, i, shape.vehicle_diameter_mm, &settings).map_err(words)?);
        }
    }
    Ok(out)
}

fn plan(shape: &TubeShape, developed: &DevelopedTube, wraps: Vec<WrapTemplate>) -> TubePlan {
    let tube = &shape.tube;
    let (_, girth_rad) = tube.girth();
    let seam = match tube.cover {
        Cover::Part { .. } => String::new(),
        Cover::Whole { seam_at_rad, seam } => {
            let at = format!("{:.0}° from the zero line", seam_at_rad.to_degrees().rem_euclid(360.0));
            match seam {
                LongSeam::Butt { .. } => format!("butted, {at}"),
                LongSeam::Lap { lap_mm } => format!("lapped {lap_mm:.1} mm, {at}"),
            }
        }
    };
    let seam_length_mm =
        if tube.is_whole() { developed.edges.first().map_or(0.0, blank::tube::TubeEdge::length_mm) } else { 0.0 };
    let [start, far] = &tube.ends;
    TubePlan {
        form: match shape.form {
            TubeForm::Replacement => "replacement length",
            TubeForm::Sleeve => "sleeve",
            TubeForm::Patch => "patch",
        }
        .into(),
        outside_diameter_mm: tube.outside_diameter_mm,
        inside_radius_mm: tube.radius_mm(Wall::Inside),
        girth_deg: girth_rad.to_degrees().min(360.0),
        seam,
        seam_length_mm,
        seam_edge: (shape.form == TubeForm::Sleeve).then(|| super::edges::long_seam(tube)).flatten(),
        seam_lap_mm: tube.seam_lap_mm(),
        ends: [end_words(start), end_words(far)],
        axis_mm: [0.0, tube.length_mm].map(|station| of_hand(shape, tube.to_vehicle * (DVec3::X * station))),
        zero: of_hand(shape, tube.to_vehicle.y_axis),
        joins: [0, 1].map(|i| {
            let saddle = tube.ends.get(i).is_some_and(|end| matches!(end.cut, TubeCut::Saddle(_)));
            let joined = shape.joins.get(i).copied().unwrap_or(false) || shape.form != TubeForm::Replacement;
            joined && !saddle
        }),
        ordinates: developed.ordinates.clone(),
        shaped: [start, far].map(|end| matches!(end.cut, TubeCut::Mitre { .. } | TubeCut::Saddle(_))),
        flattened: tube
            .ends
            .iter()
            .zip(&developed.flattened)
            .filter_map(|(end, flat)| Some((end.name.clone(), flat.as_ref()?.width_mm)))
            .collect(),
        wraps,
        lap_mm: tube.over.map_or(0.0, |old| old.lap_mm),
        turns: tube.turns().into(),
    }
}

fn end_words(end: &section::tube::TubeEnd) -> String {
    let degrees = |angle: f64| format!("{:.1}°", angle.to_degrees()).replace(".0°", "°");
    let touches = format!("reckoned so that the {} touches", end.wall.words());
    match &end.cut {
        TubeCut::Square => format!("{}: cut square", end.name),
        TubeCut::Mitre { angle_rad, longest_at_rad } => format!(
            "{}: mitred {} from square, longest at {}; {touches}",
            end.name,
            degrees(*angle_rad),
            degrees(*longest_at_rad)
        ),
        TubeCut::Saddle(saddle) => {
            let offset = if saddle.offset_mm == 0.0 {
                String::new()
            } else {
                format!(", {:.1} mm beside its middle", saddle.offset_mm.abs())
            };
            format!(
                "{}: saddle on a tube of {:.1} mm at {}{offset}; {touches}",
                end.name,
                saddle.main_outside_diameter_mm,
                degrees(saddle.axis_angle_rad)
            )
        }
        TubeCut::Flattened { flat_mm, hole, .. } => {
            let hole = hole.map_or_else(String::new, |hole| {
                format!(", hole {:.1} mm, its middle {:.1} mm from the tip", hole.diameter_mm, hole.from_tip_mm)
            });
            format!("{}: flattened over {flat_mm:.1} mm{hole}", end.name)
        }
    }
}

fn places(shape: &TubeShape) -> [String; 2] {
    let tube = &shape.tube;
    let (axis, zero) = (of_hand(shape, tube.to_vehicle.x_axis), of_hand(shape, tube.to_vehicle.y_axis));
    let [start, far] = &tube.ends;
    [
        format!("the {} lies {}, the {} {}", far.name, way(axis), start.name, way(-axis)),
        format!("the zero line looks {}; angles run {} seen from the {}", way(zero), tube.turns(), start.name),
    ]
}

/// A point or direction of what is described, on the finished piece.
fn of_hand(shape: &TubeShape, point: DVec3) -> DVec3 {
    if shape.tube.mirrored { DVec3::new(point.x, -point.y, point.z) } else { point }
}

fn way(direction: DVec3) -> &'static str {
    let [x, y, z] = direction.to_array();
    if z > 0.5 {
        "up"
    } else if z < -0.5 {
        "down"
    } else if x > 0.5 {
        "to the front"
    } else if x < -0.5 {
        "to the rear"
    } else if y > 0.5 {
        "to the driver's left"
    } else {
        "to the driver's right"
    }
}
