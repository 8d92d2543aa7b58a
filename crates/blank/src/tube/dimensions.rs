//! Running dimensions of the flat and check dimensions of the finished tube.

use super::Development;
use crate::strip::sorted;
use crate::{CheckDimension, FlatOpening, RunningDimension};
use glam::DVec2;
use section::tube::{TubeCut, Wall, flattened_shape};
use std::f64::consts::PI;

/// Along x and along y from the lower left corner of the rectangle round the flat.
pub(super) fn running(
    development: &Development<'_>,
    openings: &[FlatOpening],
) -> (Vec<RunningDimension>, Vec<RunningDimension>) {
    let tube = development.tube;
    let mut along = vec![("datum".to_owned(), DVec2::ZERO), ("far edge".to_owned(), DVec2::X * development.length_mm)];
    let mut across = vec![("datum".to_owned(), DVec2::ZERO), ("far edge".to_owned(), DVec2::Y * tube.width_mm())];
    for (degrees, y) in development.quarters() {
        for (end, own) in tube.ends.iter().enumerate() {
            let at = development.flat(tube.edge_station_mm(end, y), y);
            along.push((format!("{} at {degrees}°", own.name), at));
        }
        across.push((format!("line at {degrees}°"), development.flat(development.datum_mm, y)));
    }
    if tube.seam_lap_mm() > 0.0 {
        across.push(("lap of the long seam".to_owned(), DVec2::Y * (tube.width_mm() - tube.seam_lap_mm())));
    }
    for opening in openings {
        along.push((opening.name.clone(), opening.centre_mm));
        across.push((opening.name.clone(), opening.centre_mm));
    }
    (listed(along, |p| p.x), listed(across, |p| p.y))
}

/// Rising; places at one distance share a line, the first name stays.
fn listed(points: Vec<(String, DVec2)>, pick: fn(DVec2) -> f64) -> Vec<RunningDimension> {
    let mut list = sorted(points, pick);
    list.dedup_by(|later, first| (later.from_datum_mm - first.from_datum_mm).abs() < 1e-3);
    list
}

/// What is measured on the finished tube.
pub(super) fn checks(development: &Development<'_>) -> Vec<CheckDimension> {
    let tube = development.tube;
    let reach = tube.reach_mm;
    let mut list = Vec::new();
    let class = development.settings.tolerance_class;
    let mut length =
        |name: String, nominal: f64| list.extend(CheckDimension::linear(name, nominal, class, Some(reach)));
    if tube.is_whole() {
        length("outside diameter, twice crosswise".into(), tube.outside_diameter_mm);
        length("round the outside, by tape".into(), PI * tube.outside_diameter_mm);
    } else {
        let (_, girth) = tube.girth();
        length("inside radius, by a template".into(), tube.radius_mm(Wall::Inside));
        length("round the outside, by tape".into(), girth * tube.radius_mm(Wall::Outside));
    }
    let [start, far] = &tube.ends;
    let (first, last) = (start.tip_depth_mm(tube), tube.length_mm - far.tip_depth_mm(tube));
    let bent = tube.ends.iter().any(|end| matches!(end.cut, TubeCut::Flattened { .. }));
    if tube.is_whole() || bent {
        length("from tip to tip, between two squares".into(), last - first);
    } else {
        length("overall along the axis".into(), development.length_mm);
    }
    for (i, end) in tube.ends.iter().enumerate() {
        match &end.cut {
            TubeCut::Square => {}
            TubeCut::Mitre { .. } | TubeCut::Saddle(_) => {
                let name = format!("{}: from its longest to its shortest side, along the tube", end.name);
                length(name, depth(development, i));
            }
            TubeCut::Flattened { transition_mm, hole, .. } => {
                let shape = flattened_shape(tube, *transition_mm);
                length(format!("{}: width of the flat", end.name), shape.width_mm);
                length(format!("{}: both thicknesses together", end.name), shape.height_mm);
                if let Some(hole) = hole {
                    length(format!("{}: middle of the hole from the tip", end.name), hole.from_tip_mm);
                }
            }
        }
    }
    for opening in &tube.openings {
        length(format!("{}: along from the {}'s datum", opening.name, start.name), opening.along_mm);
        length(format!("{}: round the outside from the zero line", opening.name), opening.from_edge_mm);
    }
    list
}

/// Difference between the longest and the shortest side of an end over the piece.
pub(super) fn depth(development: &Development<'_>, end: usize) -> f64 {
    const STEPS: u32 = 1440;
    let tube = development.tube;
    let width = tube.width_mm();
    let all = (0..=STEPS).map(|i| tube.edge_station_mm(end, width * f64::from(i) / f64::from(STEPS)));
    let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)));
    high - low
}
