//! Strips whose ends are made up as well: a flange, a hem or a wire that comes round the corner from the finished edge.
//!
//! Edges made up all round, with mitred or relieved corners between them, are what a skin has: after it has been cut to its height such a strip
//! becomes one, with the strip's own names for its edges. Its datum lies square to the strip's outward direction, x along it.
//! Holds where the finished edge and the cut edge are straight seen from outside (they may bow in and out) and the cross-section has no
//! fold of its own; what is outside that is refused by name.

use super::make_up::{self, On};
use super::skin::{Profile, SkinShape, SkinShapeEdge};
use super::{Build, Reader, ResolvedPiece, ResolvedSeam, ResolvedShape, end_name, is_seamed};
use crate::file::{self, JointKind, Piece};
use blank::flatten::Route;
use glam::{DMat3, DVec2, DVec3};
use section::{Along, Face, FlangeRelief, Lean, Link, MakeUp, On as Place, Opening, Runs, Strip, Swept};

/// An edge may leave the straight by so much, seen from outside, mm.
const STRAIGHT_MM: f64 = 0.3;
/// An arc of the cross-section this tight is a fold, mm.
const FOLD_RADIUS_MM: f64 = 60.0;
/// Stations and rows at which the strip is read.
const STATIONS: u32 = 257;
const ROWS: u32 = 9;
/// Profiles of the skin.
const PROFILES: u32 = 9;
/// Read so far beyond the ends, so that every profile covers the outline, mm.
const BEYOND_MM: f64 = 10.0;
/// ± of a profile that is computed and not read, mm.
const REACH_MM: f64 = 0.05;

/// Turns every strip with made-up ends into a skin.
pub(super) fn apply(build: &Build<'_>, seams: &[ResolvedSeam], pieces: &mut [ResolvedPiece], reader: &mut Reader) {
    for written in build.source.pieces.iter().filter_map(strip_of) {
        let field = format!("{}.piece.{}", build.source.path, written.name);
        let Some(piece) = pieces.iter_mut().find(|piece| piece.shape.name() == written.name) else { continue };
        let mut stands_out = piece.wire_stands_out_mm;
        let ends = [("start_edge", &written.start_edge), ("end_edge", &written.end_edge)].map(|(word, chain)| {
            let on =
                On { field: &format!("{field}.{word}"), thickness_mm: piece.shape.thickness_mm(), leg_width_mm: None };
            let made = make_up::chain(build, chain, on, reader);
            stands_out = stands_out.or(made.wire_stands_out_mm);
            made.make_ups
        });
        if ends.iter().all(Vec::is_empty) || reader.is_faulty() {
            continue;
        }
        let ResolvedShape::Strip(strip) = &piece.shape else { continue };
        // what is wrong with one end stands at that end, what is wrong with the strip at the first that is made up
        let plain = ends.iter().position(|end| end.iter().any(is_plain));
        let first = usize::from(ends[0].is_empty());
        let word = ["start_edge", "end_edge"][plain.unwrap_or(first)];
        match refused(written, strip, &ends).map_or_else(|| skin(build, seams, piece, strip, ends), Err) {
            Ok(skin) => {
                let [start, end] = &piece.end_names;
                piece.directions = format!("x runs along the strip from {start} to {end}; {}", skin.ways());
                piece.shape = ResolvedShape::Skin(Box::new(skin));
                piece.wire_stands_out_mm = stands_out;
            }
            Err(message) => reader.fault(format!("{field}.{word}"), message),
        }
    }
}

fn strip_of(piece: &Piece) -> Option<&file::Strip> {
    match piece {
        Piece::Strip(strip) if !(strip.start_edge.is_empty() && strip.end_edge.is_empty()) => Some(strip),
        _ => None,
    }
}

/// Stands beside the sheet and makes nothing of an end.
const fn is_plain(own: &MakeUp) -> bool {
    matches!(own, MakeUp::Raw { .. } | MakeUp::Joggle { .. } | MakeUp::Seam { .. })
}

