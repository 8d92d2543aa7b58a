//! `soundmetal ring`: a flanged or stepped ring, from one formed blank and built up.

use super::face::WhichFace;
use super::figures::{self, Manner, angle_rad, json_text};
use super::whole_files::{self, WholeFile};
use crate::failure::{Failure, Kind};
use blank::ring::{DevelopedRing, Held, OneBlank, RingError, RingPartFlat, RingSeam, RingSettings, ThicknessLaw};
use blank::{Blank, DevelopSettings};
use clap::{Args, ValueEnum};
use handbook::{Concern, Grade};
use section::ring::{BoltCircle, LegKind};
use section::{Ring, RingCorner};
use serde::Serialize;
use std::fmt::Write as _;
use std::path::PathBuf;

/// A flanged or stepped ring: flats of one formed blank and of a built-up one, seams, boards, limits.
#[derive(Debug, Args)]
pub struct RingOf {
    /// Sheet thickness ("1 mm", ".036\"", "20 swg")
    #[arg(long, value_name = "T")]
    thickness: String,
    /// Material key of the handbook
    #[arg(long, value_name = "M", default_value = "dc04")]
    material: String,
    /// Inside radius of the bends
    #[arg(long, value_name = "R")]
    radius: String,
    /// A sharp corner of the section: diameter and height, from the innermost edge outwards (diameter 0 closes the middle); heights
    /// count out of the vehicle. A third figure is the inside radius there
    #[arg(long = "corner", value_name = "D,H[,R]", allow_hyphen_values = true, required = true)]
    corners: Vec<String>,
    /// Face that was measured
    #[arg(long, value_enum, default_value = "outside")]
    face: WhichFace,
    /// Which way it is made
    #[arg(long, value_enum, default_value_t)]
    make: WhichMake,
    /// How thickness follows the stretch of a formed blank
    #[arg(long, value_enum, default_value_t)]
    law: WhichLaw,
    /// Flat leg that keeps its size, counted from 1 [default: what strains the sheet least]
    #[arg(long, value_name = "LEG")]
    held: Option<usize>,
    /// Holes on a circle: how many, hole, diameter of the circle, angle of the first ("8,6.6,300,0°")
    #[arg(long, value_name = "N,D,C[,A]")]
    holes: Vec<String>,
    /// Writes the flats as DXF; of several, the files are numbered
    #[arg(long, value_name = "DXF")]
    dxf: Option<PathBuf>,
    /// Writes the flats as SVG at 1:1; of several, the files are numbered
    #[arg(long, value_name = "SVG")]
    svg: Option<PathBuf>,
    #[command(flatten)]
    manner: Manner,
}

#[derive(Debug, Clone, Copy, Default, PartialEq, ValueEnum)]
enum WhichMake {
    /// One formed blank where it can be made, else built up
    #[default]
    Either,
    /// One formed blank
    OneBlank,
    /// A part for each leg, with seams
    BuiltUp,
}

#[derive(Debug, Clone, Copy, Default, ValueEnum)]
enum WhichLaw {
    /// The way down the section keeps its length
    #[default]
    MeridianKept,
    /// Width and thickness give way alike
    FreeEdge,
    /// Area and thickness are kept
    AreaKept,
}

/// What `--json` prints. Strains are engineering strains of the hoop, flat to finished.
#[derive(Debug, Serialize)]
struct Answer {
    way: &'static str,
    thickness_mm: f64,
    one_blank: OneBlankAnswer,
    built_up: BuiltUpAnswer,
}

#[derive(Debug, Serialize)]
struct OneBlankAnswer {
    feasible: bool,
    law: &'static str,
    held: String,
    outer_diameter_mm: f64,
    hole_diameter_mm: Option<f64>,
    trim_inner_mm: f64,
    trim_outer_mm: f64,
    thickness_after_mm: [f64; 2],
    circles: Vec<blank::ring::RingCircle>,
    hole_diameter_by_laws_mm: [f64; 2],
    outer_diameter_by_laws_mm: [f64; 2],
    deepest_mm: Option<f64>,
    widest_leg: Option<String>,
    widest_mm: Option<f64>,
    boards: Vec<blank::ring::RingForm>,
    concerns: Vec<Concern>,
    workings: Vec<handbook::Working>,
}

