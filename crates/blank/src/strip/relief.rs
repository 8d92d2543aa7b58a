//! The free edges of a strip's outermost flanges and seams: their true strain, and the reliefs cut into them.

use super::flat::Flat;
use crate::reliefs::{self, EdgeLimits, Leg, Relief, Relieved, Trimmed};
use crate::{BlankError, FlatMark};
use glam::DVec2;
use handbook::{Concern, Working};
use section::{ChainPoint, FlangeRelief, MakeUp, Makes, Part, StripEdge};

/// Longest stretch over which the strain is taken as one, mm.
const STRETCH_MM: f64 = 5.0;

/// A free edge with how it is worked.
pub(super) struct WorkedEdge {
    /// Line of the free edge.
    pub(super) free_line: usize,
    /// Which long edge.
    pub(super) edge: StripEdge,
    /// Line of the bend it stands on.
    inner_line: usize,
    worked: Relieved,
    /// Reliefs that are cut, by station.
    cut: Vec<Relief>,
}

impl WorkedEdge {
    /// Both long edges, where their outermost part is the leg of a flange or a seam.
    pub(super) fn all(flat: &Flat<'_>) -> Result<Vec<Self>, BlankError> {
        let parts = flat.swept.parts();
        let last = parts.len();
        let candidates =
            [(0, 1, parts.first(), StripEdge::Finished), (last, last.saturating_sub(1), parts.last(), StripEdge::Cut)];
        let mut out = Vec::new();
        for (free_line, inner_line, part, on) in candidates {
            let Some(Part::Leg { edge, index }) =
                part.copied().filter(|part| matches!(part, Part::Leg { edge, .. } if *edge == on))
            else {
                continue;
            };
            if let Some(make_up @ (MakeUp::Flange { .. } | MakeUp::Seam { .. })) =
                flat.strip().make_ups(edge).get(index)
            {
                out.push(Self::of(flat, make_up, (free_line, inner_line), on)?);
            }
        }
        Ok(out)
    }

    fn of(
        flat: &Flat<'_>,
        make_up: &MakeUp,
        (free_line, inner_line): (usize, usize),
        edge: StripEdge,
    ) -> Result<Self, BlankError> {
        let strip = flat.strip();
        let link = free_line.min(inner_line);
        let place =
            |share: f64| ChainPoint { link, fraction: if free_line < inner_line { 1.0 - share } else { share } };
        let rates =
            |station: f64, share: f64| flat.cut(station).rates(flat.swept, place(share)).unwrap_or([f64::NAN; 2]);
        let strain = |station: f64, share: f64| {
            let [in_flat, on_piece] = rates(station, share);
            on_piece / in_flat - 1.0
        };
        let leg_mm = |station: f64| {
            let cut = flat.cut(station);
            (cut.y_mm(free_line) - cut.y_mm(inner_line)).abs()
        };
        let split_off = strip.makes == (Makes::SplitFlange { edge });
        let (chosen, radius_mm, is_flange) = match make_up {
            MakeUp::Flange { relief, inside_radius_mm, .. } => (*relief, *inside_radius_mm, !split_off),
            _ => (FlangeRelief::None, 0.0, false),
        };
        let bend_rad = |station: f64| match make_up {
            MakeUp::Flange { bend_angle_rad, .. } => bend_angle_rad.at(station),
            _ => 0.0,
        };
        let setback_mm = |station: f64| (radius_mm + strip.thickness_mm) * (0.5 * bend_rad(station)).tan();
        let leg = Leg {
            place: format!(
                "{}, {} ({})",
                strip.name,
                flat.names.get(free_line).map_or("", String::as_str),
                edge.name()
            ),
            weighted: stretches(flat),
            from_mm: flat.swept.start_mm(),
            strain: &strain,
            rate: &|station| rates(station, 1.0)[0],
            leg_mm: &leg_mm,
            setback_mm: &setback_mm,
            bend_rad: &bend_rad,
            thickness_mm: strip.thickness_mm,
            inside_radius_mm: radius_mm,
            chosen,
            is_flange,
        };
        let limits = EdgeLimits::of(&flat.settings.strip, &strip.material, strip.thickness_mm);
        let worked = reliefs::relieve(&leg, &limits)?;
        let mut cut: Vec<Relief> = worked.cut().copied().collect();
        cut.sort_by(|a, b| a.station_mm.total_cmp(&b.station_mm));
        Ok(Self { free_line, edge, inner_line, worked, cut })
    }

