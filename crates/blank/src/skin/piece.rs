//! A skin as designed, and what the shop chooses for its development.

use super::error::SkinError;
use super::wheel::WheelCalibration;
use crate::flatten::shop_terms::GatherLimits;
use crate::flatten::{Flow, ROUTE_WEIGHT, Route};
use crate::{DevelopSettings, material_of};
use glam::DVec3;
use handbook::forming_limit::FormingLimit;
use mesh::Skin;
use section::{Face, MakeUp};
use serde::{Deserialize, Serialize};

/// One edge of a skin: from its corner along the outer boundary, the sheet to the left seen from outside, to the next edge's corner.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SkinEdge {
    /// "front edge".
    pub name: String,
    /// The corner where it starts; the nearest point of the boundary is taken. Mm.
    pub from_mm: DVec3,
    /// Make-ups, outward; empty for a plain edge. The skin's boundary is the edge line: the sharp outer corner of a flange, the tangent
    /// where a wrap or a hem starts. Stations are arc lengths along the finished edge from its corner.
    pub make_ups: Vec<MakeUp>,
    /// True when it keeps its length while the skin is formed (it is fitted to something that does not give).
    pub held: bool,
}

/// A round hole at a measured place of the skin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SkinHole {
    /// "aerial".
    pub name: String,
    /// Its middle, mm; the nearest point of the skin is taken.
    pub at_mm: DVec3,
    /// Finished diameter.
    pub diameter_mm: f64,
    /// Reach (±) of its place.
    pub reach_mm: f64,
    /// Half the play a bolt may have in it; `None` when nothing must line up.
    pub half_clearance_mm: Option<f64>,
}

/// A double-curved piece.
#[derive(Debug, Clone, PartialEq)]
pub struct SkinPiece {
    /// "dome corner".
    pub name: String,
    /// The surface, mm; triangles anticlockwise seen from outside.
    pub skin: Skin,
    /// Which face of the sheet the surface is.
    pub face: Face,
    /// Sheet.
    pub thickness_mm: f64,
    /// Material key of the handbook.
    pub material: String,
    /// Flow of the sheet; `None` takes the handbook's for the material.
    pub flow: Option<Flow>,
    /// How it is to be formed.
    pub route: Route,
    /// Edges in order round the skin.
    pub edges: Vec<SkinEdge>,
    /// Names of the holes that the surface itself has, each with a point near its rim or inside it; the others are numbered.
    pub hole_names: Vec<(String, DVec3)>,
    /// Round holes to be marked.
    pub holes: Vec<SkinHole>,
    /// Reach (±) of the surface: of its check figures, and of what is left on to trim where the settings take that from the reach.
    pub reach_mm: f64,
}

/// Choices for the development of skins. Defaults are shop settings without source unless said.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct SkinSettings {
    /// How far smoothing may move the cut line so that a person can follow it.
    pub outline_tolerance_mm: f64,
    /// Gap left where two made-up edges meet at a corner, for the weld.
    pub corner_gap_mm: f64,
    /// Gathering the shop takes on.
    pub gather: GatherLimits,
    /// Steps between the contours of raising, largest first choice last; the first that gives no more than `most_bands` is taken.
    pub band_steps: Vec<f64>,
    /// Most bands of the map on one side of zero.
    pub most_bands: usize,
    /// Trial strips of the shop; the nearest in metal and thickness is used.
    pub wheel: Vec<WheelCalibration>,
    /// c: how much dearer the other way of forming is on the routes `wheel-out` and `gather-in`.
    pub route_weight: f64,
    /// How far a seam keeps from corners and holes.
    pub seam_margin_mm: f64,
    /// Smallest radius of a seam in its surface that is welded and finished without trouble.
    pub seam_radius_mm: f64,
    /// Directions tried for a seam through the worst place.
    pub seam_directions: usize,
    /// Whether gently curved seams are tried beside straight ones.
    pub curved_seams: bool,
}

impl Default for SkinSettings {
    fn default() -> Self {
        Self {
            outline_tolerance_mm: 0.1,
            corner_gap_mm: 0.5,
            gather: GatherLimits::default(),
            band_steps: vec![0.0025, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2],
            most_bands: 6,
            wheel: Vec::new(),
            route_weight: ROUTE_WEIGHT,
            seam_margin_mm: 25.0,
            seam_radius_mm: 150.0,
            seam_directions: 8,
            curved_seams: true,
        }
    }
}