/// What such a strip cannot have.
fn refused(written: &file::Strip, strip: &Strip, ends: &[Vec<MakeUp>; 2]) -> Option<String> {
    let all = || strip.finished_edge.iter().chain(&strip.cut_edge).chain(ends.iter().flatten());
    let varies = |own: &MakeUp| match own {
        MakeUp::Flange { bend_angle_rad, width_mm, .. } => {
            [bend_angle_rad, width_mm].iter().any(|own| matches!(own, Along::Stations(_)))
        }
        _ => false,
    };
    let is_split = |own: &MakeUp| matches!(own, MakeUp::Flange { relief: FlangeRelief::Split { .. }, .. });
    let is_fold = |link: &Link| {
        matches!(link, Link::Arc { inside_radius_mm, bend_angle_rad }
            if *inside_radius_mm < FOLD_RADIUS_MM && bend_angle_rad.abs() > 0.02)
    };
    let instead = "leave its end raw and let it in, or describe it as kind = \"skin\" or \"folded\"";
    if let Some(own) = ends.iter().flatten().find(|own| is_plain(own)) {
        return Some(format!("has a {}; an end that is made up has a flange, a hem or a wire", own.kind_name()));
    }
    if written.in_pair.is_some() || strip.under_mm > 0.0 {
        return Some(
            "is on a strip that mates with another or laps under the old skin, whose ends are raw; leave it out".into(),
        );
    }
    if written.held_line.is_some() {
        return Some("goes with no held_line; leave one of the two out".into());
    }
    if all().any(varies) {
        return Some(format!("goes with edges whose angle and width stay the same; give one value each, or {instead}"));
    }
    if all().any(is_split) {
        return Some(format!("goes with no split flange; choose notches or scallops, or {instead}"));
    }
    if strip.sections.iter().flat_map(|section| &section.links).any(is_fold) {
        return Some(format!(
            "goes with a cross-section without a fold of its own; make the fold a make-up of the finished edge, or {instead}"
        ));
    }
    let off_skin = strip.openings.iter().find(|own| own.on != Place::Skin);
    off_skin.map(|own| {
        format!("goes with openings in the skin only; {} is in a make-up: drill it when it is folded", own.name)
    })
}

/// The strip without its make-ups, read at places of its own: station and share of the way from finished to cut edge.
struct Body<'a> {
    swept: Swept<'a>,
    from_vehicle: DMat3,
}

impl Body<'_> {
    /// x along, y across, z outward.
    fn at(&self, station_mm: f64, share: f64) -> Option<DVec3> {
        let profile = self.swept.profile(station_mm, Lean::After);
        let t = profile.thickness_mm;
        let lengths: Vec<f64> = profile.links.iter().map(|link| link.shape.outside_length_mm(t).value).collect();
        let mut left_mm = share * lengths.iter().sum::<f64>();
        let last = lengths.len().checked_sub(1)?;
        let (mut link, mut fraction) = (last, 1.0);
        for (index, length_mm) in lengths.iter().enumerate() {
            if left_mm <= *length_mm || index == last {
                (link, fraction) = (index, if *length_mm > 0.0 { (left_mm / length_mm).clamp(0.0, 1.0) } else { 0.0 });
                break;
            }
            left_mm -= length_mm;
        }
        let node = profile.inside_link(link, fraction)?;
        Some(self.from_vehicle * self.swept.point(&self.swept.frame_jet(station_mm, Lean::After), &node, 0.0).value)
    }

    fn opening(&self, own: &Opening) -> Option<Opening> {
        let profile = self.swept.profile(own.along_mm, Lean::After);
        let chain = self.swept.on_chain(&profile, own.on, own.along_mm, own.from_edge_mm)?;
        let node = profile.inside_link(chain.link, chain.fraction)?;
        let frame = self.swept.frame_jet(own.along_mm, Lean::After);
        let at = self.from_vehicle * self.swept.point(&frame, &node, 0.0).value;
        Some(Opening { along_mm: at.x, from_edge_mm: at.y, ..own.clone() })
    }
}

