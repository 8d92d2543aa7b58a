//! The measure sheet: one page for each pattern, where the tape goes, blanks to fill in, photos to take.

mod html;

use std::collections::BTreeSet;

use job::file::{Measurement, Pattern, Role};
use job::plan::{PiecePlan, SectionPlan};

use super::block::{Block, heading, strong, words};
use super::desk::{Desk, PaperDraft, Reader};
use crate::drawing::Scale;
use crate::drawings::{self, Taped};
use crate::error::PacketError;

/// Sets the measure sheet; `only` takes the pattern of one section. `None` when no section comes from a pattern.
///
/// # Errors
/// As [`crate::pdf::typeset`].
pub fn measure_sheet(desk: &Desk<'_>, only: Option<&str>) -> Result<Option<Vec<u8>>, PacketError> {
    drafted(desk, only)?.map(|paper| desk.set(HEADING, SUBJECT, paper)).transpose()
}

/// The same as one HTML page with boxes to type in.
///
/// # Errors
/// As [`crate::Drawing::bounds`].
pub fn measure_page(desk: &Desk<'_>, only: Option<&str>) -> Result<Option<String>, PacketError> {
    drafted(desk, only)?.map(|paper| html::page(desk, HEADING, SUBJECT, &paper)).transpose()
}

/// Heights of the two pictures that tell versions apart: seen from outside, and cut through. Two versions fill one page.
const VERSION_SEEN_MM: f64 = 55.0;
const VERSION_CUT_MM: f64 = 42.0;
const HEADING: &str = "Measure sheet";
const SUBJECT: &str = "What to measure and photograph before any metal is cut";

fn drafted(desk: &Desk<'_>, only: Option<&str>) -> Result<Option<PaperDraft>, PacketError> {
    let mut paper = PaperDraft::default();
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    for section in desk.plan.sections.iter().filter(|section| only.is_none_or(|id| section.id == id)) {
        let id = desk.section(section).and_then(|section| section.from_pattern.as_ref()).map(|from| from.id.as_str());
        let pattern = id.and_then(|id| desk.job.patterns.iter().find(|pattern| pattern.id == id));
        let Some(pattern) = pattern.filter(|pattern| seen.insert(&pattern.id)) else { continue };
        if seen.len() > 1 {
            paper.put(Block::NewPage);
        }
        one(desk, section, pattern, &mut paper)?;
    }
    if seen.is_empty() {
        return Ok(None);
    }
    Ok(Some(paper))
}

fn one(desk: &Desk<'_>, section: &SectionPlan, pattern: &Pattern, paper: &mut PaperDraft) -> Result<(), PacketError> {
    let reader = desk.customer();
    paper.put(heading(1, pattern.title.clone()));
    let plain = if pattern.plain_words.is_empty() { String::new() } else { format!("{}. ", pattern.plain_words) };
    paper.put(words(format!(
        "{plain}For: {}. Left and right are as you sit in the driving seat facing forward.",
        section.title
    )));
    paper.put(words(
        "Use a steel tape, to the nearest millimetre or 1/32 inch. Write each reading as you find it; do not average.",
    ));
    versions(desk, section, pattern, paper)?;
    let version = desk
        .section(section)
        .and_then(|section| section.from_pattern.as_ref())
        .and_then(|from| from.version.as_deref());
    for (index, measurement) in pattern.measurements.iter().enumerate() {
        let letter = char::from(b'A'.saturating_add(u8::try_from(index).unwrap_or(25))).to_string();
        let nominal_mm = measurement.nominal_mm(pattern.unit, version);
        let picture = picture_of(section, measurement, nominal_mm, paper)?;
        paper.put(blanks(letter, pattern, measurement, picture, reader));
    }
    photos(paper);
    Ok(())
}

/// Versions to tick, each with how to tell and, where there are several, a picture of its own.
fn versions(
    desk: &Desk<'_>,
    section: &SectionPlan,
    pattern: &Pattern,
    paper: &mut PaperDraft,
) -> Result<(), PacketError> {
    for version in &pattern.versions {
        paper.put(Block::Ticks { items: vec![format!("{}: {}", version.title, version.how_to_tell)] });
        if pattern.versions.len() < 2 {
            continue;
        }
        let mut alone = pattern.alone(Some(&version.id));
        alone.sections.iter_mut().for_each(|own| own.hand = section.hand.or(own.hand));
        let made = job::plan(&alone, desk.shop);
        let Some(piece) = made.sections.first().and_then(|own| own.pieces.first()) else { continue };
        let hand = section.hand.or(pattern.hand);
        paper.picture(&drawings::isometric(piece, hand, 165.0, VERSION_SEEN_MM), "", VERSION_SEEN_MM)?;
        if let Some(shape) = piece.cross_sections.get(piece.cross_sections.len() / 2) {
            let view = drawings::cross_section_view(piece, shape, hand, Scale::FULL);
            paper.picture(&view, "", VERSION_CUT_MM)?;
        }
    }
    Ok(())
}

fn picture_of(
    section: &SectionPlan,
    measurement: &Measurement,
    nominal_mm: Option<f64>,
    paper: &mut PaperDraft,
) -> Result<Option<String>, PacketError> {
    let named = match &measurement.role {
        Role::LengthenAlongX { piece, .. }
        | Role::LengthenAlongY { piece, .. }
        | Role::LegWidth { piece, .. }
        | Role::RuledSize { piece, .. }
        | Role::RingDiameter { piece }
        | Role::RingHeight { piece, .. } => Some(piece),
        _ => None,
    };
    let by_name = |piece: &&PiecePlan| named.is_none_or(|name| piece.name_in_job() == name);
    let Some(piece) = section.pieces.iter().find(by_name).or_else(|| section.pieces.first()) else { return Ok(None) };
    let drawing =
        drawings::tape_picture(Taped { piece, measurement, nominal_mm, hand: section.hand, space_mm: [165.0, 62.0] });
    if drawing.items.is_empty() {
        return Ok(None);
    }
    paper.keep(&drawing).map(Some)
}

fn blanks(
    letter: String,
    pattern: &Pattern,
    measurement: &Measurement,
    picture: Option<String>,
    reader: Reader,
) -> Block {
    let usual = measurement
        .between_mm(pattern.unit)
        .map(|[low, high]| format!("usual: {} to {}", reader.write(low), reader.write(high)))
        .unwrap_or_default();
    Block::Blanks {
        letter,
        title: measurement.title.clone(),
        check: measurement.role == Role::Check,
        how: measurement.how.clone(),
        picture,
        readings: measurement.readings.clamp(1, 3),
        unit: reader.unit().to_owned(),
        usual,
    }
}

fn photos(paper: &mut PaperDraft) {
    paper.put(strong("Photos to send"));
    paper.put(Block::Ticks {
        items: vec![
            "the whole side of the vehicle, from far enough away to see both ends of the panel".to_owned(),
            "the damage from outside, square on, with the tape lying beside it".to_owned(),
            "the damage from behind, as far as a hand and a lamp can reach".to_owned(),
            "each end of the bad metal, close up, with a finger or a coin for size".to_owned(),
            "anything near it that must not get hot: wiring, trim, tank, glass".to_owned(),
        ],
    });
}
