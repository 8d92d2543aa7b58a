//! From a strip to triangles: outside face, inside face, cut edges, wire, with openings cut out.
//!
//! The faces are triangulated together in the plane of station and chain (constrained Delaunay, openings as constraints) and
//! mapped into space twice, so that the surface is closed and faces outward by construction. Between stations the chord stays
//! within the tolerance. The other hand is the finished surface reflected.

use crate::edge_line::Lean;
use crate::frame::FrameJet;
use crate::profile::{Part, Profile, Shape};
use crate::{SectionError, Strip, StripEdge, Swept};
use glam::{DVec2, DVec3};
use mesh::{FeatureLine, PointId, SheetFace, Surface, Tag};
use std::collections::BTreeSet;

mod wire;

/// Turns a strip into a closed surface whose chords stay within `tolerance_mm` (0.001 to 5 mm) of it.
///
/// Tags: part as named on the strip ("skin", "flange", "curl", "lap", "wire"), face outside, inside or edge. Feature lines:
/// "outline", the lines of [`Swept::line_names`], "end line", and one per opening under its name.
///
/// # Errors
/// What [`Swept::new`] finds; a tolerance out of range; openings that touch each other.
pub fn tessellate(strip: &Strip, tolerance_mm: f64) -> Result<Surface, SectionError> {
    crate::error::within("the tolerance", tolerance_mm, 0.001..=5.0, "mm")?;
    let swept = Swept::new(strip)?;
    let sheet = Sheet::new(&swept, tolerance_mm);
    let mut surface = sheet.surface()?;
    surface.lines = sheet.lines();
    wire::add(&swept, &sheet.stations, tolerance_mm, &mut surface);
    Ok(if strip.mirrored { surface.reflected_y() } else { surface })
}

impl Swept<'_> {
    /// Stations between which every lengthwise line on both faces stays within a tolerance of its chord; all breaks are among them.
    #[must_use]
    pub fn sample_mm(&self, tolerance_mm: f64) -> Vec<f64> {
        let at = |station: f64| self.line_points(station);
        refine(self.breaks_mm(), &at, tolerance_mm)
    }

    fn line_points(&self, station_mm: f64) -> Vec<DVec3> {
        let frame = self.frame_jet(station_mm, Lean::After);
        let profile = self.profile(station_mm, Lean::After);
        let both = [0.0, profile.thickness_mm];
        let points = profile.nodes.iter().flat_map(|node| both.map(|depth| self.point(&frame, node, depth).value));
        points.collect()
    }
}

/// Halves intervals between breaks until the points at a quarter, a half and three quarters lie within the tolerance of the chord.
pub fn refine(breaks: &[f64], at: &impl Fn(f64) -> Vec<DVec3>, tolerance_mm: f64) -> Vec<f64> {
    const DEEPEST: usize = 14;
    let mut out: Vec<f64> = breaks.first().copied().into_iter().collect();
    for pair in breaks.windows(2) {
        let mut stack = vec![([pair[0], pair[1]], [at(pair[0]), at(pair[1])], 0)];
        while let Some(([a, b], [first, last], depth)) = stack.pop() {
            let middle = at(0.5 * (a + b));
            let on_chord = |points: &[DVec3], f: f64| {
                let ends = first.iter().zip(&last);
                points.iter().zip(ends).all(|(p, (a, b))| p.distance(a.lerp(*b, f)) <= tolerance_mm)
            };
            let straight = on_chord(&middle, 0.5) && [0.25, 0.75].iter().all(|f| on_chord(&at(a + (b - a) * f), *f));
            if straight || depth == DEEPEST {
                out.push(b);
            } else {
                let half = 0.5 * (a + b);
                stack.push(([half, b], [middle.clone(), last], depth + 1));
                stack.push(([a, half], [first, middle], depth + 1));
            }
        }
    }
    out
}

/// The strip in the plane of station (x) and chain (y: links laid end to end at their mean length).
struct Sheet<'a, 'b> {
    swept: &'a Swept<'b>,
    stations: Vec<f64>,
    /// y of each node.
    levels: Vec<f64>,
    /// Fractions of each link at which points are set.
    fractions: Vec<Vec<f64>>,
    holes: Vec<(String, Vec<DVec2>)>,
}

