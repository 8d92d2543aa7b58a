//! Files that a command writes all of them whole, or none.

use crate::failure::Failure;
use std::fs;
use std::path::{Path, PathBuf};

/// A file that is to be written.
#[derive(Debug, Clone)]
pub struct WholeFile {
    /// Where.
    pub path: PathBuf,
    /// What.
    pub bytes: Vec<u8>,
}

/// Writes all files beside their places, then moves them there.
///
/// # Errors
/// The first place that cannot be written to; what was written beside it is taken away again.
pub fn write(files: &[WholeFile]) -> Result<(), Failure> {
    let done = files.iter().try_for_each(|file| {
        let path = beside(&file.path);
        fs::write(path, &file.bytes).map_err(|error| cannot(&file.path, &error))
    });
    let done = done.and_then(|()| {
        files
            .iter()
            .try_for_each(|file| fs::rename(beside(&file.path), &file.path).map_err(|error| cannot(&file.path, &error)))
    });
    if done.is_err() {
        for file in files {
            // most were never begun
            let _ = fs::remove_file(beside(&file.path));
        }
    }
    done
}

fn beside(path: &Path) -> PathBuf {
    let mut part = path.as_os_str().to_owned();
    part.push(".part");
    PathBuf::from(part)
}

fn cannot(path: &Path, error: &std::io::Error) -> Failure {
    Failure::bad_input(format!("{}: the file cannot be written: {error}", path.display()))
        .hint("name a place that can be written to")
}
