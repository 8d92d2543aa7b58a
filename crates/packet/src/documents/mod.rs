//! The packet: every paper and file that leaves the shop with a piece, written from the job and its plan.
//!
//! [`write_packet`] makes them all in memory; the caller writes them to a folder. [`preview`] has the same drawings as SVG
//! for a page. [`letter()`] sets a reply. Papers are blocks in order set by one template; words of people are data.
//!
//! **Invariant:** no clock; the day is passed in. The same job, plan, shop and day give the same bytes.
//! **Invariant:** an open stop keeps back every file that metal is cut from, and the papers say who may lift it.

mod assembly;
mod block;
mod cut_files;
mod desk;
mod fitting_sheet;
mod letter;
mod measure_sheet;
pub mod preview;
mod quote;
mod ring;
mod traveller;
mod try_on;
mod weld_order;
mod welding;

pub use desk::{Desk, Reader};
pub use fitting_sheet::NOT_YET;
pub use letter::letter;
pub use measure_sheet::{measure_page, measure_sheet};

use glam::DVec2;
use job::Job;
use job::file::Decision;
use job::plan::{PiecePlan, Plan, SectionPlan};
use shop::ShopSettings;

use crate::drawing::{Bounds, Drawing};
use crate::drawings;
use crate::error::PacketError;
use crate::pdf::Day;
use crate::{dxf, svg, tiles};

/// One file of a packet.
#[derive(Debug, Clone, PartialEq)]
pub struct PacketFile {
    /// Path in the packet, with `/` between folders: `arch/fitting-sheet.pdf`.
    pub name: String,
    /// Media type.
    pub media_type: &'static str,
    /// Contents.
    pub bytes: Vec<u8>,
    /// What it is, for a list.
    pub title: String,
}

impl PacketFile {
    fn pdf(name: String, bytes: Vec<u8>, title: String) -> Self {
        Self { name, media_type: "application/pdf", bytes, title }
    }

    fn dxf(name: String, text: String, title: String) -> Self {
        Self { name, media_type: "image/vnd.dxf", bytes: text.into_bytes(), title }
    }

    fn svg(name: String, text: String, title: String) -> Self {
        Self { name, media_type: "image/svg+xml", bytes: text.into_bytes(), title }
    }
}

/// Makes the whole packet, or that of one section.
///
/// `day` is printed and stamped; no clock is read. `only` is the id of a section.
///
/// # Errors
/// [`PacketError::NoSuchSection`]; otherwise what a drawing or the typesetter refuses.
pub fn write_packet(
    job: &Job,
    plan: &Plan,
    shop: &ShopSettings,
    day: Day,
    only: Option<&str>,
) -> Result<Vec<PacketFile>, PacketError> {
    let desk = Desk { job, plan, shop, day };
    // the folder of a section is named with dashes; both spellings find it
    let found =
        only.and_then(|id| plan.sections.iter().find(|section| section.id == id || section.id.replace('_', "-") == id));
    if let (Some(id), None) = (only, found) {
        let known = plan.sections.iter().map(|section| section.id.as_str()).collect::<Vec<_>>().join(", ");
        return Err(PacketError::NoSuchSection { id: id.to_owned(), known });
    }
    let only = found.map(|section| section.id.as_str());
    let mut files = Vec::new();
    if only.is_none() {
        files.push(PacketFile::pdf("quote.pdf".into(), quote::quote(&desk)?, "Quote".into()));
    }
    if let Some(bytes) = measure_sheet(&desk, only)? {
        files.push(PacketFile::pdf("measure-sheet.pdf".into(), bytes, "Measure sheet".into()));
    }
    for made in of_sections(&desk, only) {
        files.extend(made?);
    }
    crate::pdf::let_go();
    let bytes = serde_json::to_vec_pretty(plan).map_err(|error| PacketError::Json { reason: error.to_string() })?;
    files.push(PacketFile {
        name: "plan.json".into(),
        media_type: "application/json",
        bytes,
        title: "Every figure with its working".into(),
    });
    Ok(files)
}

