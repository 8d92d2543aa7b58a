//! Seams of a ring that is built up: round at the corners, and one along every rolled part.

use section::Ring;
use section::ring::RingPart;
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// Which seam.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SeamKind {
    /// Round the ring, at a corner of the meridian.
    Corner,
    /// Along a rolled part, where its two ends meet.
    Closing,
}

/// A seam of a ring that is built up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RingSeam {
    /// "flange to wall", "wall, closing seam".
    pub name: String,
    /// Which.
    pub kind: SeamKind,
    /// The parts that meet, the inner one first; the same twice for a closing seam.
    pub between: [String; 2],
    /// Length of the finished seam, mm.
    pub length_mm: f64,
    /// Diameter at which the parts touch, mm; `None` for a closing seam.
    pub diameter_mm: Option<f64>,
    /// Diameter of that edge of the two finished parts, mm: they must agree.
    pub edge_diameters_mm: Option<[f64; 2]>,
    /// Angle between the legs turned from straight, rad; 0 for a closing seam.
    pub turn_rad: f64,
}

/// The sharp corner of a built-up ring where the inside faces of two legs meet: there the square edges of both parts touch, and the
/// weld fills the open side (open corner joint).
#[derive(Debug, Clone, Copy)]
pub(super) struct Corner {
    /// Distance from the axis of the touching line.
    pub(super) radius_mm: f64,
    /// Angle turned, positive to the left.
    pub(super) turn_rad: f64,
    /// What the middle of either leg is shorter than its sharp middle corner.
    pub(super) back_mm: f64,
}

/// Corner `i` of a ring, from the middles of its legs.
pub(super) fn corner(ring: &Ring, middle: &[glam::DVec2], i: usize) -> Option<Corner> {
    let [a, b, c] = [middle.get(i.checked_sub(1)?)?, middle.get(i)?, middle.get(i + 1)?];
    let (p, q) = (*b - *a, *c - *b);
    let turn_rad = p.perp_dot(q).atan2(p.dot(q));
    let back_mm = 0.5 * ring.thickness_mm * (0.5 * turn_rad.abs()).tan();
    // back along the first leg, then across to the concave side
    let along = p.normalize_or_zero();
    let radius_mm = (*b - along * back_mm + along.perp() * (0.5 * ring.thickness_mm * turn_rad.signum())).x;
    Some(Corner { radius_mm, turn_rad, back_mm })
}

impl Corner {
    pub(super) fn seam(&self, between: [String; 2], edges_mm: [f64; 2]) -> RingSeam {
        let [inner, outer] = &between;
        RingSeam {
            name: format!("{inner} to {outer}"),
            kind: SeamKind::Corner,
            length_mm: TAU * self.radius_mm,
            diameter_mm: Some(2.0 * self.radius_mm),
            edge_diameters_mm: Some(edges_mm),
            turn_rad: self.turn_rad,
            between,
        }
    }
}

/// Which bend a corner is, for words.
pub(super) fn part_name(ring: &Ring, part: RingPart) -> String {
    match part {
        RingPart::Leg(leg) => ring.leg_name(leg),
        RingPart::Bend(bend) => format!("bend {bend}"),
    }
}
