//! Make-ups: what is done at one edge of a piece, one after another outward.
//!
//! Where the edge line of a strip lies on the finished edge. Flange: at the height of the sharp outer corner (apex); the skin's first
//! link and the flange's leg each lose the setback (r + t)·tan(bend / 2) (handbook B33), and where a flange follows a flange the leg
//! between them loses both; an arc next to a fold keeps its radius and turns less. With a stand-off the apex lies
//! stand-off / sin(opening) up the skin; width and hole distances are then measured in the contact plane from the edge line, so that a
//! point at d lies d − stand-off·cot(opening) from the apex. Wired edge and hem: at the tangent where wrap or fold starts, so the
//! lowest outside point is d/2 + t, or r + t, below. On the cut edge a flange takes its setback from the skin's last link.
//! Only a flange can be followed by another make-up.

use crate::Side;
use serde::{Deserialize, Serialize};

/// A value that is constant or varies linearly between stations.
///
/// Stations are arc lengths in mm along the edge line (strip) or along the base edge from its first corner (folded).
/// Outside the first and last station the nearest value holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Along {
    /// The same everywhere.
    Constant(f64),
    /// (station_mm, value), stations rising.
    Stations(Vec<(f64, f64)>),
}

impl Along {
    /// The value at a station.
    #[must_use]
    pub fn at(&self, station_mm: f64) -> f64 {
        match self {
            Self::Constant(value) => *value,
            Self::Stations(list) => {
                let after = list.partition_point(|(station, _)| *station <= station_mm);
                match (after.checked_sub(1).and_then(|i| list.get(i)), list.get(after)) {
                    (Some(&(s0, v0)), Some(&(s1, v1))) => v0 + (v1 - v0) * (station_mm - s0) / (s1 - s0),
                    (Some(&(_, value)), None) | (None, Some(&(_, value))) => value,
                    (None, None) => f64::NAN,
                }
            }
        }
    }

    /// Stations at which the rate of change may jump.
    pub fn breaks_mm(&self) -> impl Iterator<Item = f64> + '_ {
        let list: &[(f64, f64)] = match self {
            Self::Constant(_) => &[],
            Self::Stations(list) => list,
        };
        list.iter().map(|(station, _)| *station)
    }
}

/// Allowance of a wired edge.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Curl {
    /// Arc at the centre line of the sheet round the wire, wrap angle in rad (handbook F15; default 270°).
    Geometry {
        /// Wrap angle.
        wrap_rad: f64,
    },
    /// Developed width found by the shop's own trial strip, mm from the tangent where the wrap starts; the wrap angle drawn is `wrap_rad`.
    TrialStrip {
        /// Measured developed width.
        allowance_mm: f64,
        /// Wrap angle.
        wrap_rad: f64,
    },
}

/// How tight a hem is folded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HemKind {
    /// Folded flat on itself at its inside radius.
    Closed,
    /// Left open by its inside radius, so that water can drain.
    Open,
}

/// What is done about the free edge of a flange on a curved line, where it must be gathered or let out further than the metal takes.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "relief")]
pub enum FlangeRelief {
    /// Nothing: folded in one as it is.
    #[default]
    None,
    /// V notches that take the surplus out of a gathered edge; they close when the flange is folded, and are welded up.
    Notches,
    /// Scallops with a round foot cut into an edge that is let out; they open and stay open.
    Scallops,
    /// Folded only as far as the seam; the rest of the flange is a piece of its own, welded on edge to edge.
    Split {
        /// From the apex along the flange's outer face to the seam.
        seam_mm: f64,
    },
}

/// What is done at one edge; make-ups follow one another outward.
///
/// Bend angles are turned from flat, rad. Lengths in mm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum MakeUp {
    /// A plain edge, `trim_mm` extra left on to trim.
    Raw {
        /// Extra to trim.
        trim_mm: f64,
    },
    /// A step towards the inside with a lap beyond it, so that outside faces come out flush. Ends the chain.
    Joggle {
        /// Depth of the step = thickness cleared.
        depth_mm: f64,
        /// Run of the ramp along the unstepped face (5 × depth).
        ramp_mm: f64,
        /// From the step line (where the old panel's edge lies) to the far edge, ramp included, along the outside face.
        lap_mm: f64,
        /// The step runs out to nothing over so much at the start and at the end of the piece, spare included; 0 keeps its full depth.
        #[serde(default)]
        runs_out_mm: [f64; 2],
    },
    /// A fold with a leg. On the finished edge of a strip the edge line is the sharp outer corner (apex).
    Flange {
        /// Bend angle turned from flat; opening angle = π − bend.
        bend_angle_rad: Along,
        /// Inside radius.
        inside_radius_mm: f64,
        /// Width from the apex to the flange's free edge along its outer face; to the next make-up's start where one follows (its apex for
        /// a flange). With a stand-off: from the edge line, in the contact plane.
        width_mm: Along,
        /// Which way it turns.
        turns: Side,
        /// Distance of the flange's outer face from the contact plane of a pair (half the spacer); 0 for a single flange.
        stand_off_mm: f64,
        /// What is done where its free edge is worked past the metal's limit.
        #[serde(default)]
        relief: FlangeRelief,
    },
    /// The edge wrapped round a wire. The edge line is the tangent where the wrap starts. Ends the chain.
    Wired {
        /// Wire diameter.
        wire_mm: f64,
        /// Allowance and wrap.
        curl: Curl,
        /// Which way the curl turns.
        turns: Side,
    },
    /// The edge folded back on itself. The edge line is the tangent where the fold starts. Ends the chain.
    Hem {
        /// Width of the folded-back leg from its tangent.
        width_mm: f64,
        /// Inside radius (closed: about t/2; open: what drains).
        inside_radius_mm: f64,
        /// Closed or open.
        hem: HemKind,
        /// Which way it folds.
        turns: Side,
    },
    /// A plain leg beyond the edge for a seam with another piece. Ends the chain.
    Seam {
        /// Width of the leg.
        width_mm: f64,
    },
}
