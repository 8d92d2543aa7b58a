//! Cutting a pattern to the height of the repair.
//!
//! Heights are taped along the outside face, square to the edge, from the lowest outside point of the finished edge: over the
//! wire (d/2 + t below the tangent where the wrap starts), over the fold of a hem (r + t below), from the apex of a
//! flange, from the edge line of a plain edge.

use crate::error::within;
use crate::{CrossSection, Link, MakeUp, SectionError, Strip};

/// Height error accepted between the cross-sections put in where the cut runs through a varying arc, mm.
const HEIGHT_TOLERANCE_MM: f64 = 1e-3;

/// What the finished edge stands below the edge line along the skin, mm.
#[must_use]
pub fn below_edge_line_mm(strip: &Strip) -> f64 {
    match strip.finished_edge.first() {
        Some(MakeUp::Wired { wire_mm, .. }) => 0.5 * wire_mm + strip.thickness_mm,
        Some(MakeUp::Hem { inside_radius_mm, .. }) => inside_radius_mm + strip.thickness_mm,
        _ => 0.0,
    }
}

/// Cuts the skin of a pattern at a height and gives it the make-up of the cut edge.
///
/// `cut_height_mm` is where the old panel's edge will lie, taped as the module says. With a
/// [`MakeUp::Joggle`] first in `cut_edge` that is the step line, and the piece is higher by its lap:
/// piece height = cut height + lap. With a raw edge the piece ends there.
///
/// # Errors
/// [`SectionError::HigherThanPattern`], [`SectionError::TallerThanStrip`] or [`SectionError::LapWiderThanPiece`], and what
/// [`crate::Swept::new`] finds in the pattern.
pub fn cut_to_height(pattern: &Strip, cut_height_mm: f64, cut_edge: Vec<MakeUp>) -> Result<Strip, SectionError> {
    let below = below_edge_line_mm(pattern);
    within("the height of the cut", cut_height_mm, 0.1..=5000.0, "mm")?;
    if let Some(MakeUp::Joggle { lap_mm, .. }) = cut_edge.first()
        && *lap_mm > cut_height_mm
    {
        return Err(SectionError::LapWiderThanPiece { lap_mm: *lap_mm, height_mm: cut_height_mm });
    }
    let skin_mm = cut_height_mm - below;
    if skin_mm <= 0.0 {
        let what =
            if matches!(pattern.finished_edge.first(), Some(MakeUp::Hem { .. })) { "the hem" } else { "the curl" };
        return Err(SectionError::TallerThanStrip { what, need_mm: below, height_mm: cut_height_mm });
    }
    let whole = Strip { openings: Vec::new(), cut_edge: Vec::new(), ..pattern.clone() };
    crate::Swept::new(&whole)?;
    let mut sections = Vec::new();
    for station_mm in stations(pattern, skin_mm) {
        let section = section_at(pattern, station_mm);
        let have = height(&section, pattern.thickness_mm);
        let inside =
            station_mm >= pattern.from_mm - pattern.spare_from_mm && station_mm <= pattern.to_mm + pattern.spare_to_mm;
        if have < skin_mm - 1e-6 && inside {
            return Err(SectionError::HigherThanPattern { station_mm, have_mm: have + below, need_mm: cut_height_mm });
        }
        sections.push(truncate(section, skin_mm, pattern.thickness_mm));
    }
    drop_empty_links(&mut sections);
    Ok(Strip { sections, cut_edge, ..pattern.clone() })
}