impl SkinSettings {
    /// Checks the ranges.
    ///
    /// # Errors
    /// [`SkinError::OutOfRange`] names the first.
    pub fn check(&self, develop: &DevelopSettings) -> Result<(), SkinError> {
        within("the outline tolerance", self.outline_tolerance_mm, 0.0, 5.0, "0 to 5 mm")?;
        within("the gap at a corner", self.corner_gap_mm, 0.01, 10.0, "0.01 to 10 mm")?;
        within("the sampling tolerance", develop.sampling_tolerance_mm, 1e-7, 1.0, "1e-7 to 1 mm")?;
        within("the pilot hole", develop.pilot_hole_mm, 0.5, 20.0, "0.5 to 20 mm")?;
        within("the gathering that is warned of", self.gather.caution, 0.0, 1.0, "0 to 1")?;
        within("the gathering that stops", self.gather.stop, self.gather.caution, 1.0, "the warning's share to 1")?;
        within("the weight of a route", self.route_weight, 0.1, 1e4, "0.1 to 10 000")?;
        within("the margin of a seam", self.seam_margin_mm, 0.0, 1000.0, "0 to 1000 mm")?;
        within("the radius of a seam", self.seam_radius_mm, 0.0, 1e5, "0 to 100 000 mm")?;
        within("the number of directions of a seam", self.seam_directions as f64, 1.0, 64.0, "1 to 64")?;
        within("the number of bands", self.most_bands as f64, 1.0, 50.0, "1 to 50")?;
        let mut before = 0.0;
        for step in &self.band_steps {
            within("a step of the bands", *step, before, 1.0, "above the step before it, up to 1,")?;
            within("a step of the bands", *step, 1e-5, 1.0, "0.00001 to 1")?;
            before = *step;
        }
        within("the number of steps of the bands", self.band_steps.len() as f64, 1.0, 50.0, "1 to 50")
    }
}

impl SkinPiece {
    /// Checks names and numbers; the surface is checked when it is flattened.
    ///
    /// # Errors
    /// [`SkinError`].
    pub fn check(&self) -> Result<(), SkinError> {
        within("the thickness", self.thickness_mm, 0.2, 6.0, "0.2 to 6 mm")?;
        within("the reach", self.reach_mm, 0.0, 100.0, "0 to 100 mm")?;
        if self.edges.is_empty() {
            return Err(SkinError::NoEdges);
        }
        for edge in &self.edges {
            let finite = if edge.from_mm.is_finite() { 0.0 } else { f64::NAN };
            within(&format!("a coordinate of the start of edge {}", edge.name), finite, 0.0, 0.0, "a finite number")?;
        }
        for hole in &self.holes {
            within(&format!("the diameter of {}", hole.name), hole.diameter_mm, 0.1, 2000.0, "0.1 to 2000 mm")?;
            within(&format!("the reach of {}", hole.name), hole.reach_mm, 0.0, 100.0, "0 to 100 mm")?;
            let finite = if hole.at_mm.is_finite() { 0.0 } else { f64::NAN };
            within(&format!("a coordinate of {}", hole.name), finite, 0.0, 0.0, "a finite number")?;
        }
        self.flow()?;
        // sheet that no forming limit is known for is refused before it is flattened
        self.limit().map(drop)
    }

    /// Flow of the sheet, given or the handbook's.
    ///
    /// # Errors
    /// [`SkinError::UnknownMaterial`].
    pub fn flow(&self) -> Result<Flow, SkinError> {
        self.flow.map_or_else(|| Ok(Flow::from(&self.metal()?.properties())), Ok)
    }

    /// Forming limit of the sheet (handbook S30, S31; borrowed for other metals than low-carbon steel).
    ///
    /// # Errors
    /// [`SkinError::UnknownMaterial`] when neither flow nor handbook is known; [`SkinError::Rule`] outside the formula's range.
    pub fn limit(&self) -> Result<FormingLimit, SkinError> {
        let metal = material_of(&self.material).into();
        Ok(FormingLimit::new(self.thickness_mm, self.flow()?.hardening_exponent, metal)?)
    }

    /// The surface in the middle of the sheet.
    #[must_use]
    pub fn middle(&self) -> Skin {
        match self.face {
            Face::Middle => self.skin.clone(),
            Face::Outside => self.skin.offset(-0.5 * self.thickness_mm),
            Face::Inside => self.skin.offset(0.5 * self.thickness_mm),
        }
    }

    fn metal(&self) -> Result<handbook::materials::Material, SkinError> {
        material_of(&self.material).ok_or_else(|| SkinError::UnknownMaterial { key: self.material.clone() })
    }
}

pub(super) fn within(what: &str, got: f64, min: f64, max: f64, accepted: &'static str) -> Result<(), SkinError> {
    if (min..=max).contains(&got) {
        Ok(())
    } else {
        Err(SkinError::OutOfRange { what: what.to_owned(), got, accepted })
    }
}