impl<'a, 'b> Sheet<'a, 'b> {
    fn new(swept: &'a Swept<'b>, tolerance_mm: f64) -> Self {
        let stations = swept.sample_mm(tolerance_mm);
        let profiles: Vec<_> = stations.iter().map(|&s| swept.profile(s, Lean::After)).collect();
        let thickness = swept.strip().thickness_mm;
        let mut levels = vec![0.0];
        let mut fractions = Vec::new();
        let links = profiles.first().map_or(0, |profile| profile.links.len());
        for i in 0..links {
            let shapes = profiles.iter().map(|profile| profile.links[i].shape);
            let mean = shapes.clone().map(|shape| shape.outside_length_mm(thickness).value).sum::<f64>()
                / stations.len() as f64;
            levels.push(levels.last().copied().unwrap_or(0.0) + mean);
            let steps = shapes.map(|shape| steps(shape, thickness, tolerance_mm)).max().unwrap_or(1);
            fractions.push((0..steps).map(|k| k as f64 / steps as f64).collect());
        }
        let mut sheet = Self { swept, stations, levels, fractions, holes: Vec::new() };
        sheet.holes = sheet.place_holes(tolerance_mm);
        sheet
    }

    /// Outlines of the openings in the plane.
    fn place_holes(&self, tolerance_mm: f64) -> Vec<(String, Vec<DVec2>)> {
        let openings = &self.swept.strip().openings;
        let place = |opening: &crate::Opening| {
            let profile = self.swept.profile(opening.along_mm, Lean::After);
            let at = self.swept.on_chain(&profile, opening.on, opening.along_mm, opening.from_edge_mm)?;
            let node = profile.inside_link(at.link, at.fraction)?;
            let frame = self.swept.frame_jet(opening.along_mm, Lean::After);
            // Millimetres along this line per millimetre of station.
            let stretch = self.swept.point(&frame, &node, 0.5 * profile.thickness_mm).first.length();
            let outline = opening.shape.outline_mm(tolerance_mm.min(0.1));
            let points = outline.iter().filter_map(|local| {
                let station = opening.along_mm + local.x / stretch;
                let profile = self.swept.profile(station, Lean::After);
                let at = self.swept.on_chain(&profile, opening.on, station, opening.from_edge_mm + local.y)?;
                Some(DVec2::new(station, self.level(at.link, at.fraction)))
            });
            Some((opening.name.clone(), points.collect::<Vec<_>>()))
        };
        openings.iter().filter_map(place).filter(|(_, outline)| outline.len() > 2).collect()
    }

    fn level(&self, link: usize, fraction: f64) -> f64 {
        match (self.levels.get(link), self.levels.get(link + 1)) {
            (Some(a), Some(b)) => a + (b - a) * fraction,
            _ => f64::NAN,
        }
    }

    /// Link and fraction of a y.
    fn link_at(&self, y: f64) -> (usize, f64) {
        let last = self.levels.len().saturating_sub(2);
        let link = self.levels.partition_point(|level| *level <= y).saturating_sub(1).min(last);
        match (self.levels.get(link), self.levels.get(link + 1)) {
            (Some(a), Some(b)) if b > a => (link, ((y - a) / (b - a)).clamp(0.0, 1.0)),
            _ => (link, 0.0),
        }
    }

    /// Points in space of points of the plane at depths below the outside face; neighbours in the list mostly share their station.
    fn all_in_space<const N: usize>(&self, points: &[DVec2], depths_mm: [f64; N]) -> Vec<[DVec3; N]> {
        let mut known: Option<(f64, Profile, FrameJet)> = None;
        let mut out = Vec::with_capacity(points.len());
        for at in points {
            let (_, profile, frame) = match known.take() {
                Some(same) if same.0 == at.x => known.insert(same),
                _ => {
                    let profile = self.swept.profile(at.x, Lean::After);
                    known.insert((at.x, profile, self.swept.frame_jet(at.x, Lean::After)))
                }
            };
            let (link, fraction) = self.link_at(at.y);
            let node = profile.inside_link(link, fraction);
            let place = |depth| node.map_or(DVec3::NAN, |node| self.swept.point(frame, &node, depth).value);
            out.push(depths_mm.map(place));
        }
        out
    }

