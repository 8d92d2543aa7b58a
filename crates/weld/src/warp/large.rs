//! Where the welded panel comes to rest when it may buckle.

use super::WarpError;
use super::prepare::Prepared;
use super::state::State;
use crate::shell::large::{self, Ending, Settings};
use crate::shell::{Deflection, LinearModel, Loads, Shell, Supports};
use numerics::eigen::EigenSettings;
use numerics::{Cancel, Progress};

/// A shape at rest.
#[derive(Debug, Clone, Default)]
pub(super) struct Settled {
    /// Deflection of the points of the closed mesh along their normals, mm.
    pub normal_mm: Vec<f64>,
    /// Highest to lowest place.
    pub height_mm: f64,
    /// Root mean square over the area.
    pub rms_mm: f64,
    /// The full shrinkage was reached.
    pub settled: bool,
    /// How far the shape lies from the one on the other side, when that was looked for and is another that stays.
    pub other_side_mm: Option<f64>,
}

impl Prepared {
    /// The shape of a state: the panel's own crown, with the lowest mode at a share of the thickness as imperfection (`sign` chooses its side).
    pub(super) fn settled(
        &self,
        state: &State,
        sign: f64,
        progress: &Progress,
        cancel: &Cancel,
    ) -> Result<Settled, WarpError> {
        let (shell, supports, closed_of) = self.joined_shell(&state.joined);
        let mode = lowest(&shell, &supports, state, &progress.part(0.0, 0.2), cancel)?;
        let height_mm = sign * self.plan.settings.imperfection_t * self.plan.thickness_mm;
        let begun = mode.map_or_else(|| shell.clone(), |mode| large::with_imperfection(&shell, &mode, height_mm));
        let loads = Loads { inherent: state.strains.clone(), ..Loads::default() };
        let settings =
            Settings { first_step: FIRST_STEP, tolerance: TOLERANCE, most_steps: MOST_STEPS, ..Settings::default() };
        let bent = large::solve(&begun, &supports, &loads, &settings, &progress.part(0.2, 1.0), cancel)?;
        let normals = self.panel.closed.point_normals();
        let mut normal_mm = vec![0.0; normals.len()];
        for (moved, closed) in bent.displacement_mm.iter().zip(&closed_of) {
            normal_mm[*closed as usize] = moved.dot(normals[*closed as usize]);
        }
        let stable = bent.history.last().is_none_or(|last| last.stable);
        let settled = bent.ending == Ending::Converged && stable;
        let (height_mm, rms_mm) = height_and_rms(&self.panel.closed, &normal_mm);
        Ok(Settled { normal_mm, height_mm, rms_mm, settled, other_side_mm: None })
    }

    /// Looks for the shape on the other side of a settled one.
    pub(super) fn other_side(
        &self,
        state: &State,
        shape: &mut Settled,
        progress: &Progress,
        cancel: &Cancel,
    ) -> Result<(), WarpError> {
        let other = self.settled(state, -1.0, progress, cancel)?;
        if other.settled && shape.settled {
            let apart = other.normal_mm.iter().zip(&shape.normal_mm).map(|(a, b)| (a - b).abs());
            shape.other_side_mm = Some(apart.fold(0.0, f64::max));
        }
        Ok(())
    }
}

/// First step of the loads.
const FIRST_STEP: f64 = 0.2;
/// Steps after which a shape is told as a lower bound: a panel that is far beyond buckling jumps again and again.
const MOST_STEPS: usize = 60;
/// Balance: a warp height is wanted to a hundredth of a millimetre, not to the last digit.
const TOLERANCE: f64 = 1e-5;

fn lowest(
    shell: &Shell,
    supports: &Supports,
    state: &State,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<Option<Deflection>, WarpError> {
    let mut model = LinearModel::new(shell.clone(), supports, &progress.part(0.0, 0.5), cancel)?;
    let settings = EigenSettings { tolerance: 1e-3, ..EigenSettings::default() };
    let found = model.buckling_of_forces(&state.forces_n_mm, &settings, &progress.part(0.5, 1.0), cancel)?;
    Ok(found.modes.into_iter().next().map(|mode| mode.shape))
}

/// Highest to lowest, and root mean square weighted with the area at each point.
fn height_and_rms(skin: &mesh::Skin, normal_mm: &[f64]) -> (f64, f64) {
    let (mut low, mut high) = (0.0f64, 0.0f64);
    for value in normal_mm {
        (low, high) = (low.min(*value), high.max(*value));
    }
    let (mut sum, mut area) = (0.0, 0.0);
    for (triangle, corners) in skin.triangles.iter().enumerate() {
        let part = skin.double_area_normal(triangle).length();
        area += part;
        sum += corners.iter().map(|node| normal_mm[*node as usize].powi(2)).sum::<f64>() / 3.0 * part;
    }
    (high - low, if area > 0.0 { (sum / area).sqrt() } else { 0.0 })
}
