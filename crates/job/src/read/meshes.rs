//! Profiles of a skin from a mesh file: a scan laid in the axes of the datum is read like a contour gauge would read the panel.
//!
//! Heights are taken along z on a lattice over the outline, where a ray from outside meets the mesh first. So the card keeps
//! what a person can read and change, and needs the file no more; which face of the sheet the file says it is, is kept beside its name. Holds: specks below the sheet, holes and several pieces do no harm; a reading
//! where the mesh has nothing is left out. Does not hold: what overhangs is not seen; a speck above the sheet is read, and the fit
//! names it as a misreading.

use super::{FileFault, JobErrors};
use crate::file::{Face, Job, Piece, Skin, SkinMesh, SkinProfile};
use glam::{DVec2, DVec3};
use mesh::import::{self, MeshFormat};
use mesh::nearest::Nearest;
use mesh::notes;
use mesh::skin::LONGEST_PANEL_MM;
use units::{Dimension, LengthUnit, Reading};

/// Steps over the longer side of the outline where nothing is said.
const STEPS: f64 = 24.0;
/// Most steps along or across.
const MOST_STEPS: f64 = 200.0;
/// Rays at the outline stand so far inside it, mm: a mesh that was cut to it ends there.
const INSIDE_MM: f64 = 0.01;
/// A profile of fewer points says nothing.
const FEWEST_POINTS: usize = 3;
const FEWEST_PROFILES: usize = 3;

/// Takes the profiles of every skin that names a mesh file and has none; `load` gives what stands in a file, or says in words why not.
///
/// # Errors
/// [`JobErrors`] with every mesh that cannot be taken.
pub fn take_meshes(job: &mut Job, mut load: impl FnMut(&str) -> Result<Vec<u8>, String>) -> Result<(), JobErrors> {
    let (unit, mut faults) = (job.unit, Vec::new());
    let sections = job.sections.iter_mut().map(|own| (format!("section.{}", own.id), unit, &mut own.pieces));
    let patterns = job.patterns.iter_mut().map(|own| (format!("pattern.{}", own.id), own.unit, &mut own.pieces));
    for (place, unit, pieces) in sections.chain(patterns) {
        for piece in pieces {
            let Piece::Skin(skin) = piece else { continue };
            let Some(mesh) = skin.mesh.clone().filter(|_| skin.profiles.is_empty()) else { continue };
            let taken = load(&mesh.file).and_then(|bytes| {
                let profiles = profiles(skin, &mesh, &bytes, unit);
                profiles
                    .map(|own| (own, face_said(&mesh.file, &bytes)))
                    .map_err(|message| format!("{}: {message}", mesh.file))
            });
            match taken {
                Ok((profiles, says_face)) => {
                    skin.profiles = profiles;
                    skin.mesh = Some(SkinMesh { says_face, ..mesh });
                }
                Err(message) => {
                    let field = format!("{place}.piece.{}.mesh", skin.name);
                    faults.push(FileFault { field, line: None, message });
                }
            }
        }
    }
    if faults.is_empty() { Ok(()) } else { Err(JobErrors(faults)) }
}

fn profiles(skin: &Skin, own: &SkinMesh, bytes: &[u8], unit: LengthUnit) -> Result<Vec<SkinProfile>, String> {
    let reading = Reading { bare_unit: unit, ..Reading::default() };
    let scan = Scan::new(own, bytes)?;
    let outline = outline(skin, &reading)?;
    let [low, high] = outline
        .iter()
        .fold([DVec2::INFINITY, DVec2::NEG_INFINITY], |[low, high], corner| [low.min(*corner), high.max(*corner)]);
    let middle = outline.iter().sum::<DVec2>() / outline.len() as f64;
    for corner in &outline {
        if scan.height_mm(*corner + (middle - *corner).clamp_length_max(2.0 * INSIDE_MM))?.is_none() {
            return Err(format!(
                "the mesh has nothing at the corner ({:.1}, {:.1}) mm of the outline; move the corner on to the panel, or lay \
                 the mesh in the axes of the datum",
                corner.x, corner.y
            ));
        }
    }
    let size = high - low;
    let every_mm = match &own.every {
        Some(every) => every.positive_length_mm(&reading).map_err(|error| format!("every: {error}"))?,
        None => size.max_element() / STEPS,
    };
    let steps = (size / every_mm).ceil().max(DVec2::splat(4.0));
    if steps.max_element() > MOST_STEPS {
        return Err(format!(
            "every is {every_mm} mm, which makes {:.0} readings one way; up to {MOST_STEPS:.0} are taken: give a longer one",
            steps.max_element()
        ));
    }
    let (columns, rows) = (places(low.x, high.x, steps.x), places(low.y, high.y, steps.y));
    let mut out = Vec::with_capacity(columns.len());
    for x in columns {
        let mut points = Vec::with_capacity(rows.len());
        for y in &rows {
            if let Some(z) = scan.height_mm(DVec2::new(x, *y))? {
                points.push([written(*y)?, written(z)?]);
            }
        }
        if points.len() >= FEWEST_POINTS {
            out.push(SkinProfile { station: written(x)?, points, reach: None });
        }
    }
    if out.len() < FEWEST_PROFILES {
        return Err("the mesh has too little under the outline for three profiles of three points".to_owned());
    }
    Ok(out)
}

