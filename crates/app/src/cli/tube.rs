//! `soundmetal tube`: exact development of a round tube with its end cuts, and the papers that wrap round it.

use super::figures::{self, Manner, angle_rad, json_text, working_rows};
use super::whole_files::{self, WholeFile};
use crate::failure::{Failure, Kind};
use blank::DevelopSettings;
use blank::tube::elbow::{ElbowOrder, elbow};
use blank::tube::wrap::{self, WrapSettings, WrapTemplate};
use blank::tube::{DevelopedTube, develop};
use clap::Args;
use glam::DMat3;
use handbook::cautions::{Circumstance, cautions_for};
use handbook::{Concern, Grade, Working};
use job::file::Hand;
use job::plan::{PiecePlan, Placing};
use section::tube::{Cover, LongSeam, OldTube, Saddle, TabHole, Tube, TubeCut, TubeEnd, Wall};
use section::{On, Opening, OpeningShape};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::PathBuf;

const END_HELP: &str = "What is done at this end: square | mitre=22.5°[,longest=A] | saddle=MAIN_D[,angle=A][,closed=A][,offset=E] | \
flat=LENGTH[,way=LENGTH][,face=A][,hole=D,from_tip=X]; add ,wall=inside|middle|outside for the wall that touches";

/// A round tube.
#[derive(Debug, Args)]
pub struct TubeOf {
    /// Outside diameter
    #[arg(long, value_name = "D", allow_hyphen_values = true)]
    diameter: Option<String>,
    /// Wall: thickness or gauge
    #[arg(long, value_name = "T", allow_hyphen_values = true)]
    wall: String,
    /// Length between the tips of both ends
    #[arg(long, value_name = "L", allow_hyphen_values = true)]
    length: Option<String>,
    /// Length along the axis between the datums of both ends instead: for a saddle, to the other tube's axis
    #[arg(long, value_name = "L", allow_hyphen_values = true, conflicts_with = "length")]
    axis_length: Option<String>,
    #[arg(long, value_name = "CUT", default_value = "square", help = END_HELP)]
    start: String,
    /// As --start, for the far end
    #[arg(long, value_name = "CUT", default_value = "square")]
    far: String,
    /// Long seam: butt, or lap=WIDTH
    #[arg(long, value_name = "SEAM", default_value = "butt")]
    seam: String,
    /// Where the long seam stands, or a patch begins, from the zero line
    #[arg(long, value_name = "A", default_value = "0°", allow_hyphen_values = true)]
    seam_at: String,
    /// A patch over this much of the girth, instead of a whole tube
    #[arg(long, value_name = "A")]
    patch: Option<String>,
    /// Radius of the corners of a patch
    #[arg(long, value_name = "R", default_value = "0")]
    corner: String,
    /// Outside diameter of the old tube that a sleeve or patch goes over; takes the place of --diameter
    #[arg(long, value_name = "D", conflicts_with = "diameter")]
    over: Option<String>,
    /// Clearance on the diameter between old tube and sleeve
    #[arg(long, value_name = "C", default_value = "0")]
    clearance: String,
    /// Lap of the old wall under the edge of a sleeve or patch
    #[arg(long, value_name = "L")]
    lap: Option<String>,
    /// A hole: its station, angle round the girth and diameter; may be given again
    #[arg(long, value_name = "X,A,D")]
    hole: Vec<String>,
    /// An elbow of this angle instead: mitre, rise and the piece to cut; how long that is comes from the elbow
    #[arg(
        long,
        value_name = "A",
        requires_all = ["pieces", "centre_radius"],
        conflicts_with_all = ["length", "axis_length", "start", "far", "patch", "over", "hole"]
    )]
    elbow: Option<String>,
    /// Pieces of the elbow
    #[arg(long, value_name = "N")]
    pieces: Option<u32>,
    /// Radius of an elbow or of a bent tube to its centre line
    #[arg(long, value_name = "R")]
    centre_radius: Option<String>,
    /// Writes the development as DXF
    #[arg(long, value_name = "FILE")]
    dxf: Option<PathBuf>,
    /// Writes the development as SVG
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    /// Writes the wrapped papers at 1:1 as SVG, one file each: the name gets a number
    #[arg(long, value_name = "FILE")]
    wrap_svg: Option<PathBuf>,
    #[command(flatten)]
    manner: Manner,
}