#[derive(Debug, Serialize)]
struct BuiltUpAnswer {
    feasible: bool,
    parts: Vec<PartAnswer>,
    seams: Vec<RingSeam>,
    seam_length_mm: f64,
    concerns: Vec<Concern>,
    workings: Vec<handbook::Working>,
}

#[derive(Debug, Serialize)]
struct PartAnswer {
    name: String,
    kind: LegKind,
    width_mm: f64,
    finished_diameters_mm: [f64; 2],
    flat_radii_mm: Option<[f64; 2]>,
    sector_deg: f64,
    flat_size_mm: [f64; 2],
    area_mm2: f64,
}

/// Runs the command.
pub fn run(asked: &RingOf) -> Result<(), Failure> {
    let ring = ring(asked)?;
    let settings = RingSettings {
        law: match asked.law {
            WhichLaw::MeridianKept => ThicknessLaw::MeridianKept,
            WhichLaw::FreeEdge => ThicknessLaw::FreeEdge,
            WhichLaw::AreaKept => ThicknessLaw::AreaKept,
        },
        held: asked.held.map(held).transpose()?,
        ..RingSettings::default()
    };
    let refused = |error: RingError| Failure::bad_input(error.to_string());
    let made = blank::ring::develop(&ring, &DevelopSettings::default(), &settings).map_err(refused)?;
    let one = match asked.make {
        WhichMake::Either => made.one_blank.is_feasible() || !made.built_up.is_feasible(),
        WhichMake::OneBlank => true,
        WhichMake::BuiltUp => false,
    };
    let flats: Vec<&Blank> =
        if one { vec![&made.one_blank.blank] } else { made.built_up.parts.iter().map(|part| &part.blank).collect() };
    let concerns: Vec<&Concern> = flats.iter().flat_map(|flat| &flat.concerns).collect();
    let stop = concerns.iter().find(|concern| concern.grade == Grade::Stop);
    // what must not be made gets no cut file
    if stop.is_none() {
        write_files(asked, &flats)?;
    }
    let answer = answer(&ring, &made, one);
    figures::print(&if asked.manner.json { json_text(&answer)? } else { text(&answer, &concerns, asked.manner) })?;
    match stop {
        Some(stop) => Err(Failure::new(Kind::DoNotMake, format!("do not make this: {}: {}", stop.place, stop.what))
            .hint(stop.what_to_do.clone())),
        None => Ok(()),
    }
}

fn held(leg: usize) -> Result<Held, Failure> {
    let counted = || Failure::bad_input("--held is 0; legs are counted from 1 at the innermost edge");
    leg.checked_sub(1).map(Held::Leg).ok_or_else(counted)
}

fn ring(asked: &RingOf) -> Result<Ring, Failure> {
    let manner = &asked.manner;
    let radius_mm = manner.length_mm("--radius", &asked.radius)?;
    let corners = asked.corners.iter().map(|text| corner(asked, text, radius_mm)).collect::<Result<Vec<_>, _>>()?;
    let mut holes = Vec::new();
    for (i, text) in asked.holes.iter().enumerate() {
        holes.extend(section::ring::bolt_circle(&bolt_circle(asked, text, i + 1)?));
    }
    let ring = Ring {
        name: "ring".into(),
        thickness_mm: manner.thickness_mm("--thickness", &asked.thickness)?,
        material: asked.material.clone(),
        face: asked.face.into(),
        corners,
        leg_names: Vec::new(),
        holes,
        reach_mm: 0.0,
    };
    ring.check().map_err(|error| Failure::bad_input(error.to_string()))?;
    Ok(ring)
}

