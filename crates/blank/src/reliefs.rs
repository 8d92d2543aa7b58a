//! A flange on a curved line: how far its free edge is worked, and the notches or scallops that bring it back within the limits.
//!
//! Model: the true strain of every line of the leg, piece over flat, as the development of the piece gives it (handbook F7 is its closed
//! form for a circular line). A free edge that is let out is held against half the uniform strain of the metal, from which on scallops are
//! proposed (S32), and the forming limit in plane strain with its margin (S30, S31: on the safe side for a free edge, no source; S30 is for low-carbon steel and named as borrowed for every other metal); one that
//! is gathered against the shop's two limits. Where the edge passes its proposing limit, reliefs share what must be taken out or let open
//! in equal parts of at most 3 mm (common practice, no source): V notches where it is gathered, scallops with a round foot as wide as a
//! relief hole (F1, F2) where it is let out. Their foot lies where the strain is back under that limit, at least half and at most four
//! fifths of the leg deep, so that it stays off the bend.
//! Does not hold for: thickness change; a relief's own effect on the strain beside it (the line through the feet is taken as strained as
//! before).
//! Units: mm of station along the finished edge, mm in the flat, strains as shares: positive let out, negative gathered.

mod cut;
mod words;

pub(crate) use cut::{Trimmed, outlines, with_reliefs};
pub(crate) use words::{concerns, marks, workings};

use crate::flatten::shop_terms::GatherLimits;
use crate::strip::StripSettings;
use crate::{BlankError, material_of};
use handbook::edges::{BendLine, flange::widest_flange, relief::relief_hole};
use handbook::forming_limit::{Forming, FormingLimit};
use handbook::{Grade, Working};
use section::FlangeRelief;

/// Widest single opening or overlap of a relief, mm (common practice, no source).
const RELIEF_TAKES_MM: f64 = 3.0;
/// Least and most depth of a relief over the leg's flat (common practice, no source).
const DEPTH_OVER_LEG: [f64; 2] = [0.5, 0.8];
/// Scallops stand at least so many of their widths apart (common practice, no source).
const SCALLOPS_APART: f64 = 2.0;
/// Share of the worst strain from which a place counts as equally bad.
const NEARLY_WORST: f64 = 0.95;
/// Half the uniform strain of a metal that the handbook does not know.
const UNKNOWN_METAL: f64 = 0.1;

/// Limits of a free edge.
#[derive(Debug, Clone)]
pub(crate) struct EdgeLimits {
    /// Stretch from which scallops are proposed.
    stretch: f64,
    stretch_source: &'static str,
    /// Forming limit of the sheet; none where the formula does not reach.
    forming: Option<FormingLimit>,
    gather: GatherLimits,
}

impl EdgeLimits {
    pub(crate) fn of(settings: &StripSettings, material: &str, thickness_mm: f64) -> Self {
        let metal = material_of(material);
        let exponent = metal.map(|metal| metal.properties().hardening_exponent);
        let stretch_source = match (settings.stretch_limit, exponent) {
            (None, Some(_)) => "S32",
            _ => "shop setting, no source",
        };
        let half_uniform = exponent.map_or(UNKNOWN_METAL, |n| 0.5 * n.exp_m1());
        Self {
            stretch: settings.stretch_limit.unwrap_or(half_uniform),
            stretch_source,
            forming: exponent.and_then(|n| FormingLimit::new(thickness_mm, n, metal.into()).ok()),
            gather: settings.gather,
        }
    }

    /// Strain from which reliefs are proposed, by its sign.
    fn proposes(&self, strain: f64) -> f64 {
        if strain > 0.0 { self.stretch } else { self.gather.caution }
    }

    /// Strain beyond which the edge is not made in one.
    fn stops(&self, strain: f64) -> f64 {
        match &self.forming {
            Some(limit) if strain > 0.0 => limit.fld0.max(self.stretch),
            _ if strain > 0.0 => 2.0 * self.stretch,
            _ => self.gather.stop,
        }
    }

    fn grade(&self, strain: f64) -> Option<Grade> {
        if strain <= 0.0 {
            return match -strain {
                amount if amount > self.gather.stop => Some(Grade::Stop),
                amount if amount > self.gather.caution => Some(Grade::Caution),
                _ => None,
            };
        }
        let beyond = match &self.forming {
            Some(limit) => limit.forming(strain.ln_1p(), 0.0) == Forming::Beyond && strain > self.stretch,
            None => strain > 2.0 * self.stretch,
        };
        match beyond {
            true => Some(Grade::Stop),
            false => (strain > self.stretch).then_some(Grade::Caution),
        }
    }

