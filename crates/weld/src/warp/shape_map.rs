//! The warped shape as lines that can be drawn: equal deflection, strokes where it lies out or in, its highest and lowest place.
//!
//! Deflections are those of [`WarpShape`], along the outward normal, positive to the outside. Lines are straight between the points of the mesh, and
//! then thinned to [`THINNED_MM`]. Where the panel leaves its shape by less than a step nothing is drawn. Lengths in mm.

mod chain;

pub use chain::{Chain, ChainError};

use super::{PlannedSeam, WarpResult, WarpShape};
use crate::panel::SeamLine;
use crate::shrinkage::Range;
use glam::DVec3;
use mesh::Skin;
use mesh::sections::{LevelLine, Place, SectionCutter};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::LengthUnit;
use units::gauge::MM_PER_INCH;

/// Lines keep within this of the mesh.
pub const THINNED_MM: f64 = 0.4;
/// Lines of equal deflection at most, of both signs.
const MOST_LINES: f64 = 8.0;
/// Steps from line to line, mm.
const STEPS_MM: [f64; 11] = [0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0];
/// Steps from line to line, inches: thousandths below the finest fraction.
const STEPS_INCH: [f64; 12] =
    [0.001, 0.002, 0.005, 1.0 / 64.0, 1.0 / 32.0, 1.0 / 16.0, 0.125, 0.25, 0.5, 1.0, 2.0, 4.0];
/// Strokes over the longest way across the panel: wide ones where it lies out, close ones where it lies in.
const STROKES: [f64; 2] = [40.0, 80.0];

/// The warped shape of an order, to be drawn.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct ShapeMap {
    /// From one line to the next, mm.
    pub step_mm: f64,
    /// Highest place on the outside of the shape.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub highest: Option<FarPlace>,
    /// Lowest place, on the inside.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lowest: Option<FarPlace>,
    /// Edges at which the panel ends.
    pub edges: Vec<Chain>,
    /// Weld lines.
    pub seams: Vec<Chain>,
    /// Middles of the strips that are planished.
    pub planish: Vec<Chain>,
    /// Strokes where the panel lies out by more than a step.
    pub strokes_out: Vec<Chain>,
    /// Strokes where it lies in by more than a step.
    pub strokes_in: Vec<Chain>,
    /// Lines of one deflection.
    pub line: Vec<DeflectionLine>,
}

/// A line of one deflection.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DeflectionLine {
    /// Deflection, mm, positive to the outside.
    pub at_mm: f64,
    /// The line; a closed one ends where it begins.
    pub points: Chain,
}

/// The place farthest out, or in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FarPlace {
    /// Where.
    pub place_mm: [f64; 3],
    /// Deflection there, mm, positive to the outside.
    pub at_mm: f64,
    /// Least, middle and most of the farthest deflection over the spread of the shrinkage; absent where a resting shape is not known for all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spread_mm: Option<[f64; 3]>,
}

impl ShapeMap {
    /// The map of the order that was found, in steps of the unit in which it will be read; none where no resting shape was found or the panel keeps its shape.
    #[must_use]
    pub fn found(result: &WarpResult, seams: &[PlannedSeam], unit: LengthUnit) -> Option<Self> {
        let shape = result.shape.as_ref()?;
        let strip = |strip: &super::PlanishStrip| {
            let line = &seams.get(strip.seam.checked_sub(1)?)?.line;
            Some(Chain::thinned(&stretch(line, strip.stations_mm)))
        };
        Some(Self { planish: result.planish.iter().filter_map(strip).collect(), ..Self::of(shape, seams, unit)? })
    }

