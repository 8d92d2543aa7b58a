//! Resistance spot welds: nugget, pitch, overlap, starting values.

use super::{JointFigures, JointKind, Sheets, thinner};
use crate::error::{RuleError, thickness, within};
use crate::working::{Source, Working};
use serde::Serialize;

/// Spot-weld rows: sheet, nugget, pitch and overlap in inches (W41).
const SPOT_ROWS_INCH: [[f64; 4]; 4] = [
    [0.031, 0.161, 0.5, 7.0 / 16.0],
    [0.040, 0.181, 0.75, 0.5],
    [0.050, 0.210, 0.875, 9.0 / 16.0],
    [0.062, 0.231, 1.0, 0.625],
];

/// Overlap, pitch and nugget of the next thicker row, mm.
pub(super) fn spot_row(thickness_mm: f64) -> Result<(f64, f64, f64), RuleError> {
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

pub(super) fn spot(kind: JointKind, sheets: Sheets) -> Result<JointFigures, RuleError> {
    let t = thinner(sheets)?;
    let (overlap_mm, pitch_mm, nugget_by_row_mm) = spot_row(t)?;
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
        workings: vec![
            by_row("overlap", overlap_mm),
            by_row("spot pitch", pitch_mm),
            by_row("nugget by the table", nugget_by_row_mm),
            wanted,
            least,
        ],
    })
}

/// Least spot pitch through three sheets: 30 % more than through two (W43).
///
/// # Errors
/// As [`super::joint`].
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

/// A pile of sheets is spot welded through up to so many times its thinnest (W43).
pub const MOST_PILE_UP: f64 = 4.0;

/// Thickness of a pile of sheets that is spot welded through at once, mm (W43).
///
/// # Errors
/// [`RuleError::OutOfRange`] names the first thickness outside its range; [`RuleError::DoesNotFit`] for a single sheet and for a pile thicker than
/// four times its thinnest sheet.
pub fn pile_up(sheets_mm: &[f64]) -> Result<Working, RuleError> {
    const SAME_MM: f64 = 1e-9;
    let mut thinnest_mm = f64::INFINITY;
    for sheet_mm in sheets_mm {
        thinnest_mm = thinnest_mm.min(thickness(*sheet_mm)?);
    }
    let pile_mm: f64 = sheets_mm.iter().sum();
    if sheets_mm.len() < 2 || pile_mm > MOST_PILE_UP * thinnest_mm + SAME_MM {
        return Err(RuleError::DoesNotFit {
            what: format!("a pile of {} sheets, {pile_mm:.2} mm in all", sheets_mm.len()),
            need: format!("two sheets or more, in all at most {MOST_PILE_UP} times the thinnest of them (W43)"),
        });
    }
    let source = Source::text("spot-weld chart notes", "W43");
    Ok(Working::new("pile of sheets", pile_mm, "mm", "Σt, at most 4·T", source).with(
        "T",
        "thinnest sheet",
        thinnest_mm,
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

/// The same at high force, shorter and hotter, for sheet of 0.8 to 1.0 mm (W44, reprint).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn spot_settings_at_high_force(thinner_sheet_mm: f64) -> Result<SpotSettings, RuleError> {
    within("thickness", thinner_sheet_mm, 0.8, 1.0, "mm")?;
    Ok(SpotSettings { tip_mm: 5.0, force_n: [1900.0, 2600.0], cycles_50_hz: [7.0, 10.0], current_ka: [7.0, 10.0] })
}

/// Force, time and current of a spot welder by the same table as the nugget (W42).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SpotSchedule {
    /// Force of the tips.
    pub force_n: f64,
    /// Weld time in cycles; the table is of a 60 Hz country.
    pub cycles: f64,
    /// Current.
    pub current_a: f64,
    /// Strength of one spot in shear.
    pub shear_n: f64,
}

/// Pounds of force, cycles, ampere, pounds of shear strength by sheet in inches (W42).
const SCHEDULE_ROWS: [[f64; 5]; 3] =
    [[0.031, 326.0, 8.0, 8000.0, 530.0], [0.040, 412.0, 10.0, 8800.0, 812.0], [0.050, 554.0, 14.0, 9600.0, 1195.0]];

/// Schedule of the next thicker row (W42).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn spot_schedule(thinner_sheet_mm: f64) -> Result<SpotSchedule, RuleError> {
    const POUND_N: f64 = 4.448_221_615_260_5;
    const THICKEST_MM: f64 = 0.050 * 25.4;
    const SAME_MM: f64 = 1e-9;
    let t = within("thickness", thinner_sheet_mm, 0.4, THICKEST_MM, "mm")?;
    let row = SCHEDULE_ROWS.iter().find(|[sheet, ..]| t <= sheet * 25.4 + SAME_MM);
    row.map(|&[_, force, cycles, current_a, shear]| SpotSchedule {
        force_n: force * POUND_N,
        cycles,
        current_a,
        shear_n: shear * POUND_N,
    })
    .ok_or(RuleError::OutOfRange {
        name: "thickness",
        got: thinner_sheet_mm,
        min: 0.4,
        max: THICKEST_MM,
        unit: "mm",
    })
}
