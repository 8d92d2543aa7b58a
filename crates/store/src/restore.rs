//! Restore: a backup takes the place of the data in a folder, and the data that was there is kept.
//!
//! Holds: at every moment the folder has either the old data or the whole new data. The new data lies checked on the
//! disk before one rename puts it in place; the old data is in the kept folder before that.
//! One exception: an old database too damaged to be closed properly has its log moved to the kept folder just before
//! the rename, because a log must never meet another database; both halves are then in the kept folder.

use std::fs;
use std::path::{Path, PathBuf};

use jiff::{Timestamp, Unit};
use rusqlite::Connection;

use crate::StoreError;
use crate::backup::{Contents, Part, contents_of, database_copy};
use crate::database::{self, recognise};
use crate::error::Result;
use crate::folder::DataFolder;

/// What a restore did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Restored {
    /// What the folder holds now.
    pub contents: Contents,
    /// Where the data that was there is kept, when there was any.
    pub kept: Option<PathBuf>,
}

/// Puts the data of a backup in the place of the data in `folder`. `at` names the folder of the kept old data.
///
/// # Errors
/// [`StoreError::InUse`] while another process has the data open; [`StoreError::NotOurs`], [`StoreError::Newer`] and
/// [`StoreError::Damaged`] about the backup. Nothing is changed then.
pub fn restore(folder: &DataFolder, backup: &Path, at: Timestamp) -> Result<Restored> {
    if !backup.is_file() {
        return Err(StoreError::NotFound { what: format!("file {}", backup.display()) });
    }
    folder.create()?;
    let _alone = folder.enter_alone()?;
    let database = folder.database();
    if same_file(backup, &database) {
        return Err(StoreError::Invalid {
            field: "the backup",
            got: backup.display().to_string(),
            need: "another file than the shop's own data",
        });
    }
    let part = Part::beside(&database)?;
    copy_checked(backup, &part.path)?;
    let kept = keep_old(folder, &database, at)?;
    let contents = part.finish(&database)?;
    Ok(Restored { contents, kept })
}

fn copy_checked(backup: &Path, to: &Path) -> Result<()> {
    let copy = || -> Result<()> {
        let source = database::open_reader(backup)?;
        if recognise(&source, backup)? == 0 {
            let detail = "it is an empty database".to_owned();
            return Err(StoreError::NotOurs { path: backup.to_path_buf(), detail });
        }
        database::check(&source)?;
        database_copy(&source, to, &mut |_, _| true)
    };
    copy().map_err(|error| error.in_file(backup))?;
    contents_of(to).map(drop)
}

/// Keeps the old data; after this no file lies beside the database.
fn keep_old(folder: &DataFolder, database: &Path, at: Timestamp) -> Result<Option<PathBuf>> {
    if !database.exists() {
        return Ok(None);
    }
    tidy(database);
    let kept = new_kept_folder(folder, at)?;
    let copy = kept.join("shop.db");
    // A second name costs no space; some file systems have none, there a copy is made.
    if fs::hard_link(database, &copy).is_err() {
        fs::copy(database, &copy).map_err(StoreError::io("keep the old data in", &copy))?;
    }
    database::sync(&copy)?;
    for side in database::side_files(database).iter().filter(|side| side.exists()) {
        let to = kept.join(side.file_name().unwrap_or_default());
        fs::rename(side, &to).map_err(StoreError::io("keep the old data in", &to))?;
    }
    database::sync_folder(&copy)?;
    database::sync_folder(&kept)?;
    Ok(Some(kept))
}

/// Brings the log of the old database into its file, as closing it does. A damaged one is kept as it lies.
fn tidy(database: &Path) {
    if let Ok(connection) = Connection::open(database) {
        let _ = connection.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()));
        let _ = connection.close();
    }
}

fn new_kept_folder(folder: &DataFolder, at: Timestamp) -> Result<PathBuf> {
    let second = at.round(Unit::Second).unwrap_or(at).to_string().replace(':', "");
    let parent = folder.kept();
    fs::create_dir_all(&parent).map_err(StoreError::io("make the folder", &parent))?;
    for again in 0_u32.. {
        let name = if again == 0 { second.clone() } else { format!("{second}-{again}") };
        let path = parent.join(name);
        match fs::create_dir(&path) {
            Ok(()) => return Ok(path),
            Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {}
            Err(error) => return Err(StoreError::io("make the folder", &path)(error)),
        }
    }
    Ok(parent)
}

fn same_file(one: &Path, two: &Path) -> bool {
    matches!((fs::canonicalize(one), fs::canonicalize(two)), (Ok(one), Ok(two)) if one == two)
}
