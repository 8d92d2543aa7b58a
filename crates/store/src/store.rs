//! The open store.

use rusqlite::{OptionalExtension, Transaction};

use crate::database::{self, FORMAT_VERSION};
use crate::error::Result;
use crate::folder::{DataFolder, InUse};
use crate::readers::Readers;
use crate::writer::Writer;

/// How a store is opened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Options {
    /// Version of the program, kept in the data for whoever has to look at an old file.
    pub app_version: String,
    /// How many readings may go on at once; at least one.
    pub readers: usize,
}

/// The shop's data, open for reading and writing. Share it between threads; every method takes `&self`.
// The order of fields is the order of closing: the writer goes last, so that it can tidy the log away.
#[derive(Debug)]
pub struct Store {
    readers: Readers,
    writer: Writer,
    folder: DataFolder,
    _in_use: InUse,
}

impl Store {
    /// Opens the data of a folder, making the folder and the database when there are none, and bringing data of an
    /// earlier format up to date (a copy of it is kept).
    ///
    /// # Errors
    /// [`crate::StoreError::Newer`], [`crate::StoreError::NotOurs`], [`crate::StoreError::Damaged`],
    /// [`crate::StoreError::BeingRestored`], [`crate::StoreError::Io`].
    pub fn open(folder: DataFolder, options: Options) -> Result<Self> {
        folder.create()?;
        let in_use = folder.enter()?;
        let writer = Writer::start(database::open_writer(&folder)?)?;
        let readers = Readers::new(folder.database(), options.readers);
        let store = Self { readers, writer, folder, _in_use: in_use };
        store.note_versions(options.app_version)?;
        Ok(store)
    }

    /// The folder this data lies in.
    pub fn folder(&self) -> &DataFolder {
        &self.folder
    }

    /// Reads a note about the data as a whole, e.g. `format_version`, `app_version` or `made_by_app_version`.
    ///
    /// # Errors
    /// What the database says.
    pub fn meta(&self, key: &str) -> Result<Option<String>> {
        self.read(|tx| Ok(tx.query_row("SELECT value FROM meta WHERE key = ?1", [key], |row| row.get(0)).optional()?))
    }

    /// Keeps a note about the data as a whole, e.g. that the demo was added.
    ///
    /// # Errors
    /// What the database says.
    pub fn set_meta(&self, key: &str, value: &str) -> Result<()> {
        let (key, value) = (key.to_owned(), value.to_owned());
        self.write(move |tx| note(tx, &key, &value))
    }

    /// Reads all data and proves that it is whole.
    ///
    /// # Errors
    /// [`crate::StoreError::Damaged`] with the first fault found.
    pub fn check(&self) -> Result<()> {
        let path = self.folder.database();
        // A connection of its own: one that has searched before keeps its view of the search index from then, and would
        // call an index damaged that only has changed since.
        let fresh = database::open_reader(&path)?;
        database::check(&fresh).map_err(|error| error.in_file(&path))
    }

    pub(crate) fn read<T>(&self, read: impl FnOnce(&Transaction<'_>) -> Result<T>) -> Result<T> {
        self.readers.run(read)
    }

    pub(crate) fn write<T, F>(&self, work: F) -> Result<T>
    where
        T: Send + 'static,
        F: FnOnce(&Transaction<'_>) -> Result<T> + Send + 'static,
    {
        self.writer.run(work).map_err(|error| error.in_file(&self.folder.database()))
    }

    fn note_versions(&self, app_version: String) -> Result<()> {
        let format = FORMAT_VERSION.to_string();
        if self.meta("format_version")?.as_ref() == Some(&format)
            && self.meta("app_version")?.as_ref() == Some(&app_version)
        {
            return Ok(());
        }
        self.write(move |tx| {
            note(tx, "format_version", &format)?;
            note(tx, "app_version", &app_version)?;
            tx.execute(
                "INSERT INTO meta (key, value) VALUES ('made_by_app_version', ?1) ON CONFLICT DO NOTHING",
                [&app_version],
            )?;
            Ok(())
        })
    }
}

fn note(tx: &Transaction<'_>, key: &str, value: &str) -> Result<()> {
    tx.execute(
        "INSERT INTO meta (key, value) VALUES (?1, ?2) ON CONFLICT (key) DO UPDATE SET value = excluded.value",
        [key, value],
    )?;
    Ok(())
}
