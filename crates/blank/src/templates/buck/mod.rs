//! A buck: upright slices in two directions, half-lapped into each other on a flat base (an egg crate).
//!
//! Model: the base is a plane with a frame; slices "across" stand across its x, slices "along" run along it, all square to it and to each other.
//! A board has a thickness: its top is cut square to its face, as low as the surface is anywhere over the thickness, so that
//! no slice pushes the sheet up and each touches it along an edge of the board. Slots of those across are open to the base, of those along
//! to the top; a pair meets at half of the height they share. Where a slice ends inside another's board it is cut back.
//! Holds: every slice stands on the base (height 0), every crossing is slotted or clear ([`check_assembly`] measures it from
//! the outlines alone).
//! Not held: a bevel on the tops. Below a hole of the skin the top is cut back by the relief of the card settings.

mod assembly;
mod profile;
mod slice;
mod slots;

pub use assembly::{Assembly, Meeting, check_assembly};
pub use slice::{Family, Slice};
pub use slots::{OpenTo, Slot};

use self::profile::Profile;
use super::faced::face_words;
use super::{CardSettings, FacedSkin, TemplateError};
use glam::DVec3;
use mesh::sections::SectionPlane;
use section::Face;
use serde::{Deserialize, Serialize};

/// Board and joints: shop settings, no source.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct BuckSettings {
    /// Thickness of the board, mm; 1 to 40. Measure it: boards are not what they are sold as.
    pub board_mm: f64,
    /// Width of a slot over the board, mm; 0 to 3.
    pub slot_clearance_mm: f64,
    /// Height by which the two slots of a pair are together deeper than needed, so that both slices stand on the base, mm; 0 to 5.
    pub seat_clearance_mm: f64,
    /// Least board beside a slot, mm; 5 to 100.
    pub least_wall_mm: f64,
    /// Least height of a slice, mm; 20 to 500.
    pub least_height_mm: f64,
}

impl Default for BuckSettings {
    fn default() -> Self {
        Self {
            board_mm: 12.0,
            slot_clearance_mm: 0.4,
            seat_clearance_mm: 1.0,
            least_wall_mm: 15.0,
            least_height_mm: 60.0,
        }
    }
}

impl BuckSettings {
    /// Checks the ranges.
    ///
    /// # Errors
    /// [`TemplateError::OutOfRange`].
    pub fn check(&self) -> Result<(), TemplateError> {
        TemplateError::range("the thickness of the board", self.board_mm, 1.0..=40.0, "mm")?;
        TemplateError::range("the clearance of a slot", self.slot_clearance_mm, 0.0..=3.0, "mm")?;
        TemplateError::range("the clearance of the seat", self.seat_clearance_mm, 0.0..=5.0, "mm")?;
        TemplateError::range("the least board beside a slot", self.least_wall_mm, 5.0..=100.0, "mm")?;
        TemplateError::range("the least height of a slice", self.least_height_mm, 20.0..=500.0, "mm")?;
        Ok(())
    }

    /// Half the width of a slot, mm.
    pub(super) fn half_slot_mm(&self) -> f64 {
        0.5 * (self.board_mm + self.slot_clearance_mm)
    }
}

/// Where the middles of the slices of a family stand.
#[derive(Debug, Clone, PartialEq)]
pub enum Spacing {
    /// As many as go at this distance, mm, in the middle of the skin; those that no other slice would hold are left out.
    Pitch(f64),
    /// At these positions along the base's x (across) or y (along), mm, rising.
    At(Vec<f64>),
}

/// A buck that is wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct BuckOrder {
    /// The base, flat: a point of it, and its normal up towards the skin is along × up of this frame.
    pub base: SectionPlane,
    /// Slices across the base's x.
    pub across: Spacing,
    /// Slices along the base's x.
    pub along: Spacing,
}

/// A buck.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Buck {
    /// The base.
    pub base: SectionPlane,
    /// Face of the sheet that lies on it.
    pub touches: Face,
    /// Board and joints.
    pub settings: BuckSettings,
    /// Slices across, then slices along, each in order.
    pub slices: Vec<Slice>,
}

/// Makes the slices of a buck for a skin that has been moved to the face it touches (and by what lies between).
///
/// # Errors
/// [`TemplateError`]: numbers out of range, boards closer than they are thick, slices beside the skin, a surface that overhangs, a base
/// on the wrong side or too near, slices that nothing holds.
pub fn buck(
    faced: &FacedSkin,
    order: &BuckOrder,
    settings: &BuckSettings,
    card: &CardSettings,
) -> Result<Buck, TemplateError> {
    settings.check()?;
    card.check()?;
    if faced.touches() == Face::Middle {
        return Err(TemplateError::WrongSide { base_side: "side", touches: face_words(Face::Middle) });
    }
    let cutter = faced.cutter("the buck")?;
    let mut profiles = Vec::new();
    for family in [Family::Across, Family::Along] {
        let spacing = order.spacing(family);
        let extent = extent_mm(faced, &order.base, family);
        for (index, at_mm) in positions(family, spacing, extent, settings)?.into_iter().enumerate() {
            let plane = family.plane(&order.base, at_mm);
            let name = family.name(index);
            let context = (settings, card, faced.touches());
            match Profile::of(&cutter, &plane, name, family, at_mm, context) {
                Err(TemplateError::NotHeld { .. }) if spacing.is_ours() => {}
                other => profiles.push(other?),
            }
        }
    }
    let (profiles, slots) = held(profiles, order, settings)?;
    let shaped = profiles.iter().zip(&slots).map(|(profile, slots)| slice::shape(profile, slots, card));
    let slices = shaped.collect::<Result<_, _>>()?;
    Ok(Buck { base: order.base, touches: faced.touches(), settings: *settings, slices })
}

