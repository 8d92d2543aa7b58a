//! The surface in triangles.
//!
//! The outline is set with points along the surface, the inside with a lattice of equilateral triangles; both joined by a
//! constrained Delaunay triangulation in the datum plane, lifted to the surface, and refined until no edge is much longer than the
//! target and the surface nowhere leaves a triangle by more than the tolerance. Inner points are then moved to the middle of their
//! triangles. Guarantees: triangles anticlockwise seen from the outside, outline and holes kept to the tolerance.

use crate::{SurfaceFit, SurveyError, concerns};
use glam::{DVec2, DVec3};
use handbook::Concern;
use mesh::planar::{Planar, triangulate};
use mesh::polygon::{contains, distance_to_sides_mm, sides, signed_area_mm2};
use mesh::skin::MOST_TRIANGLES;
use mesh::{MeshError, Skin};
use numerics::{Cancel, Progress};

/// Edges longer than this share of the target are halved.
const LONG: f64 = 1.4;
/// Lattice points stay this share of the target away from the outline.
const CLEAR: f64 = 0.6;
/// Rounds of halving, and of moving points to the middle.
const ROUNDS: usize = 10;
const SMOOTHINGS: usize = 3;
/// Triangles flatter than this share of the target are rounding at the outline, not surface.
const SLIVER: f64 = 1e-6;
/// Slope beyond which heights over the datum plane say little.
const STEEP_DEG: f64 = 60.0;

/// How a surface is cut into triangles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SkinSettings {
    /// Target edge, mm.
    pub edge_mm: f64,
    /// Largest distance between surface and triangles, mm.
    pub tolerance_mm: f64,
}

/// A skin with the reach of each of its points.
#[derive(Debug, Clone, PartialEq)]
pub struct SurfaceSkin {
    /// The triangles.
    pub skin: Skin,
    /// ± of the height over the datum plane at each point, two standard deviations, mm.
    pub reach_mm: Vec<f64>,
    /// What the reader must know about it.
    pub concerns: Vec<Concern>,
}

impl SurfaceFit {
    /// A fortieth of the longer side of the outline, a twentieth of a millimetre.
    #[must_use]
    pub fn default_skin_settings(&self) -> SkinSettings {
        let [low, high] = self.measured.bounds_mm();
        SkinSettings { edge_mm: (high - low).max_element() / 40.0, tolerance_mm: 0.05 }
    }

    /// The surface inside the outline as triangles.
    ///
    /// # Errors
    /// [`SurveyError::Setting`], [`SurveyError::TooManyTriangles`], [`SurveyError::Mesh`], [`SurveyError::Cancelled`].
    pub fn skin(
        &self,
        settings: &SkinSettings,
        progress: &Progress,
        cancel: &Cancel,
    ) -> Result<SurfaceSkin, SurveyError> {
        for (name, got) in [("the edge", settings.edge_mm), ("the tolerance", settings.tolerance_mm)] {
            if !(got.is_finite() && got > 0.0) {
                return Err(SurveyError::Setting { name, got, need: "a finite length more than 0 mm" });
            }
        }
        let mut cut = Cut::new(self, *settings, cancel)?;
        let mut planar = cut.triangulate()?;
        for round in 0..ROUNDS + SMOOTHINGS {
            cancel.check()?;
            progress.report(round as f64 / (ROUNDS + SMOOTHINGS) as f64, "cutting into triangles");
            let added = cut.halve(&planar)?;
            if !added && round >= SMOOTHINGS {
                break;
            }
            if round < SMOOTHINGS {
                planar = cut.triangulate()?;
                cut.smooth(&planar)?;
            }
            planar = cut.triangulate()?;
        }
        self.lifted(&planar, cancel)
    }

    fn height_point(&self, place: DVec2) -> DVec3 {
        self.measured.frame.point_mm(place.x, place.y, self.surface.value(place.to_array()))
    }

    fn lifted(&self, planar: &Planar, cancel: &Cancel) -> Result<SurfaceSkin, SurveyError> {
        let mut number = vec![u32::MAX; planar.points.len()];
        let mut places = Vec::new();
        let mut triangles = Vec::with_capacity(planar.triangles.len());
        for triangle in &planar.triangles {
            triangles.push(triangle.map(|i| {
                if number[i] == u32::MAX {
                    number[i] = places.len() as u32;
                    places.push(planar.points[i]);
                }
                number[i]
            }));
        }
        let reach = |place: &DVec2| -> Result<f64, SurveyError> {
            cancel.check()?;
            Ok(2.0 * self.surface.sigma(place.to_array()))
        };
        let reach_mm = places.iter().map(reach).collect::<Result<Vec<f64>, _>>()?;
        let points_mm = places.iter().map(|place| self.height_point(*place)).collect();
        let concerns = self.place_concerns(&places, &reach_mm);
        Ok(SurfaceSkin { skin: Skin { points_mm, triangles }, reach_mm, concerns })
    }