/// Cross-section of the pattern between its stations.
fn section_at(pattern: &Strip, station_mm: f64) -> CrossSection {
    let sections = &pattern.sections;
    let after = sections.partition_point(|section| section.station_mm <= station_mm);
    match (after.checked_sub(1).and_then(|i| sections.get(i)), sections.get(after)) {
        (Some(a), Some(b)) => {
            let f = (station_mm - a.station_mm) / (b.station_mm - a.station_mm);
            let mix = |x: f64, y: f64| x + (y - x) * f;
            let links = a.links.iter().zip(&b.links).map(|pair| match pair {
                (
                    Link::Arc { inside_radius_mm: ra, bend_angle_rad: pa },
                    Link::Arc { inside_radius_mm: rb, bend_angle_rad: pb },
                ) => Link::Arc { inside_radius_mm: mix(*ra, *rb), bend_angle_rad: mix(*pa, *pb) },
                (Link::Straight { length_mm: la }, Link::Straight { length_mm: lb }) => {
                    Link::Straight { length_mm: mix(*la, *lb) }
                }
                (other, _) => *other,
            });
            let start_angle_rad = mix(a.start_angle_rad, b.start_angle_rad);
            CrossSection { station_mm, start_angle_rad, links: links.collect() }
        }
        (Some(only), None) | (None, Some(only)) => CrossSection { station_mm, ..only.clone() },
        (None, None) => CrossSection { station_mm, start_angle_rad: 0.0, links: Vec::new() },
    }
}

/// Length along the outside face of one link.
fn outside(link: &Link, thickness_mm: f64) -> f64 {
    match link {
        Link::Straight { length_mm } => *length_mm,
        Link::Arc { inside_radius_mm, bend_angle_rad } => {
            bend_angle_rad.abs() * (inside_radius_mm + if *bend_angle_rad > 0.0 { 0.0 } else { thickness_mm })
        }
    }
}

fn height(section: &CrossSection, thickness_mm: f64) -> f64 {
    section.links.iter().map(|link| outside(link, thickness_mm)).sum()
}

/// Ends the chain at a height; links beyond keep their place with length or angle 0.
fn truncate(mut section: CrossSection, skin_mm: f64, thickness_mm: f64) -> CrossSection {
    let mut left = skin_mm;
    for link in &mut section.links {
        let length = outside(link, thickness_mm);
        if length > left {
            match link {
                Link::Straight { length_mm } => *length_mm = left,
                Link::Arc { bend_angle_rad, .. } => *bend_angle_rad *= left / length,
            }
            left = 0.0;
        } else {
            left -= length;
        }
    }
    section
}

/// Stations at which the cut cross-section must be given so that its height is right between them too.
fn stations(pattern: &Strip, skin_mm: f64) -> Vec<f64> {
    let mut stations: Vec<f64> = pattern.sections.iter().map(|section| section.station_mm).collect();
    stations.extend([pattern.from_mm - pattern.spare_from_mm, pattern.to_mm + pattern.spare_to_mm]);
    stations.sort_by(f64::total_cmp);
    stations.dedup_by(|later, earlier| (*later - *earlier).abs() < 1e-6);
    let cut = |station_mm| truncate(section_at(pattern, station_mm), skin_mm, pattern.thickness_mm);
    let mut i = 0;
    while i + 1 < stations.len() && stations.len() < 400 {
        let (a, b) = (stations[i], stations[i + 1]);
        let (first, last) = (cut(a), cut(b));
        let wrong = [0.25, 0.5, 0.75].iter().any(|f| {
            let between = Strip { sections: vec![first.clone(), last.clone()], ..pattern.clone() };
            let station_mm = a + (b - a) * f;
            let full = height(&section_at(pattern, station_mm), pattern.thickness_mm).min(skin_mm);
            (height(&section_at(&between, station_mm), pattern.thickness_mm) - full).abs() > HEIGHT_TOLERANCE_MM
        });
        if wrong && b - a > 0.05 {
            stations.insert(i + 1, 0.5 * (a + b));
        } else {
            i += 1;
        }
    }
    stations
}

/// Takes off links at the far end that are empty at every station.
fn drop_empty_links(sections: &mut [CrossSection]) {
    let empty = |link: &Link| match link {
        Link::Straight { length_mm } => *length_mm == 0.0,
        Link::Arc { bend_angle_rad, .. } => *bend_angle_rad == 0.0,
    };
    while sections.iter().all(|section| section.links.len() > 1 && section.links.last().is_some_and(empty)) {
        for section in sections.iter_mut() {
            section.links.pop();
        }
    }
}
