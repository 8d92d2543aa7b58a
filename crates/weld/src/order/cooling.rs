//! Heat left from before: how warm the sheet is where the next tack or run starts, and how long to wait.
//!
//! An instant source of heat Q through the thickness of a sheet without end, with loss from both faces: T − Ta =
//! Q/(4π·k·t·τ)·exp(−r²/(4a·τ) − 2h·τ/(ρc·t)). H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, instantaneous line source, section 10.3
//! (from memory). A run is a row of them, each at its own moment. Free edges throw heat back ([`super::edges`]); an open seam needs no image, for what is
//! welded on it heats both sides alike. Distances are straight.
//!
//! What is warm already is molten wider by the same heat. In W8 the fusion line lies where the heat alone would raise cold sheet to melting; sheet that
//! is at Ts needs Tm − Ts of it, so a weld on it is as wide, and shrinks as much, as one of Q·(Tm − Ta)/(Tm − Ts) on cold sheet.

use super::Event;
use super::edges::{HeatEdge, with_images};
use glam::DVec3;
use handbook::welding::Thermal;
use serde::Serialize;
use std::f64::consts::PI;

/// How the sheet cools, and what is wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct Cooling {
    /// Metal.
    pub metal: Thermal,
    /// Thickness, mm.
    pub thickness_mm: f64,
    /// Loss of one face, W/(mm²·K).
    pub loss_w_mm2_k: f64,
    /// Temperature of the air and of the sheet before anything, °C.
    pub air_c: f64,
    /// The next event starts at or below this, °C.
    pub start_limit_c: f64,
    /// Moving from one event to the next, s.
    pub move_s: f64,
    /// Sides of the sheet beyond which there is none.
    pub edges: Vec<HeatEdge>,
}

/// When one event starts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Timing {
    /// Which.
    pub event: u32,
    /// Since the start of the first, s.
    pub start_s: f64,
    /// Pause before it, beyond moving there, s.
    pub pause_s: f64,
    /// Warmest of its places when it starts, °C.
    pub start_c: f64,
    /// The same without the pause, °C.
    pub without_pause_c: f64,
    /// How many times its heat the event counts, for the warm sheet that the arc meets: 1 on cold sheet.
    pub counts: f64,
}

/// Longest pause that is looked for, s.
pub(crate) const LONGEST_PAUSE_S: f64 = 3600.0;
/// No source counts as younger than this, s: the moment between lifting the arc and starting again.
const YOUNGEST_S: f64 = 0.5;

/// Sheet that is warmer than this share of the way to melting counts no more: there the arc is about to burn through, and nobody goes on.
const WARMEST_SHARE: f64 = 0.5;

/// Heat that has gone so many times the length over which the faces take it up is gone: e⁻⁵.
const FADED: f64 = 5.0;

struct Source {
    /// Where it lies, and its images beyond free edges.
    at: Vec<DVec3>,
    moment_s: f64,
    heat_j: f64,
}

impl Cooling {
    fn rise_k(&self, source: &Source, at: DVec3, moment_s: f64) -> f64 {
        let age = (moment_s - source.moment_s).max(YOUNGEST_S);
        let metal = &self.metal;
        let spread = 4.0 * metal.diffusivity_mm2_s() * age;
        let fade = 2.0 * self.loss_w_mm2_k * age / (metal.heat_capacity_j_mm3_k * self.thickness_mm);
        let each = |place: &DVec3| (-at.distance_squared(*place) / spread - fade).exp();
        source.heat_j / (4.0 * PI * metal.conductivity_w_mm_k * self.thickness_mm * age)
            * source.at.iter().map(each).sum::<f64>()
    }

    /// How far from a source an edge still matters, mm.
    fn reach_mm(&self) -> f64 {
        let metal = &self.metal;
        let conducted = (4.0 * metal.diffusivity_mm2_s() * LONGEST_PAUSE_S).sqrt();
        let lost = metal.conductivity_w_mm_k * self.thickness_mm / (2.0 * self.loss_w_mm2_k);
        (FADED * lost.sqrt()).min(2.0 * conducted)
    }

    /// How many times its heat a weld counts on sheet that is so much warmer than the air.
    fn counts(&self, warmer_k: f64) -> f64 {
        let melting_k = self.metal.melting_c - self.air_c;
        melting_k / (melting_k - warmer_k.clamp(0.0, WARMEST_SHARE * melting_k))
    }

    fn warmest_c(&self, sources: &[Source], places: &[DVec3], moment_s: f64) -> f64 {
        let at = |place: &DVec3| sources.iter().map(|source| self.rise_k(source, *place, moment_s)).sum::<f64>();
        self.air_c + places.iter().map(at).fold(0.0, f64::max)
    }