    fn surface(&self) -> Result<Surface, SectionError> {
        let rows: Vec<f64> = self
            .fractions
            .iter()
            .enumerate()
            .flat_map(|(link, fractions)| fractions.iter().map(move |f| (link, *f)))
            .map(|(link, f)| self.level(link, f))
            .chain(self.levels.last().copied())
            .collect();
        let (outer, inner) = self.grid(&rows);
        let holes: Vec<Vec<DVec2>> = self.holes.iter().map(|(_, outline)| outline.clone()).collect();
        let planar = mesh::planar::triangulate_along(&outer, &holes, &inner, &self.link_ends()).map_err(|fault| {
            SectionError::OffTheMetal {
                name: "an opening".into(),
                station_mm: self.holes.first().map_or(0.0, |(_, outline)| outline.first().map_or(0.0, |p| p.x)),
                distance_mm: 0.0,
                accepted: format!("openings must not touch each other or the edge: {fault}"),
            }
        })?;
        Ok(self.thicken(&planar))
    }

    /// Points of the boundary in order, and those inside it that lie in no opening.
    fn grid(&self, rows: &[f64]) -> (Vec<DVec2>, Vec<DVec2>) {
        let (s, last_row) = (&self.stations, rows.len().saturating_sub(1));
        let last = s.len().saturating_sub(1);
        let mut outer: Vec<DVec2> = s.iter().map(|x| DVec2::new(*x, rows[0])).collect();
        outer.extend(rows.iter().skip(1).map(|y| DVec2::new(s[last], *y)));
        outer.extend(s.iter().rev().skip(1).map(|x| DVec2::new(*x, rows[last_row])));
        outer.extend(rows.iter().rev().skip(1).take(last_row.saturating_sub(1)).map(|y| DVec2::new(s[0], *y)));
        let in_hole = |p: DVec2| {
            self.holes.iter().any(|(_, outline)| {
                let near = outline.iter().any(|q| p.distance_squared(*q) < 1e-6);
                near || mesh::polygon::contains(outline, p)
            })
        };
        let inner = s[1..last].iter().flat_map(|x| rows[1..last_row].iter().map(|y| DVec2::new(*x, *y)));
        (outer, inner.filter(|p| !in_hole(*p)).collect())
    }

    /// Lines between the links of the cross-section, end to end: no triangle reaches from a leg over its bend.
    fn link_ends(&self) -> Vec<[DVec2; 2]> {
        let (Some(&start), Some(&end)) = (self.stations.first(), self.stations.last()) else { return Vec::new() };
        let between = self.levels.iter().skip(1).take(self.levels.len().saturating_sub(2));
        between.map(|level| [DVec2::new(start, *level), DVec2::new(end, *level)]).collect()
    }

