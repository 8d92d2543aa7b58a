//! `soundmetal surface`: a panel surface fitted to measured stations or points, with its reach.

use super::face::WhichFace;
use super::figures::{Manner, json_text};
use super::long_answer::{self, LongAnswer};
use super::mesh_file::PointsUnit;
use super::progress;
use super::stop::Stop;
use super::whole_files::WholeFile;
use crate::failure::{Failure, Kind};
use clap::Args;
use glam::DVec3;
use handbook::{Concern, Grade};
use mesh::export::{self, PointNumbers};
use mesh::import::{self, MeshFormat};
use mesh::notes::NOT_TO_CUT_FROM;
use numerics::spline::Smoothing;
use numerics::{Cancel, leave};
use serde::Serialize;
use std::fmt::Write as _;
use std::fs;
use std::path::PathBuf;
use survey::points::{self, PointSettings};
use survey::{Face, FitSettings, Measured, SkinSettings, SurfaceFit, SurfaceSkin, SurveyError, stations};

/// A surface fitted to measured stations or points, with reach.
#[derive(Debug, Clone, Args)]
pub struct Surface {
    /// Stations of a contour gauge (.toml), or points: x y z [reach] on each line (.txt, .csv, .xyz), or a mesh file (.ply, .stl, .obj)
    measured: PathBuf,
    /// Mesh to write; its name ends in .ply (with the reach of every point), .stl or .obj
    #[arg(short, long, value_name = "MESH")]
    out: PathBuf,
    /// Target edge of the triangles [default: a fortieth of the panel's length]
    #[arg(long, value_name = "LENGTH")]
    edge: Option<String>,
    /// Largest distance between surface and triangles
    #[arg(long, value_name = "LENGTH", default_value = "0.05 mm")]
    tolerance: String,
    /// How much is smoothed: auto (each reading foretold best by the others), reach (as far as the reaches allow), or a number
    #[arg(long, value_name = "auto|reach|NUMBER", default_value = "auto")]
    smoothing: String,
    /// Reach of a point that has none of its own (points only) [default: 0.5 mm]
    #[arg(long, value_name = "LENGTH")]
    reach: Option<String>,
    /// Unit of the numbers in a file of points [default: mm, and a size that is no panel's is refused]
    #[arg(long, value_enum, value_name = "UNIT")]
    points_unit: Option<PointsUnit>,
    /// Which face of the sheet the points lie on (stations say it themselves) [default: outside]
    #[arg(long, value_enum, value_name = "FACE")]
    face: Option<WhichFace>,
    /// A direction towards the outside, in the axes of the points [default: the side of the mesh's faces, or the proud side]
    #[arg(long, value_name = "X,Y,Z", value_delimiter = ',', num_args = 1.., allow_hyphen_values = true)]
    outward: Vec<f64>,
    /// Writes the mesh in spite of a stop, marked so that nothing is cut from it (.ply and .obj only)
    #[arg(long)]
    anyway: bool,
    #[command(flatten)]
    manner: Manner,
}

/// A panel of a larger crown radius is flat: over half a metre it rises by less than 0.04 mm.
const FLAT_FROM_MM: f64 = 1e6;

/// What `--json` prints.
#[derive(Debug, Serialize)]
struct Answer {
    face: Face,
    readings: usize,
    stations: usize,
    /// Without unit.
    smoothing: f64,
    unknowns_fixed: f64,
    scatter_over_reach: f64,
    residual_rms_mm: f64,
    residual_largest_mm: f64,
    residual_largest_at: String,
    reach_usual_mm: f64,
    reach_largest_mm: f64,
    crown_radii_middle_mm: [Option<f64>; 2],
    area_mm2: f64,
    edge_mm: f64,
    tolerance_mm: f64,
    points: usize,
    triangles: usize,
    frame: Axes,
    residuals: Vec<Residual>,
    concerns: Vec<Concern>,
    /// False where a stop keeps the mesh back.
    mesh_written: bool,
}

impl Answer {
    fn stop(&self) -> Option<&Concern> {
        self.concerns.iter().find(|concern| concern.grade == Grade::Stop)
    }
}

