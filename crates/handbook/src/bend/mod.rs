//! Straight bends: the length that a bend takes from the flat.
//!
//! Model: the neutral line is an arc of radius `r + K·t`; each [`Rule`] says where it lies.
//! Holds: the allowance is finite and continuous for every bend angle from 0 to 2π, and additive over split bends.
//! Does not hold for: coining, stretching over a tool, springback (see [`crate::springback`]), curved bend lines
//! (see [`crate::edges::flange`]).
//! Symbols: θ bend angle turned from flat (rad), r inside radius, t (DIN: s) thickness, K neutral line from the inside
//! face over t, k the factor of DIN 6935 on t/2 (k = 2K), BA allowance, SB setback, v deduction.

mod coupon;
mod development;
mod tube_bend;

pub use coupon::Coupon;
pub use development::{Deduction, Development, LegsTo, Strip, deduction, developed_length};
pub use tube_bend::tube_bend_walls;

use crate::error::{RuleError, size, thickness, within};
use crate::working::{Source, Working};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::f64::consts::{FRAC_2_PI, PI, TAU};

/// One straight bend.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Bend {
    /// Sheet thickness t, 0.1 to 12 mm.
    pub thickness_mm: f64,
    /// Inside radius r, 0 or more.
    pub inside_radius_mm: f64,
    /// Bend angle turned from flat, rad: 0 is flat, π folded back; up to 2π for a rolled edge.
    pub bend_angle_rad: f64,
}

/// Which rule says where the neutral line lies.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "rule", rename_all = "snake_case")]
#[non_exhaustive]
pub enum Rule {
    /// DIN 6935, cold bending of flat steel.
    #[default]
    Din6935,
    /// Neutral line at a stated fraction of the thickness.
    NeutralLine {
        /// K, from the inside face, 0 to 0.5.
        k_factor: f64,
    },
    /// The empirical rule of aircraft sheet work, (0.01743 R + 0.0078 T)·N°.
    AircraftEmpirical,
    /// Straight length of a bend by kind of metal, as machinist's tables give it.
    TradeStraightLength {
        /// Kind of metal.
        metal: TradeMetal,
    },
    /// The shop's own bent strip.
    ShopCoupon(Coupon),
}

/// Metals as the straight-length rule groups them (handbook B20 to B22).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum TradeMetal {
    /// Soft brass, soft copper: 0.55 T.
    SoftBrassCopper,
    /// Soft steel, aluminium, half-hard brass and copper: 0.64 T.
    SoftSteelAluminium,
    /// Cold-rolled and spring steel, bronze, hard copper: 0.71 T.
    ColdRolledSteelBronze,
}

impl TradeMetal {
    /// Factor on the thickness in the 90° straight length.
    pub const fn thickness_factor(self) -> f64 {
        match self {
            Self::SoftBrassCopper => 0.55,
            Self::SoftSteelAluminium => 0.64,
            Self::ColdRolledSteelBronze => 0.71,
        }
    }
}

/// Factor on the radius in the 90° straight length of the trade rule (π/2 as printed).
const TRADE_RADIUS_FACTOR: f64 = 1.57;
/// Factors of the aircraft rule per degree, on radius and thickness.
const AIRCRAFT_PER_DEGREE: [f64; 2] = [0.017_43, 0.007_8];
/// Neutral line implied by the thickness term of the aircraft rule, 0.0078·180/π (handbook B32).
pub const AIRCRAFT_K_FACTOR: f64 = 0.007_8 * 180.0 / PI;

