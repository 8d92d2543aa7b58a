//! What one seam measures: both lengths, how far its edges stand off one another, how it is held.

use super::edge::{Joined, at};
use super::pose::is_curved;
use super::{PlacedPiece, SeamPlan};
use crate::file::{Fixing, SeamJoint, Turns};
use crate::plan::EdgePoint;
use glam::DVec3;
use handbook::joints::{self, JointKind as Book, Sheets};
use handbook::{Concern, Grade, Source, Working};
use shop::ShopSettings;
use units::format_mm;

/// Places along a seam that are compared.
const PLACES: u32 = 32;
/// Two sheets that open by less than this at a round edge lie in one another: well under a square corner.
const TURNS_BACK_RAD: f64 = std::f64::consts::FRAC_PI_3;
/// Chords of the shapes' own edges, mm.
const CHORDS_MM: f64 = 0.1;

/// Lap of a seam before the handbook is asked, mm: 0 without one.
pub(super) fn lap_mm(joined: &Joined<'_>) -> f64 {
    if !joined.seam.joint.is_lap() {
        return 0.0;
    }
    joined.seam.lap_mm.unwrap_or_else(|| usual_lap_mm(joined))
}

/// The overlap of the handbook with its own rules; the shop's stands in the working.
fn usual_lap_mm(joined: &Joined<'_>) -> f64 {
    let [piece, to] = joined.thickness_mm;
    let sheets = Sheets { front_mm: piece, back_mm: to, load_bearing: false };
    let figures = joints::joint(book(joined.seam.joint, joined.seam.fixing), sheets, &handbook::ShopRules::default());
    figures.map_or(0.0, |figures| figures.overlap_mm)
}

/// Where the piece's edge may lie square to the other's sheet, mm along its outward direction; the first is the usual one.
/// `flipped`: its measured face looks the other way.
pub(super) fn offsets(joined: &Joined<'_>, flipped: bool) -> Vec<f64> {
    let [own, other] = joined.thickness_mm;
    match (joined.seam.joint, flipped) {
        (SeamJoint::Butt, false) => vec![0.0],
        (SeamJoint::Butt, true) => vec![-other, 0.0],
        (SeamJoint::LapUnder, false) => vec![-other],
        (SeamJoint::LapUnder, true) => vec![-(other + own)],
        (SeamJoint::LapOver, false) => vec![own],
        (SeamJoint::LapOver, true) => vec![0.0],
        (SeamJoint::Flange, false) => vec![own, -other],
        (SeamJoint::Flange, true) => vec![0.0, -(other + own)],
        (SeamJoint::EdgeToFace, _) => match joined.seam.turns {
            Turns::Inside => vec![-other, 0.0],
            Turns::Outside => vec![0.0, -other],
        },
    }
}

fn book(joint: SeamJoint, fixing: Fixing) -> Book {
    match (joint, fixing) {
        (SeamJoint::Butt | SeamJoint::EdgeToFace, _) => Book::Butt,
        (_, Fixing::Plug) => Book::PlainLap,
        (_, Fixing::Spot) => Book::PlainLapSpot,
        (_, Fixing::Bolt) => Book::BoltedFlange,
        (_, Fixing::Bond) => Book::BondedLap,
    }
}

pub(super) fn seam(
    joined: &Joined<'_>,
    placed: &[PlacedPiece],
    step: usize,
    title: &str,
    shop: &ShopSettings,
    concerns: &mut Vec<Concern>,
) -> Result<SeamPlan, String> {
    let seam = joined.seam;
    let [own, to] = &joined.edges;
    let accepted_mm = shop.allowances.seam_within_mm + joined.reach_mm;
    let [thickness, other_thickness] = joined.thickness_mm;
    let sheets = Sheets { front_mm: thickness, back_mm: other_thickness, load_bearing: false };
    let figures =
        joints::joint(book(seam.joint, seam.fixing), sheets, &shop.rules).map_err(|error| error.to_string())?;
    let lap_mm = lap_mm(joined);
    let Standing { off_mm, other_mm, points_mm, opening_rad } =
        standing(joined, placed, lap_mm).ok_or("one of its edges has no length")?;
    let lengths_mm = [own.length_mm, other_mm];
    let difference_mm = (own.length_mm - other_mm).abs();
    let [least, most] = figures.pitch_mm;
    let usual = 0.5 * (least + most);
    let gaps = if usual > 0.0 { (own.length_mm / usual).ceil().max(1.0) } else { 0.0 };
    let count = if own.closed { gaps as usize } else { gaps as usize + 1 };
    let count = if usual > 0.0 { count } else { 0 };
    let mut workings = vec![lengths_working(joined, lengths_mm, accepted_mm, shop)];
    workings.extend(figures.workings.iter().cloned());
    if difference_mm > accepted_mm {
        concerns.push(lengths_differ(joined, lengths_mm, accepted_mm, title));
    } else if off_mm > accepted_mm + CHORDS_MM {
        concerns.push(stands_off(joined, off_mm, accepted_mm, title));
    }
    if own.closed != to.closed {
        concerns.push(open_on_closed(joined, title));
    } else if is_laid_by_its_curve(joined) && opening_rad < TURNS_BACK_RAD {
        concerns.push(turns_back(joined, opening_rad, title));
    }
    let mut plan = SeamPlan {
        letter: String::new(),
        name: seam.name.clone(),
        pieces: [seam.piece.clone(), seam.to_piece.clone()],
        edges: [own.name.clone(), to.name.clone()],
        joint: seam.joint,
        fixing: seam.fixing,
        words: String::new(),
        lengths_mm,
        accepted_mm,
        off_mm,
        lap_mm,
        count,
        hole_mm: figures.hole_mm,
        step,
        from_inside: seam.from_inside,
        points_mm,
        closed: own.closed,
        workings,
    };
    plan.words = words(&plan);
    Ok(plan)
}