    /// Starts and pauses of an order of events. With `pauses` false nobody waits: the temperatures say what that costs.
    #[must_use]
    pub fn timings(&self, events: &[Event], order: &[u32], pauses: bool) -> Vec<Timing> {
        let (mut sources, mut now): (Vec<Source>, f64) = (Vec::new(), 0.0);
        let mut timings = Vec::with_capacity(order.len());
        let reach_mm = self.reach_mm();
        for &number in order {
            let Some(event) = events.get(number as usize) else { continue };
            let ready = if timings.is_empty() { now } else { now + self.move_s };
            let without_pause_c = self.warmest_c(&sources, &event.places_mm, ready);
            let mut start = ready;
            if pauses && without_pause_c > self.start_limit_c {
                start = self.cool_from(&sources, &event.places_mm, ready);
            }
            let start_c = self.warmest_c(&sources, &event.places_mm, start);
            let count = event.places_mm.len().max(1) as f64;
            let (before, mut met_k) = (sources.len(), 0.0);
            for (i, at) in event.places_mm.iter().enumerate() {
                let moment_s = start + event.seconds * (i as f64 + 0.5) / count;
                met_k += sources[..before].iter().map(|source| self.rise_k(source, *at, moment_s)).sum::<f64>() / count;
                let at = with_images(&self.edges, *at, reach_mm);
                sources.push(Source { at, moment_s, heat_j: event.heat_j / count });
            }
            timings.push(Timing {
                event: number,
                start_s: start,
                pause_s: start - ready,
                start_c,
                without_pause_c,
                counts: self.counts(met_k),
            });
            now = start + event.seconds;
        }
        timings
    }

    /// First moment, to a second, from which the places are cool enough.
    fn cool_from(&self, sources: &[Source], places: &[DVec3], from_s: f64) -> f64 {
        let warm = |moment: f64| self.warmest_c(sources, places, moment) > self.start_limit_c;
        let (mut before, mut step) = (from_s, 1.0);
        while warm(before + step) {
            before += step;
            step *= 1.3;
            if before - from_s > LONGEST_PAUSE_S {
                return from_s + LONGEST_PAUSE_S;
            }
        }
        let mut after = before + step;
        while after - before > 0.1 {
            let middle = 0.5 * (before + after);
            if warm(middle) { before = middle } else { after = middle }
        }
        after
    }
}

#[cfg(test)]
mod tests {
    use super::super::EventKind;
    use super::*;
    use handbook::materials::Material;
    use handbook::welding::thermal;

    fn cooling(loss: f64) -> Cooling {
        let metal = thermal(Material::MildSteel).unwrap();
        Cooling {
            metal,
            thickness_mm: 0.9,
            loss_w_mm2_k: loss,
            air_c: 20.0,
            start_limit_c: 50.0,
            move_s: 5.0,
            edges: Vec::new(),
        }
    }

    fn tack(x: f64) -> Event {
        Event {
            kind: EventKind::Tack,
            seam: 0,
            stations_mm: [x; 2],
            pairs: Vec::new(),
            phase: 0,
            inherent: Vec::new(),
            shifts: Vec::new(),
            heat_j: 300.0,
            seconds: 1.0,
            places_mm: vec![DVec3::new(x, 0.0, 0.0)],
        }
    }

    /// Heat is kept without loss: the integral of the rise over the sheet, 2π∫T·r dr·t·ρc, is Q.
    #[test]
    fn an_instant_source_keeps_its_heat() {
        let cooling = cooling(0.0);
        let source = Source { at: vec![DVec3::ZERO], moment_s: 0.0, heat_j: 300.0 };
        let step = 0.05;
        let sum: f64 = (0..8000)
            .map(|i| (f64::from(i) + 0.5) * step)
            .map(|r| 2.0 * PI * r * step * cooling.rise_k(&source, DVec3::new(r, 0.0, 0.0), 12.0))
            .sum();
        assert!((sum * 0.9 * 0.0044 - 300.0).abs() < 0.01, "{sum}");
    }

