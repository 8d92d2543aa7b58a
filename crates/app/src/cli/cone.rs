//! `soundmetal cone`: exact developments of cones, frustums and transitions.

use super::face::WhichFace;
use super::figures::{self, Manner, angle_rad, json_text, working_rows};
use super::whole_files::{self, WholeFile};
use crate::failure::{Failure, Kind};
use blank::ruled::{DevelopedRuled, RollLineKind, develop};
use blank::{DevelopSettings, FaceUp};
use clap::Args;
use handbook::{Concern, Grade};
use section::Hand;
use section::ruled::{Cone, End, Girth, Make, Ruled, SeamPlace, Transition, TransitionEnd};
use serde::Serialize;
use std::path::PathBuf;
use units::Dimension;

/// The flat of a cone, a frustum, a leaning cone, or a transition such as square to round.
#[derive(Debug, Args)]
pub struct ConeOf {
    /// Diameter of the bottom
    #[arg(long, value_name = "D", allow_hyphen_values = true)]
    bottom: Option<String>,
    /// Bottom that is a rectangle, along x and y
    #[arg(long, value_name = "A,B", value_delimiter = ',', num_args = 1.., conflicts_with = "bottom")]
    bottom_rectangle: Vec<String>,
    /// Diameter of the top; without a top the cone runs to a point
    #[arg(long, value_name = "D", allow_hyphen_values = true)]
    top: Option<String>,
    /// Top that is a rectangle, along x and y
    #[arg(long, value_name = "A,B", value_delimiter = ',', num_args = 1.., conflicts_with = "top")]
    top_rectangle: Vec<String>,
    /// Corner radius of rectangles [default: folded sharp]
    #[arg(long, value_name = "R")]
    corner_radius: Option<String>,
    /// Height from the bottom to the middle of the top
    #[arg(long, value_name = "H", allow_hyphen_values = true)]
    height: String,
    /// How far the middle of the top stands off the axis, along x and y
    #[arg(long, value_name = "X,Y", value_delimiter = ',', num_args = 1.., allow_hyphen_values = true)]
    offset: Vec<String>,
    /// Angle by which the top rises towards x; its diameter stays that of the cone at that height on the axis
    #[arg(long, value_name = "A", allow_hyphen_values = true)]
    tilt: Option<String>,
    /// Sheet thickness
    #[arg(long, value_name = "T", allow_hyphen_values = true)]
    thickness: String,
    /// Material key of the handbook
    #[arg(long, default_value = "dc04")]
    material: String,
    /// Face over which the sizes are given
    #[arg(long, value_enum, default_value = "outside")]
    face: WhichFace,
    /// Where the seam lies: short, corner 1, side 1, or a share of the girth such as 0.25
    #[arg(long, value_name = "WHERE", default_value = "short")]
    seam: String,
    /// Lap left on at the seam, at the left-hand end of the flat [default: none, edge to edge]
    #[arg(long, value_name = "L")]
    lap: Option<String>,
    /// Made in so many pieces round the girth
    #[arg(long, value_name = "N", default_value_t = 1)]
    pieces: u32,
    /// Which of them, from 1
    #[arg(long, value_name = "K", default_value_t = 1)]
    piece: u32,
    /// Largest bend at one marked line
    #[arg(long, value_name = "A", default_value = "15°")]
    step: String,
    /// Inside radius of sharp folds [default: the thickness]
    #[arg(long, value_name = "R")]
    fold_radius: Option<String>,
    /// Writes the flat as DXF
    #[arg(long, value_name = "DXF")]
    dxf: Option<PathBuf>,
    /// Writes the flat as SVG at 1:1
    #[arg(long, value_name = "SVG")]
    svg: Option<PathBuf>,
    #[command(flatten)]
    manner: Manner,
}

/// One line of the flat.
#[derive(Debug, Serialize)]
struct Line {
    number: usize,
    kind: RollLineKind,
    along_a_mm: f64,
    along_b_mm: f64,
    length_mm: f64,
    bend_deg: f64,
    up: bool,
    radius_a_mm: Option<f64>,
    radius_b_mm: Option<f64>,
    from_mm: [f64; 2],
    to_mm: [f64; 2],
}

