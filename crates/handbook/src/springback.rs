//! Springback: how far a fold opens when the tool lets go, and how far it must be over-bent.
//!
//! Model: Gardiner, Ri/Rf = 4X³ − 3X + 1 with X = Ri·Y/(E·T), 0 ≤ X ≤ 0.5; at 0.5 nothing stays. The neutral arc keeps
//! its length: α_f = α_i·(Ri + T/2)/(Rf + T/2). Table factors k_R = α₂/α₁ by finished radius over thickness stand beside
//! it; they agree with Gardiner within 0.01 up to r/s = 40 and must not be extrapolated (handbook P7).
//! Angles are bend angles, turned from flat.

use crate::error::{RuleError, positive_size, size, thickness, within};
use crate::working::{Source, Working};
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// Metal as springback sees it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Elastic {
    /// Yield point Y.
    pub yield_n_mm2: f64,
    /// Young's modulus E.
    pub young_n_mm2: f64,
}

/// What is left after the tool lets go.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "outcome", rename_all = "snake_case")]
pub enum Springback {
    /// The sheet takes a set.
    Set {
        /// Ri/Rf.
        radius_ratio: f64,
        /// Inside radius after springback.
        final_radius_mm: f64,
        /// Bend angle after springback over bend angle in the tool.
        angle_ratio: f64,
        /// Its working.
        working: Working,
    },
    /// The bend is so wide that the sheet stays elastic and lies flat again.
    ElasticNoSet {
        /// Largest radius that leaves any set, E·T/(2Y).
        limit_radius_mm: f64,
        /// Its working.
        working: Working,
    },
}

/// Springback of a bend made to `tool_radius_mm` (Gardiner).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn gardiner(tool_radius_mm: f64, thickness_mm: f64, metal: Elastic) -> Result<Springback, RuleError> {
    let ri = size("inside radius in the tool", tool_radius_mm)?;
    let t = thickness(thickness_mm)?;
    let y = within("yield point", metal.yield_n_mm2, 1.0, 3000.0, "N/mm²")?;
    let e = within("Young's modulus", metal.young_n_mm2, 10_000.0, 500_000.0, "N/mm²")?;
    let x = ri * y / (e * t);
    let source = Source::text("Gardiner 1957, as in Kalpakjian & Schmid, springback in bending", "P1-P3");
    let with_inputs = |working: Working| {
        working
            .with("X", "Ri·Y/(E·T)", x, "")
            .with("Ri", "inside radius in the tool", ri, "mm")
            .with("T", "thickness", t, "mm")
            .with("Y", "yield point", y, "N/mm²")
            .with("E", "Young's modulus", e, "N/mm²")
    };
    if x >= 0.5 {
        let limit_radius_mm = e * t / (2.0 * y);
        let working = Working::new("largest radius that takes a set", limit_radius_mm, "mm", "E·T/(2·Y)", source);
        return Ok(Springback::ElasticNoSet { limit_radius_mm, working: with_inputs(working) });
    }
    let radius_ratio = 4.0 * x.powi(3) - 3.0 * x + 1.0;
    let final_radius_mm = ri / radius_ratio;
    let angle_ratio = (ri + t / 2.0) / (final_radius_mm + t / 2.0);
    let working = with_inputs(Working::new(
        "inside radius after springback",
        final_radius_mm,
        "mm",
        "Ri/(4·X³ − 3·X + 1)",
        source,
    ));
    Ok(Springback::Set { radius_ratio, final_radius_mm, angle_ratio, working })
}

/// Over-bend of one fold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OverBend {
    /// Bend angle in the tool, turned from flat, rad.
    pub tool_angle_rad: f64,
    /// Inside radius in the tool.
    pub tool_radius_mm: f64,
    /// Its working.
    pub working: Working,
}

