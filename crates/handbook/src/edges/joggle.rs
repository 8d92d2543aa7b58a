//! Joggle (stepped lap): the edge is set back so that another sheet lies flush on it.
//!
//! Model: either a straight ramp, or two equal arcs that meet half-way; the step lies behind, the outside is flush.
//! Depth is the thickness cleared (handbook H4: the old sheet). Ramp 5 × depth unless set (F6: 4 to 6).
//! Symbols: j depth, L run of the ramp, ρ neutral radius of the arcs, θ angle turned from flat.

use crate::error::{RuleError, within};
use crate::working::{Source, Working};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Run of the ramp over the depth, until the shop sets it.
pub const DEFAULT_RAMP_OVER_DEPTH: f64 = 5.0;

/// Shape of the step.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "step", rename_all = "snake_case")]
pub enum Ramp {
    /// A straight ramp of this run.
    Straight {
        /// Run along the skin.
        run_mm: f64,
    },
    /// Two equal arcs.
    Arcs {
        /// Radius of the neutral line.
        neutral_radius_mm: f64,
    },
}

/// A joggle.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Joggle {
    /// Depth of the step: the thickness that it clears.
    pub depth_mm: f64,
    /// Shape of the step.
    pub ramp: Ramp,
}

/// All figures of a joggle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JoggleFigures {
    /// Run along the skin from where the step starts to where it ends.
    pub run_mm: f64,
    /// True length of the step.
    pub true_length_mm: f64,
    /// True length less run: what the step adds to the flat.
    pub extra_mm: f64,
    /// Steepest angle of the step, turned from flat, rad.
    pub angle_rad: f64,
    /// The working of the extra length.
    pub working: Working,
}

impl Joggle {
    /// A straight ramp with the usual run of five depths.
    pub const fn with_usual_ramp(depth_mm: f64) -> Self {
        Self { depth_mm, ramp: Ramp::Straight { run_mm: DEFAULT_RAMP_OVER_DEPTH * depth_mm } }
    }

    /// True length, extra length and angle.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`]; [`RuleError::DoesNotFit`] for arcs too tight to reach the depth.
    pub fn figures(&self) -> Result<JoggleFigures, RuleError> {
        let j = within("joggle depth", self.depth_mm, 0.1, 12.0, "mm")?;
        match self.ramp {
            Ramp::Straight { run_mm } => {
                let run_mm = within("ramp run", run_mm, 0.5 * j, 500.0, "mm")?;
                let true_length_mm = run_mm.hypot(j);
                Ok(figures(j, run_mm, true_length_mm, (j / run_mm).atan(), "√(L² + j²) − L", "F4"))
            }
            Ramp::Arcs { neutral_radius_mm } => {
                let rho = within("neutral radius of the joggle", neutral_radius_mm, 0.05, 500.0, "mm")?;
                if j > 2.0 * rho {
                    return Err(RuleError::DoesNotFit {
                        what: format!("two arcs of {rho} mm reach {} mm, the joggle is {j} mm deep", 2.0 * rho),
                        need: "take a radius of at least half the depth, or a straight ramp".to_owned(),
                    });
                }
                let theta = (1.0 - j / (2.0 * rho)).acos();
                let (run_mm, arc_mm) = (2.0 * rho * theta.sin(), 2.0 * rho * theta);
                Ok(figures(j, run_mm, arc_mm, theta, "2·ρ·(θ − sin θ), cos θ = 1 − j/(2·ρ)", "F5"))
            }
        }
    }
}

fn figures(
    depth_mm: f64,
    run_mm: f64,
    true_length_mm: f64,
    angle_rad: f64,
    formula: &'static str,
    id: &'static str,
) -> JoggleFigures {
    let extra_mm = true_length_mm - run_mm;
    let working = Working::new("joggle adds", extra_mm, "mm", formula, Source::geometry(id))
        .with("j", "depth", depth_mm, "mm")
        .with("L", "run", run_mm, "mm")
        .with("θ", "steepest angle, turned from flat", angle_rad, "rad");
    JoggleFigures { run_mm, true_length_mm, extra_mm, angle_rad, working }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn impossible_steps_are_refused() {
        for joggle in [
            Joggle::with_usual_ramp(0.0),
            Joggle::with_usual_ramp(f64::NAN),
            Joggle { depth_mm: 0.9, ramp: Ramp::Straight { run_mm: 0.1 } },
            Joggle { depth_mm: 0.9, ramp: Ramp::Arcs { neutral_radius_mm: 0.4 } },
        ] {
            assert!(joggle.figures().is_err(), "{joggle:?}");
        }
    }
}