fn corner(asked: &RingOf, text: &str, radius_mm: f64) -> Result<RingCorner, Failure> {
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    let (diameter, height, radius) = match parts.as_slice() {
        [diameter, height] => (diameter, height, None),
        [diameter, height, radius] => (diameter, height, Some(radius)),
        _ => {
            let message =
                format!("--corner {text} has {} figures; two or three are accepted, as in 268,-12", parts.len());
            return Err(Failure::bad_input(message));
        }
    };
    let signed = |text: &str| {
        let read = units::Dimension::parse(text).and_then(|own| own.signed_length_mm(&asked.manner.reading()));
        read.map_err(|error| Failure::from(error).in_place("--corner"))
    };
    Ok(RingCorner {
        radius_mm: 0.5 * asked.manner.length_mm("--corner", diameter)?,
        height_mm: signed(height)?,
        inside_radius_mm: radius.map_or(Ok(radius_mm), |text| asked.manner.length_mm("--corner", text))?,
    })
}

fn bolt_circle(asked: &RingOf, text: &str, number: usize) -> Result<BoltCircle, Failure> {
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    let (count, hole, circle, first) = match parts.as_slice() {
        [count, hole, circle] => (count, hole, circle, "0°"),
        [count, hole, circle, first] => (count, hole, circle, *first),
        _ => {
            let message =
                format!("--holes {text} has {} figures; three or four are accepted, as in 8,6.6,300", parts.len());
            return Err(Failure::bad_input(message));
        }
    };
    let counted = count.parse::<u32>().ok().filter(|count| (1..=200).contains(count));
    let count = counted
        .ok_or_else(|| Failure::bad_input(format!("--holes: {count} is no number of holes; 1 to 200 are accepted")))?;
    Ok(BoltCircle {
        name: if asked.holes.len() == 1 { "hole".into() } else { format!("hole {number}") },
        count,
        circle_mm: asked.manner.length_mm("--holes", circle)?,
        hole_mm: asked.manner.length_mm("--holes", hole)?,
        first_rad: angle_rad("--holes", first)?,
        reach_mm: 0.0,
        half_clearance_mm: None,
    })
}

fn write_files(asked: &RingOf, flats: &[&Blank]) -> Result<(), Failure> {
    let mut files = Vec::new();
    for (i, flat) in flats.iter().enumerate() {
        let place = |path: &Option<PathBuf>| {
            path.as_ref().map(|path| if flats.len() == 1 { path.clone() } else { whole_files::numbered(path, i) })
        };
        let drawing = packet::drawings::ring_flat_drawing(flat);
        files.extend(WholeFile::of_drawing(&drawing, place(&asked.dxf), place(&asked.svg))?);
    }
    whole_files::write(&files)
}

fn answer(ring: &Ring, made: &DevelopedRing, one: bool) -> Answer {
    Answer {
        way: if one { "one_blank" } else { "built_up" },
        thickness_mm: ring.thickness_mm,
        one_blank: of_one_blank(&made.one_blank),
        built_up: BuiltUpAnswer {
            feasible: made.built_up.is_feasible(),
            parts: made.built_up.parts.iter().map(of_part).collect(),
            seams: made.built_up.seams.clone(),
            seam_length_mm: made.built_up.seam_mm(),
            concerns: made.built_up.parts.iter().flat_map(|part| part.blank.concerns.clone()).collect(),
            workings: made
                .built_up
                .parts
                .iter()
                .flat_map(|part| part.blank.workings.clone())
                .chain(made.built_up.workings.clone())
                .collect(),
        },
    }
}

fn of_one_blank(made: &OneBlank) -> OneBlankAnswer {
    OneBlankAnswer {
        feasible: made.is_feasible(),
        law: made.law.words(),
        held: made.held_words.clone(),
        outer_diameter_mm: 2.0 * made.outer_radius_mm,
        hole_diameter_mm: made.inner_radius_mm.map(|radius| 2.0 * radius),
        trim_inner_mm: made.trim_mm[0],
        trim_outer_mm: made.trim_mm[1],
        thickness_after_mm: made.thickness_mm(),
        circles: made.circles.clone(),
        hole_diameter_by_laws_mm: made.by_other_laws_mm[0].map(|radius| 2.0 * radius),
        outer_diameter_by_laws_mm: made.by_other_laws_mm[1].map(|radius| 2.0 * radius),
        deepest_mm: made.deepest_mm,
        widest_leg: made.widest_mm.as_ref().map(|(leg, _)| leg.clone()),
        widest_mm: made.widest_mm.as_ref().map(|(_, width)| *width),
        boards: made.forms.clone(),
        concerns: made.blank.concerns.clone(),
        workings: made.workings.clone(),
    }
}