/// The datum plane in the axes of the mesh.
#[derive(Debug, Serialize)]
struct Axes {
    origin_mm: [f64; 3],
    along: [f64; 3],
    across: [f64; 3],
    outward: [f64; 3],
}

/// One reading against the surface.
#[derive(Debug, Serialize)]
struct Residual {
    at: String,
    along_mm: f64,
    across_mm: f64,
    residual_mm: f64,
    reach_mm: f64,
}

/// Runs the command.
pub fn run(asked: &Surface) -> Result<(), Failure> {
    let own = asked.clone();
    long_answer::run("do not cut from this surface", move |cancel| worked_out(&own, cancel))
}

fn worked_out(asked: &Surface, cancel: &Cancel) -> Result<LongAnswer, Failure> {
    let place = asked.out.display().to_string();
    let format = MeshFormat::of_name(&place).ok_or_else(|| {
        Failure::bad_input(format!("--out is {place}; a name that ends in .ply, .stl or .obj is accepted"))
    })?;
    let settings = FitSettings { smoothing: smoothing(&asked.smoothing)? };
    let tolerance_mm = asked.manner.length_mm("--tolerance", &asked.tolerance)?;
    let edge_mm = asked.edge.as_ref().map(|edge| asked.manner.length_mm("--edge", edge)).transpose()?;
    let measured = measured(asked)?;
    let shown = leave::until_cancelled(&progress::shown("surface"), cancel);
    let done = survey::fit(measured, &settings, &shown.part(0.0, 0.7), cancel).and_then(|fit| {
        let default = fit.default_skin_settings();
        let settings = SkinSettings { edge_mm: edge_mm.unwrap_or(default.edge_mm), tolerance_mm };
        let skin = fit.skin(&settings, &shown.part(0.7, 1.0), cancel)?;
        Ok((fit, skin, settings))
    });
    let (fit, skin, settings) = done.map_err(|error| failure(&error, asked))?;
    let mut answer = answer(&fit, &skin, &settings);
    let stop = answer.stop().cloned();
    if stop.is_some() && asked.anyway && format == MeshFormat::Stl {
        return Err(Failure::bad_input(format!(
            "--out is {place}; an STL cannot carry the mark that nothing is to be cut from it"
        ))
        .hint("write a .ply or .obj"));
    }
    answer.mesh_written = stop.is_none() || asked.anyway;
    let files = if answer.mesh_written {
        vec![WholeFile { path: asked.out.clone(), bytes: bytes(format, &fit, &skin, stop.as_ref())? }]
    } else {
        Vec::new()
    };
    let words = if asked.manner.json { json_text(&answer)? } else { text(&answer, asked) };
    Ok(LongAnswer { files, words, stop })
}

fn failure(error: &SurveyError, asked: &Surface) -> Failure {
    match error {
        SurveyError::Cancelled(_) => Stop::stopped(),
        error => Failure::bad_input(error.to_string()).in_place(asked.measured.display()),
    }
}

fn smoothing(text: &str) -> Result<Smoothing, Failure> {
    match text {
        "auto" => Ok(Smoothing::CrossValidation),
        "reach" => Ok(Smoothing::Discrepancy),
        number => match number.parse() {
            Ok(number) if f64::is_finite(number) && number > 0.0 => Ok(Smoothing::Given(number)),
            _ => Err(Failure::bad_input(format!(
                "--smoothing is {number}; auto, reach or a number more than 0 is accepted"
            ))),
        },
    }
}

