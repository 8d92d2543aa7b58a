//! A weld line laid on the panel: stations along it, and how far and on which side of it a point lies.

use super::PanelError;
use glam::DVec3;
use mesh::Skin;
use mesh::nearest::Nearest;

/// A weld line as it is given: points on the middle face of the panel.
#[derive(Debug, Clone, PartialEq)]
pub struct SeamLine {
    /// Points, mm; between them the line runs over the surface.
    pub points_mm: Vec<DVec3>,
    /// The last point joins the first.
    pub closed: bool,
}

impl SeamLine {
    /// Its points, with its way back to its start where it closes.
    #[must_use]
    pub fn whole_mm(&self) -> Vec<DVec3> {
        let round = self.points_mm.first().filter(|_| self.closed);
        self.points_mm.iter().chain(round).copied().collect()
    }

    /// Its straight parts.
    pub fn sides(&self) -> impl Iterator<Item = (DVec3, DVec3)> + '_ {
        let next = self.points_mm.iter().skip(1).chain(self.points_mm.first().filter(|_| self.closed));
        self.points_mm.iter().copied().zip(next.copied())
    }

    /// The place on its straight parts that lies nearest to a point; none on a line without points.
    #[must_use]
    pub fn nearest(&self, point: DVec3) -> Option<DVec3> {
        let feet = self.sides().map(|(a, b)| foot_on(point, a, b).0).chain(self.points_mm.first().copied());
        feet.min_by(|a, b| a.distance_squared(point).total_cmp(&b.distance_squared(point)))
    }
}

/// Points of a line farther off the mesh than this are refused, mm.
pub const OFF_MESH_MM: f64 = 2.0;

/// A sample of the line on the surface.
#[derive(Debug, Clone, Copy)]
struct Sample {
    at: DVec3,
    normal: DVec3,
    station: f64,
}

/// The line on the surface, in short steps.
#[derive(Debug, Clone)]
pub(super) struct LaidLine {
    samples: Vec<Sample>,
    pub closed: bool,
    pub length_mm: f64,
    /// Box round the samples.
    low: DVec3,
    high: DVec3,
}

/// Where a point lies beside a line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Foot {
    /// Distance, positive on the left of the line seen from outside, mm.
    pub signed_mm: f64,
    /// Station of the closest place, mm.
    pub station_mm: f64,
    /// The closest place.
    pub at: DVec3,
    /// Outward normal there.
    pub normal: DVec3,
    /// The closest place is an end of the line that lies inside the sheet.
    pub beyond: bool,
}

impl LaidLine {
    /// Lays a line on a skin in steps of half the edge; ends within an edge of the free edge are drawn out over it.
    pub fn new(line: &SeamLine, seam: usize, skin: &Skin, edge_mm: f64) -> Result<Self, PanelError> {
        let corners = corners(line, seam, edge_mm)?;
        let nearest = Nearest::new(skin)?;
        let mut samples: Vec<Sample> = Vec::new();
        let (mut straight, sides) = (0.0, if line.closed { corners.len() } else { corners.len() - 1 });
        for i in 0..sides {
            let (from, to) = (corners[i], corners[(i + 1) % corners.len()]);
            let side = from.distance(to);
            let steps = (side / (0.5 * edge_mm)).ceil().max(1.0) as usize;
            let last = usize::from(!line.closed && i + 1 == sides);
            for k in 0..steps + last {
                let share = k as f64 / steps as f64;
                let closest = nearest.closest(from.lerp(to, share))?;
                let off = closest.signed_distance_mm.abs();
                // a chord over a crowned panel lies off it between its ends; over a gap in the sheet it lies off far more
                let limit = if share == 0.0 || share == 1.0 { OFF_MESH_MM } else { OFF_MESH_MM.max(0.25 * side) };
                if off > limit {
                    let (station_mm, at_mm) = (straight + share * side, from.lerp(to, share));
                    return Err(PanelError::OffMesh { seam, station_mm, distance_mm: off, limit_mm: limit, at_mm });
                }
                let far = samples.last().is_none_or(|before| before.at.distance(closest.at_mm) > 1e-3 * edge_mm);
                if far {
                    samples.push(Sample { at: closest.at_mm, normal: closest.normal, station: 0.0 });
                }
            }
            straight += side;
        }
        let mut laid = Self { samples, closed: line.closed, length_mm: 0.0, low: DVec3::ZERO, high: DVec3::ZERO };
        laid.measure(seam, edge_mm)?;
        if !line.closed {
            laid.draw_out(skin, edge_mm);
        }
        laid.low = laid.samples.iter().fold(DVec3::INFINITY, |low, s| low.min(s.at));
        laid.high = laid.samples.iter().fold(DVec3::NEG_INFINITY, |high, s| high.max(s.at));
        Ok(laid)
    }

    fn measure(&mut self, seam: usize, edge_mm: f64) -> Result<(), PanelError> {
        let mut station = 0.0;
        for i in 1..self.samples.len() {
            station += self.samples[i].at.distance(self.samples[i - 1].at);
            self.samples[i].station = station;
        }
        let close = match (self.closed, self.samples.first(), self.samples.last()) {
            (true, Some(first), Some(last)) => first.at.distance(last.at),
            _ => 0.0,
        };
        self.length_mm = station + close;
        let least_mm = 3.0 * edge_mm;
        if self.length_mm < least_mm || self.samples.len() < 3 {
            let (points, length_mm) = (self.samples.len(), self.length_mm);
            return Err(PanelError::TooShort { seam, points, length_mm, least_mm });
        }
        Ok(())
    }

