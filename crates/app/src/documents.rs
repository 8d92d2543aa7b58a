//! Everything that leaves with a job, as files: for the packet page, for the zip, for `soundmetal packet`.

use crate::failure::{Failure, Kind};
use handbook::{Concern, Grade, LiftedBy};
use job::file::{Decision, Job};
use job::plan::Plan;
use packet::documents::{PacketFile, write_packet};
use packet::pdf::Day;
use shop::ShopSettings;

/// One file of the packet.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// Path in the packet, parts joined by `/`; the name of the file last.
    pub path: String,
    /// What it is.
    pub title: String,
    /// Which part of the packet it belongs to.
    pub group: String,
    /// Media type.
    pub media_type: &'static str,
    /// The file.
    pub bytes: Vec<u8>,
}

impl Document {
    /// Kind of file in a word.
    pub fn kind(&self) -> &'static str {
        match self.media_type {
            "application/pdf" => "PDF",
            "image/svg+xml" => "SVG",
            "image/vnd.dxf" => "DXF",
            "application/json" => "JSON",
            _ => "text",
        }
    }
}

/// Makes every file of a job, or of one of its sections. What metal is cut from is left out while a stop is open.
///
/// # Errors
/// A section that is not on the card; a drawing or paper that cannot be made.
pub fn all(job: &Job, plan: &Plan, settings: &ShopSettings, only: Option<&str>) -> Result<Vec<Document>, Failure> {
    let files = write_packet(job, plan, settings, today()?, only)?;
    Ok(files.into_iter().map(|file| document(plan, file)).collect())
}

fn document(plan: &Plan, file: PacketFile) -> Document {
    let folder = file.name.split_once('/').map(|(folder, _)| folder);
    let section = folder.and_then(|folder| plan.sections.iter().find(|section| file_name(&section.id) == folder));
    let group = section.map_or_else(|| "The whole job".to_owned(), |section| section.title.clone());
    Document { path: file.name, title: file.title, group, media_type: file.media_type, bytes: file.bytes }
}

/// The day printed on every paper.
///
/// # Errors
/// A clock before the year 1 or beyond what a calendar holds.
pub fn today() -> Result<Day, Failure> {
    let date = jiff::ZonedDateTime::now().date();
    let part = |value: i8| u8::try_from(value).map_err(|_| Failure::machine("this machine's clock shows no date"));
    Ok(Day { year: i32::from(date.year()), month: part(date.month())?, day: part(date.day())? })
}

/// Stops of the whole plan that nobody has lifted.
pub fn open_stops(plan: &Plan) -> Vec<&Concern> {
    let made = plan.sections.iter().filter(|section| section.decision == Decision::Make);
    let concerns = made.flat_map(|section| &section.concerns).chain(&plan.concerns);
    concerns.filter(|concern| concern.grade == Grade::Stop).collect()
}

/// Refuses while something has not been worked out, or while a stop is open, saying who may lift it.
///
/// # Errors
/// The first fault or the first open stop.
pub fn refuse_if_stopped(plan: &Plan) -> Result<(), Failure> {
    if let Some(fault) = plan.all_faults().next() {
        return Err(Failure::bad_input(fault.message.clone()).at_field(&fault.field).in_place(&fault.field));
    }
    let stops = open_stops(plan);
    let Some(first) = stops.first() else { return Ok(()) };
    let who = match first.lifted_by {
        Some(LiftedBy::CompetentPerson) => "a competent person may lift it, with name, trade, date and reason",
        _ => "the shop may lift it, by name and with a reason",
    };
    let more = if stops.len() > 1 { format!(" (and {} more)", stops.len() - 1) } else { String::new() };
    let failure = Failure::new(Kind::DoNotMake, format!("stop at {}: {}{more}", first.place, first.what));
    Err(failure.hint(first.what_to_do.clone()).hint(who))
}

/// A name as a file name: letters, digits and hyphens.
pub fn file_name(name: &str) -> String {
    let safe = name.chars().map(|c| if c.is_alphanumeric() { c.to_ascii_lowercase() } else { '-' });
    let text: String = safe.collect();
    let parts: Vec<&str> = text.split('-').filter(|part| !part.is_empty()).collect();
    if parts.is_empty() { "piece".to_owned() } else { parts.join("-") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_becomes_a_file_name() {
        assert_eq!(file_name("Step-well tray / left ../"), "step-well-tray-left");
        assert_eq!(file_name("../.."), "piece");
    }
}