fn measured(asked: &Surface) -> Result<Measured, Failure> {
    let place = asked.measured.display().to_string();
    let ending = asked.measured.extension().map(|ending| ending.to_ascii_lowercase()).unwrap_or_default();
    if ending == "toml" {
        if asked.reach.is_some() || asked.points_unit.is_some() || asked.face.is_some() || !asked.outward.is_empty() {
            return Err(Failure::bad_input("--reach, --points-unit, --face and --outward belong to points")
                .hint("a file of stations says reach, unit and face itself; its outside is up"));
        }
        return stations::read(&text_of(asked)?).map_err(|error| failure(&error, asked));
    }
    let settings = point_settings(asked)?;
    let measured = if let Some(format) = MeshFormat::of_name(&place) {
        let mesh = import::read(&bytes_of(asked)?, format);
        let skin = mesh.map_err(|error| Failure::bad_input(error.to_string()).in_place(&place))?;
        points::of_skin(&skin, &settings)
    } else {
        points::read(&text_of(asked)?, &settings)
    };
    measured.map_err(|error| {
        let failure = failure(&error, asked);
        let size =
            matches!(&error, SurveyError::Faults(faults) if faults.iter().any(|fault| fault.message.contains("25.4")));
        if size { failure.hint("say --points-unit mm, cm, m or in") } else { failure }
    })
}

fn point_settings(asked: &Surface) -> Result<PointSettings, Failure> {
    let outward = match asked.outward.as_slice() {
        [] => None,
        &[x, y, z] if DVec3::new(x, y, z).is_finite() && DVec3::new(x, y, z) != DVec3::ZERO => {
            Some(DVec3::new(x, y, z))
        }
        _ => return Err(Failure::bad_input("--outward takes three numbers, not all 0, as in --outward 0,0,1")),
    };
    let reach_mm = asked.reach.as_ref().map(|reach| asked.manner.length_mm("--reach", reach)).transpose()?;
    Ok(PointSettings {
        unit_mm: asked.points_unit.map(PointsUnit::mm),
        reach_mm,
        face: asked.face.map_or(Face::Outside, Face::from),
        outward,
    })
}

fn bytes_of(asked: &Surface) -> Result<Vec<u8>, Failure> {
    let bytes = fs::read(&asked.measured).map_err(|error| {
        Failure::bad_input(format!("the file cannot be read: {error}"))
            .in_place(asked.measured.display())
            .hint("name a file that is there")
    })?;
    if bytes.len() > import::MOST_BYTES {
        let message =
            format!("the file has {} bytes; at most {} are taken: thin it out", bytes.len(), import::MOST_BYTES);
        return Err(Failure::new(Kind::TooLarge, message).in_place(asked.measured.display()));
    }
    Ok(bytes)
}

fn text_of(asked: &Surface) -> Result<String, Failure> {
    String::from_utf8(bytes_of(asked)?).map_err(|_| {
        Failure::bad_input("the file is no text in UTF-8")
            .in_place(asked.measured.display())
            .hint("stations are TOML, points x y z on each line; a mesh ends in .ply, .stl or .obj")
    })
}

/// The mesh as a file, with what must be known of it.
fn bytes(format: MeshFormat, fit: &SurfaceFit, skin: &SurfaceSkin, stop: Option<&Concern>) -> Result<Vec<u8>, Failure> {
    let face = format!("{} face of the sheet, mm", fit.measured.face.word());
    let mark = stop.map(|stop| {
        let said = format!("{NOT_TO_CUT_FROM}: {}: {}", stop.place, stop.what);
        // a comment of a PLY is plain letters
        said.replace('±', "+-").split_whitespace().collect::<Vec<_>>().join(" ")
    });
    let notes: Vec<&str> = std::iter::once(face.as_str()).chain(mark.as_deref()).collect();
    let reach = PointNumbers { name: "reach_mm", values: &skin.reach_mm };
    export::write(&skin.skin, format, &notes, Some(reach)).map_err(Failure::machine)
}

