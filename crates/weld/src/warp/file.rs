//! A weld plan as a TOML file.
//!
//! ```toml
//! weld_format = 1
//! name = "roof corner"
//! thickness = "0.9 mm"
//! material = "mild_steel"      # key of the handbook
//! found_by = "papers"          # how the metal was found out: papers, or { trials = { magnet = "sticks" } }
//!
//! [heat]                       # all optional: without any the usual heat of the process is taken, and said
//! process = "tig"              # tig, wire_in_dots, oxy_acetylene
//! current_a = 35.0             # with voltage_v and travel_mm_s; or run_j_mm, the net heat of a run
//! voltage_v = 10.0
//! travel_mm_s = 2.0
//! dot_j = 300.0                # net heat of a tack, plug or spot; default: what the arc brings in dot_s
//! dot_s = 1.0
//! fused_width = "6 mm"         # default: width of the pool (W12)
//!
//! [[seams]]
//! joint = "butt"               # butt with gap, or lap with overlap and dot (hole of a plug, nugget of a spot)
//! gap = "0.3 mm"
//! points = [[0, 150, 0], [600, 150, 0]]    # mm, in the axes of the mesh, on the middle face
//! closed = false
//!
//! [[supports]]                 # none: the panel is computed as free, and that is said
//! kind = "flange"              # flange, wired, neighbour, clamp
//! points = [[0, 0, 0], [600, 0, 0]]        # along the edge; none: all edges. A clamp has one
//! radius = "10 mm"             # of a clamp's pad
//!
//! [search]                     # optional
//! runs = ["25 mm", "50 mm"]    # lengths of run that are tried
//! pitches = ["25 mm"]          # pitches that are tried
//! most_orders = 2400
//! finalists = 10
//! seed = 1
//!
//! [test_strip]                 # optional: a strip of the same metal as the shop welds it; it takes the place of the published spread
//! width = "300 mm"             # whole strip, seam in the middle unless seam_from_middle says otherwise
//! length = "500 mm"            # between the marks along the seam
//! thickness = "0.9 mm"
//! run_j_mm = 100.0             # net heat of the settings used
//! fused_width = "6 mm"
//! gap = "0.3 mm"
//! shortening = "0.18 mm"       # at least one of shortening, bow (with seam_from_middle) and width_loss
//! width_loss = "0.4 mm"
//! reach = "0.02 mm"            # ± of the readings
//!
//! [mesh]                       # optional
//! edge = "10 mm"               # along the weld
//! far_edge = "30 mm"
//! ```

mod test_strip;

use super::WarpError;
use super::heat::PlannedHeat;
use super::plan::{EdgeKind, PanelSupport, PlannedSeam, SeamJoint, WarpPlan, WarpSettings};
use crate::heat::{Arc, usual_heat};
use crate::metal::{FoundBy, WeldMetal};
use crate::panel::SeamLine;
use glam::DVec3;
use handbook::materials::Material;
use handbook::welding::{HeatProcess, thermal};
use handbook::{Concern, Grade, ShopRules};
use mesh::Skin;
use serde::Deserialize;
use units::{Dimension, Reading};