/// Sections are written side by side and come back in their own order.
fn of_sections(desk: &Desk<'_>, only: Option<&str>) -> Vec<Result<Vec<PacketFile>, PacketError>> {
    std::thread::scope(|scope| {
        let wanted = desk.plan.sections.iter().filter(|section| only.is_none_or(|id| section.id == id));
        let running: Vec<_> = wanted.map(|section| (section, scope.spawn(|| of_section(desk, section)))).collect();
        let done = running.into_iter().map(|(section, thread)| {
            let reason = || format!("the papers of section '{}' could not be finished", section.id);
            thread
                .join()
                .unwrap_or_else(|_| Err(PacketError::Typeset { document: section.title.clone(), reason: reason() }))
        });
        done.collect()
    })
}

fn of_section(desk: &Desk<'_>, section: &SectionPlan) -> Result<Vec<PacketFile>, PacketError> {
    let folder = file_stem(&section.id);
    let path = |name: &str| format!("{folder}/{name}");
    if let Decision::Decline { .. } = section.decision {
        let bytes = letter(desk, "Our reply", &section.title, &section.reply)?;
        return Ok(vec![PacketFile::pdf(path("reply.pdf"), bytes, format!("Reply: {}", section.title))]);
    }
    if section.pieces.is_empty() {
        return Ok(Vec::new());
    }
    let mut files = vec![
        PacketFile::pdf(
            path("traveller.pdf"),
            traveller::traveller(desk, section)?,
            format!("Traveller: {}", section.title),
        ),
        PacketFile::pdf(
            path("fitting-sheet.pdf"),
            fitting_sheet::fitting_sheet(desk, section)?,
            format!("Fitting sheet: {}", section.title),
        ),
    ];
    if let Some(bytes) = try_on::try_on(desk, section)? {
        files.push(PacketFile::pdf(path("try-on.pdf"), bytes, format!("Try-on: {}", section.title)));
    }
    if let Some(bytes) = try_on::templates(desk, section)? {
        files.push(PacketFile::pdf(path("templates.pdf"), bytes, format!("Templates at 1:1: {}", section.title)));
    }
    for (shown, name, title) in [
        (drawings::Shown::Together, "assembly.svg", "as one"),
        (drawings::Shown::Apart, "assembly-apart.svg", "drawn apart"),
    ] {
        if let Some(drawing) = drawings::assembly(section, shown, 250.0, 170.0) {
            let title = format!("{} {title}", section.title);
            files.push(PacketFile::svg(path(name), svg::drawing(&drawing, 3.0)?, title));
        }
    }
    for piece in section.as_fitted() {
        files.extend(weld_map(desk, section, &piece, &path)?);
    }
    let stopped = desk.plan.open_stops(section).next().is_some();
    for piece in &section.pieces {
        let stem = file_stem(&piece.name);
        let view = drawings::isometric(piece, section.hand, 180.0, 120.0);
        files.push(PacketFile::svg(
            path(&format!("view-{stem}.svg")),
            svg::drawing(&view, 3.0)?,
            format!("{} finished", piece.name),
        ));
        for drawing in try_on::template_drawings(section, piece, false) {
            let name = format!("{}.dxf", file_stem(&drawing.name));
            files.push(PacketFile::dxf(path(&name), dxf::to_string(&drawing)?, drawing.description.clone()));
        }
        let mut shop_templates = drawings::skin_template_drawings(piece);
        shop_templates.extend(drawings::end_templates(piece));
        shop_templates.extend(drawings::radius_templates(piece));
        for drawing in &shop_templates {
            let name = format!("{}.dxf", file_stem(&drawing.name));
            files.push(PacketFile::dxf(path(&name), dxf::to_string(drawing)?, drawing.description.clone()));
        }
        let (buck, cards): (Vec<Drawing>, Vec<Drawing>) =
            shop_templates.into_iter().partition(|drawing| drawing.name.starts_with(drawings::BUCK));
        for (what, title, set) in [("templates", "Templates and forms", cards), ("buck", "Slices of the buck", buck)] {
            let title = format!("{title} of {} at 1:1 on {}", piece.name, desk.paper().name);
            files.extend(
                full_size(desk, &title, &set)?
                    .map(|bytes| PacketFile::pdf(path(&format!("{what}-{stem}.pdf")), bytes, title.clone())),
            );
        }
        let wraps = drawings::wrap_drawings(piece);
        for (number, drawing) in (1..).zip(&wraps) {
            let name = format!("wrap-{stem}-{number}.dxf");
            files.push(PacketFile::dxf(path(&name), dxf::to_string(drawing)?, drawing.description.clone()));
        }
        let title = format!("Papers to wrap round the tube: {} at 1:1 on {}", piece.name, desk.paper().name);
        files.extend(
            full_size(desk, &title, &wraps)?
                .map(|bytes| PacketFile::pdf(path(&format!("wrap-{stem}.pdf")), bytes, title.clone())),
        );
        if !stopped {
            files.extend(cut_files::cut_files(desk, section, piece)?);
        }
    }
    Ok(files)
}

