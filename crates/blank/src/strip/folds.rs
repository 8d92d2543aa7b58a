//! Every bend of the strip with its lines in the flat.

use super::flat::Flat;
use super::widths;
use crate::{BlankError, FaceUp, FlatFold, FoldKind};
use handbook::bend::{Bend, setback_outer_mm, sight_line_mm};
use handbook::edges::{Joggle, Ramp};
use handbook::springback::over_bend;
use section::{Lean, MakeUp, Part, Shape, Side, StripEdge};

/// All bends, numbered in the order of working: outermost make-up first on each edge, folds of the skin next, rolling last.
pub(super) fn all(flat: &Flat<'_>, face_up: FaceUp) -> Result<Vec<FlatFold>, BlankError> {
    let mut out: Vec<((usize, usize), FlatFold)> = Vec::new();
    for (link, part) in flat.swept.parts().into_iter().enumerate() {
        let order = order(flat, link, part);
        match part {
            Part::Ramp { .. } => {
                out.extend(joggle(flat, link, part, face_up)?.map(|fold| (order, fold)));
            }
            Part::Leg { .. } => {}
            Part::Skin { .. } | Part::Bend { .. } => {
                if let Some(fold) = bend(flat, link, part, face_up)? {
                    out.push((order, fold));
                }
            }
        }
    }
    out.sort_by_key(|(order, _)| *order);
    let numbered = out.into_iter().enumerate().map(|(i, (_, fold))| {
        let name = format!("fold {}: {}", i + 1, fold.name);
        FlatFold { number: i + 1, name, ..fold }
    });
    Ok(numbered.collect())
}

fn order(flat: &Flat<'_>, link: usize, part: Part) -> (usize, usize) {
    match part {
        Part::Bend { edge, index } | Part::Leg { edge, index } | Part::Ramp { edge, index } => {
            let outer = flat.strip().make_ups(edge).len() - index;
            (usize::from(edge == StripEdge::Cut), outer)
        }
        Part::Skin { .. } => (if flat.widths.is_rolled(link) { 3 } else { 2 }, link),
    }
}

/// Inside radius and bend angle with its sign at a station.
fn arc(flat: &Flat<'_>, link: usize, station_mm: f64) -> Option<(f64, f64)> {
    match flat.swept.profile(station_mm, Lean::After).links.get(link)?.shape {
        Shape::Arc { inside_radius_mm, bend_rad } => Some((inside_radius_mm.value, bend_rad.value)),
        Shape::Straight { .. } => None,
    }
}

fn is_up(turns: Side, face_up: FaceUp) -> bool {
    matches!((turns, face_up), (Side::Inside, FaceUp::Inside) | (Side::Outside, FaceUp::Outside))
}