impl Rule {
    /// Name as printed to a reader.
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Din6935 => "DIN 6935",
            Self::NeutralLine { .. } => "neutral line",
            Self::AircraftEmpirical => "aircraft empirical rule",
            Self::TradeStraightLength { .. } => "trade straight-length rule",
            Self::ShopCoupon(_) => "the shop's own strip",
        }
    }

    /// Where the rule is from.
    pub const fn source(&self) -> Source {
        match self {
            Self::Din6935 => {
                Source::standard("DIN 6935, cold bending of flat steel, as reproduced in metal-trades tables", "B1")
            }
            Self::NeutralLine { .. } => Source::geometry("X2"),
            Self::AircraftEmpirical => {
                Source::text("FAA AC 43.13-1B and NAVEDTRA airframe text, empirical bend allowance", "B31")
            }
            Self::TradeStraightLength { .. } => {
                Source::text("Machinery's Handbook, straight length of bends (from memory)", "B20-B22")
            }
            Self::ShopCoupon(_) => Source::measured("strip bent and measured by the shop"),
        }
    }

    /// K for one bend: the neutral line's distance from the inside face over the thickness, such that the allowance
    /// is θ·(r + K·t). The aircraft and trade rules round π; their K carries that rounding and depends on r/t.
    fn k_factor(&self, bend: &Bend) -> Result<f64, RuleError> {
        let (r, t) = (bend.inside_radius_mm, bend.thickness_mm);
        match self {
            Self::Din6935 => Ok(din_k(r / t) / 2.0),
            Self::NeutralLine { k_factor } => within("K factor", *k_factor, 0.0, 0.5, "× t"),
            Self::AircraftEmpirical => {
                let [per_radius, _] = AIRCRAFT_PER_DEGREE.map(|factor| factor * 180.0 / PI);
                Ok((per_radius - 1.0) * r / t + AIRCRAFT_K_FACTOR)
            }
            Self::TradeStraightLength { metal } => {
                Ok((TRADE_RADIUS_FACTOR * FRAC_2_PI - 1.0) * r / t + metal.thickness_factor() * FRAC_2_PI)
            }
            Self::ShopCoupon(coupon) => coupon.k_factor_for(bend),
        }
    }

    fn formula(&self) -> &'static str {
        match self {
            Self::Din6935 => "BA = θ·(r + k·s/2)",
            Self::NeutralLine { .. } | Self::ShopCoupon(_) => "BA = θ·(r + K·t)",
            Self::AircraftEmpirical => "BA = (0.01743·R + 0.0078·T)·N°",
            Self::TradeStraightLength { metal } => match metal {
                TradeMetal::SoftBrassCopper => "BA = (0.55·T + 1.57·R)·N°/90",
                TradeMetal::SoftSteelAluminium => "BA = (0.64·T + 1.57·R)·N°/90",
                TradeMetal::ColdRolledSteelBronze => "BA = (0.71·T + 1.57·R)·N°/90",
            },
        }
    }
}

/// Factor k of DIN 6935 for r/s: 0.65 + 0.5·lg(r/s), held between 0 and 1.
///
/// The standard sets k = 1 above r/s = 5, which leaves a step of 0.0005 (handbook B2); holding the formula at 1, which
/// it reaches at 5.012, keeps the allowance continuous and differs from the standard by less than that step.
/// k multiplies s/2: it is twice the neutral-line factor K (handbook X2).
pub fn din_k(radius_over_thickness: f64) -> f64 {
    (0.65 + 0.5 * radius_over_thickness.log10()).clamp(0.0, 1.0)
}

/// All figures of one bend.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BendFigures {
    /// Length of the neutral line over the bend.
    pub allowance_mm: f64,
    /// Distance from the bend tangent line to the sharp outer corner; none for a bend folded back (π) or more.
    pub setback_outer_mm: Option<f64>,
    /// What is taken from the sum of the two legs, legs measured as DIN 6935 does; none beyond π.
    pub deduction_mm: Option<f64>,
    /// How the legs of `deduction_mm` are measured.
    pub legs_to: LegsTo,
    /// Factor k as DIN 6935 uses it, on half the thickness: 2·K.
    pub k_din: f64,
    /// Neutral line from the inside face over the thickness.
    pub k_factor: f64,
    /// The working of every figure above.
    pub workings: Vec<Working>,
}

/// Allowance, setback and deduction of one bend; the bend angle is turned from flat.
///
/// # Errors
/// [`RuleError::OutOfRange`] names the first input outside its range; [`RuleError::DoesNotFit`] for a coupon of other sheet.
pub fn allowance(bend: &Bend, rule: &Rule) -> Result<BendFigures, RuleError> {
    check(bend)?;
    let k_factor = rule.k_factor(bend)?;
    let arc_mm = bend.bend_angle_rad * (bend.inside_radius_mm + k_factor * bend.thickness_mm);
    let setback = setback_outer_mm(bend);
    let legs_to = LegsTo::by_din(bend.bend_angle_rad);
    let mut workings = vec![with_bend(
        Working::new("bend allowance", arc_mm, "mm", rule.formula(), rule.source()).with(
            "K",
            "neutral line",
            k_factor,
            "× t",
        ),
        bend,
    )];
    if matches!(rule, Rule::Din6935) {
        let k = 2.0 * k_factor;
        let formula = "k = 0.65 + 0.5·lg(r/s), from 0 to 1";
        workings.push(with_bend(Working::new("factor k", k, "", formula, rule.source()), bend));
    }
    if let Some(setback) = setback {
        let source = Source::text("FAA-H-8083-31 ch. 4, setback", "B33");
        workings.push(with_bend(Working::new("setback", setback, "mm", "SB = tan(θ/2)·(r + t)", source), bend));
    }
    let deduction_mm = if bend.bend_angle_rad <= PI {
        let taken = development::deduction_of(bend, rule, arc_mm, legs_to)?;
        workings.push(taken.working);
        Some(taken.deduction_mm)
    } else {
        None
    };
    Ok(BendFigures {
        allowance_mm: arc_mm,
        setback_outer_mm: setback,
        deduction_mm,
        legs_to,
        k_din: 2.0 * k_factor,
        k_factor,
        workings,
    })
}