/// One edge of the flat.
#[derive(Debug, Serialize)]
struct Edge {
    name: String,
    length_mm: f64,
    chord_mm: f64,
    chord_offsets_mm: Vec<[f64; 2]>,
}

/// What `--json` prints.
#[derive(Debug, Serialize)]
struct Answer {
    form: &'static str,
    thickness_mm: f64,
    sizes: String,
    face_up: FaceUp,
    area_mm2: f64,
    width_mm: f64,
    height_mm: f64,
    seam_mm: f64,
    lap_mm: f64,
    slant_mm: Option<f64>,
    outer_radius_mm: Option<f64>,
    inner_radius_mm: Option<f64>,
    sector_deg: Option<f64>,
    diagonals_mm: [f64; 2],
    bend_deg: f64,
    residual_twist_deg: f64,
    edges: Vec<Edge>,
    lines: Vec<Line>,
    outline_mm: Vec<[f64; 2]>,
    concerns: Vec<Concern>,
    workings: Vec<handbook::Working>,
}

/// Runs the command.
pub fn run(asked: &ConeOf) -> Result<(), Failure> {
    let (form, piece) = piece(asked)?;
    let flat = develop(&piece, &DevelopSettings::default()).map_err(|error| Failure::bad_input(error.to_string()))?;
    let answer = answer(form, &flat);
    let stop = answer.concerns.iter().find(|concern| concern.grade == Grade::Stop);
    if stop.is_none() {
        write_files(asked, &flat)?;
    }
    figures::print(&if asked.manner.json { json_text(&answer)? } else { text(&answer, asked) })?;
    match stop {
        Some(concern) => Err(Failure::new(Kind::DoNotMake, format!("{}: {}", concern.place, concern.what))),
        None => Ok(()),
    }
}

fn piece(asked: &ConeOf) -> Result<(&'static str, Ruled), Failure> {
    let length = |option: &str, text: &str| asked.manner.length_mm(option, text);
    let make = make(asked)?;
    let height_mm = length("--height", &asked.height)?;
    let offset_mm = match asked.offset.as_slice() {
        [] => [0.0; 2],
        [x, y] => [signed_mm(asked, "--offset", x)?, signed_mm(asked, "--offset", y)?],
        other => {
            let message = format!("--offset has {} lengths; x and y are accepted, as in --offset 30,0", other.len());
            return Err(Failure::bad_input(message));
        }
    };
    let tilt_rad = asked.tilt.as_ref().map_or(Ok(0.0), |tilt| angle_rad("--tilt", tilt))?;
    let bottom = end(asked, "--bottom", asked.bottom.as_deref(), &asked.bottom_rectangle)?;
    let bottom = bottom.ok_or_else(|| {
        Failure::bad_input("the piece has no bottom").hint("give --bottom D, or --bottom-rectangle A,B")
    })?;
    let top = end(asked, "--top", asked.top.as_deref(), &asked.top_rectangle)?;
    let built = match (bottom, top) {
        (End::Round { diameter_mm }, None | Some(End::Round { .. })) => {
            let top_mm = match top {
                Some(End::Round { diameter_mm }) => diameter_mm,
                _ => 0.0,
            };
            let cone = Cone {
                bottom_radius_mm: 0.5 * diameter_mm,
                top_radius_mm: 0.5 * top_mm,
                height_mm,
                offset_mm,
                top_tilt_rad: tilt_rad,
            };
            cone.piece(&make).map(|piece| ("cone", piece))
        }
        (bottom, Some(top)) => {
            let level = |end| TransitionEnd { end, turned_rad: 0.0 };
            let transition = Transition {
                bottom: level(bottom),
                top: level(top),
                height_mm,
                offset_mm,
                top_tilt_rad: [tilt_rad, 0.0],
            };
            transition.piece(&make).map(|piece| ("transition", piece))
        }
        (_, None) => {
            return Err(Failure::bad_input("a piece with a rectangular bottom has no top")
                .hint("give --top D, or --top-rectangle A,B"));
        }
    };
    built.map_err(|error| Failure::bad_input(error.to_string()))
}

