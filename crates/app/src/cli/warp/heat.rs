//! The heat of a weld plan: the caution before the search, the map behind it, its file.

use crate::failure::Failure;
use handbook::welding::heat_outside_envelope;
use handbook::{Concern, Grade};
use mesh::export::{self, PointNumbers};
use mesh::import::MeshFormat;
use numerics::{Cancel, Progress};
use std::fmt::Write as _;
use std::path::PathBuf;
use weld::heat_map::{HeatMap, HeatMapError, RunAdvice, heat_map, passes_of, run_advice};
use weld::warp::{SeamJoint, WarpPlan, WarpResult};

use super::super::stop::Stop;
use crate::cli::whole_files::WholeFile;

/// The caution for a heat that is not usual (H14), before minutes are spent on it. Heat given for dots alone is not judged by it.
pub fn caution(plan: &WarpPlan) -> Result<Option<Concern>, Failure> {
    let runs = plan.seams.iter().any(|seam| matches!(seam.joint, SeamJoint::Butt { .. }));
    let Some(process) = plan.heat.process.filter(|_| plan.metal.material.is_steel()) else { return Ok(None) };
    if !runs && plan.heat.dot_given {
        return Ok(None);
    }
    heat_outside_envelope(process, plan.thickness_mm, plan.heat.run_j_mm)
        .map_err(|error| Failure::bad_input(error.to_string()))
}

/// Says a caution on stderr at once, so that the work can be stopped before it is done in vain.
pub fn say_at_once(concern: &Concern) {
    eprintln!("caution: {}: {}; {}; {}", concern.place, concern.what, concern.why, concern.what_to_do);
}

/// How long the runs of a butt may be; `None` without one, and where it cannot be told.
pub fn runs(plan: &WarpPlan, progress: &Progress, cancel: &Cancel) -> Result<Option<RunAdvice>, Failure> {
    match run_advice(plan, progress, cancel) {
        Ok(runs) => Ok(runs),
        Err(HeatMapError::Cancelled(_)) => Err(Stop::stopped()),
        Err(error) => {
            eprintln!("run lengths are not worked out: {error}");
            Ok(None)
        }
    }
}

/// Run lengths in a few lines.
pub fn runs_text(runs: &RunAdvice) -> String {
    let mut text = format!(
        "run lengths along weld line {}, by conduction in this panel, runs in the habit of the trade, tacks cold: mm, runs, longest pause s (wide sheet), whole seam min\n",
        runs.seam
    );
    for (at, own) in runs.tried.iter().enumerate() {
        let taken = if runs.best == Some(at) { "  soonest done of those that stay cool" } else { "" };
        let warm = if own.cool_enough { "" } else { "  too warm" };
        let _ = writeln!(
            text,
            "{:>8.1} {:>4} {:>8.0} ({:.0}) {:>8.1}{taken}{warm}",
            own.length_mm,
            own.runs,
            own.longest_pause_s,
            own.wide_sheet_pause_s,
            own.total_s / 60.0
        );
    }
    text
}

/// How hot the panel gets in the order found. Where that cannot be told it is a caution: the warp is no worse for it.
pub fn of(
    plan: &WarpPlan,
    result: &WarpResult,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<Result<HeatMap, Concern>, Failure> {
    let found = passes_of(plan, &result.found.table.steps).and_then(|welds| heat_map(plan, &welds, progress, cancel));
    match found {
        Ok(map) => Ok(Ok(map)),
        Err(HeatMapError::Cancelled(_)) => Err(Stop::stopped()),
        Err(other) => Ok(Err(not_told(&other))),
    }
}

fn not_told(error: &HeatMapError) -> Concern {
    Concern {
        key: "heat-map-failed".into(),
        grade: Grade::Caution,
        place: "heat".into(),
        what: format!("How hot the panel gets was not computed: {error}."),
        why: "What burns or softens beside the weld is not known then.".into(),
        what_to_do: "Keep paint, sealer, glue, lead and glass well away from the weld, and mend what is named here."
            .into(),
        lifted_by: None,
        source: "computed".into(),
    }
}

/// Where the map is written.
#[derive(Debug, Clone)]
pub struct HeatFile {
    path: PathBuf,
    table: bool,
}

impl HeatFile {
    /// A file by its ending.
    ///
    /// # Errors
    /// Another ending than .ply and .csv.
    pub fn named(path: PathBuf) -> Result<Self, Failure> {
        let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
        match ending.as_str() {
            "ply" => Ok(Self { path, table: false }),
            "csv" => Ok(Self { path, table: true }),
            _ => Err(Failure::bad_input(format!(
                "--heat-map is {}; a name that ends in .ply or .csv is accepted",
                path.display()
            ))),
        }
    }

    /// The file with its numbers.
    pub fn write(self, map: &HeatMap) -> Result<WholeFile, Failure> {
        if self.table {
            return Ok(WholeFile::text(self.path, csv(map)));
        }
        let notes =
            ["middle face of the sheet, mm; highest temperature of each point, melting stands for all that is molten"];
        let numbers = PointNumbers { name: "peak_c", values: &map.peak_c };
        let bytes = export::write(&map.skin, MeshFormat::Ply, &notes, Some(numbers)).map_err(Failure::machine)?;
        Ok(WholeFile { path: self.path, bytes })
    }
}

fn csv(map: &HeatMap) -> String {
    let mut text = String::from("x_mm,y_mm,z_mm,peak_c\n");
    for (at, peak) in map.skin.points_mm.iter().zip(&map.peak_c) {
        let _ = writeln!(text, "{:.3},{:.3},{:.3},{peak:.1}", at.x, at.y, at.z);
    }
    text
}

/// The map in a few lines.
pub fn text(map: &HeatMap) -> String {
    let mut text = String::from(
        "highest temperatures in the order found: what, from °C, out to (mm from the weld line), usually\n",
    );
    for limit in &map.limits {
        let more = if limit.to_the_end { " and on beyond the mesh" } else { "" };
        let _ = writeln!(
            text,
            "{:<32} {:>6.0} {:>8.1} {:>8.1}  {}{more}",
            limit.name, limit.from_c, limit.farthest_mm, limit.usual_mm, limit.what_happens
        );
    }
    if let Some(start) = map.hottest_start {
        let (at, number, limit) = (start.at_c, start.number, map.start_limit_c);
        let _ = writeln!(
            text,
            "{:<34} {at:>12.0} °C, weld {number} (wanted at most {limit:.0} °C)",
            "warmest start of a weld"
        );
    }
    let fine = if map.mesh.fine_enough { "" } else { "; too coarse beside the weld: there only the order of size" };
    let _ = writeln!(
        text,
        "faces taken as {} (emissivity {}, textbook value from memory); mesh {:.1} mm beside the weld, up to {:.0} mm away{fine}; within {:.0} % of the closed form from {:.0} mm on",
        map.surface.name(),
        map.surface.emissivity(),
        map.mesh.beside_mm,
        map.mesh.far_mm,
        100.0 * weld::heat_map::ERROR_BESIDE,
        weld::heat_map::BESIDE_MM
    );
    text
}