/// Setback: bend tangent line to the sharp outer corner, mm; none from π on, where the faces never meet.
pub fn setback_outer_mm(bend: &Bend) -> Option<f64> {
    const FOLDED_BACK_RAD: f64 = PI - 1e-9;
    (bend.bend_angle_rad < FOLDED_BACK_RAD)
        .then(|| (bend.bend_angle_rad / 2.0).tan() * (bend.inside_radius_mm + bend.thickness_mm))
}

/// Distance from the bend tangent line to the sight line in the flat (handbook B38): one inside radius from the
/// tangent line that goes under the nose of the brake.
pub const fn sight_line_mm(bend: &Bend) -> f64 {
    bend.inside_radius_mm
}

fn check(bend: &Bend) -> Result<(), RuleError> {
    thickness(bend.thickness_mm)?;
    size("inside radius", bend.inside_radius_mm)?;
    within("bend angle (turned from flat)", bend.bend_angle_rad, 0.0, TAU, "rad").map(|_| ())
}

fn with_bend(working: Working, bend: &Bend) -> Working {
    working
        .with("θ", "bend angle, turned from flat", bend.bend_angle_rad, "rad")
        .with("r", "inside radius", bend.inside_radius_mm, "mm")
        .with("t", "thickness", bend.thickness_mm, "mm")
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn any_rule() -> impl Strategy<Value = Rule> {
        prop_oneof![
            Just(Rule::Din6935),
            (0.0..=0.5f64).prop_map(|k_factor| Rule::NeutralLine { k_factor }),
            Just(Rule::AircraftEmpirical),
            Just(Rule::TradeStraightLength { metal: TradeMetal::SoftSteelAluminium }),
        ]
    }

    fn any_bend() -> impl Strategy<Value = Bend> {
        (0.4..3.0f64, 0.0..50.0f64, 0.0..=PI).prop_map(|(thickness_mm, inside_radius_mm, bend_angle_rad)| Bend {
            thickness_mm,
            inside_radius_mm,
            bend_angle_rad,
        })
    }

    proptest! {
        #[test]
        fn splitting_a_bend_keeps_the_length(bend in any_bend(), rule in any_rule(), cut in 0.0..=1.0f64) {
            let length = |share: f64| {
                let part = Bend { bend_angle_rad: bend.bend_angle_rad * share, ..bend };
                allowance(&part, &rule).unwrap().allowance_mm
            };
            prop_assert!((length(1.0) - length(cut) - length(1.0 - cut)).abs() < 1e-9);
        }

        #[test]
        fn every_figure_is_finite(bend in any_bend(), rule in any_rule()) {
            let figures = allowance(&bend, &rule).unwrap();
            prop_assert!(figures.allowance_mm.is_finite() && figures.k_factor.is_finite());
            prop_assert!(figures.deduction_mm.is_some_and(f64::is_finite));
            prop_assert!(serde_json::to_string(&figures).is_ok());
        }
    }

    #[test]
    fn an_input_out_of_range_is_named() {
        let good = Bend { thickness_mm: 0.9, inside_radius_mm: 1.5, bend_angle_rad: 1.0 };
        for (bad, name) in [
            (Bend { thickness_mm: f64::NAN, ..good }, "thickness"),
            (Bend { thickness_mm: 0.0, ..good }, "thickness"),
            (Bend { inside_radius_mm: -1.0, ..good }, "inside radius"),
            (Bend { inside_radius_mm: f64::INFINITY, ..good }, "inside radius"),
            (Bend { bend_angle_rad: 7.0, ..good }, "bend angle"),
            (Bend { bend_angle_rad: -0.1, ..good }, "bend angle"),
        ] {
            let message = allowance(&bad, &Rule::Din6935).unwrap_err().to_string();
            assert!(message.contains(name), "{message}");
        }
        assert!(allowance(&good, &Rule::NeutralLine { k_factor: 0.7 }).is_err());
    }

    #[test]
    fn a_sharp_bend_has_a_length_too() {
        let sharp = Bend { thickness_mm: 0.9, inside_radius_mm: 0.0, bend_angle_rad: PI / 2.0 };
        assert_eq!(allowance(&sharp, &Rule::Din6935).unwrap().k_din, 0.0);
    }

    #[test]
    fn rules_are_written_by_name() {
        let json = serde_json::to_string(&Rule::NeutralLine { k_factor: 0.4 }).unwrap();
        assert_eq!(json, r#"{"rule":"neutral_line","k_factor":0.4}"#);
        assert_eq!(serde_json::from_str::<Rule>(r#"{"rule":"din6935"}"#).unwrap(), Rule::Din6935);
    }
}