fn make(asked: &ConeOf) -> Result<Make, Failure> {
    let thickness_mm = asked.manner.thickness_mm("--thickness", &asked.thickness)?;
    let length = |option: &str, text: Option<&String>, otherwise: f64| {
        text.map_or(Ok(otherwise), |text| asked.manner.length_mm(option, text))
    };
    Ok(Make {
        name: "the piece".into(),
        hand: Hand::Left,
        mirrored: false,
        given: asked.face.into(),
        thickness_mm,
        material: asked.material.clone(),
        girth: Girth { seam: seam(&asked.seam)?, pieces: asked.pieces, piece: asked.piece },
        lap_mm: length("--lap", asked.lap.as_ref(), 0.0)?,
        fold_radius_mm: length("--fold-radius", asked.fold_radius.as_ref(), thickness_mm)?,
        step_rad: angle_rad("--step", &asked.step)?,
        reach_mm: 0.0,
    })
}

fn signed_mm(asked: &ConeOf, option: &str, text: &str) -> Result<f64, Failure> {
    let read = Dimension::parse(text).and_then(|dimension| dimension.signed_length_mm(&asked.manner.reading()));
    read.map_err(|error| Failure::from(error).in_place(option))
}

fn end(asked: &ConeOf, option: &str, diameter: Option<&str>, rectangle: &[String]) -> Result<Option<End>, Failure> {
    if let Some(diameter) = diameter {
        return Ok(Some(End::Round { diameter_mm: asked.manner.length_mm(option, diameter)? }));
    }
    match rectangle {
        [] => Ok(None),
        [a, b] => {
            let option = format!("{option}-rectangle");
            let corner = asked.corner_radius.as_ref();
            Ok(Some(End::Rectangle {
                size_mm: [asked.manner.length_mm(&option, a)?, asked.manner.length_mm(&option, b)?],
                corner_radius_mm: corner.map_or(Ok(0.0), |own| asked.manner.length_mm("--corner-radius", own))?,
            }))
        }
        other => {
            let message = format!(
                "{option}-rectangle has {} lengths; two are accepted, as in {option}-rectangle 200,150",
                other.len()
            );
            Err(Failure::bad_input(message))
        }
    }
}

fn seam(text: &str) -> Result<SeamPlace, Failure> {
    let refused = || {
        Failure::bad_input(format!("--seam is {text:?}"))
            .hint("short, corner 1, side 1 or a share of the girth from 0 to 1 is accepted")
    };
    let words: Vec<&str> = text.split_whitespace().collect();
    let number = |word: &str| word.parse::<usize>().map_err(|_| refused());
    match words.as_slice() {
        ["short"] => Ok(SeamPlace::Short),
        ["corner", count] => Ok(SeamPlace::Corner(number(count)?)),
        ["side", count] => Ok(SeamPlace::MidSide(number(count)?)),
        [share] => share.parse::<f64>().map(SeamPlace::Share).map_err(|_| refused()),
        _ => Err(refused()),
    }
}

fn answer(form: &'static str, flat: &DevelopedRuled) -> Answer {
    let (blank, layout) = (&flat.blank, &flat.layout);
    let (low, high) = blank
        .outline_mm
        .iter()
        .fold((glam::DVec2::INFINITY, glam::DVec2::NEG_INFINITY), |(low, high), p| (low.min(*p), high.max(*p)));
    let sector = layout.sector.as_ref();
    Answer {
        form,
        thickness_mm: blank.thickness_mm,
        sizes: layout.offset_words.clone(),
        face_up: blank.face_up,
        area_mm2: layout.sheet_area_mm2,
        width_mm: high.x - low.x,
        height_mm: high.y - low.y,
        seam_mm: layout.ends_mm[0],
        lap_mm: layout.lap_mm,
        slant_mm: sector.map(|own| own.slant_mm),
        outer_radius_mm: sector.map(|own| own.outer_mm),
        inner_radius_mm: sector.map(|own| own.inner_mm),
        sector_deg: sector.map(|own| own.angle_rad.to_degrees()),
        diagonals_mm: layout.diagonals_mm,
        bend_deg: layout.bend_rad.to_degrees(),
        residual_twist_deg: layout.twist_rad.to_degrees(),
        edges: layout
            .edges
            .iter()
            .map(|edge| Edge {
                name: edge.name.clone(),
                length_mm: edge.length_mm,
                chord_mm: edge.chord_mm,
                chord_offsets_mm: edge.offsets.iter().map(|own| [own.along_mm, own.offset_mm]).collect(),
            })
            .collect(),
        lines: layout
            .lines
            .iter()
            .map(|line| Line {
                number: line.number,
                kind: line.kind,
                along_a_mm: line.along_mm[0],
                along_b_mm: line.along_mm[1],
                length_mm: line.length_mm,
                bend_deg: line.bend_rad.to_degrees(),
                up: line.up,
                radius_a_mm: line.radii_mm[0],
                radius_b_mm: line.radii_mm[1],
                from_mm: line.line_mm[0].to_array(),
                to_mm: line.line_mm[1].to_array(),
            })
            .collect(),
        outline_mm: blank.outline_mm.iter().map(|p| p.to_array()).collect(),
        concerns: blank.concerns.clone(),
        workings: blank.workings.clone(),
    }
}

