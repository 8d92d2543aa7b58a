//! `soundmetal bend`: one straight bend by the chosen rule.

use super::figures::{self, Manner, angle_rad, json_text, working_rows};
use crate::failure::Failure;
use clap::{Args, ValueEnum};
use handbook::bend::{Bend, BendFigures, Coupon, LegsTo, Rule, Strip, allowance, deduction, developed_length};
use serde::Serialize;
use units::bend_from_opening_rad;

/// One straight bend: allowance, deduction, setback, k and K.
#[derive(Debug, Args)]
pub struct BendOf {
    /// Sheet thickness ("0.9 mm", ".036\"", "20 swg")
    #[arg(long, value_name = "T", allow_hyphen_values = true)]
    thickness: String,
    /// Inside radius
    #[arg(long, value_name = "R", allow_hyphen_values = true)]
    radius: String,
    /// Bend angle turned from flat (120° = opening angle 60°); or give --opening
    #[arg(
        long,
        value_name = "A",
        allow_hyphen_values = true,
        required_unless_present = "opening",
        conflicts_with = "opening"
    )]
    angle: Option<String>,
    /// Opening angle between the faces instead
    #[arg(long, value_name = "A")]
    opening: Option<String>,
    /// The two legs, for the developed length
    #[arg(long, value_name = "A,B", value_delimiter = ',', num_args = 1..)]
    legs: Vec<String>,
    /// To where the legs are measured [default: as DIN 6935, to the corner up to a bend of 90°, to the tangent beyond]
    #[arg(long, value_enum, value_name = "WHERE")]
    legs_to: Option<Where>,
    /// Which rule
    #[arg(long, value_enum, default_value_t)]
    rule: WhichRule,
    /// K of the rule "neutral": the neutral line from the inside face over the thickness
    #[arg(long, value_name = "K")]
    k_factor: Option<f64>,
    /// Length before bending of the strip of the rule "measured" (same sheet, radius and angle)
    #[arg(long, value_name = "L")]
    strip: Option<String>,
    /// Legs of that strip after bending
    #[arg(long, value_name = "A,B", value_delimiter = ',', num_args = 1..)]
    strip_legs: Vec<String>,
    #[command(flatten)]
    manner: Manner,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Where {
    Corner,
    Tangent,
}

#[derive(Debug, Clone, Copy, Default, ValueEnum)]
enum WhichRule {
    #[default]
    Din6935,
    Neutral,
    Aircraft,
    Measured,
}

/// What `--json` prints. Lengths in mm.
#[derive(Debug, Serialize)]
#[allow(non_snake_case, reason = "design.md gives the names k and K")]
struct Answer {
    rule: &'static str,
    thickness_mm: f64,
    inside_radius_mm: f64,
    bend_angle_deg: f64,
    opening_angle_deg: f64,
    allowance: f64,
    deduction: Option<f64>,
    setback: Option<f64>,
    k: f64,
    K: f64,
    legs_to: LegsTo,
    legs_mm: Vec<f64>,
    developed_mm: Option<f64>,
    workings: Vec<handbook::Working>,
}

/// Runs the command.
pub fn run(asked: &BendOf) -> Result<(), Failure> {
    let answer = answer(asked)?;
    if asked.manner.json {
        return figures::print(&json_text(&answer)?);
    }
    let manner = asked.manner;
    let [thickness, radius] = [answer.thickness_mm, answer.inside_radius_mm].map(|mm| manner.length(mm, 3));
    let mut text = format!("{thickness} sheet, inside radius {radius}, {}\n", answer.rule);
    text += &manner.row("bend angle (turned from flat)", answer.bend_angle_deg, "°");
    // past 180° the faces have crossed and there is no angle between them
    if answer.opening_angle_deg >= 0.0 {
        text += &manner.row("opening angle (between faces)", answer.opening_angle_deg, "°");
    }
    text += &manner.row("allowance", answer.allowance, "mm");
    for (name, value) in
        [("deduction", answer.deduction), ("setback", answer.setback), ("developed length", answer.developed_mm)]
    {
        text += &value.map_or_else(String::new, |value| manner.row(name, value, "mm"));
    }
    if answer.deduction.is_some() || answer.developed_mm.is_some() {
        let to = match answer.legs_to {
            LegsTo::Corner => "to the sharp outer corner",
            LegsTo::BendLine => "to the bend line",
            LegsTo::Tangent => "to the outer tangent (DIN 6935 beyond a right angle)",
        };
        text += &format!("{:<34} {to}\n", "legs are measured");
    }
    text += &manner.row("k (on half the thickness)", answer.k, "");
    text += &manner.row("K (neutral line over thickness)", answer.K, "");
    figures::print(&(text + &working_rows(&answer.workings)))
}

