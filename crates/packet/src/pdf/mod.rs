//! PDF through the typesetter, in exact millimetres, with the vendored typeface only and stable bytes.
//!
//! Content never becomes markup: a document is a template of this program (`assets/typ`), plain data that the template
//! reads as JSON, and drawings as SVG. A customer's name stands in the data and is printed as the characters it has.
//!
//! What a template finds: `/data.json`, and in it under `drawings` for each drawing its `path`, `width_mm`,
//! `height_mm` and `alt`; `house.typ` has the shared page layout and the functions that place drawings.

mod templates;
mod world;

use serde_json::{Value, json};
use typst::diag::SourceDiagnostic;
use typst::foundations::Smart;
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, Timestamp};

use crate::drawing::Drawing;
use crate::error::PacketError;
use crate::page::Page;
use crate::svg;
use world::Desk;

/// A calendar day, as printed and as stamped into the file. No clock is read anywhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Day {
    /// Year, for example 2026.
    pub year: i32,
    /// Month, 1 to 12.
    pub month: u8,
    /// Day of the month, 1 to 31.
    pub day: u8,
}

/// A picture for a document: an SVG of known size.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// Name under which the template finds it in `data.drawings`.
    pub name: String,
    /// Words for a reader who cannot see it.
    pub alt: String,
    /// Width on paper, mm.
    pub width_mm: f64,
    /// Height on paper, mm.
    pub height_mm: f64,
    /// The SVG text, one user unit a millimetre.
    pub svg: String,
}

impl Picture {
    /// Makes a picture of a drawing at the drawing's scale with `margin_mm` on paper around it.
    ///
    /// # Errors
    /// As [`Drawing::bounds`].
    pub fn of(drawing: &Drawing, margin_mm: f64) -> Result<Self, PacketError> {
        let size = drawing.bounds()?.size() * drawing.scale.ratio();
        Ok(Self {
            name: drawing.name.clone(),
            alt: drawing.description.clone(),
            width_mm: size.x + 2.0 * margin_mm,
            height_mm: size.y + 2.0 * margin_mm,
            svg: svg::drawing_for_print(drawing, margin_mm)?,
        })
    }

    /// Makes a picture of a whole sheet.
    ///
    /// # Errors
    /// As [`svg::page`].
    pub fn of_page(page: &Page) -> Result<Self, PacketError> {
        Ok(Self {
            name: page.name.clone(),
            alt: page.description.clone(),
            width_mm: page.size_mm.x,
            height_mm: page.size_mm.y,
            svg: svg::page_for_print(page)?,
        })
    }
}

/// A document to be typeset.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// Title, in the file's properties and in messages.
    pub title: String,
    /// Name of a template in `assets/typ`, without its ending.
    pub template: &'static str,
    /// The day stamped into the file; a fixed day of the year 2000 when absent.
    pub day: Option<Day>,
    /// Everything the template prints; must be a JSON object or null. The keys `title` and `drawings` are filled in here.
    pub data: Value,
    /// Its pictures.
    pub pictures: Vec<Picture>,
}

/// Typesets a document.
///
/// # Errors
/// [`PacketError::UnknownTemplate`]; [`PacketError::Typeset`] with the typesetter's own words, for example when the
/// data lack a field that the template prints.
pub fn typeset(document: &Document) -> Result<Vec<u8>, PacketError> {
    let desk = Desk::new(document)?;
    let stamp = world::datetime(document.day).ok_or_else(|| no_such_day(document))?;
    let done = typst::compile::<PagedDocument>(&desk).output.map_err(|faults| refused(document, &faults))?;
    let options = PdfOptions {
        ident: Smart::Custom(format!("soundmetal {} {}", document.template, document.title)),
        creator: Smart::Custom(Some("soundmetal".to_owned())),
        timestamp: Some(Timestamp::new_utc(stamp)),
        ..PdfOptions::default()
    };
    let bytes = typst_pdf::pdf(&done, &options).map_err(|faults| refused(document, &faults));
    // results of earlier documents are kept for the next one, but not for ever
    typst::comemo::evict(2);
    bytes
}

/// Lets go of everything the typesetter kept from earlier documents; call it when a run of documents is done.
pub fn let_go() {
    typst::comemo::evict(0);
}

/// Prints sheets as they are, one to a page of exactly their size.
///
/// # Errors
/// As [`svg::page`] and [`typeset`].
pub fn pages(title: &str, day: Option<Day>, pages: &[Page]) -> Result<Vec<u8>, PacketError> {
    if pages.is_empty() {
        return Err(PacketError::Empty { drawing: title.to_owned(), detail: ": no pages" });
    }
    let mut pictures = Vec::with_capacity(pages.len());
    for (index, page) in pages.iter().enumerate() {
        pictures.push(Picture { name: format!("page-{}", index + 1), ..Picture::of_page(page)? });
    }
    let names: Vec<&str> = pictures.iter().map(|picture| picture.name.as_str()).collect();
    let data = json!({ "pages": names });
    typeset(&Document { title: title.to_owned(), template: "pages", day, data, pictures })
}

fn no_such_day(document: &Document) -> PacketError {
    let day = document.day.map(|day| format!("{}-{:02}-{:02}", day.year, day.month, day.day)).unwrap_or_default();
    let reason = format!("there is no day {day} in the calendar");
    PacketError::Typeset { document: document.title.clone(), reason }
}

fn refused(document: &Document, faults: &[SourceDiagnostic]) -> PacketError {
    let lines: Vec<String> = faults
        .iter()
        .map(|fault| {
            let hints: Vec<&str> = fault.hints.iter().map(|hint| hint.v.as_str()).collect();
            if hints.is_empty() {
                fault.message.to_string()
            } else {
                format!("{} ({})", fault.message, hints.join("; "))
            }
        })
        .collect();
    PacketError::Typeset { document: document.title.clone(), reason: lines.join("\n") }
}
