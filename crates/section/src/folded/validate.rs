//! What a folded piece's numbers must be before anything is built from them.

use super::{EndCut, Folded};
use crate::error::within;
use crate::{Along, MakeUp, SectionError};
use glam::DVec2;
use mesh::polygon::{Clash, check_simple, sides, signed_area_mm2};
use std::f64::consts::TAU;

const LONGEST_MM: f64 = 10_000.0;

/// Sheet, reach, end cuts and the counts of edges and corners.
pub(super) fn numbers(folded: &Folded) -> Result<(), SectionError> {
    within("sheet thickness", folded.thickness_mm, 0.2..=6.0, "mm")?;
    within("reach of the sizes", folded.reach_mm, 0.0..=50.0, "mm")?;
    let count = folded.base.corners_mm.len();
    for (what, got) in [("folded edges", folded.edges.len()), ("corner kinds", folded.corners.len())] {
        if got != count {
            return Err(SectionError::BaseOutline { what: format!("has {count} corners but {got} {what} are given") });
        }
    }
    for (index, edge) in folded.edges.iter().enumerate() {
        for (which, cut) in [("start", &edge.start_cut), ("end", &edge.end_cut)] {
            end_cut(&format!("edge {} {which} cut", index + 1), cut)?;
        }
    }
    Ok(())
}

fn end_cut(place: &str, cut: &EndCut) -> Result<(), SectionError> {
    match *cut {
        EndCut::Meet { gap_mm } => within(format!("{place}: gap"), gap_mm, 0.0..=20.0, "mm"),
        EndCut::SetBack { back_mm } => within(format!("{place}: set back"), back_mm, -50.0..=LONGEST_MM, "mm"),
        EndCut::Angle { angle_rad } => within(format!("{place}: angle from square"), angle_rad, -1.4..=1.4, "rad"),
    }
    .map(drop)
}

/// Checks the base outline and hands it on.
pub(super) fn base_outline(corners: &[DVec2]) -> Result<&[DVec2], SectionError> {
    let fault = |what: String| Err(SectionError::BaseOutline { what });
    if corners.len() < 3 {
        return fault(format!("has {} corners where at least 3 are needed", corners.len()));
    }
    for (index, corner) in corners.iter().enumerate() {
        for (axis, value) in [("x", corner.x), ("y", corner.y)] {
            within(format!("base corner {} {axis}", index + 1), value, -LONGEST_MM..=LONGEST_MM, "mm")?;
        }
    }
    if let Some(index) = sides(corners).position(|(a, b)| a.distance(b) < 0.1) {
        return fault(format!("has no length between corners {} and {}", index + 1, (index + 1) % corners.len() + 1));
    }
    if let Err(Clash { sides: [i, j], at_mm: at }) = check_simple(corners) {
        return fault(format!("crosses itself: sides {} and {} near ({:.1}, {:.1}) mm", i + 1, j + 1, at.x, at.y));
    }
    if signed_area_mm2(corners) < 0.0 {
        return fault("runs clockwise".to_owned());
    }
    let along: Vec<DVec2> = sides(corners).map(|(a, b)| (b - a).normalize()).collect();
    let before = along.iter().cycle().skip(along.len() - 1);
    if let Some(index) = before.zip(&along).position(|(a, b)| a.perp_dot(*b).abs() < 0.0174) {
        return fault(format!("runs straight through corner {}, which leaves no corner to fold about", index + 1));
    }
    Ok(corners)
}

pub(super) fn trim(place: &str, trim_mm: f64) -> Result<f64, SectionError> {
    within(format!("{place}: trim"), trim_mm, 0.0..=500.0, "mm")
}

pub(super) fn width(place: &str, width_mm: f64) -> Result<f64, SectionError> {
    within(format!("{place}: width"), width_mm, 0.1..=LONGEST_MM, "mm")
}

pub(super) fn radius(place: &str, inside_radius_mm: f64) -> Result<f64, SectionError> {
    within(format!("{place}: inside radius"), inside_radius_mm, 0.0..=500.0, "mm")
}

pub(super) fn relief(corner: usize, diameter_mm: f64) -> Result<f64, SectionError> {
    within(format!("corner {}: relief hole", corner + 1), diameter_mm, 0.0..=200.0, "mm")
}

/// The one bend angle of a fold along a straight edge: a changing angle would twist the leg.
pub(super) fn constant_angle(place: &str, angle: &Along, edge_mm: f64) -> Result<f64, SectionError> {
    let name = format!("{place}: bend angle");
    let first = within(name.as_str(), angle.at(0.0), 0.017..=2.88, "rad")?;
    let stations = angle.breaks_mm().chain(std::iter::once(edge_mm));
    for station in stations {
        within(name.as_str(), station, 0.0..=LONGEST_MM, "mm")?;
        let here = angle.at(station);
        // The accepted range is the angle at the start: one fold, one angle.
        within(format!("{name} at {station:.1} mm along"), here, first - 1e-9..=first + 1e-9, "rad")?;
    }
    Ok(first)
}

/// A width may change along the edge only on the last leg, where no further bend line hangs on it.
pub(super) fn widths(place: &str, width: &Along, next: Option<&MakeUp>) -> Result<(), SectionError> {
    let stations: Vec<f64> = std::iter::once(0.0).chain(width.breaks_mm()).collect();
    let mut before = f64::NEG_INFINITY;
    for (index, station) in width.breaks_mm().enumerate() {
        within(format!("{place}: station of the width"), station, 0.0..=LONGEST_MM, "mm")?;
        if station <= before {
            return Err(SectionError::StationOrder {
                what: "flange width",
                index: index + 1,
                station_mm: station,
                before_mm: before,
            });
        }
        before = station;
    }
    let first = width.at(0.0);
    for station in stations {
        let here = width.at(station);
        within(format!("{place}: width at {station:.1} mm along"), here, 0.1..=LONGEST_MM, "mm")?;
        if next.is_some_and(|next| !matches!(next, MakeUp::Raw { .. } | MakeUp::Seam { .. })) {
            let name = format!("{place}: width at {station:.1} mm along (a further fold follows, so one width)");
            within(name, here, first - 1e-9..=first + 1e-9, "mm")?;
        }
    }
    Ok(())
}

pub(super) fn wire(
    place: &str,
    wire_mm: f64,
    wrap_rad: f64,
    allowance_mm: Option<f64>,
    thickness_mm: f64,
) -> Result<(), SectionError> {
    within(format!("{place}: wire"), wire_mm, 0.1..=30.0, "mm")?;
    if wire_mm < thickness_mm {
        return Err(SectionError::WireThinnerThanSheet { wire_mm, thickness_mm });
    }
    within(format!("{place}: wrap angle"), wrap_rad, 1.0..=TAU, "rad")?;
    if let Some(allowance_mm) = allowance_mm {
        within(format!("{place}: developed width of the trial strip"), allowance_mm, 0.5..=200.0, "mm")?;
    }
    Ok(())
}