/// Runs the command.
pub fn run(asked: &TubeOf) -> Result<(), Failure> {
    let thickness_mm = asked.manner.thickness_mm("--wall", &asked.wall)?;
    let (tube, mut workings) = match &asked.elbow {
        Some(angle) => of_elbow(asked, angle, thickness_mm)?,
        None => (of_options(asked, thickness_mm)?, Vec::new()),
    };
    if asked.elbow.is_none()
        && let Some(radius) = &asked.centre_radius
    {
        let radius_mm = asked.manner.length_mm("--centre-radius", radius)?;
        let walls = handbook::bend::tube_bend_walls(thickness_mm, tube.outside_diameter_mm, radius_mm);
        workings.extend(walls.map_err(super::bend::rule_failure)?);
    }
    let developed = develop(&tube, &DevelopSettings::default()).map_err(bad)?;
    let wraps = wraps(&tube)?;
    let closed = cautions_for(&BTreeSet::from([Circumstance::ClosedSection, Circumstance::Welding]));
    let concerns: Vec<Concern> =
        closed.into_iter().filter(|own| own.key == "C21").chain(developed.blank.concerns.iter().cloned()).collect();
    workings.extend(developed.blank.workings.iter().cloned());
    let stop = concerns.iter().find(|concern| concern.grade == Grade::Stop);
    // what must not be made gets no cut file
    if stop.is_none() {
        write_files(asked, &developed, &wraps)?;
    }
    let text = if asked.manner.json {
        json_text(&as_json(&tube, &developed, &wraps, &workings, &concerns))?
    } else {
        as_text(asked.manner, &tube, &developed, &wraps, &workings, &concerns)
    };
    figures::print(&text)?;
    match stop {
        Some(stop) => Err(Failure::new(Kind::DoNotMake, format!("do not make this: {}: {}", stop.place, stop.what))),
        None => Ok(()),
    }
}

fn bad(error: impl std::fmt::Display) -> Failure {
    Failure::bad_input(error.to_string())
}

fn of_elbow(asked: &TubeOf, angle: &str, thickness_mm: f64) -> Result<(Tube, Vec<Working>), Failure> {
    let order = ElbowOrder {
        name: if asked.pieces == Some(2) { "end piece".into() } else { "middle piece".into() },
        outside_diameter_mm: needed(asked, "--diameter", asked.diameter.as_deref())?,
        thickness_mm,
        material: String::new(),
        angle_rad: angle_rad("--elbow", angle)?,
        pieces: asked.pieces.unwrap_or_default(),
        centre_radius_mm: needed(asked, "--centre-radius", asked.centre_radius.as_deref())?,
    };
    let found = elbow(&order).map_err(bad)?;
    Ok((found.piece, found.workings))
}

fn needed(asked: &TubeOf, option: &str, text: Option<&str>) -> Result<f64, Failure> {
    let text =
        text.ok_or_else(|| Failure::bad_input(format!("{option} is missing; give a length, as in {option} 32")))?;
    asked.manner.length_mm(option, text)
}

fn of_options(asked: &TubeOf, thickness_mm: f64) -> Result<Tube, Failure> {
    let manner = &asked.manner;
    let over = asked.over.as_deref().map(|text| manner.length_mm("--over", text)).transpose()?;
    let outside_diameter_mm = match over {
        Some(old_mm) => old_mm + manner.length_mm("--clearance", &asked.clearance)? + 2.0 * thickness_mm,
        None => needed(asked, "--diameter", asked.diameter.as_deref())?,
    };
    let lap_mm = match &asked.lap {
        Some(text) => manner.length_mm("--lap", text)?,
        None => handbook::ShopRules::default().tube_patch_lap_mm,
    };
    let seam_at_rad = angle_rad("--seam-at", &asked.seam_at)?;
    let cover = match &asked.patch {
        Some(girth) => Cover::Part {
            from_rad: seam_at_rad,
            girth_rad: angle_rad("--patch", girth)?,
            corner_radius_mm: manner.length_mm("--corner", &asked.corner)?,
        },
        None => Cover::Whole { seam_at_rad, seam: seam(asked)? },
    };
    let mut tube = Tube {
        name: "tube".into(),
        hand: section::Hand::Left,
        mirrored: false,
        to_vehicle: DMat3::IDENTITY,
        outside_diameter_mm,
        thickness_mm,
        material: String::new(),
        length_mm: 0.0,
        ends: [end(asked, "start", "--start", &asked.start)?, end(asked, "far end", "--far", &asked.far)?],
        cover,
        over: over.map(|outside_diameter_mm| OldTube { outside_diameter_mm, lap_mm }),
        openings: Vec::new(),
        reach_mm: 0.0,
    };
    tube.length_mm = match (&asked.length, &asked.axis_length) {
        (Some(text), _) => tube.axis_length_mm(manner.length_mm("--length", text)?),
        (None, Some(text)) => manner.length_mm("--axis-length", text)?,
        (None, None) => {
            return Err(Failure::bad_input("--length is missing; give the length from tip to tip, as in --length 300"));
        }
    };
    for (i, text) in asked.hole.iter().enumerate() {
        tube.openings.push(hole(asked, i + 1, text, outside_diameter_mm)?);
    }
    Ok(tube)
}

