//! A bounded pool of reading connections, opened as they are needed. Readers never wait for the writer.

use std::path::PathBuf;
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};

use rusqlite::{Connection, Transaction};

use crate::database::open_reader;
use crate::error::Result;

#[derive(Debug)]
pub(crate) struct Readers {
    path: PathBuf,
    limit: usize,
    pool: Mutex<Pool>,
    returned: Condvar,
}

#[derive(Debug, Default)]
struct Pool {
    idle: Vec<Connection>,
    open: usize,
}

/// Gives its place back when dropped, also when the reading panics.
struct Lent<'a> {
    readers: &'a Readers,
    connection: Option<Connection>,
}

impl Readers {
    /// A pool of at most `limit` connections, at least one.
    pub(crate) fn new(path: PathBuf, limit: usize) -> Self {
        Self { path, limit: limit.max(1), pool: Mutex::default(), returned: Condvar::new() }
    }

    /// Runs `read` on one snapshot of the data, waiting for a free connection if all are lent.
    pub(crate) fn run<T>(&self, read: impl FnOnce(&Transaction<'_>) -> Result<T>) -> Result<T> {
        let mut lent = Lent { readers: self, connection: self.take() };
        let connection = match lent.connection.take() {
            Some(idle) => lent.connection.insert(idle),
            None => lent.connection.insert(open_reader(&self.path)?),
        };
        let snapshot = connection.unchecked_transaction()?;
        read(&snapshot).map_err(|error| error.in_file(&self.path))
    }

    /// Takes an idle connection; `None` gives the right to open a new one.
    fn take(&self) -> Option<Connection> {
        let mut pool = self
            .returned
            .wait_while(self.pool(), |pool| pool.idle.is_empty() && pool.open >= self.limit)
            .unwrap_or_else(PoisonError::into_inner);
        let idle = pool.idle.pop();
        if idle.is_none() {
            pool.open += 1;
        }
        idle
    }

    fn pool(&self) -> MutexGuard<'_, Pool> {
        self.pool.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Drop for Lent<'_> {
    fn drop(&mut self) {
        let mut pool = self.readers.pool();
        match self.connection.take() {
            Some(connection) => pool.idle.push(connection),
            None => pool.open -= 1,
        }
        drop(pool);
        self.readers.returned.notify_one();
    }
}
