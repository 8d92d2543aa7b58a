//! Structural plug-weld rules for plate (W45, W46): arithmetic only, **never advice for bodywork sheet**.
//!
//! They stand here because people meet them in books and ask why the shop punches smaller holes. Nothing in this project that
//! advises, designs or draws a joint calls this module; a check runs over every joint and thickness to see that none does.

use crate::error::{RuleError, within};

const INCH_MM: f64 = 25.4;

/// Hole of a structural plug weld in plate, mm: least `t + 5/16 in`, most the larger of least + 1/8 in and 2.25·t (W45).
///
/// # Errors
/// [`RuleError::OutOfRange`].
///
/// # Source
/// AWS D1.1, seen in a structural text.
pub fn plate_plug_hole_mm(plate_mm: f64) -> Result<[f64; 2], RuleError> {
    let t = within("thickness of the plate", plate_mm, 0.1, 100.0, "mm")?;
    let least = t + 5.0 / 16.0 * INCH_MM;
    Ok([least, (least + INCH_MM / 8.0).max(2.25 * t)])
}

/// Least pitch of structural plug welds in plate, mm: four hole diameters (W45).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn plate_plug_pitch_mm(hole_mm: f64) -> Result<f64, RuleError> {
    Ok(4.0 * within("hole in the plate", hole_mm, 0.1, 500.0, "mm")?)
}

/// Hole in the upper sheet whose arc plug keeps an effective diameter, mm: `d = (d_e + 1.5·t)/0.7`, `d_e` at least 3/8 in (W46).
///
/// # Errors
/// [`RuleError::OutOfRange`].
///
/// # Source
/// AWS D1.3 fig. 2.6, seen.
pub fn arc_plug_visible_mm(sheet_mm: f64, effective_mm: f64) -> Result<f64, RuleError> {
    let t = within("thickness of the sheet", sheet_mm, 0.1, 10.0, "mm")?;
    let effective = within("effective diameter", effective_mm, 3.0 / 8.0 * INCH_MM, 100.0, "mm")?;
    Ok((effective + 1.5 * t) / 0.7)
}
