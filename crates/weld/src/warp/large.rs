//! Where the welded panel comes to rest when it may buckle.
//!
//! The first order asked for is led there from rest, its shrinkage growing from nothing; orders that join the same pairs differ from it only
//! in what they lock in, and levels of the spread only in size: they are led on from the shape of the first, at once, which costs a few iterations, or
//! in steps. Where that finds no balance, the panel is led from rest again.

use super::WarpError;
use super::prepare::Prepared;
use super::state::State;
use crate::shell::large::{self, Bent, Ending, Led, Place, Settings};
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
    /// Share of the shrinkage under which it rests: 1 when settled.
    pub share: f64,
    /// How far the shape lies from the one on the other side, when that was looked for and is another that stays.
    pub other_side_mm: Option<f64>,
}

impl Settled {
    /// Lowest and highest deflection; none of a shape that does not rest.
    pub(super) fn extremes_mm(&self) -> Option<[f64; 2]> {
        let low = self.normal_mm.iter().copied().reduce(f64::min)?;
        let high = self.normal_mm.iter().copied().reduce(f64::max)?;
        self.settled.then_some([low, high])
    }
}

/// A joined panel with its imperfection, led from one state to the next.
#[derive(Debug)]
pub(super) struct Settler {
    /// Which pairs are joined.
    joined: Vec<bool>,
    led: Led,
    closed_of: Vec<u32>,
    at_rest: Place,
    /// The first shape that settled.
    first: Option<Place>,
    /// Orders led from rest in vain.
    in_vain: usize,
}

impl Prepared {
    /// The shape of a state: the panel's own crown, with the lowest mode of the first state that joins the same pairs at a share of the thickness
    /// as imperfection.
    pub(super) fn settled(
        &mut self,
        state: &State,
        progress: &Progress,
        cancel: &Cancel,
    ) -> Result<Settled, WarpError> {
        let known = self.kept.settlers.iter().position(|settler| settler.joined == state.joined);
        let at = match known {
            Some(at) => at,
            None => {
                let settler = self.settler(state, 1.0, cancel)?;
                self.kept.settlers.push(settler);
                self.kept.settlers.len() - 1
            }
        };
        let Some(settler) = self.kept.settlers.get_mut(at) else { return Ok(Settled::default()) };
        let Some(bent) = settler.lead(state, progress, cancel)? else { return Ok(Settled::default()) };
        let closed_of = settler.closed_of.clone();
        Ok(self.shape(&bent, &closed_of))
    }

    /// Looks for the shape on the other side of a settled one.
    pub(super) fn other_side(
        &mut self,
        state: &State,
        shape: &mut Settled,
        progress: &Progress,
        cancel: &Cancel,
    ) -> Result<(), WarpError> {
        if !shape.settled {
            return Ok(());
        }
        let mut settler = self.settler(state, -1.0, cancel)?;
        let Some(bent) = settler.lead(state, progress, cancel)? else { return Ok(()) };
        let other = self.shape(&bent, &settler.closed_of);
        if other.settled {
            let apart = other.normal_mm.iter().zip(&shape.normal_mm).map(|(a, b)| (a - b).abs());
            shape.other_side_mm = Some(apart.fold(0.0, f64::max));
        }
        Ok(())
    }

    /// The joined panel at rest; `sign` chooses the side of the imperfection.
    fn settler(&mut self, state: &State, sign: f64, cancel: &Cancel) -> Result<Settler, WarpError> {
        let (shell, supports, closed_of) = self.joined_shell(&state.joined);
        let height_mm = sign * self.plan.settings.imperfection_t * self.plan.thickness_mm;
        let mode = self.lowest(state, cancel)?;
        let begun = mode.map_or_else(|| shell.clone(), |mode| large::with_imperfection(&shell, &mode.shape, height_mm));
        let led = Led::new(&begun, &supports, cancel)?;
        let at_rest = led.place();
        Ok(Settler { joined: state.joined.clone(), led, closed_of, at_rest, first: None, in_vain: 0 })
    }

    fn shape(&self, bent: &Bent, closed_of: &[u32]) -> Settled {
        let normals = self.panel.closed.point_normals();
        let mut normal_mm = vec![0.0; normals.len()];
        for (moved, closed) in bent.displacement_mm.iter().zip(closed_of) {
            normal_mm[*closed as usize] = moved.dot(normals[*closed as usize]);
        }
        let (height_mm, rms_mm) = height_and_rms(&self.panel.closed, &normal_mm);
        Settled { normal_mm, height_mm, rms_mm, settled: stays(bent), share: bent.share, other_side_mm: None }
    }
}

impl Settler {
    /// The shape of a state; none when the panel was led from rest in vain so often that it is not tried again.
    fn lead(&mut self, state: &State, progress: &Progress, cancel: &Cancel) -> Result<Option<Bent>, WarpError> {
        if let Some(first) = &self.first {
            self.led.return_to(first);
            let quick = Settings { first_step: 1.0, most_iterations: ON_ITERATIONS, ..settings() };
            let bent = self.led.lead(&state.loads, &quick, &progress.part(0.0, 0.3), cancel)?;
            if stays(&bent) {
                return Ok(Some(bent));
            }
            self.led.return_to(first);
            let bent = self.led.lead(&state.loads, &settings(), &progress.part(0.3, 0.6), cancel)?;
            if stays(&bent) {
                return Ok(Some(bent));
            }
        }
        if self.in_vain >= MOST_IN_VAIN {
            return Ok(None);
        }
        self.led.return_to(&self.at_rest);
        let bent = self.led.lead(&state.loads, &settings(), &progress.part(0.3, 1.0), cancel)?;
        if !stays(&bent) {
            self.in_vain += 1;
        } else if self.first.is_none() {
            self.first = Some(self.led.place());
        }
        Ok(Some(bent))
    }
}

/// The whole shrinkage was reached, in a shape that stays when touched.
fn stays(bent: &Bent) -> bool {
    bent.ending == Ending::Converged && bent.history.last().is_none_or(|last| last.stable)
}

fn settings() -> Settings {
    Settings {
        first_step: FIRST_STEP,
        tolerance: TOLERANCE,
        most_steps: MOST_STEPS,
        most_iterations: MOST_ITERATIONS,
        ..Settings::default()
    }
}

/// First step of the loads.
const FIRST_STEP: f64 = 0.2;
/// Steps and Newton iterations after which no resting shape is told: a panel that is far beyond buckling jumps again and again.
const MOST_STEPS: usize = 120;
const MOST_ITERATIONS: usize = 800;
/// Orders that are led from rest in vain before no other is.
const MOST_IN_VAIN: usize = 2;
/// Newton iterations of the way on from another shape at once, before it is led on in steps.
const ON_ITERATIONS: usize = 40;
/// Balance: a warp height is wanted to a hundredth of a millimetre, not to the last digit.
const TOLERANCE: f64 = 1e-5;

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
