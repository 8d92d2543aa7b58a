//! `soundmetal allowance`: developed width and strain of one edge.

use super::bend::rule_failure;
use super::figures::{self, Manner, angle_rad, json_text, working_rows};
use crate::failure::{Failure, Kind};
use blank::strip::StripSettings;
use clap::{Args, Subcommand, ValueEnum};
use handbook::bend::{Bend, Rule, allowance};
use handbook::edges::{BendLine, CurvedFlange, Hem, Joggle, Ramp, WireEdge, WireRule};
use handbook::{Grade, Working};
use serde_json::{Value, json};
use units::bend_from_opening_rad;

/// Developed width and strain of one edge.
#[derive(Debug, Subcommand)]
pub enum Allowance {
    /// Edge wrapped round a wire
    Wired(Wired),
    /// Step with a lap, so that outside faces are flush
    Joggle(JoggleOf),
    /// Edge folded back on itself
    Hem(HemOf),
    /// Flange, on a straight or a curved line
    Flange(FlangeOf),
}

/// A wired edge.
#[derive(Debug, Args)]
pub struct Wired {
    /// Wire: diameter or gauge
    #[arg(long, value_name = "D", allow_hyphen_values = true)]
    wire: String,
    /// Sheet thickness
    #[arg(long, value_name = "T", allow_hyphen_values = true)]
    thickness: String,
    /// Wrap angle [default: 270°]
    #[arg(long, value_name = "A", allow_hyphen_values = true)]
    wrap: Option<String>,
    #[command(flatten)]
    manner: Manner,
}

/// A joggle.
#[derive(Debug, Args)]
pub struct JoggleOf {
    /// Depth: the thickness cleared
    #[arg(long, value_name = "J", allow_hyphen_values = true)]
    depth: String,
    /// Run of the ramp [default: 5 × depth]
    #[arg(long, value_name = "L", allow_hyphen_values = true)]
    ramp: Option<String>,
    #[command(flatten)]
    manner: Manner,
}

/// A hem.
#[derive(Debug, Args)]
pub struct HemOf {
    /// Width over all
    #[arg(long, value_name = "W", allow_hyphen_values = true)]
    width: String,
    /// Sheet thickness
    #[arg(long, value_name = "T", allow_hyphen_values = true)]
    thickness: String,
    /// Inside radius [default: half the thickness]
    #[arg(long, value_name = "R", allow_hyphen_values = true)]
    radius: Option<String>,
    #[command(flatten)]
    manner: Manner,
}

/// A flange.
#[derive(Debug, Args)]
pub struct FlangeOf {
    /// Width of the flange, from the sharp outer corner
    #[arg(long, value_name = "W", allow_hyphen_values = true)]
    width: String,
    /// Bend angle turned from flat [default: 90°]
    #[arg(long, value_name = "A", allow_hyphen_values = true, conflicts_with = "opening")]
    angle: Option<String>,
    /// Opening angle between the faces instead
    #[arg(long, value_name = "A", allow_hyphen_values = true)]
    opening: Option<String>,
    /// Radius of the bend line where it is curved
    #[arg(long, value_name = "R", allow_hyphen_values = true)]
    line_radius: Option<String>,
    /// How the line curves as seen from the flange: concave stretches the free edge, convex shrinks it
    #[arg(long, value_enum, default_value_t)]
    line: Line,
    /// Sheet thickness, for the developed width
    #[arg(long, value_name = "T", allow_hyphen_values = true, requires = "radius")]
    thickness: Option<String>,
    /// Inside radius, for the developed width
    #[arg(long, value_name = "R", allow_hyphen_values = true, requires = "thickness")]
    radius: Option<String>,
    #[command(flatten)]
    manner: Manner,
}

#[derive(Debug, Clone, Copy, Default, ValueEnum)]
enum Line {
    #[default]
    Concave,
    Convex,
}