    /// Where the surface is steep, and where no reading is near.
    fn place_concerns(&self, places: &[DVec2], reach_mm: &[f64]) -> Vec<Concern> {
        let mut concerns = Vec::new();
        let slope =
            |place: &DVec2| DVec2::from_array(self.surface.gradient(place.to_array())).length().atan().to_degrees();
        let steepest = places.iter().map(|place| (slope(place), place)).max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((slope_deg, place)) = steepest.filter(|(slope_deg, _)| *slope_deg > STEEP_DEG) {
            concerns.push(concerns::steep(place.x, place.y, slope_deg));
        }
        let mut sorted = reach_mm.to_vec();
        sorted.sort_by(f64::total_cmp);
        let usual_mm = sorted.get(sorted.len() / 2).copied().unwrap_or(0.0);
        let least_known = places.iter().zip(reach_mm).max_by(|a, b| a.1.total_cmp(b.1));
        if let Some((place, &reach_mm)) = least_known.filter(|(_, reach)| **reach > 1.0 && **reach > 4.0 * usual_mm) {
            concerns.push(concerns::far_from_readings(place.x, place.y, reach_mm, usual_mm));
        }
        concerns
    }
}

/// Points in the datum plane on their way to a triangulation.
struct Cut<'a> {
    fit: &'a SurfaceFit,
    settings: SkinSettings,
    outer: Vec<DVec2>,
    holes: Vec<Vec<DVec2>>,
    inner: Vec<DVec2>,
    cancel: &'a Cancel,
}

impl<'a> Cut<'a> {
    fn new(fit: &'a SurfaceFit, settings: SkinSettings, cancel: &'a Cancel) -> Result<Self, SurveyError> {
        let measured = &fit.measured;
        let area = signed_area_mm2(&measured.outline_mm);
        // an equilateral triangle of edge e has the area √3/4·e²
        if area / (0.433 * settings.edge_mm.powi(2)) > MOST_TRIANGLES as f64 {
            return Err(too_many(settings));
        }
        let mut cut = Self { fit, settings, outer: Vec::new(), holes: Vec::new(), inner: Vec::new(), cancel };
        cut.outer = cut.along_surface(&measured.outline_mm)?;
        cut.holes = measured.holes_mm.iter().map(|hole| cut.along_surface(hole)).collect::<Result<_, _>>()?;
        cut.inner = cut.lattice();
        Ok(cut)
    }

    /// An outline with points set along its sides: no step longer than the target, none further off the surface than the tolerance.
    fn along_surface(&self, outline: &[DVec2]) -> Result<Vec<DVec2>, SurveyError> {
        let mut set = Vec::new();
        for (a, b) in sides(outline) {
            self.cancel.check()?;
            let mut steps = (self.length(a, b) / self.settings.edge_mm).ceil().max(1.0) as usize;
            while self.worst_sag(a, b, steps) > self.settings.tolerance_mm {
                steps *= 2;
                if steps > MOST_TRIANGLES {
                    return Err(too_many(self.settings));
                }
            }
            set.extend((0..steps).map(|step| a.lerp(b, step as f64 / steps as f64)));
        }
        Ok(set)
    }

    fn length(&self, a: DVec2, b: DVec2) -> f64 {
        let at = |step: u32| self.fit.height_point(a.lerp(b, f64::from(step) / 16.0));
        (0..16).map(|step| at(step).distance(at(step + 1))).sum()
    }

    fn worst_sag(&self, a: DVec2, b: DVec2, steps: usize) -> f64 {
        let at = |step: usize| a.lerp(b, step as f64 / steps as f64);
        (0..steps).map(|step| self.sag(at(step), at(step + 1))).fold(0.0, f64::max)
    }

    /// How far the surface stands off the middle of a chord, square to the surface.
    fn sag(&self, a: DVec2, b: DVec2) -> f64 {
        let middle = 0.5 * (self.fit.height_point(a) + self.fit.height_point(b));
        self.off(middle, a.midpoint(b))
    }

    fn off(&self, point: DVec3, place: DVec2) -> f64 {
        let steepness = DVec2::from_array(self.fit.surface.gradient(place.to_array())).length();
        point.distance(self.fit.height_point(place)) / steepness.hypot(1.0)
    }

    /// Corners of equilateral triangles inside the outline.
    fn lattice(&self) -> Vec<DVec2> {
        let edge = self.settings.edge_mm;
        let rise = 0.75f64.sqrt() * edge;
        let [low, high] = self.fit.measured.bounds_mm();
        let rows = ((high.y - low.y) / rise) as usize + 1;
        let columns = ((high.x - low.x) / edge) as usize + 2;
        let place = |row: usize, column: usize| {
            low + DVec2::new(edge * (column as f64 - 0.5 * (row % 2) as f64), rise * (row as f64 + 0.5))
        };
        let all = (0..rows).flat_map(|row| (0..columns).map(move |column| place(row, column)));
        all.filter(|place| self.is_inside(*place, CLEAR * edge)).collect()
    }