fn seam(asked: &TubeOf) -> Result<LongSeam, Failure> {
    match asked.seam.split_once('=') {
        None if asked.seam == "butt" => Ok(LongSeam::Butt { gap_mm: 0.0 }),
        Some(("lap", width)) => Ok(LongSeam::Lap { lap_mm: asked.manner.length_mm("--seam lap", width)? }),
        _ => {
            Err(Failure::bad_input(format!("--seam is {:?}; butt, or lap=WIDTH as in lap=12, is accepted", asked.seam)))
        }
    }
}

fn hole(asked: &TubeOf, number: usize, text: &str, diameter_mm: f64) -> Result<Opening, Failure> {
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    let [along, angle, size] = parts.as_slice() else {
        let message = format!("--hole is {text:?}; station, angle and diameter are accepted, as in --hole 80,90°,6.5");
        return Err(Failure::bad_input(message));
    };
    Ok(Opening {
        name: format!("hole {number}"),
        on: On::Skin,
        along_mm: asked.manner.length_mm("--hole station", along)?,
        from_edge_mm: 0.5 * diameter_mm * angle_rad("--hole angle", angle)?,
        shape: OpeningShape::Round { diameter_mm: asked.manner.length_mm("--hole diameter", size)? },
        reach_mm: 0.0,
        half_clearance_mm: None,
    })
}

/// The words of an end: `kind=value,key=value,…`, each key once, none unknown.
struct EndWords<'a> {
    asked: &'a TubeOf,
    option: &'a str,
    words: BTreeMap<&'a str, &'a str>,
}

impl<'a> EndWords<'a> {
    fn read(asked: &'a TubeOf, option: &'a str, text: &'a str) -> Result<Self, Failure> {
        const KNOWN: [&str; 13] = [
            "square", "mitre", "longest", "saddle", "angle", "closed", "offset", "flat", "way", "face", "hole",
            "from_tip", "wall",
        ];
        let mut words = BTreeMap::new();
        for part in text.split(',').map(str::trim) {
            let (key, value) = part.split_once('=').unwrap_or((part, ""));
            if !KNOWN.contains(&key) {
                let message = format!("{option}: {key:?} is not known; {} are accepted", KNOWN.join(", "));
                return Err(Failure::bad_input(message));
            }
            if words.insert(key, value).is_some() {
                return Err(Failure::bad_input(format!("{option}: {key} stands twice; give it once")));
            }
        }
        Ok(Self { asked, option, words })
    }

    fn place(&self, key: &str) -> String {
        format!("{} {key}", self.option)
    }

    fn length(&self, key: &str) -> Result<Option<f64>, Failure> {
        self.words.get(key).map(|text| self.asked.manner.length_mm(&self.place(key), text)).transpose()
    }

    /// A length that may be negative.
    fn signed(&self, key: &str) -> Result<Option<f64>, Failure> {
        let Some(text) = self.words.get(key) else { return Ok(None) };
        let (sign, rest) = text.strip_prefix('-').map_or((1.0, *text), |rest| (-1.0, rest));
        self.asked.manner.length_mm(&self.place(key), rest).map(|value| Some(sign * value))
    }

