//! The free edge of an edge's outermost flange or seam: its strain by the finished edge's own frames, and the reliefs cut into it.

use super::edge::{EdgeKind, FlatEdge};
use super::error::SkinError;
use crate::reliefs::{self, EdgeLimits, Leg, Relief, Relieved, Trimmed};
use crate::strip::StripSettings;
use crate::{BlankError, FlatMark};
use glam::DVec2;
use section::{FlangeRelief, MakeUp};

/// Flat length over which a local strain is taken, mm: the boundary's points are no smooth curve.
const WINDOW_MM: f64 = 20.0;

/// A free edge with how it is worked.
pub(super) struct WorkedEdge {
    pub(super) worked: Relieved,
    cut: Vec<Relief>,
}

/// Steps along a line: station at its start, in the flat, on the piece.
struct Steps(Vec<[f64; 3]>);

impl Steps {
    /// The line of the make-ups' offsets numbered `k` from the skin.
    fn of(edge: &FlatEdge<'_>, k: usize) -> Self {
        let stations = &edge.curve.stations_mm;
        let place = |(i, s): (usize, &f64)| {
            let flat = edge.curve.at(*s).outward(edge.widths.offsets_mm(*s).get(k).copied()?);
            Some((*s, flat, edge.in_space(i, edge.widths.in_space_mm(*s).get(k).copied()?)?))
        };
        let points: Vec<_> = stations.iter().enumerate().filter_map(place).collect();
        let step = |pair: (&(f64, DVec2, glam::DVec3), &(f64, DVec2, glam::DVec3))| {
            [pair.0.0, pair.0.1.distance(pair.1.1), pair.0.2.distance(pair.1.2)]
        };
        Self(points.iter().zip(points.iter().skip(1)).map(step).collect())
    }

    /// Flat and piece within half a window of a station.
    fn near(&self, station_mm: f64) -> [f64; 2] {
        let mut sum = [0.0; 2];
        let (mut low, mut high) = (self.0.partition_point(|step| step[0] <= station_mm).saturating_sub(1), 0);
        let (mut lo_open, mut hi_open) = (true, true);
        if let Some([_, flat, piece]) = self.0.get(low) {
            sum = [*flat, *piece];
            high = low;
        }
        while sum[0] < WINDOW_MM && (lo_open || hi_open) {
            match low.checked_sub(1).and_then(|i| self.0.get(i)) {
                Some([_, flat, piece]) => {
                    sum = [sum[0] + flat, sum[1] + piece];
                    low -= 1;
                }
                None => lo_open = false,
            }
            match self.0.get(high + 1) {
                Some([_, flat, piece]) => {
                    sum = [sum[0] + flat, sum[1] + piece];
                    high += 1;
                }
                None => hi_open = false,
            }
        }
        sum
    }
}

