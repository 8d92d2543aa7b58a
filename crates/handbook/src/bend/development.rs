//! Flat length of a strip with several bends, from legs as a rule or a person measures them.

use super::{Bend, BendFigures, Rule, allowance, setback_outer_mm};
use crate::error::{RuleError, size, within};
use crate::working::{Source, Working};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::f64::consts::{FRAC_PI_2, PI};

/// To where a leg is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum LegsTo {
    /// To the sharp outer corner, where the outside faces would meet.
    Corner,
    /// To the outer tangent of the bend, square to the leg; has a meaning from a bend angle of 90° on.
    Tangent,
    /// To the bend line, where the flat ends: the straight length itself.
    BendLine,
}

/// Angles closer than this are taken as equal, so that 90° typed in degrees is 90°.
const SAME_ANGLE_RAD: f64 = 1e-9;
/// Below this bend angle (opening angle above 165°) DIN 6935 sets v = 0.
const DIN_NO_DEDUCTION_RAD: f64 = PI / 12.0;

impl LegsTo {
    /// As DIN 6935 measures: to the corner up to a bend angle (turned from flat) of 90°, to the outer tangent beyond.
    pub fn by_din(bend_angle_rad: f64) -> Self {
        if bend_angle_rad <= FRAC_PI_2 + SAME_ANGLE_RAD { Self::Corner } else { Self::Tangent }
    }

    /// What the bend takes from a leg measured in this way, mm.
    pub(super) fn take_mm(self, bend: &Bend) -> Result<f64, RuleError> {
        match self {
            Self::BendLine => Ok(0.0),
            Self::Corner => setback_outer_mm(bend).ok_or_else(|| RuleError::DoesNotFit {
                what: "a sheet folded back has no outer corner".to_owned(),
                need: "measure its legs to the outer tangent or to the bend line".to_owned(),
            }),
            Self::Tangent if bend.bend_angle_rad < FRAC_PI_2 - SAME_ANGLE_RAD => Err(RuleError::DoesNotFit {
                what: format!(
                    "legs to the outer tangent have no meaning for a bend of {:.1}° turned from flat",
                    bend.bend_angle_rad.to_degrees()
                ),
                need: "measure to the sharp outer corner, or bend 90° or more".to_owned(),
            }),
            Self::Tangent => Ok(bend.inside_radius_mm + bend.thickness_mm),
        }
    }
}

/// What one bend takes from the sum of its two legs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Deduction {
    /// v: may be negative for legs measured to the tangent.
    pub deduction_mm: f64,
    /// How the legs are measured.
    pub legs_to: LegsTo,
    /// Its working.
    pub working: Working,
}

/// Deduction v of one bend (angle turned from flat, up to π): flat length = legs − v.
///
/// DIN 6935 sets v = 0 for a bend below 15° with legs to the corner. That holds for this figure only; the allowance
/// stays the length of the arc, so that flats and arcs always add up to the development of the piece.
///
/// # Errors
/// [`RuleError`] as [`allowance`]; [`RuleError::DoesNotFit`] where legs cannot be measured so.
pub fn deduction(bend: &Bend, rule: &Rule, legs_to: LegsTo) -> Result<Deduction, RuleError> {
    let figures = allowance(bend, rule)?;
    within("bend angle (turned from flat)", bend.bend_angle_rad, 0.0, PI, "rad")?;
    deduction_of(bend, rule, figures.allowance_mm, legs_to)
}

pub(super) fn deduction_of(bend: &Bend, rule: &Rule, arc_mm: f64, legs_to: LegsTo) -> Result<Deduction, RuleError> {
    let take_mm = legs_to.take_mm(bend)?;
    let left_out = matches!(rule, Rule::Din6935)
        && legs_to == LegsTo::Corner
        && bend.bend_angle_rad < DIN_NO_DEDUCTION_RAD - SAME_ANGLE_RAD;
    let (deduction_mm, formula) = match legs_to {
        _ if left_out => (0.0, "v = 0 for a bend below 15° (DIN 6935)"),
        LegsTo::Corner => (2.0 * take_mm - arc_mm, "v = 2·tan(θ/2)·(r + t) − BA"),
        LegsTo::Tangent => (2.0 * take_mm - arc_mm, "v = 2·(r + t) − BA"),
        LegsTo::BendLine => (-arc_mm, "v = −BA"),
    };
    let source = if matches!(rule, Rule::Din6935) {
        Source::standard("DIN 6935, as reproduced in metal-trades tables", "B3-B9")
    } else {
        Source::geometry("B10-B12")
    };
    let working = super::with_bend(
        Working::new("deduction", deduction_mm, "mm", formula, source).with("BA", "bend allowance", arc_mm, "mm"),
        bend,
    );
    Ok(Deduction { deduction_mm, legs_to, working })
}

/// A strip with bends across it.
#[derive(Debug, Clone, Copy)]
pub struct Strip<'a> {
    /// Legs in order; one more than bends.
    pub legs_mm: &'a [f64],
    /// Bends in order; angles turned from flat, 0 to π.
    pub bends: &'a [Bend],
    /// How legs are measured; none takes for each bend what DIN 6935 does.
    pub legs_to: Option<LegsTo>,
}

