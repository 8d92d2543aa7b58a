//! What a flattening is asked for.

use super::FlattenError;
use serde::{Deserialize, Serialize};

/// Hollomon flow σ = K·εⁿ of the sheet (handbook S32).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Flow {
    /// K, N/mm².
    pub strength_n_mm2: f64,
    /// n.
    pub hardening_exponent: f64,
}

impl From<&handbook::materials::Properties> for Flow {
    fn from(metal: &handbook::materials::Properties) -> Self {
        Self { strength_n_mm2: metal.strength_coefficient_n_mm2, hardening_exponent: metal.hardening_exponent }
    }
}

/// How the blank is to be formed.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Route {
    /// Whatever takes least plastic work.
    #[default]
    LeastWork,
    /// Mostly stretch: shrinking is dear by `weight`.
    WheelOut {
        /// c.
        weight: f64,
    },
    /// Mostly shrink: stretching is dear by `weight`.
    GatherIn {
        /// c.
        weight: f64,
    },
}

/// Weight c of a route where the shop has set none (a shop setting, no source).
pub const ROUTE_WEIGHT: f64 = 10.0;

/// What is minimised.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Energy {
    /// Plastic work.
    LeastWork {
        /// The sheet's flow.
        flow: Flow,
        /// How it is to be formed.
        route: Route,
    },
    /// Symmetric Dirichlet energy, for comparison: no thickness, no metal.
    SymmetricDirichlet,
}

/// Where a flattening starts.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Start {
    /// From the panel itself: conformal, then as rigid as can be; a convex map where those turn triangles over.
    #[default]
    Automatic,
    /// The convex map onto a disc, which cannot turn a triangle over.
    Convex,
    /// Given flat positions, one per point, none of the triangles turned over, mm.
    Given(Vec<glam::DVec2>),
}

/// Settings of a flattening.
#[derive(Debug, Clone, PartialEq)]
pub struct FlattenSettings {
    /// What is minimised.
    pub energy: Energy,
    /// Sheet before forming, mm.
    pub thickness_mm: f64,
    /// Boundary edges that keep their length, by their two points.
    pub held_edges: Vec<[u32; 2]>,
    /// Stop when a step lowers the energy by less than this share of it.
    pub relative_fall: f64,
    /// Most Newton steps of each stage.
    pub iterations: usize,
    /// Where to start.
    pub start: Start,
}

impl FlattenSettings {
    /// Least work of a metal along a route, nothing held.
    #[must_use]
    pub fn least_work(flow: Flow, route: Route, thickness_mm: f64) -> Self {
        Self {
            energy: Energy::LeastWork { flow, route },
            thickness_mm,
            held_edges: Vec::new(),
            relative_fall: 1e-10,
            iterations: 300,
            start: Start::Automatic,
        }
    }

    /// The plain symmetric Dirichlet energy.
    #[must_use]
    pub fn symmetric_dirichlet() -> Self {
        Self {
            energy: Energy::SymmetricDirichlet,
            thickness_mm: 1.0,
            held_edges: Vec::new(),
            relative_fall: 1e-4,
            iterations: 300,
            start: Start::Automatic,
        }
    }
}

impl FlattenSettings {
    /// Checks the ranges.
    ///
    /// # Errors
    /// [`FlattenError::OutOfRange`] names the first setting outside its range; NaN never passes.
    pub fn check(&self) -> Result<(), FlattenError> {
        let range = |name, got: f64, range: std::ops::RangeInclusive<f64>, accepted| {
            if range.contains(&got) { Ok(()) } else { Err(FlattenError::OutOfRange { name, got, accepted }) }
        };
        range("thickness", self.thickness_mm, 0.2..=6.0, "0.2 to 6 mm")?;
        range("relative fall", self.relative_fall, 0.0..=0.1, "0 to 0.1")?;
        if let Energy::LeastWork { flow, route } = self.energy {
            range("strength coefficient K", flow.strength_n_mm2, 10.0..=3000.0, "10 to 3000 N/mm²")?;
            range("hardening exponent n", flow.hardening_exponent, 0.02..=0.6, "0.02 to 0.6")?;
            if let Route::WheelOut { weight } | Route::GatherIn { weight } = route {
                range("weight of the route", weight, 0.0..=1e6, "0 to a million")?;
            }
        }
        Ok(())
    }
}
