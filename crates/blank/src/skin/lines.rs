//! What is drawn on the flat beside its outline: fold lines, marks, wires, lengthwise lines, dimensions.

use super::edge::{EdgeKind, FlatEdge};
use crate::strip::sorted;
use crate::{
    CheckDimension, DevelopSettings, FlatFold, FlatMark, FlatOpening, LengthwiseLine, Loop, MarkKind, RunningDimension,
};
use glam::{DVec2, DVec3};
use mesh::polygon::{contains, distance_to_sides_mm};

/// Flat length over which a local strain is taken, mm.
const WINDOW_MM: f64 = 20.0;
/// Strain below which a line counts as kept.
const KEPT: f64 = 1e-6;
/// Half-width of a corner's witness mark, mm.
const WITNESS_MM: f64 = 4.0;

/// Folds of all edges, outermost make-up of each edge first, numbered through.
pub(super) fn folds(edges: &[FlatEdge<'_>], outline: &Loop, tolerance_mm: f64) -> Vec<FlatFold> {
    let mut out = Vec::new();
    for edge in edges {
        for fold in &edge.straight.folds {
            let lay = |line: &[DVec2]| inside(edge.lay_off(line, tolerance_mm), outline);
            let number = out.len() + 1;
            let what = fold.name.split_once(": ").map_or(fold.name.as_str(), |(_, what)| what);
            out.push(FlatFold {
                name: format!("fold {number}: {what} of {}", edge.given.name),
                number,
                tangent_near_mm: lay(&fold.tangent_near_mm),
                tangent_far_mm: lay(&fold.tangent_far_mm),
                centre_mm: lay(&fold.centre_mm),
                sight_mm: if fold.sight_mm.is_empty() { Vec::new() } else { lay(&fold.sight_mm) },
                ..fold.clone()
            });
        }
    }
    out
}

/// A line without the ends that lie off the metal (in the notch of a corner).
fn inside(line: Vec<DVec2>, outline: &Loop) -> Vec<DVec2> {
    let on_metal = |p: DVec2| contains(outline, p) || distance_to_sides_mm(outline, p) < 1e-6;
    let mut line = shortened(line, &on_metal);
    line.reverse();
    let mut line = shortened(line, &on_metal);
    line.reverse();
    line
}

fn shortened(line: Vec<DVec2>, on_metal: &dyn Fn(DVec2) -> bool) -> Vec<DVec2> {
    const STEP_MM: f64 = 0.5;
    if line.first().is_none_or(|p| on_metal(*p)) {
        return line;
    }
    for (i, pair) in line.windows(2).enumerate() {
        let steps = (pair[0].distance(pair[1]) / STEP_MM).ceil().clamp(1.0, 2000.0) as usize;
        for k in 1..=steps {
            let (mut off, mut on) = ((k - 1) as f64 / steps as f64, k as f64 / steps as f64);
            if !on_metal(pair[0].lerp(pair[1], on)) {
                continue;
            }
            for _ in 0..40 {
                let middle = 0.5 * (off + on);
                if on_metal(pair[0].lerp(pair[1], middle)) { on = middle } else { off = middle }
            }
            let mut out = vec![pair[0].lerp(pair[1], on)];
            out.extend(line.iter().skip(i + 1).copied());
            return out;
        }
    }
    line
}

/// Tangent lines, step lines, trim lines, held edges, witness marks at the corners, proposed reliefs.
pub(super) fn marks(edges: &[FlatEdge<'_>], outline: &Loop, corners_mm: &[DVec2], tolerance_mm: f64) -> Vec<FlatMark> {
    let mut out = Vec::new();
    for edge in edges {
        let name = &edge.given.name;
        for mark in &edge.straight.marks {
            if matches!(mark.kind, MarkKind::LapLine | MarkKind::TangentLine | MarkKind::TrimLine) {
                let line_mm = inside(edge.lay_off(&mark.line_mm, tolerance_mm), outline);
                out.push(FlatMark { kind: mark.kind, line_mm, label: format!("{name}: {}", mark.label) });
            }
        }
        let plain_trim = edge.kind == EdgeKind::Plain && edge.trim_mm > 0.0;
        let whole =
            |offset: &dyn Fn(f64) -> f64| edge.curve.polyline(0.0, edge.curve.length_mm(), offset, tolerance_mm);
        if plain_trim && !edge.straight.marks.iter().any(|mark| mark.kind == MarkKind::TrimLine) {
            let label = format!("{name}: trim line: {:.1} mm left on", edge.trim_mm);
            out.push(FlatMark { kind: MarkKind::TrimLine, line_mm: whole(&|_| 0.0), label });
        }
        if edge.given.held {
            let label = format!("{name}: keeps its length; check it while forming");
            out.push(FlatMark { kind: MarkKind::HeldLine, line_mm: whole(&|_| 0.0), label });
        }
    }
    for (edge_index, (at, edge)) in corners_mm.iter().zip(edges).enumerate() {
        if edge.trim_mm > 0.0 || edge.kind != EdgeKind::Plain {
            let along = edge.curve.at(0.0).along;
            let line_mm = vec![*at, *at + along * WITNESS_MM];
            out.push(FlatMark { kind: MarkKind::EndLine, line_mm, label: corner_name(edges, edge_index) });
        }
    }
    out.extend(edges.iter().flat_map(|edge| edge.worked.iter().flat_map(|worked| worked.marks(edge))));
    out
}

/// The corner that an edge starts at, by both its edges.
fn corner_name(edges: &[FlatEdge<'_>], index: usize) -> String {
    let name = |i: usize| edges.get(i % edges.len().max(1)).map_or("", |edge| edge.given.name.as_str());
    match edges.len() {
        0 | 1 => format!("start of {}", name(index)),
        count => super::corner_of(name(index + count - 1), name(index)),
    }
}

/// Every line along every edge: the edge itself, and the lines of its make-ups.
pub(super) fn lengthwise(edges: &[FlatEdge<'_>]) -> Vec<LengthwiseLine> {
    edges.iter().flat_map(of_edge).collect()
}

fn of_edge(edge: &FlatEdge<'_>) -> Vec<LengthwiseLine> {
    let stations = &edge.curve.stations_mm;
    let name = &edge.given.name;
    let line = |what: String, place: &dyn Fn(usize, f64) -> Option<(DVec2, DVec3)>, held: bool| {
        let points: Vec<(DVec2, DVec3)> = stations.iter().enumerate().filter_map(|(i, s)| place(i, *s)).collect();
        let steps: Vec<[f64; 2]> =
            points.windows(2).map(|p| [p[0].0.distance(p[1].0), p[0].1.distance(p[1].1)]).collect();
        let in_flat_mm: f64 = steps.iter().map(|step| step[0]).sum();
        let in_piece_mm: f64 = steps.iter().map(|step| step[1]).sum();
        LengthwiseLine {
            name: what,
            in_piece_mm,
            in_flat_mm,
            strain_percent: local_strain(&steps).map(|strain| 100.0 * strain),
            mm_per_100_mm: 100.0 * (in_piece_mm - in_flat_mm) / in_flat_mm,
            held,
        }
    };
    let own = |i: usize, s: f64| Some((edge.curve.at(s).at_mm, edge.in_space(i, [0.0, 0.0])?));
    let mut out = vec![line(name.clone(), &own, edge.given.held)];
    for (k, what) in edge.widths.names().iter().enumerate() {
        if edge.kind == EdgeKind::Plain {
            break;
        }
        let place = |i: usize, s: f64| {
            let flat = edge.curve.at(s).outward(edge.widths.offsets_mm(s).get(k).copied()?);
            Some((flat, edge.in_space(i, edge.widths.in_space_mm(s).get(k).copied()?)?))
        };
        out.push(line(format!("{name}, {what}"), &place, false));
    }
    out
}

/// Smallest and largest strain over stretches of about [`WINDOW_MM`] of flat.
fn local_strain(steps: &[[f64; 2]]) -> [f64; 2] {
    let mut out = [f64::INFINITY, f64::NEG_INFINITY];
    let (mut from, mut sum) = (0, [0.0; 2]);
    let whole: f64 = steps.iter().map(|step| step[0]).sum();
    for step in steps {
        sum = [sum[0] + step[0], sum[1] + step[1]];
        while sum[0] - steps[from][0] >= WINDOW_MM {
            sum = [sum[0] - steps[from][0], sum[1] - steps[from][1]];
            from += 1;
        }
        if sum[0] >= WINDOW_MM.min(whole) - 1e-9 {
            let strain = sum[1] / sum[0] - 1.0;
            out = [out[0].min(strain), out[1].max(strain)];
        }
    }
    if out[0] <= out[1] { out } else { [0.0; 2] }
}

/// Nothing when no line must be gathered or let out, otherwise all of them.
pub(super) fn worth_showing(lines: Vec<LengthwiseLine>) -> Vec<LengthwiseLine> {
    let worked = |line: &LengthwiseLine| line.strain_percent.iter().any(|percent| percent.abs() > 100.0 * KEPT);
    if lines.iter().any(worked) { lines } else { Vec::new() }
}

/// What can be taped or callipered on the finished piece, on its outside face: lengths along the edges, straight distances of corners.
///
/// A nominal is no truer than the surface it comes from: its reach stands beside it, as with every other kind of piece.
pub(super) fn check_dimensions(
    edges: &[FlatEdge<'_>],
    settings: &DevelopSettings,
    thickness_mm: f64,
    reach_mm: f64,
) -> Vec<CheckDimension> {
    let reach = (reach_mm > 0.0).then_some(reach_mm);
    let length = |name: String, nominal: f64| CheckDimension::linear(name, nominal, settings.tolerance_class, reach);
    let mut out = Vec::new();
    let outside = |edge: &FlatEdge<'_>, i: usize| edge.in_space(i, [0.0, 0.5 * thickness_mm]);
    let corner = |i: usize| edges.get(i % edges.len().max(1)).and_then(|edge| outside(edge, 0));
    for (i, edge) in edges.iter().enumerate() {
        let name = &edge.given.name;
        let points: Vec<DVec3> = (0..edge.frames.len()).filter_map(|i| outside(edge, i)).collect();
        let along_mm: f64 = points.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
        let place = match edge.kind {
            EdgeKind::Plain if edge.trim_mm > 0.0 => " at its trim line",
            EdgeKind::Plain => "",
            EdgeKind::Leg => " at the line where its lap begins",
            EdgeKind::Folded => " where its fold begins",
        };
        out.extend(length(format!("length along {name}{place}, outside face"), along_mm));
        if let (false, Some(a), Some(b)) = (edge.curve.closed, corner(i), corner(i + 1))
            && edges.len() > 1
        {
            let between = format!("{} to {}", corner_name(edges, i), corner_name(edges, i + 1));
            out.extend(length(format!("straight from {between}, outside face"), a.distance(b)));
        }
    }
    if let (4, [Some(a), Some(b), Some(c), Some(d)]) = (edges.len(), [0, 1, 2, 3].map(corner)) {
        let between = |i: usize, j: usize| {
            format!("across, from {} to {}, outside face", corner_name(edges, i), corner_name(edges, j))
        };
        out.extend(length(between(0, 2), a.distance(c)));
        out.extend(length(between(1, 3), b.distance(d)));
    }
    out
}

/// Running dimensions from the lower left corner of the upright box round the flat.
pub(super) fn running(
    edges: &[FlatEdge<'_>],
    corners_mm: &[DVec2],
    outline: &Loop,
    openings: &[FlatOpening],
) -> (Vec<RunningDimension>, Vec<RunningDimension>) {
    let mut places: Vec<(String, DVec2)> =
        corners_mm.iter().enumerate().map(|(index, at)| (corner_name(edges, index), *at)).collect();
    places.extend(openings.iter().map(|opening| (opening.name.clone(), opening.centre_mm)));
    let farthest = |along: fn(&DVec2) -> f64| outline.iter().copied().max_by(|a, b| along(a).total_cmp(&along(b)));
    let with = |extra: Option<DVec2>, name: &str| {
        let mut all = places.clone();
        all.extend(extra.map(|p| (name.to_owned(), p)));
        all
    };
    (
        sorted(with(farthest(|p| p.x), "end of the flat"), |p| p.x),
        sorted(with(farthest(|p| p.y), "top of the flat"), |p| p.y),
    )
}
