//! `soundmetal warp`: what a weld plan does to a panel, and in which order to weld.

mod heat;
mod report;

use super::face::WhichFace;
use super::figures::json_text;
use super::long_answer::{self, LongAnswer};
use super::mesh_file::{self, PointsUnit};
use super::progress;
use super::stop::Stop;
use super::whole_files::WholeFile;
use crate::failure::Failure;
use clap::Args;
use handbook::{Concern, Grade};
use mesh::export::{self, PointNumbers};
use mesh::import::MeshFormat;
use numerics::{Cancel, leave};
use packet::drawing::LengthFormat;
use packet::{Drawing, drawings};
use report::Report;
use section::Face;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Instant;
use units::LengthUnit;
use weld::warp::file::{FiledPlan, WeldFileError, read};
use weld::warp::shape_map::ShapeMap;
use weld::warp::{Comparison, Prepared, SeamJoint, WarpError, WarpPlan, WarpResult, WarpShape};

/// Buckling margin and warp of a weld plan, and the order of its tacks and runs.
#[derive(Debug, Clone, Args)]
pub struct Warp {
    /// Mesh of the panel with the section in its place (.ply, .stl or .obj), triangles anticlockwise seen from the outside
    mesh: PathBuf,
    /// The weld plan (.toml): lines, joint, heat, sheet, supports
    weld: PathBuf,
    /// Which face of the sheet the mesh is
    #[arg(long, value_enum, default_value = "middle")]
    face: WhichFace,
    /// Unit of the mesh's numbers
    #[arg(long, value_enum, value_name = "UNIT")]
    mesh_unit: Option<PointsUnit>,
    /// Sets lap against butt on the same lines: both are computed by the trade habit
    #[arg(long)]
    lap_against_butt: bool,
    /// Writes the joined mesh with the deflection of every point (.ply), or moved by it (.obj, .stl)
    #[arg(long, value_name = "MESH")]
    out_mesh: Option<PathBuf>,
    /// Draws the joined panel as it comes to rest (.svg): lines of one deflection, the highest and lowest place, where to planish
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    /// Writes how hot each point gets when it is welded in the order found: a mesh (.ply), or a table (.csv)
    #[arg(long, value_name = "FILE")]
    heat_map: Option<PathBuf>,
    /// Print JSON: mm, N, J, °C, s, under keys that say so
    #[arg(long)]
    json: bool,
}

/// Runs the command.
pub fn run(asked: &Warp) -> Result<(), Failure> {
    let own = asked.clone();
    long_answer::run("do not weld this", move |cancel| answer(&own, cancel))
}

fn answer(asked: &Warp, cancel: &Cancel) -> Result<LongAnswer, Failure> {
    let format = asked.out_mesh.as_deref().map(format_of).transpose()?;
    let heat_file = asked.heat_map.clone().map(heat::HeatFile::named).transpose()?;
    let skin = mesh_file::read(&asked.mesh, asked.mesh_unit)?;
    let text = fs::read_to_string(&asked.weld).map_err(|error| {
        Failure::bad_input(format!("the file cannot be read: {error}"))
            .in_place(asked.weld.display())
            .hint("name a weld plan (.toml) that is there")
    })?;
    let FiledPlan { name, mut plan, concerns } = read(&text, skin).map_err(|error| refused(error, asked))?;
    plan.skin = mesh_file::at_middle(&plan.skin, Face::from(asked.face), plan.thickness_mm);
    let early = heat::caution(&plan)?;
    early.iter().for_each(heat::say_at_once);
    let shown = leave::until_cancelled(&progress::shown("warp"), cancel);
    let failed = |error: WarpError| refused(WeldFileError::Plan(error), asked);
    let mut prepared = Prepared::new(plan.clone(), &shown.part(0.0, 0.2), cancel).map_err(failed)?;
    let begun = Instant::now();
    let found = prepared.search(&shown.part(0.2, 0.4), cancel).map_err(failed)?;
    let seconds = begun.elapsed().as_secs_f64();
    let finished = if asked.lap_against_butt { 0.75 } else { 0.9 };
    let mut result = prepared.finish(&found, &shown.part(0.4, finished), cancel).map_err(failed)?;
    let told = |own: &handbook::Concern| result.concerns.iter().all(|other| other.key != own.key);
    let early = early.filter(told);
    result.concerns.splice(0..0, concerns.into_iter().chain(early));
    let comparison = if asked.lap_against_butt {
        let (lap, butt) = joints(plan.seams.first().map(|seam| seam.joint), plan.thickness_mm).map_err(failed)?;
        Some(prepared.lap_against_butt(lap, butt, &shown.part(0.75, 0.9), cancel).map_err(failed)?)
    } else {
        None
    };
    let heat = heat::of(&plan, &result, &shown.part(0.9, 0.95), cancel)?;
    let runs = match heat_file {
        Some(_) => heat::runs(&plan, &shown.part(0.95, 1.0), cancel)?,
        None => None,
    };
    let mut files = match (&asked.out_mesh, format, &result.shape) {
        (Some(path), Some(format), Some(shape)) => {
            vec![WholeFile { path: path.clone(), bytes: warped(shape, format)? }]
        }
        (Some(path), _, None) => {
            result.concerns.push(no_shape(path, "mesh"));
            Vec::new()
        }
        _ => Vec::new(),
    };
    if let Some(path) = &asked.svg {
        match drawn(&name, &plan, &result) {
            Some(drawing) => files.extend(WholeFile::of_drawing(&drawing, None, Some(path.clone()))?),
            None => result.concerns.push(no_shape(path, "drawing")),
        }
    }
    result.concerns.extend(comparison.iter().flat_map(|comparison| comparison.concerns.iter().cloned()));
    let heat = match heat {
        Ok(map) => {
            files.extend(heat_file.map(|file| file.write(&map)).transpose()?);
            result.concerns.extend(map.concerns.iter().cloned());
            Some(map)
        }
        // a file that was asked for and is not there must not look like success
        Err(concern) if heat_file.is_some() => return Err(Failure::bad_input(concern.what)),
        Err(concern) => {
            result.concerns.push(concern);
            None
        }
    };
    let stop = result.concerns.iter().find(|concern| concern.grade == Grade::Stop).cloned();
    let report = Report::new(&name, &plan, &result, seconds, comparison, heat.as_ref(), runs.as_ref());
    let words = if asked.json { json_text(&report)? } else { report.text() };
    Ok(LongAnswer { files, words, stop })
}

