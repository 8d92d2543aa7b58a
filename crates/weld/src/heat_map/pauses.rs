//! How long to wait before each weld of an order, without a mesh: the closed form of [`crate::order::cooling`] on wide sheet.

use super::{WeldPass, surface_of};
use crate::metal::WeldMetal;
use crate::order::Event;
use crate::order::cooling::Cooling;
use crate::order::stretches::PLACE_STEP_MM;
use crate::warp::{PlannedHeat, WarpSettings};
use glam::DVec3;
use handbook::RuleError;
use handbook::welding::SurfaceLoss;

/// Sheet, metal and heat of welds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeldedSheet<'a> {
    /// Metal.
    pub metal: &'a WeldMetal,
    /// Thickness of the thinner sheet.
    pub thickness_mm: f64,
    /// Heat.
    pub heat: &'a PlannedHeat,
}

/// Pause before each weld, s, beyond moving there: until its place is cool enough for a hand.
///
/// # Errors
/// [`RuleError`] for settings out of range.
pub fn pauses_s(sheet: &WeldedSheet<'_>, welds: &[WeldPass], settings: &WarpSettings) -> Result<Vec<f64>, RuleError> {
    let loss = SurfaceLoss::of(surface_of(sheet.metal)).of_one_face(settings.air_c)?.value;
    let cooling = Cooling {
        metal: sheet.metal.thermal.clone(),
        thickness_mm: sheet.thickness_mm,
        loss_w_mm2_k: loss,
        air_c: settings.air_c,
        start_limit_c: settings.start_limit_c,
        move_s: settings.move_s,
        // wide sheet: its edges are not known here
        edges: Vec::new(),
    };
    let events: Vec<Event> = welds.iter().map(|weld| event(sheet, weld)).collect();
    let order: Vec<u32> = (0..events.len() as u32).collect();
    Ok(cooling.timings(&events, &order, true).into_iter().map(|timing| timing.pause_s).collect())
}

fn event(sheet: &WeldedSheet<'_>, weld: &WeldPass) -> Event {
    let heat = sheet.heat;
    let length_mm: f64 = weld.line_mm.windows(2).map(|ends| ends[0].distance(ends[1])).sum();
    let [heat_j, seconds] = heat.of_weld(weld.kind, length_mm, weld.dot_mm, (sheet.metal, sheet.thickness_mm));
    Event {
        kind: weld.kind,
        seam: 0,
        stations_mm: [0.0, length_mm],
        pairs: Vec::new(),
        phase: 0,
        inherent: Vec::new(),
        shifts: Vec::new(),
        heat_j,
        seconds,
        places_mm: places(&weld.line_mm),
    }
}

/// Places along a line, its corners among them.
fn places(line_mm: &[DVec3]) -> Vec<DVec3> {
    let mut places: Vec<DVec3> = line_mm.first().copied().into_iter().collect();
    for ends in line_mm.windows(2) {
        let steps = (ends[0].distance(ends[1]) / PLACE_STEP_MM).ceil().max(1.0) as usize;
        places.extend((1..=steps).map(|i| ends[0].lerp(ends[1], i as f64 / steps as f64)));
    }
    places
}