/// How it is joined, in one line.
fn words(plan: &SeamPlan) -> String {
    let hole = plan.hole_mm.map(|hole| format!(" in {} holes", format_mm(hole, 1))).unwrap_or_default();
    let held = match plan.fixing {
        Fixing::Plug => format!("{} plugs{hole}", plan.count),
        Fixing::Spot => format!("{} spots", plan.count),
        Fixing::Bolt => "bolted".to_owned(),
        Fixing::Bond => "bonded".to_owned(),
    };
    let [piece, other] = &plan.pieces;
    match plan.joint {
        SeamJoint::Butt => format!("edge to edge, {} tacks, then welded and dressed", plan.count),
        SeamJoint::LapUnder => format!("{piece} laps {} under {other}, {held}", format_mm(plan.lap_mm, 1)),
        SeamJoint::LapOver => format!("{piece} laps {} over {other}, {held}", format_mm(plan.lap_mm, 1)),
        SeamJoint::Flange => format!("flange to flange, rims flush, {held}"),
        SeamJoint::EdgeToFace => format!("edge on the face, {} tacks, then welded", plan.count),
    }
}

fn lengths_working(
    joined: &Joined<'_>,
    [own_mm, other_mm]: [f64; 2],
    accepted_mm: f64,
    shop: &ShopSettings,
) -> Working {
    let [own, to] = &joined.edges;
    let where_it_lies = if joined.seam.joint.is_lap() { ", at the lap" } else { "" };
    Working::new(
        format!("seam {}: difference of its two lengths", joined.seam.name),
        own_mm - other_mm,
        "mm",
        "L1 − L2, accepted within s + r",
        Source::shop_setting("what the shop lets a seam differ by before it is dressed to fit"),
    )
    .with("L1", format!("{} of {}", own.name, joined.seam.piece), own_mm, "mm")
    .with("L2", format!("{} of {}{where_it_lies}", to.name, joined.seam.to_piece), other_mm, "mm")
    .with("s", "allowance of the shop", shop.allowances.seam_within_mm, "mm")
    .with("r", "reach of both pieces", joined.reach_mm, "mm")
    .with("s + r", "accepted", accepted_mm, "mm")
}

/// How the two edges of a seam stand to one another.
struct Standing {
    /// Furthest that the piece's edge lies from where the seam wants it, mm.
    off_mm: f64,
    /// Length of the other edge where the piece meets it: at the lap, not at its rim, mm.
    other_mm: f64,
    /// The seam in the section's axes.
    points_mm: Vec<DVec3>,
    /// Opening angle between the two sheets along the seam, mean: π runs on, 0 lies in one another.
    opening_rad: f64,
}

fn standing(joined: &Joined<'_>, placed: &[PlacedPiece], lap_mm: f64) -> Option<Standing> {
    let [own, to] = &joined.edges;
    let [first, second] = joined.pieces;
    let (pose, other) = (placed.get(first)?.pose, placed.get(second)?.pose);
    let places = |pose: crate::plan::Pose, edge, count: u32| -> Option<Vec<_>> {
        (0..=count).map(|i| Some(pose.edge_point(&at(edge, f64::from(i) / f64::from(count))?))).collect()
    };
    let edge = places(pose, own, PLACES)?;
    let dense = places(other, to, 8 * PLACES)?;
    let middle = edge.get(edge.len() / 2)?;
    let nearest = dense.iter().min_by(|a, b| off(a.at_mm, middle.at_mm).total_cmp(&off(b.at_mm, middle.at_mm)))?;
    let flipped = middle.outward.dot(nearest.outward) < 0.0;
    let rim: Vec<DVec3> = dense.iter().map(|point| point.at_mm).collect();
    let ways = offsets(joined, flipped).into_iter().map(|foot| {
        let wanted: Vec<DVec3> =
            dense.iter().map(|point| point.at_mm + point.into_sheet * lap_mm + point.outward * foot).collect();
        let off_mm = edge.iter().map(|point| distance_to_line(point.at_mm, &wanted)).fold(0.0, f64::max);
        (off_mm, line_mm(&wanted))
    });
    let (off_mm, wanted_mm) = ways.min_by(|a, b| a.0.total_cmp(&b.0))?;
    // chords shorten both lines alike
    let other_mm = to.length_mm * wanted_mm / line_mm(&rim);
    let opening = |own: &EdgePoint| {
        let beside = dense.iter().min_by(|a, b| off(a.at_mm, own.at_mm).total_cmp(&off(b.at_mm, own.at_mm)))?;
        Some(own.into_sheet.angle_between(beside.into_sheet))
    };
    let openings: Vec<f64> = edge.iter().filter_map(opening).collect();
    let opening_rad = openings.iter().sum::<f64>() / openings.len() as f64;
    Some(Standing { off_mm, other_mm, points_mm: edge.iter().map(|point| point.at_mm).collect(), opening_rad })
}

