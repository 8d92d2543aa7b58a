//! Which pattern, which version, which switches.

use super::Reader;
use crate::file::{Hand, Job, Pair, Pattern, Piece, Placed, Seam, Section, Version};
use crate::read::unknown;
use std::collections::BTreeSet;
use units::LengthUnit;

/// Where the geometry of a section comes from.
#[derive(Debug)]
pub struct Source<'a> {
    /// The pattern; `None` when the section describes its pieces itself.
    pub pattern: Option<&'a Pattern>,
    /// Its version.
    pub version: Option<&'a Version>,
    /// Version that it is to repair, cut down.
    pub for_version: Option<&'a Version>,
    /// Pieces.
    pub pieces: &'a [Piece],
    /// Pairs.
    pub pairs: &'a [Pair],
    /// Seams.
    pub seams: &'a [Seam],
    /// Places.
    pub places: &'a [Placed],
    /// Unit of bare numbers in the geometry.
    pub unit: LengthUnit,
    /// Path of the geometry in the file.
    pub path: String,
    /// Hand that the telephone answers say.
    pub said_hand: Option<Hand>,
    /// False when a pattern was named that is not there.
    pub known: bool,
    on: BTreeSet<&'a str>,
    without: Vec<&'a str>,
}

impl<'a> Source<'a> {
    /// Finds pattern, version and switches of a section.
    pub fn find(job: &'a Job, section: &'a Section, reader: &mut Reader) -> Self {
        let own = Self {
            pattern: None,
            version: None,
            for_version: None,
            pieces: &section.pieces,
            pairs: &section.pairs,
            seams: &section.seams,
            places: &section.places,
            unit: job.unit,
            path: format!("section.{}", section.id),
            said_hand: None,
            known: true,
            on: BTreeSet::new(),
            without: Vec::new(),
        };
        let Some(from) = &section.from_pattern else { return own };
        let path = format!("section.{}.from_pattern", section.id);
        let Some(pattern) = job.patterns.iter().find(|pattern| pattern.id == from.id) else {
            reader
                .fault(format!("{path}.id"), unknown("pattern", &from.id, job.patterns.iter().map(|p| p.id.as_str())));
            return Self { known: false, ..own };
        };
        let (said_version, said_hand) = said(section, pattern);
        let version = version(from.version.as_deref().or(said_version), pattern, &path, reader);
        let for_version = for_version(from.for_version.as_deref(), version, pattern, &path, reader);
        let mut on: BTreeSet<&str> =
            version.map(|version| version.on.iter().map(String::as_str).collect()).unwrap_or_default();
        let without = left_out(&from.without, pattern, &path, reader);
        for id in &without {
            on.remove(id);
        }
        Self {
            pattern: Some(pattern),
            version,
            for_version,
            pieces: &pattern.pieces,
            pairs: &pattern.pairs,
            seams: &pattern.seams,
            places: &pattern.places,
            unit: pattern.unit,
            path: format!("pattern.{}", pattern.id),
            said_hand,
            known: true,
            on,
            without,
        }
    }

    /// Is a part present under these switches?
    #[must_use]
    pub fn is_on(&self, when: Option<&str>, unless: Option<&str>) -> bool {
        when.is_none_or(|id| self.on.contains(id)) && unless.is_none_or(|id| !self.on.contains(id))
    }

    /// "wheel-arch edge, version 1953 to 1955, without the cut-out for the step lamp".
    #[must_use]
    pub fn words(&self) -> String {
        let Some(pattern) = self.pattern else { return String::new() };
        let mut words = format!("{} ({})", pattern.title, pattern.vehicle);
        if let Some(version) = self.version {
            words.push_str(&format!(", version {}", version.title));
        }
        for id in &self.without {
            let title =
                pattern.switches.iter().find(|switch| switch.id == *id).map_or(*id, |switch| switch.title.as_str());
            words.push_str(&format!(", without {title}"));
        }
        words
    }
}

fn version<'a>(asked: Option<&str>, pattern: &'a Pattern, path: &str, reader: &mut Reader) -> Option<&'a Version> {
    let Some(id) = asked else { return first_version(pattern, reader) };
    let found = pattern.versions.iter().find(|version| version.id == id);
    if found.is_none() {
        reader.fault(format!("{path}.version"), unknown("version", id, pattern.versions.iter().map(|v| v.id.as_str())));
    }
    found
}

fn for_version<'a>(
    asked: Option<&str>,
    made_for: Option<&Version>,
    pattern: &'a Pattern,
    path: &str,
    reader: &mut Reader,
) -> Option<&'a Version> {
    let id = asked?;
    let field = format!("{path}.for_version");
    let Some(found) = pattern.versions.iter().find(|version| version.id == id) else {
        reader.fault(field, unknown("version", id, pattern.versions.iter().map(|v| v.id.as_str())));
        return None;
    };
    if made_for.is_some_and(|own| own.id == found.id) {
        reader.fault(field, format!("is \"{id}\", the version that the piece is made for; leave it out"));
        return None;
    }
    Some(found)
}

/// The usual version where none was said: never in silence where there are others.
fn first_version<'a>(pattern: &'a Pattern, reader: &mut Reader) -> Option<&'a Version> {
    let (first, others) = pattern.versions.split_first()?;
    if !others.is_empty() {
        let told = pattern.versions.iter().map(|version| format!("{}: {}", version.title, version.how_to_tell));
        reader.caution(
            "version-not-said",
            [
                format!("the version was not said; {} is taken", first.title),
                "versions of this panel differ in shape, edge or openings".into(),
                format!("ask which it is ({}), and write it down", told.collect::<Vec<_>>().join("; ")),
            ],
        );
    }
    Some(first)
}

fn left_out<'a>(without: &[String], pattern: &'a Pattern, path: &str, reader: &mut Reader) -> Vec<&'a str> {
    let mut out = Vec::new();
    for id in without {
        match pattern.switches.iter().find(|switch| switch.id == *id) {
            None => reader.fault(
                format!("{path}.without"),
                unknown("switch", id, pattern.switches.iter().map(|switch| switch.id.as_str())),
            ),
            Some(switch) if !switch.may_be_left_out => reader.fault(
                format!("{path}.without"),
                format!("\"{}\" may not be left out of this pattern; choose another version", switch.title),
            ),
            Some(switch) => out.push(switch.id.as_str()),
        }
    }
    out
}

/// Version and hand that the answers on the telephone say.
fn said<'a>(section: &Section, pattern: &'a Pattern) -> (Option<&'a str>, Option<Hand>) {
    let Some(said) = &section.said else { return (None, None) };
    let answers = pattern.questions.iter().filter_map(|question| {
        let id = said.answers.get(&question.id)?;
        question.answers.iter().find(|answer| answer.id == *id)
    });
    answers.fold((None, None), |(version, hand), answer| (version.or(answer.version.as_deref()), hand.or(answer.hand)))
}
