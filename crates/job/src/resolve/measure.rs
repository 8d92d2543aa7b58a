//! Measurements: mean, reach, limits, check figures with their likely reasons.

mod check;

use super::{Corner, Reader, Source};
use crate::file::{Hand, Job, Measured, Measurement, Pattern, Role, Section};
use crate::plan::{MeasuredPlan, Origin};
use crate::read::unknown;
use check::{Checked, compare, scale_words};
use handbook::{Concern, Grade};
use std::collections::BTreeMap;
use units::format_mm;

/// A figure as used.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Value {
    /// Value.
    pub mm: f64,
    /// Reach.
    pub reach_mm: f64,
    /// Nominal of the pattern.
    pub nominal_mm: f64,
    /// Where it came from.
    pub origin: Origin,
}

/// All figures of a section.
#[derive(Debug, Clone, Default)]
pub struct Values {
    /// By measurement id, check figures left out.
    pub by_id: BTreeMap<String, Value>,
    /// As shown.
    pub plan: Vec<MeasuredPlan>,
    /// Doubts.
    pub concerns: Vec<Concern>,
    /// Something was only said on the telephone.
    pub said: bool,
    /// Hand said on the telephone.
    pub said_hand: Option<Hand>,
}

impl Values {
    /// The first figure with a role, with its measurement; a measured one before one that was said, before a nominal.
    #[must_use]
    pub fn role<'a>(&self, source: &Source<'a>, wanted: impl Fn(&Role) -> bool) -> Option<(&'a Measurement, Value)> {
        let all = source.pattern?.measurements.iter().filter(|measurement| wanted(&measurement.role));
        all.filter_map(|measurement| Some((measurement, *self.by_id.get(&measurement.id)?))).min_by_key(|(_, value)| {
            match value.origin {
                Origin::Measured => 0,
                Origin::SaidOnThePhone => 1,
                Origin::PatternNominal => 2,
            }
        })
    }
}

/// Reads every measurement of a section's pattern.
pub fn values(job: &Job, section: &Section, source: &Source<'_>, corner: Corner, reader: &mut Reader) -> Values {
    let mut values = Values { said_hand: source.said_hand, ..Values::default() };
    let path = format!("section.{}.measured", section.id);
    let Some(pattern) = source.pattern else {
        for id in section.measured.keys() {
            let what = "is measured, but the piece comes from no pattern; write the size into the piece";
            reader.fault(format!("{path}.{id}"), what);
        }
        return values;
    };
    for id in section.measured.keys().filter(|id| !pattern.measurements.iter().any(|m| m.id == **id)) {
        let known = pattern.measurements.iter().map(|measurement| measurement.id.as_str());
        reader.fault(format!("{path}.{id}"), unknown("measurement", id, known));
    }
    let said = said_ranges(section, pattern, reader);
    for measurement in &pattern.measurements {
        one(job, section, pattern, measurement, &said, corner, source, reader, &mut values);
    }
    if section.said.is_some()
        && !section.measured.is_empty()
        && values.plan.iter().all(|plan| plan.origin == Origin::Measured)
    {
        values.said = false;
    }
    values
}

#[expect(clippy::too_many_arguments, reason = "one measurement is one story")]
fn one(
    job: &Job,
    section: &Section,
    pattern: &Pattern,
    measurement: &Measurement,
    said: &BTreeMap<&str, [f64; 2]>,
    corner: Corner,
    source: &Source<'_>,
    reader: &mut Reader,
    values: &mut Values,
) {
    let known = Known::of(pattern, measurement, source, reader).following(pattern, measurement, values, reader);
    let field = format!("section.{}.measured.{}", section.id, measurement.id);
    let check = measurement.role == Role::Check;
    let value = if let Some(measured) = section.measured.get(&measurement.id) {
        let value = measured_value(&known, measured, &field, measurement, reader);
        if !check {
            known.refuse_outside(value.mm, &field, measurement, reader);
        }
        value
    } else if let Some(&[low, high]) = said.get(measurement.id.as_str()) {
        values.said = true;
        let mm = match corner {
            Corner::Low => low,
            Corner::Middle => 0.5 * (low + high),
            Corner::High => high,
        };
        Value { mm, reach_mm: 0.5 * (high - low), nominal_mm: known.nominal_mm, origin: Origin::SaidOnThePhone }
    } else {
        if section.said.is_some() {
            values.said = true;
        }
        if check {
            if section.said.is_none() {
                values.concerns.push(super::reader::concern(
                    "check-figure-missing",
                    Grade::Caution,
                    &reader.place,
                    [
                        format!("{} has not been measured", measurement.title),
                        "it sizes nothing, but proves that the pattern fits this vehicle".into(),
                        format!("ask for it: {}", measurement.how),
                    ],
                ));
            }
            return;
        }
        Value {
            mm: known.nominal_mm,
            reach_mm: known.reach_mm,
            nominal_mm: known.nominal_mm,
            origin: Origin::PatternNominal,
        }
    };
    let mut plan = MeasuredPlan {
        id: measurement.id.clone(),
        title: measurement.title.clone(),
        value_mm: value.mm,
        reach_mm: value.reach_mm,
        expected_mm: check.then_some(known.nominal_mm),
        agrees: None,
        origin: value.origin,
        likely_reasons: Vec::new(),
    };
    if check {
        let checked = Checked { job, pattern, measurement, known: &known, value, source };
        values.concerns.extend(compare(&checked, &mut plan, reader));
    } else {
        if value.origin == Origin::PatternNominal
            && section.said.is_none()
            && !sized_otherwise(section, pattern, measurement)
        {
            not_measured(measurement, value, reader, values);
        }
        values.by_id.insert(measurement.id.clone(), value);
    }
    values.plan.push(plan);
}