/// A strip laid flat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Development {
    /// Flat length.
    pub developed_mm: f64,
    /// Straight lengths between bend lines, in order.
    pub flats_mm: Vec<f64>,
    /// Figures of each bend, in order.
    pub bends: Vec<BendFigures>,
    /// Deduction of each bend, in order.
    pub deductions: Vec<Deduction>,
    /// How `developed_mm` was found.
    pub working: Working,
}

/// Flat length of a strip: sum of its legs less the deduction of each bend.
///
/// # Errors
/// [`RuleError::DoesNotFit`] when legs and bends do not alternate; [`RuleError::LegTooShort`]; as [`deduction`].
pub fn developed_length(strip: &Strip<'_>, rule: &Rule) -> Result<Development, RuleError> {
    if strip.legs_mm.len() != strip.bends.len() + 1 {
        return Err(RuleError::DoesNotFit {
            what: format!("{} legs with {} bends", strip.legs_mm.len(), strip.bends.len()),
            need: "give one leg more than bends".to_owned(),
        });
    }
    let mut flats_mm = strip.legs_mm.iter().map(|&leg| size("leg", leg)).collect::<Result<Vec<_>, _>>()?;
    let (mut bends, mut deductions) = (Vec::new(), Vec::new());
    for (i, bend) in strip.bends.iter().enumerate() {
        let legs_to = strip.legs_to.unwrap_or_else(|| LegsTo::by_din(bend.bend_angle_rad));
        deductions.push(deduction(bend, rule, legs_to)?);
        bends.push(allowance(bend, rule)?);
        let take_mm = legs_to.take_mm(bend)?;
        for flat in flats_mm.iter_mut().skip(i).take(2) {
            *flat -= take_mm;
        }
    }
    for (i, (flat, leg)) in flats_mm.iter().zip(strip.legs_mm).enumerate() {
        if *flat < -1e-9 {
            return Err(RuleError::LegTooShort { number: i + 1, got_mm: *leg, need_mm: leg - flat });
        }
    }
    let legs_mm: f64 = strip.legs_mm.iter().sum();
    let taken_mm: f64 = deductions.iter().map(|taken| taken.deduction_mm).sum();
    let developed_mm = legs_mm - taken_mm;
    let working = Working::new("developed length", developed_mm, "mm", "L = Σ legs − Σ v", rule.source())
        .with("Σ legs", "sum of the legs", legs_mm, "mm")
        .with("Σ v", "sum of the deductions", taken_mm, "mm");
    Ok(Development { developed_mm, flats_mm, bends, deductions, working })
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn bend(bend_angle_rad: f64) -> Bend {
        Bend { thickness_mm: 0.9, inside_radius_mm: 1.5, bend_angle_rad }
    }

    #[test]
    fn flats_and_arcs_add_up_to_the_development() {
        let bends = [bend(FRAC_PI_2), bend(1.0), bend(2.5)];
        let strip = Strip { legs_mm: &[20.0, 30.0, 40.0, 25.0], bends: &bends, legs_to: None };
        let flat = developed_length(&strip, &Rule::Din6935).unwrap();
        let arcs: f64 = flat.bends.iter().map(|figures| figures.allowance_mm).sum();
        assert!((flat.flats_mm.iter().sum::<f64>() + arcs - flat.developed_mm).abs() < 1e-9);
    }

    #[test]
    fn din_leaves_out_the_deduction_of_a_slight_bend_but_never_its_arc() {
        let slight = bend(14.9f64.to_radians());
        assert_eq!(deduction(&slight, &Rule::Din6935, LegsTo::Corner).unwrap().deduction_mm, 0.0);
        assert!(allowance(&slight, &Rule::Din6935).unwrap().allowance_mm > 0.4);
        assert!(deduction(&slight, &Rule::AircraftEmpirical, LegsTo::Corner).unwrap().deduction_mm > 0.0);
        let at_fifteen = deduction(&bend(15f64.to_radians()), &Rule::Din6935, LegsTo::Corner).unwrap();
        assert!(at_fifteen.deduction_mm > 0.1);
    }

    #[test]
    fn a_leg_shorter_than_its_bends_is_refused() {
        let strip = Strip { legs_mm: &[20.0, 4.0, 20.0], bends: &[bend(FRAC_PI_2); 2], legs_to: None };
        match developed_length(&strip, &Rule::Din6935) {
            Err(RuleError::LegTooShort { number: 2, need_mm, .. }) => assert!((need_mm - 4.8).abs() < 1e-9),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn legs_that_cannot_be_measured_so_are_refused() {
        assert!(deduction(&bend(1.0), &Rule::Din6935, LegsTo::Tangent).is_err());
        assert!(deduction(&bend(PI), &Rule::Din6935, LegsTo::Corner).is_err());
        assert!(deduction(&bend(4.0), &Rule::Din6935, LegsTo::BendLine).is_err());
        let strip = Strip { legs_mm: &[20.0, 20.0], bends: &[], legs_to: None };
        assert!(matches!(developed_length(&strip, &Rule::Din6935), Err(RuleError::DoesNotFit { .. })));
    }
}
