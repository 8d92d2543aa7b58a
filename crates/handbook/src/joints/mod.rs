//! Joints between old and new sheet: overlap, pitch, hole and nugget for bodywork of 0.5 to 1.6 mm.
//!
//! Structural plug-weld rules (handbook W45, W46) are written for plate and are not used here; [`structural_plug`] has their
//! arithmetic alone.

pub mod bond;
mod finish;
mod form;
mod metal;
mod particulars;
mod plug;
mod spot;
pub mod structural_plug;

pub use bond::TOUGHENED_EPOXY;
pub use finish::filler_depth;
pub use form::JointForm;
pub use metal::Metal;
pub use particulars::{BRIGHT_BACK_MM, Particulars, Sealable};
pub use plug::{other_practice_plug_hole, plug_hole};
pub use spot::{
    MOST_PILE_UP, SpotSchedule, SpotSettings, nugget, pile_up, spot_schedule, spot_settings,
    spot_settings_at_high_force, three_sheet_spot_pitch,
};

use crate::error::{RuleError, thickness};
use crate::holes::{Bolt, Fit, least_edge_distance, least_pitch};
use crate::shop_rules::ShopRules;
use crate::working::{Source, Working};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How a piece joins the old metal along its cut edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum JointKind {
    /// Edge to edge: fusion weld and planish.
    Butt,
    /// The piece is stepped behind the old sheet; plug welds through the sheet nearest the torch.
    #[default]
    SteppedLapPlug,
    /// The piece is stepped behind the old sheet; resistance spot welds.
    SteppedLapSpot,
    /// Unstepped lap, a doubler behind; plug welds.
    PlainLap,
    /// Unstepped lap, a doubler behind; resistance spot welds.
    PlainLapSpot,
    /// Lap joined by adhesive.
    BondedLap,
    /// Bolted flange.
    BoltedFlange,
}

impl JointKind {
    /// Name as printed.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Butt => "butt, fusion welded and planished",
            Self::SteppedLapPlug => "stepped lap, plug welded",
            Self::SteppedLapSpot => "stepped lap, spot welded",
            Self::PlainLap => "plain lap, plug welded",
            Self::PlainLapSpot => "plain lap, spot welded",
            Self::BondedLap => "bonded lap",
            Self::BoltedFlange => "bolted flange",
        }
    }

    /// Whether it is made with an arc or a resistance welder.
    pub const fn is_welded(self) -> bool {
        !matches!(self, Self::BondedLap | Self::BoltedFlange)
    }

    /// Whether one sheet lies on the other.
    pub const fn is_lap(self) -> bool {
        !matches!(self, Self::Butt | Self::BoltedFlange)
    }

    /// Whether the edge of the piece is joggled.
    pub const fn is_stepped(self) -> bool {
        matches!(self, Self::SteppedLapPlug | Self::SteppedLapSpot)
    }
}

/// Two sheets to be joined.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sheets {
    /// The sheet nearest the torch.
    pub front_mm: f64,
    /// The sheet behind.
    pub back_mm: f64,
    /// Whether the joint carries load beyond its own panel.
    pub load_bearing: bool,
}

/// All figures of a joint.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JointFigures {
    /// Which joint.
    pub kind: JointKind,
    /// Overlap of the two sheets, 0 for a butt.
    pub overlap_mm: f64,
    /// Pitch of plugs, spots, bolts or tacks: least and most.
    pub pitch_mm: [f64; 2],
    /// Hole in the sheet nearest the torch, or clearance hole of the bolt.
    pub hole_mm: Option<f64>,
    /// Nugget of a spot weld: wanted and least.
    pub nugget_mm: Option<[f64; 2]>,
    /// Gap of a butt, bond line of a bonded lap, spacer of a bolted flange: least and most.
    pub gap_mm: Option<[f64; 2]>,
    /// The working of each figure.
    pub workings: Vec<Working>,
}

/// Figures of a joint by the shop's rules. A bolted flange takes M6 unless [`bolted`] is asked directly.
///
/// # Errors
/// [`RuleError::OutOfRange`]; [`RuleError::DoesNotFit`] when one sheet is more than three times the other.
pub fn joint(kind: JointKind, sheets: Sheets, rules: &ShopRules) -> Result<JointFigures, RuleError> {
    match kind {
        JointKind::Butt => butt(sheets),
        JointKind::SteppedLapPlug | JointKind::PlainLap => plug::plug(kind, sheets, rules),
        JointKind::SteppedLapSpot | JointKind::PlainLapSpot => spot::spot(kind, sheets),
        JointKind::BondedLap => bonded(sheets, rules),
        JointKind::BoltedFlange => bolted(Bolt::M6, Fit::Medium),
    }
}

fn butt(sheets: Sheets) -> Result<JointFigures, RuleError> {
    let t = thinner(sheets)?;
    let gap = Working::new("gap", t / 2.0, "mm", "0 to t/2, copper behind", Source::common_practice("H13")).with(
        "t",
        "thinner sheet",
        t,
        "mm",
    );
    let pitch = tack_pitch(t)?;
    Ok(JointFigures {
        kind: JointKind::Butt,
        overlap_mm: 0.0,
        pitch_mm: pitch.0,
        hole_mm: None,
        nugget_mm: None,
        gap_mm: Some([0.0, t / 2.0]),
        workings: vec![gap, pitch.1],
    })
}