    /// Widest flange that needs no relief; none where it needs none as it is.
    pub(super) fn widest_unrelieved_mm(&self) -> Result<Option<f64>, BlankError> {
        if self.worked.sets.is_empty() || !self.worked.is_flange {
            return Ok(None);
        }
        let widest = self.worked.sets.iter().map(|set| set.widest_mm[0]).reduce(|a, b| Some(a?.min(b?))).flatten();
        let refused = || {
            BlankError::Bend {
            place: self.worked.place.clone(),
            what: "not even the fold keeps within the limits of the metal; choose notches or scallops, or a smaller radius".into(),
        }
        };
        widest.map(Some).ok_or_else(refused)
    }

    /// Point of the flat so far in from the free edge.
    fn at(&self, flat: &Flat<'_>, station_mm: f64, in_mm: f64) -> DVec2 {
        let cut = flat.cut(station_mm);
        let inward = if self.free_line < self.inner_line { 1.0 } else { -1.0 };
        flat.point(&cut, cut.y_mm(self.free_line) + inward * in_mm)
    }

    /// The outline along this edge.
    pub(super) fn outline(&self, flat: &Flat<'_>, beyond_mm: f64) -> Vec<DVec2> {
        let stations: Vec<f64> = flat.cuts.iter().map(|cut| cut.station_mm).collect();
        let edge = |from: f64, to: f64| {
            let between = stations.iter().copied().filter(|s| *s > from + 1e-9 && *s < to - 1e-9);
            let all = std::iter::once(from).chain(between).chain(std::iter::once(to));
            all.map(|station| self.at(flat, station, -beyond_mm.abs())).collect()
        };
        let rate = |station: f64| flat.cut(station).velocity(self.free_line).length();
        let at = |station: f64, in_mm: f64| self.at(flat, station, in_mm);
        let ends = [flat.swept.start_mm(), flat.swept.end_mm()];
        let chord_mm = flat.settings.sampling_tolerance_mm;
        reliefs::with_reliefs(ends, &self.cut, beyond_mm.abs(), chord_mm, &edge, &at, &rate)
    }

    /// The reliefs that are cut, each as places on the chain by station.
    pub(super) fn places(&self, flat: &Flat<'_>) -> Vec<Vec<(f64, ChainPoint)>> {
        let rate = |station: f64| flat.cut(station).velocity(self.free_line).length();
        let ends = [flat.swept.start_mm(), flat.swept.end_mm()];
        let chord_mm = flat.settings.sampling_tolerance_mm;
        let link = self.free_line.min(self.inner_line);
        let place = |point: &DVec2| {
            let cut = flat.cut(point.x);
            let leg_mm = (cut.y_mm(self.free_line) - cut.y_mm(self.inner_line)).abs();
            let from_bend = (1.0 - point.y / leg_mm).clamp(0.0, 1.0);
            let fraction = if self.free_line < self.inner_line { 1.0 - from_bend } else { from_bend };
            (point.x, ChainPoint { link, fraction })
        };
        let [finished_mm, cut_mm] = flat.trim_mm;
        let left_on_mm = if self.edge == StripEdge::Finished { finished_mm } else { cut_mm };
        let trimmed = Trimmed { left_on_mm, drawn_mm: 0.0 };
        let cut = reliefs::outlines(ends, &self.cut, trimmed, chord_mm, &rate);
        cut.iter().map(|points| points.iter().map(place).collect()).collect()
    }

    pub(super) fn marks(&self, flat: &Flat<'_>) -> Vec<FlatMark> {
        reliefs::marks(&self.worked, &|station, in_mm| self.at(flat, station, in_mm))
    }

    pub(super) fn concerns(&self) -> Vec<Concern> {
        reliefs::concerns(&self.worked)
    }

    pub(super) fn workings(&self) -> Vec<Working> {
        reliefs::workings(&self.worked)
    }
}

/// Stations in the middle of short stretches between the breaks, with the stretches' lengths.
fn stretches(flat: &Flat<'_>) -> Vec<(f64, f64)> {
    let breaks = flat.swept.breaks_mm();
    let mut out = Vec::new();
    for (a, b) in breaks.iter().zip(breaks.iter().skip(1)) {
        let count = ((b - a) / STRETCH_MM).ceil().clamp(1.0, 4000.0);
        let step = (b - a) / count;
        out.extend((0..count as usize).map(|i| (a + step * (i as f64 + 0.5), step)));
    }
    out
}
