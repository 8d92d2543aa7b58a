//! What is given: panel, metal, weld lines, heat, supports.

use super::{PlannedHeat, WarpError};
use crate::metal::WeldMetal;
use crate::order::search::SearchSettings;
use crate::panel::SeamLine;
use crate::shrinkage::ShopFactors;
use glam::DVec3;
use handbook::ShopRules;
use handbook::joints::{JointKind, Sheets};
use handbook::welding::{BUTT_GAP_T, INTER_RUN_C};
use mesh::Skin;
use serde::{Deserialize, Serialize};

/// How the two sides of a weld line are joined.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "joint", deny_unknown_fields)]
pub enum SeamJoint {
    /// Edge to edge: tacks, then runs over the whole line.
    Butt {
        /// Gap as it is set up.
        gap_mm: f64,
    },
    /// One sheet over the other, plugs or spots through both. In the model both lie on one middle face, and the sheet is twice as
    /// thick over the overlap.
    Lap {
        /// Overlap, half of it on either side of the line.
        overlap_mm: f64,
        /// Diameter of hole or nugget.
        dot_mm: f64,
    },
}

impl SeamJoint {
    /// Overlap and hole of a plugged lap of two such sheets (W41, H9), mm.
    ///
    /// # Errors
    /// [`WarpError::Rule`] for a thickness that the rules do not know.
    pub fn usual_lap_mm(thickness_mm: f64, rules: &ShopRules) -> Result<[f64; 2], WarpError> {
        let sheets = Sheets { front_mm: thickness_mm, back_mm: thickness_mm, load_bearing: false };
        let figures = handbook::joints::joint(JointKind::SteppedLapPlug, sheets, rules)?;
        Ok([figures.overlap_mm, figures.hole_mm.unwrap_or(rules.plug_hole_skin_mm)])
    }

    /// A butt as it is usually set up.
    #[must_use]
    pub fn usual_butt(thickness_mm: f64) -> Self {
        Self::Butt { gap_mm: BUTT_GAP_T * thickness_mm }
    }

    /// Diameter of its plugs or spots; none of a butt.
    #[must_use]
    pub const fn dot_mm(&self) -> Option<f64> {
        match self {
            Self::Butt { .. } => None,
            Self::Lap { dot_mm, .. } => Some(*dot_mm),
        }
    }

    /// Name as printed.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Butt { .. } => "butt",
            Self::Lap { .. } => "lap with plugs or spots",
        }
    }
}

/// A weld line and its joint.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedSeam {
    /// The line on the middle face.
    pub line: SeamLine,
    /// The joint.
    pub joint: SeamJoint,
}

/// What holds an edge of the panel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum EdgeKind {
    /// A flange turned along it: cannot leave the surface, is free along it.
    Flange,
    /// A wired edge: as a flange.
    Wired,
    /// Welded or bolted to its neighbour: does not move.
    Neighbour,
    /// Nothing.
    Free,
}

impl EdgeKind {
    /// Name as printed.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Flange => "flange",
            Self::Wired => "wired edge",
            Self::Neighbour => "neighbour",
            Self::Free => "free edge",
        }
    }
}

/// A support.
#[derive(Debug, Clone, PartialEq)]
pub enum PanelSupport {
    /// Free edges near a line of points are held.
    Edge {
        /// How.
        kind: EdgeKind,
        /// Points along the edge; a single point takes what lies near it. Empty: every outer edge.
        points_mm: Vec<DVec3>,
    },
    /// A clamp, a magnet, a support behind: holds the sheet in its place out of the surface, over its pad.
    Clamp {
        /// Middle.
        at_mm: DVec3,
        /// Radius of the pad.
        radius_mm: f64,
    },
}

/// How it is computed.
#[derive(Debug, Clone, PartialEq)]
pub struct WarpSettings {
    /// Edge of the mesh along the weld, mm; along a butt of more than 45 such edges up to twice as much.
    pub edge_mm: f64,
    /// Edge elsewhere, mm.
    pub far_edge_mm: f64,
    /// Lengths of run that are tried, mm (butt).
    pub runs_mm: Vec<f64>,
    /// Pitches of tacks, plugs or spots that are tried, mm. Empty: 20, 30 and 40 thicknesses for tacks (W31), 25 and 40 mm for plugs (H9).
    pub pitches_mm: Vec<f64>,
    /// Search of the order.
    pub search: SearchSettings,
    /// Modes of the quick margin.
    pub modes: usize,
    /// Best orders that are solved with large deflection.
    pub finalists: usize,
    /// Imperfection: height of the lowest mode over the thickness.
    pub imperfection_t: f64,
    /// The next tack or run starts at or below this, °C.
    pub start_limit_c: f64,
    /// Air, °C.
    pub air_c: f64,
    /// Moving to the next place, s.
    pub move_s: f64,
    /// Width of the strip that is planished, mm.
    pub planished_mm: f64,
}

