//! Joints between old and new sheet: overlap, pitch, hole and nugget for bodywork of 0.5 to 1.6 mm.
//!
//! Structural plug-weld rules (handbook W45, W46) are written for plate and are not used here.

use crate::error::{RuleError, thickness, within};
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
    /// Unstepped lap, a doubler behind.
    PlainLap,
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
        matches!(self, Self::SteppedLapPlug | Self::SteppedLapSpot | Self::PlainLap | Self::BondedLap)
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
    /// Gap of a butt: least and most.
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
        JointKind::SteppedLapPlug | JointKind::PlainLap => plug(kind, sheets, rules),
        JointKind::SteppedLapSpot => spot(kind, sheets),
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

fn plug(kind: JointKind, sheets: Sheets, rules: &ShopRules) -> Result<JointFigures, RuleError> {
    let t = thinner(sheets)?;
    let hole = plug_hole(sheets, rules)?;
    let (table_mm, _, _) = spot_row(t)?;
    let overlap_mm = table_mm.max(2.0 * hole.value);
    let overlap = Working::new(
        "overlap",
        overlap_mm,
        "mm",
        "the larger of the spot-weld overlap and two hole diameters",
        Source::common_practice("W41"),
    )
    .with("spot", "overlap of spot welds in this sheet", table_mm, "mm")
    .with("hole", "plug hole", hole.value, "mm");
    let [least, most] = rules.plug_pitch_mm;
    let pitch = Working::new(
        "plug pitch",
        most,
        "mm",
        "25 to 40 mm, or the original spot pitch",
        Source::common_practice("H9"),
    )
    .with("least", "least pitch", least, "mm");
    Ok(JointFigures {
        kind,
        overlap_mm,
        pitch_mm: rules.plug_pitch_mm,
        hole_mm: Some(hole.value),
        nugget_mm: None,
        gap_mm: None,
        workings: vec![overlap, hole, pitch],
    })
}

/// Plug hole in the sheet nearest the torch (H9): 5 to 6 mm in skins of 0.8 to 1.0 mm, 6 to 8 where it bears load or one
/// sheet is at least 1.2 mm.
///
/// # Errors
/// As [`joint`].
pub fn plug_hole(sheets: Sheets, rules: &ShopRules) -> Result<Working, RuleError> {
    thinner(sheets)?;
    let heavy = sheets.load_bearing || sheets.front_mm.max(sheets.back_mm) >= 1.2;
    let (hole_mm, formula) = if heavy {
        (rules.plug_hole_heavy_mm, "6 to 8 mm: bears load, or a sheet of 1.2 mm or more")
    } else {
        (rules.plug_hole_skin_mm, "5 to 6 mm in outer skin")
    };
    Ok(Working::new("plug hole", hole_mm, "mm", formula, Source::common_practice("H9"))
        .with("t₁", "sheet nearest the torch", sheets.front_mm, "mm")
        .with("t₂", "sheet behind", sheets.back_mm, "mm"))
}

/// Spot-weld rows: sheet, nugget, pitch and overlap in inches (W41).
const SPOT_ROWS_INCH: [[f64; 4]; 4] = [
    [0.031, 0.161, 0.5, 7.0 / 16.0],
    [0.040, 0.181, 0.75, 0.5],
    [0.050, 0.210, 0.875, 9.0 / 16.0],
    [0.062, 0.231, 1.0, 0.625],
];

/// Overlap, pitch and nugget of the next thicker row, mm.
fn spot_row(thickness_mm: f64) -> Result<(f64, f64, f64), RuleError> {
    const THICKEST_MM: f64 = 0.062 * 25.4;
    const SAME_MM: f64 = 1e-9;
    let t = within("thickness", thickness_mm, 0.4, THICKEST_MM, "mm")?;
    let mm = |[_, nugget, pitch, overlap]: [f64; 4]| (overlap * 25.4, pitch * 25.4, nugget * 25.4);
    SPOT_ROWS_INCH
        .iter()
        .copied()
        .find(|[sheet, ..]| t <= sheet * 25.4 + SAME_MM)
        .map(mm)
        .ok_or(RuleError::OutOfRange { name: "thickness", got: thickness_mm, min: 0.4, max: THICKEST_MM, unit: "mm" })
}