/// Pitch of tacks in a seam of thin sheet: 20·t to 40·t, closed from the middle outwards (W31).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn tack_pitch(thickness_mm: f64) -> Result<([f64; 2], Working), RuleError> {
    let t = thickness(thickness_mm)?;
    let working = Working::new("widest tack pitch", 40.0 * t, "mm", "20·t to 40·t", Source::common_practice("W31"))
        .with("t", "thickness", t, "mm");
    Ok(([20.0 * t, 40.0 * t], working))
}

fn bonded(sheets: Sheets, rules: &ShopRules) -> Result<JointFigures, RuleError> {
    let t = thinner(sheets)?;
    let load = bond::BondLoad::SheetYield { thickness_mm: t, yield_n_mm2: bond::PLAIN_STEEL_YIELD_N_MM2 };
    let needed = bond::bond_overlap(load, bond::TOUGHENED_EPOXY, bond::BOND_FACTOR)?;
    let overlap_mm = needed.value.max(rules.bonded_lap_mm);
    let overlap = Working::new(
        "overlap",
        overlap_mm,
        "mm",
        "the larger of the shop's and what the adhesive needs to carry the sheet to its yield; the adhesive's own data sheet goes first",
        Source::common_practice(""),
    )
    .with("shop", "least overlap set by the shop", rules.bonded_lap_mm, "mm")
    .with("needed", "by the adhesive", needed.value, "mm");
    let [least_h, most_h] = bond::TOUGHENED_EPOXY.clamp_h;
    let clamped = Working::new(
        "clamped for",
        0.5 * (least_h + most_h),
        "h",
        "until it can be handled, at about 20 °C; colder takes longer, and the adhesive's own data sheet decides",
        Source::text("from memory, the adhesive's data sheet decides", ""),
    )
    .reach(0.5 * (most_h - least_h))
    .with("least", "least of the usual", least_h, "h")
    .with("most", "most of the usual", most_h, "h");
    Ok(JointFigures {
        kind: JointKind::BondedLap,
        overlap_mm,
        pitch_mm: [0.0, 0.0],
        hole_mm: None,
        nugget_mm: None,
        gap_mm: Some(bond::TOUGHENED_EPOXY.bond_line_mm),
        workings: vec![overlap, needed, clamped],
    })
}

/// Bolted flange: clearance hole, least pitch, and an overlap of the edge distance on both sides (F18, F19).
///
/// # Errors
/// [`RuleError`] never for the bolts known here.
pub fn bolted(bolt: Bolt, fit: Fit) -> Result<JointFigures, RuleError> {
    let hole = bolt.clearance_hole(fit);
    let edge = least_edge_distance(bolt.diameter_mm())?;
    let pitch = least_pitch(bolt.diameter_mm())?;
    const WIDEST_OVER_LEAST: f64 = 8.0; // 144 mm for M6: wider and the flange gapes between bolts; common practice
    Ok(JointFigures {
        kind: JointKind::BoltedFlange,
        overlap_mm: 2.0 * edge.value,
        pitch_mm: [pitch.value, WIDEST_OVER_LEAST * pitch.value],
        hole_mm: Some(hole.value),
        nugget_mm: None,
        gap_mm: None,
        workings: vec![edge, pitch, hole],
    })
}

/// Largest ratio of two sheets that are welded together (W43).
pub const LARGEST_THICKNESS_RATIO: f64 = 3.0;

fn thinner(sheets: Sheets) -> Result<f64, RuleError> {
    let (front, back) = (thickness(sheets.front_mm)?, thickness(sheets.back_mm)?);
    let (thin, thick) = (front.min(back), front.max(back));
    if thick > LARGEST_THICKNESS_RATIO * thin {
        return Err(RuleError::DoesNotFit {
            what: format!("{thick} mm on {thin} mm is more than three to one"),
            need: "join sheets of at most three times each other's thickness".to_owned(),
        });
    }
    Ok(thin)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SKIN: Sheets = Sheets { front_mm: 0.9, back_mm: 0.9, load_bearing: false };

    #[test]
    fn every_joint_has_figures_for_body_sheet() {
        let rules = ShopRules::default();
        for kind in [
            JointKind::Butt,
            JointKind::SteppedLapPlug,
            JointKind::SteppedLapSpot,
            JointKind::PlainLap,
            JointKind::PlainLapSpot,
            JointKind::BondedLap,
            JointKind::BoltedFlange,
        ] {
            let figures = joint(kind, SKIN, &rules).unwrap();
            assert!(!figures.workings.is_empty());
            assert_eq!(figures.overlap_mm > 0.0, kind != JointKind::Butt);
        }
    }

    #[test]
    fn sheets_too_unlike_are_refused() {
        let sheets = Sheets { front_mm: 0.6, back_mm: 2.0, load_bearing: false };
        assert!(matches!(joint(JointKind::Butt, sheets, &ShopRules::default()), Err(RuleError::DoesNotFit { .. })));
    }
}
