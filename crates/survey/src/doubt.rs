//! Which readings are likely misreadings, and of what kind.
//!
//! A profile, then a single reading, is left out, the surface fitted to the others, and the one left out compared with what they
//! foretell. The worst is set aside before the next is asked for, since one misreading pulls its neighbours under suspicion.
//! All this is done on a coarse grid; the surface that is handed on keeps every reading.

use crate::fit::{data, grid};
use crate::{Measured, Origin, Reading, SurveyError, concerns};
use handbook::Concern;
use numerics::spline::{self, Datum, Grid, Smoothing, SplineSurface};
use numerics::{Cancel, Progress};

/// Spans of the coarse grid for single readings, and for profiles, where a gross slip is looked for many times over.
const SPANS: usize = 12;
const PROFILE_SPANS: usize = 6;
/// A reading is off beyond so many reaches.
const REACHES: f64 = 3.0;
/// Most profiles and most single readings that are named.
const MOST_PROFILES: usize = 3;
const MOST_SINGLE: usize = 8;
/// Beyond so many readings each is only compared with a surface through all.
const MANY: usize = 20_000;
/// A change of the numbers explains a misreading when less than this share of the misfit is left.
const EXPLAINED: f64 = 0.2;

pub(crate) fn misreadings(
    measured: &Measured,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<Vec<Concern>, SurveyError> {
    let mut look = Look { measured, data: data(measured), grid: grid(measured, PROFILE_SPANS)?, cancel };
    let mut aside = vec![false; look.data.len()];
    progress.report(0.0, "comparing profiles");
    let mut concerns = look.profiles(&mut aside, &progress.part(0.0, 0.6))?;
    look.grid = grid(measured, SPANS)?;
    concerns.extend(look.single(&mut aside, &progress.part(0.6, 1.0))?);
    Ok(concerns)
}

struct Look<'a> {
    measured: &'a Measured,
    data: Vec<Datum>,
    grid: Grid,
    cancel: &'a Cancel,
}

/// A profile against what the others foretell.
struct Compared {
    profile: usize,
    /// Middle value of the differences over their reach: one misreading does not condemn its profile.
    reaches: f64,
    off_mm: f64,
    within_mm: f64,
    likely: String,
}

/// How a reading would read had it been written otherwise.
type Change<'a> = &'a dyn Fn(&Datum) -> Datum;

