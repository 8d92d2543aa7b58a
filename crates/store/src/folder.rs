//! The data folder: where things lie in it, and who may use it.
//!
//! Two locks, both taken with the operating system's own file lock, so that they end with the process however it ends:
//! `in-use.lock` is shared by everyone who has the data open and taken alone by a restore; `server.lock` is held by the
//! one process that serves pages. The address stands in a file of its own because on some systems a locked file cannot
//! be read by others. An address without its lock is left over from a killed process and counts for nothing.
//! Not for folders on network drives whose file system ignores locks.

use std::fs::{self, File, TryLockError};
use std::path::{Path, PathBuf};

use crate::StoreError;
use crate::error::Result;

/// A shop's data folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DataFolder {
    root: PathBuf,
}

/// What came of asking to be the one that serves pages.
#[derive(Debug)]
pub enum Claim {
    /// This process is the one; it keeps the claim as long as it runs.
    Granted(ServerClaim),
    /// Another one runs.
    Running {
        /// Where it is reached; `None` while it is still starting.
        address: Option<String>,
    },
}

/// Held by the process that serves pages; given up when dropped.
#[derive(Debug)]
pub struct ServerClaim {
    address_file: PathBuf,
    lock: File,
}

/// Held by everyone who has the data open.
#[derive(Debug)]
pub(crate) struct InUse {
    lock: File,
}

impl DataFolder {
    /// Names a folder; nothing is touched yet.
    pub fn new(root: impl Into<PathBuf>) -> Self {
        Self { root: root.into() }
    }

    /// The folder itself.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// The database: everything that a backup holds.
    pub fn database(&self) -> PathBuf {
        self.root.join("shop.db")
    }

    /// Computed results that can be made again; never in a backup.
    pub fn cache(&self) -> PathBuf {
        self.root.join("cache")
    }

    /// Where earlier data is put aside by a restore or a change of format.
    pub fn kept(&self) -> PathBuf {
        self.root.join("kept")
    }

    /// Makes the folder, readable by its owner only where the system knows owners, and the cache folder in it.
    ///
    /// # Errors
    /// [`StoreError::Io`] when the folder cannot be made.
    pub fn create(&self) -> Result<()> {
        let mut builder = fs::DirBuilder::new();
        builder.recursive(true);
        #[cfg(unix)]
        std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
        for folder in [self.root.clone(), self.cache()] {
            builder.create(&folder).map_err(StoreError::io("make the folder", &folder))?;
        }
        Ok(())
    }

    /// Asks to be the one process that serves pages from this folder.
    ///
    /// # Errors
    /// [`StoreError::Io`] when the folder or its lock file cannot be used.
    pub fn claim_server(&self) -> Result<Claim> {
        self.create()?;
        let file = self.lock_file("server.lock")?;
        match file.try_lock() {
            Ok(()) => {
                let claim = ServerClaim { address_file: self.address_file(), lock: file };
                claim.withdraw_address();
                Ok(Claim::Granted(claim))
            }
            Err(TryLockError::WouldBlock) => Ok(Claim::Running { address: self.announced() }),
            Err(TryLockError::Error(source)) => Err(self.cannot_lock("server.lock", source)),
        }
    }

    /// The address of the process that serves pages now, if there is one.
    ///
    /// # Errors
    /// [`StoreError::Io`] when the lock file cannot be used.
    pub fn running_address(&self) -> Result<Option<String>> {
        if !self.root.join("server.lock").exists() {
            return Ok(None);
        }
        let file = self.lock_file("server.lock")?;
        match file.try_lock_shared() {
            Ok(()) => Ok(None),
            Err(TryLockError::WouldBlock) => Ok(self.announced()),
            Err(TryLockError::Error(source)) => Err(self.cannot_lock("server.lock", source)),
        }
    }

    /// Takes part in using the data, beside others.
    pub(crate) fn enter(&self) -> Result<InUse> {
        let file = self.lock_file("in-use.lock")?;
        match file.try_lock_shared() {
            Ok(()) => Ok(InUse { lock: file }),
            Err(TryLockError::WouldBlock) => Err(StoreError::BeingRestored { folder: self.root.clone() }),
            Err(TryLockError::Error(source)) => Err(self.cannot_lock("in-use.lock", source)),
        }
    }

    /// Takes the data alone.
    pub(crate) fn enter_alone(&self) -> Result<InUse> {
        let file = self.lock_file("in-use.lock")?;
        match file.try_lock() {
            Ok(()) => Ok(InUse { lock: file }),
            Err(TryLockError::WouldBlock) => {
                Err(StoreError::InUse { folder: self.root.clone(), address: self.running_address()? })
            }
            Err(TryLockError::Error(source)) => Err(self.cannot_lock("in-use.lock", source)),
        }
    }

    /// Waits for its turn to look at the format and change it: two processes must not do that at once.
    pub(crate) fn enter_setup(&self) -> Result<InUse> {
        let file = self.lock_file("setup.lock")?;
        file.lock().map_err(|source| self.cannot_lock("setup.lock", source))?;
        Ok(InUse { lock: file })
    }

    fn lock_file(&self, name: &str) -> Result<File> {
        let path = self.root.join(name);
        File::options()
            .create(true)
            .truncate(false)
            .read(true)
            .write(true)
            .open(&path)
            .map_err(StoreError::io("open the lock file", &path))
    }

    fn address_file(&self) -> PathBuf {
        self.root.join("server.address")
    }

    fn announced(&self) -> Option<String> {
        let text = fs::read_to_string(self.address_file()).ok()?;
        // The line end proves that the address was written whole.
        text.strip_suffix('\n').filter(|address| !address.is_empty()).map(str::to_owned)
    }

    fn cannot_lock(&self, name: &str, source: std::io::Error) -> StoreError {
        StoreError::Io { action: "lock", path: self.root.join(name), source }
    }
}

impl ServerClaim {
    /// Tells other processes where this one is reached, e.g. `http://127.0.0.1:7070/`.
    ///
    /// # Errors
    /// [`StoreError::Io`] when the address file cannot be written.
    pub fn announce(&self, address: &str) -> Result<()> {
        fs::write(&self.address_file, format!("{address}\n"))
            .map_err(StoreError::io("write the address to", &self.address_file))
    }

    fn withdraw_address(&self) {
        // A missing file is the wished state, and a file that cannot be removed is ignored once the lock is free.
        let _ = fs::remove_file(&self.address_file);
    }
}

impl Drop for ServerClaim {
    fn drop(&mut self) {
        self.withdraw_address();
        let _ = self.lock.unlock();
    }
}

impl Drop for InUse {
    fn drop(&mut self) {
        // Closing alone is not enough: a child process that is just being started still shares the open file, and the
        // lock with it. Should this fail, closing ends the lock a moment later.
        let _ = self.lock.unlock();
    }
}