    fn source(&self, strain: f64) -> String {
        if strain <= 0.0 {
            return "F7; shop setting, no source".into();
        }
        let stop = self.forming.as_ref().map_or("twice the stretch limit: no source", FormingLimit::source);
        format!("F7, {}; {stop}", self.stretch_source)
    }
}

/// What a free edge in one piece stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgeVerdict {
    /// Caution or stop.
    pub grade: Grade,
    /// Strain (a share) from which it holds.
    pub limit: f64,
}

/// Judges the strain of a free edge (finished over flat − 1; below zero it is gathered) as flanges of pieces are judged; none where it
/// needs no word. Sources F7, S30 to S32, and the shop's settings.
#[must_use]
pub fn edge_verdict(settings: &StripSettings, material: &str, thickness_mm: f64, strain: f64) -> Option<EdgeVerdict> {
    let limits = EdgeLimits::of(settings, material, thickness_mm);
    let grade = limits.grade(strain)?;
    let limit = if grade == Grade::Stop { limits.stops(strain) } else { limits.proposes(strain) };
    Some(EdgeVerdict { grade, limit })
}

/// The leg of a flange as the development has it. Stations run along the finished edge.
pub(crate) struct Leg<'a> {
    /// "flange: free edge (finished edge)".
    pub(crate) place: String,
    /// Stations inside with their weights, rising; they cover the leg from end to end.
    pub(crate) weighted: Vec<(f64, f64)>,
    /// Where the first stretch begins.
    pub(crate) from_mm: f64,
    /// Piece over flat − 1 at a station and a share of the leg: 0 at the bend, 1 at the free edge.
    pub(crate) strain: &'a dyn Fn(f64, f64) -> f64,
    /// Millimetres of free edge in the flat per millimetre of station.
    pub(crate) rate: &'a dyn Fn(f64) -> f64,
    /// Bend to free edge in the flat at a station, mm.
    pub(crate) leg_mm: &'a dyn Fn(f64) -> f64,
    /// Apex to the leg's start at a station, mm; 0 for a plain leg.
    pub(crate) setback_mm: &'a dyn Fn(f64) -> f64,
    /// Bend at a station, rad; 0 for a plain leg.
    pub(crate) bend_rad: &'a dyn Fn(f64) -> f64,
    pub(crate) thickness_mm: f64,
    pub(crate) inside_radius_mm: f64,
    /// What was chosen.
    pub(crate) chosen: FlangeRelief,
    /// True for the leg of a flange: there is a choice.
    pub(crate) is_flange: bool,
}

/// Shape of a relief.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum ReliefShape {
    /// V, closed when the flange is folded.
    Notch,
    /// Parallel sides and a round foot.
    Scallop,
}

/// One relief.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Relief {
    pub(crate) shape: ReliefShape,
    pub(crate) station_mm: f64,
    /// Half its width at the free edge in the flat.
    pub(crate) half_width_mm: f64,
    /// From the free edge in.
    pub(crate) depth_mm: f64,
}

/// Reliefs of one sign along a leg.
#[derive(Debug, Clone)]
pub(crate) struct Set {
    pub(crate) shape: ReliefShape,
    pub(crate) reliefs: Vec<Relief>,
    /// First and last station past the limit.
    pub(crate) stations_mm: [f64; 2],
    /// What each takes out or opens by.
    pub(crate) each_mm: f64,
    /// Between neighbours along the free edge in the flat, least and most; 0 for one alone.
    pub(crate) pitch_mm: [f64; 2],
    /// Largest strain along the line through the feet, with its sign.
    pub(crate) foot_strain: f64,
    /// Largest strain of the free edge, with its sign.
    pub(crate) strain: f64,
    /// Limit that is passed, its amount.
    pub(crate) limit: f64,
    /// Limit beyond which it is not made in one, its amount.
    pub(crate) stop: f64,
    /// Grade of the edge without reliefs.
    pub(crate) grade: Grade,
    /// Grade of the line through the feet.
    pub(crate) foot_grade: Option<Grade>,
    /// Widest flange that is made without reliefs, from the apex, and the widest that is not stopped.
    pub(crate) widest_mm: [Option<f64>; 2],
    /// Handbook F8 for the local radius.
    pub(crate) closed_form: Option<Working>,
}

/// How one leg is worked and relieved.
#[derive(Debug, Clone)]
pub(crate) struct Relieved {
    pub(crate) place: String,
    pub(crate) sets: Vec<Set>,
    pub(crate) chosen: FlangeRelief,
    pub(crate) is_flange: bool,
    /// Smallest and largest strain of the free edge, each with the middle of where it is so.
    pub(crate) extremes: [(f64, f64); 2],
    pub(crate) ends_mm: [f64; 2],
    source: String,
}

