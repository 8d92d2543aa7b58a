//! Rings (see `section::ring`): one formed blank, or parts built up with seams; both developed, so that the feasible one is chosen.
//!
//! One formed blank: the middle of the sheet is mapped ring by ring to a flat disc or annulus. With r(s) the finished distance from the
//! axis along the meridian and R that in the flat, the hoop strain is ln(r/R); a [`ThicknessLaw`] says how much of it the
//! meridian gives back, dR = (r/R)^p ds, and constant volume gives the thickness t = t0·(R/r)^(1−p). One circle, or one flat leg, keeps
//! its size ([`Held`]).
//! Built up: every leg is a part of its own, developed exactly (annulus, strip, sector of a cone), the corners are seams.
//! Holds: volume of blank and ring agree for every law. Does not hold for: springback, friction, wrinkling (judged by the share that
//! is gathered), thinning by the bends themselves.
//! Units: mm, rad, true strains unless a name says otherwise.

mod concerns;
mod error;
mod forms;
mod law;
mod map;
mod one_blank;
mod parts;
mod report;
mod seams;

pub use error::RingError;
pub use forms::{FormSide, RingForm};
pub use law::ThicknessLaw;
pub use one_blank::{Held, OneBlank, RingCircle, RingStrain};
pub use parts::{BuiltUp, RingPartFlat};
pub use seams::{RingSeam, SeamKind};

use crate::flatten::shop_terms::GatherLimits;
use crate::{DevelopSettings, material_of};
use handbook::forming_limit::FormingLimit;
use section::Ring;
use serde::{Deserialize, Serialize};

/// What is chosen for one ring.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RingSettings {
    /// How thickness follows the hoop strain.
    pub law: ThicknessLaw,
    /// What keeps its size; `None` takes what strains the sheet least against its limits.
    pub held: Option<Held>,
    /// Gathering the shop takes on.
    pub gather: GatherLimits,
    /// Trim left on formed free edges, mm.
    pub trim_mm: f64,
}

impl Default for RingSettings {
    fn default() -> Self {
        Self { law: ThicknessLaw::default(), held: None, gather: GatherLimits::default(), trim_mm: 2.0 }
    }
}

/// A ring developed both ways.
#[derive(Debug, Clone, PartialEq)]
pub struct DevelopedRing {
    /// As one formed blank.
    pub one_blank: OneBlank,
    /// As parts with seams.
    pub built_up: BuiltUp,
}

/// Develops a ring both ways. A way that cannot be made carries a stop among its concerns.
///
/// # Errors
/// [`RingError`]: a faulty ring or setting, an unknown material, a thickness outside the forming limit's range.
pub fn develop(ring: &Ring, develop: &DevelopSettings, settings: &RingSettings) -> Result<DevelopedRing, RingError> {
    Ok(DevelopedRing {
        one_blank: one_blank::develop(ring, develop, settings)?,
        built_up: parts::develop(ring, develop, settings)?,
    })
}

/// Forming limit of the ring's sheet (handbook S30, S31; borrowed for other metals than low-carbon steel).
fn limit_of(ring: &Ring) -> Result<FormingLimit, RingError> {
    let metal = material_of(&ring.material).ok_or_else(|| RingError::UnknownMaterial { key: ring.material.clone() })?;
    Ok(FormingLimit::new(ring.thickness_mm, metal.properties().hardening_exponent, Some(metal).into())?)
}

fn check_settings(ring: &Ring, settings: &RingSettings, develop: &DevelopSettings) -> Result<(), RingError> {
    error::within("the trim", settings.trim_mm, 0.0, 200.0, "0 to 200 mm")?;
    error::within("the gathering that is warned of", settings.gather.caution, 0.0, 1.0, "0 to 1")?;
    error::within(
        "the gathering that stops",
        settings.gather.stop,
        settings.gather.caution,
        1.0,
        "the warning's to 1",
    )?;
    error::within("the sampling tolerance", develop.sampling_tolerance_mm, 1e-7, 1.0, "1e-7 to 1 mm")?;
    match settings.held {
        Some(Held::Leg(leg)) if ring.leg_kind(leg) != Some(section::ring::LegKind::Flat) => {
            Err(RingError::HeldLeg { got: leg + 1, flat: flat_legs(ring) })
        }
        Some(Held::InnerEdge | Held::OuterEdge | Held::Leg(1..)) if ring.is_closed() => {
            Err(RingError::ClosedHeld { ring: ring.name.clone() })
        }
        _ => Ok(()),
    }
}

fn flat_legs(ring: &Ring) -> String {
    let flat = (0..ring.legs()).filter(|leg| ring.leg_kind(*leg) == Some(section::ring::LegKind::Flat));
    let named: Vec<String> = flat.map(|leg| format!("{} ({})", leg + 1, ring.leg_name(leg))).collect();
    if named.is_empty() { "none".to_owned() } else { named.join(", ") }
}

#[cfg(test)]
mod tests;
