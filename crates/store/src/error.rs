//! What can go wrong with the shop's data, in words that say what to do next.

use std::io;
use std::path::PathBuf;

use rusqlite::ErrorCode;

use crate::RevisionId;

/// A result of the store.
pub type Result<T, E = StoreError> = std::result::Result<T, E>;

/// Why the store refused or failed. After any error nothing of the refused write is kept.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// A file or folder could not be used.
    #[error("cannot {action} {}: {source}", path.display())]
    Io {
        /// What was being done, as a verb phrase.
        action: &'static str,
        /// The file or folder.
        path: PathBuf,
        /// What the operating system said.
        source: io::Error,
    },
    /// Another process has the data folder open, and this needs it alone.
    #[error("{} is in use by another soundmetal{}; close it and try again", folder.display(), at_address(address.as_deref()))]
    InUse {
        /// The data folder.
        folder: PathBuf,
        /// Where the running one can be reached, if it serves pages.
        address: Option<String>,
    },
    /// The data folder is being restored by another process just now.
    #[error("{} is being restored by another soundmetal; try again when it has finished", folder.display())]
    BeingRestored {
        /// The data folder.
        folder: PathBuf,
    },
    /// The file is a database of something else, or no shop data at all.
    #[error("{} is not a soundmetal shop file: {detail}", path.display())]
    NotOurs {
        /// The file.
        path: PathBuf,
        /// How it was recognised.
        detail: String,
    },
    /// The file was written by a later version of the program.
    #[error("{} has data format {found}, this program knows up to {known}; install the newer soundmetal", path.display())]
    Newer {
        /// The file.
        path: PathBuf,
        /// Its format version.
        found: i64,
        /// The newest format version this program knows.
        known: i64,
    },
    /// The file is damaged.
    #[error(
        "the shop's data is damaged{}: {detail}; keep the file and restore the last backup with `soundmetal restore FILE`",
        in_file(path)
    )]
    Damaged {
        /// The file, when known.
        path: Option<PathBuf>,
        /// What was found.
        detail: String,
    },
    /// The write was based on a revision that is no longer the current one.
    #[error(
        "someone else changed this meanwhile: {who} wrote {what:?} (revision {current}; yours was based on {based_on})"
    )]
    Stale {
        /// The revision that the write was based on.
        based_on: RevisionId,
        /// The revision that stands now.
        current: RevisionId,
        /// Who made the current one.
        who: String,
        /// What it changed.
        what: String,
    },
    /// There is no such thing in the store.
    #[error("there is no {what}")]
    NotFound {
        /// The thing asked for, e.g. "job card with id 7".
        what: String,
    },
    /// A job number is already on another card.
    #[error("job number {number:?} is already on another card; give a number that is free")]
    NumberTaken {
        /// The number.
        number: String,
    },
    /// Nothing stands before the current content.
    #[error("nothing to undo: this is the content it was made with")]
    NothingToUndo,
    /// Nothing was undone since the last change.
    #[error("nothing to redo: nothing was undone since the last change")]
    NothingToRedo,
    /// A file or card is beyond the limit of size.
    #[error("{what} has {size_bytes} bytes; at most {limit_bytes} are accepted")]
    TooLarge {
        /// Which file or text.
        what: &'static str,
        /// Its size.
        size_bytes: u64,
        /// The limit.
        limit_bytes: u64,
    },
    /// A value is not acceptable.
    #[error("{field} is {got:?}; needed: {need}")]
    Invalid {
        /// The field.
        field: &'static str,
        /// What was given.
        got: String,
        /// What would be accepted.
        need: &'static str,
    },
    /// A file of that name is there already.
    #[error("{} exists already; name another file, or allow it to be replaced", path.display())]
    Exists {
        /// The file.
        path: PathBuf,
    },
    /// The disk is full.
    #[error("the disk is full; nothing was written, make room and try again")]
    DiskFull,
    /// The person stopped a backup.
    #[error("stopped; no file was written")]
    Stopped,
    /// The writing thread failed while it did this; nothing of it is kept.
    #[error("the write failed inside the program and was taken back; nothing was changed")]
    WriterFailed,
    /// Any other answer of the database.
    #[error("the database refused: {0}")]
    Database(rusqlite::Error),
}

impl StoreError {
    /// Names the file in an error that came without one.
    pub(crate) fn in_file(self, file: &std::path::Path) -> Self {
        match self {
            Self::Damaged { path: None, detail } => Self::Damaged { path: Some(file.to_path_buf()), detail },
            other => other,
        }
    }

    pub(crate) fn damaged(detail: impl Into<String>) -> Self {
        Self::Damaged { path: None, detail: detail.into() }
    }

    pub(crate) fn io(action: &'static str, path: &std::path::Path) -> impl FnOnce(io::Error) -> Self {
        let path = path.to_path_buf();
        move |source| Self::Io { action, path, source }
    }
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> Self {
        match error.sqlite_error_code() {
            Some(ErrorCode::NotADatabase | ErrorCode::DatabaseCorrupt) => Self::damaged(error.to_string()),
            Some(ErrorCode::DiskFull) => Self::DiskFull,
            _ => Self::Database(error),
        }
    }
}

fn at_address(address: Option<&str>) -> String {
    address.map(|address| format!(" at {address}")).unwrap_or_default()
}

fn in_file(path: &Option<PathBuf>) -> String {
    path.as_ref().map(|path| format!(" ({})", path.display())).unwrap_or_default()
}
