//! Check figures: compared with the pattern, with the likely reasons in order when they are off.

use super::{Known, Value};
use crate::file::{Job, Measurement, Pattern};
use crate::plan::MeasuredPlan;
use crate::resolve::{Reader, Source};
use handbook::{Concern, Grade};
use units::format_mm;

/// Factors between units that people mix up, largest first, with the words for "too big" and "too small".
const SCALES: [(f64, &str, &str); 4] = [
    (304.8, "304.8 times too big: millimetres taken for feet?", "304.8 times too small: feet taken for millimetres?"),
    (25.4, "25.4 times too big: millimetres taken for inches?", "25.4 times too small: inches taken for millimetres?"),
    (
        10.0,
        "10 times too big: millimetres taken for centimetres?",
        "10 times too small: centimetres taken for millimetres?",
    ),
    (2.54, "2.54 times too big: centimetres taken for inches?", "2.54 times too small: inches taken for centimetres?"),
];

/// Says which mix-up of units would put a value right.
pub(super) fn scale_words(mm: f64, holds: impl Fn(f64) -> bool) -> Option<&'static str> {
    SCALES.iter().find_map(|(factor, big, small)| {
        if holds(mm / factor) {
            Some(*big)
        } else if holds(mm * factor) {
            Some(*small)
        } else {
            None
        }
    })
}

/// A check figure with everything that it is compared with.
#[derive(Clone, Copy)]
pub(super) struct Checked<'a> {
    pub(super) job: &'a Job,
    pub(super) pattern: &'a Pattern,
    pub(super) measurement: &'a Measurement,
    pub(super) known: &'a Known,
    pub(super) value: Value,
    pub(super) source: &'a Source<'a>,
}

impl Checked<'_> {
    /// How far the figure may be off: its own reach, and that of the size it follows.
    fn reach_mm(&self) -> f64 {
        self.value.reach_mm + self.known.follows_reach_mm
    }
}

/// Compares a check figure; one that is off by more than its reach gives a stop with its likely reasons.
pub(super) fn compare(checked: &Checked<'_>, plan: &mut MeasuredPlan, reader: &mut Reader) -> Option<Concern> {
    let Checked { measurement, known, value, .. } = *checked;
    if value.mm.is_nan() || known.nominal_mm.is_nan() {
        return None;
    }
    let off = value.mm - known.nominal_mm;
    let agrees = off.abs() <= checked.reach_mm() + 1e-9;
    plan.agrees = Some(agrees);
    if agrees {
        return None;
    }
    plan.likely_reasons = likely_reasons(checked, reader);
    Some(crate::resolve::reader::concern(
        &format!("check-figure-{}", measurement.id),
        Grade::Stop,
        &reader.place,
        [
            format!(
                "{} is {}, {} {}; they differ by {}, more than the reach of {}",
                measurement.title,
                format_mm(value.mm, 1),
                followed(checked)
                    .map_or_else(|| "the pattern says".to_owned(), |size| format!("{} asks for", size.title)),
                format_mm(known.nominal_mm, 1),
                format_mm(off.abs(), 1),
                format_mm(checked.reach_mm(), 1)
            ),
            format!("likely, in this order: {}", plan.likely_reasons.join("; ")),
            "ask again before metal is cut, or lift this with the reason".into(),
        ],
    ))
}

/// The measurement that a check figure follows.
fn followed<'a>(checked: &Checked<'a>) -> Option<&'a Measurement> {
    let follows = checked.measurement.follows.as_ref()?;
    checked.pattern.measurements.iter().find(|own| own.id == follows.measurement)
}

fn likely_reasons(checked: &Checked<'_>, reader: &mut Reader) -> Vec<String> {
    let Checked { job, pattern, measurement, known, value, source } = *checked;
    let near = |mm: f64, wanted: f64| (mm - wanted).abs() <= checked.reach_mm() + 1e-9;
    let mut reasons = Vec::new();
    let mut other_version = false;
    for version in &pattern.versions {
        if source.for_version.or(source.version).is_some_and(|ours| ours.id == version.id) {
            continue;
        }
        let id = &version.id;
        let nominal = measurement.nominal_in.get(id).unwrap_or(&measurement.nominal);
        let field = format!("pattern.{}.measurement.{}.nominal_in.{id}", pattern.id, measurement.id);
        let mm = reader.positive(&field, nominal) + known.moved_mm;
        if near(value.mm, mm) {
            other_version = true;
            reasons.insert(
                0,
                format!("another version: {} has {} ({})", version.title, format_mm(mm, 1), version.how_to_tell),
            );
        }
    }
    if !other_version && pattern.versions.len() > 1 {
        reasons.push("another version of this panel".into());
    }
    if pattern.hand.is_some() {
        reasons.push("measured on the other hand of the vehicle".into());
    }
    let mut units = Vec::new();
    if let Some(words) = scale_words(value.mm, |scaled| near(scaled, known.nominal_mm)) {
        units.push(format!("read in other units: {words}"));
    }
    if let Some(words) = slip_words(value.mm - known.nominal_mm, job) {
        units.push(words);
    }
    if let Some(first) = units.first().filter(|first| first.contains("times")) {
        reasons.insert(usize::from(other_version), first.clone());
        units.remove(0);
    }
    reasons.extend(units);
    if let Some(size) = followed(checked) {
        reasons.insert(0, format!("{} was read wrong, or this was: they do not belong to one piece", size.title));
    }
    reasons.push("the panel is bent, or has been repaired before".into());
    reasons
}

/// Slips of the tape: an eighth of an inch miscounted, or a tape started at 10 or 100 mm.
fn slip_words(off_mm: f64, job: &Job) -> Option<String> {
    const EIGHTH_MM: f64 = 3.175;
    const SAME_MM: f64 = 0.4;
    let eighths = (off_mm.abs() / EIGHTH_MM).round();
    let customer = job.customer.unit.unwrap_or(job.unit);
    if !customer.is_metric() && (1.0..=4.0).contains(&eighths) && (off_mm.abs() - eighths * EIGHTH_MM).abs() <= SAME_MM
    {
        return Some(format!("a slip of {eighths}/8 in on the tape"));
    }
    [10.0, 100.0]
        .into_iter()
        .find(|slip| customer.is_metric() && (off_mm.abs() - slip).abs() <= 1.0)
        .map(|slip| format!("the tape was started at {slip} mm"))
}