fn bend(flat: &Flat<'_>, link: usize, part: Part, face_up: FaceUp) -> Result<Option<FlatFold>, BlankError> {
    let stations = [flat.swept.start_mm(), 0.5 * (flat.swept.start_mm() + flat.swept.end_mm()), flat.swept.end_mm()];
    let [Some((_, first)), Some((radius, middle)), Some((_, last))] = stations.map(|s| arc(flat, link, s)) else {
        return Ok(None);
    };
    let ends = [first.abs(), last.abs()];
    if ends.iter().all(|angle| *angle < 1e-9) && middle.abs() < 1e-9 {
        return Ok(None);
    }
    let strip = flat.strip();
    let name = match part {
        Part::Skin { link } => format!("roll of the skin, part {}", link + 1),
        Part::Bend { edge, index } | Part::Leg { edge, index } | Part::Ramp { edge, index } => {
            strip.make_up_name(edge, index)
        }
    };
    let rolled = flat.widths.is_rolled(link);
    let (kind, rule) = match widths::make_up(strip, part) {
        Some(MakeUp::Wired { .. }) => (FoldKind::Curl, "geometry of the wire"),
        Some(MakeUp::Hem { .. }) => (FoldKind::Hem, flat.settings.bend_rule.name()),
        _ if rolled => (FoldKind::Rolled, "middle of the sheet"),
        _ => (FoldKind::Fold, flat.settings.bend_rule.name()),
    };
    let turns = if middle + first + last > 0.0 { Side::Outside } else { Side::Inside };
    let t = strip.thickness_mm;
    let k_factor = match kind {
        FoldKind::Rolled | FoldKind::Curl => 0.5,
        _ => flat.widths.figures(&name, 1.0, radius)?.k_factor,
    };
    let width = |station| flat.widths.width(&flat.swept.profile(station, Lean::After), link).mm;
    let setback = |bend_angle_rad: f64| {
        let bend = Bend { thickness_mm: t, inside_radius_mm: radius, bend_angle_rad };
        // A sheet folded back has no outer corner; its outermost point stands r + t beyond the tangent.
        setback_outer_mm(&bend).unwrap_or(radius + t)
    };
    let near_is_first = link >= flat.held.node;
    let (near, far, way) = if near_is_first { (link, link + 1, 1.0) } else { (link + 1, link, -1.0) };
    let one = Bend { thickness_mm: t, inside_radius_mm: radius, bend_angle_rad: middle.abs() };
    Ok(Some(FlatFold {
        name,
        number: 0,
        kind,
        up: is_up(turns, face_up),
        turns,
        tangent_near_mm: flat.polyline(near, 0.0),
        tangent_far_mm: flat.polyline(far, 0.0),
        centre_mm: flat.middle_line(link, link + 1),
        // Only a fold goes under a nose; rolls and a curl have no sight line.
        sight_mm: match kind {
            FoldKind::Fold | FoldKind::Hem => flat.polyline(near, way * sight_line_mm(&one)),
            FoldKind::Rolled | FoldKind::Curl | FoldKind::Joggle => Vec::new(),
        },
        bend_angle_rad: ends,
        inside_radius_mm: radius,
        allowance_mm: [width(stations[0]), width(stations[2])],
        setback_mm: ends.map(setback),
        k_factor,
        rule: rule.to_owned(),
        fold_to_rad: fold_to(flat, kind, ends, radius),
    }))
}

/// Angle to fold to; a curl and a hem are closed on their wire or on the sheet and need no over-bend.
fn fold_to(flat: &Flat<'_>, kind: FoldKind, ends: [f64; 2], radius: f64) -> Option<[f64; 2]> {
    if matches!(kind, FoldKind::Curl | FoldKind::Hem | FoldKind::Joggle) {
        return Some(ends);
    }
    let metal = flat.settings.elastic(&flat.strip().material)?;
    let to = |angle: f64| over_bend(angle, radius, flat.strip().thickness_mm, metal).map(|over| over.tool_angle_rad);
    match ends.map(to) {
        [Ok(a), Ok(b)] => Some([a, b]),
        _ => None,
    }
}

/// The two lines of a joggle: down at the step line, back at the foot of the ramp.
fn joggle(flat: &Flat<'_>, link: usize, part: Part, face_up: FaceUp) -> Result<[FlatFold; 2], BlankError> {
    let strip = flat.strip();
    let Some(MakeUp::Joggle { depth_mm, ramp_mm, .. }) = widths::make_up(strip, part) else {
        return Err(BlankError::Bend { place: "joggle".into(), what: "no joggle there".into() });
    };
    let joggle = Joggle { depth_mm: *depth_mm, ramp: Ramp::Straight { run_mm: *ramp_mm } };
    let figures =
        joggle.figures().map_err(|fault| BlankError::Bend { place: "joggle".into(), what: fault.to_string() })?;
    let outward_is_up_the_chain = matches!(part, Part::Ramp { edge: StripEdge::Cut, .. });
    let (step, foot) = if outward_is_up_the_chain { (link, link + 1) } else { (link + 1, link) };
    let line = |node: usize, turns: Side, name: &str| {
        let at = flat.polyline(node, 0.0);
        FlatFold {
            name: name.to_owned(),
            number: 0,
            kind: FoldKind::Joggle,
            up: is_up(turns, face_up),
            turns,
            tangent_near_mm: at.clone(),
            tangent_far_mm: at.clone(),
            centre_mm: at,
            sight_mm: Vec::new(),
            bend_angle_rad: [figures.angle_rad; 2],
            inside_radius_mm: 0.0,
            allowance_mm: [0.0; 2],
            setback_mm: [0.0; 2],
            k_factor: 0.5,
            rule: "straight ramp, true length".to_owned(),
            fold_to_rad: Some([figures.angle_rad; 2]),
        }
    };
    Ok([line(step, Side::Inside, "joggle, step line"), line(foot, Side::Outside, "joggle, foot of the ramp")])
}