/// Lap and butt to compare: the plan's own, and the usual other.
fn joints(own: Option<SeamJoint>, thickness_mm: f64) -> Result<(SeamJoint, SeamJoint), WarpError> {
    let [overlap_mm, dot_mm] = SeamJoint::usual_lap_mm(thickness_mm, &handbook::ShopRules::default())?;
    let (usual_lap, usual_butt) = (SeamJoint::Lap { overlap_mm, dot_mm }, SeamJoint::usual_butt(thickness_mm));
    Ok(match own {
        Some(lap @ SeamJoint::Lap { .. }) => (lap, usual_butt),
        Some(butt @ SeamJoint::Butt { .. }) => (usual_lap, butt),
        None => (usual_lap, usual_butt),
    })
}

fn refused(error: WeldFileError, asked: &Warp) -> Failure {
    match error {
        WeldFileError::Plan(WarpError::Cancelled(_)) => Stop::stopped(),
        WeldFileError::Plan(WarpError::Panel(error)) => {
            Failure::bad_input(error.to_string()).in_place(asked.mesh.display())
        }
        error => Failure::bad_input(error.to_string()).in_place(asked.weld.display()),
    }
}

fn format_of(path: &Path) -> Result<MeshFormat, Failure> {
    let name = path.display().to_string();
    MeshFormat::of_name(&name).ok_or_else(|| {
        Failure::bad_input(format!("--out-mesh is {name}; a name that ends in .ply, .obj or .stl is accepted"))
    })
}

/// The joined mesh: with the deflection beside every point, or moved by it where the format has no room for numbers.
fn warped(shape: &WarpShape, format: MeshFormat) -> Result<Vec<u8>, Failure> {
    let mut skin = shape.skin.clone();
    let note = "middle face of the sheet, mm; deflection along the outward normal";
    let numbers =
        (format == MeshFormat::Ply).then_some(PointNumbers { name: "deflection_mm", values: &shape.normal_mm });
    if numbers.is_none() {
        let normals = skin.point_normals();
        for ((point, normal), by) in skin.points_mm.iter_mut().zip(normals).zip(&shape.normal_mm) {
            *point += normal * *by;
        }
    }
    export::write(&skin, format, &[note], numbers).map_err(Failure::machine)
}

/// Size of the drawing, mm.
const DRAWN_MM: [f64; 2] = [260.0, 170.0];

/// The panel as it comes to rest; none where no such shape was found.
fn drawn(name: &str, plan: &WarpPlan, result: &WarpResult) -> Option<Drawing> {
    let map = ShapeMap::found(result, &plan.seams, LengthUnit::Millimetre)?;
    let title = if name.is_empty() { "panel" } else { name };
    let reader = LengthFormat::Millimetres { decimals: 1 };
    let skin = &result.shape.as_ref()?.skin;
    Some(drawings::warp_shape_of_skin(title, skin, &map, reader, DRAWN_MM))
}

fn no_shape(path: &Path, what: &str) -> Concern {
    Concern {
        key: format!("warp-no-{what}"),
        grade: Grade::Caution,
        place: path.display().to_string(),
        what: format!("No {what} was written: no shape was found in which the panel rests."),
        why: "A shape under a part of the shrinkage would look like little warp.".into(),
        what_to_do: "Weld with less heat, hold the edges, or take another joint.".into(),
        lifted_by: None,
        source: "computed".into(),
    }
}
