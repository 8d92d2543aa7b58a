//! The table by which an end is set out by hand: equal parts of the girth, and how deep the end is cut at each.

use super::Development;
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// Girth is cut into 12 parts up to this diameter, 24 beyond (common practice, no source).
const TWELVE_PARTS_TO_MM: f64 = 60.0;

/// Depths of one end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct EndOrdinates {
    /// Name of the end.
    pub end: String,
    /// In the order of the girth from where the piece starts.
    pub rows: Vec<Ordinate>,
}

/// Depth at one place of the girth.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Ordinate {
    /// From the zero line, 0 to 2π.
    pub angle_rad: f64,
    /// Across the flat from where the piece starts, mm.
    pub across_mm: f64,
    /// From the square line through the longest tip of this end, mm.
    pub depth_mm: f64,
    /// x in the flat.
    pub x_mm: f64,
}

pub(super) fn of_end(development: &Development<'_>, end: usize) -> EndOrdinates {
    let tube = development.tube;
    let parts = if tube.outside_diameter_mm <= TWELVE_PARTS_TO_MM { 12 } else { 24 };
    let width = tube.width_mm() - tube.seam_lap_mm();
    let (from, girth) = tube.girth();
    let inward = if end == 0 { 1.0 } else { -1.0 };
    let tip = if end == 0 { development.datum_mm } else { development.datum_mm + development.length_mm };
    let row = |angle_rad: f64, across_mm: f64| {
        let station = tube.edge_station_mm(end, across_mm);
        Ordinate {
            angle_rad: angle_rad.rem_euclid(TAU),
            across_mm,
            // no minus before a zero
            depth_mm: inward * (station - tip) + 0.0,
            x_mm: station - development.datum_mm,
        }
    };
    let mut rows = vec![row(from, 0.0)];
    rows.extend((0..parts).filter_map(|i| {
        let angle = TAU * f64::from(i) / f64::from(parts);
        let across = tube.across_mm(angle);
        (across > 1e-6 && across < width - 1e-6).then(|| row(angle, across))
    }));
    rows.push(row(from + girth, width));
    rows.sort_by(|a, b| a.across_mm.total_cmp(&b.across_mm));
    EndOrdinates { end: tube.ends.get(end).map_or_else(String::new, |own| own.name.clone()), rows }
}