fn answer(asked: &BendOf) -> Result<Answer, Failure> {
    let bend = Bend {
        thickness_mm: asked.manner.thickness_mm("--thickness", &asked.thickness)?,
        inside_radius_mm: asked.manner.length_mm("--radius", &asked.radius)?,
        bend_angle_rad: bend_angle_rad(asked)?,
    };
    let rule = rule(asked, &bend)?;
    let figures = allowance(&bend, &rule).map_err(rule_failure)?;
    let legs_to = legs_to(asked, &figures);
    let deducted = match asked.legs_to {
        Some(_) => Some(deduction(&bend, &rule, legs_to).map_err(rule_failure)?.deduction_mm),
        None => figures.deduction_mm,
    };
    let legs_mm = asked.legs.iter().map(|leg| asked.manner.length_mm("--legs", leg)).collect::<Result<Vec<_>, _>>()?;
    let mut workings = figures.workings.clone();
    let developed_mm = developed(&bend, &rule, &legs_mm, legs_to, &mut workings)?;
    Ok(Answer {
        rule: rule.name(),
        thickness_mm: bend.thickness_mm,
        inside_radius_mm: bend.inside_radius_mm,
        bend_angle_deg: bend.bend_angle_rad.to_degrees(),
        opening_angle_deg: 180.0 - bend.bend_angle_rad.to_degrees(),
        allowance: figures.allowance_mm,
        deduction: deducted,
        setback: figures.setback_outer_mm,
        k: figures.k_din,
        K: figures.k_factor,
        legs_to,
        legs_mm,
        developed_mm,
        workings,
    })
}

fn bend_angle_rad(asked: &BendOf) -> Result<f64, Failure> {
    match (&asked.angle, &asked.opening) {
        (Some(angle), _) => angle_rad("--angle", angle),
        (None, Some(opening)) => Ok(bend_from_opening_rad(angle_rad("--opening", opening)?)),
        (None, None) => Err(Failure::bad_input("the bend has no angle").hint("give --angle or --opening")),
    }
}

fn rule(asked: &BendOf, bend: &Bend) -> Result<Rule, Failure> {
    match asked.rule {
        WhichRule::Din6935 => Ok(Rule::Din6935),
        WhichRule::Aircraft => Ok(Rule::AircraftEmpirical),
        WhichRule::Neutral => {
            let missing = || Failure::bad_input("the rule neutral needs --k-factor, from 0 to 0.5");
            asked.k_factor.map(|k_factor| Rule::NeutralLine { k_factor }).ok_or_else(missing)
        }
        WhichRule::Measured => measured(asked, bend),
    }
}

fn measured(asked: &BendOf, bend: &Bend) -> Result<Rule, Failure> {
    let missing = || Failure::bad_input("the rule measured needs --strip (length before bending) and --strip-legs a,b");
    let strip = asked.strip.as_ref().ok_or_else(missing)?;
    let [leg_a, leg_b] = asked.strip_legs.as_slice() else { return Err(missing()) };
    Ok(Rule::ShopCoupon(Coupon {
        thickness_mm: bend.thickness_mm,
        inside_radius_mm: bend.inside_radius_mm,
        bend_angle_rad: bend.bend_angle_rad,
        strip_length_mm: asked.manner.length_mm("--strip", strip)?,
        leg_a_mm: asked.manner.length_mm("--strip-legs", leg_a)?,
        leg_b_mm: asked.manner.length_mm("--strip-legs", leg_b)?,
        legs_to: LegsTo::by_din(bend.bend_angle_rad),
    }))
}

fn legs_to(asked: &BendOf, figures: &BendFigures) -> LegsTo {
    match asked.legs_to {
        Some(Where::Corner) => LegsTo::Corner,
        Some(Where::Tangent) => LegsTo::Tangent,
        None => figures.legs_to,
    }
}

fn developed(
    bend: &Bend,
    rule: &Rule,
    legs_mm: &[f64],
    legs_to: LegsTo,
    workings: &mut Vec<handbook::Working>,
) -> Result<Option<f64>, Failure> {
    match legs_mm.len() {
        0 => Ok(None),
        2 => {
            let strip = Strip { legs_mm, bends: &[*bend], legs_to: Some(legs_to) };
            let development = developed_length(&strip, rule).map_err(rule_failure)?;
            workings.push(development.working);
            Ok(Some(development.developed_mm))
        }
        n => Err(Failure::bad_input(format!("--legs names {n} lengths; a bend has two, as in --legs 20,30"))),
    }
}

/// A rule that refuses its inputs: bad input.
///
/// Angles were typed in degrees and are named in degrees; other figures get the digits that a rule can show.
pub fn rule_failure(error: handbook::RuleError) -> Failure {
    let handbook::RuleError::OutOfRange { name, got, min, max, unit } = error else {
        return Failure::bad_input(error.to_string());
    };
    let said = |value: f64| {
        let value = if unit == "rad" { value.to_degrees() } else { value };
        // a thousandth is finer than any of these rules; whole numbers stay whole
        (value * 1000.0).round() / 1000.0
    };
    let unit = if unit == "rad" { "°" } else { unit };
    let space = if unit == "°" || unit.is_empty() { "" } else { " " };
    Failure::bad_input(format!(
        "{name} is {}{space}{unit}; this rule holds from {} to {}{space}{unit}",
        said(got),
        said(min),
        said(max)
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_angle_that_is_refused_is_named_in_degrees() {
        let bend = Bend { thickness_mm: 0.9, inside_radius_mm: 1.5, bend_angle_rad: 400_f64.to_radians() };
        let said = rule_failure(allowance(&bend, &Rule::Din6935).unwrap_err()).message;
        assert!(said.contains("400°") && !said.contains("rad"), "{said}");
        let thin = Bend { thickness_mm: 0.01, ..bend };
        let said = rule_failure(allowance(&thin, &Rule::Din6935).unwrap_err()).message;
        assert!(said.contains("0.01 mm"), "{said}");
    }
}
