//! Connections and the file's format: how a database is opened, recognised, brought up to date and checked.
//!
//! Holds: a commit that was acknowledged survives the end of the process and, as far as the disk keeps its promises,
//! a power cut (write-ahead log, `synchronous=FULL`). Before a file is brought to a newer format a copy of it is kept.

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::backup::{Backup, StepResult};
use rusqlite::{Connection, OpenFlags};
use rusqlite_migration::{M, Migrations};

use crate::StoreError;
use crate::error::Result;
use crate::folder::DataFolder;

/// Marks the file as ours: "Smtl", written by the first migration.
const APPLICATION_ID: i64 = 0x536D_746C;

/// Only ever added to. A published migration is never changed.
const STEPS: &[M<'static>] = &[
    M::up(include_str!("migrations/0001_records.sql")),
    M::up(include_str!("migrations/0002_dealings.sql")),
    M::up(include_str!("migrations/0003_search.sql")),
];

/// The newest data format this program knows.
pub const FORMAT_VERSION: i64 = STEPS.len() as i64;

/// How long a connection waits for another process's write.
const BUSY_WAIT: Duration = Duration::from_secs(10);

/// Opens the one writing connection, making or updating the database first.
pub(crate) fn open_writer(folder: &DataFolder) -> Result<Connection> {
    let path = folder.database();
    let _turn = folder.enter_setup()?;
    prepare(folder, &path).map_err(|error| error.in_file(&path))
}

fn prepare(folder: &DataFolder, path: &Path) -> Result<Connection> {
    let mut connection = Connection::open(path)?;
    connection.busy_timeout(BUSY_WAIT)?;
    let found = recognise(&connection, path)?;
    if (1..FORMAT_VERSION).contains(&found) {
        keep_copy(folder, &connection, found)?;
    }
    connection.pragma_update(None, "journal_mode", "WAL")?;
    connection.pragma_update(None, "synchronous", "FULL")?;
    connection.pragma_update(None, "fullfsync", true)?;
    connection.pragma_update(None, "checkpoint_fullfsync", true)?;
    connection.pragma_update(None, "foreign_keys", true)?;
    connection.pragma_update(None, "trusted_schema", false)?;
    connection.pragma_update(None, "cell_size_check", true)?;
    migrate(&mut connection, path, FORMAT_VERSION)?;
    Ok(connection)
}

/// Brings an open database to `version`, each step in its own transaction.
pub(crate) fn migrate(connection: &mut Connection, path: &Path, version: i64) -> Result<()> {
    let version = usize::try_from(version).unwrap_or(STEPS.len());
    Migrations::from_slice(STEPS).to_version(connection, version).map_err(|error| match error {
        rusqlite_migration::Error::RusqliteError { err, .. } => StoreError::from(err).in_file(path),
        other => StoreError::Damaged { path: Some(path.to_path_buf()), detail: other.to_string() },
    })
}

/// Opens a connection that can only read.
pub(crate) fn open_reader(path: &Path) -> Result<Connection> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let open = || -> Result<Connection> {
        let connection = Connection::open_with_flags(path, flags)?;
        connection.busy_timeout(BUSY_WAIT)?;
        connection.pragma_update(None, "trusted_schema", false)?;
        connection.pragma_update(None, "cell_size_check", true)?;
        Ok(connection)
    };
    open().map_err(|error| error.in_file(path))
}

/// Returns the format version of a database of ours; 0 for a new, empty one.
pub(crate) fn recognise(connection: &Connection, path: &Path) -> Result<i64> {
    let read = |name: &str| -> Result<i64> { Ok(connection.pragma_query_value(None, name, |row| row.get(0))?) };
    let (application, version) = (read("application_id")?, read("user_version")?);
    let tables: i64 = connection.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
    if tables == 0 && version == 0 && matches!(application, 0 | APPLICATION_ID) {
        return Ok(0);
    }
    if application != APPLICATION_ID || version < 1 {
        let detail = format!("it is a database of another program (application id {application:#x})");
        return Err(StoreError::NotOurs { path: path.to_path_buf(), detail });
    }
    if version > FORMAT_VERSION {
        return Err(StoreError::Newer { path: path.to_path_buf(), found: version, known: FORMAT_VERSION });
    }
    Ok(version)
}