impl Relieved {
    /// Reliefs that are cut into the outline.
    pub(crate) fn cut(&self) -> impl Iterator<Item = &Relief> {
        self.sets.iter().filter(|set| self.is_cut(set)).flat_map(|set| &set.reliefs)
    }

    pub(crate) fn is_cut(&self, set: &Set) -> bool {
        matches!(
            (self.chosen, set.shape),
            (FlangeRelief::Notches, ReliefShape::Notch) | (FlangeRelief::Scallops, ReliefShape::Scallop)
        )
    }
}

/// Works out one leg.
///
/// # Errors
/// [`BlankError::Bend`] where the handbook's relief rule refuses the sheet.
pub(crate) fn relieve(leg: &Leg<'_>, limits: &EdgeLimits) -> Result<Relieved, BlankError> {
    let at_free: Vec<f64> = leg.weighted.iter().map(|(station, _)| (leg.strain)(*station, 1.0)).collect();
    let extreme = |sign: f64| {
        let each = leg.weighted.iter().zip(&at_free).map(|((station, _), strain)| (*strain, *station));
        each.fold((0.0, leg.from_mm), |best, next| if sign * next.0 > sign * best.0 { next } else { best })
    };
    // an even curve is worst all along: then its middle is where the work turns
    let middle = |(worst, first): (f64, f64)| {
        let each = leg.weighted.iter().zip(&at_free);
        let as_bad = |strain: f64| worst != 0.0 && strain / worst >= NEARLY_WORST;
        let stations: Vec<f64> =
            each.filter(|(_, strain)| as_bad(**strain)).map(|((station, _), _)| *station).collect();
        match (stations.first(), stations.last()) {
            (Some(from), Some(to)) => (worst, 0.5 * (from + to)),
            _ => (worst, first),
        }
    };
    let extremes = [extreme(-1.0), extreme(1.0)];
    let mut sets = Vec::new();
    for (strain, worst_mm) in extremes {
        if let Some(grade) = limits.grade(strain) {
            sets.push(set(leg, limits, &at_free, (strain, worst_mm, grade))?);
        }
    }
    let end_mm = leg.from_mm + leg.weighted.iter().map(|(_, weight)| weight).sum::<f64>();
    let graver = if extremes[1].0 > -extremes[0].0 { extremes[1].0 } else { extremes[0].0 };
    Ok(Relieved {
        place: leg.place.clone(),
        sets,
        chosen: leg.chosen,
        is_flange: leg.is_flange,
        extremes: extremes.map(middle),
        ends_mm: [leg.from_mm, end_mm],
        source: limits.source(graver),
    })
}

fn set(
    leg: &Leg<'_>,
    limits: &EdgeLimits,
    at_free: &[f64],
    (strain, worst_mm, grade): (f64, f64, Grade),
) -> Result<Set, BlankError> {
    let (sign, limit, stop) = (strain.signum(), limits.proposes(strain), limits.stops(strain));
    let shape = if strain > 0.0 { ReliefShape::Scallop } else { ReliefShape::Notch };
    let region = Region::new(leg, at_free, |own| sign * own > limit);
    let worst_at = |share: f64| {
        let each = region.samples.iter().map(|sample| sign * (leg.strain)(sample.station_mm, share));
        each.fold(f64::NEG_INFINITY, f64::max)
    };
    let [least, most] = DEPTH_OVER_LEG;
    let foot = largest_share(&worst_at, limit).clamp(1.0 - most, 1.0 - least);
    let hole = |what: handbook::RuleError| BlankError::Bend { place: leg.place.clone(), what: what.to_string() };
    let scallop_mm = relief_hole(leg.thickness_mm, leg.inside_radius_mm).map_err(hole)?.diameter_mm;
    let mut count = (region.surplus_mm / RELIEF_TAKES_MM).ceil().clamp(1.0, 200.0) as usize;
    if shape == ReliefShape::Scallop {
        let room = (region.flat_mm / (SCALLOPS_APART * scallop_mm)).floor().max(1.0) as usize;
        count = count.min(room);
    }
    let each_mm = region.surplus_mm / count as f64;
    let half_width_mm = if shape == ReliefShape::Notch { 0.5 * each_mm } else { 0.5 * scallop_mm };
    let stations = region.shared_out(count);
    let one = |station: &f64| Relief {
        shape,
        station_mm: *station,
        half_width_mm,
        depth_mm: (leg.leg_mm)(*station) * (1.0 - foot),
    };
    let foot_strain = sign * worst_at(foot);
    Ok(Set {
        shape,
        reliefs: stations.iter().map(one).collect(),
        stations_mm: region.ends_mm(),
        each_mm,
        pitch_mm: region.pitch_mm(&stations),
        foot_strain,
        strain,
        limit,
        stop,
        grade,
        foot_grade: limits.grade(foot_strain),
        widest_mm: [limit, stop].map(|limit| {
            let share = largest_share(&worst_at, limit);
            let station = worst_mm;
            (leg.is_flange && share > 0.0).then(|| (leg.setback_mm)(station) + share * (leg.leg_mm)(station))
        }),
        closed_form: closed_form(leg, strain, worst_mm, stop),
    })
}