    /// An end near the free edge is drawn out over it, so that the cut reaches the edge.
    fn draw_out(&mut self, skin: &Skin, edge_mm: f64) {
        let free = free_edges(skin);
        let near = |at: DVec3| {
            free.iter().any(|&[p, q]| {
                let (p, q) = (skin.points_mm[p as usize], skin.points_mm[q as usize]);
                foot_on(at, p, q).0.distance(at) <= edge_mm
            })
        };
        let by = 3.0 * edge_mm;
        let (Some(first), Some(second)) = (self.samples.first().copied(), self.samples.get(1).copied()) else { return };
        if near(first.at) {
            let at = first.at + (first.at - second.at).normalize_or_zero() * by;
            self.samples.insert(0, Sample { at, normal: first.normal, station: -by });
        }
        let count = self.samples.len();
        let (last, before) = (self.samples[count - 1], self.samples[count - 2]);
        if near(last.at) {
            let at = last.at + (last.at - before.at).normalize_or_zero() * by;
            self.samples.push(Sample { at, normal: last.normal, station: last.station + by });
        }
    }

    /// Where a point lies beside the line; `None` when it is farther than `within_mm`.
    pub fn foot(&self, point: DVec3, within_mm: f64) -> Option<Foot> {
        if (point - self.low).min_element() < -within_mm || (self.high - point).min_element() < -within_mm {
            return None;
        }
        let count = self.samples.len();
        let sides = if self.closed { count } else { count - 1 };
        let (mut best, mut found) = (within_mm * within_mm, None);
        for i in 0..sides {
            let (p, q) = (self.samples[i].at, self.samples[(i + 1) % count].at);
            let (at, share) = foot_on(point, p, q);
            let away = at.distance_squared(point);
            if away < best {
                best = away;
                found = Some((i, at, share));
            }
        }
        let (i, at, share) = found?;
        let (from, to) = (self.samples[i], self.samples[(i + 1) % count]);
        let normal = from.normal.lerp(to.normal, share).normalize_or_zero();
        let mut tangent = (to.at - from.at).normalize_or_zero();
        let at_corner = if share <= 0.0 {
            self.before(i)
        } else if share >= 1.0 {
            self.after(i)
        } else {
            None
        };
        if let Some(other) = at_corner {
            tangent = (tangent + other).normalize_or_zero();
        }
        let ends = !self.closed && ((i == 0 && share <= 0.0) || (i + 1 == sides && share >= 1.0));
        let step = if i + 1 == count { self.length_mm - from.station } else { to.station - from.station };
        Some(Foot {
            signed_mm: best.sqrt().copysign((point - at).dot(normal.cross(tangent))),
            station_mm: from.station + share * step,
            at,
            normal,
            beyond: ends,
        })
    }

    /// Places along the line, for finding the triangles under it.
    pub fn places(&self) -> impl Iterator<Item = DVec3> {
        self.samples.iter().filter(|s| s.station >= 0.0 && s.station <= self.length_mm + 1e-9).map(|s| s.at)
    }

    fn before(&self, i: usize) -> Option<DVec3> {
        let count = self.samples.len();
        let before = if i > 0 {
            i - 1
        } else if self.closed {
            count - 1
        } else {
            return None;
        };
        Some((self.samples[i].at - self.samples[before].at).normalize_or_zero())
    }

    fn after(&self, i: usize) -> Option<DVec3> {
        let count = self.samples.len();
        let (end, next) = ((i + 1) % count, (i + 2) % count);
        if !self.closed && i + 2 >= count {
            return None;
        }
        Some((self.samples[next].at - self.samples[end].at).normalize_or_zero())
    }
}

fn corners(line: &SeamLine, seam: usize, edge_mm: f64) -> Result<Vec<DVec3>, PanelError> {
    if let Some(point) = line.points_mm.iter().position(|p| !p.is_finite()) {
        return Err(PanelError::NotFinite { seam, point: point + 1 });
    }
    let mut corners: Vec<DVec3> = Vec::with_capacity(line.points_mm.len());
    for &at in &line.points_mm {
        if corners.last().is_none_or(|last| last.distance(at) > 1e-6) {
            corners.push(at);
        }
    }
    while line.closed && corners.len() > 1 && corners[0].distance(corners[corners.len() - 1]) <= 1e-6 {
        corners.pop();
    }
    let length_mm: f64 = corners.windows(2).map(|w| w[0].distance(w[1])).sum();
    let least = if line.closed { 3 } else { 2 };
    if corners.len() < least {
        return Err(PanelError::TooShort { seam, points: corners.len(), length_mm, least_mm: 3.0 * edge_mm });
    }
    Ok(corners)
}

/// The closest place of a straight and its share of the way.
pub(crate) fn foot_on(point: DVec3, p: DVec3, q: DVec3) -> (DVec3, f64) {
    let side = q - p;
    let share = ((point - p).dot(side) / side.length_squared().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
    (p + side * share, share)
}

/// Edges that belong to one triangle.
pub(crate) fn free_edges(skin: &Skin) -> Vec<[u32; 2]> {
    let mut sides: Vec<(u32, u32, u32)> = Vec::with_capacity(3 * skin.triangles.len());
    for &[a, b, c] in &skin.triangles {
        sides.extend([(a, b), (b, c), (c, a)].map(|(p, q)| (p.min(q), p.max(q), p)));
    }
    sides.sort_unstable();
    let single = sides.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)).filter(|edge| edge.len() == 1);
    single.map(|edge| if edge[0].2 == edge[0].0 { [edge[0].0, edge[0].1] } else { [edge[0].1, edge[0].0] }).collect()
}