/// Is the size given by something else: an explicit stretch, the depth of the damage, or a sister measurement?
fn sized_otherwise(section: &Section, pattern: &Pattern, measurement: &Measurement) -> bool {
    let from = section.from_pattern.as_ref();
    match measurement.role {
        Role::RunStart => from.is_some_and(|from| from.from.is_some()),
        Role::RunLength => from.is_some_and(|from| from.to.is_some()),
        Role::CutHeight | Role::RustDepth => {
            let sister = |other: &&Measurement| {
                matches!(other.role, Role::CutHeight | Role::RustDepth) && section.measured.contains_key(&other.id)
            };
            section.damage.depth.is_some() || pattern.measurements.iter().any(|other| sister(&other))
        }
        _ => false,
    }
}

fn not_measured(measurement: &Measurement, value: Value, reader: &Reader, values: &mut Values) {
    values.concerns.push(super::reader::concern(
        &format!("not-measured-{}", measurement.id),
        Grade::Stop,
        &reader.place,
        [
            format!(
                "{} has not been measured; the pattern's own {} is used",
                measurement.title,
                format_mm(value.mm, 1)
            ),
            "a piece made to the pattern's own size may not cover the damage of this vehicle".into(),
            format!("ask for it: {}", measurement.how),
        ],
    ));
}

/// What the pattern knows about a measurement, mm.
struct Known {
    /// How much farther a figure may be off that follows a size which is itself only known so well.
    follows_reach_mm: f64,
    /// By how much the pattern's own figure was moved for the size that it follows.
    moved_mm: f64,
    nominal_mm: f64,
    between_mm: [f64; 2],
    reach_mm: f64,
}

impl Known {
    fn of(pattern: &Pattern, measurement: &Measurement, source: &Source<'_>, reader: &mut Reader) -> Self {
        let path = format!("pattern.{}.measurement.{}", pattern.id, measurement.id);
        reader.unit(pattern.unit);
        // a check figure is taken on the vehicle, which may be of another version than the piece
        let version =
            if measurement.role == Role::Check { source.for_version.or(source.version) } else { source.version };
        let in_version = version.and_then(|version| measurement.nominal_in.get(&version.id));
        let nominal = in_version.unwrap_or(&measurement.nominal);
        let [low, high] = &measurement.between;
        let known = Self {
            follows_reach_mm: 0.0,
            moved_mm: 0.0,
            nominal_mm: reader.positive(&format!("{path}.nominal"), nominal),
            between_mm: [
                reader.length(&format!("{path}.between.0"), low),
                reader.length(&format!("{path}.between.1"), high),
            ],
            reach_mm: reader.length(&format!("{path}.reach"), &measurement.reach),
        };
        if known.between_mm[0] > known.between_mm[1] {
            reader.fault(format!("{path}.between"), "the smallest comes first, then the largest");
        }
        known
    }

