//! Flange on a curved bend line: how much its free edge must stretch or shrink.
//!
//! Model: the bend line is an arc of radius Rb in the plane of the base; the flange keeps its width.
//! Concave (the flange side lies towards the centre) stretches, convex shrinks. Engineering strain, free edge.
//! Symbols: w flange width, Rb bend-line radius, N bend angle turned from flat, e strain.

use crate::error::{RuleError, positive_size, within};
use crate::working::{Source, Working};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// How the bend line curves as seen from the flange.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum BendLine {
    /// Hollow towards the flange: the free edge stretches.
    Concave,
    /// Bulging towards the flange: the free edge shrinks.
    Convex,
}

/// A flange on a curved bend line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurvedFlange {
    /// Width of the flange.
    pub width_mm: f64,
    /// Radius of the bend line.
    pub line_radius_mm: f64,
    /// Bend angle, turned from flat, rad, 0 to π.
    pub bend_angle_rad: f64,
    /// Which way the bend line curves.
    pub line: BendLine,
}

/// Strain of a free edge.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FlangeStrain {
    /// Engineering strain at the free edge: positive stretches, negative shrinks.
    pub strain: f64,
    /// Its working.
    pub working: Working,
}

impl CurvedFlange {
    /// Strain at the free edge (F7).
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`]; [`RuleError::DoesNotFit`] for a concave flange as wide as its radius.
    pub fn strain(&self) -> Result<FlangeStrain, RuleError> {
        let w = positive_size("flange width", self.width_mm)?;
        let radius_mm = positive_size("bend-line radius", self.line_radius_mm)?;
        let angle = within("bend angle (turned from flat)", self.bend_angle_rad, 0.0, PI, "rad")?;
        let gain_mm = w * (1.0 - angle.cos());
        let (strain, formula) = match self.line {
            BendLine::Concave if w >= radius_mm => {
                return Err(RuleError::DoesNotFit {
                    what: format!("a flange {w} mm wide on a hollow line of {radius_mm} mm radius"),
                    need: "make the flange narrower than the radius of its bend line".to_owned(),
                });
            }
            BendLine::Concave => (gain_mm / (radius_mm - w), "e = w·(1 − cos N)/(Rb − w)"),
            BendLine::Convex => (-gain_mm / (radius_mm + w), "e = −w·(1 − cos N)/(Rb + w)"),
        };
        let working = Working::new("strain of the free edge", strain, "", formula, Source::geometry("F7"))
            .with("w", "flange width", w, "mm")
            .with("Rb", "radius of the bend line", radius_mm, "mm")
            .with("N", "bend angle, turned from flat", angle, "rad");
        Ok(FlangeStrain { strain, working })
    }
}

/// Widest flange at 90° on a hollow line whose free edge may stretch by `strain`: e·Rb/(1 + e) (F8).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn widest_stretch_flange(strain: f64, line_radius_mm: f64) -> Result<Working, RuleError> {
    let e = within("strain", strain, 0.0, 1.0, "")?;
    let radius_mm = positive_size("bend-line radius", line_radius_mm)?;
    let width_mm = e * radius_mm / (1.0 + e);
    Ok(Working::new("widest flange", width_mm, "mm", "w = e·Rb/(1 + e)", Source::geometry("F8"))
        .with("e", "strain allowed", e, "")
        .with("Rb", "radius of the bend line", radius_mm, "mm"))
}

/// Widest flange whose free edge strains by no more than `strain` (its amount), for any bend angle: F7 solved for w. `None` where every
/// width does (a bulging line shrinks by less than 1 − cos N however wide the flange).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn widest_flange(
    strain: f64,
    line_radius_mm: f64,
    bend_angle_rad: f64,
    line: BendLine,
) -> Result<Option<Working>, RuleError> {
    let e = within("strain", strain, 0.0, 1.0, "")?;
    let radius_mm = positive_size("bend-line radius", line_radius_mm)?;
    let angle = within("bend angle (turned from flat)", bend_angle_rad, 0.0, PI, "rad")?;
    let gain = 1.0 - angle.cos();
    let (below, formula) = match line {
        BendLine::Concave => (gain + e, "w = e·Rb/(1 − cos N + e)"),
        BendLine::Convex => (gain - e, "w = e·Rb/(1 − cos N − e)"),
    };
    if below <= 0.0 {
        return Ok(None);
    }
    let working = Working::new("widest flange", e * radius_mm / below, "mm", formula, Source::geometry("F8"))
        .with("e", "strain allowed", e, "")
        .with("Rb", "radius of the bend line", radius_mm, "mm")
        .with("N", "bend angle, turned from flat", angle, "rad");
    Ok(Some(working))
}

/// Strain of the edge of a flanged hole: D_f/D_0 − 1 (F9).
///
/// # Errors
/// [`RuleError::OutOfRange`]; [`RuleError::DoesNotFit`] for a hole that does not grow.
pub fn flanged_hole_strain(hole_mm: f64, flanged_mm: f64) -> Result<Working, RuleError> {
    let before_mm = positive_size("hole before flanging", hole_mm)?;
    let after_mm = positive_size("hole after flanging", flanged_mm)?;
    if after_mm < before_mm {
        return Err(RuleError::DoesNotFit {
            what: format!("a hole of {before_mm} mm is to be flanged to {after_mm} mm"),
            need: "give the larger diameter after flanging".to_owned(),
        });
    }
    Ok(Working::new("strain of the hole's edge", after_mm / before_mm - 1.0, "", "D_f/D_0 − 1", Source::geometry("F9"))
        .with("D_0", "hole before", before_mm, "mm")
        .with("D_f", "hole after", after_mm, "mm"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_flange_as_wide_as_its_hollow_radius_is_refused() {
        let flange =
            CurvedFlange { width_mm: 60.0, line_radius_mm: 60.0, bend_angle_rad: 1.0, line: BendLine::Concave };
        assert!(matches!(flange.strain(), Err(RuleError::DoesNotFit { .. })));
        assert!(CurvedFlange { line: BendLine::Convex, ..flange }.strain().is_ok());
    }

    /// F8 is F7 turned round, for every angle and both ways; at 90° on a hollow line it is the printed form.
    #[test]
    fn the_widest_flange_strains_just_so_much() {
        for line in [BendLine::Concave, BendLine::Convex] {
            for degrees in [30f64, 60.0, 90.0, 120.0] {
                for e in [0.02, 0.06, 0.12] {
                    let Some(widest) = widest_flange(e, 180.0, degrees.to_radians(), line).unwrap() else {
                        assert!(line == BendLine::Convex && 1.0 - degrees.to_radians().cos() <= e);
                        continue;
                    };
                    let flange = CurvedFlange {
                        width_mm: widest.value,
                        line_radius_mm: 180.0,
                        bend_angle_rad: degrees.to_radians(),
                        line,
                    };
                    assert!((flange.strain().unwrap().strain.abs() - e).abs() < 1e-12);
                }
            }
        }
        let square = widest_flange(0.2, 60.0, 0.5 * PI, BendLine::Concave).unwrap().unwrap();
        assert!((square.value - widest_stretch_flange(0.2, 60.0).unwrap().value).abs() < 1e-12);
    }
}