    /// The map of a shape, without strips to planish.
    #[must_use]
    pub fn of(shape: &WarpShape, seams: &[PlannedSeam], unit: LengthUnit) -> Option<Self> {
        let far = Far::of(shape)?;
        let step_mm = step_mm(far.high_mm - far.low_mm, unit);
        let cutter = SectionCutter::new(&shape.skin).ok()?;
        let lines = Lines { cutter, shape };
        let out = 1..=(far.high_mm.max(0.0) / step_mm).floor() as i32;
        let into = 1..=(-far.low_mm.min(0.0) / step_mm).floor() as i32;
        let levels = into.rev().map(|i| -i).chain(out).map(|i| step_mm * f64::from(i));
        let line = |at_mm: f64| {
            let of_level = lines.at(at_mm);
            of_level.into_iter().map(move |points| DeflectionLine { at_mm, points: Chain::thinned(&points) })
        };
        Some(Self {
            step_mm,
            highest: far.place(shape, true),
            lowest: far.place(shape, false),
            edges: shape.skin.rims_mm().iter().map(|edge| Chain::thinned(edge)).collect(),
            seams: seams.iter().map(|seam| Chain::thinned(&seam.line.whole_mm())).collect(),
            planish: Vec::new(),
            strokes_out: lines.strokes(1.0, step_mm),
            strokes_in: lines.strokes(-1.0, step_mm),
            line: levels.flat_map(line).collect(),
        })
    }
}

/// Highest and lowest point.
struct Far {
    low_mm: f64,
    high_mm: f64,
}

impl Far {
    fn of(shape: &WarpShape) -> Option<Self> {
        let sound =
            shape.normal_mm.len() == shape.skin.points_mm.len() && shape.normal_mm.iter().all(|mm| mm.is_finite());
        let low_mm = shape.normal_mm.iter().copied().reduce(f64::min)?;
        let high_mm = shape.normal_mm.iter().copied().reduce(f64::max)?;
        (sound && high_mm - low_mm > 0.0).then_some(Self { low_mm, high_mm })
    }

    fn place(&self, shape: &WarpShape, highest: bool) -> Option<FarPlace> {
        let at_mm = if highest { self.high_mm } else { self.low_mm };
        if at_mm == 0.0 || (at_mm > 0.0) != highest {
            return None;
        }
        let point = shape.normal_mm.iter().position(|mm| mm.total_cmp(&at_mm).is_eq())?;
        let over = shape.extremes_mm.map(|of| of.map(|[low, high]| if highest { high } else { low }));
        let spread = match over {
            [Some(low), Some(middle), Some(high)] => Some(Range::of_three([low, middle, high]).three()),
            _ => None,
        };
        let place = shape.skin.points_mm.get(point)?;
        Some(FarPlace { place_mm: place.to_array(), at_mm, spread_mm: spread })
    }
}

/// The least step of the series with which no more lines than [`MOST_LINES`] lie over a height.
fn step_mm(height_mm: f64, unit: LengthUnit) -> f64 {
    let inches = matches!(unit, LengthUnit::Inch | LengthUnit::Foot | LengthUnit::Thou);
    let steps: Vec<f64> = if inches { STEPS_INCH.map(|step| step * MM_PER_INCH).to_vec() } else { STEPS_MM.to_vec() };
    let fits = |step: &f64| height_mm <= MOST_LINES * step;
    steps.iter().copied().find(fits).or(steps.last().copied()).unwrap_or(1.0)
}

struct Lines<'a> {
    cutter: SectionCutter<'a>,
    shape: &'a WarpShape,
}