    /// A check figure that follows a size moves with it, and reaches as much further as the size does.
    fn following(self, pattern: &Pattern, measurement: &Measurement, values: &Values, reader: &mut Reader) -> Self {
        let Some(follows) = &measurement.follows else { return self };
        let path = format!("pattern.{}.measurement.{}.follows", pattern.id, measurement.id);
        if measurement.role != Role::Check {
            reader.fault(path, "is said of a figure that sizes the piece; only a check figure follows another");
            return self;
        }
        let Some(size) = values.by_id.get(&follows.measurement) else {
            let before = pattern.measurements.iter().take_while(|own| own.id != measurement.id);
            let known = before.filter(|own| own.role != Role::Check).map(|own| own.id.as_str());
            reader.fault(
                format!("{path}.measurement"),
                unknown("size that stands before it", &follows.measurement, known),
            );
            return self;
        };
        let per_mm = follows.way.per_mm();
        // the pattern's own size is what its own check figure was taken with
        let own_mm = if size.origin == Origin::PatternNominal { 0.0 } else { size.reach_mm };
        let moved_mm = per_mm * (size.mm - size.nominal_mm);
        let nominal_mm = self.nominal_mm + moved_mm;
        Self { nominal_mm, moved_mm, follows_reach_mm: per_mm.abs() * own_mm, ..self }
    }

    fn holds(&self, mm: f64) -> bool {
        (self.between_mm[0]..=self.between_mm[1]).contains(&mm)
    }

    /// A sizing figure outside what the pattern accepts is a fault at its field; a wrong scale is named.
    fn refuse_outside(&self, mm: f64, field: &str, measurement: &Measurement, reader: &mut Reader) {
        if mm.is_nan() || self.between_mm.iter().any(|limit| limit.is_nan()) || self.holds(mm) {
            return;
        }
        let mut message = format!(
            "{} is {}; this pattern accepts {} to {}",
            measurement.title,
            format_mm(mm, 1),
            format_mm(self.between_mm[0], 1),
            format_mm(self.between_mm[1], 1)
        );
        if let Some(words) = scale_words(mm, |scaled| self.holds(scaled)) {
            message.push_str(&format!(" ({words})"));
        }
        reader.fault(field, message);
    }
}

/// Most readings of one figure.
const MOST_READINGS: usize = 3;

fn measured_value(
    known: &Known,
    measured: &Measured,
    field: &str,
    measurement: &Measurement,
    reader: &mut Reader,
) -> Value {
    let nothing = Value { mm: f64::NAN, reach_mm: f64::NAN, nominal_mm: known.nominal_mm, origin: Origin::Measured };
    let count = measured.readings.len();
    if count == 0 || count > MOST_READINGS {
        reader.fault(
            format!("{field}.readings"),
            format!("there are {count}; one to {MOST_READINGS} readings are accepted"),
        );
        return nothing;
    }
    let readings: Vec<f64> = measured
        .readings
        .iter()
        .enumerate()
        .map(|(i, reading)| reader.measured(&format!("{field}.readings.{i}"), reading))
        .collect();
    let mean = readings.iter().sum::<f64>() / count as f64;
    let low = readings.iter().copied().fold(f64::INFINITY, f64::min);
    let high = readings.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let spread = high - low;
    if spread > 3.0 * known.reach_mm.max(1e-9) {
        reader.caution(
            &format!("readings-disagree-{}", measurement.id),
            [
                format!(
                    "the readings of {} run from {} to {}",
                    measurement.title,
                    format_mm(low, 1),
                    format_mm(high, 1)
                ),
                format!("one reading is good to {}", format_mm(known.reach_mm, 1)),
                "ask for it once more; the widest pair may be a slip of the tape".into(),
            ],
        );
    }
    Value { mm: mean, reach_mm: known.reach_mm.max(spread), ..nothing }
}

/// Ranges that the answers on the telephone stand for, by measurement, mm.
fn said_ranges<'a>(section: &Section, pattern: &'a Pattern, reader: &mut Reader) -> BTreeMap<&'a str, [f64; 2]> {
    let mut ranges = BTreeMap::new();
    let Some(said) = &section.said else { return ranges };
    let path = format!("section.{}.said.answers", section.id);
    for (question_id, answer_id) in &said.answers {
        let Some(question) = pattern.questions.iter().find(|question| question.id == *question_id) else {
            let known = pattern.questions.iter().map(|question| question.id.as_str());
            reader.fault(format!("{path}.{question_id}"), unknown("question", question_id, known));
            continue;
        };
        let Some(answer) = question.answers.iter().find(|answer| answer.id == *answer_id) else {
            let known = question.answers.iter().map(|answer| answer.id.as_str());
            reader.fault(format!("{path}.{question_id}"), unknown("answer", answer_id, known));
            continue;
        };
        reader.unit(pattern.unit);
        for (id, [low, high]) in &answer.means {
            let field = format!("pattern.{}.question.{}.answer.{}.means.{id}", pattern.id, question.id, answer.id);
            let range = [reader.length(&field, low), reader.length(&field, high)];
            if range[0] > range[1] {
                reader.fault(field, "the smallest comes first, then the largest");
            }
            ranges.insert(id.as_str(), range);
        }
    }
    ranges
}