fn skin(
    build: &Build<'_>,
    seams: &[ResolvedSeam],
    piece: &ResolvedPiece,
    strip: &Strip,
    ends: [Vec<MakeUp>; 2],
) -> Result<SkinShape, String> {
    let spare_mm = [strip.spare_from_mm, strip.spare_to_mm];
    let bare = Strip {
        finished_edge: Vec::new(),
        cut_edge: Vec::new(),
        openings: Vec::new(),
        spare_from_mm: BEYOND_MM,
        spare_to_mm: BEYOND_MM,
        ..strip.clone()
    };
    let swept = Swept::new(&bare).map_err(|error| error.to_string())?;
    let to_vehicle = datum(&swept).ok_or("is on a strip without length")?;
    let body = Body { swept, from_vehicle: to_vehicle.transpose() };
    let off = || "is on a strip that cannot be read at its ends".to_owned();
    let corner = |station_mm: f64, share: f64| body.at(station_mm, share).map(DVec3::truncate).ok_or_else(off);
    let corners = [
        [corner(bare.from_mm, 0.0)?, corner(bare.to_mm, 0.0)?],
        [corner(bare.from_mm, 1.0)?, corner(bare.to_mm, 1.0)?],
    ];
    for (share, name) in [(0.0, "finished edge"), (1.0, "cut edge")] {
        let along: Vec<DVec2> = stations([bare.from_mm, bare.to_mm], STATIONS)
            .filter_map(|station| body.at(station, share).map(DVec3::truncate))
            .collect();
        let sagitta_mm = mesh::polygon::sagitta_mm(&along);
        if sagitta_mm > STRAIGHT_MM {
            return Err(format!(
                "goes with edges that are straight seen from outside; the {name} leaves the straight by {sagitta_mm:.1} mm, and up to {STRAIGHT_MM} mm is \
                 accepted: leave the end raw and weld a flange on, or describe the piece as kind = \"skin\" with its outline"
            ));
        }
    }
    let profiles = profiles(&body, &bare, &corners).ok_or_else(off)?;
    let make_ups = |end: usize| {
        let own = ends.get(end).filter(|chain| !chain.is_empty()).cloned();
        let spare = spare_mm.get(end).copied().filter(|spare| *spare > 0.0);
        own.unwrap_or_else(|| spare.map(|trim_mm| MakeUp::Raw { trim_mm }).into_iter().collect())
    };
    let joins = build.section.joint.kind != JointKind::Bolted && !is_seamed(seams, &strip.name, "cut edge");
    let edge = |name: String, make_ups: Vec<MakeUp>, joins: bool| SkinShapeEdge { name, make_ups, joins, held: false };
    let [[a, b], [c, d]] = corners;
    let start = edge(end_name(piece, 0), make_ups(0), false);
    let end = edge(end_name(piece, 1), make_ups(1), false);
    let finished = edge("finished edge".into(), strip.finished_edge.clone(), false);
    let run_round = |chain: &[MakeUp], turned: bool| chain.iter().map(|own| turned_round(own, turned)).collect();
    // anticlockwise seen from outside: a strip that runs up has its sheet against y
    let (outline_mm, edges) = match strip.runs {
        Runs::Up => {
            let cut = edge("cut edge".into(), run_round(&strip.cut_edge, false), joins);
            (vec![c, d, b, a], vec![cut, end, finished, start])
        }
        Runs::Down => {
            let cut = edge("cut edge".into(), run_round(&strip.cut_edge, true), joins);
            (vec![a, b, d, c], vec![finished, end, cut, start])
        }
    };
    let openings: Option<Vec<Opening>> = strip.openings.iter().map(|own| body.opening(own)).collect();
    Ok(SkinShape {
        name: strip.name.clone(),
        hand: strip.hand,
        has_hand: build.section.hand.is_some() || build.source.pattern.is_some_and(|own| own.hand.is_some()),
        mirrored: strip.mirrored,
        thickness_mm: strip.thickness_mm,
        material: strip.material.clone(),
        face: Face::Outside,
        mesh_says: None,
        to_vehicle,
        route: Route::LeastWork,
        profiles,
        computed_reach_mm: Some(strip.reach_mm),
        outline_mm,
        edges,
        openings: openings.ok_or_else(off)?,
        templates_at_mm: Vec::new(),
        buck_board_mm: None,
    })
}

