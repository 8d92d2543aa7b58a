//! The result of a flattening.

use super::isotropic::Singular;
use super::least_work::{BEYOND_ANY_SHEET, LeastWork, SOFTENING};
use super::objective::{FlatEnergy, Held};
use super::panel::{Panel, unknowns};
use super::settings::{Energy, FlattenSettings, Route};
use super::{dirichlet::SymmetricDirichlet, start::put_upright};
use glam::DVec2;
use numerics::newton::{Ending, Minimised};

/// Forming of one triangle. Strains are logarithmic, flat → finished.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TriangleStrain {
    /// Larger principal strain ε1.
    pub major: f64,
    /// Smaller principal strain ε2.
    pub minor: f64,
    /// Direction of ε1 in the flat, a unit vector.
    pub major_direction: DVec2,
    /// Effective strain ε̄.
    pub effective: f64,
    /// Thickness after forming, mm: constant volume.
    pub thickness_mm: f64,
}

/// Newton steps of each stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Iterations {
    /// On the symmetric Dirichlet energy.
    pub symmetric_dirichlet: usize,
    /// On the plastic work.
    pub least_work: usize,
}

/// A flat skin. `points_mm` is usable only as far as `ending` and the strains allow.
#[derive(Debug, Clone, PartialEq)]
pub struct FlatSkin {
    /// Triangles by point, those of the skin.
    pub triangles: Vec<[u32; 3]>,
    /// Flat positions in the order of the skin's points, mm; outside face up. The centre of the points is the origin.
    pub points_mm: Vec<DVec2>,
    /// Closed boundaries by point, the longest first, the sheet to the left.
    pub boundaries: Vec<Vec<u32>>,
    /// One per triangle.
    pub strains: Vec<TriangleStrain>,
    /// Mean of what was minimised over the panel's area, no unit: plastic work over K and thickness without held edges, or the symmetric
    /// Dirichlet energy minus 4.
    pub energy: f64,
    /// Plastic work of forming without the route's extra, J; none for the symmetric Dirichlet energy.
    pub work_j: Option<f64>,
    /// Area of the panel, mm².
    pub panel_area_mm2: f64,
    /// Area of the flat, mm².
    pub flat_area_mm2: f64,
    /// How the last stage ended.
    pub ending: Ending,
    /// Newton steps.
    pub iterations: Iterations,
    /// Largest share by which a held edge misses its length.
    pub held_edge_error: f64,
    /// Triangles whose effective strain no sheet can take.
    pub beyond_any_sheet: Vec<u32>,
}

impl FlatSkin {
    /// Centre of a triangle in the flat, mm; the origin when there is no such triangle.
    #[must_use]
    pub fn triangle_centre_mm(&self, triangle: usize) -> DVec2 {
        let corners = self.triangles.get(triangle).copied().unwrap_or_default();
        corners.iter().filter_map(|i| self.points_mm.get(*i as usize)).sum::<DVec2>() / 3.0
    }
}

#[expect(clippy::too_many_arguments, reason = "gathers everything of one run")]
pub(super) fn report(
    panel: &Panel,
    settings: &FlattenSettings,
    flat: &[f64],
    far: [u32; 2],
    boundaries: Vec<Vec<u32>>,
    done: Minimised,
    iterations: Iterations,
    held: Option<&Held>,
) -> FlatSkin {
    let points_mm = put_upright(flat, far);
    let flat = &unknowns(&points_mm);
    let strains: Vec<TriangleStrain> =
        (0..panel.triangles.len()).map(|t| strain(panel.jacobian(t, flat), settings.thickness_mm)).collect();
    let beyond = strains.iter().enumerate().filter(|(_, s)| s.effective > BEYOND_ANY_SHEET).map(|(t, _)| t as u32);
    let (energy, work_j) = match settings.energy {
        Energy::SymmetricDirichlet => {
            (FlatEnergy { panel, density: SymmetricDirichlet, held: None }.of_triangles(flat), None)
        }
        Energy::LeastWork { flow, route } => {
            let of = |route| {
                let density = LeastWork::new(flow, route, SOFTENING);
                FlatEnergy { panel, density, held: None }.of_triangles(flat)
            };
            let joules = flow.strength_n_mm2 * settings.thickness_mm * panel.total_area_mm2 / 1000.0;
            (of(route), Some(joules * of(Route::LeastWork)))
        }
    };
    FlatSkin {
        triangles: panel.triangles.clone(),
        points_mm,
        boundaries,
        energy,
        work_j,
        panel_area_mm2: panel.total_area_mm2,
        flat_area_mm2: (0..panel.triangles.len()).map(|t| 0.5 * panel.double_area(t, flat)).sum(),
        ending: done.ending,
        iterations,
        held_edge_error: held.map_or(0.0, |held| held.largest_error(flat)),
        beyond_any_sheet: beyond.collect(),
        strains,
    }
}

fn strain(jacobian: [[f64; 2]; 2], thickness_mm: f64) -> TriangleStrain {
    let frame = Singular::of(jacobian);
    let [large, small] = frame.stretch;
    let (major, minor) = (-small.ln(), -large.ln());
    let [cos, sin] = frame.left;
    TriangleStrain {
        major,
        minor,
        // stretched most where the flat triangle is smallest: the second axis of U
        major_direction: DVec2::new(-sin, cos),
        effective: (4.0 / 3.0 * (major * major + major * minor + minor * minor)).sqrt(),
        thickness_mm: thickness_mm * large * small,
    }
}