    /// Heat between two free edges, by another way of computing: spread along as in a sheet without end, across as a series of cosines
    /// (Carslaw and Jaeger, section 10.11, from memory; separation of variables gives it). Near one edge, near both, at a corner of a strip that ends, and long after.
    #[test]
    fn heat_that_free_edges_throw_back_is_that_of_the_cosine_series() {
        let (width, length) = (40.0, 300.0);
        let skin = crate::shapes::sheet(length, width, 0.0);
        let edges = super::super::edges::heat_edges(&skin, |_| false);
        let cooling = Cooling { edges, ..cooling(2e-5) };
        let metal = &cooling.metal;
        let (a, capacity) = (metal.diffusivity_mm2_s(), metal.heat_capacity_j_mm3_k);
        let series = |side: f64, from: f64, to: f64, age: f64| {
            let term = |n: f64| {
                let k = n * PI / side;
                (-a * k * k * age).exp() * (k * from).cos() * (k * to).cos()
            };
            (1.0 + 2.0 * (1..2000).map(|n| term(f64::from(n))).sum::<f64>()) / side
        };
        for (source, place, age) in [
            ([150.0, 5.0], [152.0, 2.0], 4.0),
            ([150.0, 20.0], [155.0, 38.0], 30.0),
            ([6.0, 7.0], [3.0, 3.0], 10.0),
            ([0.0, 0.0], [1.0, 2.0], 60.0),
            ([150.0, 0.0], [160.0, 40.0], 60.0),
        ] {
            let whole = cooling.metal.conductivity_w_mm_k / a;
            assert!((whole - capacity).abs() < 1e-12);
            let at = with_images(&cooling.edges, DVec3::new(source[0], source[1], 0.0), cooling.reach_mm());
            let source_of = Source { at, moment_s: 0.0, heat_j: 300.0 };
            let got = cooling.rise_k(&source_of, DVec3::new(place[0], place[1], 0.0), age);
            let fade = (-2.0 * cooling.loss_w_mm2_k * age / (capacity * 0.9)).exp();
            let want = 300.0 / (capacity * 0.9)
                * series(length, source[0], place[0], age)
                * series(width, source[1], place[1], age)
                * fade;
            assert!((got / want - 1.0).abs() < 2e-3, "{source:?} {place:?} {age} s: {got} K, series {want} K");
            // what the edges add is worth having
            let alone = Source { at: vec![DVec3::new(source[0], source[1], 0.0)], moment_s: 0.0, heat_j: 300.0 };
            assert!(got > 1.2 * cooling.rise_k(&alone, DVec3::new(place[0], place[1], 0.0), age));
        }
    }

    /// W8: 720 J/mm in 5 mm plate reach 730 °C 5.90 mm from the fusion line at a start of 25 °C. The half width of the pool by the same formula (the place
    /// whose peak over cold sheet is the melting point) is H/(4.13·ρc·t·(Tm − T0)): at a start of 200 °C it is 1485/1310 times as wide.
    #[test]
    fn warm_sheet_counts_as_more_heat_as_the_fusion_line_of_w8_says() {
        let mut cooling = cooling(0.0);
        (cooling.air_c, cooling.metal.melting_c) = (25.0, 1510.0);
        assert!((cooling.counts(200.0 - 25.0) - 1485.0 / 1310.0).abs() < 1e-12);
        assert_eq!([cooling.counts(0.0), cooling.counts(-4.0)], [1.0; 2]);
        assert!((cooling.counts(1484.9) - 2.0).abs() < 1e-12, "never without end");
        // a tack on the place of the one before, by hand: Q/(4π·k·t·τ) between the moments of the arcs, 6 s
        let mut cooling = self::cooling(0.0);
        cooling.start_limit_c = 1e4;
        let events = [tack(0.0), tack(0.0)];
        let timings = cooling.timings(&events, &[0, 1], true);
        let warmer_k = 300.0 / (4.0 * PI * cooling.metal.conductivity_w_mm_k * 0.9 * 6.0);
        let melting_k = cooling.metal.melting_c - 20.0;
        assert!((timings[1].counts - melting_k / (melting_k - warmer_k)).abs() < 1e-9, "{timings:?}");
        assert!(timings[0].counts == 1.0 && timings[1].counts > 1.05);
    }

    #[test]
    fn far_tacks_need_no_pause_and_near_ones_do() {
        let cooling = cooling(2e-5);
        let events: Vec<Event> = (0..5).map(|i| tack(8.0 * f64::from(i))).collect();
        let next_door = cooling.timings(&events, &[0, 1, 2, 3, 4], true);
        let skipping = cooling.timings(&events, &[0, 4, 2, 1, 3], true);
        let whole = |timings: &[Timing]| timings.iter().map(|t| t.pause_s).sum::<f64>();
        assert!(next_door.iter().chain(&skipping).all(|t| t.start_c <= 50.0 + 1e-9), "{next_door:?}");
        assert!(whole(&next_door) > 0.0 && skipping[1].pause_s == 0.0, "{skipping:?}");
        let unpaused = cooling.timings(&events, &[0, 1, 2, 3, 4], false);
        assert!(unpaused.iter().all(|t| t.pause_s == 0.0) && unpaused[4].start_c > 50.0);
    }
}
