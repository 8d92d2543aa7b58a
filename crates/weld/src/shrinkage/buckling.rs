//! What a flat panel stands before it buckles, in closed form (W27, W28), and the stretch that planishing gives back (W30).

use super::rules::tendon_force;
use crate::heat::{thickness, within};
use crate::metal::{MetalKind, WeldMetal};
use handbook::welding::{TENDON_STEEL_N_PER_J_MM, YIELD_STRAIN};
use handbook::{RuleError, Source, Working};
use std::f64::consts::PI;

/// How the long edges of a strip beside the seam are held against leaving the plane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EdgeHold {
    /// Both edges held, free to turn.
    BothHeld,
    /// One edge held, the other free.
    OneFree,
}

impl EdgeHold {
    /// Coefficient k of a long strip under even compression (W27).
    pub const fn coefficient(self) -> f64 {
        match self {
            Self::BothHeld => 4.0,
            Self::OneFree => 0.425,
        }
    }
}

/// Compression at which a long strip of width b buckles: k·π²·E/(12·(1−ν²))·(t/b)² (W27).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn critical_stress(
    metal: &WeldMetal,
    hold: EdgeHold,
    thickness_mm: f64,
    width_mm: f64,
) -> Result<Working, RuleError> {
    let (t, k) = (thickness(thickness_mm)?, hold.coefficient());
    let b = within("width of the strip", width_mm, [1.0, 1e4], "mm")?;
    let modulus = PI * PI * metal.young_n_mm2 / (12.0 * (1.0 - metal.poisson * metal.poisson));
    let source = Source::text("Timoshenko; NACA TN 3781", "W27");
    Ok(Working::new("buckling stress", k * modulus * (t / b).powi(2), "N/mm²", "k·π²·E/(12·(1−ν²))·(t/b)²", source)
        .with("k", "how the edges are held", k, "")
        .with("E", "Young's modulus", metal.young_n_mm2, "N/mm²")
        .with("ν", "Poisson's ratio", metal.poisson, "")
        .with("t", "thickness", t, "mm")
        .with("b", "width of the strip", b, "mm"))
}

/// The seam between two like strips at which a long flat panel buckles (W28).
#[derive(Debug, Clone, PartialEq)]
pub struct Critical {
    /// Shrinkage force, N.
    pub force: Working,
    /// Net heat input of one continuous seam, J/mm.
    pub heat: Working,
}

/// Shrinkage force σcr·A and net heat input at which two strips of one width, either side of a seam, buckle (W28): for steel by the
/// rule of 200 N for each J/mm. Long panels; in a short one the force builds up from the ends and the true figure is higher.
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn critical_heat(
    metal: &WeldMetal,
    hold: EdgeHold,
    thickness_mm: f64,
    strip_width_mm: f64,
) -> Result<Critical, RuleError> {
    let stress = critical_stress(metal, hold, thickness_mm, strip_width_mm)?;
    let area = 2.0 * strip_width_mm * thickness_mm;
    let per_heat = match metal.kind {
        MetalKind::Steel => TENDON_STEEL_N_PER_J_MM,
        MetalKind::Aluminium => tendon_force(metal, 1.0)?.range.middle,
    };
    let given = |working: Working| {
        working.with("σcr", "buckling stress", stress.value, "N/mm²").with("A", "both strips", area, "mm²")
    };
    let value = stress.value * area;
    let force = Working::new("shrinkage force that buckles the panel", value, "N", "σcr·A", Source::geometry("W28"));
    let name = "net heat input that buckles the panel";
    let heat = Working::new(name, value / per_heat, "J/mm", "σcr·A/f", Source::geometry("W28"));
    Ok(Critical {
        force: given(force),
        heat: given(heat).with("f", "shrinkage force for each J/mm", per_heat, "N·mm/J"),
    })
}

/// Stretch along the seam that planishing must give back: F/(E·As), but no more than the yield strain (W30).
///
/// # Errors
/// [`RuleError::OutOfRange`].
pub fn planishing_stretch(metal: &WeldMetal, force_n: f64, strip_mm2: f64) -> Result<Working, RuleError> {
    let force = within("shrinkage force", force_n, [0.0, 1e9], "N")?;
    let strip = within("cross-section of the weld strip", strip_mm2, [1e-3, 1e5], "mm²")?;
    let value = (force / (metal.young_n_mm2 * strip)).min(YIELD_STRAIN);
    Ok(Working::new("planishing stretch", value, "", "the lesser of F/(E·As) and 0.001", Source::geometry("W30"))
        .with("F", "shrinkage force", force, "N")
        .with("As", "cross-section of the weld strip", strip, "mm²")
        .with("E", "Young's modulus", metal.young_n_mm2, "N/mm²"))
}
