//! The joined outline: free edges of all strips, corners between them, and what overlaps.

use super::corner::{self, Corner};
use super::edge::{EdgeKind, FlatEdge};
use crate::Loop;
use glam::DVec2;
use handbook::{Concern, Grade, LiftedBy};
use mesh::polygon::{Clash, check_simple, signed_area_mm2};

/// Shortest free edge left between two corners, mm.
const LEAST_FREE_MM: f64 = 1.0;

/// The outline with what is wrong with it.
#[derive(Debug, Clone)]
pub(super) struct Outline {
    pub(super) points_mm: Loop,
    pub(super) corners: Vec<Corner>,
    pub(super) concerns: Vec<Concern>,
}

/// Joins the strips of all edges.
pub(super) fn join(edges: &[FlatEdge<'_>], gap_mm: f64, thickness_mm: f64, tolerance_mm: f64) -> Outline {
    let n = edges.len();
    let mut concerns = Vec::new();
    if let [only] = edges
        && only.curve.closed
    {
        let whole = only.curve.length_mm();
        let mut points = free_edge(only, 0.0, whole, tolerance_mm);
        points.pop();
        let owners = vec![name(only); points.len()];
        return finish(points, &owners, Vec::new(), concerns);
    }
    let mut corners: Vec<Corner> =
        (0..n).map(|i| corner::corner(&edges[(i + n - 1) % n], &edges[i], gap_mm, thickness_mm)).collect();
    for (i, edge) in edges.iter().enumerate() {
        concerns.extend(shorten_to_room(edge, i, &mut corners));
    }
    let (mut points, mut owners): (Loop, Vec<String>) = (Vec::new(), Vec::new());
    let mut push = |at: Vec<DVec2>, owner: &str| {
        for point in at {
            if points.last().is_none_or(|last: &DVec2| last.distance(point) > 1e-7) {
                points.push(point);
                owners.push(owner.to_owned());
            }
        }
    };
    for (i, edge) in edges.iter().enumerate() {
        let before = &edges[(i + n - 1) % n];
        push(
            corner::boundary(&corners[i], before, edge, tolerance_mm),
            &format!("the {}", super::corner_of(&before.given.name, &edge.given.name)),
        );
        let top = |cut: &corner::Cut| cut.last().map_or(0.0, |top| top[0]);
        let from = edge.curve.station_after_start(top(&corners[i].cuts[1]));
        let to = edge.curve.station_before_end(top(&corners[(i + 1) % n].cuts[0]));
        let shortened = is_shortened(edge, &corners[i].cuts[1]);
        if to - from > 1e-9 && !shortened {
            // its ends are those of the corners: where the width varies along the edge the corner's own width there counts
            let line = free_edge(edge, from, to, tolerance_mm);
            let between = line.len().saturating_sub(2);
            push(line.into_iter().skip(1).take(between).collect(), &name(edge));
        }
    }
    while points.len() > 1 && points[0].distance(points[points.len() - 1]) <= 1e-7 {
        points.pop();
        owners.pop();
    }
    finish(points, &owners, corners, concerns)
}

/// The free edge between two stations with the reliefs that are cut into it.
fn free_edge(edge: &FlatEdge<'_>, from_mm: f64, to_mm: f64, tolerance_mm: f64) -> Vec<DVec2> {
    match &edge.worked {
        Some(worked) => worked.outline(edge, from_mm, to_mm, tolerance_mm),
        None => edge.curve.polyline(from_mm, to_mm, &|s| edge.free_mm(s), tolerance_mm),
    }
}

fn name(edge: &FlatEdge<'_>) -> String {
    match edge.kind {
        EdgeKind::Plain => edge.given.name.clone(),
        _ => {
            let what = edge.given.make_ups.iter().map(section::MakeUp::kind_name).next_back().unwrap_or("strip");
            format!("the {what} of {}", edge.given.name)
        }
    }
}

fn is_shortened(edge: &FlatEdge<'_>, cut: &corner::Cut) -> bool {
    let free = edge.free_mm(0.0);
    cut.last().is_some_and(|top| top[1] < free - 1e-9)
}

/// Cuts a strip off where its two ends meet, when it has no room between its corners.
fn shorten_to_room(edge: &FlatEdge<'_>, i: usize, corners: &mut [Corner]) -> Option<Concern> {
    let n = corners.len();
    let (start, end) = (corners[i].cuts[1].clone(), corners[(i + 1) % n].cuts[0].clone());
    let room = |a: &[f64; 2], b: &[f64; 2]| edge.curve.station_before_end(b[0]) - edge.curve.station_after_start(a[0]);
    let rooms: Vec<f64> = start.iter().zip(&end).map(|(a, b)| room(a, b)).collect();
    let short = rooms.iter().position(|room| *room < LEAST_FREE_MM)?;
    if start.len() != end.len() || short == 0 {
        // a plain end against a strip's, or no room even for the fold
        return Some(no_room(edge, 0.0));
    }
    let share = ((rooms[short - 1] - LEAST_FREE_MM) / (rooms[short - 1] - rooms[short])).clamp(0.0, 1.0);
    let cut = |line: &corner::Cut| -> corner::Cut {
        let mut kept: corner::Cut = line[..short].to_vec();
        let (a, b) = (line[short - 1], line[short]);
        kept.push([a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share]);
        kept
    };
    let (start, end) = (cut(&start), cut(&end));
    let left = start.last().map_or(0.0, |top| top[1]);
    corners[i].cuts[1] = start;
    corners[(i + 1) % n].cuts[0] = end;
    Some(no_room(edge, left))
}

fn no_room(edge: &FlatEdge<'_>, left_mm: f64) -> Concern {
    Concern {
        key: "skin-no-room-for-make-up".into(),
        grade: Grade::Stop,
        place: edge.given.name.clone(),
        what: format!(
            "its make-ups are {:.1} mm wide in the flat; between its corners there is room for {left_mm:.1} mm",
            edge.free_mm(0.0)
        ),
        why: "the strips of the neighbouring edges meet before the full width is reached".into(),
        what_to_do: "make it narrower, or make it a separate piece".into(),
        lifted_by: Some(LiftedBy::Shop),
        source: "geometry".into(),
    }
}

fn finish(points: Loop, owners: &[String], corners: Vec<Corner>, mut concerns: Vec<Concern>) -> Outline {
    let points_mm = without_straight_points(&points);
    let turned_over = || signed_area_mm2(&points) <= 0.0;
    let whole = || Clash { sides: [0, 0], at_mm: points.first().copied().unwrap_or_default() };
    let clash = check_simple(&points).err().or_else(|| turned_over().then(whole));
    if let Some(clash) = &clash {
        let owner = |side: usize| owners.get(side).map_or("the outline", String::as_str);
        let [a, b] = clash.sides.map(owner);
        concerns.push(Concern {
            key: "skin-flat-overlaps".into(),
            grade: Grade::Stop,
            place: format!("blank at ({:.0}, {:.0}) mm", clash.at_mm.x, clash.at_mm.y),
            what: if a == b {
                format!("the flat overlaps itself at {a}")
            } else {
                format!("the flat overlaps itself: {a} and {b}")
            },
            why: "one sheet cannot be cut to it".into(),
            what_to_do: "make it in two with a seam, or make the edges narrower there".into(),
            lifted_by: Some(LiftedBy::Shop),
            source: "geometry".into(),
        });
    }
    Outline { points_mm, corners, concerns }
}

/// Drops points on the straight between their neighbours, round the whole loop.
fn without_straight_points(points: &[DVec2]) -> Loop {
    let n = points.len();
    let mut out: Loop = Vec::with_capacity(n);
    for i in 0..n {
        let before = out.last().copied().unwrap_or(points[(i + n - 1) % n]);
        let after = points[(i + 1) % n];
        let along = (after - before).normalize_or_zero();
        let straight =
            along.perp_dot(points[i] - before).abs() < 1e-9 && (points[i] - before).dot(after - points[i]) > 0.0;
        if !straight {
            out.push(points[i]);
        }
    }
    out
}
