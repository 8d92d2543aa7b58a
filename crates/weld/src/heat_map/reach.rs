//! How far from the weld each thing suffers, on this panel.

use super::isotherms::PeakIsotherm;
use crate::panel::free_edges;
use handbook::Source;
use handbook::welding::{Thermal, harmed};
use mesh::Skin;
use serde::Serialize;

/// Key of what melts.
pub(super) const MELTS: &str = "melts";
/// Key of the metal whose structure or temper changes.
const CHANGES: &str = "metal-changes";

/// How far one thing suffers.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LimitReach {
    /// Stable key.
    pub key: &'static str,
    /// What suffers.
    pub name: &'static str,
    /// From which peak temperature, °C.
    pub from_c: f64,
    /// What happens.
    pub what_happens: &'static str,
    /// What to do.
    pub what_to_do: &'static str,
    /// Farthest place that gets so hot, from the weld line along the sheet, mm: nothing that suffers may stay nearer.
    pub farthest_mm: f64,
    /// Half the length of the line of this temperature keeps within so far, mm.
    pub usual_mm: f64,
    /// It is still so hot where the panel ends: beyond, it is not known.
    pub to_the_end: bool,
    /// Where the temperature is from.
    pub source: Source,
}

/// Change of the distance along an edge of the mesh, as a share of its length, below which the edge runs along the weld.
const ALONG_FAR_EDGE: f64 = 0.5;
/// Edges nearer to the weld are the weld's own, mm.
const FROM_WELD_MM: f64 = 8.0;

/// Something that is looked for.
pub(super) struct Limit {
    key: &'static str,
    name: &'static str,
    from_c: f64,
    what_happens: &'static str,
    what_to_do: &'static str,
    source: Source,
}

/// Everything that is looked for on a metal, hottest first.
pub(super) fn wanted(metal: &Thermal, air_c: f64, zinc_coated: bool) -> Vec<Limit> {
    let own = [
        Limit {
            key: MELTS,
            name: "the sheet itself",
            from_c: metal.melting_c,
            what_happens: "melts",
            what_to_do: "this is the weld",
            source: metal.source.clone(),
        },
        Limit {
            key: CHANGES,
            name: "structure or temper of the metal",
            from_c: metal.affected_from_c,
            what_happens: "changes: the heat-affected width",
            what_to_do: "expect it softer or harder to planish out to here",
            source: metal.source.clone(),
        },
    ];
    let harmed = harmed(metal, air_c, zinc_coated).map(|own| Limit {
        key: own.key,
        name: own.name,
        from_c: own.from_c,
        what_happens: own.what_happens,
        what_to_do: own.what_to_do,
        source: own.source,
    });
    let mut all: Vec<Limit> = own.into_iter().chain(harmed).collect();
    all.sort_by(|a, b| b.from_c.total_cmp(&a.from_c));
    all
}

/// The different temperatures of the limits, hottest first.
pub(super) fn temperatures(wanted: &[Limit]) -> Vec<f64> {
    let mut all: Vec<f64> = wanted.iter().map(|limit| limit.from_c).collect();
    all.dedup_by(|a, b| (*a - *b).abs() < 0.01);
    all
}

/// Points of free edges at which the panel ends away from the weld: along such an edge the distance hardly changes. Edges that run away from
/// the weld, as at the end of its line, are not among them.
pub(super) fn far_ends(skin: &Skin, away_mm: &[f64]) -> Vec<bool> {
    let mut ends = vec![false; skin.points_mm.len()];
    for [p, q] in free_edges(skin) {
        let (p, q) = (p as usize, q as usize);
        let along_mm = skin.points_mm[p].distance(skin.points_mm[q]);
        if (away_mm[p] - away_mm[q]).abs() < ALONG_FAR_EDGE * along_mm {
            (ends[p], ends[q]) = (true, true);
        }
    }
    ends
}

pub(super) fn limits(
    wanted: Vec<Limit>,
    isotherms: &[PeakIsotherm],
    peak_c: &[f64],
    away_mm: &[f64],
    ends: &[bool],
) -> Vec<LimitReach> {
    let reach = |limit: Limit| {
        let line = isotherms.iter().find(|own| (own.at_c - limit.from_c).abs() < 0.01);
        let hot = || peak_c.iter().zip(away_mm).zip(ends).filter(|((peak, _), _)| **peak >= limit.from_c);
        let hottest_mm = hot().map(|((_, away), _)| *away).filter(|away| away.is_finite()).fold(0.0, f64::max);
        let farthest_mm = line.map_or(0.0, |own| own.farthest_mm).max(hottest_mm);
        // a weld line may lie along an edge of the sheet: hot there is no news
        let to_the_end = hot().any(|((_, away), end)| *end && *away > FROM_WELD_MM);
        LimitReach {
            key: limit.key,
            name: limit.name,
            from_c: limit.from_c,
            what_happens: limit.what_happens,
            what_to_do: limit.what_to_do,
            farthest_mm,
            usual_mm: line.and_then(|own| own.usual_mm).unwrap_or(farthest_mm),
            to_the_end,
            source: limit.source,
        }
    };
    wanted.into_iter().map(reach).collect()
}
