//! The store from outside: everything goes through the public interface or through a plain SQLite connection.
#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests fail as tests do")]

mod backup;
mod common;
mod dealings;
mod folder;
mod formats;
mod kill;
mod photos;
mod restore;
mod revisions;
mod undo;
