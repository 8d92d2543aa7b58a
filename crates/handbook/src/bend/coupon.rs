//! The shop's own bent strip: cut a strip of known length, bend it, measure both legs, and the neutral line follows.

use super::{Bend, LegsTo};
use crate::error::{RuleError, positive_size, size, thickness, within};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// A strip that the shop bent once and measured.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Coupon {
    /// Sheet thickness.
    pub thickness_mm: f64,
    /// Inside radius that came out.
    pub inside_radius_mm: f64,
    /// Bend angle that came out, turned from flat, rad.
    pub bend_angle_rad: f64,
    /// Length of the strip before bending.
    pub strip_length_mm: f64,
    /// First leg as measured.
    pub leg_a_mm: f64,
    /// Second leg as measured.
    pub leg_b_mm: f64,
    /// To where the legs were measured.
    pub legs_to: LegsTo,
}

/// How far another sheet may differ in thickness from the strip, as a share.
const THICKNESS_SPREAD: f64 = 0.10;
/// How far the radius of another bend may differ from the strip, as a factor.
const RADIUS_FACTOR: f64 = 2.0;
/// Largest K believed: the neutral line lies on the inner half; the rest is the reach of the measurement.
const LARGEST_K: f64 = 0.6;

impl Coupon {
    /// Length of the neutral line over the measured bend, in mm: strip length less the two straight parts.
    ///
    /// # Errors
    /// [`RuleError::OutOfRange`] for an impossible measurement, [`RuleError::LegTooShort`].
    pub fn allowance_mm(&self) -> Result<f64, RuleError> {
        thickness(self.thickness_mm)?;
        size("inside radius of the strip", self.inside_radius_mm)?;
        within("bend angle of the strip (turned from flat)", self.bend_angle_rad, 0.2, PI, "rad")?;
        positive_size("length of the strip", self.strip_length_mm)?;
        let bend = self.bend();
        let take_mm = self.legs_to.take_mm(&bend)?;
        let straight = |number: usize, leg_mm: f64| {
            let flat_mm = size("leg of the strip", leg_mm)? - take_mm;
            if flat_mm < 0.0 {
                return Err(RuleError::LegTooShort { number, got_mm: leg_mm, need_mm: take_mm });
            }
            Ok(flat_mm)
        };
        Ok(self.strip_length_mm - straight(1, self.leg_a_mm)? - straight(2, self.leg_b_mm)?)
    }

    /// K of the strip: (BA/θ − r)/t.
    ///
    /// # Errors
    /// As [`Coupon::allowance_mm`], and [`RuleError::OutOfRange`] when K is not between 0 and 0.6: measure again.
    pub fn k_factor(&self) -> Result<f64, RuleError> {
        let k = (self.allowance_mm()? / self.bend_angle_rad - self.inside_radius_mm) / self.thickness_mm;
        within("K factor from the shop's strip", k, 0.0, LARGEST_K, "× t")
    }

    /// K for a bend in like sheet with a like radius.
    pub(super) fn k_factor_for(&self, bend: &Bend) -> Result<f64, RuleError> {
        let thickness_ratio = bend.thickness_mm / self.thickness_mm;
        if (thickness_ratio - 1.0).abs() > THICKNESS_SPREAD {
            return Err(RuleError::DoesNotFit {
                what: format!("the shop's strip is {} mm thick, the sheet {} mm", self.thickness_mm, bend.thickness_mm),
                need: "bend a strip of this sheet (within 10 %) or choose another rule".to_owned(),
            });
        }
        let (strip_mm, bend_mm) = (self.inside_radius_mm.max(0.1), bend.inside_radius_mm.max(0.1));
        if strip_mm.max(bend_mm) > RADIUS_FACTOR * strip_mm.min(bend_mm) {
            return Err(RuleError::DoesNotFit {
                what: format!(
                    "the shop's strip has an inside radius of {} mm, the bend {} mm",
                    self.inside_radius_mm, bend.inside_radius_mm
                ),
                need: "bend a strip to this radius (within a factor of two) or choose another rule".to_owned(),
            });
        }
        self.k_factor()
    }

    const fn bend(&self) -> Bend {
        Bend {
            thickness_mm: self.thickness_mm,
            inside_radius_mm: self.inside_radius_mm,
            bend_angle_rad: self.bend_angle_rad,
        }
    }
}

/// Legs of a strip whose neutral line lies at `k_factor`, measured as `legs_to` says: the inverse of a [`Coupon`].
/// The strip is bent in its middle.
#[cfg(test)]
fn bent_strip(bend: &Bend, strip_length_mm: f64, k_factor: f64, legs_to: LegsTo) -> Coupon {
    let arc_mm = bend.bend_angle_rad * (bend.inside_radius_mm + k_factor * bend.thickness_mm);
    let leg_mm = (strip_length_mm - arc_mm) / 2.0 + legs_to.take_mm(bend).unwrap();
    Coupon {
        thickness_mm: bend.thickness_mm,
        inside_radius_mm: bend.inside_radius_mm,
        bend_angle_rad: bend.bend_angle_rad,
        strip_length_mm,
        leg_a_mm: leg_mm,
        leg_b_mm: leg_mm,
        legs_to,
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Rule, allowance};
    use super::*;

    const RIGHT: Bend = Bend { thickness_mm: 0.9, inside_radius_mm: 1.5, bend_angle_rad: PI / 2.0 };

    #[test]
    fn a_strip_gives_back_the_neutral_line_it_was_bent_with() {
        for legs_to in [LegsTo::Corner, LegsTo::Tangent, LegsTo::BendLine] {
            let coupon = bent_strip(&RIGHT, 100.0, 0.42, legs_to);
            assert!((coupon.k_factor().unwrap() - 0.42).abs() < 1e-9);
            let figures = allowance(&RIGHT, &Rule::ShopCoupon(coupon)).unwrap();
            assert!((figures.allowance_mm - coupon.allowance_mm().unwrap()).abs() < 1e-9);
        }
    }

    #[test]
    fn a_strip_of_other_sheet_or_radius_is_refused() {
        let coupon = bent_strip(&RIGHT, 100.0, 0.42, LegsTo::Corner);
        for bend in [Bend { thickness_mm: 1.2, ..RIGHT }, Bend { inside_radius_mm: 6.0, ..RIGHT }] {
            assert!(matches!(allowance(&bend, &Rule::ShopCoupon(coupon)), Err(RuleError::DoesNotFit { .. })));
        }
    }

    #[test]
    fn a_wrong_measurement_is_refused() {
        let coupon = bent_strip(&RIGHT, 100.0, 0.42, LegsTo::Corner);
        assert!(Coupon { leg_a_mm: coupon.leg_a_mm + 2.0, ..coupon }.k_factor().is_err());
        assert!(Coupon { leg_a_mm: 1.0, ..coupon }.k_factor().is_err());
        assert!(Coupon { strip_length_mm: f64::NAN, ..coupon }.k_factor().is_err());
    }
}