impl Lines<'_> {
    /// Lines of one deflection.
    fn at(&self, at_mm: f64) -> Vec<Vec<DVec3>> {
        // a point just so far off lies above, so that no triangle lies in the level
        let height = |mm: &f64| if *mm == at_mm { f64::MIN_POSITIVE } else { mm - at_mm };
        let heights: Vec<f64> = self.shape.normal_mm.iter().map(height).collect();
        let lines = self.cutter.level_lines(&heights).unwrap_or_default();
        lines.iter().map(|line| self.along(line).into_iter().map(|(at, _)| at).collect()).collect()
    }

    /// Places of a line with their deflections; a closed one ends where it begins.
    fn along(&self, line: &LevelLine) -> Vec<(DVec3, f64)> {
        let point = |i: u32| {
            let i = i as usize;
            (
                self.shape.skin.points_mm.get(i).copied().unwrap_or_default(),
                self.shape.normal_mm.get(i).copied().unwrap_or_default(),
            )
        };
        let crossing = |place: &Place| match *place {
            Place::Point(i) => point(i),
            Place::Edge { low, high, share } => between(point(low), point(high), share),
        };
        let round = line.places.first().filter(|_| line.closed);
        line.places.iter().chain(round).map(crossing).collect()
    }

    /// Strokes across the panel where it lies farther than a step out (`sign` 1) or in (−1), slanting the other way.
    fn strokes(&self, sign: f64, step_mm: f64) -> Vec<Chain> {
        let points = &self.shape.skin.points_mm;
        let Some((low, high)) = points.iter().fold(None, |box_: Option<(DVec3, DVec3)>, point| {
            Some(box_.map_or((*point, *point), |(low, high)| (low.min(*point), high.max(*point))))
        }) else {
            return Vec::new();
        };
        let across = slant(&self.shape.skin, sign);
        let pitch_mm = low.distance(high) / if sign > 0.0 { STROKES[0] } else { STROKES[1] };
        let of = |point: &DVec3| point.dot(across) / pitch_mm;
        let first = points.iter().map(of).fold(f64::INFINITY, f64::min);
        let last = points.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
        if !(pitch_mm > 0.0 && first.is_finite() && last.is_finite()) {
            return Vec::new();
        }
        let rows = first.ceil() as i64..=last.floor() as i64;
        let stroke = |row: i64| {
            let heights: Vec<f64> = points.iter().map(|point| of(point) - row as f64 - 1e-7).collect();
            self.cutter.level_lines(&heights).unwrap_or_default()
        };
        let beyond = |line: &LevelLine| parts_beyond(&self.along(line), sign, step_mm);
        rows.flat_map(stroke).flat_map(|line| beyond(&line)).map(|part| Chain::thinned(&part)).collect()
    }
}

fn between(a: (DVec3, f64), b: (DVec3, f64), share: f64) -> (DVec3, f64) {
    (a.0.lerp(b.0, share), a.1 + share * (b.1 - a.1))
}

/// The parts of a line on which the deflection times `sign` is at least `step_mm`.
fn parts_beyond(line: &[(DVec3, f64)], sign: f64, step_mm: f64) -> Vec<Vec<DVec3>> {
    let over = |place: &(DVec3, f64)| sign * place.1 - step_mm;
    let mut parts: Vec<Vec<DVec3>> = Vec::new();
    let mut part: Vec<DVec3> =
        line.first().filter(|first| over(first) >= 0.0).map(|first| first.0).into_iter().collect();
    for (from, to) in line.iter().zip(line.iter().skip(1)) {
        let (a, b) = (over(from), over(to));
        if (a >= 0.0) != (b >= 0.0) {
            part.push(between(*from, *to, a / (a - b)).0);
        }
        if b >= 0.0 {
            part.push(to.0);
        } else if !part.is_empty() {
            parts.push(std::mem::take(&mut part));
        }
    }
    parts.push(part);
    parts.retain(|part| part.len() > 1);
    parts
}

/// A direction along the panel as a whole, 45° from the level, to one side or the other.
fn slant(skin: &Skin, sign: f64) -> DVec3 {
    let normal: DVec3 = (0..skin.triangles.len()).map(|triangle| skin.double_area_normal(triangle)).sum();
    let normal = normal.try_normalize().unwrap_or(DVec3::Z);
    let level = DVec3::Z.cross(normal).try_normalize().unwrap_or(DVec3::X);
    (level + sign * normal.cross(level)).normalize_or(DVec3::X)
}

/// A line from station to station.
fn stretch(line: &SeamLine, [from_mm, to_mm]: [f64; 2]) -> Vec<DVec3> {
    let mut out = Vec::new();
    let mut at_mm = 0.0;
    for (from, to) in line.sides() {
        let step_mm = from.distance(to);
        let share = |station_mm: f64| ((station_mm - at_mm) / step_mm).clamp(0.0, 1.0);
        if step_mm > 0.0 && at_mm < to_mm && at_mm + step_mm > from_mm {
            if out.is_empty() {
                out.push(from.lerp(to, share(from_mm)));
            }
            out.push(from.lerp(to, share(to_mm)));
        }
        at_mm += step_mm;
    }
    out
}

#[cfg(test)]
mod tests;
