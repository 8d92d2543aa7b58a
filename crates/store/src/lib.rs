//! The shop's data in one SQLite folder: revisions, photos, patterns, backup.