/// Nugget of a spot weld, wanted 5·√t and least 4·√t (W40).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn nugget(thinner_sheet_mm: f64) -> Result<[Working; 2], RuleError> {
    let t = thickness(thinner_sheet_mm)?;
    let source = || Source::text("general criterion of resistance spot welding", "W40");
    let made = |name: &'static str, factor: f64, formula: &'static str| {
        Working::new(name, factor * t.sqrt(), "mm", formula, source()).with("t", "thinner sheet", t, "mm")
    };
    Ok([made("nugget", 5.0, "5·√t"), made("least nugget", 4.0, "4·√t")])
}

fn spot(kind: JointKind, sheets: Sheets) -> Result<JointFigures, RuleError> {
    let t = thinner(sheets)?;
    let (overlap_mm, pitch_mm, _) = spot_row(t)?;
    let [wanted, least] = nugget(t)?;
    let source = || Source::text("resistance-welding table for low-carbon steel (RWMA, AWS C1.1 kind), class A", "W41");
    let by_row = |name: &'static str, value: f64| {
        Working::new(name, value, "mm", "next thicker row of the table", source()).with("t", "thinner sheet", t, "mm")
    };
    let nugget_mm = Some([wanted.value, least.value]);
    Ok(JointFigures {
        kind,
        overlap_mm,
        pitch_mm: [pitch_mm, 2.0 * pitch_mm],
        hole_mm: None,
        nugget_mm,
        gap_mm: None,
        workings: vec![by_row("overlap", overlap_mm), by_row("spot pitch", pitch_mm), wanted, least],
    })
}

/// Least spot pitch through three sheets: 30 % more than through two (W43).
///
/// # Errors
/// As [`joint`].
pub fn three_sheet_spot_pitch(thinner_sheet_mm: f64) -> Result<Working, RuleError> {
    let (_, pitch_mm, _) = spot_row(thinner_sheet_mm)?;
    let source = Source::text("spot-weld chart notes", "W43");
    Ok(Working::new("spot pitch, three sheets", 1.3 * pitch_mm, "mm", "1.3·pitch", source).with(
        "pitch",
        "pitch through two sheets",
        pitch_mm,
        "mm",
    ))
}

/// Starting values of a spot welder (W44): tip, force, cycles at 50 Hz, current.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SpotSettings {
    /// Electrode tip.
    pub tip_mm: f64,
    /// Force, least and most.
    pub force_n: [f64; 2],
    /// Weld time in cycles of 50 Hz, least and most.
    pub cycles_50_hz: [f64; 2],
    /// Current, least and most.
    pub current_ka: [f64; 2],
}

/// Typical settings for sheet of 0.8 to 1.2 mm by ISO 14373 (W44, reprint). The tip is given for 0.8 to 1.0 mm.
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn spot_settings(thinner_sheet_mm: f64) -> Result<SpotSettings, RuleError> {
    let t = within("thickness", thinner_sheet_mm, 0.8, 1.2, "mm")?;
    Ok(if t <= 1.0 {
        SpotSettings { tip_mm: 5.0, force_n: [1400.0, 1500.0], cycles_50_hz: [9.0, 12.0], current_ka: [6.0, 8.0] }
    } else {
        SpotSettings { tip_mm: 5.0, force_n: [1600.0, 1800.0], cycles_50_hz: [11.0, 15.0], current_ka: [7.0, 9.0] }
    })
}

fn bonded(sheets: Sheets, rules: &ShopRules) -> Result<JointFigures, RuleError> {
    let t = thinner(sheets)?;
    let overlap = Working::new(
        "overlap",
        rules.bonded_lap_mm,
        "mm",
        "set by the shop; the adhesive's own data sheet goes first",
        Source::common_practice(""),
    )
    .with("t", "thinner sheet", t, "mm");
    Ok(JointFigures {
        kind: JointKind::BondedLap,
        overlap_mm: rules.bonded_lap_mm,
        pitch_mm: [0.0, 0.0],
        hole_mm: None,
        nugget_mm: None,
        gap_mm: None,
        workings: vec![overlap],
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
