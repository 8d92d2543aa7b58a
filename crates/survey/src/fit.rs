//! A smoothing spline surface through a survey.

use crate::{Measured, SurveyError, concerns, doubt};
use glam::{DVec2, DVec3};
use handbook::{Concern, Grade};
use numerics::spline::{self, Datum, Grid, Smoothing, SplineSurface};
use numerics::{Cancel, Progress};

/// Spans along or across a surface fitted to stations and to points: finer costs time and shows nothing more on a panel.
const MOST_SPANS: usize = 48;
const FEWEST_SPANS: usize = 4;
/// A surface that curves both ways has six unknowns even where it is a plain dome or saddle; twice as many readings check it.
const FEWEST_READINGS: usize = 12;
/// Beyond so many times its reach the scatter of the readings is a concern.
const SCATTER_LIMIT: f64 = 1.5;

/// How a surface is fitted.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct FitSettings {
    /// How much is smoothed.
    pub smoothing: Smoothing,
}

/// A point of the fitted surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurfacePoint {
    /// In space, mm.
    pub at_mm: DVec3,
    /// Unit normal towards the outside.
    pub normal: DVec3,
    /// ± of the height over the datum plane, two standard deviations, mm.
    pub reach_mm: f64,
}

/// A panel surface with its reach, its residuals and what is doubtful about them.
#[derive(Debug, Clone, PartialEq)]
pub struct SurfaceFit {
    /// What was measured.
    pub measured: Measured,
    /// Height over the datum plane.
    pub surface: SplineSurface,
    /// What the reader must know, the gravest first.
    pub concerns: Vec<Concern>,
}

/// Fits a surface to a survey and asks which readings are likely misreadings.
///
/// Every reading stays in the fit; nothing is dropped or repaired.
///
/// # Errors
/// [`SurveyError::Fit`], [`SurveyError::Cancelled`].
pub fn fit(
    measured: Measured,
    settings: &FitSettings,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<SurfaceFit, SurveyError> {
    let grid = grid(&measured, MOST_SPANS)?;
    let surface = spline::fit(&data(&measured), grid, settings.smoothing, &progress.part(0.0, 0.7), cancel)?;
    let mut concerns = measured.concerns.clone();
    let misreadings = doubt::misreadings(&measured, &progress.part(0.7, 1.0), cancel)?;
    // a misreading explains the scatter
    if misreadings.is_empty() && surface.scatter() > SCATTER_LIMIT {
        concerns.push(concerns::scatter(surface.scatter()));
    }
    if misreadings.iter().all(|concern| concern.grade != Grade::Stop) {
        concerns.extend(left_aside(&measured, &surface));
    }
    concerns.extend(misreadings);
    if measured.readings.len() < FEWEST_READINGS {
        concerns.push(concerns::too_few(measured.readings.len(), FEWEST_READINGS));
    }
    concerns.sort_by_key(|concern| std::cmp::Reverse(concern.grade));
    Ok(SurfaceFit { measured, surface, concerns })
}

/// The reading that the surface leaves furthest aside, where that is more than any slip of the gauge.
fn left_aside(measured: &Measured, surface: &SplineSurface) -> Option<Concern> {
    let readings = measured.readings.iter().zip(surface.residuals());
    let reaches = |(reading, residual): &(&crate::Reading, &f64)| residual.abs() / reading.reach_mm;
    let (reading, residual_mm) = readings.max_by(|a, b| reaches(a).total_cmp(&reaches(b)))?;
    (residual_mm.abs() > concerns::GROSS_REACHES * reading.reach_mm)
        .then(|| concerns::surface_leaves(measured.place(reading), *residual_mm, reading.reach_mm))
}

/// The readings as the spline takes them: σ is half the reach.
pub(crate) fn data(measured: &Measured) -> Vec<Datum> {
    let datum = |reading: &crate::Reading| Datum {
        at: [reading.u_mm, reading.v_mm],
        value: reading.height_mm,
        sigma: 0.5 * reading.reach_mm,
    };
    measured.readings.iter().map(datum).collect()
}

/// A grid over readings and outline, about two spans from one reading to the next.
pub(crate) fn grid(measured: &Measured, most: usize) -> Result<Grid, SurveyError> {
    let [low, high] = measured.bounds_mm();
    let size = high - low;
    let apart = typical_gaps(measured, size);
    let spans = |size: f64, apart: f64| ((2.0 * size / apart).ceil() as usize).clamp(FEWEST_SPANS.min(most), most);
    Ok(Grid::new(low.to_array(), high.to_array(), [spans(size.x, apart.x), spans(size.y, apart.y)])?)
}

/// How far readings lie apart along and across.
fn typical_gaps(measured: &Measured, size: DVec2) -> DVec2 {
    let count = measured.readings.len() as f64;
    match measured.stations_mm.len() {
        0 => DVec2::splat((size.x * size.y / count).sqrt()),
        profiles => DVec2::new(size.x / profiles as f64, size.y * profiles as f64 / count),
    }
}

impl SurfaceFit {
    /// The surface at a place of the datum plane, mm; straight on beyond the readings and the outline.
    #[must_use]
    pub fn evaluate(&self, u_mm: f64, v_mm: f64) -> SurfacePoint {
        let at = [u_mm, v_mm];
        let frame = &self.measured.frame;
        let [slope_u, slope_v] = self.surface.gradient(at);
        let normal = (frame.outward - frame.along * slope_u - frame.across * slope_v).normalize();
        SurfacePoint {
            at_mm: frame.point_mm(u_mm, v_mm, self.surface.value(at)),
            normal,
            reach_mm: 2.0 * self.surface.sigma(at),
        }
    }

    /// Height of each reading over the surface, in the order of the readings, mm.
    #[must_use]
    pub fn residuals_mm(&self) -> &[f64] {
        self.surface.residuals()
    }

    /// Root mean square of the residuals, mm.
    #[must_use]
    pub fn rms_mm(&self) -> f64 {
        let residuals = self.residuals_mm();
        (residuals.iter().map(|residual| residual * residual).sum::<f64>() / residuals.len().max(1) as f64).sqrt()
    }

    /// Index of the reading furthest from the surface.
    #[must_use]
    pub fn furthest(&self) -> usize {
        let furthest = self.residuals_mm().iter().enumerate().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
        furthest.map_or(0, |(index, _)| index)
    }

    /// Smallest and largest radius of curvature at a place, mm: positive where the panel is crowned to the outside, infinite
    /// where it is flat; the tighter first.
    #[must_use]
    pub fn crown_radii_mm(&self, u_mm: f64, v_mm: f64) -> [f64; 2] {
        let at = [u_mm, v_mm];
        let [p, q] = self.surface.gradient(at);
        let [r, s, t] = self.surface.second(at);
        // mean and Gaussian curvature of a height field, do Carmo, Differential Geometry of Curves and Surfaces, 3.3 (from memory)
        let w = 1.0 + p * p + q * q;
        let mean = ((1.0 + q * q) * r - 2.0 * p * q * s + (1.0 + p * p) * t) / (2.0 * w.powf(1.5));
        let gauss = (r * t - s * s) / (w * w);
        let half = (mean * mean - gauss).max(0.0).sqrt();
        let mut curvatures = [mean - half, mean + half];
        curvatures.sort_by(|a, b| b.abs().total_cmp(&a.abs()));
        curvatures.map(|curvature| -1.0 / curvature)
    }
}

#[cfg(test)]
mod tests;