impl WorkedEdge {
    /// `None` where the outermost make-up is neither flange nor seam.
    pub(super) fn of(edge: &FlatEdge<'_>, settings: &StripSettings, material: &str) -> Result<Option<Self>, SkinError> {
        let outermost = edge.given.make_ups.iter().rev().find(|one| !matches!(one, MakeUp::Raw { .. }));
        let Some(make_up @ (MakeUp::Flange { .. } | MakeUp::Seam { .. })) = outermost else { return Ok(None) };
        if edge.kind == EdgeKind::Plain {
            return Ok(None);
        }
        let fault = |fault: BlankError| SkinError::Edge { edge: edge.given.name.clone(), fault };
        let lines = edge.widths.names().len();
        let (Some(free), Some(inner)) = (lines.checked_sub(1), lines.checked_sub(2)) else { return Ok(None) };
        let (outer_steps, inner_steps) = (Steps::of(edge, free), Steps::of(edge, inner));
        let strain = |station: f64, share: f64| {
            let (a, b) = (inner_steps.near(station), outer_steps.near(station));
            (a[1] + (b[1] - a[1]) * share) / (a[0] + (b[0] - a[0]) * share) - 1.0
        };
        let offset = |station: f64, k: usize| edge.widths.offsets_mm(station).get(k).copied().unwrap_or(0.0);
        let rate = |station: f64| {
            let step = outer_steps.0.partition_point(|step| step[0] <= station).saturating_sub(1);
            let next = outer_steps.0.get(step + 1).map_or(edge.curve.length_mm(), |step| step[0]);
            outer_steps.0.get(step).map_or(1.0, |[from, flat, _]| if next > *from { flat / (next - from) } else { 1.0 })
        };
        let (chosen, radius_mm) = match make_up {
            MakeUp::Flange { relief, inside_radius_mm, .. } => (*relief, *inside_radius_mm),
            _ => (FlangeRelief::None, 0.0),
        };
        let bend_rad = |station: f64| match make_up {
            MakeUp::Flange { bend_angle_rad, .. } => bend_angle_rad.at(station),
            _ => 0.0,
        };
        let thickness_mm = edge.swept.strip().thickness_mm;
        let stations = &edge.curve.stations_mm;
        let leg = Leg {
            place: format!("free edge of {}", edge.given.name),
            weighted: stations.iter().zip(stations.iter().skip(1)).map(|(a, b)| (0.5 * (a + b), b - a)).collect(),
            from_mm: 0.0,
            strain: &strain,
            rate: &rate,
            leg_mm: &|station| offset(station, free) - offset(station, inner),
            setback_mm: &|station| (radius_mm + thickness_mm) * (0.5 * bend_rad(station)).tan(),
            bend_rad: &bend_rad,
            thickness_mm,
            inside_radius_mm: radius_mm,
            chosen,
            is_flange: matches!(make_up, MakeUp::Flange { .. }),
        };
        let limits = EdgeLimits::of(settings, material, thickness_mm);
        let worked = reliefs::relieve(&leg, &limits).map_err(fault)?;
        let mut cut: Vec<Relief> = worked.cut().copied().collect();
        cut.sort_by(|a, b| a.station_mm.total_cmp(&b.station_mm));
        Ok(Some(Self { worked, cut }))
    }

    /// Point of the flat so far in from the free edge, its trim left out.
    fn at(edge: &FlatEdge<'_>, station_mm: f64, in_mm: f64) -> DVec2 {
        edge.curve.at(station_mm).outward(edge.free_mm(station_mm) - edge.trim_mm - in_mm)
    }

    /// The outline along the free edge between two stations.
    pub(super) fn outline(&self, edge: &FlatEdge<'_>, from_mm: f64, to_mm: f64, tolerance_mm: f64) -> Vec<DVec2> {
        let line = |from: f64, to: f64| edge.curve.polyline(from, to, &|s| edge.free_mm(s), tolerance_mm);
        let rate = Self::rate(edge);
        let at = |station: f64, in_mm: f64| Self::at(edge, station, in_mm);
        reliefs::with_reliefs([from_mm, to_mm], &self.cut, edge.trim_mm, tolerance_mm, &line, &at, &rate)
    }

    /// The reliefs that are cut, as points of station and distance in from the free edge.
    pub(super) fn outlines(&self, edge: &FlatEdge<'_>, from_mm: f64, to_mm: f64, tolerance_mm: f64) -> Vec<Vec<DVec2>> {
        let trimmed = Trimmed { left_on_mm: edge.trim_mm, drawn_mm: 0.0 };
        reliefs::outlines([from_mm, to_mm], &self.cut, trimmed, tolerance_mm, &Self::rate(edge))
    }

    /// Flat of free edge per station.
    fn rate<'e>(edge: &'e FlatEdge<'_>) -> impl Fn(f64) -> f64 + 'e {
        |station: f64| {
            const STEP_MM: f64 = 0.5;
            let [a, b] = [station - STEP_MM, station + STEP_MM].map(|s| Self::at(edge, s, 0.0));
            (a.distance(b) / (2.0 * STEP_MM)).max(0.1)
        }
    }

    pub(super) fn marks(&self, edge: &FlatEdge<'_>) -> Vec<FlatMark> {
        reliefs::marks(&self.worked, &|station, in_mm| Self::at(edge, station, in_mm))
    }
}
