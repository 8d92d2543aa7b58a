//! The top of a slice: as low as the surface is anywhere over the board's thickness.

use super::slice::Family;
use super::{BuckSettings, CardSettings, TemplateError};
use crate::templates::faced::face_words;
use glam::DVec2;
use mesh::sections::{SectionCutter, SectionLine, SectionPlane};
use section::Face;

/// Places over the thickness at which the surface is cut: both faces of the board and its middle.
const OVER_BOARD: [f64; 3] = [-0.5, 0.0, 0.5];

/// A slice before it is slotted. Positions along it and heights over the base, mm.
#[derive(Debug, Clone)]
pub(super) struct Profile {
    pub name: String,
    pub family: Family,
    pub at_mm: f64,
    pub plane: SectionPlane,
    /// Stretches of the top that touch, rising along the slice; bridges lie between them.
    pub stretches: Vec<Vec<DVec2>>,
    /// Height of the bridge after each stretch but the last.
    pub bridges_mm: Vec<f64>,
    /// Ends, after cutting back.
    pub ends_mm: [f64; 2],
}

impl Profile {
    pub fn of(
        cutter: &SectionCutter<'_>,
        plane: &SectionPlane,
        name: String,
        family: Family,
        at_mm: f64,
        (settings, card, touches): (&BuckSettings, &CardSettings, Face),
    ) -> Result<Self, TemplateError> {
        let mut graphs = Vec::new();
        for share in OVER_BOARD {
            let cut = plane.moved(share * settings.board_mm);
            let lines = cutter.cut(&cut).map_err(TemplateError::at(&name))?;
            graphs.push(graph(&lines, &name, touches)?);
        }
        let covered = graphs.iter().skip(1).fold(intervals(&graphs[0]), |all, graph| common(&all, &intervals(graph)));
        let stretches: Vec<Vec<DVec2>> = covered.iter().map(|&interval| lowest(&graphs, interval)).collect();
        let bridges_mm = stretches.windows(2).map(|pair| bridge_mm(&graphs, pair, card.relief_mm)).collect();
        let ends = stretches.first().and_then(|first| Some([first.first()?.x, stretches.last()?.last()?.x]));
        let Some(ends_mm) = ends else { return Err(TemplateError::NotHeld { name }) };
        let profile = Self { name, family, at_mm, plane: *plane, stretches, bridges_mm, ends_mm };
        profile.check_height(settings)?;
        Ok(profile)
    }

    fn check_height(&self, settings: &BuckSettings) -> Result<(), TemplateError> {
        let lowest = self.stretches.iter().flatten().copied().min_by(|a, b| a.y.total_cmp(&b.y));
        let bridge = self.bridges_mm.iter().copied().fold(f64::INFINITY, f64::min);
        let Some(lowest) = lowest else { return Ok(()) };
        let (height_mm, need_mm) = (lowest.y.min(bridge), settings.least_height_mm);
        // a base laid exactly that far below must not fail by rounding
        if height_mm >= need_mm - 1e-6 {
            return Ok(());
        }
        let lower_mm = need_mm - height_mm;
        Err(TemplateError::TooLow { name: self.name.clone(), at_mm: lowest.x, height_mm, need_mm, lower_mm })
    }

    /// The least height of the top between two positions along the slice, mm.
    pub fn least_height_mm(&self, from_mm: f64, to_mm: f64) -> f64 {
        let mut least = f64::INFINITY;
        for stretch in &self.stretches {
            let (Some(first), Some(last)) = (stretch.first(), stretch.last()) else { continue };
            let inside = stretch.iter().filter(|point| (from_mm..=to_mm).contains(&point.x)).map(|point| point.y);
            let ends = [from_mm, to_mm].into_iter().filter(|x| (first.x..=last.x).contains(x));
            let ends = ends.filter_map(|x| height_at(stretch, x));
            least = inside.chain(ends).fold(least, f64::min);
        }
        for (pair, bridge) in self.stretches.windows(2).zip(&self.bridges_mm) {
            let gap = pair[0].last().zip(pair[1].first());
            if gap.is_some_and(|(before, after)| before.x < to_mm && after.x > from_mm) {
                least = least.min(*bridge);
            }
        }
        least
    }
}

