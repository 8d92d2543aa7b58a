//! Double curvature of a crowned strip from its own stations (handbook S24, H3).

use super::flat::Flat;
use crate::{BlankError, Crown, CrownVerdict};
use glam::DVec3;
use handbook::crown;
use section::{Lean, Part, Shape};

/// The station where the crown is strongest; `None` for a strip that is flat across or straight along everywhere.
///
/// Curvature along: normal curvature of the middle surface at the middle of the skin's width. Curvature across: what the rolled
/// links of the skin turn, over the skin's width; sharp folds are no crown.
pub(super) fn of(flat: &Flat<'_>) -> Result<Option<Crown>, BlankError> {
    let mut worst: Option<(f64, crown::CrownFigures)> = None;
    for (station, _) in flat.held.weighted_stations() {
        let Some((width, curvatures)) = curvatures(flat, station) else { continue };
        if curvatures.iter().any(|k| k.abs() < 1e-9) {
            continue;
        }
        let figures = crown::strip(width, curvatures, flat.settings.strip.crown_limits()).map_err(|fault| {
            BlankError::Bend { place: format!("crown at station {station:.1} mm"), what: fault.to_string() }
        })?;
        if worst.as_ref().is_none_or(|(_, known)| figures.strain > known.strain) {
            worst = Some((station, figures));
        }
    }
    Ok(worst.map(|(station_mm, figures)| Crown {
        strain_percent: 100.0 * figures.strain,
        station_mm,
        verdict: match figures.crown {
            crown::Crown::SpringsToShape => CrownVerdict::SpringsToShape,
            crown::Crown::WheelOrShrink => CrownVerdict::Wheel,
            crown::Crown::WantsASkin => CrownVerdict::WheeledSkin,
        },
        highest_strip_mm: figures.highest_strip_mm,
        working: figures.working,
    }))
}

/// Width of the skin and its curvatures along and across, 1/mm.
fn curvatures(flat: &Flat<'_>, station_mm: f64) -> Option<(f64, [f64; 2])> {
    let profile = flat.swept.profile(station_mm, Lean::After);
    let skin: Vec<usize> =
        (0..profile.links.len()).filter(|i| matches!(profile.links[*i].part, Part::Skin { .. })).collect();
    let width = |link: usize| flat.widths.width(&profile, link).mm;
    let whole: f64 = skin.iter().map(|link| width(*link)).sum();
    let turned: f64 = skin
        .iter()
        .filter(|link| flat.widths.is_rolled(**link))
        .map(|link| match profile.links[*link].shape {
            Shape::Arc { bend_rad, .. } => bend_rad.value.abs(),
            Shape::Straight { .. } => 0.0,
        })
        .sum();
    let mut left = 0.5 * whole;
    let mut middle = (*skin.first()?, 0.0);
    for &link in &skin {
        let own = width(link);
        if left <= own && own > 0.0 {
            middle = (link, left / own);
            break;
        }
        left -= own;
    }
    let node = profile.inside_link(middle.0, middle.1)?;
    let frame = flat.swept.frame_jet(station_mm, Lean::After);
    let curve = flat.swept.point(&frame, &node, 0.5 * profile.thickness_mm);
    let normal: DVec3 = curve.first.cross(frame.direction(node.direction()).value).normalize();
    let along = curve.second.dot(normal) / curve.first.length_squared();
    (whole > 0.0).then(|| (whole, [along, turned / whole]))
}