/// What is wrong with a weld file.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum WeldFileError {
    /// It cannot be read.
    #[error("{place}: {what}")]
    Unreadable {
        /// Which line or field.
        place: String,
        /// What is wrong there.
        what: String,
    },
    /// Its plan cannot be computed.
    #[error(transparent)]
    Plan(#[from] WarpError),
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct WeldFile {
    weld_format: u32,
    #[serde(default)]
    name: String,
    thickness: Dimension,
    material: String,
    #[serde(default)]
    found_by: FoundBy,
    #[serde(default)]
    heat: Heat,
    seams: Vec<Seam>,
    #[serde(default)]
    supports: Vec<Support>,
    #[serde(default)]
    search: Search,
    #[serde(default)]
    mesh: Mesh,
    test_strip: Option<test_strip::Strip>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct Heat {
    process: Option<HeatProcess>,
    current_a: Option<f64>,
    voltage_v: Option<f64>,
    travel_mm_s: Option<f64>,
    run_j_mm: Option<f64>,
    dot_j: Option<f64>,
    dot_s: Option<f64>,
    fused_width: Option<Dimension>,
    tack: Option<Dimension>,
}

#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Joint {
    Butt,
    Lap,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Seam {
    joint: Joint,
    points: Vec<[f64; 3]>,
    #[serde(default)]
    closed: bool,
    gap: Option<Dimension>,
    overlap: Option<Dimension>,
    dot: Option<Dimension>,
}

#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(rename_all = "snake_case")]
enum SupportKind {
    Flange,
    Wired,
    Neighbour,
    Clamp,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Support {
    kind: SupportKind,
    #[serde(default)]
    points: Vec<[f64; 3]>,
    radius: Option<Dimension>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct Search {
    runs: Vec<Dimension>,
    pitches: Vec<Dimension>,
    most_orders: Option<usize>,
    finalists: Option<usize>,
    seed: Option<u64>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct Mesh {
    edge: Option<Dimension>,
    far_edge: Option<Dimension>,
}

/// A plan as a file gives it.
#[derive(Debug, Clone)]
pub struct FiledPlan {
    /// Its name.
    pub name: String,
    /// The plan.
    pub plan: WarpPlan,
    /// What was taken because the file does not say it.
    pub concerns: Vec<Concern>,
}

/// Radius of a clamp's pad when none is said, mm.
const PAD_MM: f64 = 10.0;

/// Reads a weld file for a mesh of the middle face.
///
/// # Errors
/// [`WeldFileError`].
pub fn read(text: &str, skin: Skin) -> Result<FiledPlan, WeldFileError> {
    let unreadable = |error: toml::de::Error| {
        let line = error.span().map(|span| text.get(..span.start).unwrap_or("").matches('\n').count() + 1);
        let place = line.map_or_else(|| "the file".to_owned(), |line| format!("line {line}"));
        WeldFileError::Unreadable { place, what: error.message().replace('\n', "; ") }
    };
    let value = toml::Deserializer::parse(text).map_err(unreadable)?;
    let file = WeldFile::deserialize(value).map_err(unreadable)?;
    if file.weld_format != 1 {
        let what = format!("weld_format is {}; this program reads 1", file.weld_format);
        return Err(fault("weld_format", what));
    }
    plan(file, skin)
}

fn fault(place: impl Into<String>, what: impl Into<String>) -> WeldFileError {
    WeldFileError::Unreadable { place: place.into(), what: what.into() }
}

/// A material by its key in the handbook; another word is a metal that is not computed.
fn material(key: &str) -> Result<Material, WeldFileError> {
    Material::deserialize(toml::Value::String(key.trim().to_owned())).map_err(|_| {
        let computed = Material::ALL.iter().filter(|material| thermal(**material).is_some());
        let known = computed.filter_map(|material| toml::Value::try_from(material).ok()?.as_str().map(str::to_owned));
        let known: Vec<String> = known.collect();
        fault("material", format!("\"{key}\": not computed for this metal; {} would be accepted", known.join(", ")))
    })
}

fn length_mm(place: &str, given: Option<&Dimension>, otherwise: f64) -> Result<f64, WeldFileError> {
    given.map_or(Ok(otherwise), |given| {
        given.length_mm(&Reading::default()).map_err(|error| fault(place, error.to_string()))
    })
}

fn plan(file: WeldFile, skin: Skin) -> Result<FiledPlan, WeldFileError> {
    let thickness = file.thickness.thickness_mm(&Reading::default());
    let thickness_mm = thickness.map_err(|error| fault("thickness", error.to_string()))?;
    let metal = WeldMetal::found(material(&file.material)?, file.found_by).map_err(WarpError::from)?;
    let mut concerns = Vec::new();
    let mut heat_concerns = Vec::new();
    let heat = heat(&file.heat, &metal, thickness_mm, &mut heat_concerns)?;
    // the heat of a run matters to a butt, and to dots that have none of their own
    if file.heat.dot_j.is_none() || file.seams.iter().any(|seam| matches!(seam.joint, Joint::Butt)) {
        concerns.append(&mut heat_concerns);
    }
    let seams =
        file.seams.iter().enumerate().map(|(i, seam)| planned(i + 1, seam, thickness_mm)).collect::<Result<_, _>>()?;
    let supports = file.supports.iter().enumerate().map(|(i, support)| support_of(i + 1, support));
    let mut settings = WarpSettings::default();
    settings.edge_mm = length_mm("mesh.edge", file.mesh.edge.as_ref(), settings.edge_mm)?;
    settings.far_edge_mm = length_mm("mesh.far_edge", file.mesh.far_edge.as_ref(), settings.far_edge_mm)?;
    let lengths = |place: &str, given: &[Dimension]| {
        given.iter().map(|length| length_mm(place, Some(length), 0.0)).collect::<Result<Vec<f64>, _>>()
    };
    if !file.search.runs.is_empty() {
        settings.runs_mm = lengths("search.runs", &file.search.runs)?;
    }
    settings.pitches_mm = lengths("search.pitches", &file.search.pitches)?;
    settings.search.most_orders = file.search.most_orders.unwrap_or(settings.search.most_orders);
    settings.search.seed = file.search.seed.unwrap_or(settings.search.seed);
    settings.finalists = file.search.finalists.unwrap_or(settings.finalists);
    let shop = file.test_strip.as_ref().map(|strip| test_strip::factors(strip, &metal)).transpose()?;
    let plan = WarpPlan {
        skin,
        thickness_mm,
        metal,
        seams,
        heat,
        shop: shop.unwrap_or_default(),
        supports: supports.collect::<Result<_, _>>()?,
        settings,
    };
    plan.check()?;
    Ok(FiledPlan { name: file.name, plan, concerns })
}

fn heat(
    given: &Heat,
    metal: &WeldMetal,
    thickness_mm: f64,
    concerns: &mut Vec<Concern>,
) -> Result<PlannedHeat, WeldFileError> {
    let process = given.process.unwrap_or(HeatProcess::Tig);
    let of_run =
        |run_j_mm: f64, travel_mm_s: f64| PlannedHeat::of_run(process, run_j_mm, travel_mm_s, metal, thickness_mm);
    // the travel alone may be the usual one of steel: it is the hand's, not the metal's
    let travel_mm_s = match given.travel_mm_s {
        Some(travel_mm_s) => travel_mm_s,
        None => usual_heat(process, thickness_mm).map_err(WarpError::from)?.travel_mm_s,
    };
    let mut heat = match (given.run_j_mm, given.current_a, given.voltage_v) {
        (Some(run_j_mm), None, None) => of_run(run_j_mm, travel_mm_s)?,
        (None, Some(current_a), Some(voltage_v)) => {
            let arc = Arc { current_a, voltage_v, travel_mm_s };
            of_run(crate::heat::net_heat(&arc, process).map_err(WarpError::from)?.value, travel_mm_s)?
        }
        (None, None, None) => {
            let usual = PlannedHeat::usual(process, metal, thickness_mm)?;
            concerns.push(heat_taken(process, usual.run_j_mm));
            PlannedHeat { travel_mm_s, ..usual }
        }
        _ => return Err(fault("heat", "give run_j_mm alone, or current_a with voltage_v, or neither")),
    };
    if given.fused_width.is_some() {
        heat.fused_width_mm = length_mm("heat.fused_width", given.fused_width.as_ref(), 0.0)?;
    }
    if let Some(dot_s) = given.dot_s {
        (heat.dot_s, heat.dot_j) = (dot_s, heat.dot_j * dot_s / heat.dot_s);
    }
    heat.dot_given = given.dot_j.is_some();
    heat.dot_j = given.dot_j.unwrap_or(heat.dot_j);
    heat.tack_mm = length_mm("heat.tack", given.tack.as_ref(), heat.tack_mm)?;
    Ok(heat)
}

fn heat_taken(process: HeatProcess, run_j_mm: f64) -> Concern {
    Concern {
        key: "heat-taken".into(),
        grade: Grade::Note,
        place: "the weld".into(),
        what: format!("No heat is given: {run_j_mm:.0} J/mm net is taken, as is usual for {}.", process.name()),
        why: "Shrinkage is in proportion to the heat.".into(),
        what_to_do: "Give current, voltage and travel, or weld the test strip.".into(),
        lifted_by: None,
        source: "H14: common practice, no source".into(),
    }
}

fn planned(number: usize, seam: &Seam, thickness_mm: f64) -> Result<PlannedSeam, WeldFileError> {
    let place = |field: &str| format!("seam {number}, {field}");
    let joint = match seam.joint {
        Joint::Butt => {
            if seam.overlap.is_some() || seam.dot.is_some() {
                return Err(fault(place("joint"), "overlap and dot belong to a lap; a butt has a gap"));
            }
            SeamJoint::Butt { gap_mm: length_mm(&place("gap"), seam.gap.as_ref(), 0.0)? }
        }
        Joint::Lap => {
            if seam.gap.is_some() {
                return Err(fault(place("joint"), "a gap belongs to a butt; a lap has an overlap and dots"));
            }
            let [usual_overlap_mm, usual_dot_mm] = SeamJoint::usual_lap_mm(thickness_mm, &ShopRules::default())?;
            let overlap_mm = length_mm(&place("overlap"), seam.overlap.as_ref(), usual_overlap_mm)?;
            let dot_mm = length_mm(&place("dot"), seam.dot.as_ref(), usual_dot_mm)?;
            SeamJoint::Lap { overlap_mm, dot_mm }
        }
    };
    let points_mm = seam.points.iter().map(|point| DVec3::from_array(*point)).collect();
    Ok(PlannedSeam { line: SeamLine { points_mm, closed: seam.closed }, joint })
}

fn support_of(number: usize, support: &Support) -> Result<PanelSupport, WeldFileError> {
    let points_mm: Vec<DVec3> = support.points.iter().map(|point| DVec3::from_array(*point)).collect();
    if points_mm.iter().any(|point| !point.is_finite()) {
        return Err(fault(format!("support {number}, points"), "a coordinate is not finite; give mm"));
    }
    let kind = match support.kind {
        SupportKind::Flange => EdgeKind::Flange,
        SupportKind::Wired => EdgeKind::Wired,
        SupportKind::Neighbour => EdgeKind::Neighbour,
        SupportKind::Clamp => {
            let [at_mm] = points_mm[..] else {
                return Err(fault(format!("support {number}, points"), "a clamp has one point"));
            };
            let radius_mm = length_mm(&format!("support {number}, radius"), support.radius.as_ref(), PAD_MM)?;
            return Ok(PanelSupport::Clamp { at_mm, radius_mm });
        }
    };
    Ok(PanelSupport::Edge { kind, points_mm })
}
