//! Whether the mesh beside a seam is fine enough for the heat of an arc.

use super::HeatError;
use super::line::Line;
use crate::heat::within;
use glam::DVec3;
use mesh::Skin;
use mesh::nearest::Nearest;

/// Longest edge beside the seam over the radius of the spot. With it, peaks from 1.6 radii beside the seam outwards came within 1 % of
/// those on a mesh four times as fine and those in the pool within 2 %; with twice as coarse a mesh within 2 and 18 %
/// (checks: `weld_conduction`).
const EDGE_OVER_RADIUS: f64 = 1.15;
/// How far beside the seam edges count, in radii.
const BESIDE: f64 = 2.0;

/// Edges beside a seam.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fineness {
    /// Longest edge of a triangle within two radii of the seam.
    pub longest_edge_mm: f64,
    /// Longest that is fine enough.
    pub need_mm: f64,
    /// Triangles there.
    pub triangles: usize,
}

impl Fineness {
    /// Whether temperatures beside the seam can be trusted; at a distance of a few edges they can on any mesh.
    pub fn is_enough(&self) -> bool {
        self.longest_edge_mm <= self.need_mm * (1.0 + 1e-9)
    }
}

/// Edges of the mesh beside a seam, against what a spot of heat of a radius needs.
///
/// # Errors
/// [`HeatError`]: the line is none or lies off the mesh by more than the radius, or the mesh is unsound.
pub fn fineness(skin: &Skin, line_mm: &[DVec3], radius_mm: f64) -> Result<Fineness, HeatError> {
    let radius = within("radius of the spot of heat", radius_mm, [0.2, 30.0], "mm")?;
    let line = Line::new(line_mm)?;
    let nearest = Nearest::new(skin)?;
    let steps = (line.length_mm() / radius).ceil().max(1.0) as u32;
    let places: Vec<DVec3> = (0..=steps).map(|i| line.at(line.length_mm() * f64::from(i) / f64::from(steps))).collect();
    super::line::samples(skin, &nearest, places.iter().copied(), "weld line", radius)?;
    let (low, high) = places.iter().fold((DVec3::MAX, DVec3::MIN), |(l, h), p| (l.min(*p), h.max(*p)));
    let (low, high) = (low - BESIDE * radius, high + BESIDE * radius);
    let mut found = Fineness { longest_edge_mm: 0.0, need_mm: EDGE_OVER_RADIUS * radius, triangles: 0 };
    for triangle in 0..skin.triangles.len() {
        let corners = skin.corners(triangle);
        let [a, b, c] = corners;
        if !(a.min(b).min(c).cmple(high).all() && a.max(b).max(c).cmpge(low).all()) {
            continue;
        }
        let longest = (0..3).map(|i| corners[i].distance(corners[(i + 1) % 3])).fold(0.0, f64::max);
        let reach = BESIDE * radius + longest;
        let middle = (a + b + c) / 3.0;
        if places.iter().any(|place| place.distance(middle) <= reach) {
            found.triangles += 1;
            found.longest_edge_mm = found.longest_edge_mm.max(longest);
        }
    }
    Ok(found)
}