/// Figures of one edge, ready to print either way.
struct Edge {
    /// Rows: name for people, key, value, unit.
    rows: Vec<(&'static str, &'static str, f64, &'static str)>,
    workings: Vec<Working>,
    /// What must be known before it is made.
    said: Vec<(Grade, String)>,
}

/// Metal and sheet that a flange is judged by where none is given: the command does not ask for the metal.
const USUAL_METAL: &str = "dc04";
const USUAL_SHEET_MM: f64 = 0.9;

/// What the strain of a free edge means in soft mild steel.
fn strain_words(strain: f64, thickness_mm: f64) -> Option<(Grade, String)> {
    let verdict = blank::edge_verdict(&StripSettings::default(), USUAL_METAL, thickness_mm, strain)?;
    let (word, limit) = match (verdict.grade, strain > 0.0) {
        (Grade::Stop, true) => ("stop", "is what it stands in one"),
        (Grade::Stop, false) => ("stop", "is what a shop takes on in one"),
        (_, true) => ("caution", "is half of what it stretches before it necks"),
        (_, false) => ("caution", "is what a shop gathers without care"),
    };
    let done = if strain > 0.0 { "let out by" } else { "gathered by" };
    let words = format!(
        "{word}: {done} {:.1} %; in soft mild steel of {thickness_mm:.2} mm {:.1} % {limit}. Notches or scallops, or a split flange welded on",
        100.0 * strain.abs(),
        100.0 * verdict.limit
    );
    Some((verdict.grade, words))
}

/// Runs the command.
pub fn run(asked: &Allowance) -> Result<(), Failure> {
    let (edge, manner) = match asked {
        Allowance::Wired(asked) => (wired(asked)?, asked.manner),
        Allowance::Joggle(asked) => (joggle(asked)?, asked.manner),
        Allowance::Hem(asked) => (hem(asked)?, asked.manner),
        Allowance::Flange(asked) => (flange(asked)?, asked.manner),
    };
    if manner.json {
        let mut object: serde_json::Map<String, Value> =
            edge.rows.iter().map(|(_, key, value, _)| ((*key).to_owned(), json!(value))).collect();
        object.insert("said".into(), json!(edge.said.iter().map(|(_, words)| words).collect::<Vec<_>>()));
        object.insert("workings".into(), serde_json::to_value(&edge.workings).map_err(Failure::machine)?);
        figures::print(&json_text(&object)?)?;
        return stopped(&edge);
    }
    let rows: String = edge.rows.iter().map(|(name, _, value, unit)| manner.row(name, *value, unit)).collect();
    let said = edge.said.iter().map(|(_, words)| format!("{words}\n")).collect::<String>();
    figures::print(&(rows + &said + &working_rows(&edge.workings)))?;
    stopped(&edge)
}

/// What must not be made in one ends the command as "do not make this".
fn stopped(edge: &Edge) -> Result<(), Failure> {
    match edge.said.iter().find(|(grade, _)| *grade == Grade::Stop) {
        Some((_, words)) => Err(Failure::new(Kind::DoNotMake, format!("do not make this: {words}"))),
        None => Ok(()),
    }
}

fn wired(asked: &Wired) -> Result<Edge, Failure> {
    let rule = match &asked.wrap {
        Some(wrap) => WireRule::Geometry { wrap_rad: angle_rad("--wrap", wrap)? },
        None => WireRule::default(),
    };
    let edge = WireEdge {
        wire_diameter_mm: asked.manner.thickness_mm("--wire", &asked.wire)?,
        thickness_mm: asked.manner.thickness_mm("--thickness", &asked.thickness)?,
        rule,
    };
    let figures = edge.figures().map_err(rule_failure)?;
    Ok(Edge {
        rows: vec![
            ("allowance, from the tangent", "allowance_mm", figures.allowance_mm, "mm"),
            ("rule A: 2.5 d", "rule_a_mm", figures.rule_a_mm, "mm"),
            ("rule B: 2.5 d + t", "rule_b_mm", figures.rule_b_mm, "mm"),
            ("rule C: 2 d + 4 t", "rule_c_mm", figures.rule_c_mm, "mm"),
            ("geometry at 270°", "geometry_270_mm", figures.geometry_270_mm, "mm"),
            ("wrap angle", "wrap_deg", figures.wrap_rad.to_degrees(), "°"),
            ("finished over the curl", "finished_diameter_mm", figures.finished_diameter_mm, "mm"),
            ("tangent to finished edge", "tangent_to_edge_mm", figures.tangent_to_edge_mm, "mm"),
        ],
        workings: figures.workings,
        said: Vec::new(),
    })
}

fn joggle(asked: &JoggleOf) -> Result<Edge, Failure> {
    let depth_mm = asked.manner.thickness_mm("--depth", &asked.depth)?;
    let joggle = match &asked.ramp {
        Some(ramp) => Joggle { depth_mm, ramp: Ramp::Straight { run_mm: asked.manner.length_mm("--ramp", ramp)? } },
        None => Joggle::with_usual_ramp(depth_mm),
    };
    let figures = joggle.figures().map_err(rule_failure)?;
    Ok(Edge {
        rows: vec![
            ("run", "run_mm", figures.run_mm, "mm"),
            ("true length of the ramp", "true_length_mm", figures.true_length_mm, "mm"),
            ("adds", "extra_mm", figures.extra_mm, "mm"),
            ("steepest angle", "angle_deg", figures.angle_rad.to_degrees(), "°"),
        ],
        workings: vec![figures.working],
        said: Vec::new(),
    })
}

fn hem(asked: &HemOf) -> Result<Edge, Failure> {
    let thickness_mm = asked.manner.thickness_mm("--thickness", &asked.thickness)?;
    let inside_radius_mm = match &asked.radius {
        Some(radius) => asked.manner.length_mm("--radius", radius)?,
        None => thickness_mm / 2.0,
    };
    let hem = Hem { width_mm: asked.manner.length_mm("--width", &asked.width)?, inside_radius_mm, thickness_mm };
    let figures = hem.figures(&Rule::default()).map_err(rule_failure)?;
    Ok(Edge {
        rows: vec![
            ("adds beyond the finished edge", "added_mm", figures.added_mm, "mm"),
            ("allowance of the fold", "allowance_mm", figures.allowance_mm, "mm"),
            ("straight part", "straight_mm", figures.straight_mm, "mm"),
            ("gap between the sheets", "gap_mm", figures.gap_mm, "mm"),
            ("trade rule", "trade_rule_mm", figures.trade_rule_mm, "mm"),
        ],
        workings: figures.workings,
        said: Vec::new(),
    })
}

fn flange(asked: &FlangeOf) -> Result<Edge, Failure> {
    let width_mm = asked.manner.length_mm("--width", &asked.width)?;
    let bend_angle_rad = match (&asked.angle, &asked.opening) {
        (Some(angle), _) => angle_rad("--angle", angle)?,
        (None, Some(opening)) => bend_from_opening_rad(angle_rad("--opening", opening)?),
        (None, None) => std::f64::consts::FRAC_PI_2,
    };
    let mut edge = Edge { rows: Vec::new(), workings: Vec::new(), said: Vec::new() };
    let mut sheet_mm = USUAL_SHEET_MM;
    if let (Some(thickness), Some(radius)) = (&asked.thickness, &asked.radius) {
        sheet_mm = asked.manner.thickness_mm("--thickness", thickness)?;
        let bend = Bend {
            thickness_mm: sheet_mm,
            inside_radius_mm: asked.manner.length_mm("--radius", radius)?,
            bend_angle_rad,
        };
        let figures = allowance(&bend, &Rule::default()).map_err(rule_failure)?;
        edge.rows.push(("allowance of the fold", "allowance_mm", figures.allowance_mm, "mm"));
        if let Some(setback_mm) = figures.setback_outer_mm {
            let developed_mm = width_mm - setback_mm + figures.allowance_mm;
            edge.rows.push(("setback", "setback_mm", setback_mm, "mm"));
            edge.rows.push(("developed, from the far tangent", "developed_mm", developed_mm, "mm"));
        }
        edge.workings.extend(figures.workings);
    }
    if let Some(radius) = &asked.line_radius {
        let line = match asked.line {
            Line::Concave => BendLine::Concave,
            Line::Convex => BendLine::Convex,
        };
        let line_radius_mm = asked.manner.length_mm("--line-radius", radius)?;
        let strain = CurvedFlange { width_mm, line_radius_mm, bend_angle_rad, line }.strain().map_err(rule_failure)?;
        edge.rows.push(("strain of the free edge", "strain_percent", strain.strain * 100.0, "%"));
        edge.workings.push(strain.working);
        edge.said.extend(strain_words(strain.strain, sheet_mm));
    }
    if edge.rows.is_empty() {
        let failure = Failure::bad_input(
            "a flange needs --line-radius for its strain, or --thickness and --radius for its width",
        );
        return Err(failure);
    }
    Ok(edge)
}