/// F8 for the radius that the bend line has there: F7 turned round for Rb.
fn closed_form(leg: &Leg<'_>, strain: f64, station_mm: f64, stop: f64) -> Option<Working> {
    let bend_rad = (leg.bend_rad)(station_mm);
    if !leg.is_flange || bend_rad <= 0.0 {
        return None;
    }
    let width_mm = (leg.setback_mm)(station_mm) + (leg.leg_mm)(station_mm);
    let gain_mm = width_mm * (1.0 - bend_rad.cos());
    let (line, radius_mm) = match strain > 0.0 {
        true => (BendLine::Concave, gain_mm / strain + width_mm),
        false => (BendLine::Convex, -gain_mm / strain - width_mm),
    };
    widest_flange(stop, radius_mm, bend_rad, line).ok().flatten()
}

/// Largest share of the leg up to which the worst strain keeps within a limit; the strain grows outward from the bend.
fn largest_share(worst_at: &dyn Fn(f64) -> f64, limit: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    if worst_at(high) <= limit {
        return 1.0;
    }
    if worst_at(low) > limit {
        return 0.0;
    }
    for _ in 0..30 {
        let middle = 0.5 * (low + high);
        if worst_at(middle) <= limit { low = middle } else { high = middle }
    }
    low
}

/// The stretches of a free edge past a limit.
struct Region {
    samples: Vec<Sample>,
    /// What must be taken out or let open, mm.
    surplus_mm: f64,
    /// Length of the free edge in the flat, mm.
    flat_mm: f64,
}

/// A stretch about one station.
struct Sample {
    station_mm: f64,
    from_mm: f64,
    weight_mm: f64,
    flat_mm: f64,
    surplus_mm: f64,
}

impl Region {
    fn new(leg: &Leg<'_>, at_free: &[f64], past: impl Fn(f64) -> bool) -> Self {
        let mut out = Self { samples: Vec::new(), surplus_mm: 0.0, flat_mm: 0.0 };
        let mut from_mm = leg.from_mm;
        for ((station_mm, weight_mm), strain) in leg.weighted.iter().zip(at_free) {
            if past(*strain) {
                let flat_mm = weight_mm * (leg.rate)(*station_mm);
                let surplus_mm = flat_mm * strain.abs();
                out.flat_mm += flat_mm;
                out.surplus_mm += surplus_mm;
                let (station_mm, weight_mm) = (*station_mm, *weight_mm);
                out.samples.push(Sample { station_mm, from_mm, weight_mm, flat_mm, surplus_mm });
            }
            from_mm += weight_mm;
        }
        out
    }

    fn ends_mm(&self) -> [f64; 2] {
        let first = self.samples.first().map_or(0.0, |sample| sample.from_mm);
        let last = self.samples.last().map_or(0.0, |sample| sample.from_mm + sample.weight_mm);
        [first, last]
    }

    /// Stations in the middle of equal shares of the surplus.
    fn shared_out(&self, count: usize) -> Vec<f64> {
        let share = |i: usize| self.surplus_mm * (i as f64 + 0.5) / count as f64;
        (0..count).map(|i| self.station_of(share(i), |sample| sample.surplus_mm)).collect()
    }

    fn station_of(&self, amount: f64, of: impl Fn(&Sample) -> f64) -> f64 {
        let mut left = amount;
        for sample in &self.samples {
            let own = of(sample);
            if left <= own && own > 0.0 {
                return sample.from_mm + sample.weight_mm * left / own;
            }
            left -= own;
        }
        self.ends_mm()[1]
    }

    /// Length in the flat from the start of the region.
    fn along_mm(&self, station_mm: f64) -> f64 {
        let part =
            |sample: &Sample| ((station_mm - sample.from_mm) / sample.weight_mm).clamp(0.0, 1.0) * sample.flat_mm;
        self.samples.iter().map(part).sum()
    }

    fn pitch_mm(&self, stations: &[f64]) -> [f64; 2] {
        let along: Vec<f64> = stations.iter().map(|station| self.along_mm(*station)).collect();
        let apart: Vec<f64> = along.iter().zip(along.iter().skip(1)).map(|(a, b)| b - a).collect();
        if apart.is_empty() {
            return [0.0; 2];
        }
        [apart.iter().copied().fold(f64::INFINITY, f64::min), apart.iter().copied().fold(0.0, f64::max)]
    }
}