impl Default for WarpSettings {
    fn default() -> Self {
        Self {
            edge_mm: 10.0,
            far_edge_mm: 30.0,
            runs_mm: vec![25.0, 50.0],
            pitches_mm: Vec::new(),
            search: SearchSettings::default(),
            modes: 10,
            finalists: 10,
            imperfection_t: 0.5,
            start_limit_c: INTER_RUN_C,
            air_c: 20.0,
            move_s: 5.0,
            planished_mm: 8.0,
        }
    }
}

impl WarpSettings {
    /// Coarse and quick, so many orders in each division: a real order and a real shape, whose figures are only of the right size. For trials and tests.
    #[must_use]
    pub fn coarse(most_orders: usize) -> Self {
        Self {
            edge_mm: 40.0,
            far_edge_mm: 60.0,
            pitches_mm: vec![60.0],
            modes: 2,
            finalists: 1,
            search: SearchSettings { most_orders, restarts: 0, beam: 0, ..SearchSettings::default() },
            ..Self::default()
        }
    }
}

/// A whole weld plan.
#[derive(Debug, Clone)]
pub struct WarpPlan {
    /// Middle face of the panel with the section in its place, crown as it is.
    pub skin: Skin,
    /// Thickness of the sheet.
    pub thickness_mm: f64,
    /// Metal.
    pub metal: WeldMetal,
    /// Weld lines.
    pub seams: Vec<PlannedSeam>,
    /// Heat.
    pub heat: PlannedHeat,
    /// The shop's own shrinkage factors.
    pub shop: ShopFactors,
    /// What holds the panel.
    pub supports: Vec<PanelSupport>,
    /// How it is computed.
    pub settings: WarpSettings,
}

impl WarpPlan {
    /// Refuses figures that are none.
    ///
    /// # Errors
    /// [`WarpError::Setting`], [`WarpError::Rule`].
    pub fn check(&self) -> Result<(), WarpError> {
        crate::heat::thickness(self.thickness_mm)?;
        let positive = |name, got: f64, need| {
            if got.is_finite() && got > 0.0 { Ok(()) } else { Err(WarpError::Setting { name, got, need }) }
        };
        let (heat, settings) = (&self.heat, &self.settings);
        positive("heat of a run in J/mm", heat.run_j_mm, "give the net heat, above 0")?;
        positive("travel in mm/s", heat.travel_mm_s, "give a speed above 0")?;
        positive("width of the weld in mm", heat.fused_width_mm, "give a width above 0")?;
        positive("heat of a tack, plug or spot in J", heat.dot_j, "give the net heat, above 0")?;
        positive("time of a tack, plug or spot in s", heat.dot_s, "give a time above 0")?;
        positive("diameter of a tack in mm", heat.tack_mm, "give a diameter above 0")?;
        positive("edge of the mesh along the weld in mm", settings.edge_mm, "give a length above 0")?;
        positive("edge of the mesh elsewhere in mm", settings.far_edge_mm, "give a length above 0")?;
        positive("width of the planished strip in mm", settings.planished_mm, "give a width above 0")?;
        for &run in &settings.runs_mm {
            positive("length of a run in mm", run, "give a length above 0")?;
        }
        for &pitch in &settings.pitches_mm {
            positive("pitch in mm", pitch, "give a pitch above 0")?;
        }
        for seam in &self.seams {
            match seam.joint {
                SeamJoint::Butt { gap_mm } if !(0.0..=5.0).contains(&gap_mm) => {
                    let need = "give a gap from 0 to 5 mm";
                    return Err(WarpError::Setting { name: "gap of the butt in mm", got: gap_mm, need });
                }
                SeamJoint::Butt { .. } => {}
                SeamJoint::Lap { overlap_mm, dot_mm } => {
                    positive("overlap of the lap in mm", overlap_mm, "give an overlap above 0")?;
                    positive("diameter of plug or spot in mm", dot_mm, "give a diameter above 0")?;
                }
            }
        }
        Ok(())
    }
}
