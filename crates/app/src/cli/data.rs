//! `backup`, `restore`, `export` and `import`: the shop's data.

use super::DataDir;
use super::figures;
use super::job_file::read_job;
use super::stop::Stop;
use crate::failure::{Failure, Kind};
use crate::shop_data::ShopData;
use clap::Args;
use job::file::Job;
use std::path::{Path, PathBuf};
use store::{Contents, Existing, StoreError};

/// Copies the data.
#[derive(Debug, Args)]
pub struct Backup {
    /// File to write
    file: PathBuf,
    /// Replace the file when it is there
    #[arg(long)]
    replace: bool,
    #[command(flatten)]
    data: DataDir,
}

/// Puts a backup back.
#[derive(Debug, Args)]
pub struct Restore {
    /// File that backup wrote
    file: PathBuf,
    #[command(flatten)]
    data: DataDir,
}

/// Writes a job file.
#[derive(Debug, Args)]
pub struct Export {
    /// Number of the job ("26-014")
    job: String,
    /// File to write [default: stdout]
    #[arg(short, long, value_name = "FILE")]
    out: Option<PathBuf>,
    #[command(flatten)]
    data: DataDir,
}

/// Takes a job file.
#[derive(Debug, Args)]
pub struct Import {
    /// Job file (TOML)
    file: PathBuf,
    /// Number it gets here [default: the one in the file]
    #[arg(long, value_name = "NUMBER")]
    number: Option<String>,
    #[command(flatten)]
    data: DataDir,
}

fn contents_words(contents: &Contents) -> String {
    format!(
        "{} job cards, {} patterns, {} revisions, {} photos, {} bytes",
        contents.jobs, contents.patterns, contents.revisions, contents.photos, contents.size_bytes
    )
}

/// Runs `soundmetal backup`.
pub fn backup(asked: &Backup) -> Result<(), Failure> {
    let stop = Stop::listen()?;
    let existing = if asked.replace { Existing::Replace } else { Existing::Refuse };
    let contents = store::backup(&asked.data.folder()?, &asked.file, existing, |_, _| !stop.asked())?;
    figures::print(&format!("{}: {}\n", asked.file.display(), contents_words(&contents)))
}

/// A damaged file is here the backup, never the shop's own data, which is not touched.
fn not_a_backup(file: &Path) -> impl Fn(StoreError) -> Failure {
    move |error| match error {
        StoreError::Damaged { detail, .. } => {
            Failure::bad_input(format!("{} is no backup that can be used: {detail}", file.display()))
                .hint("nothing was changed; name a file that `soundmetal backup` wrote")
        }
        other => other.into(),
    }
}

/// Runs `soundmetal restore`.
pub fn restore(asked: &Restore) -> Result<(), Failure> {
    let restored = store::restore(&asked.data.folder()?, &asked.file, jiff::Timestamp::now())
        .map_err(not_a_backup(&asked.file))?;
    let kept = restored.kept.map(|kept| format!("; what was there is kept in {}", kept.display())).unwrap_or_default();
    figures::print(&format!("restored {}{kept}\n", contents_words(&restored.contents)))
}

/// Runs `soundmetal export`.
pub fn export(asked: &Export) -> Result<(), Failure> {
    let data = ShopData::open(asked.data.folder()?)?;
    let id = data.store.job_with_number(&asked.job)?;
    let id = id.ok_or_else(|| {
        Failure::not_found(format!("no job card has the number {:?}", asked.job)).hint("the rack shows the numbers")
    })?;
    let text = job::write_toml(&data.card(id)?.job).map_err(|errors| Failure::bad_input(errors.to_string()))?;
    match &asked.out {
        None => figures::print(&text),
        Some(path) => {
            let failed = |error| Failure::new(Kind::Machine, format!("{}: cannot be written: {error}", path.display()));
            std::fs::write(path, text).map_err(failed)?;
            figures::print(&format!("{}\n", path.display()))
        }
    }
}

/// What to say of a file that holds a shop's settings and no job.
fn shop_file(file: &Path) -> Option<Failure> {
    let text = std::fs::read_to_string(file).ok()?;
    shop::ShopSettings::read_toml(&text).ok().filter(|_| !text.trim().is_empty())?;
    let message = format!("{} holds a shop's settings, not a job", file.display());
    Some(Failure::bad_input(message).hint("take it in on the page Shop of the web app, or name it with --shop"))
}

/// Runs `soundmetal import`.
pub fn import(asked: &Import) -> Result<(), Failure> {
    let mut job: Job = read_job(&asked.file).map_err(|failure| shop_file(&asked.file).unwrap_or(failure))?;
    if let Some(number) = &asked.number {
        job.number.clone_from(number);
    }
    let data = ShopData::open(asked.data.folder()?)?;
    for pattern in &job.patterns {
        data.keep_pattern(pattern, "import")?;
    }
    data.create(&job, None, "import").map_err(|failure| failure.hint("--number gives it another"))?;
    figures::print(&format!("{} {} is on the rack\n", job.number, job.title))
}
