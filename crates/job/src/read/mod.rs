//! Reading and writing the job file.
//!
//! TOML and JSON carry the same model. A file is refused with *all* its faults, each with the path of its field, its line
//! and what would be accepted; unknown keys are refused with the nearest known one. Dimensions keep the text as written,
//! so a file that is read and written again says the same.

mod collect;
mod hand;
mod lines;
mod meshes;
mod shape;

pub use hand::hand_from_words;
pub use meshes::take_meshes;
pub use shape::shape_faults;
pub(crate) use shape::{name as piece_name, openings as piece_openings, sheet as piece_sheet, unknown};

use crate::file::{Job, Pattern};
use serde::de::DeserializeOwned;

/// The format this program reads.
pub const FORMAT: u32 = 1;
/// Most sections of a job.
pub const MOST_SECTIONS: usize = 200;
/// Largest job file.
pub const LARGEST_FILE_BYTES: usize = 50 * 1024 * 1024;
/// Most telephone questions of a pattern.
pub const MOST_QUESTIONS: usize = 4;

/// One fault of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileFault {
    /// Path of the field ("section.arch.measured.height.readings").
    pub field: String,
    /// Line in the file, from 1, where it is known.
    pub line: Option<usize>,
    /// What is wrong and what would be accepted.
    pub message: String,
}

impl std::fmt::Display for FileFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if let Some(line) = self.line {
            write!(f, "line {line}, ")?;
        }
        if self.field.is_empty() { f.write_str(&self.message) } else { write!(f, "{}: {}", self.field, self.message) }
    }
}

/// Every fault found in a file; never empty.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
pub struct JobErrors(pub Vec<FileFault>);

impl JobErrors {
    fn one(field: &str, line: Option<usize>, message: impl Into<String>) -> Self {
        Self(vec![FileFault { field: field.into(), line, message: message.into() }])
    }
}

/// Reads a job from TOML.
///
/// # Errors
/// [`JobErrors`] with every fault: no TOML, unknown keys, wrong kinds, dimensions that cannot be read, a format this
/// program does not know, more than 200 sections, and what [`shape_faults`] finds.
pub fn read_toml(text: &str) -> Result<Job, JobErrors> {
    let (job, lines) = read_model::<Job>(text, hand::said_in_full)?;
    checked(job, |field| lines.of_field(field))
}

/// Reads a pattern of the shelf from TOML, alone.
///
/// # Errors
/// As [`read_toml`].
pub fn read_pattern_toml(text: &str) -> Result<Pattern, JobErrors> {
    let (pattern, lines) = read_model::<Pattern>(text, |_| Vec::new())?;
    let faults = shape::pattern_faults(&pattern, "");
    if faults.is_empty() { Ok(pattern) } else { Err(with_lines(faults, |field| lines.of_field(field))) }
}

/// Reads a job from JSON.
///
/// # Errors
/// As [`read_toml`], without lines.
pub fn read_json(text: &str) -> Result<Job, JobErrors> {
    size(text)?;
    let value: serde_json::Value =
        serde_json::from_str(text).map_err(|error| JobErrors::one("", Some(error.line()), error.to_string()))?;
    let mut value = toml::Value::try_from(without_nulls(value))
        .map_err(|error| JobErrors::one("", None, format!("this JSON is no job: {error}")))?;
    let said = hand::said_in_full(&mut value);
    let job = modelled::<Job>(value, said).map_err(|faults| with_lines(faults, |_| None))?;
    checked(job, |_| None)
}

/// Writes a job as TOML; dimensions as they were written.
///
/// # Errors
/// [`JobErrors`] when a value has no TOML form.
pub fn write_toml(job: &Job) -> Result<String, JobErrors> {
    toml::to_string_pretty(job).map_err(|error| JobErrors::one("", None, error.to_string()))
}

/// Writes a pattern as TOML.
///
/// # Errors
/// As [`write_toml`].
pub fn write_pattern_toml(pattern: &Pattern) -> Result<String, JobErrors> {
    toml::to_string_pretty(pattern).map_err(|error| JobErrors::one("", None, error.to_string()))
}

/// Writes a job as JSON.
///
/// # Errors
/// [`JobErrors`] when a value has no JSON form.
pub fn write_json(job: &Job) -> Result<String, JobErrors> {
    serde_json::to_string_pretty(job).map_err(|error| JobErrors::one("", None, error.to_string()))
}

/// The JSON Schema of the job file.
#[must_use]
pub fn schema() -> serde_json::Value {
    schemars::schema_for!(Job).to_value()
}

fn size(text: &str) -> Result<(), JobErrors> {
    if text.len() <= LARGEST_FILE_BYTES {
        return Ok(());
    }
    let message = format!("the file has {} bytes; up to {LARGEST_FILE_BYTES} (50 MiB) are read", text.len());
    Err(JobErrors::one("", None, message))
}

/// Reads a model from TOML; `first` puts the value right before it is read, and returns what it cannot put right.
fn read_model<T: DeserializeOwned>(
    text: &str,
    first: impl Fn(&mut toml::Value) -> Vec<crate::plan::Fault>,
) -> Result<(T, lines::Lines), JobErrors> {
    size(text)?;
    let mut value: toml::Value = toml::from_str(text).map_err(|error| {
        let line = error.span().map(|span| lines::line_at(text, span.start));
        JobErrors::one("", line, format!("this is no TOML: {}", error.message()))
    })?;
    let lines = lines::Lines::new(text, &value);
    let said = first(&mut value);
    let model = modelled::<T>(value, said).map_err(|faults| with_lines(faults, |field| lines.of_field(field)))?;
    Ok((model, lines))
}

/// The model, unless faults are known already or are found in it; all of them together.
fn modelled<T: DeserializeOwned>(
    value: toml::Value,
    mut known: Vec<crate::plan::Fault>,
) -> Result<T, Vec<crate::plan::Fault>> {
    match collect::model::<T>(value) {
        Ok(model) if known.is_empty() => Ok(model),
        Ok(_) => Err(known),
        Err(found) => {
            known.extend(found);
            Err(known)
        }
    }
}

fn checked(job: Job, line: impl Fn(&str) -> Option<usize>) -> Result<Job, JobErrors> {
    let faults = shape_faults(&job);
    if faults.is_empty() { Ok(job) } else { Err(with_lines(faults, line)) }
}

fn with_lines(faults: Vec<crate::plan::Fault>, line: impl Fn(&str) -> Option<usize>) -> JobErrors {
    let with_line =
        |fault: crate::plan::Fault| FileFault { line: line(&fault.field), field: fault.field, message: fault.message };
    JobErrors(faults.into_iter().map(with_line).collect())
}

/// TOML has no null: a key whose value is null is absent.
fn without_nulls(value: serde_json::Value) -> serde_json::Value {
    match value {
        serde_json::Value::Object(map) => serde_json::Value::Object(
            map.into_iter()
                .filter(|(_, value)| !value.is_null())
                .map(|(key, value)| (key, without_nulls(value)))
                .collect(),
        ),
        serde_json::Value::Array(list) => serde_json::Value::Array(list.into_iter().map(without_nulls).collect()),
        other => other,
    }
}