fn text(answer: &Answer, asked: &ConeOf) -> String {
    let manner = asked.manner;
    let face = match answer.face_up {
        FaceUp::Outside => "outside face up",
        FaceUp::Inside => "inside face up",
    };
    let mut text =
        format!("{} in {} sheet, flat {face}\n{}\n", answer.form, manner.length(answer.thickness_mm, 3), answer.sizes);
    for (name, value, unit) in [
        ("outer radius of the flat", answer.outer_radius_mm, "mm"),
        ("inner radius of the flat", answer.inner_radius_mm, "mm"),
        ("angle of the flat", answer.sector_deg, "°"),
        ("slant height", answer.slant_mm, "mm"),
        ("length of the seam", Some(answer.seam_mm), "mm"),
        ("flat over all, x", Some(answer.width_mm), "mm"),
        ("flat over all, y", Some(answer.height_mm), "mm"),
        ("diagonal", Some(answer.diagonals_mm[0]), "mm"),
        ("other diagonal", Some(answer.diagonals_mm[1]), "mm"),
        ("area", Some(answer.area_mm2 / 100.0), "cm²"),
        ("bend in all", Some(answer.bend_deg), "°"),
    ] {
        text += &value.map_or_else(String::new, |value| manner.row(name, value, unit));
    }
    if answer.lap_mm > 0.0 {
        text += &manner.row("lap at the seam, left on at one end", answer.lap_mm, "mm");
    }
    for (letter, edge) in ["A", "B"].iter().zip(&answer.edges) {
        text += &manner.row(&format!("{letter}: {}", edge.name), edge.length_mm, "mm");
    }
    text += "\nlines are numbered and measured along A and B from the right-hand end of the flat; a lap is left on at its left-hand end";
    if asked.tilt.is_some() {
        text += "\nthe top's diameter is that of the cone square to its axis, at the height on the axis: the tilted edge itself is longer";
    }
    text += &format!("\n no.  line      along A      along B   length, {}      bend\n", manner.length_unit());
    for line in &answer.lines {
        let (number, kind) = match line.kind {
            RollLineKind::Roll => (line.number.to_string(), "bend"),
            RollLineKind::Limit => ("–".to_owned(), "limit"),
            RollLineKind::Fold => (line.number.to_string(), "fold"),
        };
        let bend = match line.kind {
            RollLineKind::Limit => String::new(),
            _ => format!("{:.2}° {}", line.bend_deg.abs(), if line.up { "up" } else { "down" }),
        };
        text += &format!(
            "{number:>4}  {kind:<6} {:>10}   {:>10}   {:>10}   {bend}\n",
            manner.number(line.along_a_mm, 2),
            manner.number(line.along_b_mm, 2),
            manner.number(line.length_mm, 2)
        );
    }
    for concern in &answer.concerns {
        let grade = match concern.grade {
            Grade::Note => "note",
            Grade::Caution => "caution",
            Grade::Stop => "stop",
        };
        text += &format!("{grade}: {}; {}\n", concern.what, concern.what_to_do);
    }
    text + &working_rows(&answer.workings)
}

fn write_files(asked: &ConeOf, flat: &DevelopedRuled) -> Result<(), Failure> {
    let drawing = packet::drawings::ruled_flat_drawing(&flat.blank);
    whole_files::write(&WholeFile::of_drawing(&drawing, asked.dxf.clone(), asked.svg.clone())?)
}