/// How far to over-bend so that `wanted_angle_rad` (turned from flat) and `wanted_radius_mm` are left (Gardiner).
///
/// # Errors
/// [`RuleError::OutOfRange`]; [`RuleError::DoesNotFit`] when the sheet would stay elastic in any tool: roll it or stretch it.
pub fn over_bend(
    wanted_angle_rad: f64,
    wanted_radius_mm: f64,
    thickness_mm: f64,
    metal: Elastic,
) -> Result<OverBend, RuleError> {
    let wanted = within("bend angle (turned from flat)", wanted_angle_rad, 0.0, TAU, "rad")?;
    let tool_radius_mm = tool_radius(wanted_radius_mm, thickness_mm, metal)?;
    let angle_ratio = match gardiner(tool_radius_mm, thickness_mm, metal)? {
        Springback::Set { angle_ratio, .. } => angle_ratio,
        Springback::ElasticNoSet { .. } => return Err(elastic(wanted_radius_mm)),
    };
    let tool_angle_rad = wanted / angle_ratio;
    let source = Source::text("Gardiner 1957, as in Kalpakjian & Schmid, springback in bending", "P2");
    let working = Working::new("bend angle in the tool", tool_angle_rad, "rad", "α_f·(Rf + T/2)/(Ri + T/2)", source)
        .with("α_f", "bend angle wanted, turned from flat", wanted, "rad")
        .with("Rf", "inside radius wanted", wanted_radius_mm, "mm")
        .with("Ri", "inside radius in the tool", tool_radius_mm, "mm")
        .with("T", "thickness", thickness_mm, "mm");
    Ok(OverBend { tool_angle_rad, tool_radius_mm, working })
}

fn elastic(radius_mm: f64) -> RuleError {
    RuleError::DoesNotFit {
        what: format!("a radius of {radius_mm} mm cannot be set by bending alone"),
        need: "roll it in passes, or give it shape by stretching".to_owned(),
    }
}

/// Tool radius whose springback leaves `wanted_mm`: the root of Rf·(4X³ − 3X + 1) = Ri between 0 and the wanted radius.
fn tool_radius(wanted_mm: f64, thickness_mm: f64, metal: Elastic) -> Result<f64, RuleError> {
    size("inside radius wanted", wanted_mm)?;
    gardiner(0.0, thickness_mm, metal)?;
    // Rf(Ri) rises without bound up to the elastic limit, so a root always exists below min(wanted, limit)
    let limit_mm = metal.young_n_mm2 * thickness_mm / (2.0 * metal.yield_n_mm2);
    let (mut low, mut high) = (0.0, wanted_mm.min(limit_mm));
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        match gardiner(middle, thickness_mm, metal)? {
            Springback::Set { final_radius_mm, .. } if final_radius_mm < wanted_mm => low = middle,
            _ => high = middle,
        }
    }
    Ok(low)
}

/// Metals of the table of springback factors.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TableMetal {
    /// DC04.
    Dc04,
    /// DC01.
    Dc01,
    /// X12CrNi18-8.
    Stainless18_8,
    /// Al 99.0.
    Aluminium99,
}

/// Finished inside radius over thickness, column heads of the table (from memory).
const TABLE_RADIUS_OVER_THICKNESS: [f64; 11] = [1.0, 1.6, 2.5, 4.0, 6.3, 10.0, 16.0, 25.0, 40.0, 63.0, 100.0];
const DC04: [f64; 11] = [0.99, 0.99, 0.99, 0.98, 0.97, 0.97, 0.96, 0.94, 0.91, 0.87, 0.83];
const DC01: [f64; 11] = [0.99, 0.99, 0.99, 0.97, 0.96, 0.96, 0.93, 0.90, 0.85, 0.77, 0.66];
const STAINLESS: [f64; 9] = [0.99, 0.98, 0.97, 0.95, 0.93, 0.89, 0.84, 0.76, 0.63];
const ALUMINIUM: [f64; 11] = [0.99, 0.99, 0.99, 0.99, 0.98, 0.98, 0.97, 0.97, 0.96, 0.95, 0.93];

impl TableMetal {
    const fn row(self) -> &'static [f64] {
        match self {
            Self::Dc04 => &DC04,
            Self::Dc01 => &DC01,
            Self::Stainless18_8 => &STAINLESS,
            Self::Aluminium99 => &ALUMINIUM,
        }
    }
}

