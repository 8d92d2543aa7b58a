//! Hammerforms of a ring: a board on the hollow side of every bend beside a flat leg, and the board that clamps the leg on it.
//!
//! The sheet lies flat on the board; the next leg is beaten down over the board's edge, which is rounded to the bend's inside radius.
//! Where the flat leg lies outside the bend the board has a hole, where it lies inside the board is a disc. The clamping board ends
//! where the sheet begins to bend.
//! Source: geometry of a bend with a round inside (as `templates::hammerform`).

use section::Ring;
use section::ring::{LegKind, Meridian, RingPart};
use serde::{Deserialize, Serialize};

/// Which board.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FormSide {
    /// A board with a round hole: the next leg goes down into it.
    HoleInBoard,
    /// A round board: the next leg goes down over its edge.
    Disc,
}

/// A pair of boards for one bend.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RingForm {
    /// "form 1: flange to wall".
    pub name: String,
    /// Bend, counted as corners are.
    pub bend: usize,
    /// Which board.
    pub side: FormSide,
    /// Leg that is clamped.
    pub clamped: String,
    /// Leg that is beaten over.
    pub beaten: String,
    /// Diameter of the hole or disc, where the hollow face of the beaten leg comes to lie, mm.
    pub board_diameter_mm: f64,
    /// Diameter of the clamping board's edge, mm.
    pub clamp_diameter_mm: f64,
    /// Radius to which the board's edge is rounded, mm.
    pub edge_radius_mm: f64,
    /// Least thickness of the board: height of the beaten leg, mm.
    pub least_thickness_mm: f64,
    /// Angle of the board's side from upright, rad; 0 for a wall.
    pub side_rad: f64,
    /// True when the sheet lies on the board with its outside face.
    pub outside_face_down: bool,
}

/// The forms of a ring, from its innermost bend outwards.
pub(super) fn forms(ring: &Ring, meridian: &Meridian) -> Vec<RingForm> {
    let bends = meridian.links.iter().filter_map(|link| match link.part {
        RingPart::Bend(bend) => Some((bend, link)),
        RingPart::Leg(_) => None,
    });
    let half = 0.5 * ring.thickness_mm;
    let mut out = Vec::new();
    for (bend, link) in bends {
        let Some(before) = bend.checked_sub(1) else { continue };
        let (clamped, beaten) = match (ring.leg_kind(before), ring.leg_kind(bend)) {
            (Some(LegKind::Flat), Some(_)) => (before, bend),
            (Some(_), Some(LegKind::Flat)) => (bend, before),
            _ => continue,
        };
        // towards the hollow side
        let hollow = half * link.turn_rad.signum();
        let (steep_end, flat_end) = if beaten == bend { (link.length_mm, 0.0) } else { (0.0, link.length_mm) };
        let touch = link.at(steep_end) + link.normal(steep_end) * hollow;
        let steep = link.normal(steep_end).perp();
        let inside = ring.corners.get(bend).map_or(0.0, |corner| corner.inside_radius_mm);
        // the hollow faces' sharp corner lies on the steep leg's hollow face, at the height of the board's top
        let top = (link.at(flat_end) + link.normal(flat_end) * hollow).y;
        let slope = if steep.y.abs() > 1e-9 { steep.x / steep.y } else { 0.0 };
        let sharp = touch.x + slope * (top - touch.y);
        let begins = link.at(flat_end).x;
        let height = ring.corners.get(beaten).zip(ring.corners.get(beaten + 1));
        out.push(RingForm {
            name: format!("form {}: {} to {}", out.len() + 1, ring.leg_name(clamped), ring.leg_name(beaten)),
            bend,
            side: if begins > sharp { FormSide::HoleInBoard } else { FormSide::Disc },
            clamped: ring.leg_name(clamped),
            beaten: ring.leg_name(beaten),
            board_diameter_mm: 2.0 * sharp,
            clamp_diameter_mm: 2.0 * begins,
            edge_radius_mm: inside,
            least_thickness_mm: height.map_or(0.0, |(a, b)| (a.height_mm - b.height_mm).abs()),
            side_rad: slope.atan(),
            outside_face_down: link.turn_rad > 0.0,
        });
    }
    out
}
