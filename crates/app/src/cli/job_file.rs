//! `packet`, `plan` and `price`: a job file worked out.

use super::figures::{self, json_text};
use super::stop::Stop;
use crate::documents::{self, Document};
use crate::failure::{Failure, Kind};
use crate::planning::Planning;
use clap::Args;
use job::file::Job;
use job::plan::{Plan, SectionPlan};
use packet::documents::{Desk, measure_page, measure_sheet};
use shop::{Price, PriceRange, ShopSettings};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

/// A job file, and the shop that makes it.
#[derive(Debug, Args)]
pub struct JobAndShop {
    /// Job file (TOML)
    job: PathBuf,
    /// The shop's settings (TOML) [default: shop.toml beside the job, or the invented demo shop]
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,
}

/// Whole job to packet.
#[derive(Debug, Args)]
pub struct Packet {
    #[command(flatten)]
    of: JobAndShop,
    /// Folder to write into
    #[arg(short, long, value_name = "DIR")]
    out: PathBuf,
    /// One section alone
    #[arg(long, value_name = "SECTION")]
    only: Option<String>,
}

/// Every figure.
#[derive(Debug, Args)]
pub struct PlanOf {
    #[command(flatten)]
    of: JobAndShop,
    /// Print JSON: every figure with its working
    #[arg(long)]
    json: bool,
}

/// The quote.
#[derive(Debug, Args)]
pub struct PriceOf {
    #[command(flatten)]
    of: JobAndShop,
    /// Print JSON
    #[arg(long)]
    json: bool,
}

struct Worked {
    job: Job,
    plan: Plan,
    planning: Planning,
}

fn worked(of: &JobAndShop) -> Result<Worked, Failure> {
    let job = read_job(&of.job)?;
    let planning = Planning::new(settings(of)?);
    let plan = planning.compute(&job);
    Ok(Worked { job, plan, planning })
}

/// Reads a job file.
///
/// # Errors
/// A file that cannot be read; every fault of the job, each on its line.
pub fn read_job(path: &Path) -> Result<Job, Failure> {
    let refused = |errors: job::JobErrors| Failure::bad_input(errors.to_string()).in_place(path.display());
    let mut job = job::read_toml(&read(path)?).map_err(refused)?;
    let beside = path.parent().unwrap_or(Path::new(""));
    job::take_meshes(&mut job, |file| mesh_bytes(&beside.join(file))).map_err(refused)?;
    Ok(job)
}

/// What stands in a mesh file that a job names.
fn mesh_bytes(path: &Path) -> Result<Vec<u8>, String> {
    let cannot = |error: std::io::Error| {
        format!("{} cannot be read: {error}; name a file that is there, counted from the job file", path.display())
    };
    let bytes = fs::metadata(path).map_err(cannot)?.len();
    if bytes > mesh::import::MOST_BYTES as u64 {
        return Err(format!("{} has {bytes} bytes; up to {} are read", path.display(), mesh::import::MOST_BYTES));
    }
    fs::read(path).map_err(cannot)
}

fn read(path: &Path) -> Result<String, Failure> {
    fs::read_to_string(path).map_err(|error| {
        let message = format!("{}: the file cannot be read: {error}", path.display());
        Failure::bad_input(message).hint("name a file that is there, in UTF-8")
    })
}

fn settings(of: &JobAndShop) -> Result<ShopSettings, Failure> {
    let beside = of.job.parent().unwrap_or(Path::new("")).join("shop.toml");
    let Some(path) = of.shop.clone().or_else(|| beside.is_file().then_some(beside)) else { return crate::demo::shop() };
    read_shop(&path)
}

/// Reads the shop's settings from a file.
///
/// # Errors
/// A file that cannot be read; a setting that cannot be accepted.
pub fn read_shop(path: &Path) -> Result<ShopSettings, Failure> {
    ShopSettings::read_toml(&read(path)?)
        .map_err(|error| Failure::bad_input(error.to_string()).in_place(path.display()))
}

/// Runs `soundmetal plan`.
pub fn plan(asked: &PlanOf) -> Result<(), Failure> {
    let worked = worked(&asked.of)?;
    if asked.json {
        figures::print(&json_text(&worked.plan)?)?;
    } else {
        figures::print(&plan_text(&worked))?;
    }
    documents::refuse_if_stopped(&worked.plan)
}

fn plan_text(worked: &Worked) -> String {
    let mut text = format!("{} {}\n", worked.plan.number, worked.plan.title);
    for section in &worked.plan.sections {
        let _ = write!(text, "\n{} ({})\n", section.title, section.id);
        section_text(section, &mut text);
    }
    for concern in &worked.plan.concerns {
        let _ = writeln!(text, "{:?}: {}; {}", concern.grade, concern.what, concern.what_to_do);
    }
    text
}

fn section_text(section: &SectionPlan, text: &mut String) {
    let mut line = |name: &str, words: &str| {
        if !words.is_empty() {
            let _ = writeln!(text, "  {name:<12} {words}");
        }
    };
    line("damage", &section.damage);
    line("cut", section.cut.as_ref().map_or("", |cut| cut.sentence.as_str()));
    for piece in &section.pieces {
        let blank = &piece.blank;
        let words = format!("{}: {} mm sheet, {:.0} mm² net", piece.name, blank.thickness_mm, blank.area_mm2);
        line("flat", &words);
    }
    line("joint", &section.joint.sentence);
    if let Some(price) = &section.price {
        line("price", &range_words(&price.net));
    }
    for concern in &section.concerns {
        line(&format!("{:?}", concern.grade).to_lowercase(), &format!("{}: {}", concern.place, concern.what));
    }
    for fault in &section.faults {
        line("put right", &format!("{}: {}", fault.field, fault.message));
    }
}