    fn is_inside(&self, place: DVec2, clear_mm: f64) -> bool {
        let outline = &self.fit.measured.outline_mm;
        let far = |outline: &[DVec2]| distance_to_sides_mm(outline, place) >= clear_mm;
        let holes = &self.fit.measured.holes_mm;
        contains(outline, place) && far(outline) && holes.iter().all(|hole| !contains(hole, place) && far(hole))
    }

    fn triangulate(&self) -> Result<Planar, SurveyError> {
        let mut planar = triangulate(&self.outer, &self.holes, &self.inner)?;
        if planar.triangles.len() > MOST_TRIANGLES {
            return Err(too_many(self.settings));
        }
        let flat = |triangle: &[usize; 3]| {
            let [a, b, c] = triangle.map(|i| planar.points[i]);
            (b - a).perp_dot(c - a).abs() <= SLIVER * self.settings.edge_mm.powi(2)
        };
        let kept: Vec<[usize; 3]> = planar.triangles.iter().filter(|triangle| !flat(triangle)).copied().collect();
        if kept.is_empty() {
            return Err(MeshError::NotFinite { index: 0 }.into());
        }
        planar.triangles = kept;
        Ok(planar)
    }

    /// Adds the middles of edges that are too long or too far off the surface, and of triangles that are; says whether any were.
    fn halve(&mut self, planar: &Planar) -> Result<bool, SurveyError> {
        let mut edges: Vec<(usize, usize)> = planar
            .triangles
            .iter()
            .flat_map(|&[a, b, c]| [(a, b), (b, c), (c, a)])
            .map(|(a, b)| (a.min(b), a.max(b)))
            .collect();
        edges.sort_unstable();
        let before = self.inner.len();
        // an edge of one triangle alone lies on the outline, which has its points already
        for edge in edges.chunk_by(|a, b| a == b).filter(|edge| edge.len() == 2) {
            self.cancel.check()?;
            let (a, b) = (planar.points[edge[0].0], planar.points[edge[0].1]);
            let long = self.fit.height_point(a).distance(self.fit.height_point(b)) > LONG * self.settings.edge_mm;
            if long || self.sag(a, b) > self.settings.tolerance_mm {
                self.inner.push(a.midpoint(b));
            }
        }
        if self.inner.len() == before {
            for triangle in &planar.triangles {
                self.cancel.check()?;
                let corners = triangle.map(|i| planar.points[i]);
                let place = corners.iter().sum::<DVec2>() / 3.0;
                let middle = corners.iter().map(|corner| self.fit.height_point(*corner)).sum::<DVec3>() / 3.0;
                if self.off(middle, place) > self.settings.tolerance_mm {
                    self.inner.push(place);
                }
            }
        }
        if self.inner.len() > MOST_TRIANGLES { Err(too_many(self.settings)) } else { Ok(self.inner.len() > before) }
    }

    /// Moves each inner point to the middle of its triangles, each weighing by its area on the surface.
    fn smooth(&mut self, planar: &Planar) -> Result<(), SurveyError> {
        let fixed = planar.points.len() - self.inner.len().min(planar.points.len());
        let mut sums = vec![(DVec2::ZERO, 0.0); planar.points.len()];
        for triangle in &planar.triangles {
            self.cancel.check()?;
            let corners = triangle.map(|i| planar.points[i]);
            let [a, b, c] = corners.map(|corner| self.fit.height_point(corner));
            let area = (b - a).cross(c - a).length();
            let middle = corners.iter().sum::<DVec2>() / 3.0;
            for &corner in triangle {
                sums[corner].0 += area * middle;
                sums[corner].1 += area;
            }
        }
        let moved = |(sum, weight): &(DVec2, f64), at: &DVec2| if *weight > 0.0 { *sum / *weight } else { *at };
        let inner = sums.iter().zip(&planar.points).skip(fixed).map(|(sum, at)| moved(sum, at));
        let inner: Vec<DVec2> = inner.collect();
        self.inner = inner.into_iter().filter(|place| self.is_inside(*place, 0.25 * self.settings.edge_mm)).collect();
        Ok(())
    }
}

fn too_many(settings: SkinSettings) -> SurveyError {
    let SkinSettings { edge_mm, tolerance_mm } = settings;
    SurveyError::TooManyTriangles { edge_mm, tolerance_mm, most: MOST_TRIANGLES }
}

#[cfg(test)]
mod tests;