/// The face of the sheet that a mesh file says it is.
fn face_said(file: &str, bytes: &[u8]) -> Option<Face> {
    let said = notes::face_word(&notes::read(bytes, MeshFormat::of_name(file)?))?;
    [Face::Outside, Face::Middle, Face::Inside].into_iter().find(|face| face.word() == said)
}

/// The corners of the piece: what of the mesh is taken.
fn outline(skin: &Skin, reading: &Reading) -> Result<Vec<DVec2>, String> {
    if skin.outline.len() < 3 {
        return Err("a mesh needs the outline of the piece; give at least 3 corners".to_owned());
    }
    let mm = |length: &Dimension| length.signed_length_mm(reading).map_err(|error| format!("outline: {error}"));
    skin.outline.iter().map(|[x, y]| Ok(DVec2::new(mm(x)?, mm(y)?))).collect()
}

/// Even places from one end to the other, the ends a little inside.
fn places(low: f64, high: f64, steps: f64) -> Vec<f64> {
    let at = |step: usize| (low + (high - low) * step as f64 / steps).clamp(low + INSIDE_MM, high - INSIDE_MM);
    (0..=steps as usize).map(at).collect()
}

/// To a thousandth of a millimetre.
fn written(mm: f64) -> Result<Dimension, String> {
    Dimension::from_mm((1000.0 * mm).round() / 1000.0).map_err(|error| error.to_string())
}

/// A mesh seen from outside.
struct Scan {
    nearest: Nearest,
    bottom_mm: f64,
    top_mm: f64,
}

impl Scan {
    fn new(own: &SkinMesh, bytes: &[u8]) -> Result<Self, String> {
        let format = MeshFormat::of_name(&own.file).ok_or("its name ends in no .ply, .stl or .obj")?;
        if let Some(said) = notes::forbids(&notes::read(bytes, format)) {
            return Err(format!("the mesh is marked: {said}; mend the readings and fit the surface again"));
        }
        let raw = import::read(bytes, format).map_err(|error| error.to_string())?;
        let scan = match (own.unit, raw.doubtful_unit()) {
            (Some(unit), _) => match raw.scaled(unit.mm()) {
                long if long.size_mm() > LONGEST_PANEL_MM => {
                    let size_mm = long.size_mm();
                    return Err(format!(
                        "in that unit it is {size_mm:.0} mm long; a panel is {LONGEST_PANEL_MM:.0} mm or less"
                    ));
                }
                scaled => scaled,
            },
            (None, Some(doubt)) => return Err(format!("{doubt}: say unit = \"mm\", \"cm\", \"m\" or \"in\"")),
            (None, None) => raw,
        };
        let nearest = Nearest::new(&scan).map_err(|error| error.to_string())?;
        let heights = || scan.points_mm.iter().map(|point| point.z);
        let (bottom_mm, top_mm) =
            (heights().fold(f64::INFINITY, f64::min) - 1.0, heights().fold(f64::NEG_INFINITY, f64::max) + 1.0);
        Ok(Self { nearest, bottom_mm, top_mm })
    }

    /// Height over the datum; none where the mesh has nothing.
    fn height_mm(&self, place: DVec2) -> Result<Option<f64>, String> {
        let from = place.extend(self.top_mm);
        let hit = self.nearest.ray(from, DVec3::NEG_Z, self.top_mm - self.bottom_mm);
        match hit.map_err(|error| error.to_string())? {
            Some(hit) if !hit.from_outside => Err(format!(
                "the mesh shows its inside towards z at ({:.1}, {:.1}) mm; z points away from the vehicle: turn the mesh or its faces",
                place.x, place.y
            )),
            hit => Ok(hit.map(|hit| hit.at_mm.z)),
        }
    }
}