    fn angle(&self, key: &str) -> Result<Option<f64>, Failure> {
        self.words.get(key).map(|text| angle_rad(&self.place(key), text)).transpose()
    }
}

fn end(asked: &TubeOf, name: &str, option: &str, text: &str) -> Result<TubeEnd, Failure> {
    let words = EndWords::read(asked, option, text)?;
    let (cut, usual) = if let Some(angle) = words.angle("mitre")? {
        let longest_at_rad = words.angle("longest")?.unwrap_or(0.0);
        (TubeCut::Mitre { angle_rad: angle, longest_at_rad }, Wall::Middle)
    } else if let Some(main_mm) = words.length("saddle")? {
        let saddle = Saddle {
            main_outside_diameter_mm: main_mm,
            axis_angle_rad: words.angle("angle")?.unwrap_or(std::f64::consts::FRAC_PI_2),
            closed_at_rad: words.angle("closed")?.unwrap_or(0.0),
            offset_mm: words.signed("offset")?.unwrap_or(0.0),
        };
        (TubeCut::Saddle(saddle), Wall::Inside)
    } else if let Some(flat_mm) = words.length("flat")? {
        let hole = match (words.length("hole")?, words.length("from_tip")?) {
            (Some(diameter_mm), from_tip) => {
                Some(TabHole { diameter_mm, from_tip_mm: from_tip.unwrap_or(0.5 * flat_mm) })
            }
            _ => None,
        };
        let diameter = match (&asked.diameter, &asked.over) {
            (Some(text), _) | (None, Some(text)) => asked.manner.length_mm("--diameter", text)?,
            _ => 0.0,
        };
        let transition_mm = words.length("way")?.unwrap_or(1.5 * diameter);
        let face_at_rad = words.angle("face")?.unwrap_or(0.0);
        (TubeCut::Flattened { flat_mm, transition_mm, face_at_rad, hole }, Wall::Middle)
    } else {
        (TubeCut::Square, Wall::Middle)
    };
    let wall = match words.words.get("wall").copied() {
        None => usual,
        Some("inside") => Wall::Inside,
        Some("middle") => Wall::Middle,
        Some("outside") => Wall::Outside,
        Some(other) => {
            let message = format!("{option}: wall is {other:?}; inside, middle or outside is accepted");
            return Err(Failure::bad_input(message));
        }
    };
    Ok(TubeEnd { name: name.into(), cut, wall })
}

fn wraps(tube: &Tube) -> Result<Vec<WrapTemplate>, Failure> {
    let settings = WrapSettings::default();
    let mut out = Vec::new();
    for (i, end) in tube.ends.iter().enumerate() {
        if tube.is_whole() && matches!(end.cut, TubeCut::Mitre { .. } | TubeCut::Saddle(_)) {
            out.push(wrap::of_end(tube, i, tube.outside_diameter_mm, &settings).map_err(bad)?);
        }
    }
    out.extend(wrap::of_window(tube, &settings).map_err(bad)?);
    Ok(out)
}

fn as_json(
    tube: &Tube,
    developed: &DevelopedTube,
    wraps: &[WrapTemplate],
    workings: &[Working],
    concerns: &[Concern],
) -> Value {
    let ordinates = |end: &blank::tube::EndOrdinates| {
        let rows = end.rows.iter().map(|row| {
            json!({
                "angle_deg": row.angle_rad.to_degrees(),
                "across_mm": row.across_mm,
                "depth_mm": row.depth_mm,
                "x_mm": row.x_mm,
            })
        });
        json!({ "end": end.end, "rows": rows.collect::<Vec<_>>() })
    };
    let size = size(developed);
    json!({
        "outside_diameter_mm": tube.outside_diameter_mm,
        "wall_mm": tube.thickness_mm,
        "axis_length_mm": tube.length_mm,
        "flat_length_mm": size[0],
        "flat_width_mm": size[1],
        "flat_area_mm2": developed.blank.area_mm2,
        "face_up": developed.blank.face_up,
        "touching_wall": tube.ends.iter().map(|end| json!({ "end": end.name, "cut": end.kind_words(), "wall": end.wall })).collect::<Vec<_>>(),
        "outline_mm": developed.blank.outline_mm,
        "edges_mm": developed.edges.iter().map(|edge| json!({ "name": edge.name, "length_mm": edge.length_mm() })).collect::<Vec<_>>(),
        "ordinates": developed.ordinates.iter().map(ordinates).collect::<Vec<_>>(),
        "openings": developed.blank.openings,
        "check_dimensions": developed.blank.check_dimensions,
        "wraps": wraps,
        "workings": workings,
        "concerns": concerns,
    })
}

