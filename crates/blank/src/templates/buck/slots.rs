//! Where slices cross and how deep their slots are.

use super::profile::Profile;
use super::slice::Family;
use super::{BuckSettings, TemplateError};
use serde::{Deserialize, Serialize};

/// The side to which a slot is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum OpenTo {
    /// Down: slices across.
    Base,
    /// Up: slices along.
    Top,
}

/// A slot of a slice.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Slot {
    /// The slice that goes in.
    pub partner: String,
    /// Its middle along the slice, mm.
    pub at_mm: f64,
    /// Width, mm.
    pub width_mm: f64,
    /// The side to which it is open.
    pub open_to: OpenTo,
    /// Height over the base at which it ends, mm.
    pub ends_at_mm: f64,
    /// Half of the height that the two slices share there, mm: where the pair meets, but for the clearance of the seat.
    pub half_height_mm: f64,
}

/// How a crossing is made.
enum Crossing {
    /// Both boards go through with enough beside the slot.
    Slotted,
    /// One of the boards ends before it.
    Clear,
    /// The first (across) or second board ends inside the other or too near: it is cut back.
    CutBack { first: bool },
}

/// Cuts back slices that end in another's board and gives the slots of every slice, in its order; none for one that crosses no other.
pub(super) fn plan(profiles: &mut [Profile], settings: &BuckSettings) -> Result<Vec<Vec<Slot>>, TemplateError> {
    let pairs: Vec<(usize, usize)> = (0..profiles.len())
        .filter(|&i| profiles[i].family == Family::Across)
        .flat_map(|i| (0..profiles.len()).map(move |j| (i, j)))
        .filter(|&(_, j)| profiles[j].family == Family::Along)
        .collect();
    // each pass cuts at least one end back past one board, so there are fewer passes than ends at boards
    let mut again = true;
    while again {
        again = false;
        for &(a, b) in &pairs {
            if let Crossing::CutBack { first } = crossing(&profiles[a], &profiles[b], settings) {
                let (cut, keeps) = if first { (a, b) } else { (b, a) };
                let at_mm = profiles[keeps].at_mm;
                cut_back(&mut profiles[cut], at_mm, settings.half_slot_mm());
                again = true;
            }
        }
    }
    let mut slots = vec![Vec::new(); profiles.len()];
    for &(a, b) in &pairs {
        if let Crossing::Slotted = crossing(&profiles[a], &profiles[b], settings) {
            let [lower, upper] = pair_of_slots(&profiles[a], &profiles[b], settings)?;
            slots[a].push(lower);
            slots[b].push(upper);
        }
    }
    Ok(slots)
}

fn crossing(a: &Profile, b: &Profile, settings: &BuckSettings) -> Crossing {
    let half = settings.half_slot_mm();
    let clear = |slice: &Profile, at: f64| {
        let [from, to] = slice.ends_mm;
        from >= at + half - 1e-9 || to <= at - half + 1e-9 || to <= from
    };
    let through = |slice: &Profile, at: f64| {
        let [from, to] = slice.ends_mm;
        let reach = half + settings.least_wall_mm;
        from <= at - reach + 1e-9 && to >= at + reach - 1e-9
    };
    match (through(a, b.at_mm), through(b, a.at_mm)) {
        _ if clear(a, b.at_mm) || clear(b, a.at_mm) => Crossing::Clear,
        (true, true) => Crossing::Slotted,
        (through_a, _) => Crossing::CutBack { first: !through_a },
    }
}

/// Ends a slice at a board, on the side where less of it lies beyond.
fn cut_back(slice: &mut Profile, at_mm: f64, half_mm: f64) {
    let [from, to] = slice.ends_mm;
    slice.ends_mm = if at_mm - from < to - at_mm { [at_mm + half_mm, to] } else { [from, at_mm - half_mm] };
}

fn pair_of_slots(a: &Profile, b: &Profile, settings: &BuckSettings) -> Result<[Slot; 2], TemplateError> {
    let half = settings.half_slot_mm();
    let over = |slice: &Profile, at: f64| slice.least_height_mm(at - half, at + half);
    let shared_mm = over(a, b.at_mm).min(over(b, a.at_mm));
    if shared_mm.is_nan() || shared_mm < settings.least_height_mm - 1e-6 || shared_mm.is_infinite() {
        let lower_mm = settings.least_height_mm - shared_mm;
        let (name, need_mm) = (a.name.clone(), settings.least_height_mm);
        return Err(TemplateError::TooLow { name, at_mm: b.at_mm, height_mm: shared_mm, need_mm, lower_mm });
    }
    let half_height_mm = 0.5 * shared_mm;
    let slot = |partner: &Profile, open_to, sign: f64| Slot {
        partner: partner.name.clone(),
        at_mm: partner.at_mm,
        width_mm: 2.0 * half,
        open_to,
        ends_at_mm: half_height_mm + sign * 0.5 * settings.seat_clearance_mm,
        half_height_mm,
    };
    Ok([slot(b, OpenTo::Base, 1.0), slot(a, OpenTo::Top, -1.0)])
}