    /// Both faces and the walls between them.
    fn thicken(&self, planar: &mesh::planar::Planar) -> Surface {
        let thickness = self.swept.strip().thickness_mm;
        let parts = self.swept.parts();
        let mut surface = Surface::default();
        let both: Vec<[DVec3; 2]> = self.all_in_space(&planar.points, [0.0, thickness]);
        for face in [0, 1] {
            for point in &both {
                surface.push_point(point[face]);
            }
        }
        let n = planar.points.len();
        let id = |i: usize, inside: bool| PointId(u32::try_from(if inside { n + i } else { i }).unwrap_or(u32::MAX));
        // Anticlockwise in the plane shows −(t × direction): the inside where the strip runs up, the outside where it runs down.
        let plane_shows_inside = self.swept.strip().runs == crate::Runs::Up;
        let mut edges = BTreeSet::new();
        for &[a, b, c] in &planar.triangles {
            let centre = (planar.points[a] + planar.points[b] + planar.points[c]) / 3.0;
            let part = self.part_name(parts.get(self.link_at(centre.y).0).copied());
            for inside in [false, true] {
                let face = if inside { SheetFace::Inside } else { SheetFace::Outside };
                let tag = surface.tag(Tag { part: part.clone(), face });
                let turned = inside != plane_shows_inside;
                let corners = if turned { [a, c, b] } else { [a, b, c] };
                surface.push_triangle(corners.map(|i| id(i, inside)), tag);
            }
            edges.extend([(a, b), (b, c), (c, a)]);
        }
        for &(a, b) in edges.iter().filter(|(a, b)| !edges.contains(&(*b, *a))) {
            let centre = 0.5 * (planar.points[a] + planar.points[b]);
            let part = self.part_name(parts.get(self.link_at(centre.y).0).copied());
            let tag = surface.tag(Tag { part, face: SheetFace::Edge });
            // The face that the plane shows has this edge as a → b, so its wall has b → a.
            let (shown, hidden) = (plane_shows_inside, !plane_shows_inside);
            surface.push_triangle([id(b, shown), id(a, shown), id(a, hidden)], tag);
            surface.push_triangle([id(b, shown), id(a, hidden), id(b, hidden)], tag);
        }
        surface
    }

    fn part_name(&self, part: Option<Part>) -> String {
        match part {
            Some(Part::Bend { edge, index } | Part::Leg { edge, index } | Part::Ramp { edge, index }) => {
                self.swept.strip().make_up_name(edge, index)
            }
            _ => "skin".into(),
        }
    }

    fn lines(&self) -> Vec<FeatureLine> {
        let along = |level: f64| self.stations.iter().map(move |s| DVec2::new(*s, level));
        let across = |station: f64| -> Vec<DVec2> {
            let rows = self.fractions.iter().enumerate();
            rows.flat_map(|(link, fractions)| fractions.iter().map(move |f| DVec2::new(station, self.level(link, *f))))
                .chain(self.levels.last().map(|level| DVec2::new(station, *level)))
                .collect()
        };
        let map = |name: &str, points: Vec<DVec2>, closed: bool| FeatureLine {
            name: name.into(),
            points_mm: self.all_in_space(&points, [0.0]).into_iter().map(|[p]| p).collect(),
            closed,
        };
        let (bottom, top) = (self.levels.first().copied().unwrap_or(0.0), self.levels.last().copied().unwrap_or(0.0));
        let strip = self.swept.strip();
        let mut outline: Vec<DVec2> = along(bottom).collect();
        outline.extend(across(self.swept.end_mm()).into_iter().skip(1));
        outline.extend(along(top).rev().skip(1));
        outline.extend(across(self.swept.start_mm()).into_iter().rev().skip(1));
        outline.pop();
        let mut out = vec![map("outline", outline, true)];
        let names = self.swept.line_names();
        let inner = names.iter().zip(&self.levels).skip(1).take(names.len().saturating_sub(2));
        out.extend(inner.map(|(name, level)| map(name, along(*level).collect(), false)));
        for (spare, station) in [(strip.spare_from_mm, strip.from_mm), (strip.spare_to_mm, strip.to_mm)] {
            if spare > 0.0 {
                out.push(map("end line", across(station), false));
            }
        }
        out.extend(self.holes.iter().map(|(name, outline)| map(name, outline.clone(), true)));
        out
    }
}

/// Steps of an arc so that its chords stay within the tolerance.
fn steps(shape: Shape, thickness_mm: f64, tolerance_mm: f64) -> usize {
    match shape {
        Shape::Straight { .. } => 1,
        Shape::Arc { inside_radius_mm, bend_rad } => {
            let radius = inside_radius_mm.value + thickness_mm;
            let step = 2.0 * (1.0 - (tolerance_mm / radius).min(0.1)).acos();
            ((bend_rad.value.abs() / step).ceil() as usize).clamp(1, 180)
        }
    }
}

impl StripEdge {
    /// "finished edge" or "cut edge".
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Finished => "finished edge",
            Self::Cut => "cut edge",
        }
    }
}