fn of_part(part: &RingPartFlat) -> PartAnswer {
    let size = |pick: fn(&glam::DVec2) -> f64| {
        let each = || part.blank.outline_mm.iter().map(pick);
        each().fold(f64::NEG_INFINITY, f64::max) - each().fold(f64::INFINITY, f64::min)
    };
    PartAnswer {
        name: part.name.clone(),
        kind: part.kind,
        width_mm: part.width_mm,
        finished_diameters_mm: part.radii_mm.map(|radius| 2.0 * radius),
        flat_radii_mm: part.flat_radii_mm,
        sector_deg: part.sector_rad.to_degrees(),
        flat_size_mm: [size(|p| p.x), size(|p| p.y)],
        area_mm2: part.area_mm2,
    }
}

fn text(answer: &Answer, concerns: &[&Concern], manner: Manner) -> String {
    let one = &answer.one_blank;
    let can = |feasible: bool| if feasible { "can be made" } else { "cannot be made" };
    let mut out = format!("one formed blank, {}: {}; {}\n", can(one.feasible), one.held, one.law);
    out += &manner.row("diameter of the flat", one.outer_diameter_mm + 2.0 * one.trim_outer_mm, "mm");
    if let Some(hole) = one.hole_diameter_mm {
        out += &manner.row("hole in the flat", (hole - 2.0 * one.trim_inner_mm).max(0.0), "mm");
    }
    for (name, trim) in [("inner", one.trim_inner_mm), ("outer", one.trim_outer_mm)] {
        if trim > 0.0 {
            out += &manner.row(&format!("of it trim at the {name} edge"), trim, "mm");
        }
    }
    for circle in &one.circles {
        out += &manner.row(&format!("{}, hoop strain", circle.name), 100.0 * circle.strain, "%");
    }
    let [thin, thick] = one.thickness_after_mm;
    let (thin, thick) = (manner.number(thin, 3), manner.length(thick, 3));
    let _ = writeln!(out, "{:<34} {thin:>12} to {thick}", "thickness after forming");
    // of a blank that is made its concerns stand below
    let hidden = one.concerns.iter().filter(|own| own.grade == Grade::Stop && !concerns.contains(own));
    for stop in hidden {
        let _ = writeln!(out, "  because {}: {}", stop.place, stop.what);
    }
    if let Some(deepest) = one.deepest_mm {
        out += &manner.row("deepest that one blank would make", deepest, "mm");
    }
    if let (Some(leg), Some(widest)) = (&one.widest_leg, one.widest_mm) {
        out += &manner.row(&format!("or {leg}, widest"), widest, "mm");
    }
    let built = &answer.built_up;
    let _ = writeln!(
        out,
        "built up, {}: {} of seams",
        can(built.feasible),
        manner.length(built.seam_length_mm.max(0.0), 0)
    );
    let (number, length) = (|mm: f64| manner.number(mm, 2), |mm: f64| manner.length(mm, 2));
    for part in &built.parts {
        let flat = match (part.kind, part.flat_radii_mm) {
            (LegKind::Flat, Some([low, high])) if low <= 0.0 => format!("disc ⌀{}", length(2.0 * high)),
            (LegKind::Flat, Some([low, high])) => format!("annulus ⌀{} / ⌀{}", number(2.0 * low), length(2.0 * high)),
            (LegKind::Cone, Some([low, high])) => {
                format!("sector R{} / R{}, {:.3}°", number(low), length(high), part.sector_deg)
            }
            _ => format!("strip {} × {}", number(part.flat_size_mm[0]), length(part.flat_size_mm[1])),
        };
        let _ = writeln!(out, "  {:<32} {flat}", part.name);
    }
    for seam in &built.seams {
        let _ = writeln!(out, "  seam {:<27} {}", seam.name, length(seam.length_mm));
    }
    for concern in concerns {
        let grade = match concern.grade {
            Grade::Note => "note",
            Grade::Caution => "caution",
            Grade::Stop => "stop",
        };
        let _ = writeln!(out, "{grade}: {}: {}; {}", concern.place, concern.what, concern.what_to_do);
    }
    out
}
