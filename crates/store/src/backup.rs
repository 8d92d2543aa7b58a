//! A backup: one database file with everything in it, taken from a live shop while others write.
//!
//! Holds: the file is one snapshot, every page of it was read back and checked before it got its name, and it needs no
//! other file beside it. The cache is not in it.

use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};

use rusqlite::Connection;

use crate::StoreError;
use crate::database::{self, recognise};
use crate::error::Result;
use crate::folder::DataFolder;

/// What to do when the backup's file is there already.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Existing {
    /// Refuse.
    Refuse,
    /// Replace it, if it is a backup of ours; anything else is refused all the same.
    Replace,
}

/// What a shop file holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Contents {
    /// Job cards.
    pub jobs: u64,
    /// Patterns.
    pub patterns: u64,
    /// Revisions of all of them.
    pub revisions: u64,
    /// Photos.
    pub photos: u64,
    /// Size of the file in bytes.
    pub size_bytes: u64,
}

/// Writes a backup of the data in `folder`, whether a soundmetal runs on it or not. `progress` hears the pages done
/// and all pages and returns whether to go on.
///
/// # Errors
/// [`StoreError::Exists`], [`StoreError::Stopped`], [`StoreError::Damaged`] when the data or the written copy has a
/// fault (no file is left then), [`StoreError::NotFound`] when the folder holds no data.
pub fn backup(
    folder: &DataFolder,
    file: &Path,
    existing: Existing,
    mut progress: impl FnMut(u64, u64) -> bool,
) -> Result<Contents> {
    let database = folder.database();
    if !database.is_file() {
        return Err(StoreError::NotFound { what: format!("shop data in {}", folder.root().display()) });
    }
    may_write(file, existing)?;
    let _in_use = folder.enter()?;
    let source = database::open_reader(&database)?;
    if recognise(&source, &database).map_err(|error| error.in_file(&database))? == 0 {
        return Err(StoreError::NotFound { what: format!("shop data in {}", folder.root().display()) });
    }
    let part = Part::beside(file)?;
    database_copy(&source, &part.path, &mut progress)?;
    let contents = part.finish(file)?;
    Ok(contents)
}

/// A file being written, removed again unless it is finished.
#[derive(Debug)]
pub(crate) struct Part {
    pub(crate) path: PathBuf,
    finished: bool,
}

impl Part {
    /// Names an unfinished file beside `file`; one left over from a broken attempt is removed.
    pub(crate) fn beside(file: &Path) -> Result<Self> {
        let mut name = file.file_name().map(OsString::from).ok_or_else(|| StoreError::Invalid {
            field: "the file",
            got: file.display().to_string(),
            need: "the name of a file",
        })?;
        name.push(".part");
        let part = Self { path: file.with_file_name(name), finished: false };
        part.remove();
        Ok(part)
    }

    /// Checks the file, forces it onto the disk and gives it its name in one step.
    pub(crate) fn finish(mut self, file: &Path) -> Result<Contents> {
        let contents = contents_of(&self.path)?;
        database::sync(&self.path)?;
        fs::rename(&self.path, file).map_err(StoreError::io("give the finished file its name", file))?;
        database::sync_folder(file)?;
        self.finished = true;
        Ok(contents)
    }

    fn remove(&self) {
        // What is not there need not be removed; what cannot be removed will refuse to be opened.
        let _ = fs::remove_file(&self.path);
        for side in database::side_files(&self.path) {
            let _ = fs::remove_file(side);
        }
    }
}

impl Drop for Part {
    fn drop(&mut self) {
        if !self.finished {
            self.remove();
        }
    }
}

/// Copies an open database into a new single file.
pub(crate) fn database_copy(from: &Connection, to: &Path, progress: &mut dyn FnMut(u64, u64) -> bool) -> Result<()> {
    let mut copy = Connection::open(to).map_err(|error| StoreError::from(error).in_file(to))?;
    database::copy_pages(from, &mut copy, progress)?;
    database::close_as_single_file(copy).map_err(|error| error.in_file(to))
}

/// Reads a whole shop file, proves that it is whole, and counts what it holds.
pub(crate) fn contents_of(file: &Path) -> Result<Contents> {
    let read = || -> Result<Contents> {
        let connection = database::open_reader(file)?;
        database::check(&connection)?;
        let count = |sql: &str| -> Result<u64> { Ok(connection.query_row(sql, [], |row| row.get(0))?) };
        Ok(Contents {
            jobs: count("SELECT count(*) FROM record WHERE kind = 'job'")?,
            patterns: count("SELECT count(*) FROM record WHERE kind = 'pattern'")?,
            revisions: count("SELECT count(*) FROM revision")?,
            photos: count("SELECT count(*) FROM photo")?,
            size_bytes: fs::metadata(file).map_err(StoreError::io("read", file))?.len(),
        })
    };
    read().map_err(|error| error.in_file(file))
}

fn may_write(file: &Path, existing: Existing) -> Result<()> {
    if !file.exists() {
        return Ok(());
    }
    let ours = || -> Result<bool> { Ok(recognise(&database::open_reader(file)?, file)? > 0) };
    if existing == Existing::Replace && file.is_file() && ours().unwrap_or(false) {
        return Ok(());
    }
    Err(StoreError::Exists { path: file.to_path_buf() })
}