impl Spacing {
    /// Whether the program chose the positions, and may leave a slice out.
    fn is_ours(&self) -> bool {
        matches!(self, Self::Pitch(_))
    }
}

impl BuckOrder {
    fn spacing(&self, family: Family) -> &Spacing {
        match family {
            Family::Across => &self.across,
            Family::Along => &self.along,
        }
    }
}

/// Slices with their slots. Slices at a pitch that nothing holds, near the rim of a round skin, are left out and the others numbered
/// again; a slice at a given position that nothing holds is refused.
fn held(
    mut profiles: Vec<Profile>,
    order: &BuckOrder,
    settings: &BuckSettings,
) -> Result<(Vec<Profile>, Vec<Vec<Slot>>), TemplateError> {
    loop {
        number(&mut profiles);
        let mut planned = profiles.clone();
        let slots = slots::plan(&mut planned, settings)?;
        let loose = (0..planned.len()).filter(|&i| slots[i].is_empty()).collect::<Vec<_>>();
        let refused = loose.iter().find(|&&i| !order.spacing(planned[i].family).is_ours());
        // when nothing is left, the first is named
        let all = (loose.len() == planned.len()).then(|| loose.first()).flatten();
        if let Some(&i) = refused.or(all) {
            return Err(TemplateError::NotHeld { name: planned[i].name.clone() });
        }
        if loose.is_empty() {
            return Ok((planned, slots));
        }
        let mut index = 0;
        profiles.retain(|_| {
            index += 1;
            !loose.contains(&(index - 1))
        });
    }
}

fn number(profiles: &mut [Profile]) {
    for family in [Family::Across, Family::Along] {
        let of_family = profiles.iter_mut().filter(|profile| profile.family == family);
        of_family.enumerate().for_each(|(index, profile)| profile.name = family.name(index));
    }
}

/// Least and greatest position of the skin along the direction in which a family is spaced, mm.
fn extent_mm(faced: &FacedSkin, base: &SectionPlane, family: Family) -> [f64; 2] {
    let direction: DVec3 = family.spaced_along(base);
    let along = faced.skin().points_mm.iter().map(|point| (*point - base.origin_mm()).dot(direction));
    along.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], x| [low.min(x), high.max(x)])
}

fn positions(
    family: Family,
    spacing: &Spacing,
    [low, high]: [f64; 2],
    settings: &BuckSettings,
) -> Result<Vec<f64>, TemplateError> {
    let half = 0.5 * settings.board_mm;
    let (least_mm, most_mm) = (low + half, high - half);
    let need_mm = 2.0 * settings.board_mm + settings.slot_clearance_mm;
    let too_close = |first: usize, apart_mm: f64| TemplateError::TooClose {
        first: family.name(first),
        second: family.name(first + 1),
        apart_mm,
        need_mm,
    };
    let positions = match spacing {
        Spacing::Pitch(pitch_mm) => {
            let pitch_mm = TemplateError::range("the pitch of the slices", *pitch_mm, 2.0..=2000.0, "mm")?;
            if pitch_mm < need_mm {
                return Err(too_close(0, pitch_mm));
            }
            let middle = 0.5 * (low + high);
            let each_side = 0.5 * (most_mm - least_mm).max(0.0) / pitch_mm;
            // an even number stands beside the middle, an odd one has a slice on it: whichever gives more
            let (odd, even) = (each_side.floor(), (each_side + 0.5).floor());
            let count = (2.0 * odd + 1.0).max(2.0 * even);
            (0..count as usize).map(|i| middle + (i as f64 - 0.5 * (count - 1.0)) * pitch_mm).collect()
        }
        Spacing::At(positions) => positions.clone(),
    };
    for (index, at_mm) in positions.iter().enumerate() {
        if !(least_mm..=most_mm).contains(at_mm) {
            return Err(TemplateError::SliceBeyond { name: family.name(index), at_mm: *at_mm, least_mm, most_mm });
        }
    }
    let close = positions.windows(2).position(|pair| pair[1] - pair[0] < need_mm);
    match close {
        Some(first) => Err(too_close(first, positions[first + 1] - positions[first])),
        None => TemplateError::range("the number of slices", positions.len() as f64, 2.0..=200.0, "a direction")
            .map(|_| positions),
    }
}