impl Look<'_> {
    /// Fits the readings that are `taken`; `None` when they are too few for a surface.
    fn surface(&self, taken: impl Fn(usize) -> bool) -> Result<Option<SplineSurface>, SurveyError> {
        let data: Vec<Datum> =
            self.data.iter().enumerate().filter(|(index, _)| taken(*index)).map(|(_, datum)| *datum).collect();
        match spline::fit(&data, self.grid, Smoothing::CrossValidation, &Progress::silent(), self.cancel) {
            Ok(surface) => Ok(Some(surface)),
            Err(spline::SplineError::TooFew { .. } | spline::SplineError::OnOneLine { .. }) => Ok(None),
            Err(error) => Err(error.into()),
        }
    }

    fn profiles(&self, aside: &mut [bool], progress: &Progress) -> Result<Vec<Concern>, SurveyError> {
        let count = self.measured.stations_mm.len();
        let mut concerns = Vec::new();
        // with fewer than four others there is nothing to tell a crown from a slip
        while concerns.len() < MOST_PROFILES && count >= concerns.len() + 5 {
            let mut worst: Option<Compared> = None;
            for profile in 0..count {
                progress.report(profile as f64 / count as f64, "comparing profiles");
                let compared = self.compare(profile, aside)?;
                let worse = |compared: &Compared| worst.as_ref().is_none_or(|worst| worst.reaches < compared.reaches);
                worst = compared.filter(worse).or(worst);
            }
            let Some(worst) = worst.filter(|worst| worst.reaches > REACHES) else { break };
            for (index, reading) in self.measured.readings.iter().enumerate() {
                aside[index] |= profile_of(reading) == Some(worst.profile);
            }
            let station = self.measured.stations_mm.get(worst.profile).copied().unwrap_or(f64::NAN);
            let place = format!("profile {} (station {station:.1} mm)", worst.profile + 1);
            concerns.push(concerns::profile_off(place, worst.off_mm, worst.within_mm, &worst.likely));
        }
        Ok(concerns)
    }

    fn compare(&self, profile: usize, aside: &[bool]) -> Result<Option<Compared>, SurveyError> {
        let own = |index: usize| self.measured.readings.get(index).and_then(profile_of) == Some(profile);
        let members: Vec<usize> = (0..self.data.len()).filter(|&index| own(index) && !aside[index]).collect();
        if members.len() < 2 {
            return Ok(None);
        }
        let Some(others) = self.surface(|index| !aside[index] && !own(index))? else { return Ok(None) };
        let typical =
            |values: &dyn Fn(&Datum) -> f64| middle(members.iter().map(|&index| values(&self.data[index]).abs()));
        let within = |datum: &Datum| 2.0 * datum.sigma.hypot(others.sigma(datum.at));
        let misses = |changed: &dyn Fn(&Datum) -> Datum| {
            typical(&|datum| (changed(datum).value - others.value(changed(datum).at)) / within(datum))
        };
        let reaches = misses(&|datum| *datum);
        let likely =
            if reaches > REACHES { self.likely_profile(&members, &others, reaches, &misses) } else { String::new() };
        let off_mm = typical(&|datum| datum.value - others.value(datum.at));
        Ok(Some(Compared { profile, reaches, off_mm, within_mm: typical(&within), likely }))
    }

    /// The change of a profile that explains it best, in words.
    fn likely_profile(
        &self,
        members: &[usize],
        others: &SplineSurface,
        reaches: f64,
        misses: &dyn Fn(Change<'_>) -> f64,
    ) -> String {
        let off = |&index: &usize| self.data[index].value - others.value(self.data[index].at);
        let shift = middle(members.iter().map(off));
        let across = members.iter().map(|&index| self.data[index].at[1]);
        let ends = across.clone().fold(f64::INFINITY, f64::min) + across.fold(f64::NEG_INFINITY, f64::max);
        let scaled = |factor: f64| move |datum: &Datum| Datum { value: factor * datum.value, ..*datum };
        let moved = move |datum: &Datum| Datum { value: datum.value - shift, ..*datum };
        let turned = |datum: &Datum| Datum { at: [datum.at[0], -datum.at[1]], ..*datum };
        let swapped = move |datum: &Datum| Datum { at: [datum.at[0], ends - datum.at[1]], ..*datum };
        let mut tries: Vec<(String, f64)> = vec![
            ("its heights were likely read in inches and written as millimetres".into(), misses(&scaled(25.4))),
            ("its heights were likely read in millimetres and written as inches".into(), misses(&scaled(1.0 / 25.4))),
            ("its heights likely have the wrong sign".into(), misses(&scaled(-1.0))),
            ("its heights are likely in centimetres".into(), misses(&scaled(10.0))),
            (
                format!("its datum likely lay {:.1} mm too {}", shift.abs(), if shift > 0.0 { "low" } else { "high" }),
                misses(&moved),
            ),
            ("its distances across likely have the wrong sign".into(), misses(&turned)),
            ("it was likely read from the other end".into(), misses(&swapped)),
        ];
        for (index, &station) in self.measured.stations_mm.iter().enumerate() {
            let placed = move |datum: &Datum| Datum { at: [station, datum.at[1]], ..*datum };
            tries.push((
                format!("it likely belongs to profile {} (station {station:.1} mm)", index + 1),
                misses(&placed),
            ));
        }
        let best = tries.into_iter().min_by(|a, b| a.1.total_cmp(&b.1));
        let explained = best.filter(|(_, left)| *left < EXPLAINED * reaches);
        explained.map_or_else(|| "no simple slip explains it".to_owned(), |(words, _)| words)
    }

    fn single(&self, aside: &mut [bool], progress: &Progress) -> Result<Vec<Concern>, SurveyError> {
        let mut found: Vec<usize> = Vec::new();
        let rounds = if self.data.len() > MANY { 1 } else { MOST_SINGLE };
        for round in 0..rounds {
            progress.report(round as f64 / rounds as f64, "looking for misreadings");
            let Some(surface) = self.surface(|index| !aside[index])? else { break };
            let suspects = self.suspects(&surface, aside);
            let wanted = if rounds == 1 { MOST_SINGLE } else { 1 };
            suspects.iter().take(wanted).for_each(|&index| aside[index] = true);
            found.extend(suspects.iter().take(wanted));
            if suspects.is_empty() {
                break;
            }
        }
        found.sort_unstable();
        let Some(surface) = self.surface(|index| !aside[index])? else { return Ok(Vec::new()) };
        Ok(found.iter().filter_map(|&index| self.off(index, &surface)).collect())
    }

    /// Readings that stand out from the scatter of all and from their own reach, the worst first.
    fn suspects(&self, surface: &SplineSurface, aside: &[bool]) -> Vec<usize> {
        let kept = (0..self.data.len()).filter(|&index| !aside[index]);
        // residuals and leverages stand in the order of the readings that were fitted
        let misses = surface.residuals().iter().zip(surface.leverages());
        let mut off: Vec<(usize, f64)> = kept
            .zip(misses)
            .map(|(index, (residual, leverage))| {
                let free = (1.0 - leverage).max(1e-3).sqrt();
                (index, (residual / (2.0 * self.data[index].sigma * free)).abs())
            })
            .collect();
        off.sort_by(|a, b| b.1.total_cmp(&a.1));
        // half of normal errors lie within 0.6745 σ, 0.337 reaches
        let usual = (off.get(off.len() / 2).map_or(0.0, |(_, reaches)| *reaches) / 0.337).max(1.0);
        off.into_iter().take_while(|(_, reaches)| *reaches > REACHES * usual).map(|(index, _)| index).collect()
    }

    fn off(&self, index: usize, surface: &SplineSurface) -> Option<Concern> {
        let (datum, reading) = (self.data.get(index)?, self.measured.readings.get(index)?);
        let expected = surface.value(datum.at);
        let within = 2.0 * datum.sigma.hypot(surface.sigma(datum.at));
        if (datum.value - expected).abs() <= REACHES * within {
            return None;
        }
        let likely = match reading.origin {
            Origin::Station { .. } => likely_single(datum.value, expected, within),
            Origin::Line(_) | Origin::Point(_) => "a stray point, or something that lay on the panel".to_owned(),
        };
        Some(concerns::reading_off(self.measured.place(reading), datum.value, expected, within, &likely))
    }
}