fn size(developed: &DevelopedTube) -> [f64; 2] {
    let high = developed.blank.outline_mm.iter().copied().fold(glam::DVec2::ZERO, glam::DVec2::max);
    high.to_array()
}

fn as_text(
    manner: Manner,
    tube: &Tube,
    developed: &DevelopedTube,
    wraps: &[WrapTemplate],
    workings: &[Working],
    concerns: &[Concern],
) -> String {
    let [length, width] = size(developed);
    let mut text = String::new();
    text += &manner.row("outside diameter", tube.outside_diameter_mm, "mm");
    text += &manner.row("wall", tube.thickness_mm, "mm");
    text += &manner.row("flat, along the tube", length, "mm");
    text += &manner.row("flat, round the tube", width, "mm");
    text += &manner.row("area of the flat", developed.blank.area_mm2, "mm²");
    for working in workings.iter().filter(|own| !own.name.starts_with("net area") && !own.name.contains("of the flat"))
    {
        text += &manner.row(&working.name, working.value, &working.unit);
    }
    for (end, rows) in tube.ends.iter().zip(&developed.ordinates) {
        if !matches!(end.cut, TubeCut::Mitre { .. } | TubeCut::Saddle(_)) {
            let _ = writeln!(text, "\n{}: {}", end.name, end.kind_words());
            continue;
        }
        let _ = writeln!(text, "\n{}: {}, reckoned to touch with the {}", end.name, end.kind_words(), end.wall.words());
        let _ = writeln!(
            text,
            "{:>10} {:>14} {:>14}",
            "round, °",
            format!("across, {}", manner.length_unit()),
            format!("depth, {}", manner.length_unit())
        );
        for row in &rows.rows {
            let [across, depth] = [row.across_mm, row.depth_mm].map(|mm| manner.number(mm, 3));
            let _ = writeln!(text, "{:>10.1} {across:>14} {depth:>14}", row.angle_rad.to_degrees());
        }
    }
    for wrap in wraps {
        let girth = manner.length(wrap.girth_mm, 2);
        let _ = writeln!(text, "\npaper to wrap: {}, once round {girth}, printed face out", wrap.name);
    }
    if tube.name == "middle piece" {
        text += "\nend pieces of the elbow: a middle piece sawn square through its middle, and as much longer as is wanted\n";
    }
    let _ = writeln!(text, "\nthe flat is drawn with the inside of the tube up: roll it towards you");
    text += &working_rows(workings);
    for concern in concerns {
        let grade = format!("{:?}", concern.grade).to_lowercase();
        let _ = writeln!(text, "{grade}: {}: {}; {}", concern.place, concern.what, concern.what_to_do);
    }
    text
}

fn write_files(asked: &TubeOf, developed: &DevelopedTube, wraps: &[WrapTemplate]) -> Result<(), Failure> {
    let piece = piece_plan(developed);
    let flat = packet::drawings::blank_drawing(&piece, None::<Hand>, packet::drawing::Scale::FULL);
    let mut files = WholeFile::of_drawing(&flat, asked.dxf.clone(), asked.svg.clone())?;
    for (i, wrap) in wraps.iter().enumerate() {
        let place = asked.wrap_svg.as_ref().map(|path| whole_files::numbered(path, i));
        files.extend(WholeFile::of_drawing(&packet::drawings::wrap_drawing("tube", wrap, &[]), None, place)?);
    }
    whole_files::write(&files)
}

/// The flat as a piece of its own, for the drawing.
fn piece_plan(developed: &DevelopedTube) -> PiecePlan {
    let placing = Placing {
        hand: "no hand said".into(),
        face_out: "the face that is up in this flat is the inside of the tube".into(),
        edge_up: String::new(),
        front_end: String::new(),
        names_front: false,
        curl: String::new(),
    };
    PiecePlan::new("tube", placing, 0.0, mesh::Surface::default(), developed.blank.clone())
}