fn range_words(range: &PriceRange) -> String {
    format!("{} (nine in ten: {} to {})", range.middle, range.low, range.high)
}

/// Runs `soundmetal price`.
pub fn price(asked: &PriceOf) -> Result<(), Failure> {
    let worked = worked(&asked.of)?;
    if asked.json {
        let sections =
            worked.plan.sections.iter().map(|section| serde_json::json!({ "id": section.id, "price": section.price }));
        let value = serde_json::json!({
            "number": worked.plan.number,
            "price": worked.plan.price,
            "promise": worked.plan.promise,
            "sections": sections.collect::<Vec<_>>(),
        });
        figures::print(&json_text(&value)?)?;
    } else {
        figures::print(&price_text(&worked.plan))?;
    }
    documents::refuse_if_stopped(&worked.plan)
}

fn price_text(plan: &Plan) -> String {
    let mut text = format!("{} {}\n", plan.number, plan.title);
    for section in &plan.sections {
        let _ = writeln!(text, "\n{}", section.title);
        match &section.price {
            Some(price) => text.push_str(&lines(price)),
            None => text.push_str("  no price\n"),
        }
    }
    if let Some(price) = &plan.price {
        let _ = writeln!(text, "\nthe whole job, net      {}", range_words(&price.net));
        let _ = writeln!(text, "the whole job, with tax {}", range_words(&price.gross));
    }
    if let Some(promise) = &plan.promise {
        let _ = writeln!(
            text,
            "ordered on {}, it leaves the shop about {}, by {} at the latest",
            promise.counted_from, promise.likely, promise.latest
        );
    }
    text
}

fn lines(price: &Price) -> String {
    let mut text = String::new();
    for line in &price.lines {
        let _ = writeln!(text, "  {:<44} {:>18} {:>14}", line.what, line.quantity, line.amount.to_string());
    }
    let said = if price.said_on_the_phone { "  said on the phone, not measured\n" } else { "" };
    let _ = write!(text, "  net      {}\n  with tax {}\n{said}", range_words(&price.net), range_words(&price.gross));
    text
}

/// Runs `soundmetal packet`.
pub fn packet(asked: &Packet) -> Result<(), Failure> {
    let stop = Stop::listen()?;
    let worked = worked(&asked.of)?;
    let documents = documents::all(&worked.job, &worked.plan, &worked.planning.settings(), asked.only.as_deref())?;
    stop.check()?;
    let held = documents::refuse_if_stopped(&worked.plan);
    for document in &documents {
        stop.check()?;
        write(&asked.out, document)?;
    }
    figures::print(&format!("{} files written to {}\n", documents.len(), asked.out.display()))?;
    held.map_err(|failure| failure.hint("cut files were not written"))
}

/// Writes a file whole or not at all.
fn write(folder: &Path, document: &Document) -> Result<(), Failure> {
    let path = folder.join(&document.path);
    let failed =
        |error: std::io::Error| Failure::new(Kind::Machine, format!("{}: cannot be written: {error}", path.display()));
    fs::create_dir_all(path.parent().unwrap_or(folder)).map_err(failed)?;
    let mut part = path.clone().into_os_string();
    part.push(".part");
    fs::write(&part, &document.bytes).map_err(failed)?;
    fs::rename(&part, &path).map_err(failed)
}

/// What the customer is asked to measure.
#[derive(Debug, Args)]
pub struct Ask {
    #[command(flatten)]
    of: JobAndShop,
    /// File to write; its name ends in .pdf or .html
    #[arg(short, long, value_name = "FILE")]
    out: PathBuf,
    /// One section alone
    #[arg(long, value_name = "SECTION")]
    only: Option<String>,
}

/// Runs `soundmetal ask`.
pub fn ask(asked: &Ask) -> Result<(), Failure> {
    let ending = asked.out.extension().map(|ending| ending.to_ascii_lowercase()).unwrap_or_default();
    let media_type = match ending.to_str() {
        Some("pdf") => "application/pdf",
        Some("html") => "text/html",
        _ => {
            let message = format!("--out is {}; a name that ends in .pdf or .html is accepted", asked.out.display());
            return Err(Failure::bad_input(message));
        }
    };
    let worked = worked(&asked.of)?;
    let settings = worked.planning.settings();
    let desk = Desk { job: &worked.job, plan: &worked.plan, shop: &settings, day: documents::today()? };
    let only = asked.only.as_deref();
    let bytes = match media_type {
        "text/html" => measure_page(&desk, only)?.map(String::into_bytes),
        _ => measure_sheet(&desk, only)?,
    };
    let none = || {
        Failure::bad_input("nothing on this job is made from a pattern, so there is nothing to ask")
            .hint("name a section made from a pattern")
    };
    let name = asked.out.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let document = Document {
        path: name,
        title: "Measure sheet".into(),
        group: String::new(),
        media_type,
        bytes: bytes.ok_or_else(none)?,
    };
    write(asked.out.parent().unwrap_or(Path::new("")), &document)?;
    figures::print(&format!("{}\n", asked.out.display()))
}