/// Does the curve of both edges say how the piece stands, and not the opening angle of the seam?
fn is_laid_by_its_curve(joined: &Joined<'_>) -> bool {
    let [own, to] = &joined.edges;
    let joint = matches!(joined.seam.joint, SeamJoint::Butt | SeamJoint::LapUnder | SeamJoint::LapOver);
    joint && !joined.on_face && is_curved(own) && is_curved(to)
}

fn off(a: DVec3, b: DVec3) -> f64 {
    a.distance_squared(b)
}

fn line_mm(line: &[DVec3]) -> f64 {
    line.iter().zip(line.iter().skip(1)).map(|(a, b)| a.distance(*b)).sum()
}

fn distance_to_line(point: DVec3, line: &[DVec3]) -> f64 {
    let to_chord = |(a, b): (&DVec3, &DVec3)| {
        let along = *b - *a;
        let share = if along.length_squared() > 0.0 { (point - *a).dot(along) / along.length_squared() } else { 0.0 };
        point.distance(*a + along * share.clamp(0.0, 1.0))
    };
    line.iter().zip(line.iter().skip(1)).map(to_chord).fold(f64::INFINITY, f64::min)
}

fn both(joined: &Joined<'_>) -> String {
    let [own, to] = &joined.edges;
    format!("\"{}\" of {} and \"{}\" of {}", own.name, joined.seam.piece, to.name, joined.seam.to_piece)
}

fn lengths_differ(joined: &Joined<'_>, [own_mm, other_mm]: [f64; 2], accepted_mm: f64, title: &str) -> Concern {
    let [_, to] = &joined.edges;
    let difference_mm = own_mm - other_mm;
    let longer = if difference_mm > 0.0 { &joined.seam.piece } else { &joined.seam.to_piece };
    let stretch = if difference_mm < 0.0 && !joined.on_face && !to.closed {
        format!(", or say which {} of \"{}\" it covers (stretch)", format_mm(own_mm, 1), to.name)
    } else {
        String::new()
    };
    crate::resolve::note(
        "seam-lengths-differ",
        Grade::Stop,
        title,
        [
            format!(
                "the two edges of the seam {} do not share its length: {}, {} against {}",
                joined.seam.name,
                both(joined),
                format_mm(own_mm, 1),
                format_mm(other_mm, 1)
            ),
            format!(
                "{longer} is {} longer there; up to {} is accepted",
                format_mm(difference_mm.abs(), 1),
                format_mm(accepted_mm, 1)
            ),
            format!("make both the same length within {}{stretch}", format_mm(accepted_mm, 1)),
        ],
    )
}

fn stands_off(joined: &Joined<'_>, off_mm: f64, accepted_mm: f64, title: &str) -> Concern {
    crate::resolve::note(
        "seam-stands-off",
        Grade::Stop,
        title,
        [
            format!("{} do not lie on one another in the seam {}", both(joined), joined.seam.name),
            format!(
                "as the pieces stand they are up to {} apart where {} is accepted: it would gape or be forced",
                format_mm(off_mm, 1),
                format_mm(accepted_mm, 1)
            ),
            "check sizes, the angle that the piece stands at, which end lies on which, and the joint of the seam"
                .into(),
        ],
    )
}

fn turns_back(joined: &Joined<'_>, opening_rad: f64, title: &str) -> Concern {
    let (other_way, way) =
        if joined.seam.reversed { ("leave reversed out", "as reversed") } else { ("write reversed = true", "as") };
    let lies_deg = opening_rad.to_degrees();
    crate::resolve::note(
        "seam-turns-back",
        Grade::Stop,
        title,
        [
            format!("{} run into each other in the seam {}", both(joined), joined.seam.name),
            format!(
                "{way} written, {} turns back into {}: the two sheets open by {lies_deg:.0}° and lie inside each other",
                joined.seam.piece, joined.seam.to_piece
            ),
            format!(
                "{other_way} in the seam {}: {} then stands the other way round; where both lean the same way that does not help, and one of them needs another angle",
                joined.seam.name, joined.seam.piece
            ),
        ],
    )
}

fn open_on_closed(joined: &Joined<'_>, title: &str) -> Concern {
    crate::resolve::note(
        "seam-open-on-closed",
        Grade::Stop,
        title,
        [
            format!("{} cannot be one seam", both(joined)),
            "the one runs round and joins up with itself, the other has two ends".into(),
            "join a round end to a round on a face or to another round end".into(),
        ],
    )
}