fn answer(fit: &SurfaceFit, skin: &SurfaceSkin, settings: &SkinSettings) -> Answer {
    let measured = &fit.measured;
    let mut reaches = skin.reach_mm.clone();
    reaches.sort_by(f64::total_cmp);
    let furthest = fit.furthest();
    let residuals = fit.residuals_mm();
    let residual_rows = measured.readings.iter().zip(residuals).map(|(reading, residual_mm)| Residual {
        at: measured.place(reading),
        along_mm: reading.u_mm,
        across_mm: reading.v_mm,
        residual_mm: *residual_mm,
        reach_mm: reading.reach_mm,
    });
    let middle = measured.outline_mm.iter().sum::<glam::DVec2>() / measured.outline_mm.len().max(1) as f64;
    let frame = &measured.frame;
    Answer {
        face: measured.face,
        readings: measured.readings.len(),
        stations: measured.stations_mm.len(),
        smoothing: fit.surface.smoothing(),
        unknowns_fixed: fit.surface.effective_unknowns(),
        scatter_over_reach: fit.surface.scatter(),
        residual_rms_mm: fit.rms_mm(),
        residual_largest_mm: residuals.get(furthest).copied().unwrap_or(0.0),
        residual_largest_at: measured.readings.get(furthest).map(|reading| measured.place(reading)).unwrap_or_default(),
        reach_usual_mm: reaches.get(reaches.len() / 2).copied().unwrap_or(0.0),
        reach_largest_mm: reaches.last().copied().unwrap_or(0.0),
        crown_radii_middle_mm: fit
            .crown_radii_mm(middle.x, middle.y)
            .map(|radius| Some(radius).filter(|radius| radius.abs() <= FLAT_FROM_MM)),
        area_mm2: skin.skin.area_mm2(),
        edge_mm: settings.edge_mm,
        tolerance_mm: settings.tolerance_mm,
        points: skin.skin.points_mm.len(),
        triangles: skin.skin.triangles.len(),
        frame: Axes {
            origin_mm: frame.origin_mm.to_array(),
            along: frame.along.to_array(),
            across: frame.across.to_array(),
            outward: frame.outward.to_array(),
        },
        residuals: residual_rows.collect(),
        concerns: fit.concerns.iter().chain(&skin.concerns).cloned().collect(),
        mesh_written: true,
    }
}

/// A name as a shell takes it.
fn quoted(name: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || "/._-+:\\".contains(c);
    if name.chars().all(plain) { name.to_owned() } else { format!("\"{name}\"") }
}

fn text(answer: &Answer, asked: &Surface) -> String {
    let row = |name: &str, value: f64, unit: &str| asked.manner.row(name, value, unit);
    let of = if answer.stations > 0 { format!(" at {} stations", answer.stations) } else { String::new() };
    let mut text = format!("{} readings{of}, {} face\n", answer.readings, answer.face.word());
    text += &row("residual, root mean square", answer.residual_rms_mm, "mm");
    text += &row("residual, largest", answer.residual_largest_mm, "mm");
    let _ = writeln!(text, "  at {}", answer.residual_largest_at);
    text += &row("scatter over the reach told", answer.scatter_over_reach, "");
    text += &row("reach of the surface, usual ±", answer.reach_usual_mm, "mm");
    text += &row("reach of the surface, largest ±", answer.reach_largest_mm, "mm");
    text += &row("smoothing", answer.smoothing, "");
    for (name, radius) in ["crown radius in the middle, tight", "crown radius in the middle, wide"]
        .iter()
        .zip(answer.crown_radii_middle_mm)
    {
        text += &radius.map_or_else(|| format!("{name:<34} {:>12}\n", "flat"), |radius| row(name, radius, "mm"));
    }
    text += &row("area", answer.area_mm2, "mm²");
    for concern in &answer.concerns {
        let grade = match concern.grade {
            Grade::Note => "note",
            Grade::Caution => "caution",
            Grade::Stop => "stop",
        };
        let _ = writeln!(text, "{grade}: {}: {}; {}; {}", concern.place, concern.what, concern.why, concern.what_to_do);
    }
    let out = asked.out.display().to_string();
    let size = format!("{} triangles, {} points", answer.triangles, answer.points);
    let _ = match (answer.stop(), answer.mesh_written) {
        (None, _) => writeln!(
            text,
            "{out}: {size}; for the flat of 0.9 mm sheet: soundmetal flatten {} --thickness 0.9mm --face {}",
            quoted(&out),
            answer.face.word()
        ),
        (Some(_), true) => writeln!(text, "{out}: {size}; to look at only: it is marked, and flatten refuses it"),
        (Some(_), false) => writeln!(
            text,
            "{out} is not written: mend the readings first (--anyway writes it to look at, marked not to be cut from)"
        ),
    };
    text
}