/// Middle value.
fn middle(values: impl Iterator<Item = f64>) -> f64 {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied().unwrap_or(0.0)
}

/// Profile of a reading, counted from 0.
fn profile_of(reading: &Reading) -> Option<usize> {
    match reading.origin {
        Origin::Station { profile, .. } => (profile as usize).checked_sub(1),
        Origin::Line(_) | Origin::Point(_) => None,
    }
}

/// The change of one height that explains it best, in words.
fn likely_single(height: f64, expected: f64, within: f64) -> String {
    let mut tries = vec![
        ("it was likely read in inches".to_owned(), height * 25.4),
        ("it likely has the wrong sign".to_owned(), -height),
        ("its decimal point is likely one place off".to_owned(), height * 10.0),
        ("its decimal point is likely one place off".to_owned(), height / 10.0),
    ];
    let transposed = transposed(height).into_iter();
    tries.extend(transposed.map(|value| (format!("two of its digits likely changed places ({value} mm)"), value)));
    let best = tries.into_iter().min_by(|a, b| (a.1 - expected).abs().total_cmp(&(b.1 - expected).abs()));
    let explained =
        best.filter(|(_, value)| (value - expected).abs() < within.max(EXPLAINED * (height - expected).abs()));
    explained.map_or_else(|| "no simple slip explains it".to_owned(), |(words, _)| words)
}

/// The number with each pair of neighbouring digits changed over, to a hundredth of a millimetre.
fn transposed(height: f64) -> Vec<f64> {
    let text = format!("{:.2}", height.abs());
    let digits: Vec<char> = text.trim_end_matches('0').chars().collect();
    let places: Vec<usize> = (0..digits.len()).filter(|&i| digits[i].is_ascii_digit()).collect();
    let changed = places.windows(2).filter_map(|pair| {
        let mut changed = digits.clone();
        changed.swap(pair[0], pair[1]);
        changed.iter().collect::<String>().parse::<f64>().ok()
    });
    changed.map(|value| value.copysign(height)).collect()
}
