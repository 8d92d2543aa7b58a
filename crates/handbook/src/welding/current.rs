//! Current by thickness, tungsten and filler by current (TIG, electrode negative, steel).

use crate::error::{RuleError, within};
use crate::working::{Source, Working};
use serde::Serialize;

/// A chart's current for steel of 0.020 to 0.040 in (W6).
pub const STEEL_CURRENT_0_5_TO_1_MM_A: [f64; 2] = [15.0, 50.0];
/// A chart's current for steel of 1.0 mm (W6).
pub const STEEL_CURRENT_1_MM_A: [f64; 2] = [35.0, 45.0];
/// Currents for which a filler of 1.6 mm is given (W7); below, 1.0 mm.
pub const FILLER_1_6_MM_CURRENT_A: [f64; 2] = [20.0, 90.0];

/// A tungsten and the current it carries, electrode negative (W7).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Tungsten {
    /// Diameter.
    pub diameter_mm: f64,
    /// Current, least and most.
    pub current_a: [f64; 2],
}

/// Tungstens for thin sheet, from power-source manual tables (W7).
pub const TUNGSTENS: [Tungsten; 2] =
    [Tungsten { diameter_mm: 1.0, current_a: [30.0, 60.0] }, Tungsten { diameter_mm: 1.6, current_a: [60.0, 115.0] }];

/// Ampere for each mm of steel: 1 A for 0.001 in (W6).
const STEEL_A_PER_MM: f64 = 1.0 / 0.0254;

/// Starting current for TIG on steel sheet of 0.4 to 3 mm: 1 A for each 0.001 in (W6). Steel only.
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn steel_current(thickness_mm: f64) -> Result<Working, RuleError> {
    let t = within("thickness", thickness_mm, 0.4, 3.0, "mm")?;
    let source = Source::text("welding-supply chart; power-source manual table", "W6");
    Ok(Working::new("starting current", STEEL_A_PER_MM * t, "A", "t/0.0254", source).with("t", "thickness", t, "mm"))
}

/// The thinnest tungsten that carries a current (W7); none above 115 A. Below 30 A the 1.0 mm one, ground finer.
///
/// # Errors
/// [`RuleError::OutOfRange`] for a current that is none.
pub fn tungsten_for(current_a: f64) -> Result<Option<Tungsten>, RuleError> {
    let current = within("welding current", current_a, 1.0, 1000.0, "A")?;
    Ok(TUNGSTENS.into_iter().find(|tungsten| current <= tungsten.current_a[1]))
}