/// A make-up of an edge that is walked the other way.
fn turned_round(own: &MakeUp, turned: bool) -> MakeUp {
    match own {
        MakeUp::Joggle { depth_mm, ramp_mm, lap_mm, runs_out_mm: [from_mm, to_mm] } if turned => {
            MakeUp::Joggle { depth_mm: *depth_mm, ramp_mm: *ramp_mm, lap_mm: *lap_mm, runs_out_mm: [*to_mm, *from_mm] }
        }
        other => other.clone(),
    }
}

/// Columns x, y, z in vehicle axes: x from end to end, z outward at the middle.
fn datum(swept: &Swept<'_>) -> Option<DMat3> {
    let strip = swept.strip();
    let at = |station_mm: f64| strip.edge_line.at(station_mm).position_mm;
    let x = (at(strip.to_mm) - at(strip.from_mm)).try_normalize()?;
    let out = swept.frame(0.5 * (strip.from_mm + strip.to_mm)).o;
    let z = (out - x * out.dot(x)).try_normalize()?;
    Some(DMat3::from_cols(x, z.cross(x), z))
}

fn stations([from_mm, to_mm]: [f64; 2], count: u32) -> impl Iterator<Item = f64> {
    (0..count).map(move |i| from_mm + (to_mm - from_mm) * f64::from(i) / f64::from(count - 1))
}

/// Profiles at x over the whole outline, found along lines that run lengthwise.
fn profiles(body: &Body<'_>, bare: &Strip, corners: &[[DVec2; 2]; 2]) -> Option<Vec<Profile>> {
    let all = [bare.from_mm - BEYOND_MM, bare.to_mm + BEYOND_MM];
    let lines: Vec<Vec<DVec3>> = (0..ROWS)
        .map(|row| {
            let share = f64::from(row) / f64::from(ROWS - 1);
            stations(all, STATIONS).map(|station| body.at(station, share)).collect::<Option<Vec<_>>>()
        })
        .collect::<Option<_>>()?;
    let corners = || corners.iter().flatten();
    let low = corners().map(|corner| corner.x).fold(f64::INFINITY, f64::min);
    let high = corners().map(|corner| corner.x).fold(f64::NEG_INFINITY, f64::max);
    stations([low, high], PROFILES)
        .map(|x| {
            let mut points_mm: Vec<DVec2> = lines.iter().map(|line| at_x(line, x)).collect::<Option<_>>()?;
            if points_mm.first().zip(points_mm.last()).is_some_and(|(a, b)| a.x > b.x) {
                points_mm.reverse();
            }
            Some(Profile { station_mm: x, points_mm, reach_mm: REACH_MM })
        })
        .collect()
}

/// (y, z) of a lengthwise line at an x.
fn at_x(line: &[DVec3], x: f64) -> Option<DVec2> {
    line.iter().zip(line.iter().skip(1)).find_map(|(a, b)| {
        let share = (x - a.x) / (b.x - a.x);
        let inside = b.x > a.x && (-1e-9..=1.0 + 1e-9).contains(&share);
        inside.then(|| DVec2::new(a.y + (b.y - a.y) * share, a.z + (b.z - a.z) * share))
    })
}