/// Springback factor k_R for a finished radius over thickness, straight-line between columns; below 1 the first
/// column holds.
///
/// # Errors
/// [`RuleError::OutOfRange`] beyond the last column of the metal.
pub fn table_factor(metal: TableMetal, radius_over_thickness: f64) -> Result<f64, RuleError> {
    let columns = || TABLE_RADIUS_OVER_THICKNESS.iter().copied().zip(metal.row().iter().copied());
    let largest = columns().map(|(ratio, _)| ratio).fold(0.0, f64::max);
    let ratio = within("finished radius over thickness", radius_over_thickness, 0.0, largest, "")?;
    let mut before: Option<(f64, f64)> = None;
    for (column, factor) in columns() {
        if ratio <= column {
            return Ok(before.map_or(factor, |(low, low_factor)| {
                low_factor + (factor - low_factor) * (ratio - low) / (column - low)
            }));
        }
        before = Some((column, factor));
    }
    within("finished radius over thickness", f64::NAN, 0.0, largest, "")
}

/// Over-bend by a springback factor: r₁ = k_R·(r₂ + s/2) − s/2, α₁ = α₂/k_R (P6); angles turned from flat.
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn over_bend_by_factor(
    wanted_angle_rad: f64,
    wanted_radius_mm: f64,
    thickness_mm: f64,
    factor: f64,
) -> Result<OverBend, RuleError> {
    let wanted = within("bend angle (turned from flat)", wanted_angle_rad, 0.0, TAU, "rad")?;
    let r2 = positive_size("inside radius wanted", wanted_radius_mm)?;
    let s = thickness(thickness_mm)?;
    let k_r = within("springback factor", factor, 0.5, 1.0, "")?;
    let tool_radius_mm = (k_r * (r2 + s / 2.0) - s / 2.0).max(0.0);
    let tool_angle_rad = wanted / k_r;
    let source = Source::text("metal-trades table book, springback factors", "P4-P6");
    let working = Working::new("bend angle in the tool", tool_angle_rad, "rad", "α₁ = α₂/k_R", source)
        .with("α₂", "bend angle wanted, turned from flat", wanted, "rad")
        .with("k_R", "springback factor", k_r, "")
        .with("r₂", "inside radius wanted", r2, "mm")
        .with("r₁", "inside radius in the tool, k_R·(r₂ + s/2) − s/2", tool_radius_mm, "mm")
        .with("s", "thickness", s, "mm");
    Ok(OverBend { tool_angle_rad, tool_radius_mm, working })
}

#[cfg(test)]
mod tests {
    use super::*;

    const STEEL: Elastic = Elastic { yield_n_mm2: 210.0, young_n_mm2: 210_000.0 };

    #[test]
    fn over_bending_leaves_what_was_wanted() {
        for (wanted_mm, angle) in [(1.5, 1.57), (10.0, 0.5), (60.0, 3.0), (0.0, 1.0), (2000.0, 0.3)] {
            let tool = over_bend(angle, wanted_mm, 0.9, STEEL).unwrap();
            let Springback::Set { final_radius_mm, angle_ratio, .. } =
                gardiner(tool.tool_radius_mm, 0.9, STEEL).unwrap()
            else {
                panic!("elastic");
            };
            assert!((final_radius_mm - wanted_mm).abs() <= 1e-6 * (1.0 + wanted_mm), "{final_radius_mm}");
            assert!((tool.tool_angle_rad * angle_ratio - angle).abs() < 1e-12);
            assert!(tool.tool_angle_rad >= angle);
        }
    }

    #[test]
    fn the_table_is_not_extrapolated() {
        assert!(table_factor(TableMetal::Stainless18_8, 50.0).is_err());
        assert!(table_factor(TableMetal::Dc04, 101.0).is_err());
        assert!(table_factor(TableMetal::Dc04, f64::NAN).is_err());
        assert_eq!(table_factor(TableMetal::Dc04, 0.5), Ok(0.99));
    }
}