/// Reads every page and index and all references.
pub(crate) fn check(connection: &Connection) -> Result<()> {
    let found: String = connection.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
    if found != "ok" {
        return Err(StoreError::damaged(found));
    }
    let mut statement = connection.prepare("PRAGMA foreign_key_check")?;
    if let Some(row) = statement.query([])?.next()? {
        let table: String = row.get(0)?;
        return Err(StoreError::damaged(format!("a row of {table} refers to something that is missing")));
    }
    Ok(())
}

/// Copies a whole live database page by page from one snapshot; `step` hears (pages done, all pages) and may stop it.
///
/// Other processes may write meanwhile: the open read transaction holds the snapshot, so the copy never starts again.
pub(crate) fn copy_pages(from: &Connection, to: &mut Connection, step: &mut dyn FnMut(u64, u64) -> bool) -> Result<()> {
    const PAGES_A_STEP: i32 = 2048;
    let snapshot = from.unchecked_transaction()?;
    let _: i64 = snapshot.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
    let backup = Backup::new(&snapshot, to)?;
    loop {
        let state = backup.step(PAGES_A_STEP)?;
        let progress = backup.progress();
        let all = u64::try_from(progress.pagecount).unwrap_or(0);
        let left = u64::try_from(progress.remaining).unwrap_or(0);
        let go_on = step(all.saturating_sub(left), all);
        match state {
            StepResult::Done => return Ok(()),
            _ if !go_on => return Err(StoreError::Stopped),
            StepResult::Busy | StepResult::Locked => std::thread::sleep(Duration::from_millis(5)),
            _ => {}
        }
    }
}

/// Makes a single file of a copied database: no write-ahead log stays beside it.
pub(crate) fn close_as_single_file(connection: Connection) -> Result<()> {
    connection.pragma_update(None, "journal_mode", "DELETE")?;
    connection.close().map_err(|(_, error)| error.into())
}

/// Forces a file and its name in the folder onto the disk.
pub(crate) fn sync(path: &Path) -> Result<()> {
    // Opened for writing because some systems refuse to flush a file that was opened for reading only.
    let file = File::options().read(true).write(true).open(path).map_err(StoreError::io("open", path))?;
    file.sync_all().map_err(StoreError::io("flush", path))?;
    sync_folder(path)
}

/// Forces the names in the folder of `path` onto the disk.
pub(crate) fn sync_folder(path: &Path) -> Result<()> {
    #[cfg(unix)]
    if let Some(folder) = path.parent() {
        let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
        let handle = File::open(folder).map_err(StoreError::io("open", folder))?;
        handle.sync_all().map_err(StoreError::io("flush", folder))?;
    }
    #[cfg(not(unix))]
    let _ = path;
    Ok(())
}

/// The files that SQLite keeps beside a database in use.
pub(crate) fn side_files(path: &Path) -> [PathBuf; 2] {
    ["-wal", "-shm"].map(|suffix| {
        let mut name = path.as_os_str().to_os_string();
        name.push(suffix);
        PathBuf::from(name)
    })
}

fn keep_copy(folder: &DataFolder, connection: &Connection, version: i64) -> Result<()> {
    let kept = folder.kept();
    fs::create_dir_all(&kept).map_err(StoreError::io("make the folder", &kept))?;
    let path = (0..)
        .map(|again| match again {
            0 => kept.join(format!("shop-format-{version}.db")),
            again => kept.join(format!("shop-format-{version}-{again}.db")),
        })
        .find(|path| !path.exists())
        .unwrap_or_else(|| kept.join("shop.db"));
    let mut copy = Connection::open(&path)?;
    copy_pages(connection, &mut copy, &mut |_, _| true)?;
    close_as_single_file(copy)?;
    sync(&path)
}