/// The map of the welds of a piece: in space, and at 1:1 as print and for a plotter.
fn weld_map(
    desk: &Desk<'_>,
    section: &SectionPlan,
    piece: &PiecePlan,
    path: &impl Fn(&str) -> String,
) -> Result<Vec<PacketFile>, PacketError> {
    // by a joint that must not be made nothing is marked out
    if desk.plan.joint_stopped(section) {
        return Ok(Vec::new());
    }
    let Some(view) = drawings::weld_map_view(section, piece, section.hand, 250.0, 170.0) else { return Ok(Vec::new()) };
    let stem = file_stem(&piece.name);
    let title = format!("Welds of {} in their order", piece.name);
    let mut files =
        vec![PacketFile::svg(path(&format!("weld-map-{stem}.svg")), svg::drawing(&view, 3.0)?, title.clone())];
    let flat = drawings::weld_map_templates(section, piece, section.hand);
    for drawing in &flat {
        let name = format!("{}.dxf", file_stem(&drawing.name));
        files.push(PacketFile::dxf(path(&name), dxf::to_string(drawing)?, drawing.description.clone()));
    }
    let title = format!("{title}, at 1:1 on {}", desk.paper().name);
    let bytes = full_size(desk, &title, &flat)?;
    files.extend(bytes.map(|bytes| PacketFile::pdf(path(&format!("weld-map-{stem}.pdf")), bytes, title)));
    Ok(files)
}

/// Drawings at 1:1, each over as many sheets as it needs; `None` without any.
fn full_size(desk: &Desk<'_>, title: &str, drawings: &[Drawing]) -> Result<Option<Vec<u8>>, PacketError> {
    let mut pages = Vec::new();
    for drawing in drawings {
        pages.extend(tiles::split(drawing, tiles::TileOptions::on(desk.paper()))?.pages);
    }
    if pages.is_empty() {
        return Ok(None);
    }
    crate::pdf::pages(&format!("{title}, job {}", desk.job.number), Some(desk.day), &pages).map(Some)
}

/// A name made safe for a file: letters and digits in lower case, everything else one hyphen.
pub(crate) fn file_stem(name: &str) -> String {
    let mut out = String::new();
    for character in name.chars().flat_map(char::to_lowercase) {
        if character.is_ascii_alphanumeric() {
            out.push(character);
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
    }
    let stem = out.trim_end_matches('-');
    if stem.is_empty() { "unnamed".to_owned() } else { stem.to_owned() }
}

/// Width and height of the box round an outline, mm.
pub(crate) fn box_of(outline: &[DVec2]) -> [f64; 2] {
    Bounds::around(outline.iter().copied()).map_or([0.0; 2], |bounds| bounds.size().to_array())
}