/// A section as lines rising along the slice, in order; refused where it is no graph over the base.
fn graph(lines: &[SectionLine], name: &str, touches: Face) -> Result<Vec<Vec<DVec2>>, TemplateError> {
    let overhangs = |at_mm: f64| TemplateError::Overhangs { name: name.to_owned(), at_mm };
    let mut pieces = Vec::new();
    for line in lines {
        let mut points = line.plane_points_mm();
        let (Some(first), Some(last)) = (points.first().copied(), points.last().copied()) else { continue };
        if line.closed {
            return Err(overhangs(first.x));
        }
        // the outside is to the left: a line that rises along the slice has it above, away from the base
        let outside_up = last.x > first.x;
        let (base_side, fits) = if outside_up { (Face::Inside, Face::Inside) } else { (Face::Outside, Face::Outside) };
        if touches != fits {
            return Err(TemplateError::WrongSide { base_side: face_words(base_side), touches: face_words(touches) });
        }
        if !outside_up {
            points.reverse();
        }
        if let Some(pair) = points.windows(2).find(|pair| pair[1].x <= pair[0].x) {
            return Err(overhangs(pair[0].x));
        }
        pieces.push(points);
    }
    pieces.sort_by(|a, b| start(a).total_cmp(&start(b)));
    match pieces.windows(2).find(|pair| end(&pair[0]) > start(&pair[1])) {
        Some(pair) => Err(overhangs(start(&pair[1]))),
        None => Ok(pieces),
    }
}

fn start(points: &[DVec2]) -> f64 {
    points.first().map_or(f64::NAN, |point| point.x)
}

fn end(points: &[DVec2]) -> f64 {
    points.last().map_or(f64::NAN, |point| point.x)
}

fn intervals(graph: &[Vec<DVec2>]) -> Vec<[f64; 2]> {
    graph.iter().map(|piece| [start(piece), end(piece)]).collect()
}

fn common(one: &[[f64; 2]], other: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let pairs = one.iter().flat_map(|a| other.iter().map(move |b| [a[0].max(b[0]), a[1].min(b[1])]));
    pairs.filter(|[low, high]| high - low > 1e-6).collect()
}

/// Height of a chain that rises along x at a position on it.
fn height_at(piece: &[DVec2], x: f64) -> Option<f64> {
    let after = piece.partition_point(|point| point.x < x);
    let b = *piece.get(after)?;
    if after == 0 {
        return (b.x == x).then_some(b.y);
    }
    let a = piece[after - 1];
    Some(a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x))
}

/// The lowest of the graphs over an interval on which all of them lie, with its own corners and those where another takes over.
fn lowest(graphs: &[Vec<Vec<DVec2>>], [from, to]: [f64; 2]) -> Vec<DVec2> {
    let mut xs: Vec<f64> = graphs.iter().flatten().flatten().map(|point| point.x).collect();
    xs.retain(|x| (from..=to).contains(x));
    xs.extend([from, to]);
    xs.sort_by(f64::total_cmp);
    xs.dedup();
    let heights = |x: f64| -> Vec<f64> {
        let on = |graph: &Vec<Vec<DVec2>>| graph.iter().find_map(|piece| height_at(piece, x)).unwrap_or(f64::INFINITY);
        graphs.iter().map(on).collect()
    };
    let lowest_of = |heights: &[f64]| heights.iter().copied().fold(f64::INFINITY, f64::min);
    let mut top = Vec::with_capacity(xs.len());
    let mut before: Option<(f64, Vec<f64>)> = None;
    for x in xs {
        let here = heights(x);
        if let Some((x0, there)) = &before {
            let mut shares = Vec::new();
            for i in 0..here.len() {
                for j in 0..i {
                    let (d0, d1) = (there[i] - there[j], here[i] - here[j]);
                    if (d0 < 0.0) != (d1 < 0.0) && d0 != d1 {
                        shares.push(d0 / (d0 - d1));
                    }
                }
            }
            shares.retain(|share| (1e-9..=1.0 - 1e-9).contains(share));
            shares.sort_by(f64::total_cmp);
            for share in shares {
                let between: Vec<f64> = there.iter().zip(&here).map(|(a, b)| a + (b - a) * share).collect();
                top.push(DVec2::new(x0 + (x - x0) * share, lowest_of(&between)));
            }
        }
        top.push(DVec2::new(x, lowest_of(&here)));
        before = Some((x, here));
    }
    top
}

/// Height of the top under a hole: below everything that reaches into the gap, by the relief.
fn bridge_mm(graphs: &[Vec<Vec<DVec2>>], pair: &[Vec<DVec2>], relief_mm: f64) -> f64 {
    let (from, to) = (end(&pair[0]), start(&pair[1]));
    let within = graphs.iter().flatten().flatten().filter(|point| (from..=to).contains(&point.x)).map(|point| point.y);
    let ends = [pair[0].last(), pair[1].first()].into_iter().flatten().map(|point| point.y);
    within.chain(ends).fold(f64::INFINITY, f64::min) - relief_mm
}
