//! A weld line divided into tacks, plugs and runs, each with the pairs that it joins.

use super::condense::phase_of;
use super::{Event, EventKind};
use crate::panel::{Panel, SeamPairs};
use glam::DVec3;

/// Places at which the heat of a run is taken to enter, apart from each other at most, mm.
pub(crate) const PLACE_STEP_MM: f64 = 10.0;

/// First number of the pairs of a weld line.
fn first_pair(panel: &Panel, seam: usize) -> u32 {
    panel.seams.iter().take(seam).map(|seam| seam.pairs.len() as u32).sum()
}

/// Dots at an even pitch, as near to the wanted one as the length allows; each joins the pair nearest to it. An open line has one near
/// either end. Without strain and heat yet.
#[must_use]
pub fn dots(panel: &Panel, seam: usize, pitch_mm: f64, kind: EventKind) -> Vec<Event> {
    let Some(line) = panel.seams.get(seam).filter(|line| !line.pairs.is_empty()) else { return Vec::new() };
    let (first, last) = (line.pairs[0].station_mm, line.pairs[line.pairs.len() - 1].station_mm);
    let length = if line.closed { line.length_mm } else { last - first };
    let spaces = (length / pitch_mm.max(1e-3)).round().clamp(1.0, line.pairs.len() as f64) as usize;
    let count = if line.closed { spaces } else { spaces + 1 };
    let stations = (0..count).map(|i| first + length * i as f64 / spaces as f64);
    dots_at(panel, seam, stations, kind)
}

/// Dots at given stations; two that fall to the same pair are one.
#[must_use]
pub fn dots_at(panel: &Panel, seam: usize, stations_mm: impl IntoIterator<Item = f64>, kind: EventKind) -> Vec<Event> {
    let Some(line) = panel.seams.get(seam).filter(|line| !line.pairs.is_empty()) else { return Vec::new() };
    let nearest = |station: f64| {
        let away = |i: &usize| (line.pairs[*i].station_mm - station).abs();
        (0..line.pairs.len()).min_by(|a, b| away(a).total_cmp(&away(b))).unwrap_or(0)
    };
    let mut chosen: Vec<usize> = stations_mm.into_iter().map(nearest).collect();
    chosen.sort_unstable();
    chosen.dedup();
    let event = |i: usize| {
        let pair = &line.pairs[i];
        let at = panel.open.points_mm[pair.left as usize];
        event(panel, seam, kind, [pair.station_mm; 2], vec![i], vec![at])
    };
    chosen.into_iter().map(event).collect()
}

/// Runs of even length, at most the wanted one, end to end over the whole line. Without strain and heat yet.
#[must_use]
pub fn runs(panel: &Panel, seam: usize, run_mm: f64) -> Vec<Event> {
    let Some(line) = panel.seams.get(seam).filter(|line| !line.pairs.is_empty()) else { return Vec::new() };
    let count = (line.length_mm / run_mm.max(1e-3)).ceil().clamp(1.0, line.pairs.len() as f64) as usize;
    let each = line.length_mm / count as f64;
    let mut events = Vec::with_capacity(count);
    for i in 0..count {
        let (from, to) = (each * i as f64, each * (i + 1) as f64);
        let inside = |station: f64| station >= from - 1e-9 && (station < to - 1e-9 || i + 1 == count);
        let pairs: Vec<usize> = (0..line.pairs.len()).filter(|p| inside(line.pairs[*p].station_mm)).collect();
        if pairs.is_empty() {
            continue;
        }
        let steps = (each / PLACE_STEP_MM).ceil().max(1.0) as usize;
        let mut places: Vec<DVec3> =
            (0..=steps).map(|k| place(panel, line, from + each * k as f64 / steps as f64)).collect();
        // beside an end inside the sheet there is no pair, and several stations have the place of the first
        places.dedup_by(|a, b| a.distance(*b) < 1e-6);
        events.push(event(panel, seam, EventKind::Run, [from, to], pairs, places));
    }
    events
}

fn event(
    panel: &Panel,
    seam: usize,
    kind: EventKind,
    stations_mm: [f64; 2],
    pairs: Vec<usize>,
    places_mm: Vec<DVec3>,
) -> Event {
    let first = first_pair(panel, seam);
    Event {
        kind,
        seam,
        stations_mm,
        pairs: pairs.into_iter().map(|pair| first + pair as u32).collect(),
        phase: phase_of(kind),
        inherent: Vec::new(),
        shifts: Vec::new(),
        heat_j: 0.0,
        seconds: 0.0,
        places_mm,
    }
}

/// Place of a station on a weld line.
fn place(panel: &Panel, line: &SeamPairs, station_mm: f64) -> DVec3 {
    let at = |i: usize| panel.open.points_mm[line.pairs[i].left as usize];
    let next = line.pairs.partition_point(|pair| pair.station_mm < station_mm);
    if next == 0 {
        return at(0);
    }
    if next == line.pairs.len() {
        let last = line.pairs[next - 1].station_mm;
        let share = (station_mm - last) / (line.length_mm - last).max(f64::MIN_POSITIVE);
        return if line.closed { at(next - 1).lerp(at(0), share.min(1.0)) } else { at(next - 1) };
    }
    let (from, to) = (line.pairs[next - 1].station_mm, line.pairs[next].station_mm);
    at(next - 1).lerp(at(next), (station_mm - from) / (to - from).max(f64::MIN_POSITIVE))
}
