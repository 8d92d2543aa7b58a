//! Meshes that commands read: the unit of their numbers, and the middle of the sheet.

use crate::failure::Failure;
use clap::ValueEnum;
use mesh::Skin;
use mesh::import::{self, MeshFormat};
use mesh::notes;
use mesh::skin::LONGEST_PANEL_MM;
use section::Face;
use std::fs::{self, File};
use std::io::Read;
use std::path::Path;

/// Unit of the numbers of a file of points.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum PointsUnit {
    Mm,
    Cm,
    M,
    In,
}

impl PointsUnit {
    /// One of it in mm.
    pub fn mm(self) -> f64 {
        match self {
            Self::Mm => 1.0,
            Self::Cm => 10.0,
            Self::M => 1000.0,
            Self::In => 25.4,
        }
    }
}

/// Reads a mesh in mm; without a unit, a size that is no panel's is refused.
///
/// # Errors
/// A file that is not there or no mesh, and a size that is no panel's.
pub fn read(path: &Path, unit: Option<PointsUnit>) -> Result<Skin, Failure> {
    let place = path.display().to_string();
    let format = MeshFormat::of_name(&place)
        .ok_or_else(|| Failure::bad_input("the name of a mesh ends in .ply, .stl or .obj").in_place(&place))?;
    let bytes = fs::read(path).map_err(|error| {
        Failure::bad_input(format!("the file cannot be read: {error}"))
            .in_place(&place)
            .hint("name a file that is there")
    })?;
    let skin = import::read(&bytes, format).map_err(|error| Failure::bad_input(error.to_string()).in_place(&place))?;
    match unit {
        Some(unit) => of_size(skin.scaled(unit.mm()), &place),
        None => match skin.doubtful_unit() {
            Some(doubt) => {
                Err(Failure::bad_input(doubt.to_string()).in_place(&place).hint("say --mesh-unit mm, cm, m or in"))
            }
            None => Ok(skin),
        },
    }
}

/// What a mesh file says of itself, a line each; none where it cannot be read.
pub fn notes(path: &Path) -> Vec<String> {
    let Some(format) = MeshFormat::of_name(&path.display().to_string()) else { return Vec::new() };
    let mut head = Vec::new();
    let most = u64::try_from(notes::HEAD_BYTES).unwrap_or(u64::MAX);
    match File::open(path).and_then(|file| file.take(most).read_to_end(&mut head)) {
        Ok(_) => notes::read(&head, format),
        Err(_) => Vec::new(),
    }
}

/// Refuses a mesh that says of itself that nothing may be cut from it.
///
/// # Errors
/// With what the file says.
pub fn refuse_marked(notes: &[String], path: &Path) -> Result<(), Failure> {
    match notes::forbids(notes) {
        Some(said) => Err(Failure::bad_input(format!("the mesh is marked: {said}"))
            .in_place(path.display())
            .hint("mend the readings, or take the wrong one out, and fit the surface again")),
        None => Ok(()),
    }
}

/// A mesh in the unit that was said, unless that makes it longer than any panel.
fn of_size(skin: Skin, place: &str) -> Result<Skin, Failure> {
    let size_mm = skin.size_mm();
    if size_mm <= LONGEST_PANEL_MM || size_mm.is_nan() {
        return Ok(skin);
    }
    let message = format!("in that unit the mesh is {size_mm:.0} mm long; a panel is {LONGEST_PANEL_MM:.0} mm or less");
    Err(Failure::bad_input(message).in_place(place).hint("say in --mesh-unit what its numbers are: mm, cm, m or in"))
}

/// The middle of the sheet of which a face was measured.
pub fn at_middle(skin: &Skin, face: Face, thickness_mm: f64) -> Skin {
    match face {
        Face::Middle => skin.clone(),
        Face::Outside => skin.offset(-0.5 * thickness_mm),
        Face::Inside => skin.offset(0.5 * thickness_mm),
    }
}
