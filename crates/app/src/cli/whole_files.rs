//! Files that a command writes all of them whole, or none.

use crate::failure::Failure;
use packet::drawing::Drawing;
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

impl WholeFile {
    /// A file of text.
    pub fn text(path: PathBuf, text: String) -> Self {
        Self { path, bytes: text.into_bytes() }
    }

    /// A drawing as DXF and as SVG at 1:1, each where a place was named for it.
    ///
    /// # Errors
    /// A drawing that cannot be written in one of them.
    pub fn of_drawing(drawing: &Drawing, dxf: Option<PathBuf>, svg: Option<PathBuf>) -> Result<Vec<Self>, Failure> {
        const MARGIN_MM: f64 = 5.0;
        let dxf = dxf.map(|path| packet::dxf::to_string(drawing).map(|text| Self::text(path, text))).transpose()?;
        let svg =
            svg.map(|path| packet::svg::drawing(drawing, MARGIN_MM).map(|text| Self::text(path, text))).transpose()?;
        Ok(dxf.into_iter().chain(svg).collect())
    }
}

/// "flat.dxf" of several: "flat-2.dxf" for the second (`index` 1).
pub fn numbered(path: &Path, index: usize) -> PathBuf {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let ending = path.extension().map_or_else(String::new, |ending| format!(".{}", ending.to_string_lossy()));
    path.with_file_name(format!("{stem}-{}{ending}", index + 1))
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
